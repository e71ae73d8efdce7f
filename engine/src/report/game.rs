//! How one game stands, from every log of it.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

use super::authority::{Authority, Backing};
use super::basis;
use super::outcome::{Outcome, side_line};
use super::ruled::{self, Drawn, Ruled};
use crate::charter::SignedCharter;
use crate::competition::standings::{Standing, TableRules};
use crate::crosscheck;
use crate::game::Ending;
use crate::log::{Decided, GameId, GameRecord, Role, Verified};
use crate::play::count_outs;
use crate::score::{BoxScore, LineScore};
use crate::team::BySide;

/// One official's record of a game, as it was kept.
#[derive(Clone, Copy, Debug)]
pub struct Kept<'a> {
    /// The record.
    pub record: &'a GameRecord,
    /// Whether its author signed two entries with one number.
    pub forked: bool,
}

/// How a game stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// An entry was signed twice with other content.
    Tampered,
    /// Not at its end, not signed off, or with a play that no longer fits after
    /// a correction.
    Incomplete,
    /// The records differ, or a difference was left open.
    Disputed,
    /// At its end and signed off by one official; no other kept a record.
    Single,
    /// All records tell the same and are signed off.
    Agreed {
        /// Whether each official has signed the other's statement.
        co_signed: bool,
    },
    /// The organiser decided how it counts.
    Decided,
}

impl Verdict {
    /// Whether an organiser must look at it.
    #[must_use]
    pub const fn needs_attention(self) -> bool {
        matches!(self, Self::Tampered | Self::Disputed)
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Tampered => "tampered",
            Self::Incomplete => "incomplete",
            Self::Disputed => "disputed",
            Self::Single => "single record",
            Self::Agreed { co_signed: true } => "agreed and co-signed",
            Self::Agreed { co_signed: false } => "agreed",
            Self::Decided => "decided by the organiser",
        })
    }
}

/// A game as all its logs give it.
#[derive(Clone, Debug)]
pub struct GameReport {
    /// The game.
    pub game: GameId,
    /// Number of its fixture.
    pub fixture: Option<u32>,
    /// Whether it is a practice game.
    pub practice: bool,
    /// What it is, where the setup says.
    pub title: Option<String>,
    /// The court.
    pub court: Option<String>,
    /// The teams.
    pub teams: BySide<String>,
    /// How it stands, an organiser's decision included.
    pub verdict: Verdict,
    /// How it stands by its records alone.
    pub by_records: Verdict,
    /// What the organiser decided, where a decision is in force.
    pub ruled: Option<Ruled>,
    /// Lots that the organiser drew, kept in the log of this game.
    pub drawn: Vec<Drawn>,
    /// Why it stands so, in plain sentences that anyone may read: no texts that
    /// people wrote. Empty when it is agreed and co-signed.
    pub reasons: Vec<String>,
    /// What the records say differently, word for word, for the officials.
    pub evidence: Vec<String>,
    /// How it counts in a table; `None` while it is going on, or when the
    /// organiser decided that it does not count.
    pub standing: Option<Standing>,
    /// How it ended.
    pub ending: Option<Ending>,
    /// The official score.
    pub score: BySide<u16>,
    /// Where it is: "Top of 3rd".
    pub inning: String,
    /// Outs in this turn.
    pub outs: u8,
    /// Runs by inning.
    pub line: LineScore,
    /// The box score.
    pub sheet: BoxScore,
    /// When it was opened, as the phone's clock had it (milliseconds).
    pub opened_ms: u64,
    /// Plays in force.
    pub plays: usize,
    /// Which of the logs given is shown.
    pub shown: usize,
    /// The record shown, as sentences name it: "the umpire's record".
    pub whose: String,
    /// Records of the game, an organiser's log of decisions not counted.
    pub keepers: usize,
    /// Whose records it stands on.
    pub backing: Backing,
    /// Which record is shown, whether it counts and why, in a sentence or two
    /// for everyone.
    pub basis: String,
    /// What a table takes from the rules it was played by: the charter's for
    /// its fixture, where there is one.
    pub rules: TableRules,
    /// What does not agree with the charter, in sentences for everyone; empty
    /// until it is held [against](Self::against) one.
    pub objections: Vec<String>,
}

impl GameReport {
    /// The report of a game from all its logs; `None` without one.
    ///
    /// Under a charter only the records of officials whom it lists are judged
    /// and shown, each in the role it lists; the others are named as evidence.
    /// Those of strangers are looked at where no listed official kept one. The
    /// record shown is the one that the organiser decided on, else the one with
    /// most plays, of equals the umpire's.
    ///
    /// Decisions and lots count when an organiser's key signed them. A log with
    /// nothing but decisions is no further record of the game.
    #[must_use]
    pub fn of(logs: &[Kept<'_>], authority: Authority<'_>) -> Option<Self> {
        let records: Vec<Kept<'_>> = logs
            .iter()
            .filter(|k| !k.record.is_of_desk())
            .copied()
            .collect();
        let knows = |k: &Kept<'_>| authority.knows(&k.record.opening().author);
        let (listed, strangers): (Vec<Kept<'_>>, Vec<Kept<'_>>) =
            records.iter().partition(|k| knows(k));
        let backing = Backing::of(authority, listed.len(), strangers.len());
        let heard = if listed.is_empty() {
            &strangers
        } else {
            &listed
        };
        let first = logs.first()?;
        let setup = &first.record.opening().setup;
        let teams = BySide::from_fn(|s| setup.cards[s].team.clone());
        let (mut reasons, mut evidence, mut said) = (Vec::new(), Vec::new(), Vec::new());
        let by_records = judge(heard, authority, &mut reasons, &mut evidence);
        if !listed.is_empty() {
            basis::beside(&strangers, authority, &mut reasons, &mut evidence);
        }
        let ruled = ruled::ruled(logs, &records, &teams, authority, &mut said);
        if let Some(ruled) = &ruled {
            reasons.insert(0, ruled.sentence.clone());
            reasons.extend(ruled.since.iter().cloned());
        }
        reasons.extend(said);
        let decided = ruled.as_ref().filter(|r| r.applies).map(|r| r.decided);
        let shown = shown(logs, heard, authority, decided)?;
        let record = logs.get(shown)?.record;
        let (game, history) = (record.history().game(), record.history());
        let charter = authority.charter();
        let edition = charter.and_then(|c| c.edition_of(setup.fixture_number)?.edition().ok());
        let rules = TableRules::of(edition.as_ref().unwrap_or_else(|| game.edition()));
        let sheet = BoxScore::of(history);
        let lines = BySide::from_fn(|side| side_line(record, &sheet, side));
        let outcome = Outcome::of(record, by_records, lines, decided, rules);
        let mut report = Self {
            game: record.chain().game(),
            fixture: setup.fixture_number,
            practice: setup.demo,
            title: setup.title.clone(),
            court: setup.court.clone(),
            teams,
            standing: outcome.standing,
            verdict: match decided {
                Some(_) => Verdict::Decided,
                None => by_records,
            },
            by_records,
            ruled,
            drawn: ruled::drawn(logs, authority),
            reasons,
            evidence,
            ending: outcome.ending,
            score: outcome.score,
            inning: game.inning_words(),
            outs: game.outs(),
            line: LineScore::new(history.outcomes()),
            sheet,
            opened_ms: record
                .chain()
                .entries()
                .first()
                .map_or(0, |e| e.payload().claimed_ms),
            plays: history.plays().count(),
            shown,
            whose: authority.record_of(&record.opening().author),
            keepers: records.len(),
            backing,
            basis: String::new(),
            rules,
            objections: Vec::new(),
        };
        report.basis = basis::basis(&report, heard, logs.get(shown)?, authority);
        Some(report)
    }

    /// The same, with what does not agree between its records and the charter
    /// that it was set up under, each thing once. The game counts all the same.
    #[must_use]
    pub fn against(mut self, charter: &SignedCharter<Verified>, logs: &[Kept<'_>]) -> Self {
        let records = logs.iter().filter(|k| !k.record.is_of_desk());
        for objection in records.flat_map(|k| charter.objections(k.record.opening())) {
            let sentence = objection.for_everyone();
            if !self.objections.contains(&sentence) {
                self.objections.push(sentence);
            }
        }
        self
    }

    /// Whether the game takes part in the competition: not when the organiser
    /// took it out, nor while only strangers kept it where the charter lets
    /// only those it lists keep records, and nobody decided.
    #[must_use]
    pub fn counts(&self) -> bool {
        match self.decided() {
            Some(decided) => !matches!(decided, Decided::NotCounted | Decided::NotPlayed),
            None => self.backing != Backing::Strangers,
        }
    }

    /// Whether the organiser closed its place in the schedule without a result.
    #[must_use]
    pub fn will_not_be_played(&self) -> bool {
        self.decided() == Some(Decided::NotPlayed)
    }

    /// Whether it is being played, as far as is known here.
    #[must_use]
    pub fn is_going_on(&self) -> bool {
        self.standing.is_none() && self.counts() && self.backing != Backing::None
    }

    /// Whether an organiser must look at it: a dispute that nobody decided, or
    /// a decision made without knowing everything.
    #[must_use]
    pub fn needs_attention(&self) -> bool {
        let since = self.ruled.as_ref().is_some_and(|r| !r.since.is_empty());
        self.verdict.needs_attention() || since
    }

    /// Whether the box score is the game's as it counts: not where the
    /// organiser gave another score.
    #[must_use]
    pub fn sheet_counts(&self) -> bool {
        !matches!(self.decided(), Some(Decided::Score { .. }))
    }

    pub(super) fn decided(&self) -> Option<Decided> {
        let ruled = self.ruled.as_ref().filter(|r| r.applies);
        ruled.map(|r| r.decided)
    }

    /// Where it is, as "Top of 3rd, 1 out", or how it ended, in a sentence.
    #[must_use]
    pub fn place(&self) -> String {
        match self.ending {
            Some(ending) => ending.to_string(),
            None if self.is_going_on() => {
                format!("{}, {}", self.inning, count_outs(self.outs))
            }
            None if self.keepers == 0 && self.will_not_be_played() => {
                "It will not be played.".into()
            }
            None if self.keepers == 0 => "No record of it is here.".into(),
            None => "Stopped before its end.".into(),
        }
    }
}

fn judge(
    records: &[Kept<'_>],
    authority: Authority<'_>,
    reasons: &mut Vec<String>,
    evidence: &mut Vec<String>,
) -> Verdict {
    let who = |kept: &Kept<'_>| authority.record_of(&kept.record.opening().author);
    if records.is_empty() {
        reasons.push("No official's record is here.".to_string());
        return Verdict::Incomplete;
    }
    for kept in records.iter().filter(|k| k.forked) {
        reasons.push(format!(
            "In {} an entry was signed twice with other content: both are kept.",
            who(kept)
        ));
    }
    if !reasons.is_empty() {
        return Verdict::Tampered;
    }
    // Records in step so far are no dispute: one official may be slower.
    let over = |k: &Kept<'_>| k.record.history().game().ending().is_some();
    let done: Vec<&Kept<'_>> = records
        .iter()
        .filter(|k| over(k) || k.record.signed_off().is_some())
        .collect();
    for kept in records {
        if let Some(wrong) = kept.record.misstatement() {
            reasons.push(format!(
                "The final statement in {} signs another result than its entries give.",
                who(kept)
            ));
            evidence.push(wrong.to_string());
        }
        for (_, open) in kept.record.disputes() {
            reasons.push(format!("A difference is left open in {}.", who(kept)));
            if !evidence.contains(&open.note) {
                evidence.push(open.note.clone());
            }
        }
    }
    if let Some((first, others)) = done.split_first() {
        let cards = &first.record.opening().setup.cards;
        let names = BySide::from_fn(|s| cards[s].team.as_str());
        for other in others {
            let found = crosscheck::compare(first.record.history(), other.record.history());
            let places = found.differences.iter().map(crosscheck::Difference::place);
            reasons.extend(places.map(|place| format!("{place}: the records differ.")));
            let roles = [first, other].map(|k| authority.role(&k.record.opening().author));
            let who = match roles[0] == roles[1] {
                true => [
                    format!("one {}", roles[0]),
                    format!("the other {}", roles[0]),
                ],
                false => roles.map(|r| format!("the {r}")),
            };
            let between =
                |d: &crosscheck::Difference| d.between(&names, [who[0].as_str(), who[1].as_str()]);
            evidence.extend(found.differences.iter().map(between));
            if first.record.history().game().score() != other.record.history().game().score() {
                reasons.push("The two records end with different scores.".to_string());
            }
        }
    }
    if !reasons.is_empty() {
        return Verdict::Disputed;
    }
    // An honest correction can leave a later play without its place: its
    // official sets it right and signs again.
    for kept in records {
        if kept.record.history().conflicts().next().is_some() {
            reasons.push(format!(
                "In {} a play no longer fits after a correction: it is to be set right and signed again.",
                who(kept)
            ));
        }
    }
    if !reasons.is_empty() {
        return Verdict::Incomplete;
    }
    let waiting = records.iter().filter(|k| k.record.signed_off().is_none());
    reasons.extend(waiting.map(|k| match over(k) {
        true => format!("Not yet signed off: {}.", who(k)),
        false => format!("Still going on in {}.", who(k)),
    }));
    if !done.iter().any(|k| k.record.signed_off().is_some()) {
        return Verdict::Incomplete;
    }
    let signed: Vec<&&Kept<'_>> = done
        .iter()
        .filter(|k| k.record.signed_off().is_some())
        .collect();
    if signed.iter().any(|k| !over(k)) {
        reasons.push("Signed off before its end.".to_string());
        return Verdict::Incomplete;
    }
    if records.len() == 1 {
        reasons.push("Only one official kept a record.".to_string());
        return Verdict::Single;
    }
    if signed.len() < records.len() {
        return match signed.len() {
            1 => Verdict::Single,
            _ => Verdict::Agreed { co_signed: false },
        };
    }
    let co_signed = records.iter().all(|a| {
        records.iter().all(|b| {
            core::ptr::eq(a.record, b.record)
                || b.record.signed_off().is_some_and(|(statement, _)| {
                    let hash = statement.hash();
                    // A captain's name in the log is not the official's own.
                    a.record
                        .co_signs()
                        .any(|(_, c)| c.statement == hash && c.captain.is_none())
                })
        })
    });
    if !co_signed {
        reasons.push("The officials have not signed each other's statement.".to_string());
    }
    Verdict::Agreed { co_signed }
}

/// The log shown: the one that stands, else of the records heard the one with
/// most plays, of equals the umpire's.
fn shown(
    logs: &[Kept<'_>],
    heard: &[Kept<'_>],
    authority: Authority<'_>,
    decided: Option<Decided>,
) -> Option<usize> {
    let key = |k: &Kept<'_>| k.record.chain().author().fingerprint();
    if let Some(Decided::Stands { author }) = decided {
        return logs.iter().position(|k| key(k) == author);
    }
    let role = |k: &Kept<'_>| match authority.role(&k.record.opening().author) {
        Role::Umpire => 3,
        Role::Scorer => 2,
        Role::Organiser => 1,
        Role::Other => 0,
    };
    let is_heard = |k: &Kept<'_>| heard.iter().any(|h| core::ptr::eq(h.record, k.record));
    let place = |(_, k): &(usize, &Kept<'_>)| {
        (
            is_heard(k),
            k.record.history().plays().count(),
            role(k),
            core::cmp::Reverse(key(k)),
        )
    };
    let (at, _) = logs.iter().enumerate().max_by_key(place)?;
    Some(at)
}
