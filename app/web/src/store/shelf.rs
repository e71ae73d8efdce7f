//! What was found on the phone for one game: the verified log as far as it is
//! good, and everything after that, kept as found.

use std::collections::BTreeMap;

use engine::log::{Chain, ChainError, Entry, GameId, GameRecord, PushOutcome};

/// An entry that cannot be used, kept as it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DamagedEntry {
    /// The number it was kept under.
    pub seq: u64,
    /// What is wrong, in words.
    pub why: String,
    /// The bytes found.
    pub bytes: Vec<u8>,
}

/// Why what was found makes no game at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoGame {
    /// In words.
    pub why: String,
    /// Everything found.
    pub damaged: Vec<DamagedEntry>,
}

/// Reads a game from the bytes kept, by number.
///
/// # Errors
/// When there is no good opening; everything found comes back.
pub fn read(
    game: &str,
    kept: BTreeMap<u64, Vec<u8>>,
) -> Result<(GameRecord, Vec<DamagedEntry>), NoGame> {
    let mut kept = kept.into_iter();
    let nothing = || NoGame {
        why: "Its opening is missing.".into(),
        damaged: Vec::new(),
    };
    let (seq, first) = kept.next().ok_or_else(nothing)?;
    let mut chain = match opening(game, seq, &first) {
        Ok(chain) => chain,
        Err(why) => {
            let mut damaged = vec![DamagedEntry {
                seq,
                why: why.clone(),
                bytes: first,
            }];
            damaged.extend(kept.map(|(seq, bytes)| after(seq, bytes)));
            return Err(NoGame { why, damaged });
        }
    };
    let mut damaged = Vec::new();
    for (seq, bytes) in kept {
        if !damaged.is_empty() {
            damaged.push(after(seq, bytes));
            continue;
        }
        let added = match chain.push_bytes(&bytes) {
            Ok(PushOutcome::Added) => Ok(()),
            Ok(PushOutcome::AlreadyThere) => Err("It is kept under two numbers.".to_string()),
            Err(why) => Err(why.to_string()),
        };
        if let Err(why) = added {
            damaged.push(DamagedEntry { seq, why, bytes });
        }
    }
    match GameRecord::replay(chain) {
        Ok(record) => Ok((record, damaged)),
        Err(why) => Err(NoGame {
            why: why.to_string(),
            damaged,
        }),
    }
}

fn opening(game: &str, seq: u64, bytes: &[u8]) -> Result<Chain, String> {
    if seq != 0 {
        return Err("Its opening is missing.".into());
    }
    let chain = Chain::open_bytes(bytes).map_err(|e: ChainError| e.to_string())?;
    let named: GameId = chain.game();
    if named.to_string() == game {
        Ok(chain)
    } else {
        Err("It is kept under another game's name.".into())
    }
}

/// What follows a damaged entry: whole or not, it cannot be joined on.
fn after(seq: u64, bytes: Vec<u8>) -> DamagedEntry {
    let why = match Entry::parse(&bytes) {
        Ok(_) => "It is whole, but an entry before it is not.".to_string(),
        Err(why) => why.to_string(),
    };
    DamagedEntry { seq, why, bytes }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::demo;

    fn kept() -> (String, BTreeMap<u64, Vec<u8>>) {
        let key = crate::keys::OfficialKey::from_seed(&[7; 32]);
        let record = demo::a_game(&key);
        let entries = record.chain().entries().iter();
        let kept = entries
            .map(|e| (e.payload().seq, e.bytes().to_vec()))
            .collect();
        (record.chain().game().to_string(), kept)
    }

    #[test]
    fn a_whole_log_reads_back() {
        let (game, kept) = kept();
        let (record, damaged) = read(&game, kept.clone()).unwrap();
        assert!(damaged.is_empty());
        assert_eq!(record.chain().entries().len(), kept.len());
    }

    #[test]
    fn one_altered_byte_ends_the_good_part_and_loses_nothing() {
        let (game, whole) = kept();
        let length = whole[&3].len();
        for at in (0..length).step_by(7) {
            let mut kept = whole.clone();
            if let Some(bytes) = kept.get_mut(&3) {
                bytes[at] ^= 1;
            }
            let (record, damaged) = read(&game, kept.clone()).unwrap();
            assert_eq!(record.chain().entries().len(), 3, "byte {at}");
            assert_eq!(damaged.len(), kept.len() - 3, "byte {at}");
            assert!(
                damaged
                    .iter()
                    .all(|d| kept[&d.seq] == d.bytes && !d.why.is_empty())
            );
        }
    }

    #[test]
    fn a_gap_a_stranger_and_a_lost_opening_are_named() {
        let (game, whole) = kept();
        let mut gap = whole.clone();
        gap.remove(&2);
        let (record, damaged) = read(&game, gap).unwrap();
        assert_eq!(record.chain().entries().len(), 2);
        assert_eq!(damaged.len(), whole.len() - 3);

        let mut headless = whole.clone();
        headless.remove(&0);
        let nothing = read(&game, headless).err().unwrap();
        assert_eq!(nothing.damaged.len(), whole.len() - 1);

        assert!(read("another", whole).is_err());
        assert!(read(&game, BTreeMap::new()).is_err());
    }
}
