//! What fits: the plan to scale, what was reduced, what to bring.

use engine::court::{
    Fit, FittedCourt, Plan as Drawing, Shortfall, TapeLength, Units, materials, svg,
};
use leptos::html::Div;
use leptos::prelude::*;
use leptos_router::NavigateOptions;
use leptos_router::hooks::use_navigate;

use super::{Part, Work};
use crate::court_draft::Found;
use crate::draft::Draft;
use crate::parts::{Defer, Message, Section, Tone};
use crate::words::capital;

/// Steps of the zoom; each has a class of its own.
const ZOOMS: usize = 4;

/// The result of the fit.
#[component]
pub fn Plan(work: Work) -> impl IntoView {
    move || {
        work.found.with(|found| match found {
            Err(why) => refused(why).into_any(),
            Ok(found) => match &found.fit {
                Fit::Fits(fitted) => fits(work, found, fitted).into_any(),
                Fit::DoesNotFit(short) => none(
                    short,
                    work.draft.with(crate::court_draft::CourtDraft::units),
                )
                .into_any(),
            },
        })
    }
}

/// In place of a plan: what is wrong with the ground.
pub fn refused(why: &[String]) -> impl IntoView + use<> {
    let lines = why
        .iter()
        .map(|w| view! { <p class="objection">{w.clone()}</p> })
        .collect_view();
    view! {
        <div class="message bad" role="alert">
            <p class="what">"The ground is not clear yet."</p>
            {lines}
        </div>
        <Defer words=super::DEFER/>
    }
}

/// In place of a plan: nothing fits, and by how much.
pub fn none(short: &Shortfall, units: Units) -> impl IntoView + use<> {
    view! {
        <Message tone=Tone::Bad what=short.sentence(units)
            next="Look for more ground, or move what stands in it. Nobody plays with less run-off to make it fit.".to_string()/>
        <Defer words=super::DEFER/>
    }
}

fn fits(work: Work, found: &Found, fitted: &FittedCourt) -> impl IntoView + use<> {
    let court = fitted.court();
    let units = work.draft.with(crate::court_draft::CourtDraft::units);
    let reduced = court.reductions().to_vec();
    let headline = match (reduced.is_empty(), court.is_within_edition()) {
        (true, _) => "The full court fits.".to_string(),
        (false, true) => "A court fits; what is less is within the edition.".to_string(),
        (false, false) => "A smaller court fits; it is no longer within the edition.".to_string(),
    };
    let tone = if court.is_within_edition() {
        Tone::Good
    } else {
        Tone::Plain
    };
    let sentences = found
        .fit
        .sentences(units)
        .into_iter()
        .filter(|s| *s != headline)
        .map(|s| view! { <li>{capital(&s)}</li> })
        .collect_view();
    let spare = fitted.spare();
    let spare = (spare.mm() > 0).then(|| {
        view! { <li>{format!("{} more than the run-off are clear all round.", TapeLength::from(spare).show(units))}</li> }
    });
    let materials = materials(court)
        .sentences(units)
        .into_iter()
        .map(|s| view! { <li>{s}</li> })
        .collect_view();
    view! {
        <Message tone=tone what=headline/>
        <ul class="stack-tight">{sentences}{spare}</ul>
        <Zoom work=work/>
        <Section title="What to bring">
            <ul class="stack-tight">{materials}</ul>
        </Section>
        <Use work=work/>
        <Defer words=super::DEFER/>
    }
}

/// The engine's own drawing of the plan.
pub fn drawn(found: &Found, units: Units) -> String {
    found.fit.court().map_or_else(String::new, |court| {
        svg(&Drawing::new(court, Some(&found.space)), units)
    })
}

/// The plan in a frame that scrolls, with three buttons.
#[component]
fn Zoom(work: Work) -> impl IntoView {
    let zoom = RwSignal::new(0usize);
    let frame = NodeRef::<Div>::new();
    // What is in the middle of the frame stays there.
    let to = move |next: usize| {
        let next = next.min(ZOOMS - 1);
        let Some(frame) = frame.get_untracked() else {
            return zoom.set(next);
        };
        let middle = |at: i32, shown: i32, all: i32| {
            (f64::from(at) + f64::from(shown) / 2.0) / f64::from(all.max(1))
        };
        let across = middle(
            frame.scroll_left(),
            frame.client_width(),
            frame.scroll_width(),
        );
        let down = middle(
            frame.scroll_top(),
            frame.client_height(),
            frame.scroll_height(),
        );
        zoom.set(next);
        request_animation_frame(move || {
            let at = |share: f64, shown: i32, all: i32| {
                (share * f64::from(all) - f64::from(shown) / 2.0) as i32
            };
            frame.set_scroll_left(at(across, frame.client_width(), frame.scroll_width()));
            frame.set_scroll_top(at(down, frame.client_height(), frame.scroll_height()));
        });
    };
    let picture = Memo::new(move |_| {
        let units = work.draft.with(crate::court_draft::CourtDraft::units);
        work.found
            .with(|f| f.as_ref().map(|f| drawn(f, units)).unwrap_or_default())
    });
    view! {
        <section class="plan" aria-label="Plan">
            <div class="plan-frame" node_ref=frame tabindex="0" role="region" aria-label="Plan of the court, scrolls when enlarged">
                <div class=move || format!("plan-in zoom-{}", zoom.get()) inner_html=move || picture.get()></div>
            </div>
            <div class="row" role="group" aria-label="Size of the plan">
                <button type="button" class="btn" disabled=move || zoom.get() == 0
                    on:click=move |_| to(zoom.get_untracked().saturating_sub(1))>"Smaller"</button>
                <button type="button" class="btn" disabled=move || zoom.get() == 0
                    on:click=move |_| to(0)>"Whole"</button>
                <button type="button" class="btn" disabled=move || zoom.get() + 1 == ZOOMS
                    on:click=move |_| to(zoom.get_untracked() + 1)>"Larger"</button>
            </div>
        </section>
    }
}

/// Takes the court into a new game.
#[component]
fn Use(work: Work) -> impl IntoView {
    let court = work.draft;
    let navigate = use_navigate();
    let take = move |_| {
        let mut draft = Draft::load();
        court.with_untracked(|y| {
            draft.edition.clone_from(&y.edition);
            draft.changes.clone_from(&y.changes);
            draft.court_name.clone_from(&y.name);
            draft.court_used.clone_from(&y.used);
        });
        draft.save();
        navigate("/new", NavigateOptions::default());
    };
    view! {
        <Section title="Play here">
            <div class="field">
                <label for="court-name">"Name of the place, if it has one"</label>
                <input id="court-name" class="input" maxlength="60" autocomplete="off"
                    prop:value=move || court.with(|y| y.name.clone())
                    on:input:target=move |ev| court.update(|y| y.name = ev.target().value())/>
            </div>
            <button type="button" class="btn wide start" on:click=take>
                <span class="words">
                    "New game on this court"
                    <span class="under">"Its lengths go into the fixture and onto the score sheet."</span>
                </span>
            </button>
        </Section>
    }
}

/// Prints, or goes on to the steps.
#[component]
pub fn Foot(work: Work) -> impl IntoView {
    let fits = move || {
        work.found
            .with(|f| f.as_ref().is_ok_and(|f| f.fit.court().is_some()))
    };
    move || {
        if fits() {
            view! {
                <div class="pair">
                    <button type="button" class="btn" on:click=|_| crate::js::print()>"Print"</button>
                    <button type="button" class="btn lit" on:click=move |_| work.go.run(Part::Steps)>"Set it out"</button>
                </div>
            }
            .into_any()
        } else {
            view! {
                <button type="button" class="btn lit big wide" on:click=move |_| work.go.run(Part::Space)>"Back to the ground"</button>
            }
            .into_any()
        }
    }
}
