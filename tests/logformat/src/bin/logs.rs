//! Writes log files with the engine's verdicts, for other verifiers to judge.
//!
//! `logs FOLDER` writes every named file with its verdict, and in `payloads`
//! one payload of every kind, as seeds for the fuzzers.
//! `logs --judge` reads a kind (`log`, `charter`, `order`) and bytes in
//! hexadecimal from each line of its input, and prints what is good of them,
//! where that ends, and the name of the fault.
//! `logs --example` prints the worked example of `engine/LOG_FORMAT.md`.
//! `logs --keep FOLDER` writes the named files and `verdicts.txt` only.

use std::error::Error;
use std::fs;
use std::io::Write as _;
use std::path::Path;

use engine::charter::SignedCharter;
use engine::log::{Content, EntryError, LogFile, SignedOrder};
use engine::rules::Edition;
use logformat::{defects, sample, signed};

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (keep, folder) = match &arguments[..] {
        [flag, folder] if flag == "--keep" => (true, Path::new(folder)),
        [flag] if flag == "--example" => {
            print!("{}", logformat::vector::example()?);
            return Ok(());
        }
        [flag] if flag == "--judge" => return judge(),
        [folder] => (false, Path::new(folder)),
        _ => return Err("usage: logs [--keep] FOLDER".into()),
    };
    fs::create_dir_all(folder)?;
    let mut table = String::from("# name, good entries, verdict\n");
    for defect in defects::all()? {
        let path = folder.join(defect.name).with_extension("log");
        fs::write(path, &defect.bytes)?;
        table += &format!("{} {} {}\n", defect.name, defect.entries, defect.verdict);
    }
    fs::write(folder.join("verdicts.txt"), table)?;
    fs::write(folder.join("editions.json"), editions()?)?;
    if keep {
        return Ok(());
    }
    let payloads = folder.join("payloads");
    fs::create_dir_all(&payloads)?;
    for entry in sample::every_body(4, 1)?.chain().entries() {
        let payload = entry.payload();
        fs::write(
            payloads.join(format!("payload-{:02}", payload.seq)),
            payload.to_bytes(),
        )?;
    }
    fs::write(folder.join("good.charter"), signed::charter()?)?;
    fs::write(folder.join("good.order"), signed::order()?)?;
    Ok(())
}

/// Answers each line of the input with a line.
fn judge() -> Result<(), Box<dyn Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lines() {
        let line = line?;
        let (kind, digits) = line.split_once(' ').ok_or("a kind and bytes")?;
        let digits = digits.as_bytes().chunks(2);
        let byte = |two| Ok(u8::from_str_radix(std::str::from_utf8(two)?, 16)?);
        let bytes: Vec<u8> = digits.map(byte).collect::<Result<_, Box<dyn Error>>>()?;
        let single = |read: Result<(), EntryError>| match read {
            Ok(()) => (1, bytes.len(), "good"),
            Err(why) => (0, 0, why.name()),
        };
        let charter = || SignedCharter::parse(&bytes)?.verify().map(drop);
        let (entries, offset, name) = match kind {
            "charter" => single(charter()),
            "order" => single(SignedOrder::read(&bytes).map(drop)),
            _ => {
                let file = LogFile::read(&bytes);
                let fault = file.damage.map(|d| (d.offset, d.error.name()));
                let (offset, name) = fault.unwrap_or((bytes.len(), "good"));
                (file.entries, offset, name)
            }
        };
        writeln!(out, "{entries} {offset} {name}")?;
    }
    Ok(())
}

/// Every value of each built-in edition, as openings pin them.
fn editions() -> serde_json::Result<String> {
    let editions = [
        ("federation", Edition::federation()),
        ("youth", Edition::youth()),
        ("introductory", Edition::introductory()),
    ];
    let values = |edition: &Edition| -> Vec<(&'static str, String)> {
        let settings = edition.settings().into_iter();
        settings.map(|s| (s.name, s.value)).collect()
    };
    let all: std::collections::BTreeMap<_, _> = editions
        .iter()
        .map(|(name, edition)| (*name, values(edition)))
        .collect();
    serde_json::to_string_pretty(&all)
}
