//! The app's own signs: each drawn in one stroke width, always beside a word.

use leptos::prelude::*;

/// What a sign stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// An event's charter: a signed sheet.
    Event,
    /// Another phone beside this one.
    Phones,
    /// A court: four bases, home below.
    Court,
    /// Care for people: thunder.
    Care,
    /// Records on their way.
    Delivery,
    /// The desk: a table.
    Desk,
    /// A file looked at closely: a sheet under a glass.
    Check,
}

impl Sign {
    /// The line, in a square of 24.
    const fn line(self) -> &'static str {
        match self {
            Self::Event => "M6 3h12v18H6zM9 8h6M9 12h6M9 17c1.5-2 2.5-2 3 0s1.5 1 3-1",
            Self::Phones => "M4 3h8v14H4zM12 8h8v13h-8v-4M7 14h2M15 18h2",
            Self::Court => "M12 21 3 12l9-9 9 9zM12 21l-2-2v-3h4v3zM10 3h4v4h-4z",
            Self::Care => "M7 14a4 4 0 1 1 1-8 5 5 0 0 1 9 1 3.5 3.5 0 1 1 1 7M13 11l-3 5h4l-3 5",
            Self::Delivery => "M3 14v6h18v-6M12 16V4M7 9l5-5 5 5",
            Self::Desk => "M3 5h18v14H3zM3 10h18M9 5v14M15 5v14",
            Self::Check => {
                "M14 20H5V3h10v5M8 7h4M8 11h2M19 14a4 4 0 1 1-8 0 4 4 0 0 1 8 0M18 17l3 4"
            }
        }
    }
}

/// A sign; who listens hears only the word beside it.
#[component]
pub fn Icon(
    /// Which one.
    sign: Sign,
) -> impl IntoView {
    view! {
        <svg class="icon" viewBox="0 0 24 24" width="28" height="28" aria-hidden="true" fill="none"
            stroke="currentColor" stroke-width="2" stroke-linejoin="round" stroke-linecap="round">
            <path d=sign.line()></path>
        </svg>
    }
}
