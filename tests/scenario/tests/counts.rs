//! Counts of legal call sequences by depth, against a brute-force enumerator
//! written independently in another language (`tests/enumerate/enumerate.py`),
//! whose table is `tests/enumerate/expected.json`.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, missing_docs)]

use std::collections::BTreeMap;
use std::path::Path;

use engine::game::Game;
use serde_json::Value;

/// Deepest count repeated here; deeper rows are left to a release run
/// (`CHALKBOOK_COUNT_DEPTH=5`).
const DEPTH: u64 = 4;

fn count(game: &Game, depth: u64) -> u64 {
    let calls = game.legal_calls();
    if depth == 1 {
        return calls.len() as u64;
    }
    // The same position is reached by many calls: count it once.
    let mut next: Vec<(Game, u64)> = Vec::new();
    for call in &calls {
        let after = game
            .clone()
            .apply(call)
            .expect("a listed call is legal")
            .game;
        match next.iter_mut().find(|(g, _)| *g == after) {
            Some((_, times)) => *times += 1,
            None => next.push((after, 1)),
        }
    }
    next.iter()
        .map(|(g, times)| times * count(g, depth - 1))
        .sum()
}

#[test]
fn counts_agree_with_the_brute_force_enumerator() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../enumerate/expected.json");
    let deepest = std::env::var("CHALKBOOK_COUNT_DEPTH").map_or(DEPTH, |d| d.parse().unwrap());
    let text = std::fs::read_to_string(path).unwrap();
    let mut starts: BTreeMap<String, Game> = BTreeMap::new();
    let mut checked = 0;
    for row in text
        .lines()
        .map(|l| serde_json::from_str::<Value>(l).unwrap())
    {
        let name = row["start"].as_str().unwrap().to_string();
        if let Some(lines) = row["scenario"].as_array() {
            let lines: Vec<&str> = lines.iter().map(|l| l.as_str().unwrap()).collect();
            let report = scenario::run(&lines.join("\n"));
            assert_eq!(report.failures, [], "{name}");
            starts.insert(name, report.history.unwrap().game().clone());
        } else if let Some(depth) = row["depth"].as_u64().filter(|d| *d <= deepest) {
            let want = row["count"].as_u64().unwrap();
            assert_eq!(count(&starts[&name], depth), want, "{name}, depth {depth}");
            checked += 1;
        }
    }
    assert!(checked >= 10, "only {checked} counts checked");
}
