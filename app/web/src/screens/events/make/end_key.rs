//! Ending an official's key from here on: lost, empty, or in other hands.

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::Making;
use crate::clock;
use crate::state::app_state;

/// The way to end the key of an official whom the charter in force lists.
#[component]
pub fn EndKey(making: Making, at: usize) -> impl IntoView {
    let app = app_state();
    let draft = making.draft;
    let author = move || draft.with(|d| d.officials.get(at).and_then(|o| o.author().ok()));
    let event = draft.with_untracked(|d| d.event.clone());
    let of = event.clone();
    let listed = Memo::new(move |_| {
        let kept = of.as_deref().and_then(|event| app.event(event));
        let in_force = kept.as_ref().and_then(|kept| kept.in_force());
        let author = author();
        in_force
            .zip(author)
            .is_some_and(|(signed, author)| signed.charter().endorsement(&author.key).is_some())
    });
    let until = RwSignal::new(String::new());
    let wrong = RwSignal::new(None::<String>);
    let end = move |_| {
        let (Some(author), Some(event)) = (author(), event.clone()) else {
            return;
        };
        let moment = match until.get_untracked().trim() {
            "" => None,
            typed => match clock::of_field(typed) {
                Some(ms) => Some(ms),
                None => return wrong.set(Some("This is no time: choose day and hour.".into())),
            },
        };
        let collectors = draft.with_untracked(|d| d.collector_keys());
        spawn_local(async move {
            let key = author.key;
            match app.ended_key(&event, author, moment, &collectors).await {
                Ok(ended) if moment.is_some() && ended.good.is_empty() => {
                    let _ = wrong.try_set(Some(NOTHING_DATED.into()));
                }
                Ok(ended) => {
                    let _ = draft.try_update(|d| d.end_key(&key, &ended));
                }
                Err(why) => {
                    let _ = wrong.try_set(Some(why.what()));
                }
            }
        });
    };
    view! {
        <Show when=move || listed.get()>
            <details>
                <summary class="btn wide">"End this key"</summary>
                <div class="stack-tight">
                    <p>"For a phone that is lost, empty or in other hands. The records by this key that this phone holds stay \
                        good as far as they have come here: fetch or take in the newest first. Nothing that is signed with \
                        it later counts, in any game. Whoever it was goes on with another key: take their new card, too."</p>
                    <p>"Taking the official out instead would take their records out of the results."</p>
                    <div class="field">
                        <label for=format!("end-{at}")>"Only what collectors dated before (empty: all that is here)"</label>
                        <input id=format!("end-{at}") class="input" type="datetime-local" prop:value=move || until.get()
                            on:input:target=move |ev| until.set(ev.target().value())/>
                    </div>
                    <div role="alert">{move || wrong.get().map(|w| view! { <p class="objection">{w}</p> })}</div>
                    <button type="button" class="btn wide" on:click=end.clone()>"End it from here on"</button>
                </div>
            </details>
        </Show>
    }
}

const NOTHING_DATED: &str = "No receipt here by a listed collector dates a record by this key before then: list the collector below, take in the officials' files, or leave the time empty.";

/// The keys that end, and the way back.
#[component]
pub fn Ended(making: Making) -> impl IntoView {
    let draft = making.draft;
    move || {
        let ended = draft.with(|d| d.ended.clone());
        let one = |(at, key): (usize, crate::charter_draft::EndedText)| {
            let back = move |_| draft.update(|d| d.list_again(at));
            let name = key.official.name.clone();
            view! {
                <div class="stack-tight boxed" role="group" aria-label=format!("Ended: {name}")>
                    <p>"This key ends. "{key.says()}</p>
                    <button type="button" class="btn" on:click=back
                        aria-label=format!("List again: {name}")>"List again"</button>
                </div>
            }
        };
        ended.into_iter().enumerate().map(one).collect_view()
    }
}
