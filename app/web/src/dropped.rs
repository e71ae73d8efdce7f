//! Files dropped onto the page, wherever it is.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::{use_location, use_navigate};
use wasm_bindgen::JsValue;

use crate::parts::{Message, Tone};
use crate::screens::Taking;
use crate::state::{Reach, app_state};
use crate::{js, sharing};

/// A file that was dropped and not read yet.
#[derive(Clone, Copy)]
struct DroppedFile(RwSignal<Option<Vec<u8>>>);

/// Takes files dropped anywhere and opens the screen that reads them; never
/// during a call, where a play may stand half entered. Belongs inside the
/// router.
#[component]
pub fn DropZone() -> impl IntoView {
    let dropped = DroppedFile(RwSignal::new(None));
    provide_context(dropped);
    let over = RwSignal::new(false);
    let refused = RwSignal::new(false);
    let place = use_location();
    let navigate = use_navigate();
    let has_files = |event: &JsValue| {
        let types = js::member(event, "dataTransfer").and_then(|t| js::member(&t, "types"));
        types.is_some_and(|t| {
            let has = js::call(&t, "includes", &["Files".into()]);
            matches!(has, Some(Ok(yes)) if yes.is_truthy())
        })
    };
    let hovers = window_event_listener(leptos::ev::dragover, move |event| {
        if has_files(&event) {
            // Else the browser leaves the app and shows the file.
            event.prevent_default();
            over.set(true);
        }
    });
    let leaves = window_event_listener(leptos::ev::dragleave, move |event| {
        // Left the window, not only a part of the page.
        if js::member(&event, "relatedTarget").is_none() {
            over.set(false);
        }
    });
    let lands = window_event_listener(leptos::ev::drop, move |event| {
        if !has_files(&event) {
            return;
        }
        event.prevent_default();
        over.set(false);
        let (path, search) = (place.pathname.get_untracked(), place.search.get_untracked());
        if path.ends_with("/call") {
            return refused.set(true);
        }
        refused.set(false);
        let files = js::member(&event, "dataTransfer").and_then(|t| js::member(&t, "files"));
        let Some(file) = files.and_then(|f| js::member(&f, "0")) else {
            return;
        };
        let navigate = navigate.clone();
        spawn_local(async move {
            let Some(bytes) = sharing::bytes_of(&file).await else {
                return;
            };
            dropped.0.set(Some(bytes));
            if path.ends_with("/take") {
                return;
            }
            // On the screens of the second phone it belongs to that game.
            let to = if path.ends_with("/cross") {
                format!("/take?{}", search.trim_start_matches('?'))
            } else {
                "/take".into()
            };
            navigate(&to, NavigateOptions::default());
        });
    });
    on_cleanup(move || {
        hovers.remove();
        leaves.remove();
        lands.remove();
    });
    view! {
        <Show when=move || over.get()>
            <p class="drop-here" role="status">"Let the file go: it is read and looked at, and changes nothing of yours."</p>
        </Show>
        <Show when=move || refused.get()>
            <div class="drop-refused"><Message tone=Tone::Bad what="Files are not taken during a game.".to_string()
                next="Drop it on the first screen, or under \"Second phone\".".to_string()>
                <button type="button" class="btn" on:click=move |_| refused.set(false)>"Put away"</button>
            </Message></div>
        </Show>
    }
}

/// Reads what was dropped on the screen that takes things.
pub fn take_up(taking: Taking) {
    let Some(DroppedFile(dropped)) = use_context() else {
        return;
    };
    let app = app_state();
    Effect::new(move |_| {
        // The page may just have been loaded: the games come first.
        if app.reach.get() != Reach::Ready {
            return;
        }
        if let Some(bytes) = dropped.get() {
            dropped.set(None);
            taking.read_file(bytes);
        }
    });
}
