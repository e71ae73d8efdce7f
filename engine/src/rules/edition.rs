//! A whole edition: the built-in ones and copies with changes.

use alloc::string::{String, ToString};
use alloc::vec::Vec;
use core::fmt;
use core::str::FromStr;

use super::policy::*;
use super::source::Document::{GlossaryEnd, GlossaryField, GlossaryPreliminaries};
use super::source::Source::{CommonPractice, Derived, FromMemory, Published, SetByCompetition};
use super::{Countdown, GameLimit, Length, Source, WithSource};
use crate::message::{localized, text};

/// A built-in edition, from which every other is a copy with changes.
#[localized(title, about)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BuiltIn {
    /// The federation's published edition.
    Federation,
    /// Its youth variant (under 15).
    Youth,
    /// An introductory edition, common practice.
    Introductory,
}

impl BuiltIn {
    /// Every built-in edition.
    pub const ALL: [Self; 3] = [Self::Federation, Self::Youth, Self::Introductory];
}

impl fmt::Display for BuiltIn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Federation => "federation",
            Self::Youth => "youth",
            Self::Introductory => "introductory",
        })
    }
}

impl FromStr for BuiltIn {
    type Err = &'static str;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::ALL
            .into_iter()
            .find(|b| b.to_string() == text)
            .ok_or("one of: federation youth introductory")
    }
}

/// One value of an edition as text, for screens, charters and lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Its documented name.
    pub name: &'static str,
    /// What it is, in a few plain words, and its unit where it has one.
    pub label: String,
    /// The named choices as `(text, meaning)`; empty for numbers and lists.
    pub choices: &'static [(&'static str, &'static str)],
    /// Its value in the text form that [`Edition::with`] reads.
    pub value: String,
    /// Where the value comes from.
    pub source: Source,
}

/// Why a change to an edition was refused.
#[localized]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SettingError {
    /// No value has this name.
    #[message(names = Edition::NAMES.join(", "), name = _0)]
    UnknownName(String),
    /// The text is not a value of this name.
    BadValue {
        /// The value's name.
        name: &'static str,
        /// The text given.
        given: String,
        /// What would be right.
        want: &'static str,
    },
    /// Each value is fine, but two of them contradict each other.
    #[message(transparent)]
    Contradiction(EditionContradiction),
}

/// Two values of an edition that contradict each other.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditionContradiction {
    /// The no-hit line is nearer than its minimum.
    NoHitLineNear,
    /// The no-hit line does not cross the foul lines before the bases.
    NoHitLineFar,
    /// Fair territory is smaller than the infield.
    FairTerritory,
    /// A base has no size, or two do not fit along the side.
    BaseSize,
}

macro_rules! edition {
    ($( $(#[$doc:meta])* $field:ident : $ty:ty = $name:literal, $label:tt; )+) => {
        /// A complete, consistent set of rule values.
        ///
        /// Made from a built-in edition and changed only through
        /// [`Edition::with`], so an inconsistent one cannot exist.
        #[derive(Clone, Debug, PartialEq, Eq, Hash)]
        pub struct Edition {
            base: BuiltIn,
            $( $field: WithSource<$ty>, )+
        }

        impl Edition {
            /// The documented names of all values, in the order they are listed.
            pub const NAMES: &'static [&'static str] = &[ $( $name ),+ ];

            $( $(#[$doc])*
            #[must_use]
            pub fn $field(&self) -> &WithSource<$ty> { &self.$field } )+

            /// Every value with its source.
            #[must_use]
            pub fn settings(&self) -> Vec<Setting> {
                alloc::vec![ $( Setting {
                    name: $name,
                    label: text!($label),
                    choices: <$ty as Listed>::CHOICES,
                    value: self.$field.value.to_string(),
                    source: self.$field.source,
                } ),+ ]
            }

            fn change(&mut self, name: &str, text: &str) -> Result<(), SettingError> {
                match name {
                    $( $name => {
                        let value = text.parse::<$ty>().map_err(|want| SettingError::BadValue {
                            name: $name, given: text.to_string(), want,
                        })?;
                        self.$field = WithSource::new(value, SetByCompetition);
                        Ok(())
                    } )+
                    _ => Err(SettingError::UnknownName(name.to_string())),
                }
            }
        }
    };
}

edition! {
    /// Side of the infield square, base to base (m).
    infield_side: Length = "infield-side", "setting-infield-side";
    /// Side of fair territory, the home corner as origin (m).
    fair_side: Length = "fair-side", "setting-fair-side";
    /// Distance of the no-hit line from home along each foul line (m).
    no_hit: Length = "no-hit", "setting-no-hit";
    /// The least that distance may be reduced to (m).
    no_hit_minimum: Length = "no-hit-minimum", "setting-no-hit-minimum";
    /// Shape of the no-hit zone.
    no_hit_shape: NoHitShape = "no-hit-shape", "setting-no-hit-shape";
    /// Side of the batter's box, outside fair territory (m).
    batters_box: Length = "batters-box", "setting-batters-box";
    /// Side of a base (m).
    base_side: Length = "base-side", "setting-base-side";
    /// Safe area beyond first base (m).
    safe_area: Length = "safe-area", "setting-safe-area";
    /// Height of the fence (m).
    fence_height: Length = "fence-height", "setting-fence-height";
    /// Scheduled innings.
    innings: Count = "innings", "setting-innings";
    /// Players on a card, hitters and reserves together.
    roster_limit: RosterLimit = "roster-limit", "setting-roster-limit";
    /// Players of each gender on defence at all times; 0 is an open competition.
    gender_minimum: GenderMinimum = "gender-minimum", "setting-gender-minimum";
    /// Who may come back.
    re_entry: ReEntry = "re-entry", "setting-re-entry";
    /// Who may replace an injured player.
    injury_cover: InjuryCover = "injury-cover", "setting-injury-cover";
    /// Time-outs a side may take.
    time_outs: TimeOuts = "time-outs", "setting-time-outs";
    /// Leads that end a game early.
    run_ahead: RunAhead = "run-ahead", "setting-run-ahead";
    /// Runners placed when extra innings open.
    tie_break_runners: TieBreakRunners = "tie-break-runners", "setting-tie-break-runners";
    /// Which players those are.
    tie_break_who: TieBreakWho = "tie-break-who", "setting-tie-break-who";
    /// Who takes third when the batter due stands there.
    loaded_runner: LoadedRunner = "loaded-runner", "setting-loaded-runner";
    /// What hitting out of turn costs.
    out_of_turn: OutOfTurn = "out-of-turn", "setting-out-of-turn";
    /// Whether the batter raises a hand.
    hand_raise: HandRaise = "hand-raise", "setting-hand-raise";
    /// Bases given when the ball goes out of play.
    awards: Awards = "awards", "setting-awards";
    /// Which runs of a winning last play count.
    walk_off_runs: WalkOffRuns = "walk-off-runs", "setting-walk-off-runs";
    /// What a second warning to the same person leads to.
    second_warning: SecondWarning = "second-warning", "setting-second-warning";
    /// The time that a game may take.
    game_clock: GameLimit = "game-clock", "setting-game-clock";
    /// Between two half-innings.
    half_inning_clock: Countdown = "half-inning-clock", "setting-half-inning-clock";
    /// Until the batter hits.
    hit_clock: Countdown = "hit-clock", "setting-hit-clock";
    /// How long a time-out lasts.
    time_out_clock: Countdown = "time-out-clock", "setting-time-out-clock";
    /// What a runner's leaving before the hit does.
    left_early: LeftEarly = "left-early", "setting-left-early";
    /// Complete innings after which a called game counts; the home side's lead
    /// after its opponents' so-manieth turn is enough.
    called_game: Count = "called-game", "setting-called-game";
    /// What a called game that is level becomes.
    ties: Ties = "ties", "setting-ties";
    /// When the lead of the run-ahead rule is looked at.
    run_ahead_when: RunAheadWhen = "run-ahead-when", "setting-run-ahead-when";
    /// A larger lead when the other side forfeits.
    forfeit_larger: ForfeitLarger = "forfeit-larger", "setting-forfeit-larger";
    /// Who is credited with the putout of an illegal hit.
    illegal_putout: IllegalPutout = "illegal-putout", "setting-illegal-putout";
    /// Whether a run-scoring fly is a time at bat.
    run_scoring_fly: RunScoringFly = "run-scoring-fly", "setting-run-scoring-fly";
    /// Runs a forfeit is entered with, to nil.
    forfeit_score: Score = "forfeit-score", "setting-forfeit-score";
    /// How many games decide a meeting.
    series: Series = "series", "setting-series";
    /// Who is home in a series.
    series_home: SeriesHome = "series-home", "setting-series-home";
    /// How an unsettled game enters the table.
    unsettled: Disposal = "unsettled-games", "setting-unsettled-games";
    /// Turns at bat that a player needs for each game of the team to be listed
    /// by a batting or slugging average.
    leaders_turns: AGame = "leaders-turns", "setting-leaders-turns";
    /// Chances in the field that a player needs for each game of the team to be
    /// listed by the fielding average.
    leaders_chances: AGame = "leaders-chances", "setting-leaders-chances";
    /// How a tied game enters the table.
    tied_games: TiedGames = "tied-games", "setting-tied-games";
    /// Games of the team that a player misses after being sent off.
    ejection_carries: GamesMissed = "ejection-carries", "setting-ejection-carries";
}

const M: fn(u32) -> Length = Length::from_mm;

impl Edition {
    /// The federation's published edition.
    #[must_use]
    pub fn federation() -> Self {
        let field = Published(GlossaryField);
        let end = Published(GlossaryEnd);
        Self {
            base: BuiltIn::Federation,
            infield_side: WithSource::new(M(13_000), field),
            fair_side: WithSource::new(M(18_000), field),
            no_hit: WithSource::new(M(4_500), field),
            no_hit_minimum: WithSource::new(M(3_000), field),
            no_hit_shape: WithSource::new(NoHitShape::Line, field),
            batters_box: WithSource::new(M(3_000), field),
            base_side: WithSource::new(M(500), field),
            safe_area: WithSource::new(M(1_500), field),
            fence_height: WithSource::new(M(1_000), field),
            innings: WithSource::new(fixed(Count::new(5)), end),
            roster_limit: WithSource::new(
                fixed(RosterLimit::new(8)),
                Published(GlossaryPreliminaries),
            ),
            gender_minimum: WithSource::new(fixed(GenderMinimum::new(0)), FromMemory),
            re_entry: WithSource::new(ReEntry::StarterOnce, FromMemory),
            injury_cover: WithSource::new(InjuryCover::LastResort, FromMemory),
            time_outs: WithSource::new(TimeOuts::Unlimited, FromMemory),
            run_ahead: WithSource::new(
                RunAhead::new(&[
                    Run {
                        lead: 15,
                        innings: 3,
                    },
                    Run {
                        lead: 10,
                        innings: 4,
                    },
                ]),
                end,
            ),
            tie_break_runners: WithSource::new(fixed(TieBreakRunners::new(&[1, 2, 3])), end),
            tie_break_who: WithSource::new(TieBreakWho::NearestOnFirst, FromMemory),
            loaded_runner: WithSource::new(LoadedRunner::Either, FromMemory),
            out_of_turn: WithSource::new(OutOfTurn::DueOut, CommonPractice),
            hand_raise: WithSource::new(HandRaise::Custom, FromMemory),
            awards: WithSource::new(Awards::Umpire, FromMemory),
            walk_off_runs: WithSource::new(WalkOffRuns::WholePlay, FromMemory),
            second_warning: WithSource::new(SecondWarning::Nothing, FromMemory),
            game_clock: WithSource::new(GameLimit::Off, FromMemory),
            half_inning_clock: WithSource::new(Countdown::Off, FromMemory),
            hit_clock: WithSource::new(Countdown::Off, FromMemory),
            time_out_clock: WithSource::new(Countdown::Off, FromMemory),
            left_early: WithSource::new(LeftEarly::Live, FromMemory),
            called_game: WithSource::new(fixed(Count::new(3)), FromMemory),
            ties: WithSource::new(Ties::PlayedOn, FromMemory),
            run_ahead_when: WithSource::new(RunAheadWhen::Complete, end),
            forfeit_larger: WithSource::new(ForfeitLarger::Fixed, FromMemory),
            illegal_putout: WithSource::new(IllegalPutout::Nobody, FromMemory),
            run_scoring_fly: WithSource::new(RunScoringFly::AtBat, FromMemory),
            forfeit_score: WithSource::new(fixed(Score::new(5)), FromMemory),
            series: WithSource::new(Series::Single, CommonPractice),
            series_home: WithSource::new(SeriesHome::SwapThenToss, FromMemory),
            unsettled: WithSource::new(Disposal::LeftOut, FromMemory),
            // Official Baseball Rules 9.22(a), from memory, text not read: 3.1
            // plate appearances for each game scheduled, to the nearest whole
            // number. Taken over as it is: five hitters make fifteen outs as
            // nine make twenty-seven. Its fielding clause counts games at a
            // position, which no record here has: one chance a game is policy.
            leaders_turns: WithSource::new(fixed(AGame::from_tenths(31)), FromMemory),
            leaders_chances: WithSource::new(fixed(AGame::from_tenths(10)), FromMemory),
            tied_games: WithSource::new(TiedGames::Half, FromMemory),
            ejection_carries: WithSource::new(fixed(GamesMissed::new(0)), FromMemory),
        }
    }

    /// The youth variant: the no-hit line at 3 m.
    #[must_use]
    pub fn youth() -> Self {
        Self {
            base: BuiltIn::Youth,
            no_hit: WithSource::new(M(3_000), Published(GlossaryField)),
            ..Self::federation()
        }
    }

    /// An introductory edition, common practice: the first bounce at least 3 m
    /// from home (under 14: 2 m), a fence of 0.6 to 0.8 m.
    #[must_use]
    pub fn introductory() -> Self {
        Self {
            base: BuiltIn::Introductory,
            infield_side: WithSource::new(M(13_000), CommonPractice),
            fair_side: WithSource::new(M(18_000), Derived),
            no_hit: WithSource::new(M(3_000), CommonPractice),
            no_hit_minimum: WithSource::new(M(2_000), CommonPractice),
            no_hit_shape: WithSource::new(NoHitShape::Distance, CommonPractice),
            batters_box: WithSource::new(M(3_000), CommonPractice),
            fence_height: WithSource::new(M(700), CommonPractice),
            ..Self::federation()
        }
    }

    /// A built-in edition.
    #[must_use]
    pub fn built_in(base: BuiltIn) -> Self {
        match base {
            BuiltIn::Federation => Self::federation(),
            BuiltIn::Youth => Self::youth(),
            BuiltIn::Introductory => Self::introductory(),
        }
    }

    /// The built-in edition this one is a copy of.
    #[must_use]
    pub fn base(&self) -> BuiltIn {
        self.base
    }

    /// The changed values only, as `(name, text)`.
    #[must_use]
    pub fn changes(&self) -> Vec<(&'static str, String)> {
        self.settings()
            .into_iter()
            .filter(|s| s.source == SetByCompetition)
            .map(|s| (s.name, s.value))
            .collect()
    }

    /// The SHA-256 of the first `count` values, in the order of
    /// [`Edition::NAMES`]: of the deterministic CBOR of `[[name, value]...]`,
    /// both as text. New values go to the end of the list, so that what was
    /// pinned earlier can still be compared.
    #[cfg(feature = "log")]
    #[must_use]
    pub fn pin(&self, count: u8) -> crate::log::Hash {
        let settings = self.settings();
        let first = settings.iter().take(usize::from(count));
        let values: Vec<(&str, &str)> = first.map(|s| (s.name, s.value.as_str())).collect();
        // Writing to memory cannot fail.
        crate::log::Hash::of(&minicbor::to_vec(values).unwrap_or_default())
    }

    /// A copy with one value changed.
    ///
    /// # Errors
    /// When the name is unknown, the text is no value of it, or the value
    /// contradicts another.
    pub fn with(self, name: &str, text: &str) -> Result<Self, SettingError> {
        self.with_all([(name, text)])
    }

    /// A copy with several values changed together.
    ///
    /// # Errors
    /// As [`Edition::with`]; contradictions are looked for at the end only.
    pub fn with_all<'a>(
        mut self,
        changes: impl IntoIterator<Item = (&'a str, &'a str)>,
    ) -> Result<Self, SettingError> {
        for (name, text) in changes {
            self.change(name, text)?;
        }
        match self.contradiction() {
            Some(what) => Err(SettingError::Contradiction(what)),
            None => Ok(self),
        }
    }

    fn contradiction(&self) -> Option<EditionContradiction> {
        if *self.no_hit < *self.no_hit_minimum {
            Some(EditionContradiction::NoHitLineNear)
        } else if *self.no_hit >= *self.infield_side {
            Some(EditionContradiction::NoHitLineFar)
        } else if *self.fair_side < *self.infield_side {
            Some(EditionContradiction::FairTerritory)
        } else if self.base_side.mm() == 0 || self.base_side.mm() * 2 >= self.infield_side.mm() {
            Some(EditionContradiction::BaseSize)
        } else {
            None
        }
    }
}

/// Unwraps a built-in value; the tests build every edition.
fn fixed<T>(value: Option<T>) -> T {
    match value {
        Some(v) => v,
        None => unreachable!("a built-in rule value is outside its own range"),
    }
}
