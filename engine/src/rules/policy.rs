//! Small policies and counted values, each with one text form that is used in
//! scenario files, event charters and on the screen.

use alloc::vec::Vec;
use core::fmt;
use core::str::FromStr;

use crate::message::localized;

/// A value that may be one of a few named choices.
pub(super) trait Listed {
    /// The choices as `(text, meaning)`; empty for numbers and lists.
    const CHOICES: &'static [(&'static str, &'static str)] = &[];
}

impl Listed for super::Length {}
impl Listed for super::GameLimit {}
impl Listed for super::Countdown {}
impl Listed for RunAhead {}
impl Listed for TieBreakRunners {}
impl Listed for TimeOuts {}
impl Listed for Awards {}
impl Listed for Count {}
impl Listed for RosterLimit {}
impl Listed for GenderMinimum {}
impl Listed for Score {}
impl Listed for GamesMissed {}
impl Listed for AGame {}

/// A policy of named choices: the enum and its text form; the meaning stands in
/// the catalogue.
macro_rules! choices {
    ($(#[$doc:meta])* $name:ident { $( $(#[$vdoc:meta])* $variant:ident = $text:literal ),+ $(,)? }) => {
        $(#[$doc])*
        #[localized(meaning)]
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum $name { $( $(#[$vdoc])* $variant ),+ }
        impl $name {
            /// Every choice.
            pub const ALL: &'static [Self] = &[ $( Self::$variant ),+ ];
        }
        impl Listed for $name {
            const CHOICES: &'static [(&'static str, &'static str)] = &[ $( ($text, Self::$variant.meaning()) ),+ ];
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(match self { $( Self::$variant => $text ),+ })
            }
        }
        impl FromStr for $name {
            type Err = &'static str;
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                match text {
                    $( $text => Ok(Self::$variant), )+
                    _ => Err(concat!("one of:", $( " ", $text ),+)),
                }
            }
        }
    };
}

choices! {
    /// Shape of the zone in which a first bounce is an out.
    NoHitShape {
        Line = "line",
        Distance = "distance",
    }
}
choices! {
    /// Who of those taken out may come back.
    ReEntry {
        StarterOnce = "starter-once",
        Never = "never",
        Free = "free",
    }
}
choices! {
    /// Who may replace an injured or bleeding player when no eligible player is left.
    InjuryCover {
        LastResort = "last-resort",
        Eligible = "eligible",
    }
}
choices! {
    /// Who takes the base of the batter due, who stands on it: third with the bases loaded and two out. Where the choice leaves nobody, the other one counts, then any of the five who is not on base.
    LoadedRunner {
        Either = "either",
        LastOut = "last-out",
        Reserve = "reserve",
    }
}
choices! {
    /// What hitting out of turn costs.
    OutOfTurn {
        DueOut = "due-out",
        Corrected = "corrected",
    }
}
choices! {
    /// Whether the batter raises a hand before the hit.
    HandRaise {
        Custom = "custom",
        Required = "required",
    }
}
choices! {
    /// What a runner's leaving before the hit does to the play.
    LeftEarly {
        Dead = "dead",
        Live = "live",
    }
}
choices! {
    /// What a second warning to the same person leads to.
    SecondWarning {
        Nothing = "nothing",
        Ejection = "ejection",
    }
}
choices! {
    /// What becomes of a called game that counts and is level.
    Ties {
        PlayedOn = "played-on",
        Allowed = "allowed",
    }
}
choices! {
    /// When the lead of the run-ahead rule is looked at.
    RunAheadWhen {
        Complete = "complete",
        GuestsDone = "guests-done",
        AtOnce = "at-once",
    }
}
choices! {
    /// What a lead larger than the forfeit score is worth when the other side forfeits.
    ForfeitLarger {
        Fixed = "fixed",
        LargerStands = "larger-stands",
    }
}
impl ForfeitLarger {
    /// Whether this lead of the side that did not forfeit stands, where a
    /// forfeit is entered with so many runs.
    #[must_use]
    pub fn keeps(self, lead: u16, forfeit_runs: u16) -> bool {
        self == Self::LargerStands && lead > forfeit_runs
    }
}

choices! {
    /// How a tied game enters the table.
    TiedGames {
        Half = "half",
        LeftOut = "left-out",
    }
}
choices! {
    /// Who is credited with the putout when an illegal hit makes the out.
    IllegalPutout {
        Nobody = "nobody",
        Nearest = "nearest",
    }
}
choices! {
    /// Whether a batter caught with fewer than two out, on which a runner comes home, is charged with a time at bat.
    RunScoringFly {
        AtBat = "at-bat",
        NoAtBat = "no-at-bat",
    }
}
choices! {
    /// Which runs of the play that wins in the last turn count.
    WalkOffRuns {
        WholePlay = "whole-play",
        UntilAhead = "until-ahead",
    }
}
choices! {
    /// How many games decide a meeting.
    Series {
        Single = "single",
        BestOfThree = "best-of-three",
    }
}
choices! {
    /// Which side is home in the later games of a series.
    SeriesHome {
        SwapThenToss = "swap-then-toss",
        TossEach = "toss-each",
        Fixed = "fixed",
    }
}
choices! {
    /// Which players stand on the bases when an extra inning opens with runners.
    TieBreakWho {
        NearestOnFirst = "nearest-on-first",
        NearestOnLead = "nearest-on-lead",
    }
}
choices! {
    /// How a game without a winner by play (disputed, abandoned) enters the table.
    Disposal {
        LeftOut = "left-out",
        AsScored = "as-scored",
    }
}

/// A whole number between two bounds.
macro_rules! bounded {
    ($(#[$doc:meta])* $name:ident $low:literal ..= $high:literal, $want:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(u8);
        impl $name {
            /// The number, or `None` outside the range.
            #[must_use]
            pub fn new(n: u8) -> Option<Self> {
                ($low..=$high).contains(&n).then_some(Self(n))
            }
            /// The number.
            #[must_use]
            pub const fn get(self) -> u8 { self.0 }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result { self.0.fmt(f) }
        }
        impl FromStr for $name {
            type Err = &'static str;
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                text.parse().ok().and_then(Self::new).ok_or($want)
            }
        }
    };
}

bounded!(
    /// A number of innings, 1 to 30.
    Count 1..=30, "a whole number from 1 to 30");
bounded!(
    /// Players on a team's card, hitters and reserves together, 5 to 16.
    RosterLimit 5..=16, "a whole number from 5 to 16");
bounded!(
    /// Players of each gender on defence at all times, 0 (open) to 2.
    GenderMinimum 0..=2, "0, 1 or 2");
bounded!(
    /// Games of the team that a player who was sent off misses after it, 0 to 9.
    GamesMissed 0..=9, "a whole number from 0 to 9");
bounded!(
    /// The runs a forfeit is entered with, 1 to 30.
    Score 1..=30, "a whole number from 1 to 30");

/// How many of something for each game, in tenths: 0.0 to 9.9, written `3.1` or `3`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct AGame(u8);

impl AGame {
    /// The value from its tenths, 0 to 99.
    #[must_use]
    pub fn from_tenths(tenths: u8) -> Option<Self> {
        (tenths <= 99).then_some(Self(tenths))
    }
    /// The whole number that so many games ask for: the nearest, half up.
    #[must_use]
    pub fn over(self, games: u32) -> u64 {
        (u64::from(self.0) * u64::from(games) + 5) / 10
    }
}

impl fmt::Display for AGame {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.0 / 10, self.0 % 10) {
            (whole, 0) => whole.fmt(f),
            (whole, tenths) => write!(f, "{whole}.{tenths}"),
        }
    }
}

impl FromStr for AGame {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let digit = |text: &str| match text.as_bytes() {
            [d @ b'0'..=b'9'] => Some(d - b'0'),
            _ => None,
        };
        let (whole, tenths) = text.split_once('.').unwrap_or((text, "0"));
        digit(whole)
            .zip(digit(tenths))
            .map(|(w, t)| Self(w * 10 + t))
            .ok_or("a number from 0 to 9.9 with at most one decimal, as 3.1")
    }
}

/// One step of the run-ahead rule: this lead after that many complete innings ends the game.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Run {
    /// Lead in runs, 1 to 99.
    pub lead: u8,
    /// Complete innings, 1 to 30.
    pub innings: u8,
}

/// The run-ahead rule, written `15@3 10@4`, or `none`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Default)]
pub struct RunAhead(Vec<Run>);

impl RunAhead {
    /// The rule from its steps.
    #[must_use]
    pub fn new(steps: &[Run]) -> Self {
        Self(steps.to_vec())
    }
    /// The steps.
    #[must_use]
    pub fn steps(&self) -> &[Run] {
        &self.0
    }
    /// Whether a lead of `lead` runs ends the game after `innings` complete innings.
    #[must_use]
    pub fn ends(&self, lead: u16, innings: u8) -> bool {
        self.0
            .iter()
            .any(|s| innings >= s.innings && lead >= u16::from(s.lead))
    }
}

impl fmt::Display for RunAhead {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0.is_empty() {
            return f.write_str("none");
        }
        for (i, s) in self.0.iter().enumerate() {
            let gap = if i == 0 { "" } else { " " };
            write!(f, "{gap}{}@{}", s.lead, s.innings)?;
        }
        Ok(())
    }
}

impl FromStr for RunAhead {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const WANT: &str = "none, or steps of lead@innings, as 15@3 10@4";
        if text == "none" {
            return Ok(Self::default());
        }
        let steps = text
            .split_whitespace()
            .map(|step| {
                let (lead, innings) = step.split_once('@')?;
                let (lead, innings) = (lead.parse().ok()?, innings.parse().ok()?);
                ((1..=99).contains(&lead) && (1..=30).contains(&innings))
                    .then_some(Run { lead, innings })
            })
            .collect::<Option<Vec<_>>>();
        match steps {
            Some(steps) if (1..=8).contains(&steps.len()) => Ok(Self(steps)),
            _ => Err(WANT),
        }
    }
}

/// Runners on base when the first, second, … extra inning opens, written
/// `1 2 3`; the last number holds for all later ones. `0` places none.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct TieBreakRunners(Vec<u8>);

impl TieBreakRunners {
    /// The numbers in order, each 0 to 3.
    #[must_use]
    pub fn new(runners: &[u8]) -> Option<Self> {
        let fits = (1..=8).contains(&runners.len()) && runners.iter().all(|r| *r <= 3);
        fits.then(|| Self(runners.to_vec()))
    }
    /// Runners placed when the `extra`th extra inning opens; none when `extra` is 0.
    #[must_use]
    pub fn placed(&self, extra: u8) -> u8 {
        let Some(at) = usize::from(extra).checked_sub(1) else {
            return 0;
        };
        self.0.get(at).or(self.0.last()).copied().unwrap_or(0)
    }
}

impl fmt::Display for TieBreakRunners {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, n) in self.0.iter().enumerate() {
            let gap = if i == 0 { "" } else { " " };
            write!(f, "{gap}{n}")?;
        }
        Ok(())
    }
}

impl FromStr for TieBreakRunners {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let numbers = text
            .split_whitespace()
            .map(|n| n.parse().ok())
            .collect::<Option<Vec<_>>>();
        numbers
            .and_then(|n| Self::new(&n))
            .ok_or("runners for each extra inning, 0 to 3, as 1 2 3")
    }
}

/// Time-outs a side may take: `unlimited`, `2 a-game` or `1 an-inning`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TimeOuts {
    /// No limit.
    Unlimited,
    /// This many in the whole game.
    AGame(u8),
    /// This many in each inning.
    AnInning(u8),
}

impl fmt::Display for TimeOuts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unlimited => f.write_str("unlimited"),
            Self::AGame(n) => write!(f, "{n} a-game"),
            Self::AnInning(n) => write!(f, "{n} an-inning"),
        }
    }
}

impl FromStr for TimeOuts {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const WANT: &str = "unlimited, or a number 0 to 9 and a-game or an-inning, as 2 a-game";
        if text == "unlimited" {
            return Ok(Self::Unlimited);
        }
        let (n, per) = text.split_once(' ').ok_or(WANT)?;
        let n: u8 = n.parse().ok().filter(|n| *n <= 9).ok_or(WANT)?;
        match per.trim() {
            "a-game" => Ok(Self::AGame(n)),
            "an-inning" => Ok(Self::AnInning(n)),
            _ => Err(WANT),
        }
    }
}

/// Bases given when the ball goes out of play: `umpire` (the umpire states
/// them) or a fixed number, 1 to 3.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Awards {
    /// The umpire states the bases given; the log keeps the reason.
    Umpire,
    /// Exactly this many bases from the base held at the hit.
    Bases(u8),
}

impl fmt::Display for Awards {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Umpire => f.write_str("umpire"),
            Self::Bases(n) => n.fmt(f),
        }
    }
}

impl FromStr for Awards {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text {
            "umpire" => Ok(Self::Umpire),
            "1" => Ok(Self::Bases(1)),
            "2" => Ok(Self::Bases(2)),
            "3" => Ok(Self::Bases(3)),
            _ => Err("umpire, or the number of bases, 1 to 3"),
        }
    }
}
