//! The frame of every screen but the calling screen.

use crate::parts::A;
use leptos::html::{ElementType, H1};
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use web_sys::HtmlElement;

/// A screen, or what takes the place of a part of it, begins at its title for who moves by keyboard or
/// by ear, unless the focus is somewhere already.
pub fn begins_here<E>(title: NodeRef<E>)
where
    E: ElementType + 'static,
    E::Output: JsCast + Clone + AsRef<HtmlElement> + 'static,
{
    title.on_load(|title| {
        let at = crate::js::window().and_then(|w| w.document()?.active_element());
        if at.is_none_or(|at| at.tag_name() == "BODY") {
            let title: &HtmlElement = title.as_ref();
            let _ = title.focus();
        }
    });
}

/// The app's name.
pub const NAME: &str = "Chalkbook";

/// Title, way back, content, and buttons that stay under the thumb.
#[component]
pub fn Page(
    /// The title.
    #[prop(into)]
    title: Signal<String>,
    /// Where the way back leads; none on the first screen.
    #[prop(into, optional)]
    back: Option<String>,
    /// Buttons at the bottom.
    #[prop(optional, into)]
    foot: ViewFnOnce,
    /// Whether there are buttons at the bottom.
    #[prop(default = false)]
    has_foot: bool,
    /// Leaves the way back out: the buttons at the bottom have it.
    #[prop(default = false)]
    bare: bool,
    /// A button at the end of the title line.
    #[prop(optional, into)]
    aside: ViewFnOnce,
    children: Children,
) -> impl IntoView {
    Effect::new(move |_| {
        if let Some(document) = crate::js::window().and_then(|w| w.document()) {
            document.set_title(&match title.get() {
                title if title == NAME => title,
                title => format!("{title} · {NAME}"),
            });
        }
    });
    let heading = NodeRef::<H1>::new();
    begins_here(heading);
    view! {
        <div class="page">
            <header class="head">
                <div>
                    {back.filter(|_| !bare).map(|to| view! { <A href=to attr:class="btn">"Back"</A> })}
                </div>
                <h1 node_ref=heading tabindex="-1">{title}</h1>
                <div>{aside.run()}</div>
            </header>
            // What scrolls must be reachable by keyboard, also where it holds only text.
            <main class="body" tabindex=has_foot.then_some("0")>{children()}</main>
            {has_foot.then(|| view! { <footer class="foot" aria-label="Go on">{foot.run()}</footer> })}
        </div>
    }
}
