//! Which record of a game is shown, whether it counts and why: said to everyone.

use alloc::string::String;
use alloc::vec::Vec;

use super::authority::{Authority, Backing};
use super::{GameReport, KeptRecord, Verdict};
use crate::crosscheck::capital;
use crate::log::Disposition;
use crate::message::text;
use crate::rules::Disposal;

/// Names the records of strangers beside those of listed officials: evidence.
pub(super) fn beside(
    strangers: &[KeptRecord<'_>],
    authority: Authority<'_>,
    reasons: &mut Vec<String>,
    evidence: &mut Vec<String>,
) {
    let more = strangers.len();
    if more > 0 {
        reasons.push(text!("basis-strangers", more));
    }
    for kept in strangers {
        let score = kept.record.history().game().score();
        let whose = capital(&authority.record_of(&kept.record.opening().author));
        let (guest, home) = (score.guest, score.home);
        let line: String = text!("basis-stands-at", whose, guest, home);
        if !evidence.contains(&line) {
            evidence.push(line);
        }
    }
}

/// The sentences of a report.
pub(super) fn basis(
    report: &GameReport,
    heard: &[KeptRecord<'_>],
    shown: &KeptRecord<'_>,
    authority: Authority<'_>,
) -> String {
    let whose = capital(&authority.record_of(&shown.record.opening().author));
    if let Some(decided) = report.decided() {
        return by_decision(decided, &whose, report.keepers);
    }
    if heard.is_empty() {
        return text!("basis-nothing-yet");
    }
    let anyone = match report.backing {
        Backing::Anyone => true,
        Backing::Strangers => {
            return text!("basis-strangers-only", whose);
        }
        Backing::None | Backing::Free | Backing::Listed(_) => false,
    };
    let so_far = report.rules.unsettled == Disposal::AsScored;
    let mut said: String = match report.by_records {
        Verdict::Agreed { co_signed: true } => text!("basis-co-signed", whose),
        Verdict::Agreed { co_signed: false } => text!("basis-agreed", whose),
        Verdict::Single => text!("basis-single", whose, records = heard.len()),
        Verdict::Tampered => text!("basis-tampered", whose, so_far),
        Verdict::Incomplete if report.standing.is_none() => text!("basis-not-over", whose),
        Verdict::Disputed | Verdict::Incomplete => text!("basis-unsettled", whose, so_far),
        // Only with a decision, which is told above.
        Verdict::Decided => String::new(),
    };
    if anyone {
        let more: String = text!("basis-anyone");
        said.push_str(&more);
    }
    said
}

fn by_decision(decided: Disposition, whose: &str, keepers: usize) -> String {
    match decided {
        Disposition::Stands { .. } => text!("basis-decided", whose),
        Disposition::Forfeit { .. } | Disposition::Score { .. } if keepers == 0 => {
            text!("basis-decided-alone")
        }
        Disposition::Forfeit { .. } | Disposition::Score { .. } => {
            text!("basis-decided-otherwise", whose)
        }
        Disposition::NotCounted => text!("basis-not-counted"),
        Disposition::NotPlayed => text!("basis-not-played"),
        Disposition::Withdrawn => String::new(),
    }
}
