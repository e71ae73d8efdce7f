//! Fields of the form, and what is wrong beside them.

use leptos::prelude::*;

use super::Making;
use crate::charter_draft::{CharterDraft, Place};

/// One line of text of the charter.
#[component]
pub fn Field(
    making: Making,
    /// Its name in the page.
    #[prop(into)]
    id: String,
    /// Its words.
    #[prop(into)]
    label: String,
    /// The kind of input.
    #[prop(default = "text")]
    kind: &'static str,
    /// What is typed in it.
    get: impl Fn(&CharterDraft) -> &String + Send + Sync + 'static,
    /// Changes that.
    set: impl Fn(&mut CharterDraft, String) + 'static,
) -> impl IntoView {
    let draft = making.draft;
    let numeric = (kind == "number").then_some("numeric");
    let kind = if kind == "number" { "text" } else { kind };
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <input id=id class="input" type=kind inputmode=numeric maxlength="100" autocomplete="off"
                prop:value=move || draft.with(|d| get(d).clone())
                on:input:target=move |ev| {
                    let typed = ev.target().value();
                    draft.update(|d| set(d, typed));
                }/>
        </div>
    }
}

/// Several lines of text of the charter.
#[component]
pub fn Lines(
    making: Making,
    /// Its name in the page.
    #[prop(into)]
    id: String,
    /// Its words.
    #[prop(into)]
    label: String,
    /// How many lines are seen.
    rows: &'static str,
    /// What is typed in it.
    get: impl Fn(&CharterDraft) -> String + Send + Sync + 'static,
    /// Changes that.
    set: impl Fn(&mut CharterDraft, String) + 'static,
) -> impl IntoView {
    let draft = making.draft;
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <textarea id=id class="input" rows=rows autocomplete="off" spellcheck="false"
                prop:value=move || draft.with(&get)
                on:input:target=move |ev| {
                    let typed = ev.target().value();
                    draft.update(|d| set(d, typed));
                }></textarea>
        </div>
    }
}

/// What is wrong at a place, said there.
#[component]
pub fn Slips(making: Making, place: Place) -> impl IntoView {
    let wrong = Memo::new(move |_| making.wrong(place));
    view! {
        <div role="alert" class="stack-tight">
            {move || wrong.get().into_iter().map(|w| view! { <p class="objection">{w}</p> }).collect_view()}
        </div>
    }
}
