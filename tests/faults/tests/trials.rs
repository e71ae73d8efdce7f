//! A small number of games here; `faults trial 1000` for the whole.
#![allow(clippy::unwrap_used)]

use faults::run::{Place, Trial, trial};

const PROGRAM: &str = env!("CARGO_BIN_EXE_faults");

#[tokio::test(flavor = "multi_thread")]
async fn one_collector_on_a_folder_killed_again_and_again() {
    let plan = Trial {
        games: 40,
        collectors: 1,
        place: Place::Folder,
        seed: 5,
    };
    let seen = trial(PROGRAM, plan).await.unwrap();
    assert!(seen.kills > 2 && seen.faults > 40, "{seen:?}");
    assert_eq!(seen.stored_twice, 0);
}

#[tokio::test(flavor = "multi_thread")]
async fn three_collectors_on_one_s3_server() {
    let plan = Trial {
        games: 30,
        collectors: 3,
        place: Place::S3,
        seed: 6,
    };
    let seen = trial(PROGRAM, plan).await.unwrap();
    assert!(seen.kills > 2 && seen.faults > 30, "{seen:?}");
}
