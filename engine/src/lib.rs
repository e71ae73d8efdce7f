//! Rules, log and comparisons of five-a-side street baseball.
#![no_std]
extern crate alloc;
#[cfg(test)]
extern crate std;

pub mod charter;
pub mod competition;
pub mod court;
pub mod crosscheck;
pub mod game;
pub mod link;
pub mod log;
pub mod play;
mod problems;
pub mod report;
pub mod rules;
pub mod score;
pub mod sync;
pub mod team;

pub use problems::Problems;
