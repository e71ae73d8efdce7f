//! Records fetched from a collector, and decisions sent to it. Everything that
//! comes is verified here like a file from anyone.

use engine::log::{GameId, LogName};
use engine::sync::{Heads, ReadPass, Receipt};
use js_sys::JSON;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::components::A;
use wasm_bindgen::{JsCast, JsValue};

use crate::clock;
use crate::delivery::{collectors, host, own, read_address};
use crate::http::{self, Reply, Request, Stop};
use crate::js;
use crate::parts::{CollectorAddress, Message, Section, Tone};
use crate::state::{AppState, Arrival, LookProgress, app_state};

/// What was fetched or sent, or why not.
type Said = Result<String, String>;

/// An answer.
struct Came {
    status: u16,
    next: Option<u64>,
    body: Vec<u8>,
}

/// The section: an address, and what to do there.
#[component]
pub fn Collector(event: String) -> impl IntoView {
    let app = app_state();
    let at = RwSignal::new(own());
    let wrong = RwSignal::new(None::<String>);
    let busy = RwSignal::new(false);
    let said = RwSignal::new(None::<Said>);
    let word = StoredValue::new(event);
    let start = move |sends: bool| {
        if busy.get_untracked() {
            return;
        }
        said.set(None);
        // Where the app came from needs no further proof of who it is.
        let read = at.with_untracked(|text| match text.trim() {
            text if text == own() => Ok(own()),
            text => read_address(text),
        });
        wrong.set(read.as_ref().err().map(ToString::to_string));
        let Ok(base) = read else {
            return;
        };
        busy.set(true);
        spawn_local(async move {
            let event = word.get_value();
            let done = match sends {
                true => send(app, &base, &event).await,
                false => fetch_all(app, &base, &event).await,
            };
            said.set(Some(done.map_err(|why| why.to_string())));
            busy.set(false);
        });
    };
    let named = collectors().named;
    let by_itself = move || match named.with(|n| n.addresses(&own()).is_empty()) {
        true => {
            "No collector is named yet: name the event's under Delivery, and decisions go there by themselves."
        }
        false => {
            "Decisions go to the collectors under Delivery by themselves, as soon as there is a signal."
        }
    };
    view! {
        <Section title="A collector">
            <p>{by_itself}</p>
            <A href="/delivery" attr:class="btn wide">"Delivery"</A>
            <CollectorAddress label="Its address" text=at wrong=wrong/>
            <div class="pair">
                <button type="button" class="btn" aria-disabled=move || busy.get().to_string()
                    on:click=move |_| start(false)>"Fetch records"</button>
                <button type="button" class="btn" aria-disabled=move || busy.get().to_string()
                    on:click=move |_| start(true)>"Send decisions"</button>
            </div>
            {move || busy.get().then(|| view! { <p role="status">"Asking the collector."</p> })}
            {move || said.get().map(|done| match done {
                Ok(what) => view! { <Message tone=Tone::Good what=what/> }.into_any(),
                Err(what) => view! { <Message tone=Tone::Bad what=what
                    next="What is on this phone stays as it is. Try again, or collect files.".to_string()/> }.into_any(),
            })}
        </Section>
    }
}

const NO_ANSWER: &str = "Nobody answers there: no signal, or the collector is off.";
const OTHER: &str = "Something else than a collector answers there.";

/// Why nothing was fetched or sent.
enum FetchError {
    /// Nothing whole came back.
    NoAnswer,
    /// What answers is no collector.
    Other,
    /// The collector refuses, by its status.
    Refused(u16),
    /// The collector has records that it gives to others only, in a sentence.
    KeptBack(String),
    /// Something else, in a sentence.
    Said(String),
}

impl FetchError {
    /// Whether only a collector that has the event says so.
    fn is_of_collector(&self) -> bool {
        matches!(self, Self::KeptBack(_) | Self::Refused(401 | 403))
    }
}

impl From<String> for FetchError {
    fn from(why: String) -> Self {
        Self::Said(why)
    }
}

impl core::fmt::Display for FetchError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::NoAnswer => f.write_str(NO_ANSWER),
            Self::Other => f.write_str(OTHER),
            Self::Refused(status) => f.write_str(&refused(*status)),
            Self::KeptBack(why) | Self::Said(why) => f.write_str(why),
        }
    }
}

/// Asks every collector that is known for what is not here, once for each
/// event while the app is open: what is called missing was looked for.
pub fn look(app: AppState, event: String) {
    let looked = app.desk.looked;
    if looked.with_untracked(|all| all.contains_key(&event)) {
        return;
    }
    let note = move |event: &str, how: LookProgress| {
        looked.update(|all| {
            all.insert(event.to_string(), how);
        });
    };
    note(&event, LookProgress::Asking);
    let here = own();
    let named = collectors().named;
    let (addresses, sure) = named.with_untracked(|n| (n.to_ask(&here), n.addresses(&here)));
    spawn_local(async move {
        let mut how = LookProgress::NoCollector;
        for base in addresses {
            // Where the app came from there may be no collector at all.
            let is_sure = sure.contains(&base);
            how = match fetch_all(app, &base, &event).await {
                Ok(_) if how == LookProgress::NoCollector => LookProgress::Answered,
                Ok(_) => how,
                Err(why) if !is_sure && !why.is_of_collector() => how,
                Err(FetchError::NoAnswer) => LookProgress::NoAnswer,
                Err(why) => LookProgress::Refused(why.to_string()),
            };
        }
        note(&event, how);
    });
}

/// The most that a collector sends at once: a page of a log, the list of an
/// event's games (bytes).
const MOST: usize = 8 << 20;

/// One request, signed so that names kept short elsewhere can be read here.
async fn ask(
    app: AppState,
    base: &str,
    path: &str,
    put: Option<&[u8]>,
) -> Result<Came, FetchError> {
    let bare = path.split('?').next().unwrap_or_default();
    let key = app.key().map_err(|e| e.says().0)?;
    let seconds = clock::now() / 1000;
    let signature = key
        .signature(&ReadPass::to_be_signed(base, bare, seconds))
        .await;
    let signature = signature.map_err(|t| t.what())?;
    let pass = ReadPass::new(*key.public(), seconds, signature).header();
    let request = Request {
        url: &format!("{base}{path}"),
        entries: put,
        authorization: Some(&pass),
        limit: MOST,
    };
    match http::exchange(request, &Stop::new()).await {
        Reply::Lost => Err(FetchError::NoAnswer),
        // A network that wants its own page opened first.
        Reply::Came { status: 302, .. } => Err(FetchError::Other),
        Reply::Came {
            status, next, body, ..
        } => Ok(Came { status, next, body }),
    }
}

fn refused(status: u16) -> String {
    match status {
        401 | 403 => "The collector gives these records to the event's officials only: this phone's key is not listed in the charter, or the collector was not told its own address.".into(),
        404 => "This collector does not have the event.".into(),
        429 | 503 => "The collector is busy. Wait a minute.".into(),
        other => format!("The collector has trouble of its own ({other})."),
    }
}

/// The games of an event at a collector.
async fn games(app: AppState, base: &str, event: &str) -> Result<Vec<GameId>, FetchError> {
    let event = if event == "free" { "open" } else { event };
    let came = ask(app, base, &format!("/api/events/{event}/games.json"), None).await?;
    if came.status != 200 {
        return Err(FetchError::Refused(came.status));
    }
    let text = String::from_utf8(came.body).map_err(|_| FetchError::Other)?;
    let parsed = JSON::parse(&text).map_err(|_| FetchError::Other)?;
    let list = js::member(&parsed, "games").and_then(|l| l.dyn_into::<js_sys::Array>().ok());
    let ids = list.ok_or(FetchError::Other)?;
    let id = |row: JsValue| js::text(&row, "game")?.parse::<GameId>().ok();
    Ok(ids.iter().filter_map(id).collect())
}

/// Takes the versions of the charter that the collector has and this phone
/// lacks, if any; records under them belong to the event here only then.
async fn fetch_charter(app: AppState, base: &str, event: &str) -> Result<(), FetchError> {
    if app.event(event).is_none() {
        return Ok(());
    }
    let came = ask(app, base, &format!("/api/charters/{event}/all"), None).await?;
    if came.status != 200 {
        return Err(FetchError::Refused(came.status));
    }
    // What is new on this phone is asked about where charters are taken; this
    // event's first version is here.
    match app.arrival(&came.body) {
        Ok(arrival @ (Arrival::More { .. } | Arrival::Waits { .. })) => {
            let kept = app.keep_arrival(arrival).await;
            kept.map(|_| ())
                .map_err(|why| FetchError::Said(why.says().0))
        }
        Ok(_) => Ok(()),
        Err(why) => Err(FetchError::Said(why.says().0)),
    }
}

async fn fetch_all(app: AppState, base: &str, event: &str) -> Result<String, FetchError> {
    app.open_desk().await.map_err(|t| t.what())?;
    fetch_charter(app, base, event).await?;
    let games = games(app, base, event).await?;
    let mut files = Vec::new();
    let mut private = 0_u32;
    for game in &games {
        let came = ask(app, base, &format!("/api/games/{game}"), None).await?;
        if came.status != 200 {
            return Err(FetchError::Refused(came.status));
        }
        let heads = Heads::read(&came.body)
            .filter(|h| h.game == *game)
            .ok_or(FetchError::Other)?;
        let missing = heads.missing(|author| {
            app.desk_head(LogName {
                game: *game,
                author,
            })
        });
        for (author, from) in missing {
            let mut bytes = Vec::new();
            let mut from = Some(from);
            while let Some(at) = from {
                let path = format!("/api/logs/{game}/{author}?from={at}");
                let came = ask(app, base, &path, None).await?;
                match came.status {
                    200 => {}
                    // One that holds an incident report keeps no other back.
                    401 => {
                        private += 1;
                        break;
                    }
                    status => return Err(FetchError::Refused(status)),
                }
                bytes.extend(came.body);
                // No log is longer, whatever a collector says of what comes next.
                let more = |next: &u64| *next > at && bytes.len() < MOST;
                from = came.next.filter(more);
            }
            if !bytes.is_empty() {
                files.push((format!("A record fetched from {}", host(base)), bytes));
            }
        }
    }
    let logs = files.len();
    app.desk_take(files).await.map_err(|t| t.what())?;
    let there = match games.len() {
        0 => return Ok("The collector has no game of this event yet.".into()),
        1 => "1 game there".to_string(),
        n => format!("{n} games there"),
    };
    let came = match logs {
        0 => "nothing more came".to_string(),
        1 => "more came of 1 log, each signature checked".to_string(),
        n => format!("more came of {n} logs, each signature checked"),
    };
    match (private, logs) {
        (0, 0) => Ok(format!("{there}; everything is here already.")),
        (0, _) => Ok(format!("{there}; {came}.")),
        // Nothing of these games is missing: it is there, and not given here.
        (n, _) => Err(FetchError::KeptBack(format!(
            "{there}; {came}. {n} did not come. {}",
            refused(401)
        ))),
    }
}

async fn send(app: AppState, base: &str, event: &str) -> Result<String, FetchError> {
    app.open_desk().await.map_err(|t| t.what())?;
    let logs = app.desk_own(event);
    for (name, bytes) in &logs {
        let came = ask(app, base, &name.path(), Some(bytes)).await?;
        let receipt = Receipt::read(&came.body).ok_or(match came.status {
            200 => FetchError::Other,
            status => FetchError::Refused(status),
        })?;
        if let Some(refusal) = receipt.refusal {
            return Err(FetchError::Said(refusal.sentence));
        }
    }
    Ok(match logs.len() {
        0 => "There is no decision of this phone to send.".into(),
        1 => "The decisions on 1 game are delivered.".into(),
        n => format!("The decisions on {n} games are delivered."),
    })
}
