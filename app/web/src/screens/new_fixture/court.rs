//! The court of a new game: the one fitted on this phone, or none.

use crate::parts::{A, Section};
use engine::court::CourtUsed;
use leptos::prelude::*;

use crate::court_draft::{CourtDraft, read_used};
use crate::draft::Draft;

/// Why the court chosen does not go with the rules chosen.
pub fn objection(draft: &Draft) -> Option<String> {
    let used = read_used(draft.court_used.as_ref()?)?;
    let edition = draft.edition().ok()?;
    (!used.is_under(&edition)).then(|| {
        "The court was fitted under other rules: fit it again under these, or leave it out."
            .to_string()
    })
}

/// The court that goes with the fixture.
#[component]
pub fn CourtChoice(draft: RwSignal<Draft>) -> impl IntoView {
    let court = StoredValue::new(CourtDraft::load());
    let fitted = move || court.with_value(|y| y.used.as_deref().and_then(read_used));
    let chosen = Memo::new(move |_| draft.with(|d| d.court_used.as_deref().and_then(read_used)));
    let take = move |_| {
        court.with_value(|y| {
            draft.update(|d| {
                d.court_used.clone_from(&y.used);
                if d.court_name.trim().is_empty() {
                    d.court_name.clone_from(&y.name);
                }
            });
        });
    };
    let first = |used: &CourtUsed| used.sentences().into_iter().next().unwrap_or_default();
    let offer = move || {
        if chosen.get().is_some() {
            return None;
        }
        fitted().map(|used| {
            view! {
                <button type="button" class="btn wide start" on:click=take>
                    <span class="words">"Play on the court fitted here"<span class="under">{first(&used)}</span></span>
                </button>
            }
        })
    };
    let said = move || {
        chosen.get().map(|used| {
            let lines = used.sentences().into_iter().map(|s| view! { <li>{s}</li> });
            view! {
                <div class="message">
                    <ul class="stack-tight">{lines.collect_view()}</ul>
                    {move || draft.with(objection).map(|o| view! { <p class="objection">{o}</p> })}
                    <div class="acts">
                        <button type="button" class="btn" on:click=move |_| draft.update(|d| d.court_used = None)>"Leave it out"</button>
                    </div>
                </div>
            }
        })
    };
    view! {
        <Section title="Where?">
            <div class="field">
                <label for="court-name">"Name of the place, if it has one"</label>
                <input id="court-name" class="input" maxlength="60" autocomplete="off"
                    prop:value=move || draft.with(|d| d.court_name.clone())
                    on:input:target=move |ev| draft.update(|d| d.court_name = ev.target().value())/>
            </div>
            {said}
            {offer}
            <A href="/court" attr:class="btn wide">"Set out a court"</A>
        </Section>
    }
}
