//! The head of a scenario: edition, changed values and line-up cards.

use engine::rules::{BuiltIn, Edition};
use engine::team::{Card, Gender, Hitter, Player, Position, Shirt};

/// Reads `edition NAME`.
pub fn edition(words: &[&str]) -> Result<Edition, String> {
    match words {
        [name] => name
            .parse::<BuiltIn>()
            .map(Edition::built_in)
            .map_err(|want| format!("no edition \"{name}\"; {want}")),
        _ => Err("edition takes one name: federation, youth or introductory".into()),
    }
}

/// Reads `set NAME VALUE...` on top of an edition.
pub fn set(edition: Edition, words: &[&str]) -> Result<Edition, String> {
    let [name, value @ ..] = words else {
        return Err("set takes a value's name and the value".into());
    };
    edition
        .with(name, &value.join(" "))
        .map_err(|error| error.to_string())
}

/// Reads a card: five numbers, `reserves`, more numbers; `F` or `M` may
/// follow each.
pub fn card(team: &str, words: &[&str]) -> Result<Card, String> {
    let mut card = Card {
        team: team.into(),
        ..Card::default()
    };
    let mut reserves = false;
    for word in words {
        if *word == "reserves" {
            reserves = true;
            continue;
        }
        let player = player(word)?;
        if reserves {
            card.reserves.push(player);
        } else {
            let position = Position::ALL.get(card.hitters.len()).copied();
            card.hitters.push(Hitter { player, position });
        }
    }
    Ok(card)
}

fn player(word: &str) -> Result<Player, String> {
    let (number, gender) = match word.as_bytes().last() {
        Some(b'F') => (&word[..word.len() - 1], Some(Gender::Female)),
        Some(b'M') => (&word[..word.len() - 1], Some(Gender::Male)),
        _ => (word, None),
    };
    let shirt: Shirt = number
        .parse()
        .map_err(|want| format!("\"{word}\" is no player: {want}"))?;
    Ok(Player {
        gender,
        ..Player::numbered(shirt)
    })
}
