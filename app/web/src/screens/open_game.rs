//! The game that a screen is about: opened by its address, and written to.

use std::time::Duration;

use engine::log::{Body, Event, entry_number};
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_query_map;

use crate::device;
use crate::parts::{Message, Page, Tone, TroubleMessage};
use crate::state::{AppState, NotRecorded, Reach, ShownGame, app_state};
use crate::store::Trouble;

/// How long a screen says that something is kept before it takes the next: the second tap of a double
/// tap must not record the next batter's default, nor answer what took the button's place.
const KEPT: Duration = Duration::from_millis(250);

/// The game named in the address, opened and folded; `None` while it is read.
pub fn opened_book(trouble: RwSignal<Option<Trouble>>) -> RwSignal<Option<ShownGame>> {
    let app = app_state();
    let query = use_query_map();
    let id = Memo::new(move |_| query.with(|q| q.get("game")).unwrap_or_default());
    Effect::new(move |_| {
        if app.reach.get() != Reach::Ready {
            return;
        }
        let game = id.get();
        let there = app
            .open
            .with_untracked(|o| o.as_ref().is_some_and(|o| o.listed.game == game));
        if !there {
            spawn_local(async move { trouble.set(app.open(game, false).await.err()) });
        }
    });
    app.open
}

/// In place of a game that is not open yet, not here, or cannot be read.
pub fn unreadable(
    shown: Option<&ShownGame>,
    trouble: RwSignal<Option<Trouble>>,
) -> impl IntoView + use<> {
    let broken = shown.and_then(|s| s.book.as_ref().err().cloned());
    let opening = broken.is_none();
    let broken = broken.map(|b| {
        let found: Vec<_> = b
            .damaged
            .iter()
            .map(|d| view! { <li>{format!("Entry {}, {} bytes: {}", entry_number(d.seq), d.bytes.len(), d.why)}</li> })
            .collect();
        view! {
            <Message tone=Tone::Bad what=format!("This game cannot be read. {}", b.why)
                next="What was found is kept as it is; nothing is deleted.".to_string()/>
            <ul class="stack-tight small">{found}</ul>
        }
    });
    view! {
        <Page title="Game" back="/">
            {broken}
            <TroubleMessage trouble=trouble/>
            <Show when=move || opening && trouble.get().is_none()>
                <p role="status">"Opening the game…"</p>
            </Show>
        </Page>
    }
}

/// What a screen with an open game needs to record something.
#[derive(Clone, Copy)]
pub struct Recording {
    app: AppState,
    /// What went wrong with the last attempt.
    pub failed: RwSignal<Option<(String, String)>>,
    /// Something was kept a moment ago: what is asked for meanwhile is a finger's second tap.
    pub kept: RwSignal<bool>,
}

impl Recording {
    /// For the open game.
    pub fn new() -> Self {
        Self {
            app: app_state(),
            failed: RwSignal::new(None),
            kept: RwSignal::new(false),
        }
    }

    /// Records an event; `then` runs when it is kept.
    pub fn record(self, event: Event, then: impl FnOnce() + 'static) {
        self.record_body(Body::Event(event), then);
    }

    /// Records anything that a log says; `then` runs when it is kept, unless the screen was left
    /// meanwhile.
    pub fn record_body(self, body: Body, then: impl FnOnce() + 'static) {
        self.record_all(vec![body], then);
    }

    /// Records several things together, all or none, as [`Self::record_body`].
    pub fn record_all(self, bodies: Vec<Body>, then: impl FnOnce() + 'static) {
        if self.kept.get_untracked() {
            return;
        }
        let app = self.app;
        spawn_local(async move {
            let done = app.record_all(bodies).await;
            let ticks = app.settings.with_untracked(|s| s.tick);
            match done {
                Ok(()) => {
                    if ticks {
                        device::tick();
                    }
                    if self.failed.try_set(None).is_none() {
                        self.hold_off();
                        then();
                    }
                }
                Err(NotRecorded::Busy) => {}
                Err(why) => {
                    if ticks {
                        device::double_tick();
                    }
                    self.failed.try_set(Some(why.says()));
                }
            }
        });
    }

    fn hold_off(self) {
        self.kept.set(true);
        let over = move || {
            self.kept.try_set(false);
        };
        set_timeout(over, KEPT);
    }
}
