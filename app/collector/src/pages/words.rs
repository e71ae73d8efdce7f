//! The words of the public pages: plain ones, for people who look on.

use engine::charter::Charter;
use engine::report::{GameReport, Verdict};

/// "Saturday 13 June 2026, The old fish market".
pub(super) fn when_and_where(charter: &Charter) -> String {
    let day = charter.day().map_or_else(
        || charter.date.clone(),
        |d| d.format("%A %-d %B %Y").to_string(),
    );
    match charter.place.as_str() {
        "" => day,
        place => format!("{day}, {place}"),
    }
}

/// Whether the game is under way.
pub(super) fn is_being_played(report: &GameReport) -> bool {
    report.is_going_on() && report.ending.is_none()
}

/// What a spectator should know of how a game stands; `None` where all records
/// tell the same.
pub(super) fn note(report: &GameReport) -> Option<String> {
    let by_records = match report.verdict {
        Verdict::Agreed { .. } => None,
        Verdict::Incomplete if is_being_played(report) => Some("Being played".to_owned()),
        Verdict::Incomplete if report.ending.is_some() => Some("Not signed yet".to_owned()),
        Verdict::Incomplete => Some("Stopped before its end".to_owned()),
        Verdict::Single => Some("One official's record".to_owned()),
        Verdict::Disputed if !report.rivals.is_empty() => {
            Some("Kept twice with different results; the organiser decides".to_owned())
        }
        Verdict::Disputed => Some(format!("The records differ; {} is shown", report.whose)),
        Verdict::Tampered => Some(format!(
            "One official's record was altered; {} is shown",
            report.whose
        )),
        Verdict::Decided => Some("Decided by the organiser".to_owned()),
    };
    if report.practice {
        return Some("Practice".to_owned());
    }
    if !report.counts() {
        return Some(match report.will_not_be_played() {
            true => "Will not be played".to_owned(),
            false => "Does not count".to_owned(),
        });
    }
    by_records
}
