//! Keys in the form besides the officials' own: collectors whose receipts
//! count, and keys that end.

use engine::charter::{EndedKey, GoodPart};
use engine::log::{Author, PublicKey};
use serde::{Deserialize, Serialize};

use super::{CharterDraft, OfficialText};

/// A key that ends, as kept in the draft.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct EndedText {
    /// Whose it is.
    pub official: OfficialText,
    /// What stays good: game and last hash in hexadecimal, and the number of
    /// entries.
    pub good: Vec<(String, u64, String)>,
}

impl EndedText {
    pub(super) fn of(ended: &EndedKey) -> Self {
        let part = |g: &GoodPart| (g.game.to_string(), g.entries, g.head.to_string());
        Self {
            official: OfficialText::of(&ended.author),
            good: ended.good.iter().map(part).collect(),
        }
    }

    /// For the charter.
    ///
    /// # Errors
    /// When the key is none.
    pub(super) fn ended(&self) -> Result<EndedKey, String> {
        let part = |(game, entries, head): &(String, u64, String)| {
            Some(GoodPart {
                game: game.parse().ok()?,
                entries: *entries,
                head: head.parse().ok()?,
            })
        };
        let good = self.good.iter().filter_map(part);
        Ok(EndedKey {
            author: self.official.author()?,
            good: good.collect(),
        })
    }

    /// What the charter then says, in a sentence.
    pub fn says(&self) -> String {
        let name = &self.official.name;
        let entries: u64 = self.good.iter().map(|(_, entries, _)| entries).sum();
        match self.good.len() {
            0 => format!("{name}: nothing signed with this key counts."),
            1 => format!(
                "{name}: 1 record stays good, its first {entries} entries. Nothing else signed with this key counts."
            ),
            n => format!(
                "{name}: {n} records stay good, {entries} entries of them. Nothing else signed with this key counts."
            ),
        }
    }
}

impl CharterDraft {
    /// Lists a collector, or gives the one with this key another name.
    pub fn add_collector(&mut self, collector: &Author) {
        let text = OfficialText::of(collector);
        match self.collectors.iter_mut().find(|c| c.key == text.key) {
            Some(known) => *known = text,
            None => self.collectors.push(text),
        }
    }

    /// The keys of the collectors listed.
    pub fn collector_keys(&self) -> Vec<Author> {
        let read = self.collectors.iter().map(OfficialText::author);
        read.filter_map(Result::ok).collect()
    }

    /// Ends the key of an official in the list: what is good of their records
    /// stays good.
    pub fn end_key(&mut self, key: &PublicKey, ended: &EndedKey) {
        let is_it = |o: &OfficialText| o.author().is_ok_and(|a| a.key == *key);
        self.officials.retain(|o| !is_it(o));
        self.ended.retain(|e| !is_it(&e.official));
        self.ended.push(EndedText::of(ended));
    }

    /// Takes that back: the official is listed again.
    pub fn list_again(&mut self, at: usize) {
        if at < self.ended.len() {
            self.officials.push(self.ended.remove(at).official);
        }
    }
}
