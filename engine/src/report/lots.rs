//! The lots that organisers drew, and which of them hold.

use alloc::string::String;
use alloc::vec::Vec;

use super::{DrawnLot, GameReport};
use crate::competition::{Entrant, Entrants};
use crate::message::text;

/// What the lots come to.
pub(super) struct Lots {
    /// Every team drawn, in order: lots of different pools stand side by side.
    pub order: Vec<Entrant>,
    /// The lots that no later one took the place of.
    pub drawn: Vec<DrawnLot>,
}

impl Lots {
    /// Of two lots in one log that share a team the later one holds, whatever
    /// the clocks say; a lot in another log gives way to one that names it. Of
    /// lots that were drawn apart and say different things none counts: which
    /// clock is right nobody can know.
    pub fn of(
        games: &[&GameReport],
        entrants: Option<&Entrants>,
        problems: &mut Vec<String>,
    ) -> Self {
        let mut good: Vec<(&DrawnLot, Vec<Entrant>)> = Vec::new();
        for drawn in games.iter().flat_map(|g| &g.drawn) {
            let find = |name: &String| entrants.and_then(|e| e.find(name));
            let Some(teams) = drawn.order.iter().map(find).collect::<Option<Vec<_>>>() else {
                problems.push(text!("lot-stranger"));
                continue;
            };
            if (0..teams.len()).any(|at| teams[..at].contains(&teams[at])) {
                problems.push(text!("lot-twice"));
                continue;
            }
            good.push((drawn, teams));
        }
        good.sort_by_key(|(d, _)| (d.claimed_ms, d.entry));
        let share = |a: &[Entrant], b: &[Entrant]| a.iter().any(|t| b.contains(t));
        let held = |(one, teams): &&(&DrawnLot, Vec<Entrant>)| {
            !good.iter().any(|(other, others)| {
                let later = other.log == one.log && other.seq > one.seq;
                share(teams, others) && (later || other.replaces.contains(&one.entry))
            })
        };
        let held: Vec<&(&DrawnLot, Vec<Entrant>)> = good.iter().filter(held).collect();
        if held.len() < good.len() {
            problems.push(text!("lot-again"));
        }
        let mut order: Vec<Entrant> = Vec::new();
        let mut said: Vec<&[Entrant]> = Vec::new();
        for (at, (_, teams)) in held.iter().enumerate() {
            let against = |(other_at, (_, others)): (usize, &&(&DrawnLot, Vec<Entrant>))| {
                other_at != at && share(teams, others) && teams != others
            };
            if held.iter().enumerate().any(against) {
                if !said.iter().any(|known| share(known, teams)) {
                    let names = entrants.map_or_else(String::new, |e| {
                        let names: Vec<&str> = teams.iter().map(|t| e.name(*t)).collect();
                        names.join(", ")
                    });
                    problems.push(text!("lot-apart", names));
                }
                said.push(teams);
            } else if !teams.iter().any(|t| order.contains(t)) {
                order.extend(teams);
            }
        }
        Self {
            order,
            drawn: held.iter().map(|(d, _)| (*d).clone()).collect(),
        }
    }
}
