//! A lane for each person in jeopardy: the lead runner on top, the batter
//! nearest the thumb. What a tap means is laid out here; whether it fits is
//! asked of the engine.

use engine::game::{Fate, Game, PlayObjection};
use engine::play::{
    Base, BatterFate, Call, Continuation, Goal, IllegalAct, PutOut, Reach, RunnerFate,
};
use engine::team::Shirt;
use leptos::prelude::*;

use super::ways::Ways;
use crate::words;

/// A person in jeopardy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Person {
    /// The batter.
    Batter,
    /// The runner on a base.
    On(Base),
}

/// What the engine says of a call that is being made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It fits: what it does in a few words.
    Fits(String),
    /// One question is open.
    Asks(engine::game::ThirdOutQuestion),
    /// It does not fit.
    Refused(PlayObjection),
}

/// The call as it would be recorded: an answer to a question that is no longer
/// asked is dropped.
pub fn effective(game: &Game, call: &Call) -> Call {
    let mut call = call.clone();
    if call.home_first.is_some()
        && game
            .question(&Call {
                home_first: None,
                ..call.clone()
            })
            .is_none()
    {
        call.home_first = None;
    }
    call
}

/// Judges a call that is being made.
pub fn verdict(game: &Game, call: &Call) -> Verdict {
    let call = effective(game, call);
    match game.resolve(&call) {
        Ok(resolved) => Verdict::Fits(resolved.brief()),
        Err(PlayObjection::RunsUnanswered { .. }) => match game.question(&call) {
            Some(question) => Verdict::Asks(question),
            None => Verdict::Fits(String::new()),
        },
        Err(objection) => Verdict::Refused(objection),
    }
}

/// The fates that stand in the lanes now: named ones and defaults.
fn fates(game: &Game, call: &Call) -> (BatterFate, [Option<RunnerFate>; 3]) {
    let mut all = call.runners().0;
    let asked = Call {
        home_first: Some(0),
        ..call.clone()
    };
    let resolved = game
        .resolve(&effective(game, call))
        .or_else(|_| game.resolve(&asked));
    if let Ok(resolved) = resolved {
        for m in &resolved.movements {
            if let (Some(base), Fate::Runner(fate)) = (m.from, m.fate) {
                all[usize::from(base.number()) - 1] = Some(fate);
            }
        }
    }
    (call.batter, all)
}

/// The fate that stands in one lane.
pub fn standing(game: &Game, call: &Call, base: Base) -> Option<RunnerFate> {
    fate_of(&fates(game, call), base)
}

fn fate_of(fates: &(BatterFate, [Option<RunnerFate>; 3]), base: Base) -> Option<RunnerFate> {
    fates.1[usize::from(base.number()) - 1]
}

/// The call with another fate for the batter; runners' fates that no longer
/// fit with it go back to the default.
pub fn with_batter(game: &Game, call: &Call, batter: BatterFate) -> Call {
    let next = Call {
        batter,
        home_first: None,
        ..call.clone()
    };
    if game.fits(&next) {
        next
    } else {
        Call {
            first: None,
            second: None,
            third: None,
            ..next
        }
    }
}

/// A few words for how a runner was put out.
pub const fn how_word(how: PutOut) -> &'static str {
    match how {
        PutOut::Forced => "forced",
        PutOut::Tagged => "tagged",
        PutOut::LeftEarly => "left early",
        PutOut::NotBack => "not back",
        PutOut::Passed => "passed",
        PutOut::Shared => "shared",
        PutOut::Collision => "collided",
        PutOut::Interference => "in the way",
        PutOut::Other => "other",
        PutOut::Missed => "missed",
    }
}

const fn act_word(act: IllegalAct) -> &'static str {
    match act {
        IllegalAct::NoHitZone => "too short",
        IllegalAct::Foul => "foul",
        IllegalAct::Fence => "fence",
        IllegalAct::Box => "box",
        IllegalAct::Turn => "turn",
        IllegalAct::Other => "other",
    }
}

const fn reach_word(on: Reach) -> &'static str {
    match on {
        Reach::Hit => "",
        Reach::Error => "error",
        Reach::Choice => "choice",
        Reach::Award => "given",
    }
}

/// The lanes of a call. A tap chooses; a tap on what is chosen says more about it.
#[component]
pub fn Lanes(
    /// The game before the play.
    #[prop(into)]
    game: Signal<Game>,
    /// The call being made.
    call: RwSignal<Call>,
    /// Called when an out with nobody on base is tapped, to record at once.
    #[prop(into, optional)]
    quick: Option<Callback<()>>,
) -> impl IntoView {
    let asked = RwSignal::new(Person::Batter);
    let more = RwSignal::new(false);
    let fates = Memo::new(move |_| game.with(|g| call.with(|c| fates(g, c))));
    let ask = move |person: Person| {
        asked.set(person);
        more.set(true);
    };
    let runners = move || {
        game.with(|g| {
            Base::LEAD_FIRST
                .into_iter()
                .filter_map(|b| Some((b, g.bases()[b]?.shirt)))
                .collect::<Vec<_>>()
        })
    };
    view! {
        <For each=runners key=|r| *r let:runner>
            <RunnerLane game=game call=call base=runner.0 who=runner.1
                fate=Signal::derive(move || fates.with(|f| fate_of(f, runner.0)))
                ask=Callback::new(move |()| ask(Person::On(runner.0)))/>
        </For>
        <BatterLane game=game call=call quick=quick ask=Callback::new(move |()| ask(Person::Batter))/>
        <Ways game=game call=call person=asked open=more/>
    }
}

#[component]
fn RunnerLane(
    game: Signal<Game>,
    call: RwSignal<Call>,
    base: Base,
    who: Shirt,
    fate: Signal<Option<RunnerFate>>,
    ask: Callback<()>,
) -> impl IntoView {
    let name = game.with_untracked(|g| words::name(g, g.at_bat(), who));
    let label = format!("{who} on {base}");
    let place = if name.is_empty() {
        format!("on {base}")
    } else {
        format!("{base}, {name}")
    };
    let choose = move |wanted: RunnerFate| {
        call.update(|c| {
            c.home_first = None;
            c.set_runner(base, Some(wanted));
        });
    };
    let stays = move || matches!(fate.get(), Some(RunnerFate::Holds));
    let goals = Goal::ALL.into_iter().filter(move |g| *g > base.goal()).map(move |goal| {
        let lit = move || matches!(fate.get(), Some(RunnerFate::To { goal: g, then: None, .. }) if g == goal);
        let under = move || match fate.get() {
            Some(RunnerFate::To { goal: g, on, then: None }) if g == goal => super::ways::advance_word(on),
            _ => "",
        };
        let to = move || {
                let ways = game.with_untracked(|g| call.with_untracked(|c| g.ways_safe(c, base)));
                let there = |f: &RunnerFate| matches!(f, RunnerFate::To { goal: g, .. } if *g == goal);
                ways.into_iter().find(there).unwrap_or(RunnerFate::to(goal))
            };
            let tap = move |_| if lit() { ask.run(()) } else { choose(to()) };
        view! {
            <button type="button" class="btn" aria-pressed=move || lit().to_string() on:click=tap>
                <span class="words">{goal.to_string()}<Under text=Signal::derive(under)/></span>
            </button>
        }
    });
    let out_of = move || match fate.get() {
        Some(RunnerFate::Out { at, how }) => Some((at, how)),
        Some(RunnerFate::To {
            then: Some(Continuation::Out(then)),
            ..
        }) => Some((Some(then.at), then.how)),
        _ => None,
    };
    let out_words = move || match out_of() {
        Some((Some(at), _)) => format!("out at {at}"),
        _ => "out".into(),
    };
    let tap_out = move |_| {
        if out_of().is_some() {
            return ask.run(());
        }
        let ways = game.with_untracked(|g| call.with_untracked(|c| g.ways_out(c, base)));
        // Where none fits, the refusal of a tag says why.
        let tagged = RunnerFate::Out {
            at: Some(base.next()),
            how: PutOut::Tagged,
        };
        choose(ways.first().copied().unwrap_or(tagged));
    };
    view! {
        <div class="lane" role="group" aria-label=label>
            <div class="who">
                <b>{who.get()}</b>
                <span class="name">{place}</span>
            </div>
            <div class="row">
                <button type="button" class="btn" aria-pressed=move || stays().to_string()
                    on:click=move |_| choose(RunnerFate::Holds)>"stays"</button>
                {goals.collect_view()}
                <button type="button" class="btn out" aria-pressed=move || out_of().is_some().to_string()
                    on:click=tap_out>
                    <span class="words">
                        {out_words}
                        <Under text=Signal::derive(move || out_of().map_or("", |(_, how)| how_word(how)))/>
                    </span>
                </button>
            </div>
        </div>
    }
}

#[component]
fn BatterLane(
    game: Signal<Game>,
    call: RwSignal<Call>,
    quick: Option<Callback<()>>,
    ask: Callback<()>,
) -> impl IntoView {
    let batter = move || call.with(|c| c.batter);
    let choose = move |fate: BatterFate| {
        let next = game.with_untracked(|g| call.with_untracked(|c| with_batter(g, c, fate)));
        call.set(next);
    };
    let safe = Goal::ALL.into_iter().map(move |goal| {
        let lit = move || matches!(batter(), BatterFate::Safe { at, .. } if at == goal);
        let under = move || match batter() {
            BatterFate::Safe {
                at,
                then: Some(then), ..
            } if at == goal => match then {
                Continuation::Out(then) => format!("out at {}", then.at),
                Continuation::Base(then) => format!("then {}", then.to),
            },
            BatterFate::Safe { at, on, .. } if at == goal => reach_word(on).to_string(),
            _ => String::new(),
        };
        let tap = move |_| {
            if lit() {
                ask.run(())
            } else {
                choose(BatterFate::safe(goal))
            }
        };
        let first = if goal == Goal::First {
            "safe 1st".to_string()
        } else {
            goal.to_string()
        };
        // Said, not shown: the place of the button and its colour show it.
        let safe = match goal {
            Goal::First => "",
            Goal::Home => "safe ",
            Goal::Second | Goal::Third => "safe at ",
        };
        view! {
            <button type="button" class="btn safe" aria-pressed=move || lit().to_string() on:click=tap>
                <span class="words"><span class="unseen">{safe}</span>{first}<Under text=Signal::derive(under)/></span>
            </button>
        }
    });
    let out = move |fate: BatterFate, words: &'static str| {
        let lit = move || batter() == fate;
        let tap = move |_| {
            choose(fate);
            if let (Some(quick), true) = (quick, game.with_untracked(|g| g.on_base() == 0)) {
                quick.run(());
            }
        };
        view! {
            <button type="button" class="btn out" aria-pressed=move || lit().to_string() on:click=tap>
                {words}
            </button>
        }
    };
    let act = move || match batter() {
        BatterFate::Illegal(act) => Some(act),
        _ => None,
    };
    let due = move || game.with(|g| g.due().get());
    view! {
        <div class="lane batter" role="group" aria-label=move || format!("{} at bat", due())>
            <div class="who"><b>{due}</b>"hits"</div>
            <div class="calls">
                <div class="row">{safe.collect_view()}</div>
                <div class="row">
                    {out(BatterFate::OUT, "out before 1st")}
                    {out(BatterFate::Caught, "caught")}
                    <button type="button" class="btn out" aria-pressed=move || act().is_some().to_string()
                        on:click=move |_| {
                            if act().is_none() {
                                choose(BatterFate::Illegal(IllegalAct::NoHitZone));
                            }
                            ask.run(());
                        }>
                        <span class="words">
                            "illegal hit"
                            <Under text=Signal::derive(move || act().map_or("", act_word))/>
                        </span>
                    </button>
                </div>
            </div>
        </div>
    }
}

/// A second, smaller line in a button, when there is one.
#[component]
fn Under<T: AsRef<str> + Clone + Send + Sync + 'static>(text: Signal<T>) -> impl IntoView {
    move || {
        text.with(|t| {
            let t = t.as_ref();
            (!t.is_empty()).then(|| view! { <span class="under">{t.to_string()}</span> })
        })
    }
}

/// The one question a call can leave open, with its answers.
#[component]
pub fn HomeFirst(
    /// The game before the play.
    #[prop(into)]
    game: Signal<Game>,
    /// The call being made.
    call: RwSignal<Call>,
) -> impl IntoView {
    let question = Memo::new(move |_| {
        game.with(|g| {
            call.with(|c| {
                g.question(&Call {
                    home_first: None,
                    ..c.clone()
                })
            })
        })
    });
    move || {
        let question = question.get()?;
        let names: Vec<String> = question.who.iter().map(ToString::to_string).collect();
        let out = question.out;
        let asks = match names.as_slice() {
            [one] => format!("{out} makes the third out. Was {one} home first?"),
            _ => format!("{out} makes the third out. How many were home first?"),
        };
        let answer = move |n: usize, words: String, class: &'static str| {
            let n = u8::try_from(n).unwrap_or(u8::MAX);
            let lit = move || call.with(|c| c.home_first == Some(n));
            view! {
                <button type="button" class=class aria-pressed=move || lit().to_string()
                    on:click=move |_| call.update(|c| c.home_first = Some(n))>{words}</button>
            }
        };
        let none = if names.len() == 1 {
            "out first: no run".into()
        } else {
            "none: no run".to_string()
        };
        let some = (1..=names.len()).map(|n| {
            let words = match (names.len(), n) {
                (1, _) => "home first: run counts".to_string(),
                (_, 1) => format!("{}: 1 run", names[0]),
                _ => format!("{}: {n} runs", names[..n].join(", ")),
            };
            answer(n, words, "btn safe")
        });
        Some(view! {
            <div class="question" role="group" aria-label="Third out">
                <p>{asks}</p>
                <div class="row">{some.collect_view()}{answer(0, none, "btn out")}</div>
            </div>
        })
    }
}
