//! Which of several games kept for one fixture counts.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::authority::Backing;
use super::{GameReport, Verdict};
use crate::log::GameId;

/// The games kept for one fixture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Choice {
    /// This one counts.
    One(usize),
    /// None is better than every other: the organiser decides.
    Open(Vec<usize>),
}

/// The choice for every fixture, and what is said of each game that does not
/// count for its own.
#[derive(Clone, Debug, Default)]
pub(super) struct Choices {
    pub of_fixture: BTreeMap<u32, Choice>,
    pub said: BTreeMap<GameId, String>,
}

/// Why a game counts before others of its fixture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Because {
    Decided,
    Listed,
    Further,
}

/// Whether a game counts before another of its fixture, and why.
///
/// Nothing that anybody can say of himself is asked: not the clock, and of
/// strangers' games not even how they end, since strangers sign for each other.
/// Of games of listed officials one counts only if it is behind in nothing:
/// as many of them kept it, and it stands as well.
fn before(one: &GameReport, other: &GameReport) -> Option<Because> {
    let decided = |g: &GameReport| g.verdict == Verdict::Decided;
    match (decided(one), decided(other)) {
        (true, false) => return Some(Because::Decided),
        (false, false) => {}
        (_, true) => return None,
    }
    let known = |g: &GameReport| match g.backing {
        Backing::Listed(officials) => officials,
        Backing::Free => g.keepers,
        Backing::Anyone | Backing::Strangers | Backing::None => 0,
    };
    let (own, others) = (known(one), known(other));
    match (own, others) {
        (0, _) => return None,
        (_, 0) => return Some(Because::Listed),
        _ => {}
    }
    let how = |g: &GameReport| (g.ending.is_some(), g.verdict, g.plays > 0);
    let better = own > others || how(one) > how(other);
    (better && own >= others && how(one) >= how(other)).then_some(Because::Further)
}

/// Chooses for every fixture, and says so where there was a choice. Practice
/// games and those that do not count are none of it.
pub(super) fn choose(games: &[&GameReport], problems: &mut Vec<String>) -> Choices {
    let mut of_fixture: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (at, game) in games.iter().enumerate() {
        if let (Some(number), Backing::Strangers, None, false) =
            (game.fixture, game.backing, game.decided(), game.practice)
        {
            problems.push(format!(
                "Game {number} was kept with a key that the charter does not list: it does not count until the organiser lists the key or decides."
            ));
        }
        let takes_part = game.counts() || game.will_not_be_played();
        let kept = game.keepers > 0 || game.decided().is_some();
        if let (Some(number), true) = (game.fixture, !game.practice && takes_part && kept) {
            of_fixture.entry(number).or_default().push(at);
        }
    }
    let mut choices = Choices::default();
    for (number, list) in of_fixture {
        let game = |at: &usize| games.get(*at).copied();
        let ahead_of_all = |at: &usize| -> Option<Vec<Because>> {
            let one = game(at)?;
            let others = list.iter().filter(|o| *o != at).filter_map(game);
            others.map(|other| before(one, other)).collect()
        };
        let best = list
            .iter()
            .find_map(|at| ahead_of_all(at).map(|because| (*at, because)));
        let choice = match best {
            Some((at, because)) => {
                if let Some(why) = why(&because) {
                    problems.push(format!(
                        "Game {number} was kept as {} games with different line-ups or marks; {why} counts.",
                        list.len()
                    ));
                    let others = list.iter().filter(|o| **o != at).filter_map(game);
                    choices.said.extend(others.map(|other| {
                        let line = format!(
                            "It does not count as game {number}: of {} games kept under this number {why} counts.",
                            list.len()
                        );
                        (other.game, line)
                    }));
                }
                Choice::One(at)
            }
            None => {
                problems.push(format!(
                    "Game {number} was kept as {} games with different line-ups or marks, and none stands better than the others: none counts until the organiser decides which one.",
                    list.len()
                ));
                choices.said.extend(list.iter().filter_map(game).map(|other| {
                    let line = format!(
                        "It does not count yet as game {number}: {} games were kept under this number, and the organiser must decide which one counts.",
                        list.len()
                    );
                    (other.game, line)
                }));
                Choice::Open(list)
            }
        };
        choices.of_fixture.insert(number, choice);
    }
    choices
}

/// The strongest reason that held against every other game; `None` where there
/// was no other.
fn why(because: &[Because]) -> Option<&'static str> {
    if because.is_empty() {
        return None;
    }
    Some(if because.contains(&Because::Decided) {
        "the one that the organiser decided on"
    } else if because.iter().all(|b| *b == Because::Listed) {
        "the one that listed officials kept"
    } else {
        "the one that stands better, kept by at least as many listed officials,"
    })
}
