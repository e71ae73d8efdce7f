//! A wish for a schedule in, its games, calendar and CSV out.

use chrono::NaiveDate;
use engine::competition::calendar::{CalendarHead, Zone, calendar};
use engine::competition::schedule::{Clock, Format, PoolDraw, Request, Schedule, Window};
use engine::report::csv;
use engine::rules::Edition;
use serde::Deserialize;
use serde_json::{Value, json};

use crate::refused;

/// A request as `check.py` writes it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wish {
    teams: Vec<String>,
    format: Form,
    courts: Vec<String>,
    windows: Vec<[u32; 2]>,
    game: u32,
    turnaround: u32,
    rest: u32,
    series: String,
    name: String,
    id: String,
    first_day: (i32, u32, u32),
    ahead: Option<i16>,
    stamp: i64,
    sequence: u32,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Form {
    RoundRobin,
    DoubleRoundRobin,
    Elimination,
    Series,
    Pools(u8, u8),
}

impl Wish {
    /// The schedule, or what was refused.
    pub fn answer(self) -> Value {
        let edition = match Edition::federation().with("series", &self.series) {
            Ok(edition) => edition,
            Err(error) => return refused(&[error]),
        };
        let third_place = false;
        let request = Request {
            teams: self.teams,
            format: match self.format {
                Form::RoundRobin => Format::RoundRobin { twice: false },
                Form::DoubleRoundRobin => Format::RoundRobin { twice: true },
                Form::Elimination => Format::Elimination { third_place },
                Form::Series => Format::Series,
                Form::Pools(pools, through) => Format::PoolsThenFinals {
                    pools: PoolDraw::Snake(pools),
                    through,
                    third_place,
                },
            },
            courts: self.courts,
            windows: self
                .windows
                .iter()
                .map(|[opens, closes]| Window {
                    opens: Clock(*opens),
                    closes: Clock(*closes),
                })
                .collect(),
            game: self.game,
            turnaround: self.turnaround,
            rest: self.rest,
        };
        let schedule = match Schedule::arrange(&request, &edition) {
            Ok(schedule) => schedule,
            Err(problems) => return refused(&problems),
        };
        let (year, month, day) = self.first_day;
        let Some(first_day) = NaiveDate::from_ymd_opt(year, month, day) else {
            return refused(&["The first day is no date."]);
        };
        let head = CalendarHead {
            name: &self.name,
            id: &self.id,
            first_day,
            zone: self
                .ahead
                .map_or(Zone::Floating, |ahead| Zone::Utc { ahead }),
            stamp: self.stamp,
            sequence: self.sequence,
        };
        match calendar(&schedule, None, &head) {
            Ok(text) => written(&schedule, &text),
            Err(problems) => refused(&problems),
        }
    }
}

fn written(schedule: &Schedule, calendar: &str) -> Value {
    let games: Vec<_> = schedule
        .games()
        .iter()
        .map(|game| {
            json!({
                "number": game.number,
                "meeting": game.meeting,
                "of_series": game.of_series,
                "if_needed": game.if_needed,
                "guest": schedule.side_name(game.guest),
                "home": schedule.side_name(game.home),
                "toss": game.toss,
                "court": schedule.courts().get(usize::from(game.court)),
                "start": game.start.0,
                "end": game.end.0,
            })
        })
        .collect();
    json!({ "games": games, "calendar": calendar, "csv": csv::schedule(schedule, None) })
}
