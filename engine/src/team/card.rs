//! Line-up cards as handed over, and as accepted.

use alloc::string::String;
use alloc::vec::Vec;

use super::{Gender, Place, Position, Shirt};
use crate::Problems;
use crate::message::localized;
use crate::rules::{Edition, FIVE};

/// A player as a card or roster names them.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Player {
    /// Shirt number.
    #[n(0)]
    pub shirt: Shirt,
    /// Name as it may be shown; empty when only the number is used.
    #[n(1)]
    pub name: String,
    /// Gender, where the competition is mixed.
    #[n(2)]
    pub gender: Option<Gender>,
}

impl Player {
    /// A player with number and name.
    #[must_use]
    pub fn new(shirt: Shirt, name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            ..Self::numbered(shirt)
        }
    }

    /// A player known by number only.
    #[must_use]
    pub const fn numbered(shirt: Shirt) -> Self {
        Self {
            shirt,
            name: String::new(),
            gender: None,
        }
    }
}

/// One of the five hitters on a card, with the position taken on defence.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Hitter {
    /// The player.
    #[n(0)]
    pub player: Player,
    /// Position on defence, where the card says one.
    #[n(1)]
    pub position: Option<Position>,
}

impl Hitter {
    /// A hitter whose position the card does not say.
    #[must_use]
    pub const fn new(player: Player) -> Self {
        Self {
            player,
            position: None,
        }
    }
}

/// A line-up card as a coach hands it over: maybe wrong.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Card {
    /// The team's name.
    #[n(0)]
    pub team: String,
    /// Hitters in batting order.
    #[n(1)]
    pub hitters: Vec<Hitter>,
    /// Reserves.
    #[n(2)]
    pub reserves: Vec<Player>,
}

/// What is wrong with a card. A card is refused with every objection at once.
#[localized(named)]
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum CardObjection {
    /// A number that no shirt can have.
    #[message(name = _0)]
    NumberOutside(String),
    /// Not five hitters.
    NotFive {
        /// How many there are.
        hitters: usize,
    },
    /// More players than the edition's roster limit.
    RosterOver {
        /// How many there are.
        players: usize,
        /// The edition's limit.
        limit: u8,
    },
    /// A number is used twice.
    #[message(shirt = _0)]
    NumberTwice(Shirt),
    /// A position is filled twice.
    #[message(position = _0)]
    PositionTwice(Position),
    /// A mixed competition needs every player's gender.
    #[message(shirt = _0)]
    GenderMissing(Shirt),
    /// Too few of one gender among the five.
    #[message(gender = gender.counted(*have))]
    GenderMinimum {
        /// The gender short of players.
        gender: Gender,
        /// How many are among the five.
        have: usize,
        /// How many there must be.
        need: u8,
    },
    /// A player who is not on the team's roster for the event.
    #[message(shirt = _0)]
    NotOnRoster(Shirt),
}

/// A card that an edition accepted: five hitters, distinct numbers, the
/// gender minimum met. Only [`Card::check`] makes one, and
/// [`Card::check_short`] one of fewer hitters, for a side that can only forfeit.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Lineup {
    card: Card,
}

impl Card {
    /// A card of these hitters in batting order, with no reserves and no
    /// positions.
    #[must_use]
    pub fn new(team: impl Into<String>, hitters: impl IntoIterator<Item = Player>) -> Self {
        Self {
            team: team.into(),
            hitters: hitters.into_iter().map(Hitter::new).collect(),
            reserves: Vec::new(),
        }
    }

    /// The same card with these reserves.
    #[must_use]
    pub fn with_reserves(mut self, reserves: impl IntoIterator<Item = Player>) -> Self {
        self.reserves = reserves.into_iter().collect();
        self
    }

    /// The same card with its hitters at these positions, in batting order.
    #[must_use]
    pub fn with_positions(mut self, positions: impl IntoIterator<Item = Position>) -> Self {
        for (hitter, position) in self.hitters.iter_mut().zip(positions) {
            hitter.position = Some(position);
        }
        self
    }

    /// Accepts the card or names every objection to it.
    ///
    /// # Errors
    /// Every objection, never none.
    pub fn check(&self, edition: &Edition) -> Result<Lineup, Problems<CardObjection>> {
        let mut wrong = Vec::new();
        if self.hitters.len() != FIVE {
            wrong.push(CardObjection::NotFive {
                hitters: self.hitters.len(),
            });
        }
        let players = self.hitters.len() + self.reserves.len();
        let limit = edition.roster_limit().get();
        if players > usize::from(limit) {
            wrong.push(CardObjection::RosterOver { players, limit });
        }
        let mut seen = [0u8; 100];
        let mut filled = [0u8; FIVE];
        for player in self.players() {
            let count = &mut seen[usize::from(player.shirt.get())];
            *count = count.saturating_add(1);
            if *count == 2 {
                wrong.push(CardObjection::NumberTwice(player.shirt));
            }
        }
        for position in self.hitters.iter().filter_map(|h| h.position) {
            let count = &mut filled[position.index()];
            *count = count.saturating_add(1);
            if *count == 2 {
                wrong.push(CardObjection::PositionTwice(position));
            }
        }
        let need = edition.gender_minimum().get();
        if need > 0 {
            let unmarked = self.players().filter(|p| p.gender.is_none());
            wrong.extend(unmarked.map(|p| CardObjection::GenderMissing(p.shirt)));
            for gender in Gender::BOTH {
                let five = self.hitters.iter().map(|h| h.player.gender);
                let have = five.filter(|g| *g == Some(gender)).count();
                if have < usize::from(need) {
                    wrong.push(CardObjection::GenderMinimum { gender, have, need });
                }
            }
        }
        Problems::none(wrong)?;
        Ok(Lineup { card: self.clone() })
    }

    /// Accepts a card of fewer than five hitters to which nothing else is to be
    /// said: the side cannot field five and forfeits before the start. A full
    /// card is accepted as by [`Card::check`].
    ///
    /// Source: glossary, game preliminaries (published).
    ///
    /// # Errors
    /// Every objection, never none.
    pub fn check_short(&self, edition: &Edition) -> Result<Lineup, Problems<CardObjection>> {
        let card = self.clone();
        self.check(edition).or_else(|wrong| {
            let short = |o: &CardObjection| match o {
                CardObjection::NotFive { hitters } => *hitters < FIVE,
                CardObjection::GenderMinimum { .. } => card.hitters.len() < FIVE,
                _ => false,
            };
            if wrong.iter().all(short) {
                Ok(Lineup { card })
            } else {
                Err(wrong)
            }
        })
    }

    /// Objections to players missing from the team's roster.
    #[must_use]
    pub fn against_roster(&self, roster: &[Player]) -> Vec<CardObjection> {
        let absent = |p: &&Player| !roster.iter().any(|r| r.shirt == p.shirt);
        self.players()
            .filter(absent)
            .map(|p| CardObjection::NotOnRoster(p.shirt))
            .collect()
    }

    /// Everyone on the card, hitters first.
    pub fn players(&self) -> impl Iterator<Item = &Player> {
        self.hitters.iter().map(|h| &h.player).chain(&self.reserves)
    }
}

impl Lineup {
    /// The card it was accepted from.
    #[must_use]
    pub fn card(&self) -> &Card {
        &self.card
    }

    /// Whether it has fewer than five hitters: the side can only forfeit.
    #[must_use]
    pub fn is_short(&self) -> bool {
        self.card.hitters.len() < FIVE
    }

    /// The team's name.
    #[must_use]
    pub fn team(&self) -> &str {
        &self.card.team
    }

    /// The player with this number.
    #[must_use]
    pub fn player(&self, shirt: Shirt) -> Option<&Player> {
        self.card.players().find(|p| p.shirt == shirt)
    }

    /// The starters with their places in the order.
    pub fn starters(&self) -> impl Iterator<Item = (Place, &Hitter)> {
        Place::ALL.into_iter().zip(&self.card.hitters)
    }
}
