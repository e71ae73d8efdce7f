//! An event from its charter and the reports of its games: the tables, the
//! knock-out and the leaders that follow.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use super::fixture::{self, Choice, Choices};
use super::lots::Lots;
use super::suspension::{Suspension, suspensions};
use super::{DrawnLot, GameReport};
use crate::charter::{Charter, Scheduled};
use crate::competition::bracket::GameState;
use crate::competition::leaders::PlayerLine;
use crate::competition::results::Results;
use crate::competition::schedule::{Schedule, Stage};
use crate::competition::standings::{GameResult, Standing};
use crate::competition::{Entrant, Entrants};
use crate::log::GameId;
use crate::message::{isolated, text};
use crate::team::Side;

/// A fixture as the schedule has it by now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedFixture<'a> {
    /// Guests and home side, or what they are played for; `None` where neither
    /// is known.
    pub sides: [Option<String>; 2],
    /// Its stage; like the state, `None` where the schedule says nothing of it.
    pub stage: Option<Stage>,
    /// How far it is.
    pub state: Option<GameState>,
    /// The winner.
    pub winner: Option<&'a str>,
}

impl<'a> PlannedFixture<'a> {
    /// A fixture of the charter in an event that has come so far.
    #[must_use]
    pub fn new(report: Option<&'a EventReport>, fixture: &Scheduled) -> Self {
        let found = report.and_then(|report| {
            let (schedule, results) = report.arranged()?;
            let progress = results.progress();
            let game = schedule.game(fixture.number)?;
            let state = *progress.games().get(usize::from(game.number) - 1)?;
            Some(Self {
                sides: [game.guest, game.home].map(|s| Some(progress.side_name(schedule, s))),
                stage: schedule.meeting(game.meeting).map(|m| m.stage),
                state: Some(state),
                winner: match state {
                    GameState::Won(team) => Some(schedule.entrants().name(team)),
                    _ => None,
                },
            })
        });
        found.unwrap_or_else(|| Self {
            sides: [fixture.guest.clone(), fixture.home.clone()],
            stage: None,
            state: None,
            winner: None,
        })
    }

    /// The sides; one that is not known is open.
    #[must_use]
    pub fn names(&self) -> [String; 2] {
        self.sides
            .clone()
            .map(|s| s.unwrap_or_else(|| "open".into()))
    }
}

/// An event as its charter and its games give it.
#[derive(Clone, Debug)]
pub struct EventReport {
    schedule: Option<Schedule>,
    results: Option<Results>,
    problems: Vec<String>,
    players: Vec<PlayerLine>,
    choices: Choices,
    drawn: Vec<DrawnLot>,
    suspensions: Vec<Suspension>,
}

impl EventReport {
    /// The event after these games. Those that do not count are left out, and
    /// practice in an event that is not practice; of several games of one fixture
    /// the one counts that the organiser decided on, else one of listed officials, else the one with a
    /// result. Where their results differ none counts until the organiser
    /// decides: the umpire's is proposed, and stands in the table meanwhile as
    /// the competition's rules have it for what is unsettled. Lots are those that
    /// the organiser drew.
    #[must_use]
    pub fn of(charter: &Charter, games: &[&GameReport]) -> Self {
        let mut problems = Vec::new();
        let schedule = match charter.schedule() {
            None => None,
            Some(Ok(schedule)) => Some(schedule),
            Some(Err(wrong)) => {
                problems.extend(wrong.iter().map(ToString::to_string));
                None
            }
        };
        let of_event = |g: &&&GameReport| charter.practice || !g.practice;
        let (all, games) = (
            games,
            games.iter().filter(of_event).copied().collect::<Vec<_>>(),
        );
        let choices = fixture::choose(&games, &mut problems);
        let names: Vec<String> = charter.teams.iter().map(|t| t.name.clone()).collect();
        let entrants = Entrants::new(&names).ok();
        let mut played = Vec::new();
        let (mut players, mut closed) = (Vec::new(), Vec::new());
        let mut told: Vec<Entrant> = Vec::new();
        for (number, choice) in &choices.of_fixture {
            let (at, disputed) = match choice {
                Choice::One(at) => (at, false),
                Choice::Open {
                    proposal: Some(at),
                    disputed: true,
                    ..
                } => (at, true),
                Choice::Open { .. } => continue,
            };
            let (Some(game), Some(entrants)) = (games.get(*at), &entrants) else {
                continue;
            };
            if game.will_not_be_played() {
                closed.push(*number);
                continue;
            }
            let Some(teams) = sides(game, entrants) else {
                let [guest, home] = Side::BOTH.map(|side| isolated(&game.teams[side]));
                problems.push(text!("other-teams", number, guest, home));
                continue;
            };
            let standing = match game.standing {
                // Nobody wins by what is in dispute.
                Some(Standing::Final(lines) | Standing::Tied(lines)) if disputed => {
                    Some(Standing::Unsettled(lines))
                }
                Some(Standing::Forfeit(_)) if disputed => None,
                standing => standing,
            };
            if let Some(standing) = standing {
                played.push(GameResult {
                    number: *number,
                    guest: teams[0],
                    home: teams[1],
                    standing,
                    rules: game.rules,
                });
                let played_out = matches!(standing, Standing::Final(_) | Standing::Tied(_));
                if played_out && game.sheet_counts() {
                    add_players(game, teams, &mut players);
                    // A forfeit without a play is no game to bat or field in.
                    if game.plays > 0 {
                        told.extend(teams);
                    }
                }
            }
        }
        for line in &mut players {
            let of_team = |t: &&Entrant| **t == line.team;
            let games = told.iter().filter(of_team).count();
            line.games = u32::try_from(games).unwrap_or(u32::MAX);
        }
        let lots = Lots::of(all, entrants.as_ref(), &mut problems);
        let results = schedule.as_ref().and_then(|s| {
            Results::of(s, &played, &closed, &lots.order)
                .map_err(|wrong| problems.extend(wrong.iter().map(|p| p.words(s.entrants()))))
                .ok()
        });
        if let Some(results) = &results {
            problems.extend(results.misfits().iter().map(ToString::to_string));
        }
        Self {
            schedule,
            results,
            problems,
            players,
            choices,
            drawn: lots.drawn,
            suspensions: suspensions(&games),
        }
    }

    /// Who was sent off and misses games of the team after it, by game.
    #[must_use]
    pub fn suspensions(&self) -> &[Suspension] {
        &self.suspensions
    }

    /// The schedule, where the charter has one with its meetings.
    #[must_use]
    pub const fn schedule(&self) -> Option<&Schedule> {
        self.schedule.as_ref()
    }

    /// The schedule with what it has come to.
    #[must_use]
    pub fn arranged(&self) -> Option<(&Schedule, &Results)> {
        Some((self.schedule()?, self.results()?))
    }

    /// Tables and knock-out, where there is a schedule.
    #[must_use]
    pub const fn results(&self) -> Option<&Results> {
        self.results.as_ref()
    }

    /// What does not fit together, in plain sentences.
    #[must_use]
    pub fn problems(&self) -> &[String] {
        &self.problems
    }

    /// Every player's totals over the games that are final, for
    /// [`leaders`](crate::competition::leaders::leaders).
    #[must_use]
    pub fn players(&self) -> &[PlayerLine] {
        &self.players
    }

    /// The lots that no later one took the place of, those that contradict each
    /// other among them. To draw again, name those that share a team.
    #[must_use]
    pub fn drawn(&self) -> &[DrawnLot] {
        &self.drawn
    }

    /// Which of the games given counts for a fixture.
    #[must_use]
    pub fn counting(&self, fixture: u32) -> Option<usize> {
        match self.choices.of_fixture.get(&fixture)? {
            Choice::One(at) => Some(*at),
            Choice::Open { .. } => None,
        }
    }

    /// The games given for a fixture of which the organiser must say which one
    /// counts: none does until then. Empty where that is clear.
    #[must_use]
    pub fn undecided(&self, fixture: u32) -> &[usize] {
        match self.choices.of_fixture.get(&fixture) {
            Some(Choice::Open { games, .. }) => games,
            Some(Choice::One(_)) | None => &[],
        }
    }

    /// Of the games given for a fixture that end differently, the umpire's: the
    /// organiser's first choice.
    #[must_use]
    pub fn proposed(&self, fixture: u32) -> Option<usize> {
        match self.choices.of_fixture.get(&fixture) {
            Some(Choice::Open { proposal, .. }) => *proposal,
            Some(Choice::One(_)) | None => None,
        }
    }

    /// The fixtures for which games were kept that end differently.
    pub fn disputed(&self) -> impl Iterator<Item = (u32, &[usize])> {
        let of = self.choices.of_fixture.iter();
        of.filter_map(|(number, choice)| match choice {
            Choice::Open {
                games,
                disputed: true,
                ..
            } => Some((*number, games.as_slice())),
            Choice::Open { .. } | Choice::One(_) => None,
        })
    }

    /// Why a game does not count for its fixture, in a sentence for everyone;
    /// `None` where it does or no other was kept.
    #[must_use]
    pub fn not_for_its_fixture(&self, game: GameId) -> Option<&str> {
        self.choices.said.get(&game).map(String::as_str)
    }
}

fn sides(game: &GameReport, entrants: &Entrants) -> Option<[Entrant; 2]> {
    Some([
        entrants.find(&game.teams.guest)?,
        entrants.find(&game.teams.home)?,
    ])
}

fn add_players(game: &GameReport, teams: [Entrant; 2], players: &mut Vec<PlayerLine>) {
    let sheet = game.sheet.players();
    for (team, side) in teams.into_iter().zip([&sheet.guest, &sheet.home]) {
        for (shirt, t) in side {
            let at = players
                .iter()
                .position(|p| p.team == team && p.shirt == *shirt);
            let at = at.unwrap_or_else(|| {
                players.push(PlayerLine {
                    team,
                    shirt: *shirt,
                    games: 0,
                    turns: 0,
                    at_bats: 0,
                    hits: 0,
                    total_bases: 0,
                    runs: 0,
                    runs_batted_in: 0,
                    putouts: 0,
                    assists: 0,
                    errors: 0,
                });
                players.len() - 1
            });
            let Some(line) = players.get_mut(at) else {
                continue;
            };
            line.turns += u32::from(t.turns);
            line.at_bats += u32::from(t.at_bats);
            line.hits += u32::from(t.hits);
            line.total_bases += u32::from(t.total_bases());
            line.runs += u32::from(t.runs);
            line.runs_batted_in += u32::from(t.batted_in);
            line.putouts += u32::from(t.putouts);
            line.assists += u32::from(t.assists);
            line.errors += u32::from(t.errors);
        }
    }
}
