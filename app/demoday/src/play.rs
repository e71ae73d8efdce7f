//! One game: what happened, and what each official wrote of it.

use engine::crosscheck::{self, Choice, Kind, Settlement};
use engine::game::{Game, Notice};
use engine::log::{
    Amendment, Body, CodeAnswer, CodeCheck, Correction, Event, GameRecord, HalfInning, HeldLog,
    LeftOpen, Ruling, Setup,
};
use engine::play::{Base, BatterFate, Call, Goal, IllegalAct, Reach, RunnerFate, Scoring};
use engine::team::Position;

use fastrand::Rng;

use crate::{DemoGame, Fault, Official, Pen, Story, fault, sign_off};

/// The play in which a slip happens.
const SLIP: usize = 6;
/// Plays after which a game is given up: no game comes near it.
const LONGEST: usize = 600;

/// Plays a game, to its end or as far as it has come at a time (ms since 1970);
/// who goes on playing has signed nothing off.
///
/// # Errors
/// When the engine refuses what it must take.
pub async fn game<P: Pen>(
    rng: &mut Rng,
    setup: &Setup,
    officials: [&Official<P>; 2],
    fixture: u32,
    until: u64,
) -> Result<DemoGame, Fault> {
    let story = Story::of(fixture);
    let mut at = setup.starts.unwrap_or(0);
    let kept = if story == Story::Alone {
        &officials[..1]
    } else {
        &officials[..]
    };
    let mut records = Vec::new();
    for official in kept {
        records.push(official.open(setup, at).await?);
    }
    let mut second_line = None;
    let (mut checked, mut slipped) = (0, false);
    for number in 0..LONGEST {
        let truth = records
            .first()
            .ok_or_else(|| fault("no record"))?
            .history()
            .game()
            .clone();
        if truth.ending().is_some() {
            break;
        }
        if at >= until {
            return Ok(DemoGame {
                fixture,
                story,
                records,
                second_line,
            });
        }
        at += 14_000;
        let event = next(rng, &records[0])?;
        let slips = !slipped && number >= SLIP && story.slips_at(&truth, &event);
        slipped |= slips;
        for (n, (record, official)) in records.iter_mut().zip(kept).enumerate() {
            match story {
                Story::Forked if slips && n == 1 => {
                    second_line = Some(set_back(record, official, &mut at).await?);
                    official
                        .write(record, Body::Event(event.clone()), &mut at)
                        .await?;
                }
                _ if slips && n == 1 => slip(record, official, &event, story, &mut at).await?,
                _ => {
                    official
                        .write(record, Body::Event(event.clone()), &mut at)
                        .await?;
                }
            }
        }
        if story == Story::Plain {
            checked = compare_codes(&mut records, kept, checked, &mut at).await?;
        }
    }
    match story {
        Story::Settled => settle(&mut records, kept, &mut at).await?,
        Story::LeftOpen => leave_open(&mut records, kept, &mut at).await?,
        _ => {}
    }
    sign_off(&mut records, kept, &mut at).await?;
    Ok(DemoGame {
        fixture,
        story,
        records,
        second_line,
    })
}

/// What happens next: mostly what happens in the street.
fn next(rng: &mut Rng, record: &GameRecord) -> Result<Event, Fault> {
    let history = record.history();
    let game = history.game();
    if game.needs_courtesy_runner() {
        let squad = &game.squads()[game.at_bat()];
        let courtesy_runner =
            |m: &engine::team::Member| Event::Notice(Notice::CourtesyRunner { by: m.shirt });
        let found = squad
            .members()
            .iter()
            .map(courtesy_runner)
            .find(|e| history.check(e).is_ok());
        return found.ok_or_else(|| fault("nobody may take the base"));
    }
    let mut call = likely_call(game, rng);
    if Base::ALL.iter().all(|base| call.runners()[*base].is_none()) && rng.u8(..3) > 0 {
        call.scoring = scoring(rng, call.batter);
    }
    Ok(history.next_play(call))
}

/// A call that fits, of the kinds a street game has: mostly the batter's fate
/// alone, now and then a runner who goes further, stays or is put out.
#[must_use]
pub fn likely_call(game: &Game, rng: &mut Rng) -> Call {
    for _ in 0..200 {
        let mut call = Call::new(match rng.u8(..100) {
            0..=33 => BatterFate::safe(Goal::First),
            34..=37 => BatterFate::Safe {
                at: Goal::First,
                on: Reach::Error,
                then: None,
            },
            38..=44 => BatterFate::safe(Goal::Second),
            45 => BatterFate::safe(Goal::Home),
            46..=74 => BatterFate::OUT,
            75..=91 => BatterFate::Caught,
            92..=95 => BatterFate::Illegal(IllegalAct::NoHitZone),
            _ => BatterFate::Illegal(IllegalAct::Foul),
        });
        for base in Base::LEAD_FIRST {
            if game.bases()[base].is_some() {
                let fate = match rng.u8(..10) {
                    // The ball is dead: whoever moves then is put there by a ruling, which is rare.
                    _ if matches!(call.batter, BatterFate::Illegal(_)) => None,
                    0 | 1 => game.ways_safe(&call, base).last().copied(),
                    2 => game.ways_out(&call, base).first().copied(),
                    3 => Some(RunnerFate::Holds),
                    _ => None,
                };
                call.set_runner(base, fate);
            }
        }
        if let Some(question) = game.question(&call) {
            call.home_first = u8::try_from(rng.usize(..=question.who.len())).ok();
        }
        if game.resolve(&call).is_ok() {
            return call;
        }
    }
    Call::new(BatterFate::OUT)
}

fn scoring(rng: &mut Rng, fate: BatterFate) -> Option<Scoring> {
    let mut position = || rng.choice(Position::ALL);
    let by = match fate {
        BatterFate::OUT => vec![position()?, Position::FirstBase],
        BatterFate::Caught => vec![position()?],
        _ => return None,
    };
    Some(Scoring {
        by,
        ..Scoring::default()
    })
}

/// At a change of sides both phones show a code.
async fn compare_codes<P: Pen>(
    records: &mut [GameRecord],
    officials: &[&Official<P>],
    checked: usize,
    at: &mut u64,
) -> Result<usize, Fault> {
    let codes: Vec<_> = records
        .iter()
        .map(|r| crosscheck::codes(r.history(), &r.chain().game().0))
        .collect();
    let done = codes.first().map_or(0, Vec::len);
    if done == checked {
        return Ok(checked);
    }
    let same = codes.windows(2).all(|w| w[0] == w[1]);
    let heads: Vec<HeldLog> = records.iter().map(|r| HeldLog::of(r.chain())).collect();
    for ((record, official), codes) in records.iter_mut().zip(officials).zip(&codes) {
        let own = record.chain().author().fingerprint();
        let seen = heads.iter().filter(|s| s.author != own).copied().collect();
        if let Some((half, code)) = codes.last() {
            let check = CodeCheck {
                half: HalfInning {
                    inning: half.inning,
                    side: half.side,
                },
                code: code.to_string(),
                answer: if same {
                    CodeAnswer::Same
                } else {
                    CodeAnswer::Differs
                },
                other: None,
                seen,
            };
            official.write(record, Body::CodeCheck(check), at).await?;
        }
    }
    Ok(done)
}

/// The play as the official got it wrong.
fn wrong(event: &Event) -> Event {
    match event {
        Event::Play { turn, call } => {
            let batter = match call.batter {
                BatterFate::Caught => BatterFate::OUT,
                _ => BatterFate::Caught,
            };
            Event::Play {
                turn: *turn,
                call: Call::new(batter),
            }
        }
        other => other.clone(),
    }
}

impl Story {
    /// Whether the scorer gets this play wrong: an out with nobody on base, so
    /// that the game goes on the same way in both records.
    fn slips_at(self, game: &Game, event: &Event) -> bool {
        let Event::Play { call, .. } = event else {
            return false;
        };
        let out = matches!(call.batter, BatterFate::Caught | BatterFate::OUT);
        self == Self::Forked || (self.has_slip() && out && game.on_base() == 0)
    }

    const fn has_slip(self) -> bool {
        matches!(
            self,
            Self::Undone | Self::Amended | Self::Settled | Self::LeftOpen
        )
    }
}

async fn slip<P: Pen>(
    record: &mut GameRecord,
    official: &Official<P>,
    event: &Event,
    story: Story,
    at: &mut u64,
) -> Result<(), Fault> {
    let seq = record.next_seq();
    official
        .write(record, Body::Event(wrong(event)), at)
        .await?;
    match (story, event) {
        (Story::Undone, event) => {
            official
                .write(record, Body::Event(Event::Undo { target: seq }), at)
                .await?;
            official
                .write(record, Body::Event(event.clone()), at)
                .await?;
        }
        (Story::Amended, Event::Play { call, .. }) => {
            let change = Correction::Replace(call.clone());
            let amendment = Amendment {
                target: seq,
                change,
            };
            official
                .write(record, Body::Event(Event::Amend(amendment)), at)
                .await?;
        }
        // Found at the end of the game only.
        _ => {}
    }
    Ok(())
}

/// A phone set back: a remark is signed, lost with the phone's backup, and the
/// next entry has its number.
async fn set_back<P: Pen>(
    record: &GameRecord,
    official: &Official<P>,
    at: &mut u64,
) -> Result<GameRecord, Fault> {
    let mut other = record.clone();
    let remark = Notice::Remark {
        text: "Ball changed.".to_owned(),
    };
    official
        .write(&mut other, Body::Event(Event::Notice(remark)), at)
        .await?;
    Ok(other)
}

/// After the game the records are compared and the differences settled.
async fn settle<P: Pen>(
    records: &mut [GameRecord],
    officials: &[&Official<P>],
    at: &mut u64,
) -> Result<(), Fault> {
    let [umpire, scorer] = records else {
        return Err(fault("two records"));
    };
    for _ in 0..8 {
        let found = crosscheck::compare(umpire.history(), scorer.history());
        let Some(first) = found.differences.first() else {
            break;
        };
        let names = engine::team::BySide {
            guest: "Guests",
            home: "Home side",
        };
        let note = first.sentence(&names);
        let settled = first.settle(&Choice::Mine, umpire.history(), scorer.history());
        let Settlement { theirs, .. } = settled.map_err(fault)?;
        for event in theirs {
            let body = match event {
                Event::Settle(correction) => Body::Ruling(Ruling {
                    own: scorer
                        .chain()
                        .at(correction.target)
                        .map(engine::log::Entry::hash),
                    other: None,
                    correction: Some(correction),
                    note: note.clone(),
                }),
                other => Body::Event(other),
            };
            let official = officials.get(1).ok_or_else(|| fault("two officials"))?;
            official.write(scorer, body, at).await?;
        }
    }
    Ok(())
}

/// The umpire does not agree to what the scorer has: left for the organiser.
async fn leave_open<P: Pen>(
    records: &mut [GameRecord],
    officials: &[&Official<P>],
    at: &mut u64,
) -> Result<(), Fault> {
    let [umpire, scorer] = &*records else {
        return Err(fault("two records"));
    };
    let found = crosscheck::compare(umpire.history(), scorer.history());
    let first = found
        .differences
        .first()
        .ok_or_else(|| fault("a difference"))?;
    let Kind::Fates { mine, theirs } = &first.kind else {
        return Err(fault("one play told differently"));
    };
    let hash = |record: &GameRecord, seq| record.chain().at(seq).map(engine::log::Entry::hash);
    let sides = [hash(umpire, mine.seq), hash(scorer, theirs.seq)];
    let half = HalfInning::from(first.turn);
    for (n, (record, official)) in records.iter_mut().zip(officials).enumerate() {
        let open = LeftOpen {
            half,
            own: sides[n],
            other: sides[1 - n],
            note: "The officials saw this play differently.".to_owned(),
        };
        official.write(record, Body::LeftOpen(open), at).await?;
    }
    Ok(())
}
