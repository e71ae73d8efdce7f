//! Check codes: six characters that two phones show at a change of sides.

use alloc::vec::Vec;
use core::fmt;

use sha2::{Digest, Sha256};

use super::PlayFacts;
use super::facts::{bare, in_force};
use crate::game::{Change, Ending};
use crate::log::{History, Step};
use crate::message::text;
use crate::play::Base;
use crate::team::{Place, Side};

/// Six characters of Crockford's base 32: 30 bits of a SHA-256 over the
/// fixture and all facts so far: the plays, who is in play and on base, and the
/// changes of players, each with its kind. So equal codes mean records in which
/// [`super::compare`] finds no difference.
///
/// Two records that differ show the same code with a probability of 2^-30,
/// about one in 1 074 million.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct CheckCode(u32);

/// Crockford's base 32: no I, L, O or U.
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

impl CheckCode {
    /// The 30 bits.
    #[must_use]
    pub const fn bits(self) -> u32 {
        self.0
    }

    /// The code from its 30 bits; higher bits are dropped.
    #[must_use]
    pub const fn from_bits(bits: u32) -> Self {
        Self(bits & 0x3fff_ffff)
    }

    /// Reads a code as typed or heard: case and spaces do not matter, and I, L
    /// and O are taken for 1, 1 and 0.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let mut bits = 0u32;
        let mut count = 0;
        for c in text.chars().filter(|c| !matches!(c, ' ' | '-')) {
            let c = match c.to_ascii_uppercase() {
                'I' | 'L' => '1',
                'O' => '0',
                c => c,
            };
            let digit = ALPHABET.iter().position(|a| char::from(*a) == c)?;
            bits = (bits << 5) | u32::try_from(digit).ok()?;
            count += 1;
            if count > 6 {
                return None;
            }
        }
        (count == 6).then_some(Self(bits))
    }
}

/// `K7Q 4ZM`: two groups of three.
impl fmt::Display for CheckCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for i in 0..6 {
            if i == 3 {
                f.write_str(" ")?;
            }
            let digit = (self.0 >> (25 - 5 * i)) & 31;
            let letter = usize::try_from(digit).ok().and_then(|d| ALPHABET.get(d));
            write!(f, "{}", char::from(*letter.unwrap_or(&b'?')))?;
        }
        Ok(())
    }
}

/// One turn at bat of a side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Half {
    /// Inning, from 1.
    pub inning: u8,
    /// Side at bat.
    pub side: Side,
}

impl Half {
    /// As "top of 3".
    #[must_use]
    pub fn words(&self) -> alloc::string::String {
        let inning = self.inning;
        match self.side {
            Side::Guest => text!("half-top", inning),
            Side::Home => text!("half-bottom", inning),
        }
    }
}

/// The code of every turn at bat that is over, in order.
///
/// `fixture` is the game's identity, so that records of different games never
/// agree by chance of equal plays.
#[must_use]
pub fn codes(history: &History, fixture: &[u8]) -> Vec<(Half, CheckCode)> {
    let mut facts = begin(fixture);
    let mut list = Vec::new();
    let mut before = None;
    let mut changes = Vec::new();
    for (game, step) in history.positions() {
        if let Some((half, last)) = before.take() {
            seal(&mut facts, &last, &game, &changes);
            list.push((half, code_of(&facts)));
        }
        changes.extend(change_of_players(step));
        if let Step::Play(play) = step
            && let Ok(outcome) = &play.result
        {
            let fact = PlayFacts::of(outcome);
            fact.bytes(&mut facts);
            if outcome.change != Change::NextBatter {
                let half = Half {
                    inning: outcome.turn.inning,
                    side: outcome.turn.side,
                };
                before = Some((half, outcome.change));
            }
        }
    }
    if let Some((half, last)) = before {
        seal(&mut facts, &last, history.game(), &changes);
        list.push((half, code_of(&facts)));
    }
    list
}

/// The code over everything so far, in the middle of a turn or after the end.
#[must_use]
pub fn code_after(history: &History, fixture: &[u8]) -> CheckCode {
    code_of(&all_facts(history, fixture))
}

/// Whether two records tell the same facts, so that every code agrees.
pub(super) fn agree(a: &History, b: &History) -> bool {
    all_facts(a, &[]) == all_facts(b, &[])
}

fn all_facts(history: &History, fixture: &[u8]) -> Vec<u8> {
    let mut facts = begin(fixture);
    for outcome in history.outcomes() {
        PlayFacts::of(outcome).bytes(&mut facts);
    }
    let game = history.game();
    let change = game.ending().map_or(Change::NextBatter, Change::Over);
    let changes: Vec<_> = history
        .steps()
        .iter()
        .filter_map(change_of_players)
        .collect();
    seal(&mut facts, &change, game, &changes);
    facts
}

fn begin(fixture: &[u8]) -> Vec<u8> {
    let mut facts = b"chalkbook check code".to_vec();
    facts.extend(Sha256::digest(fixture));
    facts
}

/// A notice in force on which the facts depend, as bytes: in the log's own
/// encoding, without the words of whoever recorded it.
fn change_of_players(step: &Step) -> Option<Vec<u8>> {
    let notice = in_force(step)?;
    let bytes = minicbor::to_vec(bare(notice));
    Some(bytes.unwrap_or_else(|_| unreachable!("a list of bytes takes everything")))
}

/// Adds who is in play and on base, how the game stands and which changes of
/// players led there, so that a missed one shows even before the player bats,
/// and a player sent off is not taken for one substituted. When and in which
/// order they were recorded is left open: one official may be slower.
fn seal(facts: &mut Vec<u8>, change: &Change, game: &crate::game::Game, changes: &[Vec<u8>]) {
    facts.push(b's');
    for side in Side::BOTH {
        facts.extend(Place::ALL.map(|p| game.squads()[side].at(p).get()));
    }
    facts.extend(Base::ALL.map(|b| game.bases()[b].map_or(u8::MAX, |r| r.shirt.get())));
    facts.push(match change {
        Change::NextBatter => 0,
        Change::Sides => 1,
        Change::Over(Ending::Forfeit { by: Side::Guest }) => 2,
        Change::Over(Ending::Forfeit { by: Side::Home }) => 3,
        Change::Over(Ending::ForfeitBoth) => 5,
        Change::Over(Ending::Called(_)) => 6,
        Change::Over(Ending::Suspended(_)) => 7,
        Change::Over(_) => 4,
    });
    let mut changes: Vec<&Vec<u8>> = changes.iter().collect();
    changes.sort_unstable();
    for bytes in changes {
        // Few bytes each: a side, two numbers and no text.
        facts.extend([b'n', u8::try_from(bytes.len()).unwrap_or(u8::MAX)]);
        facts.extend(bytes);
    }
}

fn code_of(facts: &[u8]) -> CheckCode {
    let hash = Sha256::digest(facts);
    CheckCode::from_bits(u32::from_be_bytes([hash[0], hash[1], hash[2], hash[3]]) >> 2)
}
