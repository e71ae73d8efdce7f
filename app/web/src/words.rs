//! Names and short phrases for the screen; sentences about plays come from the engine.

use engine::game::{Game, WarningRecipient};
use engine::message::{self, isolated};
use engine::play::{Base, count_outs};
use engine::score::LineScore;
use engine::team::{BySide, Shirt, Side};

use crate::book::Book;

/// A team's name as it stands in a text.
pub fn team(game: &Game, side: Side) -> String {
    isolated(game.fixture().lineups()[side].team()).into_owned()
}

/// A player's name as it stands in a text, empty when only the number is known.
pub fn name(game: &Game, side: Side, shirt: Shirt) -> String {
    game.player(side, shirt)
        .map(|p| isolated(&p.name).into_owned())
        .unwrap_or_default()
}

/// "24 Ines", or "24".
pub fn player(game: &Game, side: Side, shirt: Shirt) -> String {
    let name = name(game, side, shirt);
    if name.is_empty() {
        shirt.to_string()
    } else {
        format!("{shirt} {name}")
    }
}

/// "Quay Street 4, Tram Yard 2."
pub fn score(game: &Game) -> String {
    let teams = BySide::from_fn(|side| team(game, side));
    format!("{}.", message::score(&teams, &game.score()))
}

/// How a game stands: "Top of 3rd, 1 out, 24 at bat, 22 on 1st. Quay Street 4, Tram Yard 2."
pub fn stood(game: &Game) -> String {
    let on = Base::LEAD_FIRST.into_iter().filter_map(|base| {
        let runner = game.bases()[base]?;
        Some(format!(", {} on {base}", runner.shirt))
    });
    format!(
        "{}, {}, {} at bat{}. {}",
        game.inning_words(),
        count_outs(game.outs()),
        player(game, game.at_bat(), game.due()),
        on.collect::<String>(),
        score(game)
    )
}

/// That a second warning asks for an ejection here; the umpire decides.
pub fn proposal(game: &Game, side: Side) -> Option<String> {
    let whom = match game.proposes_ejection(side)? {
        WarningRecipient::Player(who) => player(game, side, who),
        WarningRecipient::Bench => "the bench".into(),
        WarningRecipient::Coach => "the coach".into(),
    };
    Some(format!(
        "Second warning to {whom} of {}: the rules of this competition send them off. You decide.",
        team(game, side)
    ))
}

/// Who bats next, after a change of sides.
pub fn up_next(game: &Game) -> String {
    let side = game.at_bat();
    format!(
        "{} bat now: {} first.",
        team(game, side),
        player(game, side, game.due())
    )
}

/// What the last completed turn at bat brought.
pub fn half(book: &Book) -> String {
    let line = LineScore::new(book.outcomes());
    let Some(half) = line.last_completed() else {
        return String::new();
    };
    format!(
        "{}: {}, {}, {} left on base.",
        book.team(half.side),
        count(half.runs, "run", "runs"),
        count(half.hits, "hit", "hits"),
        half.left
    )
}

/// "1 run", "no runs".
pub fn count(n: u16, one: &str, many: &str) -> String {
    match n {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    }
}

/// How many plays no longer fit.
pub fn conflicts(n: usize) -> String {
    match n {
        1 => "One play no longer fits after a correction; it is marked.".into(),
        n => format!("{n} plays no longer fit after a correction; they are marked."),
    }
}

/// The text with a capital first letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next();
    first.map_or_else(String::new, |f| f.to_uppercase().chain(letters).collect())
}
