//! The set-out: one big step at a time, ticked off with one thumb.

use engine::court::{SetOutStep, Task};
use leptos::prelude::*;

use super::diagonals::Diagonals;
use super::plan::{none, refused};
use super::{Part, Work, marks};
use crate::parts::{Defer, Message, Tone};

/// The steps of the court found.
fn steps(work: Work) -> Memo<Vec<SetOutStep>> {
    Memo::new(move |_| {
        work.found.with(|f| {
            f.as_ref()
                .map(crate::court_draft::Found::steps)
                .unwrap_or_default()
        })
    })
}

/// The step that is next, large; the others in a list.
#[component]
pub fn Steps(work: Work) -> impl IntoView {
    move || {
        work.found.with(|found| match found {
            Err(why) => refused(why).into_any(),
            Ok(found) => match &found.fit {
                engine::court::Fit::DoesNotFit(short) => none(
                    short,
                    work.draft.with(crate::court_draft::CourtDraft::units),
                )
                .into_any(),
                engine::court::Fit::Fits(_) => view! { <Going work=work/> }.into_any(),
            },
        })
    }
}

#[component]
fn Going(work: Work) -> impl IntoView {
    let draft = work.draft;
    let steps = steps(work);
    let next = Memo::new(move |_| steps.with(|s| draft.with(|y| y.next_step(s.len()))));
    let units = move || draft.with(crate::court_draft::CourtDraft::units);
    let now = move || {
        let Some(at) = next.get() else {
            return view! {
                <Message tone=Tone::Good what="Every step is done.".to_string()
                    next="Measure the diagonals once more, then walk the court before anyone plays.".to_string()/>
                <Diagonals work=work/>
            }
            .into_any();
        };
        let units = units();
        steps.with(|steps| {
            let step = steps.get(at)?;
            let picture = work.found.with(|f| {
                let court = f.as_ref().ok()?.fit.court()?;
                Some(marks::drawing(court, steps, at, units))
            });
            let closing = matches!(step.task(), Task::Close { .. })
                .then(|| view! { <Diagonals work=work/> });
            Some(view! {
                <section class="step-now" aria-label="Next step">
                    <p class="split"><b>{format!("Step {} of {}", at + 1, steps.len())}</b><span>{step.hands().to_string()}</span></p>
                    {picture}
                    <p class="step-words" role="status">{step.text(units)}</p>
                    {closing}
                </section>
            })
        })
        .into_any()
    };
    let row = move |i: usize| {
        let on = move || draft.with(|y| y.done.contains(&i));
        let text = move || steps.with(|s| s.get(i).map(|s| s.text(units())).unwrap_or_default());
        view! {
            <li>
                <label class="choice">
                    <input type="checkbox" prop:checked=on on:change=move |_| draft.update(|y| {
                        if y.done.contains(&i) {
                            y.done.retain(|d| *d != i);
                        } else {
                            y.done.push(i);
                        }
                    })/>
                    <span>{move || format!("{}. {}", i + 1, text())}</span>
                </label>
            </li>
        }
    };
    view! {
        {now}
        <details>
            <summary class="btn wide">"All steps"</summary>
            <ol class="choices details">{move || (0..steps.with(Vec::len)).map(row).collect_view()}</ol>
        </details>
        <Defer words=super::DEFER/>
    }
}

/// One step on, one step back.
#[component]
pub fn Foot(work: Work) -> impl IntoView {
    let draft = work.draft;
    let steps = steps(work);
    let count = Memo::new(move |_| steps.with(Vec::len));
    let next = Memo::new(move |_| draft.with(|y| y.next_step(count.get())));
    let back = move |_| {
        draft.update(|y| {
            y.done.pop();
        });
    };
    let done = move |_| {
        if let Some(at) = next.get_untracked() {
            draft.update(|y| y.done.push(at));
            crate::device::tick();
        }
    };
    view! {
        <div class="confirm-two">
            <button type="button" class="btn" disabled=move || draft.with(|y| y.done.is_empty())
                on:click=back>"One back"</button>
            {move || match (count.get(), next.get()) {
                (0, _) => view! {
                    <button type="button" class="btn lit big" on:click=move |_| work.go.run(Part::Space)>"Back to the ground"</button>
                }.into_any(),
                (_, None) => view! {
                    <button type="button" class="btn lit big" on:click=move |_| work.go.run(Part::Plan)>"Back to the plan"</button>
                }.into_any(),
                _ => view! {
                    <button type="button" class="btn lit big" on:click=done>"Done, next"</button>
                }.into_any(),
            }}
        </div>
    }
}
