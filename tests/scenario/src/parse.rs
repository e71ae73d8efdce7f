//! One line of a scenario.

use engine::game::{Hold, Notice};
use engine::play::{
    Advance, Base, BatterFate, Call, Goal, IllegalAct, PutOut, Reach, RunnerFate, Scoring,
    TrailingOut,
};
use engine::team::{Position, Shirt, Side};

/// What happens to the runs at a third out, as the line says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// `run counts`: everyone who can have been home first.
    All,
    /// `run does not count`.
    None,
    /// `N runs count`: the first N.
    First(u8),
}

/// A play as written: the call without the answer, which needs the game.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Play {
    /// The call.
    pub call: Call,
    /// The answer, if one ends the line.
    pub answer: Option<Answer>,
    /// A runner with two fates, which no call can hold: refused as a contradiction.
    pub two_fates: Option<Base>,
}

/// A line between plays or a play.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Line {
    /// A play.
    Play(Play),
    /// A notice.
    Notice(Notice),
    /// `undo`.
    Undo,
    /// `amend N: PLAY`.
    Amend(usize, Play),
    /// `remove N`.
    Remove(usize),
    /// `insert N: PLAY`, before the play that has that number.
    Insert(usize, Play),
}

/// Reads a line that is neither head nor check.
pub fn line(text: &str) -> Result<Line, String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    match words.as_slice() {
        ["undo"] => Ok(Line::Undo),
        ["amend", ..] => numbered_play(text, "amend").map(|(n, p)| Line::Amend(n, p)),
        ["insert", ..] => numbered_play(text, "insert").map(|(n, p)| Line::Insert(n, p)),
        ["remove", n] => Ok(Line::Remove(number(n)?)),
        ["safe" | "out" | "caught" | "illegal", ..] => play(text).map(Line::Play),
        _ => notice(text, &words).map(Line::Notice),
    }
}

fn number(word: &str) -> Result<usize, String> {
    word.parse()
        .map_err(|_| format!("\"{word}\" is no play number"))
}

fn numbered_play(text: &str, verb: &str) -> Result<(usize, Play), String> {
    let rest = text.trim_start().strip_prefix(verb).unwrap_or(text);
    let (n, rest) = rest
        .split_once(':')
        .ok_or(format!("{verb} needs \"N: PLAY\""))?;
    Ok((number(n.trim())?, play(rest)?))
}

fn side(word: &str) -> Result<Side, String> {
    match word {
        "guest" => Ok(Side::Guest),
        "home" => Ok(Side::Home),
        _ => Err(format!("\"{word}\" is no side: guest or home")),
    }
}

fn shirt(word: &str) -> Result<Shirt, String> {
    word.parse().map_err(|want| format!("\"{word}\": {want}"))
}

/// The text after the first `skip` words, as written.
fn text_after(line: &str, skip: usize) -> String {
    let mut rest = line.trim();
    for _ in 0..skip {
        rest = rest
            .split_once(char::is_whitespace)
            .map_or("", |(_, r)| r.trim_start());
    }
    rest.to_string()
}

fn notice(text: &str, words: &[&str]) -> Result<Notice, String> {
    Ok(match words {
        ["sub", s, out, "by", by] => Notice::Substitution {
            side: side(s)?,
            out: shirt(out)?,
            by: shirt(by)?,
        },
        ["timeout", s] => Notice::TimeOut { side: side(s)? },
        ["warn", s, rest @ ..] => match rest.first().and_then(|n| n.parse::<Shirt>().ok()) {
            Some(who) => Notice::Warning {
                side: side(s)?,
                who: Some(who),
                text: text_after(text, 3),
            },
            None => Notice::Warning {
                side: side(s)?,
                who: None,
                text: text_after(text, 2),
            },
        },
        ["eject", s, who] => Notice::Ejection {
            side: side(s)?,
            who: shirt(who)?,
            by: None,
        },
        ["eject", s, who, "by", by] => Notice::Ejection {
            side: side(s)?,
            who: shirt(who)?,
            by: Some(shirt(by)?),
        },
        ["injury", s, who] => Notice::Injury {
            side: side(s)?,
            who: shirt(who)?,
            by: None,
        },
        ["injury", s, who, "by", by] => Notice::Injury {
            side: side(s)?,
            who: shirt(who)?,
            by: Some(shirt(by)?),
        },
        ["runner", "third", "by", by] => Notice::StandIn { by: shirt(by)? },
        ["protest", s, ..] => Notice::Protest {
            side: side(s)?,
            text: text_after(text, 2),
        },
        ["hold", why] => Notice::Hold(match *why {
            "weather" => Hold::Weather,
            "lightning" => Hold::Lightning,
            "heat" => Hold::Heat,
            "other" => Hold::Other,
            _ => return Err("hold: one of weather lightning heat other".into()),
        }),
        ["resume"] => Notice::Resume,
        ["forfeit", s, ..] => Notice::Forfeit {
            side: side(s)?,
            text: text_after(text, 2),
        },
        ["defence", s, positions @ ..] => Notice::Defence {
            side: side(s)?,
            positions: positions
                .iter()
                .map(|p| {
                    p.parse()
                        .map_err(|want| format!("\"{p}\" is no position: {want}"))
                })
                .collect::<Result<_, String>>()?,
        },
        ["remark", ..] => Notice::Remark {
            text: text_after(text, 1),
        },
        _ => return Err(format!("unreadable line \"{}\"", text.trim())),
    })
}

/// A reader of words with one of look-ahead.
struct Words<'a> {
    words: Vec<&'a str>,
    at: usize,
}

impl<'a> Words<'a> {
    fn new(text: &'a str) -> Self {
        let mut words = Vec::new();
        for word in text.split_whitespace() {
            let mut rest = word;
            while let Some(i) = rest.find(['|', ',', ';']) {
                if i > 0 {
                    words.push(&rest[..i]);
                }
                words.push(&rest[i..=i]);
                rest = &rest[i + 1..];
            }
            if !rest.is_empty() {
                words.push(rest);
            }
        }
        Self { words, at: 0 }
    }

    fn peek(&self) -> Option<&'a str> {
        self.words.get(self.at).copied()
    }

    fn peek_after(&self) -> Option<&'a str> {
        self.words.get(self.at + 1).copied()
    }

    fn take(&mut self) -> Option<&'a str> {
        let word = self.peek()?;
        self.at += 1;
        Some(word)
    }

    fn eat(&mut self, word: &str) -> bool {
        let same = self.peek() == Some(word);
        self.at += usize::from(same);
        same
    }

    fn goal(&mut self) -> Result<Goal, String> {
        let word = self.take().unwrap_or("the end of the line");
        word.parse()
            .ok()
            .and_then(Goal::from_number)
            .ok_or(format!("a base from 1 to 4 was wanted, not {word}"))
    }

    fn position(&mut self) -> Option<Position> {
        let position = self.peek()?.parse().ok()?;
        self.at += 1;
        Some(position)
    }

    /// Whether the next word is a cause: `error` before a position is not one.
    fn cause<T: Copy>(&mut self, causes: &[(&str, T)]) -> Option<T> {
        let word = self.peek()?;
        let named = self
            .peek_after()
            .is_some_and(|w| w.parse::<Position>().is_ok());
        if word == "error" && named {
            return None;
        }
        let (_, cause) = causes.iter().find(|(name, _)| *name == word)?;
        self.at += 1;
        Some(*cause)
    }
}

const REACHES: [(&str, Reach); 3] = [
    ("hit", Reach::Hit),
    ("error", Reach::Error),
    ("choice", Reach::Choice),
];
const ADVANCES: [(&str, Advance); 4] = [
    ("hit", Advance::Hit),
    ("throw", Advance::Throw),
    ("error", Advance::Error),
    ("award", Advance::Award),
];
/// Ways of being put out, by their names in scenario files.
pub const PUT_OUTS: [(&str, PutOut); 9] = [
    ("forced", PutOut::Forced),
    ("tagged", PutOut::Tagged),
    ("left-early", PutOut::LeftEarly),
    ("not-back", PutOut::NotBack),
    ("passed", PutOut::Passed),
    ("shared", PutOut::Shared),
    ("collision", PutOut::Collision),
    ("interference", PutOut::Interference),
    ("other", PutOut::Other),
];
/// Illegal acts, by their names in scenario files.
pub const ACTS: [(&str, IllegalAct); 6] = [
    ("no-hit-zone", IllegalAct::NoHitZone),
    ("foul", IllegalAct::Foul),
    ("fence", IllegalAct::Fence),
    ("box", IllegalAct::Box),
    ("turn", IllegalAct::Turn),
    ("other", IllegalAct::Other),
];

fn names<T>(list: &[(&str, T)]) -> String {
    list.iter()
        .map(|(name, _)| *name)
        .collect::<Vec<_>>()
        .join(" ")
}

fn play(text: &str) -> Result<Play, String> {
    let mut words = Words::new(text);
    let mut call = Call::new(batter(&mut words)?);
    let mut two_fates = None;
    if words.eat("|") {
        loop {
            let (base, fate) = runner(&mut words)?;
            if call.runners()[base].is_some() {
                two_fates = Some(base);
            }
            call.set_runner(base, Some(fate));
            if !words.eat(",") {
                break;
            }
        }
    }
    let mut answer = None;
    let mut scoring = Scoring::default();
    while let Some(word) = words.peek() {
        match word {
            ";" if answer.is_none() => {
                words.at += 1;
                answer = Some(read_answer(&mut words)?);
            }
            "by" | "error" => {
                words.at += 1;
                let list = if word == "by" {
                    &mut scoring.by
                } else {
                    &mut scoring.errors
                };
                let before = list.len();
                while let Some(position) = words.position() {
                    list.push(position);
                }
                if list.len() == before {
                    return Err(format!("{word} needs a position: 1B 2B 3B SS MF"));
                }
            }
            _ => return Err(format!("\"{word}\" was not expected here")),
        }
    }
    if scoring != Scoring::default() {
        call.scoring = Some(scoring);
    }
    Ok(Play {
        call,
        answer,
        two_fates,
    })
}

fn read_answer(words: &mut Words<'_>) -> Result<Answer, String> {
    const WANT: &str = "after ; : run counts, run does not count, or N runs count";
    let first = words.take().ok_or(WANT)?;
    match (first, words.take(), words.peek()) {
        ("run" | "runs", Some("counts" | "count"), _) => Ok(Answer::All),
        ("run" | "runs", Some("does" | "do"), Some("not")) => {
            words.at += 1;
            match words.take() {
                Some("count") => Ok(Answer::None),
                _ => Err(WANT.into()),
            }
        }
        (n, Some("run" | "runs"), Some("count" | "counts")) => {
            words.at += 1;
            n.parse().map(Answer::First).map_err(|_| WANT.into())
        }
        _ => Err(WANT.into()),
    }
}

fn batter(words: &mut Words<'_>) -> Result<BatterFate, String> {
    match words.take() {
        Some("safe") => {
            let at = words.goal()?;
            let on = words.cause(&REACHES).unwrap_or(Reach::Hit);
            Ok(BatterFate::Safe {
                at,
                on,
                then: trailing(words, false)?,
            })
        }
        Some("out") => Ok(BatterFate::OutBeforeFirst),
        Some("caught") => Ok(BatterFate::Caught),
        Some("illegal") => {
            let word = words.take().unwrap_or("");
            let act = ACTS.iter().find(|(name, _)| *name == word);
            act.map(|(_, act)| BatterFate::Illegal(*act))
                .ok_or(format!("illegal needs a reason: {}", names(&ACTS)))
        }
        _ => Err("a play begins with safe, out, caught or illegal".into()),
    }
}

/// `then out [at] M [HOW]`; tagged if not said.
fn trailing(words: &mut Words<'_>, at: bool) -> Result<Option<TrailingOut>, String> {
    if !words.eat("then") {
        return Ok(None);
    }
    if !words.eat("out") {
        return Err("\"then\" is followed by \"out\"".into());
    }
    if !words.eat("at") && at {
        return Err("\"then out\" is followed by \"at\" and a base".into());
    }
    let at = words.goal()?;
    Ok(Some(TrailingOut {
        at,
        how: words.cause(&PUT_OUTS).unwrap_or(PutOut::Tagged),
    }))
}

fn runner(words: &mut Words<'_>) -> Result<(Base, RunnerFate), String> {
    let base = words.goal()?.base().ok_or("a runner stands on 1, 2 or 3")?;
    let fate = match words.take() {
        Some("holds") => RunnerFate::Holds,
        Some("to") => {
            let goal = words.goal()?;
            let on = words.cause(&ADVANCES).unwrap_or(Advance::Hit);
            RunnerFate::To {
                goal,
                on,
                then: trailing(words, true)?,
            }
        }
        Some("out") => {
            let at = if words.eat("at") {
                Some(words.goal()?)
            } else {
                None
            };
            let how = words.cause(&PUT_OUTS).ok_or(format!(
                "a runner's out needs a reason: {}",
                names(&PUT_OUTS)
            ))?;
            RunnerFate::Out { at, how }
        }
        _ => return Err("a runner holds, goes \"to\" a base, or is \"out\"".into()),
    };
    Ok((base, fate))
}
