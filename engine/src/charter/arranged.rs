//! A charter's competition: how it was arranged, and its schedule from that.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use chrono::{Datelike, NaiveDate, NaiveTime};

use super::{Charter, Scheduled};
use crate::Problems;
use crate::competition::schedule::{
    Clock, Format, MAX_COURTS, MAX_POOLS, MAX_WINDOWS, PoolDraw, Request, Schedule,
    ScheduleProblem, Window,
};
use crate::log::bounds::{Field, at_most};
use crate::log::{Setup, TooLarge};
use crate::rules::Edition;

/// What a schedule was arranged from, the teams aside: they are the charter's,
/// in seeding order or in the order of the draw.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Arrangement {
    /// The form of the competition.
    #[n(0)]
    pub format: Format,
    /// Names of the courts.
    #[n(1)]
    pub courts: Vec<String>,
    /// When the courts may be used.
    #[n(2)]
    pub windows: Vec<Window>,
    /// Time kept for one game (minutes).
    #[n(3)]
    pub game: u32,
    /// Time between two games on a court (minutes).
    #[n(4)]
    pub turnaround: u32,
    /// Least time between a team's games (minutes).
    #[n(5)]
    pub rest: u32,
    /// Minutes that the clock on the wall is ahead of universal time, negative
    /// behind (-840 to 840).
    #[n(6)]
    pub ahead: i16,
}

impl Arrangement {
    pub(super) fn fits(&self) -> Result<(), TooLarge> {
        at_most(Field::Courts, self.courts.len(), MAX_COURTS)?;
        at_most(Field::OpeningTimes, self.windows.len(), MAX_WINDOWS)?;
        if let Format::PoolsThenFinals {
            pools: PoolDraw::Listed(sizes),
            ..
        } = &self.format
        {
            at_most(Field::Pools, sizes.len(), MAX_POOLS)?;
        }
        let names = self.courts.iter();
        names
            .map(String::len)
            .try_for_each(|n| at_most(Field::CourtName, n, Setup::TITLE_LIMIT))
    }
}

impl Charter {
    /// The first day; `None` when [`date`](Self::date) is not a day of the years
    /// 2000 to 2099 written as `2026-06-13`.
    #[must_use]
    pub fn day(&self) -> Option<NaiveDate> {
        let day: NaiveDate = self.date.parse().ok()?;
        let as_written = alloc::format!("{day}") == self.date;
        (as_written && (2000..2100).contains(&day.year())).then_some(day)
    }

    /// Minutes from 1970 to the midnight that opens the first day, by the clock
    /// on the wall.
    fn midnight(&self) -> Option<i64> {
        let midnight = self.day()?.and_time(NaiveTime::MIN);
        Some(midnight.and_utc().timestamp() / 60)
    }

    /// When a fixture begins by the clock on the wall; `None` when the charter
    /// does not say how that stands to universal time.
    #[must_use]
    pub fn clock(&self, fixture: &Scheduled) -> Option<Clock> {
        let ahead = i64::from(self.arranged.as_ref()?.ahead);
        let minutes = i64::try_from(fixture.starts / 60_000).ok()?;
        let clock = minutes.checked_add(ahead)?.checked_sub(self.midnight()?)?;
        u32::try_from(clock).ok().map(Clock)
    }

    /// Whether a toss on the day decides who is home in a fixture; `false` when
    /// the app did not arrange the schedule.
    #[must_use]
    pub fn by_toss(&self, fixture: u32) -> bool {
        let schedule = self.plain_schedule().and_then(Result::ok);
        schedule.is_some_and(|s| {
            let mut games = s.games().iter();
            games.any(|g| u32::from(g.number) == fixture && g.toss)
        })
    }

    fn plain_schedule(&self) -> Option<Result<Schedule, Problems<ScheduleProblem>>> {
        let arranged = self.arranged.as_ref()?;
        let request = Request {
            teams: self.teams.iter().map(|t| t.name.clone()).collect(),
            format: arranged.format.clone(),
            courts: arranged.courts.clone(),
            windows: arranged.windows.clone(),
            game: arranged.game,
            turnaround: arranged.turnaround,
            rest: arranged.rest,
        };
        let edition = self.edition_of(None).and_then(|e| e.edition().ok());
        let edition = edition.unwrap_or_else(Edition::federation);
        Some(Schedule::arrange(&request, &edition))
    }

    /// The schedule with its meetings, at the courts and times of the fixtures;
    /// `None` when the app did not arrange it.
    #[must_use]
    pub fn schedule(&self) -> Option<Result<Schedule, Problems<ScheduleProblem>>> {
        let mut schedule = match self.plain_schedule()? {
            Ok(schedule) => schedule,
            Err(problems) => return Some(Err(problems)),
        };
        for fixture in &self.fixtures {
            if let (Ok(number), Some(clock)) = (u16::try_from(fixture.number), self.clock(fixture))
            {
                schedule.moved(number, &fixture.court, clock);
            }
        }
        Some(Ok(schedule))
    }

    /// Fills in the fixtures from the arrangement, those before it dropped:
    /// number, meeting, court, time, and the teams where they are known.
    ///
    /// # Errors
    /// Every problem of the arrangement.
    pub fn with_fixtures(mut self) -> Result<Self, Problems<ScheduleProblem>> {
        let Some(schedule) = self.plain_schedule() else {
            return Ok(self);
        };
        let schedule = schedule?;
        let ahead = self.arranged.as_ref().map_or(0, |a| i64::from(a.ahead));
        let midnight = self.midnight().unwrap_or(0);
        let known = |side| match side {
            crate::competition::schedule::Participant::Team(team) => {
                Some(schedule.entrants().name(team).to_string())
            }
            _ => None,
        };
        let fixture = |game: &crate::competition::schedule::ScheduledGame| {
            let meeting = schedule.meeting(game.meeting);
            let minutes = midnight + i64::from(game.start.0) - ahead;
            Scheduled {
                number: u32::from(game.number),
                title: meeting.map_or(String::new(), |m| schedule.meeting_name(m)),
                guest: known(game.guest),
                home: known(game.home),
                court: schedule
                    .courts()
                    .get(usize::from(game.court))
                    .cloned()
                    .unwrap_or_default(),
                starts: u64::try_from(minutes * 60_000).unwrap_or(0),
                edition: 0,
            }
        };
        self.fixtures = schedule.games().iter().map(fixture).collect();
        Ok(self)
    }
}
