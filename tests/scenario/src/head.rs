//! The head of a scenario: edition, changed values and line-up cards.

use engine::rules::{BuiltIn, Edition};
use engine::team::{Card, CardObjection, Gender, Hitter, Player, Position};

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
/// follow each. Numbers that no shirt can have are objections to the card.
pub fn card(team: &str, words: &[&str]) -> Result<(Card, Vec<CardObjection>), String> {
    let mut card = Card {
        team: team.into(),
        ..Card::default()
    };
    let mut objections = Vec::new();
    let mut reserves = false;
    for word in words {
        if *word == "reserves" {
            reserves = true;
            continue;
        }
        match player(word)? {
            Err(objection) => objections.push(objection),
            Ok(player) if reserves => card.reserves.push(player),
            Ok(player) => {
                let position = Position::ALL.get(card.hitters.len()).copied();
                card.hitters.push(Hitter { player, position });
            }
        }
    }
    Ok((card, objections))
}

/// Reads a number with an optional `F` or `M`. The outer error is an unreadable
/// word, the inner one a number that no shirt can have.
pub fn player(word: &str) -> Result<Result<Player, CardObjection>, String> {
    let (number, gender) = match word.as_bytes().last() {
        Some(b'F') => (&word[..word.len() - 1], Some(Gender::Female)),
        Some(b'M') => (&word[..word.len() - 1], Some(Gender::Male)),
        _ => (word, None),
    };
    if number.is_empty() || !number.bytes().all(|b| b.is_ascii_digit()) {
        return Err(format!(
            "\"{word}\" is no player: a number, and F or M where it matters"
        ));
    }
    Ok(number.parse().map(|shirt| Player {
        gender,
        ..Player::numbered(shirt)
    }))
}
