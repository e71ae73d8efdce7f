//! Event charters: given out, and taken in as later versions.

use axum::Extension;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse as _, Response};
use engine::log::Hash;

use super::{App, Refused, body, has_type, may_read};
use crate::hex;
use crate::serve::Sender;

/// `PUT`: the next version of a charter served here, signed by its organiser.
pub async fn put(
    State(app): State<App>,
    Extension(sender): Extension<Sender>,
    headers: HeaderMap,
    content: Body,
) -> Result<Response, Refused> {
    if !has_type(&headers, "application/cbor") {
        return Err(Refused::WrongType("application/cbor"));
    }
    let content = body(&app, sender, content).await?;
    let text = [(header::CONTENT_TYPE, "text/plain; charset=utf-8")];
    Ok(match app.take_charter(content.bytes.clone()).await? {
        Ok(event) => (StatusCode::OK, text, event.to_string()).into_response(),
        Err(why) => (StatusCode::UNPROCESSABLE_ENTITY, text, why).into_response(),
    })
}

/// `GET`: a charter by its hash, byte for byte as it was signed.
pub async fn get(
    State(app): State<App>,
    Path(hash): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    let hash = Hash(hex(&hash).ok_or(Refused::BadAddress)?);
    let events = app.events();
    let (event, charter) = events.version(hash).ok_or(Refused::NotFound)?;
    may_read(&app, event, None, uri.path(), &headers)?;
    let headers = [
        (header::CONTENT_TYPE, "application/cbor"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    Ok((headers, charter.bytes().to_vec()).into_response())
}
