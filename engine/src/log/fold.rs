//! From recorded events to the effective game.

use alloc::collections::{BTreeMap, BTreeSet};
use alloc::vec::Vec;

use super::{Correction, Event};
use crate::game::{Change, Game, Notice, NoticeObjection, Outcome, PlayObjection};
use crate::play::{Base, BatterFate, Call, PlateAppearance, RunnerFate};
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

/// The events in force as far as they are taken.
#[derive(Clone, Debug)]
pub(super) struct FoldedEvents {
    pub(super) game: Game,
    pub(super) steps: Vec<Step>,
    plays: usize,
    /// By how many places plays of a side recorded before a correction now
    /// stand later in the order: the correction's number, the side, the places.
    shifts: Vec<(u64, Side, usize)>,
    /// How many shifts there were before each step, and what was broken or adrift.
    before: Vec<(usize, bool, BySide<bool>)>,
    /// What was so when events were recorded. It outlives the folding.
    pub(super) known: KnownThen,
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
pub(super) struct KnownThen {
    /// For each call with an answer to "how many were home first?": how many
    /// could have been.
    asked: BTreeMap<u64, u8>,
    /// Calls that fitted as they were said.
    fitted: BTreeSet<u64>,
    /// For each play: how many places it moved the order on, and the correction
    /// since which it does so.
    moves: BTreeMap<u64, Vec<(u64, u8)>>,
}

/// An event as it was recorded, or put in by an amendment.
#[derive(Clone, Copy)]
enum RecordedEvent<'a> {
    /// A play; the turn is `None` where it was put in later.
    Play(Option<PlateAppearance>, &'a Call),
    Notice(&'a Notice),
}

/// What the amendments in force say of one target.
#[derive(Default)]
struct AmendedTarget<'a> {
    /// By which event, with which call, and whether both officials agreed.
    replaced: Option<(u64, &'a Call, bool)>,
    removed: Option<u64>,
    /// What comes before it, known by the amendment that brought it.
    inserted: Vec<(u64, RecordedEvent<'a>)>,
}

impl<'a> AmendedTarget<'a> {
    /// The amendments among the events in force, by target.
    fn by_target(events: &[&'a (u64, Event)]) -> BTreeMap<u64, Self> {
        let mut amended: BTreeMap<u64, Self> = BTreeMap::new();
        for (seq, event) in events {
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
                    target
                        .inserted
                        .push((*seq, RecordedEvent::Play(None, call)));
                }
                Correction::NoticeBefore(notice) => {
                    target.inserted.push((*seq, RecordedEvent::Notice(notice)));
                }
            }
        }
        amended
    }
}

impl KnownThen {
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

impl FoldedEvents {
    /// How often an inserted play may itself be amended by an insertion.
    const DEEPEST: u8 = 8;

    pub(super) fn new(game: Game) -> Self {
        Self {
            game,
            steps: Vec::new(),
            plays: 0,
            shifts: Vec::new(),
            before: Vec::new(),
            known: KnownThen::default(),
            latest: 0,
            broken: false,
            adrift: BySide::default(),
        }
    }

    /// The game that the events in force give, with what is known of them from
    /// when they were recorded.
    pub(super) fn fold(start: &Game, mut known: KnownThen, events: &[&(u64, Event)]) -> Self {
        known.forget(|seq| events.binary_search_by_key(&seq, |(s, _)| *s).is_ok());
        let correction = |(_, e): &&&(u64, Event)| matches!(e, Event::Amend(_) | Event::Settle(_));
        let latest = events.iter().rev().find(correction);
        let mut folded = Self {
            known,
            latest: latest.map_or(0, |(seq, _)| *seq),
            ..Self::new(start.clone())
        };
        let amended = AmendedTarget::by_target(events);
        for (seq, event) in events {
            match event {
                Event::Play { turn, call } => {
                    folded.take(*seq, RecordedEvent::Play(Some(*turn), call), &amended, 0);
                }
                Event::Notice(notice) => {
                    folded.take(*seq, RecordedEvent::Notice(notice), &amended, 0);
                }
                Event::Replay { target } => folded.rewind(*target, start),
                Event::Amend(_) | Event::Settle(_) | Event::Undo { .. } => {}
            }
        }
        folded
    }

    /// Takes what was recorded, as the amendments have it.
    fn take(
        &mut self,
        seq: u64,
        recorded: RecordedEvent<'_>,
        amended: &BTreeMap<u64, AmendedTarget<'_>>,
        depth: u8,
    ) {
        let none = AmendedTarget::default();
        let changes = amended.get(&seq).filter(|_| depth <= Self::DEEPEST);
        let changes = changes.unwrap_or(&none);
        for (by, inserted) in &changes.inserted {
            self.take(*by, *inserted, amended, depth + 1);
        }
        match (recorded, changes.removed, changes.replaced) {
            (RecordedEvent::Play(Some(turn), _), Some(by), _) => {
                self.moved(seq, by, turn.side, 0, false);
            }
            (_, Some(_), _) => {}
            (RecordedEvent::Notice(notice), None, _) => self.notice(seq, notice),
            (RecordedEvent::Play(turn, call), None, None) => self.play(seq, turn, call, None),
            (RecordedEvent::Play(turn, _), None, Some((by, call, false))) => {
                self.play(seq, turn, call, Some(by));
            }
            (RecordedEvent::Play(turn, _), None, Some((by, call, true))) => {
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

    pub(super) fn play(
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
        self.steps.push(Step::Play(FoldedPlay {
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
    pub(super) fn again(&mut self, step: &Step) {
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

    pub(super) fn notice(&mut self, seq: u64, notice: &Notice) {
        self.remember();
        let objection = self.game.record(notice).err();
        self.steps.push(Step::Notice(FoldedNotice {
            seq,
            notice: notice.clone(),
            objection,
        }));
    }
}
