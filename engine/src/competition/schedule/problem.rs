//! What can be wrong with a request for a schedule, in plain words.

use alloc::string::String;
use core::fmt;

use super::super::entrants::{EntrantProblem, NameProblem};
use super::{Clock, MAX_COURTS, MAX_POOLS, MAX_WINDOWS, Window};

/// One reason why no schedule could be made.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum ScheduleProblem {
    /// The list of teams is wrong.
    Teams(EntrantProblem),
    /// The list of courts is wrong.
    Court(NameProblem),
    /// No court is given.
    NoCourt,
    /// More courts than [`MAX_COURTS`].
    TooManyCourts(usize),
    /// A game lasts no time at all, or over 24 hours.
    GameLength(u32),
    /// A break between games on a court, or a rest, of over 24 hours.
    Pause(u32),
    /// No opening time is given.
    NoWindow,
    /// More opening times than [`MAX_WINDOWS`].
    TooManyWindows(usize),
    /// An opening time ends before it has begun, or lies beyond a year.
    BadWindow(Window),
    /// Two opening times overlap or are out of order.
    Overlap(Window, Window),
    /// A series is between two teams.
    SeriesOfTwo(usize),
    /// Fewer than one pool or more than [`MAX_POOLS`].
    PoolCount(usize),
    /// A pool, named by its letter, has fewer than two teams.
    SmallPool(char, usize),
    /// The pool sizes do not add up to the number of teams.
    PoolSizes {
        /// What they add up to.
        sum: usize,
        /// The number of teams.
        teams: usize,
    },
    /// As many go through as the smallest pool has, or more, or none at all.
    Through {
        /// How many of each pool go through.
        through: usize,
        /// Teams in the smallest pool.
        smallest: usize,
    },
    /// Fewer than two teams reach the finals.
    FinalsOfOne,
    /// A third-place meeting needs two semi-finals.
    ThirdPlace(usize),
    /// More games than the courts have room for, whatever the order.
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

impl fmt::Display for ScheduleProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Teams(problem) => problem.fmt(f),
            Self::Court(problem) => write!(f, "Courts: {problem}"),
            Self::NoCourt => f.write_str("No court is given; at least 1 is needed."),
            Self::TooManyCourts(n) => write!(f, "There are {n} courts; at most {MAX_COURTS} fit."),
            Self::GameLength(n) => write!(
                f,
                "A game cannot last {n} minutes; give a length from 1 to 1440."
            ),
            Self::Pause(n) => write!(
                f,
                "A pause of {n} minutes is longer than a day; give 0 to 1440."
            ),
            Self::NoWindow => f.write_str("No opening time of the courts is given."),
            Self::TooManyWindows(n) => {
                write!(f, "There are {n} opening times; at most {MAX_WINDOWS} fit.")
            }
            Self::BadWindow(w) => write!(
                f,
                "The opening time from {} to {} must end after it begins, within a year.",
                w.opens, w.closes
            ),
            Self::Overlap(a, b) => write!(
                f,
                "The opening time from {} must begin after the one that ends at {}.",
                b.opens, a.closes
            ),
            Self::SeriesOfTwo(n) => {
                write!(f, "A series is between 2 teams; there are {n}.")
            }
            Self::PoolCount(n) => write!(f, "{n} pools cannot be; give 1 to {MAX_POOLS}."),
            Self::SmallPool(pool, n) => {
                write!(
                    f,
                    "Pool {pool} would have {n}; at least 2 teams are needed."
                )
            }
            Self::PoolSizes { sum, teams } => write!(
                f,
                "The pools hold {sum} teams together, but {teams} are entered."
            ),
            Self::Through { through, smallest } => write!(
                f,
                "{through} of each pool cannot go through: the smallest pool has {smallest}; \
                 give 1 to {}.",
                smallest.saturating_sub(1).max(1)
            ),
            Self::FinalsOfOne => {
                f.write_str("Only 1 team would reach the finals; let at least 2 through.")
            }
            Self::ThirdPlace(n) => write!(
                f,
                "A third-place meeting needs at least 4 teams in the knock-out; there are {n}."
            ),
            Self::NotEnoughRoom {
                games,
                room,
                courts,
            } => {
                write!(f, "{games} games are to be played, but only {room} fit. ")?;
                match courts {
                    Some(n) => write!(f, "With the same hours {n} courts have room."),
                    None => f.write_str("No opening time is as long as one game."),
                }
            }
            Self::TooLate { end, closes } => write!(
                f,
                "With the rest between games the last one would end at {end}, but the courts \
                 close at {closes}. Shorten the rest or the games, or open longer."
            ),
        }
    }
}

impl core::error::Error for ScheduleProblem {}

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
