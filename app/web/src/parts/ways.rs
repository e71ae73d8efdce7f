//! The sheet that says more about a fate: how, where, and what then.

use engine::game::Game;
use engine::play::{
    Advance, Base, BatterFate, Call, Continuation, Goal, PutOut, Reach, RunnerFate, TrailingOut,
    act_sentence,
};
use leptos::prelude::*;

use super::lanes::{Person, with_batter};
use super::rise::Rise;

/// A word for what took a runner forward; none for the hit itself.
pub const fn advance_word(on: Advance) -> &'static str {
    match on {
        Advance::Hit => "",
        Advance::Throw => "throw",
        Advance::Error => "error",
        Advance::Award => "given",
    }
}

const ADVANCES: [(Advance, &str); 4] = [
    (Advance::Hit, "on the hit"),
    (Advance::Error, "on a fielder's error"),
    (Advance::Throw, "on a throw out of play"),
    (Advance::Award, "given by the umpire"),
];

const REACHES: [(Reach, &str); 4] = [
    (Reach::Hit, "a clean hit"),
    (Reach::Error, "a fielder's error"),
    (Reach::Choice, "fielder's choice"),
    (Reach::Award, "given by the umpire"),
];

/// A way of being out in a few words.
fn way_words(fate: RunnerFate) -> String {
    match fate {
        RunnerFate::Holds => "stays".into(),
        RunnerFate::To {
            goal, then: None, ..
        } => format!("to {goal}"),
        RunnerFate::To {
            then: Some(Continuation::Out(then)),
            ..
        } => trailing_words(then),
        RunnerFate::To {
            then: Some(Continuation::Base(then)),
            ..
        } => format!("to {} {}", then.to, advance_word(then.on)),
        RunnerFate::Out { at: Some(at), how } => format!("{} at {at}", how_long(how)),
        RunnerFate::Out { at: None, how } => how_long(how).to_string(),
    }
}

fn trailing_words(then: TrailingOut) -> String {
    match then.how {
        PutOut::Tagged => format!("tagged at {}", then.at),
        how => how_long(how).to_string(),
    }
}

const fn how_long(how: PutOut) -> &'static str {
    match how {
        PutOut::Forced => "forced",
        PutOut::Tagged => "tagged",
        PutOut::LeftEarly => "left before the hit",
        PutOut::NotBack => "did not go back",
        PutOut::Passed => "passed a team-mate",
        PutOut::Shared => "two on one base",
        PutOut::Collision => "avoidable collision",
        PutOut::Interference => "in the way of the play",
        PutOut::Other => "another ruling",
        PutOut::Missed => "missed the base",
    }
}

/// The sheet for one person of the call.
#[component]
pub fn Ways(
    /// The game before the play.
    game: Signal<Game>,
    /// The call being made.
    call: RwSignal<Call>,
    /// Whose fate.
    person: RwSignal<Person>,
    /// Whether the sheet is up.
    open: RwSignal<bool>,
) -> impl IntoView {
    let title = move || {
        let who = game.with(|g| match person.get() {
            Person::Batter => g.due(),
            Person::On(base) => g.bases()[base].map_or_else(|| g.due(), |r| r.shirt),
        });
        let batter = call.with(|c| c.batter);
        match (person.get(), batter) {
            (Person::Batter, BatterFate::Illegal(_)) => format!("Why is {who}'s hit illegal?"),
            (Person::Batter, BatterFate::Safe { at, .. }) => {
                format!("{who} is safe {}. How?", at_words(at))
            }
            (Person::Batter, _) => format!("{who} is out"),
            (Person::On(_), _) => format!("What became of {who}?"),
        }
    };
    view! {
        <Rise open=open title=Signal::derive(title) close="as it is">
            {move || match person.get() {
                Person::Batter => view! { <BatterWays game=game call=call open=open/> }.into_any(),
                Person::On(base) => view! { <RunnerWays game=game call=call base=base open=open/> }.into_any(),
            }}
        </Rise>
    }
}

fn at_words(goal: Goal) -> String {
    if goal == Goal::Home {
        "home".into()
    } else {
        format!("at {goal}")
    }
}

#[component]
fn BatterWays(game: Signal<Game>, call: RwSignal<Call>, open: RwSignal<bool>) -> impl IntoView {
    let now = move || call.with(|c| c.batter);
    let choice = move |fate: BatterFate, words: String, class: &'static str| {
        let lit = move || now() == fate;
        let next = game.with(|g| call.with(|c| with_batter(g, c, fate)));
        game.with(|g| g.fits(&next)).then(|| {
            let choose = move |_| {
                call.set(next.clone());
                open.set(false);
            };
            view! {
                <button type="button" class=class aria-pressed=move || lit().to_string()
                    on:click=choose>{words}</button>
            }
        })
    };
    move || match now() {
        BatterFate::Illegal(_) => {
            let acts: Vec<_> = game
                .with(Game::illegal_acts)
                .into_iter()
                .map(|act| (BatterFate::Illegal(act), act_sentence(act).to_string()))
                .map(|(fate, words)| choice(fate, words, "btn out big"))
                .collect();
            view! { <div class="ways two">{acts}</div> }.into_any()
        }
        BatterFate::Safe { at, on, .. } => {
            let allowed = game.with(Game::reaches);
            let hows: Vec<_> = REACHES
                .into_iter()
                .filter(|(on, _)| allowed.contains(on))
                .map(|(on, words)| (BatterFate::Safe { at, on, then: None }, words.to_string()))
                .map(|(fate, words)| choice(fate, words, "btn safe"))
                .collect();
            let outs: Vec<_> = Game::ways_out_after(at)
                .into_iter()
                .map(|then| {
                    (
                        BatterFate::Safe {
                            at,
                            on,
                            then: Some(Continuation::Out(then)),
                        },
                        trailing_words(then),
                    )
                })
                .map(|(fate, words)| choice(fate, words, "btn out"))
                .collect();
            view! {
                <div class="ways three">{hows}</div>
                {(at != Goal::Home).then(|| view! {
                    <h3>"Then out, trying for more"</h3>
                    <div class="ways three">{outs}</div>
                })}
            }
            .into_any()
        }
        BatterFate::OutBeforeFirst(_) | BatterFate::Caught | BatterFate::NoHit => ().into_any(),
    }
}

#[component]
fn RunnerWays(
    game: Signal<Game>,
    call: RwSignal<Call>,
    base: Base,
    open: RwSignal<bool>,
) -> impl IntoView {
    let now = move || call.with(|c| c.runners()[base]);
    let choice = move |fate: RunnerFate, words: String, class: &'static str| {
        let lit = move || now() == Some(fate);
        let choose = move |_| {
            call.update(|c| {
                c.home_first = None;
                c.set_runner(base, Some(fate));
            });
            open.set(false);
        };
        view! {
            <button type="button" class=class aria-pressed=move || lit().to_string()
                on:click=choose>{words}</button>
        }
    };
    // Where the runner has got to safely, as the lane stands.
    let reached = move || match game.with(|g| call.with(|c| super::lanes::standing(g, c, base))) {
        Some(RunnerFate::To { goal, on, .. }) => Some((goal, on)),
        _ => None,
    };
    let outs = move || {
        game.with(|g| call.with(|c| g.ways_out(c, base)))
            .into_iter()
            .map(|fate| choice(fate, way_words(fate), "btn out"))
            .collect_view()
    };
    let safe = move |(goal, on): (Goal, Advance)| {
        let advances = ADVANCES.map(|(on, words)| {
            choice(
                RunnerFate::To {
                    goal,
                    on,
                    then: None,
                },
                words.to_string(),
                "btn",
            )
        });
        let then: Vec<_> = Game::ways_out_after(goal)
            .into_iter()
            .map(|then| {
                (
                    RunnerFate::To {
                        goal,
                        on,
                        then: Some(Continuation::Out(then)),
                    },
                    trailing_words(then),
                )
            })
            .map(|(fate, words)| choice(fate, words, "btn out"))
            .collect();
        view! {
            <h3>{format!("To {goal}")}</h3>
            <div class="ways two">{advances.collect_view()}</div>
            {(goal != Goal::Home).then(|| view! {
                <h3>{format!("Safe at {goal}, then out")}</h3>
                <div class="ways three">{then}</div>
            })}
        }
    };
    view! {
        {move || reached().map(safe)}
        <h3>"Out"</h3>
        <div class="ways three">{outs}</div>
    }
}
