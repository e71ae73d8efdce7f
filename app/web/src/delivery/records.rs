//! The records that are delivered, as they lie in storage. Their signatures
//! are not checked here: they were when they were kept, and whoever receives
//! them checks each again.

use std::collections::BTreeMap;
use std::ops::Range;

use engine::log::sync::Shelf;
use engine::log::{Body, Entry, Fingerprint, GameId, Hash, LogName, Role};

use crate::store::{FoundOf, Listed, Store, Trouble};

/// The entries of every record that is delivered, in order.
#[derive(Default)]
pub struct Records(BTreeMap<LogName, Vec<Vec<u8>>>);

impl Records {
    /// Reads the records of every game, or of one.
    ///
    /// # Errors
    /// When the browser cannot read; what was known stays.
    pub async fn of(store: &Store, game: Option<&str>) -> Result<Self, Trouble> {
        let mut all = Self::default();
        let games = store.games().await?.into_iter();
        // Made-up games stay on the phone.
        for listed in games.filter(|g| !g.demo && game.is_none_or(|wanted| wanted == g.game)) {
            all.add(&listed, store.all_of(&listed.game).await?);
        }
        Ok(all)
    }

    fn add(&mut self, listed: &Listed, found: BTreeMap<String, FoundOf>) {
        for (author, of) in found {
            let Some(name) = name(&listed.game, &author) else {
                continue;
            };
            // What comes after a gap cannot be joined on.
            let whole = (0..).zip(of.entries).take_while(|(at, (seq, _))| at == seq);
            let entries: Vec<_> = whole.map(|(_, (_, bytes))| bytes).collect();
            if author == listed.author || !is_of_desk(&entries) {
                self.0.insert(name, entries);
            }
        }
    }

    /// Takes over what was read anew.
    pub fn renew(&mut self, newer: Self) {
        self.0.extend(newer.0);
    }

    /// Whether there is nothing to deliver.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Each record with the number of its entries.
    pub fn all(&self) -> Vec<(LogName, u64)> {
        let count = |(name, entries): (&LogName, &Vec<_>)| (*name, entries.len() as u64);
        self.0.iter().map(count).collect()
    }

    /// Some entries of a record, one after another.
    pub fn bytes(&self, log: LogName, entries: Range<u64>) -> Option<Vec<u8>> {
        let each = entries.map(|seq| self.at(log, seq));
        Some(each.collect::<Option<Vec<_>>>()?.concat())
    }

    fn at(&self, log: LogName, seq: u64) -> Option<&[u8]> {
        let entries = self.0.get(&log)?;
        entries.get(usize::try_from(seq).ok()?).map(Vec::as_slice)
    }
}

impl Shelf for Records {
    fn length(&self, log: LogName, seq: u64) -> Option<usize> {
        self.at(log, seq).map(<[u8]>::len)
    }
    fn hash(&self, log: LogName, seq: u64) -> Option<Hash> {
        self.at(log, seq).map(Hash::of)
    }
}

/// An organiser's decisions are no further record of the game; the desk sends
/// them itself.
fn is_of_desk(entries: &[Vec<u8>]) -> bool {
    let mut entries = entries.iter().filter_map(|bytes| Entry::parse(bytes).ok());
    let by_organiser = entries.next().is_some_and(
        |first| matches!(first.body(), Body::Opening(o) if o.author.role == Role::Organiser),
    );
    by_organiser && !entries.any(|entry| matches!(entry.body(), Body::Event(_)))
}

fn name(game: &str, author: &str) -> Option<LogName> {
    Some(LogName {
        game: GameId(bytes(game)?),
        author: Fingerprint(bytes(author)?),
    })
}

fn bytes<const N: usize>(hex: &str) -> Option<[u8; N]> {
    let mut read = [0; N];
    if hex.len() != 2 * N || !hex.bytes().all(|digit| digit.is_ascii_hexdigit()) {
        return None;
    }
    for (at, byte) in read.iter_mut().enumerate() {
        *byte = u8::from_str_radix(hex.get(2 * at..2 * at + 2)?, 16).ok()?;
    }
    Some(read)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::demo;

    /// A game as it lies in storage: this phone's record and another one.
    fn kept() -> (Listed, BTreeMap<String, FoundOf>, Vec<Vec<u8>>) {
        let key = crate::keys::OfficialKey::from_seed(&[7; 32]);
        let record = demo::at_once(demo::records(&key, 0)).unwrap().remove(0);
        let chain = record.chain();
        let listed = Listed {
            game: chain.game().to_string(),
            author: chain.author().fingerprint().to_string(),
            demo: false,
            begun: 0,
        };
        let entries: Vec<_> = chain.entries().iter().map(|e| e.bytes().to_vec()).collect();
        let of = FoundOf {
            entries: (0..).zip(entries.clone()).collect(),
            against: vec![entries[1].clone()],
        };
        let found = [(listed.author.clone(), of)].into();
        (listed, found, entries)
    }

    #[test]
    fn lengths_and_hashes_are_those_of_the_entries() {
        let (listed, found, entries) = kept();
        let mut records = Records::default();
        records.add(&listed, found);
        let [(log, count)] = records.all()[..] else {
            unreachable!("one record")
        };
        assert_eq!(
            log.path(),
            format!("/api/logs/{}/{}", listed.game, listed.author)
        );
        assert_eq!(count, entries.len() as u64);
        for (seq, bytes) in (0..).zip(&entries) {
            assert_eq!(records.length(log, seq), Some(bytes.len()));
            let hash = Entry::parse(bytes).unwrap();
            let next = entries
                .get(seq as usize + 1)
                .map(|b| Entry::parse(b).unwrap());
            // The link of the next entry is the hash of this one.
            if let Some(next) = next {
                assert_eq!(records.hash(log, seq), next.payload().previous);
            }
            assert_eq!(hash.payload().seq, seq);
        }
        assert_eq!(records.length(log, count), None);
        assert_eq!(
            records.bytes(log, 2..4).unwrap(),
            [entries[2].clone(), entries[3].clone()].concat()
        );
        assert_eq!(records.bytes(log, 2..count + 1), None);
    }

    #[test]
    fn what_comes_after_a_gap_waits() {
        let (listed, mut found, _) = kept();
        for of in found.values_mut() {
            of.entries.remove(&5);
        }
        let mut records = Records::default();
        records.add(&listed, found);
        assert_eq!(records.all()[0].1, 5);
    }

    #[test]
    fn a_strange_name_is_no_record() {
        let (mut listed, found, _) = kept();
        for game in ["", "zz", "é", &"+1".repeat(32)] {
            listed.game = game.into();
            let mut records = Records::default();
            records.add(&listed, found.clone());
            assert!(records.is_empty(), "{game}");
        }
    }
}
