//! The endpoints for programs: see `PROTOCOL.md`.

mod answer;
mod charters;
mod health;
pub mod json;
mod live;
mod logs;
mod results;
#[cfg(test)]
mod tests;

use std::net::IpAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, header};
use axum::routing::get;
use bytes::BytesMut;
use engine::charter::Privacy;
use engine::log::{AuthorLog, Body as LogBody, Entry, PublicKey, Verified};
use engine::sync::ReadPass;
use http_body_util::{BodyExt as _, LengthLimitError, Limited};

pub use answer::RequestError;

use crate::collector::{Collector, HeldEvent, Log};
use crate::event::EventId;
use crate::share::Share;

/// The address that a request comes from, where it is known.
#[derive(Clone, Copy, Debug)]
pub struct Sender(pub Option<IpAddr>);

/// What every handler gets.
pub type App = Arc<Collector>;

/// The routes under `/api`.
pub fn router() -> Router<App> {
    Router::new()
        .route("/api/health", get(health::health))
        .route("/api/ready", get(health::ready))
        .route("/api/metrics", get(health::metrics))
        .route("/api/key", get(health::key))
        .route(
            "/api/charters/{hash}",
            get(charters::get).put(charters::put),
        )
        .route("/api/charters/{hash}/head", get(charters::head))
        .route("/api/charters/{hash}/all", get(charters::all))
        .route("/api/events", get(results::events))
        .route("/api/events/{event}/live", get(live::live))
        .route("/api/events/{event}/{file}", get(results::file))
        .route("/api/games/{game}", get(logs::heads))
        .route("/api/games/{game}/order", get(logs::order))
        .route("/api/games/{game}/report.json", get(results::game))
        .route("/api/logs/{game}/{author}", get(logs::get).put(logs::put))
        .route("/api/logs/{game}/{author}/head", get(logs::head))
        .route("/api/{*other}", axum::routing::any(answer::nothing_here))
}

/// A whole body, and its share of what is under way: held while it is.
struct Whole {
    bytes: Bytes,
    _share: Share,
}

/// The body of a request, within its bounds.
async fn body(app: &App, Sender(who): Sender, body: Body) -> Result<Whole, RequestError> {
    let mut limited = Limited::new(body, app.limits.body);
    let mut share = app.bodies.take(who, 0).ok_or(RequestError::TooMany(5))?;
    let mut bytes = BytesMut::new();
    let all = async {
        while let Some(frame) = limited.frame().await {
            let frame = frame.map_err(|e| match e.is::<LengthLimitError>() {
                true => RequestError::TooLarge(app.limits.body),
                false => RequestError::CutShort,
            })?;
            let Ok(part) = frame.into_data() else {
                continue;
            };
            if !share.grow(part.len()) {
                return Err(RequestError::TooMany(5));
            }
            bytes.extend_from_slice(&part);
        }
        Ok(())
    };
    let patience = Duration::from_secs(app.limits.patience);
    let came = tokio::time::timeout(patience, all).await;
    came.unwrap_or(Err(RequestError::TooSlow))?;
    Ok(Whole {
        bytes: bytes.freeze(),
        _share: share,
    })
}

fn has_type(headers: &HeaderMap, wanted: &str) -> bool {
    let given = headers
        .get(header::CONTENT_TYPE)
        .and_then(|v| v.to_str().ok());
    let bare = given.and_then(|v| v.split(';').next());
    bare.is_some_and(|v| v.trim().eq_ignore_ascii_case(wanted))
}

/// Whether whoever asks may read an event's charter, or a log of it: both hold
/// players' names in full, and a log may hold the report of an incident.
fn may_read(
    app: &App,
    event: EventId,
    log: Option<(&HeldEvent, &Log)>,
    path: &str,
    headers: &HeaderMap,
) -> Result<(), RequestError> {
    let events = app.events();
    let private = log.is_some_and(|(_, log)| holds_incident(&log.branches()));
    if events.privacy(event) == Privacy::Names && !private {
        return Ok(());
    }
    let refused = match private {
        true => RequestError::IncidentReported,
        false => RequestError::OfficialsOnly,
    };
    let given = headers
        .get(header::AUTHORIZATION)
        .and_then(|v| v.to_str().ok());
    let pass = given.and_then(ReadPass::read);
    let pass = pass.ok_or(refused)?;
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let now = now.map_or(0, |d| d.as_secs());
    let here = app.called.get().filter(|all| !all.is_empty());
    let here = here.ok_or(RequestError::Nameless)?;
    if !here.iter().any(|at| pass.admits(at, path, now)) {
        return Err(refused);
    }
    let listed = events
        .charter(event)
        .is_some_and(|c| c.charter().endorsement(&pass.key).is_some());
    // Whom the organiser took off reads nothing more, not the own log either.
    let blocked = app.orders().blocks(pass.key.fingerprint()).is_some();
    let removed = blocked || events.removed(event, &pass.key);
    // In an open event anyone may keep a log of the game: that opens no report.
    let keeps = |(event, log): (&HeldEvent, &Log)| match private {
        true => is_author(&log.branches(), &pass.key),
        false => {
            let game = log.branches().name().game;
            let mut all = app.shown(event, game).into_iter();
            all.any(|log| is_author(&log.branches(), &pass.key))
        }
    };
    let may = listed && !blocked || !removed && log.is_some_and(keeps);
    may.then_some(()).ok_or(refused)
}

fn is_author(log: &AuthorLog, key: &PublicKey) -> bool {
    let mut keys = log.shown().into_iter().flat_map(|c| c.keys());
    keys.any(|(_, k)| k == key)
}

fn holds_incident(log: &AuthorLog) -> bool {
    let is_report = |e: &&Entry<Verified>| matches!(e.payload().body, LogBody::Incident(_));
    log.entries().iter().any(is_report)
}
