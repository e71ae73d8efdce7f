//! More than two who keep one game: whose record is compared.

use engine::crosscheck::{Counterpart, compare};
use engine::log::Fingerprint;
use gloo_storage::{LocalStorage, Storage};
use leptos::prelude::*;

use crate::book::{Book, Other};
use crate::state::app_state;

fn kept_under(game: &str) -> String {
    format!("chalkbook-compared {game}")
}

fn author(other: &Other) -> Fingerprint {
    other.record.chain().author().fingerprint()
}

/// The place of the record that was chosen, if one was and it is still here.
pub fn chosen(book: &Book) -> Option<usize> {
    let named: String = LocalStorage::get(kept_under(&book.listed.game)).ok()?;
    let is = |other: &Other| author(other).to_string() == named;
    book.others.iter().position(is)
}

/// The other records, each with whether it tells the same game; nothing where
/// there is one at most. A touch compares with another one.
pub fn list(book: &Book, shown: Option<&Counterpart>) -> Option<impl IntoView + use<>> {
    if book.others.len() < 2 {
        return None;
    }
    let app = app_state();
    let shown = shown.map(|theirs| theirs.record().chain().author().fingerprint());
    let rows: Vec<_> = book
        .others
        .iter()
        .map(|other| {
            let whose = &other.record.opening().author;
            let who = match whose.name.trim() {
                // The words of the key tell two without a name apart.
                "" => format!("{} with the key {}", whose.role, whose.key.phrase()),
                name => format!("{name}, {}", whose.role),
            };
            let found = compare(book.history(), other.record.history());
            let says = if found.differences.is_empty() {
                "tells the same game"
            } else {
                "differs"
            };
            let fingerprint = author(other);
            let key = kept_under(&book.listed.game);
            let choose = move |_| {
                // Not kept: the first that differs is shown, as before.
                let _ = LocalStorage::set(&key, fingerprint.to_string());
                app.open.update(|_| {});
            };
            view! {
                <button type="button" class="btn wide start"
                    aria-pressed=(shown == Some(fingerprint)).to_string() on:click=choose>
                    <span class="words">{who}<span class="under">{says}</span></span>
                </button>
            }
        })
        .collect();
    Some(view! {
        <section class="section" aria-label="Whose record">
            <h2>{format!("{} other records of this game", rows.len())}</h2>
            <div class="stack-tight">{rows}</div>
        </section>
    })
}
