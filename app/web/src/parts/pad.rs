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
    let key = move |words: &'static str, key: Key| {
        view! {
            <button type="button" class="btn words-key" on:click=move |_| press.run(key)>{words}</button>
        }
    };
    view! {
        <div class="pad" role="group" aria-label="Number pad">
            {[1, 2, 3].map(digit).collect_view()}
            {key("take back", Key::Back)}
            {[4, 5, 6].map(digit).collect_view()}
            {digit(0)}
            {[7, 8, 9].map(digit).collect_view()}
            {key("next", Key::Next)}
        </div>
    }
}
