//! Logs that come back from where they were kept.
//!
//! Every entry names the hash of the one before it, its signature included. So
//! one good signature commits the author to all entries before it under that
//! key, and a log of which every signature was checked before it was kept needs
//! few checks when it is read again: the last entry, and the last one under
//! each earlier key, because it says whose signatures follow. Whatever was
//! changed, cut out or put in since breaks a hash or one of these signatures;
//! the end cut off leaves a log that ends sooner, as it does with every check.
//!
//! What comes from anyone else is never read so: an author could have signed
//! for an entry before it whose own signature is bad, and every verifier
//! refuses that ([`Chain::push_bytes`](super::Chain::push_bytes)).

use alloc::vec::Vec;

use super::body::Body;
use super::chain::{Chain, ChainError};
use super::entry::Entry;
use super::signed::Unverified;
use super::{AuthorLog, LogName, LogSet};

impl Chain {
    /// Takes back a whole log that was verified before it was kept, from the
    /// bytes of its entries in order.
    ///
    /// # Errors
    /// When it is not as it was: take it as a stranger's then, entry by entry.
    pub fn reopen<'a>(entries: impl IntoIterator<Item = &'a [u8]>) -> Result<Self, ChainError> {
        let parsed = entries.into_iter().map(Entry::<Unverified>::parse);
        let parsed: Vec<Entry<Unverified>> = parsed.collect::<Result<_, _>>()?;
        let last = parsed.len().saturating_sub(1);
        let mut chain: Option<Self> = None;
        for (at, entry) in parsed.into_iter().enumerate() {
            let key = match &chain {
                Some(chain) => *chain.key(),
                None => *entry.opening_key().ok_or(ChainError::NotAnOpening)?,
            };
            let covers = at == last || matches!(entry.body(), Body::KeyChange(_));
            let entry = match covers {
                true => entry.verify(&key)?,
                false => entry.covered_by_a_later_one(&key)?,
            };
            match &mut chain {
                // Order, links and keys are checked as ever.
                Some(chain) => {
                    chain.push(entry)?;
                }
                None => chain = Some(Self::open(entry)?),
            }
        }
        chain.ok_or(ChainError::NotAnOpening)
    }
}

impl AuthorLog {
    /// Takes back a whole log that was verified before it was kept, as
    /// [`Chain::reopen`] does. `None` when it is not as it was, is another log,
    /// or has more than one line: its entries are to be judged one by one then.
    pub fn take_back<'a>(
        name: LogName,
        entries: impl IntoIterator<Item = &'a [u8]>,
    ) -> Option<Self> {
        let log = Self::of(Chain::reopen(entries).ok()?);
        (log.name() == name).then_some(log)
    }
}

impl LogSet {
    /// Takes back a log that was verified before it was kept, as
    /// [`Chain::reopen`] does. `None` when it is not as it was, or there is
    /// already something of it here: nothing has changed then, and
    /// [`LogSet::take`] judges its entries one by one.
    pub fn take_back<'a>(
        &mut self,
        entries: impl IntoIterator<Item = &'a [u8]>,
    ) -> Option<LogName> {
        let log = AuthorLog::of(Chain::reopen(entries).ok()?);
        let name = log.name();
        if self.log(name).is_some() || self.logs().count() >= Self::LOGS_LIMIT {
            return None;
        }
        self.put(log);
        Some(name)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use proptest::prelude::*;

    use super::super::*;
    use alloc::vec::Vec;

    fn bytes(chain: &Chain) -> Vec<Vec<u8>> {
        let entries = chain.entries().iter();
        entries.map(|e| e.bytes().to_vec()).collect()
    }

    fn reopen(entries: &[Vec<u8>]) -> Result<Chain, ChainError> {
        Chain::reopen(entries.iter().map(Vec::as_slice))
    }

    /// A game with a change of key in the middle of it.
    fn two_keys() -> GameRecord {
        let (a, b) = (sample::secret(1), sample::secret(2));
        let mut r = sample::record(1, &a);
        let remark = |text: &str| {
            let text = text.into();
            Body::Event(Event::Notice(crate::game::Notice::Remark { text }))
        };
        sample::add(&mut r, &a, remark("one"));
        let change = r.chain().key_change(&b, "Another phone.".into());
        sample::add(&mut r, &a, Body::KeyChange(change));
        sample::add(&mut r, &b, remark("two"));
        sample::add(&mut r, &b, remark("three"));
        r
    }

    #[test]
    fn a_log_comes_back_as_it_was() {
        for record in [two_keys(), sample::short_game(1, &sample::secret(1))] {
            let kept = bytes(record.chain());
            for count in 1..=kept.len() {
                let again = reopen(&kept[..count]).unwrap();
                assert_eq!(bytes(&again), kept[..count]);
            }
            assert_eq!(
                reopen(&kept).unwrap().entries(),
                record.chain().entries(),
                "each with the key that signed it"
            );
        }
        assert_eq!(reopen(&[]).unwrap_err(), ChainError::NotAnOpening);
    }

    #[test]
    fn another_may_not_hand_a_log_over_to_his_own_key() {
        let (a, thief) = (sample::secret(1), sample::secret(9));
        let r = sample::short_game(1, &a);
        let mut kept = bytes(r.chain());
        kept.truncate(3);
        let mut chain = reopen(&kept).unwrap();
        // A change to the thief's key that the author never signed, and a last
        // entry that the thief signs well.
        let change = Body::KeyChange(chain.key_change(&thief, "Mine.".into()));
        let good = chain.draft(change, 1).unwrap().sign(&a).unwrap();
        let mut forged = good.bytes().to_vec();
        let end = forged.len() - 1;
        forged[end] ^= 1;
        chain.push(good).unwrap();
        let remark = Body::Event(Event::Notice(crate::game::Notice::Remark {
            text: "Signed by the thief.".into(),
        }));
        let payload = Payload {
            previous: Some(Hash::of(&forged)),
            ..chain.draft(remark, 2).unwrap().content().clone()
        };
        let last = Unsigned::new(payload, thief.public()).unwrap();
        kept.push(forged);
        kept.push(last.sign(&thief).unwrap().bytes().to_vec());
        assert_eq!(reopen(&kept).unwrap_err().name(), "bad-signature");
    }

    #[test]
    fn a_log_comes_back_under_its_own_name_only() {
        let record = sample::short_game(1, &sample::secret(1));
        let kept = bytes(record.chain());
        let back = |name| AuthorLog::take_back(name, kept.iter().map(Vec::as_slice));
        let name = record.chain().name();
        assert_eq!(back(name).unwrap().head(), Some(record.chain().head()));
        let author = sample::secret(2).public().fingerprint();
        assert!(back(LogName { author, ..name }).is_none());
        let game = GameId([7; 32]);
        assert!(back(LogName { game, ..name }).is_none());
    }

    #[test]
    fn taken_back_it_is_what_a_stranger_would_make_of_it() {
        let key = sample::secret(1);
        let record = sample::short_game(1, &key);
        let kept = bytes(record.chain());
        let (mut back, mut strange) = (LogSet::new(), LogSet::new());
        let name = back.take_back(kept.iter().map(Vec::as_slice)).unwrap();
        strange.take(&kept.concat());
        assert_eq!(
            back.log(name).unwrap().head(),
            strange.log(name).unwrap().head()
        );
        // What else is kept of it is judged with it.
        let other = sample::record(1, &key);
        let other = other
            .draft(
                Body::Event(Event::Notice(crate::game::Notice::Remark {
                    text: "Another line.".into(),
                })),
                5,
            )
            .unwrap()
            .sign(&key)
            .unwrap();
        let taken = back.take(other.bytes());
        assert_eq!((taken.fresh.len(), taken.faults.len()), (1, 0));
        assert_eq!(back.log(name).unwrap().forked_at(), Some(1));
        assert_eq!(
            back.take_back(kept.iter().map(Vec::as_slice)),
            None,
            "it is here"
        );
    }

    proptest! {
        /// Whatever is done to a kept log, what comes back is a beginning of
        /// what the author signed, or nothing.
        #[test]
        fn no_change_passes(
            at in any::<prop::sample::Index>(),
            byte in any::<prop::sample::Index>(),
            with in 1u8..,
            how in 0..4,
        ) {
            for record in [two_keys(), sample::short_game(1, &sample::secret(1))] {
                let mut kept = bytes(record.chain());
                let whole = kept.clone();
                let at = at.index(kept.len());
                match how {
                    0 => { let b = byte.index(kept[at].len()); kept[at][b] ^= with; }
                    1 => { kept.remove(at); }
                    2 => { let one = kept[byte.index(kept.len())].clone(); kept.insert(at, one); }
                    _ => { let b = byte.index(kept[at].len()); kept[at].truncate(b); }
                }
                if let Ok(chain) = reopen(&kept) {
                    let again = bytes(&chain);
                    // The same entry twice in a row changes nothing.
                    prop_assert!(whole.starts_with(&again), "{at} {how}");
                }
            }
        }
    }
}
