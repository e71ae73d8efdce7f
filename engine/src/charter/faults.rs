//! What can be wrong inside a charter.

use alloc::string::String;
use alloc::vec::Vec;

use super::{Charter, EndedKey};
use crate::competition::schedule::ScheduleProblem;
use crate::log::body::edition_fits;
use crate::log::bounds::at_most;
use crate::log::{EditionTextError, OutOfTime, Setup, TooLarge};
use crate::team::Shirt;

/// What is wrong inside a charter.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CharterFault {
    /// No edition is named.
    #[error("No rules are chosen: choose an edition.")]
    NoEdition,
    /// An edition that this app cannot make.
    #[error(transparent)]
    Edition(EditionTextError),
    /// Two teams with one name.
    #[error("Two teams are called {0}: give each its own name.")]
    TeamTwice(String),
    /// A number twice on a roster.
    #[error("Number {shirt} is on the roster of {team} twice.")]
    NumberTwice {
        /// The team.
        team: String,
        /// The number.
        shirt: Shirt,
    },
    /// One key for two officials.
    #[error("The key of {0} is listed twice: each official has their own.")]
    KeyTwice(String),
    /// Two fixtures with one number.
    #[error("Two games have number {0}.")]
    FixtureTwice(u32),
    /// A fixture of a team that is not in the event.
    #[error("Game {number} names {team}, which is not a team of the event.")]
    FixtureTeam {
        /// The fixture's number.
        number: u32,
        /// The name given.
        team: String,
    },
    /// A fixture of a team against itself.
    #[error("Game {0} has the same team on both sides.")]
    FixtureAlone(u32),
    /// A fixture under an edition that is not listed.
    #[error("Game {0} is under rules that are not listed.")]
    FixtureEdition(u32),
    /// The date is no day of the years 2000 to 2099 written as year-month-day.
    #[error("\"{0}\" is no date: write year-month-day, as 2026-06-13.")]
    Date(String),
    /// The first version is 1 and takes no other's place; later ones do.
    #[error(
        "The first version of a charter is 1 and replaces none; a later one names the one it replaces."
    )]
    Version,
    /// The competition cannot be arranged as it says.
    #[error(transparent)]
    Arranged(ScheduleProblem),
    /// A field is too long.
    #[error(transparent)]
    TooLarge(TooLarge),
    /// A fixture starts at a time that no log may name.
    #[error("Game {0} starts at a time that is not between the years 2000 and 2100.")]
    FixtureTime(u32),
}

impl Charter {
    pub(super) fn check_bounds(&self) -> Result<(), TooLarge> {
        let name = |what, text: &str| at_most(what, text.len(), Setup::NAME_LIMIT);
        name("event's name", &self.event)?;
        name("date", &self.date)?;
        at_most("place", self.place.len(), Setup::TITLE_LIMIT)?;
        name("organiser's name", &self.organiser.name)?;
        at_most("list of teams", self.teams.len(), Self::TEAMS_LIMIT)?;
        at_most(
            "list of officials",
            self.officials.len(),
            Self::OFFICIALS_LIMIT,
        )?;
        at_most("schedule", self.fixtures.len(), Self::FIXTURES_LIMIT)?;
        at_most(
            "list of editions",
            self.editions.len(),
            Self::EDITIONS_LIMIT,
        )?;
        at_most(
            "list of collectors",
            self.collectors.len(),
            Self::COLLECTORS_LIMIT,
        )?;
        self.editions.iter().try_for_each(edition_fits)?;
        self.arranged.as_ref().map_or(Ok(()), |a| a.fits())?;
        for team in &self.teams {
            name("team's name", &team.name)?;
            at_most("roster", team.roster.len(), Setup::PLAYERS_LIMIT)?;
            team.roster
                .iter()
                .try_for_each(|p| name("player's name", &p.name))?;
        }
        at_most("list of ended keys", self.ended.len(), Self::ENDED_LIMIT)?;
        for ended in &self.ended {
            at_most("list of logs", ended.good.len(), EndedKey::GOOD_LIMIT)?;
        }
        let ended = self.ended.iter().map(|e| &e.author);
        let listed = self.officials.iter().chain(&self.collectors).chain(ended);
        listed
            .into_iter()
            .try_for_each(|o| name("official's name", &o.name))?;
        self.fixtures.iter().try_for_each(|g| {
            at_most("title", g.title.len(), Setup::TITLE_LIMIT)?;
            at_most("court's name", g.court.len(), Setup::TITLE_LIMIT)?;
            name("team's name", g.guest.as_deref().unwrap_or_default())?;
            name("team's name", g.home.as_deref().unwrap_or_default())
        })
    }

    /// Everything that is wrong inside the charter; empty when it is sound.
    #[must_use]
    pub fn faults(&self) -> Vec<CharterFault> {
        let mut wrong = Vec::new();
        wrong.extend(self.check_bounds().err().map(CharterFault::TooLarge));
        if self.editions.is_empty() {
            wrong.push(CharterFault::NoEdition);
        }
        let editions = self.editions.iter().filter_map(|e| e.edition().err());
        wrong.extend(editions.map(CharterFault::Edition));
        if wrong.is_empty()
            && let Some(Err(problems)) = self.schedule()
        {
            wrong.extend(problems.into_iter().map(CharterFault::Arranged));
        }
        if self.day().is_none() {
            wrong.push(CharterFault::Date(self.date.clone()));
        }
        if (self.version == 1) == self.supersedes.is_some() || self.version == 0 {
            wrong.push(CharterFault::Version);
        }
        for (i, team) in self.teams.iter().enumerate() {
            if self.teams[..i].iter().any(|t| t.name == team.name) {
                wrong.push(CharterFault::TeamTwice(team.name.clone()));
            }
            for (j, player) in team.roster.iter().enumerate() {
                if team.roster[..j].iter().any(|p| p.shirt == player.shirt) {
                    wrong.push(CharterFault::NumberTwice {
                        team: team.name.clone(),
                        shirt: player.shirt,
                    });
                }
            }
        }
        for (i, official) in self.officials.iter().enumerate() {
            if self.officials[..i].iter().any(|o| o.key == official.key) {
                wrong.push(CharterFault::KeyTwice(official.name.clone()));
            }
        }
        for (i, ended) in self.ended.iter().enumerate() {
            let key = &ended.author.key;
            let twice = self.ended[..i].iter().any(|e| e.author.key == *key);
            if twice || self.endorsement(key).is_some() {
                wrong.push(CharterFault::KeyTwice(ended.author.name.clone()));
            }
        }
        for (i, game) in self.fixtures.iter().enumerate() {
            let number = game.number;
            if self.fixtures[..i].iter().any(|g| g.number == number) {
                wrong.push(CharterFault::FixtureTwice(number));
            }
            for team in [&game.guest, &game.home].into_iter().flatten() {
                if self.team(team).is_none() {
                    let team = team.clone();
                    wrong.push(CharterFault::FixtureTeam { number, team });
                }
            }
            // A day that is none has been said already, and the times follow from it.
            if self.day().is_some() && OutOfTime::check(game.starts).is_err() {
                wrong.push(CharterFault::FixtureTime(number));
            }
            if game.guest.is_some() && game.guest == game.home {
                wrong.push(CharterFault::FixtureAlone(number));
            }
            if usize::from(game.edition) >= self.editions.len().max(1) {
                wrong.push(CharterFault::FixtureEdition(number));
            }
        }
        wrong
    }
}
