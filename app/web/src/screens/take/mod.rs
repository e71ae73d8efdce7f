//! Taking something from another phone: by camera, as text, or from a file.

mod arrived;
mod camera;
mod reader;

use engine::charter::{Pairings, SignedCharter};
use engine::crosscheck::Agreement;
use engine::link::{Inbox, Kind, Packet, ReceivedPayload, Refusal, text};
use engine::log::{Author, LogFile, Role, Setup};
use engine::team::Side;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::{use_navigate, use_query_map};

use super::cross::{game_words, wants_signing};
use super::events::{CharterSays, opening_here};
use super::show::back_to;
use crate::parts::{Message, Page, PastedLines, Tone};
use crate::state::{
    AppState, Arrival, NotRecorded, NotTaken, Reach, ShownGame, TakenRecord, app_state,
};
use crate::store::Trouble;
use crate::{dropped, pairings, sharing};

pub(super) use arrived::Compare;
use arrived::{Card, Damaged};
use camera::Camera;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Camera,
    Text,
    File,
}

/// What is said under the ways: done, or what was wrong and what to do.
type Said = Option<(Tone, String, String)>;

/// What this screen does with what it reads.
#[derive(Clone, Copy)]
pub struct Taking {
    inbox: StoredValue<Inbox>,
    /// How far the transfer is, from 0 to 1, with the words for it.
    pub progress: RwSignal<Option<(f32, String)>>,
    /// What is said.
    pub said: RwSignal<Said>,
    arrived: Callback<ReceivedPayload>,
    done: RwSignal<bool>,
}

impl Taking {
    /// Takes pieces, wherever they were read. Says what was refused, unless
    /// it is only a piece that another will replace.
    pub fn pieces(self, packets: &[Packet], refused: &[Refusal]) {
        // Pieces may come when the screen was left: a look at the picture takes its time.
        if self.done.try_get_untracked() != Some(false) {
            return;
        }
        let mut wrong = refused.iter().rfind(|r| **r != Refusal::Damaged).copied();
        for packet in packets {
            let outcome = self.inbox.try_update_value(|inbox| inbox.accept(packet));
            match outcome {
                Some(Ok(progress)) => {
                    let words = format!(
                        "{} of {} pieces read",
                        progress.have.min(progress.need),
                        progress.need
                    );
                    self.progress.set(Some((progress.fraction(), words)));
                    if progress.fresh && wrong.is_none() {
                        self.said.set(None);
                    }
                }
                Some(Err(refusal)) => wrong = Some(refusal),
                None => return,
            }
        }
        if let Some(wrong) = wrong {
            self.said
                .set(Some((Tone::Bad, wrong.to_string(), String::new())));
        }
        let whole = self.inbox.try_update_value(Inbox::take).unwrap_or_default();
        if let Some(received) = whole.into_iter().next() {
            self.done.set(true);
            self.arrived.try_run(received);
        }
    }

    /// Whether it is all here.
    pub fn is_done(self) -> bool {
        self.done.try_get_untracked() != Some(false)
    }

    /// Reads a file that was chosen or dropped.
    pub fn read_file(self, bytes: Vec<u8>) {
        if self.done.is_disposed() {
            return;
        }
        self.progress.set(None);
        read_file(self, bytes);
    }

    fn fail(self, (what, next): (String, String)) {
        self.said.set(Some((Tone::Bad, what, next)));
        self.progress.set(None);
        self.done.set(false);
    }
}

/// The screen. With a game in the address, only what belongs to it is taken.
#[component]
pub fn Take() -> impl IntoView {
    let app = app_state();
    let query = use_query_map();
    let wanted = query.with_untracked(|q| q.get("game"));
    let game = wanted.clone();
    // The game stays open, so that what is taken is shown with it at once.
    Effect::new(move |_| {
        let ready = app.reach.get() == Reach::Ready;
        let there = |game: &String| {
            app.open
                .with_untracked(|o| o.as_ref().is_some_and(|o| o.listed.game == *game))
        };
        if let Some(game) = game.clone().filter(|g| ready && !there(g)) {
            spawn_local(async move {
                // The screen of the game itself says what is wrong with it.
                let _ = app.open(game, false).await;
            });
        }
    });
    let shown = RwSignal::new(None::<Next>);
    let navigate = use_navigate();
    let inbox = StoredValue::new(Inbox::new());
    let progress = RwSignal::new(None);
    let said = RwSignal::new(None::<(Tone, String, String)>);
    let done = RwSignal::new(false);
    let for_game = wanted.clone();
    let from = query.with_untracked(|q| q.get("from"));
    // The organiser's desk takes records of every game, and charters.
    let desk = query.with_untracked(|q| q.get("desk"));
    let for_desk = desk.clone();
    let arrived = Callback::new(move |received: ReceivedPayload| {
        let taking = Taking {
            inbox,
            progress,
            said,
            arrived: Callback::new(|_| {}),
            done,
        };
        let wanted = for_game.clone();
        let navigate = navigate.clone();
        let desk = for_desk.clone();
        spawn_local(async move {
            if let Some(event) = desk {
                let name = format!("{} from a screen", received.kind);
                let taken = app.desk_take(vec![(name, received.payload)]).await;
                let wrong = taken
                    .as_ref()
                    .err()
                    .map(|t| (t.what(), t.next().to_string()));
                if let Some(wrong) = wrong {
                    return taking.fail(wrong);
                }
                app.desk.just.set(Some(taken));
                // Back leads to the desk, not to a camera.
                let replace = NavigateOptions {
                    replace: true,
                    ..Default::default()
                };
                return navigate(&back_to_desk(&event), replace);
            }
            let taken = take(app, received, wanted.as_deref()).await;
            if done.is_disposed() {
                // Kept all the same; nobody is to be called back from where they went.
                return;
            }
            let to = match taken {
                Ok(Next::Compare(taken)) if taken.damage.is_none() => {
                    let signs = app.open.with_untracked(|open| match open {
                        Some(ShownGame { book: Ok(book), .. }) => wants_signing(app, book),
                        _ => false,
                    });
                    let from = signs.then(|| "statement".into());
                    back_to(&taken.game, from)
                }
                Ok(Next::Event { event, taken }) => format!("/event?event={event}&taken={taken}"),
                Ok(next) => return shown.set(Some(next)),
                Err(why) => return taking.fail(why),
            };
            let replace = NavigateOptions {
                replace: true,
                ..Default::default()
            };
            navigate(&to, replace);
        });
    });
    let taking = Taking {
        inbox,
        progress,
        said,
        arrived,
        done,
    };
    let way = RwSignal::new(if camera::is_offered() {
        Way::Camera
    } else {
        Way::Text
    });
    let tab = move |this: Way, words: &'static str| {
        view! {
            <button type="button" class="btn" aria-pressed=move || (way.get() == this).to_string()
                on:click=move |_| {
                    // What went wrong there says nothing here.
                    said.set(None);
                    progress.set(None);
                    way.set(this);
                }>{words}</button>
        }
    };
    let for_charter = query.with_untracked(|q| {
        let making = q.get("for").is_some_and(|f| f == "charter");
        making.then(|| match q.get("event") {
            Some(event) => format!("/charter?event={event}"),
            None => "/charter".to_string(),
        })
    });
    let for_the_desk = desk.map(|event| back_to_desk(&event));
    let back = for_charter
        .or(for_the_desk)
        .or_else(|| wanted.map(|g| back_to(&g, from)))
        .unwrap_or_else(|| "/".to_string());
    dropped::take_up(taking);
    let next_card = Callback::new(move |name: String| {
        inbox.set_value(Inbox::new());
        progress.set(None);
        done.set(false);
        shown.set(None);
        said.set(Some((
            Tone::Good,
            format!("{name} is listed."),
            "Take the next card.".into(),
        )));
    });
    view! {
        <Page title="Take from another phone" back=back>
            {move || match shown.get() {
                Some(Next::Join(setup)) => view! { <Join setup=*setup/> }.into_any(),
                Some(Next::New(arrival)) => view! { <Compare arrival=*arrival/> }.into_any(),
                Some(Next::Card(author)) => view! { <Card author=*author next=next_card/> }.into_any(),
                Some(Next::Compare(taken)) => view! { <Damaged taken=taken/> }.into_any(),
                Some(Next::Event { .. }) | None => view! {
                    <div class="ways three" role="group" aria-label="How">
                        {tab(Way::Camera, "Camera")}
                        {tab(Way::Text, "Text")}
                        {tab(Way::File, "File")}
                    </div>
                    {move || match way.get() {
                        Way::Camera => view! { <Camera taking=taking/> }.into_any(),
                        Way::Text => view! { <FromText taking=taking/> }.into_any(),
                        Way::File => view! { <FromFile taking=taking/> }.into_any(),
                    }}
                    {move || progress.get().map(|(part, words): (f32, String)| view! {
                        <label class="field">
                            <span>{words}</span>
                            <progress max="1" value=part.to_string()></progress>
                        </label>
                    })}
                    {move || said.get().map(|(tone, what, next)| view! { <Message tone=tone what=what next=next/> })}
                }.into_any(),
            }}
        </Page>
    }
}

/// Where the desk takes things in: for an event, or for any.
fn back_to_desk(event: &str) -> String {
    match event {
        "any" => "/desk?part=in".to_string(),
        event => format!("/desk?event={event}&part=in"),
    }
}

/// What comes next when something is whole.
#[derive(Clone)]
enum Next {
    /// A game to keep one's own record of.
    Join(Box<Setup>),
    /// A record, kept beside one's own.
    Compare(TakenRecord),
    /// The charter of an event that is new here.
    New(Box<Arrival>),
    /// A charter that is on the phone now, with what it was.
    Event { event: String, taken: &'static str },
    /// An official, for a charter to list.
    Card(Box<Author>),
}

/// What to do with a payload that is whole.
async fn take(
    app: AppState,
    received: ReceivedPayload,
    wanted: Option<&str>,
) -> Result<Next, (String, String)> {
    let bytes = &received.payload;
    match received.kind {
        Kind::Fixture => {
            let setup = Setup::from_bytes(bytes).map_err(|why| (why.to_string(), String::new()))?;
            Ok(Next::Join(Box::new(setup)))
        }
        Kind::Entries => {
            let taken = app
                .take_log(bytes, wanted)
                .await
                .map_err(|why| why.says())?;
            Ok(Next::Compare(taken))
        }
        Kind::Rulings => {
            let agreement =
                Agreement::from_bytes(bytes).map_err(|why| (why.to_string(), String::new()))?;
            let taken = app.take_log(&agreement.log, wanted).await;
            let taken = taken.map_err(|why: NotTaken| why.says())?;
            if taken.game != agreement.game.to_string() {
                return Err((
                    "These rulings and their record are of two games.".into(),
                    String::new(),
                ));
            }
            app.offer(agreement);
            Ok(Next::Compare(taken))
        }
        Kind::Charter => {
            let arrival = app.arrival(bytes).map_err(|why| why.says())?;
            let taken = match &arrival {
                Arrival::New { .. } => return Ok(Next::New(Box::new(arrival))),
                Arrival::More { newer: true, .. } => "newer",
                Arrival::More { .. } => "more",
                Arrival::Waits { .. } => "waits",
                Arrival::Known { .. } => "known",
            };
            let kept = app.keep_arrival(arrival).await;
            let event = kept.map_err(|why| why.says())?;
            Ok(Next::Event { event, taken })
        }
        Kind::Pairings => {
            let pairings =
                Pairings::from_bytes(bytes).map_err(|why| (why.to_string(), String::new()))?;
            let event = pairings.event.to_string();
            let taken = "pairings";
            match pairings::keep(app, pairings) {
                true => Ok(Next::Event { event, taken }),
                false => Err((
                    "This list says who plays in an event that is not on this phone, or nothing that was open."
                        .into(),
                    "Take the charter of the event first.".into(),
                )),
            }
        }
        Kind::Official => {
            let card = Author::from_bytes(bytes);
            let author = card.map_err(|why| (why.to_string(), String::new()))?;
            Ok(Next::Card(Box::new(author)))
        }
        other => Err((
            format!("This is {other}; a game, a record or rulings are wanted here."),
            "Show one of these on the other phone.".into(),
        )),
    }
}

/// The game that the other phone showed: look at it, then keep one's own record.
#[component]
fn Join(setup: Setup) -> impl IntoView {
    let app = app_state();
    let id = setup.game_id().to_string();
    let words = game_words(&setup);
    let known = {
        let id = id.clone();
        move || {
            app.games
                .with(|games| games.iter().any(|g| g.listed.game == id))
        }
    };
    let sides = Side::BOTH.map(|side| {
        let card = &setup.cards[side];
        let numbers: Vec<String> = card
            .hitters
            .iter()
            .map(|h| h.player.shirt.to_string())
            .collect();
        let role = if side == Side::Guest {
            "guests"
        } else {
            "home"
        };
        view! {
            <p><span class="strong">{card.team.clone()}</span>", "{role}": "{numbers.join(", ")}</p>
        }
    });
    let about: Vec<String> = [setup.title.clone(), setup.court.clone()]
        .into_iter()
        .flatten()
        .collect();
    let rules = setup.edition.to_string();
    let failed = RwSignal::new(None::<(String, String)>);
    let navigate = use_navigate();
    let go = {
        let id = id.clone();
        move || {
            let to = format!("/call?game={id}");
            navigate(
                &to,
                NavigateOptions {
                    replace: true,
                    ..Default::default()
                },
            );
        }
    };
    let setup = StoredValue::new(setup);
    let under = Signal::derive(move || {
        let opening = setup.with_value(|s| opening_here(app, s, Some(Role::Scorer)))?;
        Some(app.under_in_force(&opening))
    });
    let goes = go.clone();
    let join = move |_| {
        let go = goes.clone();
        spawn_local(async move {
            match app.join(setup.get_value()).await {
                Ok(_) => go(),
                Err(NotRecorded::Trouble(Trouble::Taken)) => go(),
                Err(why) => failed.set(Some(why.says())),
            }
        });
    };
    view! {
        <section class="section" aria-label="The game">
            <h2>"Your own record of this game"</h2>
            {sides.collect_view()}
            {(!about.is_empty()).then(|| view! { <p>{about.join(", ")}</p> })}
            <p>"By "{rules}"."</p>
            <p>"Both phones show these words: they are on the same game and the same rules."</p>
            {words}
            <CharterSays under=under/>
        </section>
        {move || failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
        {move || if known() {
            let go = go.clone();
            view! {
                <p>"This game is on this phone already."</p>
                <button type="button" class="btn lit big wide" on:click=move |_| go()>"Open it"</button>
            }.into_any()
        } else {
            view! {
                <p>"You keep your own record as its second scorer: call what you see, not what you hear."</p>
                <button type="button" class="btn lit big wide" on:click=join.clone()>"Keep my own record"</button>
            }.into_any()
        }}
    }
}

#[component]
fn FromText(taking: Taking) -> impl IntoView {
    let typed = RwSignal::new(String::new());
    let read = move || {
        let found = typed.with_untracked(|t| text::read(t));
        if found.packets.is_empty() && found.refused.is_empty() {
            taking.said.set(Some((
                Tone::Bad,
                "There is no line from another phone in this text.".into(),
                "Copy the whole message, from its first letter to its last.".into(),
            )));
            return;
        }
        let damaged = found.refused.contains(&Refusal::Damaged);
        taking.pieces(&found.packets, &found.refused);
        if damaged && !taking.is_done() {
            taking.said.set(Some((
                Tone::Bad,
                "Some of the lines are cut short or altered.".into(),
                "Copy the whole message again and paste it here.".into(),
            )));
        }
    };
    view! { <PastedLines typed=typed read=read first=true/> }
}

/// A file chosen or dropped: lines of text, a log as it is, or a charter as it
/// is.
fn read_file(taking: Taking, bytes: Vec<u8>) {
    let found = core::str::from_utf8(&bytes)
        .map(text::read)
        .unwrap_or_default();
    if !found.packets.is_empty() || !found.refused.is_empty() {
        taking.pieces(&found.packets, &found.refused);
        if !taking.is_done() && taking.said.get_untracked().is_none() {
            taking.fail((
                "The file is not whole.".into(),
                "Save it again on the other phone.".into(),
            ));
        }
        return;
    }
    // A log or a charter as it is, from an archive.
    let kind = match LogFile::read(&bytes) {
        file if file.entries > 0 => Kind::Entries,
        file => match SignedCharter::read_all(&bytes) {
            Ok(_) => Kind::Charter,
            Err(_) if bytes.is_empty() => {
                return taking.fail(("The file is empty.".into(), String::new()));
            }
            Err(why) => {
                let log = file.damage.map(|d| d.to_string()).unwrap_or_default();
                return taking.fail((
                    "This file is no good record and no good charter; nothing was taken from it."
                        .into(),
                    format!("As a record: {log} As a charter: {why}"),
                ));
            }
        },
    };
    taking.said.set(None);
    taking.done.set(true);
    taking.arrived.run(ReceivedPayload {
        kind,
        payload: bytes,
        digest: [0; 32],
    });
}

#[component]
fn FromFile(taking: Taking) -> impl IntoView {
    let field = NodeRef::<leptos::html::Input>::new();
    let read = move |_| {
        let Some(input) = field.get_untracked() else {
            return;
        };
        spawn_local(async move {
            if let Some(bytes) = sharing::chosen(&input.into()).await {
                taking.read_file(bytes);
            }
        });
    };
    view! {
        <label class="field">
            <span class="label">"The file from the other phone"</span>
            <input class="input" type="file" node_ref=field on:change=read/>
        </label>
        <p class="soft">"A record, a charter or the lines of either. On a computer it may also be dropped anywhere on the page."</p>
    }
}
