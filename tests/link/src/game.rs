//! A payload like a whole game's record.

use fastrand::Rng;

/// Plays of the game the budget is stated for.
pub const PLAYS: usize = 70;
/// Bytes of one entry: 64 of signature, 32 of hash, and the rest.
pub const ENTRY: usize = 200;

/// A record of which nothing compresses: harder than any real one, where
/// fingerprints, times and the small bodies do.
#[must_use]
pub fn record(plays: usize, seed: u64) -> Vec<u8> {
    let mut bytes = vec![0; plays * ENTRY];
    Rng::with_seed(seed).fill(&mut bytes);
    bytes
}
