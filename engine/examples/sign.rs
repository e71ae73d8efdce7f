//! Opens a signed record, writes one play into it and prints the log's bytes to
//! a file: `cargo run -p engine --example sign -- game.log`.

use std::error::Error;

use engine::log::{Author, Body, GameMark, GameRecord, LogFile, Opening, Role, SecretKey, Setup};
use engine::play::{BatterFate, Call, Goal};
use engine::rules::Edition;
use engine::team::{BySide, Card, Player, Shirt};

fn card(team: &str, first: u8) -> Result<Card, Box<dyn Error>> {
    let shirts: Result<Vec<Shirt>, _> = (first..first + 5).map(Shirt::try_from).collect();
    Ok(Card::new(team, shirts?.into_iter().map(Player::numbered)))
}

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args().nth(1).unwrap_or("game.log".into());
    // The engine draws no random numbers. A real key comes from 32 bytes of the
    // system's random source; these are the same every time.
    let key = SecretKey::from_random(&[7; 32]);
    let cards = BySide {
        guest: card("Quay Street", 21)?,
        home: card("Tram Yard", 11)?,
    };
    let opening = Opening::new(
        Setup::new(GameMark([1; 16]), cards, &Edition::federation()),
        Author::new(key.public(), "Official", Role::Umpire),
    );
    // Times are milliseconds since 1970; the engine has no clock.
    let opened = 1_781_344_800_000;
    let first = GameRecord::draft_opening(opening, opened)?.sign(&key)?;
    let mut record = GameRecord::open(first)?;
    let call = Call::new(BatterFate::safe(Goal::First));
    let play = record.history().next_play(call);
    let entry = record
        .draft(Body::Event(play), opened + 20_000)?
        .sign(&key)?;
    record.push(entry)?;
    std::fs::write(&path, LogFile::write([record.chain()]))?;
    println!(
        "{} entries signed into {path}",
        record.chain().entries().len()
    );
    Ok(())
}
