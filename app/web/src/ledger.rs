//! The one way into the log: take, check, sign, append strictly, then show.
//!
//! Whatever is recorded on this phone goes through [`Ledger::write`]: a call, a
//! notice, a ruling, an organiser's decision, the opening of a game, a made-up
//! day. It knows no view and no browser; storage and key are what it is given,
//! so that it is tested against a phone that dies at any moment.

use async_lock::Mutex;
use engine::log::{
    Body, Entry, GameRecord, Opening, RecordError, RecordObjection, Unsigned, Verified,
};

use crate::store::{ListedGame, Storage, Trouble};

/// What signs entries.
pub trait Signer {
    /// Signs an entry; it is verified before it is given back.
    ///
    /// # Errors
    /// When it does not sign or signs wrongly.
    fn sign(&self, unsigned: Unsigned) -> impl Future<Output = Result<Entry<Verified>, Trouble>>;
}

impl<T: Signer> Signer for std::rc::Rc<T> {
    fn sign(&self, unsigned: Unsigned) -> impl Future<Output = Result<Entry<Verified>, Trouble>> {
        (**self).sign(unsigned)
    }
}

/// Why something was not recorded.
#[derive(Clone, Debug, PartialEq)]
pub enum NotRecorded {
    /// The rules refuse it.
    Refused(RecordObjection),
    /// The phone could not keep it.
    Trouble(Trouble),
    /// The cards or the rules make no game, or a text is too long.
    Record(RecordError),
    /// No game is open.
    NothingOpen,
    /// A record is being written already.
    Busy,
}

impl NotRecorded {
    /// What happened and what to do next, in words.
    pub fn says(&self) -> (String, String) {
        match self {
            Self::Refused(objection) => (objection.to_string(), String::new()),
            Self::Trouble(t) => (t.what(), t.next().into()),
            Self::Record(why) => (why.to_string(), String::new()),
            Self::NothingOpen => (
                "No game is open.".into(),
                "Go back to the games of this phone.".into(),
            ),
            Self::Busy => (
                "The last call is still being written.".into(),
                "Wait a moment.".into(),
            ),
        }
    }
}

impl From<Trouble> for NotRecorded {
    fn from(trouble: Trouble) -> Self {
        Self::Trouble(trouble)
    }
}

impl From<RecordError> for NotRecorded {
    fn from(why: RecordError) -> Self {
        match why {
            RecordError::Refused(objection) => Self::Refused(objection),
            other => Self::Record(other),
        }
    }
}

/// The log that something is appended to.
#[derive(Clone, Debug)]
pub enum Log {
    /// One that is here, as it stands.
    Here(Box<GameRecord>),
    /// A new one, opened before anything else.
    New(Box<Opening>),
    /// One whose entries are all signed already, none of them kept.
    Signed(Box<GameRecord>),
}

/// What is to be recorded.
#[derive(Clone, Debug)]
pub struct Writing {
    /// In which log.
    pub log: Log,
    /// What follows in it, all of it or nothing, each with the time claimed for
    /// it, ms since 1970.
    pub bodies: Vec<(Body, u64)>,
    /// Whether a new log makes a game of this phone. An organiser's decisions
    /// do not.
    pub lists: bool,
    /// The time claimed for a new log's opening, ms since 1970.
    pub now: u64,
}

/// What was recorded.
#[derive(Clone, Debug)]
pub struct WrittenEntries {
    /// The log with it.
    pub record: GameRecord,
    /// The line that it got in the list of games.
    pub listed: Option<ListedGame>,
    /// The entries appended.
    pub new: Vec<Entry<Verified>>,
}

/// The logs of this phone, for whoever appends to them.
#[derive(Debug)]
pub struct Ledger<S, K> {
    storage: S,
    key: K,
    turn: Mutex<()>,
}

impl<S: Storage, K: Signer> Ledger<S, K> {
    /// Over a storage, signing with a key.
    pub const fn new(storage: S, key: K) -> Self {
        Self {
            storage,
            key,
            turn: Mutex::new(()),
        }
    }

    /// Where it keeps entries.
    pub const fn storage(&self) -> &S {
        &self.storage
    }

    /// What it signs with.
    pub const fn key(&self) -> &K {
        &self.key
    }

    /// Waits until nothing is being written.
    pub async fn settled(&self) {
        self.turn.lock().await;
    }

    /// Records something. `take` says what and where, once it is this one's
    /// turn; `show` is called when all of it is kept, before anything else can
    /// be taken. Dropped at any moment, all of it is kept or nothing.
    ///
    /// # Errors
    /// [`NotRecorded::Busy`] while something else is being written, as by the
    /// first of two taps; else what `take`, the rules, the key or the storage
    /// say. Nothing is kept then.
    pub async fn write<T>(
        &self,
        take: impl FnOnce() -> Result<Writing, NotRecorded>,
        show: impl FnOnce(WrittenEntries) -> T,
    ) -> Result<T, NotRecorded> {
        let _turn = self.turn.try_lock().ok_or(NotRecorded::Busy)?;
        let Writing {
            log,
            bodies,
            lists,
            now,
        } = take()?;
        let is_new = !matches!(log, Log::Here(_));
        let (mut record, mut new) = match log {
            Log::Here(record) => (*record, Vec::new()),
            Log::New(opening) => {
                let draft = GameRecord::draft_opening(*opening, now)?;
                let entry = self.key.sign(draft).await?;
                (GameRecord::open(entry.clone())?, vec![entry])
            }
            Log::Signed(record) => {
                let entries = record.chain().entries().to_vec();
                (*record, entries)
            }
        };
        for (body, at) in bodies {
            let entry = self.key.sign(record.draft(body, at)?).await?;
            record.push(entry.clone())?;
            new.push(entry);
        }
        let listed = (is_new && lists).then(|| ListedGame::of(&record));
        self.storage.append(listed.as_ref(), &record, &new).await?;
        Ok(show(WrittenEntries {
            record,
            listed,
            new,
        }))
    }
}

#[cfg(test)]
mod tests;
