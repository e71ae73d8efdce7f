//! The box score: every player's batting and fielding.

use alloc::collections::BTreeMap;
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use super::Average;
use crate::game::{Change, End, Fate, Outcome, out_of_a_force};
use crate::play::{Advance, Base, BatterFate, ByBase, Goal, Reach, RunnerFate};
use crate::team::{BySide, Position, Shirt, Side};

/// One player's totals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct PlayerTotals {
    /// Plate appearances.
    pub turns: u16,
    /// At-bats. Equal to plate appearances: there are no walks or sacrifices.
    /// Source: Official Baseball Rules 9.02(a)(1), reduced.
    pub at_bats: u16,
    /// Runs scored.
    pub runs: u16,
    /// Hits. Source: 9.05, 9.06.
    pub hits: u16,
    /// Hits for two bases.
    pub doubles: u16,
    /// Hits for three bases.
    pub triples: u16,
    /// Hits all the way home.
    pub home_runs: u16,
    /// Runs batted in. Source: 9.04.
    pub batted_in: u16,
    /// Putouts. Source: 9.09.
    pub putouts: u16,
    /// Assists. Source: 9.10.
    pub assists: u16,
    /// Errors. Source: 9.12.
    pub errors: u16,
}

impl PlayerTotals {
    /// Bases of all hits.
    #[must_use]
    pub fn total_bases(&self) -> u16 {
        let more = [self.doubles, self.triples, self.triples].into_iter();
        more.chain([self.home_runs; 3])
            .fold(self.hits, u16::saturating_add)
    }

    /// Hits / at-bats.
    #[must_use]
    pub fn batting(&self) -> Average {
        Average {
            of: self.hits.into(),
            by: self.at_bats.into(),
        }
    }

    /// Total bases / at-bats.
    #[must_use]
    pub fn slugging(&self) -> Average {
        Average {
            of: self.total_bases().into(),
            by: self.at_bats.into(),
        }
    }

    /// (Putouts + assists) / (putouts + assists + errors).
    #[must_use]
    pub fn fielding(&self) -> Average {
        let good = u32::from(self.putouts) + u32::from(self.assists);
        Average {
            of: good,
            by: good + u32::from(self.errors),
        }
    }

    /// Adds another game's totals; a sum past the range of the numbers stays at
    /// its end.
    pub fn add(&mut self, other: &Self) {
        self.turns = self.turns.saturating_add(other.turns);
        self.at_bats = self.at_bats.saturating_add(other.at_bats);
        self.runs = self.runs.saturating_add(other.runs);
        self.hits = self.hits.saturating_add(other.hits);
        self.doubles = self.doubles.saturating_add(other.doubles);
        self.triples = self.triples.saturating_add(other.triples);
        self.home_runs = self.home_runs.saturating_add(other.home_runs);
        self.batted_in = self.batted_in.saturating_add(other.batted_in);
        self.putouts = self.putouts.saturating_add(other.putouts);
        self.assists = self.assists.saturating_add(other.assists);
        self.errors = self.errors.saturating_add(other.errors);
    }
}

/// Every player's totals, and each side's earned runs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BoxScore {
    players: BySide<BTreeMap<Shirt, PlayerTotals>>,
    earned: BySide<u16>,
    /// Putouts that the scorer gave to nobody.
    unassigned: BySide<u16>,
    /// Errors that the scorer charged to nobody.
    uncharged: BySide<u16>,
}

/// What the score sheet remembers of this turn at bat.
#[derive(Default)]
struct HalfMemory {
    /// Whether the runner on each base owes nothing to an error or placement.
    clean: ByBase<Option<bool>>,
    outs: u8,
    /// Batters who reached on an error: outs the defence gave away.
    missed_outs: u8,
}

impl BoxScore {
    /// Adds up the plays in force.
    pub fn new<'a>(outcomes: impl IntoIterator<Item = &'a Outcome>) -> Self {
        let mut sheet = Self::default();
        let mut half = HalfMemory::default();
        for outcome in outcomes {
            sheet.bat(outcome);
            sheet.field(outcome);
            sheet.earn(outcome, &mut half);
            if outcome.change != Change::NextBatter {
                half = HalfMemory::default();
            }
        }
        sheet
    }

    /// Each side's players who took part in a play, by number.
    #[must_use]
    pub fn players(&self) -> &BySide<BTreeMap<Shirt, PlayerTotals>> {
        &self.players
    }

    /// Each side's earned runs: those that owe nothing to an error, a throw
    /// out of play or a placed runner, scored before the defence had its
    /// three chances. Source: Official Baseball Rules 9.16, simplified.
    #[must_use]
    pub fn earned(&self) -> &BySide<u16> {
        &self.earned
    }

    /// Each side's putouts that no fielder was named for.
    #[must_use]
    pub fn unassigned_putouts(&self) -> &BySide<u16> {
        &self.unassigned
    }

    /// Each side's errors that no fielder was named for: a call said that an
    /// error helped, and not whose.
    #[must_use]
    pub fn unassigned_errors(&self) -> &BySide<u16> {
        &self.uncharged
    }

    /// What a side's sheet leaves unsaid, in a sentence; `None` when every
    /// putout and error has its fielder.
    #[must_use]
    pub fn unsaid(&self, side: Side) -> Option<String> {
        let count = |n: u16, one: &str, many: &str| match n {
            0 => None,
            1 => Some(format!("1 {one}")),
            n => Some(format!("{n} {many}")),
        };
        let putouts = count(self.unassigned[side], "putout", "putouts");
        let errors = count(self.uncharged[side], "error", "errors");
        let what: Vec<String> = [putouts, errors].into_iter().flatten().collect();
        (!what.is_empty()).then(|| format!("{}: fielder not named.", what.join(" and ")))
    }

    fn bat(&mut self, outcome: &Outcome) {
        let side = outcome.turn.side;
        let (who, fate) = outcome.batter();
        let reach = outcome.reach();
        // A log may claim any number, or a correction may have taken a run away.
        let batted_in = outcome.scoring.batted_in.map_or_else(
            || runs_batted_in(outcome),
            |n| u16::from(n.min(outcome.runs)),
        );
        let batter = self.players[side].entry(who).or_default();
        batter.turns += 1;
        batter.at_bats += 1;
        batter.batted_in += batted_in;
        if let (BatterFate::Safe { at, .. }, Some(Reach::Hit)) = (fate, reach) {
            batter.hits += 1;
            match at {
                Goal::First => {}
                Goal::Second => batter.doubles += 1,
                Goal::Third => batter.triples += 1,
                Goal::Home => batter.home_runs += 1,
            }
        }
        for m in outcome.movements.iter().filter(|m| m.end == End::Scored) {
            self.players[side].entry(m.who).or_default().runs += 1;
        }
    }

    /// Credits putouts, assists and errors to those named.
    ///
    /// With several outs in a play the last fielders of the list made one
    /// each; those before each putout assisted in it, once.
    fn field(&mut self, outcome: &Outcome) {
        let side = outcome.turn.side.other();
        let by = &outcome.scoring.by;
        let outs = usize::from(outcome.outs);
        let fielder = |p: Position| outcome.fielders[p.index()];
        let mut charged = 0;
        for p in &outcome.scoring.errors {
            if let Some(who) = fielder(*p) {
                self.players[side].entry(who).or_default().errors += 1;
                charged += 1;
            }
        }
        self.uncharged[side] += u16::from(outcome.errors()) - charged;
        let credited = outs.min(by.len());
        // One fielder alone made all the outs of the play.
        let alone = if by.len() == 1 { outs } else { credited };
        self.unassigned[side] += u16::try_from(outs - alone).unwrap_or(0);
        let mut from = 0;
        for n in 0..credited {
            let at = by.len() - credited + n;
            let putout = by[at];
            if let Some(who) = fielder(putout) {
                let times = if by.len() == 1 { outs } else { 1 };
                let line = self.players[side].entry(who).or_default();
                line.putouts += u16::try_from(times).unwrap_or(0);
            } else {
                self.unassigned[side] += 1;
            }
            let helpers = &by[from..at];
            for (i, p) in helpers.iter().enumerate() {
                let again = helpers[..i].contains(p) || *p == putout;
                if let (Some(who), false) = (fielder(*p), again) {
                    self.players[side].entry(who).or_default().assists += 1;
                }
            }
            from = at;
        }
    }

    fn earn(&mut self, outcome: &Outcome, half: &mut HalfMemory) {
        let side = outcome.turn.side;
        let gone = half.outs.saturating_add(half.missed_outs) >= crate::rules::OUTS_PER_TURN;
        let mut next: ByBase<Option<bool>> = ByBase::default();
        for m in &outcome.movements {
            // A runner nobody batted in was placed by the tie-break.
            let before = m.from.is_none_or(|b: Base| half.clean[b].unwrap_or(false));
            let helped = matches!(
                m.fate,
                Fate::Batter(BatterFate::Safe {
                    on: Reach::Error,
                    ..
                }) | Fate::Runner(RunnerFate::To {
                    on: Advance::Error | Advance::Throw,
                    ..
                })
            );
            let clean = before && !helped;
            match m.end {
                End::On(base) => next[base] = Some(clean),
                End::Scored => self.earned[side] += u16::from(clean && !gone),
                End::TooLate | End::Out => {}
            }
        }
        half.clean = next;
        half.outs += outcome.outs;
        let missed = u8::from(outcome.reach() == Some(Reach::Error));
        half.missed_outs = half.missed_outs.saturating_add(missed);
    }
}

/// Runs batted in as the rules derive them: runs that the hit brought in, not
/// those on an error or a throw out of play; none when the batter reached on
/// an error or hit into a double play of forces, the one in which the first out
/// takes the second one's force away (reverse force) included.
///
/// Source: Official Baseball Rules 9.04(a), (b)(1) and Definitions (force double
/// play), from memory.
fn runs_batted_in(outcome: &Outcome) -> u16 {
    let movements = &outcome.movements;
    let forces = (0..movements.len())
        .filter(|at| out_of_a_force(movements, *at))
        .count();
    if forces >= 2 || outcome.reach() == Some(Reach::Error) {
        return 0;
    }
    let brought_in = outcome.movements.iter().filter(|m| {
        m.end == End::Scored
            && match m.fate {
                Fate::Batter(_) => true,
                Fate::Runner(RunnerFate::To { on, .. }) => on == Advance::Hit,
                Fate::Runner(_) => false,
            }
    });
    u16::try_from(brought_in.count()).unwrap_or(0)
}
