//! The engine on this machine: applying a play, folding a game, listing the legal calls.

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

use anyhow::{Result, bail};
use browser::{QUAY_STREET, Rng, TRAM_YARD, fresh_game, likely_call};
use engine::game::Game;
use engine::log::History;
use engine::play::Call;
use sha2::{Digest as _, Sha256};

use crate::figures::{row, seconds};

/// How many plays the measured game has.
const PLAYS: usize = 70;

/// Measures and prints the rows, each over so many rounds.
pub fn measure(rounds: usize) -> Result<()> {
    let (start, calls) = long_game()?;

    let fixture = Arc::new(start.fixture().clone());
    let states = states(&start, &calls)?;
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

fn states(start: &Game, calls: &[Call]) -> Result<Vec<Game>> {
    let mut game = start.clone();
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

/// A made-up game of exactly [`PLAYS`] plays to its right end, from the first seed whose game is that long.
fn long_game() -> Result<(Game, Vec<Call>)> {
    let start = fresh_game(&QUAY_STREET, &TRAM_YARD)?;
    for seed in 1..100_000u64 {
        let mut rng = Rng::with_seed(seed);
        let mut game = start.clone();
        let mut calls = Vec::new();
        while game.ending().is_none() && calls.len() <= PLAYS && !game.needs_courtesy_runner() {
            let call = likely_call(&game, &mut rng);
            game = match game.apply(&call) {
                Ok(played) => played.game,
                Err(refused) => bail!("{}", refused.objection),
            };
            calls.push(call);
        }
        if game.ending().is_some() && calls.len() == PLAYS {
            return Ok((start, calls));
        }
    }
    bail!("no seed gives a game of {PLAYS} plays")
}
