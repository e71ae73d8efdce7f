//! Playing a call: the one transition of the game.

use super::{Change, End, Ending, Game, Outcome, PlayObjection, Runner, Stage};
use crate::play::{Base, ByBase, Call};
use crate::rules::{OUTS_PER_TURN, TieBreakWho};
use crate::team::{Position, Side};

/// The game after a play, and what the play did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Played {
    /// The new state.
    pub game: Game,
    /// What the play did.
    pub outcome: Outcome,
}

/// A refused call: the unchanged game and the reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
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
    pub fn apply(mut self, call: &Call) -> Result<Played, Refused> {
        match self.play(call) {
            Ok(outcome) => Ok(Played {
                game: self,
                outcome,
            }),
            Err(objection) => Err(Refused {
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
        // The rearmost person out; after a catch or an illegal hit that is a
        // runner, whose out came later than the batter's.
        let out_of = |batter: bool| {
            resolved
                .movements
                .iter()
                .rev()
                .find(|m| m.end == End::Out && m.from.is_none() == batter)
        };
        let batter_first = matches!(
            call.batter,
            crate::play::BatterFate::Caught | crate::play::BatterFate::Illegal(_)
        );
        let last = if batter_first {
            out_of(false).or_else(|| out_of(true))
        } else {
            out_of(true).or_else(|| out_of(false))
        };
        self.last_out = last.map(|m| m.who).or(self.last_out);
        self.outs += resolved.outs;
        self.next[side] = self.next[side].after(1);
        let tally = &mut self.tally[side];
        tally.turns += 1;
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
        if self.outs < OUTS_PER_TURN {
            return Change::NextBatter;
        }
        match self.at_bat {
            Side::Guest if last_inning && home > guest => self.end(Ending::Regulation),
            Side::Home if last_inning && guest > home => {
                let extra = self.inning > self.edition().innings().get();
                self.end(if extra {
                    Ending::Extra
                } else {
                    Ending::Regulation
                })
            }
            Side::Home
                if !last_inning
                    && self
                        .edition()
                        .run_ahead()
                        .ends(guest.abs_diff(home), self.inning) =>
            {
                self.end(Ending::RunAhead)
            }
            Side::Guest | Side::Home => Change::Sides,
        }
    }

    pub(super) fn end(&mut self, ending: Ending) -> Change {
        self.stage = Stage::Over(ending);
        Change::Over(ending)
    }

    fn change_sides(&mut self) {
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

    /// Lets the batter due pass with nothing else changed: the turn of a play
    /// that an amendment made impossible.
    pub(crate) fn pass_turn(&mut self) {
        self.next[self.at_bat] = self.next[self.at_bat].after(1);
    }
}
