//! The state of a game as the checks name it.

use engine::log::History;
use engine::play::Base;
use engine::score::{BoxScore, LineScore, PlayerTotals};
use engine::team::{Shirt, Side};

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

const BATTING: &str = "pa ab r h 1b 2b 3b hr tb rbi lob roe fc";
const FIELDING: &str = "po a e dp";

/// One figure of a player's batting or fielding, on whichever side the number
/// is known; on both, the two together.
pub fn player_value(history: &History, kind: &str, shirt: Shirt, key: &str) -> Result<u16, String> {
    let game = history.game();
    let known = |s: &Side| game.squads()[*s].member(shirt).is_some();
    if !Side::BOTH.iter().any(known) {
        return Err(format!("no card has number {shirt}"));
    }
    let sheet = BoxScore::of(history);
    let mut total = PlayerTotals::default();
    for side in Side::BOTH {
        if let Some(line) = sheet.players()[side].get(&shirt) {
            total.add(line);
        }
    }
    let singles = total.hits - total.doubles - total.triples - total.home_runs;
    Ok(match (kind, key) {
        ("batting", "pa") => total.turns,
        ("batting", "ab") => total.at_bats,
        ("batting", "r") => total.runs,
        ("batting", "h") => total.hits,
        ("batting", "1b") => singles,
        ("batting", "2b") => total.doubles,
        ("batting", "3b") => total.triples,
        ("batting", "hr") => total.home_runs,
        ("batting", "tb") => total.total_bases(),
        ("batting", "rbi") => total.batted_in,
        ("batting", "lob") => total.left,
        ("batting", "roe") => total.on_errors,
        ("batting", "fc") => total.on_choices,
        ("fielding", "po") => total.putouts,
        ("fielding", "a") => total.assists,
        ("fielding", "e") => total.errors,
        ("fielding", "dp") => total.double_plays,
        _ => {
            let keys = if kind == "batting" { BATTING } else { FIELDING };
            return Err(format!("no {kind} key \"{key}\"; one of: {keys}"));
        }
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
