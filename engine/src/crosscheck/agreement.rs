//! What two officials agreed on, as it is written into both logs.
//!
//! ```text
//! agreement = [ "chalkbook:agreed", game, head, [* body], log ]
//! game      = bytes .size 32   ; the game id
//! head      = bytes .size 32   ; the receiver's last entry when it was compared
//! body      = a ruling, a difference left open, a play or a notice
//! log       = bytes            ; the sender's log as it is exchanged
//! ```

use alloc::string::String;
use alloc::vec::Vec;

use super::{Choice, ChoiceObjection, Difference, Exchange, Extent, Kind};
use crate::log::{
    Amendment, Body, Event, GameId, GameRecord, Hash, History, LeftOpen, RecordObjection, Ruling,
};
use crate::message::{localized, text};
use crate::team::BySide;

/// What each log has to record, in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SettlingEntries {
    /// For my log.
    pub mine: Vec<Body>,
    /// For theirs.
    pub theirs: Vec<Body>,
}

/// The other official's record, as it will be once it holds what was agreed
/// here so far.
#[derive(Clone, Debug)]
pub struct Counterpart {
    record: GameRecord,
    history: History,
    agreed: Vec<Body>,
}

impl Counterpart {
    /// Nothing agreed yet.
    #[must_use]
    pub fn new(record: GameRecord) -> Self {
        let history = record.history().clone();
        Self {
            record,
            history,
            agreed: Vec::new(),
        }
    }

    /// The record as it was received.
    #[must_use]
    pub fn record(&self) -> &GameRecord {
        &self.record
    }

    /// Its game with what was agreed.
    #[must_use]
    pub fn history(&self) -> &History {
        &self.history
    }

    /// What its author has still to record, in order.
    #[must_use]
    pub fn agreed(&self) -> &[Body] {
        &self.agreed
    }

    /// Whether its author has something to record that the game or its standing
    /// depends on; else what was agreed leaves that record as it is, and need
    /// not be carried there.
    #[must_use]
    pub fn has_to_record(&self) -> bool {
        let only_noted = |body: &Body| matches!(body, Body::Ruling(r) if r.correction.is_none());
        !self.agreed.iter().all(only_noted)
    }

    /// Adds what was agreed.
    ///
    /// # Errors
    /// When it does not fit that record; nothing is added then.
    pub fn agree(&mut self, bodies: Vec<Body>) -> Result<(), AgreementObjection> {
        let first = self
            .record
            .next_seq()
            .saturating_add(self.agreed.len() as u64);
        self.history = after(&self.history, first, &bodies)?;
        self.agreed.extend(bodies);
        Ok(())
    }

    /// What to send back: what was agreed, and my log with its half, as far as
    /// the receiver lacks it by what it `told`.
    #[must_use]
    pub fn agreement(&self, mine: &GameRecord, told: Option<Extent>) -> Agreement {
        Agreement {
            game: self.record.chain().game(),
            head: self.record.head(),
            bodies: self.agreed.clone(),
            log: Exchange::new(mine, [&self.record], told).to_bytes(),
        }
    }
}

/// The game once the bodies are recorded, from number `first` on.
fn after(history: &History, first: u64, bodies: &[Body]) -> Result<History, AgreementObjection> {
    let mut history = history.clone();
    for (seq, body) in (first..).zip(bodies) {
        let event = match body {
            Body::Ruling(ruling) => ruling.correction.clone().map(Event::Settle),
            Body::LeftOpen(_) => None,
            Body::Event(event @ (Event::Play { .. } | Event::Notice(_))) => Some(event.clone()),
            other => return Err(AgreementObjection::NotForAgreement(other.kind())),
        };
        if let Some(event) = event {
            history.check(&event).map_err(AgreementObjection::Refused)?;
            history.push(seq, event);
        }
    }
    Ok(history)
}

impl Difference {
    /// The entries of both logs that it is about; `None` where a log has none.
    #[must_use]
    pub fn entries(&self, mine: &GameRecord, theirs: &GameRecord) -> (Option<Hash>, Option<Hash>) {
        let (own, other) = match &self.kind {
            Kind::Fates { mine, theirs } => (Some(mine.seq), Some(theirs.seq)),
            Kind::Swapped { mine, theirs } => (Some(mine[0].seq), Some(theirs[0].seq)),
            Kind::OnlyMine { mine, .. } => (Some(mine.seq), None),
            Kind::OnlyTheirs { theirs, .. } => (None, Some(theirs.seq)),
            Kind::Notices { mine, theirs } => (Some(mine.seq), Some(theirs.seq)),
            Kind::NoticeOnlyMine { mine, .. } => (Some(mine.seq), None),
            Kind::NoticeOnlyTheirs { theirs, .. } => (None, Some(theirs.seq)),
            Kind::Moved { mine, theirs, .. } => (Some(mine.0), Some(theirs.0)),
        };
        let hash = |record: &GameRecord, seq: Option<u64>| {
            record.chain().at(seq?).map(crate::log::Entry::hash)
        };
        (hash(mine, own), hash(theirs, other))
    }

    /// The agreed ruling on this difference for both logs. `note` is the
    /// ruling in plain words.
    ///
    /// # Errors
    /// When the choice is no answer to this difference.
    pub fn rule(
        &self,
        choice: &Choice,
        mine: &GameRecord,
        theirs: &Counterpart,
        note: &str,
    ) -> Result<SettlingEntries, ChoiceObjection> {
        let settled = self.settle(choice, mine.history(), theirs.history())?;
        let (own, other) = self.entries(mine, theirs.record());
        Ok(SettlingEntries {
            mine: bodies(settled.mine, own, other, note),
            theirs: bodies(settled.theirs, other, own, note),
        })
    }

    /// This difference left standing, for both logs.
    #[must_use]
    pub fn leave_open(
        &self,
        mine: &GameRecord,
        theirs: &GameRecord,
        note: &str,
    ) -> SettlingEntries {
        let (own, other) = self.entries(mine, theirs);
        let open = |own, other| {
            alloc::vec![Body::LeftOpen(LeftOpen {
                half: self.turn.into(),
                own,
                other,
                note: note.into(),
            })]
        };
        SettlingEntries {
            mine: open(own, other),
            theirs: open(other, own),
        }
    }

    /// Whether the officials left exactly this difference standing.
    #[must_use]
    pub fn is_left_open(&self, mine: &GameRecord, theirs: &GameRecord) -> bool {
        let (own, other) = self.entries(mine, theirs);
        mine.disputes()
            .any(|(_, open)| (open.own, open.other) == (own, other))
    }

    /// Both versions in a few words, mine first.
    #[must_use]
    pub fn versions(&self, names: &BySide<&str>) -> (String, String) {
        let (nothing, untold) = (|| text!("version-none"), || text!("version-unrecorded"));
        let two = |[one, other]: &[super::PlayRef; 2]| {
            text!("version-then", one = one.words, other = other.words)
        };
        match &self.kind {
            Kind::Fates { mine, theirs } => (mine.words.clone(), theirs.words.clone()),
            Kind::Swapped { mine, theirs } => (two(mine), two(theirs)),
            Kind::OnlyMine { mine, .. } => (mine.words.clone(), nothing()),
            Kind::OnlyTheirs { theirs, .. } => (nothing(), theirs.words.clone()),
            Kind::Notices { mine, theirs } => {
                (mine.notice.sentence(names), theirs.notice.sentence(names))
            }
            Kind::NoticeOnlyMine { mine, .. } => (mine.notice.sentence(names), untold()),
            Kind::NoticeOnlyTheirs { theirs, .. } => (untold(), theirs.notice.sentence(names)),
            Kind::Moved { notice, .. } => {
                let sentence = notice.sentence(names);
                (sentence.clone(), text!("version-moved", sentence))
            }
        }
    }
}

/// One ruling names the entries; a correction rides on it, anything that is
/// only added follows it.
fn bodies(events: Vec<Event>, own: Option<Hash>, other: Option<Hash>, note: &str) -> Vec<Body> {
    let ruling = |correction: Option<Amendment>| {
        Body::Ruling(Ruling {
            own,
            other,
            correction,
            note: note.into(),
        })
    };
    let mut list = Vec::new();
    for event in events {
        match event {
            Event::Settle(amendment) => list.push(ruling(Some(amendment))),
            added => {
                if list.is_empty() {
                    list.push(ruling(None));
                }
                list.push(Body::Event(added));
            }
        }
    }
    if list.is_empty() {
        list.push(ruling(None));
    }
    list
}

/// What was agreed on the sender's phone, for the receiver to look at and to
/// record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Agreement {
    /// The game.
    pub game: GameId,
    /// The receiver's last entry when the records were compared.
    pub head: Hash,
    /// What the receiver's log is to record, in order.
    pub bodies: Vec<Body>,
    /// The sender's log with its own half of the rulings: an [`Exchange`].
    pub log: Vec<u8>,
}

/// Why an agreement cannot be recorded.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AgreementObjection {
    /// The bytes are no agreement.
    Malformed,
    /// It is about another game.
    OtherGame,
    /// Everything in it is recorded already.
    Recorded,
    /// The log went on since the records were compared.
    Stale,
    /// It holds something that officials do not agree on.
    #[message(name = _0)]
    NotForAgreement(&'static str),
    /// A ruling of it does not fit this log.
    #[message(objection = _0)]
    Refused(RecordObjection),
}

impl Agreement {
    /// Most entries that one agreement asks for.
    pub const BODIES_LIMIT: usize = 256;
    const MARK: &'static str = "chalkbook:agreed";

    /// The bytes to send.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let log = minicbor::bytes::ByteVec::from(self.log.clone());
        let fields = (Self::MARK, &self.game, &self.head, &self.bodies, log);
        // Writing to memory cannot fail.
        minicbor::to_vec(fields).unwrap_or_default()
    }

    /// Reads an agreement; its log is not verified here.
    ///
    /// # Errors
    /// [`AgreementObjection::Malformed`].
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, AgreementObjection> {
        let read = |d: &mut minicbor::Decoder<'_>| -> Result<Self, minicbor::decode::Error> {
            let wrong = minicbor::decode::Error::message;
            if d.array()? != Some(5) || d.str()? != Self::MARK {
                return Err(wrong("no agreement"));
            }
            let (game, head) = (d.decode()?, d.decode()?);
            let count = d.array()?.ok_or_else(|| wrong("of no stated length"))?;
            if count > Self::BODIES_LIMIT as u64 {
                return Err(wrong("too many entries"));
            }
            let bodies = (0..count).map(|_| d.decode()).collect::<Result<_, _>>()?;
            let log = d.bytes()?.to_vec();
            Ok(Self {
                game,
                head,
                bodies,
                log,
            })
        };
        let mut d = minicbor::Decoder::new(bytes);
        let agreement = read(&mut d).map_err(|_| AgreementObjection::Malformed)?;
        if d.position() != bytes.len() || agreement.bodies.iter().any(|b| b.fits().is_err()) {
            return Err(AgreementObjection::Malformed);
        }
        Ok(agreement)
    }

    /// Whether it was made for this record: it was compared when its last entry
    /// was one of these.
    #[must_use]
    pub fn is_for(&self, record: &GameRecord) -> bool {
        let mut entries = record.chain().entries().iter().rev();
        entries.any(|entry| entry.hash() == self.head)
    }

    /// Whether `record` can take it as it is now.
    ///
    /// # Errors
    /// The first thing that stands against it.
    pub fn check(&self, record: &GameRecord) -> Result<(), AgreementObjection> {
        if record.chain().game() != self.game {
            return Err(AgreementObjection::OtherGame);
        }
        if record.head() != self.head {
            let there = |body: &Body| record.chain().entries().iter().any(|e| e.body() == body);
            return Err(if self.bodies.iter().all(there) {
                AgreementObjection::Recorded
            } else {
                AgreementObjection::Stale
            });
        }
        after(record.history(), record.next_seq(), &self.bodies).map(|_| ())
    }
}

#[cfg(test)]
mod tests;
