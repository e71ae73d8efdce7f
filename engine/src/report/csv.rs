//! Tables as CSV (RFC 4180): a header, CR LF, fields quoted where needed.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-`, `@`, a tab or a
//! line end for a formula, even a quoted one. Every text that people gave
//! (names of teams and courts) and that begins so, or with the wide form of one
//! of these signs, gets an apostrophe before it, which spreadsheets read as
//! "text". Columns of numbers hold digits, `-` and `.` only and are left as
//! they are. Common practice (the OWASP page on CSV injection), no standard.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::GameReport;
use crate::competition::Entrants;
use crate::competition::bracket::{GameState, Progress};
use crate::competition::leaders::{Category, Leader};
use crate::competition::schedule::Schedule;
use crate::competition::standings::Table;
use crate::rules::Series;

/// Columns of [`standings`]: place (from 1); shared (yes or no: another team
/// has this place); team; games, wins, losses, ties that count; average (share
/// of games won, three decimals, empty without a game); runs scored; runs
/// allowed; difference of the two.
pub const STANDINGS_COLUMNS: [&str; 11] = [
    "place",
    "shared",
    "team",
    "games",
    "wins",
    "losses",
    "ties",
    "average",
    "runs_scored",
    "runs_allowed",
    "difference",
];

/// Columns of [`schedule`]: game (from 1, in order of time); stage; round
/// within it; meeting (number); of_series (which game of the meeting, 1 to 3);
/// if_needed (yes or no: only if the series is not decided); day (from 1);
/// start and end (24-hour clock at the place); court; guest; home; toss (yes or
/// no: a toss decides who is home); state (`waiting`, `ready`, `won`, `not
/// needed`, `not played`, empty without results); winner.
pub const SCHEDULE_COLUMNS: [&str; 15] = [
    "game",
    "stage",
    "round",
    "meeting",
    "of_series",
    "if_needed",
    "day",
    "start",
    "end",
    "court",
    "guest",
    "home",
    "toss",
    "state",
    "winner",
];

/// Columns of [`leaders`]: category; place (from 1); shared (yes or no); team;
/// number (shirt); value (a count, or an average of three decimals).
pub const LEADERS_COLUMNS: [&str; 6] = ["category", "place", "shared", "team", "number", "value"];

/// Columns of [`games`]: game (number of its fixture, empty without one); title;
/// court; guest; home; guest_runs, home_runs (the official score); state
/// (as [`GameReport::state`] has it: `being played`, `over, not signed yet`,
/// `single record`, `agreed, not co-signed`, `agreed and co-signed`, `disputed`,
/// `tampered`, `decided by the organiser`, ...); ending (empty while it is going
/// on); counts (yes or no: the organiser took it out); decided (the organiser's
/// decision in a sentence, empty without one); decided_because (the reason in
/// the organiser's words).
pub const GAMES_COLUMNS: [&str; 12] = [
    "game",
    "title",
    "court",
    "guest",
    "home",
    "guest_runs",
    "home_runs",
    "state",
    "ending",
    "counts",
    "decided",
    "decided_because",
];

/// A text from people, kept from being read as a formula.
fn guarded(text: &str) -> String {
    const SIGNS: [char; 11] = [
        '=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}',
    ];
    match text.trim_start_matches(' ').starts_with(SIGNS) {
        true => format!("'{text}"),
        false => text.into(),
    }
}

/// One field (RFC 4180, section 2, rules 5 to 7).
fn push_field(out: &mut String, field: &str) {
    if field.contains(['"', ',', '\r', '\n']) {
        out.push('"');
        out.push_str(&field.replace('"', "\"\""));
        out.push('"');
    } else {
        out.push_str(field);
    }
}

fn push_record<T: AsRef<str>>(out: &mut String, fields: &[T]) {
    for (at, field) in fields.iter().enumerate() {
        if at > 0 {
            out.push(',');
        }
        push_field(out, field.as_ref());
    }
    out.push_str("\r\n");
}

fn yes(flag: bool) -> String {
    if flag { "yes" } else { "no" }.into()
}

/// A table; its columns are [`STANDINGS_COLUMNS`].
#[must_use]
pub fn standings(table: &Table, entrants: &Entrants) -> String {
    let mut out = String::new();
    push_record(&mut out, &STANDINGS_COLUMNS);
    for row in table.rows() {
        let record = row.record;
        // Both are sums of 16-bit numbers.
        let difference = i128::from(row.scored) - i128::from(row.allowed);
        let fields = [
            row.place.to_string(),
            yes(row.shared),
            guarded(entrants.name(row.team)),
            record.games().to_string(),
            record.wins.to_string(),
            record.losses.to_string(),
            record.ties.to_string(),
            row.share().map_or(String::new(), |s| {
                let text = s.average();
                // A number in every reader, not only in the trade's.
                match text.starts_with('.') {
                    true => format!("0{text}"),
                    false => text,
                }
            }),
            row.scored.to_string(),
            row.allowed.to_string(),
            difference.to_string(),
        ];
        push_record(&mut out, &fields);
    }
    out
}

/// A schedule, with results where there are some; its columns are
/// [`SCHEDULE_COLUMNS`].
#[must_use]
pub fn schedule(schedule: &Schedule, progress: Option<&Progress>) -> String {
    let mut out = String::new();
    push_record(&mut out, &SCHEDULE_COLUMNS);
    for (at, game) in schedule.games().iter().enumerate() {
        let Some(meeting) = schedule.meeting(game.meeting) else {
            continue;
        };
        let side = |side| {
            let name = match progress {
                Some(progress) => progress.side_name(schedule, side),
                None => schedule.side_name(side),
            };
            guarded(&name)
        };
        let clock =
            |c: crate::competition::schedule::Clock| format!("{:02}:{:02}", c.hour(), c.minute());
        let state = progress.and_then(|p| p.games().get(at).copied());
        let winner = match state {
            Some(GameState::Won(team)) => guarded(schedule.entrants().name(team)),
            _ => String::new(),
        };
        let court = schedule.courts().get(usize::from(game.court));
        let fields = [
            game.number.to_string(),
            meeting.stage.to_string(),
            meeting.round.to_string(),
            meeting.number.to_string(),
            game.of_series.to_string(),
            yes(game.if_needed && meeting.length == Series::BestOfThree),
            game.start.day().to_string(),
            clock(game.start),
            clock(game.end),
            guarded(court.map_or("", |c| c)),
            side(game.guest),
            side(game.home),
            yes(game.toss),
            state.map_or("", GameState::name).into(),
            winner,
        ];
        push_record(&mut out, &fields);
    }
    out
}

/// Games as they stand; the columns are [`GAMES_COLUMNS`].
#[must_use]
pub fn games(games: &[&GameReport]) -> String {
    let mut out = String::new();
    push_record(&mut out, &GAMES_COLUMNS);
    for game in games {
        let fields = [
            game.fixture.map_or(String::new(), |n| n.to_string()),
            guarded(game.title.as_deref().unwrap_or_default()),
            guarded(game.court.as_deref().unwrap_or_default()),
            guarded(&game.teams.guest),
            guarded(&game.teams.home),
            game.score.guest.to_string(),
            game.score.home.to_string(),
            game.state(),
            game.ending.map_or("", crate::game::Ending::name).into(),
            yes(game.counts()),
            game.ruled
                .as_ref()
                .map_or(String::new(), |r| r.sentence.clone()),
            guarded(game.ruled.as_ref().map_or("", |r| &r.reason)),
        ];
        push_record(&mut out, &fields);
    }
    out
}

/// Lists of leaders one below the other; the columns are [`LEADERS_COLUMNS`].
#[must_use]
pub fn leaders(lists: &[(Category, Vec<Leader>)], entrants: &Entrants) -> String {
    let mut out = String::new();
    push_record(&mut out, &LEADERS_COLUMNS);
    for (category, list) in lists {
        for leader in list {
            let value = leader.value.to_string();
            let fields = [
                category.to_string(),
                leader.place.to_string(),
                yes(leader.shared),
                guarded(entrants.name(leader.team)),
                leader.shirt.to_string(),
                match value.starts_with('.') {
                    true => format!("0{value}"),
                    false => value,
                },
            ];
            push_record(&mut out, &fields);
        }
    }
    out
}

#[cfg(test)]
mod tests;
