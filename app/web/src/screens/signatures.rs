//! Signing the game off: one's own statement, the captains' names, and the
//! co-signature under the other official's statement.

use crate::parts::A;
use engine::crosscheck::Standing;
use engine::log::{Body, Captain, CoSign, Hash, Setup};
use engine::team::Side;
use leptos::prelude::*;

use super::cross::game_status;
use super::open_game::Recording;
use crate::book::Book;
use crate::clock;
use crate::parts::{Message, Tone};
use crate::state::{Access, app_state};
use crate::words::capital;

/// A statement of another official, as it stands.
struct Theirs {
    hash: Hash,
    role: String,
    /// Why it cannot be co-signed, if so.
    differs: bool,
    signed: bool,
}

fn theirs(book: &Book) -> Option<Theirs> {
    let signed_off = book.others.iter().filter_map(|other| {
        let (entry, _) = other.record.signed_off()?;
        let hash = entry.hash();
        let mut co_signs = book.record.co_signs();
        Some(Theirs {
            hash,
            role: other.record.opening().author.role.to_string(),
            differs: !matches!(Standing::of(&book.record, &other.record), Standing::Same(_)),
            signed: co_signs.any(|(_, c)| c.statement == hash && c.captain.is_none()),
        })
    });
    // Of several the one that can be co-signed now, else the one that was.
    signed_off.min_by_key(|t| (t.differs, t.signed))
}

/// The section of the final statement.
pub fn signatures(book: &Book) -> impl IntoView + use<> {
    let app = app_state();
    let recording = Recording::new();
    let id = book.listed.game.clone();
    let writable = book.is_whole() && app.access.get() == Access::Here;
    let over = book.game().ending().is_some();
    let fits = book.history().conflicts().next().is_none();
    let begun = !book.history().events().is_empty();
    let role = book.record.opening().author.role.to_string();
    let own = book
        .record
        .signed_off()
        .map(|(entry, _)| (entry.hash(), clock::time_of_day(entry.payload().claimed_ms)));
    let statement = StoredValue::new(book.record.statement());
    let sign = move |_| recording.record_body(statement.get_value(), || {});
    let mine = match &own {
        Some((_, at)) => view! {
            <p class="signed">"Signed on this phone by its "{role.clone()}", "{at.clone()}"."</p>
        }
        .into_any(),
        None if over && fits => view! {
            <p class="sign">{capital(&role)}</p>
            <button type="button" class="btn lit big wide no-print" disabled=!writable on:click=sign>
                "Sign the final statement"
            </button>
        }
        .into_any(),
        None => view! {
            <p class="sign">{capital(&role)}</p>
            {(!over && fits && begun).then(|| view! {
                <details class="no-print">
                    <summary class="btn wide">"the game cannot be finished"</summary>
                    <p>"Dark, weather, or the court had to be given up: signed as unfinished, it counts for nothing \
                        until the organiser decides."</p>
                    <button type="button" class="btn wide" disabled=!writable on:click=sign>"Sign it off unfinished"</button>
                </details>
            })}
        }
        .into_any(),
    };
    let other = theirs(book);
    let has_other = !book.others.is_empty();
    let second = match other {
        Some(t) if t.signed => view! {
            <p class="signed">{format!("Statement of the {} co-signed on this phone.", t.role)}</p>
        }
        .into_any(),
        Some(t) if t.differs => view! {
            <Message tone=Tone::Bad what=format!("The {} signed another game than this record tells.", t.role)
                next="Settle the differences first, under second phone.".to_string()/>
        }
        .into_any(),
        Some(t) => {
            let co_sign = move |_| {
                let body = Body::CoSign(CoSign {
                    statement: t.hash,
                    captain: None,
                });
                recording.record_body(body, || {});
            };
            view! {
                <p class="sign">{capital(&t.role)}", as signed on the other phone"</p>
                <button type="button" class="btn lit big wide no-print" disabled=!writable on:click=co_sign>
                    {format!("Co-sign the {}'s statement", t.role)}
                </button>
            }
            .into_any()
        }
        None => view! {
            <p class="sign">"Other official"</p>
            <p class="soft small no-print">{if has_other {
                "The other official's signature is not here: when they have signed, take their record again."
            } else {
                "A second official signs on the second phone."
            }}</p>
        }
        .into_any(),
    };
    let status = game_status(book);
    let captains = Side::BOTH.map(|side| {
        let own = own.as_ref().map(|(hash, _)| *hash);
        captain_line(book, side, own, writable, recording)
    });
    view! {
        <section class="section" aria-label="Signatures">
            <h2>"Agreed"</h2>
            {status}
            {move || recording.failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            {mine}
            {second}
            {captains.into_iter().collect_view()}
            <A href=format!("/cross?game={id}") attr:class="btn big wide no-print">"second phone"</A>
        </section>
    }
}

/// A captain's line: a name, once it is given, under the statement signed here.
fn captain_line(
    book: &Book,
    side: Side,
    own: Option<Hash>,
    writable: bool,
    recording: Recording,
) -> impl IntoView + use<> {
    let team = book.team(side).to_string();
    let mut signed = book.record.co_signs();
    let given = signed.rfind(|(_, c)| {
        Some(c.statement) == own && c.captain.as_ref().is_some_and(|c| c.side == side)
    });
    let name = given.and_then(|(_, c)| c.captain.as_ref().map(|c| c.name.clone()));
    let typed = RwSignal::new(String::new());
    let label = format!("Captain, {team}");
    match (name, own) {
        (Some(name), _) => view! { <p class="signed">{label}": "{name}</p> }.into_any(),
        (None, Some(statement)) => {
            let give = move |_| {
                let name = typed.get_untracked().trim().to_string();
                let body = Body::CoSign(CoSign {
                    statement,
                    captain: Some(Captain { side, name }),
                });
                recording.record_body(body, || {});
            };
            let empty = move || typed.with(|t| t.trim().is_empty());
            view! {
                <label class="field">
                    <span class="label">{label}", if the competition wants it"</span>
                    <span class="name-and-go">
                        <input class="input" autocomplete="off" maxlength=(Setup::NAME_LIMIT / 4).to_string()
                            prop:value=move || typed.get()
                            on:input:target=move |ev| typed.set(ev.target().value())/>
                        <button type="button" class="btn no-print" disabled=move || !writable || empty()
                            on:click=give>"agrees"</button>
                    </span>
                </label>
            }
            .into_any()
        }
        (None, None) => view! { <p class="sign">{label}</p> }.into_any(),
    }
}
