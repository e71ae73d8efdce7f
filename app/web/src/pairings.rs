//! Who plays in the games that were open in a schedule: asked of the collectors,
//! or taken from the desk, and kept beside the preferences. Losing it loses
//! nothing recorded: it is asked for again.

use engine::charter::{Pairing, Pairings, Scheduled};
use engine::log::Hash;
use gloo_storage::{LocalStorage, Storage};
use js_sys::JSON;
use wasm_bindgen::{JsCast, JsValue};

use crate::http::{self, Reply, Request, Stop};
use crate::js;
use crate::state::AppState;

fn kept_under(event: &str) -> String {
    format!("chalkbook-pairings {event}")
}

/// The hash of the first version of a charter that is here.
fn event_of(app: AppState, event: &str) -> Option<Hash> {
    let kept = app.event(event)?;
    let first = kept.history().versions().first()?.hash();
    Some(first)
}

/// What is known here of an event's open games.
pub fn known(event: &str) -> Option<Pairings> {
    let kept: Vec<u8> = LocalStorage::get(kept_under(event)).ok()?;
    Pairings::from_bytes(&kept).ok()
}

/// Keeps what fits the charter that is here; whether anything did.
pub fn keep(app: AppState, mut pairings: Pairings) -> bool {
    let event = pairings.event.to_string();
    let kept = app.event(&event);
    let Some(signed) = kept.as_ref().and_then(|k| k.in_force()) else {
        return false;
    };
    pairings.keep_fitting(signed.charter());
    // Kept in vain where the browser keeps nothing: it is asked for again.
    let _ = LocalStorage::set(kept_under(&event), pairings.to_bytes());
    !pairings.games.is_empty()
}

/// Games of an event's schedule with their teams, as far as they are known here.
pub fn filled<'a>(
    event: &str,
    fixtures: impl IntoIterator<Item = &'a Scheduled>,
) -> impl Iterator<Item = Scheduled> {
    // Read once, however many games there are.
    let known = known(event);
    let one = move |f: &Scheduled| known.as_ref().map_or_else(|| f.clone(), |p| p.fill(f));
    fixtures.into_iter().map(one)
}

/// How asking the collectors went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AskProgress {
    /// It is being asked.
    Asking,
    /// One answered, and what it knows is kept.
    Answered,
    /// None answered.
    NoAnswer,
}

/// Asks the collectors who plays; the first one that knows the event is
/// believed, as a proposal.
pub async fn ask(app: AppState, addresses: Vec<String>, event: &str) -> AskProgress {
    for base in addresses {
        let url = format!("{base}/api/events/{event}/schedule.json");
        let request = Request {
            limit: 1 << 20,
            ..Request::new(&url)
        };
        if let Reply::Came {
            status: 200, body, ..
        } = http::exchange(request, &Stop::new()).await
            && let Some(pairings) = read(app, event, body)
        {
            keep(app, pairings);
            return AskProgress::Answered;
        }
    }
    AskProgress::NoAnswer
}

/// The rows of `schedule.json` whose sides are decided.
fn read(app: AppState, event: &str, body: Vec<u8>) -> Option<Pairings> {
    let text = String::from_utf8(body).ok()?;
    let list = js::member(&JSON::parse(&text).ok()?, "games")?;
    let list: js_sys::Array = list.dyn_into().ok()?;
    let one = |row: JsValue| {
        let state = js::text(&row, "state")?;
        let is_known = state == "ready" || state == "won";
        let number = js::member(&row, "number")?.as_f64()?;
        let games = 1.0..1_000_000.0;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "looked at before"
        )]
        let fixture = games.contains(&number).then_some(number as u32)?;
        is_known.then_some(Pairing {
            fixture,
            guest: js::text(&row, "guest")?,
            home: js::text(&row, "home")?,
        })
    };
    Some(Pairings {
        event: event_of(app, event)?,
        games: list.iter().filter_map(one).collect(),
    })
}
