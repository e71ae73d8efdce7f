//! Results for programs: JSON, CSV (RFC 4180) and iCalendar (RFC 5545).

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use engine::log::GameId;
use engine::report::publish::whole_game_json;
use serde_json::Value;

use super::{App, Refused, json};
use crate::event::EventId;
use crate::hex;

fn with_type(kind: &'static str, body: String) -> Response {
    let headers = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    (headers, body).into_response()
}

fn as_json(value: &Value) -> Response {
    with_type("application/json", value.to_string())
}

/// `GET`: the events served here.
pub async fn events(State(app): State<App>) -> Response {
    let events = app.events();
    let list: Vec<Value> = events.ids().map(|id| json::event(&events, id)).collect();
    as_json(&serde_json::json!({ "events": list }))
}

/// `GET`: a game in full.
pub async fn game(State(app): State<App>, Path(game): Path<String>) -> Result<Response, Refused> {
    let game = GameId(hex(&game).ok_or(Refused::BadAddress)?);
    let event = app.event_of(game).ok_or(Refused::NotFound)?;
    let view = app.view(event).await?;
    let report = view.game(game).ok_or(Refused::NotFound)?;
    Ok(as_json(&whole_game_json(view.charter(), report)))
}

/// `GET`: one file of an event's results.
pub async fn file(
    State(app): State<App>,
    Path((event, file)): Path<(String, String)>,
) -> Result<Response, Refused> {
    let event: EventId = event.parse().map_err(|()| Refused::BadAddress)?;
    let view = app.view(event).await?;
    if file == "event.json" {
        return Ok(as_json(&json::event(&app.events(), event)));
    }
    let found = view.published(|p| p.file(&file));
    let found = found.ok_or(Refused::NotFound)?;
    Ok(with_type(found.kind, found.content))
}
