//! How one game stands, from every log of it.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::authority::{Authority, Backing};
use super::basis;
use super::outcome::{Outcome, side_line};
use super::ruled::{self, DecisionInForce, DrawnLot};
use crate::charter::SignedCharter;
use crate::competition::standings::{Standing, TableRules};
use crate::crosscheck::{self, KeptRecord, Reason, Status, Verdict, status};
use crate::game::Ending;
use crate::log::{Disposition, GameId, GameRecord, Role, Verified};
use crate::message::text;
use crate::play::count_outs;
use crate::score::{BoxScore, LineScore};
use crate::team::{Absence, BySide, Shirt, Side, Whereabouts};

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
    /// Where it stands by its records and what it waits for, in a few words.
    pub status: Status,
    /// What the organiser decided, where a decision is in force.
    pub ruled: Option<DecisionInForce>,
    /// Lots that the organiser drew, kept in the log of this game.
    pub drawn: Vec<DrawnLot>,
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
    /// Who was sent off, by the number worn.
    pub sent_off: Vec<(Side, Shirt)>,
    /// How many games of the team each of them misses after this one.
    pub ejection_carries: u8,
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
    /// Whether an umpire kept one of these.
    pub by_umpire: bool,
    /// Other games kept for the same place in the schedule that end otherwise;
    /// known once the game is looked at with [its event](super::EventView).
    pub rivals: Vec<GameId>,
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
    pub fn of(logs: &[KeptRecord<'_>], authority: Authority<'_>) -> Option<Self> {
        let PartedRecords {
            records,
            listed,
            strangers,
        } = parted(logs, authority);
        let backing = Backing::of(authority, listed.len(), strangers.len());
        let heard = if listed.is_empty() {
            &strangers
        } else {
            &listed
        };
        let first = logs.first()?;
        let setup = &first.record.opening().setup;
        let teams = BySide::from_fn(|s| setup.cards[s].team.clone());
        let mut said = Vec::new();
        let status = status(heard);
        let by_records = status.verdict;
        let who = |at: usize| {
            let author = heard.get(at).map(|k| &k.record.opening().author);
            author.map_or_else(String::new, |a| authority.record_of(a))
        };
        let each = status.reasons.iter();
        let mut reasons: Vec<String> = each.flat_map(|r| r.sentences(&who, false)).collect();
        let mut evidence = Vec::new();
        for line in status
            .reasons
            .iter()
            .flat_map(|r| evidence_of(r, heard, authority))
        {
            if !evidence.contains(&line) {
                evidence.push(line);
            }
        }
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
            practice: setup.demo || charter.is_some_and(|c| c.practice),
            title: setup.title.clone(),
            court: setup.court.clone(),
            teams,
            standing: outcome.standing,
            verdict: match decided {
                Some(_) => Verdict::Decided,
                None => by_records,
            },
            by_records,
            status,
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
            sent_off: sent_off(record),
            ejection_carries: edition
                .as_ref()
                .unwrap_or_else(|| game.edition())
                .ejection_carries()
                .get(),
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
            by_umpire: heard
                .iter()
                .any(|k| authority.role(&k.record.opening().author) == Role::Umpire),
            rivals: Vec::new(),
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
    pub fn against(mut self, charter: &SignedCharter<Verified>, logs: &[KeptRecord<'_>]) -> Self {
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
            Some(decided) => !matches!(decided, Disposition::NotCounted | Disposition::NotPlayed),
            None => self.backing != Backing::Strangers,
        }
    }

    /// Whether the organiser closed its place in the schedule without a result.
    #[must_use]
    pub fn will_not_be_played(&self) -> bool {
        self.decided() == Some(Disposition::NotPlayed)
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
        !matches!(self.decided(), Some(Disposition::Score { .. }))
    }

    /// How it stands in a few words, the same in every list, table and file:
    /// what is going on is being played, what is incomplete is named by what it
    /// waits for.
    #[must_use]
    pub fn state(&self) -> String {
        match (self.verdict, self.decided()) {
            (_, Some(Disposition::NotCounted)) => text!("state-not-counted"),
            (_, Some(Disposition::NotPlayed)) => text!("state-not-played"),
            (Verdict::Incomplete, _) => self.status.to_string(),
            (verdict, _) => verdict.to_string(),
        }
    }

    pub(super) fn decided(&self) -> Option<Disposition> {
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
                text!("place-not-played")
            }
            None if self.keepers == 0 => text!("place-no-record"),
            None => text!("stopped"),
        }
    }
}

/// The logs of a game by whose they are, an organiser's decisions left out.
struct PartedRecords<'a> {
    records: Vec<KeptRecord<'a>>,
    listed: Vec<KeptRecord<'a>>,
    strangers: Vec<KeptRecord<'a>>,
}

fn parted<'a>(logs: &[KeptRecord<'a>], authority: Authority<'_>) -> PartedRecords<'a> {
    let records = logs.iter().filter(|k| !k.record.is_of_desk());
    let records: Vec<KeptRecord<'a>> = records.copied().collect();
    let knows = |k: &KeptRecord<'_>| authority.knows(&k.record.opening().author);
    let (mut listed, strangers): (Vec<KeptRecord<'a>>, Vec<KeptRecord<'a>>) =
        records.iter().partition(|k| knows(k));
    // A listed official went on from the other's record: what the lost phone
    // had kept is evidence, and waits for nobody to end it.
    let ended = |k: &KeptRecord<'_>| authority.ends(&k.record.opening().author);
    if listed.iter().any(|k| k.record.is_takeover() && !ended(k)) {
        listed.retain(|k| !ended(k));
    }
    PartedRecords {
        records,
        listed,
        strangers,
    }
}

/// The records that a game is judged by: under a charter those of the officials
/// whom it lists, where there are any.
#[must_use]
pub fn heard<'a>(logs: &[KeptRecord<'a>], authority: Authority<'_>) -> Vec<KeptRecord<'a>> {
    let parted = parted(logs, authority);
    match parted.listed.is_empty() {
        true => parted.strangers,
        false => parted.listed,
    }
}

/// What the records say differently, word for word, for the officials.
fn evidence_of(
    reason: &Reason,
    records: &[KeptRecord<'_>],
    authority: Authority<'_>,
) -> Vec<String> {
    match reason {
        Reason::LeftOpen { note, .. } => alloc::vec![note.clone()],
        Reason::Misstated { wrong, .. } => alloc::vec![wrong.clone()],
        Reason::Differs {
            whose, differences, ..
        } => {
            let Some(first) = records.first() else {
                return Vec::new();
            };
            let cards = &first.record.opening().setup.cards;
            let names = BySide::from_fn(|s| cards[s].team.as_str());
            let roles = whose.map(|at| {
                let author = records.get(at).map(|k| &k.record.opening().author);
                author.map_or(Role::Other, |a| authority.role(a))
            });
            let who: [String; 2] = match roles[0] == roles[1] {
                true => [
                    text!("official-one", role = roles[0]),
                    text!("official-other", role = roles[0]),
                ],
                false => roles.map(|role| text!("official", role)),
            };
            let between =
                |d: &crosscheck::Difference| d.between(&names, [who[0].as_str(), who[1].as_str()]);
            differences.iter().map(between).collect()
        }
        _ => Vec::new(),
    }
}

/// The log shown: the one that stands, else of the records heard the one with
/// most plays, of equals the umpire's.
fn shown(
    logs: &[KeptRecord<'_>],
    heard: &[KeptRecord<'_>],
    authority: Authority<'_>,
    decided: Option<Disposition>,
) -> Option<usize> {
    let key = |k: &KeptRecord<'_>| k.record.chain().author().fingerprint();
    if let Some(Disposition::Stands { author }) = decided {
        return logs.iter().position(|k| key(k) == author);
    }
    let role = |k: &KeptRecord<'_>| match authority.role(&k.record.opening().author) {
        Role::Umpire => 3,
        Role::Scorer => 2,
        Role::Organiser => 1,
        Role::Other => 0,
    };
    let is_heard = |k: &KeptRecord<'_>| heard.iter().any(|h| core::ptr::eq(h.record, k.record));
    let place = |(_, k): &(usize, &KeptRecord<'_>)| {
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

/// Those sent off, by the number worn.
fn sent_off(record: &GameRecord) -> Vec<(Side, Shirt)> {
    let squads = record.history().game().squads();
    let mut found = Vec::new();
    for side in Side::BOTH {
        let away = Whereabouts::Away(Absence::Ejected);
        let members = squads[side].members().iter();
        found.extend(
            members
                .filter(|m| m.whereabouts == away)
                .map(|m| (side, m.shirt)),
        );
    }
    found
}
