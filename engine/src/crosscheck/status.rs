//! Where a game stands, from the records that are at hand.

use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;

use super::code::agree;
use super::compare;
use crate::log::{Fingerprint, GameRecord, Hash};

/// Where a game stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Two equal records, each signed off and co-signed by the other author.
    Agreed,
    /// Signed off, but nobody else's record is at hand.
    Single,
    /// Not over, or a signature is missing.
    Incomplete,
    /// The records differ, or a difference was left standing.
    Disputed,
    /// An author signed two different entries as one, or wrote on another game.
    Tampered,
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Agreed => "agreed and co-signed",
            Self::Single => "single record",
            Self::Incomplete => "incomplete",
            Self::Disputed => "disputed",
            Self::Tampered => "tampered",
        })
    }
}

/// Why a game stands as it does. `whose` is a record's place in the list given
/// to [`status`]: 0 is the first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// The author signed two different entries with one sequence number.
    Fork {
        /// The author's key.
        author: Fingerprint,
        /// The sequence number.
        seq: u64,
    },
    /// The records are of different games.
    OtherGame,
    /// A difference was left standing.
    LeftOpen {
        /// What the officials noted.
        note: String,
    },
    /// Two records tell different games.
    Differs {
        /// How many differences there are.
        differences: usize,
    },
    /// A final statement signs something else than its record says.
    Misstated {
        /// Whose record.
        whose: usize,
    },
    /// The game is not over.
    StillOn,
    /// Plays no longer fit after a correction.
    Conflicts {
        /// Whose record.
        whose: usize,
        /// How many.
        plays: usize,
    },
    /// No final statement is in force.
    NotSigned {
        /// Whose record.
        whose: usize,
    },
    /// A statement that the other author did not co-sign.
    NotCoSigned {
        /// Whose statement.
        whose: usize,
    },
    /// Nobody else's record is at hand.
    Alone,
    /// Everything is there and equal.
    AllSigned,
}

impl Reason {
    /// The standing that this reason gives by itself.
    #[must_use]
    pub const fn standing(&self) -> Standing {
        match self {
            Self::Fork { .. } | Self::OtherGame => Standing::Tampered,
            Self::LeftOpen { .. } | Self::Differs { .. } | Self::Misstated { .. } => {
                Standing::Disputed
            }
            Self::StillOn
            | Self::Conflicts { .. }
            | Self::NotSigned { .. }
            | Self::NotCoSigned { .. } => Standing::Incomplete,
            Self::Alone => Standing::Single,
            Self::AllSigned => Standing::Agreed,
        }
    }
}

/// The first record is spoken of as this one, the others as the other one.
impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let record = |whose: &usize| {
            if *whose == 0 {
                "this record"
            } else {
                "the other record"
            }
        };
        match self {
            Self::Fork { author, seq } => write!(
                f,
                "The author {author} signed two different entries as number {seq}; both are kept as proof."
            ),
            Self::OtherGame => f.write_str("One of the records is of another game."),
            Self::LeftOpen { note } => write!(f, "A difference was left standing: {note}"),
            Self::Differs { differences: 1 } => f.write_str("The two records differ in one thing."),
            Self::Differs { differences } => {
                write!(f, "The two records differ in {differences} things.")
            }
            Self::Misstated { whose } => write!(
                f,
                "The final statement of {} signs another result than its entries give.",
                record(whose)
            ),
            Self::StillOn => f.write_str("The game is not over."),
            Self::Conflicts { whose, plays: 1 } => {
                write!(f, "One play of {} no longer fits.", record(whose))
            }
            Self::Conflicts { whose, plays } => {
                write!(f, "{plays} plays of {} no longer fit.", record(whose))
            }
            Self::NotSigned { whose } => {
                write!(f, "No final statement of {} is signed.", record(whose))
            }
            Self::NotCoSigned { whose } => write!(
                f,
                "The final statement of {} is not co-signed, as far as is known here.",
                record(whose)
            ),
            Self::Alone => f.write_str("Nobody else's record of this game is here."),
            Self::AllSigned => f.write_str("Both records are equal, signed off and co-signed."),
        }
    }
}

/// Where a game stands, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Status {
    /// Where it stands.
    pub standing: Standing,
    /// Every reason, the gravest first; never empty.
    pub reasons: Vec<Reason>,
}

/// A few words for a list of games. What is incomplete is said by what it waits
/// for, as that is what somebody can do something about.
impl fmt::Display for Status {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let waits_for = self.reasons.first().and_then(|reason| match reason {
            Reason::StillOn => Some("still on"),
            Reason::Conflicts { .. } => Some("some plays no longer fit"),
            Reason::NotSigned { whose: 0 } => Some("not signed yet"),
            Reason::NotSigned { .. } => Some("not signed yet by the other official"),
            Reason::NotCoSigned { .. } => Some("not co-signed yet"),
            _ => None,
        });
        match waits_for {
            Some(words) => f.write_str(words),
            None => self.standing.fmt(f),
        }
    }
}

/// Judges the records of one game, each by another author. The order matters
/// only for the words of the reasons.
#[must_use]
pub fn status(records: &[&GameRecord]) -> Status {
    let mut reasons = Vec::new();
    for record in records {
        let author = record.chain().author().fingerprint();
        let forks = record.chain().forks().iter();
        reasons.extend(forks.map(|fork| Reason::Fork {
            author,
            seq: fork.seq(),
        }));
        let open = record.disputes().map(|(_, open)| Reason::LeftOpen {
            note: open.note.to_string(),
        });
        for reason in open {
            if !reasons.contains(&reason) {
                reasons.push(reason);
            }
        }
    }
    if let Some((first, others)) = records.split_first() {
        pairs(first, others, &mut reasons);
        if first.history().game().ending().is_none() {
            reasons.push(Reason::StillOn);
        }
    }
    for (whose, record) in records.iter().enumerate() {
        let plays = record.history().conflicts().count();
        if plays > 0 {
            reasons.push(Reason::Conflicts { whose, plays });
        }
        match record.signed_off() {
            None if record.misstatement().is_some() => reasons.push(Reason::Misstated { whose }),
            None => reasons.push(Reason::NotSigned { whose }),
            Some((entry, _)) => {
                let by_another = |other: &&GameRecord| {
                    other.chain().author() != record.chain().author()
                        && co_signs(other, entry.hash())
                };
                if records.len() > 1 && !records.iter().any(by_another) {
                    reasons.push(Reason::NotCoSigned { whose });
                }
            }
        }
    }
    if records.len() < 2 {
        reasons.push(Reason::Alone);
    }
    if reasons.is_empty() {
        reasons.push(Reason::AllSigned);
    }
    reasons.sort_by_key(|reason| core::cmp::Reverse(reason.standing()));
    let standing = reasons
        .first()
        .map_or(Standing::Incomplete, Reason::standing);
    Status { standing, reasons }
}

fn pairs(first: &GameRecord, others: &[&GameRecord], reasons: &mut Vec<Reason>) {
    for other in others {
        if other.chain().game() != first.chain().game() {
            reasons.push(Reason::OtherGame);
        } else if !agree(first.history(), other.history()) {
            // While both are still writing, one is ahead of the other: that is
            // no dispute yet.
            let over = |r: &GameRecord| r.history().game().ending().is_some();
            if over(first) || over(other) {
                let found = compare(first.history(), other.history());
                let differences = found.differences.len().max(1);
                reasons.push(Reason::Differs { differences });
            }
        }
    }
}

/// Whether a record holds a signature of its author under a statement.
fn co_signs(record: &GameRecord, statement: Hash) -> bool {
    record
        .co_signs()
        .any(|(_, c)| c.statement == statement && c.captain.is_none())
}
