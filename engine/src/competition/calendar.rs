//! A schedule as an iCalendar text (RFC 5545), one event for each game.
//!
//! ```text
//! calendar = BEGIN:VCALENDAR  VERSION PRODID CALSCALE NAME  *event  END:VCALENDAR
//! event    = BEGIN:VEVENT  UID DTSTAMP SEQUENCE DTSTART DTEND SUMMARY LOCATION
//!            DESCRIPTION STATUS  END:VEVENT
//! ```
//! Lines end in CR LF and are folded at 75 octets (3.1); texts are escaped
//! (3.3.11); `NAME` is the calendar's name of RFC 7986 (5.1). A game of a
//! series that may not be needed is `TENTATIVE`, every other `CONFIRMED`.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use chrono::{DateTime, Datelike, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Timelike};

use super::bracket::Progress;
use super::schedule::{Clock, Schedule, ScheduledGame};
use crate::Problems;
use crate::message::{localized, text};
use crate::rules::Series;

/// How the times of the schedule stand in the calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Zone {
    /// As the clock on the wall shows them, whatever the reader's zone.
    Floating,
    /// In universal time, the place being this many minutes ahead of it (-840
    /// to 840).
    Utc {
        /// Minutes ahead of universal time, negative behind.
        ahead: i16,
    },
}

/// What a calendar needs besides the schedule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct CalendarHead<'a> {
    /// The calendar's name, as the event is called.
    pub name: &'a str,
    /// What makes the identifiers of the events unique in the world: letters,
    /// digits, `.`, `-` and `_`, as `summer-cup.example`. The same text must be
    /// used for every later version of this schedule.
    pub id: &'a str,
    /// The first day.
    pub first_day: NaiveDate,
    /// How times are written.
    pub zone: Zone,
    /// The moment of writing (seconds since 1970, universal time).
    pub stamp: i64,
    /// Which version of the schedule this is, from 0; readers keep the highest.
    pub sequence: u32,
}

/// Why no calendar could be written.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum CalendarProblem {
    /// The first day is not of the years 1 to 9998.
    #[message(day = _0)]
    FirstDay(NaiveDate),
    /// The moment of writing is outside the years 1 to 9999.
    #[message(seconds = _0)]
    Stamp(i64),
    /// The identifier is empty or has other characters.
    Id,
    /// No place is that far from universal time.
    #[message(minutes = _0)]
    Ahead(i16),
}

/// Writes the calendar of a schedule; with progress, sides already known are
/// named.
///
/// # Errors
/// Every problem of the head at once.
pub fn calendar(
    schedule: &Schedule,
    progress: Option<&Progress>,
    head: &CalendarHead<'_>,
) -> Result<String, Problems<CalendarProblem>> {
    let (midnight, stamp) = check(head)?;
    let mut out = Lines(String::new());
    out.line("BEGIN", "VCALENDAR");
    out.line("VERSION", "2.0");
    out.line("PRODID", "-//Chalkbook//Schedule//EN");
    out.line("CALSCALE", "GREGORIAN");
    out.line("NAME", &escaped(head.name));
    for game in schedule.games() {
        out.line("BEGIN", "VEVENT");
        out.line(
            "UID",
            &format!("game-{}-{}@{}", game.meeting, game.of_series, head.id),
        );
        out.line("DTSTAMP", &format!("{}Z", written(stamp)));
        out.line("SEQUENCE", &format!("{}", head.sequence));
        out.line("DTSTART", &moment(midnight, game.start, head.zone));
        out.line("DTEND", &moment(midnight, game.end, head.zone));
        out.line("SUMMARY", &escaped(&summary(schedule, progress, game)));
        let court = schedule.courts().get(usize::from(game.court));
        out.line("LOCATION", &escaped(court.map_or("", |c| c)));
        out.line("DESCRIPTION", &escaped(&description(schedule, game)));
        let status = match game.if_needed {
            true => "TENTATIVE",
            false => "CONFIRMED",
        };
        out.line("STATUS", status);
        out.line("END", "VEVENT");
    }
    out.line("END", "VCALENDAR");
    Ok(out.0)
}

fn check(
    head: &CalendarHead<'_>,
) -> Result<(NaiveDateTime, NaiveDateTime), Problems<CalendarProblem>> {
    let mut problems = Vec::new();
    // A schedule lasts a year at most, so every time has four digits of year.
    let midnight = head.first_day.and_time(NaiveTime::MIN);
    if !(1..=9998).contains(&midnight.year()) {
        problems.push(CalendarProblem::FirstDay(head.first_day));
    }
    let stamp = DateTime::from_timestamp(head.stamp, 0)
        .map(|t| t.naive_utc())
        .filter(|t| (1..=9999).contains(&t.year()));
    if stamp.is_none() {
        problems.push(CalendarProblem::Stamp(head.stamp));
    }
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_');
    if head.id.is_empty() || !head.id.chars().all(plain) {
        problems.push(CalendarProblem::Id);
    }
    if let Zone::Utc { ahead } = head.zone
        && !(-840..=840).contains(&ahead)
    {
        problems.push(CalendarProblem::Ahead(ahead));
    }
    Problems::none(problems)?;
    Ok((midnight, stamp.unwrap_or_default()))
}

/// `20260704T093000`.
fn written(t: NaiveDateTime) -> String {
    format!(
        "{:04}{:02}{:02}T{:02}{:02}{:02}",
        t.year(),
        t.month(),
        t.day(),
        t.hour(),
        t.minute(),
        t.second()
    )
}

fn moment(midnight: NaiveDateTime, clock: Clock, zone: Zone) -> String {
    let shift = match zone {
        Zone::Floating => 0,
        Zone::Utc { ahead } => i64::from(ahead),
    };
    let minutes = TimeDelta::minutes(i64::from(clock.0) - shift);
    // Within the years that can be written: see `check`.
    let text = written(midnight.checked_add_signed(minutes).unwrap_or(midnight));
    match zone {
        Zone::Floating => text,
        Zone::Utc { .. } => text + "Z",
    }
}

fn summary(schedule: &Schedule, progress: Option<&Progress>, game: &ScheduledGame) -> String {
    let [guest, home] = [game.guest, game.home].map(|side| match progress {
        Some(progress) => progress.side_name(schedule, side),
        None => schedule.side_name(side),
    });
    match game.toss {
        true => text!("calendar-toss", guest, home),
        false => text!("pairing", guest, home),
    }
}

fn description(schedule: &Schedule, game: &ScheduledGame) -> String {
    let number = game.number;
    let meeting = schedule.meeting(game.meeting);
    let series = meeting.is_some_and(|m| m.length == Series::BestOfThree);
    let meeting = meeting.map(|m| schedule.meeting_name(m));
    let mut lines: Vec<String> = alloc::vec![match (meeting, series) {
        (None, _) => text!("calendar-number", number),
        (Some(meeting), false) => text!("calendar-meeting", number, meeting),
        (Some(meeting), true) => {
            text!(
                "calendar-series",
                number,
                meeting,
                of_series = game.of_series
            )
        }
    }];
    if game.toss {
        lines.push(text!("calendar-home-by-toss"));
    }
    if game.if_needed {
        lines.push(text!("calendar-if-needed"));
    }
    lines.join("\n")
}

/// A text value (3.3.11): backslash, semicolon and comma get a backslash, a
/// line end becomes `\n`, other control characters are not allowed and go.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\n' => out.push_str("\\n"),
            '\t' => out.push(c),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// Content lines of at most 75 octets, the rest on lines that begin with a
/// space (3.1), never cut within a character.
struct Lines(String);

impl Lines {
    fn line(&mut self, name: &str, value: &str) {
        let mut octets = 0;
        for c in name.chars().chain([':']).chain(value.chars()) {
            if octets + c.len_utf8() > 75 {
                self.0.push_str("\r\n ");
                octets = 1;
            }
            self.0.push(c);
            octets += c.len_utf8();
        }
        self.0.push_str("\r\n");
    }
}

#[cfg(test)]
mod tests;
