//! The grammar of `LOG_FORMAT.md` against logs the engine writes, by an
//! independent CDDL validator.
#![allow(clippy::unwrap_used, clippy::panic)]

use engine::game::Notice;
use engine::log::Entry;
use logformat::{defects, sample};

/// The CDDL block of the format's description, without the rules of the tags,
/// which this validator cannot read (`test_logformat.py` reads them with
/// another one).
fn grammar() -> String {
    let page = include_str!("../../../engine/LOG_FORMAT.md");
    let block = page.split("```cddl\n").nth(1).unwrap();
    let rules = block.split("```").next().unwrap().lines();
    let untagged: Vec<&str> = rules.filter(|l| !l.contains("#6.18")).collect();
    untagged.join("\n")
}

fn fits(item: &[u8]) -> Result<(), cddl_cat::ValidateError> {
    assert_eq!(item[0], 0xd2, "tag 18");
    cddl_cat::validate_cbor_bytes("signed-entry", &grammar(), &item[1..])
}

#[test]
fn every_log_the_engine_writes_fits_the_grammar() {
    let logs = [
        sample::every_body(4, 1),
        sample::whole(3, 1),
        sample::short(1, 2),
    ];
    for log in logs {
        for item in log.unwrap().items() {
            fits(&item).unwrap();
        }
    }
}

/// Plays of every kind the engine allows, a different one each time.
#[test]
fn every_play_the_engine_allows_fits_the_grammar() {
    let mut log = sample::Writer::open(5, 1).unwrap();
    for pick in 0..120_usize {
        let game = log.record.history().game();
        let calls = game.legal_calls();
        let courtesy_runners = game.courtesy_runners();
        let entry = match (calls.is_empty(), courtesy_runners.first()) {
            (false, _) => log.play(calls[pick * 37 % calls.len()].clone()),
            (true, Some(by)) => log.notice(Notice::CourtesyRunner { by: *by }),
            (true, None) => break,
        };
        fits(entry.unwrap().bytes()).unwrap();
    }
    assert!(log.items().len() > 20);
}

#[test]
fn what_the_engine_calls_malformed_or_too_large_does_not_fit() {
    let mut judged = 0;
    for defect in defects::all().unwrap() {
        let at_fault = [
            "malformed-payload",
            "too-large",
            "other-headers",
            "other-algorithm",
        ];
        if !at_fault.contains(&defect.verdict) {
            continue;
        }
        let file = engine::log::LogFile::read(&defect.bytes);
        let offset = file.damage.unwrap().offset;
        let mut rest = minicbor::Decoder::new(&defect.bytes[offset..]);
        rest.skip().unwrap();
        let item = &defect.bytes[offset..offset + rest.position()];
        assert!(Entry::parse(item).is_err());
        // No matter of grammar, or of this validator's: the points of the
        // curve, and what follows an item inside a byte string.
        let beyond = defect.name.starts_with("key-o") || defect.name == "bytes-after-the-body";
        assert_eq!(fits(item).is_ok(), beyond, "{}", defect.name);
        judged += 1;
    }
    assert!(judged > 12, "{judged}");
}
