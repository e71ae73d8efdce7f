//! What other phones said to have of this phone's record of a game. Kept beside
//! the preferences: without it the whole record is shown, and nothing is lost.

use engine::crosscheck::{Extent, Held};
use engine::log::{Fingerprint, Hash};
use gloo_storage::{LocalStorage, Storage};

use crate::book::Book;

fn kept_under(game: &str) -> String {
    format!("chalkbook-peer-acks {game}")
}

fn read(game: &str) -> Vec<Held> {
    let kept: Vec<u8> = LocalStorage::get(kept_under(game)).unwrap_or_default();
    let list: Vec<(Fingerprint, u64, Hash)> = minicbor::decode(&kept).unwrap_or_default();
    let held = |(author, count, head)| Held {
        author,
        extent: Extent { count, head },
    };
    list.into_iter().map(held).collect()
}

/// Keeps what the phone of another official said to have of this record;
/// nothing if it said nothing.
pub fn keep(game: &str, by: Fingerprint, extent: Option<Extent>) {
    let mut list = read(game);
    list.retain(|held| held.author != by);
    list.extend(extent.map(|extent| Held { author: by, extent }));
    let rows = list
        .into_iter()
        .map(|h| (h.author, h.extent.count, h.extent.head));
    let rows: Vec<_> = rows.collect();
    // Writing to memory cannot fail.
    let bytes = minicbor::to_vec(rows).unwrap_or_default();
    let _ = LocalStorage::set(kept_under(game), bytes);
}

/// What every other official's phone has of this record, as far as is known:
/// the least that any of them said, and nothing while one has said nothing.
pub fn least(book: &Book) -> Option<Extent> {
    let told = read(&book.listed.game);
    let one = |author: Fingerprint| told.iter().find(|held| held.author == author);
    let others = book.others.iter().map(|o| o.record.chain().author());
    let all: Option<Vec<_>> = others.map(|key| one(key.fingerprint())).collect();
    let least = all?.into_iter().min_by_key(|held| held.extent.count);
    least.map(|held| held.extent)
}
