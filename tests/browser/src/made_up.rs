//! Games as they may go: the same at every run, from a seed.

use std::sync::Arc;

use anyhow::{Result, bail};
use engine::game::{Fixture, Game};
use engine::play::{Base, BatterFate, Call, Goal, IllegalAct, Reach, RunnerFate};
use engine::rules::Edition;
use engine::team::{BySide, Card, Hitter, Player, Shirt};

use crate::CardInHand;

/// Numbers in a fixed order. Xorshift, Marsaglia 2003.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Begins at a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).max(1))
    }

    /// A number from 0 to below `limit`.
    pub fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % limit.max(1)
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
    let card = |hand: &CardInHand<'_>| -> Result<_> {
        let player = |number: &u8| match Shirt::new(*number) {
            Some(shirt) => Ok(Player::numbered(shirt)),
            None => bail!("{number} is no shirt number"),
        };
        let hitter = |number: &u8| {
            Ok(Hitter {
                player: player(number)?,
                position: None,
            })
        };
        Ok(Card {
            team: hand.team.to_owned(),
            hitters: hand.hitters.iter().map(hitter).collect::<Result<_>>()?,
            reserves: hand.reserves.iter().map(player).collect::<Result<_>>()?,
        })
    };
    let cards = BySide {
        guest: card(guest)?,
        home: card(home)?,
    };
    Ok(Game::new(Arc::new(Fixture::new(edition, &cards)?)))
}

/// A call that fits, of the kinds a street game has: mostly the batter's fate alone, now and then a
/// runner who goes further, stays or is put out.
#[must_use]
pub fn likely_call(game: &Game, dice: &mut Dice) -> Call {
    for _ in 0..200 {
        let batter = match dice.below(100) {
            0..=33 => BatterFate::safe(Goal::First),
            34..=37 => BatterFate::Safe {
                at: Goal::First,
                on: Reach::Error,
                then: None,
            },
            38..=44 => BatterFate::safe(Goal::Second),
            45 => BatterFate::safe(Goal::Home),
            46..=74 => BatterFate::OUT,
            75..=91 => BatterFate::Caught,
            92..=95 => BatterFate::Illegal(IllegalAct::NoHitZone),
            _ => BatterFate::Illegal(IllegalAct::Foul),
        };
        let mut call = Call::new(batter);
        for base in Base::LEAD_FIRST
            .into_iter()
            .filter(|base| game.bases()[*base].is_some())
        {
            let fate = match dice.below(10) {
                0 | 1 => game.ways_safe(&call, base).last().copied(),
                2 => game.ways_out(&call, base).first().copied(),
                3 => Some(RunnerFate::Holds),
                _ => None,
            };
            call.set_runner(base, fate);
        }
        if let Some(question) = game.question(&call) {
            call.home_first = u8::try_from(dice.below(question.who.len() as u64 + 1)).ok();
        }
        if game.resolve(&call).is_ok() {
            return call;
        }
    }
    Call::new(BatterFate::OUT)
}
