//! From recorded events to the effective game.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::sync::Arc;
use alloc::vec::Vec;
use core::fmt;

use super::{Amendment, Correction, Event};
use crate::game::{Change, Fixture, Game, Notice, NoticeObjection, Outcome, PlayObjection};
use crate::play::{Base, BatterFate, Call, PlateAppearance, RunnerFate, Scoring};
use crate::team::{BySide, Place, Side};

/// A play in force, and what became of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoldedPlay {
    /// Sequence number of the event that brought it.
    pub seq: u64,
    /// Number of the play in the game, from 1.
    pub number: usize,
    /// Whose turn it was when recorded; `None` for a play inserted later.
    pub turn: Option<PlateAppearance>,
    /// The call in force.
    pub call: Call,
    /// Sequence number of the amendment in force, if any.
    pub amended_by: Option<u64>,
    /// What the record's own order changed around a play that does not fit.
    pub(crate) adjusted: Adjustment,
    /// What it did, or why it no longer fits.
    pub result: Result<Outcome, PlayObjection>,
}

/// How the game follows the record around plays that do not fit: what they did
/// is not known, and what was recorded after them could nevertheless happen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Adjustment {
    /// Half-innings ended before the play though their outs are not all known.
    halves: u8,
    /// The place in the order that is due by the record.
    order: Option<Place>,
    /// Places that the order moves on although the play does not fit.
    passes: u8,
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
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RecordObjection {
    /// The call does not fit.
    #[error(transparent)]
    Play(PlayObjection),
    /// The notice does not fit.
    #[error(transparent)]
    Notice(NoticeObjection),
    /// There is nothing to take back.
    #[error("Nothing is recorded yet: nothing to take back.")]
    NothingToUndo,
    /// Only the last event in force can be taken back.
    #[error("Only the last thing recorded can be taken back: amend the play instead.")]
    NotTheLast {
        /// The event that can.
        last: u64,
    },
    /// No play in force has this sequence number.
    #[error("There is no such play in this game.")]
    NoSuchPlay(u64),
    /// More putouts are starred than the play has outs.
    #[error("Star at most {outs} putouts on this play: its outs.")]
    Putouts {
        /// The outs of the play.
        outs: u8,
    },
    /// A note is longer than a log keeps.
    #[error("The note is too long: at most {} letters.", Notice::TEXT_LIMIT)]
    TextTooLong,
    /// More runs batted in than the play has runs.
    #[error(fmt = batted_in)]
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
            Self::Putouts { .. } => "putouts",
        }
    }
}

fn batted_in(runs: &u8, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    match runs {
        0 => f.write_str("No run counts on this play: none can be batted in."),
        _ => write!(
            f,
            "At most {runs} can be batted in on this play: the runs that count."
        ),
    }
}

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
    /// How many shifts there were before each step, and what was broken or adrift.
    before: Vec<(usize, bool, BySide<bool>)>,
    /// What was so when events were recorded. It outlives the folding.
    known: Known,
    /// The last correction in force.
    latest: u64,
    /// A play of this half-inning does not fit: its outs are not all known.
    broken: bool,
    /// A play of the side was in conflict because another batter was due: the
    /// next one goes by the record.
    adrift: BySide<bool>,
}

/// What was so when events were recorded, by sequence number.
#[derive(Clone, Debug, Default)]
struct Known {
    /// For each call with an answer to "how many were home first?": how many
    /// could have been.
    asked: BTreeMap<u64, u8>,
    /// Calls that fitted as they were said.
    fitted: BTreeSet<u64>,
    /// For each play: how many places it moved the order on, and the correction
    /// since which it does so.
    moves: BTreeMap<u64, Vec<(u64, u8)>>,
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

    /// Every step in force with the game as it stood before it.
    pub fn positions(&self) -> impl Iterator<Item = (Game, &Step)> {
        let mut folded = Folded::new(self.start.clone());
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
        folded.known = core::mem::take(&mut self.folded.known);
        folded
            .known
            .forget(|seq| self.in_force.binary_search(&seq).is_ok());
        let correction = |(seq, e): &&(u64, Event)| {
            in_force(seq) && matches!(e, Event::Amend(_) | Event::Settle(_))
        };
        let latest = self.events.iter().rev().find(correction);
        folded.latest = latest.map_or(0, |(seq, _)| *seq);
        for (seq, event) in self.events.iter().filter(|(seq, _)| in_force(seq)) {
            match event {
                Event::Play { turn, call } => {
                    folded.amended_play(*seq, Some(*turn), call, &amended, 0);
                }
                Event::Notice(notice) => folded.amended_notice(*seq, notice, &amended, 0),
                Event::Replay { target } => folded.rewind(*target, &self.start),
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

impl Known {
    /// Forgets what corrections taken back had brought.
    fn forget(&mut self, in_force: impl Fn(u64) -> bool) {
        for moves in self.moves.values_mut() {
            moves.retain(|(by, _)| in_force(*by));
        }
        self.moves.retain(|_, moves| !moves.is_empty());
    }

    /// How many places the play moves the order on, as last known.
    fn moved(&self, seq: u64) -> Option<u8> {
        self.moves.get(&seq)?.last().map(|(_, places)| *places)
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
            before: Vec::new(),
            known: Known::default(),
            latest: 0,
            broken: false,
            adrift: BySide::default(),
        }
    }

    fn amended_play(
        &mut self,
        seq: u64,
        turn: Option<PlateAppearance>,
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
                self.moved(seq, by, turn.side, 0, false);
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
                    self.amended_play(*by, None, call, amended, depth + 1);
                }
            }
        }
    }

    /// The turn that a recorded play belongs to after the corrections made
    /// since it was recorded.
    fn expected(&self, seq: u64, turn: PlateAppearance) -> PlateAppearance {
        let later = self
            .shifts
            .iter()
            .filter(|(by, side, _)| *by > seq && *side == turn.side);
        let places: usize = later.map(|(_, _, places)| places).sum();
        PlateAppearance {
            place: turn.place.after(places),
            ..turn
        }
    }

    fn play(
        &mut self,
        seq: u64,
        turn: Option<PlateAppearance>,
        call: &Call,
        amended_by: Option<u64>,
    ) {
        self.remember();
        let expected = turn.map(|t| self.expected(seq, t));
        let mut adjusted = expected.map_or_else(Adjustment::default, |t| self.follow(t));
        let now = self.game.turn();
        let due_now = expected.is_none_or(|t| t == now);
        let by = amended_by.unwrap_or(seq);
        let mut call = call.clone();
        let result = match (self.game.ending(), due_now) {
            (Some(ending), _) => Err(PlayObjection::Over(ending)),
            (None, false) => Err(PlayObjection::NotDue {
                due: self.game.due(),
            }),
            (None, true) => self.play_as_meant(by, &mut call),
        };
        match &result {
            Ok(outcome) => {
                let next = self.game.next_place(now.side);
                let places = 5 + next.index() - now.place.index();
                let places = u8::try_from(places % 5).unwrap_or(0);
                self.moved(seq, by, now.side, places, turn.is_none());
                self.adrift[now.side] = false;
                self.broken &= outcome.change == Change::NextBatter;
            }
            Err(PlayObjection::Over(_)) => {}
            Err(_) if due_now => {
                let places = self.known.moved(seq);
                adjusted.passes = places.unwrap_or_else(|| self.would_move(&call));
                self.game.pass_turns(adjusted.passes.into());
                self.moved(seq, by, now.side, adjusted.passes, turn.is_none());
                self.broken = true;
            }
            Err(_) => {
                let same_half = |t: PlateAppearance| (t.inning, t.side) == (now.inning, now.side);
                if expected.is_some_and(same_half) {
                    self.adrift[now.side] = true;
                    self.broken = true;
                }
            }
        }
        self.plays += 1;
        let number = self.plays;
        self.push(Step::Play(FoldedPlay {
            seq,
            number,
            turn,
            call,
            amended_by,
            adjusted,
            result,
        }));
    }

    /// Keeps how things stood before the step that comes.
    fn remember(&mut self) {
        let now = (self.shifts.len(), self.broken, self.adrift);
        self.before.push(now);
    }

    fn push(&mut self, step: Step) {
        self.steps.push(step);
    }

    /// Where plays before do not fit, the game follows the record: it goes on
    /// with the other side although the outs are not all known, and with the
    /// batter recorded although another one would be due.
    fn follow(&mut self, expected: PlateAppearance) -> Adjustment {
        let mut adjusted = Adjustment::default();
        if self.game.ending().is_some() {
            return adjusted;
        }
        let half = |t: PlateAppearance| (t.inning, t.side);
        if self.broken && half(self.game.turn()) < half(expected) {
            self.game.close_half();
            self.broken = false;
            adjusted.halves = 1;
        }
        let now = self.game.turn();
        if half(now) == half(expected) && now != expected && self.adrift[now.side] {
            self.game.follow_order(expected.place);
            adjusted.order = Some(expected.place);
        }
        adjusted
    }

    /// Plays the call. Where one that fitted when it was recorded does not any
    /// more, those said to hold take the default: they would have held unsaid,
    /// and what is only a default said aloud is no contradiction. Nor is the
    /// answer to a question that is not asked any more.
    fn play_as_meant(&mut self, by: u64, call: &mut Call) -> Result<Outcome, PlayObjection> {
        let objection = match self.play_answered(by, call) {
            Ok(outcome) => {
                self.known.fitted.insert(by);
                return Ok(outcome);
            }
            Err(objection) => objection,
        };
        if !self.known.fitted.contains(&by) {
            return Err(objection);
        }
        let mut meant = call.clone();
        for base in Base::ALL {
            if call.runners()[base] == Some(RunnerFate::Holds) {
                meant.set_runner(base, None);
            }
        }
        let outcome = match self.play_answered(by, &meant) {
            Err(PlayObjection::NotAsked) => {
                meant.home_first = None;
                self.game.play(&meant)
            }
            played => played,
        };
        let outcome = outcome.map_err(|_| objection)?;
        *call = meant;
        Ok(outcome)
    }

    fn play_answered(&mut self, by: u64, call: &Call) -> Result<Outcome, PlayObjection> {
        self.answer_stands(by, call)?;
        self.game.play(call)
    }

    /// How far a call would move the order on.
    fn would_move(&self, call: &Call) -> u8 {
        let side = self.game.at_bat();
        let squad = &self.game.squads()[side];
        let place = call.hitter.and_then(|n| squad.place_of(n));
        match (call.batter, place) {
            (BatterFate::NoHit, _) => 0,
            (_, Some(place)) => {
                let due = self.game.next_place(side).index();
                u8::try_from((6 + place.index() - due) % 5).unwrap_or(1)
            }
            (_, None) => 1,
        }
    }

    /// Keeps how many places a play moves the order on. Where a correction
    /// changed that, plays recorded before the correction stand elsewhere.
    fn moved(&mut self, seq: u64, by: u64, side: Side, places: u8, inserted: bool) {
        let latest = self.latest.max(by);
        let moves = self.known.moves.entry(seq).or_default();
        match moves.last() {
            Some((_, last)) if *last == places => {}
            Some(_) => moves.push((latest, places)),
            None => moves.push((by, places)),
        }
        let mut before = if inserted { Some(0) } else { None };
        for (by, places) in moves.iter() {
            let shift = before.map_or(0, |b: u8| (5 + places - b) % 5);
            if shift != 0 {
                self.shifts.push((*by, side, shift.into()));
            }
            before = Some(*places);
        }
    }

    /// Takes away a play and all steps after it: the game goes on from before.
    fn rewind(&mut self, target: u64, start: &Game) {
        let is_target = |s: &Step| matches!(s, Step::Play(p) if p.seq == target);
        let Some(at) = self.steps.iter().position(is_target) else {
            return;
        };
        self.steps.truncate(at);
        let (shifts, broken, adrift) = self.before[at];
        self.shifts.truncate(shifts);
        self.before.truncate(at);
        let mut again = Self::new(start.clone());
        for step in &self.steps {
            again.again(step);
        }
        self.game = again.game;
        let is_play = |s: &&Step| matches!(s, Step::Play(_));
        self.plays = self.steps.iter().filter(is_play).count();
        self.broken = broken;
        self.adrift = adrift;
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
        let asked = *self.known.asked.entry(by).or_insert(most);
        if most == asked || most == 0 {
            Ok(())
        } else {
            Err(PlayObjection::RunsUnanswered { most })
        }
    }

    /// Takes a step once more, with the same result as before.
    fn again(&mut self, step: &Step) {
        match step {
            Step::Play(play) => {
                let adjusted = play.adjusted;
                for _ in 0..adjusted.halves {
                    self.game.close_half();
                }
                if let Some(place) = adjusted.order {
                    self.game.follow_order(place);
                }
                match &play.result {
                    Ok(_) => {
                        let _ = self.game.play(&play.call);
                    }
                    Err(_) => self.game.pass_turns(adjusted.passes.into()),
                }
            }
            // A notice that did not fit changed nothing.
            Step::Notice(notice) => {
                let _ = self.game.record(&notice.notice);
            }
        }
    }

    fn notice(&mut self, seq: u64, notice: &Notice) {
        self.remember();
        let objection = self.game.record(notice).err();
        self.push(Step::Notice(FoldedNotice {
            seq,
            notice: notice.clone(),
            objection,
        }));
    }
}
