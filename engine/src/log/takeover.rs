//! Going on with a game from another official's record, where one's own is
//! lost: the phone is gone or empty, and its key with it.
//!
//! ```text
//! takeover = { 0 => seen, 1 => uint }
//! ```
//! The new key opens a log of its own in the same game; the old one is ended in
//! the charter. What the other official recorded is copied, each entry signed
//! anew, so that the log folds alone like any other.

use alloc::collections::BTreeMap;
use alloc::vec::Vec;

use super::body::{Body, HeldLog};
use super::event::{Amendment, Event};
use super::record::{GameRecord, event_of};

/// Marks that a log goes on from another official's: the entries after it are
/// copies of what stood there.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Takeover {
    /// The log copied from, as this phone held it.
    #[n(0)]
    pub from: HeldLog,
    /// How many entries after this one are copies.
    #[n(1)]
    pub entries: u64,
}

impl GameRecord {
    /// What to record to go on from another official's record: the mark, and a
    /// copy of everything there that makes the game, each with the time (ms
    /// since 1970 UTC) that was claimed for it. `None` where this record has
    /// events of its own, the other has none, or it is of another game.
    #[must_use]
    pub fn takeover(&self, other: &Self, now_ms: u64) -> Option<Vec<(Body, u64)>> {
        let apart = self.chain().author() != other.chain().author();
        let same_game = self.chain().game() == other.chain().game();
        if !apart || !same_game || !self.history().steps().is_empty() {
            return None;
        }
        let first = self.next_seq() + 1;
        let mut seqs: BTreeMap<u64, u64> = BTreeMap::new();
        let mut copies = Vec::new();
        for entry in other.chain().entries() {
            let payload = entry.payload();
            let Some(event) = event_of(&payload.body) else {
                continue;
            };
            // What names an entry that makes no part of the game changes nothing.
            let Some(event) = counted_anew(event, &seqs) else {
                continue;
            };
            seqs.insert(payload.seq, first + copies.len() as u64);
            copies.push((Body::Event(event), payload.claimed_ms));
        }
        if copies.is_empty() {
            return None;
        }
        let mark = Body::Takeover(Takeover {
            from: HeldLog::of(other.chain()),
            entries: copies.len() as u64,
        });
        copies.insert(0, (mark, now_ms));
        Some(copies)
    }

    /// Whether it goes on from another official's record.
    #[must_use]
    pub fn is_takeover(&self) -> bool {
        self.takeovers().next().is_some()
    }
}

/// An event with the sequence numbers that its copy has.
fn counted_anew(event: Event, seqs: &BTreeMap<u64, u64>) -> Option<Event> {
    let anew = |target: u64| seqs.get(&target).copied();
    let amended = |a: Amendment| {
        Some(Amendment {
            target: anew(a.target)?,
            ..a
        })
    };
    Some(match event {
        Event::Play { .. } | Event::Notice(_) => event,
        Event::Amend(a) => Event::Amend(amended(a)?),
        Event::Settle(a) => Event::Settle(amended(a)?),
        Event::Undo { target } => Event::Undo {
            target: anew(target)?,
        },
        Event::Replay { target } => Event::Replay {
            target: anew(target)?,
        },
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, clippy::unwrap_used, missing_docs)]
    use super::super::{Care, Correction, WitnessReport, sample};
    use super::*;
    use crate::crosscheck;
    use crate::play::Goal;

    #[test]
    fn a_copy_folds_to_the_same_game_and_names_where_it_is_from() {
        let (scorer, anew) = (sample::secret(2), sample::secret(3));
        let mut other = sample::record(1, &scorer);
        for goal in [Goal::First, Goal::Second, Goal::First] {
            sample::play(&mut other, &scorer, sample::safe(goal));
        }
        let care = Care {
            item: "Water".into(),
            who: "Scorer".into(),
            in_order: true,
        };
        sample::add(&mut other, &scorer, Body::Care(care));
        let amendment = Amendment {
            target: 2,
            change: Correction::Replace(sample::safe(Goal::Third)),
        };
        sample::add(&mut other, &scorer, Body::Event(Event::Amend(amendment)));
        sample::play(&mut other, &scorer, sample::safe(Goal::First));
        let undo = Event::Undo { target: 6 };
        sample::add(&mut other, &scorer, Body::Event(undo));
        let mut mine = sample::record(1, &anew);
        let copies = mine.takeover(&other, 5).unwrap();
        assert_eq!(copies.len(), 7);
        let Body::Takeover(mark) = &copies[0].0 else {
            panic!("no mark")
        };
        assert_eq!((mark.entries, mark.from), (6, HeldLog::of(other.chain())));
        assert_eq!(
            copies[1].1,
            other.chain().at(1).unwrap().payload().claimed_ms
        );
        for (body, _) in copies {
            sample::add(&mut mine, &anew, body);
        }
        let codes = |r: &GameRecord| crosscheck::codes(r.history(), &r.chain().game().0);
        assert_eq!(
            mine.history().game().score(),
            other.history().game().score()
        );
        assert_eq!(codes(&mine), codes(&other));
        let facts = |r: &GameRecord| r.history().outcomes().count();
        assert_eq!(facts(&mine), facts(&other));
        // It commits to the other log, and is no second start.
        let witnessed = WitnessReport::of(other.chain(), [mine.chain()], &[]);
        assert_eq!(witnessed.by[0].seq, 7);
        assert_eq!(mine.takeover(&other, 5), None);
        assert_eq!(other.takeover(&other, 5), None);
    }
}
