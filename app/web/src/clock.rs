//! The phone's clock: claimed times of entries, and how they are shown.

use chrono::{DateTime, Local};

/// Now, in ms since 1970.
pub fn now() -> u64 {
    js_sys::Date::now() as u64
}

/// The time of day of a claimed time, as `14:05`.
pub fn time_of_day(ms: u64) -> String {
    local(ms).map_or_else(String::new, |t| t.format("%H:%M").to_string())
}

/// The day of a claimed time, as `Saturday 6 June 2026`.
pub fn day(ms: u64) -> String {
    local(ms).map_or_else(String::new, |t| t.format("%A %-d %B %Y").to_string())
}

/// Whether two claimed times fall on one day here.
pub fn same_day(a: u64, b: u64) -> bool {
    local(a).map(|t| t.date_naive()) == local(b).map(|t| t.date_naive())
}

fn local(ms: u64) -> Option<DateTime<Local>> {
    let utc = DateTime::from_timestamp_millis(i64::try_from(ms).ok()?)?;
    Some(utc.with_timezone(&Local))
}
