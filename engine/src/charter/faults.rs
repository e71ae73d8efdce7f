//! What can be wrong inside a charter.

use alloc::string::String;
use alloc::vec::Vec;

use super::{Charter, EndedKey};
use crate::competition::schedule::ScheduleProblem;
use crate::log::body::edition_fits;
use crate::log::bounds::{Field, at_most};
use crate::log::{EditionTextError, OutOfTime, Setup, TooLarge};
use crate::message::localized;
use crate::team::Shirt;

/// What is wrong inside a charter.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CharterFault {
    /// No edition is named.
    NoEdition,
    /// An edition that this app cannot make.
    #[message(transparent)]
    Edition(EditionTextError),
    /// Two teams with one name.
    #[message(name = _0)]
    TeamTwice(String),
    /// A number twice on a roster.
    NumberTwice {
        /// The team.
        team: String,
        /// The number.
        shirt: Shirt,
    },
    /// One key for two officials.
    #[message(name = _0)]
    KeyTwice(String),
    /// Two fixtures with one number.
    #[message(number = _0)]
    FixtureTwice(u32),
    /// A fixture of a team that is not in the event.
    FixtureTeam {
        /// The fixture's number.
        number: u32,
        /// The name given.
        team: String,
    },
    /// A fixture of a team against itself.
    #[message(number = _0)]
    FixtureAlone(u32),
    /// A fixture under an edition that is not listed.
    #[message(number = _0)]
    FixtureEdition(u32),
    /// The date is no day of the years 2000 to 2099 written as year-month-day.
    #[message(name = _0)]
    Date(String),
    /// The first version is 1 and takes no other's place; later ones do.
    Version,
    /// The competition cannot be arranged as it says.
    #[message(transparent)]
    Arranged(ScheduleProblem),
    /// A field is too long.
    #[message(transparent)]
    TooLarge(TooLarge),
    /// A fixture starts at a time that no log may name.
    #[message(number = _0)]
    FixtureTime(u32),
}

impl Charter {
    pub(super) fn check_bounds(&self) -> Result<(), TooLarge> {
        let name = |what, text: &str| at_most(what, text.len(), Setup::NAME_LIMIT);
        name(Field::EventName, &self.event)?;
        name(Field::Date, &self.date)?;
        at_most(Field::Place, self.place.len(), Setup::TITLE_LIMIT)?;
        name(Field::OrganiserName, &self.organiser.name)?;
        at_most(Field::Teams, self.teams.len(), Self::TEAMS_LIMIT)?;
        at_most(
            Field::Officials,
            self.officials.len(),
            Self::OFFICIALS_LIMIT,
        )?;
        at_most(Field::Schedule, self.fixtures.len(), Self::FIXTURES_LIMIT)?;
        at_most(Field::Editions, self.editions.len(), Self::EDITIONS_LIMIT)?;
        at_most(
            Field::Collectors,
            self.collectors.len(),
            Self::COLLECTORS_LIMIT,
        )?;
        self.editions.iter().try_for_each(edition_fits)?;
        self.arranged.as_ref().map_or(Ok(()), |a| a.fits())?;
        for team in &self.teams {
            name(Field::TeamName, &team.name)?;
            at_most(Field::Roster, team.roster.len(), Setup::PLAYERS_LIMIT)?;
            team.roster
                .iter()
                .try_for_each(|p| name(Field::PlayerName, &p.name))?;
        }
        at_most(Field::EndedKeys, self.ended.len(), Self::ENDED_LIMIT)?;
        for ended in &self.ended {
            at_most(Field::Logs, ended.good.len(), EndedKey::GOOD_LIMIT)?;
        }
        let ended = self.ended.iter().map(|e| &e.author);
        let listed = self.officials.iter().chain(&self.collectors).chain(ended);
        listed
            .into_iter()
            .try_for_each(|o| name(Field::OfficialName, &o.name))?;
        self.fixtures.iter().try_for_each(|g| {
            at_most(Field::Title, g.title.len(), Setup::TITLE_LIMIT)?;
            at_most(Field::CourtName, g.court.len(), Setup::TITLE_LIMIT)?;
            name(Field::TeamName, g.guest.as_deref().unwrap_or_default())?;
            name(Field::TeamName, g.home.as_deref().unwrap_or_default())
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
