//! A sheet that rises from the bottom edge, where the thumb is.

use leptos::html::Dialog;
use leptos::prelude::*;

/// A modal sheet. Its content is made when it opens, so that it always shows
/// what is the case now. Escape, a tap beside it or its last button close it.
#[component]
pub fn BottomSheet(
    /// Whether it is up.
    open: RwSignal<bool>,
    /// Its title.
    #[prop(into)]
    title: Signal<String>,
    /// The words of the closing button.
    #[prop(into, default = "close".into())]
    close: String,
    children: ChildrenFn,
) -> impl IntoView {
    let node = NodeRef::<Dialog>::new();
    Effect::new(move |_| {
        let Some(dialog) = node.get() else { return };
        match (open.get(), dialog.open()) {
            (true, false) => {
                // Fails only for an element that is not on the page.
                let _ = dialog.show_modal();
            }
            (false, true) => dialog.close(),
            _ => {}
        }
    });
    let beside = move |event: leptos::ev::MouseEvent| {
        let on_dialog = node.get_untracked().is_some_and(|d| {
            let dialog: &web_sys::EventTarget = d.as_ref();
            event.target().as_ref() == Some(dialog)
        });
        if on_dialog {
            open.set(false);
        }
    };
    let children = StoredValue::new(children);
    let close = StoredValue::new(close);
    view! {
        <dialog class="rise" node_ref=node on:close=move |_| open.set(false) on:click=beside
            aria-label=title>
            <Show when=move || open.get()>
                <h2>{title}</h2>
                <div class="rise-in">{children.read_value()()}</div>
                <div class="rise-back">
                    <button type="button" class="btn wide" on:click=move |_| open.set(false)>
                        {close.get_value()}
                    </button>
                </div>
            </Show>
        </dialog>
    }
}
