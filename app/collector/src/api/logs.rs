//! Logs: taken in, given out, and how far they have come.

use axum::Extension;
use axum::body::Body;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse as _, Response};
use engine::log::{AuthorLog, GameId, LogFile, SignedOrder};
use engine::sync::{Heads, LogHead, Receipt};
use serde_json::Value;

use super::Sender;
use super::{App, RequestError, body, has_type, may_read};
use crate::collector::{Stop, awaits};
use crate::orders::refusal;
use crate::{hex, log_name};

/// The type of any CBOR sequence, which is taken and given too.
const SEQUENCE: &str = "application/cbor-seq";
const CBOR: &str = "application/cbor";
/// Bytes of entries given out at a time; the rest is asked for with `from`.
const PAGE: usize = 1 << 20;

fn receipt(status: StatusCode, receipt: &Receipt) -> Response {
    let headers = [
        (header::CONTENT_TYPE, CBOR),
        (header::CACHE_CONTROL, "no-store"),
    ];
    (status, headers, receipt.to_bytes()).into_response()
}

/// A log's own type, or the plain one for whoever asks for that and not for the
/// log's (RFC 9110, section 12.5.1).
fn log_type(headers: &HeaderMap) -> &'static str {
    let accept = headers.get_all(header::ACCEPT).iter();
    let accept = accept.filter_map(|v| v.to_str().ok());
    let ranges = accept.flat_map(|v| v.split(','));
    let wanted: Vec<&str> = ranges
        .filter_map(|r| Some(r.split(';').next()?.trim()))
        .collect();
    let names = |kind: &str| wanted.iter().any(|w| w.eq_ignore_ascii_case(kind));
    match names(SEQUENCE) && !names(LogFile::MEDIA_TYPE) {
        true => SEQUENCE,
        false => LogFile::MEDIA_TYPE,
    }
}

fn gone(order: Option<&SignedOrder>) -> Result<(), RequestError> {
    order.map_or(Ok(()), |_| Err(RequestError::Erased))
}

/// `GET`: the order by which a game is not kept here any more, as it was signed.
pub async fn order(
    State(app): State<App>,
    Path(game): Path<String>,
) -> Result<Response, RequestError> {
    let game = GameId(hex(&game).ok_or(RequestError::BadAddress)?);
    let orders = app.orders();
    let order = orders.erases_game(game).ok_or(RequestError::NotFound)?;
    let headers = [(header::CONTENT_TYPE, CBOR)];
    Ok((headers, order.bytes().to_vec()).into_response())
}

/// `PUT`: a batch of entries, in order.
pub async fn put(
    State(app): State<App>,
    Path((game, author)): Path<(String, String)>,
    Extension(sender): Extension<Sender>,
    headers: HeaderMap,
    content: Body,
) -> Result<Response, RequestError> {
    let name = log_name(&game, &author).ok_or(RequestError::BadAddress)?;
    if !has_type(&headers, SEQUENCE) && !has_type(&headers, LogFile::MEDIA_TYPE) {
        return Err(RequestError::WrongType(SEQUENCE));
    }
    let content = body(&app, sender, content).await?;
    let taken = app.take_in(name, &content.bytes).await?;
    let status = match taken.stopped {
        None => StatusCode::OK,
        Some(Stop::Gap) => StatusCode::CONFLICT,
        Some(Stop::Awaits) => StatusCode::ACCEPTED,
        Some(Stop::NotAdmitted) => StatusCode::FORBIDDEN,
        Some(Stop::Erased) => StatusCode::GONE,
        Some(Stop::Paused) => StatusCode::SERVICE_UNAVAILABLE,
        Some(Stop::Entry | Stop::Full) => StatusCode::UNPROCESSABLE_ENTITY,
    };
    Ok(receipt(status, &taken.receipt))
}

/// `GET`: how far the log has come.
pub async fn head(
    State(app): State<App>,
    Path((game, author)): Path<(String, String)>,
) -> Result<Response, RequestError> {
    let name = log_name(&game, &author).ok_or(RequestError::BadAddress)?;
    let found = match app.find(name).await? {
        Some((_, log)) => {
            let mut receipt = app.receipt(&log.branches());
            receipt.refusal = awaits(log.event(), 0);
            receipt
        }
        None => {
            let mut receipt = Receipt::of(&AuthorLog::new(name));
            let orders = app.orders();
            receipt.refusal = orders.erases(None, name).map(refusal);
            receipt
        }
    };
    Ok(receipt(StatusCode::OK, &found))
}

/// `GET`: entries from a sequence number on, forks included.
pub async fn get(
    State(app): State<App>,
    Path((game, author)): Path<(String, String)>,
    Query(query): Query<Value>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, RequestError> {
    let name = log_name(&game, &author).ok_or(RequestError::BadAddress)?;
    let from = match query.get("from").and_then(Value::as_str) {
        None => 0,
        Some(text) => text.parse::<u64>().map_err(|_| RequestError::BadAddress)?,
    };
    gone(app.orders().erases(None, name))?;
    let (event, log) = app.find(name).await?.ok_or(RequestError::NotFound)?;
    if app.orders().hides(event.id, name) {
        return Err(RequestError::NotFound);
    }
    may_read(&app, event.id, Some((&event, &log)), uri.path(), &headers)?;
    let branches = log.branches();
    let mut out = Vec::new();
    let (mut next, mut last) = (None, None);
    let entries = branches.entries();
    for entry in entries.iter().filter(|e| e.payload().seq >= from) {
        // A page ends between two numbers, so that no branch of one is left out.
        let seq = entry.payload().seq;
        if out.len() >= PAGE && last != Some(seq) {
            next = Some(seq);
            break;
        }
        last = Some(seq);
        out.extend_from_slice(entry.bytes());
    }
    let more = next.map_or(String::new(), |n| n.to_string());
    let headers = [
        (header::CONTENT_TYPE, log_type(&headers).to_owned()),
        (header::CACHE_CONTROL, "no-store".to_owned()),
        (header::HeaderName::from_static("chalkbook-next"), more),
    ];
    Ok((headers, out).into_response())
}

/// `GET`: the logs of a game.
pub async fn heads(
    State(app): State<App>,
    Path(game): Path<String>,
) -> Result<Response, RequestError> {
    let game = GameId(hex(&game).ok_or(RequestError::BadAddress)?);
    gone(app.orders().erases_game(game))?;
    let event = app.find_game(game).await?.ok_or(RequestError::NotFound)?;
    let logs = app.shown(&event, game);
    if logs.is_empty() {
        return Err(RequestError::NotFound);
    }
    let head = |log: &std::sync::Arc<crate::collector::Log>| {
        let branches = log.branches();
        LogHead {
            author: branches.name().author,
            next: branches.next_seq(),
            head: branches.head(),
            forked_at: branches.forked_at(),
        }
    };
    let heads = Heads {
        game,
        logs: logs.iter().map(head).collect(),
    };
    let headers = [
        (header::CONTENT_TYPE, CBOR),
        (header::CACHE_CONTROL, "no-store"),
    ];
    Ok((headers, heads.to_bytes()).into_response())
}
