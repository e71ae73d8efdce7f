//! Event charters on this phone: taken, signed, and held against its games.

use engine::charter::{
    Belonging, CharterFileError, CharterObjection, SignedCharter, SupersedeError, UnsignedCharter,
};
use engine::crosscheck::Status;
use engine::log::{Author, Body, Hash, Opening, Verified, entry_number};
use engine::message::isolated;
use engine::report::Authority;
use leptos::prelude::*;

use super::{AppState, NotRecorded};
use crate::book::Book;
use crate::clock;
use crate::store::{KeptCharter, Trouble};

/// Charters that arrived together and verify, by what they are to this phone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Arrival {
    /// Of an event that is new here: whose key it is, people have to say.
    New {
        /// What arrived, with the newest of it in force.
        kept: Box<KeptCharter>,
        /// An event of the same name is here, signed with this other key.
        namesake: Option<String>,
    },
    /// More of an event that is here.
    More {
        /// The event, with what arrived.
        kept: Box<KeptCharter>,
        /// Whether another version is in force now.
        newer: bool,
    },
    /// More of an event that is here, which holds only once a version between
    /// has come.
    Waits {
        /// The event, with what arrived.
        kept: Box<KeptCharter>,
    },
    /// Nothing that is not here already.
    Known {
        /// The event's name here.
        event: String,
    },
}

/// Why a charter was not taken.
#[derive(Clone, Debug, PartialEq)]
pub enum CharterNotTaken {
    /// The bytes are no charter, or not as they were signed.
    Damaged(CharterFileError),
    /// It says that it takes the place of one that is here, and does not.
    Superseded {
        /// The event.
        event: String,
        /// Why.
        why: SupersedeError,
    },
    /// The phone could not keep it.
    Trouble(Trouble),
}

impl CharterNotTaken {
    /// What happened and what to do next.
    pub fn says(&self) -> (String, String) {
        match self {
            Self::Damaged(why) => (
                format!("This charter cannot be trusted. {why}"),
                "Take it again from the organiser.".into(),
            ),
            Self::Superseded { event, why } => (
                format!("This charter of {event} is not taken. {why}"),
                "The charter you have stays in force. Ask the organiser.".into(),
            ),
            Self::Trouble(t) => (t.what(), t.next().into()),
        }
    }
}

/// How a game stands to the charters of this phone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Under {
    /// It was set up without one.
    None,
    /// It names one that is not on this phone.
    NotHere,
    /// It names one that is here.
    Charter {
        /// The event's name here.
        event: String,
        /// What the event is called, and which game of the schedule it is.
        title: String,
        /// Everything that does not agree.
        objections: Vec<CharterObjection>,
    },
}

impl Under {
    /// How a game stands to the charter it was set up under, of these, in the
    /// version of that time.
    pub fn of(charters: &[KeptCharter], opening: &Opening) -> Self {
        Self::held_against(charters, opening, false)
    }

    /// How a game that has not begun stands to the version in force now.
    pub fn in_force(charters: &[KeptCharter], opening: &Opening) -> Self {
        Self::held_against(charters, opening, true)
    }

    fn held_against<'a>(charters: &'a [KeptCharter], opening: &Opening, newest: bool) -> Self {
        let Some(named) = opening.setup.charter else {
            return Self::None;
        };
        let with = |kept: &'a KeptCharter| Some((kept, kept.version(&named)?));
        let Some((kept, version)) = charters.iter().find_map(with) else {
            return Self::NotHere;
        };
        let in_force = kept.in_force().filter(|_| newest);
        let objections = in_force.unwrap_or(version).objections(opening);
        let charter = version.charter();
        let title = match opening.setup.fixture_number {
            Some(number) => format!("{}, game {number}", isolated(&charter.event)),
            None => charter.event.clone(),
        };
        Self::Charter {
            event: kept.event.clone(),
            title,
            objections,
        }
    }

    /// In words.
    pub fn says(&self) -> String {
        match self {
            Self::None => "Without a charter.".into(),
            Self::NotHere => "Under a charter that is not on this phone.".into(),
            Self::Charter { title, .. } => format!("Under the charter of {title}."),
        }
    }

    /// What does not agree, in words.
    pub fn objections(&self) -> Vec<String> {
        match self {
            Self::Charter { objections, .. } => {
                objections.iter().map(ToString::to_string).collect()
            }
            Self::NotHere => vec![
                "The charter of this game is not on this phone: take it from the organiser, \
                 so that teams, rules and keys can be looked at."
                    .into(),
            ],
            Self::None => Vec::new(),
        }
    }
}

impl AppState {
    /// Reads the charters of this phone.
    ///
    /// # Errors
    /// When the browser cannot read.
    pub(super) async fn read_charters(self) -> Result<(), Trouble> {
        self.charters.set(self.store()?.charters().await?);
        Ok(())
    }

    /// What charters that arrived are to this phone.
    ///
    /// # Errors
    /// When they are none, are damaged, or do not take the place of what is here.
    pub fn arrival(self, bytes: &[u8]) -> Result<Arrival, CharterNotTaken> {
        let arrived = SignedCharter::read_all(bytes).map_err(CharterNotTaken::Damaged)?;
        self.charters.with_untracked(|all| judged(all, &arrived))
    }

    /// Keeps charters that arrived; gives the event's name here. What other
    /// tabs kept meanwhile stays.
    ///
    /// # Errors
    /// When the phone cannot keep them.
    pub async fn keep_arrival(self, arrival: Arrival) -> Result<String, CharterNotTaken> {
        let arrived = match arrival {
            Arrival::Known { event } => return Ok(event),
            Arrival::New { kept, .. } | Arrival::More { kept, .. } | Arrival::Waits { kept } => {
                kept
            }
        };
        let arrived: Vec<_> = arrived.all().cloned().collect();
        let store = self.store().map_err(CharterNotTaken::Trouble)?;
        let all = store.charters().await.map_err(CharterNotTaken::Trouble)?;
        let kept = match judged(&all, &arrived)? {
            Arrival::Known { event } => return Ok(event),
            Arrival::New { kept, .. } | Arrival::More { kept, .. } | Arrival::Waits { kept } => {
                *kept
            }
        };
        let event = kept.event.clone();
        let done = self.keep_charter(kept).await;
        done.map_err(CharterNotTaken::Trouble)?;
        // No game has this name: the other tabs read their lists again.
        self.tell("");
        Ok(event)
    }

    /// Signs a charter with this phone's key and keeps it; gives the event's
    /// name here.
    ///
    /// # Errors
    /// When the browser does not sign or there is no room.
    pub async fn sign_charter(self, unsigned: UnsignedCharter) -> Result<String, NotRecorded> {
        let key = self.key()?;
        let signature = key.signature(&unsigned.to_be_signed()).await?;
        let signed = unsigned
            .assemble(&signature)
            .map_err(|why| Trouble::Browser(why.to_string()))?;
        let arrival = self.arrival(signed.bytes());
        let kept = match arrival {
            Ok(arrival) => self.keep_arrival(arrival).await,
            Err(why) => Err(why),
        };
        kept.map_err(|why| match why {
            CharterNotTaken::Trouble(trouble) => NotRecorded::Trouble(trouble),
            other => NotRecorded::Trouble(Trouble::Browser(other.says().0)),
        })
    }

    /// An event of this phone.
    pub fn event(self, name: &str) -> Option<KeptCharter> {
        let named = |all: &Vec<KeptCharter>| all.iter().find(|c| c.event == name).cloned();
        self.charters.with(named)
    }

    /// The event that a charter's hash belongs to, and that version.
    pub fn charter_named(self, hash: &Hash) -> Option<(String, SignedCharter<Verified>)> {
        self.charters.with(|all| {
            let with = |kept: &KeptCharter| {
                let version = kept.version(hash)?;
                Some((kept.event.clone(), version.clone()))
            };
            all.iter().find_map(with)
        })
    }

    /// Where a game of this phone stands, and why in sentences: by the charter
    /// in force of its event, where that is here.
    pub fn standing(self, book: &Book) -> (Status, Vec<String>) {
        let named = book.setup().charter;
        self.charters.with(|all| {
            let mut events = all.iter();
            let event = named.and_then(|hash| events.find(|k| k.version(&hash).is_some()));
            let charter = event.and_then(KeptCharter::in_force);
            book.status(charter.map_or(Authority::Nobody, |c| Authority::Charter(c.charter())))
        })
    }

    /// How a game stands to the charter it was set up under, in the version of
    /// that time.
    pub fn under(self, opening: &Opening) -> Under {
        self.charters.with(|all| Under::of(all, opening))
    }

    /// How a game that has not begun stands to the version in force now.
    pub fn under_in_force(self, opening: &Opening) -> Under {
        self.charters.with(|all| Under::in_force(all, opening))
    }

    /// What is to be known about the keys behind a game: changes within it,
    /// and another key than this official's other games of that day.
    pub fn key_notes(self, book: &Book) -> Vec<String> {
        let records = core::iter::once(&book.record).chain(book.others.iter().map(|o| &o.record));
        let mut notes = Vec::new();
        for record in records {
            let author = &record.opening().author;
            let who = if author.name.is_empty() {
                format!("The {}", author.role)
            } else {
                author.name.clone()
            };
            for entry in record.chain().entries() {
                if let Body::KeyChange(change) = entry.body() {
                    notes.push(format!(
                        "{who} signs with another key from entry {} on ({}): {}.",
                        entry_number(entry.payload().seq),
                        change.key.phrase(),
                        change.reason.trim_end_matches('.')
                    ));
                }
            }
            let begun = record
                .chain()
                .entries()
                .first()
                .map_or(0, |e| e.payload().claimed_ms);
            if self.other_key_that_day(author, begun) {
                notes.push(format!(
                    "{who} signed other games of this day with another key than this one ({}). \
                     Ask why the key changed.",
                    author.key.phrase()
                ));
            }
        }
        notes
    }

    /// Whether someone of this name and role signed another game of that day
    /// with another key.
    fn other_key_that_day(self, author: &Author, begun: u64) -> bool {
        if author.name.is_empty() {
            return false;
        }
        let differs = |record: &engine::log::GameRecord| {
            let other = &record.opening().author;
            let first = record.chain().entries().first();
            let when = first.map_or(0, |e| e.payload().claimed_ms);
            other.name == author.name
                && other.role == author.role
                && other.key != author.key
                && clock::same_day(when, begun)
        };
        self.games.with(|games| {
            let books = games.iter().filter_map(|g| g.book.as_ref().ok());
            books
                .filter(|b| !b.setup().demo)
                .any(|b| differs(&b.record) || b.others.iter().any(|o| differs(&o.record)))
        })
    }
}

/// What charters that arrived are to the events here.
pub(super) fn judged(
    all: &[KeptCharter],
    arrived: &[SignedCharter<Verified>],
) -> Result<Arrival, CharterNotTaken> {
    let new = KeptCharter::new(arrived).ok_or(CharterNotTaken::Damaged(CharterFileError::Empty))?;
    let newest = new.history().in_force();
    let mut refused = None;
    for kept in all {
        let together = Box::new(kept.with(arrived));
        if together == Box::new(kept.clone()) && kept.has(&newest.hash()) {
            return Ok(Arrival::Known {
                event: kept.event.clone(),
            });
        }
        if together.version(&newest.hash()).is_some() {
            let newer = together.in_force() != kept.in_force();
            return Ok(Arrival::More {
                kept: together,
                newer,
            });
        }
        if together.has(&newest.hash()) {
            return Ok(Arrival::Waits { kept: together });
        }
        if let Belonging::Refused(why) = kept.history().judge(newest) {
            refused = Some(CharterNotTaken::Superseded {
                event: kept.history().in_force().charter().event.clone(),
                why,
            });
        }
    }
    if let Some(refused) = refused {
        return Err(refused);
    }
    let name = |c: &SignedCharter<Verified>| c.charter().event.trim().to_lowercase();
    let namesake = all
        .iter()
        .filter_map(KeptCharter::in_force)
        .find(|c| name(c) == name(newest) && c.key() != newest.key())
        .map(|c| c.key().phrase().to_string());
    Ok(Arrival::New {
        kept: Box::new(new),
        namesake,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, missing_docs)]
    use engine::charter::Charter;
    use engine::log::{Role, SecretKey};
    use engine::rules::Edition;

    use super::*;

    fn charter(n: u8, edit: impl FnOnce(&mut Charter)) -> Box<SignedCharter<Verified>> {
        let key = SecretKey::from_random(&[n; 32]);
        let mut charter = Charter {
            editions: vec![(&Edition::federation()).into()],
            open: true,
            ..Charter::new(
                "Harbour Cup",
                "2026-06-13",
                Author::new(key.public(), "Maren Holt", Role::Organiser),
            )
        };
        edit(&mut charter);
        Box::new(charter.draft().unwrap().sign(&key).unwrap())
    }

    fn next(n: u8, of: &SignedCharter<Verified>) -> Box<SignedCharter<Verified>> {
        charter(n, |c| {
            c.version = of.charter().version + 1;
            c.supersedes = Some(of.hash());
            c.place = format!("after {}", of.hash());
        })
    }

    fn refusal(all: &[KeptCharter], signed: &SignedCharter<Verified>) -> SupersedeError {
        match judged(all, core::slice::from_ref(signed)).unwrap_err() {
            CharterNotTaken::Superseded { why, .. } => why,
            other => unreachable!("{other:?}"),
        }
    }

    fn arrives(
        all: &[KeptCharter],
        charters: &[&SignedCharter<Verified>],
    ) -> (&'static str, Option<KeptCharter>) {
        let charters: Vec<_> = charters.iter().map(|c| (*c).clone()).collect();
        match judged(all, &charters).unwrap() {
            Arrival::New { kept, .. } => ("new", Some(*kept)),
            Arrival::More { kept, newer: true } => ("newer", Some(*kept)),
            Arrival::More { kept, .. } => ("more", Some(*kept)),
            Arrival::Waits { kept } => ("waits", Some(*kept)),
            Arrival::Known { .. } => ("known", None),
        }
    }

    #[test]
    fn each_charter_is_known_for_what_it_is_to_the_phone() {
        let first = charter(9, |_| {});
        let second = next(9, &first);
        let (word, kept) = arrives(&[], &[&first]);
        assert_eq!(word, "new");
        let all = [kept.unwrap()];
        assert_eq!(arrives(&all, &[&first]).0, "known");
        assert_eq!(arrives(&all, &[&second]).0, "newer");
        assert_eq!(
            refusal(&all, &next(8, &first)),
            SupersedeError::OtherOrganiser
        );
    }

    #[test]
    fn whoever_missed_a_version_is_not_locked_out() {
        let first = charter(9, |_| {});
        let second = next(9, &first);
        let third = next(9, &second);
        let all = [arrives(&[], &[&first]).1.unwrap()];
        // A hand-over brings the whole chain.
        let (word, kept) = arrives(&all, &[&first, &second, &third]);
        assert_eq!(word, "newer");
        assert_eq!(kept.unwrap().in_force(), Some(&*third));
        // The newest alone is kept, and holds when the one between comes,
        // whichever way round.
        let (word, kept) = arrives(&all, &[&third]);
        assert_eq!(word, "waits");
        let all = [kept.unwrap()];
        assert_eq!(all[0].in_force(), Some(&*first));
        assert_eq!(arrives(&all, &[&third]).0, "known");
        let (word, kept) = arrives(&all, &[&second]);
        assert_eq!(word, "newer");
        let kept = kept.unwrap();
        assert_eq!(kept.in_force(), Some(&*third));
        assert!(kept.waiting().is_empty());
        // A phone that had none takes the newest alone.
        let (word, kept) = arrives(&[], &[&third]);
        assert_eq!(word, "new");
        let (word, kept) = arrives(&[kept.unwrap()], &[&first, &second, &third]);
        assert_eq!(word, "more");
        assert_eq!(kept.unwrap().history().versions().len(), 3);
    }

    #[test]
    fn an_older_version_does_not_become_an_event_of_its_own() {
        let first = charter(9, |_| {});
        let second = next(9, &first);
        let third = next(9, &second);
        let all = [arrives(&[], &[&second]).1.unwrap()];
        assert_eq!(arrives(&all, &[&first]).0, "more");
        let all = [arrives(&[], &[&third]).1.unwrap()];
        assert_eq!(arrives(&all, &[&first]).0, "waits");
    }

    #[test]
    fn a_namesake_by_another_key_is_told_apart() {
        let all = [arrives(&[], &[&charter(9, |_| {})]).1.unwrap()];
        let other = judged(&all, &[*charter(8, |_| {})]).unwrap();
        let phrase = SecretKey::from_random(&[9; 32]).public().phrase();
        assert!(matches!(other, Arrival::New { namesake: Some(p), .. } if p == phrase.to_string()));
    }
}
