//! Taking files in: each is kept as it came, what is good in it counts.

use std::borrow::Cow;
use std::collections::BTreeMap;

use engine::charter::SignedCharter;
use engine::crosscheck::Exchange;
use engine::log::{Fault, Hash, Verified, entry_number};
use leptos::prelude::*;

use super::super::charters::judged;
use super::breathe;
use crate::clock;
use crate::state::{AppState, Arrival, CharterNotTaken};
use crate::store::{FiledDocument, KeptCharter, Store, Trouble, Wrong};

/// The entries of a record as one phone shows it to another, or of a log file.
pub(super) fn entries_in(bytes: &[u8]) -> Cow<'_, [u8]> {
    match Exchange::from_bytes(bytes) {
        Ok(sent) => sent.log.into(),
        Err(_) => bytes.into(),
    }
}

impl AppState {
    /// Takes files: each is kept as it came, every good entry in it too.
    ///
    /// # Errors
    /// When the phone cannot keep them; those before are kept.
    pub async fn desk_take(
        self,
        files: Vec<(String, Vec<u8>)>,
    ) -> Result<Vec<FiledDocument>, Trouble> {
        let store = self.opened_store().await?;
        self.open_desk().await?;
        let taken = self.desk_take_all(&store, files).await;
        self.desk.reading.set(None);
        if taken.is_err() {
            // What is in memory may be more than what is kept.
            self.desk_forget();
        }
        self.desk.changed();
        taken
    }

    async fn desk_take_all(
        self,
        store: &Store,
        files: Vec<(String, Vec<u8>)>,
    ) -> Result<Vec<FiledDocument>, Trouble> {
        let all = files.len();
        let mut taken = Vec::new();
        for (at, (name, bytes)) in files.into_iter().enumerate() {
            self.desk.reading.set(Some((at, all)));
            let file = FiledDocument::new(name, clock::now(), bytes);
            taken.push(self.desk_take_one(store, file).await?);
            breathe().await;
        }
        // What came before its beginning may fit now.
        let waiting: Vec<FiledDocument> = self.desk.files.with_untracked(|files| {
            let waits = files.iter().filter(|f| f.wrong.iter().any(|w| w.waits));
            waits.cloned().collect()
        });
        for file in waiting {
            let again = self.desk_take_one(store, file).await?;
            if let Some(one) = taken.iter_mut().find(|f| f.hash == again.hash) {
                *one = again;
            }
        }
        // The first version's words may have been compared while a later one was
        // still being read.
        self.desk_keeps_newer().await?;
        Ok(taken)
    }

    async fn desk_take_one(
        self,
        store: &Store,
        file: FiledDocument,
    ) -> Result<FiledDocument, Trouble> {
        let desk = self.desk;
        let known = desk.files.with_untracked(|all| {
            let same = all.iter().find(|f| f.hash == file.hash);
            same.cloned()
        });
        let mut file = known.unwrap_or(file);
        if let Ok(arrived) = SignedCharter::read_all(&file.bytes) {
            file.what = self.desk_charter(&arrived).await?;
            store.keep_arrival(&file).await?;
            self.show_file(&file);
            return Ok(file);
        }
        let own = self.key().ok().map(|key| key.public().fingerprint());
        let mut rows = BTreeMap::new();
        desk.books.update_value(|books| {
            let gathered = books.logs.take(&entries_in(&file.bytes));
            rows = books.rows(&gathered.fresh, |name| Some(name.author) == own);
            file.what = match (gathered.fresh.len(), gathered.known) {
                (0, 0) => "Nothing in it could be used.".to_string(),
                (0, n) => format!("{n} entries, all here already."),
                (n, 0) => format!("{n} new entries."),
                (n, known) => format!("{n} new entries, {known} were here already."),
            };
            file.wrong = gathered.faults.iter().map(said).collect();
        });
        store.keep_arrival(&file).await?;
        for (game, rows) in &rows {
            let game = game.to_string();
            store.keep_foreign(&game, rows).await?;
            self.tell(&game);
            // What was damaged and came again is good again.
            let of_game = |w: &Wrong| w.game.as_deref() == Some(game.as_str());
            desk.damaged.update(|all| all.retain(|w| !of_game(w)));
            // One's own game has more beside it now.
            self.show_again(&game).await?;
        }
        self.show_file(&file);
        Ok(file)
    }

    fn show_file(self, file: &FiledDocument) {
        self.desk.files.update(
            |files| match files.iter_mut().find(|f| f.hash == file.hash) {
                Some(known) => *known = file.clone(),
                None => files.insert(0, file.clone()),
            },
        );
    }

    async fn desk_charter(self, arrived: &[SignedCharter<Verified>]) -> Result<String, Trouble> {
        let arrival = match self.charters.with_untracked(|all| judged(all, arrived)) {
            Ok(arrival) => arrival,
            Err(why) => return Ok(why.says().0),
        };
        let name = |kept: &KeptCharter| kept.history().in_force().charter().event.clone();
        let said = match &arrival {
            Arrival::Known { .. } => "A charter, here already.".to_string(),
            Arrival::More { kept, newer: true } => format!("A newer charter of {}.", name(kept)),
            Arrival::More { kept, .. } => {
                format!("More versions of the charter of {}.", name(kept))
            }
            Arrival::Waits { kept } => format!(
                "A charter of {}, kept until the version before it comes.",
                name(kept)
            ),
            // Signed on this very phone.
            Arrival::New { kept, .. } if self.is_own(kept.history().in_force()) => {
                format!(
                    "The charter of {}, signed with this phone's own key.",
                    name(kept)
                )
            }
            Arrival::New { kept, .. } => {
                return Ok(format!(
                    "The charter of {}, new on this phone: it counts when somebody has compared the six words of its key.",
                    name(kept)
                ));
            }
        };
        match self.keep_arrival(arrival).await {
            Ok(_) => Ok(said),
            Err(CharterNotTaken::Trouble(trouble)) => Err(trouble),
            Err(why) => Ok(why.says().0),
        }
    }

    fn is_own(self, signed: &SignedCharter<Verified>) -> bool {
        self.key().is_ok_and(|key| *key.public() == *signed.key())
    }

    /// The charter that came to the desk and waits for its six words to be
    /// compared, with its hash: the one shown until now if it still waits, else
    /// of several versions the first.
    pub fn desk_asks(self, shown: Option<Hash>) -> Option<(Hash, Arrival)> {
        let (files, all) = (self.desk.files.get(), self.charters.get());
        let charters = files
            .iter()
            .filter_map(|f| SignedCharter::read_all(&f.bytes).ok());
        let arrivals = charters.filter_map(|arrived| judged(&all, &arrived).ok());
        let waiting = arrivals.filter_map(|arrival| match &arrival {
            Arrival::New { kept, .. } => {
                let newest = kept.history().in_force();
                Some((newest.charter().version, newest.hash(), arrival))
            }
            _ => None,
        });
        let asked = waiting.min_by_key(|(version, hash, _)| (Some(*hash) != shown, *version));
        asked.map(|(_, hash, arrival)| (hash, arrival))
    }

    /// Keeps the charter whose words were compared, and the later versions of it
    /// that came with it.
    ///
    /// # Errors
    /// When the phone cannot keep it.
    pub async fn desk_keeps(self, arrival: Arrival) -> Result<String, CharterNotTaken> {
        let event = self.keep_arrival(arrival).await?;
        let newer = self.desk_keeps_newer().await;
        newer.map_err(CharterNotTaken::Trouble)?;
        self.desk.changed();
        Ok(event)
    }

    /// Keeps the charters that came to the desk and follow from what is kept by
    /// now: those that came out of order, or just before the app was ended.
    pub(super) async fn desk_keeps_newer(self) -> Result<(), Trouble> {
        // Each round takes in one file at least.
        for _ in 0..self.desk.files.with_untracked(Vec::len) {
            let files = self.desk.files.get_untracked();
            let newer = files.iter().find_map(|f| match self.arrival(&f.bytes) {
                Ok(more @ Arrival::More { .. }) => Some(more),
                _ => None,
            });
            let Some(newer) = newer else { break };
            match self.keep_arrival(newer).await {
                Ok(_) => {}
                Err(CharterNotTaken::Trouble(trouble)) => return Err(trouble),
                Err(_) => break,
            }
        }
        Ok(())
    }
}

fn said(fault: &Fault) -> Wrong {
    let mut sentence = fault.damage.to_string();
    if fault.waits() {
        sentence.push_str(" It is kept, and looked at again when more comes.");
    }
    Wrong {
        game: fault.game.map(|g| g.to_string()),
        sentence,
        waits: fault.waits(),
    }
}

/// What is wrong with an entry that this phone kept.
pub fn kept_wrong(fault: &Fault) -> Wrong {
    let which = fault
        .seq
        .map_or_else(String::new, |seq| format!(" {}", entry_number(seq)));
    Wrong {
        game: fault.game.map(|g| g.to_string()),
        sentence: format!("What this phone kept, entry{which}: {}", fault.damage.error),
        waits: false,
    }
}
