//! The phone itself: a tick in the hand, and a screen that stays awake.

use std::cell::{Cell, RefCell};

use leptos::prelude::*;
use wasm_bindgen::JsValue;

use crate::js;
use crate::store::Trouble;

/// A short tick in the hand, where the phone can.
pub fn tick() {
    vibrate(&[18.0]);
}

/// A double tick: refused.
pub fn double_tick() {
    vibrate(&[30.0, 60.0, 30.0]);
}

/// A long one, twice: a clock is up.
pub fn long_tick() {
    vibrate(&[300.0, 150.0, 300.0]);
}

/// On and off in ms, where the phone can.
fn vibrate(pattern: &[f64]) {
    if let Some(n) = js::navigator() {
        let pattern: js_sys::Array = pattern.iter().map(|v| JsValue::from_f64(*v)).collect();
        let _ = js::call(&n, "vibrate", &[pattern.into()]);
    }
}

/// Random bytes from the browser's generator.
///
/// # Errors
/// [`Trouble::NoRandom`] when there is none: a key or a game's mark of bytes
/// that anybody can guess is worse than none.
pub fn random_bytes<const N: usize>() -> Result<[u8; N], Trouble> {
    let mut bytes = [0; N];
    js::window()
        .and_then(|w| w.crypto().ok())
        .and_then(|c| c.get_random_values_with_u8_array(&mut bytes).ok())
        .ok_or(Trouble::NoRandom)?;
    Ok(bytes)
}

thread_local! {
    /// How many screens want the phone awake now.
    static WANTED: Cell<u32> = const { Cell::new(0) };
    /// The browser's word that it stays awake.
    static AWAKE: RefCell<Option<JsValue>> = const { RefCell::new(None) };
}

/// Asks the browser to keep the screen awake; asked for again when the page
/// comes back into view, because browsers drop it then. An answer that comes
/// when no screen wants it any more is given back at once, and so is the one
/// before it.
async fn keep_awake() {
    let Some(lock) = js::navigator().and_then(|n| js::member(&n, "wakeLock")) else {
        return;
    };
    if let Some(Ok(sentinel)) = js::call_wait(&lock, "request", &["screen".into()]).await {
        let_sleep();
        AWAKE.set(Some(sentinel));
        if WANTED.get() == 0 {
            let_sleep();
        }
    }
}

/// Lets the screen sleep again.
fn let_sleep() {
    if let Some(sentinel) = AWAKE.take() {
        let _ = js::call(&sentinel, "release", &[]);
    }
}

/// Keeps the screen awake while the owner lives, if `wanted`.
pub fn awake_while_mounted(wanted: bool) {
    if !wanted {
        return;
    }
    WANTED.set(WANTED.get() + 1);
    leptos::task::spawn_local(keep_awake());
    let seen = window_event_listener(leptos::ev::visibilitychange, |_| {
        let visible = js::window()
            .and_then(|w| w.document())
            .is_some_and(|d| !d.hidden());
        if visible {
            leptos::task::spawn_local(keep_awake());
        }
    });
    on_cleanup(move || {
        seen.remove();
        WANTED.set(WANTED.get().saturating_sub(1));
        if WANTED.get() == 0 {
            let_sleep();
        }
    });
}
