//! Calls in plain words.

use super::{BeforeFirst, IllegalAct, PutOut};
use alloc::format;
use alloc::string::String;

use crate::team::Side;

/// Why an illegal hit is an out, as the end of a sentence.
#[must_use]
pub const fn act_sentence(act: IllegalAct) -> &'static str {
    match act {
        IllegalAct::NoHitZone => "the ball bounced inside the no-hit line",
        IllegalAct::Foul => "the ball was foul",
        IllegalAct::Fence => "the ball reached the fence on the fly",
        IllegalAct::Box => "the batter was on or over the line of the box",
        IllegalAct::Turn => "the hit was out of turn",
        IllegalAct::Other => "the hit was illegal",
    }
}

/// Why a runner is out, as the end of a sentence.
#[must_use]
pub const fn put_out_sentence(how: PutOut) -> &'static str {
    match how {
        PutOut::Forced => "the base was touched with the ball first",
        PutOut::Tagged => "tagged with the ball off the base",
        PutOut::LeftEarly => "off the base before the hit",
        PutOut::NotBack => "did not go back to the base after the catch",
        PutOut::Passed => "passed a team-mate",
        PutOut::Shared => "tagged while two shared a base",
        PutOut::Collision => "an avoidable collision",
        PutOut::Interference => "got in the way of the play",
        PutOut::Other => "by the umpire's ruling",
        PutOut::Missed => "missed the base, and the defence appealed",
    }
}

/// Why the batter is out before first base, as the end of a sentence.
#[must_use]
pub const fn before_first_sentence(how: BeforeFirst) -> &'static str {
    match how {
        BeforeFirst::Base => "first base was touched with the ball before the batter",
        BeforeFirst::Tagged => "tagged with the ball before first base",
        BeforeFirst::Interference => "got in the way of the play before first base",
        BeforeFirst::Collision => "an avoidable collision before first base",
        BeforeFirst::Other => "before first base, by the umpire's ruling",
    }
}

/// The same in a word or two, for a button.
#[must_use]
pub const fn act_word(act: IllegalAct) -> &'static str {
    match act {
        IllegalAct::NoHitZone => "too short",
        IllegalAct::Foul => "foul",
        IllegalAct::Fence => "fence",
        IllegalAct::Box => "box",
        IllegalAct::Turn => "turn",
        IllegalAct::Other => "other",
    }
}

/// How a runner was put out, in a word or two.
#[must_use]
pub const fn put_out_word(how: PutOut) -> &'static str {
    match how {
        PutOut::Forced => "forced",
        PutOut::Tagged => "tagged",
        PutOut::LeftEarly => "left early",
        PutOut::NotBack => "not back",
        PutOut::Passed => "passed",
        PutOut::Shared => "shared",
        PutOut::Collision => "ran into",
        PutOut::Interference => "in the way",
        PutOut::Other => "other",
        PutOut::Missed => "missed",
    }
}

/// How the batter was put out before first base, in a word or two.
#[must_use]
pub const fn before_first_word(how: BeforeFirst) -> &'static str {
    match how {
        BeforeFirst::Base => "before 1st",
        BeforeFirst::Tagged => "tagged",
        BeforeFirst::Interference => "in the way",
        BeforeFirst::Collision => "ran into",
        BeforeFirst::Other => "other",
    }
}

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
    let half = match at_bat {
        Side::Guest => "Top",
        Side::Home => "Bottom",
    };
    format!("{half} of {}", ordinal(inning))
}

/// "no outs", "1 out", "2 outs".
#[must_use]
pub fn count_outs(n: u8) -> String {
    match n {
        0 => "no outs".into(),
        1 => "1 out".into(),
        n => format!("{n} outs"),
    }
}
