//! What a verdict says, in words: the same for every verifier.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Evidence, Listing, LogVerdict, utc};
use crate::log::{OrderAction, SignedOrder, Subject, Visible, WitnessPlace, entry_number};
use crate::message::{score, text};
use crate::team::BySide;

impl LogVerdict {
    /// What its charter says of the author.
    #[must_use]
    pub fn listed(&self) -> String {
        match &self.listing {
            Listing::NoCharter => text!("listing-no-charter"),
            Listing::NotListed => text!("listing-not-listed"),
            Listing::Ended(a, good) => {
                text!("listing-ended", role = a.role, name = a.name, good)
            }
            Listing::Listed(a) => text!("listing-listed", role = a.role, name = a.name),
        }
    }

    /// Who co-signed its final statement.
    #[must_use]
    pub fn co_signers(&self) -> Vec<String> {
        let one = |s: &super::Signature| {
            let (key, entry) = (s.by, entry_number(s.seq));
            match &s.captain {
                None => text!("co-signed", key, entry),
                Some(captain) => {
                    let (name, side) = (&captain.name, captain.side);
                    text!("co-signed-for-captain", name, side, key, entry)
                }
            }
        };
        self.co_signed.iter().map(one).collect()
    }

    /// What the rules make of it: the score and the plays that do not fit, or
    /// why there is no game.
    #[must_use]
    pub fn game(&self) -> String {
        let record = match &self.record {
            Err(why) => return text!("no-game", why),
            Ok(record) => record,
        };
        let runs = record.history().game().score();
        let cards = &record.opening().setup.cards;
        let teams = BySide::from_fn(|side| &cards[side].team);
        let score = score(&teams, &runs);
        let conflicts = record.history().conflicts().count();
        let open = record.disputes().count();
        text!("game-in-evidence", score, conflicts, open)
    }

    /// What other logs and receipts sign of it, and from where on nobody does.
    #[must_use]
    pub fn witnesses(&self) -> Vec<String> {
        let found = &self.witnessed;
        let seen = found.by.iter().map(|w| {
            let (entry, key, own) = (entry_number(w.seq), w.by, entry_number(w.at));
            text!("witness-up-to", entry, key, own)
        });
        let mut lines: Vec<String> = seen.collect();
        for wrong in &found.contradictions {
            let place: String = match wrong.place {
                WitnessPlace::Entry { at } => text!("witness-in-entry", entry = entry_number(at)),
                WitnessPlace::Receipt { received_ms } => {
                    text!("witness-in-receipt", time = utc(received_ms))
                }
            };
            let (key, entries, cut) = (wrong.by, wrong.entries, wrong.cut);
            lines.push(text!("witness-against", key, place, entries, cut));
        }
        let last = self.unwitnessed_from();
        if last < self.chain.next_seq() {
            lines.push(text!("witness-nobody", entry = entry_number(last)));
        }
        lines
    }

    /// The earliest moment before which all of it that a collector signed
    /// existed, for each collector, and how many earlier ones it signed.
    #[must_use]
    pub fn dated(&self, all: &Evidence) -> Vec<String> {
        let dated = &self.witnessed.dated;
        let mut collectors: Vec<_> = dated.iter().map(|d| d.by).collect();
        collectors.dedup();
        let one = |by| {
            let of: Vec<_> = dated.iter().filter(|d| d.by == by).collect();
            let last = of
                .iter()
                .max_by_key(|d| (d.seq, core::cmp::Reverse(d.before_ms)))?;
            let collector: String = match all.collector(by) {
                Some(named) => text!("dated-by-collector", name = named.name, key = by),
                None => text!("dated-by-unnamed", key = by),
            };
            let (entry, time) = (entry_number(last.seq), utc(last.before_ms));
            let earlier = of.len() - 1;
            Some(text!("dated", entry, time, collector, earlier))
        };
        collectors.into_iter().filter_map(one).collect()
    }

    /// Final statements that the entries before them contradict.
    #[must_use]
    pub fn misstatements(&self) -> Vec<String> {
        let record = self.record.as_ref().ok();
        let wrong = record.map_or(&[][..], |r| r.misstatements());
        wrong.iter().map(ToString::to_string).collect()
    }
}

impl SignedOrder {
    /// Who signed it, what it asks of a collector and why, and what it does not
    /// say.
    #[must_use]
    pub fn says(&self) -> Vec<String> {
        let order = self.content();
        let subject = |of: &Subject| -> String {
            match of {
                Subject::Game(id) => text!("order-of-game", id),
                Subject::Key(id) => text!("order-of-key", id),
                Subject::Event(id) => text!("order-of-event", id),
            }
        };
        let asks: String = match &order.measure {
            OrderAction::Hide(of) => text!("order-hide", what = subject(of)),
            OrderAction::Erase(of) => text!("order-erase", what = subject(of)),
            OrderAction::Block(key) => text!("order-block", key),
            OrderAction::Pause => text!("order-pause"),
        };
        let key = order.collector.fingerprint();
        let (words, time) = (key.phrase(), utc(order.issued_ms));
        let mut lines = Vec::from([
            text!("order-asks", holds = order.holds, asks),
            text!("order-signed", key, words, time),
        ]);
        if !order.reason.is_empty() {
            lines.push(text!("order-reason", reason = Visible(&order.reason)));
        }
        if !order.logs.is_empty() || !order.charters.is_empty() {
            let (records, versions) = (order.logs.len(), order.charters.len());
            lines.push(text!("order-names", records, versions));
        }
        lines.push(text!("order-about"));
        lines
    }
}
