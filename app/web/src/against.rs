//! What the event charters say to the games of this phone. Charters are large
//! to read, so the screens of a game leave that to the module beside them and
//! hear the outcome in words; nothing of it is kept.

use std::collections::BTreeMap;
use std::rc::Rc;

use engine::log::{Body, Entry};
use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;

use crate::chalk::Under;
use crate::store::{Store, Trouble};
use crate::tabs::Tabs;

/// The name of the line.
const LINE: &str = "chalkbook-charters";
/// Between two games, and between the words of one.
const GAMES: char = '\u{1e}';
const WORDS: char = '\u{1f}';

/// What the charters say to one game that names one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judged {
    /// How it stands to the version that it was set up under.
    pub stands: Stands,
    /// What does not agree with the version in force now, in words.
    pub against: Vec<String>,
}

/// How a game stands to the charter it names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// That charter is not on this phone.
    NotHere,
    /// As it says.
    Agrees,
    /// Not as it says.
    Differs,
}

impl Stands {
    const ALL: [(Self, &str); 3] = [
        (Self::NotHere, "not here"),
        (Self::Agrees, "agrees"),
        (Self::Differs, "differs"),
    ];
}

/// By game.
pub type AllJudged = BTreeMap<String, Judged>;

fn to_text(all: &AllJudged) -> String {
    let row = |(game, judged): (&String, &Judged)| {
        let stands = Stands::ALL.iter().find(|(s, _)| *s == judged.stands);
        let stands = stands.map_or("", |(_, word)| word);
        let words = [game.as_str(), stands].into_iter();
        let words = words.chain(judged.against.iter().map(String::as_str));
        words.collect::<Vec<_>>().join(&WORDS.to_string())
    };
    let rows: Vec<_> = all.iter().map(row).collect();
    rows.join(&GAMES.to_string())
}

fn from_text(text: &str) -> AllJudged {
    let row = |row: &str| {
        let mut words = row.split(WORDS).map(String::from);
        let (game, stands) = (words.next()?, words.next()?);
        let (stands, _) = Stands::ALL.into_iter().find(|(_, word)| *word == stands)?;
        let against = words.collect();
        Some((game, Judged { stands, against }))
    };
    text.split(GAMES).filter_map(row).collect()
}

/// What was heard of the charters, on the screens of a game.
#[derive(Clone, Copy)]
pub struct Heard(RwSignal<AllJudged>);

impl Heard {
    /// Listens, from now on.
    pub fn listen() -> Self {
        let all = RwSignal::new(AllJudged::new());
        let line = Tabs::on(LINE, move |text| all.set(from_text(&text)));
        // The page lives as long as this line.
        core::mem::forget(line);
        Self(all)
    }

    /// What they say to a game; `None` until it is known.
    pub fn of(self, game: &str) -> Option<Judged> {
        self.0.with(|all| all.get(game).cloned())
    }
}

/// The shared context of the screens of a game.
pub fn heard() -> Heard {
    expect_context()
}

/// Says what the charters say to the games, now and whenever a game or a
/// charter has changed, for as long as the page lives.
pub async fn judge(store: Rc<Store>) {
    let Some(line) = Tabs::on(LINE, |_| ()) else {
        return;
    };
    let line = Rc::new(line);
    let said = StoredValue::new_local(None::<AllJudged>);
    let say = move || {
        let (store, line) = (store.clone(), line.clone());
        async move {
            // Unreadable, the screens say so themselves.
            let Ok(all) = all_judged(&store).await else {
                return;
            };
            if said.with_value(|s| s.as_ref() != Some(&all)) {
                line.tell(&to_text(&all));
                said.set_value(Some(all));
            }
        }
    };
    say().await;
    let known =
        move |game: &str| said.with_value(|s| s.as_ref().is_some_and(|all| all.contains_key(game)));
    // A game that is known keeps its opening; only its plays change.
    let changes = Tabs::open(move |game| {
        if !known(&game) {
            spawn_local(say());
        }
    });
    core::mem::forget(changes);
}

async fn all_judged(store: &Store) -> Result<AllJudged, Trouble> {
    let charters = store.charters().await?;
    let mut all = AllJudged::new();
    for listed in store.games().await? {
        let Some(first) = store.opening(&listed).await? else {
            continue;
        };
        let Ok(Body::Opening(opening)) = Entry::parse(&first).map(|e| e.body().clone()) else {
            continue;
        };
        if opening.setup.charter.is_none() {
            continue;
        }
        let stands = match Under::of(&charters, &opening) {
            Under::NotHere => Stands::NotHere,
            under if under.objections().is_empty() => Stands::Agrees,
            _ => Stands::Differs,
        };
        let against = Under::in_force(&charters, &opening).objections();
        all.insert(listed.game, Judged { stands, against });
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_is_heard() {
        let one = |stands, against: &[&str]| Judged {
            stands,
            against: against.iter().map(|a| a.to_string()).collect(),
        };
        let all: AllJudged = [
            ("a".to_string(), one(Stands::Agrees, &[])),
            ("b".to_string(), one(Stands::NotHere, &["It is not here."])),
            (
                "c".to_string(),
                one(Stands::Differs, &["One.", "Two, three."]),
            ),
        ]
        .into();
        assert_eq!(from_text(&to_text(&all)), all);
        assert_eq!(from_text(&to_text(&AllJudged::new())), AllJudged::new());
        assert_eq!(from_text("nonsense"), AllJudged::new());
    }
}
