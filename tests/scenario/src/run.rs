//! Playing a scenario line by line.

use std::sync::Arc;

use engine::game::Fixture;
use engine::log::{Amendment, Correction, Event, History, RecordObjection};
use engine::play::Call;
use engine::rules::Edition;
use engine::team::{BySide, Card, CardObjection, Shirt, Side};

use crate::head;
use crate::parse::{self, Answer, Line, Play};
use crate::state::{KEYS, player_value, value};

/// A check that failed, or a line that could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// Line, from 1.
    pub line: usize,
    /// What was expected.
    pub expected: String,
    /// What was found.
    pub got: String,
}

impl Failure {
    /// The failure in a line, with the file's name.
    #[must_use]
    pub fn at(&self, file: &str) -> String {
        format!(
            "{file}:{}: expected {}, got {}",
            self.line, self.expected, self.got
        )
    }
}

/// What came of a scenario.
#[derive(Debug, Default)]
pub struct Report {
    /// Checks that held.
    pub passed: usize,
    /// Those that did not, in order.
    pub failures: Vec<Failure>,
    /// The game after the last line, if there was one.
    pub history: Option<History>,
}

/// A refusal waiting for its `refused` line.
struct Refusal {
    line: usize,
    /// Documented names of every reason.
    names: Vec<&'static str>,
    words: String,
}

enum Last {
    Nothing,
    Accepted,
    Refused(Refusal),
}

struct Player {
    edition: Edition,
    cards: BySide<Option<Card>>,
    report: Report,
    last: Last,
    /// A card of fewer than five that was refused by the line before, and is
    /// accepted if the game goes on to a forfeit.
    short: Option<(Side, Card)>,
    /// Who hits the next play, though another is due: the line, and the number.
    hitter: Option<(usize, Shirt)>,
}

/// Plays a scenario through the engine and checks it.
#[must_use]
pub fn run(text: &str) -> Report {
    let mut player = Player {
        edition: Edition::federation(),
        cards: BySide::default(),
        report: Report::default(),
        last: Last::Nothing,
        short: None,
        hitter: None,
    };
    for (i, raw) in text.lines().enumerate() {
        let line = without_comment(raw).trim();
        if line.is_empty() {
            continue;
        }
        if let Err(wrong) = player.line(i + 1, line) {
            player.fail(i + 1, "a readable line".into(), wrong);
            break;
        }
    }
    player.settle();
    if let Some((line, _)) = player.hitter {
        player.fail(line, "a play after it".into(), "none".into());
    }
    player.report
}

/// A `#` starts a comment at the start of the line or after a space.
fn without_comment(line: &str) -> &str {
    let starts = |(i, _): &(usize, &str)| *i == 0 || line[..*i].ends_with(char::is_whitespace);
    line.match_indices('#')
        .find(starts)
        .map_or(line, |(i, _)| &line[..i])
}

impl Player {
    fn fail(&mut self, line: usize, expected: String, got: String) {
        self.report.failures.push(Failure {
            line,
            expected,
            got,
        });
    }

    /// A refusal that no `refused` line followed is a failure.
    fn settle(&mut self) {
        if let Last::Refused(r) = std::mem::replace(&mut self.last, Last::Nothing) {
            let got = format!("refused {}: {}", r.names.join(" "), r.words);
            self.fail(r.line, "the line to be accepted".into(), got);
        }
    }

    fn line(&mut self, n: usize, line: &str) -> Result<(), String> {
        let words: Vec<&str> = line.split_whitespace().collect();
        if words.first() == Some(&"refused") {
            self.refused(n, &words[1..]);
            return Ok(());
        }
        if matches!(words.first(), Some(&("guest" | "home" | "forfeit"))) {
            self.take_short_card();
        }
        self.settle();
        self.short = None;
        match words.as_slice() {
            ["edition", rest @ ..] if self.at_head() => self.edition = head::edition(rest)?,
            ["set", rest @ ..] if self.at_head() => {
                self.edition = head::set(self.edition.clone(), rest)?;
            }
            [team @ ("guest" | "home"), rest @ ..] if self.report.history.is_none() => {
                let side = if *team == "guest" {
                    Side::Guest
                } else {
                    Side::Home
                };
                let (card, wrong) = head::card(team, rest)?;
                self.take_card(n, side, card, wrong);
            }
            ["edition" | "set" | "guest" | "home", ..] => {
                return Err("the head comes before the first play".into());
            }
            ["expect", ..] => self.expect(n, line.trim_start_matches("expect"))?,
            _ => self.record(n, parse::line(line)?)?,
        }
        Ok(())
    }

    fn at_head(&self) -> bool {
        self.report.history.is_none() && Side::BOTH.iter().all(|s| self.cards[*s].is_none())
    }

    /// A side that cannot field five forfeits before the start.
    fn take_short_card(&mut self) {
        if let Some((side, card)) = self.short.take() {
            self.cards[side] = Some(card);
            self.last = Last::Accepted;
        }
    }

    fn take_card(&mut self, line: usize, side: Side, card: Card, mut wrong: Vec<CardObjection>) {
        let short = card.check_short(&self.edition);
        let is_short = short.is_ok_and(|lineup| lineup.is_short() && wrong.is_empty());
        self.short = is_short.then(|| (side, card.clone()));
        match card.check(&self.edition) {
            Ok(_) if wrong.is_empty() => {
                self.cards[side] = Some(card);
                self.last = Last::Accepted;
            }
            checked => {
                wrong.extend(checked.err().into_iter().flatten());
                self.last = Last::Refused(Refusal {
                    line,
                    names: wrong.iter().map(CardObjection::name).collect(),
                    words: wrong
                        .iter()
                        .map(ToString::to_string)
                        .collect::<Vec<_>>()
                        .join(" "),
                });
            }
        }
    }

    fn history(&mut self) -> Result<&mut History, String> {
        if self.report.history.is_none() {
            let cards = std::mem::take(&mut self.cards);
            let (Some(guest), Some(home)) = (cards.guest, cards.home) else {
                return Err("both line-ups come before the first play".into());
            };
            let cards = BySide { guest, home };
            let fixture = Fixture::new(self.edition.clone(), &cards).map_err(|e| e.to_string())?;
            self.report.history = Some(History::new(Arc::new(fixture)));
        }
        self.report.history.as_mut().ok_or_else(|| "no game".into())
    }

    fn record(&mut self, line: usize, what: Line) -> Result<(), String> {
        let hitter = match what {
            Line::Play(_) => self.hitter.take().map(|(_, who)| who),
            _ => None,
        };
        let history = self.history()?;
        if let Line::Play(p) | Line::Amend(_, p) | Line::Insert(_, p) = &what
            && let Some(base) = p.two_fates
        {
            let words = format!("The runner on {base} has two fates: one each.");
            self.last = Last::Refused(Refusal {
                line,
                names: vec!["two-fates"],
                words,
            });
            return Ok(());
        }
        let event = match what {
            Line::Batter(who) => {
                if let Some((line, _)) = self.hitter.replace((line, who)) {
                    self.fail(line, "a play after it".into(), "another batter".into());
                }
                return Ok(());
            }
            Line::Play(mut play) => {
                play.call.hitter = hitter;
                let call = answered(play, |c| history.game().question(c).map(|q| q.who.len()));
                Ok(history.next_play(call))
            }
            Line::Notice(notice) => Ok(Event::Notice(notice)),
            Line::Undo => history
                .last_in_force()
                .map(|target| Event::Undo { target })
                .ok_or(RecordObjection::NothingToUndo),
            Line::Amend(n, play) => correction(history, n, Some(play), Correction::Replace),
            Line::Insert(n, play) => correction(history, n, Some(play), Correction::InsertBefore),
            Line::Remove(n) => correction(history, n, None, |_| Correction::Remove),
            Line::Replay(n) => target(history, n).map(|target| Event::Replay { target }),
        };
        let judged = event.and_then(|event| history.check(&event).map(|()| event));
        self.last = match judged {
            Ok(event) => {
                let seq = history.events().last().map_or(1, |(seq, _)| seq + 1);
                history.push(seq, event);
                Last::Accepted
            }
            Err(objection) => Last::Refused(Refusal {
                line,
                names: vec![objection.name()],
                words: objection.to_string(),
            }),
        };
        Ok(())
    }

    fn refused(&mut self, n: usize, why: &[&str]) {
        match std::mem::replace(&mut self.last, Last::Nothing) {
            Last::Refused(r) => match why {
                [] => self.report.passed += 1,
                [name, ..] if r.names.contains(name) => self.report.passed += 1,
                [name, ..] => {
                    let got = format!("refused {}: {}", r.names.join(" "), r.words);
                    self.fail(n, format!("refused {name}"), got);
                }
            },
            Last::Accepted => {
                self.fail(n, "the line above to be refused".into(), "accepted".into())
            }
            Last::Nothing => {
                self.fail(
                    n,
                    "a play or notice on the line above".into(),
                    "none".into(),
                );
            }
        }
    }

    fn expect(&mut self, n: usize, rest: &str) -> Result<(), String> {
        let history = self.history()?.clone();
        for part in rest.split(',') {
            let words: Vec<&str> = part.split_whitespace().collect();
            let [key, want @ ..] = words.as_slice() else {
                return Err("expect needs KEY VALUE".into());
            };
            if matches!(*key, "batting" | "fielding") {
                self.expect_line(n, key, want)?;
                continue;
            }
            let got = value(&history, key)
                .ok_or_else(|| format!("no key \"{key}\"; one of: {}", KEYS.join(" ")))?;
            let want = want.join(" ");
            if want.is_empty() {
                return Err(format!("expect {key} needs a value"));
            }
            if got == want {
                self.report.passed += 1;
            } else {
                self.fail(n, format!("{key} {want}"), got);
            }
        }
        self.last = Last::Nothing;
        Ok(())
    }
}

impl Player {
    /// `batting SHIRT KEY N...`: each key given must agree.
    fn expect_line(&mut self, n: usize, kind: &str, want: &[&str]) -> Result<(), String> {
        const FORM: &str = "batting and fielding need SHIRT KEY N [KEY N]...";
        let [shirt, keys @ ..] = want else {
            return Err(FORM.into());
        };
        let shirt: Shirt = shirt.parse().map_err(|w| format!("\"{shirt}\": {w}"))?;
        if keys.is_empty() || keys.len() % 2 == 1 {
            return Err(FORM.into());
        }
        let history = self.history()?.clone();
        for pair in keys.chunks(2) {
            let (key, want) = (pair[0], pair[1]);
            want.parse::<u16>().map_err(|_| FORM.to_string())?;
            let got = player_value(&history, kind, shirt, key)?.to_string();
            if got == want {
                self.report.passed += 1;
            } else {
                self.fail(n, format!("{kind} {shirt} {key} {want}"), got);
            }
        }
        Ok(())
    }
}

/// Turns "run counts" into the number that the game asks for.
fn answered(play: Play, most: impl Fn(&Call) -> Option<usize>) -> Call {
    let home_first = play.answer.map(|answer| match answer {
        Answer::None => 0,
        Answer::First(n) => n,
        // Where nothing is asked, "counts" claims a run and is refused.
        Answer::All => most(&play.call)
            .and_then(|n| u8::try_from(n).ok())
            .unwrap_or(1),
    });
    Call {
        home_first,
        ..play.call
    }
}

/// The sequence number of a play in force.
fn target(history: &History, number: usize) -> Result<u64, RecordObjection> {
    let missing = RecordObjection::NoSuchPlay(u64::try_from(number).unwrap_or(u64::MAX));
    let mut plays = history.plays();
    let play = plays.find(|p| p.number == number).ok_or(missing)?;
    Ok(play.seq)
}

fn correction(
    history: &History,
    number: usize,
    play: Option<Play>,
    change: impl Fn(Call) -> Correction,
) -> Result<Event, RecordObjection> {
    let target = target(history, number)?;
    let change = match play {
        None => Correction::Remove,
        Some(play) => {
            let before = history.before(target);
            change(answered(play, |c| {
                before
                    .as_ref()
                    .and_then(|g| g.question(c))
                    .map(|q| q.who.len())
            }))
        }
    };
    Ok(Event::Amend(Amendment { target, change }))
}
