//! What can be wrong with a request for a schedule, in plain words.

use alloc::string::String;

use super::super::entrants::{EntrantProblem, NameProblem};
use super::{Clock, MAX_COURTS, MAX_POOLS, MAX_WINDOWS, Window};
use crate::message::localized;

/// One reason why no schedule could be made.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum ScheduleProblem {
    /// The list of teams is wrong.
    #[message(transparent)]
    Teams(EntrantProblem),
    /// The list of courts is wrong.
    #[message(problem = _0)]
    Court(NameProblem),
    /// No court is given.
    NoCourt,
    /// More courts than [`MAX_COURTS`].
    #[message(count = _0, most = MAX_COURTS)]
    TooManyCourts(usize),
    /// A game lasts no time at all, or over 24 hours.
    #[message(minutes = _0)]
    GameLength(u32),
    /// A break between games on a court, or a rest, of over 24 hours.
    #[message(minutes = _0)]
    Pause(u32),
    /// No opening time is given.
    NoWindow,
    /// More opening times than [`MAX_WINDOWS`].
    #[message(count = _0, most = MAX_WINDOWS)]
    TooManyWindows(usize),
    /// An opening time ends before it has begun, or lies beyond a year.
    #[message(opens = _0.opens, closes = _0.closes)]
    BadWindow(Window),
    /// Two opening times overlap or are out of order.
    #[message(opens = _1.opens, closes = _0.closes)]
    Overlap(Window, Window),
    /// A series is between two teams.
    #[message(teams = _0)]
    SeriesOfTwo(usize),
    /// Fewer than one pool or more than [`MAX_POOLS`].
    #[message(count = _0, most = MAX_POOLS)]
    PoolCount(usize),
    /// A pool, named by its letter, has fewer than two teams.
    #[message(pool = _0, teams = _1)]
    SmallPool(char, usize),
    /// The pool sizes do not add up to the number of teams.
    PoolSizes {
        /// What they add up to.
        sum: usize,
        /// The number of teams.
        teams: usize,
    },
    /// As many go through as the smallest pool has, or more, or none at all.
    #[message(most = smallest.saturating_sub(1).max(1))]
    Through {
        /// How many of each pool go through.
        through: usize,
        /// Teams in the smallest pool.
        smallest: usize,
    },
    /// Fewer than two teams reach the finals.
    FinalsOfOne,
    /// A third-place meeting needs two semi-finals.
    #[message(teams = _0)]
    ThirdPlace(usize),
    /// More games than the courts have room for, whatever the order.
    #[message(fits = courts.is_some(), courts = courts.unwrap_or_default())]
    NotEnoughRoom {
        /// Games to play, those of a series that may not be needed included.
        games: usize,
        /// Games that fit.
        room: usize,
        /// Courts that would do, with the same opening times; `None` when no
        /// opening time is as long as one game.
        courts: Option<usize>,
    },
    /// There is room, but rest and the order of rounds push the end too far.
    TooLate {
        /// When the last game would end.
        end: Clock,
        /// When the courts close.
        closes: Clock,
    },
}

/// The letter of a pool, from 0.
pub(super) fn pool_letter(pool: usize) -> char {
    char::from(b'A' + (pool % 26) as u8)
}

/// "1st", "2nd", ….
pub(in super::super) fn ordinal(n: usize) -> String {
    let ending = match (n % 100, n % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    alloc::format!("{n}{ending}")
}
