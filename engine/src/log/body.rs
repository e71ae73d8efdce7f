//! What an entry says.

use alloc::string::String;
use alloc::vec::Vec;

use super::bounds::{Field, HalfInning, TooLarge, at_most, text};
use super::cose::Domain;
use super::decision::{Decision, Draw, decision_fits, draw_fits};
use super::officiating::{Crew, Incident, ProtestCase};
use super::takeover::Takeover;
use super::{Amendment, Correction, Event, Fingerprint, Hash, KeyChange, Opening, Setup};
use crate::game::{Ending, Notice, Stoppage};
use crate::play::{Call, Scoring};
use crate::team::{BySide, Card, Side};

/// What became of comparing check codes after a half-inning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum CodeAnswer {
    /// The other official has the same code.
    #[n(0)]
    Same,
    /// The other official has another code.
    #[n(1)]
    Differs,
    /// Nobody else keeps a log.
    #[n(2)]
    Alone,
}

/// The comparison of check codes after a half-inning.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct CodeCheck {
    /// The half-inning.
    #[n(0)]
    pub half: HalfInning,
    /// This phone's code.
    #[n(1)]
    pub code: String,
    /// The answer.
    #[n(2)]
    pub answer: CodeAnswer,
    /// The other phone's code, where it was typed in.
    #[n(3)]
    pub other: Option<String>,
    /// The other officials' logs as this phone held them then: its author
    /// witnesses them so far.
    #[cbor(n(4), default, skip_if = "Vec::is_empty")]
    pub seen: Vec<HeldLog>,
}

/// Another log of the game as far as its author's phone held it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct HeldLog {
    /// Fingerprint of the key that the log was opened with.
    #[n(0)]
    pub author: Fingerprint,
    /// Entries it had.
    #[n(1)]
    pub entries: u64,
    /// Hash of the last of them.
    #[n(2)]
    pub head: Hash,
}

/// Most logs that one check names.
const SEEN_LIMIT: usize = 16;

/// A difference that both officials settled. Both write one, each signing it.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Ruling {
    /// Hash of the author's own entry it is about; `None` when the author had
    /// not recorded the play.
    #[n(0)]
    pub own: Option<Hash>,
    /// Hash of the other official's entry; `None` when they had not recorded it.
    #[n(1)]
    pub other: Option<Hash>,
    /// What changes in the author's record; `None` when it was right.
    #[n(2)]
    pub correction: Option<Amendment>,
    /// The ruling in plain words.
    #[n(3)]
    pub note: String,
}

/// A difference left standing: the game is disputed until someone decides it.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct LeftOpen {
    /// Where.
    #[n(0)]
    pub half: HalfInning,
    /// Hash of the author's own entry, where there is one.
    #[n(1)]
    pub own: Option<Hash>,
    /// Hash of the other official's entry, where there is one.
    #[n(2)]
    pub other: Option<Hash>,
    /// What the difference is, in plain words.
    #[n(3)]
    pub note: String,
}

/// A precaution that someone checked: court, surface, heat, traffic.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Care {
    /// The item, as the checklist words it.
    #[n(0)]
    pub item: String,
    /// Who checked it.
    #[n(1)]
    pub who: String,
    /// Whether it was found in order.
    #[n(2)]
    pub in_order: bool,
}

/// How a final statement says the game ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
pub enum Finish {
    /// The scheduled innings are played.
    #[n(0)]
    Regulation,
    /// The home side took the lead in its last turn.
    #[n(1)]
    WalkOff,
    /// The run-ahead rule.
    #[n(2)]
    RunAhead,
    /// Decided in extra innings.
    #[n(3)]
    Extra,
    /// A side forfeited.
    #[n(4)]
    Forfeit {
        /// The side that forfeited.
        #[n(0)]
        by: Side,
    },
    /// Stopped before an end, and nobody called it.
    #[n(5)]
    Unfinished,
    /// Both sides forfeited.
    #[n(6)]
    ForfeitBoth,
    /// The umpire called the game and it counts.
    #[n(7)]
    Called {
        /// Why.
        #[n(0)]
        why: Stoppage,
    },
    /// The umpire called the game and it is to be played on.
    #[n(8)]
    Suspended {
        /// Why.
        #[n(0)]
        why: Stoppage,
    },
}

impl From<Option<Ending>> for Finish {
    fn from(ending: Option<Ending>) -> Self {
        match ending {
            None => Self::Unfinished,
            Some(Ending::Regulation) => Self::Regulation,
            Some(Ending::WalkOff) => Self::WalkOff,
            Some(Ending::RunAhead) => Self::RunAhead,
            Some(Ending::Extra) => Self::Extra,
            Some(Ending::Forfeit { by }) => Self::Forfeit { by },
            Some(Ending::ForfeitBoth) => Self::ForfeitBoth,
            Some(Ending::Called(why)) => Self::Called { why },
            Some(Ending::Suspended(why)) => Self::Suspended { why },
        }
    }
}

/// The final statement: what the author signs the game off as.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct Statement {
    /// The official score.
    #[n(0)]
    pub score: BySide<u16>,
    /// How the game ended.
    #[n(1)]
    pub finish: Finish,
    /// Hash of the last entry before the statement.
    #[n(2)]
    pub head: Hash,
    /// Entries before the statement.
    #[n(3)]
    pub entries: u64,
    /// Plays in force.
    #[n(4)]
    pub plays: u32,
    /// Plays in force that no longer fit after a correction: 0 in a sound record.
    #[n(5)]
    pub conflicts: u32,
}

/// A signature under a statement: the other official's, or a captain's on this
/// phone.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(map)]
pub struct CoSign {
    /// Hash of the statement's entry, the other official's or the author's own.
    #[n(0)]
    pub statement: Hash,
    /// The captain who signs on this phone, if one does.
    #[n(1)]
    pub captain: Option<Captain>,
}

/// A captain who agrees to a statement.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct Captain {
    /// The side.
    #[n(0)]
    pub side: Side,
    /// Name as given.
    #[n(1)]
    pub name: String,
}

/// What an entry says.
#[derive(Clone, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[allow(
    clippy::large_enum_variant,
    reason = "nearly every entry is an event, the largest kind but the one opening"
)]
pub enum Body {
    /// Opens the log.
    #[n(0)]
    Opening(#[n(0)] Opening),
    /// A play, notice, amendment or undo.
    #[n(1)]
    Event(#[n(0)] Event),
    /// A comparison of check codes.
    #[n(2)]
    CodeCheck(#[n(0)] CodeCheck),
    /// A settled difference.
    #[n(3)]
    Ruling(#[n(0)] Ruling),
    /// A difference left standing.
    #[n(4)]
    LeftOpen(#[n(0)] LeftOpen),
    /// A precaution checked.
    #[n(5)]
    Care(#[n(0)] Care),
    /// The final statement.
    #[n(6)]
    Statement(#[n(0)] Statement),
    /// A signature under a statement.
    #[n(7)]
    CoSign(#[n(0)] CoSign),
    /// Another key from here on.
    #[n(8)]
    KeyChange(#[n(0)] KeyChange),
    /// It goes on from another official's record.
    #[n(9)]
    Takeover(#[n(0)] Takeover),
    /// An organiser's decision about the game.
    #[n(10)]
    Decision(#[n(0)] Decision),
    /// A lot that the organiser drew.
    #[n(11)]
    Draw(#[n(0)] Draw),
    /// Who umpires where.
    #[n(12)]
    Crew(#[n(0)] Crew),
    /// An incident or injury report.
    #[n(13)]
    Incident(#[n(0)] Incident),
    /// A protest filed or decided.
    #[n(14)]
    ProtestCase(#[n(0)] ProtestCase),
}

impl Body {
    /// Most bytes of a free text.
    pub const TEXT_LIMIT: usize = Notice::TEXT_LIMIT;
    /// Letters of a check code.
    pub const CODE_LIMIT: usize = 16;

    /// What a signature under this body is for.
    #[must_use]
    pub const fn domain(&self) -> Domain {
        match self {
            Self::Statement(_) | Self::CoSign(_) => Domain::Statement,
            _ => Domain::Log,
        }
    }

    /// The body's kind in plain words.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Opening(_) => "opening",
            Self::Event(Event::Play { .. }) => "play",
            Self::Event(Event::Notice(_)) => "notice",
            Self::Event(Event::Amend(_)) => "amendment",
            Self::Event(Event::Undo { .. }) => "undo",
            Self::Event(Event::Settle(_)) => "settled correction",
            Self::Event(Event::Replay { .. }) => "replay after a protest",
            Self::CodeCheck(_) => "check code",
            Self::Ruling(_) => "agreed ruling",
            Self::LeftOpen(_) => "difference left open",
            Self::Care(_) => "precaution",
            Self::Statement(_) => "final statement",
            Self::CoSign(_) => "co-signature",
            Self::KeyChange(_) => "change of key",
            Self::Takeover(_) => "copied from another official's record",
            Self::Decision(_) => "organiser's decision",
            Self::Draw(_) => "lot drawn",
            Self::Crew(_) => "crew of umpires",
            Self::Incident(_) => "incident report",
            Self::ProtestCase(_) => "protest filed or decided",
        }
    }

    /// Whether every field fits.
    ///
    /// # Errors
    /// The first field that does not.
    pub fn fits(&self) -> Result<(), TooLarge> {
        match self {
            Self::Opening(o) => opening_fits(o),
            Self::Event(e) => event_fits(e),
            Self::CodeCheck(c) => {
                at_most(Field::CheckCode, c.code.len(), Self::CODE_LIMIT)?;
                let other = c.other.as_ref().map_or(0, String::len);
                at_most(Field::OtherCheckCode, other, Self::CODE_LIMIT)?;
                at_most(Field::Logs, c.seen.len(), SEEN_LIMIT)
            }
            Self::Ruling(r) => {
                text(Field::Ruling, &r.note)?;
                r.correction.as_ref().map_or(Ok(()), amendment_fits)
            }
            Self::LeftOpen(l) => text(Field::Note, &l.note),
            Self::Care(c) => {
                text(Field::ChecklistItem, &c.item)?;
                at_most(Field::Name, c.who.len(), Setup::NAME_LIMIT)
            }
            Self::CoSign(c) => {
                let name = c.captain.as_ref().map_or(0, |c| c.name.len());
                at_most(Field::CaptainName, name, Setup::NAME_LIMIT)
            }
            Self::KeyChange(k) => text(Field::Reason, &k.reason),
            Self::Decision(d) => decision_fits(d),
            Self::Draw(d) => draw_fits(d),
            Self::Crew(c) => c.fits(),
            Self::Incident(i) => i.fits(),
            Self::ProtestCase(c) => c.fits(),
            Self::Statement(_) | Self::Takeover(_) => Ok(()),
        }
    }
}

pub(super) fn card_fits(card: &Card) -> Result<(), TooLarge> {
    at_most(Field::TeamName, card.team.len(), Setup::NAME_LIMIT)?;
    let players = card.hitters.len() + card.reserves.len();
    at_most(Field::Card, players, Setup::PLAYERS_LIMIT)?;
    card.players()
        .try_for_each(|p| at_most(Field::PlayerName, p.name.len(), Setup::NAME_LIMIT))
}

fn opening_fits(opening: &Opening) -> Result<(), TooLarge> {
    let Opening {
        setup,
        author,
        made,
    } = opening;
    at_most(Field::OfficialName, author.name.len(), Setup::NAME_LIMIT)?;
    let program = made.as_ref().map_or(0, |m| m.program.len());
    at_most(Field::ProgramName, program, Setup::NAME_LIMIT)?;
    setup_fits(setup)
}

pub(super) fn setup_fits(setup: &Setup) -> Result<(), TooLarge> {
    edition_fits(&setup.edition)?;
    let title = setup.title.as_ref().map_or(0, String::len);
    at_most(Field::Title, title, Setup::TITLE_LIMIT)?;
    let court = setup.court.as_ref().map_or(0, String::len);
    at_most(Field::CourtName, court, Setup::TITLE_LIMIT)?;
    let used = setup.court_used.as_ref().map_or(0, Vec::len);
    at_most(Field::Court, used, Setup::COURT_LIMIT)?;
    card_fits(&setup.cards.guest)?;
    card_fits(&setup.cards.home)
}

pub(crate) fn edition_fits(edition: &super::EditionText) -> Result<(), TooLarge> {
    at_most(Field::EditionName, edition.base.len(), Setup::NAME_LIMIT)?;
    at_most(Field::ChangedRules, edition.changes.len(), 64)?;
    edition.changes.iter().try_for_each(|(name, value)| {
        at_most(Field::RuleName, name.len(), Setup::NAME_LIMIT)?;
        at_most(Field::RuleValue, value.len(), Setup::NAME_LIMIT)
    })
}

fn event_fits(event: &Event) -> Result<(), TooLarge> {
    match event {
        Event::Play { call, .. } => call_fits(call),
        Event::Notice(notice) => notice_fits(notice),
        Event::Amend(a) | Event::Settle(a) => amendment_fits(a),
        Event::Undo { .. } | Event::Replay { .. } => Ok(()),
    }
}

fn amendment_fits(amendment: &Amendment) -> Result<(), TooLarge> {
    match &amendment.change {
        Correction::Replace(call) | Correction::InsertBefore(call) => call_fits(call),
        Correction::NoticeBefore(notice) => notice_fits(notice),
        Correction::Remove => Ok(()),
    }
}

fn notice_fits(notice: &Notice) -> Result<(), TooLarge> {
    if let Notice::Defence { positions, .. } = notice {
        at_most(Field::Positions, positions.len(), crate::rules::FIVE)?;
    }
    if let Notice::Reserve { player, .. } = notice {
        at_most(Field::PlayerName, player.name.len(), Setup::NAME_LIMIT)?;
    }
    text(Field::Text, notice.text().unwrap_or_default())
}

fn call_fits(call: &Call) -> Result<(), TooLarge> {
    text(Field::Note, call.note.as_deref().unwrap_or_default())?;
    let Some(scoring) = &call.scoring else {
        return Ok(());
    };
    at_most(Field::Fielders, scoring.by.len(), Scoring::LIMIT)?;
    at_most(Field::Errors, scoring.errors.len(), Scoring::LIMIT)
}
