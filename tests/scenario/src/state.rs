//! The state of a game as the checks name it.

use engine::log::History;
use engine::play::Base;
use engine::score::LineScore;
use engine::team::Side;

/// The keys a check may name, in the order they are printed.
pub const KEYS: [&str; 12] = [
    "inning",
    "outs",
    "score",
    "bases",
    "due",
    "over",
    "winner",
    "left",
    "hits",
    "errors",
    "proof",
    "conflicts",
];

/// The value of a key, as a check would write it.
pub fn value(history: &History, key: &str) -> Option<String> {
    let game = history.game();
    let pair = |f: &dyn Fn(Side) -> i32| format!("{}-{}", f(Side::Guest), f(Side::Home));
    let line = || LineScore::new(history.outcomes());
    Some(match key {
        "inning" => {
            let half = if game.at_bat() == Side::Guest {
                "top"
            } else {
                "bottom"
            };
            format!("{} {half}", game.inning())
        }
        "outs" => game.outs().to_string(),
        "score" => pair(&|s| game.score()[s].into()),
        "bases" => {
            let on = |b: &Base| game.bases()[*b].map(|r| format!("{}:{}", b.number(), r.shirt));
            let list: Vec<String> = Base::ALL.iter().filter_map(on).collect();
            if list.is_empty() {
                "empty".into()
            } else {
                list.join(" ")
            }
        }
        "due" => game.due().to_string(),
        "over" => game.ending().map_or("no", |e| e.name()).to_string(),
        "winner" => match game.winner() {
            Some(Side::Guest) => "guest".into(),
            Some(Side::Home) => "home".into(),
            None => "none".into(),
        },
        "left" => pair(&|s| game.tally()[s].left.into()),
        "hits" => pair(&|s| line().totals()[s].hits.into()),
        "errors" => pair(&|s| line().totals()[s].errors.into()),
        "proof" => pair(&|s| game.balance(s)),
        "conflicts" => {
            let list: Vec<String> = history.conflicts().map(|p| p.number.to_string()).collect();
            if list.is_empty() {
                "none".into()
            } else {
                list.join(" ")
            }
        }
        _ => return None,
    })
}

/// The whole state as one check.
#[must_use]
pub fn print(history: &History) -> String {
    let parts: Vec<String> = KEYS
        .iter()
        .filter_map(|key| value(history, key).map(|v| format!("{key} {v}")))
        .collect();
    format!("expect {}", parts.join(", "))
}
