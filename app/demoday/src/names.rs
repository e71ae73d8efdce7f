//! Names of a harbour town that does not exist.

use engine::team::Player;
use fastrand::Rng;

/// The teams, in seeding order.
pub const TEAMS: [&str; 8] = [
    "Quay Street",
    "Tram Yard",
    "Bell Lane",
    "Rope Walk",
    "Salt Steps",
    "Lantern Hill",
    "Ferry Landing",
    "Chandlers Row",
];

const FIRST: [&str; 16] = [
    "Ada", "Bram", "Cleo", "Dov", "Esme", "Fenn", "Gil", "Hana", "Ivo", "Juno", "Kit", "Lark",
    "Mika", "Noor", "Orla", "Pim",
];

const LAST: [&str; 16] = [
    "Anchor", "Bollard", "Capstan", "Davit", "Ebb", "Fathom", "Gunwale", "Halyard", "Jetty",
    "Keel", "Luff", "Mooring", "Oar", "Pennant", "Rigger", "Tiller",
];

/// An invented player, called like nobody of the team so far.
pub fn player(rng: &mut Rng, team: &[Player]) -> String {
    let first = rng.choice(&FIRST).unwrap_or(&FIRST[0]);
    let last = rng.choice(&LAST).unwrap_or(&LAST[0]);
    let at = LAST.iter().position(|l| l == last).unwrap_or(0);
    // Of two with one name the second takes the next family's.
    let families = LAST[at..].iter().chain(&LAST[..at]);
    let mut names = families.map(|last| format!("{first} {last}"));
    let is_new = |name: &String| team.iter().all(|p| p.name != *name);
    names.find(is_new).unwrap_or_default()
}
