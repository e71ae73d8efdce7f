#![allow(clippy::unwrap_used, missing_docs)]
use super::super::schedule::{Format, Request, Window};
use super::*;
use crate::rules::Edition;
use alloc::string::ToString;
use alloc::vec;
use proptest::prelude::*;

const fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

fn schedule(teams: [&str; 2], court: &str) -> Schedule {
    let request = Request {
        teams: teams.map(ToString::to_string).to_vec(),
        format: Format::Series,
        courts: vec![court.to_string()],
        windows: vec![Window {
            opens: Clock(22 * 60),
            closes: Clock(30 * 60),
        }],
        game: 40,
        turnaround: 0,
        rest: 25,
    };
    Schedule::arrange(&request, &Edition::federation()).unwrap()
}

const HEAD: CalendarHead<'_> = CalendarHead {
    name: "Harbour day",
    id: "harbour-day.example",
    first_day: day(2026, 12, 31),
    zone: Zone::Floating,
    stamp: 1_767_225_599,
    sequence: 3,
};

/// Grammar: RFC 5545 sections 3.1, 3.3.5, 3.3.11 and 3.6.1 (published).
#[test]
fn a_series_across_midnight_reads_as_written() {
    let s = schedule(["Quay Street; west", "Tram Yard, \\ old"], "Slip\n2");
    let text = calendar(&s, None, &HEAD).unwrap();
    let first: Vec<&str> = text.split("\r\n").take(16).collect();
    assert_eq!(
        first,
        [
            "BEGIN:VCALENDAR",
            "VERSION:2.0",
            "PRODID:-//Chalkbook//Schedule//EN",
            "CALSCALE:GREGORIAN",
            "NAME:Harbour day",
            "BEGIN:VEVENT",
            "UID:game-1-1@harbour-day.example",
            "DTSTAMP:20251231T235959Z",
            "SEQUENCE:3",
            "DTSTART:20261231T220000",
            "DTEND:20261231T224000",
            "SUMMARY:Tram Yard\\, \\\\ old at Quay Street\\; west",
            "LOCATION:Slip\\n2",
            "DESCRIPTION:Game 1\\, Series\\, game 1 of the series.",
            "STATUS:CONFIRMED",
            "END:VEVENT",
        ]
    );
    assert!(
        text.contains("DTSTART:20270101T001000\r\n"),
        "the third game"
    );
    assert!(text.contains(
        "DESCRIPTION:Game 3\\, Series\\, game 3 of the series.\\nA toss decides who is \r\n \
         home.\\nOnly if the series is not decided.\r\nSTATUS:TENTATIVE"
    ));
    let utc = CalendarHead {
        zone: Zone::Utc { ahead: 120 },
        ..HEAD
    };
    let text = calendar(&s, None, &utc).unwrap();
    assert!(text.contains("DTSTART:20261231T200000Z\r\nDTEND:20261231T204000Z"));
}

#[test]
fn every_problem_of_the_head_is_reported_at_once() {
    let bad = CalendarHead {
        first_day: day(9999, 2, 28),
        id: "a b",
        zone: Zone::Utc { ahead: 900 },
        stamp: i64::MAX,
        ..HEAD
    };
    let found = calendar(&schedule(["A", "B"], "C"), None, &bad).unwrap_err();
    assert_eq!(
        found,
        [
            CalendarProblem::FirstDay(day(9999, 2, 28)),
            CalendarProblem::Stamp(i64::MAX),
            CalendarProblem::Id,
            CalendarProblem::Ahead(900),
        ]
    );
    assert!(
        found[0]
            .to_string()
            .starts_with("9999-02-28 cannot be a first day;")
    );
}

proptest! {
    /// RFC 5545 section 3.1: no line over 75 octets; unfolding gives the text.
    #[test]
    fn folding_loses_nothing(value in "\\PC{0,200}") {
        let mut lines = Lines(String::new());
        lines.line("SUMMARY", &value);
        prop_assert!(lines.0.ends_with("\r\n"));
        for line in lines.0.split("\r\n") { prop_assert!(line.len() <= 75); }
        let unfolded = lines.0.replace("\r\n ", "");
        prop_assert_eq!(unfolded, format!("SUMMARY:{value}\r\n"));
    }

    #[test]
    fn no_text_leaves_its_line(a in "[a-z]\\PC{0,40}", court in "(?s).{1,60}") {
        let mut court = court;
        if court.trim().is_empty() { court.push('x'); }
        let s = schedule([&a, "Zz top hill"], &court);
        let text = calendar(&s, None, &HEAD).unwrap();
        let unfolded = text.replace("\r\n ", "");
        prop_assert_eq!(unfolded.matches("\r\n").count(), 5 + 3 * 11 + 1);
        prop_assert!(!text.replace("\r\n", "").contains(['\r', '\n']));
    }

    #[test]
    fn no_head_panics(
        name in "\\PC{0,20}", id in "\\PC{0,9}", year in any::<i32>(),
        ahead in any::<i16>(), stamp in any::<i64>(), sequence in any::<u32>(),
    ) {
        let s = schedule(["Quay", "Tram"], "Slip");
        for (year, stamp) in [(year, stamp), (1, 0), (9_998, 0)] {
            let zone = Zone::Utc { ahead };
            let first_day = NaiveDate::from_yo_opt(year, 60).unwrap_or(NaiveDate::MIN);
            let head = CalendarHead { name: &name, id: &id, first_day, zone, stamp, sequence };
            if let Err(problems) = calendar(&s, None, &head) {
                prop_assert!(!problems.is_empty());
            }
        }
    }
}
