//! The command line of the verifier: author, entries, head and verdict of each
//! file.

use std::fmt;
use std::process::ExitCode;

use engine::charter::SignedCharter;
use engine::log::{Chain, Entry, GameRecord, LogFile, Unverified, Visible, Witnessed};
use serde::Serialize;

/// One log of a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Log {
    /// The game id, hexadecimal.
    pub game: String,
    /// Fingerprint of the key that opened the log.
    pub author: String,
    /// Fingerprint of the key that signs its next entry.
    pub key: String,
    /// The author's name, as given.
    pub name: String,
    /// The author's role, as given.
    pub role: String,
    /// Entries.
    pub entries: usize,
    /// Hash of the last entry.
    pub head: String,
    /// Whether nothing that counts follows the last final statement.
    pub signed_off: bool,
    /// Final statements that the entries before them contradict, in words.
    pub misstatements: Vec<String>,
    /// What other logs of the file sign of this one, in words.
    pub witnessed: Vec<String>,
    /// Whether one of them signs to have seen other entries in it.
    pub rewritten: bool,
    /// The program that opened it, as it says.
    pub program: Option<String>,
    /// What the rules make of it: the score and the plays that do not fit, or
    /// why there is no game.
    pub game_in_words: String,
}

/// Where a file stops being good.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fault {
    /// The entry, from 1.
    pub entry: usize,
    /// Where it starts, in bytes.
    pub offset: usize,
    /// The documented name.
    pub name: String,
    /// In words.
    pub sentence: String,
}

/// What a file holds and whether it is good.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Verdict {
    /// Good entries.
    pub entries: usize,
    /// The first fault.
    pub fault: Option<Fault>,
    /// The logs.
    pub logs: Vec<Log>,
}

impl Verdict {
    /// Judges the bytes of a log file.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        let file = LogFile::read(bytes);
        Self {
            entries: file.entries,
            fault: file.damage.map(|d| Fault {
                entry: d.entry,
                offset: d.offset,
                name: d.error.name().to_owned(),
                sentence: d.error.to_string(),
            }),
            logs: file.chains.iter().map(|c| log(c, &file.chains)).collect(),
        }
    }

    /// Whether every entry is good and no statement contradicts its own log.
    #[must_use]
    pub fn is_good(&self) -> bool {
        let sound = |l: &Log| l.misstatements.is_empty() && !l.rewritten;
        self.fault.is_none() && self.logs.iter().all(sound)
    }

    /// The fault's name, or `good`.
    #[must_use]
    pub fn name(&self) -> &str {
        self.fault.as_ref().map_or("good", |f| &f.name)
    }
}

fn log(chain: &Chain, all: &[Chain]) -> Log {
    let found = Witnessed::of(chain, all);
    let author = &chain.opening().author;
    let mut log = Log {
        game: chain.game().to_string(),
        author: author.key.fingerprint().to_string(),
        key: chain.key().fingerprint().to_string(),
        name: author.name.clone(),
        role: author.role.to_string(),
        entries: chain.entries().len(),
        head: chain.head().to_string(),
        signed_off: false,
        misstatements: Vec::new(),
        witnessed: witnessed(chain, &found),
        rewritten: found.contradictions.iter().any(|c| !c.cut),
        program: chain.opening().made.as_ref().map(|m| m.program.clone()),
        game_in_words: String::new(),
    };
    log.game_in_words = match GameRecord::replay(chain.clone()) {
        Err(e) => format!("no game: {e}"),
        Ok(record) => {
            log.signed_off = record.signed_off().is_some();
            let wrong = record.misstatements().iter();
            log.misstatements = wrong.map(ToString::to_string).collect();
            let score = record.history().game().score();
            let teams = &record.opening().setup.cards;
            format!(
                "{} {}, {} {}, {} plays that do not fit, {} differences left open",
                teams.guest.team,
                score.guest,
                teams.home.team,
                score.home,
                record.history().conflicts().count(),
                record.disputes().count()
            )
        }
    };
    log
}

fn witnessed(chain: &Chain, found: &Witnessed) -> Vec<String> {
    let mut lines: Vec<String> = found
        .by
        .iter()
        .map(|w| {
            format!(
                "up to entry {} by {}, whose own entry {} names it",
                w.seq, w.by, w.at
            )
        })
        .collect();
    for wrong in &found.contradictions {
        let what = if wrong.cut {
            "which this file does not hold: it ends sooner"
        } else {
            "and others stand there now: it was written anew"
        };
        lines.push(format!(
            "{} signed, in entry {}, to have seen {} entries, {what}",
            wrong.by, wrong.at, wrong.entries
        ));
    }
    let last = found.by.iter().map(|w| w.seq + 1).max().unwrap_or(0);
    if last < chain.next_seq() {
        lines.push(format!(
            "nobody else for entry {last} and later: nothing here proves that they are the newest, nor when they were made"
        ));
    }
    lines
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.fault {
            None if self.is_good() => writeln!(f, "GOOD, {} entries", self.entries)?,
            None => writeln!(
                f,
                "NOT GOOD: what is signed contradicts what the logs hold; {} entries",
                self.entries
            )?,
            Some(fault) => writeln!(
                f,
                "NOT GOOD from entry {} on ({}, byte {}): {}\n  {} good entries before it",
                fault.entry, fault.name, fault.offset, fault.sentence, self.entries
            )?,
        }
        for log in &self.logs {
            let end = if log.signed_off {
                "signed off"
            } else {
                "not signed off"
            };
            let name = Visible(&log.name);
            writeln!(f, "  {name} ({}), key {}", log.role, log.author)?;
            writeln!(f, "    game    {}", log.game)?;
            writeln!(f, "    entries {}, {end}", log.entries)?;
            writeln!(f, "    head    {}", log.head)?;
            for line in &log.witnessed {
                writeln!(f, "    witness {line}")?;
            }
            for wrong in &log.misstatements {
                writeln!(f, "    wrong   {wrong}")?;
            }
            writeln!(f, "    record  {}", Visible(&log.game_in_words))?;
        }
        Ok(())
    }
}

/// What an event charter says of itself once its signature is good.
fn charter(bytes: &[u8]) -> Option<String> {
    // Anything that could be an entry is judged as a log.
    if Entry::<Unverified>::parse(bytes).is_ok() {
        return None;
    }
    let charter = SignedCharter::parse(bytes).ok()?;
    Some(match charter.verify() {
        Ok(good) => format!(
            "GOOD charter: {}\n  key  {}\n  hash {}\n",
            Visible(&good.to_string()),
            good.key().fingerprint(),
            good.hash()
        ),
        Err(e) => format!("NOT GOOD, a charter: {e}\n"),
    })
}

/// Judges each file named and prints what it found; with `--json` first, one
/// JSON object a line. Fails when any file is not good.
#[must_use]
pub fn main(arguments: &[String]) -> ExitCode {
    let (json, files) = match arguments.split_first() {
        Some((first, rest)) if first == "--json" => (true, rest),
        _ => (false, arguments),
    };
    if files.is_empty() {
        eprintln!("usage: verify [--json] FILE...");
        return ExitCode::from(2);
    }
    let mut all_good = true;
    for file in files {
        let bytes = match std::fs::read(file) {
            Ok(bytes) => bytes,
            Err(e) => {
                eprintln!("{}: {e}", Visible(file));
                all_good = false;
                continue;
            }
        };
        if let Some(words) = charter(&bytes).filter(|_| !json) {
            all_good &= words.starts_with("GOOD");
            print!("{}: {words}", Visible(file));
            continue;
        }
        let verdict = Verdict::of(&bytes);
        all_good &= verdict.is_good();
        if json {
            match serde_json::to_string(&verdict) {
                Ok(line) => println!("{line}"),
                Err(e) => eprintln!("{}: {e}", Visible(file)),
            }
        } else {
            print!("{}: {verdict}", Visible(file));
        }
    }
    if all_good {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
