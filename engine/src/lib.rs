//! Rules, signed log and comparisons of five-a-side street baseball: five
//! players, five innings, one rubber ball hit with the bare hand.
//!
//! **What it is.** The one place that knows the rules: it plays a game call by
//! call and refuses what cannot be, keeps each call in a signed, chained log,
//! compares two officials' records of one game, and makes tables and reports of
//! an event. `no_std` with `alloc`, no unsafe code.
//!
//! **What it is not.** It has no clock, storage, network or source of random
//! numbers: times, keys and bytes come from the caller. It draws no screens and
//! decides nothing that an umpire decides.
//!
//! # Where to start
//!
//! | I want to | start at | feature |
//! |---|---|---|
//! | choose or change the rules | [`rules::Edition`] | |
//! | check a line-up card | [`team::Card::check`] | |
//! | play a game | [`game::Game`] | |
//! | say what happened | [`play::Call`] | |
//! | know what may be said now | [`game::Game::legal_calls`] | |
//! | record a game, signed | [`log::GameRecord`] | `log` |
//! | read and verify one file | [`log::LogFile`] | `log` |
//! | judge a set of files and say who signed what | [`evidence::Evidence`] | `competition` |
//! | gather many files of many games | [`log::LogSet`] | `log` |
//! | write my own reader of logs | [`log_format`] | |
//! | the score as it stands officially | [`game::Game::score`] | |
//! | the score as it was played, forfeit or not | [`game::Game::runs`] | |
//! | line score, box score and its proof | [`score`] | `log` |
//! | compare two records of a game | [`crosscheck`] | `log` |
//! | send what a collector lacks | [`sync`] | `log` |
//! | fix an event and sign it | [`charter::Charter`] | `competition` |
//! | judge a game by all its records | [`report::GameReport`] | `competition` |
//! | order a pool | [`competition::standings::Table`] | `competition` |
//! | pass bytes from screen to camera | [`link`] | `link` |
//! | say a refusal in another language | [`message::Localized`] | |
//! | fit a court into a space and chalk it | [`court`] | `court` |
//!
//! # Three whole programs
//!
//! Half an inning:
//!
//! ```
//! use std::sync::Arc;
//!
//! use engine::game::{Fixture, Game};
//! use engine::play::{Base, BatterFate, Call, Goal, RunnerFate};
//! use engine::rules::Edition;
//! use engine::team::{BySide, Card, Player, Shirt};
//!
//! fn card(team: &str, first: u8) -> Card {
//!     let shirts = (first..first + 5).filter_map(Shirt::new);
//!     Card::new(team, shirts.map(Player::numbered))
//! }
//!
//! fn main() -> Result<(), Box<dyn std::error::Error>> {
//!     let cards = BySide { guest: card("Quay Street", 21), home: card("Tram Yard", 11) };
//!     let fixture = Fixture::new(Edition::federation(), &cards)?;
//!     let game = Game::new(Arc::new(fixture));
//!
//!     let double = Call::new(BatterFate::safe(Goal::Second));
//!     let game = game.apply(&double)?.game;
//!     let single = Call::new(BatterFate::safe(Goal::First))
//!         .with_runner(Base::Second, RunnerFate::to(Goal::Home));
//!     let game = game.apply(&single)?.game;
//!     assert_eq!(game.score().guest, 1);
//!
//!     // Two on one base cannot be: the game comes back with the reason.
//!     let two = Call::new(BatterFate::safe(Goal::First))
//!         .with_runner(Base::First, RunnerFate::Holds);
//!     let refused = game.apply(&two).unwrap_err();
//!     assert_eq!(refused.game.outs(), 0);
//!     println!("{refused}");
//!     Ok(())
//! }
//! ```
//!
//! A record signed, written, read and verified:
//!
#![cfg_attr(feature = "log", doc = "```")]
#![cfg_attr(not(feature = "log"), doc = "```ignore")]
//! use engine::log::{Author, Body, GameRecord, LogFile, GameMark, Opening, Role, SecretKey, Setup};
//! use engine::play::{BatterFate, Call, Goal};
//! use engine::rules::Edition;
//! use engine::team::{BySide, Card, Player, Shirt};
//!
//! fn card(team: &str, first: u8) -> Card {
//!     let shirts = (first..first + 5).filter_map(Shirt::new);
//!     Card::new(team, shirts.map(Player::numbered))
//! }
//!
//! fn main() -> Result<(), Box<dyn std::error::Error>> {
//!     let key = SecretKey::from_random(&[7; 32]); // from the system's random source
//!     let cards = BySide { guest: card("Quay Street", 21), home: card("Tram Yard", 11) };
//!     let opening = Opening {
//!         setup: Setup::new(GameMark([1; 16]), cards, &Edition::federation()),
//!         author: Author::new(key.public(), "Official", Role::Umpire),
//!         made: None,
//!     };
//!     let first = GameRecord::draft_opening(opening, 1_781_344_800_000)?.sign(&key)?;
//!     let mut record = GameRecord::open(first)?;
//!     let play = record.history().next_play(Call::new(BatterFate::safe(Goal::First)));
//!     record.push(record.draft(Body::Event(play), 1_781_344_820_000)?.sign(&key)?)?;
//!
//!     let bytes = LogFile::write([record.chain()]);
//!     let file = LogFile::read(&bytes);
//!     for chain in file.whole()? {
//!         let again = GameRecord::replay(chain.clone())?;
//!         assert_eq!(again.history().game(), record.history().game());
//!     }
//!     Ok(())
//! }
//! ```
//!
//! The table of a pool:
//!
#![cfg_attr(feature = "competition", doc = "```")]
#![cfg_attr(not(feature = "competition"), doc = "```ignore")]
//! use engine::competition::Entrants;
//! use engine::competition::standings::{GameResult, SideLine, Standing, Table, TableRules};
//! use engine::rules::Edition;
//! use engine::team::BySide;
//!
//! fn main() -> Result<(), Box<dyn std::error::Error>> {
//!     let entrants = Entrants::new(["Quay Street", "Tram Yard"])?;
//!     let teams: Vec<_> = entrants.iter().collect();
//!     let line = |runs| SideLine { runs, outs: 15, earned: None, batting: None };
//!     let game = GameResult {
//!         number: 1,
//!         guest: teams[0],
//!         home: teams[1],
//!         standing: Standing::Final(BySide { guest: line(5), home: line(2) }),
//!         rules: TableRules::of(&Edition::federation()),
//!     };
//!     let table = Table::of(&entrants, &teams, &[game], &[])?;
//!     assert_eq!(entrants.name(table.rows()[0].team), "Quay Street");
//!     Ok(())
//! }
//! ```
//!
//! `examples/` has these as programs to run: `inning`, `sign`, `verify`, `table`.
//!
//! # Conventions
//!
//! - An *objection* says that the rules forbid something; a *problem* or *fault*
//!   that an input makes no sense; an *error* that bytes cannot be what they
//!   claim. All are errors that `?` passes on; where several things can be wrong
//!   at once, [`Problems`] holds every one. What is refused comes back unchanged.
//! - Innings, plays in words, entries of a file and places in a table count from
//!   1; sequence numbers of a log and indices count from 0.
//! - Times are milliseconds since 1970 UTC, as the phone claims; lengths whole
//!   millimetres ([`rules::Length`]), on a court metres.
//! - Each rule names its source beside it; "from memory" says that no text was
//!   read, "common practice" that there is none.
//!
//! # Features
//!
//! All of `log`, `link`, `competition` and `court` are on by default. Without
//! any, rules, cards, plays and the game remain, with two libraries (minicbor,
//! thiserror).
//!
//! | feature | gives | brings |
//! |---|---|---|
//! | `log` | `log`, `score`, `crosscheck`, `sync`; needs `court` | Ed25519, SHA-256, base 32 |
//! | `link` | `link` | RaptorQ, DEFLATE, SHA-256 |
//! | `competition` | `competition`, `charter`, `report`, `evidence`; needs `log` | chrono, JSON |
//! | `court` | `court` | libm |
//! | `fast` | larger tables for quicker signatures | |
//! | `qr-write`, `qr-read` | drawing and reading QR codes; need the standard library | qrcode, quircs |
//!
//! chrono's `NaiveDate` and minicbor's traits are part of the interface.
//!
//! A debug build verifies an entry in 14 ms, most of it unoptimised arithmetic.
//! In the `Cargo.toml` of what depends on this crate:
//!
//! ```toml
//! [profile.dev.package.curve25519-dalek]
//! opt-level = 3
//! [profile.dev.package.sha2]
//! opt-level = 3
//! # RFC 6330's generator means its sums to wrap round.
//! [profile.dev.package.raptorq]
//! opt-level = 2
//! overflow-checks = false
//! debug-assertions = false
//! ```
//!
//! # What is stable
//!
//! Nothing is published yet. The log's format has a number of its own and a page
//! ([`log_format`]); the names of rule values and of objections are those of
//! scenario files and change with them. Everything else may change with the
//! version of the crate.
#![no_std]
extern crate alloc;
#[cfg(test)]
extern crate std;

#[cfg(feature = "competition")]
pub mod charter;
#[cfg(feature = "competition")]
pub mod competition;
#[cfg(feature = "court")]
pub mod court;
#[cfg(feature = "log")]
pub mod crosscheck;
#[cfg(feature = "competition")]
pub mod evidence;
pub mod game;
#[cfg(feature = "link")]
pub mod link;
#[cfg(feature = "log")]
pub mod log;
#[doc = include_str!("../LOG_FORMAT.md")]
pub mod log_format {}
pub mod message;
pub mod play;
mod problems;
#[cfg(feature = "competition")]
pub mod report;
pub mod rules;
#[cfg(feature = "log")]
pub mod score;
#[cfg(feature = "competition")]
pub mod sync;
pub mod team;

pub use problems::Problems;
