//! Signing the game off: what is still to be signed and by whom, and the lines
//! of the printed sheet.

use crate::parts::A;
use engine::crosscheck::{RecordStanding, SigningTask, signing_tasks};
use engine::log::{Body, Captain, CoSign, GameRecord, Hash, Setup};
use engine::team::Side;
use leptos::prelude::*;

use super::cross::game_status;
use super::open_game::Recording;
use crate::book::Book;
use crate::clock;
use crate::parts::{Message, Tone};
use crate::peer_acks;
use crate::state::{Access, app_state};
use crate::words::capital;

/// The records of a game, this phone's first.
fn records(book: &Book) -> Vec<&GameRecord> {
    let others = book.others.iter().map(|o| &o.record);
    core::iter::once(&book.record).chain(others).collect()
}

/// How an official is spoken of; of two with one role, by name.
fn who(records: &[&GameRecord], at: usize) -> String {
    let author = |r: &&GameRecord| r.opening().author.clone();
    let Some(one) = records.get(at).map(author) else {
        return String::new();
    };
    let alike = records
        .iter()
        .skip(1)
        .filter(|r| author(r).role == one.role);
    match one.name.trim() {
        name if alike.count() > 1 && !name.is_empty() => name.to_string(),
        _ => format!("the {}", one.role),
    }
}

/// A task in a sentence.
fn sentence(records: &[&GameRecord], task: &SigningTask) -> String {
    let they = |at| capital(&who(records, at));
    match (task.by, task.under) {
        (0, 0) => "You sign your statement.".into(),
        (0, under) => format!("You co-sign the statement of {}.", who(records, under)),
        (by, under) if by == under => format!("{} signs theirs, on their own phone.", they(by)),
        (by, 0) => format!("{} co-signs yours, on their own phone.", they(by)),
        (by, under) => format!("{} co-signs that of {}.", they(by), who(records, under)),
    }
}

/// What is still to be signed and by whom, with the next step as a button: the
/// one place for it.
pub fn to_sign(book: &Book) -> impl IntoView + use<> {
    let app = app_state();
    let recording = Recording::new();
    let id = book.listed.game.clone();
    let writable = book.is_whole() && app.access.get() == Access::Here;
    let over = book.game().ending().is_some();
    let fits = book.history().conflicts().next().is_none();
    let begun = !book.history().events().is_empty();
    let records = records(book);
    let tasks = signing_tasks(&records);
    // This phone's own is the first.
    let others = records.iter().skip(1);
    let differing: Vec<usize> = (1..)
        .zip(others)
        .filter(|(_, r)| {
            matches!(
                RecordStanding::of(&book.record, r),
                RecordStanding::Differs(_)
            )
        })
        .map(|(at, _)| at)
        .collect();
    let rows: Vec<_> = tasks
        .iter()
        .map(|task| {
            let tag = if task.done { "done" } else { "to do" };
            view! {
                <li class:soft=task.done><span class="tag">{tag}</span>" "{sentence(&records, task)}</li>
            }
        })
        .collect();
    let statement = StoredValue::new(book.record.statement());
    let sign = move |_| recording.record_body(statement.get_value(), || {});
    let own = tasks.first().is_some_and(|t| t.done);
    let apart = differing.first().map(|at| {
        let what = format!("The record of {} tells another game than yours.", who(&records, *at));
        view! {
            <Message tone=Tone::Bad what=what
                next="Settle what differs first; then each signs and co-signs.".to_string()/>
            <A href=format!("/cross?game={id}") attr:class="btn big wide">"Settle it: second phone"</A>
        }
    });
    let signing = (!own && over && fits).then(|| {
        view! {
            <button type="button" class="btn lit big wide" disabled=!writable on:click=sign>
                "Sign the final statement"
            </button>
        }
    });
    let early = (!own && !over && fits && begun).then(|| {
        view! {
            <details>
                <summary class="btn wide">"The game cannot be finished"</summary>
                <p>"Dark, weather, or the court had to be given up: signed as unfinished, it counts for nothing \
                    until the organiser decides."</p>
                <button type="button" class="btn wide" disabled=!writable on:click=sign>"Sign it off unfinished"</button>
            </details>
        }
    });
    let mine = |t: &&SigningTask| t.by == 0 && t.under > 0 && !t.done && !t.waits(&tasks);
    let co_signing: Vec<_> = tasks
        .iter()
        .filter(mine)
        .filter(|t| !differing.contains(&t.under))
        .filter_map(|t| {
            let statement = records.get(t.under)?.signed_off()?.0.hash();
            let co_sign = move |_| {
                let captain = None;
                recording.record_body(Body::CoSign(CoSign { statement, captain }), || {});
            };
            Some(view! {
                <button type="button" class="btn big wide" class:lit=own || !over disabled=!writable on:click=co_sign>
                    {format!("Co-sign the statement of {}", who(&records, t.under))}
                </button>
            })
        })
        .collect();
    let theirs_left = tasks.iter().any(|t| t.by > 0 && !t.done);
    let done = tasks.iter().all(|t| t.done);
    let alone = records.len() == 1;
    // Once they have the statement signed here, it is their turn.
    let told = peer_acks::least(book).map_or(0, |e| e.count);
    let signed_at = book
        .record
        .signed_off()
        .map(|(entry, _)| entry.payload().seq);
    let they_have_it = signed_at.is_some_and(|seq| told > seq);
    let free = co_signing.is_empty() && (own || !over) && apart.is_none();
    let exchange = (!alone && theirs_left).then(|| {
        let lit = |is: bool| if is && free { "btn lit big" } else { "btn big" };
        view! {
            <p>"Theirs is signed on their phone: show them your record, and take theirs when they have signed."</p>
            <div class="pair">
                <A href=format!("/show?game={id}&what=record&from=statement") attr:class=lit(!they_have_it)>"Show mine"</A>
                <A href=format!("/take?game={id}&from=statement") attr:class=lit(they_have_it)>"Take theirs"</A>
            </div>
        }
    });
    let after = match (done, alone) {
        // What is made up stays on the phone.
        (true, false) if book.setup().demo => Some("Nothing is left to sign."),
        (true, false) => {
            Some("Nothing is left to sign. It is delivered as soon as there is a signal.")
        }
        (true, true) => Some("You have signed. A second official would sign on the second phone."),
        (false, _) => None,
    };
    let status = game_status(book);
    view! {
        <section class="section no-print" aria-label="To sign">
            <h2>{if done { "Signed" } else { "What is left to sign" }}</h2>
            {status}
            {move || recording.failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            <ol class="stack-tight" aria-label="Signatures">{rows}</ol>
            {apart}
            {signing}
            {early}
            {co_signing}
            {exchange}
            {after.map(|said| view! { <p role="status">{said}</p> })}
            <A href=format!("/cross?game={id}") attr:class="btn wide">"Second phone"</A>
        </section>
    }
}

/// The lines of the sheet: who signed on this phone, and the captains.
pub fn signatures(book: &Book) -> impl IntoView + use<> {
    let app = app_state();
    let recording = Recording::new();
    let writable = book.is_whole() && app.access.get() == Access::Here;
    let role = book.record.opening().author.role.to_string();
    let own = book
        .record
        .signed_off()
        .map(|(entry, _)| (entry.hash(), clock::time_of_day(entry.payload().claimed_ms)));
    let mine = match &own {
        Some((_, at)) => view! {
            <p class="signed">"Signed on this phone by its "{role}", "{at.clone()}"."</p>
        }
        .into_any(),
        None => view! { <p class="sign">{capital(&role)}</p> }.into_any(),
    };
    let records = records(book);
    let given = signing_tasks(&records);
    let second: Vec<_> = (1..records.len())
        .map(|at| {
            let done = given.iter().any(|t| (t.by, t.under) == (0, at) && t.done);
            match done {
                true => view! {
                    <p class="signed">{format!("Statement of {} co-signed on this phone.", who(&records, at))}</p>
                }
                .into_any(),
                false => view! { <p class="sign">{capital(&who(&records, at))}</p> }.into_any(),
            }
        })
        .collect();
    let second = match second.is_empty() {
        true => view! { <p class="sign">"Other official"</p> }.into_any(),
        false => second.into_any(),
    };
    let captains = Side::BOTH.map(|side| {
        let own = own.as_ref().map(|(hash, _)| *hash);
        captain_line(book, side, own, writable, recording)
    });
    view! {
        <section class="section" aria-label="Signatures">
            <h2>"Agreed"</h2>
            {move || recording.failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            {mine}
            {second}
            {captains.into_iter().collect_view()}
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
                            on:click=give>"Agrees"</button>
                    </span>
                </label>
            }
            .into_any()
        }
        (None, None) => view! { <p class="sign">{label}</p> }.into_any(),
    }
}
