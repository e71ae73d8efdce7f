//! What a charter says against a game before its first play.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::SignedCharter;
use crate::log::{Author, Fingerprint, Hash, Opening, Role, Setup, Verified};
use crate::team::{CardObjection, Side};

/// What does not agree between an opening and the charter in force. The game
/// can be played and recorded all the same; it is said, and kept.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CharterObjection {
    /// The game is set up under another charter or version.
    #[error("The game is set up {}", if .named.is_none() { "without the event's charter." } else { "under another version of the charter: take the newest one on both phones." })]
    OtherCharter {
        /// The charter the setup names; `None` when it names none.
        named: Option<Hash>,
    },
    /// The game is played under other rules.
    #[error(
        "The event plays by {expected}, this game is set to {found}: change the rules before the first play."
    )]
    WrongEdition {
        /// What the charter says.
        expected: String,
        /// What the setup says.
        found: String,
    },
    /// The keeper of the log is not listed.
    #[error("The charter does not list the key of {} ({}){}", if .name.is_empty() { "its nameless keeper" } else { .name }, .key.phrase(), if *.open { ": in this event anyone may keep a log." } else { ": ask the organiser to add it." })]
    UnlistedKey {
        /// Whose key it is said to be.
        name: String,
        /// The key.
        key: Fingerprint,
        /// Whether the event lets anyone keep a log.
        open: bool,
    },
    /// The keeper of the log is listed with another role.
    #[error("The charter lists this key as {listed}, not as {claimed}.")]
    OtherRole {
        /// The role in the charter.
        listed: Role,
        /// The role in the log.
        claimed: Role,
    },
    /// The keeper of the log is listed with another name.
    #[error("The charter lists this key for {listed}, not for {claimed}.")]
    OtherName {
        /// The name in the charter.
        listed: String,
        /// The name in the log.
        claimed: String,
    },
    /// A team that is not in the event.
    #[error("{1} is not a team of this event: look for a slip in the name.")]
    UnknownTeam(Side, String),
    /// A card against the team's roster.
    #[error("{}: {}", if *.0 == Side::Guest { "Guests" } else { "Home side" }, .1)]
    Card(Side, CardObjection),
    /// A fixture that is not in the schedule.
    #[error("The schedule has no game {0}.")]
    UnknownFixture(u32),
    /// The fixture is between other teams, or the sides are the other way round.
    #[error("In game {number} of the schedule {} {expected}.", if *.side == Side::Guest { "the guests are" } else { "the home side is" })]
    FixtureTeams {
        /// The fixture.
        number: u32,
        /// The side that differs.
        side: Side,
        /// The team in the schedule.
        expected: String,
    },
    /// The fixture is on another court.
    #[error("Game {number} of the schedule is on {expected}.")]
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
            Self::UnlistedKey { open: true, .. } => {
                "A record was kept with a key that the charter does not list: in this event anyone may keep one.".into()
            }
            Self::UnlistedKey { .. } => {
                "A record was kept with a key that the charter does not list.".into()
            }
            Self::OtherName { .. } => {
                "A record was kept under another name than the charter lists its key with.".into()
            }
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
