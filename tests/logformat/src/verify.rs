//! The command line of the verifier: author, entries, head and verdict of each
//! file.

use std::fmt;
use std::process::ExitCode;

use engine::evidence::{Evidence, FileContent, LogVerdict};
use engine::log::Visible;
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
    /// What its charter says of the author, in words.
    pub listed: String,
    /// Entries.
    pub entries: usize,
    /// Hash of the last entry.
    pub head: String,
    /// Whether nothing that counts follows the last final statement.
    pub signed_off: bool,
    /// Who co-signed the last final statement, in words.
    pub co_signed: Vec<String>,
    /// Final statements that the entries before them contradict, in words.
    pub misstatements: Vec<String>,
    /// What other logs sign of this one, in words.
    pub witnessed: Vec<String>,
    /// Before when it existed, in words, by each collector that signed it.
    pub dated: Vec<String>,
    /// Whether somebody signs to have seen other entries in it.
    pub rewritten: bool,
    /// Numbers that the author signed twice.
    pub forks: Vec<u64>,
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
    /// The file, as it was named.
    pub file: String,
    /// `log`, `charter`, `order` or `unknown`.
    pub kind: &'static str,
    /// Good items.
    pub entries: usize,
    /// Receipts of collectors among them.
    pub receipts: usize,
    /// The first fault.
    pub fault: Option<Fault>,
    /// The versions of a charter, in words.
    pub charters: Vec<String>,
    /// What a collector's order says, in words.
    pub order: Vec<String>,
    /// The logs.
    pub logs: Vec<Log>,
}

impl Verdict {
    /// Judges the bytes of one file.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        let mut all = Self::all([("", bytes)]);
        all.remove(0)
    }

    /// Judges files together: each with what all of them say of it.
    pub fn all<'a>(files: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> Vec<Self> {
        let evidence = Evidence::of(files);
        let each = evidence.files.iter().enumerate();
        each.map(|(at, file)| {
            let logs = evidence.logs.iter().filter(|l| l.file == at);
            let mut verdict = Self {
                file: file.name.clone(),
                kind: "log",
                entries: 0,
                receipts: 0,
                fault: None,
                charters: Vec::new(),
                order: Vec::new(),
                logs: logs.map(|l| log(l, &evidence)).collect(),
            };
            let fault = |d: &engine::log::Damage| Fault {
                entry: d.entry,
                offset: d.offset,
                name: d.error.name().to_owned(),
                sentence: d.error.to_string(),
            };
            match &file.content {
                FileContent::Log {
                    entries,
                    receipts,
                    damage,
                } => {
                    (verdict.entries, verdict.receipts) = (*entries, *receipts);
                    verdict.fault = damage.as_ref().map(fault);
                }
                FileContent::Unknown(damage) => {
                    verdict.kind = "unknown";
                    verdict.fault = Some(fault(damage));
                }
                FileContent::Charter(versions) => {
                    verdict.kind = "charter";
                    verdict.entries = versions.len();
                    let version = |v: &engine::charter::SignedCharter<_>| {
                        format!("{v}, key {}, hash {}", v.key().fingerprint(), v.hash())
                    };
                    verdict.charters = versions.iter().map(version).collect();
                }
                FileContent::Order(order) => {
                    verdict.kind = "order";
                    verdict.entries = 1;
                    verdict.order = order.says();
                }
                FileContent::BadCharter(why) | FileContent::BadOrder(why) => {
                    verdict.kind = match file.content {
                        FileContent::BadOrder(_) => "order",
                        _ => "charter",
                    };
                    verdict.fault = Some(Fault {
                        entry: 1,
                        offset: 0,
                        name: why.name().to_owned(),
                        sentence: why.to_string(),
                    });
                }
            }
            verdict
        })
        .collect()
    }

    /// Whether every entry is good and nothing that is signed contradicts it.
    #[must_use]
    pub fn is_good(&self) -> bool {
        let sound = |l: &Log| l.misstatements.is_empty() && !l.rewritten && l.forks.is_empty();
        self.fault.is_none() && self.logs.iter().all(sound)
    }

    /// The fault's name, or `good`.
    #[must_use]
    pub fn name(&self) -> &str {
        self.fault.as_ref().map_or("good", |f| &f.name)
    }
}

fn log(log: &LogVerdict, all: &Evidence) -> Log {
    let chain = &log.chain;
    let author = &chain.opening().author;
    let record = log.record.as_ref().ok();
    Log {
        game: chain.game().to_string(),
        author: author.key.fingerprint().to_string(),
        key: chain.key().fingerprint().to_string(),
        name: author.name.clone(),
        role: author.role.to_string(),
        listed: log.listed(),
        entries: chain.entries().len(),
        head: chain.head().to_string(),
        signed_off: record.is_some_and(|r| r.signed_off().is_some()),
        co_signed: log.co_signers(),
        misstatements: log.misstatements(),
        witnessed: log.witnesses(),
        dated: log.dated(all),
        rewritten: log.witnessed.contradictions.iter().any(|c| !c.cut),
        forks: log.forks.iter().map(|f| f.kept.payload().seq).collect(),
        program: chain.opening().made.as_ref().map(|m| m.program.clone()),
        game_in_words: log.game(),
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.fault {
            None if self.kind == "charter" => writeln!(f, "GOOD charter")?,
            None if self.kind == "order" => writeln!(f, "GOOD order of a collector")?,
            None if self.is_good() => writeln!(f, "GOOD, {} entries", self.entries)?,
            None => writeln!(
                f,
                "NOT GOOD: what is signed contradicts what the logs hold; {} entries",
                self.entries
            )?,
            Some(fault) if matches!(self.kind, "charter" | "order") => {
                writeln!(f, "NOT GOOD, {}: {}", self.kind, fault.sentence)?;
            }
            Some(_) if self.kind == "unknown" => writeln!(
                f,
                "NOT a play log, no charter and no order: it is a file of another kind"
            )?,
            Some(fault) => writeln!(
                f,
                "NOT GOOD from entry {} on ({}, byte {}): {}\n  {} good entries before it",
                fault.entry, fault.name, fault.offset, fault.sentence, self.entries
            )?,
        }
        for said in self.charters.iter().chain(&self.order) {
            writeln!(f, "  {}", Visible(said))?;
        }
        for log in &self.logs {
            let end = if log.signed_off {
                "signed off"
            } else {
                "not signed off"
            };
            let name = Visible(&log.name);
            writeln!(f, "  {name} ({}), key {}", log.role, log.author)?;
            writeln!(f, "    listed  {}", Visible(&log.listed))?;
            writeln!(f, "    game    {}", log.game)?;
            writeln!(f, "    entries {}, {end}", log.entries)?;
            writeln!(f, "    head    {}", log.head)?;
            for line in &log.co_signed {
                writeln!(f, "    signed  {}", Visible(line))?;
            }
            for line in &log.witnessed {
                writeln!(f, "    witness {line}")?;
            }
            for line in &log.dated {
                writeln!(f, "    dated   {}", Visible(line))?;
            }
            for seq in &log.forks {
                writeln!(
                    f,
                    "    fork    entry {seq} was signed twice, with other words"
                )?;
            }
            for wrong in &log.misstatements {
                writeln!(f, "    wrong   {wrong}")?;
            }
            writeln!(f, "    record  {}", Visible(&log.game_in_words))?;
        }
        Ok(())
    }
}

/// Judges the files named together, a charter among them too, and prints what
/// it found; with `--json` first, one JSON object a line; with `--apart`, each
/// file by itself. Fails when any file is not good.
#[must_use]
pub fn main(arguments: &[String]) -> ExitCode {
    let (options, files): (Vec<&String>, Vec<&String>) =
        arguments.iter().partition(|a| a.starts_with("--"));
    let [json, apart] = ["--json", "--apart"].map(|o| options.iter().any(|a| *a == o));
    if files.is_empty() {
        eprintln!("usage: verify [--json] [--apart] FILE...");
        return ExitCode::from(2);
    }
    let mut all_good = true;
    let mut read = Vec::new();
    for file in files {
        match std::fs::read(file) {
            Ok(bytes) => read.push((file.as_str(), bytes)),
            Err(e) => {
                eprintln!("{}: {e}", Visible(file));
                all_good = false;
            }
        }
    }
    let given = read.iter().map(|(file, bytes)| (*file, bytes.as_slice()));
    let verdicts = match apart {
        false => Verdict::all(given),
        true => given.flat_map(|one| Verdict::all([one])).collect(),
    };
    for verdict in verdicts {
        all_good &= verdict.is_good();
        if json {
            match serde_json::to_string(&verdict) {
                Ok(line) => println!("{line}"),
                Err(e) => eprintln!("{}: {e}", Visible(&verdict.file)),
            }
        } else {
            print!("{}: {verdict}", Visible(&verdict.file));
        }
    }
    if all_good {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
