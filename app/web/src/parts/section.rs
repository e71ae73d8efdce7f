//! A part of a screen.

use leptos::prelude::*;

/// A part of a screen under its heading, which is its name too. What changes in it
/// stands in a closure, as in every component.
#[component]
pub fn Section(
    /// The heading.
    title: &'static str,
    /// A class besides its own.
    #[prop(default = "")]
    class: &'static str,
    children: Children,
) -> impl IntoView {
    view! {
        <section class=format!("section {class}") aria-label=title>
            <h2>{title}</h2>
            {children()}
        </section>
    }
}
