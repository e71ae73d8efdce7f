//! The checklist before play. Common practice, no source; local rules and
//! licensed people decide.

use alloc::string::String;
use alloc::vec::Vec;

use crate::message::{localized, text};

/// One thing to look at before play.
#[localized(title, text)]
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
            (false, _) => text!("checklist-wrong", topics = names(&wrong)),
            (true, false) => text!("checklist-open", topics = names(&open)),
            (true, true) => text!("checklist-done"),
        }
    }
}
