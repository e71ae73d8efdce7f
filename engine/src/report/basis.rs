//! Which record of a game is shown, whether it counts and why: said to everyone.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::authority::{Authority, Backing};
use super::{GameReport, KeptRecord, Verdict};
use crate::crosscheck::capital;
use crate::log::Disposition;
use crate::rules::Disposal;

/// Names the records of strangers beside those of listed officials: evidence.
pub(super) fn beside(
    strangers: &[KeptRecord<'_>],
    authority: Authority<'_>,
    reasons: &mut Vec<String>,
    evidence: &mut Vec<String>,
) {
    match strangers.len() {
        0 => {}
        1 => reasons.push(
            "One more record was kept with a key that the charter does not list: it is kept as evidence and counts for nothing."
                .to_string(),
        ),
        n => reasons.push(format!(
            "{n} more records were kept with keys that the charter does not list: they are kept as evidence and count for nothing."
        )),
    }
    for kept in strangers {
        let score = kept.record.history().game().score();
        let whose = authority.record_of(&kept.record.opening().author);
        let line = format!(
            "{} stands at {}-{}.",
            capital(&whose),
            score.guest,
            score.home
        );
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
        return "Nothing counts yet: no official's record is here.".into();
    }
    let listed = match report.backing {
        Backing::Anyone => {
            " No official whom the charter lists kept a record; in this event anyone may."
        }
        Backing::Strangers => {
            return format!(
                "{whose} is shown and does not count: the charter lists nobody who kept a record. It counts once the organiser lists the key or decides."
            );
        }
        Backing::None | Backing::Free | Backing::Listed(_) => "",
    };
    let unsettled = match report.rules.unsettled {
        Disposal::LeftOut => "Until it is settled it is left out of the table.",
        Disposal::AsScored => "Until it is settled it counts in the table as scored so far.",
    };
    let said = match report.by_records {
        Verdict::Agreed { co_signed: true } => format!(
            "{whose} counts: all records tell the same, and each official signed the other's statement."
        ),
        Verdict::Agreed { co_signed: false } => format!(
            "{whose} counts: the records tell the same and are signed off. For that the officials need not have signed each other's statement."
        ),
        Verdict::Single if heard.len() == 1 => format!(
            "{whose} counts: it is the only one and is signed off. One signed record is enough."
        ),
        Verdict::Single => format!(
            "{whose} counts: of {} records one is signed off, and none says otherwise. One signed record is enough.",
            heard.len()
        ),
        Verdict::Disputed => format!("{whose} is shown. {unsettled}"),
        Verdict::Tampered => {
            format!("{whose} is shown. {unsettled} It is for the organiser to decide.")
        }
        Verdict::Incomplete if report.standing.is_some() => {
            format!("{whose} is shown. {unsettled}")
        }
        Verdict::Incomplete => {
            format!("{whose} is shown: it counts once the game is over and signed off.")
        }
        // Only with a decision, which is told above.
        Verdict::Decided => String::new(),
    };
    said + listed
}

fn by_decision(decided: Disposition, whose: &str, keepers: usize) -> String {
    match decided {
        Disposition::Stands { .. } => format!("{whose} counts: the organiser decided so."),
        Disposition::Forfeit { .. } | Disposition::Score { .. } if keepers == 0 => {
            "The organiser's decision counts: nobody kept a record.".into()
        }
        Disposition::Forfeit { .. } | Disposition::Score { .. } => {
            format!("The organiser's decision counts. What was played is shown from: {whose}.")
        }
        Disposition::NotCounted => "It does not count: the organiser decided so.".into(),
        Disposition::NotPlayed => {
            "It does not count and will not be played: the organiser decided so.".into()
        }
        Disposition::Withdrawn => String::new(),
    }
}
