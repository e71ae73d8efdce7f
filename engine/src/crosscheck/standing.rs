//! How two records of a game stand to each other: the same, one of them old,
//! or different.

use alloc::vec::Vec;

use super::code::{agree, codes};
use super::facts::{bare, in_force};
use super::{Comparison, Counterpart, Difference, Half, Kind, PlayFacts, compare};
use crate::game::Notice;
use crate::log::{CodeAnswer, GameRecord, History};
use crate::play::PlateAppearance;
use crate::team::Side;

/// How another record stands to this one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RecordStanding {
    /// Both tell the same, as far as the officials must agree.
    Same(Comparison),
    /// One of them ends earlier, or was taken before both officials found the
    /// same code: nothing that it tells speaks against the other.
    Old {
        /// Whether it is the other record; else it is this one.
        theirs: bool,
        /// Where it ends: the half-inning that comes next there.
        ends: Half,
    },
    /// They tell different games.
    Differs(Comparison),
}

impl RecordStanding {
    /// Compares two records of one game.
    ///
    /// A record that is neither signed off nor at its end may simply be older
    /// than the other: what it lacks at its end is no difference, unless its
    /// author has compared codes after the half-inning in which it lies. And
    /// what lies before a code that one official found the same on both phones
    /// is no difference to a record that was taken before that.
    #[must_use]
    pub fn of(mine: &GameRecord, theirs: &GameRecord) -> Self {
        Self::between(
            Record::of(mine, mine.history()),
            Record::of(theirs, theirs.history()),
        )
    }

    /// The same, to their record with what was agreed about it.
    #[must_use]
    pub fn to(mine: &GameRecord, theirs: &Counterpart) -> Self {
        let other = Record::of(theirs.record(), theirs.history());
        Self::between(Record::of(mine, mine.history()), other)
    }

    fn between(a: Record<'_>, b: Record<'_>) -> Self {
        let found = compare(a.history, b.history);
        if agree(a.history, b.history) {
            return Self::Same(found);
        }
        // The whole of one, as far as it goes: no aligning can say it better.
        for (long, short, theirs) in [(&a, &b, true), (&b, &a, false)] {
            if let Some(next) = long.goes_on_from(short)
                && short.may_go_on(order(next))
            {
                let ends = short.half();
                return Self::Old { theirs, ends };
            }
        }
        let same = [a.found_same(&b), b.found_same(&a)];
        let speaks = |d: &&Difference| {
            let half = order(d.turn);
            let (only_mine, only_theirs) = at_the_end(d);
            let old = |record: &Record<'_>, lacks: bool, same: Option<Place>| {
                lacks && record.may_go_on(half) || same.is_some_and(|found| half <= found)
            };
            !old(&b, only_mine, same[0]) && !old(&a, only_theirs, same[1])
        };
        let differences: Vec<Difference> =
            found.differences.iter().filter(speaks).cloned().collect();
        if !differences.is_empty() || found.differences.is_empty() {
            return Self::Differs(Comparison {
                differences,
                details: found.details,
            });
        }
        let theirs_is_old = if same[0].is_some() || same[1].is_some() {
            same[0].is_some()
        } else {
            found.differences.iter().any(|d| at_the_end(d).0)
        };
        let old = if theirs_is_old { &b } else { &a };
        Self::Old {
            theirs: theirs_is_old,
            ends: old.half(),
        }
    }
}

/// Halves of a game in order.
type Place = (u8, bool);

fn place(inning: u8, side: Side) -> Place {
    (inning, side == Side::Home)
}

fn order(turn: PlateAppearance) -> Place {
    place(turn.inning, turn.side)
}

/// Whether only this record has it, or only the other, after the other's end.
fn at_the_end(difference: &Difference) -> (bool, bool) {
    match difference.kind {
        Kind::OnlyMine { before: None, .. } | Kind::NoticeOnlyMine { before: None, .. } => {
            (true, false)
        }
        Kind::OnlyTheirs { before: None, .. } | Kind::NoticeOnlyTheirs { before: None, .. } => {
            (false, true)
        }
        _ => (false, false),
    }
}

struct Record<'a> {
    record: &'a GameRecord,
    history: &'a History,
    /// The last half-inning after which its author compared codes.
    compared: Option<Place>,
}

impl<'a> Record<'a> {
    fn of(record: &'a GameRecord, history: &'a History) -> Self {
        let checks = record.code_checks();
        Self {
            record,
            history,
            compared: checks.map(|(_, c)| place(c.half.inning, c.half.side)).max(),
        }
    }

    fn signed(&self) -> bool {
        self.record.signed_off().is_some()
    }

    fn half(&self) -> Half {
        let turn = self.history.game().turn();
        Half {
            inning: turn.inning,
            side: turn.side,
        }
    }

    /// The first play that this record has after everything of the other one;
    /// `None` when that is not how it begins.
    fn goes_on_from(&self, short: &Self) -> Option<PlateAppearance> {
        let facts = |r: &Self| -> Vec<PlayFacts> {
            let outcomes = r.history.outcomes();
            outcomes.map(PlayFacts::of).collect()
        };
        let (long, begins) = (facts(self), facts(short));
        let notices = |r: &Self| -> Vec<Notice> {
            let steps = r.history.steps().iter();
            steps.filter_map(in_force).map(bare).collect()
        };
        let all = notices(self);
        let has_all = notices(short).iter().all(|n| all.contains(n));
        (long.starts_with(&begins) && has_all)
            .then(|| long.get(begins.len()).map(|f| f.turn))
            .flatten()
    }

    /// Whether something may still follow in this half-inning.
    fn may_go_on(&self, half: Place) -> bool {
        let over = self.history.game().ending().is_some();
        !over && !self.signed() && self.compared.is_none_or(|done| half > done)
    }

    /// The last half-inning whose code this official found the same on both
    /// phones, in a record that still shows that code, where the other record
    /// was taken before it.
    fn found_same(&self, other: &Self) -> Option<Place> {
        if other.signed() {
            return None;
        }
        let game = self.record.chain().game();
        let now = codes(self.history, game.as_bytes());
        let holds = |half: Place, code: &str| {
            let mut same = now.iter().filter(|(h, _)| place(h.inning, h.side) == half);
            let read = super::CheckCode::read(code);
            same.any(|(_, c)| Some(*c) == read)
        };
        let found = self
            .record
            .code_checks()
            .filter(|(_, c)| c.answer == CodeAnswer::Same)
            .filter_map(|(_, c)| {
                let half = place(c.half.inning, c.half.side);
                holds(half, &c.code).then_some(half)
            });
        let found = found.max()?;
        other
            .compared
            .is_none_or(|done| done < found)
            .then_some(found)
    }
}
