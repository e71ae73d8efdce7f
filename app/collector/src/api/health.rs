//! For whoever runs the service.

use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use engine::sync::AT_WORK;

use super::App;

/// Answers as long as the service runs.
pub async fn health() -> impl IntoResponse {
    (
        [(header::CONTENT_TYPE, "text/plain; charset=utf-8")],
        AT_WORK,
    )
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
