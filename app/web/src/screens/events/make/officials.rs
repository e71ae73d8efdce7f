//! The officials of the event with their keys.

use crate::parts::A;
use engine::log::Role;
use leptos::prelude::*;

use super::fields::Slips;
use super::{Making, anchor};
use crate::charter_draft::{OfficialText, Place, read_key};

/// The roles an official may be listed with.
const ROLES: [(Role, &str); 4] = [
    (Role::Umpire, "umpire"),
    (Role::Scorer, "second scorer"),
    (Role::Organiser, "organiser"),
    (Role::Other, "other"),
];

/// All officials besides the organiser, and the ways to add one.
#[component]
pub fn Officials(making: Making) -> impl IntoView {
    let draft = making.draft;
    let count = Memo::new(move |_| draft.with(|d| d.officials.len()));
    let event = draft.with_untracked(|d| d.event.clone());
    // Back from a card that was taken: here, and not at the top of the form.
    let query = leptos_router::hooks::use_query_map();
    let listed = query.with_untracked(|q| q.get("listed"));
    let here = NodeRef::<leptos::html::P>::new();
    Effect::new(move |_| {
        if let Some(here) = here.get() {
            here.scroll_into_view();
        }
    });
    let take = event.map_or_else(
        || "/take?for=charter".to_string(),
        |e| format!("/take?for=charter&event={e}"),
    );
    view! {
        <section class="section" aria-label="Officials" id=anchor(Place::Officials)>
            <h2>"Officials"</h2>
            {listed.map(|name| view! { <p node_ref=here class="message good" role="status">{name}" is listed."</p> })}
            <p>"Each official shows their card: events, then \"Show my card\"."</p>
            <For each=move || 0..count.get() key=|at| *at let:at>
                <OneOfficial making=making at=at/>
            </For>
            <super::end_key::Ended making=making/>
            <Slips making=making place=Place::Officials/>
            <A href=take attr:class="btn wide">"Take an official's card"</A>
            <ByHand making=making/>
        </section>
    }
}

#[component]
fn OneOfficial(making: Making, at: usize) -> impl IntoView {
    let draft = making.draft;
    let official = move || draft.with(|d| d.officials.get(at).cloned().unwrap_or_default());
    let phrase = Memo::new(move |_| match read_key(&official().key) {
        Ok(key) => key.phrase().to_string(),
        Err(why) => why,
    });
    let id = format!("official-name-{at}");
    let role_id = format!("official-role-{at}");
    let options = ROLES.map(|(role, label)| {
        let chosen = move || official().role() == role;
        view! { <option value=role.to_string() selected=chosen>{label}</option> }
    });
    let remove = move |_| {
        draft.update(|d| {
            if at < d.officials.len() {
                d.officials.remove(at);
            }
        });
    };
    view! {
        <div class="stack-tight boxed" role="group" aria-label=move || official().name>
            <div class="field">
                <label for=id.clone()>{format!("Name of official {}", at + 1)}</label>
                <input id=id class="input" maxlength="60" autocomplete="off"
                    prop:value=move || official().name
                    on:input:target=move |ev| {
                        let typed = ev.target().value();
                        draft.update(|d| if let Some(o) = d.officials.get_mut(at) { o.name = typed });
                    }/>
            </div>
            <div class="field">
                <label for=role_id.clone()>{format!("Role of official {}", at + 1)}</label>
                <select id=role_id class="input" on:change:target=move |ev| {
                    let chosen = ev.target().value();
                    draft.update(|d| if let Some(o) = d.officials.get_mut(at) { o.role = chosen });
                }>{options.collect_view()}</select>
            </div>
            <div class="split">
                <p class="soft">{move || phrase.get()}</p>
                <button type="button" class="btn" on:click=remove
                    aria-label=move || format!("take out {}", official().name)>"Take out"</button>
            </div>
            <super::end_key::EndKey making=making at=at/>
        </div>
    }
}

/// A key read out or written down, for a phone that can show nothing.
#[component]
fn ByHand(making: Making) -> impl IntoView {
    let typed = RwSignal::new(OfficialText::default());
    let wrong = RwSignal::new(None::<String>);
    let add = move |_| match typed.with_untracked(OfficialText::author) {
        Ok(author) => {
            making.draft.update(|d| d.add_official(&author));
            typed.set(OfficialText::default());
            wrong.set(None);
        }
        Err(why) => wrong.set(Some(why)),
    };
    let options =
        ROLES.map(|(role, label)| view! { <option value=role.to_string()>{label}</option> });
    view! {
        <details>
            <summary class="btn wide">"Type a public key instead"</summary>
            <div class="stack-tight">
                <div class="field">
                    <label for="hand-name">"Name of the official"</label>
                    <input id="hand-name" class="input" maxlength="60" autocomplete="off"
                        prop:value=move || typed.with(|t| t.name.clone())
                        on:input:target=move |ev| typed.update(|t| t.name = ev.target().value())/>
                </div>
                <div class="field">
                    <label for="hand-role">"Role"</label>
                    <select id="hand-role" class="input"
                        on:change:target=move |ev| typed.update(|t| t.role = ev.target().value())>
                        {options.collect_view()}
                    </select>
                </div>
                <div class="field">
                    <label for="hand-key">"Public key, 64 digits and letters"</label>
                    <textarea id="hand-key" class="input lines" rows="3" autocomplete="off" autocapitalize="off" spellcheck="false"
                        prop:value=move || typed.with(|t| t.key.clone())
                        on:input:target=move |ev| typed.update(|t| t.key = ev.target().value())></textarea>
                </div>
                <div role="alert">{move || wrong.get().map(|w| view! { <p class="objection">{w}</p> })}</div>
                <button type="button" class="btn wide" on:click=add>"Add this official"</button>
            </div>
        </details>
    }
}
