//! Results of an event, computed when someone asks and kept until something
//! changes.

use std::sync::Arc;

use engine::charter::Charter;
use engine::report::publish::PublishedEvent;
use engine::report::{EventView, GameReport, OfFixture};

use crate::event::EventId;

/// Why there are no results to show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoView {
    /// The event is not served here.
    NotServed,
    /// The storage does not answer.
    StoreDown,
    /// They could not be computed: a fault of the collector.
    Failed,
}

impl std::fmt::Display for NoView {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::NotServed => "The event is not served here.",
            Self::StoreDown => "The storage does not answer just now.",
            Self::Failed => "The results could not be computed.",
        })
    }
}

impl std::error::Error for NoView {}

/// An event as it stands.
#[derive(Debug)]
pub struct View {
    pub(crate) generation: u64,
    /// The event.
    pub event: EventId,
    /// Its charter with the privacy that holds, but for the open event.
    pub(crate) charter: Option<Charter>,
    pub(crate) view: EventView,
}

/// Its games, tables and leaders.
impl std::ops::Deref for View {
    type Target = EventView;
    fn deref(&self) -> &EventView {
        &self.view
    }
}

impl View {
    /// The charter's content.
    #[must_use]
    pub const fn charter(&self) -> Option<&Charter> {
        self.charter.as_ref()
    }

    /// What is given out of it.
    pub fn published<T>(&self, take: impl FnOnce(&PublishedEvent<'_>) -> T) -> T {
        self.view
            .published(&self.event.to_string(), self.charter(), take)
    }

    /// The game to be shown for a fixture: the one that counts, else of several
    /// that end differently the umpire's.
    #[must_use]
    pub fn of_fixture(&self, number: u32) -> Option<&Arc<GameReport>> {
        match self.view.fixture(number) {
            OfFixture::ToCome => None,
            OfFixture::One(game) => Some(game),
            OfFixture::Several { proposed, .. } => proposed,
        }
    }
}
