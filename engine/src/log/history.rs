//! One author's recorded events and what can be asked of them.

use alloc::sync::Arc;
use alloc::vec::Vec;

use super::fold::{FoldedEvents, FoldedNotice, FoldedPlay, Step};
use super::{Amendment, Correction, Event};
use crate::game::{Fixture, Game, Notice, NoticeObjection, Outcome, PlayObjection};
use crate::message::localized;
use crate::play::{Call, Scoring};

/// Why an event was refused before it was recorded.
#[localized(named)]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RecordObjection {
    /// The call does not fit.
    #[message(transparent)]
    Play(PlayObjection),
    /// The notice does not fit.
    #[message(transparent)]
    Notice(NoticeObjection),
    /// There is nothing to take back.
    NothingToUndo,
    /// Only the last event in force can be taken back.
    NotTheLast {
        /// The event that can.
        last: u64,
    },
    /// No play in force has this sequence number.
    NoSuchPlay(u64),
    /// More putouts are starred than the play has outs.
    Putouts {
        /// The outs of the play.
        outs: u8,
    },
    /// A note is longer than a log keeps.
    #[message(most = Notice::TEXT_LIMIT)]
    TextTooLong,
    /// More runs batted in than the play has runs.
    BattedIn {
        /// The runs of the play that count.
        runs: u8,
    },
}

/// The events of one author and the game they fold to.
#[derive(Clone, Debug)]
pub struct History {
    start: Game,
    events: Vec<(u64, Event)>,
    /// Sequence numbers of events in force that an undo may take back, in order.
    in_force: Vec<u64>,
    folded: FoldedEvents,
}

impl History {
    /// A history without events.
    #[must_use]
    pub fn new(fixture: Arc<Fixture>) -> Self {
        let start = Game::new(fixture);
        let folded = FoldedEvents::new(start.clone());
        Self {
            start,
            events: Vec::new(),
            in_force: Vec::new(),
            folded,
        }
    }

    /// The effective game.
    #[must_use]
    pub fn game(&self) -> &Game {
        &self.folded.game
    }

    /// All recorded events with their sequence numbers, those taken back too.
    #[must_use]
    pub fn events(&self) -> &[(u64, Event)] {
        &self.events
    }

    /// The steps in force.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        &self.folded.steps
    }

    /// The plays in force, those that no longer fit included.
    pub fn plays(&self) -> impl DoubleEndedIterator<Item = &FoldedPlay> {
        self.folded.steps.iter().filter_map(|s| match s {
            Step::Play(p) => Some(p),
            Step::Notice(_) => None,
        })
    }

    /// What the plays in force did.
    pub fn outcomes(&self) -> impl DoubleEndedIterator<Item = &Outcome> {
        self.plays().filter_map(|p| p.result.as_ref().ok())
    }

    /// The plays that a correction made impossible.
    pub fn conflicts(&self) -> impl Iterator<Item = &FoldedPlay> {
        self.plays().filter(|p| p.result.is_err())
    }

    /// Whether an event is in force.
    #[must_use]
    pub fn is_in_force(&self, seq: u64) -> bool {
        self.in_force.binary_search(&seq).is_ok()
    }

    /// The event that an undo would take back.
    #[must_use]
    pub fn last_in_force(&self) -> Option<u64> {
        let last = self.in_force.last().copied()?;
        let settled = |(seq, e): &(u64, Event)| *seq == last && matches!(e, Event::Settle(_));
        (!self.events.iter().rev().any(settled)).then_some(last)
    }

    /// The next play as an event, for the batter now due.
    #[must_use]
    pub fn next_play(&self, call: Call) -> Event {
        Event::Play {
            turn: self.game().turn(),
            call,
        }
    }

    /// Judges an event without recording it.
    ///
    /// # Errors
    /// When the event does not fit the game now in force.
    pub fn check(&self, event: &Event) -> Result<(), RecordObjection> {
        match event {
            Event::Play { turn, call } => {
                note_fits(call)?;
                let game = self.game();
                if game.ending().is_none() && *turn != game.turn() {
                    let due = game.due();
                    return Err(RecordObjection::Play(PlayObjection::NotDue { due }));
                }
                let resolved = game.resolve(call).map_err(RecordObjection::Play)?;
                scoring_fits(call.scoring.as_ref(), resolved.runs, resolved.outs)
            }
            Event::Notice(notice) => {
                let mut game = self.game().clone();
                game.record(notice).map_err(RecordObjection::Notice)
            }
            Event::Amend(amendment) => self.check_amendment(amendment, false),
            Event::Settle(amendment) => self.check_amendment(amendment, true),
            Event::Replay { target } => match self.step(*target) {
                Some(Step::Play(_)) => Ok(()),
                _ => Err(RecordObjection::NoSuchPlay(*target)),
            },
            Event::Undo { target } => match self.last_in_force() {
                None => Err(RecordObjection::NothingToUndo),
                Some(last) if last != *target => Err(RecordObjection::NotTheLast { last }),
                Some(_) => Ok(()),
            },
        }
    }

    fn step(&self, seq: u64) -> Option<&Step> {
        self.folded.steps.iter().find(|s| s.seq() == seq)
    }

    /// The history as an event would leave it, without recording anything:
    /// what an amendment would do to the later plays.
    ///
    /// # Errors
    /// As [`History::check`].
    pub fn preview(&self, event: Event) -> Result<Self, RecordObjection> {
        self.check(&event)?;
        let mut next = self.clone();
        next.push(self.next_seq(), event);
        Ok(next)
    }

    /// What is amended or put in must fit where it stands, as it will stand.
    fn check_amendment(&self, amendment: &Amendment, agreed: bool) -> Result<(), RecordObjection> {
        let target = amendment.target;
        let missing = RecordObjection::NoSuchPlay(target);
        let is_play = match self.step(target).ok_or(missing.clone())? {
            Step::Play(_) => true,
            Step::Notice(_) => false,
        };
        let seq = self.next_seq();
        let changed = match &amendment.change {
            Correction::Remove => return Ok(()),
            Correction::Replace(_) if !is_play => return Err(missing),
            Correction::Replace(call) => {
                note_fits(call)?;
                target
            }
            Correction::InsertBefore(call) => {
                note_fits(call)?;
                seq
            }
            Correction::NoticeBefore(_) => seq,
        };
        let mut next = self.clone();
        next.push(seq, Event::Amend(amendment.clone()));
        match next.step(changed) {
            Some(Step::Play(FoldedPlay {
                result: Err(objection),
                ..
            })) => Err(RecordObjection::Play(*objection)),
            Some(Step::Notice(FoldedNotice {
                objection: Some(objection),
                ..
            })) => Err(RecordObjection::Notice(objection.clone())),
            // What both officials agreed on is not refused for the scorer's
            // extras, which stay as they were.
            Some(Step::Play(FoldedPlay {
                result: Ok(outcome),
                ..
            })) if !agreed => scoring_fits(Some(&outcome.scoring), outcome.runs, outcome.outs),
            _ => Ok(()),
        }
    }

    /// The next free sequence number for a recorder that keeps no other entries.
    fn next_seq(&self) -> u64 {
        self.events.last().map_or(1, |(seq, _)| seq + 1)
    }

    /// The game as it stood before a play or notice in force.
    #[must_use]
    pub fn before(&self, seq: u64) -> Option<Game> {
        let at = self.folded.steps.iter().position(|s| s.seq() == seq)?;
        self.positions().nth(at).map(|(game, _)| game)
    }

    /// The history as it was when the entry of this number was still to be
    /// written, whatever was corrected, taken back or replayed since.
    #[must_use]
    pub fn until(&self, seq: u64) -> Self {
        let mut then = Self {
            start: self.start.clone(),
            events: Vec::new(),
            in_force: Vec::new(),
            folded: FoldedEvents::new(self.start.clone()),
        };
        let events = self.events.iter().take_while(|(at, _)| *at < seq);
        for (at, event) in events {
            then.push(*at, event.clone());
        }
        then
    }

    /// Every step in force with the game as it stood before it.
    pub fn positions(&self) -> impl Iterator<Item = (Game, &Step)> {
        let mut folded = FoldedEvents::new(self.start.clone());
        self.folded.steps.iter().map(move |step| {
            let before = folded.game.clone();
            folded.again(step);
            (before, step)
        })
    }

    /// Adds an event that is already recorded. One that does not fit is kept
    /// and named, never dropped. Sequence numbers must rise.
    pub fn push(&mut self, seq: u64, event: Event) {
        match &event {
            Event::Play { turn, call } => {
                self.in_force.push(seq);
                self.folded.play(seq, Some(*turn), call, None);
                self.events.push((seq, event));
            }
            Event::Notice(notice) => {
                self.in_force.push(seq);
                self.folded.notice(seq, notice);
                self.events.push((seq, event));
            }
            Event::Amend(_) | Event::Settle(_) | Event::Replay { .. } => {
                self.in_force.push(seq);
                self.events.push((seq, event));
                self.fold_again();
            }
            Event::Undo { target } => {
                if self.last_in_force() == Some(*target) {
                    self.in_force.pop();
                }
                self.events.push((seq, event));
                self.fold_again();
            }
        }
    }

    fn fold_again(&mut self) {
        let in_force = |(seq, _): &&(u64, Event)| self.is_in_force(*seq);
        let events: Vec<_> = self.events.iter().filter(in_force).collect();
        let known = core::mem::take(&mut self.folded.known);
        self.folded = FoldedEvents::fold(&self.start, known, &events);
    }
}

fn note_fits(call: &Call) -> Result<(), RecordObjection> {
    match &call.note {
        Some(note) if note.len() > Notice::TEXT_LIMIT => Err(RecordObjection::TextTooLong),
        _ => Ok(()),
    }
}

fn scoring_fits(scoring: Option<&Scoring>, runs: u8, outs: u8) -> Result<(), RecordObjection> {
    let Some(scoring) = scoring else {
        return Ok(());
    };
    let stars = scoring.starred.unwrap_or(0);
    let beyond = stars.checked_shr(u32::try_from(scoring.by.len()).unwrap_or(16));
    if stars.count_ones() > u32::from(outs) || beyond.unwrap_or(0) != 0 {
        return Err(RecordObjection::Putouts { outs });
    }
    match scoring.batted_in {
        Some(n) if n > runs => Err(RecordObjection::BattedIn { runs }),
        _ => Ok(()),
    }
}
