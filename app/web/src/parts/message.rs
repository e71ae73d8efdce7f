//! Messages: who or what, what happened, what to do next.

use leptos::prelude::*;

use crate::store::Trouble;

/// The kind of a message; each has a line of its own besides its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Something to know.
    Plain,
    /// Done.
    Good,
    /// Refused or failed.
    Bad,
}

/// A message box. A bad one interrupts a screen reader, others wait.
#[component]
pub fn Message(
    /// What happened.
    #[prop(into)]
    what: Signal<String>,
    /// What to do next; may be empty.
    #[prop(into, optional)]
    next: Signal<String>,
    /// Its kind.
    #[prop(default = Tone::Plain)]
    tone: Tone,
    /// Buttons.
    #[prop(optional)]
    children: Option<ChildrenFn>,
) -> impl IntoView {
    let class = match tone {
        Tone::Plain => "message",
        Tone::Good => "message good",
        Tone::Bad => "message bad",
    };
    let role = if tone == Tone::Bad { "alert" } else { "status" };
    view! {
        <div class=class role=role>
            <p class="what">{what}</p>
            <Show when=move || !next.get().is_empty()>
                <p class="next">{next}</p>
            </Show>
            {children.map(|c| view! { <div class="acts">{c()}</div> })}
        </div>
    }
}

/// A message about storage, while there is one.
#[component]
pub fn TroubleMessage(
    /// The trouble, if any.
    #[prop(into)]
    trouble: Signal<Option<Trouble>>,
) -> impl IntoView {
    move || {
        trouble.get().map(|t| {
            view! { <Message tone=Tone::Bad what=t.what() next=t.next().to_string()/> }
        })
    }
}
