//! Where a game stands, from the records that are at hand: the one answer for
//! the list, the statement, the cross-check, the desk, a collector and every
//! file made of them.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Difference, Half, RecordStanding, signing_tasks};
use crate::log::{GameRecord, WitnessReport};
use crate::message::{Speech, localized, says, text};
use crate::score::LineScore;
use crate::team::BySide;

/// How a game stands.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// An entry was signed twice with other content.
    Tampered,
    /// Not at its end, not signed off, or with a play that no longer fits after
    /// a correction.
    Incomplete,
    /// The records differ, a difference was left open, or another game was kept
    /// for the same place in the schedule and ended otherwise.
    Disputed,
    /// At its end and signed off by one official; nobody else's record says
    /// otherwise.
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

    /// Whether the score counts without anybody's decision.
    #[must_use]
    pub const fn counts(self) -> bool {
        matches!(self, Self::Single | Self::Agreed { .. })
    }
}

/// One official's record of a game, as it was kept.
#[derive(Clone, Copy, Debug)]
pub struct KeptRecord<'a> {
    /// The record.
    pub record: &'a GameRecord,
    /// Whether its author signed two entries with one number.
    pub forked: bool,
}

impl<'a> From<&'a GameRecord> for KeptRecord<'a> {
    /// A fork is noticed where the record holds the other entry as proof.
    fn from(record: &'a GameRecord) -> Self {
        Self {
            record,
            forked: !record.chain().forks().is_empty(),
        }
    }
}

/// Why a game stands as it does. `whose` is a record's place in the list given
/// to [`status`]: 0 is the first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// Nobody's record is at hand.
    NoRecord,
    /// The author signed two different entries with one sequence number.
    Fork {
        /// Whose record.
        whose: usize,
    },
    /// Another official signed to have seen other entries in it than stand there
    /// now.
    Rewritten {
        /// Whose record.
        whose: usize,
    },
    /// The record is of another game.
    OtherGame {
        /// Whose record.
        whose: usize,
    },
    /// A difference was left standing.
    LeftOpen {
        /// Whose record.
        whose: usize,
        /// What the officials noted.
        note: String,
    },
    /// Two records tell different games.
    Differs {
        /// Whose records.
        whose: [usize; 2],
        /// What differs, the first of them speaking.
        differences: Vec<Difference>,
        /// Whether the scores differ too.
        scores: bool,
    },
    /// A final statement signs something else than its record says.
    Misstated {
        /// Whose record.
        whose: usize,
        /// What differs, in a sentence.
        wrong: String,
    },
    /// Plays no longer fit after a correction.
    Conflicts {
        /// Whose record.
        whose: usize,
        /// How many.
        plays: usize,
    },
    /// The game is not over in a record.
    StillOn {
        /// Whose record.
        whose: usize,
    },
    /// A record ends earlier than another, or is older than what both officials
    /// found the same.
    Old {
        /// Whose record.
        whose: usize,
        /// What comes next there.
        ends: Half,
    },
    /// Over, and no final statement is in force.
    NotSigned {
        /// Whose record.
        whose: usize,
    },
    /// Signed off before the end of the game.
    SignedEarly {
        /// Whose record.
        whose: usize,
    },
    /// A statement that another official did not co-sign.
    NotCoSigned {
        /// Whose statement.
        whose: usize,
    },
    /// Two records tell the same game and differ in what the scorer adds: who
    /// fielded, hit or error. It changes neither score nor standing.
    Details {
        /// Whose records.
        whose: [usize; 2],
        /// In how many plays.
        plays: usize,
        /// Errors by side in each of the two.
        errors: [BySide<u16>; 2],
    },
    /// Nobody else kept a record.
    Alone,
}

/// Errors by side as a record tells them.
fn errors(record: &GameRecord) -> BySide<u16> {
    let line = LineScore::new(record.history().outcomes());
    BySide::from_fn(|side| line.totals()[side].errors)
}

/// Where a game stands, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Status {
    /// Where it stands by its records.
    pub verdict: Verdict,
    /// Every reason, the gravest first; empty when it is agreed and co-signed
    /// down to the scorer's details.
    pub reasons: Vec<Reason>,
}

impl Status {
    /// A few words for a list of games. What is incomplete is said by what it
    /// waits for, as that is what somebody can do something about.
    fn say<S: Speech>(&self) -> S {
        let waits_for = |reason: &Reason| {
            Some(match reason {
                Reason::Conflicts { .. } => text!("waits-for-conflicts"),
                Reason::SignedEarly { .. } => text!("waits-for-signed-early"),
                Reason::StillOn { .. } => text!("waits-for-end"),
                Reason::NotSigned { .. } => text!("waits-for-signature"),
                _ => return None,
            })
        };
        let waits = self.verdict == Verdict::Incomplete;
        let words = self.reasons.iter().filter(|_| waits).find_map(waits_for);
        words.unwrap_or_else(|| S::same(&self.verdict))
    }
}

says!(Status);

/// Judges the records of one game, each by another author. The order matters
/// only for the words of the reasons.
///
/// One signed-off record counts, and records that tell the same and are signed
/// off count whether or not the officials signed each other's statement.
#[must_use]
pub fn status(records: &[KeptRecord<'_>]) -> Status {
    let status = |verdict, reasons| Status { verdict, reasons };
    if records.is_empty() {
        return status(Verdict::Incomplete, alloc::vec![Reason::NoRecord]);
    }
    let tampered = tampered(records);
    if !tampered.is_empty() {
        return status(Verdict::Tampered, tampered);
    }
    let compared = ComparedRecords::of(records);
    let disputed: Vec<_> = left_open(records).chain(compared.disputes).collect();
    if !disputed.is_empty() {
        return status(Verdict::Disputed, disputed);
    }
    let conflicts = conflicts(records);
    if !conflicts.is_empty() {
        return status(Verdict::Incomplete, conflicts);
    }
    let mut reasons = unfinished(records, &compared.old);
    let signed_records = records.iter().filter(|k| signed(k)).count();
    let early = records.iter().any(|k| signed(k) && !over(k));
    let verdict = match signed_records {
        0 => Verdict::Incomplete,
        _ if early => Verdict::Incomplete,
        1 if records.len() == 1 => {
            reasons.push(Reason::Alone);
            Verdict::Single
        }
        1 => Verdict::Single,
        n if n < records.len() => Verdict::Agreed { co_signed: false },
        _ => {
            reasons.extend(not_co_signed(records));
            let co_signed = reasons.is_empty();
            reasons.extend(compared.details);
            Verdict::Agreed { co_signed }
        }
    };
    status(verdict, reasons)
}

fn over(kept: &KeptRecord<'_>) -> bool {
    kept.record.history().game().ending().is_some()
}

fn signed(kept: &KeptRecord<'_>) -> bool {
    kept.record.signed_off().is_some()
}

fn tampered(records: &[KeptRecord<'_>]) -> Vec<Reason> {
    let game = records.first().map(|k| k.record.chain().game());
    let one = |(whose, kept): (usize, &KeptRecord<'_>)| {
        let others = records.iter().map(|k| k.record.chain());
        let found = WitnessReport::of(kept.record.chain(), others, []);
        let rewritten = found.contradictions.iter().any(|c| !c.cut);
        let other_game = Some(kept.record.chain().game()) != game;
        [
            kept.forked.then_some(Reason::Fork { whose }),
            rewritten.then_some(Reason::Rewritten { whose }),
            other_game.then_some(Reason::OtherGame { whose }),
        ]
    };
    records.iter().enumerate().flat_map(one).flatten().collect()
}

/// What a record says against itself or leaves to be decided.
fn left_open<'a>(records: &'a [KeptRecord<'a>]) -> impl Iterator<Item = Reason> {
    records.iter().enumerate().flat_map(|(whose, kept)| {
        let misstated = kept.record.misstatement().map(|wrong| Reason::Misstated {
            whose,
            wrong: wrong.to_string(),
        });
        let open = kept.record.disputes().map(move |(_, open)| {
            let note = open.note.clone();
            Reason::LeftOpen { whose, note }
        });
        misstated.into_iter().chain(open)
    })
}

/// What the other records say to the first that is done.
#[derive(Default)]
struct ComparedRecords {
    disputes: Vec<Reason>,
    old: Vec<Reason>,
    details: Vec<Reason>,
}

impl ComparedRecords {
    /// Records in step so far are no dispute: one official may be slower. So all
    /// are held against one that is done.
    fn of(records: &[KeptRecord<'_>]) -> Self {
        let mut compared = Self::default();
        let each = || records.iter().enumerate();
        let Some((at, done)) = each().find(|(_, k)| signed(k) || over(k)) else {
            return compared;
        };
        let score = |k: &KeptRecord<'_>| k.record.history().game().score();
        for (whose, other) in each().filter(|(whose, _)| *whose != at) {
            match RecordStanding::of(done.record, other.record) {
                RecordStanding::Same(found) if found.details.is_empty() => {}
                RecordStanding::Same(found) => compared.details.push(Reason::Details {
                    whose: [at, whose],
                    plays: found.details.len(),
                    errors: [done, other].map(|k| errors(k.record)),
                }),
                RecordStanding::Old { theirs, ends } => compared.old.push(Reason::Old {
                    whose: if theirs { whose } else { at },
                    ends,
                }),
                RecordStanding::Differs(found) => compared.disputes.push(Reason::Differs {
                    whose: [at, whose],
                    differences: found.differences,
                    scores: score(done) != score(other),
                }),
            }
        }
        compared
    }
}

/// An honest correction can leave a later play without its place: its official
/// sets it right and signs again.
fn conflicts(records: &[KeptRecord<'_>]) -> Vec<Reason> {
    let one = |(whose, kept): (usize, &KeptRecord<'_>)| {
        let plays = kept.record.history().conflicts().count();
        (plays > 0).then_some(Reason::Conflicts { whose, plays })
    };
    records.iter().enumerate().filter_map(one).collect()
}

fn unfinished(records: &[KeptRecord<'_>], old: &[Reason]) -> Vec<Reason> {
    let one = |(whose, kept): (usize, &KeptRecord<'_>)| match (over(kept), signed(kept)) {
        (true, true) => None,
        (true, false) => Some(Reason::NotSigned { whose }),
        (false, true) => Some(Reason::SignedEarly { whose }),
        (false, false) => {
            let is_old = |r: &&Reason| matches!(r, Reason::Old { whose: w, .. } if *w == whose);
            let why = old.iter().find(is_old).cloned();
            Some(why.unwrap_or(Reason::StillOn { whose }))
        }
    };
    records.iter().enumerate().filter_map(one).collect()
}

fn not_co_signed(records: &[KeptRecord<'_>]) -> impl Iterator<Item = Reason> {
    let all: Vec<&GameRecord> = records.iter().map(|k| k.record).collect();
    let tasks = signing_tasks(&all);
    let open = move |whose: &usize| tasks.iter().any(|t| t.under == *whose && !t.done);
    (0..records.len())
        .filter(open)
        .map(|whose| Reason::NotCoSigned { whose })
}
