//! One request to a collector, and whatever came back.

use js_sys::Uint8Array;
use leptos::prelude::{TimeoutHandle, set_timeout_with_handle};
use std::time::Duration;
use wasm_bindgen::JsValue;

use crate::{hand, js};

/// Longest wait for a whole answer: a full batch needs half a minute where
/// there is hardly any signal.
const PATIENCE: Duration = Duration::from_secs(90);
/// A collector's answers are shorter; a portal's page is not worth reading.
const BYTES_LIMIT: f64 = 65_536.0;

/// What came back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reply {
    /// Nothing whole.
    Lost,
    /// An answer, from whomever.
    Came {
        /// Its status; 302 for any redirection, which is not followed.
        status: u16,
        /// Whole seconds of `Retry-After`.
        retry_after: Option<u64>,
        /// Its body; empty when it is longer than any of a collector.
        body: Vec<u8>,
    },
}

/// Ends a request that is still waiting.
#[derive(Clone, Debug)]
pub struct Stop(JsValue);

impl Stop {
    /// For one request.
    pub fn new() -> Self {
        Self(hand::new_object("AbortController", &[]).unwrap_or(JsValue::UNDEFINED))
    }

    /// Ends it; it counts as lost.
    pub fn now(&self) {
        // A browser without this waits for its own end of patience.
        let _ = js::call(&self.0, "abort", &[]);
    }
}

/// Asks, or sends with `PUT` when there is something to send.
pub async fn exchange(url: &str, entries: Option<&[u8]>, stop: &Stop) -> Reply {
    let late = stop.clone();
    let clock = set_timeout_with_handle(move || late.now(), PATIENCE).ok();
    let reply = ask(url, entries, stop).await.unwrap_or(Reply::Lost);
    if let Some(clock) = clock {
        TimeoutHandle::clear(&clock);
    }
    reply
}

async fn ask(url: &str, entries: Option<&[u8]>, stop: &Stop) -> Option<Reply> {
    let how = js::object(&[
        ("cache", "no-store".into()),
        ("credentials", "omit".into()),
        ("referrerPolicy", "no-referrer".into()),
        // A collector never redirects; a network that wants its own page opened does.
        ("redirect", "manual".into()),
        (
            "signal",
            js::member(&stop.0, "signal").unwrap_or(JsValue::UNDEFINED),
        ),
    ]);
    if let Some(entries) = entries {
        let kind = js::object(&[("content-type", "application/cbor-seq".into())]);
        js::set(&how, "method", "PUT");
        js::set(&how, "headers", kind);
        js::set(&how, "body", Uint8Array::from(entries));
    }
    let window: JsValue = js::window()?.into();
    let answer = js::call_wait(&window, "fetch", &[url.into(), how])
        .await?
        .ok()?;
    if js::text(&answer, "type").as_deref() == Some("opaqueredirect") {
        return Some(Reply::Came {
            status: 302,
            retry_after: None,
            body: Vec::new(),
        });
    }
    let status = js::member(&answer, "status")?.as_f64()? as u16;
    let headers = js::member(&answer, "headers")?;
    let header = |name: &str| js::call(&headers, "get", &[name.into()])?.ok()?.as_string();
    let retry_after = header("retry-after").and_then(|h| h.trim().parse().ok());
    let length = header("content-length").and_then(|h| h.parse::<f64>().ok());
    let body = if length.is_some_and(|l| l > BYTES_LIMIT) {
        stop.now();
        Vec::new()
    } else {
        let bytes = js::call_wait(&answer, "arrayBuffer", &[]).await?.ok()?;
        Uint8Array::new(&bytes).to_vec()
    };
    Some(Reply::Came {
        status,
        retry_after,
        body,
    })
}
