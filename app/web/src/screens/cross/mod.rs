//! The second phone: where the game stands, and every difference between the
//! two records, to be settled one by one.

mod difference;
mod offer;
mod whose;

use crate::parts::A;
use engine::crosscheck::{
    Agreement, CheckCode, Comparison, Counterpart, Difference, Standing, Verdict, code_after,
};
use engine::log::{Body, GameRecord, Setup};
use gloo_storage::{LocalStorage, Storage};
use leptos::prelude::*;

use super::events::{KeyNotes, under_line};
use super::open_game::{opened_book, unreadable};
use crate::book::{Book, Other};
use crate::parts::{Code, Message, Page, Tone};
use crate::state::{Access, AppState, Shown, app_state};

use difference::{listed, to_settle};
use offer::{Offer, waits};

/// What was agreed and still has to reach the other phone. Kept beside the
/// preferences: losing it loses nothing recorded, for the records are compared
/// again.
fn kept_under(book: &Book, other: &GameRecord) -> String {
    let author = other.chain().author().fingerprint();
    format!("chalkbook-agreed {} {author}", book.listed.game)
}

/// Keeps what was agreed.
fn keep(theirs: &Counterpart, mine: &Book) {
    let mut agreement = theirs.agreement(&mine.record, None);
    agreement.log.clear();
    let _ = LocalStorage::set(kept_under(mine, theirs.record()), agreement.to_bytes());
}

/// The record that this one is compared with, and what was agreed on this
/// phone so far. Of several it is the one chosen, else the first that differs.
pub fn counterpart(book: &Book) -> Option<Counterpart> {
    let differs = |other: &Other| {
        let theirs = with_agreed(book, other);
        let differs = matches!(Standing::to(&book.record, &theirs), Standing::Differs(_));
        differs || !theirs.agreed().is_empty()
    };
    // The only one needs no comparing to be chosen.
    let at = match book.others.len() {
        0 | 1 => 0,
        _ => whose::chosen(book)
            .or_else(|| book.others.iter().position(differs))
            .unwrap_or(0),
    };
    Some(with_agreed(book, book.others.get(at)?))
}

fn with_agreed(book: &Book, other: &Other) -> Counterpart {
    let mut theirs = Counterpart::new(other.record.clone());
    let kept: Result<Vec<u8>, _> = LocalStorage::get(kept_under(book, &other.record));
    if let Some(Ok(agreement)) = kept.ok().map(|bytes| Agreement::from_bytes(&bytes))
        && agreement.head == other.record.head()
    {
        // What no longer fits is compared and settled again.
        let _ = theirs.agree(agreement.bodies);
    }
    theirs
}

/// As [`counterpart`], if the other phone has something to record.
pub fn pending(book: &Book) -> Option<Counterpart> {
    counterpart(book).filter(|theirs| !theirs.agreed().is_empty())
}

/// The mark of a game: equal on two phones when fixture, cards and edition are.
pub fn game_mark(setup: &Setup) -> impl IntoView + use<> {
    let id = setup.game_id().0;
    let bits = u32::from_be_bytes([id[0], id[1], id[2], id[3]]) >> 2;
    view! { <Code code=CheckCode::from_bits(bits) label="Mark of the game" small=true/> }
}

/// The screen.
#[component]
pub fn Cross() -> impl IntoView {
    let app = app_state();
    let trouble = RwSignal::new(None);
    let open = opened_book(trouble);
    move || {
        let writable = app.access.get() == Access::Here;
        open.with(|open| match open {
            Some(Shown { book: Ok(book), .. }) => {
                screen(book, writable && book.is_whole()).into_any()
            }
            _ => unreadable(open.as_ref(), trouble).into_any(),
        })
    }
}

fn screen(book: &Book, writable: bool) -> impl IntoView + use<> {
    let id = book.listed.game.clone();
    let back = if book.game().ending().is_some() {
        format!("/statement?game={id}")
    } else {
        format!("/call?game={id}")
    };
    let role = book.record.opening().author.role;
    let rules = book.setup().edition.to_string();
    let compared = counterpart(book);
    let has_other = compared.is_some();
    let has_pending = compared.as_ref().is_some_and(|t| !t.agreed().is_empty());
    let (show, take) = (
        format!("/show?game={id}&what=record"),
        format!("/take?game={id}"),
    );
    let rulings = format!("/show?game={id}&what=rulings");
    let foot = move || {
        view! {
            {has_pending.then(|| view! { <A href=rulings attr:class="btn lit big wide">"Show the rulings"</A> })}
            <div class="pair">
                <A href=show attr:class="btn big">"show mine"</A>
                <A href=take attr:class="btn big">"take theirs"</A>
            </div>
        }
    };
    let body = match &compared {
        // One thing at a time: the rulings may settle what differs.
        _ if waits(book) => ().into_any(),
        None => alone(&id).into_any(),
        Some(theirs) => compared_view(book, theirs, writable).into_any(),
    };
    let others = whose::list(book, compared.as_ref());
    let damage: Vec<String> = book
        .others
        .iter()
        .flat_map(|o| &o.damaged)
        .map(|d| format!("Entry {}: {}", d.seq, d.why))
        .collect();
    let mark = game_mark(book.setup());
    let status = game_status(book);
    let head = format!("{} at {}", book.names().guest, book.names().home);
    view! {
        <Page title="Second phone" back=back has_foot=true foot=foot>
            {status}
            <Offer writable=writable/>
            {others}
            {body}
            {(!damage.is_empty()).then(|| view! {
                <Message tone=Tone::Bad what="Part of their record cannot be used.".to_string()
                    next=damage.join(" ")/>
            })}
            <section class="section" aria-label="Same game on both phones">
                <h2>"Same game on both phones"</h2>
                <p>{head}", by "{rules}". You keep it as "{role.to_string()}"."</p>
                {mark}
                <p class="soft small">"The other phone shows this mark too. Another mark is another game or other rules."</p>
                {has_other.then(|| {
                    let show = format!("/show?game={id}&what=game");
                    view! { <A href=show attr:class="btn wide">"show this game to a second phone"</A> }
                })}
            </section>
        </Page>
    }
}

/// Where the game stands, with the reasons one tap away.
pub fn game_status(book: &Book) -> impl IntoView + use<> {
    let (status, reasons) = app_state().standing(book);
    let class = match status.verdict {
        Verdict::Agreed { .. } | Verdict::Decided => "message good",
        Verdict::Disputed | Verdict::Tampered => "message bad",
        Verdict::Single | Verdict::Incomplete => "message",
    };
    let reasons: Vec<_> = match reasons.is_empty() {
        true => vec!["Both records are equal, signed off and co-signed.".to_string()],
        false => reasons,
    };
    let reasons: Vec<_> = reasons
        .into_iter()
        .map(|r| view! { <li>{r}</li> })
        .collect();
    let under = under_line(book);
    let notes = app_state().key_notes(book);
    view! {
        <details class=class>
            <summary>
                <span class="what">"This game: "{status.to_string()}</span>
                <span class="why">"why"</span>
            </summary>
            <ul class="stack-tight">{reasons}</ul>
        </details>
        <p class="soft small">{under}</p>
        <KeyNotes notes=notes/>
    }
}

fn alone(id: &str) -> impl IntoView + use<> {
    let show = format!("/show?game={id}&what=game");
    view! {
        <section class="section" aria-label="A second scorer">
            <h2>"A second scorer"</h2>
            <p>"Two people who keep the same game apart find each other's slips. Show this game to the second \
                phone; it then keeps a record of its own, with no network."</p>
            <A href=show attr:class="btn lit big wide">"Show this game to a second phone"</A>
            <p>"Already keeping it on both? Show your record, take theirs, and every difference is listed here."</p>
        </section>
    }
}

/// Differences with what can be done about each.
fn compared_view(book: &Book, theirs: &Counterpart, writable: bool) -> impl IntoView + use<> {
    let standing = Standing::to(&book.record, theirs);
    let old = match &standing {
        Standing::Old { theirs: true, ends } => Some((
            format!(
                "Their record here ends before the {}: it is older than yours.",
                ends.words()
            ),
            "As far as it goes it tells the same. Take theirs again to compare the rest.",
        )),
        Standing::Old { ends, .. } => Some((
            format!(
                "Your record ends before the {}, theirs goes on.",
                ends.words()
            ),
            "As far as yours goes both tell the same. Record what you saw; nothing is taken over from theirs.",
        )),
        Standing::Same(_) | Standing::Differs(_) => None,
    };
    let is_old = old.is_some();
    let old = old.map(|(what, next)| view! { <Message what=what next=next.to_string()/> });
    let found = match standing {
        Standing::Same(found) | Standing::Differs(found) => found,
        Standing::Old { .. } => Comparison::default(),
    };
    let game = book.record.chain().game();
    let codes = [
        ("yours", code_after(book.history(), game.as_bytes())),
        ("theirs", code_after(theirs.history(), game.as_bytes())),
    ];
    let codes = codes.map(|(whose, code)| {
        view! {
            <div>
                <p class="soft small">{whose}</p>
                <Code code=code label="Check code" small=true/>
            </div>
        }
    });
    let left = |d: &Difference| d.is_left_open(&book.record, theirs.record());
    let (standing, open): (Vec<_>, Vec<_>) = found.differences.into_iter().partition(left);
    let count = open.len();
    let said = match (count, theirs.agreed().is_empty()) {
        (0, true) if is_old => None,
        (0, true) if standing.is_empty() => Some(view! {
            <Message tone=Tone::Good what="Both records tell the same game.".to_string()/>
        }
        .into_any()),
        (0, false) => Some(view! {
            <Message what="Everything is settled here; the other phone does not know it yet.".to_string()
                next="Show the rulings to it. When it has recorded them, take its record once more.".to_string()/>
        }
        .into_any()),
        (0, true) => None,
        (1, _) => Some(view! { <p class="strong">"One difference."</p> }.into_any()),
        (n, _) => Some(view! { <p class="strong">{format!("{n} differences. Settle them from the first on: later ones may have followed from it.")}</p> }.into_any()),
    };
    let mut open = open.into_iter();
    let first = open.next().map(|d| to_settle(d, book, theirs, writable));
    let row = |d: Difference, is_left: bool| {
        view! { <li>{listed(&d, book, is_left)}</li> }
    };
    let later: Vec<_> = open.map(|d| row(d, false)).collect();
    let standing: Vec<_> = standing.into_iter().map(|d| row(d, true)).collect();
    let extras = found.details.len();
    let details: Vec<_> = found
        .details
        .iter()
        .map(|d| view! { <li>{format!("Play {}: {}.", d.mine.number, d.mine.words)}</li> })
        .collect();
    view! {
        <section class="section" aria-label="Comparison">
            <div class="pair codes">{codes}</div>
            {old}
            {said}
            {first}
            {(!later.is_empty()).then(|| view! { <ol class="stack" aria-label="Later differences">{later}</ol> })}
            {(!standing.is_empty()).then(|| view! { <ol class="stack" aria-label="Left standing">{standing}</ol> })}
            {(extras > 0).then(|| view! {
                <details>
                    <summary class="btn wide">{format!("scorer's details differ in {}", crate::words::count(u16::try_from(extras).unwrap_or(u16::MAX), "play", "plays"))}</summary>
                    <p class="small soft">"Who fielded the ball and whether it was a hit or an error; the check code does not depend on it."</p>
                    <ul class="stack-tight">{details}</ul>
                </details>
            })}
        </section>
    }
}

/// Records what was agreed on this phone and keeps the other half for the
/// other phone.
async fn settle(
    app: AppState,
    mine: Vec<Body>,
    theirs: Counterpart,
) -> Result<(), (String, String)> {
    app.record_all(mine).await.map_err(|why| why.says())?;
    app.open.with_untracked(|open| {
        if let Some(Shown { book: Ok(book), .. }) = open {
            keep(&theirs, book);
        }
    });
    // Looked at again with what is kept now.
    app.open.update(|_| {});
    Ok(())
}
