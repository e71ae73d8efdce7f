//! Showing something to the other phone: as codes, as text, or as a file.

use crate::parts::A;
use engine::charter::{Charter, CharterHistory, SignedCharter};
use engine::crosscheck::Exchange;
use engine::link::{Kind, MAX_PAYLOAD, Sender, SymbolSize, text};
use engine::log::{Hash, Verified};
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_query_map;

use super::cross::pending;
use super::events::own_card;
use super::open_game::{opened_book, unreadable};
use super::preferences::Roles;
use crate::book::Book;
use crate::charter_draft::fixture_line;
use crate::official::Official;
use crate::pairings;
use crate::parts::{CodeLoop, Message, Page, Tone, WholeKey};
use crate::peer_acks;
use crate::sharing;
use crate::state::{AppState, ShownGame, app_state};
use crate::words::count;

/// What is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    /// The game, to be joined.
    Game,
    /// This phone's record of it, with what was agreed and the other phone has
    /// to record too.
    Record,
    /// The charter of an event.
    Charter,
    /// This phone's official, for a charter to list.
    Card,
    /// Who plays in the games of an event that were open.
    Pairings,
}

impl What {
    fn of(word: &str) -> Self {
        match word {
            "record" => Self::Record,
            "charter" => Self::Charter,
            "card" => Self::Card,
            "pairings" => Self::Pairings,
            _ => Self::Game,
        }
    }

    const fn title(self) -> &'static str {
        match self {
            Self::Game => "Show this game",
            Self::Record => "Show your record",
            Self::Charter => "Show the charter",
            Self::Card => "My card",
            Self::Pairings => "Show who plays",
        }
    }

    const fn next(self) -> &'static str {
        match self {
            Self::Game => "On the second phone: \"Second phone\" on the first screen.",
            Self::Record => {
                "On the other phone, in the same game: \"Second phone\", then \"Take theirs\"."
            }
            Self::Charter | Self::Pairings => {
                "On the other phone: \"Second phone\" on the first screen."
            }
            Self::Card => {
                "On the organiser's phone, making the charter: \"Take an official's card\"."
            }
        }
    }

    const fn file(self) -> &'static str {
        match self {
            Self::Game => "chalkbook-game.txt",
            Self::Record => "chalkbook-record.txt",
            Self::Charter => "chalkbook-charter.txt",
            Self::Card => "chalkbook-card.txt",
            Self::Pairings => "chalkbook-who-plays.txt",
        }
    }

    /// The name of the file with the signed bytes as they are, for what others
    /// can verify without this app.
    const fn plain_file(self) -> Option<&'static str> {
        match self {
            Self::Record => Some("chalkbook-record.playlog"),
            Self::Charter => Some("chalkbook.charter"),
            Self::Game | Self::Card | Self::Pairings => None,
        }
    }

    /// What crosses, and the entries left out because the other phone said to
    /// have them; none with `all`.
    fn payload(self, book: &Book, all: bool) -> Option<(Kind, Vec<u8>, u64)> {
        let told = peer_acks::least(book).filter(|_| !all);
        match self {
            Self::Game => Some((Kind::Fixture, book.setup().to_bytes(), 0)),
            Self::Record => {
                let others = book.others.iter().map(|o| &o.record);
                let sent = Exchange::new(&book.record, others, told);
                let left_out = sent.after.map_or(0, |after| after.count);
                let (kind, bytes) = match pending(book) {
                    Some(theirs) => (
                        Kind::Rulings,
                        theirs.agreement(&book.record, told).to_bytes(),
                    ),
                    None => (Kind::Entries, sent.to_bytes()),
                };
                Some((kind, bytes, left_out))
            }
            Self::Charter | Self::Card | Self::Pairings => None,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Codes,
    Text,
    File,
}

/// The screen; `what` in the address says what is shown.
#[component]
pub fn ShowToOther() -> impl IntoView {
    let query = use_query_map();
    let what = Memo::new(move |_| What::of(&query.with(|q| q.get("what")).unwrap_or_default()));
    move || match what.get() {
        What::Card => view! { <OwnCard/> }.into_any(),
        What::Charter => view! { <OneCharter/> }.into_any(),
        What::Pairings => view! { <WhoPlays/> }.into_any(),
        _ => view! { <OfGame/> }.into_any(),
    }
}

/// The card of this phone's official.
#[component]
fn OwnCard() -> impl IntoView {
    let app = app_state();
    move || {
        own_card(app).map(|own| {
            if own.name.trim().is_empty() {
                return view! { <NameFirst/> }.into_any();
            }
            let payload = Some((Kind::Official, own.to_bytes()));
            let name = own.name.clone();
            let key = Hash(*own.key.as_bytes()).to_string();
            let about = view! {
                <section class="section" aria-label="On the card">
                    <p class="strong">{name}", "{own.role.to_string()}</p>
                    <p>"Read the six words to the organiser; their phone shows the same:"</p>
                    <p class="phrase">{own.key.phrase().to_string()}</p>
                    <details>
                        <summary class="btn wide">"The whole public key, to be typed"</summary>
                        <p class="lines">{key}</p>
                    </details>
                    <A href="/settings?for=card" attr:class="btn wide">"Change name or role"</A>
                </section>
            };
            shown(What::Card, payload, None, "/events".into(), about, None).into_any()
        })
    }
}

/// A card without a name would list nobody, and a second scorer listed as umpire
/// is told so before each game: name and role first.
#[component]
fn NameFirst() -> impl IntoView {
    let app = app_state();
    let typed = RwSignal::new(String::new());
    let role = RwSignal::new(app.official.with_untracked(Official::role));
    let give = move |_| {
        app.official.set(Official {
            name: typed.get_untracked().trim().to_string(),
            role: role.get_untracked().to_string(),
        });
        app.official.with_untracked(Official::save);
    };
    let empty = move || typed.with(|t| t.trim().is_empty());
    let foot = move || {
        view! {
            <button type="button" class="btn lit big wide" disabled=empty on:click=give>"Show my card"</button>
        }
    };
    view! {
        <Page title=What::Card.title() back="/events" has_foot=true foot=foot>
            <div class="field">
                <label for="card-name">"Your name, as the charter shall list you"</label>
                <input id="card-name" class="input" autocomplete="name" maxlength="60"
                    prop:value=move || typed.get()
                    on:input:target=move |ev| typed.set(ev.target().value())/>
            </div>
            <fieldset class="section">
                <legend>"Your part"</legend>
                <Roles chosen=role choose=Callback::new(move |chosen| role.set(chosen))/>
            </fieldset>
        </Page>
    }
}

/// Bytes of a charter's versions that are handed over at most.
const CHARTERS: usize = MAX_PAYLOAD;

/// A name for a file of a charter: the event and the version.
fn charter_file(charter: &Charter) -> String {
    let word = |c: char| {
        if c.is_alphanumeric() {
            c.to_lowercase().next()
        } else {
            Some('-')
        }
    };
    let plain: String = charter.event.chars().filter_map(word).take(40).collect();
    let words: Vec<&str> = plain.split('-').filter(|w| !w.is_empty()).collect();
    format!("{}-version-{}", words.join("-"), charter.version)
}

/// The charter of the event in the address with the versions that it replaces:
/// the one in force, or the one whose hash is given.
#[component]
fn OneCharter() -> impl IntoView {
    let app = app_state();
    let query = use_query_map();
    let event = Memo::new(move |_| query.with(|q| q.get("event")).unwrap_or_default());
    move || {
        let kept = app.event(&event.get())?;
        let named = query.with(|q| q.get("version"));
        let named = named.and_then(|n| kept.all().find(|v| v.hash().to_string() == n));
        let history = kept.history();
        let signed = named.unwrap_or(history.in_force());
        let sent = match signed == history.in_force() {
            true => history.to_bytes(CHARTERS),
            // A version that does not hold, with those it follows from.
            false => {
                let before =
                    |v: &&SignedCharter<Verified>| v.charter().version < signed.charter().version;
                let older = history.versions().iter().filter(before);
                let all = CharterHistory::gather(older.chain([signed]).cloned());
                let with = all.iter().find(|h| h.version(signed.hash()).is_some())?;
                with.to_bytes(CHARTERS)
            }
        };
        let payload = Some((Kind::Charter, sent.clone()));
        let holds = match signed.charter().version {
            1 => "It is the first version.".to_string(),
            n => format!(
                "It takes the versions before it along: whoever has none of the {n}, or missed one, has them all then."
            ),
        };
        let about = view! {
            <section class="section" aria-label="The charter">
                <p class="strong">{signed.to_string()}</p>
                <p>{holds}</p>
                <p>"A phone that takes it for the first time asks for these words:"</p>
                <p class="phrase">{signed.key().phrase().to_string()}</p>
                <WholeKey of=signed.key().fingerprint()/>
            </section>
        };
        let back = format!("/event?event={}", kept.event);
        let file = charter_file(signed.charter());
        Some(shown(
            What::Charter,
            payload,
            Some(RwSignal::new(sent)),
            back,
            about,
            Some(file),
        ))
    }
}

/// Back from an exchange to where it was asked for: the signing of the final
/// statement, or the comparison.
pub(super) fn back_to(game: &str, from: Option<String>) -> String {
    match from.as_deref() {
        Some("statement") => format!("/statement?game={game}"),
        _ => format!("/cross?game={game}"),
    }
}

/// Who plays in the games of the event in the address that were open, as the
/// desk found it.
#[component]
fn WhoPlays() -> impl IntoView {
    let app = app_state();
    let query = use_query_map();
    let event = Memo::new(move |_| query.with(|q| q.get("event")).unwrap_or_default());
    move || {
        let event = event.get();
        let known = pairings::known(&event)?;
        let kept = app.event(&event)?;
        let charter = kept.in_force()?.charter().clone();
        let rows: Vec<_> = known
            .games
            .iter()
            .filter_map(|p| charter.fixture(p.fixture))
            .map(|f| fixture_line(&charter, &known.fill(f)))
            .map(|line| view! { <li>{line}</li> })
            .collect();
        let payload = Some((Kind::Pairings, known.to_bytes()));
        let about = view! { <ul class="stack-tight" aria-label="Who plays">{rows}</ul> };
        let back = format!("/desk?event={event}");
        Some(shown(What::Pairings, payload, None, back, about, None))
    }
}

/// Something of the game in the address.
#[component]
fn OfGame() -> impl IntoView {
    let trouble = RwSignal::new(None);
    let open = opened_book(trouble);
    let query = use_query_map();
    let what = Memo::new(move |_| What::of(&query.with(|q| q.get("what")).unwrap_or_default()));
    let from = Memo::new(move |_| query.with(|q| q.get("from")));
    let all = RwSignal::new(false);
    let app = app_state();
    move || {
        let what = what.get();
        all.track();
        open.with(|open| match open {
            Some(ShownGame { book: Ok(book), .. }) => {
                let back = back_to(&book.listed.game, from.get());
                let crosses = what.payload(book, all.get_untracked());
                let (payload, left_out) = crosses.map_or((None, 0), |(kind, bytes, left_out)| {
                    (Some((kind, bytes)), left_out)
                });
                let log = (what == What::Record).then(|| {
                    app.shown_head.set(Some(book.record.head()));
                    let signed = RwSignal::new(book.record.chain().to_bytes());
                    with_receipts(app, book, signed);
                    signed
                });
                let about = (left_out > 0).then(|| left(left_out, all));
                shown(what, payload, log, back, about, None).into_any()
            }
            _ => unreadable(open.as_ref(), trouble).into_any(),
        })
    }
}

/// Puts the receipts that collectors gave for a record after it.
fn with_receipts(app: AppState, book: &Book, log: RwSignal<Vec<u8>>) {
    let (game, author) = (book.listed.game.clone(), book.listed.author.clone());
    spawn_local(async move {
        let Ok(store) = app.opened_store().await else {
            return;
        };
        // Without them the file is good all the same.
        if let Ok(receipts) = store.receipts(&game, &author).await {
            let _ = log.try_update(|log| log.extend(receipts));
        }
    });
}

/// What is not shown because the other phone has it, and the way to show it.
fn left(entries: u64, all: RwSignal<bool>) -> impl IntoView {
    let entries = count(
        u16::try_from(entries).unwrap_or(u16::MAX),
        "entry",
        "entries",
    );
    view! {
        <p class="soft">"Only what the other phone lacks: it said to have the first "{entries}"."</p>
        <button type="button" class="btn wide" on:click=move |_| all.set(true)>"Show all of it"</button>
    }
}

/// `log` is what the file for verifiers holds; `named` is a name of their own
/// for the files.
fn shown<About: IntoView + 'static>(
    what: What,
    payload: Option<(Kind, Vec<u8>)>,
    log: Option<RwSignal<Vec<u8>>>,
    back: String,
    about: About,
    named: Option<String>,
) -> impl IntoView + use<About> {
    let named = move |usual: &str| match (&named, usual.rsplit_once('.')) {
        (Some(named), Some((_, kind))) => format!("{named}.{kind}"),
        _ => usual.to_string(),
    };
    let plain = StoredValue::new(what.plain_file().map(&named).zip(log));
    let file = StoredValue::new(named(what.file()));
    let senders = match payload {
        Some((kind, payload)) => Sender::new(kind, &payload, SymbolSize::QR)
            .and_then(|codes| Ok((codes, Sender::new(kind, &payload, SymbolSize::MAX)?)))
            .map_err(|why| why.to_string()),
        None => Err("There are no rulings to show.".into()),
    };
    let way = RwSignal::new(Way::Codes);
    let tab = move |this: Way, words: &'static str| {
        view! {
            <button type="button" class="btn" aria-pressed=move || (way.get() == this).to_string()
                on:click=move |_| way.set(this)>{words}</button>
        }
    };
    let again = back.clone();
    let foot = move || view! { <A href=again attr:class="btn lit big wide">"Done"</A> };
    let inside = match senders {
        Err(why) => view! { <Message tone=Tone::Bad what=why/> }.into_any(),
        Ok((codes, whole)) => {
            let codes = StoredValue::new(codes);
            let lines = StoredValue::new(text::lines(&whole, 0));
            view! {
                <div class="ways three" role="group" aria-label="How">
                    {tab(Way::Codes, "Codes")}
                    {tab(Way::Text, "Text")}
                    {tab(Way::File, "File")}
                </div>
                {move || match way.get() {
                    Way::Codes => view! {
                        <CodeLoop sender=codes/>
                        <p>{what.next()}" Hold the phones a hand apart, the code filling the picture."</p>
                    }.into_any(),
                    Way::Text => view! { <AsText lines=lines/> }.into_any(),
                    Way::File => view! { <AsFile lines=lines name=file plain=plain what=what/> }.into_any(),
                }}
            }
            .into_any()
        }
    };
    view! {
        <Page title=what.title() back=back has_foot=true foot=foot>{inside}{about}</Page>
    }
}

#[component]
fn AsText(lines: StoredValue<String>) -> impl IntoView {
    let done = RwSignal::new(None::<bool>);
    let copy = move |_| {
        spawn_local(async move { done.set(Some(sharing::copy(&lines.get_value()).await)) })
    };
    view! {
        <p>"Send these lines in any chat, whole. The other phone reads them under \"Text\"."</p>
        <textarea class="input lines" readonly rows="8" aria-label="Lines to send">{lines.get_value()}</textarea>
        <button type="button" class="btn big wide" on:click=copy>"Copy the lines"</button>
        {move || done.get().map(|ok| if ok {
            view! { <p role="status">"Copied."</p> }.into_any()
        } else {
            view! { <Message tone=Tone::Bad what="This browser did not copy them."
                next="Hold a finger on the lines, choose all of them and copy."/> }.into_any()
        })}
    }
}

#[component]
fn AsFile(
    lines: StoredValue<String>,
    name: StoredValue<String>,
    /// The signed bytes as they are, with the name of their file.
    plain: StoredValue<Option<(String, RwSignal<Vec<u8>>)>>,
    what: What,
) -> impl IntoView {
    let plain_is_for = match what {
        What::Charter => {
            ", for a collector (--charter), an archive or another verifier. A collector takes the other file too."
        }
        _ => ", for an archive or another verifier.",
    };
    let said = RwSignal::new(None::<(Tone, &'static str)>);
    let share = move |_| {
        spawn_local(async move {
            if sharing::share(&name.get_value(), &lines.get_value()).await {
                said.set(Some((Tone::Good, "Passed on.")));
            }
        });
    };
    let saved = move |done: bool| {
        said.set(Some(if done {
            (Tone::Good, "Saved with this phone's downloads.")
        } else {
            (
                Tone::Bad,
                "This browser saves no files from here. Use codes or text.",
            )
        }));
    };
    let save = move |_| saved(sharing::save(&name.get_value(), &lines.get_value()));
    let save_plain = move |_| {
        let done = plain.with_value(|plain| {
            let plain = plain.as_ref();
            plain.is_some_and(|(name, bytes)| {
                bytes.with_untracked(|bytes| sharing::save_bytes(name, bytes))
            })
        });
        saved(done);
    };
    view! {
        <p>"A small text file. The other phone reads it under \"File\"."</p>
        <Show when=sharing::can_share>
            <button type="button" class="btn big wide" on:click=share>"Pass the file on"</button>
        </Show>
        <button type="button" class="btn big wide" on:click=save>"Save the file"</button>
        {plain.with_value(|p| p.as_ref().map(|(name, _)| view! {
            <button type="button" class="btn wide start" on:click=save_plain>
                <span class="words">
                    "Save it as signed"
                    <span class="under">{name.clone()}{plain_is_for}</span>
                </span>
            </button>
        }))}
        {move || said.get().map(|(tone, what)| view! { <Message tone=tone what=what.to_string()/> })}
    }
}
