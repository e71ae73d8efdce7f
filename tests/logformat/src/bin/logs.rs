//! Writes log files with the engine's verdicts, for other verifiers to judge.
//!
//! `logs FOLDER` writes every named file with its verdict, and for the short
//! log the verdicts on each byte changed and on each shorter file, and in
//! `payloads` one payload of every kind, as seeds for the fuzzers.
//! `logs --example` prints the worked example of `engine/LOG_FORMAT.md`.
//! `logs --keep FOLDER` writes the named files and `verdicts.txt` only.

use std::error::Error;
use std::fs;
use std::path::Path;

use engine::charter::{Charter, Privacy, Scheduled, Team};
use engine::log::{
    Author, Content, EditionText, ErasedLog, Hash, Measure, Order, Role, SignedOrder, Subject,
};
use engine::rules::Edition;
use logformat::defects;
use logformat::sample::{self, key};
use logformat::verify::Verdict;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let (keep, folder) = match &arguments[..] {
        [flag, folder] if flag == "--keep" => (true, Path::new(folder)),
        [flag] if flag == "--example" => {
            print!("{}", logformat::vector::example()?);
            return Ok(());
        }
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
    let good = sample::short(1, 1)?.chain().to_bytes();
    let judged = |bytes: &[u8]| {
        let verdict = Verdict::of(bytes);
        (verdict.entries, verdict.name().to_owned())
    };
    let flips: Vec<_> = (0..good.len())
        .map(|at| {
            let mut bad = good.clone();
            bad[at] ^= 1 << (at % 8);
            judged(&bad)
        })
        .collect();
    fs::write(folder.join("flips.json"), serde_json::to_string(&flips)?)?;
    let cuts: Vec<_> = (0..good.len()).map(|end| judged(&good[..end])).collect();
    fs::write(folder.join("cuts.json"), serde_json::to_string(&cuts)?)?;
    let charter = charter().draft().map_err(|wrong| format!("{wrong:?}"))?;
    fs::write(folder.join("good.charter"), charter.sign(&key(9))?.bytes())?;
    fs::write(folder.join("good.order"), order()?.bytes())?;
    Ok(())
}

/// An order to erase that names a log and a charter.
fn order() -> Result<SignedOrder, Box<dyn Error>> {
    let log = sample::short(1, 1)?;
    let chain = log.chain();
    let order = Order {
        measure: Measure::Erase(Subject::Event(Hash([7; 32]))),
        holds: true,
        issued_ms: 1_781_344_800_000,
        reason: "A parent asked.".to_owned(),
        logs: vec![ErasedLog {
            game: chain.game(),
            author: chain.author().fingerprint(),
            entries: chain.next_seq(),
            head: chain.head(),
        }],
        charters: vec![Hash([7; 32]), Hash([8; 32])],
        collector: key(8).public(),
    };
    Ok(order.sign(&key(8))?)
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

fn charter() -> Charter {
    let setup = sample::setup(1);
    let team = |card: &engine::team::Card| Team {
        name: card.team.clone(),
        roster: card.players().cloned().collect(),
    };
    let teams: Vec<Team> = [&setup.cards.guest, &setup.cards.home].map(team).into();
    let official = |n: u8, role| Author {
        key: key(n).public(),
        name: format!("Official {n}"),
        role,
    };
    let fixture = Scheduled {
        number: 1,
        title: "Final".to_owned(),
        guest: Some(setup.cards.guest.team.clone()),
        home: None,
        court: "Fish market".to_owned(),
        starts: 1_781_344_800_000,
        edition: 0,
    };
    Charter {
        place: "The old fish market".to_owned(),
        editions: vec![EditionText::from(&Edition::federation())],
        teams,
        officials: vec![official(1, Role::Umpire), official(2, Role::Scorer)],
        fixtures: vec![fixture],
        privacy: Privacy::Initials,
        ..Charter::new("Harbour Cup", "2026-06-13", official(9, Role::Organiser))
    }
}
