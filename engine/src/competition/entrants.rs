//! The teams of a competition, and a small handle for each.

use alloc::string::{String, ToString};
use alloc::vec::Vec;

use crate::Problems;
use crate::message::localized;

/// Most teams a competition may have. A bound on work, not a rule.
pub const MAX_ENTRANTS: usize = 64;

/// Longest name of a team or court, in characters.
pub const MAX_NAME: usize = 60;

/// A team of a competition: its place in the list of [`Entrants`], from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Entrant(u16);

impl Entrant {
    /// The handle of the team at this place of the list, from 0.
    ///
    /// It may point past the end of a list: every function that takes one says
    /// so as a problem of its input.
    #[must_use]
    pub const fn at(index: u16) -> Self {
        Self(index)
    }

    /// Its place in the list, from 0.
    #[must_use]
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

/// The teams of a competition, in seeding order or in the order of a draw: 2 to
/// [`MAX_ENTRANTS`], each with a name of its own.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Entrants(Vec<String>);

/// What is wrong with a list of names.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum NameProblem {
    /// The name at this place, from 1, is blank.
    #[message(number = _0)]
    Blank(usize),
    /// The name at this place, from 1, is longer than [`MAX_NAME`].
    #[message(number = _0, most = MAX_NAME)]
    TooLong(usize),
    /// Two entries differ in nothing but letter case and outer spaces.
    #[message(name = _0)]
    Twice(String),
}

/// Why a list of teams was refused.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum EntrantProblem {
    /// Fewer than two teams.
    #[message(count = _0)]
    TooFew(usize),
    /// More than [`MAX_ENTRANTS`] teams.
    #[message(count = _0, most = MAX_ENTRANTS)]
    TooMany(usize),
    /// A name is wrong.
    #[message(problem = _0)]
    Name(NameProblem),
}

/// Every problem of a list of names.
pub(super) fn name_problems(names: &[String]) -> Vec<NameProblem> {
    let mut problems = Vec::new();
    let mut seen: Vec<String> = Vec::new();
    let mut twice: Vec<String> = Vec::new();
    for (at, name) in names.iter().enumerate() {
        let plain = name.trim();
        let folded = plain.to_lowercase();
        if plain.is_empty() {
            problems.push(NameProblem::Blank(at + 1));
        } else if plain.chars().count() > MAX_NAME {
            problems.push(NameProblem::TooLong(at + 1));
        } else if !seen.contains(&folded) {
            seen.push(folded);
        } else if !twice.contains(&folded) {
            problems.push(NameProblem::Twice(plain.to_string()));
            twice.push(folded);
        }
    }
    problems
}

impl Entrants {
    /// The teams with these names.
    ///
    /// # Errors
    /// Every problem of the list at once.
    pub fn new<S: AsRef<str>>(
        names: impl IntoIterator<Item = S>,
    ) -> Result<Self, Problems<EntrantProblem>> {
        let names: Vec<String> = names.into_iter().map(|n| n.as_ref().to_string()).collect();
        let mut problems = Vec::new();
        match names.len() {
            n @ 0..=1 => problems.push(EntrantProblem::TooFew(n)),
            // A list far too long is not searched for double names.
            n if n > MAX_ENTRANTS => return Err(EntrantProblem::TooMany(n).into()),
            _ => {}
        }
        problems.extend(name_problems(&names).into_iter().map(EntrantProblem::Name));
        Problems::none(problems)?;
        Ok(Self(names.iter().map(|n| n.trim().to_string()).collect()))
    }

    /// How many there are.
    #[must_use]
    #[allow(clippy::len_without_is_empty)] // there are at least two
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// All teams in order.
    pub fn iter(&self) -> impl Iterator<Item = Entrant> + '_ {
        (0..).map(Entrant).take(self.0.len())
    }

    /// Whether the handle points into this list.
    #[must_use]
    pub fn contains(&self, entrant: Entrant) -> bool {
        entrant.index() < self.0.len()
    }

    /// The team's name; `unknown team` for a handle of another list.
    #[must_use]
    pub fn name(&self, entrant: Entrant) -> &str {
        self.0.get(entrant.index()).map_or("unknown team", |n| n)
    }

    /// The team with this name, letter case and outer spaces aside.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<Entrant> {
        let folded = name.trim().to_lowercase();
        self.iter().find(|e| self.name(*e).to_lowercase() == folded)
    }
}
