//! Every defect by name, against the engine's verifier and against the files
//! kept from earlier.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use logformat::defects;
use logformat::verify::Verdict;

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
