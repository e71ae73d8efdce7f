//! Reads a log file, verifies every entry and prints the score of each record:
//! `cargo run -p engine --example verify -- game.log`.

use std::error::Error;

use engine::log::{GameRecord, LogFile};
use engine::team::Side;

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args()
        .nth(1)
        .ok_or("give the path of a log file")?;
    let file = LogFile::read(&std::fs::read(path)?);
    for chain in file.whole()? {
        let record = GameRecord::replay(chain.clone())?;
        let game = record.history().game();
        let score = game.score();
        let team = |side: Side| game.fixture().lineups()[side].team();
        println!(
            "{} {} : {} {}, by {}, {} entries",
            team(Side::Guest),
            score.guest,
            score.home,
            team(Side::Home),
            record.opening().author.name,
            chain.entries().len()
        );
    }
    Ok(())
}
