//! Setting the court out with a tape, chalk and one or two people.
//!
//! The base line is the foul line to first base. Everything on it is measured
//! along it; every other mark is where two tape lengths from marks already
//! there meet, so no angle is ever judged by eye.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

use libm::{fabs, floor, round, sqrt};

use super::layout::{Court, Mark};
use super::shape::Point;
use super::tape::{TapeLength, Units};
use crate::message::{Attribute, Message, Speech, localized, says, text};
use crate::rules::NoHitShape;

/// How many people a step needs.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hands {
    /// One person, the tape's end hooked on a nail or under a weight.
    One,
    /// One at the tape's end or with a second tape, one with the chalk.
    Two,
}

/// What a step asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// Choose the spot of home and the way to first base.
    Start,
    /// Measure along the base line.
    Along {
        /// The new mark.
        mark: Mark,
        /// The mark the tape starts at.
        from: Mark,
        /// The mark the tape runs towards; away from it if `beyond`.
        towards: Mark,
        /// Whether the new mark lies on the far side of `from`, seen from
        /// `towards`.
        beyond: bool,
        /// Tape length.
        length: TapeLength,
    },
    /// The right angle at home by a triangle of 3, 4 and 5 parts.
    ThreeFourFive {
        /// Four parts, along the base line from home.
        along: TapeLength,
        /// Three parts, from home towards third base.
        up: TapeLength,
        /// Five parts, between the two ends.
        across: TapeLength,
    },
    /// A mark where two tape lengths meet.
    Cross {
        /// The new mark.
        mark: Mark,
        /// First known mark and the length from it.
        first: (Mark, TapeLength),
        /// Second known mark and the length from it.
        second: (Mark, TapeLength),
        /// On which side of the line from first to second it lies.
        side: LineSide,
    },
    /// Draw a line through marks.
    Draw {
        /// The marks in order.
        through: Vec<Mark>,
        /// Which line it is.
        line: DrawnLine,
    },
    /// Lay a base with one corner on a mark.
    LayBase {
        /// Where.
        mark: Mark,
    },
    /// Measure both diagonals of fair territory; they must be equal.
    Close {
        /// What each must be.
        diagonal: TapeLength,
    },
}

/// A line that is drawn.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DrawnLine {
    /// The foul line to first base and on to the fence.
    FirstFoul,
    /// The foul line to third base and on to the fence.
    ThirdFoul,
    /// Where the fence stands, or the line in its place.
    Fence,
    /// The no-hit line across the court.
    NoHit,
    /// The no-hit line as an arc about home.
    NoHitArc,
    /// Round the batter's box.
    BattersBox,
    /// Round the safe area beyond first base.
    SafeArea,
}

/// A side of a line, walking from its first mark to its second.
#[localized(hand, lean)]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineSide {
    /// On the left hand.
    Left,
    /// On the right hand.
    Right,
}

/// One step of the set-out.
#[derive(Clone, Debug, PartialEq)]
pub struct SetOutStep {
    hands: Hands,
    task: Task,
}

impl SetOutStep {
    fn new(hands: Hands, task: Task) -> Self {
        Self { hands, task }
    }

    /// People needed.
    #[must_use]
    pub fn hands(&self) -> Hands {
        self.hands
    }

    /// What to do.
    #[must_use]
    pub fn task(&self) -> &Task {
        &self.task
    }

    /// The mark this step makes, if it makes one.
    #[must_use]
    pub fn mark(&self) -> Option<Mark> {
        match &self.task {
            Task::Start => Some(Mark::Home),
            Task::Along { mark, .. } | Task::Cross { mark, .. } => Some(*mark),
            _ => None,
        }
    }

    /// The step in short plain sentences.
    #[must_use]
    pub fn text(&self, units: Units) -> String {
        self.say(units)
    }

    /// The same as a message.
    #[must_use]
    pub fn message(&self, units: Units) -> Message {
        self.say(units)
    }

    fn say<S: Speech>(&self, units: Units) -> S {
        match &self.task {
            Task::Start => text!("task-start"),
            Task::Along {
                mark,
                from,
                towards,
                beyond,
                length,
            } => {
                let length = length.show(units);
                match beyond {
                    true => text!("task-beyond", from, length, towards, mark),
                    false => text!("task-along", from, length, towards, mark),
                }
            }
            Task::ThreeFourFive { along, .. } if units == Units::FeetInches => {
                let part = (along.quarter_inches() / (4 * 48)).max(1);
                let feet = |parts| format!("{} ft", part * parts);
                let (along, up, across) = (feet(4), feet(3), feet(5));
                text!("task-right-angle", along, up, across)
            }
            Task::ThreeFourFive { along, up, across } => {
                let [along, up, across] = [along, up, across].map(|length| length.show(units));
                text!("task-right-angle", along, up, across)
            }
            Task::Cross {
                mark,
                first,
                second,
                side,
            } => {
                let ((from, one), (to, other)) = (first, second);
                let [one, other] = [one, other].map(|length| length.show(units));
                let side = Attribute(side, "hand", side.hand());
                text!("task-cross", one, from, other, to, side, mark)
            }
            Task::Draw { line, through } => text!("task-draw", line, path = Path(through)),
            Task::LayBase { mark: Mark::First } => text!("task-lay-double-base"),
            Task::LayBase { mark } => text!("task-lay-base", mark),
            Task::Close { diagonal } => text!("task-close", diagonal = diagonal.show(units)),
        }
    }
}

/// The marks that a line goes through, one after another.
struct Path<'a>(&'a [Mark]);

impl Path<'_> {
    fn say<S: Speech>(&self) -> S {
        match self.0 {
            [] => text!("path-none"),
            [mark] => text!("path-from", mark),
            [path @ .., mark] => text!("path-then", path = Path(path), mark),
        }
    }
}

/// The steps that set a court out, in order.
///
/// Each length is rounded to what the tape shows; the pairs of known marks
/// are those for which that rounding moves the new mark least.
#[must_use]
pub fn set_out(court: &Court) -> Vec<SetOutStep> {
    let mut steps = alloc::vec![SetOutStep::new(Hands::One, Task::Start)];
    let origin = Point::new(0.0, 0.0);
    let mut known = alloc::vec![(Mark::Home, [origin, origin])];
    let along = |mark: Mark, beyond: bool, hands: Hands| {
        SetOutStep::new(
            hands,
            Task::Along {
                mark,
                from: Mark::Home,
                towards: if mark == Mark::RightCorner {
                    Mark::First
                } else {
                    Mark::RightCorner
                },
                beyond,
                length: TapeLength::from_metres(fabs(court.mark(mark).x)),
            },
        )
    };
    // The far end first: the tape stays down while the nearer marks are made.
    for mark in [
        Mark::RightCorner,
        Mark::First,
        Mark::NoHitFirst,
        Mark::SafeEnd,
    ] {
        if mark == Mark::SafeEnd && court.safe_area().mm() == 0 {
            continue;
        }
        steps.push(along(mark, false, Hands::One));
        known.push((mark, on_tape(court.mark(mark))));
    }
    if court.batters_box().mm() > 0 {
        steps.push(along(Mark::BoxFirst, true, Hands::One));
        known.push((Mark::BoxFirst, on_tape(court.mark(Mark::BoxFirst))));
    }
    steps.push(SetOutStep::new(Hands::Two, three_four_five(court)));
    for mark in [
        Mark::LeftCorner,
        Mark::FarCorner,
        Mark::Third,
        Mark::Second,
        Mark::NoHitThird,
        Mark::BoxThird,
        Mark::BoxBack,
        Mark::FoulHalfFar,
        Mark::SafeEndOut,
        Mark::FoulHalfNear,
    ] {
        let absent = match mark {
            Mark::BoxThird | Mark::BoxBack => court.batters_box().mm() == 0,
            Mark::SafeEndOut => court.safe_area().mm() == 0,
            _ => false,
        };
        if absent {
            continue;
        }
        if let Some((step, places)) = cross(court, mark, &known) {
            steps.push(step);
            known.push((mark, places));
        }
    }
    steps.push(SetOutStep::new(
        Hands::Two,
        Task::Close {
            diagonal: diagonal(court),
        },
    ));
    for mark in [Mark::First, Mark::Second, Mark::Third] {
        steps.push(SetOutStep::new(Hands::One, Task::LayBase { mark }));
    }
    steps.extend(lines(court));
    steps
}

/// What each diagonal of fair territory must be.
#[must_use]
pub fn diagonal(court: &Court) -> TapeLength {
    TapeLength::from_metres(court.fair_side().metres() * core::f64::consts::SQRT_2)
}

/// Where a mark of the base line lands when measured by either tape.
fn on_tape(p: Point) -> [Point; 2] {
    let sign = if p.x < 0.0 { -1.0 } else { 1.0 };
    TapeLength::from_metres(fabs(p.x))
        .shown()
        .map(|x| Point::new(sign * x, 0.0))
}

/// The largest triangle of 3, 4 and 5 parts of whole decimetres whose long
/// side lies on the base line.
fn three_four_five(court: &Court) -> Task {
    let room = court.fair_side().metres();
    let part = (floor(room / 4.0 * 10.0) / 10.0).max(0.1);
    let part = if part >= 1.0 {
        floor(part * 2.0) / 2.0
    } else {
        part
    };
    Task::ThreeFourFive {
        along: TapeLength::from_metres(part * 4.0),
        up: TapeLength::from_metres(part * 3.0),
        across: TapeLength::from_metres(part * 5.0),
    }
}

/// The two known marks from which a mark is usually measured.
const fn usual(mark: Mark) -> (Mark, Mark) {
    match mark {
        Mark::LeftCorner | Mark::FarCorner => (Mark::Home, Mark::RightCorner),
        Mark::NoHitThird => (Mark::Home, Mark::NoHitFirst),
        Mark::BoxBack => (Mark::Home, Mark::BoxFirst),
        Mark::FoulHalfNear | Mark::FoulHalfFar | Mark::SafeEndOut => (Mark::First, Mark::SafeEnd),
        _ => (Mark::Home, Mark::First),
    }
}

/// Rounding may move a mark this far (m) before another pair is looked for.
const USUAL_ALLOWED: f64 = 0.008;

/// Two known marks and the lengths from them, each rounded to a centimetre,
/// that put a mark where it belongs: the usual pair if that is exact enough,
/// else the most exact.
fn cross(
    court: &Court,
    mark: Mark,
    known: &[(Mark, [Point; 2])],
) -> Option<(SetOutStep, [Point; 2])> {
    let goal = court.mark(mark);
    let (one, other) = usual(mark);
    let mut best: Option<(f64, SetOutStep, [Point; 2])> = None;
    for (i, &(a, pa)) in known.iter().enumerate() {
        for &(b, pb) in known.iter().skip(i + 1) {
            let (ta, tb) = (court.mark(a), court.mark(b));
            let (da, db) = (goal.distance(ta), goal.distance(tb));
            let spread = goal.minus(ta).cross(goal.minus(tb)) / (da * db).max(1e-9);
            // Tapes that meet at less than 15 degrees do not cross sharply.
            if fabs(spread) < 0.25 || da < 0.05 || db < 0.05 {
                continue;
            }
            let (la, lb) = (TapeLength::from_metres(da), TapeLength::from_metres(db));
            let left = tb.minus(ta).cross(goal.minus(ta)) > 0.0;
            let ([a0, a1], [b0, b1]) = (la.shown(), lb.shown());
            let ([p0, p1], [q0, q1]) = (pa, pb);
            let metric = meet(p0, a0, q0, b0, left);
            let (Some(metric), Some(inches)) = (metric, meet(p1, a1, q1, b1, left)) else {
                continue;
            };
            // The worse of the two kinds of tape counts.
            let error = metric.distance(goal).max(inches.distance(goal));
            let expected = (a, b) == (one, other) || (a, b) == (other, one);
            let off = if expected && error <= USUAL_ALLOWED {
                -1.0
            } else {
                // A blunt crossing, long tapes and marks that were themselves
                // crossed add errors of the hand.
                let crossed = [ta, tb].iter().filter(|p| p.y != 0.0).count();
                let hand = 0.001 / fabs(spread) + 5e-5 * (da + db);
                error + hand + if crossed > 0 { 0.001 } else { 0.0 }
            };
            if best.as_ref().is_none_or(|(o, _, _)| off < *o) {
                let side = if left {
                    LineSide::Left
                } else {
                    LineSide::Right
                };
                let task = Task::Cross {
                    mark,
                    first: (a, la),
                    second: (b, lb),
                    side,
                };
                best = Some((off, SetOutStep::new(Hands::Two, task), [metric, inches]));
            }
        }
    }
    best.map(|(_, step, places)| (step, places))
}

/// Where two circles meet, on the left of the way from `p` to `q` or the right.
fn meet(p: Point, a: f64, q: Point, b: f64, left: bool) -> Option<Point> {
    let d = p.distance(q);
    let x = (a * a - b * b + d * d) / (2.0 * d);
    let h2 = a * a - x * x;
    if d < 1e-9 || h2 < 0.0 {
        return None;
    }
    let h = if left { sqrt(h2) } else { -sqrt(h2) };
    let u = q.minus(p).times(1.0 / d);
    Some(p.plus(u.times(x)).plus(u.left().times(h)))
}

fn lines(court: &Court) -> Vec<SetOutStep> {
    let draw = |through: &[Mark], line| {
        let through = through.into();
        SetOutStep::new(Hands::Two, Task::Draw { through, line })
    };
    let no_hit = match court.no_hit_shape() {
        NoHitShape::Line => DrawnLine::NoHit,
        NoHitShape::Distance => DrawnLine::NoHitArc,
    };
    let mut out = alloc::vec![
        draw(&[Mark::Home, Mark::RightCorner], DrawnLine::FirstFoul),
        draw(&[Mark::Home, Mark::LeftCorner], DrawnLine::ThirdFoul),
        draw(
            &[Mark::RightCorner, Mark::FarCorner, Mark::LeftCorner],
            DrawnLine::Fence,
        ),
        draw(&[Mark::NoHitFirst, Mark::NoHitThird], no_hit),
    ];
    if court.batters_box().mm() > 0 {
        out.push(draw(
            &[
                Mark::Home,
                Mark::BoxFirst,
                Mark::BoxBack,
                Mark::BoxThird,
                Mark::Home,
            ],
            DrawnLine::BattersBox,
        ));
    }
    if court.safe_area().mm() == 0 {
        return out;
    }
    out.push(draw(
        &[
            Mark::First,
            Mark::SafeEnd,
            Mark::SafeEndOut,
            Mark::FoulHalfFar,
            Mark::First,
        ],
        DrawnLine::SafeArea,
    ));
    out
}

/// What the closing check says about the two diagonals measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Closing {
    /// Equal within what was allowed, and as long as they should be.
    Square,
    /// The square leans: both far marks move together along the fence.
    Leans {
        /// Difference of the diagonals (cm), rounded.
        differ_cm: u32,
        /// How far to move the far and the left fence corner (cm), rounded.
        move_cm: u32,
        /// Which way, as seen from home looking to second base.
        towards: LineSide,
    },
    /// Equal, but both too long or too short: the sides are wrong.
    SidesWrong {
        /// How much each side is too long (cm), below nothing when short.
        side_cm: i32,
    },
    /// A reading that no court of this size can give: measure again.
    Implausible,
}

impl Closing {
    fn say<S: Speech>(&self) -> S {
        match *self {
            Self::Square => text!("closing-square"),
            Self::Leans {
                differ_cm,
                move_cm,
                ref towards,
            } => {
                let towards = Attribute(towards, "lean", towards.lean());
                text!("closing-leans", differ_cm, move_cm, towards)
            }
            Self::SidesWrong { side_cm } => {
                let cm = side_cm.unsigned_abs();
                match side_cm > 0 {
                    true => text!("closing-too-long", cm),
                    false => text!("closing-too-short", cm),
                }
            }
            Self::Implausible => text!("closing-implausible"),
        }
    }
}

says!(Closing, Path<'_>);

/// Judges the two diagonals of fair territory.
///
/// `from_home` is home to the far fence corner and `across` the right to the
/// left fence corner, in metres; a difference up to `allowed` metres counts
/// as square. The sides are taken to be right, so the square can only lean:
/// with side s it leans by (from_home² - across²) / 4s.
#[must_use]
pub fn closing_check(court: &Court, from_home: f64, across: f64, allowed: f64) -> Closing {
    let side = court.fair_side().metres();
    let want = side * core::f64::consts::SQRT_2;
    let plausible = |d: f64| d.is_finite() && fabs(d - want) <= want * 0.15;
    if !plausible(from_home) || !plausible(across) || side <= 0.0 {
        return Closing::Implausible;
    }
    let allowed = if allowed.is_finite() {
        allowed.max(0.0)
    } else {
        0.0
    };
    let differ = from_home - across;
    if fabs(differ) > allowed + 1e-9 {
        let lean = (from_home * from_home - across * across) / (4.0 * side);
        return Closing::Leans {
            differ_cm: round(fabs(differ) * 100.0) as u32,
            move_cm: round(fabs(lean) * 100.0) as u32,
            towards: if differ > 0.0 {
                LineSide::Left
            } else {
                LineSide::Right
            },
        };
    }
    // Equal diagonals of sides s are s * sqrt(2) each.
    let longer = (from_home + across) / 2.0 - want;
    if fabs(longer) > allowed + 0.01 {
        let side_cm = round(longer / core::f64::consts::SQRT_2 * 100.0) as i32;
        return Closing::SidesWrong { side_cm };
    }
    Closing::Square
}
