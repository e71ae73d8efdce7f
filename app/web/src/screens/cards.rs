//! Line-up cards: quick numbers, reserves, and every objection beside its field.

mod begin;

use engine::rules::Edition;
use engine::team::{CardObjection, Gender, Player, Position, Side};
use leptos::html::Input;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::use_navigate;

use begin::{setup, take_looks};

use super::events::{CharterSays, opening_here};
use super::new_fixture::charter_of;
use crate::device;
use crate::draft::{Draft, Line};
use crate::parts::{Key, Message, NumberPad, Page, Tone};
use crate::state::app_state;
use crate::words;

const HITTERS: usize = engine::rules::FIVE;

/// What is wrong with a card: by line, and in general.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Wrong {
    lines: Vec<(usize, String)>,
    general: Vec<String>,
}

impl Wrong {
    fn is_empty(&self) -> bool {
        self.lines.is_empty() && self.general.is_empty()
    }

    /// Every objection to one team's card.
    fn with(draft: &Draft, at: usize, edition: &Edition) -> Self {
        let Some(team) = draft.teams.get(at) else {
            return Self::default();
        };
        let card = match team.card() {
            Ok(card) => card,
            Err(bad) => {
                let lines = bad.into_iter().map(|b| (b.line, b.what)).collect();
                return Self {
                    lines,
                    general: Vec::new(),
                };
            }
        };
        let objections = card.check(edition).err();
        let mut wrong = Self::default();
        for objection in objections.into_iter().flatten() {
            let words = objection.to_string();
            let on = |line: &Line| match &objection {
                CardObjection::NumberTwice(n)
                | CardObjection::GenderMissing(n)
                | CardObjection::NotOnRoster(n) => line.number.trim().parse() == Ok(*n),
                CardObjection::PositionTwice(p) => {
                    line.position.and_then(|i| Position::ALL.get(i)) == Some(p)
                }
                _ => false,
            };
            match team.lines.iter().rposition(on) {
                Some(line) => wrong.lines.push((line, words)),
                None => wrong.general.push(words),
            }
        }
        wrong
    }
}

/// Both cards, then the toss, then play.
#[component]
pub fn Cards() -> impl IntoView {
    let app = app_state();
    let draft = RwSignal::new(Draft::load());
    Effect::new(move |_| draft.with(Draft::save));
    let at = RwSignal::new(0usize);
    let tried = RwSignal::new([false; 2]);
    let failed = RwSignal::new(None::<(String, String)>);
    // From the first tap until the game is on the screen: a second one would begin a second game.
    let begins = RwSignal::new(false);
    let edition =
        Memo::new(move |_| draft.with(|d| d.edition().unwrap_or_else(|_| Edition::federation())));
    let wrong = Memo::new(move |_| {
        [0, 1].map(|team| draft.with(|d| edition.with(|e| Wrong::with(d, team, e))))
    });
    let name = move |team: usize| {
        draft.with(|d| {
            d.teams
                .get(team)
                .map(|t| t.name.trim().to_string())
                .unwrap_or_default()
        })
    };
    let step = move |to: usize| {
        let from = at.get_untracked();
        if to > from {
            tried.update(|t| {
                if let Some(t) = t.get_mut(from) {
                    *t = true
                }
            });
            if from < 2 && wrong.with_untracked(|w| !w[from].is_empty()) {
                return;
            }
        }
        at.set(to);
    };
    let navigate = use_navigate();
    let begin = move |_| {
        if begins.get_untracked() {
            return;
        }
        let Some(setup) = draft.with_untracked(|d| setup(app, d)) else {
            return;
        };
        let navigate = navigate.clone();
        begins.set(true);
        spawn_local(async move {
            match app.begin(setup).await {
                Ok(game) => {
                    Draft::forget();
                    take_looks(app, game.clone()).await;
                    navigate(
                        &format!("/call?game={}", game),
                        NavigateOptions {
                            replace: true,
                            ..Default::default()
                        },
                    );
                }
                Err(why) => {
                    failed.set(Some(why.says()));
                    begins.set(false);
                }
            }
        });
    };
    // Looked at before the first play: what the event's charter says to it.
    let under = Signal::derive(move || {
        let setup = draft.with(|d| {
            d.event.as_ref()?;
            setup(app, d)
        })?;
        let opening = opening_here(app, &setup, None)?;
        Some(app.under_in_force(&opening))
    });
    let pad = StoredValue::new(None::<Callback<Key>>);
    let press = Callback::new(move |key| {
        if let Some(press) = pad.get_value() {
            press.run(key);
        }
    });
    let ready = move || draft.with(|d| d.home.is_some());
    let foot = move || {
        view! {
            {move || failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            {move || match at.get() {
                2 => view! {
                    <button type="button" class="btn lit big wide" disabled=move || !ready() || begins.get()
                        on:click=begin.clone()>
                        "Play ball"
                    </button>
                }.into_any(),
                now => view! {
                    <NumberPad press=press/>
                    <button type="button" class="btn lit big wide" on:click=move |_| step(now + 1)>
                        {if now == 0 { "Next card" } else { "Toss for home" }}
                    </button>
                }.into_any(),
            }}
        }
    };
    view! {
        <Page title="Line-up cards" back="/new" has_foot=true foot=foot>
            <nav class="steps" aria-label="Steps">
                {[0, 1].map(|team| view! {
                    <button type="button" class="btn" aria-current=move || (at.get() == team).then_some("true")
                        on:click=move |_| at.set(team)>{move || name(team)}</button>
                }).collect_view()}
                <button type="button" class="btn" aria-current=move || (at.get() == 2).then_some("true")
                    on:click=move |_| {
                        tried.set([true; 2]);
                        match wrong.with_untracked(|w| w.iter().position(|w| !w.is_empty())) {
                            Some(team) => at.set(team),
                            None => at.set(2),
                        }
                    }>"Toss"</button>
            </nav>
            {move || match at.get() {
                2 => view! { <Toss draft=draft/> <CharterSays under=under/> }.into_any(),
                team => view! {
                    <Card draft=draft team=team edition=edition
                        wrong=Signal::derive(move || {
                            if tried.get()[team] { wrong.with(|w| w[team].clone()) } else { Wrong::default() }
                        })
                        done=Callback::new(move |()| step(team + 1)) pad=pad/>
                }.into_any(),
            }}
        </Page>
    }
}

/// One team's card.
#[component]
fn Card(
    draft: RwSignal<Draft>,
    team: usize,
    edition: Memo<Edition>,
    wrong: Signal<Wrong>,
    done: Callback<()>,
    /// Where the pad at the bottom finds what its keys do.
    pad: StoredValue<Option<Callback<Key>>>,
) -> impl IntoView {
    let mixed = move || edition.with(|e| e.gender_minimum().get() > 0);
    let limit = usize::from(edition.with_untracked(|e| e.roster_limit().get()));
    draft.update(|d| {
        if let Some(team) = d.teams.get_mut(team) {
            let room = team.lines.len().max(limit);
            team.lines.resize(room, Line::default());
        }
    });
    let count = draft.with_untracked(|d| d.teams.get(team).map_or(0, |t| t.lines.len()));
    let fields: Vec<NodeRef<Input>> = (0..count).map(|_| NodeRef::new()).collect();
    let fields = StoredValue::new(fields);
    let focused = RwSignal::new(0usize);
    let focus = move |line: usize| {
        focused.set(line);
        fields.with_value(|f| {
            if let Some(input) = f.get(line).and_then(|f| f.get_untracked()) {
                let _ = input.focus();
            }
        });
    };
    let change = move |line: usize, f: &dyn Fn(&mut Line)| {
        draft.update(|d| {
            if let Some(line) = d.teams.get_mut(team).and_then(|t| t.lines.get_mut(line)) {
                f(line);
            }
        });
    };
    let next = move |line: usize| {
        if line + 1 < count {
            focus(line + 1)
        } else {
            done.run(())
        }
    };
    let length = move |line: usize| {
        draft.with_untracked(|d| Some(d.teams.get(team)?.lines.get(line)?.number.len()))
    };
    // Two digits moved on by themselves: a "next" that comes all the same is already done.
    let moved_on = StoredValue::new(false);
    let press = Callback::new(move |key: Key| {
        let line = focused.get_untracked();
        let just_moved = moved_on.get_value();
        moved_on.set_value(false);
        match key {
            Key::Digit(n) => {
                change(line, &|l| {
                    if l.number.len() < 2 {
                        l.number.push(char::from(b'0' + n.min(9)));
                    }
                });
                let full = length(line) == Some(2);
                if full && line + 1 < count {
                    moved_on.set_value(true);
                    focus(line + 1)
                } else {
                    focus(line)
                }
            }
            Key::Back => {
                let empty = length(line) == Some(0);
                let line = if empty { line.saturating_sub(1) } else { line };
                change(line, &|l| {
                    l.number.pop();
                });
                focus(line);
            }
            Key::Next if just_moved => {}
            Key::Next => next(line),
        }
    });
    let get = move |line: usize| {
        draft
            .with(|d| d.teams.get(team).and_then(|t| t.lines.get(line)).cloned())
            .unwrap_or_default()
    };
    let what = |line: usize| {
        if line < HITTERS {
            format!("hitter {}", line + 1)
        } else {
            format!("reserve {}", line + 1 - HITTERS)
        }
    };
    let is_wrong = move |line: usize| wrong.with(|w| w.lines.iter().any(|(l, _)| *l == line));
    let tile = move |line: usize| {
        let field = fields
            .with_value(|f| f.get(line).copied())
            .unwrap_or_default();
        view! {
            <li class="tile">
                <span class="order" aria-hidden="true">
                    {if line < HITTERS { (line + 1).to_string() } else { "reserve".into() }}
                </span>
                <input class="input number" inputmode="none" maxlength="2" autocomplete="off"
                    node_ref=field aria-label=format!("number of {}", what(line))
                    aria-invalid=move || is_wrong(line).to_string()
                    aria-describedby="objections"
                    prop:value=move || get(line).number
                    on:focus=move |_| focused.set(line)
                    on:input:target=move |ev| {
                        let typed = ev.target().value();
                        change(line, &|l| l.number.clone_from(&typed));
                    }
                    on:keydown=move |ev| if ev.key() == "Enter" { ev.prevent_default(); next(line); }/>
                <Show when=mixed>
                    <button type="button" class="btn" aria-label=move || format!("gender of {}: {}", what(line), gender_word(get(line).gender))
                        on:click=move |_| change(line, &|l| l.gender = match l.gender {
                            None => Some('F'),
                            Some('F') => Some('M'),
                            Some(_) => None,
                        })>{move || gender_word(get(line).gender)}</button>
                </Show>
            </li>
        }
    };
    let details = move |line: usize| {
        let hitter = line < HITTERS;
        let options = Position::ALL.map(|p| {
            let chosen = move || get(line).position == Some(p.index());
            view! { <option value=p.index().to_string() selected=chosen>{p.to_string()}</option> }
        });
        view! {
            <li class="detail">
                <b class="number">{move || {
                    let number = get(line).number;
                    if number.is_empty() { "–".to_string() } else { number }
                }}</b>
                <input class="input" maxlength="30" autocomplete="off" placeholder="name"
                    aria-label=format!("name of {}", what(line))
                    prop:value=move || get(line).name
                    on:input:target=move |ev| {
                        let typed = ev.target().value();
                        change(line, &|l| l.name.clone_from(&typed));
                    }/>
                {if hitter {
                    view! {
                        <select class="input" aria-label=format!("position of {}", what(line))
                            aria-invalid=move || is_wrong(line).to_string()
                            aria-describedby="objections"
                            on:change:target=move |ev| {
                                let to = ev.target().value().parse().ok();
                                change(line, &|l| l.position = to);
                            }>
                            <option value="">"position"</option>
                            {options.collect_view()}
                        </select>
                    }.into_any()
                } else {
                    view! { <span class="soft">"reserve"</span> }.into_any()
                }}
            </li>
        }
    };
    let objections = move || {
        wrong.with(|w| {
            let lines = w
                .lines
                .iter()
                .map(|(l, o)| format!("{}: {o}", words::capital(&what(*l))));
            w.general.iter().cloned().chain(lines).collect::<Vec<_>>()
        })
    };
    pad.set_value(Some(press));
    Effect::new(move |_| focus(0));
    let app = app_state();
    let roster = Memo::new(move |_| {
        draft.with(|d| {
            let signed = charter_of(app, d)?;
            let name = d.teams.get(team)?.name.trim();
            Some(signed.charter().team(name)?.roster.clone())
        })
    });
    // Who sits this game out, as far as the games on this phone say.
    if draft.with_untracked(|d| d.event.is_some()) {
        spawn_local(async move {
            // Unread, the desk knows less, and the organiser's list is another.
            let _ = app.open_desk().await;
        });
    }
    let suspended = Memo::new(move |_| {
        let (event, fixture, name) = draft.with(|d| {
            let name = d.teams.get(team)?.name.trim().to_string();
            Some((d.event.clone()?, d.fixture?, name))
        })?;
        let view = app.desk_view(&event)?;
        let held = view.report()?.suspensions().iter();
        let held = held.filter(|s| s.team == name && s.holds_in(fixture));
        let said = held.map(|s| s.sentence()).collect::<Vec<_>>().join(" ");
        (!said.is_empty()).then_some(said)
    });
    let earlier = Memo::new(move |_| {
        let name = draft.with(|d| d.teams.get(team).map(|t| t.name.trim().to_string()))?;
        app.games.with(|games| {
            let books = games.iter().filter_map(|g| g.book.as_ref().ok());
            let cards = books.filter(|b| !b.setup().demo).flat_map(|b| {
                let begun = b.listed.begun;
                let cards = &b.setup().cards;
                Side::BOTH.map(|side| (begun, cards[side].clone()))
            });
            let of_team = cards.filter(|(_, card)| card.team == name);
            let (_, card) = of_team.max_by_key(|(begun, _)| *begun)?;
            Some(card)
        })
    });
    let is_empty = move || {
        draft.with(|d| {
            let lines = d.teams.get(team).map(|t| t.lines.as_slice());
            let mut lines = lines.unwrap_or_default().iter();
            lines.all(|l| l.number.trim().is_empty())
        })
    };
    let again = move || {
        let card = earlier.get().filter(|_| is_empty())?;
        let numbers: Vec<String> = card
            .hitters
            .iter()
            .map(|h| h.player.shirt.to_string())
            .collect();
        let fill = move |_| {
            draft.update(|d| {
                if let Some(team) = d.teams.get_mut(team) {
                    team.fill(&card);
                    team.lines.resize(count, Line::default());
                }
            });
        };
        Some(view! {
            <button type="button" class="btn wide start" on:click=fill>
                <span class="words">"The last card again"<span class="under">{numbers.join(", ")}", and its reserves"</span></span>
            </button>
        })
    };
    let left = move || {
        let on_card = draft.with(|d| {
            let lines = d.teams.get(team).map(|t| t.lines.clone());
            let numbers = lines.unwrap_or_default().into_iter();
            numbers.map(|l| l.number).collect::<Vec<_>>()
        });
        let mut players = roster.get().unwrap_or_default();
        players.retain(|p| !on_card.contains(&p.shirt.to_string()));
        players
    };
    let take = move |player: Player| {
        let empty = draft.with_untracked(|d| {
            let lines = d
                .teams
                .get(team)
                .map(|t| t.lines.clone())
                .unwrap_or_default();
            let at = focused.get_untracked();
            let free = |l: &Line| l.number.trim().is_empty();
            let here = lines.get(at).is_some_and(free).then_some(at);
            here.or_else(|| lines.iter().position(free))
        });
        let Some(at) = empty else { return };
        change(at, &|l| {
            l.number = player.shirt.to_string();
            l.name.clone_from(&player.name);
            l.gender = player
                .gender
                .map(|g| if g == Gender::Female { 'F' } else { 'M' });
        });
        // The next line; no keyboard is asked for.
        focused.set((at + 1).min(count.saturating_sub(1)));
    };
    let buttons = move || {
        let players = left().into_iter().map(|p| {
            let (shirt, name) = (p.shirt.to_string(), p.name.clone());
            view! {
                <button type="button" class="btn" on:click=move |_| take(p.clone())>
                    <b>{shirt}</b>" "<span>{name}</span>
                </button>
            }
        });
        players.collect_view()
    };
    view! {
        {again}
        <Show when=move || !left().is_empty()>
            <section class="stack-tight" aria-label="Roster">
                <h2>"Roster: tap in batting order"</h2>
                <div class="roster">{buttons}</div>
            </section>
        </Show>
        <section class="stack-tight" aria-label="Numbers">
            <h2>"Hitters in batting order"</h2>
            <ol class="tiles">{(0..HITTERS).map(tile).collect_view()}</ol>
            <h2>"Reserves"</h2>
            <ol class="tiles">{(HITTERS..count).map(tile).collect_view()}</ol>
        </section>
        <div id="objections" role="alert">
            {move || objections().into_iter().chain(suspended.get()).map(|o| view! { <p class="objection">{o}</p> }).collect_view()}
        </div>
        <details>
            <summary class="btn wide">"Names and positions, if wanted"</summary>
            <ol class="details">{(0..count).map(details).collect_view()}</ol>
        </details>
    }
}

const fn gender_word(gender: Option<char>) -> &'static str {
    match gender {
        Some('F') => "woman",
        Some(_) => "man",
        None => "not said",
    }
}

/// Who is home: a coin on this phone, or as agreed.
#[component]
fn Toss(draft: RwSignal<Draft>) -> impl IntoView {
    let toss = move |_| {
        let Ok([byte]) = device::random_bytes::<1>() else {
            return;
        };
        draft.update(|d| {
            d.home = Some(usize::from(byte & 1));
            (d.coin, d.by_schedule) = (true, false);
        });
    };
    let name = move |at: usize| {
        draft.with(|d| d.teams.get(at).map(|t| t.name.clone()).unwrap_or_default())
    };
    let said = move || {
        let home = draft.with(|d| d.home)?;
        let how = match draft.with(|d| (d.coin, d.by_schedule)) {
            (true, _) => "The coin says: ",
            (_, true) => "The schedule says: ",
            _ => "",
        };
        Some(format!(
            "{how}{} are home and field first; {} bat first.",
            name(home),
            name(1 - home.min(1))
        ))
    };
    view! {
        <section class="section" aria-label="Who is home">
            <h2>"Who is home?"</h2>
            <p>"The home side fields first."</p>
            <button type="button" class="btn big wide" on:click=toss>"Toss a coin here"</button>
            <p class="soft">"Or, as agreed:"</p>
            <div class="ways two">
                {[0, 1].map(|at| view! {
                    <button type="button" class="btn" aria-pressed=move || draft.with(|d| d.home == Some(at)).to_string()
                        on:click=move |_| draft.update(|d| {
                            // The schedule's word stays while it is the same.
                            d.by_schedule &= d.home == Some(at);
                            (d.home, d.coin) = (Some(at), false);
                        })>
                        {move || format!("{} home", name(at))}
                    </button>
                }).collect_view()}
            </div>
            <p class="strong" role="status">{said}</p>
        </section>
    }
}
