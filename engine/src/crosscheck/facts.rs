//! Umpire facts: what both officials must agree on.

use alloc::string::String;
use alloc::vec::Vec;

use crate::game::{End, Fate, Notice, Outcome};
use crate::log::Step;
use crate::play::{Base, BatterFate, PlateAppearance};
use crate::team::{Player, Shirt};

/// Where a person ended, as far as officials must agree.
///
/// How an out was made, and whether a hit was clean, is the scorer's and is
/// compared apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RunnerEnd {
    /// On a base.
    On(Base),
    /// Home, and the run counts.
    Scored,
    /// Home too late.
    TooLate,
    /// The batter, out before first base.
    OutBeforeFirst,
    /// The batter, caught.
    Caught,
    /// The batter, on an illegal hit.
    Illegal,
    /// Put out as a runner.
    Out,
    /// The batter, still at bat.
    AtBat,
}

impl RunnerEnd {
    fn code(self) -> u8 {
        match self {
            Self::On(base) => base.number(),
            Self::Scored => 4,
            Self::TooLate => 5,
            Self::OutBeforeFirst => 6,
            Self::Caught => 7,
            Self::Illegal => 8,
            Self::Out => 9,
            Self::AtBat => 10,
        }
    }

    fn of(end: End, fate: Fate) -> Self {
        match (end, fate) {
            (End::On(base), _) => Self::On(base),
            (End::Scored, _) => Self::Scored,
            (End::TooLate, _) => Self::TooLate,
            (End::AtBat, _) => Self::AtBat,
            (End::Out, Fate::Batter(BatterFate::OutBeforeFirst(_))) => Self::OutBeforeFirst,
            (End::Out, Fate::Batter(BatterFate::Caught)) => Self::Caught,
            (End::Out, Fate::Batter(BatterFate::Illegal(_))) => Self::Illegal,
            (End::Out, _) => Self::Out,
        }
    }
}

/// The facts of one play.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct PlayFacts {
    /// Whose turn at bat it was.
    pub turn: PlateAppearance,
    /// Everyone in jeopardy, lead runner first: who, from where, and the end.
    pub people: Vec<(Shirt, Option<Base>, RunnerEnd)>,
    /// Runs that count.
    pub runs: u8,
    /// Outs made.
    pub outs: u8,
}

impl PlayFacts {
    /// The facts of a play.
    #[must_use]
    pub fn of(outcome: &Outcome) -> Self {
        let people = outcome
            .movements
            .iter()
            .map(|m| (m.who, m.from, RunnerEnd::of(m.end, m.fate)))
            .collect();
        Self {
            turn: outcome.turn,
            people,
            runs: outcome.runs,
            outs: outcome.outs,
        }
    }

    /// The ends from the batter forward, without names.
    pub(super) fn ends(&self) -> Vec<RunnerEnd> {
        self.people.iter().rev().map(|(_, _, end)| *end).collect()
    }

    /// One unambiguous run of bytes: every field has a fixed width.
    pub(super) fn bytes(&self, into: &mut Vec<u8>) {
        let side = u8::from(self.turn.side == crate::team::Side::Home);
        let place = u8::try_from(self.turn.place.index()).unwrap_or(u8::MAX);
        let people = u8::try_from(self.people.len()).unwrap_or(u8::MAX);
        into.extend([
            b'p',
            self.turn.inning,
            side,
            place,
            self.runs,
            self.outs,
            people,
        ]);
        for (who, from, end) in &self.people {
            into.extend([who.get(), from.map_or(0, Base::number), end.code()]);
        }
    }
}

/// Notices on which the facts depend.
fn matters(notice: &Notice) -> bool {
    matches!(
        notice,
        Notice::Substitution { .. }
            | Notice::Ejection { .. }
            | Notice::Injury { .. }
            | Notice::CourtesyRunner { .. }
            | Notice::Forfeit { .. }
            | Notice::ForfeitBoth { .. }
            | Notice::GameCalled { .. }
            | Notice::CoachEjection { .. }
            | Notice::Renumber { .. }
            | Notice::Reserve { .. }
    )
}

/// The notice of a step if it fitted and the facts depend on it.
pub(super) fn in_force(step: &Step) -> Option<&Notice> {
    match step {
        Step::Notice(n) if n.objection.is_none() && matters(&n.notice) => Some(&n.notice),
        Step::Notice(_) | Step::Play(_) => None,
    }
}

/// A notice without its free text, which may be worded differently.
pub(super) fn bare(notice: &Notice) -> Notice {
    match notice {
        Notice::Forfeit { side, .. } => Notice::Forfeit {
            side: *side,
            text: String::new(),
        },
        Notice::ForfeitBoth { .. } => Notice::ForfeitBoth {
            text: String::new(),
        },
        Notice::GameCalled { why, .. } => Notice::GameCalled {
            why: *why,
            text: String::new(),
        },
        Notice::CoachEjection { side, .. } => Notice::CoachEjection {
            side: *side,
            name: String::new(),
        },
        Notice::Reserve { side, player } => Notice::Reserve {
            side: *side,
            player: Player::numbered(player.shirt),
        },
        other => other.clone(),
    }
}
