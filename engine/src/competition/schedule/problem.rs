//! What can be wrong with a request for a schedule, in plain words.

use alloc::string::String;

use super::super::entrants::{EntrantProblem, NameProblem};
use super::{Clock, MAX_COURTS, MAX_POOLS, MAX_WINDOWS, Window};

/// One reason why no schedule could be made.
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum ScheduleProblem {
    /// The list of teams is wrong.
    #[error("{0}")]
    Teams(EntrantProblem),
    /// The list of courts is wrong.
    #[error("Courts: {0}")]
    Court(NameProblem),
    /// No court is given.
    #[error("No court is given; at least 1 is needed.")]
    NoCourt,
    /// More courts than [`MAX_COURTS`].
    #[error("There are {0} courts; at most {MAX_COURTS} fit.")]
    TooManyCourts(usize),
    /// A game lasts no time at all, or over 24 hours.
    #[error("A game cannot last {0} minutes; give a length from 1 to 1440.")]
    GameLength(u32),
    /// A break between games on a court, or a rest, of over 24 hours.
    #[error("A pause of {0} minutes is longer than a day; give 0 to 1440.")]
    Pause(u32),
    /// No opening time is given.
    #[error("No opening time of the courts is given.")]
    NoWindow,
    /// More opening times than [`MAX_WINDOWS`].
    #[error("There are {0} opening times; at most {MAX_WINDOWS} fit.")]
    TooManyWindows(usize),
    /// An opening time ends before it has begun, or lies beyond a year.
    #[error("The opening time from {} to {} must end after it begins, within a year.", .0.opens, .0.closes)]
    BadWindow(Window),
    /// Two opening times overlap or are out of order.
    #[error("The opening time from {} must begin after the one that ends at {}.", .1.opens, .0.closes)]
    Overlap(Window, Window),
    /// A series is between two teams.
    #[error("A series is between 2 teams; there are {0}.")]
    SeriesOfTwo(usize),
    /// Fewer than one pool or more than [`MAX_POOLS`].
    #[error("{0} pools cannot be; give 1 to {MAX_POOLS}.")]
    PoolCount(usize),
    /// A pool, named by its letter, has fewer than two teams.
    #[error("Pool {0} would have {1}; at least 2 teams are needed.")]
    SmallPool(char, usize),
    /// The pool sizes do not add up to the number of teams.
    #[error("The pools hold {sum} teams together, but {teams} are entered.")]
    PoolSizes {
        /// What they add up to.
        sum: usize,
        /// The number of teams.
        teams: usize,
    },
    /// As many go through as the smallest pool has, or more, or none at all.
    #[error("{through} of each pool cannot go through: the smallest pool has {smallest}; give 1 to {}.", .smallest.saturating_sub(1).max(1))]
    Through {
        /// How many of each pool go through.
        through: usize,
        /// Teams in the smallest pool.
        smallest: usize,
    },
    /// Fewer than two teams reach the finals.
    #[error("Only 1 team would reach the finals; let at least 2 through.")]
    FinalsOfOne,
    /// A third-place meeting needs two semi-finals.
    #[error("A third-place meeting needs at least 4 teams in the knock-out; there are {0}.")]
    ThirdPlace(usize),
    /// More games than the courts have room for, whatever the order.
    #[error("{games} games are to be played, but only {room} fit. {}", more_room(*.courts))]
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
    #[error(
        "With the rest between games the last one would end at {end}, but the courts close at {closes}. Shorten the rest or the games, or open longer."
    )]
    TooLate {
        /// When the last game would end.
        end: Clock,
        /// When the courts close.
        closes: Clock,
    },
}

/// What would give the games enough room.
fn more_room(courts: Option<usize>) -> String {
    match courts {
        Some(n) => alloc::format!("With the same hours {n} courts have room."),
        None => "No opening time is as long as one game.".into(),
    }
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
