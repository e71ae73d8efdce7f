//! Results that a reader has already are not sent again (RFC 9110, section
//! 8.8.3 and 13.1.2).

use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::Response;
use engine::log::Hash;

/// Most bytes of an answer that is looked at; no page of an event is longer.
const MOST: usize = 64 << 20;

/// Names each answer by its content, and says of one that the reader has
/// already that it is the same.
pub async fn by_content(request: Request, next: Next) -> Response {
    let get = request.method() == Method::GET;
    let known = request.headers().get(header::IF_NONE_MATCH).cloned();
    let answer = next.run(request).await;
    if !get || answer.status() != StatusCode::OK || !may_be_kept(answer.headers()) {
        return answer;
    }
    let (mut parts, body) = answer.into_parts();
    let Ok(content) = to_bytes(body, MOST).await else {
        parts.status = StatusCode::INTERNAL_SERVER_ERROR;
        return Response::from_parts(parts, Body::empty());
    };
    let digest = Hash::of(&content).to_string();
    // Half of it tells any two answers apart.
    // Weak: the same content may be sent compressed (RFC 9110, section 8.8.1).
    let tag = format!("W/\"{}\"", &digest[..32]);
    let same = known
        .as_ref()
        .and_then(|k| k.to_str().ok())
        .is_some_and(|known| {
            let mut tags = known.split(',').map(|t| t.trim().trim_start_matches("W/"));
            tags.any(|t| t == tag.trim_start_matches("W/") || t == "*")
        });
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        parts.headers.insert(header::ETAG, tag);
    }
    if !same {
        return Response::from_parts(parts, content.into());
    }
    parts.status = StatusCode::NOT_MODIFIED;
    parts.headers.remove(header::CONTENT_LENGTH);
    Response::from_parts(parts, Body::empty())
}

/// Not a stream that goes on, and nothing that is for one reader only.
fn may_be_kept(headers: &HeaderMap) -> bool {
    let has = |name, what: &str| {
        let value = headers
            .get(name)
            .and_then(|v: &HeaderValue| v.to_str().ok());
        value.is_some_and(|v| v.contains(what))
    };
    !has(header::CONTENT_TYPE, "event-stream") && !has(header::CACHE_CONTROL, "no-store")
}
