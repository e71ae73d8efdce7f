//! What the competition's clocks say of a record at a time that somebody else
//! read. No clock ends, stops or changes anything: the umpire decides.
//!
//! When a clock starts and stops is common practice, no source:
//! - the game clock runs from the first play recorded and stands while the game
//!   is stopped or suspended; a time-out does not stop it;
//! - after a third out the clock between half-innings runs, after any other play
//!   the hit clock, after a time-out its own, each until the next play.

use alloc::format;
use alloc::string::String;

use super::{GameRecord, Step};
use crate::game::{Change, Notice, Stage};
use crate::message::{localized, text};
use crate::rules::{Countdown, GameLimit};
use crate::team::Side;

/// One of the competition's clocks.
#[localized(word)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum GameClock {
    /// The time that the game may take.
    Game,
    /// Between two half-innings.
    HalfInnings,
    /// Until the batter hits.
    Hit,
    /// How long a time-out lasts.
    TimeOut,
}

/// How far a clock is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ClockState {
    /// There is time left.
    Runs,
    /// Nearly up: a minute of the game, ten seconds of a short clock.
    Due,
    /// The time is over.
    Up,
}

/// What one clock says at a given time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ClockReading {
    /// Which one.
    pub clock: GameClock,
    /// How far it is.
    pub state: ClockState,
    /// Milliseconds left, 0 once it is up.
    pub left_ms: u64,
    /// Milliseconds since it was up, 0 before.
    pub past_ms: u64,
    /// Whether it stands, as the game does.
    pub stands: bool,
    /// What its being up means to the game clock.
    limit: GameLimit,
    /// Whether the inning began after the game's time was up.
    inning_is_late: bool,
}

impl ClockReading {
    /// Minutes and seconds left, as `4:05`; a second that has begun counts.
    #[must_use]
    pub fn figures(&self) -> String {
        let s = self.left_ms.div_ceil(1000);
        format!("{}:{:02}", s / 60, s % 60)
    }

    /// What it says in a sentence, once it is up.
    #[must_use]
    pub fn sentence(&self) -> Option<String> {
        if self.state != ClockState::Up {
            return None;
        }
        Some(match (self.clock, self.limit) {
            (GameClock::Game, GameLimit::DropDead(minutes)) => text!("time-up-stop", minutes),
            (GameClock::Game, limit) => {
                let minutes = limit.minutes().unwrap_or(0);
                match self.inning_is_late {
                    false => text!("time-up-last-inning", minutes),
                    true => text!("time-up-late-inning", minutes),
                }
            }
            (GameClock::HalfInnings, _) => text!("time-up-half-innings"),
            (GameClock::Hit, _) => text!("time-up-hit"),
            (GameClock::TimeOut, _) => text!("time-up-time-out"),
        })
    }
}

/// The clocks of a game as its record starts and stops them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GameClocks {
    limit: GameLimit,
    /// When the first play was recorded, put off by every stop since.
    game_from: Option<u64>,
    /// When the inning began, on the same clock as `game_from`.
    inning_from: Option<u64>,
    /// Since when the game is stopped.
    stopped: Option<u64>,
    /// The one of what is waited for: its time and its beginning.
    short: Option<(GameClock, u64, u64)>,
    over: bool,
}

impl GameClocks {
    /// Those of a record; `None` where its edition has none.
    #[must_use]
    pub fn of(record: &GameRecord) -> Option<Self> {
        let game = record.history().game();
        let edition = game.edition();
        let short = [
            edition.half_inning_clock(),
            edition.hit_clock(),
            edition.time_out_clock(),
        ];
        if **edition.game_clock() == GameLimit::Off && short.iter().all(|c| c.ms().is_none()) {
            return None;
        }
        let mut clocks = Self {
            limit: **edition.game_clock(),
            game_from: None,
            inning_from: None,
            stopped: None,
            short: None,
            over: matches!(game.stage(), Stage::Over(_)),
        };
        let start = |clock, countdown: Countdown, at| Some((clock, countdown.ms()?, at));
        for step in record.history().steps() {
            let entry = record.chain().at(step.seq());
            let Some(at) = entry.map(|e| e.payload().claimed_ms) else {
                continue;
            };
            match step {
                Step::Play(play) => {
                    clocks.game_from.get_or_insert(at);
                    let outcome = play.result.as_ref().ok();
                    let sides = outcome.filter(|o| o.change == Change::Sides);
                    if sides.is_some_and(|o| o.turn.side == Side::Home) {
                        clocks.inning_from = Some(at);
                    }
                    clocks.short = match sides {
                        Some(_) => start(GameClock::HalfInnings, **edition.half_inning_clock(), at),
                        None => start(GameClock::Hit, **edition.hit_clock(), at),
                    };
                }
                Step::Notice(notice) if notice.objection.is_none() => match notice.notice {
                    Notice::TimeOut { .. } => {
                        clocks.short = start(GameClock::TimeOut, **edition.time_out_clock(), at);
                    }
                    Notice::NoPlay { .. } => {
                        clocks.short = start(GameClock::Hit, **edition.hit_clock(), at);
                    }
                    Notice::Hold(_) | Notice::GameCalled { .. } => {
                        clocks.stopped.get_or_insert(at);
                        clocks.short = None;
                    }
                    Notice::Resume => {
                        let stood = clocks.stopped.take().map_or(0, |s| at.saturating_sub(s));
                        for from in [&mut clocks.game_from, &mut clocks.inning_from] {
                            *from = from.map(|from| from.saturating_add(stood));
                        }
                        clocks.short = start(GameClock::Hit, **edition.hit_clock(), at);
                    }
                    _ => {}
                },
                Step::Notice(_) => {}
            }
        }
        Some(clocks)
    }

    /// What the clocks say at a time (ms since 1970, as the entries claim): the
    /// game clock, and the one of what is waited for. A clock set back reads as
    /// if nothing had passed yet.
    #[must_use]
    pub fn at(&self, now_ms: u64) -> [Option<ClockReading>; 2] {
        if self.over {
            return [None, None];
        }
        let read = |clock, total_ms: u64, over_ms: u64, due_ms: u64| {
            let left_ms = total_ms.saturating_sub(over_ms);
            ClockReading {
                clock,
                state: match left_ms {
                    0 => ClockState::Up,
                    left if left <= due_ms => ClockState::Due,
                    _ => ClockState::Runs,
                },
                left_ms,
                past_ms: over_ms.saturating_sub(total_ms),
                stands: self.stopped.is_some(),
                limit: self.limit,
                inning_is_late: false,
            }
        };
        let game = self.limit.ms().map(|total| {
            let now = self.stopped.unwrap_or(now_ms);
            let over = self.game_from.map_or(0, |from| now.saturating_sub(from));
            let late = self
                .game_from
                .zip(self.inning_from)
                .is_some_and(|(game, inning)| inning.saturating_sub(game) >= total);
            ClockReading {
                inning_is_late: late,
                ..read(GameClock::Game, total, over, 60_000)
            }
        });
        let short = self
            .short
            .map(|(clock, total, from)| read(clock, total, now_ms.saturating_sub(from), 10_000));
        [game, short]
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::game::Hold;
    use crate::log::sample::{opening, secret};
    use crate::log::{Body, Event, SecretKey, Setup};
    use crate::play::{BatterFate, Call};
    use crate::rules::Edition;

    /// A morning in 2026: ms since 1970.
    const DAY: u64 = 1_781_344_800_000;

    struct Day {
        key: SecretKey,
        record: GameRecord,
    }

    impl Day {
        fn new(changes: &[(&str, &str)]) -> Self {
            let key = secret(1);
            let edition = changes
                .iter()
                .fold(Edition::federation(), |e, (n, v)| e.with(n, v).unwrap());
            let mut opening = opening(1, &key);
            opening.setup = Setup::new(opening.setup.mark, opening.setup.cards, &edition);
            let draft = GameRecord::draft_opening(opening, DAY).unwrap();
            let record = GameRecord::open(draft.sign(&key).unwrap()).unwrap();
            Self { key, record }
        }

        fn add(&mut self, at_s: u64, event: Event) -> u64 {
            let draft = self
                .record
                .draft(Body::Event(event), DAY + at_s * 1000)
                .unwrap();
            let seq = self.record.next_seq();
            let _ = self.record.push(draft.sign(&self.key).unwrap()).unwrap();
            seq
        }

        fn out(&mut self, at_s: u64) -> u64 {
            let call = Call::new(BatterFate::OUT);
            self.add(at_s, self.record.history().next_play(call))
        }

        fn note(&mut self, at_s: u64, notice: Notice) -> u64 {
            self.add(at_s, Event::Notice(notice))
        }

        fn at(&self, s: u64) -> [Option<(GameClock, ClockState, String)>; 2] {
            let read = GameClocks::of(&self.record).unwrap().at(DAY + s * 1000);
            read.map(|r| r.map(|r| (r.clock, r.state, r.figures())))
        }

        fn says(&self, s: u64) -> Option<String> {
            GameClocks::of(&self.record).unwrap().at(DAY + s * 1000)[0]?.sentence()
        }
    }

    fn reading(
        clock: GameClock,
        state: ClockState,
        figures: &str,
    ) -> Option<(GameClock, ClockState, String)> {
        Some((clock, state, figures.into()))
    }

    #[test]
    fn clocks_are_off_unless_the_edition_has_them() {
        let mut day = Day::new(&[]);
        day.out(100);
        assert_eq!(GameClocks::of(&day.record), None);
    }

    #[test]
    fn each_clock_runs_from_what_starts_it_and_stands_in_a_stop() {
        use ClockState::{Due, Runs, Up};
        let mut day = Day::new(&[
            ("game-clock", "45 no-new-inning"),
            ("half-inning-clock", "90"),
            ("hit-clock", "20"),
            ("time-out-clock", "30"),
        ]);
        // Nothing is played yet, however long ago the cards were written.
        assert_eq!(
            day.at(90_000),
            [reading(GameClock::Game, Runs, "45:00"), None]
        );
        day.out(1_000);
        let game = |state, figures| reading(GameClock::Game, state, figures);
        let hit = |state, figures| reading(GameClock::Hit, state, figures);
        assert_eq!(day.at(1_005), [game(Runs, "44:55"), hit(Runs, "0:15")]);
        assert_eq!(day.at(1_010)[1], hit(Due, "0:10"));
        assert_eq!(day.at(1_020)[1], hit(Up, "0:00"));
        assert_eq!(day.at(900)[1], hit(Runs, "0:20"), "a clock set back");
        let side = Side::Guest;
        let time_out = day.note(1_030, Notice::TimeOut { side });
        assert_eq!(
            day.at(1_040)[1],
            reading(GameClock::TimeOut, Runs, "0:20"),
            "its own clock"
        );
        day.add(1_041, Event::Undo { target: time_out });
        assert_eq!(day.at(1_041)[1], hit(Up, "0:00"), "taken back with it");
        day.out(1_050);
        day.out(1_060);
        let sides = |state, figures| reading(GameClock::HalfInnings, state, figures);
        assert_eq!(day.at(1_100)[1], sides(Runs, "0:50"));
        let stop = day.note(1_200, Notice::Hold(Hold::Lightning));
        assert_eq!(day.at(3_000), [game(Runs, "41:40"), None], "it stands");
        day.note(3_000, Notice::Resume);
        assert_eq!(day.at(3_010), [game(Runs, "41:30"), hit(Due, "0:10")]);
        assert!(day.record.history().is_in_force(stop));
    }

    #[test]
    fn no_new_inning_is_said_of_the_last_one_and_of_one_too_late() {
        let mut day = Day::new(&[("game-clock", "10 no-new-inning")]);
        for play in 0..6 {
            day.out(1_000 + play * 60);
        }
        assert_eq!(
            day.at(1_541)[0],
            reading(GameClock::Game, ClockState::Due, "0:59")
        );
        assert_eq!(day.says(1_599), None);
        let last = day.says(1_600).unwrap();
        assert!(last.ends_with("no new inning after this one."), "{last}");
        for play in 0..6 {
            day.out(1_610 + play);
        }
        let late = day.says(1_700).unwrap();
        assert!(late.contains("before this inning"), "{late}");
        day.note(
            1_710,
            Notice::GameCalled {
                why: crate::game::Stoppage::Time,
                text: String::new(),
            },
        );
        assert_eq!(day.at(1_711)[0].as_ref(), None, "a game that is over");

        let mut day = Day::new(&[("game-clock", "10 drop-dead")]);
        day.out(1_000);
        assert!(day.says(1_600).unwrap().contains("stops where it is"));
    }
}
