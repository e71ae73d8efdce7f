//! Live scoreboards: server-sent events (HTML standard, section 9.2).

use std::convert::Infallible;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use axum::Extension;
use axum::extract::{Path, State};
use axum::response::Sse;
use axum::response::sse::{Event, KeepAlive};
use engine::report::GameReport;
use engine::report::publish::json::Game;
use futures_util::{Stream, stream};
use tokio::sync::broadcast::error::RecvError;

use super::Sender;
use super::{App, RequestError};
use crate::collector::{Collector, HeldEvent};
use crate::event::EventId;
use crate::share::Share;

/// Counts a scoreboard for as long as it is open.
struct Seat {
    app: Arc<Collector>,
    /// Stays in memory meanwhile.
    _event: Arc<HeldEvent>,
    /// Given back when it is left.
    _place: Share,
}

impl Seat {
    fn take(app: &App, event: Arc<HeldEvent>, Sender(who): Sender) -> Option<Self> {
        let place = app.seats.take(who, 1)?;
        app.metrics.live.fetch_add(1, Ordering::Relaxed);
        Some(Self {
            app: app.clone(),
            _event: event,
            _place: place,
        })
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        self.app.metrics.live.fetch_sub(1, Ordering::Relaxed);
    }
}

/// `GET`: a `game` event with the game's summary each time one changes; first
/// one `game` event for each game that is there.
pub async fn live(
    State(app): State<App>,
    Path(event): Path<String>,
    Extension(sender): Extension<Sender>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, RequestError> {
    let event: EventId = event.parse().map_err(|()| RequestError::BadAddress)?;
    let changes = app.changes();
    let stopping = app.stopping();
    app.view(event).await?;
    let held = app.load(event).await?.ok_or(RequestError::NotFound)?;
    let seat = Seat::take(&app, held, sender).ok_or(RequestError::TooMany(60))?;
    // How many games were told at first: nothing else is held for a reader who
    // does not read. One that comes in between is heard of as a change.
    let state = (app, changes, stopping, seat, Some(0));
    let stream = stream::unfold(state, move |mut state| async move {
        let (app, changes, stopping, _, first) = &mut state;
        if let Some(at) = *first {
            let view = app.view(event).await.ok()?;
            if let Some(game) = view.games().get(at) {
                *first = Some(at + 1);
                return Some((Ok(told(game)), state));
            }
            *first = None;
        }
        let next = loop {
            if *stopping.borrow() {
                return None;
            }
            let change = tokio::select! {
                _ = stopping.changed() => return None,
                change = changes.recv() => change,
            };
            match change {
                Ok(change) if change.event == event => {
                    let Some(game) = change.game else {
                        break again();
                    };
                    let view = app.view(event).await.ok()?;
                    if let Some(game) = view.game(game) {
                        break told(game);
                    }
                }
                Ok(_) => {}
                // Too slow to hear all.
                Err(RecvError::Lagged(_)) => break again(),
                Err(RecvError::Closed) => return None,
            }
        };
        Some((Ok(next), state))
    });
    Ok(Sse::new(stream).keep_alive(KeepAlive::new().interval(Duration::from_secs(15))))
}

/// Asks the page to load again.
fn again() -> Event {
    Event::default().event("again").data("{}")
}

fn told(report: &GameReport) -> Event {
    let data = serde_json::to_string(&Game::from(report));
    // Never refused: no map with other keys than texts is in it.
    Event::default()
        .event("game")
        .data(data.unwrap_or_default())
}
