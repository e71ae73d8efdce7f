//! The check of a square already on the ground.
//!
//! Four sides and two diagonals are six readings of a figure that five numbers
//! describe, so one reading may be missing, and six can contradict each other.
//! The figure is the one whose lengths differ least from the readings (least
//! squares, Gauss-Newton); it is then laid on the square it should be.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;
use core::fmt;

use libm::{atan2, cos, fabs, round, sin, sqrt};

use super::layout::{Court, Mark};
use super::shape::Point;
use super::tape::{TapeLength, Units};

/// Which square was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Square {
    /// Home, first, second and third base, at their outer corners.
    Infield,
    /// Home and the three fence corners.
    Fair,
}

impl Square {
    /// The corners, anticlockwise from home.
    #[must_use]
    pub const fn corners(self) -> [Mark; 4] {
        match self {
            Self::Infield => [Mark::Home, Mark::First, Mark::Second, Mark::Third],
            Self::Fair => [
                Mark::Home,
                Mark::RightCorner,
                Mark::FarCorner,
                Mark::LeftCorner,
            ],
        }
    }

    fn side(self, court: &Court) -> f64 {
        match self {
            Self::Infield => court.infield_side().metres(),
            Self::Fair => court.fair_side().metres(),
        }
    }
}

/// One length of the six.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stretch {
    /// Home to the corner on the first-base line.
    HomeRight,
    /// That corner to the far one.
    RightFar,
    /// The far corner to the one on the third-base line.
    FarLeft,
    /// That corner to home.
    LeftHome,
    /// The diagonal from home.
    HomeFar,
    /// The other diagonal.
    RightLeft,
}

impl Stretch {
    /// All six, sides first.
    pub const ALL: [Self; 6] = [
        Self::HomeRight,
        Self::RightFar,
        Self::FarLeft,
        Self::LeftHome,
        Self::HomeFar,
        Self::RightLeft,
    ];

    const fn ends(self) -> (usize, usize) {
        match self {
            Self::HomeRight => (0, 1),
            Self::RightFar => (1, 2),
            Self::FarLeft => (2, 3),
            Self::LeftHome => (3, 0),
            Self::HomeFar => (0, 2),
            Self::RightLeft => (1, 3),
        }
    }

    /// The stretch as it reads inside a sentence.
    #[must_use]
    pub fn name(self, square: Square) -> String {
        let [h, r, f, l] = square.corners();
        let (a, b) = match self {
            Self::HomeRight => (h, r),
            Self::RightFar => (r, f),
            Self::FarLeft => (f, l),
            Self::LeftHome => (l, h),
            Self::HomeFar => (h, f),
            Self::RightLeft => (r, l),
        };
        format!("{a} to {b}")
    }
}

/// Tape readings of a square, in metres; `None` where none was taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Readings {
    /// Which square.
    pub square: Square,
    /// Readings in the order of [`Stretch::ALL`].
    pub metres: [Option<f64>; 6],
}

impl Readings {
    /// No reading yet.
    #[must_use]
    pub const fn none(square: Square) -> Self {
        Self {
            square,
            metres: [None; 6],
        }
    }

    /// With one reading added.
    #[must_use]
    pub fn with(mut self, stretch: Stretch, metres: f64) -> Self {
        for (s, m) in Stretch::ALL.into_iter().zip(&mut self.metres) {
            if s == stretch {
                *m = Some(metres);
            }
        }
        self
    }

    fn taken(&self) -> impl Iterator<Item = (Stretch, f64)> + '_ {
        let some = |(s, m): (Stretch, &Option<f64>)| m.map(|m| (s, m));
        Stretch::ALL.into_iter().zip(&self.metres).filter_map(some)
    }
}

/// One thing wrong with the readings.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadingObjection {
    /// Not a finite length.
    NotANumber(Square, Stretch),
    /// More than a quarter off what it should be: a slip of the tape or pen.
    FarOff {
        /// Which square.
        square: Square,
        /// Which stretch.
        stretch: Stretch,
        /// The reading (m).
        got: f64,
        /// What it should be (m).
        want: f64,
    },
    /// Fewer than five readings; these are missing.
    TooFew(Square, Vec<Stretch>),
}

impl ReadingObjection {
    /// What is wrong, and what to do.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        match self {
            Self::NotANumber(q, s) => format!("{}: this is not a length.", s.name(*q)),
            Self::FarOff {
                square,
                stretch,
                got,
                want,
            } => format!(
                "{}: {} cannot be right, it should be near {}. Measure it again.",
                stretch.name(*square),
                TapeLength::from_metres(*got).show(units),
                TapeLength::from_metres(*want).show(units)
            ),
            Self::TooFew(q, missing) => {
                let names: Vec<String> = missing.iter().map(|s| s.name(*q)).collect();
                format!(
                    "Five of the six lengths are needed, a square can lean otherwise. Missing: {}.",
                    names.join("; ")
                )
            }
        }
    }
}

impl fmt::Display for ReadingObjection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence(Units::Metric))
    }
}

/// Everything wrong with the readings, at least one thing.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingsRefused(Vec<ReadingObjection>);

impl ReadingsRefused {
    /// Each thing wrong.
    #[must_use]
    pub fn objections(&self) -> &[ReadingObjection] {
        &self.0
    }
}

impl fmt::Display for ReadingsRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines: Vec<String> = self.0.iter().map(|o| format!("{o}")).collect();
        f.write_str(&lines.join(" "))
    }
}

impl core::error::Error for ReadingsRefused {}

/// A mark to move, and how.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    mark: Mark,
    by: Point,
}

impl Move {
    /// The mark to move.
    #[must_use]
    pub fn mark(&self) -> Mark {
        self.mark
    }

    /// The way to move it on the court's own frame (m): `x` from home towards
    /// first base, `y` from home towards third base.
    #[must_use]
    pub fn by(&self) -> Point {
        self.by
    }

    /// How far, in whole centimetres.
    #[must_use]
    pub fn distance_cm(&self) -> u32 {
        round(self.by.length() * 100.0) as u32
    }
}

impl Move {
    /// Which way to move it and how far, along the two foul lines.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        let x = (
            small(self.by.x, units),
            if self.by.x > 0.0 {
                "from home to first base"
            } else {
                "from first base to home"
            },
        );
        let y = (
            small(self.by.y, units),
            if self.by.y > 0.0 {
                "from home to third base"
            } else {
                "from third base to home"
            },
        );
        let ways: Vec<String> = [x, y]
            .iter()
            .filter_map(|(far, way)| Some(format!("{} in the direction {way}", far.as_ref()?)))
            .collect();
        if ways.is_empty() {
            format!("Leave {} where it is.", self.mark)
        } else {
            format!("Move {} {}.", self.mark, ways.join(" and "))
        }
    }
}

/// A small distance as the tape shows it; `None` when it shows nothing.
fn small(metres: f64, units: Units) -> Option<String> {
    let far = TapeLength::from_metres(fabs(metres));
    match units {
        Units::Metric if far.cm() == 0 => None,
        Units::Metric => Some(format!("{} cm", far.cm())),
        Units::FeetInches if far.quarter_inches() == 0 => None,
        // "In" twice would read badly.
        Units::FeetInches => Some(format!("{},", far.show(units))),
    }
}

/// Centimetres as they came out, for how far off something is.
fn off(cm: f64, digits: usize, units: Units) -> String {
    match units {
        Units::Metric => format!("{cm:.digits$} cm"),
        Units::FeetInches => format!("{:.1} in", cm / 2.54),
    }
}

/// What is to be done.
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// Every mark is within the tolerance of where it belongs.
    Square,
    /// Three marks are right and one is not.
    MoveOne(Move),
    /// More than one mark is off; home and the way to first base are kept.
    MoveSeveral(Vec<Move>),
    /// The readings contradict each other. If leaving one of them out makes
    /// the rest a true square, that one is named.
    MeasureAgain(Option<Stretch>),
}

/// The verdict on a measured square.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    square: Square,
    finding: Finding,
    worst_cm: f64,
    misfit_cm: f64,
}

impl Verdict {
    /// What is to be done.
    #[must_use]
    pub fn finding(&self) -> &Finding {
        &self.finding
    }

    /// How far the mark that is most off lies from its place (cm).
    #[must_use]
    pub fn worst_cm(&self) -> f64 {
        self.worst_cm
    }

    /// How much the readings contradict each other (cm, root of the sum of
    /// squares); 0 with five readings, which cannot.
    #[must_use]
    pub fn misfit_cm(&self) -> f64 {
        self.misfit_cm
    }

    /// The verdict in short plain sentences.
    #[must_use]
    pub fn sentences(&self, units: Units) -> Vec<String> {
        match &self.finding {
            Finding::Square => alloc::vec![format!(
                "The square is true: no mark is more than {} off.",
                off(self.worst_cm, 1, units)
            )],
            Finding::MoveOne(m) => {
                alloc::vec![
                    String::from("Three marks are right, one is not."),
                    m.sentence(units)
                ]
            }
            Finding::MoveSeveral(moves) => {
                let mut out = alloc::vec![String::from(
                    "More than one mark is off. Keep home and the way to first base.",
                )];
                out.extend(moves.iter().map(|m| m.sentence(units)));
                out.push(String::from("Then measure again."));
                out
            }
            Finding::MeasureAgain(which) => {
                let mut out = alloc::vec![format!(
                    "The readings contradict each other by {}.",
                    off(self.misfit_cm, 0, units)
                )];
                out.push(match which {
                    Some(s) => format!(
                        "Measure {} again: without it the square is true.",
                        s.name(self.square)
                    ),
                    None => String::from("Measure all six again, the tape tight and flat."),
                });
                out
            }
        }
    }
}

/// Judges tape readings of a square of the court.
///
/// `tolerance` is how far a mark may lie from its place (m); below 5 mm counts
/// as 5 mm, since a tape is read to whole centimetres.
///
/// # Errors
/// [`ReadingsRefused`] when a reading is no length or far off, or fewer than
/// five were taken.
pub fn check(
    court: &Court,
    readings: &Readings,
    tolerance: f64,
) -> Result<Verdict, ReadingsRefused> {
    let square = readings.square;
    let side = square.side(court);
    let want = |s: Stretch| match s {
        Stretch::HomeFar | Stretch::RightLeft => side * core::f64::consts::SQRT_2,
        _ => side,
    };
    let mut wrong = Vec::new();
    for (stretch, got) in readings.taken() {
        if !got.is_finite() {
            wrong.push(ReadingObjection::NotANumber(square, stretch));
        } else if fabs(got - want(stretch)) > want(stretch) / 4.0 {
            let want = want(stretch);
            wrong.push(ReadingObjection::FarOff {
                square,
                stretch,
                got,
                want,
            });
        }
    }
    let taken: Vec<(Stretch, f64)> = readings.taken().collect();
    if taken.len() < 5 {
        let has = |s: &Stretch| taken.iter().any(|(t, _)| t == s);
        let missing = Stretch::ALL.into_iter().filter(|s| !has(s)).collect();
        wrong.push(ReadingObjection::TooFew(square, missing));
    }
    if !wrong.is_empty() {
        return Err(ReadingsRefused(wrong));
    }
    let tolerance = if tolerance.is_finite() {
        tolerance.max(0.005)
    } else {
        0.005
    };
    let (figure, misfit) = figure(side, &taken);
    let (finding, worst) = if misfit > tolerance {
        let whole = |skip: Stretch| {
            let rest: Vec<_> = taken.iter().copied().filter(|(s, _)| *s != skip).collect();
            let (figure, _) = self::figure(side, &rest);
            lay(square, side, &figure, tolerance)
        };
        let slip = Stretch::ALL
            .into_iter()
            .filter_map(|s| match whole(s) {
                (Finding::Square, worst) => Some((s, worst)),
                _ => None,
            })
            .min_by(|a, b| a.1.total_cmp(&b.1));
        let (_, worst) = lay(square, side, &figure, tolerance);
        (Finding::MeasureAgain(slip.map(|(s, _)| s)), worst)
    } else {
        lay(square, side, &figure, tolerance)
    };
    Ok(Verdict {
        square,
        finding,
        worst_cm: worst * 100.0,
        misfit_cm: misfit * 100.0,
    })
}

/// The four corners whose lengths differ least from the readings, home at the
/// origin and the next corner on the x axis, and the size of the difference.
fn figure(side: f64, taken: &[(Stretch, f64)]) -> ([Point; 4], f64) {
    // The unknowns: x of the right corner, then x and y of far and left.
    let mut v = [side, side, side, 0.0, side];
    let corners = |v: &[f64; 5]| {
        let [a, b, c, d, e] = *v;
        [
            Point::new(0.0, 0.0),
            Point::new(a, 0.0),
            Point::new(b, c),
            Point::new(d, e),
        ]
    };
    let at = |p: &[Point; 4], i: usize| p.get(i).copied().unwrap_or(Point::new(0.0, 0.0));
    let misfit = |v: &[f64; 5]| {
        let p = corners(v);
        let square = |&(s, got): &(Stretch, f64)| {
            let (i, j) = s.ends();
            let off = at(&p, i).distance(at(&p, j)) - got;
            off * off
        };
        sqrt(taken.iter().map(square).sum())
    };
    for _ in 0..30 {
        let p = corners(&v);
        let mut normal = [[0.0; 6]; 5];
        for &(s, got) in taken {
            let (i, j) = s.ends();
            let d = at(&p, j).minus(at(&p, i));
            let long = d.length().max(1e-9);
            let u = d.times(1.0 / long);
            let mut row = [0.0; 5];
            for (corner, sign) in [(j, 1.0), (i, -1.0)] {
                let slots: &[(usize, f64)] = match corner {
                    1 => &[(0, u.x)],
                    2 => &[(1, u.x), (2, u.y)],
                    3 => &[(3, u.x), (4, u.y)],
                    _ => &[],
                };
                for &(slot, g) in slots {
                    if let Some(r) = row.get_mut(slot) {
                        *r += sign * g;
                    }
                }
            }
            for (line, a) in normal.iter_mut().zip(row) {
                let sums = row.iter().copied().chain([got - long]);
                for (cell, b) in line.iter_mut().zip(sums) {
                    *cell += a * b;
                }
            }
        }
        let Some(step) = gauss(normal) else { break };
        for (x, d) in v.iter_mut().zip(step) {
            *x += d;
        }
        if step.iter().all(|d| fabs(*d) < 1e-10) {
            break;
        }
    }
    (corners(&v), misfit(&v))
}

/// Solves five equations in five unknowns, the right side in the last column.
fn gauss(mut m: [[f64; 6]; 5]) -> Option<[f64; 5]> {
    for k in 0..5 {
        let mut top = k;
        for r in k..5 {
            if fabs(m[r][k]) > fabs(m[top][k]) {
                top = r;
            }
        }
        m.swap(k, top);
        let pivot = m[k];
        if fabs(pivot[k]) < 1e-12 {
            return None;
        }
        for (r, line) in m.iter_mut().enumerate() {
            if r != k {
                let f = line[k] / pivot[k];
                for (a, b) in line.iter_mut().zip(pivot) {
                    *a -= f * b;
                }
            }
        }
    }
    let mut out = [0.0; 5];
    for (k, (o, line)) in out.iter_mut().zip(m).enumerate() {
        *o = line[5] / line[k];
    }
    Some(out)
}

/// Lays the figure on the square it should be.
fn lay(square: Square, side: f64, figure: &[Point; 4], tolerance: f64) -> (Finding, f64) {
    let ideal = [
        Point::new(0.0, 0.0),
        Point::new(side, 0.0),
        Point::new(side, side),
        Point::new(0.0, side),
    ];
    let marks = square.corners();
    // Three marks hold the square; how badly do they, and where is the fourth?
    let mut best: Option<(f64, Move)> = None;
    for (k, mark) in marks.into_iter().enumerate() {
        let pairs = || figure.iter().zip(&ideal).enumerate();
        let three = || pairs().filter(|(i, _)| *i != k).map(|(_, p)| p);
        let (turn, from, to) = rigid(three());
        let placed = |p: Point| turned(p.minus(from), turn).plus(to);
        let off = three()
            .map(|(p, q)| placed(*p).distance(*q))
            .fold(0.0, f64::max);
        let by = pairs()
            .find(|(i, _)| *i == k)
            .map_or(Point::new(0.0, 0.0), |(_, (p, q))| q.minus(placed(*p)));
        if best.as_ref().is_none_or(|(o, _)| off < *o) {
            best = Some((off, Move { mark, by }));
        }
    }
    let Some((off, one)) = best else {
        return (Finding::Square, 0.0);
    };
    let worst = off.max(one.by.length());
    if worst <= tolerance {
        return (Finding::Square, worst);
    }
    if off <= tolerance {
        return (Finding::MoveOne(one), worst);
    }
    let moves: Vec<Move> = marks
        .into_iter()
        .zip(figure.iter().zip(&ideal))
        .map(|(mark, (p, q))| Move {
            mark,
            by: q.minus(*p),
        })
        .filter(|m| m.by.length() > tolerance)
        .collect();
    let worst = moves.iter().map(|m| m.by.length()).fold(0.0, f64::max);
    if moves.is_empty() {
        return (Finding::Square, tolerance);
    }
    (Finding::MoveSeveral(moves), worst)
}

fn turned(p: Point, by: f64) -> Point {
    let (s, c) = (sin(by), cos(by));
    Point::new(p.x * c - p.y * s, p.x * s + p.y * c)
}

/// The turn and the two middles that lay points best on their places.
fn rigid<'a>(pairs: impl Iterator<Item = (&'a Point, &'a Point)> + Clone) -> (f64, Point, Point) {
    let zero = Point::new(0.0, 0.0);
    let (n, p, q) = pairs.clone().fold((0.0, zero, zero), |(n, a, b), (p, q)| {
        (n + 1.0, a.plus(*p), b.plus(*q))
    });
    let (p, q) = (
        p.times(1.0 / f64::max(n, 1.0)),
        q.times(1.0 / f64::max(n, 1.0)),
    );
    let (dot, cross) = pairs.fold((0.0, 0.0), |(d, c), (a, b)| {
        let (a, b) = (a.minus(p), b.minus(q));
        (d + a.dot(b), c + a.cross(b))
    });
    (atan2(cross, dot), p, q)
}
