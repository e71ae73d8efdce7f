//! The game that two cards begin.

use std::sync::Arc;

use anyhow::Result;
use engine::game::{Fixture, Game};
use engine::rules::Edition;
use engine::team::{BySide, Card, Player, Shirt};

use crate::CardInHand;

impl CardInHand<'_> {
    /// The card, with every number that a shirt can have.
    #[must_use]
    pub fn card(&self) -> Card {
        let players = |numbers: &[u8]| {
            let shirts = numbers.iter().copied().filter_map(Shirt::new);
            Vec::from_iter(shirts.map(Player::numbered))
        };
        Card::new(self.team, players(&self.hitters)).with_reserves(players(&self.reserves))
    }
}

/// The game that the two cards begin, by the federation's edition.
///
/// # Errors
/// When a card is not accepted.
pub fn fresh_game(guest: &CardInHand<'_>, home: &CardInHand<'_>) -> Result<Game> {
    game_by(Edition::federation(), guest, home)
}

/// The same by another edition.
///
/// # Errors
/// When a card is not accepted.
pub fn game_by(edition: Edition, guest: &CardInHand<'_>, home: &CardInHand<'_>) -> Result<Game> {
    let cards = BySide {
        guest: guest.card(),
        home: home.card(),
    };
    Ok(Game::new(Arc::new(Fixture::new(edition, &cards)?)))
}
