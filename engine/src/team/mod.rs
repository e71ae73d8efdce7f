//! Rosters, line-up cards and eligibility.
//!
//! A [`Card`] is what a coach hands over and may be wrong in any way; a
//! [`Lineup`] exists only for a card that an edition accepts. During the game
//! a [`Squad`] knows who is in play and who may still come in.

mod card;
mod names;
mod squad;
#[cfg(test)]
mod tests;

pub use card::{Card, CardObjection, Hitter, Lineup, Player};
pub use names::{BySide, Gender, Place, Position, Shirt, Side};
pub use squad::{Absence, Member, Squad, SubObjection, Whereabouts};
