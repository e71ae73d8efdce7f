//! A game as everyone may be shown it.

use alloc::format;
use alloc::string::String;

use super::{Backing, GameReport};
use crate::charter::Charter;
use crate::log::Hash;
use crate::team::BySide;

impl GameReport {
    /// The same without what only strangers wrote: `None` where nothing of it
    /// is theirs alone. Where nobody whom the charter lists kept the game and
    /// the organiser has not let it stand, its title and court are the
    /// charter's or none, and a team that the charter does not list has a number
    /// instead of its name, the same in every game.
    #[must_use]
    pub fn for_everyone(&self, charter: &Charter) -> Option<Self> {
        let theirs = matches!(self.backing, Backing::Anyone | Backing::Strangers);
        let vouched = self.decided().is_some() && self.counts();
        if !theirs || vouched {
            return None;
        }
        let fixture = self.fixture.and_then(|number| charter.fixture(number));
        let on_list = |court: &String| charter.fixtures.iter().any(|f| f.court == *court);
        let team = |name: &String| match charter.team(name) {
            Some(_) => name.clone(),
            None => {
                let [a, b, ..] = Hash::of(name.as_bytes()).0;
                format!("Unlisted team {a:02x}{b:02x}")
            }
        };
        Some(Self {
            title: fixture.map(|f| f.title.clone()),
            court: self.court.clone().filter(on_list),
            teams: BySide::from_fn(|side| team(&self.teams[side])),
            ..self.clone()
        })
    }
}
