//! Bases a runner can stand on, and goals a person can reach.

use core::fmt;
use core::ops::{Index, IndexMut};

/// A base that a runner can occupy.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, minicbor::Encode, minicbor::Decode,
)]
#[cbor(index_only)]
pub enum Base {
    /// First base.
    #[n(1)]
    First,
    /// Second base.
    #[n(2)]
    Second,
    /// Third base.
    #[n(3)]
    Third,
}

impl Base {
    /// The bases, third first: the order in which lead runners are called.
    pub const LEAD_FIRST: [Self; 3] = [Self::Third, Self::Second, Self::First];
    /// The bases from first on.
    pub const ALL: [Self; 3] = [Self::First, Self::Second, Self::Third];

    /// 1 to 3.
    #[must_use]
    pub const fn number(self) -> u8 {
        self as u8 + 1
    }

    /// The base as a goal.
    #[must_use]
    pub const fn goal(self) -> Goal {
        Goal::ALL[self as usize]
    }

    /// The goal after this base.
    #[must_use]
    pub const fn next(self) -> Goal {
        Goal::ALL[self as usize + 1]
    }
}

impl fmt::Display for Base {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(base_name(self.goal()))
    }
}

/// A base or home: what a person in jeopardy can reach.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, minicbor::Encode, minicbor::Decode,
)]
#[cbor(index_only)]
pub enum Goal {
    /// First base.
    #[n(1)]
    First,
    /// Second base.
    #[n(2)]
    Second,
    /// Third base.
    #[n(3)]
    Third,
    /// Home: a run.
    #[n(4)]
    Home,
}

impl Goal {
    /// All goals in running order.
    pub const ALL: [Self; 4] = [Self::First, Self::Second, Self::Third, Self::Home];

    /// 1 to 4.
    #[must_use]
    pub const fn number(self) -> u8 {
        self as u8 + 1
    }

    /// The goal with this number, 1 to 4.
    #[must_use]
    pub const fn from_number(n: u8) -> Option<Self> {
        match n {
            1..=4 => Some(Self::ALL[n as usize - 1]),
            _ => None,
        }
    }

    /// The base, unless it is home.
    #[must_use]
    pub const fn base(self) -> Option<Base> {
        match self {
            Self::Home => None,
            goal => Some(Base::ALL[goal as usize]),
        }
    }

    /// The goal after this one; home stays home.
    #[must_use]
    pub const fn next(self) -> Self {
        match self {
            Self::Home => Self::Home,
            goal => Self::ALL[goal as usize + 1],
        }
    }
}

impl fmt::Display for Goal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(base_name(*self))
    }
}

/// "1st", "2nd", "3rd" or "home".
#[must_use]
pub const fn base_name(goal: Goal) -> &'static str {
    match goal {
        Goal::First => "1st",
        Goal::Second => "2nd",
        Goal::Third => "3rd",
        Goal::Home => "home",
    }
}

/// One value for each base: a map that is always complete.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct ByBase<T>(pub [T; 3]);

impl<T> ByBase<T> {
    /// Makes each base's value.
    pub fn from_fn(mut f: impl FnMut(Base) -> T) -> Self {
        Self([f(Base::First), f(Base::Second), f(Base::Third)])
    }
}

impl<T> Index<Base> for ByBase<T> {
    type Output = T;
    fn index(&self, base: Base) -> &T {
        &self.0[base as usize]
    }
}

impl<T> IndexMut<Base> for ByBase<T> {
    fn index_mut(&mut self, base: Base) -> &mut T {
        &mut self.0[base as usize]
    }
}
