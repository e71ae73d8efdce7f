//! What a table needs to know of each game, and what can be wrong with it.

use alloc::string::String;
use alloc::vec::Vec;

use super::super::{Entrant, Entrants};
use crate::message::localized;
use crate::rules::{Disposal, Edition, ForfeitLarger, OUTS_PER_TURN, TiedGames, Ties};
use crate::team::{BySide, Side};

/// Most games of one table. A bound on work, not a rule.
pub const MAX_GAMES: usize = 100_000;

/// At-bats and hits of one side in one game.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Batting {
    /// Times at bat.
    pub at_bats: u16,
    /// Hits, no more than the at-bats.
    pub hits: u16,
}

/// One side's turns at bat in one game.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SideLine {
    /// Runs scored.
    pub runs: u16,
    /// Outs made at bat: innings batted in thirds. They are the other side's
    /// innings on defence.
    pub outs: u16,
    /// How many of the runs were earned; `None` when nobody kept it.
    pub earned: Option<u16>,
    /// At-bats and hits; `None` when nobody kept them.
    pub batting: Option<Batting>,
}

/// How a game stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Standing {
    /// Played to an end and agreed.
    Final(BySide<SideLine>),
    /// Played to an end, level and agreed. How it counts is a rule value,
    /// [`TableRules::tied`].
    Tied(BySide<SideLine>),
    /// Disputed or broken off: as scored so far. Whether it counts is a rule
    /// value, [`TableRules::unsettled`].
    Unsettled(BySide<SideLine>),
    /// Forfeited by this side. Entered with [`TableRules::forfeit_runs`].
    Forfeit(Side),
}

/// What a table takes from the edition that a game is played by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct TableRules {
    /// Runs of the other side when one forfeits.
    pub forfeit_runs: u16,
    /// Outs of a side in the scheduled innings: a forfeit counts as this long.
    pub full_outs: u16,
    /// Whether an unsettled game counts.
    pub unsettled: Disposal,
    /// How a tied game counts.
    pub tied: TiedGames,
    /// Whether a game can end as a tie.
    pub ties: Ties,
    /// What a lead larger than the forfeit score is worth.
    pub forfeit_larger: ForfeitLarger,
}

impl TableRules {
    /// Those of an edition.
    #[must_use]
    pub fn of(edition: &Edition) -> Self {
        Self {
            forfeit_runs: u16::from(edition.forfeit_score().get()),
            full_outs: u16::from(edition.innings().get()) * u16::from(OUTS_PER_TURN),
            unsettled: **edition.unsettled(),
            tied: **edition.tied_games(),
            ties: **edition.ties(),
            forfeit_larger: **edition.forfeit_larger(),
        }
    }
}

/// One game of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct GameResult {
    /// Its number in the schedule; each only once.
    pub number: u32,
    /// The side that batted first.
    pub guest: Entrant,
    /// The other side.
    pub home: Entrant,
    /// How it stands.
    pub standing: Standing,
    /// What its own rules say of a forfeit and of a game not settled.
    pub rules: TableRules,
}

/// One thing wrong with the games, the group or the lot of a table.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum StandingsProblem {
    /// More games than [`MAX_GAMES`].
    #[message(count = _0, most = MAX_GAMES)]
    TooManyGames(usize),
    /// The group names a team twice, or one that is not entered.
    #[message(team = _0.index() + 1)]
    Group(Entrant),
    /// The lot names a team twice, or one that is not entered.
    #[message(team = _0.index() + 1)]
    Lot(Entrant),
    /// A side of this game is not in the group.
    #[message(number = _0)]
    NotInGroup(u32),
    /// A team meets itself in this game.
    #[message(number = _0)]
    AgainstItself(u32),
    /// Two games have this number.
    #[message(number = _0)]
    GameTwice(u32),
    /// A game given as final has no winner.
    NoWinner {
        /// Its number.
        number: u32,
        /// Runs of each side.
        runs: u16,
    },
    /// A game given as tied has a winner.
    #[message(number = _0)]
    NotLevel(u32),
    /// More runs earned than scored.
    #[message(number = _0)]
    Earned(u32),
    /// More hits than at-bats.
    #[message(number = _0)]
    Hits(u32),
}

/// A game as it counts.
#[derive(Clone, Copy, Debug)]
pub(super) struct CountedGame {
    pub number: u32,
    pub teams: [Entrant; 2],
    pub lines: [SideLine; 2],
}

impl CountedGame {
    /// The place of a team in the pair, if it played.
    pub fn side(&self, team: Entrant) -> Option<usize> {
        self.teams.iter().position(|t| *t == team)
    }
}

/// The games as a table takes them, each list by number.
pub(super) struct SortedGames {
    pub counted: Vec<CountedGame>,
    /// Left out until settled.
    pub unsettled: Vec<u32>,
    /// Tied, and left out for good.
    pub ties: Vec<u32>,
}

/// Sorts the games by whether they count.
///
/// A forfeit counts as its score over the scheduled innings, all runs earned,
/// nobody at bat: so the runs weigh as in a game played out. From memory, no
/// text read.
pub(super) fn sorted(games: &[GameResult]) -> SortedGames {
    let entered = |runs: u16, outs: u16| SideLine {
        runs,
        outs,
        earned: Some(runs),
        batting: Some(Batting {
            at_bats: 0,
            hits: 0,
        }),
    };
    let (mut counted, mut unsettled_games, mut ties) = (Vec::new(), Vec::new(), Vec::new());
    for game in games {
        let TableRules {
            forfeit_runs,
            full_outs,
            unsettled,
            tied,
            ..
        } = game.rules;
        let lines = match game.standing {
            Standing::Final(BySide { guest, home }) => [guest, home],
            Standing::Tied(_) if tied == TiedGames::LeftOut => {
                ties.push(game.number);
                continue;
            }
            Standing::Tied(BySide { guest, home }) => [guest, home],
            Standing::Unsettled(BySide { guest, home }) => match unsettled {
                Disposal::AsScored => [guest, home],
                Disposal::LeftOut => {
                    unsettled_games.push(game.number);
                    continue;
                }
            },
            Standing::Forfeit(Side::Guest) => {
                [entered(0, full_outs), entered(forfeit_runs, full_outs)]
            }
            Standing::Forfeit(Side::Home) => {
                [entered(forfeit_runs, full_outs), entered(0, full_outs)]
            }
        };
        counted.push(CountedGame {
            number: game.number,
            teams: [game.guest, game.home],
            lines,
        });
    }
    counted.sort_by_key(|g| g.number);
    unsettled_games.sort_unstable();
    ties.sort_unstable();
    SortedGames {
        counted,
        unsettled: unsettled_games,
        ties,
    }
}

/// Every problem of the input.
pub(super) fn problems(
    entrants: &Entrants,
    group: &[Entrant],
    games: &[GameResult],
    lot: &[Entrant],
) -> Vec<StandingsProblem> {
    if games.len() > MAX_GAMES {
        return alloc::vec![StandingsProblem::TooManyGames(games.len())];
    }
    let mut problems = Vec::new();
    let odd = |list: &[Entrant], at: usize| {
        !entrants.contains(list[at]) || list[..at].contains(&list[at])
    };
    problems.extend(
        (0..group.len())
            .filter(|at| odd(group, *at))
            .map(|at| StandingsProblem::Group(group[at])),
    );
    problems.extend(
        (0..lot.len())
            .filter(|at| odd(lot, *at))
            .map(|at| StandingsProblem::Lot(lot[at])),
    );
    let mut numbers: Vec<u32> = games.iter().map(|g| g.number).collect();
    numbers.sort_unstable();
    let mut twice: Vec<u32> = numbers
        .windows(2)
        .filter(|w| w[0] == w[1])
        .map(|w| w[0])
        .collect();
    twice.dedup();
    problems.extend(twice.into_iter().map(StandingsProblem::GameTwice));
    for game in games {
        let number = game.number;
        if !(group.contains(&game.guest) && group.contains(&game.home)) {
            problems.push(StandingsProblem::NotInGroup(number));
        } else if game.guest == game.home {
            problems.push(StandingsProblem::AgainstItself(number));
        }
        let (Standing::Final(lines) | Standing::Tied(lines) | Standing::Unsettled(lines)) =
            game.standing
        else {
            continue;
        };
        if matches!(game.standing, Standing::Tied(_)) && lines.guest.runs != lines.home.runs {
            problems.push(StandingsProblem::NotLevel(number));
        }
        if matches!(game.standing, Standing::Final(_)) && lines.guest.runs == lines.home.runs {
            problems.push(StandingsProblem::NoWinner {
                number,
                runs: lines.guest.runs,
            });
        }
        let lines = [lines.guest, lines.home];
        if lines.iter().any(|l| l.earned.is_some_and(|e| e > l.runs)) {
            problems.push(StandingsProblem::Earned(number));
        }
        if lines
            .iter()
            .any(|l| l.batting.is_some_and(|b| b.hits > b.at_bats))
        {
            problems.push(StandingsProblem::Hits(number));
        }
    }
    problems
}

/// Names joined as in a sentence: `A, B and C`.
pub(super) fn joined(entrants: &Entrants, teams: &[Entrant]) -> String {
    let mut text = String::new();
    for (at, team) in teams.iter().enumerate() {
        text.push_str(match at {
            0 => "",
            _ if at + 1 == teams.len() => " and ",
            _ => ", ",
        });
        text.push_str(entrants.name(*team));
    }
    text
}
