//! Differences and reasons in plain words.

use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec;
use alloc::vec::Vec;
use core::fmt;

use super::difference::Kind;
use super::{Difference, Reason};
use crate::game::Notice;
use crate::message::{Localized, Message, Speech, says, text};
use crate::play::{PlateAppearance, half_inning, ordinal};
use crate::team::BySide;

/// Who has what is told, at the beginning of a sentence or within it.
enum Holder<'a> {
    You,
    They,
    TheyFirst,
    Named(&'a str),
}

impl Holder<'_> {
    fn say<S: Speech>(&self) -> S {
        match self {
            Self::You => text!("holder-you"),
            Self::They => text!("holder-they"),
            Self::TheyFirst => text!("holder-they-first"),
            Self::Named(who) => text!("holder-named", who),
        }
    }
}

says!(Holder<'_>);

/// A notice, and the names of the teams.
struct NamedNotice<'a>(&'a Notice, &'a BySide<&'a str>);

impl fmt::Display for NamedNotice<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.sentence(self.1))
    }
}

impl Localized for NamedNotice<'_> {
    fn message(&self) -> Message {
        self.0.message(self.1)
    }
}

impl Difference {
    /// Where the difference lies: "Top of 3rd, 4th batter".
    #[must_use]
    pub fn place(&self) -> String {
        format!(
            "{}, {} batter",
            half_inning(self.turn.inning, self.turn.side),
            ordinal(place_number(self.turn))
        )
    }

    /// The difference in one plain sentence for somebody else than the two who
    /// kept the records; `who` are they, as "the umpire".
    #[must_use]
    pub fn between(&self, names: &BySide<&str>, who: [&str; 2]) -> String {
        self.say(names, Some(who))
    }

    /// The difference in one plain sentence; `names` are the two teams'.
    #[must_use]
    pub fn sentence(&self, names: &BySide<&str>) -> String {
        self.say(names, None)
    }

    /// The same as a message, for the two who kept the records or, with what
    /// they are called, for somebody else.
    #[must_use]
    pub fn message(&self, names: &BySide<&str>, who: Option<[&str; 2]>) -> Message {
        self.say(names, who)
    }

    fn say<S: Speech>(&self, names: &BySide<&str>, who: Option<[&str; 2]>) -> S {
        let place = self.place();
        let [first, second] = match who {
            None => [Holder::You, Holder::They],
            Some(who) => who.map(Holder::Named),
        };
        match &self.kind {
            Kind::Fates { mine, theirs } => {
                let (one, other) = (&mine.words, &theirs.words);
                text!("difference-fates", place, first, one, second, other)
            }
            Kind::Swapped { mine, .. } => {
                let [one, other] = mine.each_ref().map(|play| &play.words);
                text!("difference-swapped", place, first, one, other, second)
            }
            Kind::OnlyMine { mine, .. } => {
                text!("difference-only", place, first, play = mine.words, second)
            }
            Kind::OnlyTheirs { theirs, .. } => {
                let (first, second) = (second, first);
                text!("difference-only", place, first, play = theirs.words, second)
            }
            Kind::Notices { mine, theirs } => {
                let (one, other) = (&mine.notice, &theirs.notice);
                let (one, other) = (NamedNotice(one, names), NamedNotice(other, names));
                let capital = who.map(|[_, second]| capital(second));
                let second = capital.as_deref().map_or(Holder::TheyFirst, Holder::Named);
                text!("difference-notices", place, first, one, second, other)
            }
            Kind::NoticeOnlyMine { mine, .. } => {
                let notice = NamedNotice(&mine.notice, names);
                text!("difference-notice-only", place, first, notice)
            }
            Kind::NoticeOnlyTheirs { theirs, .. } => {
                let (first, notice) = (second, NamedNotice(&theirs.notice, names));
                text!("difference-notice-only", place, first, notice)
            }
            Kind::Moved { notice, .. } => {
                let notice = NamedNotice(notice, names);
                match who {
                    None => text!("difference-moved", place, notice),
                    Some([first, second]) => {
                        text!("difference-moved-between", place, first, second, notice)
                    }
                }
            }
        }
    }
}

fn place_number(turn: PlateAppearance) -> u8 {
    u8::try_from(turn.place.index() + 1).unwrap_or(u8::MAX)
}

impl Reason {
    /// The reason in sentences, records spoken of as `who` names them: "this
    /// record", "the umpire's record". No text that people wrote is in it but
    /// the note of a difference left open, and that only with `notes`.
    #[must_use]
    pub fn sentences(&self, who: &dyn Fn(usize) -> String, notes: bool) -> Vec<String> {
        self.say(who, notes)
    }

    /// The same as messages.
    #[must_use]
    pub fn messages(&self, who: &dyn Fn(usize) -> String, notes: bool) -> Vec<Message> {
        self.say(who, notes)
    }

    fn say<S: Speech>(&self, who: &dyn Fn(usize) -> String, notes: bool) -> Vec<S> {
        let first = |whose: &usize| capital(&who(*whose));
        let who = |whose: &usize| who(*whose);
        vec![match self {
            Self::NoRecord => text!("reason-no-record"),
            Self::Fork { whose } => text!("reason-fork", record = who(whose)),
            Self::Rewritten { whose } => text!("reason-rewritten", record = who(whose)),
            Self::OtherGame { whose } => text!("reason-other-game", record = first(whose)),
            Self::LeftOpen { note, .. } if notes => text!("reason-left-standing", note),
            Self::LeftOpen { whose, .. } => text!("reason-left-open", record = who(whose)),
            Self::Differs {
                differences,
                scores,
                ..
            } => {
                let places = differences.iter().map(Difference::place);
                let mut said: Vec<S> = places
                    .map(|place| text!("reason-differs-at", place))
                    .collect();
                if *scores {
                    said.push(text!("reason-differs-in-score"));
                }
                if said.is_empty() {
                    said.push(text!("reason-differs"));
                }
                return said;
            }
            Self::Misstated { whose, .. } => text!("reason-misstated", record = who(whose)),
            Self::Conflicts { whose, .. } => text!("reason-conflicts", record = who(whose)),
            Self::StillOn { whose } => text!("reason-still-on", record = who(whose)),
            Self::Old { whose, ends } => {
                text!("reason-old", record = first(whose), ends = ends.words())
            }
            Self::NotSigned { whose } => text!("reason-not-signed", record = who(whose)),
            Self::SignedEarly { whose } => text!("reason-signed-early", record = who(whose)),
            Self::NotCoSigned { whose } => text!("reason-not-co-signed", record = who(whose)),
            Self::Details { plays, errors, .. } if errors[0] == errors[1] => {
                text!("reason-details", plays)
            }
            Self::Details {
                whose,
                plays,
                errors,
            } => {
                let [a, b] = whose.map(|whose| who(&whose));
                let [x, y] = errors.map(|e| format!("{}-{}", e.guest, e.home));
                text!("reason-details-and-errors", plays, x, a, y, b)
            }
            Self::Alone => text!("reason-alone"),
        }]
    }
}

pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}
