//! The tie-break ladder, one step at a time.
//!
//! Source: WBSC news of 13 May 2024 on team quality balance (published): the
//! order of the criteria; a criterion that separates no one is left behind for
//! good; when one separates some, the rest go on with the next one.
//!
//! "Among the tied" is read as those still tied when the step is taken; the
//! text does not say whether the games of the first group would still count.

use alloc::vec::Vec;
use core::cmp::Reverse;

use super::super::{Entrant, Entrants, Fraction};
use super::result::CountedGame;
use crate::message::localized;
use crate::rules::OUTS_PER_TURN;

/// A rung of the ladder, in order.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Criterion {
    /// Wins and losses of all games.
    WinsLosses,
    /// Wins and losses among the tied.
    AmongTied,
    /// Team quality balance among the tied: runs scored per inning at bat less
    /// runs allowed per inning on defence.
    Balance,
    /// The same with earned runs.
    EarnedBalance,
    /// Batting average among the tied.
    BattingAverage,
    /// Lot.
    Lot,
}

impl Criterion {
    /// The next rung, none after the lot.
    #[must_use]
    pub fn next(self) -> Option<Self> {
        match self {
            Self::WinsLosses => Some(Self::AmongTied),
            Self::AmongTied => Some(Self::Balance),
            Self::Balance => Some(Self::EarnedBalance),
            Self::EarnedBalance => Some(Self::BattingAverage),
            Self::BattingAverage => Some(Self::Lot),
            Self::Lot => None,
        }
    }
}

/// Won, lost and tied games. Only an unsettled game can count as tied.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Record {
    /// Games won.
    pub wins: u32,
    /// Games lost.
    pub losses: u32,
    /// Games tied, and those counted as scored so far while level.
    pub ties: u32,
}

impl Record {
    /// Games counted.
    #[must_use]
    pub fn games(self) -> u32 {
        self.wins + self.losses + self.ties
    }

    /// Share of games won, a tie being half a win; `None` without a game.
    #[must_use]
    pub fn share(self) -> Option<Fraction> {
        let half_wins = 2 * u64::from(self.wins) + u64::from(self.ties);
        Fraction::of(half_wins, 2 * u64::from(self.games()))
    }
}

/// Runs and outs behind a balance.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Totals {
    /// Runs scored (or of them the earned).
    pub scored: u64,
    /// Outs made at bat: innings batted in thirds.
    pub batted_outs: u64,
    /// Runs allowed (or of them the earned).
    pub allowed: u64,
    /// Outs made on defence: innings on defence in thirds.
    pub defence_outs: u64,
}

impl Totals {
    /// Runs scored per inning at bat less runs allowed per inning on defence;
    /// `None` without an out on either side.
    #[must_use]
    pub fn balance(self) -> Option<Fraction> {
        let [s, b, a, d] = [
            self.scored,
            self.batted_outs,
            self.allowed,
            self.defence_outs,
        ]
        .map(i128::from);
        let below = (b.checked_mul(d)?).unsigned_abs();
        let above = s.checked_mul(d)?.checked_sub(a.checked_mul(b)?)?;
        Fraction::new(above.checked_mul(i128::from(OUTS_PER_TURN))?, below)
    }
}

/// What a team has under a criterion.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Value {
    /// Wins and losses.
    Record(Record),
    /// A balance, with or without unearned runs.
    Balance(Totals),
    /// Hits of at-bats.
    Average {
        /// Hits.
        hits: u64,
        /// At-bats.
        at_bats: u64,
    },
    /// Place in the lot, from 1.
    Lot(usize),
}

impl Value {
    /// The number that teams are compared by, more being better; `None` when
    /// there is none.
    #[must_use]
    pub fn rank(self) -> Option<Fraction> {
        match self {
            Self::Record(record) => record.share(),
            Self::Balance(totals) => totals.balance(),
            Self::Average { hits, at_bats } => Fraction::of(hits, at_bats),
            Self::Lot(place) => i128::try_from(place)
                .ok()
                .and_then(|p| Fraction::new(-p, 1)),
        }
    }
}

/// Why a criterion could not be applied to a group.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Gap {
    /// This team has met none of the others.
    NoGame(Entrant),
    /// This team has no out at bat or none on defence.
    NoInning(Entrant),
    /// Nobody kept the earned runs of this game.
    EarnedUnknown(u32),
    /// Nobody kept the at-bats and hits of this game.
    BattingUnknown(u32),
    /// This team has no at-bat.
    NoAtBat(Entrant),
    /// The lot has not been drawn for this team.
    NotDrawn(Entrant),
}

/// One step of the ladder: a criterion applied to teams tied until then.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct LadderStep {
    /// The criterion.
    pub criterion: Criterion,
    /// The teams it was applied to, by name.
    pub among: Vec<Entrant>,
    /// What each of them has; empty when the criterion could not be applied.
    pub values: Vec<(Entrant, Value)>,
    /// Why it could not be applied; `None` when it was.
    pub gap: Option<Gap>,
    /// The teams apart, best first; teams still tied stand together, by name.
    pub groups: Vec<Vec<Entrant>>,
}

impl LadderStep {
    /// Whether it set anyone apart.
    #[must_use]
    pub fn separates(&self) -> bool {
        self.groups.len() > 1
    }
}

/// Everything the ladder looks at.
pub(super) struct Ladder<'a> {
    pub entrants: &'a Entrants,
    pub games: &'a [CountedGame],
    pub lot: &'a [Entrant],
}

impl Ladder<'_> {
    /// Applies the criterion to a group in order of name, then the next one to
    /// whoever is still tied; the final groups, best first.
    pub fn climb(
        &self,
        criterion: Criterion,
        among: Vec<Entrant>,
        steps: &mut Vec<LadderStep>,
    ) -> Vec<Vec<Entrant>> {
        let step = self.step(criterion, among);
        let groups = step.groups.clone();
        steps.push(step);
        let Some(next) = criterion.next() else {
            return groups;
        };
        let mut out = Vec::new();
        for group in groups {
            if group.len() > 1 {
                out.extend(self.climb(next, group, steps));
            } else {
                out.push(group);
            }
        }
        out
    }

    fn step(&self, criterion: Criterion, among: Vec<Entrant>) -> LadderStep {
        let found = match criterion {
            Criterion::WinsLosses => Ok(among
                .iter()
                .map(|t| (*t, Value::Record(self.record(*t, None))))
                .collect()),
            _ => self.values(criterion, &among),
        };
        match found {
            Ok(values) => LadderStep {
                criterion,
                groups: apart(&values),
                among,
                values,
                gap: None,
            },
            Err(gap) => LadderStep {
                criterion,
                groups: alloc::vec![among.clone()],
                among,
                values: Vec::new(),
                gap: Some(gap),
            },
        }
    }

    /// Games among the tied.
    fn shared<'s>(&'s self, among: &'s [Entrant]) -> impl Iterator<Item = &'s CountedGame> {
        self.games
            .iter()
            .filter(move |g| g.teams.iter().all(|t| among.contains(t)))
    }

    fn record(&self, team: Entrant, among: Option<&[Entrant]>) -> Record {
        let mut record = Record::default();
        for game in self.games {
            let Some(side) = game.side(team) else {
                continue;
            };
            if among.is_some_and(|list| !game.teams.iter().all(|t| list.contains(t))) {
                continue;
            }
            let [own, other] = [game.lines[side].runs, game.lines[1 - side].runs];
            match own.cmp(&other) {
                core::cmp::Ordering::Greater => record.wins += 1,
                core::cmp::Ordering::Less => record.losses += 1,
                core::cmp::Ordering::Equal => record.ties += 1,
            }
        }
        record
    }

    fn values(
        &self,
        criterion: Criterion,
        among: &[Entrant],
    ) -> Result<Vec<(Entrant, Value)>, Gap> {
        // What is known of every game is looked at before any team.
        for game in self.shared(among) {
            let missing = match criterion {
                Criterion::EarnedBalance => game.lines.iter().any(|l| l.earned.is_none()),
                Criterion::BattingAverage => game.lines.iter().any(|l| l.batting.is_none()),
                _ => false,
            };
            if missing {
                return Err(match criterion {
                    Criterion::EarnedBalance => Gap::EarnedUnknown(game.number),
                    _ => Gap::BattingUnknown(game.number),
                });
            }
        }
        among
            .iter()
            .map(|team| Ok((*team, self.value(criterion, *team, among)?)))
            .collect()
    }

    fn value(&self, criterion: Criterion, team: Entrant, among: &[Entrant]) -> Result<Value, Gap> {
        if criterion == Criterion::Lot {
            return match self.lot.iter().position(|t| *t == team) {
                Some(at) => Ok(Value::Lot(at + 1)),
                None => Err(Gap::NotDrawn(team)),
            };
        }
        let record = self.record(team, Some(among));
        if record.games() == 0 {
            return Err(Gap::NoGame(team));
        }
        let value = match criterion {
            Criterion::BattingAverage => {
                let (mut hits, mut at_bats) = (0, 0);
                for game in self.shared(among) {
                    let line = game.side(team).and_then(|side| game.lines[side].batting);
                    if let Some(batting) = line {
                        hits += u64::from(batting.hits);
                        at_bats += u64::from(batting.at_bats);
                    }
                }
                Value::Average { hits, at_bats }
            }
            Criterion::Balance | Criterion::EarnedBalance => {
                let earned = criterion == Criterion::EarnedBalance;
                let runs = |line: &super::SideLine| match (earned, line.earned) {
                    (true, Some(earned)) => u64::from(earned),
                    _ => u64::from(line.runs),
                };
                let mut totals = Totals::default();
                for game in self.shared(among) {
                    if let Some(side) = game.side(team) {
                        let [own, other] = [game.lines[side], game.lines[1 - side]];
                        totals.scored += runs(&own);
                        totals.batted_outs += u64::from(own.outs);
                        totals.allowed += runs(&other);
                        totals.defence_outs += u64::from(other.outs);
                    }
                }
                Value::Balance(totals)
            }
            Criterion::WinsLosses | Criterion::AmongTied | Criterion::Lot => Value::Record(record),
        };
        match value.rank() {
            Some(_) => Ok(value),
            None if criterion == Criterion::BattingAverage => Err(Gap::NoAtBat(team)),
            None => Err(Gap::NoInning(team)),
        }
    }

    /// By name, letter case aside: names are all different.
    pub fn by_name(&self, teams: &mut [Entrant]) {
        teams.sort_by_key(|t| self.entrants.name(*t).to_lowercase());
    }
}

/// Teams of equal value together, best first. A team without a value, which is
/// one without a game under wins and losses, comes last: common practice, no
/// source.
fn apart(values: &[(Entrant, Value)]) -> Vec<Vec<Entrant>> {
    let mut ranked: Vec<(Entrant, Option<Fraction>)> =
        values.iter().map(|(t, v)| (*t, v.rank())).collect();
    // Stable, so that the order by name stays within equal values.
    ranked.sort_by_key(|(_, rank)| Reverse(*rank));
    ranked
        .chunk_by(|a, b| a.1 == b.1)
        .map(|group| group.iter().map(|(t, _)| *t).collect())
        .collect()
}
