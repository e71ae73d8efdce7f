//! Whole signed games, the same on every run.

use engine::game::{Hold, Notice, Stoppage, WarningRecipient};
use engine::log::{
    Amendment, Author, Body, Captain, Care, Chain, Close, CoSign, CodeAnswer, CodeCheck,
    ConsideredLog, Correction, Crew, Decision, Disposition, Draw, Entry, Event, Fingerprint,
    GameMark, GameRecord, HalfInning, Hash, HeldLog, HomeBy, Incident, InvolvedPlayer, LeftOpen,
    Opening, ProtestCase, ProtestDecision, RecordError, Role, Ruling, SecretKey, Setup, Takeover,
    Verified,
};
use engine::play::{
    Advance, Base, BatterFate, BeforeFirst, Call, Continuation, FurtherBase, Goal, IllegalAct,
    PutOut, Reach, RunnerFate, Scoring, TrailingOut,
};
use engine::rules::Edition;
use engine::team::{BySide, Card, Player, Position, Shirt, Side};

/// The key of the `n`th sample official. Everyone knows these keys.
#[must_use]
pub fn key(n: u8) -> SecretKey {
    SecretKey::from_random(&[n; 32])
}

fn card(team: &str, first: u8, names: [&str; 7]) -> Card {
    let shirts = (first..).filter_map(Shirt::new);
    let mut players = shirts
        .zip(names)
        .map(|(shirt, name)| Player::new(shirt, name));
    Card::new(team, players.by_ref().take(5))
        .with_positions(Position::ALL)
        .with_reserves(players)
}

/// The setup of the `n`th sample game.
#[must_use]
pub fn setup(n: u8) -> Setup {
    let guest = ["Ada", "Bo", "Cleo", "Dov", "Eske", "Finn", "Gwen"];
    let home = ["Hale", "Ivo", "Juno", "Kit", "Lotte", "Mio", "Nell"];
    let cards = BySide {
        guest: card("Quay Street", 21, guest),
        home: card("Tram Yard", 11, home),
    };
    Setup {
        title: Some("Harbour Cup, game 3".to_owned()),
        court: Some("Fish market".to_owned()),
        starts: Some(1_781_344_800_000),
        home_by: Some(HomeBy::Toss { won_by: Side::Home }),
        ..Setup::new(GameMark([n; 16]), cards, &Edition::federation())
    }
}

/// A record being made, with the key that signs it.
pub struct Writer {
    /// The record so far.
    pub record: GameRecord,
    key: SecretKey,
    clock: u64,
}

impl Writer {
    /// Opens the log of official `official` in sample game `game`.
    ///
    /// # Errors
    /// When the engine refuses the setup.
    pub fn open(game: u8, official: u8) -> Result<Self, RecordError> {
        let key = key(official);
        let author = Author::new(
            key.public(),
            format!("Official {official}"),
            if official == 1 {
                Role::Umpire
            } else {
                Role::Scorer
            },
        );
        let opening = Opening::new(setup(game), author);
        let clock = 1_781_344_800_000;
        let draft = GameRecord::draft_opening(opening, clock)?;
        let entry = draft.sign(&key).map_err(chained)?;
        Ok(Self {
            record: GameRecord::open(entry)?,
            key,
            clock,
        })
    }

    /// Records a body.
    ///
    /// # Errors
    /// When the engine refuses it.
    pub fn add(&mut self, body: Body) -> Result<Entry<Verified>, RecordError> {
        self.clock += 25_000;
        let draft = self.record.draft(body, self.clock)?;
        let entry = draft.sign(&self.key).map_err(chained)?;
        self.record.push(entry.clone())?;
        Ok(entry)
    }

    /// Records a notice.
    ///
    /// # Errors
    /// When the engine refuses it.
    pub fn notice(&mut self, notice: Notice) -> Result<Entry<Verified>, RecordError> {
        self.add(Body::Event(Event::Notice(notice)))
    }

    /// Records a play, or a stand-in where one is needed first.
    ///
    /// # Errors
    /// When the engine refuses it.
    pub fn play(&mut self, call: Call) -> Result<Entry<Verified>, RecordError> {
        if self.record.history().game().needs_courtesy_runner()
            && let Some(by) = self
                .record
                .history()
                .game()
                .courtesy_runners()
                .first()
                .copied()
        {
            self.notice(Notice::CourtesyRunner { by })?;
        }
        let event = self.record.history().next_play(call);
        self.add(Body::Event(event))
    }

    /// Goes on with the key of another sample official.
    ///
    /// # Errors
    /// When the engine refuses it.
    pub fn change_key(&mut self, official: u8) -> Result<(), RecordError> {
        let next = key(official);
        let reason = "The first phone's battery is empty.".to_owned();
        let change = self.record.chain().key_change(&next, reason);
        self.add(Body::KeyChange(change))?;
        self.key = next;
        Ok(())
    }

    /// Plays on with the calls of an ordinary game until `entries` are
    /// recorded or the game is over.
    ///
    /// # Errors
    /// When the engine refuses every call.
    pub fn play_on(&mut self, entries: u64) -> Result<(), RecordError> {
        let safe = |at, on| BatterFate::Safe { at, on, then: None };
        let calls = [
            safe(Goal::First, Reach::Hit),
            BatterFate::OUT,
            BatterFate::Caught,
            safe(Goal::Second, Reach::Hit),
            BatterFate::OUT,
            safe(Goal::First, Reach::Error),
            BatterFate::Illegal(IllegalAct::NoHitZone),
            BatterFate::OUT,
            safe(Goal::First, Reach::Hit),
            BatterFate::Illegal(IllegalAct::Foul),
            BatterFate::Caught,
            safe(Goal::Third, Reach::Hit),
        ];
        let mut turn = 0_usize;
        while self.record.next_seq() < entries && self.record.history().game().ending().is_none() {
            let seq = usize::try_from(self.record.next_seq()).unwrap_or(0);
            turn = turn.wrapping_mul(5).wrapping_add(seq);
            self.play(Call::new(calls[turn % calls.len()]))?;
        }
        Ok(())
    }

    /// A game of arbitrary picks among what the engine allows, with undos,
    /// amendments and statements between the plays: for searching odd games.
    ///
    /// # Errors
    /// When the engine refuses the sample setup.
    pub fn picked(picks: impl IntoIterator<Item = (u16, u8)>) -> Result<Self, RecordError> {
        let mut log = Self::open(1, 1)?;
        for (pick, kind) in picks {
            let pick = usize::from(pick);
            let history = log.record.history();
            let calls = history.game().legal_calls();
            let plays: Vec<u64> = history.plays().map(|p| p.seq).collect();
            let body = match kind % 8 {
                0 => {
                    let last = history.last_in_force();
                    last.map(|target| Body::Event(Event::Undo { target }))
                }
                1 if !plays.is_empty() => {
                    let target = plays[pick % plays.len()];
                    let call = Call::new(BatterFate::safe(Goal::First));
                    let change = match pick % 4 {
                        0 => Correction::Remove,
                        1 => Correction::Replace(call),
                        2 => Correction::NoticeBefore(Notice::TimeOut { side: Side::Guest }),
                        _ => Correction::InsertBefore(call),
                    };
                    let amendment = Amendment { target, change };
                    Some(Body::Event(Event::Amend(amendment)))
                }
                2 => Some(log.record.statement()),
                _ if !calls.is_empty() => {
                    let call = calls[pick % calls.len()].clone();
                    Some(Body::Event(history.next_play(call)))
                }
                _ => {
                    let by = history.game().courtesy_runners().first().copied();
                    by.map(|by| Body::Event(Event::Notice(Notice::CourtesyRunner { by })))
                }
            };
            if let Some(body) = body {
                // What the game refuses is not recorded.
                let _ = log.add(body);
            }
        }
        Ok(log)
    }

    /// Signs the game off as it stands.
    ///
    /// # Errors
    /// When the engine refuses it.
    pub fn sign_off(&mut self) -> Result<Entry<Verified>, RecordError> {
        let statement = self.record.statement();
        self.add(statement)
    }

    /// The log's entries, each as its bytes.
    #[must_use]
    pub fn items(&self) -> Vec<Vec<u8>> {
        let entries = self.record.chain().entries().iter();
        entries.map(|e| e.bytes().to_vec()).collect()
    }

    /// The log.
    #[must_use]
    pub fn chain(&self) -> &Chain {
        self.record.chain()
    }
}

fn chained(e: engine::log::EntryError) -> RecordError {
    RecordError::Chain(e.into())
}

/// A log of four short entries, for changing every byte of it.
///
/// # Errors
/// When the engine refuses it.
pub fn short(game: u8, official: u8) -> Result<Writer, RecordError> {
    let mut log = Writer::open(game, official)?;
    log.play(Call::new(BatterFate::safe(Goal::First)))?;
    log.play(Call::new(BatterFate::Caught))?;
    log.sign_off()?;
    Ok(log)
}

/// A whole game, signed off.
///
/// # Errors
/// When the engine refuses it.
pub fn whole(game: u8, official: u8) -> Result<Writer, RecordError> {
    let mut log = Writer::open(game, official)?;
    log.play_on(500)?;
    log.sign_off()?;
    Ok(log)
}

/// A log of exactly `entries` entries.
///
/// # Errors
/// When the engine refuses it.
pub fn of_length(game: u8, official: u8, entries: u64) -> Result<Writer, RecordError> {
    let mut log = Writer::open(game, official)?;
    log.play_on(entries)?;
    while log.record.next_seq() < entries {
        let text = "Waiting for the other court.".to_owned();
        log.notice(Notice::Remark { text })?;
    }
    Ok(log)
}

/// Calls of every kind of fate, with a runner on first, each taken back; then a
/// play that is played again.
fn every_fate(log: &mut Writer) -> Result<(), RecordError> {
    let on = Base::First;
    let out = |at, how| RunnerFate::Out { at, how };
    let further = |to, on| Some(Continuation::Base(FurtherBase { to, on }));
    let then_out = |at| {
        let how = PutOut::Tagged;
        Some(Continuation::Out(TrailingOut { at, how }))
    };
    let safe = |at, on, then| BatterFate::Safe { at, on, then };
    let to_second = |then| RunnerFate::To {
        goal: Goal::Second,
        on: Advance::Hit,
        then,
    };
    let calls = [
        Call {
            hitter: Shirt::new(23),
            ..Call::new(safe(
                Goal::First,
                Reach::Hit,
                further(Goal::Second, Advance::Error),
            ))
        },
        Call::new(safe(Goal::First, Reach::Award, None)),
        Call {
            scoring: Some(Scoring {
                by: vec![
                    Position::FirstBase,
                    Position::Shortstop,
                    Position::SecondBase,
                ],
                starred: Some(0b101),
                ..Scoring::default()
            }),
            ..Call::new(BatterFate::OutBeforeFirst(BeforeFirst::Tagged))
                .with_runner(on, to_second(then_out(Goal::Second)))
        },
        Call::new(safe(Goal::First, Reach::Choice, then_out(Goal::First)))
            .with_runner(on, to_second(further(Goal::Home, Advance::Throw)))
            .with_home_first(0),
        Call::new(BatterFate::safe(Goal::Second))
            .with_runner(on, out(Some(Goal::Second), PutOut::Missed)),
        Call::new(BatterFate::NoHit).with_runner(on, out(None, PutOut::LeftEarly)),
    ];
    for mut call in calls {
        if log.record.history().game().question(&call).is_none() {
            call.home_first = None;
        }
        let target = log.play(call)?.payload().seq;
        log.add(Body::Event(Event::Undo { target }))?;
    }
    let target = log.play(Call::new(BatterFate::NoHit))?.payload().seq;
    log.add(Body::Event(Event::Replay { target }))?;
    Ok(())
}

/// What is kept beside the plays: crews, an incident, a protest and its decision.
fn beside_the_plays(log: &mut Writer) -> Result<(), RecordError> {
    let name = |n: &str| Some(n.to_owned());
    log.add(Body::Crew(Crew {
        home: name("Official 1"),
        first: name("Official 2"),
        ..Crew::default()
    }))?;
    log.add(Body::Crew(Crew {
        second: name("Official 3"),
        third: name("Official 4"),
        ..Crew::default()
    }))?;
    let player = Shirt::new(12).map(|shirt| InvolvedPlayer {
        side: Side::Home,
        shirt,
    });
    log.add(Body::Incident(Incident {
        half: Some(HalfInning {
            inning: 1,
            side: Side::Guest,
        }),
        player,
        other: String::new(),
        what: "Fell over second base.".to_owned(),
        witness: "Official 2".to_owned(),
        first_aid: "Cold pack, by the court's helper.".to_owned(),
        stopped_min: 4,
    }))?;
    let text = "The hit was foul.".to_owned();
    let side = Side::Guest;
    let protest = log.notice(Notice::Protest { side, text })?.payload().seq;
    let play = log.record.history().plays().next().map(|p| p.seq);
    let mut case = ProtestCase {
        protest,
        rule: "Fair and foul.".to_owned(),
        play,
        decision: None,
    };
    log.add(Body::ProtestCase(case.clone()))?;
    case.decision = Some(ProtestDecision {
        upheld: false,
        reason: "The umpire's judgement is not protested.".to_owned(),
    });
    log.add(Body::ProtestCase(case))?;
    Ok(())
}

/// A log with every kind of body and notice.
///
/// # Errors
/// When the engine refuses it.
pub fn every_body(game: u8, official: u8) -> Result<Writer, RecordError> {
    let mut log = Writer::open(game, official)?;
    let from = HeldLog {
        author: Fingerprint([3; 16]),
        entries: 12,
        head: Hash::of(b"another official's entry"),
    };
    let entries = 0;
    log.add(Body::Takeover(Takeover { from, entries }))?;
    let shirt = |n| Shirt::new(n).unwrap_or(log_shirt());
    for (item, in_order) in [("Surface dry and swept", true), ("Shade and water", false)] {
        let (item, who) = (item.to_owned(), "Official 1".to_owned());
        log.add(Body::Care(Care {
            item,
            who,
            in_order,
        }))?;
    }
    let first = log.play(Call {
        scoring: Some(Scoring {
            by: vec![Position::Shortstop, Position::FirstBase],
            errors: vec![Position::Shortstop],
            batted_in: Some(0),
            starred: None,
        }),
        note: Some("Slow roller along the line.".to_owned()),
        ..Call::new(BatterFate::Safe {
            at: Goal::First,
            on: Reach::Error,
            then: None,
        })
    })?;
    every_fate(&mut log)?;
    let (guest, home) = (Side::Guest, Side::Home);
    let text = "Throwing the helmet.".to_owned();
    log.notice(Notice::Warning {
        side: guest,
        to: WarningRecipient::Player(shirt(24)),
        text,
    })?;
    let text = "Shouting from the bench.".to_owned();
    log.notice(Notice::Warning {
        side: guest,
        to: WarningRecipient::Bench,
        text,
    })?;
    log.notice(Notice::TimeOut { side: home })?;
    log.notice(Notice::Substitution {
        side: home,
        out: shirt(12),
        by: shirt(16),
    })?;
    log.notice(Notice::Injury {
        side: home,
        who: shirt(13),
        by: Some(shirt(17)),
    })?;
    log.notice(Notice::Ejection {
        side: guest,
        who: shirt(27),
        by: None,
    })?;
    let name = "Dana".to_owned();
    log.notice(Notice::CoachEjection { side: home, name })?;
    log.notice(Notice::Warning {
        side: home,
        to: WarningRecipient::Coach,
        text: "Entered the court.".to_owned(),
    })?;
    let text = "A ball from the next court.".to_owned();
    log.notice(Notice::NoPlay { text })?;
    log.notice(Notice::Renumber {
        side: home,
        from: shirt(14),
        to: shirt(41),
    })?;
    let player = Player::numbered(shirt(42));
    let late = log.notice(Notice::Reserve { side: home, player });
    late?;
    log.notice(Notice::Hold(Hold::Lightning))?;
    log.notice(Notice::Resume)?;
    log.notice(Notice::Defence {
        side: home,
        positions: Position::ALL.into_iter().rev().collect(),
    })?;
    let text = "The second base was moved.".to_owned();
    log.notice(Notice::Protest { side: guest, text })?;
    let change = Correction::Replace(Call::new(BatterFate::safe(Goal::Second)));
    let target = first.payload().seq;
    let amend = log.add(Body::Event(Event::Amend(Amendment { target, change })))?;
    let target = amend.payload().seq;
    log.add(Body::Event(Event::Undo { target }))?;
    let missed = Notice::TimeOut { side: guest };
    for change in [
        Correction::NoticeBefore(missed),
        Correction::InsertBefore(Call::new(BatterFate::Caught)),
        Correction::Remove,
    ] {
        let target = first.payload().seq;
        let amendment = Amendment { target, change };
        let amend = log.add(Body::Event(Event::Amend(amendment)))?;
        let target = amend.payload().seq;
        log.add(Body::Event(Event::Undo { target }))?;
    }
    beside_the_plays(&mut log)?;
    log.play_on(40)?;
    let half = HalfInning {
        inning: 1,
        side: guest,
    };
    let witnessed = HeldLog {
        author: key(2).public().fingerprint(),
        entries: 31,
        head: Hash::of(b"the other's last entry"),
    };
    let check = |answer, other: Option<&str>| {
        Body::CodeCheck(CodeCheck {
            half,
            code: "7K2M9Q".to_owned(),
            answer,
            other: other.map(str::to_owned),
            seen: match answer {
                CodeAnswer::Same => vec![witnessed],
                _ => Vec::new(),
            },
        })
    };
    log.add(check(CodeAnswer::Alone, None))?;
    log.add(check(CodeAnswer::Same, Some("7K2M9Q")))?;
    log.add(check(CodeAnswer::Differs, Some("7K2M9R")))?;
    let (own, other) = (Some(first.hash()), Some(Hash::of(b"the other's entry")));
    let note = "They have a clean hit, I have an error.".to_owned();
    log.add(Body::LeftOpen(LeftOpen {
        half,
        own,
        other,
        note,
    }))?;
    let call = Call::new(BatterFate::safe(Goal::First));
    let correction = Some(Amendment {
        target: first.payload().seq,
        change: Correction::Replace(call),
    });
    let note = "A clean hit.".to_owned();
    log.add(Body::Ruling(Ruling {
        own,
        other,
        correction,
        note,
    }))?;
    log.change_key(official + 100)?;
    let text = "The scoreboard cable lies across the third-base line.".to_owned();
    log.notice(Notice::Remark { text })?;
    let text = "Rain on the third-base side.".to_owned();
    let why = Stoppage::Weather;
    log.notice(Notice::GameCalled { why, text })?;
    log.sign_off()?;
    log.notice(Notice::Resume)?;
    let text = "No ball to play with.".to_owned();
    let both = log.notice(Notice::ForfeitBoth { text })?;
    log.sign_off()?;
    let target = both.payload().seq;
    log.add(Body::Event(Event::Undo { target }))?;
    let text = "Too few players after the injury.".to_owned();
    log.notice(Notice::Forfeit { side: home, text })?;
    let statement = log.sign_off()?.hash();
    for captain in [
        None,
        Some(Captain {
            side: guest,
            name: "Ada".to_owned(),
        }),
    ] {
        log.add(Body::CoSign(CoSign { statement, captain }))?;
    }
    decisions(&mut log)?;
    Ok(log)
}

/// Every kind of decision, and a lot.
fn decisions(log: &mut Writer) -> Result<(), RecordError> {
    let author = log.chain().author().fingerprint();
    let head = log.record.head();
    let runs = BySide { guest: 4, home: 2 };
    let scores = Close::ALL.map(|close| Disposition::Score { runs, close });
    let plain = [
        Disposition::Stands { author },
        Disposition::Forfeit { by: Side::Home },
        Disposition::NotCounted,
        Disposition::Withdrawn,
        Disposition::NotPlayed,
    ];
    for decided in plain.into_iter().chain(scores) {
        log.add(Body::Decision(Decision {
            considered: vec![ConsideredLog { author, head }],
            decided,
            reason: "Both officials were heard.".to_owned(),
        }))?;
    }
    let mut draw = Draw {
        order: vec!["Tram Yard".to_owned(), "Quay Street".to_owned()],
        note: "Drawn from a hat before both captains.".to_owned(),
        replaces: Vec::new(),
    };
    log.add(Body::Draw(draw.clone()))?;
    draw.replaces.push(log.record.head());
    draw.order.reverse();
    log.add(Body::Draw(draw))?;
    Ok(())
}

/// A shirt number that always exists.
fn log_shirt() -> Shirt {
    Shirt::new(0).unwrap_or_else(|| unreachable!("0 is a shirt number"))
}
