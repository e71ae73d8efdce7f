//! The ways between the parts of a screen.

use leptos::prelude::*;

/// A button for each part, the one that is shown marked.
#[component]
pub fn Steps<P: Copy + PartialEq + Send + Sync + 'static>(
    /// What the parts belong to.
    label: &'static str,
    /// The parts, in order.
    all: &'static [P],
    /// The word on the button of each.
    word: fn(P) -> &'static str,
    /// The part that is shown.
    #[prop(into)]
    here: Signal<P>,
    /// Goes to a part.
    go: Callback<P>,
) -> impl IntoView {
    let one = |part: P| {
        view! {
            <button type="button" class="btn" aria-current=move || (here.get() == part).then_some("true")
                on:click=move |_| go.run(part)>{word(part)}</button>
        }
    };
    view! {
        <nav class="steps no-print" aria-label=label>
            {all.iter().map(|part| one(*part)).collect_view()}
        </nav>
    }
}
