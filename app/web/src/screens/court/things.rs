//! The list of what to keep clear of, each by numbers.

use leptos::prelude::*;

use super::Work;
use crate::court_draft::{CourtDraft, Thing};
use crate::parts::LengthField;

/// A number of a thing, with its label and how to reach it.
type Slot = (&'static str, fn(&mut Thing) -> Option<&mut f64>);

fn x_of(t: &mut Thing) -> Option<&mut f64> {
    match t {
        Thing::Post { x, .. } | Thing::Block { x, .. } => Some(x),
    }
}

fn y_of(t: &mut Thing) -> Option<&mut f64> {
    match t {
        Thing::Post { y, .. } | Thing::Block { y, .. } => Some(y),
    }
}

fn across_of(t: &mut Thing) -> Option<&mut f64> {
    match t {
        Thing::Post { across, .. } => Some(across),
        Thing::Block { .. } => None,
    }
}

fn wide_of(t: &mut Thing) -> Option<&mut f64> {
    match t {
        Thing::Block { wide, .. } => Some(wide),
        Thing::Post { .. } => None,
    }
}

fn high_of(t: &mut Thing) -> Option<&mut f64> {
    match t {
        Thing::Block { high, .. } => Some(high),
        Thing::Post { .. } => None,
    }
}

/// Every obstacle; new ones by a button as well as by a tap on the sketch.
#[component]
pub fn Things(work: Work) -> impl IntoView {
    let draft = work.draft;
    // One row a thing, made anew only when one comes or goes.
    let rows = Memo::new(move |_| {
        draft.with(|y| {
            y.things
                .iter()
                .map(|t| matches!(t, Thing::Post { .. }))
                .collect::<Vec<_>>()
        })
    });
    let middle = move || {
        draft.with_untracked(|y| {
            let outline = y.outline();
            let n = outline.len().max(1) as f64;
            let sum = outline
                .iter()
                .fold((0.0, 0.0), |(a, b), (x, y)| (a + x, b + y));
            ((sum.0 / n).round(), (sum.1 / n).round())
        })
    };
    let add = move |post: bool| {
        let (x, y) = middle();
        draft.update(|draft| {
            draft.things.push(if post {
                Thing::Post { x, y, across: 0.3 }
            } else {
                Thing::Block {
                    x,
                    y,
                    wide: 2.0,
                    high: 2.0,
                }
            });
        });
    };
    view! {
        <ul class="stack">
            {move || rows.get().into_iter().enumerate().map(|(i, post)| view! { <Row work=work at=i post=post/> }).collect_view()}
        </ul>
        <div class="pair">
            <button type="button" class="btn" on:click=move |_| add(true)>"Add a post or tree"</button>
            <button type="button" class="btn" on:click=move |_| add(false)>"Add a block"</button>
        </div>
    }
}

#[component]
fn Row(work: Work, at: usize, post: bool) -> impl IntoView {
    let draft = work.draft;
    let feet = work.feet();
    let slots: &[Slot] = if post {
        &[
            ("From the left", x_of),
            ("From the bottom", y_of),
            ("Across", across_of),
        ]
    } else {
        &[
            ("From the left", x_of),
            ("From the bottom", y_of),
            ("Size to the right", wide_of),
            ("Size upwards", high_of),
        ]
    };
    let fields = slots
        .iter()
        .enumerate()
        .map(|(n, (label, slot))| {
            let slot = *slot;
            let get = move |y: &CourtDraft| {
                let mut thing = *y.things.get(at)?;
                slot(&mut thing).map(|v| *v)
            };
            view! {
                <LengthField id=format!("thing-{at}-{n}") label=*label feet=feet
                    value=Signal::derive(move || draft.with(get))
                    set=Callback::new(move |v: Option<f64>| {
                        if let Some(v) = v {
                            draft.update(|y| if let Some(old) = y.things.get_mut(at).and_then(slot) { *old = v });
                        }
                    })/>
            }
        })
        .collect_view();
    // As the engine counts them when it objects to one.
    let name = if post { "post or tree" } else { "block" };
    let title = format!("Obstacle {}: {name}", at + 1);
    view! {
        <li><div class="thing-row" role="group" aria-label=title.clone()>
            <div class="split">
                <h3>{title.clone()}</h3>
                <button type="button" class="btn quiet" aria-label=format!("remove obstacle {}", at + 1)
                    on:click=move |_| draft.update(|y| if at < y.things.len() { y.things.remove(at); })>"Remove"</button>
            </div>
            <div class="pair">{fields}</div>
        </div></li>
    }
}
