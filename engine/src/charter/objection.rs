//! What a charter says against a game before its first play.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::SignedCharter;
use crate::log::{Author, Fingerprint, Hash, Opening, Role, Setup, Verified};
use crate::message::{localized, text};
use crate::team::{CardObjection, Side};

/// What does not agree between an opening and the charter in force. The game
/// can be played and recorded all the same; it is said, and kept.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CharterObjection {
    /// The game is set up under another charter or version.
    #[message(named = named.is_some())]
    OtherCharter {
        /// The charter the setup names; `None` when it names none.
        named: Option<Hash>,
    },
    /// The game is played under other rules.
    WrongEdition {
        /// What the charter says.
        expected: String,
        /// What the setup says.
        found: String,
    },
    /// The keeper of the log is not listed.
    #[message(name = if name.is_empty() { "its nameless keeper" } else { name }, key = key.phrase())]
    UnlistedKey {
        /// Whose key it is said to be.
        name: String,
        /// The key.
        key: Fingerprint,
        /// Whether the event lets anyone keep a log.
        open: bool,
    },
    /// The keeper of the log is listed with another role.
    OtherRole {
        /// The role in the charter.
        listed: Role,
        /// The role in the log.
        claimed: Role,
    },
    /// The keeper of the log is listed with another name.
    OtherName {
        /// The name in the charter.
        listed: String,
        /// The name in the log.
        claimed: String,
    },
    /// A team that is not in the event.
    #[message(name = _1)]
    UnknownTeam(Side, String),
    /// A card against the team's roster.
    #[message(home = *_0 == Side::Home, objection = _1)]
    Card(Side, CardObjection),
    /// A fixture that is not in the schedule.
    #[message(number = _0)]
    UnknownFixture(u32),
    /// The fixture is between other teams, or the sides are the other way round.
    #[message(home = *side == Side::Home)]
    FixtureTeams {
        /// The fixture.
        number: u32,
        /// The side that differs.
        side: Side,
        /// The team in the schedule.
        expected: String,
    },
    /// The fixture is on another court.
    FixtureCourt {
        /// The fixture.
        number: u32,
        /// The court in the schedule.
        expected: String,
    },
}

impl CharterObjection {
    /// The sentence for everyone: without officials' names, which the charter's
    /// privacy setting says nothing about.
    #[must_use]
    pub fn for_everyone(&self) -> String {
        match self {
            Self::UnlistedKey { open: true, .. } => text!("unlisted-key-open"),
            Self::UnlistedKey { .. } => text!("unlisted-key"),
            Self::OtherName { .. } => text!("other-name"),
            other => other.to_string(),
        }
    }
}

impl SignedCharter<Verified> {
    /// Everything in an opening that does not agree with this charter; empty
    /// when it does. To be said before the first play.
    #[must_use]
    pub fn objections(&self, opening: &Opening) -> Vec<CharterObjection> {
        let mut wrong = self.to_setup(&opening.setup);
        wrong.extend(self.to_author(&opening.author));
        wrong
    }

    /// What does not agree in a setup.
    #[must_use]
    pub fn to_setup(&self, setup: &Setup) -> Vec<CharterObjection> {
        let charter = self.charter();
        let mut wrong = Vec::new();
        if setup.charter != Some(self.hash()) {
            wrong.push(CharterObjection::OtherCharter {
                named: setup.charter,
            });
        }
        if let Some(expected) = charter.edition_of(setup.fixture_number) {
            // Compared as editions: the order of changes is no difference.
            let same = match (expected.edition(), setup.edition.edition()) {
                (Ok(a), Ok(b)) => a == b,
                _ => *expected == setup.edition,
            };
            if !same {
                wrong.push(CharterObjection::WrongEdition {
                    expected: expected.to_string(),
                    found: setup.edition.to_string(),
                });
            }
        }
        for side in Side::BOTH {
            let card = &setup.cards[side];
            match charter.team(&card.team) {
                None => wrong.push(CharterObjection::UnknownTeam(side, card.team.clone())),
                Some(team) => {
                    let absent = card.against_roster(&team.roster).into_iter();
                    wrong.extend(absent.map(|o| CharterObjection::Card(side, o)));
                }
            }
        }
        let Some(number) = setup.fixture_number else {
            return wrong;
        };
        let Some(game) = charter.fixture(number) else {
            wrong.push(CharterObjection::UnknownFixture(number));
            return wrong;
        };
        let sides = [(Side::Guest, &game.guest), (Side::Home, &game.home)];
        let swapped = setup.cards.guest.team == *game.home.as_deref().unwrap_or_default()
            && setup.cards.home.team == *game.guest.as_deref().unwrap_or_default();
        // Where a toss decides, the schedule names the two teams in no order.
        let by_toss = swapped && charter.by_toss(number);
        for (side, scheduled) in sides.into_iter().filter(|_| !by_toss) {
            if let Some(expected) = scheduled.clone().filter(|t| *t != setup.cards[side].team) {
                wrong.push(CharterObjection::FixtureTeams {
                    number,
                    side,
                    expected,
                });
            }
        }
        if setup.court.as_ref().is_some_and(|c| *c != game.court) {
            wrong.push(CharterObjection::FixtureCourt {
                number,
                expected: game.court.clone(),
            });
        }
        wrong
    }

    /// What does not agree in who keeps a log.
    #[must_use]
    pub fn to_author(&self, author: &Author) -> Vec<CharterObjection> {
        let charter = self.charter();
        let Some(listed) = charter.endorsement(&author.key) else {
            return alloc::vec![CharterObjection::UnlistedKey {
                name: author.name.clone(),
                key: author.key.fingerprint(),
                open: charter.open,
            }];
        };
        let mut wrong = Vec::new();
        if listed.role != author.role {
            wrong.push(CharterObjection::OtherRole {
                listed: listed.role,
                claimed: author.role,
            });
        }
        if listed.name != author.name {
            wrong.push(CharterObjection::OtherName {
                listed: listed.name.clone(),
                claimed: author.name.clone(),
            });
        }
        wrong
    }
}
