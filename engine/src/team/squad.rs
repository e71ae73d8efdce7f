//! Who is in play, who is on the bench, and who may still come in.

use alloc::vec::Vec;

use super::{Gender, Lineup, Place, Player, Shirt};
use crate::message::localized;
use crate::rules::{Edition, FIVE, InjuryCover, ReEntry};

/// Why a player is out for the rest of the game.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Absence {
    /// Sent off.
    Ejected,
    /// Injured or bleeding.
    Injured,
}

/// Where a player is now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Whereabouts {
    /// One of the five, at this place in the order.
    InPlay(Place),
    /// On the bench.
    Bench,
    /// Out for the game.
    Away(Absence),
}

/// One player of a card during the game.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Member {
    /// Number worn.
    pub shirt: Shirt,
    /// Number on the card: the same, unless it was wrong there.
    pub carded: Shirt,
    /// Gender, where known.
    pub gender: Option<Gender>,
    /// The place in the order held at the start; `None` for a reserve.
    pub started: Option<Place>,
    /// How often this player has come into play, the start included.
    pub entries: u8,
    /// Where the player is now.
    pub whereabouts: Whereabouts,
}

impl Member {
    const fn reserve(player: &Player) -> Self {
        Self {
            shirt: player.shirt,
            carded: player.shirt,
            gender: player.gender,
            started: None,
            entries: 0,
            whereabouts: Whereabouts::Bench,
        }
    }
}

/// Why a substitution was refused.
#[localized(named)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum SubObjection {
    /// The number is not on this side's card.
    #[message(shirt = _0)]
    NotOnCard(Shirt),
    /// The player to leave is not one of the five.
    #[message(shirt = _0)]
    NotInPlay(Shirt),
    /// The player to come in is already one of the five.
    #[message(shirt = _0)]
    AlreadyInPlay(Shirt),
    /// The player to come in was sent off or is injured.
    #[message(shirt = _0, absence = _1)]
    OutForTheGame(Shirt, Absence),
    /// A reserve who was withdrawn may not return.
    #[message(shirt = _0)]
    ReserveWithdrawn(Shirt),
    /// The starter has already returned once.
    #[message(shirt = _0)]
    ReturnUsed(Shirt),
    /// A starter may return only to the same place in the order.
    OtherPlace {
        /// The starter.
        shirt: Shirt,
        /// The place held at the start.
        own: Place,
    },
    /// Nobody taken out may return in this competition.
    #[message(shirt = _0)]
    NoReturn(Shirt),
    /// The five would fall under the gender minimum.
    GenderMinimum {
        /// The gender that would be short.
        gender: Gender,
        /// How many there must be.
        need: u8,
    },
    /// The reserve is running for the batter due.
    #[message(shirt = _0)]
    OnBase(Shirt),
    /// One of the five leaves and someone can come in: a replacement must be named.
    #[message(shirt = _0)]
    ReplacementNeeded(Shirt),
    /// A replacement was named for a player who is not in play.
    #[message(shirt = _0)]
    NothingToReplace(Shirt),
}

/// One side's players during a game. Always five in play, unless
/// somebody left whom nobody could replace.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Squad {
    members: Vec<Member>,
    order: [Shirt; FIVE],
}

impl Squad {
    /// The squad at the start of a game.
    #[must_use]
    pub fn new(lineup: &Lineup) -> Self {
        // A short card fills the places it has no hitter for with its last one;
        // such a side can only forfeit.
        let nobody = Shirt::new(0).unwrap_or_else(|| unreachable!());
        let last = lineup.card().hitters.last();
        let mut order = [last.map_or(nobody, |h| h.player.shirt); FIVE];
        let mut members = Vec::new();
        for (place, hitter) in lineup.starters() {
            order[place.index()] = hitter.player.shirt;
            members.push(Member {
                shirt: hitter.player.shirt,
                carded: hitter.player.shirt,
                gender: hitter.player.gender,
                started: Some(place),
                entries: 1,
                whereabouts: Whereabouts::InPlay(place),
            });
        }
        members.extend(lineup.card().reserves.iter().map(Member::reserve));
        Self { members, order }
    }

    /// Puts a reserve who came late on the card.
    pub(crate) fn add(&mut self, player: &Player) {
        self.members.push(Member::reserve(player));
    }

    /// Corrects a number that was wrong on the card.
    pub(crate) fn renumber(&mut self, from: Shirt, to: Shirt) {
        for m in self.members.iter_mut().filter(|m| m.shirt == from) {
            m.shirt = to;
        }
        for shirt in self.order.iter_mut().filter(|n| **n == from) {
            *shirt = to;
        }
    }

    /// Who bats at a place now.
    #[must_use]
    pub fn at(&self, place: Place) -> Shirt {
        self.order[place.index()]
    }

    /// The place of a player in play.
    #[must_use]
    pub fn place_of(&self, shirt: Shirt) -> Option<Place> {
        Place::ALL.into_iter().find(|p| self.at(*p) == shirt)
    }

    /// Everyone on the card.
    #[must_use]
    pub fn members(&self) -> &[Member] {
        &self.members
    }

    /// One player of the card.
    #[must_use]
    pub fn member(&self, shirt: Shirt) -> Option<&Member> {
        self.members.iter().find(|m| m.shirt == shirt)
    }

    /// Whether `incoming` may come in for the player at `place`.
    ///
    /// # Errors
    /// The first reason why not.
    pub fn may_enter(
        &self,
        incoming: Shirt,
        place: Place,
        edition: &Edition,
    ) -> Result<(), SubObjection> {
        let member = self
            .member(incoming)
            .ok_or(SubObjection::NotOnCard(incoming))?;
        match member.whereabouts {
            Whereabouts::InPlay(_) => return Err(SubObjection::AlreadyInPlay(incoming)),
            Whereabouts::Away(why) => return Err(SubObjection::OutForTheGame(incoming, why)),
            Whereabouts::Bench => {}
        }
        match (**edition.re_entry(), member.started) {
            (ReEntry::Free, _) => {}
            (_, None) if member.entries == 0 => {}
            (ReEntry::Never, _) => return Err(SubObjection::NoReturn(incoming)),
            (ReEntry::StarterOnce, None) => return Err(SubObjection::ReserveWithdrawn(incoming)),
            (ReEntry::StarterOnce, Some(_)) if member.entries > 1 => {
                return Err(SubObjection::ReturnUsed(incoming));
            }
            (ReEntry::StarterOnce, Some(own)) if own != place => {
                return Err(SubObjection::OtherPlace {
                    shirt: incoming,
                    own,
                });
            }
            (ReEntry::StarterOnce, Some(_)) => {}
        }
        self.keeps_minimum(member.gender, place, edition)
    }

    /// Whether `incoming` may come in for an injured player at `place`: as
    /// [`Squad::may_enter`], and as a last resort anyone fit on the bench.
    ///
    /// # Errors
    /// The first reason why not.
    pub fn may_cover(
        &self,
        incoming: Shirt,
        place: Place,
        edition: &Edition,
    ) -> Result<(), SubObjection> {
        let strict = self.may_enter(incoming, place, edition);
        if strict.is_ok() || **edition.injury_cover() == InjuryCover::Eligible {
            return strict;
        }
        let member = self
            .member(incoming)
            .ok_or(SubObjection::NotOnCard(incoming))?;
        let anyone = self
            .members
            .iter()
            .any(|m| self.may_enter(m.shirt, place, edition).is_ok());
        if member.whereabouts == Whereabouts::Bench && !anyone {
            self.keeps_minimum(member.gender, place, edition)
        } else {
            strict
        }
    }

    /// Everyone who may come in at `place`; `injury` widens it to the last resort.
    pub fn eligible<'a>(
        &'a self,
        place: Place,
        injury: bool,
        edition: &'a Edition,
    ) -> impl Iterator<Item = Shirt> + 'a {
        let fits = move |s: &Shirt| {
            if injury {
                self.may_cover(*s, place, edition).is_ok()
            } else {
                self.may_enter(*s, place, edition).is_ok()
            }
        };
        self.members.iter().map(|m| m.shirt).filter(fits)
    }

    /// Whether a player sits on the bench and might still come in for somebody:
    /// a reserve. Whoever may not return is none any more.
    #[must_use]
    pub fn is_reserve(&self, shirt: Shirt, edition: &Edition) -> bool {
        self.member(shirt).is_some_and(|m| {
            m.whereabouts == Whereabouts::Bench
                && match **edition.re_entry() {
                    ReEntry::Free => true,
                    ReEntry::Never => m.entries == 0,
                    ReEntry::StarterOnce => m.entries == 0 || m.started.is_some() && m.entries == 1,
                }
        })
    }

    fn keeps_minimum(
        &self,
        incoming: Option<Gender>,
        place: Place,
        edition: &Edition,
    ) -> Result<(), SubObjection> {
        let need = edition.gender_minimum().get();
        for gender in Gender::BOTH {
            let stays = Place::ALL.into_iter().filter(|p| *p != place);
            let have = stays
                .filter_map(|p| self.member(self.at(p)))
                .map(|m| m.gender)
                .chain([incoming])
                .filter(|g| *g == Some(gender))
                .count();
            if have < usize::from(need) {
                return Err(SubObjection::GenderMinimum { gender, need });
            }
        }
        Ok(())
    }

    /// Puts `incoming` at `place`; the player there goes to `outgoing`.
    /// Callers have asked [`Squad::may_enter`] or [`Squad::may_cover`].
    pub(crate) fn swap(&mut self, place: Place, incoming: Shirt, outgoing: Whereabouts) {
        let leaver = self.at(place);
        for m in &mut self.members {
            if m.shirt == leaver {
                m.whereabouts = outgoing;
            } else if m.shirt == incoming {
                m.whereabouts = Whereabouts::InPlay(place);
                m.entries = m.entries.saturating_add(1);
            }
        }
        self.order[place.index()] = incoming;
    }

    /// Marks a player as out for the game with nobody coming in.
    pub(crate) fn leave(&mut self, shirt: Shirt, why: Absence) {
        if let Some(m) = self.members.iter_mut().find(|m| m.shirt == shirt) {
            m.whereabouts = Whereabouts::Away(why);
        }
    }
}
