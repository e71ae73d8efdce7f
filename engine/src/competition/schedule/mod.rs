//! Who meets whom, where and when.
//!
//! A [`Request`] may hold anything; a [`Schedule`] is made from one only when
//! nothing is wrong with it, else every problem is reported at once. The same
//! request gives the same schedule, always: a lot is the order of the list of
//! teams.

mod berger;
mod draw;
mod plan;
mod problem;
#[cfg(test)]
pub(super) mod tests;
mod timetable;

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Entrant, Entrants};
use crate::Problems;
use crate::message::{Message, Speech, localized, says, text};
use crate::rules::{Edition, Series};
pub use problem::ScheduleProblem;
pub(super) use problem::ordinal;
use problem::pool_letter;

/// Most courts of one schedule. A bound on work, not a rule.
pub const MAX_COURTS: usize = 64;
/// Most opening times of one schedule. A bound on work, not a rule.
pub const MAX_WINDOWS: usize = 64;
/// Most pools.
pub const MAX_POOLS: usize = 8;

const DAY: u32 = 24 * 60;

/// A time as minutes since the midnight that opens the first day.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, minicbor::Encode, minicbor::Decode,
)]
#[cbor(transparent)]
pub struct Clock(#[n(0)] pub u32);

impl Clock {
    /// The day, from 1.
    #[must_use]
    pub const fn day(self) -> u32 {
        self.0 / DAY + 1
    }
    /// Hour of the day, 0 to 23.
    #[must_use]
    pub const fn hour(self) -> u32 {
        self.0 % DAY / 60
    }
    /// Minute of the hour, 0 to 59.
    #[must_use]
    pub const fn minute(self) -> u32 {
        self.0 % 60
    }

    /// `09:30`, and `day 2, 09:30` after the first day.
    fn say<S: Speech>(&self) -> S {
        let time = alloc::format!("{:02}:{:02}", self.hour(), self.minute());
        match self.day() {
            ..=1 => text!("clock-first-day", time),
            day => text!("clock-day", day, time),
        }
    }
}

/// A time in which the courts may be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct Window {
    /// First moment a game may begin.
    #[n(0)]
    pub opens: Clock,
    /// Last moment a game may end.
    #[n(1)]
    pub closes: Clock,
}

/// How the teams of a pool stage are divided.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum PoolDraw {
    /// This many pools, filled by the snake from the order of the list.
    #[n(0)]
    Snake(#[n(0)] u8),
    /// The list cut into pools of these sizes: the order is that of a draw.
    #[n(1)]
    Listed(#[n(0)] Vec<u8>),
}

/// The form of the competition.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum Format {
    /// Everyone meets everyone once, or twice with sides exchanged.
    #[n(0)]
    RoundRobin {
        /// Whether there are two cycles.
        #[n(0)]
        twice: bool,
    },
    /// Single elimination; the list of teams is the seeding, best first.
    #[n(1)]
    Elimination {
        /// Whether the losing semi-finalists meet.
        #[n(0)]
        third_place: bool,
    },
    /// Two teams, first to two of three games.
    #[n(2)]
    Series,
    /// A round robin in each pool, then single elimination, crossed over.
    #[n(3)]
    PoolsThenFinals {
        /// The pools.
        #[n(0)]
        pools: PoolDraw,
        /// How many of each pool go through.
        #[n(1)]
        through: u8,
        /// Whether the losing semi-finalists meet.
        #[n(2)]
        third_place: bool,
    },
}

/// What is asked for. Anything may be wrong with it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Request {
    /// Names of the teams in seeding order, or in the order of the lot.
    pub teams: Vec<String>,
    /// The form of the competition.
    pub format: Format,
    /// Names of the courts.
    pub courts: Vec<String>,
    /// When the courts may be used, in order of time.
    pub windows: Vec<Window>,
    /// Time kept for one game (minutes, 1 to 1440).
    pub game: u32,
    /// Time between two games on a court (minutes, 0 to 1440).
    pub turnaround: u32,
    /// Least time between a team's games (minutes, 0 to 1440).
    pub rest: u32,
}

/// One side of a meeting, known or still to be played for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Participant {
    /// A team.
    Team(Entrant),
    /// The team at this place, from 1, of this pool, from 0.
    Place {
        /// The pool, from 0.
        pool: u8,
        /// The place in it, from 1.
        place: u8,
    },
    /// The winner of the meeting of this number.
    Winner(u16),
    /// The loser of the meeting of this number.
    Loser(u16),
}

/// Part of the competition that a meeting belongs to.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Everyone against everyone.
    RoundRobin,
    /// A pool, from 0.
    #[message(pool = pool_letter(usize::from(*_0)))]
    Pool(u8),
    /// A series between two teams.
    Series,
    /// A round of the knock-out with this many places on the draw sheet.
    Knockout {
        /// A power of two, 2 for the final.
        places: u16,
    },
    /// The meeting of the losing semi-finalists.
    ThirdPlace,
}

/// Two sides that meet, for one game or a series.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Meeting {
    /// Its number, from 1; a meeting it waits for has a smaller one.
    pub number: u16,
    /// The stage.
    pub stage: Stage,
    /// The round within the stage, from 1.
    pub round: u16,
    /// The two sides; the first is home where nothing else decides.
    pub sides: [Participant; 2],
    /// One game, or first to two of three.
    pub length: Series,
}

/// One game with its court and time.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct ScheduledGame {
    /// Its number, from 1, in order of time.
    pub number: u16,
    /// The meeting it belongs to.
    pub meeting: u16,
    /// Which game of the meeting, 1 to 3.
    pub of_series: u8,
    /// Whether it is played only if the series is not yet decided.
    pub if_needed: bool,
    /// The side that bats first.
    pub guest: Participant,
    /// The side that defends first.
    pub home: Participant,
    /// Whether a toss on the day decides who is home; guest and home are then
    /// only the two sides.
    pub toss: bool,
    /// The court, from 0.
    pub court: u16,
    /// When it begins.
    pub start: Clock,
    /// When its time is over.
    pub end: Clock,
}

/// A complete schedule: every meeting once, no team twice at a time, every rest
/// kept.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Schedule {
    entrants: Entrants,
    courts: Vec<String>,
    pools: Vec<Vec<Entrant>>,
    meetings: Vec<Meeting>,
    games: Vec<ScheduledGame>,
}

impl Schedule {
    /// The schedule for a request.
    ///
    /// From the edition come the length of a knock-out meeting
    /// ([`Edition::series`]) and who is home in it ([`Edition::series_home`]):
    /// under `toss-each` every knock-out game is by toss, under the other two
    /// policies the better seed is home in the first. Meetings of a round robin
    /// are single games: the table counts games. The first-named side of the
    /// published pairing tables is home.
    ///
    /// # Errors
    /// Every problem of the request at once.
    pub fn arrange(
        request: &Request,
        edition: &Edition,
    ) -> Result<Self, Problems<ScheduleProblem>> {
        let mut problems = Vec::new();
        let entrants = Entrants::new(&request.teams).map_err(|p| p.map(ScheduleProblem::Teams));
        problems.extend(entrants.clone().err().into_iter().flatten());
        timetable::check(request, &mut problems);
        let count = request.teams.len();
        let plan = plan::plan(&request.format, count, **edition.series(), &mut problems);
        Problems::none(problems)?;
        let entrants = entrants?;
        let games = timetable::place(request, &plan, **edition.series_home())?;
        Ok(Self {
            entrants,
            courts: request.courts.iter().map(|c| c.trim().into()).collect(),
            pools: plan.pools,
            meetings: plan.meetings,
            games,
        })
    }

    /// Gives a game another court and time, as an organiser does on the day.
    /// Nothing is checked: that is between the organiser and the teams. A game
    /// or court that is not in the schedule changes nothing.
    pub fn moved(&mut self, number: u16, court: &str, start: Clock) {
        let named = self.courts.iter().position(|c| c == court.trim());
        let court = named.and_then(|at| u16::try_from(at).ok());
        if let Some(game) = self.games.iter_mut().find(|g| g.number == number) {
            let length = game.end.0.saturating_sub(game.start.0);
            game.start = start;
            game.end = Clock(start.0.saturating_add(length));
            game.court = court.unwrap_or(game.court);
        }
    }

    /// The teams.
    #[must_use]
    pub fn entrants(&self) -> &Entrants {
        &self.entrants
    }

    /// Names of the courts.
    #[must_use]
    pub fn courts(&self) -> &[String] {
        &self.courts
    }

    /// The pools, none unless there is a pool stage.
    #[must_use]
    pub fn pools(&self) -> &[Vec<Entrant>] {
        &self.pools
    }

    /// The meetings, by number.
    #[must_use]
    pub fn meetings(&self) -> &[Meeting] {
        &self.meetings
    }

    /// The games, in order of time and then of court.
    #[must_use]
    pub fn games(&self) -> &[ScheduledGame] {
        &self.games
    }

    /// The game of this number, from 1.
    #[must_use]
    pub fn game(&self, number: u32) -> Option<&ScheduledGame> {
        let at = usize::try_from(number).ok()?.checked_sub(1)?;
        self.games.get(at)
    }

    /// The games of each meeting, in the order of the series; the meetings by
    /// number.
    #[must_use]
    pub fn games_by_meeting(&self) -> Vec<Vec<&ScheduledGame>> {
        let mut out = alloc::vec![Vec::new(); self.meetings.len()];
        for game in &self.games {
            // In order of time, which is that of the series.
            if let Some(games) = out.get_mut(usize::from(game.meeting) - 1) {
                games.push(game);
            }
        }
        out
    }

    /// The meeting of this number.
    #[must_use]
    pub fn meeting(&self, number: u16) -> Option<&Meeting> {
        self.meetings.get(usize::from(number).checked_sub(1)?)
    }

    /// A meeting in words, as `Semi-final 2` or `Pool A, round 3`.
    #[must_use]
    pub fn meeting_name(&self, meeting: &Meeting) -> String {
        MeetingName(self, meeting).to_string()
    }

    /// A side in words: the team, or what it is played for, as `Winner of
    /// Semi-final 1` or `2nd of Pool B`.
    #[must_use]
    pub fn side_name(&self, side: Participant) -> String {
        self.say_side(side)
    }

    /// The same as a message.
    #[must_use]
    pub fn side_message(&self, side: Participant) -> Message {
        self.say_side(side)
    }

    fn say_side<S: Speech>(&self, side: Participant) -> S {
        let name = |number| self.meeting(number).map(|m| MeetingName(self, m));
        match side {
            Participant::Team(team) => text!("side-team", team = self.entrants.name(team)),
            Participant::Place { pool, place } => {
                let (place, pool) = (ordinal(usize::from(place)), Stage::Pool(pool));
                text!("side-place", place, pool)
            }
            Participant::Winner(number) => match name(number) {
                Some(meeting) => text!("side-winner", meeting),
                None => text!("side-winner-unknown", number),
            },
            Participant::Loser(number) => match name(number) {
                Some(meeting) => text!("side-loser", meeting),
                None => text!("side-loser-unknown", number),
            },
        }
    }
}

/// A meeting of a schedule in words.
struct MeetingName<'a>(&'a Schedule, &'a Meeting);

impl MeetingName<'_> {
    fn say<S: Speech>(&self) -> S {
        let Self(schedule, meeting) = self;
        let stage = meeting.stage;
        if let Stage::RoundRobin | Stage::Pool(_) = stage {
            return text!("meeting-round", stage, round = meeting.round);
        }
        let same = || schedule.meetings.iter().filter(|m| m.stage == stage);
        if same().count() < 2 {
            return text!("meeting-only", stage);
        }
        let at = same().filter(|m| m.number <= meeting.number).count();
        text!("meeting-numbered", stage, at)
    }
}

says!(Clock, MeetingName<'_>);
