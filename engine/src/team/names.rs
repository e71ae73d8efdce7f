//! Sides, shirts, places in the batting order and fielding positions.

use alloc::string::ToString;
use core::fmt;
use core::ops::{Index, IndexMut};
use core::str::FromStr;

use super::CardObjection;
use crate::message::localized;

/// One of the two sides of a game.
#[localized]
#[cfg_attr(
    feature = "competition",
    derive(serde::Serialize),
    serde(rename_all = "lowercase")
)]
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, minicbor::Encode, minicbor::Decode,
)]
#[cbor(index_only)]
pub enum Side {
    /// The visitors, who bat first (top of the inning).
    #[n(0)]
    Guest,
    /// The home side, which defends first (bats in the bottom of the inning).
    #[n(1)]
    Home,
}

impl Side {
    /// Both sides, guests first.
    pub const BOTH: [Self; 2] = [Self::Guest, Self::Home];

    /// The other side.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Guest => Self::Home,
            Self::Home => Self::Guest,
        }
    }
}

/// One value for each side: a map that is always complete.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(array)]
pub struct BySide<T> {
    /// The guests' value.
    #[n(0)]
    pub guest: T,
    /// The home side's value.
    #[n(1)]
    pub home: T,
}

impl<T> BySide<T> {
    /// Makes each side's value.
    pub fn from_fn(mut f: impl FnMut(Side) -> T) -> Self {
        Self {
            guest: f(Side::Guest),
            home: f(Side::Home),
        }
    }

    /// Each side with its value, guests first.
    pub fn iter(&self) -> impl Iterator<Item = (Side, &T)> {
        [(Side::Guest, &self.guest), (Side::Home, &self.home)].into_iter()
    }

    /// Applies `f` to both values.
    pub fn map<U>(self, mut f: impl FnMut(T) -> U) -> BySide<U> {
        BySide {
            guest: f(self.guest),
            home: f(self.home),
        }
    }
}

impl<T> Index<Side> for BySide<T> {
    type Output = T;
    fn index(&self, side: Side) -> &T {
        match side {
            Side::Guest => &self.guest,
            Side::Home => &self.home,
        }
    }
}

impl<T> IndexMut<Side> for BySide<T> {
    fn index_mut(&mut self, side: Side) -> &mut T {
        match side {
            Side::Guest => &mut self.guest,
            Side::Home => &mut self.home,
        }
    }
}

/// A shirt number, 0 to 99.
///
/// Source: glossary, game preliminaries (published).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Shirt(u8);

impl Shirt {
    /// The number, or `None` above 99.
    #[must_use]
    pub const fn new(number: u8) -> Option<Self> {
        if number <= 99 {
            Some(Self(number))
        } else {
            None
        }
    }

    /// The number.
    #[must_use]
    pub const fn get(self) -> u8 {
        self.0
    }
}

impl fmt::Display for Shirt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl TryFrom<u8> for Shirt {
    type Error = CardObjection;

    fn try_from(number: u8) -> Result<Self, CardObjection> {
        Self::new(number).ok_or_else(|| CardObjection::NumberOutside(number.to_string()))
    }
}

impl FromStr for Shirt {
    type Err = CardObjection;

    /// Reads a number as typed on a card: digits alone.
    fn from_str(text: &str) -> Result<Self, CardObjection> {
        let digits = text.bytes().all(|b| b.is_ascii_digit());
        let number = text.parse().ok().filter(|_| digits);
        number
            .and_then(Self::new)
            .ok_or_else(|| CardObjection::NumberOutside(text.chars().take(8).collect()))
    }
}

/// A place in the batting order, 1st to 5th.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, minicbor::Encode, minicbor::Decode,
)]
#[cbor(index_only)]
pub enum Place {
    /// First hitter.
    #[n(1)]
    First,
    /// Second hitter.
    #[n(2)]
    Second,
    /// Third hitter.
    #[n(3)]
    Third,
    /// Fourth hitter.
    #[n(4)]
    Fourth,
    /// Fifth hitter.
    #[n(5)]
    Fifth,
}

impl Place {
    /// All places in order.
    pub const ALL: [Self; 5] = [
        Self::First,
        Self::Second,
        Self::Third,
        Self::Fourth,
        Self::Fifth,
    ];

    /// Zero-based index, 0 to 4.
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The place `n` hitters later, going round.
    #[must_use]
    pub const fn after(self, n: usize) -> Self {
        Self::ALL[(self.index() + n % 5) % 5]
    }

    /// The place `n` hitters earlier, going round.
    #[must_use]
    pub const fn before(self, n: usize) -> Self {
        self.after(5 - n % 5)
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        (self.index() + 1).fmt(f)
    }
}

/// A player's gender, asked for only in mixed competitions.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, minicbor::Encode, minicbor::Decode)]
#[cbor(index_only)]
pub enum Gender {
    /// Female.
    #[n(0)]
    Female,
    /// Male.
    #[n(1)]
    Male,
}

impl Gender {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Female, Self::Male];

    /// The letter that lists mark it with.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            Self::Female => 'F',
            Self::Male => 'M',
        }
    }

    /// What a list marks with a letter, large or small.
    #[must_use]
    pub fn from_letter(letter: char) -> Option<Self> {
        let is = |gender: &Self| gender.letter() == letter.to_ascii_uppercase();
        Self::BOTH.into_iter().find(is)
    }

    /// The noun after a count.
    pub(super) const fn counted(self, n: usize) -> &'static str {
        match (self, n) {
            (Self::Female, 1) => "woman",
            (Self::Female, _) => "women",
            (Self::Male, 1) => "man",
            (Self::Male, _) => "men",
        }
    }
}

/// One of the five positions on defence.
///
/// Source: national federation's page (published).
#[localized]
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, minicbor::Encode, minicbor::Decode,
)]
#[cbor(index_only)]
pub enum Position {
    /// First base.
    #[n(1)]
    FirstBase,
    /// Second base.
    #[n(2)]
    SecondBase,
    /// Third base.
    #[n(3)]
    ThirdBase,
    /// Shortstop.
    #[n(4)]
    Shortstop,
    /// Midfielder.
    #[n(5)]
    Midfielder,
}

impl Position {
    /// All positions.
    pub const ALL: [Self; 5] = [
        Self::FirstBase,
        Self::SecondBase,
        Self::ThirdBase,
        Self::Shortstop,
        Self::Midfielder,
    ];

    /// Zero-based index, 0 to 4.
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The trade's short form: 1B, 2B, 3B, SS, MF.
    #[must_use]
    pub const fn short(self) -> &'static str {
        match self {
            Self::FirstBase => "1B",
            Self::SecondBase => "2B",
            Self::ThirdBase => "3B",
            Self::Shortstop => "SS",
            Self::Midfielder => "MF",
        }
    }
}

impl FromStr for Position {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::ALL
            .into_iter()
            .find(|p| p.short() == text)
            .ok_or("one of: 1B 2B 3B SS MF")
    }
}

mod wire {
    use super::Shirt;
    use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

    impl<C> Encode<C> for Shirt {
        fn encode<W: encode::Write>(
            &self,
            e: &mut Encoder<W>,
            _: &mut C,
        ) -> Result<(), encode::Error<W::Error>> {
            e.u8(self.get())?.ok()
        }
    }

    impl<'b, C> Decode<'b, C> for Shirt {
        fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
            Self::new(d.u8()?).ok_or_else(|| decode::Error::message("shirt number above 99"))
        }
    }
}
