//! The closing check: two diagonals tell whether the square leans.

use engine::court::{Closing, closing_check, diagonal};
use leptos::prelude::*;

use super::Work;
use crate::parts::{LengthField, Message, Section, Tone};

/// By how much the diagonals may differ (m): what chalk and a hand-held tape
/// can do (common practice, no source).
const ALLOWED: f64 = 0.02;

/// Two readings, and what they say.
#[component]
pub fn Diagonals(work: Work) -> impl IntoView {
    let draft = work.draft;
    let feet = work.feet();
    let field = move |i: usize, label: &'static str| {
        view! {
            <LengthField id=format!("diagonal-{i}") label=label feet=feet
                value=Signal::derive(move || draft.with(|y| y.diagonals[i]))
                set=Callback::new(move |v| draft.update(|y| y.diagonals[i] = v))/>
        }
    };
    let want = move || {
        let units = draft.with(crate::court_draft::CourtDraft::units);
        work.found.with(|f| {
            let court = f.as_ref().ok()?.fit.court()?;
            Some(format!("Each should be {}.", diagonal(court).show(units)))
        })
    };
    let verdict = move || {
        let [Some(from_home), Some(across)] = draft.with(|y| y.diagonals) else {
            return None;
        };
        work.found.with(|f| {
            let court = f.as_ref().ok()?.fit.court()?;
            let closing = closing_check(court, from_home, across, ALLOWED);
            let tone = if closing == Closing::Square {
                Tone::Good
            } else {
                Tone::Bad
            };
            Some(view! { <Message tone=tone what=closing.to_string()/> })
        })
    };
    view! {
        <Section title="Two diagonals">
            <p class="small">{want}</p>
            {field(0, "Home to the far fence corner")}
            {field(1, "Right to left fence corner")}
            {verdict}
        </Section>
    }
}
