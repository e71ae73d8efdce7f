//! The schedule as typed: what the engine arranges it from, and the games that
//! were changed by hand afterwards.

use chrono::{Local, NaiveDate, NaiveTime, Offset, TimeZone};
use engine::charter::{Arrangement, Charter};
use engine::competition::schedule::{Clock, Format, PoolDraw, Window};
use serde::{Deserialize, Serialize};

/// A schedule as typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Plan {
    /// `none`, `round`, `twice`, `final`, `knockout`, `series` or `pools`.
    pub format: String,
    /// Names of the courts, one a line.
    pub courts: String,
    /// When the courts open, as `09:00`.
    pub opens: String,
    /// When they close.
    pub closes: String,
    /// Minutes kept for one game.
    pub game: String,
    /// Minutes between two games on a court.
    pub turnaround: String,
    /// Least minutes between a team's games.
    pub rest: String,
    /// How many pools.
    pub pools: String,
    /// How many of each pool go through.
    pub through: String,
    /// Whether the losing semi-finalists meet.
    pub third_place: bool,
    /// Games changed by hand.
    pub moved: Vec<MovedGame>,
}

/// A game that the organiser changed by hand.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct MovedGame {
    /// Its number in the schedule.
    pub number: u32,
    /// The guests; empty when still open.
    pub guest: String,
    /// The home side; empty when still open.
    pub home: String,
    /// The court.
    pub court: String,
    /// When it begins on the first day, as `10:20`.
    pub starts: String,
}

impl Default for Plan {
    fn default() -> Self {
        Self {
            format: "round".into(),
            courts: "Court 1".into(),
            opens: "09:00".into(),
            closes: "18:00".into(),
            game: "40".into(),
            turnaround: "5".into(),
            rest: "20".into(),
            pools: "2".into(),
            through: "2".into(),
            third_place: false,
            moved: Vec::new(),
        }
    }
}

/// The forms of a competition, with their words.
pub const FORMATS: [(&str, &str); 7] = [
    ("round", "Everyone meets everyone once"),
    ("twice", "Everyone meets everyone twice"),
    ("final", "Everyone meets everyone once, then a final"),
    ("pools", "Pools, then a knock-out"),
    ("knockout", "Knock-out"),
    ("series", "Two teams, best of three"),
    ("none", "No schedule: games as they come"),
];

fn minutes(text: &str, what: &str) -> Result<u32, String> {
    let text = text.trim();
    text.parse()
        .map_err(|_| format!("{what}: \"{text}\" is no number of minutes."))
}

fn clock(text: &str, what: &str) -> Result<Clock, String> {
    let time = NaiveTime::parse_from_str(text.trim(), "%H:%M")
        .map_err(|_| format!("{what}: \"{text}\" is no time of day: write it as 09:30."))?;
    let minutes = time.signed_duration_since(NaiveTime::MIN).num_minutes();
    Ok(Clock(u32::try_from(minutes).unwrap_or_default()))
}

/// Minutes that the clock on the wall here is ahead of universal time at noon
/// of a day.
pub fn ahead(date: &str) -> i16 {
    let noon = NaiveDate::parse_from_str(date.trim(), "%Y-%m-%d")
        .ok()
        .and_then(|day| day.and_hms_opt(12, 0, 0))
        .and_then(|noon| Local.from_local_datetime(&noon).earliest());
    let seconds = noon.map_or(0, |t| t.offset().fix().local_minus_utc());
    i16::try_from(seconds / 60).unwrap_or(0)
}

impl Plan {
    /// Of a charter that was arranged; games as they come otherwise.
    pub fn of(charter: &Charter) -> Self {
        let Some(a) = &charter.arranged else {
            return Self {
                format: "none".into(),
                ..Self::default()
            };
        };
        let window = a.windows.first();
        let time = |c: Option<Clock>| c.map_or_else(String::new, |c| c.to_string());
        let mut plan = Self {
            courts: a.courts.join("\n"),
            opens: time(window.map(|w| w.opens)),
            closes: time(window.map(|w| w.closes)),
            game: a.game.to_string(),
            turnaround: a.turnaround.to_string(),
            rest: a.rest.to_string(),
            ..Self::default()
        };
        let format = match &a.format {
            Format::RoundRobin { twice: false } => "round",
            Format::RoundRobin { twice: true } => "twice",
            Format::Elimination { third_place } => {
                plan.third_place = *third_place;
                "knockout"
            }
            Format::Series => "series",
            Format::PoolsThenFinals {
                pools: PoolDraw::Snake(1),
                through: 2,
                third_place: false,
            } => "final",
            Format::PoolsThenFinals {
                pools,
                through,
                third_place,
            } => {
                plan.pools = match pools {
                    PoolDraw::Snake(n) => n.to_string(),
                    PoolDraw::Listed(sizes) => sizes.len().to_string(),
                };
                plan.through = through.to_string();
                plan.third_place = *third_place;
                "pools"
            }
        };
        plan.format = format.into();
        plan
    }

    /// Whether it is as a charter has it, games changed by hand aside.
    pub(super) fn is_of(&self, charter: &Charter) -> bool {
        let plain = Self {
            moved: Vec::new(),
            ..self.clone()
        };
        plain == Self::of(charter)
    }

    /// What the engine arranges a schedule from; `None` for games as they come.
    ///
    /// # Errors
    /// Everything typed that is no number or time.
    pub fn arranged(&self, date: &str) -> Result<Option<Arrangement>, Vec<String>> {
        let mut wrong = Vec::new();
        let small = |text: &str, what: &str| -> Result<u8, String> {
            let text = text.trim();
            text.parse()
                .map_err(|_| format!("{what}: \"{text}\" is no number."))
        };
        let third_place = self.third_place;
        let format = match self.format.as_str() {
            "none" => return Ok(None),
            "twice" => Format::RoundRobin { twice: true },
            "knockout" => Format::Elimination { third_place },
            "series" => Format::Series,
            "final" => Format::PoolsThenFinals {
                pools: PoolDraw::Snake(1),
                through: 2,
                third_place: false,
            },
            "pools" => {
                let mut number = |text: &str, what: &str| {
                    small(text, what).unwrap_or_else(|why| {
                        wrong.push(why);
                        1
                    })
                };
                Format::PoolsThenFinals {
                    pools: PoolDraw::Snake(number(&self.pools, "Pools")),
                    through: number(&self.through, "Through of each pool"),
                    third_place,
                }
            }
            _ => Format::RoundRobin { twice: false },
        };
        let mut keep = |read: Result<u32, String>| {
            read.unwrap_or_else(|why| {
                wrong.push(why);
                0
            })
        };
        let game = keep(minutes(&self.game, "One game"));
        let turnaround = keep(minutes(&self.turnaround, "Between games on a court"));
        let rest = keep(minutes(&self.rest, "Rest of a team"));
        let opens = keep(clock(&self.opens, "Courts open").map(|c| c.0));
        let closes = keep(clock(&self.closes, "Courts close").map(|c| c.0));
        let courts = self.courts.lines().map(str::trim);
        let courts = courts.filter(|c| !c.is_empty()).map(String::from);
        if !wrong.is_empty() {
            return Err(wrong);
        }
        Ok(Some(Arrangement {
            format,
            courts: courts.collect(),
            windows: vec![Window {
                opens: Clock(opens),
                closes: Clock(closes),
            }],
            game,
            turnaround,
            rest,
            ahead: ahead(date),
        }))
    }

    /// The charter with the games that were changed by hand. A time that is
    /// none changes nothing: the form says so beside it.
    pub(super) fn moved(&self, mut charter: Charter) -> Charter {
        let midnight = charter.day().map(|d| d.and_time(NaiveTime::MIN));
        let ahead = charter.arranged.as_ref().map_or(0, |a| i64::from(a.ahead));
        for moved in &self.moved {
            let mut games = charter.fixtures.iter_mut();
            let Some(game) = games.find(|g| g.number == moved.number) else {
                continue;
            };
            let named = |team: &str| Some(team.trim().to_string()).filter(|t| !t.is_empty());
            game.guest = named(&moved.guest);
            game.home = named(&moved.home);
            if !moved.court.trim().is_empty() {
                game.court = moved.court.trim().into();
            }
            if let (Some(midnight), Ok(clock)) = (midnight, clock(&moved.starts, "")) {
                let minutes = midnight.and_utc().timestamp() / 60 - ahead + i64::from(clock.0);
                game.starts = u64::try_from(minutes * 60_000).unwrap_or(game.starts);
            }
        }
        charter
    }
}
