//! Results for programs: JSON, CSV (RFC 4180) and iCalendar (RFC 5545).

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use engine::log::GameId;
use engine::report::publish::json::WholeGame;
use serde::Serialize;

use super::{App, RequestError, json};
use crate::event::EventId;
use crate::hex;

fn with_type(kind: &'static str, body: String) -> Response {
    let headers = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    (headers, body).into_response()
}

fn as_json(value: &impl Serialize) -> Result<Response, RequestError> {
    let body = serde_json::to_string(value).map_err(|_| RequestError::Failed)?;
    Ok(with_type("application/json", body))
}

/// `GET`: the events served here.
pub async fn events(State(app): State<App>) -> Result<Response, RequestError> {
    let events = app.events();
    let list = events.shown().map(|id| json::Event::new(&events, id));
    as_json(&json::Events {
        events: list.collect(),
    })
}

/// `GET`: a game in full.
pub async fn game(
    State(app): State<App>,
    Path(game): Path<String>,
) -> Result<Response, RequestError> {
    let game = GameId(hex(&game).ok_or(RequestError::BadAddress)?);
    let event = app.find_game(game).await?.ok_or(RequestError::NotFound)?;
    let view = app.view(event.id).await?;
    let report = view.game(game).ok_or(RequestError::NotFound)?;
    as_json(&WholeGame::new(view.charter(), report))
}

/// `GET`: one file of an event's results.
pub async fn file(
    State(app): State<App>,
    Path((event, file)): Path<(String, String)>,
) -> Result<Response, RequestError> {
    let event: EventId = event.parse().map_err(|()| RequestError::BadAddress)?;
    let view = app.view(event).await?;
    if file == "event.json" {
        return as_json(&json::Event::new(&app.events(), event));
    }
    let found = view.published(|p| p.file(&file));
    let found = found.ok_or(RequestError::NotFound)?;
    Ok(with_type(found.kind, found.content))
}
