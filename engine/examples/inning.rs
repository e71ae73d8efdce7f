//! Half an inning, play by play: `cargo run -p engine --example inning`.

use std::error::Error;
use std::sync::Arc;

use engine::game::{Fixture, Game, Outcome};
use engine::play::{Base, BatterFate, Call, Goal, RunnerFate};
use engine::rules::Edition;
use engine::score::LineScore;
use engine::team::{BySide, Card, Player, Shirt, Side};

fn card(team: &str, first: u8) -> Result<Card, Box<dyn Error>> {
    let shirts: Result<Vec<Shirt>, _> = (first..first + 5).map(Shirt::try_from).collect();
    Ok(Card::new(team, shirts?.into_iter().map(Player::numbered)))
}

fn main() -> Result<(), Box<dyn Error>> {
    let cards = BySide {
        guest: card("Quay Street", 21)?,
        home: card("Tram Yard", 11)?,
    };
    let fixture = Fixture::new(Edition::federation(), &cards)?;
    let mut game = Game::new(Arc::new(fixture));
    let mut outcomes: Vec<Outcome> = Vec::new();
    let calls = [
        Call::new(BatterFate::safe(Goal::Second)),
        // The runner on second comes home; the batter stops at first.
        Call::new(BatterFate::safe(Goal::First))
            .with_runner(Base::Second, RunnerFate::to(Goal::Home)),
        Call::new(BatterFate::Caught),
        Call::new(BatterFate::OUT).with_runner(Base::First, RunnerFate::tagged(Goal::Second)),
    ];
    for call in calls {
        println!("{} at bat, {} out", game.due(), game.outs());
        let played = game.apply(&call)?;
        game = played.game;
        outcomes.push(played.outcome);
    }
    // Two on one base: refused, with the reason and the game as it was.
    let two = Call::new(BatterFate::safe(Goal::First));
    let game = game.apply(&two)?.game;
    let stays = two.with_runner(Base::First, RunnerFate::Holds);
    if let Err(refused) = game.apply(&stays) {
        println!("refused: {refused}");
    }
    let line = LineScore::new(&outcomes);
    println!(
        "guests in the first inning: {:?}",
        line.runs_in(1, Side::Guest)
    );
    Ok(())
}
