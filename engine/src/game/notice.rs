//! Notices: everything that is recorded between plays.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Ending, Game, NoticeObjection, Stage};
use crate::message::localized;
use crate::rules::{Ties, TimeOuts};
use crate::team::{
    Absence, CardObjection, Place, Player, Position, Shirt, Side, SubObjection, Whereabouts,
};

/// Why a game is stopped for a while.
#[localized(reason, choice)]
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

/// Why the umpire calls a game: it is not played to its end today.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum Stoppage {
    /// Rain, wind, thunder, a wet surface.
    #[n(0)]
    Weather,
    /// It is too dark.
    #[n(1)]
    Darkness,
    /// The time that the game may take is over.
    #[n(2)]
    Time,
    /// Another reason, told in the text.
    #[n(3)]
    Other,
}

impl Stoppage {
    /// Every reason.
    pub const ALL: [Self; 4] = [Self::Weather, Self::Darkness, Self::Time, Self::Other];
}

/// To whom a warning is given.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum WarningRecipient {
    /// The whole bench.
    #[n(0)]
    Bench,
    /// A player of the card.
    #[message(who = _0)]
    #[n(1)]
    Player(#[n(0)] Shirt),
    /// A coach or manager: someone without a shirt.
    #[n(2)]
    Coach,
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
    /// A warning.
    #[n(4)]
    Warning {
        /// The side.
        #[n(0)]
        side: Side,
        /// To whom.
        #[n(1)]
        to: WarningRecipient,
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
    /// Someone takes the base of the batter due, who stands on it.
    #[n(8)]
    CourtesyRunner {
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
    /// A coach or manager is sent off.
    #[n(12)]
    CoachEjection {
        /// The side.
        #[n(0)]
        side: Side,
        /// Name as given; may be empty.
        #[n(1)]
        name: String,
    },
    /// Nothing counts of what just happened: the batter hits again.
    #[n(13)]
    NoPlay {
        /// Why.
        #[n(0)]
        text: String,
    },
    /// The umpire calls the game: it counts, is a tie, or is suspended, as the
    /// edition says.
    #[n(14)]
    GameCalled {
        /// Why.
        #[n(0)]
        why: Stoppage,
        /// More in words.
        #[n(1)]
        text: String,
    },
    /// Both sides forfeit.
    #[n(15)]
    ForfeitBoth {
        /// Why.
        #[n(0)]
        text: String,
    },
    /// The number on the card was wrong; the person is the same.
    #[n(16)]
    Renumber {
        /// The side.
        #[n(0)]
        side: Side,
        /// The number on the card.
        #[n(1)]
        from: Shirt,
        /// The number on the shirt.
        #[n(2)]
        to: Shirt,
    },
    /// A reserve who came late is put on the card.
    #[n(17)]
    Reserve {
        /// The side.
        #[n(0)]
        side: Side,
        /// The player.
        #[n(1)]
        player: Player,
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
            | Self::ForfeitBoth { text }
            | Self::NoPlay { text }
            | Self::GameCalled { text, .. }
            | Self::CoachEjection { name: text, .. }
            | Self::Remark { text } => Some(text),
            _ => None,
        }
    }
}

/// A refused notice: the unchanged game and the reason.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[message(transparent = objection)]
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
        let short = Side::BOTH.into_iter().find(|s| self.lineup_is_short(*s));
        match (notice, over) {
            // Word of what happened may still come after the end.
            (Notice::Remark { .. } | Notice::Protest { .. }, _) => Ok(()),
            (Notice::Warning { side, to, .. }, _) => self.warn(*side, *to),
            (Notice::CoachEjection { side, .. }, _) => {
                self.warned[*side].retain(|w| *w != WarningRecipient::Coach);
                Ok(())
            }
            (Notice::Renumber { side, from, to }, _) => self.renumber(*side, *from, *to),
            (Notice::Ejection { side, who, by }, Some(over)) if !self.is_suspended() => match by {
                None => self.eject_after_the_end(*side, *who),
                Some(_) => Err(over),
            },
            (Notice::Resume, Some(_)) if self.is_suspended() => {
                self.stage = Stage::Playing;
                Ok(())
            }
            (Notice::Forfeit { side, .. }, _) if self.may_forfeit() => {
                self.forfeit(Ending::Forfeit { by: *side });
                Ok(())
            }
            (Notice::ForfeitBoth { .. }, _) if self.may_forfeit() => {
                self.forfeit(Ending::ForfeitBoth);
                Ok(())
            }
            (_, Some(over)) => Err(over),
            (Notice::Forfeit { .. } | Notice::ForfeitBoth { .. }, None) => Ok(()),
            (_, None) if short.is_some() => {
                Err(short.map_or(NoticeObjection::NotHeld, NoticeObjection::ShortHanded))
            }
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
            (Notice::NoPlay { .. }, None) => match self.stage {
                Stage::Held(_) => Err(NoticeObjection::Held),
                _ => Ok(()),
            },
            (Notice::GameCalled { why, .. }, None) => {
                self.call_off(*why);
                Ok(())
            }
            (Notice::CourtesyRunner { by }, None) => self.courtesy_runner(*by),
            (Notice::Defence { side, positions }, None) => self.set_defence(*side, positions),
            (Notice::Reserve { side, player }, None) => self.add_reserve(*side, player),
        }
    }

    fn warn(&mut self, side: Side, to: WarningRecipient) -> Result<(), NoticeObjection> {
        if let WarningRecipient::Player(who) = to
            && self.squads[side].member(who).is_none()
        {
            let why = SubObjection::NotOnCard(who);
            return Err(NoticeObjection::Substitution { side, why });
        }
        self.warned[side].push(to);
        Ok(())
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
                self.forfeit(Ending::Forfeit { by: side });
            }
            None => return Err(refuse(SubObjection::ReplacementNeeded(who))),
        }
        Ok(())
    }

    fn bring_in(&mut self, side: Side, place: Place, by: Shirt, leaver: Whereabouts) {
        let out = self.squads[side].at(place);
        self.squads[side].swap(place, by, leaver);
        self.on_base_now(side, out, by);
    }

    /// What is known of a player at bat is from now on known of another, or of
    /// the same one under another number.
    fn on_base_now(&mut self, side: Side, old: Shirt, new: Shirt) {
        if side != self.at_bat {
            return;
        }
        let runners = self.bases.0.iter_mut().flatten();
        let numbers = runners.flat_map(|r| [Some(&mut r.shirt), r.stands_in_for.as_mut()]);
        for number in numbers.flatten().chain(&mut self.last_out) {
            if *number == old {
                *number = new;
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

    /// Before the end, and in place of playing a suspended game on.
    fn may_forfeit(&self) -> bool {
        self.ending().is_none() || self.is_suspended()
    }

    fn forfeit(&mut self, ending: Ending) {
        self.leave_on_base();
        self.stage = Stage::Over(ending);
    }

    fn leave_on_base(&mut self) {
        self.tally[self.at_bat].left += u16::from(self.on_base());
    }

    /// Calls the game. It counts after as many complete innings as the edition
    /// says, or when the home side leads after its opponents' turn in that
    /// inning; before that it is suspended. One that counts and is level is a tie
    /// or suspended, as the edition says.
    ///
    /// Source: Official Baseball Rules 7.01(c), 7.02, from memory, with the
    /// numbers as policies.
    fn call_off(&mut self, why: Stoppage) {
        let needed = self.edition().called_game().get();
        let complete = self.inning.saturating_sub(1);
        let guests_had = match self.at_bat {
            Side::Guest => complete,
            Side::Home => self.inning,
        };
        let (guest, home) = (self.tally.guest.runs, self.tally.home.runs);
        let counts = complete >= needed || home > guest && guests_had >= needed;
        let level = guest == home && **self.edition().ties() == Ties::PlayedOn;
        if counts && !level {
            self.leave_on_base();
            self.stage = Stage::Over(Ending::Called(why));
        } else {
            self.stage = Stage::Over(Ending::Suspended(why));
        }
    }

    fn is_suspended(&self) -> bool {
        matches!(self.stage, Stage::Over(Ending::Suspended(_)))
    }

    /// A player sent off when the game is over: nobody comes in.
    fn eject_after_the_end(&mut self, side: Side, who: Shirt) -> Result<(), NoticeObjection> {
        let refuse = |why| NoticeObjection::Substitution { side, why };
        let member = self.squads[side]
            .member(who)
            .ok_or(refuse(SubObjection::NotOnCard(who)))?;
        if let Whereabouts::Away(earlier) = member.whereabouts {
            return Err(refuse(SubObjection::OutForTheGame(who, earlier)));
        }
        self.squads[side].leave(who, Absence::Ejected);
        Ok(())
    }

    fn renumber(&mut self, side: Side, from: Shirt, to: Shirt) -> Result<(), NoticeObjection> {
        if self.squads[side].member(from).is_none() {
            let why = SubObjection::NotOnCard(from);
            return Err(NoticeObjection::Substitution { side, why });
        }
        if self.squads[side].member(to).is_some() {
            let why = CardObjection::NumberTwice(to);
            return Err(NoticeObjection::Card { side, why });
        }
        self.squads[side].renumber(from, to);
        for warned in self.warned[side].iter_mut() {
            if *warned == WarningRecipient::Player(from) {
                *warned = WarningRecipient::Player(to);
            }
        }
        self.on_base_now(side, from, to);
        Ok(())
    }

    fn add_reserve(&mut self, side: Side, player: &Player) -> Result<(), NoticeObjection> {
        let refuse = |why| NoticeObjection::Card { side, why };
        let squad = &self.squads[side];
        if squad.member(player.shirt).is_some() {
            return Err(refuse(CardObjection::NumberTwice(player.shirt)));
        }
        let players = squad.members().len() + 1;
        let limit = self.edition().roster_limit().get();
        if players > usize::from(limit) {
            return Err(refuse(CardObjection::RosterOver { players, limit }));
        }
        if self.edition().gender_minimum().get() > 0 && player.gender.is_none() {
            return Err(refuse(CardObjection::GenderMissing(player.shirt)));
        }
        self.squads[side].add(player);
        self.late[side].push(player.clone());
        Ok(())
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
