//! Every log that is here, verified, and the rows that keep them.

use std::collections::BTreeMap;
use std::sync::Arc;

use engine::log::{
    AuthorLog, Chain, Entry, Fault, GameId, GameRecord, Hash, LogName, LogSet, Verified,
};
use engine::report::{GameReport, Judges, Reports};

use super::DeskLog;
use crate::store::{Foreign, FoundGame, KeptCharter};

/// Everything that the desk holds in memory: verified.
#[derive(Default)]
pub struct Books {
    pub logs: LogSet,
    /// What is kept under each number, the contradicting entries aside.
    pub first: BTreeMap<LogName, BTreeMap<u64, Hash>>,
    reports: Reports,
}

impl Books {
    /// Puts in what is kept of a game. Every signature of it was checked
    /// before it was kept; what is not as it was is judged anew, entry by
    /// entry, and what is wrong with it comes back. Gives the game too.
    pub fn put(&mut self, found: &FoundGame) -> (Option<GameId>, Vec<Fault>) {
        let (mut game, mut faults) = (None, Vec::new());
        for of in found.values() {
            let line = of.entries.values().map(Vec::as_slice);
            let mut fresh = Vec::new();
            match self.logs.take_back(line.clone()) {
                Some(name) => {
                    let shown = self.logs.log(name).and_then(AuthorLog::shown);
                    let entries = shown.map(Chain::entries).unwrap_or_default();
                    fresh.extend(entries.iter().map(|e| (name, e.payload().seq, e.hash())));
                }
                None if !of.entries.is_empty() => {
                    let gathered = self.logs.take(&line.collect::<Vec<_>>().concat());
                    let kept = |e: &Entry<_>| {
                        let kept = of.entries.get(&e.payload().seq);
                        kept.is_some_and(|kept| kept == e.bytes())
                    };
                    let good = gathered.fresh.iter().filter(|(_, e)| kept(e));
                    fresh.extend(good.map(|(name, e)| (*name, e.payload().seq, e.hash())));
                    faults.extend(gathered.faults);
                }
                None => {}
            }
            for (name, seq, hash) in fresh {
                game = Some(name.game);
                self.first.entry(name).or_default().insert(seq, hash);
            }
            if !of.against.is_empty() {
                faults.extend(self.logs.take(&of.against.concat()).faults);
            }
        }
        (game, faults)
    }

    /// The rows that keep new entries; none takes another's place.
    pub fn rows(
        &mut self,
        fresh: &[(LogName, Entry<Verified>)],
        own: impl Fn(&LogName) -> bool,
    ) -> BTreeMap<GameId, Vec<Foreign>> {
        let mut rows: BTreeMap<GameId, Vec<Foreign>> = BTreeMap::new();
        for (name, entry) in fresh {
            let author = name.author.to_string();
            let line = self.first.entry(*name).or_default();
            let payload = entry.payload();
            let before = payload.seq.checked_sub(1).map(|at| line.get(&at).copied());
            let follows = before.is_none_or(|b| b.is_some() && b == payload.previous);
            // What this phone never recorded is never put into its own log.
            let fits = follows && !line.contains_key(&payload.seq) && !own(name);
            rows.entry(name.game).or_default().push(if fits {
                line.insert(payload.seq, entry.hash());
                Foreign::entry(&author, entry)
            } else {
                Foreign::contradiction(&author, entry)
            });
        }
        rows
    }

    /// How a game stands.
    pub fn report(
        &mut self,
        game: GameId,
        charters: &[KeptCharter],
        judges: Judges<'_>,
    ) -> Option<Arc<GameReport>> {
        let logs: Vec<&AuthorLog> = self.logs.of_game(game).collect();
        let version = |hash| charters.iter().find_map(|c| c.version(&hash));
        self.reports.of_game(game, &logs, judges, version)
    }

    /// The logs of a game. A setup that gives no game is none: its log is kept
    /// all the same.
    pub fn logs_of(&self, game: GameId) -> Vec<DeskLog> {
        let logs = self.logs.of_game(game);
        let log = logs.filter_map(|log| {
            Some(DeskLog {
                name: log.name(),
                record: GameRecord::replay(log.shown()?.clone()).ok()?,
                aside: log.aside().cloned().collect(),
            })
        });
        log.collect()
    }
}
