//! Where a rule value comes from.

use core::ops::Deref;

use crate::message::localized;

/// A published text that a value was read in. Named here as a citation only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Document {
    /// WBSC, Baseball5 glossary, page "The Field".
    GlossaryField,
    /// WBSC, Baseball5 glossary, page "Game Preliminaries".
    GlossaryPreliminaries,
    /// WBSC, Baseball5 glossary, page "End of Game".
    GlossaryEnd,
    /// South African Baseball Union, page on the five-a-side game.
    NationalPage,
    /// Baseball Québec and Softball Québec, rules v1.0, October 2020 (contents list).
    ProvincialContents,
    /// Encyclopedia entries on the game and its glossary.
    Encyclopedia,
    /// Official Baseball Rules, chapter 9 (2019 numbering).
    OfficialRulesChapter9,
    /// WBSC news, 13 May 2024, on team quality balance.
    BalanceNotice,
}

/// How well a value is known.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Source {
    /// Read in the published text named.
    Published(Document),
    /// What people do; no text says it.
    CommonPractice,
    /// From memory, no text read: a policy that the competition sets.
    FromMemory,
    /// Follows from other values.
    Derived,
    /// Changed by the competition.
    SetByCompetition,
}

/// A value together with where it comes from.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct WithSource<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub source: Source,
}

impl<T> WithSource<T> {
    /// Joins a value and its source.
    pub const fn new(value: T, source: Source) -> Self {
        Self { value, source }
    }
}

impl<T> Deref for WithSource<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}
