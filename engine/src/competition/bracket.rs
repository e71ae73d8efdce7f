//! Who is still in: the meetings of a schedule filled in from results.

use alloc::string::String;
use alloc::vec::Vec;

use super::Entrant;
use super::schedule::{Meeting, Participant, Schedule, ScheduledGame, Stage};
use crate::Problems;
use crate::message::localized;
use crate::rules::Series;

/// Who won a game of the schedule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct GameOutcome {
    /// The game's number in the schedule.
    pub game: u16,
    /// The winner.
    pub winner: Entrant,
}

/// What is wrong with the results given for a schedule.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum BracketProblem {
    /// The schedule has no game of this number.
    #[message(number = _0)]
    UnknownGame(u16),
    /// This game has two results.
    #[message(number = _0)]
    GameTwice(u16),
    /// The sides of this game are not both known yet.
    #[message(number = _0)]
    TooEarly(u16),
    /// The winner given does not play in this game.
    #[message(team = winner.index() + 1)]
    NotASide {
        /// The game.
        game: u16,
        /// The winner given.
        winner: Entrant,
    },
    /// The series was decided before this game.
    #[message(number = _0)]
    NotNeeded(u16),
    /// Orders are given for so many pools, the schedule has another number.
    PoolCount {
        /// Orders given.
        given: usize,
        /// Pools of the schedule.
        pools: usize,
    },
    /// The order given for this pool, from 0, does not hold each of its teams
    /// once.
    #[message(stage = Stage::Pool(u8::try_from(*_0).unwrap_or(u8::MAX)))]
    PoolOrder(usize),
}

/// How far a game of the schedule is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum GameState {
    /// A side is not known yet.
    Waiting,
    /// Both sides are known; not yet played.
    Ready,
    /// Won by this team.
    Won(Entrant),
    /// The series was decided without it.
    NotNeeded,
    /// The organiser closed its place without a result.
    NotPlayed,
}

impl GameState {
    /// The documented name, as files have it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Ready => "ready",
            Self::Won(_) => "won",
            Self::NotNeeded => "not needed",
            Self::NotPlayed => "not played",
        }
    }
}

/// A meeting as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct MeetingState {
    /// The sides, in the order of the schedule's meeting.
    pub sides: [Option<Entrant>; 2],
    /// Games won by each side.
    pub wins: [u8; 2],
    /// The winner once there is one.
    pub winner: Option<Entrant>,
    /// The loser once there is one.
    pub loser: Option<Entrant>,
}

/// The schedule's meetings and games filled in from results.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Progress {
    meetings: Vec<MeetingState>,
    games: Vec<GameState>,
    places: Vec<Option<Vec<Entrant>>>,
    podium: [Option<Entrant>; 3],
}

impl Progress {
    /// The state of a schedule after these results.
    ///
    /// `pools` holds the order of each pool of the schedule, best first, or
    /// `None` while it is not final: a pool decides nothing before that.
    ///
    /// # Errors
    /// Every problem of the results at once.
    pub fn of(
        schedule: &Schedule,
        pools: &[Option<Vec<Entrant>>],
        outcomes: &[GameOutcome],
    ) -> Result<Self, Problems<BracketProblem>> {
        let mut problems = pool_problems(schedule, pools);
        let mut seen: Vec<bool> = alloc::vec![false; schedule.games().len()];
        for outcome in outcomes {
            let at = usize::from(outcome.game).checked_sub(1);
            match at.and_then(|at| seen.get_mut(at)) {
                None => problems.push(BracketProblem::UnknownGame(outcome.game)),
                Some(true) => problems.push(BracketProblem::GameTwice(outcome.game)),
                Some(seen) => *seen = true,
            }
        }
        let mut progress = Self::begin(schedule, pools);
        let by_meeting = schedule.games_by_meeting();
        for (meeting, games) in schedule.meetings().iter().zip(by_meeting) {
            progress.enter(meeting, &games, outcomes, &mut problems);
        }
        Problems::none(problems)?;
        Ok(progress)
    }

    /// Nothing played yet; meetings are entered in the order of their numbers.
    pub(super) fn begin(schedule: &Schedule, pools: &[Option<Vec<Entrant>>]) -> Self {
        Self {
            meetings: Vec::with_capacity(schedule.meetings().len()),
            games: alloc::vec![GameState::Waiting; schedule.games().len()],
            places: pools.to_vec(),
            podium: [None; 3],
        }
    }

    /// Closes the place of a game that has no result and will get none.
    pub(super) fn close(&mut self, number: u16) {
        let at = usize::from(number).checked_sub(1);
        if let Some(state @ (GameState::Waiting | GameState::Ready)) =
            at.and_then(|at| self.games.get_mut(at))
        {
            *state = GameState::NotPlayed;
        }
    }

    /// The sides of a meeting as far as they are known.
    pub(super) fn sides(&self, meeting: &Meeting) -> [Option<Entrant>; 2] {
        meeting.sides.map(|side| self.team(side))
    }

    /// Enters the next meeting with those of the outcomes that are its own.
    pub(super) fn enter(
        &mut self,
        meeting: &Meeting,
        games: &[&ScheduledGame],
        outcomes: &[GameOutcome],
        problems: &mut Vec<BracketProblem>,
    ) {
        let state = self.play(meeting, games, outcomes, problems);
        self.meetings.push(state);
        match meeting.stage {
            Stage::Knockout { places: 2 } | Stage::Series => {
                self.podium[..2].copy_from_slice(&[state.winner, state.loser]);
            }
            Stage::ThirdPlace => self.podium[2] = state.winner,
            _ => {}
        }
    }

    /// Plays one meeting; its games are in the order of the series.
    fn play(
        &mut self,
        meeting: &Meeting,
        games: &[&ScheduledGame],
        outcomes: &[GameOutcome],
        problems: &mut Vec<BracketProblem>,
    ) -> MeetingState {
        let sides = self.sides(meeting);
        let needed = match meeting.length {
            Series::Single => 1,
            Series::BestOfThree => 2,
        };
        let mut state = MeetingState {
            sides,
            wins: [0; 2],
            winner: None,
            loser: None,
        };
        for game in games {
            let at = usize::from(game.number) - 1;
            let outcome = outcomes.iter().find(|o| o.game == game.number);
            let won = outcome.map(|o| o.winner);
            let [Some(a), Some(b)] = sides else {
                if won.is_some() {
                    problems.push(BracketProblem::TooEarly(game.number));
                }
                continue;
            };
            self.games[at] = match (won, state.winner) {
                (None, None) => GameState::Ready,
                (None, Some(_)) => GameState::NotNeeded,
                (Some(_), Some(_)) => {
                    problems.push(BracketProblem::NotNeeded(game.number));
                    GameState::NotNeeded
                }
                (Some(winner), None) => {
                    let Some(side) = [a, b].iter().position(|s| *s == winner) else {
                        problems.push(BracketProblem::NotASide {
                            game: game.number,
                            winner,
                        });
                        continue;
                    };
                    state.wins[side] += 1;
                    if state.wins[side] == needed {
                        (state.winner, state.loser) = (Some(winner), Some([b, a][side]));
                    }
                    GameState::Won(winner)
                }
            };
        }
        state
    }

    /// The team behind a side, once known.
    #[must_use]
    pub fn team(&self, side: Participant) -> Option<Entrant> {
        let state = |number: u16| self.meetings.get(usize::from(number).checked_sub(1)?);
        match side {
            Participant::Team(team) => Some(team),
            Participant::Winner(number) => state(number)?.winner,
            Participant::Loser(number) => state(number)?.loser,
            Participant::Place { pool, place } => {
                let order = self.places.get(usize::from(pool))?.as_ref()?;
                order.get(usize::from(place).checked_sub(1)?).copied()
            }
        }
    }

    /// A side in words: the team once known, else what it is played for.
    #[must_use]
    pub fn side_name(&self, schedule: &Schedule, side: Participant) -> String {
        schedule.side_name(self.team(side).map_or(side, Participant::Team))
    }

    /// The meetings, by number from 1.
    #[must_use]
    pub fn meetings(&self) -> &[MeetingState] {
        &self.meetings
    }

    /// The games, by number from 1.
    #[must_use]
    pub fn games(&self) -> &[GameState] {
        &self.games
    }

    /// First, second and third, as far as decided. The first two come from the
    /// final or the series, the third from a third-place meeting only.
    #[must_use]
    pub fn podium(&self) -> [Option<Entrant>; 3] {
        self.podium
    }
}

fn pool_problems(schedule: &Schedule, pools: &[Option<Vec<Entrant>>]) -> Vec<BracketProblem> {
    let wanted = schedule.pools();
    if pools.len() != wanted.len() {
        return alloc::vec![BracketProblem::PoolCount {
            given: pools.len(),
            pools: wanted.len(),
        }];
    }
    let fits = |order: &Vec<Entrant>, pool: &Vec<Entrant>| {
        order.len() == pool.len() && pool.iter().all(|team| order.contains(team))
    };
    (0..pools.len())
        .filter(|at| pools[*at].as_ref().is_some_and(|o| !fits(o, &wanted[*at])))
        .map(BracketProblem::PoolOrder)
        .collect()
}

#[cfg(test)]
mod tests;
