//! Fields that several screens ask with.

use leptos::prelude::*;

/// Lines pasted from another phone, and the button that reads them.
#[component]
pub fn PastedLines(
    /// What is in the field.
    typed: RwSignal<String>,
    /// Reads it.
    read: impl Fn() + 'static,
    /// The first thing to do on its screen.
    #[prop(optional)]
    first: bool,
) -> impl IntoView {
    let class = if first {
        "btn lit big wide"
    } else {
        "btn wide"
    };
    view! {
        <label class="field">
            <span class="label">"Paste the lines from the other phone"</span>
            <textarea class="input lines" rows="5" autocomplete="off" autocapitalize="off" spellcheck="false"
                prop:value=move || typed.get()
                on:input:target=move |ev| typed.set(ev.target().value())></textarea>
        </label>
        <button type="button" class=class on:click=move |_| read()>"Read the lines"</button>
    }
}

/// The address of a collector, and what is wrong with it.
#[component]
pub fn CollectorAddress(
    /// The words before it.
    label: &'static str,
    /// What is in the field.
    text: RwSignal<String>,
    /// What is wrong with it.
    wrong: RwSignal<Option<String>>,
) -> impl IntoView {
    view! {
        <div class="field">
            <label for="collector-address">{label}</label>
            <input id="collector-address" class="input" type="url" inputmode="url" autocomplete="off"
                autocapitalize="none" spellcheck="false" placeholder="https://"
                aria-invalid=move || wrong.with(Option::is_some).to_string()
                prop:value=text on:input=move |e| text.set(event_target_value(&e))/>
            {move || wrong.get().map(|w| view! { <p class="objection" role="alert">{w}</p> })}
        </div>
    }
}
