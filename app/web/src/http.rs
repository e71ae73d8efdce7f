//! The one HTTP client: every request of the app has an end, follows no
//! redirection, sends no cookie, and takes no more than it asked for.

use std::time::Duration;

use js_sys::Uint8Array;
use leptos::prelude::{TimeoutHandle, set_timeout_with_handle};
use wasm_bindgen::{JsCast, JsValue};

use crate::{js, sharing};

/// Longest wait for a whole answer: a full batch needs half a minute where
/// there is hardly any signal.
const PATIENCE: Duration = Duration::from_secs(90);

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct Request<'a> {
    /// Where.
    pub url: &'a str,
    /// Entries to send with `PUT`; nothing asks with `GET`.
    pub entries: Option<&'a [u8]>,
    /// The `Authorization` header.
    pub authorization: Option<&'a str>,
    /// The longest body that is read (bytes).
    pub limit: usize,
}

impl<'a> Request<'a> {
    /// For a short answer: a receipt, a state.
    pub fn new(url: &'a str) -> Self {
        Self {
            url,
            entries: None,
            authorization: None,
            limit: 65_536,
        }
    }
}

/// What came back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reply {
    /// Nothing whole.
    Lost,
    /// An answer, from whomever.
    Came {
        /// Its status; 302 for any redirection.
        status: u16,
        /// Whole seconds of `Retry-After`.
        retry_after: Option<u64>,
        /// The number of `Chalkbook-Next`: where the rest of a long log begins.
        next: Option<u64>,
        /// Its body; empty when it is longer than asked for.
        body: Vec<u8>,
    },
}

/// Ends a request that is still waiting.
#[derive(Clone, Debug)]
pub struct Stop(JsValue);

impl Stop {
    /// For one request.
    pub fn new() -> Self {
        Self(sharing::new_object("AbortController", &[]).unwrap_or(JsValue::UNDEFINED))
    }

    /// Ends it; it counts as lost.
    pub fn now(&self) {
        // A browser without this waits for its own end of patience.
        let _ = js::call(&self.0, "abort", &[]);
    }
}

/// Makes a request; [`Reply::Lost`] at the latest after a minute and a half.
pub async fn exchange(request: Request<'_>, stop: &Stop) -> Reply {
    let late = stop.clone();
    let clock = set_timeout_with_handle(move || late.now(), PATIENCE).ok();
    let reply = ask(request, stop).await.unwrap_or(Reply::Lost);
    if let Some(clock) = clock {
        TimeoutHandle::clear(&clock);
    }
    reply
}

async fn ask(request: Request<'_>, stop: &Stop) -> Option<Reply> {
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
    let headers = js::object(&[]);
    if let Some(authorization) = request.authorization {
        js::set(&headers, "authorization", authorization);
    }
    if let Some(entries) = request.entries {
        js::set(&headers, "content-type", "application/cbor-seq");
        js::set(&how, "method", "PUT");
        js::set(&how, "body", Uint8Array::from(entries));
    }
    js::set(&how, "headers", headers);
    let window: JsValue = js::window()?.into();
    let answer = js::call_wait(&window, "fetch", &[request.url.into(), how])
        .await?
        .ok()?;
    if js::text(&answer, "type").as_deref() == Some("opaqueredirect") {
        return Some(Reply::Came {
            status: 302,
            retry_after: None,
            next: None,
            body: Vec::new(),
        });
    }
    let status = js::member(&answer, "status")?.as_f64()? as u16;
    let headers = js::member(&answer, "headers")?;
    let number = |name: &str| {
        let header = js::call(&headers, "get", &[name.into()])?.ok()?;
        header.as_string()?.trim().parse().ok()
    };
    Some(Reply::Came {
        status,
        retry_after: number("retry-after"),
        next: number("chalkbook-next"),
        body: body(&answer, request.limit, stop).await?,
    })
}

/// The body, piece by piece, so that one without end is ended here.
async fn body(answer: &JsValue, limit: usize, stop: &Stop) -> Option<Vec<u8>> {
    let Some(stream) = js::member(answer, "body") else {
        return Some(Vec::new());
    };
    let reader = js::call(&stream, "getReader", &[])?.ok()?;
    let mut all = Vec::new();
    loop {
        let step = js::call_wait(&reader, "read", &[]).await?.ok()?;
        let Some(piece) = js::member(&step, "value") else {
            return Some(all);
        };
        let piece = piece.dyn_into::<Uint8Array>().ok()?;
        if all.len() + piece.length() as usize > limit {
            stop.now();
            return Some(Vec::new());
        }
        all.extend(piece.to_vec());
    }
}
