//! How long what a log keeps may be, and the half-inning that its parts name.

use crate::game::Notice;
use crate::message::localized;
use crate::play::PlateAppearance;
use crate::team::Side;

/// One turn at bat of one side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct HalfInning {
    /// Inning, from 1.
    #[n(0)]
    pub inning: u8,
    /// Side at bat.
    #[n(1)]
    pub side: Side,
}

impl From<PlateAppearance> for HalfInning {
    fn from(turn: PlateAppearance) -> Self {
        Self {
            inning: turn.inning,
            side: turn.side,
        }
    }
}

/// What may be so long and no longer: a part of something signed, or the whole.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)] // The catalogue has a text for each.
pub enum Field {
    CaptainName,
    Card,
    ChangedRules,
    Charter,
    Charters,
    CheckCode,
    ChecklistItem,
    Collectors,
    Court,
    CourtName,
    Courts,
    Date,
    Decision,
    EditionName,
    Editions,
    EndedKeys,
    Entry,
    Errors,
    EventName,
    Fielders,
    FirstAid,
    Incident,
    Logs,
    Lot,
    Lots,
    Name,
    Note,
    OfficialName,
    Officials,
    OpeningTimes,
    Order,
    OrganiserName,
    OtherCheckCode,
    Place,
    PlayerName,
    Pools,
    Positions,
    ProgramName,
    Reason,
    Receipt,
    Roster,
    RuleCited,
    RuleName,
    RuleValue,
    Ruling,
    Schedule,
    TeamName,
    Teams,
    Text,
    Title,
    UmpireName,
    Witness,
}

/// A field longer than a log keeps.
#[localized(named)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub struct TooLarge {
    /// Which field.
    pub field: Field,
    /// Its length: bytes of a text, members of a list.
    pub given: usize,
    /// The most allowed.
    pub most: usize,
}

pub(crate) fn at_most(field: Field, given: usize, most: usize) -> Result<(), TooLarge> {
    if given <= most {
        Ok(())
    } else {
        Err(TooLarge { field, given, most })
    }
}

pub(super) fn text(field: Field, text: &str) -> Result<(), TooLarge> {
    at_most(field, text.len(), Notice::TEXT_LIMIT)
}
