//! A phone for the tests: a fresh browser of a phone's size, touched by what a person sees (role and
//! name), cut off, slowed down, filled up and killed through the browser's own protocol. [`Browser`] says
//! which others there are, for what plain WebDriver can do.
//!
//! [`Site`] gives out a copy of the built app and can be stopped or brought to a new version;
//! [`Phone`] is the browser; [`Phone::audit`] checks a screen for accessibility; [`Phone::call`] calls a
//! play as an umpire would.

mod audit;
mod begin;
mod coast;
mod driver;
mod find;
mod made_up;
mod paper;
mod phone;
mod protocol;
mod records;
mod site;
mod slots;
mod standard;
mod umpire;

pub use audit::Violation;
pub use coast::Coast;
pub use demoday::likely_call;
pub use driver::Browser;
pub use fastrand::Rng;
pub use find::{Found, Named, is, starts, with};
pub use made_up::{fresh_game, game_by};
pub use paper::Paper;
pub use phone::{Phone, SMALL, Size, TALL, WIDE};
pub use site::Site;
pub use slots::Walk;
pub use umpire::{CardInHand, QUAY_STREET, TRAM_YARD};
