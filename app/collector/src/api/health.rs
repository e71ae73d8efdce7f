//! For whoever runs the service.

use std::sync::atomic::Ordering;

use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use engine::sync::AT_WORK;

use super::{App, RequestError};

/// Answers as long as the service runs.
pub async fn health() -> impl IntoResponse {
    (
        [(header::CONTENT_TYPE, "text/plain; charset=utf-8")],
        AT_WORK,
    )
}

/// Whether entries can be taken: 503 while the storage does not take what it is
/// given. Then what is kept is served all the same. Damage in what is kept is
/// said: nothing else is out of order for it.
pub async fn ready(State(app): State<App>) -> Result<String, RequestError> {
    let damaged = app.metrics.records_damaged.load(Ordering::Relaxed);
    match app.is_store_down() {
        true => Err(RequestError::StoreDown),
        false if app.orders().pauses().is_some() => Err(RequestError::Paused),
        false if damaged > 0 => Ok(format!(
            "The collector takes records. Of those in its storage {damaged} are damaged: its log says of which events.\n"
        )),
        false => Ok("The collector takes records.\n".into()),
    }
}

/// The public key that signs receipts, in hexadecimal.
pub async fn key(State(app): State<App>) -> Result<String, RequestError> {
    let key = app.receipt_key().ok_or(RequestError::NotFound)?;
    Ok(format!("{}\n", engine::log::Hash(*key.as_bytes())))
}

/// Counters in the text exposition format.
pub async fn metrics(State(app): State<App>) -> impl IntoResponse {
    (
        [(
            header::CONTENT_TYPE,
            "text/plain; version=0.0.4; charset=utf-8",
        )],
        app.metrics.text(),
    )
}
