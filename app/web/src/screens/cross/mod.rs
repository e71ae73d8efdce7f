//! The second phone: where the game stands, and every difference between the
//! two records, to be settled one by one.

mod difference;
mod offer;
mod takeover;
mod whose;

use crate::parts::{A, Section};
use engine::crosscheck::{
    Agreement, CheckCode, Comparison, Counterpart, Difference, RecordStanding, Verdict, code_after,
    codes,
};
use engine::log::{Body, CodeAnswer, GameRecord, Role, Setup, entry_number};
use engine::message::pairing;
use gloo_storage::{LocalStorage, Storage};
use leptos::prelude::*;

use super::calling::{Answers, code_now};
use super::events::{KeyNotes, under_line};
use super::open_game::{Recording, opened_book, unreadable};
use crate::book::{Book, Other};
use crate::parts::{Code, Message, Page, Tone};
use crate::state::{Access, AppState, ShownGame, app_state};

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
        let differs = matches!(
            RecordStanding::to(&book.record, &theirs),
            RecordStanding::Differs(_)
        );
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
    let said_same = book.record.found_same_since_rulings();
    counterpart(book).filter(|theirs| !theirs.agreed().is_empty() && !said_same)
}

/// Whether nothing but signatures is left: the game is over and nothing that
/// was taken speaks against this record.
pub fn wants_signing(app: AppState, book: &Book) -> bool {
    let over = book.game().ending().is_some();
    let step = || {
        let theirs = counterpart(book);
        let standing = theirs.as_ref().map(|t| RecordStanding::to(&book.record, t));
        Step::of(book, theirs.as_ref().zip(standing.as_ref()))
    };
    over && !waits(app, book) && matches!(step(), Step::Free | Step::Compare)
}

/// The words of a game: equal on two phones when fixture, cards and edition
/// are. Words, so that nobody takes them for a check code.
pub fn game_words(setup: &Setup) -> impl IntoView + use<> {
    let words: Vec<&str> = setup.game_id().phrase().words().take(3).collect();
    let words = words.join(" ");
    let label = format!("Words of the game: {words}");
    view! { <p class="phrase" role="img" aria-label=label>{words}</p> }
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
            Some(ShownGame { book: Ok(book), .. }) => {
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
    let standing = compared
        .as_ref()
        .map(|t| RecordStanding::to(&book.record, t));
    let compared = compared.as_ref().zip(standing.as_ref());
    let step = Step::of(book, compared);
    let takes_first = role == Role::Umpire;
    let shown_head = app_state().shown_head.get_untracked();
    let was_shown = shown_head == Some(book.record.head());
    let (show, take) = (
        format!("/show?game={id}&what=record"),
        format!("/take?game={id}"),
    );
    let foot = move || {
        // The one who takes first settles; the other records the same afterwards.
        let numbered =
            |first: bool, words: &str| match (matches!(step, Step::Free | Step::Compare), first) {
                (true, _) => words.to_string(),
                (false, true) => format!("1 {words}"),
                (false, false) => format!("2 {words}"),
            };
        let shows = numbered(!takes_first, "Show mine");
        let takes = numbered(takes_first, "Take theirs");
        let lit = |is: bool| if is { "btn lit big" } else { "btn big" };
        // Once it was shown, the next step of the one who shows first is to take.
        let takes_now = takes_first || was_shown;
        let begins = step == Step::Exchange;
        let is_show = step == Step::Show || begins && !takes_now;
        let show = view! { <A href=show attr:class=lit(is_show)>{shows}</A> };
        let take = view! { <A href=take attr:class=lit(begins && takes_now)>{takes}</A> };
        view! {
            <div class="pair">
                {match takes_first {
                    true => (take, show).into_any(),
                    false => (show, take).into_any(),
                }}
            </div>
        }
    };
    let lost = compared.and_then(|(theirs, _)| takeover::offer(book, theirs, writable));
    let waiting = waits(app_state(), book);
    let body = match compared {
        // One thing at a time: the rulings may settle what differs.
        _ if waiting => ().into_any(),
        None if step == Step::Exchange => exchange(takes_first).into_any(),
        None => alone(&id).into_any(),
        Some(found) => compared_view(book, found, step, takes_first, writable).into_any(),
    };
    let others = whose::list(book, compared.map(|(theirs, _)| theirs));
    let damage: Vec<String> = book
        .others
        .iter()
        .flat_map(|o| &o.damaged)
        .map(|d| format!("Entry {}: {}", entry_number(d.seq), d.why))
        .collect();
    let words = compared.is_none().then(|| {
        view! {
            {game_words(book.setup())}
            <p class="soft small">"The other phone shows these words too. Other words are another game or other rules."</p>
        }
    });
    let third = compared.is_some().then(|| {
        let show = format!("/show?game={id}&what=game");
        view! { <A href=show attr:class="btn wide">"Show this game to a second phone"</A> }
    });
    let code = (!waiting).then(|| code_now_view(book, compared, step, writable, back.clone()));
    let status = game_status(book);
    let head = pairing(&book.names());
    view! {
        <Page title="Second phone" back=back has_foot=true foot=foot>
            {status}
            <Offer writable=writable/>
            {others}
            {body}
            {lost}
            {code}
            {(!damage.is_empty()).then(|| view! {
                <Message tone=Tone::Bad what="Part of their record cannot be used.".to_string()
                    next=damage.join(" ")/>
            })}
            <Section title="Same game on both phones">
                <p>{head}", by "{rules}". You keep it as "{role.to_string()}"."</p>
                {words}
                {third}
            </Section>
        </Page>
    }
}

/// What is to be done next about the two records.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    /// Nothing in particular.
    Free,
    /// The codes were not the same: one record is to come to the other phone.
    Exchange,
    /// The differences here are to be settled.
    Settle,
    /// What was settled here is to reach the other phone.
    Show,
    /// Nothing stands between the two: the code is to be read out again.
    Compare,
}

impl Step {
    fn of(book: &Book, theirs: Option<(&Counterpart, &RecordStanding)>) -> Self {
        let checked = book.check_code().and_then(|(half, _)| book.checked(half));
        let answer = checked.map(|c| c.answer);
        let is_open = |found: &Comparison, theirs: &Counterpart| {
            let left = |d: &Difference| d.is_left_open(&book.record, theirs.record());
            !found.differences.iter().all(left)
        };
        let said_same = answer == Some(CodeAnswer::Same);
        match theirs {
            Some((t, RecordStanding::Differs(found))) if is_open(found, t) => Self::Settle,
            Some((t, RecordStanding::Same(_) | RecordStanding::Differs(_)))
                if t.has_to_record() && !book.record.found_same_since_rulings() =>
            {
                Self::Show
            }
            Some((_, RecordStanding::Same(_))) if !said_same && book.check_code().is_some() => {
                Self::Compare
            }
            Some((_, RecordStanding::Same(_) | RecordStanding::Differs(_))) => Self::Free,
            _ if answer == Some(CodeAnswer::Differs) => Self::Exchange,
            _ => Self::Free,
        }
    }
}

/// How the difference is found, before there is a record to compare with.
fn exchange(takes_first: bool) -> impl IntoView {
    let (first, second) = match takes_first {
        true => (
            "The other official shows their record, and this phone finds what differs.",
            "What you two agree on goes back to their phone, all of it at once.",
        ),
        false => (
            "The umpire's phone takes your record and finds what differs.",
            "What you two agree on comes back to this phone, all of it at once.",
        ),
    };
    view! {
        <Section title="Find the difference">
            <ol class="stack-tight">
                <li>{first}</li>
                <li>{second}</li>
            </ol>
            <p class="soft">"Two transfers, however many plays differ."</p>
        </Section>
    }
}

/// The code that was read aloud at the last change of sides, and the other
/// record's for the same place; in the middle of a half-inning, the codes now.
fn code_now_view(
    book: &Book,
    theirs: Option<(&Counterpart, &RecordStanding)>,
    step: Step,
    writable: bool,
    back: String,
) -> impl IntoView + use<> {
    let game = book.record.chain().game();
    let now = book.check_code();
    let theirs = theirs.filter(|(_, standing)| !matches!(standing, RecordStanding::Old { .. }));
    let other = theirs.map(|(t, _)| match now {
        Some((half, _)) => {
            let all = codes(t.history(), game.as_bytes());
            let same = all
                .iter()
                .rfind(|(h, _)| (h.inning, h.side) == (half.inning, half.side));
            same.map_or_else(|| code_after(t.history(), game.as_bytes()), |(_, c)| *c)
        }
        None => code_after(t.history(), game.as_bytes()),
    });
    let answers = Answers::new(code_now(app_state().open), Recording::new(), Some(back));
    let can_say =
        writable && now.is_some() && matches!(step, Step::Compare | Step::Show | Step::Exchange);
    let one = |code: CheckCode, whose: &'static str| {
        view! {
            <div>
                <p class="soft small">{whose}</p>
                <Code code=code label="Check code" small=true/>
            </div>
        }
    };
    let mine = match now {
        Some((_, code)) => Some(code),
        None => other.map(|_| code_after(book.history(), game.as_bytes())),
    };
    mine.map(|mine| {
        view! {
            <section class="section" aria-label="Check code">
                <div class="pair codes">
                    {one(mine, "yours")}
                    {other.map(|code| one(code, "theirs"))}
                </div>
                {can_say.then(|| view! {
                    <p>{match step {
                        Step::Show => "When they have recorded it, read the code out once more.",
                        Step::Exchange => "Misheard? Read it out once more.",
                        _ => "Read it out once more: it is the same on both phones now.",
                    }}</p>
                    {answers.same_after_all(step == Step::Compare)}
                })}
            </section>
        }
    })
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
        <Section title="A second scorer">
            <p>"Two people who keep the same game apart find each other's slips. Show this game to the second \
                phone; it then keeps a record of its own, with no network."</p>
            <A href=show attr:class="btn lit big wide">"Show this game to a second phone"</A>
            <p>"Already keeping it on both? Show your record, take theirs, and every difference is listed here."</p>
        </Section>
    }
}

/// Differences with what can be done about each.
fn compared_view(
    book: &Book,
    (theirs, standing): (&Counterpart, &RecordStanding),
    step: Step,
    takes_first: bool,
    writable: bool,
) -> impl IntoView + use<> {
    let old = match standing {
        RecordStanding::Old { theirs: true, ends } => Some((
            format!(
                "Their record here ends before the {}: it is older than yours.",
                ends.words()
            ),
            "As far as it goes it tells the same. Take theirs again to compare the rest.",
        )),
        RecordStanding::Old { ends, .. } => Some((
            format!(
                "Your record ends before the {}, theirs goes on.",
                ends.words()
            ),
            "As far as yours goes both tell the same. Record what you saw; nothing is taken over from theirs by itself.",
        )),
        RecordStanding::Same(_) | RecordStanding::Differs(_) => None,
    };
    let is_old = old.is_some();
    let old = old.map(|(what, next)| view! { <Message what=what next=next.to_string()/> });
    let found = match standing {
        RecordStanding::Same(found) | RecordStanding::Differs(found) => found,
        RecordStanding::Old { .. } => &Comparison::default(),
    };
    let left = |d: &Difference| d.is_left_open(&book.record, theirs.record());
    let (standing, open): (Vec<_>, Vec<_>) = found.differences.iter().cloned().partition(left);
    let count = open.len();
    let to_find = (is_old && step == Step::Exchange).then(|| exchange(takes_first));
    let said = match (count, step != Step::Show) {
        (0, true) if is_old => None,
        (0, true) if standing.is_empty() => Some(view! {
            <Message tone=Tone::Good what="Both records tell the same game.".to_string()/>
        }
        .into_any()),
        (0, false) => Some(view! {
            <Message what="Everything is settled here; the other phone does not know it yet.".to_string()
                next="Show yours: it records the same, all of it at once.".to_string()/>
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
            {old}
            {to_find}
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
        if let Some(ShownGame { book: Ok(book), .. }) = open {
            keep(&theirs, book);
        }
    });
    // Looked at again with what is kept now.
    app.open.update(|_| {});
    Ok(())
}
