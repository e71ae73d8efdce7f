//! A pad for shirt numbers: larger and quicker than a phone's keyboard.

use leptos::prelude::*;

/// A key of the pad.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    /// A digit.
    Digit(u8),
    /// Takes the last digit back.
    Back,
    /// Goes to the next slot.
    Next,
}

/// Ten digits, one back, one on.
#[component]
pub fn NumberPad(
    /// What a key does.
    #[prop(into)]
    press: Callback<Key>,
) -> impl IntoView {
    let digit = move |n: u8| {
        view! {
            <button type="button" class="btn" on:click=move |_| press.run(Key::Digit(n))>{n}</button>
        }
    };
    let key = move |words: &'static str, class: &'static str, key: Key| {
        view! {
            <button type="button" class=class on:click=move |_| press.run(key)>{words}</button>
        }
    };
    view! {
        <div class="pad" role="group" aria-label="Number pad">
            {[1, 2, 3].map(digit).collect_view()}
            {key("Next", "btn words-key next-key", Key::Next)}
            {[4, 5, 6, 7, 8, 9].map(digit).collect_view()}
            <button type="button" class="btn nought" on:click=move |_| press.run(Key::Digit(0))>0</button>
            {key("Take back", "btn words-key back-key", Key::Back)}
        </div>
    }
}
