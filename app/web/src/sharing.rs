//! Handing things to and from the browser: clipboard, sharing, files.

use js_sys::{Array, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};

use crate::js;

/// Puts a text on the clipboard; whether that worked.
pub async fn copy(text: &str) -> bool {
    let Some(board) = js::navigator().and_then(|n| js::member(&n, "clipboard")) else {
        return false;
    };
    matches!(
        js::call_wait(&board, "writeText", &[text.into()]).await,
        Some(Ok(_))
    )
}

fn construct(class: &str, arguments: &[JsValue]) -> Option<JsValue> {
    let window: JsValue = js::window()?.into();
    let class: js_sys::Function = js::member(&window, class)?.dyn_into().ok()?;
    let arguments: Array = arguments.iter().collect();
    js_sys::Reflect::construct(&class, &arguments).ok()
}

fn file(name: &str, text: &str) -> Option<JsValue> {
    let parts: Array = [JsValue::from(text)].iter().collect();
    let kind = js::object(&[("type", "text/plain".into())]);
    construct("File", &[parts.into(), name.into(), kind])
}

fn as_share(name: &str, text: &str) -> Option<JsValue> {
    let files: Array = [file(name, text)?].iter().collect();
    Some(js::object(&[("files", files.into())]))
}

/// Whether the phone can pass a text file on to another app or phone.
pub fn can_share() -> bool {
    let Some(navigator) = js::navigator() else {
        return false;
    };
    as_share("chalkbook.txt", "").is_some_and(|what| {
        matches!(js::call(&navigator, "canShare", &[what]), Some(Ok(yes)) if yes.is_truthy())
    })
}

/// Passes a text file on through the phone's own sheet; whether it was taken.
pub async fn share(name: &str, text: &str) -> bool {
    let (Some(navigator), Some(what)) = (js::navigator(), as_share(name, text)) else {
        return false;
    };
    matches!(
        js::call_wait(&navigator, "share", &[what]).await,
        Some(Ok(_))
    )
}

/// Saves a text as a file; whether the browser took it.
pub fn save(name: &str, text: &str) -> bool {
    file(name, text).is_some_and(|file| save_file(name, file))
}

fn save_file(name: &str, file: JsValue) -> bool {
    let save = || -> Option<()> {
        let window: JsValue = js::window()?.into();
        let urls = js::member(&window, "URL")?;
        let url = js::call(&urls, "createObjectURL", &[file])?.ok()?;
        let document = js::window()?.document()?;
        let link: JsValue = document.create_element("a").ok()?.into();
        js::set(&link, "href", url.clone());
        js::set(&link, "download", name);
        js::call(&link, "click", &[])?.ok()?;
        // The browser needs the address until it has begun to save.
        leptos::prelude::set_timeout(
            move || {
                let _ = js::call(&urls, "revokeObjectURL", &[url]);
            },
            std::time::Duration::from_secs(60),
        );
        Some(())
    };
    save().is_some()
}

/// Saves bytes as a file; whether the browser took it.
pub fn save_bytes(name: &str, bytes: &[u8]) -> bool {
    save_as(name, "application/octet-stream", bytes)
}

/// Saves bytes as a file of a media type; whether the browser took it.
pub fn save_as(name: &str, kind: &str, bytes: &[u8]) -> bool {
    let parts: Array = [JsValue::from(Uint8Array::from(bytes))].iter().collect();
    let kind = js::object(&[("type", kind.into())]);
    let file = construct("File", &[parts.into(), name.into(), kind]);
    file.is_some_and(|file| save_file(name, file))
}

/// The bytes of the file chosen in a field; `None` when none is.
pub async fn chosen(field: &JsValue) -> Option<Vec<u8>> {
    let files = js::member(field, "files")?;
    bytes_of(&js::member(&files, "0")?).await
}

/// The bytes of a file.
pub async fn bytes_of(file: &JsValue) -> Option<Vec<u8>> {
    let bytes = js::call_wait(file, "arrayBuffer", &[]).await?.ok()?;
    Some(Uint8Array::new(&bytes).to_vec())
}

/// Every file chosen in a field, by name.
pub async fn all_chosen(field: &JsValue) -> Vec<(String, Vec<u8>)> {
    let mut all = Vec::new();
    let Some(files) = js::member(field, "files") else {
        return all;
    };
    let mut at = 0;
    while let Some(file) = js::member(&files, &at.to_string()) {
        if let Some(bytes) = bytes_of(&file).await {
            all.push((js::text(&file, "name").unwrap_or_default(), bytes));
        }
        at += 1;
    }
    all
}

/// A new object of a class that the browser may or may not have.
pub fn new_object(class: &str, arguments: &[JsValue]) -> Option<JsValue> {
    construct(class, arguments)
}
