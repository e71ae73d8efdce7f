//! What takes the place of the lanes: change of sides, a stop, the end. The
//! bottom row is that of the lanes: undo, the next thing to do, more.

use engine::court::care::HoldState;
use engine::game::{Ending, Game, Hold, Notice};
use engine::log::Event;
use engine::team::Side;
use leptos::html::H2;
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::Recording;
use super::code::{Answers, CodeNow, code_now};
use crate::parts::{A, Message, ThunderClock, Tone, begins_here, hold_now};
use crate::screens::care::{open_stop, tell_log};
use crate::state::{Access, ShownGame, app_state};
use crate::store::Trouble;
use crate::words;

fn game_id() -> String {
    let id = |o: &Option<ShownGame>| o.as_ref().map(|o| o.listed.game.clone());
    app_state().open.with_untracked(id).unwrap_or_default()
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

/// The frame of a panel: what it says scrolls where it must, what to do stays.
#[component]
fn Frame(
    #[prop(into)] title: Signal<String>,
    recording: Recording,
    undo: Callback<()>,
    more: Callback<()>,
    /// Rows of buttons above the last.
    #[prop(optional, into)]
    rows: ViewFn,
    /// What stands where Record stood.
    #[prop(into)]
    main: ViewFn,
    children: Children,
) -> impl IntoView {
    let heading = NodeRef::<H2>::new();
    begins_here(heading);
    view! {
        <div class="panel rest">
            <div class="panel-in" tabindex="0">
                <h2 node_ref=heading tabindex="-1">{title}</h2>
                <Failed recording=recording/>
                {children()}
            </div>
            {rows.run()}
            <div class="confirm" role="group" aria-label="Go on">
                <button type="button" class="btn" on:click=move |_| undo.run(())>"Undo last"</button>
                {main.run()}
                <button type="button" class="btn" on:click=move |_| more.run(())>"More"</button>
            </div>
        </div>
    }
}

/// Three out: what the turn brought, and who bats now.
#[component]
pub fn SidesChange(
    book: RwSignal<Option<ShownGame>>,
    recording: Recording,
    undo: Callback<()>,
    more: Callback<()>,
) -> impl IntoView {
    let said = move || {
        book.with(|b| match b {
            Some(ShownGame { book: Ok(book), .. }) => {
                Some((words::half(book), words::up_next(book.game())))
            }
            _ => None,
        })
    };
    let now = code_now(book);
    let answers = Answers::new(now, recording, None);
    view! {
        <Frame title="Change sides" recording=recording undo=undo more=more
            rows=move || answers.others() main=move || answers.same()>
            {move || said().map(|(half, next)| view! { <p>{half}</p> <p class="strong">{next}</p> })}
            <CodeNow now=now/>
        </Frame>
    }
}

/// The batter due stands on a base: who runs for them?
#[component]
pub fn CourtesyRunner(
    game: Signal<Game>,
    recording: Recording,
    undo: Callback<()>,
    more: Callback<()>,
) -> impl IntoView {
    let who = move || {
        let runners = game.with(|g| {
            let one = |by| (by, words::player(g, g.at_bat(), by));
            g.courtesy_runners()
                .into_iter()
                .map(one)
                .collect::<Vec<_>>()
        });
        let one = |(by, name)| {
            let event = Event::Notice(Notice::CourtesyRunner { by });
            view! {
                <button type="button" class="btn big"
                    on:click=move |_| recording.record(event.clone(), || {})>{name}</button>
            }
        };
        view! { <div class="ways two">{runners.into_iter().map(one).collect_view()}</div> }
    };
    let rule = move || game.with(Game::courtesy_runner_sentence);
    let due = move || game.with(|g| g.due().get());
    let base = move || {
        let base = game.with(Game::base_of_due);
        base.map_or_else(String::new, |b| b.to_string())
    };
    let title = Signal::derive(move || format!("{} is due and on {}", due(), base()));
    view! {
        <Frame title=title recording=recording undo=undo more=more
            rows=who main=|| view! { <p class="aside">"Tap who runs."</p> }>
            <p>{move || format!("Who takes {} base for {}?", base(), due())}" "{rule}</p>
        </Frame>
    }
}

/// The game is stopped for a while.
#[component]
pub fn Held(
    game: Signal<Game>,
    recording: Recording,
    undo: Callback<()>,
    more: Callback<()>,
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
    let app = app_state();
    let heard = Callback::new(move |()| {
        spawn_local(async move {
            recording
                .failed
                .set(tell_log(app).await.err().map(|e| e.says()));
        });
    });
    let title = Signal::derive(move || format!("Stopped: {}", why().map_or("", Hold::reason)));
    let main = move || {
        view! {
            <button type="button" class="btn lit big" disabled=move || waits.get()
                on:click=move |_| recording.record(Event::Notice(Notice::Resume), || {})>
                {move || if waits.get() { "Wait for the 30 minutes" } else { "Go on playing" }}
            </button>
        }
    };
    view! {
        <Frame title=title recording=recording undo=undo more=more main=main>
            <p>{care}</p>
            <Show when=move || thunder.get()>
                <ThunderClock since=since heard=heard short=true/>
            </Show>
        </Frame>
    }
}

/// The game is over.
#[component]
pub fn Over(
    book: RwSignal<Option<ShownGame>>,
    recording: Recording,
    undo: Callback<()>,
    more: Callback<()>,
) -> impl IntoView {
    let said = move || {
        book.with(|b| match b {
            Some(ShownGame { book: Ok(book), .. }) => {
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
    let title = Signal::derive(move || said().map(|(result, _)| result).unwrap_or_default());
    let now = code_now(book);
    let answers = Answers::new(now, recording, None);
    // Until the codes are compared, that is the next thing to do.
    let compared = Memo::new(move |_| now.with(|n| n.as_ref().is_none_or(|n| n.answer.is_some())));
    let statement = |class: &'static str| {
        view! { <A href=format!("/statement?game={}", game_id()) attr:class=class>"Final statement"</A> }
    };
    let main = move || match compared.get() {
        true => statement("btn lit big").into_any(),
        false => answers.same().into_any(),
    };
    let suspended = Memo::new(move |_| {
        book.with(|b| {
            let ending = b
                .as_ref()
                .and_then(|b| b.book.as_ref().ok()?.game().ending());
            matches!(ending, Some(Ending::Suspended(_)))
        })
    });
    let rows = move || {
        view! {
            {move || suspended.get().then(|| view! {
                <div class="ways">
                    <button type="button" class="btn big"
                        on:click=move |_| recording.record(Event::Notice(Notice::Resume), || {})>"Play on"</button>
                </div>
            })}
            <div class="pair">
                <A href=format!("/story?game={}", game_id()) attr:class="btn">"Play by play"</A>
                {(!compared.get()).then(|| statement("btn"))}
            </div>
            {move || (!compared.get()).then(|| answers.others())}
        }
    };
    view! {
        <Frame title=title recording=recording undo=undo more=more
            rows=move || rows() main=move || view! { {main} }>
            <p>{move || said().map(|(_, ending)| ending)}</p>
            <CodeNow now=now/>
        </Frame>
    }
}

/// Before the first play: what the event's charter says against the game.
#[component]
pub fn Against(against: Memo<Vec<String>>, heard: RwSignal<bool>) -> impl IntoView {
    let list = move || {
        let all = against.get().into_iter();
        all.map(|o| view! { <p class="objection">{o}</p> })
            .collect_view()
    };
    view! {
        <div class="panel rest against">
            <h2>"Not as the charter says"</h2>
            <div class="stack-tight" role="alert" tabindex="0">{list}</div>
            <p>
                "Play all the same: it is recorded as it is, and the organiser sees it. Or go back and set the game up anew."
            </p>
            <button type="button" class="btn lit big wide" on:click=move |_| heard.set(true)>"Play all the same"</button>
            <A href="/" attr:class="btn wide">"Games on this phone"</A>
        </div>
    }
}

/// Shown in place of the lanes when this tab may not write.
#[component]
pub fn ReadOnly(#[prop(into)] damaged: Signal<bool>) -> impl IntoView {
    let app = app_state();
    let take = move |_| {
        let game = app
            .open
            .with_untracked(|o| o.as_ref().map(|o| o.listed.game.clone()));
        if let Some(game) = game {
            spawn_local(async move {
                // On failure the message below stays, and says why.
                let _ = app.open(game, true).await;
            });
        }
    };
    let id = move || {
        app.open
            .with(|o| o.as_ref().map(|o| o.listed.game.clone()))
            .unwrap_or_default()
    };
    view! {
        <div class="panel rest read-only">
            {move || if damaged.get() {
                view! {
                    <Message tone=Tone::Bad what=Trouble::Damaged.what() next=Trouble::Damaged.next().to_string()/>
                }.into_any()
            } else {
                match app.access.get() {
                    Access::Asking | Access::Here => view! { <p role="status">"Opening the game…"</p> }.into_any(),
                    Access::Elsewhere => view! {
                        <Message tone=Tone::Bad what=Trouble::SecondTab.what()
                            next="Here it can only be read. Go on there, or take over here.".to_string()>
                            <button type="button" class="btn lit" on:click=take>"Take over here"</button>
                        </Message>
                    }.into_any(),
                    Access::Lost => view! {
                        <Message tone=Tone::Bad what="Another tab took this game over.".to_string()
                            next="Here it can only be read. Everything recorded here is there.".to_string()>
                            <button type="button" class="btn lit" on:click=take>"Take it back"</button>
                        </Message>
                    }.into_any(),
                }
            }}
            <A href=move || format!("/story?game={}", id()) attr:class="btn wide">"Play by play"</A>
            <A href="/" attr:class="btn wide">"Games on this phone"</A>
        </div>
    }
}
