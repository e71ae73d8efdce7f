//! What was heard, read and looked at before and between games, kept on the
//! phone: the thunder clock outlives a restart, and checks made before a game
//! go into its log when it begins.

use engine::court::care::{Check, Checklist, HoldState, Topic, WeatherHold};
use engine::log::Care;
use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};

use crate::clock;
use crate::official::Official;

const THUNDER: &str = "chalkbook-thunder";
const CHECKS: &str = "chalkbook-checks";
const CHECKER: &str = "chalkbook-checker";

/// After so long thunder is of another day (ms).
const STALE: u64 = 12 * 60 * 60 * 1000;

/// When it thundered, ms since 1970; what is of another day is left out.
pub fn thunders() -> Vec<u64> {
    let heard: Vec<u64> = LocalStorage::get(THUNDER).unwrap_or_default();
    let now = clock::now();
    heard
        .into_iter()
        .filter(|t| now.saturating_sub(*t) < STALE)
        .collect()
}

/// It thunders: the 30 minutes begin, or begin again.
pub fn thunder(now: u64) {
    let mut heard = thunders();
    if !matches!(
        WeatherHold::of(heard.iter().copied()).at(now),
        HoldState::Holding { .. }
    ) {
        heard.clear();
    }
    heard.push(now);
    let _ = LocalStorage::set(THUNDER, heard);
}

/// The last one was none: a lorry, or a slip of the thumb.
pub fn no_thunder() {
    let mut heard = thunders();
    heard.pop();
    let _ = LocalStorage::set(THUNDER, heard);
}

/// Who looks, as typed last; at first the official of this phone.
pub fn checker() -> String {
    LocalStorage::get(CHECKER).unwrap_or_else(|_| Official::load().name)
}

/// Keeps who looks.
pub fn set_checker(name: &str) {
    let _ = LocalStorage::set(CHECKER, name);
}

/// A look at something while no game is open.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Look {
    /// What, as the log words it.
    pub item: String,
    /// Who.
    pub who: String,
    /// Whether it was in order.
    pub in_order: bool,
    /// When, ms since 1970.
    pub at: u64,
}

impl Look {
    /// A look at a topic of the list, with what was found.
    pub fn at_topic(topic: Topic, note: &str, who: &str, in_order: bool) -> Self {
        let note = note.trim();
        let item = if note.is_empty() {
            topic.title().to_string()
        } else {
            format!("{}: {note}", topic.title())
        };
        Self {
            item,
            who: who.trim().to_string(),
            in_order,
            at: clock::now(),
        }
    }

    /// As the log has it.
    pub fn care(&self) -> Care {
        Care {
            item: self.item.clone(),
            who: self.who.clone(),
            in_order: self.in_order,
        }
    }

    /// As the list has it; `None` for what is not on the list.
    fn check(&self) -> Option<Check> {
        let (topic, note) = Topic::ALL.into_iter().find_map(|t| {
            let rest = self.item.strip_prefix(t.title())?;
            match rest.strip_prefix(": ") {
                Some(note) => Some((t, note)),
                None => rest.is_empty().then_some((t, "")),
            }
        })?;
        Some(Check {
            topic,
            in_order: self.in_order,
            by: self.who.clone(),
            at_ms: self.at,
            note: note.to_string(),
        })
    }
}

/// Today's looks that no game has in its log yet.
pub fn looks() -> Vec<Look> {
    let all: Vec<Look> = LocalStorage::get(CHECKS).unwrap_or_default();
    let now = clock::now();
    all.into_iter()
        .filter(|l| clock::same_day(l.at, now))
        .collect()
}

/// Keeps these looks for the next game.
pub fn keep_looks(looks: &[Look]) {
    let _ = LocalStorage::set(CHECKS, looks);
}

/// The list as far as these looks went through it.
pub fn checklist(looks: &[Look]) -> Checklist {
    let mut list = Checklist::new();
    for check in looks.iter().filter_map(Look::check) {
        list.record(check);
    }
    list
}
