//! Every defect by name, against the engine's verifier and against the files
//! kept from earlier.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use engine::log::Body;
use logformat::verify::Verdict;
use logformat::{defects, sample};

fn kept() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures")
}

#[test]
fn each_defect_is_named_and_what_came_before_it_is_kept() {
    let all = defects::all().unwrap();
    let names: BTreeSet<&str> = all.iter().map(|d| d.name).collect();
    assert_eq!(names.len(), all.len());
    for defect in &all {
        let verdict = Verdict::of(&defect.bytes);
        assert_eq!(
            (verdict.name(), verdict.entries),
            (defect.verdict, defect.entries),
            "{}: {verdict}",
            defect.name
        );
        let sentence = verdict.fault.map_or_else(|| ".".to_owned(), |f| f.sentence);
        assert!(sentence.ends_with('.'), "{sentence}");
    }
}

/// The format does not drift: files written once keep their verdicts, and are
/// still written byte for byte the same.
#[test]
fn files_kept_from_earlier_keep_their_verdicts() {
    let all = defects::all().unwrap();
    let table = fs::read_to_string(kept().join("verdicts.txt")).unwrap();
    let rows: Vec<&str> = table.lines().filter(|l| !l.starts_with('#')).collect();
    assert_eq!(rows.len(), all.len());
    for row in rows {
        let [name, entries, want] = row.split_whitespace().collect::<Vec<_>>()[..] else {
            panic!("a row is: name entries verdict; got {row}");
        };
        let bytes = fs::read(kept().join(name).with_extension("log")).unwrap();
        let verdict = Verdict::of(&bytes);
        let found = (verdict.name(), verdict.entries.to_string());
        assert_eq!(found, (want, entries.to_owned()), "{name}");
        let now = all.iter().find(|d| d.name == name).unwrap();
        assert_eq!(now.bytes, bytes, "{name} is written differently now");
    }
}

/// What a fuzzer once found stays refused without a panic.
#[test]
fn findings_of_the_fuzzers_are_judged() {
    for entry in fs::read_dir(kept().join("findings")).unwrap() {
        let bytes = fs::read(entry.unwrap().path()).unwrap();
        let _ = Verdict::of(&bytes);
    }
}

#[test]
fn a_score_signed_over_another_record_is_not_good() {
    let mut log = sample::short(1, 1).unwrap();
    assert!(Verdict::of(&log.chain().to_bytes()).is_good());
    let Body::Statement(mut lie) = log.record.statement() else {
        panic!("a statement was asked for")
    };
    lie.score.guest = 99;
    let key = sample::key(1);
    let payload = engine::log::Payload {
        game: log.chain().game(),
        seq: log.record.next_seq(),
        previous: Some(log.record.head()),
        claimed_ms: 1_781_344_900_000,
        body: Body::Statement(lie),
    };
    let entry = engine::log::Unsigned::new(payload, key.public()).unwrap();
    log.record.push(entry.sign(&key).unwrap()).unwrap();
    let verdict = Verdict::of(&log.chain().to_bytes());
    assert!(!verdict.is_good());
    assert!(!verdict.logs[0].signed_off);
    let printed = verdict.to_string();
    assert!(
        printed.starts_with("NOT GOOD") && printed.contains("99-0"),
        "{printed}"
    );
}

#[test]
fn the_page_has_the_worked_example_as_it_is() {
    let page = include_str!("../../../engine/LOG_FORMAT.md");
    let example = logformat::vector::example().unwrap();
    assert!(page.contains(&example), "the page should have:\n{example}");
}
