//! The records and charters that are delivered, as they lie in storage. Their signatures
//! are not checked here: they were when they were kept, and whoever receives
//! them checks each again.

use engine::message::pairing;
use engine::team::BySide;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use engine::charter::SignedCharter;
use engine::log::{Body, Entry, Hash, LogName, Role, Verified};
use engine::sync::{Parcel, Shelf};

use super::collectors::by;
use super::status::{self, FromDesk, Held, HeldCharter};
use crate::store::{FoundGame, Row, Store, Trouble};

/// A record as it is delivered.
#[derive(Default)]
struct Record {
    /// Its entries in order.
    line: Vec<Vec<u8>>,
    /// Entries that its author signed beside the line, by number: proof.
    beside: Vec<Vec<u8>>,
    /// What it is, where it is of the desk alone.
    desk: Option<OfDesk>,
    /// The event, where it is a charter.
    event: Option<String>,
}

/// A log of which only the desk tells.
struct OfDesk {
    teams: String,
    by: String,
    decides: bool,
}

/// Everything that is delivered.
#[derive(Default)]
pub struct Records(BTreeMap<Parcel, Record>);

impl Records {
    /// Reads the records of every game, or of one: those of the games that this
    /// phone keeps, what organisers decided, and logs that were signed twice.
    ///
    /// # Errors
    /// When the browser cannot read; what was known stays.
    pub async fn of(store: &Store, game: Option<&str>) -> Result<Self, Trouble> {
        let mut all = Self::default();
        if game.is_none() {
            all.add_charters(store).await?;
        }
        let listed = store.games().await?;
        let wanted = |name: &str| game.is_none_or(|wanted| wanted == name);
        // Made-up games stay on the phone.
        for listed in listed.iter().filter(|g| !g.demo && wanted(&g.game)) {
            let found = store.all_of(&listed.game).await?;
            // Decisions of an organiser beside this phone's own record.
            let desk = |author: &str, line: &[Vec<u8>]| {
                let other = author != listed.author;
                of_desk(line).filter(|of| other && of.decides)
            };
            all.add(&listed.game, found, |_| true, desk);
        }
        let mut desk: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for row in store.logs(game).await? {
            let here = listed.iter().any(|l| l.game == row.game);
            if !here && (row.contradicts() || is_of_organiser(store, &row).await?) {
                let authors = desk.entry(row.game.clone()).or_default();
                authors.insert(row.author().to_string());
            }
        }
        for (game, authors) in desk {
            let found = store.all_of(&game).await?;
            let wanted = |author: &str| authors.contains(author);
            all.add(&game, found, wanted, |_, line| of_desk(line));
        }
        Ok(all)
    }

    /// Adds the charters of which the first version is here: by that an event
    /// is named.
    async fn add_charters(&mut self, store: &Store) -> Result<(), Trouble> {
        for kept in store.charters().await? {
            let history = kept.history();
            let first = history.first();
            // What is made up stays on the phone.
            if first.charter().version != 1 || kept.is_practice() {
                continue;
            }
            let bytes = |all: &[SignedCharter<Verified>]| -> Vec<Vec<u8>> {
                all.iter().map(|c| c.bytes().to_vec()).collect()
            };
            let record = Record {
                line: bytes(history.versions()),
                beside: bytes(history.beside()),
                desk: None,
                event: Some(history.in_force().charter().event.clone()),
            };
            self.0.insert(Parcel::Charter(first.hash()), record);
        }
        Ok(())
    }

    fn add(
        &mut self,
        game: &str,
        found: FoundGame,
        wanted: impl Fn(&str) -> bool,
        desk: impl Fn(&str, &[Vec<u8>]) -> Option<OfDesk>,
    ) {
        for (author, of) in found.into_iter().filter(|(author, _)| wanted(author)) {
            let Some(name) = name(game, &author) else {
                continue;
            };
            // What comes after a gap cannot be joined on.
            let whole = (0..).zip(of.entries).take_while(|(at, (seq, _))| at == seq);
            let line: Vec<_> = whole.map(|(_, (_, bytes))| bytes).collect();
            let mut beside: Vec<(u64, Vec<u8>)> = of
                .against
                .into_iter()
                .filter_map(|bytes| Some((Entry::parse(&bytes).ok()?.payload().seq, bytes)))
                .collect();
            beside.sort();
            let beside = beside.into_iter().map(|(_, bytes)| bytes).collect();
            let desk = desk(&author, &line);
            let record = Record {
                line,
                beside,
                desk,
                event: None,
            };
            self.0.insert(name.into(), record);
        }
    }

    /// Takes over what was read anew.
    pub fn renew(&mut self, newer: Self) {
        self.0.extend(newer.0);
    }

    /// What the desk alone tells of.
    pub fn of_desk(&self) -> Vec<FromDesk> {
        let one = |(name, record): (&Parcel, &Record)| {
            let of = record.desk.as_ref()?;
            Some(FromDesk {
                teams: of.teams.clone(),
                record: Held {
                    decides: of.decides,
                    key: status::key(*name),
                    stored: record.line.len() as u64,
                    beside: record.beside.len() as u64,
                    own: false,
                    by: of.by.clone(),
                },
            })
        };
        self.0.iter().filter_map(one).collect()
    }

    /// The charters among them.
    pub fn charters(&self) -> Vec<HeldCharter> {
        let one = |(name, record): (&Parcel, &Record)| {
            Some(HeldCharter {
                event: record.event.clone()?,
                versions: Held {
                    key: status::key(*name),
                    stored: record.line.len() as u64,
                    beside: record.beside.len() as u64,
                    decides: false,
                    own: false,
                    by: String::new(),
                },
            })
        };
        self.0.iter().filter_map(one).collect()
    }

    /// Whether there is nothing to deliver.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Each with the number of its pieces, and of those beside it.
    pub fn all(&self) -> Vec<(Parcel, u64, u64)> {
        let count = |(name, record): (&Parcel, &Record)| {
            (*name, record.line.len() as u64, record.beside.len() as u64)
        };
        self.0.iter().map(count).collect()
    }

    /// Some entries of a record, one after another.
    pub fn bytes(&self, log: Parcel, entries: Range<u64>) -> Option<Vec<u8>> {
        let each = entries.map(|seq| self.at(log, seq));
        Some(each.collect::<Option<Vec<_>>>()?.concat())
    }

    /// Some entries beside a record, one after another.
    pub fn bytes_beside(&self, log: Parcel, entries: Range<u64>) -> Option<Vec<u8>> {
        let each = entries.map(|at| self.beside(log, at));
        Some(each.collect::<Option<Vec<_>>>()?.concat())
    }

    fn at(&self, log: Parcel, seq: u64) -> Option<&[u8]> {
        let line = &self.0.get(&log)?.line;
        line.get(usize::try_from(seq).ok()?).map(Vec::as_slice)
    }

    fn beside(&self, log: Parcel, at: u64) -> Option<&[u8]> {
        let beside = &self.0.get(&log)?.beside;
        beside.get(usize::try_from(at).ok()?).map(Vec::as_slice)
    }
}

impl Shelf for Records {
    fn length(&self, log: Parcel, seq: u64) -> Option<usize> {
        self.at(log, seq).map(<[u8]>::len)
    }
    fn hash(&self, log: Parcel, seq: u64) -> Option<Hash> {
        self.at(log, seq).map(Hash::of)
    }
    fn length_beside(&self, log: Parcel, at: u64) -> Option<usize> {
        self.beside(log, at).map(<[u8]>::len)
    }
}

/// Whether an organiser keeps a log: decisions about the game.
async fn is_of_organiser(store: &Store, row: &Row) -> Result<bool, Trouble> {
    let first = store.opening_of(row).await?;
    let first = first.and_then(|bytes| Entry::parse(&bytes).ok());
    Ok(first.is_some_and(
        |first| matches!(first.body(), Body::Opening(o) if o.author.role == Role::Organiser),
    ))
}

/// What a log is to the desk: by its opening, and whether it is one of
/// decisions alone.
fn of_desk(line: &[Vec<u8>]) -> Option<OfDesk> {
    let mut entries = line.iter().filter_map(|bytes| Entry::parse(bytes).ok());
    let first = entries.next()?;
    let Body::Opening(opening) = first.body() else {
        return None;
    };
    let cards = &opening.setup.cards;
    let organiser = opening.author.role == Role::Organiser;
    Some(OfDesk {
        teams: pairing(&BySide::from_fn(|side| &cards[side].team)),
        by: by(&opening.author),
        decides: organiser && !entries.any(|entry| matches!(entry.body(), Body::Event(_))),
    })
}

fn name(game: &str, author: &str) -> Option<LogName> {
    Some(LogName {
        game: game.parse().ok()?,
        author: author.parse().ok()?,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::demo;
    use crate::store::{FoundOf, ListedGame};

    /// A game as it lies in storage: this phone's record and another one.
    fn kept() -> (ListedGame, BTreeMap<String, FoundOf>, Vec<Vec<u8>>) {
        let key = crate::keys::OfficialKey::from_seed(&[7; 32]);
        let record = demo::a_game(&key);
        let chain = record.chain();
        let listed = ListedGame {
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
        records.add(&listed.game, found, |_| true, |_, _| None);
        let [(log, count, beside)] = records.all()[..] else {
            unreachable!("one record")
        };
        assert_eq!(
            log.path(),
            format!("/api/logs/{}/{}", listed.game, listed.author)
        );
        assert_eq!((count, beside), (entries.len() as u64, 1));
        assert_eq!(records.length_beside(log, 0), Some(entries[1].len()));
        assert_eq!(records.bytes_beside(log, 0..1).as_ref(), Some(&entries[1]));
        assert_eq!(records.bytes_beside(log, 0..2), None);
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
        records.add(&listed.game, found, |_| true, |_, _| None);
        assert_eq!(records.all()[0].1, 5);
    }

    #[test]
    fn a_strange_name_is_no_record() {
        let (mut listed, found, _) = kept();
        for game in ["", "zz", "é", &"+1".repeat(32)] {
            listed.game = game.into();
            let mut records = Records::default();
            records.add(&listed.game, found.clone(), |_| true, |_, _| None);
            assert!(records.is_empty(), "{game}");
        }
    }
}
