//! Who misses games after being sent off.

use alloc::string::String;
use alloc::vec::Vec;

use super::GameReport;
use crate::message::{Speech, says, text};
use crate::team::{Shirt, Side};

/// A player who was sent off and misses the next games of the team, in the order
/// of the schedule. How many is a rule value of the game.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suspension {
    /// The team.
    pub team: String,
    /// The number worn.
    pub shirt: Shirt,
    /// Number of the fixture in which it happened.
    pub sent_off_in: u32,
    /// How many games are missed.
    pub games: u8,
    /// Those of them that the team has played, by fixture.
    pub served: Vec<u32>,
}

impl Suspension {
    /// Games still to be missed.
    #[must_use]
    pub fn left(&self) -> usize {
        usize::from(self.games).saturating_sub(self.served.len())
    }

    /// Whether the player may not play in this fixture of the team.
    #[must_use]
    pub fn holds_in(&self, fixture: u32) -> bool {
        let before = self.served.iter().filter(|n| **n < fixture).count();
        fixture > self.sent_off_in && before < usize::from(self.games)
    }

    fn say<S: Speech>(&self) -> S {
        let (team, shirt, game) = (&self.team, self.shirt, self.sent_off_in);
        text!("suspension", team, shirt, game, left = self.left())
    }
}

says!(Suspension);

/// Those that follow from these games, by fixture.
pub(super) fn suspensions(games: &[&GameReport]) -> Vec<Suspension> {
    let counts = |g: &&&GameReport| g.counts();
    let mut found: Vec<Suspension> = Vec::new();
    for game in games.iter().filter(counts) {
        let (Some(fixture), true) = (game.fixture, game.ejection_carries > 0) else {
            continue;
        };
        for (side, shirt) in &game.sent_off {
            let team = &game.teams[*side];
            let mut served: Vec<u32> = games
                .iter()
                .filter(counts)
                .filter(|g| g.standing.is_some())
                .filter(|g| Side::BOTH.into_iter().any(|s| g.teams[s] == *team))
                .filter_map(|g| g.fixture.filter(|n| *n > fixture))
                .collect();
            served.sort_unstable();
            served.dedup();
            served.truncate(usize::from(game.ejection_carries));
            let suspension = Suspension {
                team: team.clone(),
                shirt: *shirt,
                sent_off_in: fixture,
                games: game.ejection_carries,
                served,
            };
            // Two records of a fixture tell of one ejection.
            if !found.contains(&suspension) {
                found.push(suspension);
            }
        }
    }
    found.sort_by_key(|s| s.sent_off_in);
    found
}
