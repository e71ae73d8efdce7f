//! The court itself: its lengths, its marks and where it lies.

use alloc::string::String;
use alloc::vec::Vec;
use core::fmt;

use libm::{cos, floor, sin};

use super::shape::{Point, Rect};
use super::tape::{Units, said};
use crate::message::{Message, Speech, localized, text};
use crate::rules::{Edition, Length, NoHitShape};

/// A length of the court that an edition sets and a small space may reduce.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Measure {
    /// Side of the infield square, base to base.
    InfieldSide,
    /// Side of fair territory.
    FairSide,
    /// Distance of the no-hit line from home along each foul line.
    NoHit,
}

/// A length that had to be less than the edition says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Reduction {
    measure: Measure,
    edition: Length,
    used: Length,
    within: bool,
}

impl Reduction {
    pub(super) fn new(measure: Measure, edition: Length, used: Length, within: bool) -> Self {
        Self {
            measure,
            edition,
            used,
            within,
        }
    }

    /// What was reduced.
    #[must_use]
    pub fn measure(&self) -> Measure {
        self.measure
    }

    /// The edition's value.
    #[must_use]
    pub fn edition(&self) -> Length {
        self.edition
    }

    /// The value of this court.
    #[must_use]
    pub fn used(&self) -> Length {
        self.used
    }

    /// How much less it is, in millimetres.
    #[must_use]
    pub fn less_mm(&self) -> u32 {
        self.edition.mm().saturating_sub(self.used.mm())
    }

    /// Whether the edition itself allows the reduced value: only the no-hit
    /// line may come nearer, down to its minimum.
    #[must_use]
    pub fn within_edition(&self) -> bool {
        self.within
    }
}

impl Reduction {
    /// What was reduced and by how much.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        self.say(units)
    }

    /// The same as a message.
    #[must_use]
    pub fn message(&self, units: Units) -> Message {
        self.say(units)
    }

    fn say<S: Speech>(&self, units: Units) -> S {
        let (what, less) = (self.measure, Length::from_mm(self.less_mm()));
        let [used, full, less] = [self.used, self.edition, less].map(|l| said(l, units));
        match self.within {
            true => text!("reduction-within", what, used, full, less),
            false => text!("reduction-beyond", what, used, full, less),
        }
    }
}

impl fmt::Display for Reduction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence(Units::Metric))
    }
}

/// Where home lies on the plan and which way the court opens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    home: Point,
    turn: f64,
}

impl Placement {
    pub(super) fn new(home: Point, turn: f64) -> Self {
        Self { home, turn }
    }

    /// The home corner on the plan.
    #[must_use]
    pub fn home(&self) -> Point {
        self.home
    }

    /// Direction from home to first base, radians anticlockwise from the
    /// plan's right.
    #[must_use]
    pub fn turn(&self) -> f64 {
        self.turn
    }

    /// A point of the court on the plan.
    #[must_use]
    pub fn on_plan(&self, court: Point) -> Point {
        let (s, c) = (sin(self.turn), cos(self.turn));
        Point::new(
            self.home.x + court.x * c - court.y * s,
            self.home.y + court.x * s + court.y * c,
        )
    }

    /// A point of the plan on the court.
    #[must_use]
    pub fn on_court(&self, plan: Point) -> Point {
        let (s, c) = (sin(self.turn), cos(self.turn));
        let d = plan.minus(self.home);
        Point::new(d.x * c + d.y * s, d.y * c - d.x * s)
    }
}

/// A named spot that a tape can find.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Mark {
    /// The home corner, where the foul lines meet.
    Home,
    /// Outer corner of first base, on the first-base foul line.
    First,
    /// Outer corner of second base.
    Second,
    /// Outer corner of third base, on the third-base foul line.
    Third,
    /// Where the first-base foul line meets the fence.
    RightCorner,
    /// The fence corner opposite home.
    FarCorner,
    /// Where the third-base foul line meets the fence.
    LeftCorner,
    /// No-hit line on the first-base foul line.
    NoHitFirst,
    /// No-hit line on the third-base foul line.
    NoHitThird,
    /// Batter's box behind home on the first-base foul line, extended.
    BoxFirst,
    /// Batter's box behind home on the third-base foul line, extended.
    BoxThird,
    /// Corner of the batter's box opposite home.
    BoxBack,
    /// Near end of the foul half of first base, away from the line.
    FoulHalfNear,
    /// Far end of the foul half of first base, away from the line.
    FoulHalfFar,
    /// End of the safe area on the foul line.
    SafeEnd,
    /// End of the safe area, away from the line.
    SafeEndOut,
}

impl Mark {
    /// Every mark.
    pub const ALL: [Self; 16] = [
        Self::Home,
        Self::First,
        Self::Second,
        Self::Third,
        Self::RightCorner,
        Self::FarCorner,
        Self::LeftCorner,
        Self::NoHitFirst,
        Self::NoHitThird,
        Self::BoxFirst,
        Self::BoxThird,
        Self::BoxBack,
        Self::FoulHalfNear,
        Self::FoulHalfFar,
        Self::SafeEnd,
        Self::SafeEndOut,
    ];
}

/// A court that can be played on: every length set, every hard minimum kept.
///
/// Its own frame has home at the origin, `x` along the foul line to first
/// base and `y` along the foul line to third base, in metres. First base is
/// on the right as seen from home, always.
#[derive(Clone, Debug, PartialEq)]
pub struct Court {
    pub(super) infield: Length,
    pub(super) fair: Length,
    pub(super) no_hit: Length,
    pub(super) no_hit_shape: NoHitShape,
    pub(super) batters_box: Length,
    pub(super) base: Length,
    pub(super) safe_area: Length,
    pub(super) fence_height: Length,
    pub(super) run_off: Length,
    pub(super) reductions: Vec<Reduction>,
    pub(super) placement: Option<Placement>,
}

impl Court {
    /// The edition's full court, not yet laid anywhere.
    #[must_use]
    pub fn full(edition: &Edition, run_off: Length) -> Self {
        Self::scaled(edition, run_off, **edition.infield_side())
    }

    /// A court with this infield side; the other lengths follow in the
    /// edition's proportion, rounded down to whole centimetres, the no-hit
    /// line not under its minimum. Sizes that do not shrink with the court
    /// (box, bases, safe area) stay as they are.
    pub(super) fn scaled(edition: &Edition, run_off: Length, infield: Length) -> Self {
        let full = **edition.infield_side();
        let reduced = infield < full;
        let share = |l: Length| -> Length {
            if reduced {
                let mm = f64::from(l.mm()) * f64::from(infield.mm()) / f64::from(full.mm().max(1));
                Length::from_mm((floor(mm / 10.0 + 1e-9) as u32).saturating_mul(10))
            } else {
                l
            }
        };
        let infield = infield.min(full);
        let fair = share(**edition.fair_side());
        let no_hit = share(**edition.no_hit()).max(**edition.no_hit_minimum());
        let mut reductions = Vec::new();
        for (measure, of, used, within) in [
            (Measure::InfieldSide, full, infield, false),
            (Measure::FairSide, **edition.fair_side(), fair, false),
            (Measure::NoHit, **edition.no_hit(), no_hit, true),
        ] {
            if used < of {
                reductions.push(Reduction::new(measure, of, used, within));
            }
        }
        Self {
            infield,
            fair,
            no_hit,
            no_hit_shape: **edition.no_hit_shape(),
            batters_box: **edition.batters_box(),
            base: **edition.base_side(),
            safe_area: **edition.safe_area(),
            fence_height: **edition.fence_height(),
            run_off,
            reductions,
            placement: None,
        }
    }

    /// Side of the infield square, base to base.
    #[must_use]
    pub fn infield_side(&self) -> Length {
        self.infield
    }

    /// Side of fair territory.
    #[must_use]
    pub fn fair_side(&self) -> Length {
        self.fair
    }

    /// Distance of the no-hit line from home along each foul line.
    #[must_use]
    pub fn no_hit(&self) -> Length {
        self.no_hit
    }

    /// Shape of the no-hit zone.
    #[must_use]
    pub fn no_hit_shape(&self) -> NoHitShape {
        self.no_hit_shape
    }

    /// Side of the batter's box.
    #[must_use]
    pub fn batters_box(&self) -> Length {
        self.batters_box
    }

    /// Side of a base.
    #[must_use]
    pub fn base_side(&self) -> Length {
        self.base
    }

    /// Length of the safe area beyond first base.
    #[must_use]
    pub fn safe_area(&self) -> Length {
        self.safe_area
    }

    /// Height of the fence.
    #[must_use]
    pub fn fence_height(&self) -> Length {
        self.fence_height
    }

    /// Clear ground kept all round.
    #[must_use]
    pub fn run_off(&self) -> Length {
        self.run_off
    }

    /// What is less than the edition says, empty for a full court.
    #[must_use]
    pub fn reductions(&self) -> &[Reduction] {
        &self.reductions
    }

    /// Whether every length is one the edition allows.
    #[must_use]
    pub fn is_within_edition(&self) -> bool {
        self.reductions.iter().all(Reduction::within_edition)
    }

    /// Where the court lies in its space, when it was fitted into one.
    #[must_use]
    pub fn placement(&self) -> Option<Placement> {
        self.placement
    }

    /// The outline of the ground the court takes, without run-off, on the
    /// court's own frame: fair territory, the batter's box, and the foul half
    /// of first base with the safe area.
    #[must_use]
    pub fn footprint(&self) -> [[Point; 4]; 3] {
        self.size().parts().map(|r| r.corners())
    }

    pub(super) fn size(&self) -> Size {
        Size {
            infield: self.infield.metres(),
            fair: self.fair.metres(),
            batters_box: self.batters_box.metres(),
            base: self.base.metres(),
            safe: self.safe_area.metres(),
        }
    }

    /// A mark on the court's own frame, in metres.
    #[must_use]
    pub fn mark(&self, mark: Mark) -> Point {
        let (i, f, n) = (
            self.infield.metres(),
            self.fair.metres(),
            self.no_hit.metres(),
        );
        let (b, w, s) = (
            self.batters_box.metres(),
            self.base.metres(),
            self.safe_area.metres(),
        );
        let (x, y) = match mark {
            Mark::Home => (0.0, 0.0),
            Mark::First => (i, 0.0),
            Mark::Second => (i, i),
            Mark::Third => (0.0, i),
            Mark::RightCorner => (f, 0.0),
            Mark::FarCorner => (f, f),
            Mark::LeftCorner => (0.0, f),
            Mark::NoHitFirst => (n, 0.0),
            Mark::NoHitThird => (0.0, n),
            Mark::BoxFirst => (-b, 0.0),
            Mark::BoxThird => (0.0, -b),
            Mark::BoxBack => (-b, -b),
            Mark::FoulHalfNear => (i - w, -w),
            Mark::FoulHalfFar => (i, -w),
            Mark::SafeEnd => (i + s, 0.0),
            Mark::SafeEndOut => (i + s, -w),
        };
        Point::new(x, y)
    }

    /// One sentence for each reduction, or one that says there is none.
    #[must_use]
    pub fn sentences(&self, units: Units) -> Vec<String> {
        if self.reductions.is_empty() {
            alloc::vec![text!("court-full-size")]
        } else {
            self.reductions.iter().map(|r| r.sentence(units)).collect()
        }
    }
}

/// The lengths that decide how much ground a court takes, in metres.
#[derive(Clone, Copy, Debug)]
pub(super) struct Size {
    pub infield: f64,
    pub fair: f64,
    pub batters_box: f64,
    pub base: f64,
    pub safe: f64,
}

impl Size {
    /// The same with infield and fair territory scaled.
    pub(super) fn times(&self, k: f64) -> Self {
        Self {
            infield: self.infield * k,
            fair: self.fair * k,
            ..*self
        }
    }

    pub(super) fn parts(&self) -> [Rect; 3] {
        [
            Rect {
                x0: 0.0,
                y0: 0.0,
                x1: self.fair,
                y1: self.fair,
            },
            Rect {
                x0: -self.batters_box,
                y0: -self.batters_box,
                x1: 0.0,
                y1: 0.0,
            },
            Rect {
                x0: self.infield - self.base,
                y0: -self.base,
                x1: self.infield + self.safe,
                y1: 0.0,
            },
        ]
    }
}
