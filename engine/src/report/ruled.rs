//! What an organiser decided about a game, as it applies to the records at
//! hand.

use alloc::collections::BTreeMap;
use alloc::string::String;
use alloc::vec::Vec;

use super::KeptRecord;
use super::authority::Authority;
use crate::log::{Decision, Disposition, Fingerprint, Hash, LogName};
use crate::message::{isolated, score, text};
use crate::team::BySide;

/// A decision in force.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DecisionInForce {
    /// What was decided.
    pub decided: Disposition,
    /// The same in one sentence, without anything that people wrote but the
    /// teams' names.
    pub sentence: String,
    /// Why, in the organiser's own words.
    pub reason: String,
    /// When, as the organiser's clock had it (milliseconds).
    pub claimed_ms: u64,
    /// Whether it has its effect: not while the record that is to stand is not
    /// at hand.
    pub applies: bool,
    /// What arrived since, in plain sentences: the organiser did not know it.
    pub since: Vec<String>,
}

/// A lot in an organiser's log of a game.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnLot {
    /// When, as the organiser's clock had it (milliseconds).
    pub claimed_ms: u64,
    /// Hash of the entry, to tell equal times apart.
    pub entry: Hash,
    /// Names of the teams, best first.
    pub order: Vec<String>,
    /// How and before whom, in the organiser's own words.
    pub note: String,
    /// Earlier lots that it takes the place of, by their entries.
    pub replaces: Vec<Hash>,
    /// The log that it stands in.
    pub log: LogName,
    /// Its number there.
    pub seq: u64,
}

/// The last decision in one organiser's log.
struct Candidate<'a> {
    author: Fingerprint,
    seq: u64,
    claimed_ms: u64,
    entry: Hash,
    decision: &'a Decision,
}

fn author(kept: &KeptRecord<'_>) -> Fingerprint {
    kept.record.chain().author().fingerprint()
}

fn candidates<'a>(logs: &[KeptRecord<'a>], authority: Authority<'_>) -> Vec<Candidate<'a>> {
    let listed = logs
        .iter()
        .filter(|k| authority.decides(k.record.chain().author()));
    listed
        .filter_map(|kept| {
            let (seq, decision) = kept.record.decisions().next_back()?;
            let entry = kept.record.chain().at(seq)?;
            Some(Candidate {
                author: author(kept),
                seq,
                claimed_ms: entry.payload().claimed_ms,
                entry: entry.hash(),
                decision,
            })
        })
        .collect()
}

/// Whether a decision was made with another one on the table.
fn knew(later: &Candidate<'_>, earlier: &Candidate<'_>, logs: &[KeptRecord<'_>]) -> bool {
    let heads = later.decision.considered.iter();
    let heads = heads.filter(|c| c.author == earlier.author);
    let chain = logs.iter().find(|k| author(k) == earlier.author);
    let entries = chain.map_or(&[][..], |k| k.record.chain().entries());
    heads.into_iter().any(|c| {
        entries
            .iter()
            .any(|e| e.hash() == c.head && e.payload().seq >= earlier.seq)
    })
}

/// The decision in force. In one log it is the last. Of several organisers'
/// decisions one gives way to another that was made knowing of it; where two
/// were made apart, the later by the clocks counts and that is said.
pub(super) fn ruled(
    logs: &[KeptRecord<'_>],
    records: &[KeptRecord<'_>],
    teams: &BySide<String>,
    authority: Authority<'_>,
    reasons: &mut Vec<String>,
) -> Option<DecisionInForce> {
    let strangers = logs.iter().filter(|k| {
        !authority.decides(k.record.chain().author()) && k.record.decisions().next().is_some()
    });
    if strangers.count() > 0 {
        reasons.push(text!("ruled-by-a-stranger"));
    }
    let all = candidates(logs, authority);
    let beaten = |one: &Candidate<'_>| {
        let newer =
            |o: &Candidate<'_>| o.author != one.author && knew(o, one, logs) && !knew(one, o, logs);
        all.iter().any(newer)
    };
    let mut open: Vec<&Candidate<'_>> = all.iter().filter(|c| !beaten(c)).collect();
    open.sort_by_key(|c| (c.claimed_ms, c.entry));
    let chosen = open.pop()?;
    if open
        .iter()
        .any(|o| o.decision.decided != chosen.decision.decided)
    {
        reasons.push(text!("ruled-twice"));
    }
    let decision = chosen.decision;
    if decision.decided == Disposition::Withdrawn {
        return None;
    }
    let (words, applies) = words(decision.decided, records, teams, authority);
    Some(DecisionInForce {
        decided: decision.decided,
        sentence: text!("ruled", words),
        reason: decision.reason.clone(),
        claimed_ms: chosen.claimed_ms,
        applies,
        since: since(decision, records, chosen.author, authority),
    })
}

fn words(
    decided: Disposition,
    records: &[KeptRecord<'_>],
    teams: &BySide<String>,
    authority: Authority<'_>,
) -> (String, bool) {
    match decided {
        Disposition::Stands { author: of } => match records.iter().find(|k| author(k) == of) {
            Some(kept) => {
                let record = authority.record_of(&kept.record.opening().author);
                (text!("ruled-stands", record), true)
            }
            None => (text!("ruled-stands-elsewhere"), false),
        },
        Disposition::Forfeit { by } => (text!("ruled-forfeit", team = isolated(&teams[by])), true),
        Disposition::Score { runs, close } => {
            let score = score(teams, &runs);
            let said = match runs.guest == runs.home {
                true => text!("ruled-score-equal", score),
                false => text!("ruled-score", score, close),
            };
            (said, true)
        }
        Disposition::NotCounted => (text!("ruled-not-counted"), true),
        Disposition::NotPlayed => (text!("ruled-not-played"), true),
        Disposition::Withdrawn => (String::new(), false),
    }
}

/// What the organiser did not know: entries after the heads considered, and
/// whole records.
fn since(
    decision: &Decision,
    records: &[KeptRecord<'_>],
    organiser: Fingerprint,
    authority: Authority<'_>,
) -> Vec<String> {
    let seen: BTreeMap<Fingerprint, Hash> = decision
        .considered
        .iter()
        .map(|c| (c.author, c.head))
        .collect();
    let mut lines = Vec::new();
    for kept in records.iter().filter(|k| author(k) != organiser) {
        let who = authority.record_of(&kept.record.opening().author);
        let chain = kept.record.chain();
        let line = match seen.get(&author(kept)) {
            None => text!("since-record", who),
            Some(head) if *head == chain.head() => continue,
            Some(head) => match chain.entries().iter().rposition(|e| e.hash() == *head) {
                Some(at) => {
                    let more = chain.entries().len() - 1 - at;
                    text!("since-entries", more, who)
                }
                None => text!("since-another-line", who),
            },
        };
        lines.push(line);
    }
    lines
}

/// The lots in organisers' logs of a game.
pub(super) fn drawn(logs: &[KeptRecord<'_>], authority: Authority<'_>) -> Vec<DrawnLot> {
    let mut lots = Vec::new();
    for kept in logs {
        if !authority.decides(kept.record.chain().author()) {
            continue;
        }
        for (seq, draw) in kept.record.draws() {
            if let Some(entry) = kept.record.chain().at(seq) {
                lots.push(DrawnLot {
                    claimed_ms: entry.payload().claimed_ms,
                    entry: entry.hash(),
                    order: draw.order.clone(),
                    note: draw.note.clone(),
                    replaces: draw.replaces.clone(),
                    log: LogName {
                        game: kept.record.chain().game(),
                        author: author(kept),
                    },
                    seq,
                });
            }
        }
    }
    lots
}
