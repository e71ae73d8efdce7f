//! The sheet that says more about a fate: how, where, and what then.

use engine::game::{BatterChoice, Draft, Game, RunnerChoice};
use engine::play::{
    Advance, Base, BatterFate, Continuation, Goal, PutOut, Reach, RunnerFate, TrailingOut,
};
use leptos::prelude::*;

use super::bottom_sheet::BottomSheet;

/// A person in jeopardy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Person {
    /// The batter.
    Batter,
    /// The runner on a base.
    On(Base),
}

const ADVANCES: [Advance; 4] = [Advance::Hit, Advance::Error, Advance::Throw, Advance::Award];

/// The batter's fate in a few words.
pub fn batter_words(fate: BatterFate) -> String {
    match fate {
        BatterFate::Safe { at, on, then } => {
            let on = match on {
                Reach::Hit => String::new(),
                on => format!(", {}", on.choice()),
            };
            let then = then.map(|then| format!(", then {}", then_words(then)));
            format!("safe {}{on}{}", at_words(at), then.unwrap_or_default())
        }
        BatterFate::OutBeforeFirst(how) => format!("out, {}", how.choice()),
        BatterFate::Caught => "caught".into(),
        BatterFate::Illegal(act) => format!("out, {}", act.sentence()),
        BatterFate::NoHit => "no hit".into(),
    }
}

/// A runner's fate in a few words.
pub fn fate_words(fate: RunnerFate) -> String {
    match fate {
        RunnerFate::Holds => "stays".into(),
        RunnerFate::To { goal, on, then } => {
            let on = match on {
                Advance::Hit => String::new(),
                on => format!(" {}", on.choice()),
            };
            let then = then.map(|then| format!(", then {}", then_words(then)));
            format!("to {goal}{on}{}", then.unwrap_or_default())
        }
        RunnerFate::Out { at: Some(at), how } => format!("{} at {at}", how.choice()),
        RunnerFate::Out { at: None, how } => how.choice().to_string(),
    }
}

fn then_words(then: Continuation) -> String {
    match then {
        Continuation::Out(out) => trailing_words(out),
        Continuation::Base(further) => format!("{} {}", further.to, further.on.choice()),
    }
}

fn trailing_words(then: TrailingOut) -> String {
    match then.how {
        PutOut::Tagged | PutOut::Missed => format!("{} at {}", then.how.choice(), then.at),
        how => how.choice().to_string(),
    }
}

/// The sheet for one person of the call.
#[component]
pub fn FateSheet(
    /// The game before the play.
    game: Signal<Game>,
    /// The call being made.
    draft: RwSignal<Draft>,
    /// Whose fate.
    person: RwSignal<Person>,
    /// Whether the sheet is up.
    open: RwSignal<bool>,
) -> impl IntoView {
    let title = move || {
        let due = || {
            draft
                .with(|d| d.hitter)
                .unwrap_or_else(|| game.with(Game::due))
        };
        match (person.get(), draft.with(Draft::batter)) {
            (Person::Batter, BatterFate::Illegal(_)) => format!("Why is {}'s hit illegal?", due()),
            (Person::Batter, BatterFate::Safe { at, .. }) => {
                format!("{} is safe {}. How?", due(), at_words(at))
            }
            (Person::Batter, BatterFate::NoHit) => format!("{} did not hit", due()),
            (Person::Batter, _) => format!("{} is out. How?", due()),
            (Person::On(base), _) => {
                let who = game.with(|g| g.bases()[base].map_or_else(due, |r| r.shirt));
                format!("What became of {who}?")
            }
        }
    };
    view! {
        <BottomSheet open=open title=Signal::derive(title) close="Back to the play">
            {move || match person.get() {
                Person::Batter => view! { <BatterFates game=game draft=draft open=open/> }.into_any(),
                Person::On(base) => view! { <RunnerFates game=game draft=draft base=base open=open/> }.into_any(),
            }}
        </BottomSheet>
    }
}

fn at_words(goal: Goal) -> String {
    if goal == Goal::Home {
        "home".into()
    } else {
        format!("at {goal}")
    }
}

/// What may follow, further bases and outs apart.
fn parts(all: Vec<Continuation>) -> (Vec<Continuation>, Vec<Continuation>) {
    all.into_iter().partition(|then| then.base().is_some())
}

/// A group of choices under a heading, when there are any.
fn group(
    heading: String,
    class: &'static str,
    choices: Vec<impl IntoView + 'static>,
) -> impl IntoView {
    (!choices.is_empty()).then(|| {
        view! { <h3>{heading}</h3> <div class=class>{choices}</div> }
    })
}

#[component]
fn BatterFates(game: Signal<Game>, draft: RwSignal<Draft>, open: RwSignal<bool>) -> impl IntoView {
    let now = move || draft.with(Draft::batter);
    let choice = move |fate: BatterFate, words: String, class: &'static str| {
        let lit = move || (now() == fate).to_string();
        let choose = move |_| {
            draft.update(|d| d.set_batter(fate));
            open.set(false);
        };
        view! { <button type="button" class=class aria-pressed=lit on:click=choose>{words}</button> }
    };
    let ways = move || match now() {
        BatterFate::Illegal(_) => {
            let acts = game.with(Game::illegal_acts).into_iter();
            let acts = acts.map(|act| {
                choice(
                    BatterFate::Illegal(act),
                    act.sentence().into(),
                    "btn out big",
                )
            });
            view! { <div class="ways two">{acts.collect_view()}</div> }.into_any()
        }
        BatterFate::OutBeforeFirst(_) => {
            let hows = Game::ways_before_first();
            let hows = hows.map(|how| {
                choice(
                    BatterFate::OutBeforeFirst(how),
                    how.choice().into(),
                    "btn out",
                )
            });
            view! { <div class="ways two">{hows.collect_view()}</div> }.into_any()
        }
        BatterFate::Safe { at, on, then } => {
            let hows = game.with(Game::reaches).into_iter().map(|on| {
                let fate = BatterFate::Safe { at, on, then };
                choice(fate, on.choice().into(), "btn safe")
            });
            let all = game.with(|g| draft.with(|d| d.continuations(g, None)));
            let (bases, outs) = parts(all);
            let follows = |all: Vec<Continuation>, class: &'static str| {
                let one = |then| {
                    choice(
                        BatterFate::Safe {
                            at,
                            on,
                            then: Some(then),
                        },
                        then_words(then),
                        class,
                    )
                };
                all.into_iter().map(one).collect::<Vec<_>>()
            };
            view! {
                <div class="ways two">{hows.collect_view()}</div>
                {group("Then on to".into(), "ways three", follows(bases, "btn"))}
                {group("Then out".into(), "ways three", follows(outs, "btn out"))}
            }
            .into_any()
        }
        BatterFate::Caught | BatterFate::NoHit => ().into_any(),
    };
    let no_hit = move |_| {
        draft.update(|d| d.choose_batter(BatterChoice::NoHit));
        open.set(false);
    };
    view! {
        {ways}
        <h3>"No ball in play"</h3>
        <div class="ways">
            <button type="button" class="btn" on:click=no_hit
                aria-pressed=move || (now() == BatterFate::NoHit).to_string()>
                "no hit: the umpire stopped play"
            </button>
        </div>
    }
}

#[component]
fn RunnerFates(
    game: Signal<Game>,
    draft: RwSignal<Draft>,
    base: Base,
    open: RwSignal<bool>,
) -> impl IntoView {
    // As the lane stands: chosen, or what the play makes of it.
    let now = move || game.with(|g| draft.with(|d| d.runner(g, base)));
    let choice = move |fate: RunnerFate, words: String, class: &'static str| {
        let lit = move || (now() == Some(fate)).to_string();
        let choose = move |_| {
            draft.update(|d| d.choose_runner(base, RunnerChoice::Exactly(fate)));
            open.set(false);
        };
        view! { <button type="button" class=class aria-pressed=lit on:click=choose>{words}</button> }
    };
    let outs = move || {
        let ways = game
            .with(|g| draft.with(|d| d.ways_out(g, base)))
            .into_iter();
        let ways = ways.map(|fate| choice(fate, fate_words(fate), "btn out"));
        group("Out".into(), "ways three", ways.collect())
    };
    // Where the runner has got to safely, and what then.
    let safe = move || {
        let Some(RunnerFate::To { goal, on, then }) = now() else {
            return None;
        };
        let advances =
            ADVANCES.map(|on| choice(RunnerFate::To { goal, on, then }, on.choice().into(), "btn"));
        let all = game.with(|g| draft.with(|d| d.continuations(g, Some(base))));
        let (bases, outs) = parts(all);
        let follows = |all: Vec<Continuation>, class: &'static str| {
            let one = |then| {
                choice(
                    RunnerFate::To {
                        goal,
                        on,
                        then: Some(then),
                    },
                    then_words(then),
                    class,
                )
            };
            all.into_iter().map(one).collect::<Vec<_>>()
        };
        Some(view! {
            {group(format!("To {goal}"), "ways two", advances.into())}
            {group(format!("To {goal}, then on to"), "ways three", follows(bases, "btn"))}
            {group(format!("To {goal}, then out"), "ways three", follows(outs, "btn out"))}
        })
    };
    view! {
        {safe}
        {outs}
    }
}
