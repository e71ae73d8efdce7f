//! How one game stands, from every log of it.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

use super::super::standings::{Batting, SideLine, Standing};
use super::ruled::{self, Drawn, Ruled};
use crate::crosscheck;
use crate::game::Ending;
use crate::log::{Decided, GameId, GameRecord, Organisers, Role, SignedCharter, Verified};
use crate::rules::OUTS_PER_TURN;
use crate::score::{BoxScore, LineScore};
use crate::team::{BySide, Side};

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
    /// An entry was signed twice with other content, or the record no longer
    /// holds together.
    Tampered,
    /// Not at its end, or not signed off.
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
    /// Where it is: "3rd, top".
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
    /// Records of the game, an organiser's log of decisions not counted.
    pub keepers: usize,
    /// What does not agree with the charter, in sentences for everyone; empty
    /// until it is held [against](Self::against) one.
    pub objections: Vec<String>,
}

impl GameReport {
    /// The report of a game from all its logs; `None` without one. The record
    /// shown is the one that the organiser decided on, else the one with most
    /// plays, of equals the umpire's.
    ///
    /// Decisions and lots count when an organiser's key signed them. A log with
    /// nothing but decisions is no further record of the game.
    #[must_use]
    pub fn of(logs: &[Kept<'_>], organisers: &Organisers) -> Option<Self> {
        let records: Vec<Kept<'_>> = logs
            .iter()
            .filter(|k| !k.record.is_of_desk())
            .copied()
            .collect();
        let first = logs.first()?;
        let setup = &first.record.opening().setup;
        let teams = BySide::from_fn(|s| setup.cards[s].team.clone());
        let (mut reasons, mut evidence, mut said) = (Vec::new(), Vec::new(), Vec::new());
        let by_records = judge(&records, &mut reasons, &mut evidence);
        let ruled = ruled::ruled(logs, &records, &teams, organisers, &mut said);
        if let Some(ruled) = &ruled {
            reasons.insert(0, ruled.sentence.clone());
            reasons.extend(ruled.since.iter().cloned());
        }
        reasons.extend(said);
        let decided = ruled.as_ref().filter(|r| r.applies).map(|r| r.decided);
        let shown = shown(logs, decided)?;
        let record = logs.get(shown)?.record;
        let (game, history) = (record.history().game(), record.history());
        let sheet = BoxScore::new(history.outcomes());
        let lines = BySide::from_fn(|side| side_line(record, &sheet, side));
        let outcome = Outcome::of(record, by_records, lines, decided);
        Some(Self {
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
            drawn: ruled::drawn(logs, organisers),
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
            keepers: records.len(),
            objections: Vec::new(),
        })
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
    /// took it out.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.decided() != Some(Decided::NotCounted)
    }

    /// Whether it is being played, as far as is known here.
    #[must_use]
    pub fn is_going_on(&self) -> bool {
        self.standing.is_none() && self.counts()
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

    fn decided(&self) -> Option<Decided> {
        let ruled = self.ruled.as_ref().filter(|r| r.applies);
        ruled.map(|r| r.decided)
    }

    /// Where it is or how it ended, in one sentence.
    #[must_use]
    pub fn place(&self) -> String {
        match self.ending {
            Some(ending) => ending.to_string(),
            None if self.is_going_on() => {
                format!("Being played: {}, {} out.", self.inning, self.outs)
            }
            None => "Stopped before its end.".into(),
        }
    }

    /// The better of two games of one fixture ranks higher.
    pub(super) fn rank(&self) -> (bool, Verdict, u64) {
        let over = self.ending.is_some() || self.verdict == Verdict::Decided;
        (over, self.verdict, self.opened_ms)
    }
}

pub(super) fn who(kept: &Kept<'_>) -> String {
    let author = &kept.record.opening().author;
    format!("the {}'s record", author.role)
}

fn judge(records: &[Kept<'_>], reasons: &mut Vec<String>, evidence: &mut Vec<String>) -> Verdict {
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
    for kept in records {
        if kept.record.history().conflicts().next().is_some() {
            reasons.push(format!("In {} a play no longer fits.", who(kept)));
        }
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
            let roles = [first, other].map(|k| k.record.opening().author.role);
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

fn side_line(record: &GameRecord, sheet: &BoxScore, side: Side) -> SideLine {
    let tally = record.history().game().tally()[side];
    let players = || sheet.players()[side].values();
    let sum = |of: fn(&crate::score::PlayerTotals) -> u16| {
        players().map(of).fold(0u16, u16::saturating_add)
    };
    let at_bats = sum(|p| p.at_bats);
    SideLine {
        runs: tally.runs,
        outs: tally.outs,
        earned: Some(sheet.earned()[side].min(tally.runs)),
        batting: Some(Batting {
            at_bats,
            hits: sum(|p| p.hits).min(at_bats),
        }),
    }
}

/// The log shown: the one that stands, else the record with most plays, of
/// equals the umpire's.
fn shown(logs: &[Kept<'_>], decided: Option<Decided>) -> Option<usize> {
    let key = |k: &Kept<'_>| k.record.chain().author().fingerprint();
    if let Some(Decided::Stands { author }) = decided {
        return logs.iter().position(|k| key(k) == author);
    }
    let role = |k: &Kept<'_>| match k.record.opening().author.role {
        Role::Umpire => 3,
        Role::Scorer => 2,
        Role::Organiser => 1,
        Role::Other => 0,
    };
    let place = |(_, k): &(usize, &Kept<'_>)| {
        (
            k.record.history().plays().count(),
            role(k),
            core::cmp::Reverse(key(k)),
        )
    };
    let (at, _) = logs.iter().enumerate().max_by_key(place)?;
    Some(at)
}

/// How a game counts, ended and was scored.
struct Outcome {
    standing: Option<Standing>,
    ending: Option<Ending>,
    score: BySide<u16>,
}

impl Outcome {
    fn of(
        record: &GameRecord,
        verdict: Verdict,
        lines: BySide<SideLine>,
        decided: Option<Decided>,
    ) -> Self {
        let game = record.history().game();
        let edition = game.edition();
        let recorded = Self {
            standing: standing(record, verdict, lines),
            ending: game.ending(),
            score: game.score(),
        };
        match decided {
            None | Some(Decided::Withdrawn) => recorded,
            Some(Decided::NotCounted) => Self {
                standing: None,
                ..recorded
            },
            Some(Decided::Forfeit { by }) => {
                let full = u16::from(edition.forfeit_score().get());
                Self {
                    standing: Some(Standing::Forfeit(by)),
                    ending: Some(Ending::Forfeit { by }),
                    score: BySide::from_fn(|side| if side == by { 0 } else { full }),
                }
            }
            Some(Decided::Stands { .. }) => Self {
                standing: Some(match game.ending() {
                    Some(Ending::Forfeit { by }) => Standing::Forfeit(by),
                    _ => settled(lines),
                }),
                ..recorded
            },
            Some(Decided::Score { runs, close }) => {
                // Figures that nobody decided on are not made up: the score
                // alone is known, over the innings that were recorded.
                let full = u16::from(edition.innings().get()) * u16::from(OUTS_PER_TURN);
                let given = |side: Side| match lines[side] {
                    line if line.runs == runs[side] => line,
                    line => SideLine {
                        runs: runs[side],
                        outs: if line.outs == 0 { full } else { line.outs },
                        earned: None,
                        batting: None,
                    },
                };
                Self {
                    standing: Some(settled(BySide::from_fn(given))),
                    ending: close.ending(),
                    score: runs,
                }
            }
        }
    }
}

/// Final where one side leads: a game has a winner.
fn settled(lines: BySide<SideLine>) -> Standing {
    match lines.guest.runs == lines.home.runs {
        true => Standing::Unsettled(lines),
        false => Standing::Final(lines),
    }
}

fn standing(record: &GameRecord, verdict: Verdict, lines: BySide<SideLine>) -> Option<Standing> {
    let game = record.history().game();
    let settled = matches!(verdict, Verdict::Single | Verdict::Agreed { .. });
    match (settled, game.ending()) {
        (true, Some(Ending::Forfeit { by })) => Some(Standing::Forfeit(by)),
        (true, Some(_)) if game.winner().is_some() => Some(Standing::Final(lines)),
        (_, Some(_)) => Some(Standing::Unsettled(lines)),
        (_, None) => record.signed_off().map(|_| Standing::Unsettled(lines)),
    }
}
