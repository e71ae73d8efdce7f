//! What takes the place of the lanes: change of sides, a stop, the end.

use crate::parts::A;
use engine::court::care::HoldState;
use engine::game::{Game, Hold, Notice};
use engine::log::Event;
use engine::team::Side;
use leptos::prelude::*;

use super::Recording;
use super::code::CheckCodes;
use crate::chalk::{Shown, chalk};
use crate::parts::{Message, ThunderClock, Tone, hold_now};
use crate::screens::care::{open_stop, tell_log};
use crate::words;

fn game_id() -> String {
    let id = |o: &Option<Shown>| o.as_ref().map(|o| o.listed.game.clone());
    chalk().open.with_untracked(id).unwrap_or_default()
}

#[component]
fn Failed(recording: Recording) -> impl IntoView {
    move || {
        recording
            .failed
            .get()
            .map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })
    }
}

/// Three out: what the turn brought, and who bats now.
#[component]
pub fn SidesChange(
    book: RwSignal<Option<Shown>>,
    recording: Recording,
    undo: Callback<()>,
    more: RwSignal<bool>,
) -> impl IntoView {
    let said = move || {
        book.with(|b| match b {
            Some(Shown { book: Ok(book), .. }) => {
                Some((words::half(book), words::up_next(book.game())))
            }
            _ => None,
        })
    };
    view! {
        <div class="panel rest">
            <h2>"Change sides"</h2>
            {move || said().map(|(half, next)| view! { <p>{half}</p> <p class="strong">{next}</p> })}
            <Failed recording=recording/>
            <CheckCodes book=book recording=recording>
                <div class="pair">
                    <button type="button" class="btn" on:click=move |_| undo.run(())>"undo last"</button>
                    <button type="button" class="btn" on:click=move |_| more.set(true)>"more"</button>
                </div>
            </CheckCodes>
        </div>
    }
}

/// The batter due stands on a base: who runs for them?
#[component]
pub fn StandIn(
    game: Signal<Game>,
    recording: Recording,
    undo: Callback<()>,
    more: RwSignal<bool>,
) -> impl IntoView {
    let who = move || {
        game.with(|g| {
            g.stand_ins()
                .into_iter()
                .map(|by| {
                    let event = Event::Notice(Notice::StandIn { by });
                    let name = words::player(g, g.at_bat(), by);
                    view! {
                        <button type="button" class="btn big"
                            on:click=move |_| recording.record(event.clone(), || {})>{name}</button>
                    }
                })
                .collect_view()
        })
    };
    let rule = move || game.with(Game::stand_in_sentence);
    let due = move || game.with(|g| g.due().get());
    let base = move || {
        let base = game.with(Game::base_of_due);
        base.map_or_else(String::new, |b| b.to_string())
    };
    view! {
        <div class="panel rest">
            <h2>{move || format!("{} is due and on {}", due(), base())}</h2>
            <p>{move || format!("Who takes {} base for {}?", base(), due())}" "{rule}</p>
            <Failed recording=recording/>
            <div class="ways two">{who}</div>
            <div class="pair">
                <button type="button" class="btn" on:click=move |_| undo.run(())>"undo last"</button>
                <button type="button" class="btn" on:click=move |_| more.set(true)>"more"</button>
            </div>
        </div>
    }
}

/// The game is stopped for a while.
#[component]
pub fn Held(
    game: Signal<Game>,
    recording: Recording,
    undo: Callback<()>,
    more: RwSignal<bool>,
) -> impl IntoView {
    let why = move || {
        game.with(|g| match g.stage() {
            engine::game::Stage::Held(why) => Some(why),
            _ => None,
        })
    };
    let since = open_stop();
    let left = hold_now(since);
    // The wait is the only thing that keeps the button off, whatever the game was stopped for first; a
    // clock never begun keeps nothing off.
    let waits = Memo::new(move |_| matches!(left.get(), HoldState::Holding { .. }));
    let thunder = Memo::new(move |_| waits.get() || why() == Some(Hold::Lightning));
    let care = move || match why() {
        _ if thunder.get() => {
            "Everyone into a large building or a car with a metal roof. Local rules and the people in charge decide."
        }
        Some(Hold::Heat) => {
            "Shade, water, rest. Go on only when the people in charge of the players' health say so."
        }
        Some(Hold::Weather) => {
            "Look at the ground before you go on: wet paint, metal and stone are slippery."
        }
        _ => "Go on when the reason is gone.",
    };
    let chalk = chalk();
    let heard = Callback::new(move |()| {
        leptos::task::spawn_local(async move {
            recording
                .failed
                .set(tell_log(chalk).await.err().map(|e| e.says()));
        });
    });
    view! {
        <div class="panel rest">
            <h2>{move || format!("Stopped: {}", why().map_or("", words::hold))}</h2>
            <p>{care}</p>
            <Failed recording=recording/>
            <Show when=move || thunder.get()>
                <ThunderClock since=since heard=heard short=true/>
            </Show>
            <div class="pair">
                <button type="button" class="btn" on:click=move |_| undo.run(())>"undo last"</button>
                <button type="button" class="btn" on:click=move |_| more.set(true)>"more"</button>
            </div>
            <button type="button" class="btn lit big wide" disabled=move || waits.get()
                on:click=move |_| recording.record(Event::Notice(Notice::Resume), || {})>
                {move || if waits.get() { "Wait for the 30 minutes" } else { "Go on playing" }}
            </button>
        </div>
    }
}

/// The game is over.
#[component]
pub fn Over(
    book: RwSignal<Option<Shown>>,
    recording: Recording,
    undo: Callback<()>,
) -> impl IntoView {
    let said = move || {
        book.with(|b| match b {
            Some(Shown { book: Ok(book), .. }) => {
                let game = book.game();
                let ending = game.ending().map(|e| e.to_string()).unwrap_or_default();
                let score = game.score();
                let result = match game.winner() {
                    Some(side) => format!(
                        "{} win {} to {}.",
                        words::team(game, side),
                        score[side],
                        score[side.other()]
                    ),
                    None => format!("{} all.", score[Side::Guest]),
                };
                Some((result, ending))
            }
            _ => None,
        })
    };
    // Until the codes are compared, that is the next thing to do.
    let compared = move || {
        book.with(|b| match b {
            Some(Shown { book: Ok(book), .. }) => book
                .check_code()
                .is_none_or(|(half, _)| book.checked(half).is_some()),
            _ => true,
        })
    };
    view! {
        <div class="panel rest">
            {move || said().map(|(result, ending)| view! { <h2>{result}</h2> <p>{ending}</p> })}
            <Failed recording=recording/>
            <CheckCodes book=book recording=recording>
                <div class="pair">
                    <button type="button" class="btn" on:click=move |_| undo.run(())>"undo last"</button>
                    {move || if compared() {
                        view! { <A href=format!("/story?game={}", game_id()) attr:class="btn">"story, amend"</A> }
                            .into_any()
                    } else {
                        view! { <A href=format!("/statement?game={}", game_id()) attr:class="btn">"Final statement"</A> }
                            .into_any()
                    }}
                </div>
            </CheckCodes>
            <Show when=compared>
                <A href=format!("/statement?game={}", game_id()) attr:class="btn lit big wide">"Final statement"</A>
            </Show>
        </div>
    }
}

/// Before the first play: what the event's charter says against the game.
#[component]
pub fn Against(against: Memo<Option<Vec<String>>>, heard: RwSignal<bool>) -> impl IntoView {
    let known = move || against.with(Option::is_some);
    let list = move || {
        let all = against.get().into_iter().flatten();
        all.map(|o| view! { <p class="objection">{o}</p> })
            .collect_view()
    };
    let title = move || match known() {
        true => "Not as the charter says",
        false => "Looking into the charter",
    };
    let next = move || match known() {
        true => {
            "Play all the same: it is recorded as it is, and the organiser sees it. Or go back and set the game up anew."
        }
        false => "It takes a moment. Nobody has to wait for it.",
    };
    view! {
        <div class="panel rest against">
            <h2>{title}</h2>
            <div class="stack-tight" role="alert" tabindex="0">{list}</div>
            <p>{next}</p>
            <button type="button" class="btn lit big wide" on:click=move |_| heard.set(true)>"Play all the same"</button>
            <A href="/" attr:class="btn wide">"games on this phone"</A>
        </div>
    }
}
