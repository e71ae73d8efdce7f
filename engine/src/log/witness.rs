//! What one official's log proves of another's.
//!
//! Whoever names the hash of an entry commits to it and to all before it. So a
//! log that is cut short or written anew later contradicts the signature of
//! everyone who named one of its entries, without any network.

use alloc::vec::Vec;

use super::body::{Body, HeldLog};
use super::chain::Chain;
use super::receipt::{DatedHead, SignedReceipt};
use super::{Fingerprint, Hash};

impl HeldLog {
    /// A log as it stands.
    #[must_use]
    pub fn of(chain: &Chain) -> Self {
        Self {
            author: chain.author().fingerprint(),
            entries: chain.next_seq(),
            head: chain.head(),
        }
    }
}

/// How far one log is witnessed by another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Witness {
    /// Who signed it: fingerprint of the key that opened the witness's log.
    pub by: Fingerprint,
    /// Sequence number of the last entry that it names.
    pub seq: u64,
    /// Where it does so: sequence number in the witness's log.
    pub at: u64,
}

/// Where somebody signed what a log was like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WitnessPlace {
    /// In this entry of the witness's own log.
    Entry {
        /// Its sequence number.
        at: u64,
    },
    /// In a collector's receipt.
    Receipt {
        /// When the collector had it (ms since 1970 UTC, by its clock).
        received_ms: u64,
    },
}

/// A log that is not as somebody else's signature says it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Contradiction {
    /// Who signed it: fingerprint of the key that opened the witness's log, or
    /// of the collector's.
    pub by: Fingerprint,
    /// Where.
    pub place: WitnessPlace,
    /// Entries that the log had then.
    pub entries: u64,
    /// Whether these are missing now; else others stand in their place.
    pub cut: bool,
}

/// What the other logs of its game say of one log.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WitnessReport {
    /// By each witness the farthest entry.
    pub by: Vec<Witness>,
    /// By each collector what it held and when, from the earliest on.
    pub dated: Vec<DatedHead>,
    /// Signatures that the log contradicts.
    pub contradictions: Vec<Contradiction>,
}

impl WitnessReport {
    /// Looks for what others' logs and collectors' receipts say of `log`; of
    /// other logs they may speak too.
    #[must_use]
    pub fn of<'a>(
        log: &Chain,
        others: impl IntoIterator<Item = &'a Chain>,
        receipts: impl IntoIterator<Item = &'a SignedReceipt>,
    ) -> Self {
        let mut found = Self::default();
        let name = log.name();
        let of_log = |r: &&SignedReceipt| r.content().log == name;
        for receipt in receipts.into_iter().filter(of_log) {
            let (claim, by) = (receipt.content(), receipt.key().fingerprint());
            let received_ms = claim.received_ms;
            match claim.begins(log) {
                true => found.dated.push(DatedHead {
                    by,
                    seq: claim.entries - 1,
                    before_ms: received_ms,
                }),
                false => found.contradictions.push(Contradiction {
                    by,
                    place: WitnessPlace::Receipt { received_ms },
                    entries: claim.entries,
                    cut: log.at(claim.entries - 1).is_none(),
                }),
            }
        }
        found.dated.sort_by_key(|d| (d.by, d.before_ms, d.seq));
        // Sorted once: a stranger's logs may name as many entries as they hold.
        let numbered = log.entries().iter().map(|e| (e.hash(), e.payload().seq));
        let mut places: Vec<(Hash, u64)> = numbered.collect();
        places.sort_unstable();
        let of_game = |c: &&Chain| c.game() == log.game() && c.author() != log.author();
        for other in others.into_iter().filter(of_game) {
            let by = other.author().fingerprint();
            let mut farthest: Option<Witness> = None;
            for entry in other.entries() {
                let at = entry.payload().seq;
                for hash in named(entry.body()) {
                    let Ok(place) = places.binary_search_by_key(&hash, |(h, _)| *h) else {
                        continue;
                    };
                    let seq = places[place].1;
                    if farthest.is_none_or(|w| w.seq < seq) {
                        farthest = Some(Witness { by, seq, at });
                    }
                }
                let seen = seen(entry.body())
                    .iter()
                    .filter(|s| s.author == name.author);
                for seen in seen {
                    let last = seen.entries.checked_sub(1).and_then(|seq| log.at(seq));
                    if last.map(|e| e.hash()) != Some(seen.head) {
                        found.contradictions.push(Contradiction {
                            by,
                            place: WitnessPlace::Entry { at },
                            entries: seen.entries,
                            cut: last.is_none(),
                        });
                    }
                }
            }
            found.by.extend(farthest);
        }
        found
    }
}

fn seen(body: &Body) -> &[HeldLog] {
    match body {
        Body::CodeCheck(check) => &check.seen,
        Body::Takeover(takeover) => core::slice::from_ref(&takeover.from),
        _ => &[],
    }
}

/// The hashes of entries that a body commits to; some are the author's own.
fn named(body: &Body) -> Vec<Hash> {
    match body {
        Body::CodeCheck(check) => check.seen.iter().map(|s| s.head).collect(),
        Body::Takeover(takeover) => Vec::from([takeover.from.head]),
        Body::CoSign(sign) => Vec::from([sign.statement]),
        Body::Ruling(ruling) => ruling.other.into_iter().collect(),
        Body::LeftOpen(open) => open.other.into_iter().collect(),
        Body::Decision(decision) => decision.considered.iter().map(|c| c.head).collect(),
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use alloc::string::ToString;

    use super::super::{sample, *};
    use super::*;
    use crate::play::Goal;
    use crate::team::Side;

    fn check(r: &mut GameRecord, key: &SecretKey, other: &GameRecord) {
        let body = Body::CodeCheck(CodeCheck {
            half: HalfInning {
                inning: 1,
                side: Side::Guest,
            },
            code: "7K2M9Q".to_string(),
            answer: CodeAnswer::Same,
            other: None,
            seen: Vec::from([HeldLog::of(other.chain())]),
        });
        sample::add(r, key, body);
    }

    #[test]
    fn a_log_cut_short_or_written_anew_contradicts_the_other_official() {
        let (a, b) = (sample::secret(1), sample::secret(2));
        let (mut one, mut two) = (sample::record(1, &a), sample::record(1, &b));
        for goal in [Goal::First, Goal::Second, Goal::First] {
            sample::play(&mut one, &a, sample::safe(goal));
        }
        let early = GameRecord::replay(one.chain().clone().cut(2).0.unwrap()).unwrap();
        check(&mut two, &b, &one);
        sample::play(&mut one, &a, sample::safe(Goal::Third));
        let by = two.chain().author().fingerprint();
        let whole = WitnessReport::of(one.chain(), [one.chain(), two.chain()], []);
        assert_eq!(whole.by, [Witness { by, seq: 3, at: 1 }]);
        assert_eq!(whole.contradictions, []);
        // Nothing proves what came after that.
        let cut = one.chain().clone().cut(4).0.unwrap();
        assert_eq!(WitnessReport::of(&cut, [two.chain()], []), whole);
        let short = WitnessReport::of(early.chain(), [two.chain()], []);
        let contradiction = |cut| Contradiction {
            by,
            place: WitnessPlace::Entry { at: 1 },
            entries: 4,
            cut,
        };
        assert_eq!(short.contradictions, [contradiction(true)]);
        let mut anew = early;
        for goal in [Goal::Third, Goal::First] {
            sample::play(&mut anew, &a, sample::safe(goal));
        }
        let anew = WitnessReport::of(anew.chain(), [two.chain()], []);
        assert_eq!(anew.contradictions, [contradiction(false)]);
        assert_eq!(anew.by, []);
    }

    #[test]
    fn a_co_signature_witnesses_everything_before_the_statement() {
        let (a, b) = (sample::secret(1), sample::secret(2));
        let one = sample::short_game(1, &a);
        let mut two = sample::record(1, &b);
        let (entry, _) = one.signed_off().unwrap();
        let statement = entry.hash();
        let captain = None;
        sample::add(&mut two, &b, Body::CoSign(CoSign { statement, captain }));
        let seq = entry.payload().seq;
        let by = two.chain().author().fingerprint();
        let found = WitnessReport::of(one.chain(), [two.chain()], []);
        assert_eq!(found.by, [Witness { by, seq, at: 1 }]);
    }
}
