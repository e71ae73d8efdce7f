//! Which of several games kept for one fixture counts.

use alloc::collections::BTreeMap;
use alloc::string::String;
use alloc::vec::Vec;

use super::GameReport;
use super::authority::Backing;
use crate::competition::standings::Standing;
use crate::log::GameId;
use crate::message::{localized, score, text};
use crate::rules::Disposal;

/// The games kept for one fixture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Choice {
    /// This one counts, once it has a result.
    One(usize),
    /// They end differently, or nobody can say yet which one is meant: the
    /// organiser decides.
    Open {
        /// The games.
        games: Vec<usize>,
        /// The one that the umpire kept, where that is one: it is proposed.
        proposal: Option<usize>,
        /// Whether they have results that differ.
        disputed: bool,
    },
}

/// The choice for every fixture, and what is said of each game that does not
/// count for its own.
#[derive(Clone, Debug, Default)]
pub(super) struct Choices {
    pub of_fixture: BTreeMap<u32, Choice>,
    pub said: BTreeMap<GameId, String>,
}

/// Why one game counts before the others of its fixture.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Because {
    /// There is no other.
    Only,
    /// The organiser decided on it.
    Decided,
    /// Officials whom the charter lists kept it, the others strangers.
    Listed,
    /// Plays were recorded in it, in the others none.
    Begun,
    /// All have the same result.
    Same,
    /// None has a result yet, and this is the umpire's.
    Umpire,
}

/// What a game says about who won, where it is settled.
fn result(game: &GameReport) -> Option<(bool, [&str; 2], [u16; 2])> {
    let runs = [game.score.guest, game.score.home];
    let teams = [game.teams.guest.as_str(), game.teams.home.as_str()];
    // Who was home in the end does not matter, only who played.
    let swapped = teams[0] > teams[1];
    let (teams, runs) = match swapped {
        true => ([teams[1], teams[0]], [runs[1], runs[0]]),
        false => (teams, runs),
    };
    match game.standing? {
        Standing::Final(_) | Standing::Tied(_) => Some((false, teams, runs)),
        Standing::Forfeit(_) => Some((true, teams, runs)),
        Standing::Unsettled(_) => None,
    }
}

/// Chooses among the games of one fixture, by rules that can be said: an
/// organiser's decision, the charter's list, plays where the others have none.
/// Nothing that anybody can say of himself is asked, not even the clock.
/// Between different results of listed officials nobody but the organiser
/// chooses.
fn choose_one(list: &[usize], game: &dyn Fn(usize) -> Option<GameReportRef>) -> (Choice, Because) {
    let mut left: Vec<usize> = list.to_vec();
    let mut because = Because::Only;
    let mut narrow = |left: &mut Vec<usize>, why, keep: &dyn Fn(&GameReportRef) -> bool| {
        let kept = |at: &usize| game(*at).is_some_and(|g| keep(&g));
        let fewer: Vec<usize> = left.iter().copied().filter(kept).collect();
        if !fewer.is_empty() && fewer.len() < left.len() {
            *left = fewer;
            because = why;
        }
    };
    narrow(&mut left, Because::Decided, &|g| g.decided);
    narrow(&mut left, Because::Listed, &|g| g.known);
    narrow(&mut left, Because::Begun, &|g| g.begun);
    if let [one] = left[..] {
        return (Choice::One(one), because);
    }
    let all = || left.iter().filter_map(|at| game(*at));
    let mut umpires = left
        .iter()
        .filter(|at| game(**at).is_some_and(|g| g.by_umpire));
    let proposal = umpires.next().copied().filter(|_| umpires.next().is_none());
    let results: Vec<_> = all().map(|g| g.result).collect();
    let with_result = results.iter().flatten().count();
    let same = results.iter().all(|r| Some(r) == results.first());
    if with_result == results.len() && same {
        let one = proposal.or(left.first().copied()).unwrap_or(0);
        return (Choice::One(one), Because::Same);
    }
    match (with_result, proposal) {
        (0, Some(one)) => (Choice::One(one), Because::Umpire),
        // What is still being played is not beaten by a result from elsewhere.
        _ => (
            Choice::Open {
                disputed: with_result == results.len(),
                games: left,
                proposal,
            },
            because,
        ),
    }
}

/// What is looked at in a game.
struct GameReportRef {
    decided: bool,
    known: bool,
    begun: bool,
    by_umpire: bool,
    result: Option<(bool, [String; 2], [u16; 2])>,
}

impl GameReportRef {
    fn of(game: &GameReport) -> Self {
        let own = |(forfeit, teams, runs): (bool, [&str; 2], [u16; 2])| {
            (forfeit, teams.map(String::from), runs)
        };
        Self {
            decided: game.decided().is_some(),
            known: matches!(game.backing, Backing::Listed(_) | Backing::Free),
            begun: game.plays > 0 || game.standing.is_some(),
            by_umpire: game.by_umpire,
            result: result(game).map(own),
        }
    }
}

/// Chooses for every fixture, and says so where there was a choice. Games that
/// do not count are none of it.
pub(super) fn choose(games: &[&GameReport], problems: &mut Vec<String>) -> Choices {
    let mut of_fixture: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (at, game) in games.iter().enumerate() {
        if let (Some(number), Backing::Strangers, None) =
            (game.fixture, game.backing, game.decided())
        {
            problems.push(text!("fixture-stranger", number));
        }
        let takes_part = game.counts() || game.will_not_be_played();
        let kept = game.keepers > 0 || game.decided().is_some();
        if let (Some(number), true) = (game.fixture, takes_part && kept) {
            of_fixture.entry(number).or_default().push(at);
        }
    }
    let mut choices = Choices::default();
    for (number, list) in of_fixture {
        let game = |at: usize| games.get(at).copied();
        let looked = |at: usize| game(at).map(GameReportRef::of);
        let (choice, because) = choose_one(&list, &looked);
        let others = |counts: Option<usize>| {
            let others = list.iter().filter(move |at| Some(**at) != counts);
            others.filter_map(|at| games.get(*at).copied())
        };
        let count = list.len();
        match &choice {
            Choice::One(_) if because == Because::Only => {}
            Choice::One(at) => {
                problems.push(text!("fixture-chosen", number, count, because));
                choices.said.extend(others(Some(*at)).map(|other| {
                    let line = text!("fixture-not-chosen", number, count, because);
                    (other.game, line)
                }));
            }
            Choice::Open {
                games: open,
                proposal,
                disputed: true,
            } => {
                let scores: Vec<String> = open
                    .iter()
                    .filter_map(|at| game(*at))
                    .map(|g| score(&g.teams, &g.score))
                    .collect();
                let scores = scores.join(" and ");
                let unsettled = open
                    .first()
                    .and_then(|at| game(*at))
                    .map(|g| g.rules.unsettled);
                let counts = unsettled == Some(Disposal::AsScored) && proposal.is_some();
                problems.push(text!("fixture-disputed", number, count, scores, counts));
                let open = open.iter().filter_map(|at| game(*at));
                choices
                    .said
                    .extend(open.map(|g| (g.game, text!("fixture-twice", scores, counts))));
            }
            Choice::Open { .. } => {
                problems.push(text!("fixture-not-ended", number, count));
                let others = others(None);
                choices.said.extend(
                    others.map(|other| (other.game, text!("fixture-not-yet", number, count))),
                );
            }
        }
        choices.of_fixture.insert(number, choice);
    }
    choices
}
