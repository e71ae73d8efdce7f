//! Playing a call: the one transition of the game.

use super::{Change, End, Ending, Fate, Game, Movement, Outcome, PlayObjection, Runner, Stage};
use crate::message::localized;
use crate::play::{Base, BatterFate, ByBase, Call};
use crate::rules::{OUTS_PER_TURN, RunAheadWhen, TieBreakWho};
use crate::team::{Position, Shirt, Side};

/// The game after a play, and what the play did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlayedCall {
    /// The new state.
    pub game: Game,
    /// What the play did.
    pub outcome: Outcome,
}

/// A refused call: the unchanged game and the reason.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[message(transparent = objection)]
pub struct RefusedCall {
    /// The old state, unchanged.
    pub game: Game,
    /// Why, and what would be right.
    pub objection: PlayObjection,
}

impl Game {
    /// Plays a call.
    ///
    /// # Errors
    /// Gives the old state back with the objection.
    #[allow(
        clippy::result_large_err,
        reason = "the old state is what the caller wants back"
    )]
    pub fn apply(mut self, call: &Call) -> Result<PlayedCall, RefusedCall> {
        match self.play(call) {
            Ok(outcome) => Ok(PlayedCall {
                game: self,
                outcome,
            }),
            Err(objection) => Err(RefusedCall {
                game: self,
                objection,
            }),
        }
    }

    /// Plays a call in place; on an objection nothing changes.
    pub(crate) fn play(&mut self, call: &Call) -> Result<Outcome, PlayObjection> {
        let resolved = self.resolve(call)?;
        let turn = self.turn();
        let outs_before = self.outs;
        let side = self.at_bat;
        let fielders = Position::ALL.map(|p| self.fielder(side.other(), p));

        let mut bases = ByBase::default();
        for m in &resolved.movements {
            if let End::On(base) = m.end {
                let before = m.from.and_then(|b| self.bases[b]);
                bases[base] = before.or(Some(Runner {
                    shirt: m.who,
                    stands_in_for: None,
                }));
            }
        }
        self.bases = bases;
        self.last_out = last_put_out(&resolved.movements).or(self.last_out);
        self.outs += resolved.outs;
        let hit = resolved
            .movements
            .last()
            .is_some_and(|m| m.end != End::AtBat);
        if hit {
            let place = call.hitter.and_then(|n| self.squads[side].place_of(n));
            self.next[side] = place.unwrap_or(self.next[side]).after(1);
        }
        let tally = &mut self.tally[side];
        tally.turns += u16::from(hit);
        tally.runs += u16::from(resolved.runs);
        tally.outs += u16::from(resolved.outs);

        // Those home too late are left on base: they neither scored nor were put out.
        let late = resolved
            .movements
            .iter()
            .filter(|m| m.end == End::TooLate)
            .count();
        let late = u8::try_from(late).unwrap_or(u8::MAX);
        let change = self.proceed();
        let left = match change {
            Change::NextBatter => 0,
            Change::Sides | Change::Over(_) => late + self.on_base(),
        };
        self.tally[side].left += u16::from(left);
        if change == Change::Sides {
            self.change_sides();
        }
        Ok(Outcome {
            turn,
            outs_before,
            movements: resolved.movements,
            outs: resolved.outs,
            runs: resolved.runs,
            left,
            change,
            fielders,
            scoring: call.scoring.clone().unwrap_or_default(),
            note: call.note.clone(),
        })
    }

    /// Decides what follows a play or the end of a turn at bat.
    fn proceed(&mut self) -> Change {
        let last_inning = self.inning >= self.edition().innings().get();
        let (guest, home) = (self.tally.guest.runs, self.tally.home.runs);
        if self.at_bat == Side::Home && last_inning && home > guest {
            return self.end(Ending::WalkOff);
        }
        let when = **self.edition().run_ahead_when();
        let lead_ends =
            |lead: u16| !last_inning && self.edition().run_ahead().ends(lead, self.inning);
        let home_lead = home.saturating_sub(guest);
        if self.outs < OUTS_PER_TURN {
            let now = self.at_bat == Side::Home && when == RunAheadWhen::AtOnce;
            return if now && lead_ends(home_lead) {
                self.end(Ending::RunAhead)
            } else {
                Change::NextBatter
            };
        }
        match self.at_bat {
            Side::Guest if last_inning && home > guest => self.end(Ending::Regulation),
            Side::Guest if when != RunAheadWhen::Complete && lead_ends(home_lead) => {
                self.end(Ending::RunAhead)
            }
            Side::Home if last_inning && guest > home => {
                let extra = self.inning > self.edition().innings().get();
                self.end(if extra {
                    Ending::Extra
                } else {
                    Ending::Regulation
                })
            }
            Side::Home if lead_ends(guest.abs_diff(home)) => self.end(Ending::RunAhead),
            Side::Guest | Side::Home => Change::Sides,
        }
    }

    pub(super) fn end(&mut self, ending: Ending) -> Change {
        self.stage = Stage::Over(ending);
        Change::Over(ending)
    }

    pub(super) fn change_sides(&mut self) {
        self.outs = 0;
        self.bases = ByBase::default();
        self.last_out = None;
        if self.at_bat == Side::Home {
            self.inning = self.inning.saturating_add(1);
            self.time_outs = self.time_outs.map(|(game, _)| (game, 0));
        }
        self.at_bat = self.at_bat.other();
        self.place_runners();
    }

    /// Puts the tie-break runners on base.
    ///
    /// Source: glossary, end of game (published): 1st; 1st and 2nd; from the
    /// third extra inning on, loaded; the batting order unchanged. Which
    /// players: from memory, a policy.
    fn place_runners(&mut self) {
        let edition = self.edition();
        let extra = self.inning.saturating_sub(edition.innings().get());
        let count = usize::from(edition.tie_break_runners().placed(extra));
        let who = **edition.tie_break_who();
        let side = self.at_bat;
        for (i, base) in Base::ALL.into_iter().take(count).enumerate() {
            let earlier = match who {
                TieBreakWho::NearestOnFirst => i + 1,
                TieBreakWho::NearestOnLead => count - i,
            };
            let shirt = self.squads[side].at(self.next[side].before(earlier));
            self.bases[base] = Some(Runner {
                shirt,
                stands_in_for: None,
            });
            self.tally[side].placed += 1;
        }
    }
}

/// How a record goes on after plays that an amendment made impossible.
#[cfg(feature = "log")]
impl Game {
    /// Lets so many batters due pass with nothing else changed: the turn of a
    /// play that an amendment made impossible.
    pub(crate) fn pass_turns(&mut self, places: usize) {
        self.next[self.at_bat] = self.next[self.at_bat].after(places);
    }

    /// Says who is due: the record goes on so after plays that do not fit.
    pub(crate) fn follow_order(&mut self, next: crate::team::Place) {
        self.next[self.at_bat] = next;
    }

    /// Ends the turn at bat though its outs are not all known: plays of it do not
    /// fit any more, and the record goes on with the other side.
    pub(crate) fn close_half(&mut self) {
        if self.stage == Stage::Playing {
            self.tally[self.at_bat].left += u16::from(self.on_base());
            self.change_sides();
        }
    }
}

/// The person put out last: those who left early came before the hit, a caught
/// or illegal one before what followed; of the others the rearmost, the batter
/// foremost.
fn last_put_out(movements: &[Movement]) -> Option<Shirt> {
    let order = |m: &&Movement| match m.fate {
        Fate::Runner(fate) if fate.left_early() => 0,
        Fate::Batter(BatterFate::Caught | BatterFate::Illegal(_)) => 1,
        Fate::Runner(_) => 2,
        Fate::Batter(_) => 3,
    };
    // The last of equals: lead runner first, so the rearmost.
    let out = movements.iter().filter(|m| m.end == End::Out);
    out.max_by_key(order).map(|m| m.who)
}
