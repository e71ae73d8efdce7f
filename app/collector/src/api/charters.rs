//! Charters: taken in, given out, and how far an event's versions have come.

use axum::Extension;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse as _, Response};
use engine::log::Hash;
use engine::sync::CharterReceipt;

use super::Sender;
use super::{App, RequestError, body, has_type, may_read};
use crate::collector::Stop;
use crate::event::EventId;
use crate::hex;

const SEQUENCE: &str = "application/cbor-seq";
const CBOR: &str = "application/cbor";

fn with_type(status: StatusCode, kind: &'static str, content: Vec<u8>) -> Response {
    let headers = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "no-store"),
    ];
    (status, headers, content).into_response()
}

fn named(hash: &str) -> Result<Hash, RequestError> {
    hex(hash).map(Hash).ok_or(RequestError::BadAddress)
}

/// `PUT`: versions of an event's charter, each signed by an organiser.
pub async fn put(
    State(app): State<App>,
    Path(event): Path<String>,
    Extension(sender): Extension<Sender>,
    headers: HeaderMap,
    content: Body,
) -> Result<Response, RequestError> {
    let event = named(&event)?;
    if !has_type(&headers, SEQUENCE) {
        return Err(RequestError::WrongType(SEQUENCE));
    }
    let content = body(&app, sender, content).await?;
    let (receipt, stopped) = app.take_charters(event, &content.bytes).await?;
    let status = match stopped {
        None => StatusCode::OK,
        Some(Stop::Gap) => StatusCode::CONFLICT,
        Some(Stop::NotAdmitted) => StatusCode::FORBIDDEN,
        Some(Stop::Erased) => StatusCode::GONE,
        Some(Stop::Paused) => StatusCode::SERVICE_UNAVAILABLE,
        Some(_) => StatusCode::UNPROCESSABLE_ENTITY,
    };
    Ok(with_type(status, CBOR, receipt.to_bytes()))
}

/// `GET`: how far an event's charter has come.
pub async fn head(
    State(app): State<App>,
    Path(event): Path<String>,
) -> Result<Response, RequestError> {
    let event = named(&event)?;
    let events = app.events();
    let receipt = CharterReceipt::new(event, events.history(EventId::Charter(event)));
    Ok(with_type(StatusCode::OK, CBOR, receipt.to_bytes()))
}

/// A charter that the one who asks may read, and its event.
fn readable(
    app: &App,
    hash: &str,
    uri: &Uri,
    headers: &HeaderMap,
) -> Result<(EventId, Vec<u8>), RequestError> {
    let events = app.events();
    let hash = named(hash)?;
    if app.orders().erases_charter(hash).is_some() {
        return Err(RequestError::Erased);
    }
    let (event, charter) = events.version(hash).ok_or(RequestError::NotFound)?;
    if !events.shows(event) {
        return Err(RequestError::NotFound);
    }
    may_read(app, event, None, uri.path(), headers)?;
    Ok((event, charter.bytes().to_vec()))
}

/// `GET`: a charter by its hash, byte for byte as it was signed.
pub async fn get(
    State(app): State<App>,
    Path(hash): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, RequestError> {
    let (_, charter) = readable(&app, &hash, &uri, &headers)?;
    Ok(with_type(StatusCode::OK, CBOR, charter))
}

/// `GET`: every version of the charter that one of them names.
pub async fn all(
    State(app): State<App>,
    Path(hash): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, RequestError> {
    let (event, _) = readable(&app, &hash, &uri, &headers)?;
    let events = app.events();
    let history = events.history(event).ok_or(RequestError::NotFound)?;
    let whole = history.to_bytes(usize::MAX);
    Ok(with_type(StatusCode::OK, SEQUENCE, whole))
}
