//! Logs of many games and authors, put together from files that come in any
//! order and in any state: whole, in parts, twice, damaged, or two lines of one
//! log.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::vec::Vec;

use super::chain::{ChainError, PushOutcome};
use super::cose;
use super::entry::{Entry, Payload};
use super::file::{Damage, FileError};
use super::receipt::Item;
use super::signed::{Unverified, Verified};
use super::{AuthorLog, Fingerprint, GameId, LogName, SignedReceipt, StagedEntries};

/// What a set of logs holds: every log by its name.
#[derive(Clone, Debug, Default)]
pub struct LogSet {
    logs: BTreeMap<LogName, AuthorLog>,
}

/// An entry that was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where it stands in the file, and what is wrong with it.
    pub damage: Damage,
    /// The game it says it is of; where that cannot be read, the game of the
    /// entry before it.
    pub game: Option<GameId>,
    /// Its number in its author's log, where it can be read.
    pub seq: Option<u64>,
}

impl Fault {
    /// Whether it may fit once more has come: only what goes before it is
    /// missing.
    #[must_use]
    pub const fn waits(&self) -> bool {
        matches!(
            self.damage.error,
            FileError::NoOpening | FileError::Chain(ChainError::Gap { .. })
        )
    }
}

/// What a file brought.
#[derive(Clone, Debug, Default)]
pub struct AddedEntries {
    /// New entries, in the order of the file.
    pub fresh: Vec<(LogName, Entry<Verified>)>,
    /// Receipts of collectors, of whatever logs.
    pub receipts: Vec<SignedReceipt>,
    /// Entries that were here before.
    pub known: usize,
    /// Entries that were not taken: the first of each log, in the order of the
    /// file.
    pub faults: Vec<Fault>,
    /// How many were not taken.
    pub refused: usize,
}

impl LogSet {
    /// Most logs held.
    pub const LOGS_LIMIT: usize = 8192;

    /// Nothing yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Every log, by game.
    pub fn logs(&self) -> impl Iterator<Item = &AuthorLog> {
        self.logs.values()
    }

    /// A log.
    #[must_use]
    pub fn log(&self, name: LogName) -> Option<&AuthorLog> {
        self.logs.get(&name)
    }

    /// The logs of one game.
    pub fn of_game(&self, game: GameId) -> impl Iterator<Item = &AuthorLog> {
        let at = |author| LogName { game, author };
        let (first, last) = (Fingerprint([0; 16]), Fingerprint([255; 16]));
        self.logs.range(at(first)..=at(last)).map(|(_, log)| log)
    }

    /// Puts in a log of which nothing is here.
    pub(super) fn put(&mut self, log: AuthorLog) {
        self.logs.insert(log.name(), log);
    }

    /// Takes every entry of a file that is good and has its place, each with
    /// its signature checked. One that is damaged costs itself and what follows
    /// from it, never another log.
    pub fn take(&mut self, bytes: &[u8]) -> AddedEntries {
        let mut gathered = AddedEntries::default();
        let mut said: Vec<Option<(GameId, Fingerprint)>> = Vec::new();
        let mut refuse = |gathered: &mut AddedEntries, fault: Fault, log| {
            gathered.refused += 1;
            if !said.contains(&log) {
                said.push(log);
                gathered.faults.push(fault);
            }
        };
        if bytes.is_empty() {
            let damage = Damage {
                entry: 1,
                offset: 0,
                error: FileError::Empty,
            };
            let (game, seq) = (None, None);
            let fault = Fault { damage, game, seq };
            refuse(&mut gathered, fault, None);
        }
        let mut rest = bytes;
        let mut count = 0;
        let mut last = None;
        let mut changed = BTreeSet::new();
        while !rest.is_empty() {
            count += 1;
            let offset = bytes.len() - rest.len();
            let fault = |game, seq, error| {
                let entry = count;
                let damage = Damage {
                    entry,
                    offset,
                    error,
                };
                Fault { damage, game, seq }
            };
            let item = match cose::item_end(rest) {
                Ok(length) => {
                    let (item, later) = rest.split_at(length);
                    rest = later;
                    item
                }
                Err(error) => {
                    // Where the next one begins cannot be known.
                    refuse(&mut gathered, fault(last, None, error.into()), None);
                    break;
                }
            };
            let entry = match Item::parse(item) {
                Ok(Item::Entry(entry)) => entry,
                Ok(Item::Receipt(receipt)) => {
                    gathered.receipts.push(receipt);
                    continue;
                }
                Err(error) => {
                    refuse(&mut gathered, fault(last, None, error.into()), None);
                    continue;
                }
            };
            let (game, kid, seq) = (entry.payload().game, entry.kid(), entry.payload().seq);
            last = Some(game);
            let judged = self.name_of(&entry).and_then(|name| {
                let new = || AuthorLog::new(name);
                let log = self.logs.entry(name).or_insert_with(new);
                let mut staged = StagedEntries::default();
                let pushed = log.stage(&mut staged, item).map_err(FileError::Chain)?;
                let fresh = staged.fresh().first().cloned();
                // Which line is shown is decided once for the file.
                log.add_unsettled(staged);
                changed.insert(name);
                Ok((name, pushed, fresh))
            });
            match judged {
                Ok((name, PushOutcome::Added, Some(fresh))) => gathered.fresh.push((name, fresh)),
                Ok(_) => gathered.known += 1,
                Err(error) => {
                    let fault = fault(Some(game), Some(seq), error);
                    refuse(&mut gathered, fault, Some((game, kid)));
                }
            }
        }
        for name in changed {
            if let Some(log) = self.logs.get_mut(&name) {
                log.settle();
            }
        }
        // A log of which nothing was good is none.
        self.logs.retain(|_, log| log.shown().is_some());
        gathered
    }

    /// The log that an entry belongs to: an opening to the one of its own
    /// author, any other to the one that holds the entry before it. No key that
    /// somebody names leads an entry elsewhere.
    fn name_of(&self, entry: &Entry<Unverified>) -> Result<LogName, FileError> {
        let Payload {
            game,
            seq,
            previous,
            ..
        } = *entry.payload();
        if let Some(key) = entry.opening_key() {
            let author = key.fingerprint();
            let name = LogName { game, author };
            let full = self.logs.len() >= Self::LOGS_LIMIT && self.log(name).is_none();
            return if full {
                Err(FileError::TooManyLogs)
            } else {
                Ok(name)
            };
        }
        let before = seq.checked_sub(1).zip(previous);
        let holds = |log: &&AuthorLog| before.is_some_and(|(seq, hash)| log.holds(seq, hash));
        let mut of_game = self.of_game(game);
        if let Some(log) = of_game.find(holds) {
            return Ok(log.name());
        }
        // Only so that it is said what is missing: it has no place in any log.
        let author = entry.kid();
        let opened = self.log(LogName { game, author });
        let signs = || self.of_game(game).find(|log| log.has_key(author));
        let log = opened.or_else(signs);
        log.map(AuthorLog::name).ok_or(FileError::NoOpening)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use alloc::string::ToString;

    use super::super::{Body, Chain, Event, GameRecord, LogFile, sample};
    use super::*;
    use crate::game::Notice;
    use proptest::prelude::*;

    fn state(logs: &LogSet) -> Vec<(LogName, Option<super::super::Hash>, Option<u64>)> {
        let logs = logs.logs();
        logs.map(|l| (l.name(), l.head(), l.forked_at())).collect()
    }

    fn games() -> [GameRecord; 3] {
        let (a, b) = (sample::secret(1), sample::secret(2));
        [
            sample::short_game(1, &a),
            sample::short_game(1, &b),
            sample::short_game(2, &a),
        ]
    }

    #[test]
    fn files_of_many_games_are_put_together_and_again_changes_nothing() {
        let games = games();
        let file = LogFile::write(games.iter().map(GameRecord::chain));
        let mut all = LogSet::new();
        let first = all.take(&file);
        assert!(first.faults.is_empty());
        assert_eq!(all.logs().count(), 3);
        assert_eq!(all.of_game(games[0].chain().game()).count(), 2);
        let again = all.take(&file);
        assert_eq!((again.fresh.len(), again.known), (0, first.fresh.len()));
        assert_eq!(again.refused, 0);
    }

    #[test]
    fn a_damaged_entry_costs_its_own_log_and_no_other_and_is_named() {
        let games = games();
        let mut parts = sample::items(&games[0]);
        let last = parts[3].len() - 1;
        parts[3][last] ^= 1;
        let file: Vec<u8> = parts
            .concat()
            .into_iter()
            .chain(games[2].chain().to_bytes())
            .collect();
        let mut all = LogSet::new();
        let taken = all.take(&file);
        assert_eq!(
            taken.faults.len(),
            1,
            "what follows from it is not said again"
        );
        assert_eq!(
            (taken.faults[0].damage.entry, taken.faults[0].seq),
            (4, Some(3))
        );
        assert_eq!(taken.refused, parts.len() - 3);
        let whole = games[2].chain();
        assert_eq!(taken.fresh.len(), 3 + whole.entries().len());
        assert!(all.logs().any(|l| l.head() == Some(whole.head())));
        assert!(
            taken.faults[0]
                .damage
                .to_string()
                .starts_with("Entry 4 of the file: ")
        );
        assert!(!taken.faults[0].waits());
        // Cut in the middle of an entry.
        let cut = all.take(&file[..file.len() - 5]);
        assert_eq!(cut.faults.last().unwrap().damage.error.name(), "cut-short");
        assert_eq!(
            LogSet::new().take(&[]).faults[0].damage.error,
            FileError::Empty
        );
    }

    #[test]
    fn the_end_before_its_beginning_waits_for_it() {
        let games = games();
        let parts = sample::items(&games[0]);
        let (first, last) = (parts[..4].concat(), parts[4..].concat());
        let mut all = LogSet::new();
        let early = all.take(&last);
        assert_eq!((early.fresh.len(), early.faults.len()), (0, 1));
        assert!(early.faults[0].waits());
        assert_eq!(all.logs().count(), 0);
        all.take(&first);
        assert!(all.take(&last).faults.is_empty());
        assert_eq!(all.logs().next().unwrap().head(), Some(games[0].head()));
    }

    /// Two lines from one point: a phone that was set back.
    fn forked() -> [GameRecord; 2] {
        let key = sample::secret(1);
        let line = |text: &str, more: usize| {
            let mut r = sample::record(1, &key);
            sample::play(&mut r, &key, sample::safe(crate::play::Goal::First));
            for _ in 0..more {
                let text = text.into();
                sample::add(
                    &mut r,
                    &key,
                    Body::Event(Event::Notice(Notice::Remark { text })),
                );
            }
            r
        };
        [line("one", 3), line("other", 2)]
    }

    /// Logs of one game, some of which go on with a key that opened another:
    /// their holder signed for it, as whoever holds both keys can.
    fn claims() -> Vec<GameRecord> {
        let key = sample::secret;
        let short = |n| sample::short_game(1, &key(n));
        let change = |n: u8, to: u8| {
            let mut r = sample::record(1, &key(n));
            sample::play(&mut r, &key(n), sample::safe(crate::play::Goal::First));
            let next = r.chain().key_change(&key(to), "Another phone.".into());
            sample::add(&mut r, &key(n), Body::KeyChange(next));
            sample::play(&mut r, &key(to), sample::safe(crate::play::Goal::Second));
            r
        };
        Vec::from([
            short(1),
            short(2),
            change(3, 1),
            change(4, 2),
            change(5, 1),
            change(6, 4),
        ])
    }

    #[test]
    fn a_key_claimed_without_its_holder_costs_its_holder_nothing() {
        let (umpire, stranger) = (sample::secret(1), sample::secret(9));
        let honest = sample::short_game(1, &umpire);
        let opened = sample::record(1, &stranger);
        let claim = super::super::KeyChange {
            key: umpire.public(),
            reason: "Mine now.".into(),
            proof: super::super::Signature([7; 64]),
        };
        let claim = opened.draft(Body::KeyChange(claim), 5).unwrap();
        let claim = claim.sign(&stranger).unwrap();
        let claimed = [sample::items(&opened).concat(), claim.bytes().to_vec()].concat();
        let honest_bytes = honest.chain().to_bytes();
        let mut all = LogSet::new();
        assert_eq!(
            all.take(&claimed).faults[0].damage.error.name(),
            "unproven-key"
        );
        assert!(all.take(&honest_bytes).faults.is_empty());
        assert_eq!(
            all.logs()
                .filter(|l| l.head() == Some(honest.head()))
                .count(),
            1
        );
        let read = LogFile::read(&[sample::items(&opened).concat(), honest_bytes].concat());
        assert_eq!((read.damage, read.chains.len()), (None, 2));
    }

    proptest! {
        #[test]
        fn the_order_of_files_is_no_reason(order in Just((0..5usize).collect::<Vec<_>>()).prop_shuffle()) {
            let (games, lines) = (games(), forked());
            let files: Vec<Vec<u8>> = [&lines[0], &lines[1], &games[1], &games[2], &lines[1]]
                .map(|r| r.chain().to_bytes())
                .to_vec();
            let put = |order: &[usize]| {
                let mut all = LogSet::new();
                for at in order { all.take(&files[*at]); }
                state(&all)
            };
            let now = put(&order);
            prop_assert_eq!(&now, &put(&[0, 1, 2, 3, 4]));
            let fork = now.iter().find(|(_, head, _)| *head == Some(lines[0].head()));
            prop_assert_eq!(fork.and_then(|f| f.2), Some(2), "signed twice from entry 2 on");
        }

        /// Nobody's claim on a key, nor which of any set of logs comes first,
        /// changes what is made of them.
        #[test]
        fn the_order_of_logs_is_no_reason(order in Just((0..6usize).collect::<Vec<_>>()).prop_shuffle()) {
            let logs = claims();
            let whole: usize = logs.iter().map(|r| r.chain().entries().len()).sum();
            let file = LogFile::write(order.iter().map(|at| logs[*at].chain()));
            let read = LogFile::read(&file);
            prop_assert_eq!(&read.damage, &None);
            prop_assert_eq!((read.entries, read.chains.len()), (whole, logs.len()));
            let mut heads: Vec<_> = read.chains.iter().map(Chain::head).collect();
            let mut wanted: Vec<_> = logs.iter().map(GameRecord::head).collect();
            heads.sort_unstable();
            wanted.sort_unstable();
            prop_assert_eq!(&heads, &wanted);
            // Entry by entry, the logs in turns.
            let parts: Vec<_> = order.iter().map(|at| sample::items(&logs[*at])).collect();
            let longest = parts.iter().map(Vec::len).max().unwrap();
            let turns = (0..longest).flat_map(|n| parts.iter().filter_map(move |p| p.get(n)));
            let mixed: Vec<u8> = turns.flatten().copied().collect();
            prop_assert_eq!(&LogFile::read(&mixed).damage, &None);
            for bytes in [&file, &mixed] {
                let mut all = LogSet::new();
                let taken = all.take(bytes);
                prop_assert_eq!((taken.fresh.len(), taken.refused), (whole, 0));
                let mut heads: Vec<_> = all.logs().filter_map(AuthorLog::head).collect();
                heads.sort_unstable();
                prop_assert_eq!(&heads, &wanted);
            }
        }

        #[test]
        fn any_bytes_are_taken_or_named(at in 0usize..4000, with in any::<u8>()) {
            let games = games();
            let mut file = LogFile::write(games.iter().map(GameRecord::chain));
            let at = at % file.len();
            let same = file[at] == with;
            file[at] = with;
            let taken = LogSet::new().take(&file);
            prop_assert!(same || taken.refused > 0);
        }
    }
}
