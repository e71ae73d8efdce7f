//! The table of a pool of three, with the steps that broke the tie:
//! `cargo run -p engine --example table`.

use std::error::Error;

use engine::competition::Entrants;
use engine::competition::standings::{GameResult, SideLine, Standing, Table, TableRules};
use engine::rules::Edition;
use engine::team::BySide;

fn main() -> Result<(), Box<dyn Error>> {
    let entrants = Entrants::new(["Quay Street", "Tram Yard", "Gasworks"])?;
    let teams: Vec<_> = entrants.iter().collect();
    let line = |runs, outs| SideLine {
        runs,
        outs,
        earned: None,
        batting: None,
    };
    let game = |number, guest: usize, home: usize, runs: (u16, u16)| GameResult {
        number,
        guest: teams[guest],
        home: teams[home],
        standing: Standing::Final(BySide {
            guest: line(runs.0, 15),
            home: line(runs.1, 15),
        }),
        rules: TableRules::of(&Edition::federation()),
    };
    // Each has won one and lost one.
    let games = [
        game(1, 0, 1, (5, 2)),
        game(2, 1, 2, (4, 3)),
        game(3, 2, 0, (6, 5)),
    ];
    let table = Table::of(&entrants, &teams, &games, &[])?;
    for row in table.rows() {
        println!("{}. {}", row.place, entrants.name(row.team));
    }
    for step in table.steps() {
        println!("{}", step.words(&entrants));
    }
    Ok(())
}
