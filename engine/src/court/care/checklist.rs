//! The checklist before play. Common practice, no source; local rules and
//! licensed people decide.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// One thing to look at before play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Topic {
    /// The ground under foot.
    Surface,
    /// Kerbs, posts and walls around the court.
    RunOff,
    /// Traffic, and leave to use the place.
    Traffic,
    /// Bases and fence.
    Equipment,
    /// Drink and shade.
    Water,
    /// Thunder and heat.
    Weather,
    /// First aid.
    FirstAid,
    /// Consent for minors.
    Minors,
    /// Pictures and names of minors.
    Privacy,
    /// Rings, watches, chains, nails.
    Jewellery,
    /// People watching and passing by.
    Bystanders,
}

impl Topic {
    /// Every topic, in the order of the list. A topic's place, from 0, is its
    /// number in a record and never changes.
    pub const ALL: [Self; 11] = [
        Self::Surface,
        Self::RunOff,
        Self::Traffic,
        Self::Equipment,
        Self::Water,
        Self::Weather,
        Self::FirstAid,
        Self::Minors,
        Self::Privacy,
        Self::Jewellery,
        Self::Bystanders,
    ];

    /// Its name on the list.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Surface => "Surface",
            Self::RunOff => "Run-off",
            Self::Traffic => "Traffic and permission",
            Self::Equipment => "Bases and fence",
            Self::Water => "Water and shade",
            Self::Weather => "Thunder and heat",
            Self::FirstAid => "First aid",
            Self::Minors => "Consent for minors",
            Self::Privacy => "Pictures and names of minors",
            Self::Jewellery => "Jewellery and nails",
            Self::Bystanders => "People around the court",
        }
    }

    /// What to look at, in short plain sentences.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Surface => {
                "Walk the whole court. No glass, stones, holes, wet leaves, oil or loose sand. Covers of drains lie flush."
            }
            Self::RunOff => {
                "No kerb, post, bench, rail or parked car in the run-off. What cannot be moved is padded or the court is moved."
            }
            Self::Traffic => {
                "The local authority has given leave for the place and the time. The street is closed to traffic by those who may close it."
            }
            Self::Equipment => {
                "Bases lie flat and do not slip. The fence has no sharp end and falls over when someone runs into it, or it is a line."
            }
            Self::Water => "Drinking water and shade are near for both teams and the officials.",
            Self::Weather => {
                "Someone listens for thunder and knows which building or car to go to. On a hot day someone reads a WBGT meter."
            }
            Self::FirstAid => {
                "A first-aid kit is on the spot, someone trained is named, and a phone, the emergency number and the exact address are known."
            }
            Self::Minors => {
                "A parent or guardian has agreed for each minor, and two grown-ups are there for them."
            }
            Self::Privacy => {
                "Names and pictures of minors are published only as agreed. Results show initials or numbers where the charter says so."
            }
            Self::Jewellery => {
                "Rings, watches, chains and hard hair clips are off. Long nails are cut or taped: the ball is hit with the bare hand."
            }
            Self::Bystanders => {
                "People who watch stand outside the run-off and know that balls come over the fence."
            }
        }
    }
}

/// One topic looked at: who, when, and what was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Check {
    /// What was looked at.
    pub topic: Topic,
    /// Whether it is in order.
    pub in_order: bool,
    /// Who looked, a name or a role.
    pub by: String,
    /// When, in milliseconds as the phone claims.
    pub at_ms: u64,
    /// What was found, if anything.
    pub note: String,
}

/// The list as far as it has been gone through; the latest look at a topic
/// counts and earlier ones stay.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Checklist {
    checks: Vec<Check>,
}

impl Checklist {
    /// An untouched list.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a look.
    pub fn record(&mut self, check: Check) {
        self.checks.push(check);
    }

    /// Every look, in the order recorded.
    #[must_use]
    pub fn checks(&self) -> &[Check] {
        &self.checks
    }

    /// The look at a topic that counts.
    #[must_use]
    pub fn latest(&self, topic: Topic) -> Option<&Check> {
        self.checks.iter().rev().find(|c| c.topic == topic)
    }

    /// Topics not yet looked at.
    #[must_use]
    pub fn open(&self) -> Vec<Topic> {
        let untouched = |t: &Topic| self.latest(*t).is_none();
        Topic::ALL.into_iter().filter(untouched).collect()
    }

    /// Topics found not in order.
    #[must_use]
    pub fn wrong(&self) -> Vec<Topic> {
        let wrong = |t: &Topic| self.latest(*t).is_some_and(|c| !c.in_order);
        Topic::ALL.into_iter().filter(wrong).collect()
    }

    /// Where the list stands, in one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let (open, wrong) = (self.open(), self.wrong());
        let names = |list: &[Topic]| {
            let names: Vec<&str> = list.iter().map(|t| t.title()).collect();
            names.join(", ")
        };
        match (wrong.is_empty(), open.is_empty()) {
            (false, _) => format!("Not in order: {}. Do not play until it is.", names(&wrong)),
            (true, false) => format!("Still to look at: {}.", names(&open)),
            (true, true) => String::from("Every point of the list has been looked at."),
        }
    }
}
