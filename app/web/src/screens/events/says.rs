//! What the charter says to a game, shown where the game is.

use engine::log::{Author, Opening, Setup};
use leptos::prelude::*;

use super::own_card;
use crate::book::Book;
use crate::state::{AppState, Under, app_state};

/// The opening that this phone would write for a setup, in this role.
pub fn opening_here(
    app: AppState,
    setup: &Setup,
    role: Option<engine::log::Role>,
) -> Option<Opening> {
    let own = own_card(app)?;
    Some(Opening::new(
        setup.clone(),
        Author {
            role: role.unwrap_or(own.role),
            ..own
        },
    ))
}

/// How a game stands to a charter, with everything that does not agree.
#[component]
pub fn CharterSays(
    /// How it stands.
    #[prop(into)]
    under: Signal<Option<Under>>,
) -> impl IntoView {
    move || {
        under.get().map(|under| {
            let objections = under.objections();
            if objections.is_empty() {
                return view! { <p class="soft">{under.says()}</p> }.into_any();
            }
            let list: Vec<_> = objections
                .into_iter()
                .map(|o| view! { <p class="objection">{o}</p> })
                .collect();
            view! {
                <div class="message bad" role="alert">
                    <p class="what">"This does not agree with the event's charter."</p>
                    {list}
                    <p class="next">{under.says()}" Put it right, or play: it is recorded as it is, and the organiser sees it."</p>
                </div>
            }
            .into_any()
        })
    }
}

/// How a game of this phone stands to a charter, in one line.
pub fn under_line(book: &Book) -> String {
    let under = app_state().under(book.record.opening());
    let against = under.objections().len();
    match (&under, against) {
        (Under::Charter { .. }, 1) => format!("{} One thing does not agree.", under.says()),
        (Under::Charter { .. }, 2..) => {
            format!("{} {against} things do not agree.", under.says())
        }
        _ => under.says(),
    }
}

/// What is to be known about the keys behind a game.
#[component]
pub fn KeyNotes(
    /// The notes, in words.
    notes: Vec<String>,
) -> impl IntoView {
    (!notes.is_empty()).then(|| {
        let notes: Vec<_> = notes.into_iter().map(|n| view! { <li>{n}</li> }).collect();
        view! {
            <div class="message bad" role="alert">
                <p class="what">"A key changed."</p>
                <ul class="stack-tight">{notes}</ul>
            </div>
        }
    })
}
