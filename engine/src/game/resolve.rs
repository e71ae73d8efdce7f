//! Judging a call: defaults, contradictions, and which runs count.
//!
//! Everyone in jeopardy is looked at from the rear (the batter) to the lead
//! runner. Each person raises a **floor** for those ahead: one who ends safe
//! at a base takes it, so everyone ahead must end further on; one put out at a
//! base had run that far, so nobody ahead can end short of it (unless the out
//! was for passing a team-mate, or came before the hit). A runner whose fate is
//! not named ends at the floor, or holds.

use alloc::vec::Vec;

use super::force::is_force;
use super::{End, Fate, Game, Movement, PlayObjection, Stage};
use crate::play::{
    Advance, Base, BatterFate, Call, Continuation, FurtherBase, Goal, IllegalAct, PutOut, Reach,
    RunnerFate, Scoring, TrailingOut,
};
use crate::rules::{Awards, LeftEarly, OUTS_PER_TURN, OutOfTurn, WalkOffRuns};
use crate::team::{Shirt, Side};

/// A call that fits, with every default filled in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResolvedCall {
    /// Everyone in jeopardy, lead runner first, the batter last.
    pub movements: Vec<Movement>,
    /// Outs made.
    pub outs: u8,
    /// Runs that count.
    pub runs: u8,
    /// Whether this is the third out.
    pub third_out: bool,
    /// How many could have been home before a third out that is not a force;
    /// zero when the question changes nothing.
    pub home_first_most: u8,
}

/// The one question a play can leave open: who was home before the third out?
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ThirdOutQuestion {
    /// Those who may have been home first, in the order they ran.
    pub who: Vec<Shirt>,
    /// The person whose out decides it.
    pub out: Shirt,
}

/// What those ahead must reach, and who makes it so.
#[derive(Clone, Copy)]
struct Floor {
    least: u8,
    by: Shirt,
    /// Where the person who set it ends, if safe.
    safe_at: Option<Goal>,
}

impl Floor {
    fn raise(&mut self, least: u8, by: Shirt, safe_at: Option<Goal>) {
        if least > self.least {
            *self = Self { least, by, safe_at };
        }
    }
}

fn past(goal: Goal) -> u8 {
    goal.next().number()
}

/// How far those ahead of someone put out after being safe must be. One who
/// passed a team-mate proves nothing about the base tried for: the person
/// passed may stay where they were.
fn ran_past(reached: Goal, out: TrailingOut) -> u8 {
    match out.how {
        PutOut::Passed => reached.number(),
        _ => out.at.number(),
    }
}

/// An out after a base was reached is at a further one, or at the base just
/// reached by one who left the safe area, ran or slid past it.
fn fits_after_safe(who: Shirt, reached: Goal, out: TrailingOut) -> Result<(), PlayObjection> {
    let TrailingOut { at, how } = out;
    if at < reached || reached == Goal::Home {
        return Err(PlayObjection::NotForward { who, to: at });
    }
    match how {
        PutOut::Forced | PutOut::LeftEarly | PutOut::NotBack => {
            Err(PlayObjection::HowDoesNotFit { who, how })
        }
        PutOut::Passed | PutOut::Missed if at == reached => {
            Err(PlayObjection::NotForward { who, to: at })
        }
        _ => Ok(()),
    }
}

/// Bases that a person had behind them at the hit: 0 for the batter.
fn start(from: Option<Base>) -> u8 {
    from.map_or(0, Base::number)
}

impl Game {
    /// Judges a call without playing it: fills in the defaults and says what
    /// it would do, or why it does not fit.
    ///
    /// # Errors
    /// The first objection, with the person it concerns and what would be
    /// right.
    pub fn resolve(&self, call: &Call) -> Result<ResolvedCall, PlayObjection> {
        let (resolved, _) = self.judge(call, false)?;
        Ok(resolved)
    }

    /// The question the call leaves open, if its answer changes the score.
    #[must_use]
    pub fn question(&self, call: &Call) -> Option<ThirdOutQuestion> {
        let (resolved, out) = self.judge(call, true).ok()?;
        let most = usize::from(resolved.home_first_most);
        let home = resolved
            .movements
            .iter()
            .filter(|m| matches!(m.end, End::Scored | End::TooLate));
        let who: Vec<Shirt> = home.take(most).map(|m| m.who).collect();
        (!who.is_empty()).then_some(ThirdOutQuestion { who, out })
    }

    fn judge(&self, call: &Call, asking: bool) -> Result<(ResolvedCall, Shirt), PlayObjection> {
        match self.stage {
            Stage::Over(ending) => return Err(PlayObjection::Over(ending)),
            Stage::Held(_) => return Err(PlayObjection::Held),
            Stage::Playing => {}
        }
        if let Some(side) = Side::BOTH.into_iter().find(|s| self.lineup_is_short(*s)) {
            return Err(PlayObjection::ShortHanded(side));
        }
        let batter = self.hitter(call)?;
        if let Some(s) = &call.scoring
            && (s.by.len() > Scoring::LIMIT || s.errors.len() > Scoring::LIMIT)
        {
            return Err(PlayObjection::TooMuchScoring);
        }
        if call.charges_dead_ball() {
            return Err(PlayObjection::ErrorOnDeadBall { batter });
        }
        let mut floor = Floor {
            least: 0,
            by: batter,
            safe_at: None,
        };
        let batter_end = self.judge_batter(call, batter, &mut floor)?;
        let mut movements = Vec::with_capacity(4);
        movements.push(Movement {
            who: batter,
            from: None,
            fate: Fate::Batter(call.batter),
            named: true,
            end: batter_end,
        });
        let given = call.runners();
        for base in Base::ALL {
            match (self.bases[base], given[base]) {
                (None, None) => {}
                (None, Some(_)) => return Err(PlayObjection::NoRunner(base.goal())),
                (Some(runner), fate) => {
                    let movement = self.judge_runner(call, base, runner.shirt, fate, &mut floor)?;
                    movements.push(movement);
                }
            }
        }
        movements.reverse();
        self.count(call, movements, asking)
    }

    /// Who hits: the batter due, or the one whom the call names.
    fn hitter(&self, call: &Call) -> Result<Shirt, PlayObjection> {
        let due = self.due();
        let who = call.hitter.unwrap_or(due);
        if self.squads[self.at_bat].place_of(who).is_none() {
            return Err(PlayObjection::HitterNotInPlay(who));
        }
        match Base::ALL
            .into_iter()
            .find(|b| self.bases[*b].is_some_and(|r| r.shirt == who))
        {
            None => Ok(who),
            Some(base) if who == due => Err(PlayObjection::CourtesyRunnerNeeded { due, base }),
            Some(base) => Err(PlayObjection::HitterOnBase { who, base }),
        }
    }

    fn judge_batter(
        &self,
        call: &Call,
        who: Shirt,
        floor: &mut Floor,
    ) -> Result<End, PlayObjection> {
        match call.batter {
            BatterFate::Safe {
                on: Reach::Choice, ..
            } if self.on_base() == 0 => Err(PlayObjection::NobodyToChoose),
            BatterFate::Safe { at, then: None, .. } => {
                floor.raise(past(at), who, Some(at));
                Ok(at.base().map_or(End::Scored, End::On))
            }
            BatterFate::Safe {
                at,
                then: Some(Continuation::Base(further)),
                ..
            } => {
                self.fits_further(who, None, at, further)?;
                floor.raise(past(further.to), who, Some(further.to));
                Ok(further.to.base().map_or(End::Scored, End::On))
            }
            BatterFate::Safe {
                at,
                then: Some(Continuation::Out(out)),
                ..
            } => {
                fits_after_safe(who, at, out)?;
                self.company(call, None, who, Some(out.at), out.how)?;
                floor.raise(ran_past(at, out), who, None);
                Ok(End::Out)
            }
            BatterFate::Illegal(IllegalAct::Turn)
                if **self.edition().out_of_turn() == OutOfTurn::Corrected =>
            {
                Err(PlayObjection::TurnCorrected)
            }
            BatterFate::OutBeforeFirst(_) | BatterFate::Caught | BatterFate::Illegal(_) => {
                Ok(End::Out)
            }
            BatterFate::NoHit => Ok(End::AtBat),
        }
    }

    /// A further base is ahead of the one reached, and not on the hit.
    fn fits_further(
        &self,
        who: Shirt,
        from: Option<Base>,
        reached: Goal,
        further: FurtherBase,
    ) -> Result<(), PlayObjection> {
        if further.to <= reached {
            return Err(PlayObjection::NotForward {
                who,
                to: further.to,
            });
        }
        match further.on {
            Advance::Hit => Err(PlayObjection::FurtherOnHit(who)),
            Advance::Throw => {
                let from = [start(from), reached.number()];
                self.fits_award(who, &from, further.to)
            }
            Advance::Error | Advance::Award => Ok(()),
        }
    }

    /// With the ball out of play the competition may give so many bases. They
    /// count from the base held at the hit, after a base reached from there too.
    fn fits_award(&self, who: Shirt, from: &[u8], to: Goal) -> Result<(), PlayObjection> {
        match **self.edition().awards() {
            Awards::Bases(bases) if from.iter().all(|b| to.number() != (b + bases).min(4)) => {
                Err(PlayObjection::AwardDiffers { who, bases })
            }
            Awards::Bases(_) | Awards::Umpire => Ok(()),
        }
    }

    /// One who passed a team-mate needs one ahead; one who shared a base, a
    /// second person who can have stood on it.
    fn company(
        &self,
        call: &Call,
        from: Option<Base>,
        who: Shirt,
        at: Option<Goal>,
        how: PutOut,
    ) -> Result<(), PlayObjection> {
        let own = start(from);
        let others = |ahead: bool| {
            Base::ALL.into_iter().filter(move |b| {
                self.bases[*b].is_some()
                    && (if ahead {
                        b.number() > own
                    } else {
                        b.number() < own
                    })
            })
        };
        match how {
            PutOut::Passed if others(true).next().is_none() => Err(PlayObjection::NobodyAhead(who)),
            PutOut::Shared => {
                // Nobody ahead comes back to a base behind their own; anyone
                // behind may have come up to it, the batter as far as they ran.
                let ahead = others(true).any(|b| at.is_none_or(|at| b.goal() <= at));
                let behind = others(false).next().is_some();
                let batter = match call.batter {
                    BatterFate::Safe { at: reached, .. } => {
                        from.is_some() && at.is_none_or(|at| reached >= at)
                    }
                    _ => false,
                };
                if ahead || behind || batter {
                    Ok(())
                } else {
                    Err(PlayObjection::NobodyToShare(who))
                }
            }
            _ => Ok(()),
        }
    }

    fn judge_runner(
        &self,
        call: &Call,
        base: Base,
        who: Shirt,
        given: Option<RunnerFate>,
        floor: &mut Floor,
    ) -> Result<Movement, PlayObjection> {
        let own = base.goal();
        let named = given.is_some();
        let dead = call.batter.is_dead_ball();
        // Without a live ball only a base given to someone behind makes room
        // necessary.
        let awarded = matches!(
            call.batter,
            BatterFate::Safe {
                on: Reach::Award,
                ..
            }
        );
        let on = if dead || awarded {
            Advance::Award
        } else {
            Advance::Hit
        };
        let fate = given.unwrap_or_else(|| match Goal::from_number(floor.least) {
            Some(goal) if goal > own => RunnerFate::To {
                goal,
                on,
                then: None,
            },
            _ => RunnerFate::Holds,
        });
        let end = match fate {
            RunnerFate::Holds => {
                self.stand(who, own, floor)?;
                End::On(base)
            }
            RunnerFate::To { goal, on, then } => {
                if goal <= own {
                    return Err(PlayObjection::NotForward { who, to: goal });
                }
                if dead && on != Advance::Award {
                    return Err(PlayObjection::DeadBall(who));
                }
                if on == Advance::Throw {
                    self.fits_award(who, &[own.number()], goal)?;
                }
                match then {
                    None => {
                        self.stand(who, goal, floor)?;
                        goal.base().map_or(End::Scored, End::On)
                    }
                    Some(Continuation::Base(further)) => {
                        self.fits_further(who, Some(base), goal, further)?;
                        if dead && further.on != Advance::Award {
                            return Err(PlayObjection::DeadBall(who));
                        }
                        self.stand(who, further.to, floor)?;
                        further.to.base().map_or(End::Scored, End::On)
                    }
                    Some(Continuation::Out(_)) if dead => {
                        return Err(PlayObjection::DeadBall(who));
                    }
                    Some(Continuation::Out(out)) => {
                        fits_after_safe(who, goal, out)?;
                        self.company(call, Some(base), who, Some(out.at), out.how)?;
                        floor.raise(ran_past(goal, out), who, None);
                        End::Out
                    }
                }
            }
            RunnerFate::Out { at, how } => {
                self.judge_out(call, base, who, at, how)?;
                let ran_to = match how {
                    PutOut::Forced => Some(base.next()),
                    PutOut::Passed | PutOut::LeftEarly => None,
                    _ => at,
                };
                if let Some(goal) = ran_to {
                    floor.raise(goal.number(), who, None);
                }
                End::Out
            }
        };
        Ok(Movement {
            who,
            from: Some(base),
            fate: Fate::Runner(fate),
            named,
            end,
        })
    }

    /// A runner ends safe at `goal`: it must be free and not behind anyone.
    fn stand(&self, who: Shirt, goal: Goal, floor: &mut Floor) -> Result<(), PlayObjection> {
        if goal.number() < floor.least {
            return Err(if floor.safe_at == Some(goal) {
                PlayObjection::SameBase {
                    ahead: who,
                    behind: floor.by,
                    base: goal,
                }
            } else {
                PlayObjection::Passing {
                    ahead: who,
                    behind: floor.by,
                }
            });
        }
        // At home there is room for everyone: the floor cannot rise above it.
        *floor = Floor {
            least: past(goal),
            by: who,
            safe_at: Some(goal),
        };
        Ok(())
    }

    /// Whether the runner on `base` had to run when the ball was hit: the batter
    /// runs and every base behind is taken. One who left a base early was out
    /// before the hit, and stands on none.
    fn has_to_run(&self, call: &Call, base: Base) -> bool {
        let given = call.runners();
        call.batter.runs()
            && Base::ALL
                .iter()
                .filter(|b| **b < base)
                .all(|b| self.bases[*b].is_some() && !given[*b].is_some_and(|f| f.left_early()))
    }

    fn judge_out(
        &self,
        call: &Call,
        base: Base,
        who: Shirt,
        at: Option<Goal>,
        how: PutOut,
    ) -> Result<(), PlayObjection> {
        if let Some(at) = at.filter(|at| *at < base.goal()) {
            return Err(PlayObjection::OutBehind { who, at });
        }
        match how {
            PutOut::Forced if !self.has_to_run(call, base) => Err(PlayObjection::NotForced(who)),
            PutOut::Forced => match at {
                Some(at) if at != base.next() => Err(PlayObjection::ForcedElsewhere {
                    who,
                    next: base.next(),
                }),
                _ => Ok(()),
            },
            PutOut::NotBack if call.batter != BatterFate::Caught => {
                Err(PlayObjection::NoCatch(who))
            }
            PutOut::LeftEarly
                if **self.edition().left_early() == LeftEarly::Dead
                    && call.batter != BatterFate::NoHit =>
            {
                Err(PlayObjection::StoppedBeforeHit(who))
            }
            _ if call.batter.is_dead_ball() && !how.fits_dead_ball() => {
                Err(PlayObjection::DeadBall(who))
            }
            PutOut::Missed => match at {
                Some(at) if at == base.goal() => Err(PlayObjection::OutBehind { who, at }),
                _ => Ok(()),
            },
            PutOut::Passed | PutOut::Shared => self.company(call, Some(base), who, at, how),
            _ => Ok(()),
        }
    }

    /// Counts outs and runs of a play whose fates fit together.
    ///
    /// No run counts when the third out is the batter's before first base or a
    /// forced runner's; otherwise those home before it count (time play). Those
    /// who left a base early were out before the hit: where that makes the third
    /// out, nothing of the play counts and the batter is still at bat.
    /// Source: Official Baseball Rules 5.08(a), 5.04(a)(3), from memory.
    fn count(
        &self,
        call: &Call,
        mut movements: Vec<Movement>,
        asking: bool,
    ) -> Result<(ResolvedCall, Shirt), PlayObjection> {
        let called = movements.iter().filter(|m| m.end == End::Out).count();
        let outs = u8::try_from(called).unwrap_or(u8::MAX);
        let total = self.outs + outs;
        if total > OUTS_PER_TURN {
            return Err(PlayObjection::TooManyOuts {
                before: self.outs,
                called: outs,
            });
        }
        let third_out = total == OUTS_PER_TURN;
        let early = |m: &Movement| matches!(m.fate, Fate::Runner(fate) if fate.left_early());
        let before_the_hit = movements.iter().filter(|m| early(m)).count();
        if usize::from(self.outs) + before_the_hit >= usize::from(OUTS_PER_TURN) {
            for m in movements.iter_mut().filter(|m| m.end != End::Out) {
                m.end = m.from.map_or(End::AtBat, End::On);
            }
        }
        let is_home = |m: &&Movement| m.end == End::Scored;
        let home = u8::try_from(movements.iter().filter(is_home).count()).unwrap_or(u8::MAX);
        let mut most = 0;
        let mut decider = self.due();
        let mut runs = home;
        if third_out {
            // The rearmost out that is not a force; one before the hit, a catch
            // or an illegal hit comes first in time and never decides.
            let timed = (0..movements.len()).rev().find(|at| {
                let tried_further = match movements[*at].fate {
                    Fate::Batter(fate) => matches!(
                        fate,
                        BatterFate::Safe {
                            then: Some(Continuation::Out(_)),
                            ..
                        }
                    ),
                    Fate::Runner(fate) => fate.is_out() && !fate.left_early(),
                };
                tried_further && !is_force(&movements, *at)
            });
            runs = 0;
            if let Some(at) = timed {
                decider = movements[at].who;
                let ahead = movements[..at].iter().filter(is_home).count();
                most = u8::try_from(ahead).unwrap_or(u8::MAX);
            }
            match (call.home_first, most) {
                _ if asking => runs = most,
                (None, 0) => {}
                (Some(0), 0) if timed.is_some() => {}
                (Some(_), 0) if timed.is_none() => return Err(PlayObjection::NotAsked),
                (None, most) => return Err(PlayObjection::RunsUnanswered { most }),
                (Some(n), most) if n > most => {
                    return Err(PlayObjection::TooManyHomeFirst { most });
                }
                (Some(n), _) => runs = n,
            }
        } else if call.home_first.is_some() && !asking {
            return Err(PlayObjection::NotAsked);
        }
        runs = runs.min(self.walk_off_limit(call.batter, runs));
        let mut counted = 0;
        for m in movements.iter_mut().filter(|m| m.end == End::Scored) {
            if counted == runs {
                m.end = End::TooLate;
            } else {
                counted += 1;
            }
        }
        Ok((
            ResolvedCall {
                movements,
                outs,
                runs,
                third_out,
                home_first_most: most,
            },
            decider,
        ))
    }

    /// The most runs of this play that count when it wins the game.
    fn walk_off_limit(&self, batter: BatterFate, runs: u8) -> u8 {
        let last = self.at_bat == Side::Home && self.inning >= self.edition().innings().get();
        let clean = matches!(
            batter,
            BatterFate::Safe {
                at: Goal::Home,
                on: Reach::Hit,
                ..
            }
        );
        if !last || clean || **self.edition().walk_off_runs() == WalkOffRuns::WholePlay {
            return runs;
        }
        let behind = self.tally.guest.runs.saturating_sub(self.tally.home.runs);
        u8::try_from(behind.saturating_add(1)).unwrap_or(u8::MAX)
    }
}
