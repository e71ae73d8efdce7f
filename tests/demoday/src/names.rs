//! Names of a harbour town that does not exist.

use crate::Chance;

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

/// An invented player.
pub fn player(chance: &mut Chance) -> String {
    let first = chance.one_of(&FIRST).unwrap_or(&FIRST[0]);
    let last = chance.one_of(&LAST).unwrap_or(&LAST[0]);
    format!("{first} {last}")
}
