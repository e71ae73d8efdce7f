//! The court: measure the ground, see what fits, set it out by tape.

mod diagonals;
mod marks;
mod paper;
mod plan;
mod sketch;
mod space;
mod steps;
mod things;

use leptos::prelude::*;
use leptos_router::NavigateOptions;
use leptos_router::hooks::{use_navigate, use_query_map};

use crate::court_draft::{CourtDraft, Found};
use crate::parts::{Page, Steps};

/// What the screen shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Space,
    Plan,
    Steps,
}

impl Part {
    const ALL: [Self; 3] = [Self::Space, Self::Plan, Self::Steps];

    const fn word(self) -> &'static str {
        match self {
            Self::Space => "Ground",
            Self::Plan => "Plan",
            Self::Steps => "Set out",
        }
    }

    fn read(text: Option<String>) -> Self {
        let named = |s: &Self| Some(s.key()) == text;
        Self::ALL.into_iter().find(named).unwrap_or(Self::Space)
    }

    fn key(self) -> String {
        self.word().to_lowercase().replace(' ', "-")
    }

    fn address(self) -> String {
        format!("/court?show={}", self.key())
    }
}

/// Who decides whether to play here.
const DEFER: &str = "Local rules and licensed people decide whether a place is safe to play on; \
    this plan only helps to lay it out.";

/// What the parts of this screen share.
#[derive(Clone, Copy)]
struct Work {
    draft: RwSignal<CourtDraft>,
    found: Memo<Result<Found, Vec<String>>>,
    go: Callback<Part>,
}

impl Work {
    fn feet(self) -> Signal<bool> {
        let draft = self.draft;
        Signal::derive(move || draft.with(|y| y.feet))
    }
}

/// The ground, the plan and the steps: one at a time.
#[component]
pub fn Court() -> impl IntoView {
    let draft = RwSignal::new(CourtDraft::load());
    Effect::new(move |_| draft.with(CourtDraft::save));
    let asked = Memo::new(move |_| draft.with(CourtDraft::asked));
    // Asked of the engine only where a screen shows it, and anew only when the ground changed.
    let found = Memo::new(move |_| asked.get().answer());
    let query = use_query_map();
    let show = Memo::new(move |_| Part::read(query.with(|q| q.get("show"))));
    let navigate = use_navigate();
    let go = Callback::new(move |to: Part| navigate(&to.address(), NavigateOptions::default()));
    let work = Work { draft, found, go };
    Effect::new(move |_| {
        if show.get() == Part::Space {
            return;
        }
        found.with(|found| {
            if let Ok(found) = found {
                draft.update(|y| y.take(found));
            }
        });
    });
    let title = Signal::derive(move || {
        match show.get() {
            Part::Space => "The ground",
            Part::Plan => "The court",
            Part::Steps => "Set it out",
        }
        .to_string()
    });
    let feet = work.feet();
    let units = move || {
        view! {
            <button type="button" class="btn" on:click=move |_| draft.update(|y| y.feet = !y.feet)
                aria-label=move || if feet.get() { "feet and inches: change to metres" } else { "metres: change to feet and inches" }>
                {move || if feet.get() { "ft in" } else { "m" }}
            </button>
        }
    };
    let foot = move || {
        move || match show.get() {
            Part::Space => view! { <space::Foot work=work/> }.into_any(),
            Part::Plan => view! { <plan::Foot work=work/> }.into_any(),
            Part::Steps => view! { <steps::Foot work=work/> }.into_any(),
        }
    };
    view! {
        <Page title=title back="/" has_foot=true foot=foot aside=units>
            <Steps label="The court, step by step" all=&Part::ALL word=Part::word here=show go=go/>
            <div class="stack no-print">
                {move || match show.get() {
                    Part::Space => view! { <space::Space work=work/> }.into_any(),
                    Part::Plan => view! { <plan::Plan work=work/> }.into_any(),
                    Part::Steps => view! { <steps::Steps work=work/> }.into_any(),
                }}
            </div>
            <Show when=move || show.get() != Part::Space>
                <paper::Paper work=work/>
            </Show>
        </Page>
    }
}
