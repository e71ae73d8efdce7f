//! The few browser calls that no binding reaches without unstable flags:
//! reading members and calling methods by name, safely.

use js_sys::{Array, Function, Promise, Reflect};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// A member by name; `None` when it is absent.
pub fn member(of: &JsValue, name: &str) -> Option<JsValue> {
    Reflect::get(of, &name.into())
        .ok()
        .filter(|v| !v.is_undefined() && !v.is_null())
}

/// A text member by name.
pub fn text(of: &JsValue, name: &str) -> Option<String> {
    member(of, name).and_then(|v| v.as_string())
}

/// Sets a member; plain objects never refuse.
pub fn set(on: &JsValue, name: &str, value: impl Into<JsValue>) {
    let _ = Reflect::set(on, &name.into(), &value.into());
}

/// A plain object from its members.
pub fn object(members: &[(&str, JsValue)]) -> JsValue {
    let it: JsValue = js_sys::Object::new().into();
    for (name, value) in members {
        set(&it, name, value.clone());
    }
    it
}

/// Calls a method by name; `None` when there is no such method.
pub fn call(of: &JsValue, method: &str, args: &[JsValue]) -> Option<Result<JsValue, JsValue>> {
    let f: Function = member(of, method)?.dyn_into().ok()?;
    let args: Array = args.iter().collect();
    Some(f.apply(of, &args))
}

/// Calls a method by name and waits for what it promises.
pub async fn call_wait(
    of: &JsValue,
    method: &str,
    args: &[JsValue],
) -> Option<Result<JsValue, JsValue>> {
    match call(of, method, args)? {
        Ok(value) => match value.dyn_into::<Promise>() {
            Ok(promise) => Some(JsFuture::from(promise).await),
            Err(plain) => Some(Ok(plain)),
        },
        Err(error) => Some(Err(error)),
    }
}

/// Waits so many milliseconds; not at all where there is no window.
pub async fn pause(ms: i32) {
    let wait = Promise::new(&mut |done, _| {
        if let Some(window) = window() {
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&done, ms);
        } else {
            let _ = done.call0(&JsValue::NULL);
        }
    });
    let _ = JsFuture::from(wait).await;
}

/// Waits until the browser has painted and has nothing better to do, or for a
/// second where it does not say so.
pub async fn idle() {
    let Some(window) = window() else { return };
    let window: JsValue = window.into();
    let wait = Promise::new(&mut |done, _| {
        let patience = object(&[("timeout", 2_000.into())]);
        let asked = call(
            &window,
            "requestIdleCallback",
            &[done.clone().into(), patience],
        );
        if asked.is_none() {
            let _ = call(&window, "setTimeout", &[done.into(), 1_000.into()]);
        }
    });
    let _ = JsFuture::from(wait).await;
}

/// Waits until a service worker answers for the network: all of the app is on the
/// phone then. False where there are none, without a secure address.
pub async fn kept_offline() -> bool {
    let workers = window().and_then(|w| member(&w.navigator(), "serviceWorker"));
    let Some(workers) = workers else { return false };
    if member(&workers, "controller").is_none() {
        let wait = Promise::new(&mut |done, _| {
            let name = "controllerchange".into();
            let _ = call(&workers, "addEventListener", &[name, done.into()]);
        });
        let _ = JsFuture::from(wait).await;
    }
    true
}

/// The page's window.
pub fn window() -> Option<web_sys::Window> {
    web_sys::window()
}

/// Asks the browser to print; one that cannot does nothing.
pub fn print() {
    if let Some(window) = window() {
        let _ = window.print();
    }
}

/// The root element of the page.
pub fn root() -> Option<web_sys::Element> {
    window()?.document()?.document_element()
}

/// The browser's `navigator`.
pub fn navigator() -> Option<JsValue> {
    window().map(|w| w.navigator().into())
}

/// The folder that the app is served from, without a slash at its end: every
/// screen lies one level in it, so that relative files are found from each.
pub fn folder() -> String {
    let path = window()
        .and_then(|w| w.location().pathname().ok())
        .unwrap_or_default();
    path.rfind('/')
        .map_or_else(String::new, |at| path[..at].to_string())
}
