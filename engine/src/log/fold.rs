//! From recorded events to the effective game.

use alloc::collections::BTreeMap;
use alloc::sync::Arc;
use alloc::vec::Vec;
use core::fmt;

use super::{Amendment, Correction, Event};
use crate::game::{Fixture, Game, Notice, NoticeObjection, Outcome, PlayObjection};
use crate::play::{Call, Scoring, Turn};
use crate::team::Side;

/// A play in force, and what became of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoldedPlay {
    /// Sequence number of the event that brought it.
    pub seq: u64,
    /// Number of the play in the game, from 1.
    pub number: usize,
    /// Whose turn it was when recorded; `None` for a play inserted later.
    pub turn: Option<Turn>,
    /// The call in force.
    pub call: Call,
    /// Sequence number of the amendment in force, if any.
    pub amended_by: Option<u64>,
    /// What it did, or why it no longer fits.
    pub result: Result<Outcome, PlayObjection>,
}

/// A notice in force.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoldedNotice {
    /// Sequence number of the event.
    pub seq: u64,
    /// The notice.
    pub notice: Notice,
    /// Why it no longer fits, if so.
    pub objection: Option<NoticeObjection>,
}

/// One step of the game in force.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// A play.
    Play(FoldedPlay),
    /// A notice.
    Notice(FoldedNotice),
}

impl Step {
    /// Sequence number of the event that brought it.
    #[must_use]
    pub fn seq(&self) -> u64 {
        match self {
            Self::Play(p) => p.seq,
            Self::Notice(n) => n.seq,
        }
    }
}

/// Why an event was refused before it was recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RecordObjection {
    /// The call does not fit.
    Play(PlayObjection),
    /// The notice does not fit.
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
    /// A note is longer than a log keeps.
    TextTooLong,
    /// More runs batted in than the play has runs.
    BattedIn {
        /// The runs of the play that count.
        runs: u8,
    },
}

impl RecordObjection {
    /// The documented name, as used in scenario files.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Play(o) => o.name(),
            Self::Notice(o) => o.name(),
            Self::NothingToUndo => "nothing-to-undo",
            Self::NotTheLast { .. } => "not-the-last",
            Self::NoSuchPlay(_) => "no-such-play",
            Self::TextTooLong => "text-too-long",
            Self::BattedIn { .. } => "batted-in",
        }
    }
}

impl fmt::Display for RecordObjection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Play(o) => o.fmt(f),
            Self::Notice(o) => o.fmt(f),
            Self::NothingToUndo => f.write_str("Nothing is recorded yet: nothing to take back."),
            Self::NotTheLast { .. } => f.write_str(
                "Only the last thing recorded can be taken back: amend the play instead.",
            ),
            Self::NoSuchPlay(_) => f.write_str("There is no such play in this game."),
            Self::TextTooLong => {
                write!(
                    f,
                    "The note is too long: at most {} letters.",
                    Notice::TEXT_LIMIT
                )
            }
            Self::BattedIn { runs: 0 } => {
                f.write_str("No run counts on this play: none can be batted in.")
            }
            Self::BattedIn { runs } => {
                write!(
                    f,
                    "At most {runs} can be batted in on this play: the runs that count."
                )
            }
        }
    }
}

impl core::error::Error for RecordObjection {}

/// The events of one author and the game they fold to.
#[derive(Clone, Debug)]
pub struct History {
    start: Game,
    events: Vec<(u64, Event)>,
    /// Sequence numbers of events in force that an undo may take back, in order.
    in_force: Vec<u64>,
    folded: Folded,
}

#[derive(Clone, Debug)]
struct Folded {
    game: Game,
    steps: Vec<Step>,
    plays: usize,
    /// By how many places plays of a side recorded before a correction now
    /// stand later in the order: the correction's number, the side, the places.
    shifts: Vec<(u64, Side, usize)>,
    /// For each event with an answer to "how many were home first?": how many
    /// could have been when it was recorded. It outlives the folding.
    asked: BTreeMap<u64, u8>,
}

/// What the amendments in force say of one target.
#[derive(Default)]
struct Amended<'a> {
    /// By which event, with which call, and whether both officials agreed.
    replaced: Option<(u64, &'a Call, bool)>,
    removed: Option<u64>,
    inserted: Vec<(u64, Inserted<'a>)>,
}

/// What an amendment puts in before its target.
#[derive(Clone, Copy)]
enum Inserted<'a> {
    Play(&'a Call),
    Notice(&'a Notice),
}

impl History {
    /// A history without events.
    #[must_use]
    pub fn new(fixture: Arc<Fixture>) -> Self {
        let start = Game::new(fixture);
        let folded = Folded::new(start.clone());
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
                batted_in_fits(call.scoring.as_ref(), resolved.runs)
            }
            Event::Notice(notice) => {
                let mut game = self.game().clone();
                game.record(notice).map_err(RecordObjection::Notice)
            }
            Event::Amend(amendment) => self.check_amendment(amendment, false),
            Event::Settle(amendment) => self.check_amendment(amendment, true),
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
            })) if !agreed => batted_in_fits(Some(&outcome.scoring), outcome.runs),
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

    /// Every step in force with the game as it stood before it.
    pub fn positions(&self) -> impl Iterator<Item = (Game, &Step)> {
        let mut folded = Folded::new(self.start.clone());
        self.folded.steps.iter().map(move |step| {
            let before = folded.game.clone();
            match step {
                Step::Play(p) => folded.again(p),
                Step::Notice(n) => {
                    // A notice that did not fit changed nothing.
                    let _ = folded.game.record(&n.notice);
                }
            }
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
            Event::Amend(_) | Event::Settle(_) => {
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
        let mut amended: BTreeMap<u64, Amended<'_>> = BTreeMap::new();
        let in_force = |seq: &u64| self.in_force.binary_search(seq).is_ok();
        for (seq, event) in self.events.iter().filter(|(seq, _)| in_force(seq)) {
            let (Event::Amend(amendment) | Event::Settle(amendment)) = event else {
                continue;
            };
            // Only what came before can be amended.
            if amendment.target >= *seq {
                continue;
            }
            let target = amended.entry(amendment.target).or_default();
            match &amendment.change {
                Correction::Replace(call) => {
                    let agreed = matches!(event, Event::Settle(_));
                    target.replaced = Some((*seq, call, agreed));
                    target.removed = None;
                }
                Correction::Remove => target.removed = Some(*seq),
                Correction::InsertBefore(call) => {
                    target.inserted.push((*seq, Inserted::Play(call)));
                }
                Correction::NoticeBefore(notice) => {
                    target.inserted.push((*seq, Inserted::Notice(notice)));
                }
            }
        }
        let mut folded = Folded::new(self.start.clone());
        folded.asked = core::mem::take(&mut self.folded.asked);
        for (seq, event) in self.events.iter().filter(|(seq, _)| in_force(seq)) {
            match event {
                Event::Play { turn, call } => {
                    folded.amended_play(*seq, Some(*turn), call, &amended, 0);
                }
                Event::Notice(notice) => folded.amended_notice(*seq, notice, &amended, 0),
                Event::Amend(_) | Event::Settle(_) | Event::Undo { .. } => {}
            }
        }
        self.folded = folded;
    }
}

fn note_fits(call: &Call) -> Result<(), RecordObjection> {
    match &call.note {
        Some(note) if note.len() > Notice::TEXT_LIMIT => Err(RecordObjection::TextTooLong),
        _ => Ok(()),
    }
}

fn batted_in_fits(scoring: Option<&Scoring>, runs: u8) -> Result<(), RecordObjection> {
    match scoring.and_then(|s| s.batted_in) {
        Some(n) if n > runs => Err(RecordObjection::BattedIn { runs }),
        _ => Ok(()),
    }
}

impl Folded {
    /// How often an inserted play may itself be amended by an insertion.
    const DEEPEST: u8 = 8;

    fn new(game: Game) -> Self {
        Self {
            game,
            steps: Vec::new(),
            plays: 0,
            shifts: Vec::new(),
            asked: BTreeMap::new(),
        }
    }

    fn amended_play(
        &mut self,
        seq: u64,
        turn: Option<Turn>,
        call: &Call,
        amended: &BTreeMap<u64, Amended<'_>>,
        depth: u8,
    ) {
        let Some(changes) = amended.get(&seq).filter(|_| depth <= Self::DEEPEST) else {
            return self.play(seq, turn, call, None);
        };
        self.insert(&changes.inserted, amended, depth);
        if let Some(by) = changes.removed {
            if let Some(turn) = turn {
                self.shifts.push((by, turn.side, 4));
            }
            return;
        }
        match changes.replaced {
            None => self.play(seq, turn, call, None),
            Some((by, call, false)) => self.play(seq, turn, call, Some(by)),
            Some((by, call, true)) => {
                // Both officials say that it stands here, whoever it was
                // recorded for: later plays move along with it.
                let now = self.game.turn();
                if let Some(recorded) = turn.map(|t| self.expected(seq, t)) {
                    if recorded.side == now.side {
                        let places = 5 + now.place.index() - recorded.place.index();
                        self.shifts.push((by, now.side, places % 5));
                    } else {
                        self.shifts.push((by, recorded.side, 4));
                        self.shifts.push((by, now.side, 1));
                    }
                }
                self.play(seq, None, call, Some(by));
            }
        }
    }

    fn amended_notice(
        &mut self,
        seq: u64,
        notice: &Notice,
        amended: &BTreeMap<u64, Amended<'_>>,
        depth: u8,
    ) {
        let Some(changes) = amended.get(&seq).filter(|_| depth <= Self::DEEPEST) else {
            return self.notice(seq, notice);
        };
        self.insert(&changes.inserted, amended, depth);
        if changes.removed.is_none() {
            self.notice(seq, notice);
        }
    }

    /// Puts in what was missed; it is known by the amendment that brought it.
    fn insert(
        &mut self,
        inserted: &[(u64, Inserted<'_>)],
        amended: &BTreeMap<u64, Amended<'_>>,
        depth: u8,
    ) {
        for (by, what) in inserted {
            match what {
                Inserted::Notice(notice) => self.amended_notice(*by, notice, amended, depth + 1),
                Inserted::Play(call) => {
                    let side = self.game.at_bat();
                    self.amended_play(*by, None, call, amended, depth + 1);
                    self.shifts.push((*by, side, 1));
                }
            }
        }
    }

    /// The turn that a recorded play belongs to after the corrections made
    /// since it was recorded.
    fn expected(&self, seq: u64, turn: Turn) -> Turn {
        let later = self
            .shifts
            .iter()
            .filter(|(by, side, _)| *by > seq && *side == turn.side);
        let places: usize = later.map(|(_, _, places)| places).sum();
        Turn {
            place: turn.place.after(places),
            ..turn
        }
    }

    fn play(&mut self, seq: u64, turn: Option<Turn>, call: &Call, amended_by: Option<u64>) {
        let now = self.game.turn();
        let expected = turn.map(|t| self.expected(seq, t));
        let due_now = expected.is_none_or(|t| t == now);
        let result = match (self.game.ending(), due_now) {
            (Some(ending), _) => Err(PlayObjection::Over(ending)),
            (None, false) => Err(PlayObjection::NotDue {
                due: self.game.due(),
            }),
            (None, true) => self
                .answer_stands(amended_by.unwrap_or(seq), call)
                .and_then(|()| self.game.play(call)),
        };
        if result.is_err() && due_now && self.game.ending().is_none() {
            self.game.pass_turn();
        }
        self.plays += 1;
        let number = self.plays;
        let call = call.clone();
        self.steps.push(Step::Play(FoldedPlay {
            seq,
            number,
            turn,
            call,
            amended_by,
            result,
        }));
    }

    /// Whether the answer to "how many were home first?" was given to the
    /// question that the call leaves open now. It was given by someone who saw
    /// so many come home: when a correction changes how many could have been
    /// first, the answer says nothing, and they are asked again.
    fn answer_stands(&mut self, by: u64, call: &Call) -> Result<(), PlayObjection> {
        if call.home_first.is_none() {
            return Ok(());
        }
        let most = self.game.resolve(call)?.home_first_most;
        let asked = *self.asked.entry(by).or_insert(most);
        if most == asked || most == 0 {
            Ok(())
        } else {
            Err(PlayObjection::RunsUnanswered { most })
        }
    }

    /// Plays a step once more, with the same result as before.
    fn again(&mut self, play: &FoldedPlay) {
        match &play.result {
            Ok(_) => {
                let _ = self.game.play(&play.call);
            }
            Err(PlayObjection::NotDue { .. } | PlayObjection::Over(_)) => {}
            Err(_) => self.game.pass_turn(),
        }
    }

    fn notice(&mut self, seq: u64, notice: &Notice) {
        let objection = self.game.record(notice).err();
        self.steps.push(Step::Notice(FoldedNotice {
            seq,
            notice: notice.clone(),
            objection,
        }));
    }
}
