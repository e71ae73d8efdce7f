//! Notices: everything that is recorded between plays.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Ending, Game, NoticeObjection, Stage};
use crate::rules::TimeOuts;
use crate::team::{Absence, Place, Position, Shirt, Side, SubObjection, Whereabouts};

/// Why a game is stopped for a while.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum Hold {
    /// Rain, wind, a wet surface.
    #[n(0)]
    Weather,
    /// Thunder or lightning.
    #[n(1)]
    Lightning,
    /// Heat.
    #[n(2)]
    Heat,
    /// Another reason, told in a remark.
    #[n(3)]
    Other,
}

/// Something recorded between plays.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum Notice {
    /// A player leaves and another comes in at the same place in the order.
    #[n(0)]
    Substitution {
        /// The side.
        #[n(0)]
        side: Side,
        /// Who leaves.
        #[n(1)]
        out: Shirt,
        /// Who comes in.
        #[n(2)]
        by: Shirt,
    },
    /// A player is sent off.
    #[n(1)]
    Ejection {
        /// The side.
        #[n(0)]
        side: Side,
        /// Who is sent off.
        #[n(1)]
        who: Shirt,
        /// Who comes in, when one of the five leaves.
        #[n(2)]
        by: Option<Shirt>,
    },
    /// A player leaves injured or bleeding.
    #[n(2)]
    Injury {
        /// The side.
        #[n(0)]
        side: Side,
        /// Who leaves.
        #[n(1)]
        who: Shirt,
        /// Who comes in, when one of the five leaves.
        #[n(2)]
        by: Option<Shirt>,
    },
    /// A side takes a time-out.
    #[n(3)]
    TimeOut {
        /// The side.
        #[n(0)]
        side: Side,
    },
    /// A warning, to a player or to the bench.
    #[n(4)]
    Warning {
        /// The side.
        #[n(0)]
        side: Side,
        /// The player; `None` is the bench.
        #[n(1)]
        who: Option<Shirt>,
        /// What for.
        #[n(2)]
        text: String,
    },
    /// A protest, kept for whoever decides it.
    #[n(5)]
    Protest {
        /// The side that protests.
        #[n(0)]
        side: Side,
        /// What about.
        #[n(1)]
        text: String,
    },
    /// The game is stopped.
    #[n(6)]
    Hold(#[n(0)] Hold),
    /// The game goes on.
    #[n(7)]
    Resume,
    /// Someone takes third base for the batter due.
    #[n(8)]
    StandIn {
        /// Who.
        #[n(0)]
        by: Shirt,
    },
    /// A side forfeits.
    #[n(9)]
    Forfeit {
        /// The side that forfeits.
        #[n(0)]
        side: Side,
        /// Why.
        #[n(1)]
        text: String,
    },
    /// The positions of the five on defence, by place in the order.
    #[n(10)]
    Defence {
        /// The side.
        #[n(0)]
        side: Side,
        /// Five different positions, first hitter first.
        #[n(1)]
        positions: Vec<Position>,
    },
    /// Anything else worth keeping.
    #[n(11)]
    Remark {
        /// The text.
        #[n(0)]
        text: String,
    },
}

impl Notice {
    /// Longest text kept with a notice or call, in bytes.
    pub const TEXT_LIMIT: usize = 500;

    /// The free text, if this notice has one.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        match self {
            Self::Warning { text, .. }
            | Self::Protest { text, .. }
            | Self::Forfeit { text, .. }
            | Self::Remark { text } => Some(text),
            _ => None,
        }
    }
}

/// A refused notice: the unchanged game and the reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoticeRefused {
    /// The old state, unchanged.
    pub game: Game,
    /// Why, and what would be right.
    pub objection: NoticeObjection,
}

impl Game {
    /// Records a notice.
    ///
    /// # Errors
    /// Gives the old state back with the objection.
    #[allow(
        clippy::result_large_err,
        reason = "the old state is what the caller wants back"
    )]
    pub fn note(mut self, notice: &Notice) -> Result<Self, NoticeRefused> {
        match self.record(notice) {
            Ok(()) => Ok(self),
            Err(objection) => Err(NoticeRefused {
                game: self,
                objection,
            }),
        }
    }

    /// Records a notice in place; on an objection nothing changes.
    pub(crate) fn record(&mut self, notice: &Notice) -> Result<(), NoticeObjection> {
        if notice.text().is_some_and(|t| t.len() > Notice::TEXT_LIMIT) {
            return Err(NoticeObjection::TextTooLong {
                most: Notice::TEXT_LIMIT,
            });
        }
        let over = self.ending().map(NoticeObjection::Over);
        match (notice, over) {
            // Word of what happened may still come after the end.
            (Notice::Remark { .. } | Notice::Protest { .. } | Notice::Warning { .. }, _) => {
                self.check_warned(notice)
            }
            (_, Some(over)) => Err(over),
            (Notice::Substitution { side, out, by }, None) => self.substitute(*side, *out, *by),
            (Notice::Ejection { side, who, by }, None) => {
                self.remove(*side, *who, *by, Absence::Ejected)
            }
            (Notice::Injury { side, who, by }, None) => {
                self.remove(*side, *who, *by, Absence::Injured)
            }
            (Notice::TimeOut { side }, None) => self.time_out(*side),
            (Notice::Hold(why), None) => match self.stage {
                Stage::Playing => {
                    self.stage = Stage::Held(*why);
                    Ok(())
                }
                _ => Err(NoticeObjection::AlreadyHeld),
            },
            (Notice::Resume, None) => match self.stage {
                Stage::Held(_) => {
                    self.stage = Stage::Playing;
                    Ok(())
                }
                _ => Err(NoticeObjection::NotHeld),
            },
            (Notice::StandIn { by }, None) => self.stand_in(*by),
            (Notice::Forfeit { side, .. }, None) => {
                self.forfeit(*side);
                Ok(())
            }
            (Notice::Defence { side, positions }, None) => self.set_defence(*side, positions),
        }
    }

    fn check_warned(&self, notice: &Notice) -> Result<(), NoticeObjection> {
        match notice {
            Notice::Warning {
                side,
                who: Some(who),
                ..
            } if self.squads[*side].member(*who).is_none() => Err(NoticeObjection::Substitution {
                side: *side,
                why: SubObjection::NotOnCard(*who),
            }),
            _ => Ok(()),
        }
    }

    fn substitute(&mut self, side: Side, out: Shirt, by: Shirt) -> Result<(), NoticeObjection> {
        let refuse = |why| NoticeObjection::Substitution { side, why };
        let squad = &self.squads[side];
        if squad.member(out).is_none() {
            return Err(refuse(SubObjection::NotOnCard(out)));
        }
        let place = squad
            .place_of(out)
            .ok_or(refuse(SubObjection::NotInPlay(out)))?;
        self.not_standing_in(side, by)?;
        squad.may_enter(by, place, self.edition()).map_err(refuse)?;
        self.bring_in(side, place, by, Whereabouts::Bench);
        Ok(())
    }

    fn remove(
        &mut self,
        side: Side,
        who: Shirt,
        by: Option<Shirt>,
        why: Absence,
    ) -> Result<(), NoticeObjection> {
        let refuse = |why| NoticeObjection::Substitution { side, why };
        let injury = why == Absence::Injured;
        let squad = &self.squads[side];
        let member = squad
            .member(who)
            .ok_or(refuse(SubObjection::NotOnCard(who)))?;
        if let Whereabouts::Away(earlier) = member.whereabouts {
            return Err(refuse(SubObjection::OutForTheGame(who, earlier)));
        }
        let Some(place) = squad.place_of(who) else {
            return match by {
                Some(_) => Err(refuse(SubObjection::NothingToReplace(who))),
                None => {
                    self.call_back(side, who)?;
                    self.squads[side].leave(who, why);
                    Ok(())
                }
            };
        };
        match by {
            Some(by) => {
                let fits = if injury {
                    squad.may_cover(by, place, self.edition())
                } else {
                    squad.may_enter(by, place, self.edition())
                };
                fits.map_err(refuse)?;
                self.call_back(side, by)?;
                self.bring_in(side, place, by, Whereabouts::Away(why));
            }
            // A side that cannot field five forfeits.
            // Source: glossary, game preliminaries (published).
            None if squad
                .eligible(place, injury, self.edition())
                .next()
                .is_none() =>
            {
                self.squads[side].leave(who, why);
                self.forfeit(side);
            }
            None => return Err(refuse(SubObjection::ReplacementNeeded(who))),
        }
        Ok(())
    }

    fn bring_in(&mut self, side: Side, place: Place, by: Shirt, leaver: Whereabouts) {
        let out = self.squads[side].at(place);
        self.squads[side].swap(place, by, leaver);
        if side == self.at_bat {
            for runner in self.bases.0.iter_mut().flatten() {
                if runner.shirt == out {
                    runner.shirt = by;
                }
                if runner.stands_in_for == Some(out) {
                    runner.stands_in_for = Some(by);
                }
            }
            if self.last_out == Some(out) {
                self.last_out = Some(by);
            }
        }
    }

    fn time_out(&mut self, side: Side) -> Result<(), NoticeObjection> {
        if matches!(self.stage, Stage::Held(_)) {
            return Err(NoticeObjection::Held);
        }
        let (game, inning) = self.time_outs[side];
        let limit = **self.edition().time_outs();
        let used_up = match limit {
            TimeOuts::Unlimited => false,
            TimeOuts::AGame(n) => game >= n,
            TimeOuts::AnInning(n) => inning >= n,
        };
        if used_up {
            return Err(NoticeObjection::NoTimeOutLeft {
                side,
                limit: limit.to_string(),
            });
        }
        self.time_outs[side] = (game.saturating_add(1), inning.saturating_add(1));
        Ok(())
    }

    fn forfeit(&mut self, side: Side) {
        let left = u16::from(self.on_base());
        self.tally[self.at_bat].left += left;
        self.stage = Stage::Over(Ending::Forfeit { by: side });
    }

    fn set_defence(&mut self, side: Side, positions: &[Position]) -> Result<(), NoticeObjection> {
        let all = Position::ALL.iter().all(|p| positions.contains(p));
        if positions.len() != Position::ALL.len() || !all {
            return Err(NoticeObjection::PositionsIncomplete);
        }
        for (slot, position) in self.defence[side].iter_mut().zip(positions) {
            *slot = Some(*position);
        }
        Ok(())
    }
}
