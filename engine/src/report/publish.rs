//! An event's results as they are given out: JSON, CSV and iCalendar, byte for
//! byte the same from the phone of an organiser and from a collector.
//!
//! Units of JSON: times in milliseconds since 1970 (universal time) or as the
//! clock on the wall shows them; innings and counts as whole numbers. Names of
//! players stand as the charter's privacy setting allows.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use serde::Serialize;

pub mod json;

use super::{EventReport, GameReport, csv};
use crate::charter::{Charter, Privacy};
use crate::competition::calendar::{CalendarHead, Zone, calendar};
use crate::competition::leaders::{Category, Leader, Minimums, leaders};
use crate::competition::results::Results;
use crate::competition::schedule::Schedule;
use crate::rules::Edition;
use crate::team::{Player, Shirt};

/// One file of results.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// Its name.
    pub name: String,
    /// Its media type.
    pub kind: &'static str,
    /// Its content.
    pub content: String,
}

const CSV: &str = "text/csv; charset=utf-8; header=present";
const JSON: &str = "application/json";
const CALENDAR: &str = "text/calendar; charset=utf-8";

/// An event as it is given out.
#[derive(Clone, Copy, Debug)]
pub struct PublishedEvent<'a> {
    /// What names the event: the hash of its first charter in hexadecimal, or
    /// another name that is unique in the world.
    pub event: &'a str,
    /// Its charter in force, where it has one.
    pub charter: Option<&'a Charter>,
    /// Its games, in the order in which they are to be listed.
    pub games: &'a [&'a GameReport],
    /// Tables, knock-out and leaders, where there is a charter.
    pub report: Option<&'a EventReport>,
}

/// JSON of what cannot fail to be written: no map with other keys than texts.
fn to_json(value: &impl Serialize) -> Option<String> {
    serde_json::to_string(value).ok()
}

/// A player as everyone may see them; without a charter the number only.
#[must_use]
pub fn shown(charter: Option<&Charter>, team: &str, shirt: Shirt) -> String {
    let listed = charter.and_then(|c| c.team(team)?.roster.iter().find(|p| p.shirt == shirt));
    let numbered = Player::numbered(shirt);
    let privacy = charter.map_or(Privacy::Numbers, |c| c.privacy);
    privacy.shown(listed.unwrap_or(&numbered))
}

impl<'a> PublishedEvent<'a> {
    fn arranged(&self) -> Option<(&'a Schedule, &'a Results)> {
        self.report?.arranged()
    }

    /// What the competition asks of a player who is to lead by an average.
    #[must_use]
    pub fn minimums(&self) -> Minimums {
        let edition = self
            .charter
            .and_then(|c| c.edition_of(None)?.edition().ok());
        Minimums::of(&edition.unwrap_or_else(Edition::federation))
    }

    /// The leaders: the best five of each category, with the
    /// [minimums](Self::minimums) for an average.
    #[must_use]
    pub fn leaders(&self) -> Vec<(Category, Vec<Leader>)> {
        let players = self.report.map(EventReport::players).unwrap_or_default();
        let least = self.minimums();
        let list = |c| leaders(players, c, least, 5).ok().map(|l| (c, l));
        Category::ALL.into_iter().filter_map(list).collect()
    }

    /// The names of all files that there are.
    #[must_use]
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = ["games.csv", "games.json"].map(String::from).to_vec();
        if let Some((_, results)) = self.arranged() {
            names.extend((1..=results.tables().len()).map(|n| format!("standings-{n}.csv")));
            names.extend(
                [
                    "standings.json",
                    "schedule.csv",
                    "schedule.ics",
                    "schedule.json",
                    "leaders.csv",
                    "leaders.json",
                ]
                .map(String::from),
            );
        }
        names
    }

    /// A file by name; `None` when there is none.
    #[must_use]
    pub fn file(&self, name: &str) -> Option<File> {
        let (kind, content) = match name {
            "games.json" => (JSON, to_json(&self.games_json())?),
            "games.csv" => (CSV, csv::games(self.games)),
            "standings.json" => (JSON, to_json(&self.standings_json())?),
            "schedule.json" => (JSON, to_json(&self.schedule_json())?),
            "leaders.json" => (JSON, to_json(&self.leaders_json())?),
            "schedule.csv" => {
                let (schedule, results) = self.arranged()?;
                (CSV, csv::schedule(schedule, Some(results.progress())))
            }
            "leaders.csv" => {
                let (schedule, _) = self.arranged()?;
                (CSV, csv::leaders(&self.leaders(), schedule.entrants()))
            }
            "schedule.ics" => (CALENDAR, self.calendar()?),
            table => {
                let number = table.strip_prefix("standings-")?.strip_suffix(".csv")?;
                // Exactly as listed: no sign, no leading zero.
                let at = number.parse::<usize>().ok()?.checked_sub(1)?;
                let (schedule, results) = self.arranged()?;
                let table = results.tables().get(at)?;
                (CSV, csv::standings(&table.table, schedule.entrants()))
            }
        };
        Some(File {
            name: name.into(),
            kind,
            content,
        })
    }

    /// The games of fixtures that are decided: they name the sides of others.
    fn decided(&self) -> impl Iterator<Item = &'a GameReport> {
        let games = self.games.iter().copied();
        games.filter(|g| g.fixture.is_some() && g.standing.is_some())
    }

    /// How often the schedule was revised (RFC 5545 3.8.7.4): by each version of
    /// the charter, and by each game or decision that may name a side of another.
    /// A version may have 65 535 of those.
    fn revision(&self, charter: &Charter) -> u32 {
        let rulings = |g: &&GameReport| usize::from(g.ruled.is_some()) + g.drawn.len();
        let news = self.decided().count() + self.games.iter().map(rulings).sum::<usize>();
        let news = u32::try_from(news).unwrap_or(u32::MAX).min(0xffff);
        let versions = charter.version.saturating_sub(1).min(0x7fff);
        (versions << 16) | news
    }

    /// When it was last revised (3.8.7.2; seconds since 1970): the beginning of
    /// the last game decided, as the phone's clock had it, else of the first
    /// fixture. A clock that is years wrong does not count. The same records
    /// always give the same text.
    fn revised(&self, charter: &Charter) -> Option<i64> {
        const YEAR: u64 = 366 * 24 * 3600 * 1000;
        let first = charter.fixtures.first()?.starts;
        let of_time = |at: &u64| (first..first.saturating_add(YEAR)).contains(at);
        let last = self.decided().map(|g| g.opened_ms).filter(of_time).max();
        i64::try_from(last.unwrap_or(first) / 1000).ok()
    }

    fn calendar(&self) -> Option<String> {
        let charter = self.charter?;
        let (schedule, results) = self.arranged()?;
        let id = format!("{}.chalkbook.invalid", self.event);
        let head = CalendarHead {
            name: &charter.event,
            // The event's own id is unique in the world.
            id: &id,
            first_day: charter.day()?,
            zone: Zone::Utc {
                ahead: charter.arranged.as_ref()?.ahead,
            },
            stamp: self.revised(charter)?,
            sequence: self.revision(charter),
        };
        calendar(schedule, Some(results.progress()), &head).ok()
    }
}
