//! How deliveries stand, as every screen shows it: read from what was kept.

use engine::log::{Author, Chain, LogName};
use leptos::prelude::*;

use super::place::{self, FromDesk, Held, HeldCharter, Place, Post};
use super::{Named, address};
use crate::chalk::Shown;
use crate::store::Store;

/// What is known of deliveries.
#[derive(Clone, Copy)]
pub struct Posts {
    /// The collectors that are named.
    pub named: RwSignal<Named>,
    /// How things stand at each.
    pub at: RwSignal<Vec<Post>>,
    /// What goes of games that this phone does not keep; known to whoever
    /// delivers.
    pub from_desk: RwSignal<Vec<FromDesk>>,
    /// The charters that go; known to whoever delivers.
    pub charters: RwSignal<Vec<HeldCharter>>,
}

impl Posts {
    /// Nothing known yet.
    pub fn new() -> Self {
        Self {
            named: RwSignal::new(Named::default()),
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
        self.at.update(|posts| {
            for row in rows {
                let post = posts.iter_mut().find(|p| p.address == row.collector);
                let Some(post) = post else { continue };
                let newer = |p: &Place| p.at > row.place.at;
                if !post.places.get(&row.key).is_some_and(newer) {
                    post.places.insert(row.key, row.place);
                }
            }
        });
    }

    /// One line for each address named.
    pub fn lay_out(self) {
        let own = address::own();
        let addresses = self.named.with_untracked(|n| n.addresses(&own));
        self.at.update(|posts| {
            let old = core::mem::take(posts);
            let post = |address: String| {
                let known = old.iter().find(|p| p.address == address);
                known.cloned().unwrap_or(Post {
                    own: address == own,
                    address,
                    ..Post::default()
                })
            };
            posts.extend(addresses.into_iter().map(post));
        });
    }

    /// Changes the line of an address.
    pub fn show(self, address: &str, change: impl FnOnce(&mut Post)) {
        self.at.update(|posts| {
            if let Some(post) = posts.iter_mut().find(|p| p.address == address) {
                change(post);
            }
        });
    }
}

impl Default for Posts {
    fn default() -> Self {
        Self::new()
    }
}

fn named(chain: &Chain) -> LogName {
    LogName {
        game: chain.game(),
        author: chain.author().fingerprint(),
    }
}

/// The records of a game; `None` for one that is made up or cannot be read.
fn chains(shown: &Shown) -> Option<impl Iterator<Item = (&Chain, usize)>> {
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
pub fn held(shown: &Shown) -> Vec<Held> {
    let one = |(at, (chain, beside)): (usize, (&Chain, usize))| Held {
        key: place::key(named(chain)),
        stored: chain.next_seq(),
        beside: beside as u64,
        decides: false,
        own: at == 0,
        by: by(&chain.opening().author),
    };
    chains(shown).map_or_else(Vec::new, |all| all.enumerate().map(one).collect())
}
