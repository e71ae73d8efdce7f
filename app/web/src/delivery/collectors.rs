//! How deliveries stand, as every screen shows it: read from what was kept.

use engine::log::{Author, Chain};
use leptos::prelude::*;

use super::status::{self, Collector, FromDesk, Held, HeldCharter, RecordProgress};
use super::{NamedCollectors, address};
use crate::state::ShownGame;
use crate::store::Store;

/// What is known of deliveries.
#[derive(Clone, Copy)]
pub struct Collectors {
    /// The collectors that are named.
    pub named: RwSignal<NamedCollectors>,
    /// How things stand at each.
    pub at: RwSignal<Vec<Collector>>,
    /// What goes of games that this phone does not keep; known to whoever
    /// delivers.
    pub from_desk: RwSignal<Vec<FromDesk>>,
    /// The charters that go; known to whoever delivers.
    pub charters: RwSignal<Vec<HeldCharter>>,
}

impl Collectors {
    /// Nothing known yet.
    pub fn new() -> Self {
        Self {
            named: RwSignal::new(NamedCollectors::default()),
            at: RwSignal::new(Vec::new()),
            from_desk: RwSignal::new(Vec::new()),
            charters: RwSignal::new(Vec::new()),
        }
    }

    /// Reads what is kept, unless something newer is known. What cannot be
    /// read has to be named again, or counts as waiting until the collector
    /// answers; nothing is lost.
    pub async fn read(self, store: &Store) {
        self.named.set(store.collectors().await.unwrap_or_default());
        self.lay_out();
        let rows = store.acknowledged().await.unwrap_or_default();
        self.at.update(|collectors| {
            for row in rows {
                let collector = collectors.iter_mut().find(|p| p.address == row.collector);
                let Some(collector) = collector else { continue };
                let newer = |p: &RecordProgress| p.at > row.place.at;
                if !collector.places.get(&row.key).is_some_and(newer) {
                    collector.places.insert(row.key, row.place);
                }
            }
        });
    }

    /// One line for each address named.
    pub fn lay_out(self) {
        let own = address::own();
        let addresses = self.named.with_untracked(|n| n.addresses(&own));
        self.at.update(|collectors| {
            let old = core::mem::take(collectors);
            let collector = |address: String| {
                let known = old.iter().find(|p| p.address == address);
                known.cloned().unwrap_or(Collector {
                    own: address == own,
                    address,
                    ..Collector::default()
                })
            };
            collectors.extend(addresses.into_iter().map(collector));
        });
    }

    /// Changes the line of an address.
    pub fn show(self, address: &str, change: impl FnOnce(&mut Collector)) {
        self.at.update(|collectors| {
            if let Some(collector) = collectors.iter_mut().find(|p| p.address == address) {
                change(collector);
            }
        });
    }
}

impl Default for Collectors {
    fn default() -> Self {
        Self::new()
    }
}

/// The records of a game; `None` for one that is made up or cannot be read.
fn chains(shown: &ShownGame) -> Option<impl Iterator<Item = (&Chain, usize)>> {
    let book = shown.book.as_ref().ok().filter(|_| !shown.listed.demo)?;
    let others = book.others.iter().map(|o| (o.record.chain(), o.beside));
    Some(core::iter::once((book.record.chain(), book.beside)).chain(others))
}

/// Who keeps a record, as "scorer, Sam".
pub fn by(author: &Author) -> String {
    match author.name.trim() {
        // The words of the key tell two without a name apart.
        "" => format!("{} with the key {}", author.role, author.key.phrase()),
        name => format!("{}, {name}", author.role),
    }
}

/// The records of a game, as screens show them; none for one that is made up.
pub fn held(shown: &ShownGame) -> Vec<Held> {
    let one = |(at, (chain, beside)): (usize, (&Chain, usize))| Held {
        key: status::key(chain.name()),
        stored: chain.next_seq(),
        beside: beside as u64,
        decides: false,
        own: at == 0,
        by: by(&chain.opening().author),
    };
    chains(shown).map_or_else(Vec::new, |all| all.enumerate().map(one).collect())
}
