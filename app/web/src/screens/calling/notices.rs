//! One form for each notice. The forms only gather; the engine accepts or
//! says why not.

use engine::game::{Game, Hold, Notice, Stoppage, WarningRecipient};
use engine::team::{Gender, Place, Player, Position, Shirt, Side, Whereabouts};
use leptos::prelude::*;

use crate::words;

/// Which notice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A player for another.
    Substitution,
    /// A time-out.
    TimeOut,
    /// New positions on defence.
    Positions,
    /// A player hurt or bleeding.
    Injury,
    /// A warning.
    Warning,
    /// A player sent off.
    Ejection,
    /// A protest.
    Protest,
    /// A stop.
    Stop,
    /// The umpire ends the game.
    End,
    /// A forfeit, by one side or both.
    Forfeit,
    /// Nothing counts of what just happened.
    NoPlay,
    /// The number on the card was wrong.
    Renumber,
    /// A reserve who came late.
    Reserve,
    /// A note.
    Remark,
}

impl Form {
    /// What is about the players of a side.
    pub const PLAYERS: [Self; 5] = [
        Self::Substitution,
        Self::Positions,
        Self::Injury,
        Self::Renumber,
        Self::Reserve,
    ];
    /// What is about the game's time.
    pub const TIME: [Self; 3] = [Self::TimeOut, Self::Stop, Self::End];
    /// What keeps order.
    pub const ORDER: [Self; 4] = [Self::Warning, Self::Ejection, Self::Protest, Self::Forfeit];

    /// All, in the order of the list.
    pub fn all() -> impl Iterator<Item = Self> {
        let groups = Self::PLAYERS.into_iter().chain(Self::TIME);
        groups
            .chain(Self::ORDER)
            .chain([Self::NoPlay, Self::Remark])
    }

    /// Its word in the list.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Substitution => "Substitution",
            Self::TimeOut => "Time-out",
            Self::Positions => "Positions",
            Self::Injury => "Injury",
            Self::Warning => "Warning",
            Self::Ejection => "Send off",
            Self::Protest => "Protest",
            Self::Stop => "Stop the game",
            Self::End => "End the game",
            Self::Forfeit => "Forfeit",
            Self::NoPlay => "No play",
            Self::Renumber => "Wrong number",
            Self::Reserve => "Late reserve",
            Self::Remark => "Note on the game",
        }
    }

    /// Its title.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Substitution => "Who comes in for whom?",
            Self::TimeOut => "Whose time-out?",
            Self::Positions => "Who fields where?",
            Self::Injury => "Who leaves injured or bleeding?",
            Self::Warning => "Who is warned?",
            Self::Ejection => "Who is sent off?",
            Self::Protest => "Who protests?",
            Self::Stop => "Why does the game stop?",
            Self::End => "Why does the game end here?",
            Self::Forfeit => "Who forfeits?",
            Self::NoPlay => "Nothing counts: the batter hits again",
            Self::Renumber => "Whose number was wrong on the card?",
            Self::Reserve => "Who came late?",
            Self::Remark => "A note",
        }
    }

    const fn asks_who(self) -> bool {
        matches!(
            self,
            Self::Substitution | Self::Injury | Self::Warning | Self::Ejection | Self::Renumber
        )
    }

    const fn asks_by(self) -> bool {
        matches!(self, Self::Substitution | Self::Injury | Self::Ejection)
    }

    const fn asks_text(self) -> bool {
        matches!(
            self,
            Self::Warning | Self::Protest | Self::Forfeit | Self::Remark | Self::NoPlay | Self::End
        )
    }

    const fn asks_side(self) -> bool {
        !matches!(self, Self::Stop | Self::Remark | Self::NoPlay | Self::End)
    }

    const fn asks_number(self) -> bool {
        matches!(self, Self::Renumber | Self::Reserve)
    }

    /// Whether it can be about someone without a shirt.
    const fn asks_coach(self) -> bool {
        matches!(self, Self::Warning | Self::Ejection)
    }
}

/// What has been entered.
#[derive(Clone, Debug, Default)]
struct EnteredNotice {
    side: Option<Side>,
    who: Option<Shirt>,
    by: Option<Shirt>,
    /// A coach or manager, in place of a player.
    coach: bool,
    /// Both sides, in place of one.
    both: bool,
    why: Option<Stoppage>,
    number: String,
    name: String,
    gender: Option<Gender>,
    text: String,
    positions: [Option<Position>; 5],
}

impl EnteredNotice {
    /// The notice, once enough is entered.
    fn notice(&self, form: Form) -> Option<Notice> {
        let text = self.text.trim().to_string();
        let name = self.name.trim().to_string();
        let number = || self.number.trim().parse().ok();
        Some(match form {
            Form::Substitution => Notice::Substitution {
                side: self.side?,
                out: self.who?,
                by: self.by?,
            },
            Form::TimeOut => Notice::TimeOut { side: self.side? },
            Form::Positions => Notice::Defence {
                side: self.side?,
                positions: self.positions.iter().copied().collect::<Option<Vec<_>>>()?,
            },
            Form::Injury => Notice::Injury {
                side: self.side?,
                who: self.who?,
                by: self.by,
            },
            Form::Ejection if self.coach => Notice::CoachEjection {
                side: self.side?,
                name,
            },
            Form::Ejection => Notice::Ejection {
                side: self.side?,
                who: self.who?,
                by: self.by,
            },
            Form::Warning => Notice::Warning {
                side: self.side?,
                to: match self.who {
                    _ if self.coach => WarningRecipient::Coach,
                    Some(who) => WarningRecipient::Player(who),
                    None => WarningRecipient::Bench,
                },
                text,
            },
            Form::Protest => Notice::Protest {
                side: self.side?,
                text,
            },
            Form::Forfeit if self.both => Notice::ForfeitBoth { text },
            Form::Forfeit => Notice::Forfeit {
                side: self.side?,
                text,
            },
            Form::NoPlay => Notice::NoPlay { text },
            Form::End => Notice::GameCalled {
                why: self.why?,
                text,
            },
            Form::Renumber => Notice::Renumber {
                side: self.side?,
                from: self.who?,
                to: number()?,
            },
            Form::Reserve => Notice::Reserve {
                side: self.side?,
                player: Player {
                    shirt: number()?,
                    name,
                    gender: self.gender,
                },
            },
            Form::Remark if text.is_empty() => return None,
            Form::Remark => Notice::Remark { text },
            Form::Stop => return None,
        })
    }
}

/// The form: gathers a notice and hands it on.
#[component]
pub fn NoticeForm(
    form: Form,
    /// The game in which it is given.
    game: Signal<Game>,
    /// Of whom it is, where that is known already.
    #[prop(optional, into)]
    about: Option<(Side, WarningRecipient)>,
    /// What the last button says.
    #[prop(default = "Record")]
    act: &'static str,
    send: Callback<Notice>,
) -> impl IntoView {
    let begun = about.map(|(side, whom)| EnteredNotice {
        side: Some(side),
        who: match whom {
            WarningRecipient::Player(who) => Some(who),
            WarningRecipient::Bench | WarningRecipient::Coach => None,
        },
        coach: whom == WarningRecipient::Coach,
        ..EnteredNotice::default()
    });
    let entered = RwSignal::new(begun.unwrap_or_default());
    let side = Signal::derive(move || entered.with(|e| e.side));
    let ready = move || entered.with(|e| e.notice(form).is_some());
    let tap = move |_| {
        if let Some(notice) = entered.with_untracked(|e| e.notice(form)) {
            send.run(notice);
        }
    };
    if form == Form::Stop {
        let why = [Hold::Lightning, Hold::Weather, Hold::Heat, Hold::Other];
        return view! {
            <div class="ways">
                {why.map(|hold| view! {
                    <button type="button" class="btn big" on:click=move |_| send.run(Notice::Hold(hold))>{hold.choice()}</button>
                }).collect_view()}
            </div>
        }
        .into_any();
    }
    let sides = Side::BOTH.map(|s| {
        view! {
            <button type="button" class="btn" aria-pressed=move || (side.get() == Some(s)).to_string()
                on:click=move |_| entered.update(|e| {
                    *e = EnteredNotice { side: Some(s), text: e.text.clone(), ..EnteredNotice::default() };
                    e.positions = game.with_untracked(|g| *g.defence(s));
                })>{move || game.with(|g| words::team(g, s))}</button>
        }
    });
    view! {
        {form.asks_side().then(|| view! {
            <div class="ways two" role="group" aria-label="Side">
                {sides.collect_view()}
                {(form == Form::Forfeit).then(|| view! {
                    <button type="button" class="btn" aria-pressed=move || entered.with(|e| e.both).to_string()
                        on:click=move |_| entered.update(|e| { e.side = None; e.both = true; })>"both"</button>
                })}
            </div>
        })}
        {(form == Form::End).then(|| view! { <Why entered=entered/> })}
        {move || side.get().filter(|_| form.asks_who()).map(|s| view! { <Who form=form side=s game=game entered=entered/> })}
        {move || side.get().filter(|_| form.asks_by()).map(|s| view! { <By form=form side=s game=game entered=entered/> })}
        {move || side.get().filter(|_| form == Form::Positions).map(|s| view! { <Positions side=s game=game entered=entered/> })}
        {move || (side.get().is_some() && form.asks_number()).then(|| view! { <Number form=form game=game entered=entered/> })}
        <Show when=move || form == Form::Ejection && entered.with(|e| e.coach)>
            <Named entered=entered/>
        </Show>
        {form.asks_text().then(|| view! {
            <div class="field">
                <label for="notice-text">{if form == Form::Warning { "What for, in a few words" } else { "In a few words" }}</label>
                <textarea id="notice-text" class="input" rows="2" maxlength=Notice::TEXT_LIMIT.to_string()
                    on:input:target=move |ev| entered.update(|e| e.text = ev.target().value())></textarea>
            </div>
        })}
        <button type="button" class="btn lit big wide" disabled=move || !ready() on:click=tap>{act}</button>
    }
    .into_any()
}

/// The player it is about.
#[component]
fn Who(
    form: Form,
    side: Side,
    game: Signal<Game>,
    entered: RwSignal<EnteredNotice>,
) -> impl IntoView {
    let everyone = form != Form::Substitution;
    // How often already.
    let warned = move |g: &Game, whom: WarningRecipient| {
        let times = g.warnings(side, whom);
        (form == Form::Warning && times > 0).then(|| {
            let times = if times == 1 {
                "warned once".into()
            } else {
                format!("warned {times} times")
            };
            view! { <span class="under">{times}</span> }
        })
    };
    let players = move || {
        game.with(|g| {
            let squad = &g.squads()[side];
            let mut five: Vec<Shirt> = Place::ALL.into_iter().map(|p| squad.at(p)).collect();
            if everyone {
                five.extend(
                    squad.members().iter().filter(|m| m.whereabouts == Whereabouts::Bench).map(|m| m.shirt),
                );
            }
            five.into_iter()
                .map(|shirt| {
                    let lit = move || entered.with(|e| e.who == Some(shirt));
                    let name = words::player(g, side, shirt);
                    let before = warned(g, WarningRecipient::Player(shirt));
                    view! {
                        <button type="button" class="btn" aria-pressed=move || lit().to_string()
                            on:click=move |_| entered.update(|e| { (e.who, e.by, e.coach) = (Some(shirt), None, false); })>
                            <span class="words">{name}{before}</span>
                        </button>
                    }
                })
                .collect_view()
        })
    };
    let bench = move || entered.with(|e| e.who.is_none() && !e.coach);
    let coach = move || entered.with(|e| e.coach);
    view! {
        <h3>{if form == Form::Substitution { "Leaves" } else { "Player" }}</h3>
        <div class="ways two">
            {players}
            {(form == Form::Warning).then(|| view! {
                <button type="button" class="btn" aria-pressed=move || bench().to_string()
                    on:click=move |_| entered.update(|e| (e.who, e.coach) = (None, false))>
                    <span class="words">"the bench"{move || game.with(|g| warned(g, WarningRecipient::Bench))}</span></button>
            })}
            {form.asks_coach().then(|| view! {
                <button type="button" class="btn" aria-pressed=move || coach().to_string()
                    on:click=move |_| entered.update(|e| (e.who, e.by, e.coach) = (None, None, true))>
                    <span class="words">"a coach"{move || game.with(|g| warned(g, WarningRecipient::Coach))}</span></button>
            })}
        </div>
    }
}

/// Why the umpire ends the game.
#[component]
fn Why(entered: RwSignal<EnteredNotice>) -> impl IntoView {
    let one = |why: Stoppage| {
        let lit = move || entered.with(|e| e.why == Some(why)).to_string();
        view! {
            <button type="button" class="btn" aria-pressed=lit
                on:click=move |_| entered.update(|e| e.why = Some(why))>{why.to_string()}</button>
        }
    };
    view! {
        <div class="ways two" role="group" aria-label="Why">{Stoppage::ALL.map(one).collect_view()}</div>
        <p>"Whether it counts, is a tie or is played on another day follows from the competition's rules."</p>
    }
}

/// A name, where one is known.
#[component]
fn Named(entered: RwSignal<EnteredNotice>) -> impl IntoView {
    view! {
        <div class="field">
            <label for="notice-name">"Name, if known"</label>
            <input id="notice-name" class="input" maxlength="30" autocomplete="off"
                on:input:target=move |ev| entered.update(|e| e.name = ev.target().value())/>
        </div>
    }
}

/// The number worn; of a new reserve also the name, and the gender where it matters.
#[component]
fn Number(form: Form, game: Signal<Game>, entered: RwSignal<EnteredNotice>) -> impl IntoView {
    let mixed = move || game.with(|g| g.edition().gender_minimum().get() > 0);
    let gender = move |gender: Gender| {
        let lit = move || entered.with(|e| e.gender == Some(gender)).to_string();
        view! {
            <button type="button" class="btn" aria-pressed=lit
                on:click=move |_| entered.update(|e| e.gender = Some(gender))>{gender.to_string()}</button>
        }
    };
    view! {
        <div class="field">
            <label for="notice-number">"Number worn"</label>
            <input id="notice-number" class="input" inputmode="numeric" maxlength="2" autocomplete="off"
                on:input:target=move |ev| entered.update(|e| e.number = ev.target().value())/>
        </div>
        {(form == Form::Reserve).then(|| view! {
            <Named entered=entered/>
            <Show when=mixed>
                <div class="ways two" role="group" aria-label="Gender">
                    {gender(Gender::Female)}
                    {gender(Gender::Male)}
                </div>
            </Show>
        })}
    }
}

/// Who comes in; those who may not come with the engine's reason.
#[component]
fn By(
    form: Form,
    side: Side,
    game: Signal<Game>,
    entered: RwSignal<EnteredNotice>,
) -> impl IntoView {
    move || {
        game.with(|g| {
            let squad = &g.squads()[side];
            let who = entered.with(|e| e.who)?;
            let place = squad.place_of(who).filter(|_| g.ending().is_none())?;
            let may = |shirt: Shirt| match form {
                Form::Injury => squad.may_cover(shirt, place, g.edition()),
                _ => squad.may_enter(shirt, place, g.edition()),
            };
            let rows = squad
                .members()
                .iter()
                .filter(|m| !matches!(m.whereabouts, Whereabouts::InPlay(_)))
                .map(|m| {
                    let shirt = m.shirt;
                    let lit = move || entered.with(|e| e.by == Some(shirt));
                    let name = words::player(g, side, shirt);
                    let why = may(shirt).err().map(|o| o.to_string());
                    let barred = why.is_some();
                    view! {
                        <button type="button" class="btn start" aria-pressed=move || lit().to_string()
                            disabled=barred
                            on:click=move |_| entered.update(|e| e.by = Some(shirt))>
                            <span class="words">{name}{why.map(|w| view! { <span class="under">{w}</span> })}</span>
                        </button>
                    }
                })
                .collect_view();
            Some(view! { <h3>"Comes in"</h3><div class="ways">{rows}</div> })
        })
    }
}

/// Who fields where: a tap gives the next free position.
#[component]
fn Positions(side: Side, game: Signal<Game>, entered: RwSignal<EnteredNotice>) -> impl IntoView {
    let rows = move || {
        game.with(|g| {
            Place::ALL
                .into_iter()
                .map(|place| {
                    let shirt = g.squads()[side].at(place);
                    let at = place.index();
                    let chosen = move || entered.with(|e| e.positions[at]);
                    let label = format!("position of {shirt}");
                    let options = Position::ALL.map(|p| {
                        view! { <option value=p.index().to_string() selected=move || chosen() == Some(p)>{p.to_string()}</option> }
                    });
                    view! {
                        <div class="position-row">
                            <b>{words::player(g, side, shirt)}</b>
                            <select class="input" aria-label=label on:change:target=move |ev| {
                                let to = ev.target().value().parse::<usize>().ok().and_then(|i| Position::ALL.get(i).copied());
                                entered.update(|e| {
                                    // Two who swap: the other one takes the position left.
                                    let from = e.positions[at];
                                    for (i, p) in e.positions.iter_mut().enumerate() {
                                        if i != at && *p == to && to.is_some() {
                                            *p = from;
                                        }
                                    }
                                    e.positions[at] = to;
                                });
                            }>
                                <option value="" selected=move || chosen().is_none()>"not said"</option>
                                {options.collect_view()}
                            </select>
                        </div>
                    }
                })
                .collect_view()
        })
    };
    view! { <div class="stack-tight">{rows}</div> }
}
