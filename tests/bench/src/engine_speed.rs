//! The engine on this machine: applying a play, folding a game, listing the legal calls.

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

use anyhow::{Result, bail};
use engine::game::{Fixture, Game};
use engine::log::History;
use engine::play::{BatterFate, Call, Goal, IllegalAct};
use engine::rules::Edition;
use engine::team::{BySide, Card, Hitter, Player, Shirt};
use sha2::{Digest as _, Sha256};

use crate::figures::{row, seconds};

/// How many plays the measured game has.
const PLAYS: usize = 70;

/// Measures and prints the rows, each over so many rounds.
pub fn measure(rounds: usize) -> Result<()> {
    let (fixture, calls) = long_game()?;

    let states = states(&fixture, &calls)?;
    let mut apply = Vec::new();
    let mut copy = Vec::new();
    let mut legal = Vec::new();
    let mut fold = Vec::new();
    let mut digest = Vec::new();
    for _ in 0..rounds {
        let fresh: Vec<Game> = states.clone();
        let from = Instant::now();
        for (game, call) in fresh.into_iter().zip(&calls) {
            let _ = black_box(game.apply(black_box(call)));
        }
        apply.push(seconds(from.elapsed()) / PLAYS as f64);

        let from = Instant::now();
        black_box(states.clone());
        copy.push(seconds(from.elapsed()) / states.len() as f64);

        let from = Instant::now();
        for game in &states {
            black_box(game.legal_calls());
        }
        legal.push(seconds(from.elapsed()) / states.len() as f64);

        let mut history = History::new(fixture.clone());
        let from = Instant::now();
        for (seq, call) in (1..).zip(&calls) {
            let event = history.next_play(call.clone());
            history.push(seq, event);
        }
        fold.push(seconds(from.elapsed()));
        black_box(&history);

        let kilobyte = [7u8; 1024];
        let from = Instant::now();
        black_box(Sha256::digest(black_box(kilobyte)));
        digest.push(seconds(from.elapsed()));
    }
    row(
        "apply one play (the old state is consumed, so freeing it is in it)",
        &mut apply,
        "< 1 µs",
    );
    row("fold a game of 70 plays", &mut fold, "< 100 µs");
    row("list the legal calls of a position", &mut legal, "none set");
    row("for comparison: copy one game state", &mut copy, "");
    row("for comparison: SHA-256 of 1 kB", &mut digest, "");
    Ok(())
}

fn states(fixture: &Arc<Fixture>, calls: &[Call]) -> Result<Vec<Game>> {
    let mut game = Game::new(fixture.clone());
    let mut states = Vec::new();
    for call in calls {
        states.push(game.clone());
        game = match game.apply(call) {
            Ok(played) => played.game,
            Err(refused) => bail!(
                "the measured game has an impossible call: {}",
                refused.objection
            ),
        };
    }
    Ok(states)
}

/// A made-up game of exactly [`PLAYS`] plays to its right end: calls drawn in fixed order, about
/// half of them hits, from the first seed whose game is that long.
fn long_game() -> Result<(Arc<Fixture>, Vec<Call>)> {
    let edition = Edition::federation();
    let card = |first: u8| -> Result<Card> {
        let player = |number: u8| match Shirt::new(number) {
            Some(shirt) => Ok(Player::numbered(shirt)),
            None => bail!("{number} is no shirt number"),
        };
        let hitter = |number| {
            Ok(Hitter {
                player: player(number)?,
                position: None,
            })
        };
        Ok(Card {
            team: format!("Team {first}"),
            hitters: (first..first + 5).map(hitter).collect::<Result<_>>()?,
            reserves: (first + 5..first + 8).map(player).collect::<Result<_>>()?,
        })
    };
    let cards = BySide {
        guest: card(21)?,
        home: card(11)?,
    };
    let fixture = Arc::new(Fixture::new(edition.clone(), &cards)?);

    for seed in 1..100_000u64 {
        let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15);
        let mut game = Game::new(fixture.clone());
        let mut calls = Vec::new();
        while game.ending().is_none() && calls.len() <= PLAYS {
            // Xorshift, Marsaglia 2003: enough to vary a game, and the same everywhere.
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            let call = Call::new(match state % 100 {
                0..=37 => BatterFate::safe(Goal::First),
                38..=46 => BatterFate::safe(Goal::Second),
                47..=48 => BatterFate::safe(Goal::Home),
                49..=76 => BatterFate::OUT,
                77..=92 => BatterFate::Caught,
                _ => BatterFate::Illegal(IllegalAct::NoHitZone),
            });
            let Ok(played) = game.clone().apply(&call) else {
                break;
            };
            game = played.game;
            calls.push(call);
            if game.needs_courtesy_runner() {
                break;
            }
        }
        if game.ending().is_some() && calls.len() == PLAYS {
            return Ok((fixture, calls));
        }
    }
    bail!("no seed gives a game of {PLAYS} plays")
}
