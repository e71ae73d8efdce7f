//! Every scenario of the library passes, and the runner itself fails when it should.
#![allow(clippy::unwrap_used, missing_docs)]

use std::path::Path;

#[test]
fn every_scenario_of_the_library_passes() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../scenarios");
    let mut checks = 0;
    let mut wrong = Vec::new();
    for file in std::fs::read_dir(folder)
        .unwrap()
        .map(|f| f.unwrap().path())
    {
        if file.extension().is_some_and(|e| e == "scn") {
            let report = scenario::run(&std::fs::read_to_string(&file).unwrap());
            let name = file.file_name().unwrap().to_string_lossy().into_owned();
            checks += report.passed;
            wrong.extend(report.failures.iter().map(|f| f.at(&name)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(checks > 500, "only {checks} checks");
}

const HEAD: &str = "guest 21 22 23 24 25\nhome 11 12 13 14 15\n";

fn failures(body: &str) -> Vec<usize> {
    scenario::run(&format!("{HEAD}{body}"))
        .failures
        .iter()
        .map(|f| f.line)
        .collect()
}

#[test]
fn the_runner_fails_what_it_should() {
    assert_eq!(
        failures("safe 1\nexpect outs 1"),
        [4],
        "a wrong expectation"
    );
    assert_eq!(
        failures("safe 1\nrefused"),
        [4],
        "an accepted play said to be refused"
    );
    assert_eq!(
        failures("safe 1 | 2 to 3\nsafe 1"),
        [3],
        "a refusal nobody expected"
    );
    assert_eq!(
        failures("safe 1 | 2 to 3\nrefused passing"),
        [4],
        "refused for another reason"
    );
    assert_eq!(failures("safe 1 | 2 to 3\nrefused no-runner"), [0usize; 0]);
    assert_eq!(failures("juggle 3"), [3], "an unreadable line");
    assert_eq!(failures("safe 1\nexpect colour red"), [4], "an unknown key");
    assert_eq!(
        failures("safe 1 | 2 to 3"),
        [3],
        "a refusal on the last line"
    );
}

#[test]
fn a_printed_state_reads_back() {
    let game = format!("{HEAD}safe 1\nsafe 2\nout\n");
    let state = scenario::print(&scenario::run(&game).history.unwrap());
    let again = scenario::run(&format!("{game}{state}"));
    assert_eq!((again.failures, again.passed), (vec![], 12));
}
