//! The phone's clock: claimed times of entries, and how they are shown.

use chrono::{DateTime, Local, TimeZone};
use engine::log::OutOfTime;

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

/// The day of a claimed time as a charter writes it, `2026-06-06`.
pub fn date(ms: u64) -> String {
    local(ms).map_or_else(String::new, |t| t.format("%Y-%m-%d").to_string())
}

/// When the day of a claimed time began here, in ms since 1970.
pub fn midnight(ms: u64) -> Option<u64> {
    let day = local(ms)?.date_naive().and_time(chrono::NaiveTime::MIN);
    let begun = Local.from_local_datetime(&day).earliest()?;
    u64::try_from(begun.timestamp_millis()).ok()
}

/// A moment as a field for day and hour gives it (`2026-06-06T14:05`), in ms
/// since 1970.
pub fn of_field(text: &str) -> Option<u64> {
    let at = chrono::NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").ok()?;
    let at = Local.from_local_datetime(&at).earliest()?;
    u64::try_from(at.timestamp_millis()).ok()
}

/// Whether two claimed times fall on one day here.
pub fn same_day(a: u64, b: u64) -> bool {
    local(a).map(|t| t.date_naive()) == local(b).map(|t| t.date_naive())
}

fn local(ms: u64) -> Option<DateTime<Local>> {
    in_zone(ms, &Local)
}

/// A claimed time in a time zone; `None` of one that no log may name, because
/// the calendar ends somewhere, and sooner in some zones than in others.
fn in_zone<Z: TimeZone>(ms: u64, zone: &Z) -> Option<DateTime<Z>> {
    OutOfTime::check(ms).ok()?;
    let utc = DateTime::from_timestamp_millis(i64::try_from(ms).ok()?)?;
    Some(utc.with_timezone(zone))
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::FixedOffset;

    #[test]
    fn no_clock_however_wrong_stops_a_screen() {
        let last = DateTime::<chrono::Utc>::MAX_UTC.timestamp_millis();
        let last = u64::try_from(last).unwrap_or(0);
        let (from, to) = OutOfTime::ALLOWED_MS.into_inner();
        for hours in [-12, 0, 9, 14] {
            let zone = FixedOffset::east_opt(hours * 3600);
            for ms in [
                0,
                1,
                from - 1,
                from,
                to,
                to + 1,
                last - 1,
                last,
                last + 1,
                u64::MAX,
            ] {
                let shown = zone.and_then(|zone| in_zone(ms, &zone));
                let shown =
                    shown.map(|t| (t.date_naive(), t.format("%A %-d %B %Y %H:%M").to_string()));
                assert_eq!(shown.is_some(), (from..=to).contains(&ms), "{ms} {hours}");
            }
        }
    }
}
