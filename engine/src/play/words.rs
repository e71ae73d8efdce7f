//! Calls in plain words.

use alloc::format;
use alloc::string::String;

use crate::message::text;
use crate::team::Side;

/// "1st", "2nd", "3rd", "4th"…
#[must_use]
pub fn ordinal(n: u8) -> String {
    let end = match (n % 10, n % 100) {
        (1, 11) | (2, 12) | (3, 13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{end}")
}

/// "Top of 3rd": the guests bat in the top of an inning, the home side in the
/// bottom.
#[must_use]
pub fn half_inning(inning: u8, at_bat: Side) -> String {
    let inning = ordinal(inning);
    match at_bat {
        Side::Guest => text!("half-inning-top", inning),
        Side::Home => text!("half-inning-bottom", inning),
    }
}

/// "no outs", "1 out", "2 outs".
#[must_use]
pub fn count_outs(n: u8) -> String {
    text!("outs-count", n)
}
