//! What a verdict says, in words: the same for every verifier.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::{Evidence, Listing, LogVerdict, utc};
use crate::log::{Measure, Place, SignedOrder, Subject, Visible, entry_number};

impl LogVerdict {
    /// What its charter says of the author.
    #[must_use]
    pub fn listed(&self) -> String {
        match &self.listing {
            Listing::NoCharter => "no charter given says who this is".into(),
            Listing::NotListed => "the charter does not list this key".into(),
            Listing::Ended(a, good) => format!(
                "listed once as {}, {}; the charter ends this key, and the first {good} entries stay good",
                a.role, a.name
            ),
            Listing::Listed(a) => format!("listed in the charter: {}, {}", a.role, a.name),
        }
    }

    /// Who co-signed its final statement.
    #[must_use]
    pub fn co_signers(&self) -> Vec<String> {
        let one = |s: &super::Signature| match &s.captain {
            None => format!("{}, entry {}", s.by, entry_number(s.seq)),
            Some(captain) => format!(
                "for {} of the {} side, with the official's key {}, entry {}",
                captain.name,
                captain.side,
                s.by,
                entry_number(s.seq)
            ),
        };
        self.co_signed.iter().map(one).collect()
    }

    /// What the rules make of it: the score and the plays that do not fit, or
    /// why there is no game.
    #[must_use]
    pub fn game(&self) -> String {
        let record = match &self.record {
            Err(e) => return format!("no game: {e}"),
            Ok(record) => record,
        };
        let score = record.history().game().score();
        let teams = &record.opening().setup.cards;
        format!(
            "{} {}, {} {}, {} plays that do not fit, {} differences left open",
            teams.guest.team,
            score.guest,
            teams.home.team,
            score.home,
            record.history().conflicts().count(),
            record.disputes().count()
        )
    }

    /// What other logs and receipts sign of it, and from where on nobody does.
    #[must_use]
    pub fn witnesses(&self) -> Vec<String> {
        let found = &self.witnessed;
        let seen = found.by.iter().map(|w| {
            format!(
                "up to entry {} by {}, whose own entry {} names it",
                entry_number(w.seq),
                w.by,
                entry_number(w.at)
            )
        });
        let mut lines: Vec<String> = seen.collect();
        for wrong in &found.contradictions {
            let what = if wrong.cut {
                "which this file does not hold: it ends sooner"
            } else {
                "and others stand there now: it was written anew"
            };
            let place = match wrong.place {
                Place::Entry { at } => format!("in entry {}", entry_number(at)),
                Place::Receipt { received_ms } => format!("in a receipt of {}", utc(received_ms)),
            };
            lines.push(format!(
                "{} signed, {place}, to have seen {} entries, {what}",
                wrong.by, wrong.entries
            ));
        }
        let last = self.unwitnessed_from();
        if last < self.chain.next_seq() {
            lines.push(format!(
                "nobody else for entry {} and later: nothing here proves that they are the newest, nor when they were made",
                entry_number(last)
            ));
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
            let name = match all.collector(by) {
                Some(named) => format!(
                    "{}, a collector that the charter names, key {by}",
                    named.name
                ),
                None => format!("a collector that no charter given names, key {by}"),
            };
            let earlier = match of.len() - 1 {
                0 => String::new(),
                n => format!(" ({n} earlier receipts)"),
            };
            Some(format!(
                "entries 1 to {} existed before {} by {name}{earlier}",
                entry_number(last.seq),
                utc(last.before_ms)
            ))
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
        let subject = |of: &Subject| match of {
            Subject::Game(id) => format!("game {id}"),
            Subject::Key(id) => format!("the records that key {id} opened"),
            Subject::Event(id) => format!("event {id} and its games"),
        };
        let asks = match &order.measure {
            Measure::Hide(of) => format!("nobody is shown {}", subject(of)),
            Measure::Erase(of) => format!("{} is neither kept nor taken", subject(of)),
            Measure::Block(key) => format!("nothing more by key {key} is taken"),
            Measure::Pause => "nothing at all is taken for now".into(),
        };
        let word = match order.holds {
            true => "Ordered",
            false => "No longer ordered",
        };
        let key = order.collector.fingerprint();
        let mut lines = Vec::from([
            format!("{word}: {asks}."),
            format!(
                "Signed with the key of a collector, {key}, words: {}, as of {} by its clock.",
                key.phrase(),
                utc(order.issued_ms)
            ),
        ]);
        if !order.reason.is_empty() {
            lines.push(format!("The reason given: {}", Visible(&order.reason)));
        }
        if !order.logs.is_empty() || !order.charters.is_empty() {
            lines.push(format!(
                "It names how far {} records and which {} versions of a charter had come: a copy of them held elsewhere is told by their hashes.",
                order.logs.len(),
                order.charters.len()
            ));
        }
        lines.push(
            "It is about what that collector keeps and shows, and proves nothing about a game."
                .into(),
        );
        lines
    }
}
