//! The box score: every player's batting and fielding.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::string::String;

use super::Average;
use crate::game::{Change, End, Ending, Fate, Movement, Notice, Outcome, out_of_a_force};
use crate::log::{FoldedNotice, FoldedPlay, History, Step};
use crate::message::text;
use crate::play::{Advance, Base, BatterFate, ByBase, Goal, Reach, RunnerFate};
use crate::rules::{Edition, RunScoringFly};
use crate::team::{BySide, Position, Shirt, Side};

/// One player's totals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "competition", derive(serde::Serialize))]
pub struct PlayerTotals {
    /// Plate appearances.
    pub turns: u16,
    /// At-bats: plate appearances but those on which the umpire gave first base,
    /// and run-scoring flies where the edition says so. Source: Official Baseball
    /// Rules 9.02(a)(1), reduced: there are no walks or other sacrifices.
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
    /// Times left on base.
    #[cfg_attr(feature = "competition", serde(skip))]
    pub left: u16,
    /// Times reached on an error. Source: 9.12.
    #[cfg_attr(feature = "competition", serde(skip))]
    pub on_errors: u16,
    /// Times reached on a fielder's choice. Source: Definitions.
    #[cfg_attr(feature = "competition", serde(skip))]
    pub on_choices: u16,
    /// Double plays taken part in. Source: 9.11.
    #[cfg_attr(feature = "competition", serde(skip))]
    pub double_plays: u16,
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
        self.left = self.left.saturating_add(other.left);
        self.on_errors = self.on_errors.saturating_add(other.on_errors);
        self.on_choices = self.on_choices.saturating_add(other.on_choices);
        self.double_plays = self.double_plays.saturating_add(other.double_plays);
    }
}

/// Every player's totals, and each side's earned runs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BoxScore {
    players: BySide<BTreeMap<Shirt, PlayerTotals>>,
    earned: BySide<u16>,
    /// Putouts that the scorer gave to nobody.
    unassigned: BySide<u16>,
    /// Putouts of illegal hits, where the edition credits nobody.
    uncredited: BySide<u16>,
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
    #[must_use]
    pub fn of(history: &History) -> Self {
        let game = history.game();
        let edition = game.edition();
        let mut sheet = Self::default();
        let mut half = HalfMemory::default();
        let mut runs: BySide<u16> = BySide::default();
        for step in history.steps() {
            match step {
                Step::Play(FoldedPlay {
                    result: Ok(outcome),
                    ..
                }) => {
                    let side = outcome.turn.side;
                    let behind = runs[side.other()].saturating_sub(runs[side]);
                    sheet.bat(outcome, edition, behind);
                    sheet.field(outcome, edition);
                    sheet.earn(outcome, &mut half);
                    if outcome.change != Change::NextBatter {
                        half = HalfMemory::default();
                    }
                    runs[side] = runs[side].saturating_add(outcome.runs.into());
                }
                Step::Notice(FoldedNotice {
                    notice: Notice::Renumber { side, from, to },
                    objection: None,
                    ..
                }) => sheet.renumber(*side, *from, *to),
                Step::Play(_) | Step::Notice(_) => {}
            }
        }
        // A game that was not played to its end leaves those on base there.
        if matches!(
            game.ending(),
            Some(Ending::Called(_) | Ending::Forfeit { .. } | Ending::ForfeitBoth)
        ) {
            for runner in game.bases().0.iter().flatten() {
                sheet.line(game.at_bat(), runner.shirt).left += 1;
            }
        }
        sheet
    }

    fn line(&mut self, side: Side, who: Shirt) -> &mut PlayerTotals {
        self.players[side].entry(who).or_default()
    }

    /// The number on the card was wrong: the person is the same.
    fn renumber(&mut self, side: Side, from: Shirt, to: Shirt) {
        if let Some(line) = self.players[side].remove(&from) {
            self.line(side, to).add(&line);
        }
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

    /// Each side's putouts of illegal hits that the edition credits to nobody.
    #[must_use]
    pub fn uncredited_putouts(&self) -> &BySide<u16> {
        &self.uncredited
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
        match (self.unassigned[side], self.uncharged[side]) {
            (0, 0) => None,
            (putouts, 0) => Some(text!("unsaid-putouts", putouts)),
            (0, errors) => Some(text!("unsaid-errors", errors)),
            (putouts, errors) => Some(text!("unsaid", putouts, errors)),
        }
    }

    fn bat(&mut self, outcome: &Outcome, edition: &Edition, behind: u16) {
        let side = outcome.turn.side;
        for m in outcome.movements.iter().filter(|m| m.end == End::Scored) {
            self.line(side, m.who).runs += 1;
        }
        if outcome.change != Change::NextBatter {
            let left = |m: &&Movement| matches!(m.end, End::On(_) | End::TooLate);
            for m in outcome.movements.iter().filter(left) {
                self.line(side, m.who).left += 1;
            }
        }
        if !outcome.uses_turn() {
            return;
        }
        let (who, _) = outcome.batter();
        let reach = outcome.reach();
        // A log may claim any number, or a correction may have taken a run away.
        let batted_in = outcome.scoring.batted_in.map_or_else(
            || runs_batted_in(outcome),
            |n| u16::from(n.min(outcome.runs)),
        );
        let fly = **edition.run_scoring_fly() == RunScoringFly::NoAtBat && scores_on_a_fly(outcome);
        let batter = self.line(side, who);
        batter.turns += 1;
        batter.at_bats += u16::from(!fly && reach != Some(Reach::Award));
        batter.batted_in += batted_in;
        batter.on_errors += u16::from(reach == Some(Reach::Error));
        batter.on_choices += u16::from(reach == Some(Reach::Choice));
        if let Some(worth) = hit_worth(outcome, behind) {
            batter.hits += 1;
            match worth {
                Goal::First => {}
                Goal::Second => batter.doubles += 1,
                Goal::Third => batter.triples += 1,
                Goal::Home => batter.home_runs += 1,
            }
        }
    }

    /// Credits putouts, assists and errors to those named.
    ///
    /// With several outs in a play those starred made one each, else the last
    /// fielders of the list; those before each putout assisted in it, once,
    /// whoever made it included: they threw the ball before they had it again.
    fn field(&mut self, outcome: &Outcome, edition: &Edition) {
        let side = outcome.turn.side.other();
        let by = &outcome.scoring.by;
        let fielder = |p: Position| outcome.fielders[p.index()];
        let mut charged = 0;
        for p in &outcome.scoring.errors {
            if let Some(who) = fielder(*p) {
                self.line(side, who).errors += 1;
                charged += 1;
            }
        }
        self.uncharged[side] += u16::from(outcome.errors()) - charged;
        let credited = outcome.putouts(edition);
        self.uncredited[side] += u16::from(outcome.outs - credited);
        let outs = usize::from(credited);
        // One fielder alone made all the outs of the play.
        let (putouts, times) = match by.len() {
            1 if outs > 0 => (alloc::vec![0], outs),
            _ => (outcome.scoring.putouts(outs), 1),
        };
        let times = u16::try_from(times).unwrap_or(0);
        let mut took_part = BTreeSet::new();
        let mut from = 0;
        let mut credited = 0;
        for at in putouts {
            if let Some(who) = fielder(by[at]) {
                self.line(side, who).putouts += times;
                took_part.insert(who);
                credited += times;
            }
            let helpers = &by[from..at];
            for (i, p) in helpers.iter().enumerate() {
                let again = helpers[..i].contains(p);
                if let (Some(who), false) = (fielder(*p), again) {
                    self.line(side, who).assists += 1;
                    took_part.insert(who);
                }
            }
            from = at;
        }
        self.unassigned[side] += u16::try_from(outs).unwrap_or(0) - credited;
        if is_double_play(outcome) {
            for who in took_part {
                self.line(side, who).double_plays += 1;
            }
        }
    }

    fn earn(&mut self, outcome: &Outcome, half: &mut HalfMemory) {
        let side = outcome.turn.side;
        let gone = half.outs.saturating_add(half.missed_outs) >= crate::rules::OUTS_PER_TURN;
        let mut next: ByBase<Option<bool>> = ByBase::default();
        for m in &outcome.movements {
            // A runner nobody batted in was placed by the tie-break.
            let before = m.from.is_none_or(|b: Base| half.clean[b].unwrap_or(false));
            let helped = m.fate.on_throw() || m.fate.on_error();
            let clean = before && !helped;
            match m.end {
                End::On(base) => next[base] = Some(clean),
                End::Scored => self.earned[side] += u16::from(clean && !gone),
                End::TooLate | End::Out | End::AtBat => {}
            }
        }
        half.clean = next;
        half.outs += outcome.outs;
        let missed = u8::from(outcome.reach() == Some(Reach::Error));
        half.missed_outs = half.missed_outs.saturating_add(missed);
    }
}

/// The bases that a clean hit is worth: those the batter reached on it, not a
/// further one on an error. A hit that ends the game is worth as many as the
/// runner who scored the winning run needed on it, unless the batter came home.
///
/// Source: Official Baseball Rules 9.06(a), (d), (f), from memory.
fn hit_worth(outcome: &Outcome, behind: u16) -> Option<Goal> {
    let BatterFate::Safe { at, .. } = outcome.batter().1 else {
        return None;
    };
    if outcome.reach() != Some(Reach::Hit) {
        return None;
    }
    if outcome.change != Change::Over(Ending::WalkOff) || at == Goal::Home {
        return Some(at);
    }
    let mut home = outcome.movements.iter().filter(|m| m.end == End::Scored);
    let winner = home.nth(behind.into());
    let on_the_hit = winner.filter(|m| came_home_on_the_hit(m));
    let bases = on_the_hit.and_then(|m| m.from).map(|b| 4 - b.number());
    Some(match bases.and_then(Goal::from_number) {
        Some(needed) => at.min(needed),
        None => at,
    })
}

/// Whether someone came home on the hit itself.
fn came_home_on_the_hit(m: &Movement) -> bool {
    match m.fate {
        Fate::Batter(BatterFate::Safe { at, .. }) => at == Goal::Home,
        Fate::Runner(RunnerFate::To { goal, on, .. }) => goal == Goal::Home && on == Advance::Hit,
        Fate::Batter(_) | Fate::Runner(_) => false,
    }
}

/// Whether a ball caught with fewer than two out brought a run.
///
/// Source: Official Baseball Rules 9.08(d), from memory.
fn scores_on_a_fly(outcome: &Outcome) -> bool {
    let scores = |m: &Movement| m.end == End::Scored && came_home_on_the_hit(m);
    outcome.batter().1 == BatterFate::Caught
        && outcome.outs_before < 2
        && outcome.movements.iter().any(scores)
}

/// Whether two were put out while the ball was in play. An error in the play may
/// have come between them: then it is none.
///
/// Source: Official Baseball Rules 9.11, from memory.
fn is_double_play(outcome: &Outcome) -> bool {
    let in_play = |m: &&Movement| {
        m.end == End::Out && !matches!(m.fate, Fate::Runner(fate) if fate.left_early())
    };
    let outs = outcome.movements.iter().filter(in_play).count();
    outs == 2 && outcome.errors() == 0 && !outcome.batter().1.is_dead_ball()
}

/// Runs batted in as the rules derive them: runs that the hit brought in, not
/// those on an error or a throw out of play; none when the batter hit into a
/// double play of forces, the one in which the first out takes the second one's
/// force away (reverse force) included. A batter safe on an error with fewer than
/// two out brings in a runner from third who is said to have come on the hit; one
/// whom the umpire gave the base with the bases full, the runner from third.
///
/// Source: Official Baseball Rules 9.04(a), (b)(1) and Definitions (force double
/// play), from memory.
#[must_use]
pub fn runs_batted_in(outcome: &Outcome) -> u16 {
    let movements = &outcome.movements;
    let forces = (0..movements.len())
        .filter(|at| out_of_a_force(movements, *at))
        .count();
    if forces >= 2 {
        return 0;
    }
    let reach = outcome.reach();
    let loaded = movements.len() == 4;
    let brought_in = movements.iter().filter(|m| {
        let from_third = m.from == Some(Base::Third);
        m.end == End::Scored
            && match reach {
                Some(Reach::Error) => {
                    from_third && m.named && outcome.outs_before < 2 && came_home_on_the_hit(m)
                }
                Some(Reach::Award) => from_third && loaded,
                _ => came_home_on_the_hit(m),
            }
    });
    u16::try_from(brought_in.count()).unwrap_or(0)
}
