//! One line of a scenario.

use engine::play::{
    Advance, Base, BatterFate, BeforeFirst, Call, Continuation, FurtherBase, Goal, IllegalAct,
    PutOut, Reach, RunnerFate, Scoring, TrailingOut,
};
use engine::team::{Position, Shirt};

use crate::notice::notice;
use engine::game::Notice;

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
    /// `batter N`: who hits the next play, though another is due.
    Batter(Shirt),
    /// `replay N`.
    Replay(usize),
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
        ["replay", n] => Ok(Line::Replay(number(n)?)),
        ["batter", n] => n
            .parse()
            .map(Line::Batter)
            .map_err(|want| format!("\"{n}\": {want}")),
        ["safe" | "out" | "caught" | "illegal" | "no-hit", ..] => play(text).map(Line::Play),
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

    /// A position, and whether a star marks it.
    fn touch(&mut self) -> Option<(Position, bool)> {
        let word = self.peek()?;
        let (name, starred) = word
            .strip_suffix('*')
            .map_or((word, false), |name| (name, true));
        let position = name.parse().ok()?;
        self.at += 1;
        Some((position, starred))
    }

    /// The next word as a reason. `error MF` says both: the reason, and whose.
    fn cause<T: Copy>(&mut self, causes: &[(&str, T)]) -> Option<T> {
        let word = self.peek()?;
        let (_, cause) = causes.iter().find(|(name, _)| *name == word)?;
        self.at += 1;
        Some(*cause)
    }
}

const REACHES: [(&str, Reach); 4] = [
    ("hit", Reach::Hit),
    ("error", Reach::Error),
    ("choice", Reach::Choice),
    ("award", Reach::Award),
];
const ADVANCES: [(&str, Advance); 4] = [
    ("hit", Advance::Hit),
    ("throw", Advance::Throw),
    ("error", Advance::Error),
    ("award", Advance::Award),
];
/// Ways of being put out, by their names in scenario files.
pub const PUT_OUTS: [(&str, PutOut); 10] = [
    ("forced", PutOut::Forced),
    ("tagged", PutOut::Tagged),
    ("left-early", PutOut::LeftEarly),
    ("not-back", PutOut::NotBack),
    ("passed", PutOut::Passed),
    ("shared", PutOut::Shared),
    ("collision", PutOut::Collision),
    ("interference", PutOut::Interference),
    ("other", PutOut::Other),
    ("missed", PutOut::Missed),
];
/// Ways in which the batter is out before first, by their names.
const BEFORE_FIRST: [(&str, BeforeFirst); 5] = [
    ("base", BeforeFirst::Base),
    ("tagged", BeforeFirst::Tagged),
    ("interference", BeforeFirst::Interference),
    ("collision", BeforeFirst::Collision),
    ("other", BeforeFirst::Other),
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
    let mut scoring = Scoring::default();
    let mut call = Call::new(batter(&mut words, &mut scoring)?);
    let mut two_fates = None;
    if words.eat("|") {
        loop {
            let (base, fate) = runner(&mut words, &mut scoring)?;
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
    while let Some(word) = words.peek() {
        match word {
            ";" if answer.is_none() => {
                words.at += 1;
                answer = Some(read_answer(&mut words)?);
            }
            "by" => {
                words.at += 1;
                touches(&mut words, &mut scoring)?;
            }
            "error" => {
                words.at += 1;
                let before = scoring.errors.len();
                charges(&mut words, &mut scoring);
                if scoring.errors.len() == before {
                    return Err("error needs a position: 1B 2B 3B SS MF".into());
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

fn touches(words: &mut Words<'_>, scoring: &mut Scoring) -> Result<(), String> {
    let before = scoring.by.len();
    while let Some((position, starred)) = words.touch() {
        if starred {
            let bit = 1u16.checked_shl(u32::try_from(scoring.by.len()).unwrap_or(16));
            let stars = scoring.starred.unwrap_or(0) | bit.unwrap_or(0);
            scoring.starred = Some(stars);
        }
        scoring.by.push(position);
    }
    if scoring.by.len() == before {
        return Err("by needs a position: 1B 2B 3B SS MF".into());
    }
    Ok(())
}

/// The positions after `error`: each is charged with one.
fn charges(words: &mut Words<'_>, scoring: &mut Scoring) {
    while let Some(position) = words.position() {
        scoring.errors.push(position);
    }
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

fn batter(words: &mut Words<'_>, scoring: &mut Scoring) -> Result<BatterFate, String> {
    match words.take() {
        Some("safe") => {
            let at = words.goal()?;
            let on = words.cause(&REACHES).unwrap_or(Reach::Hit);
            charges(words, scoring);
            Ok(BatterFate::Safe {
                at,
                on,
                then: continuation(words, scoring)?,
            })
        }
        Some("out") => {
            let how = words.cause(&BEFORE_FIRST).unwrap_or_default();
            Ok(BatterFate::OutBeforeFirst(how))
        }
        Some("caught") => Ok(BatterFate::Caught),
        Some("no-hit") => Ok(BatterFate::NoHit),
        Some("illegal") => {
            let word = words.take().unwrap_or("");
            let act = ACTS.iter().find(|(name, _)| *name == word);
            act.map(|(_, act)| BatterFate::Illegal(*act))
                .ok_or(format!("illegal needs a reason: {}", names(&ACTS)))
        }
        _ => Err("a play begins with safe, out, caught, illegal or no-hit".into()),
    }
}

/// `then out [at] M [HOW]`, tagged if not said; `then to M [REASON]`, on an
/// error if not said.
fn continuation(
    words: &mut Words<'_>,
    scoring: &mut Scoring,
) -> Result<Option<Continuation>, String> {
    if !words.eat("then") {
        return Ok(None);
    }
    match words.take() {
        Some("out") => {
            let _ = words.eat("at");
            let at = words.goal()?;
            let how = words.cause(&PUT_OUTS).unwrap_or(PutOut::Tagged);
            Ok(Some(Continuation::Out(TrailingOut { at, how })))
        }
        Some("to") => {
            let to = words.goal()?;
            let on = words.cause(&ADVANCES).unwrap_or(Advance::Error);
            charges(words, scoring);
            Ok(Some(Continuation::Base(FurtherBase { to, on })))
        }
        _ => Err("\"then\" is followed by \"out\" or \"to\"".into()),
    }
}

fn runner(words: &mut Words<'_>, scoring: &mut Scoring) -> Result<(Base, RunnerFate), String> {
    let base = words.goal()?.base().ok_or("a runner stands on 1, 2 or 3")?;
    let fate = match words.take() {
        Some("holds") => RunnerFate::Holds,
        Some("to") => {
            let goal = words.goal()?;
            let on = words.cause(&ADVANCES).unwrap_or(Advance::Hit);
            charges(words, scoring);
            RunnerFate::To {
                goal,
                on,
                then: continuation(words, scoring)?,
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
