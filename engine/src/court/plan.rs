//! The drawing of a court to scale: what to draw, before any file format.
//!
//! The drawing has home at the bottom and second base straight above it, in
//! metres, `x` to the right and `y` up, home at the origin.

use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;
use core::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2};

use libm::{cos, sin, sqrt};

use super::layout::{Court, Mark, Placement};
use super::shape::Point;
use super::space::{Obstacle, Space};
use super::tape::TapeLength;
use crate::rules::NoHitShape;

/// What a drawn shape is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// The space's own outline.
    Space,
    /// Something to keep clear of.
    Obstacle,
    /// Clear ground around the court.
    RunOff,
    /// The no-hit zone.
    NoHitZone,
    /// The line between the bases, not chalked.
    Infield,
    /// A foul line.
    FoulLine,
    /// The fence or the drawn line in its place.
    Fence,
    /// The no-hit line.
    NoHitLine,
    /// The batter's box.
    BattersBox,
    /// A base, or the fair half of first base.
    Base,
    /// The foul half of first base.
    FoulHalf,
    /// The safe area beyond first base.
    SafeArea,
}

impl Kind {
    /// One word, used as a class of the drawing.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Space => "space",
            Self::Obstacle => "obstacle",
            Self::RunOff => "run-off",
            Self::NoHitZone => "no-hit-zone",
            Self::Infield => "infield",
            Self::FoulLine => "foul-line",
            Self::Fence => "fence",
            Self::NoHitLine => "no-hit-line",
            Self::BattersBox => "batters-box",
            Self::Base => "base",
            Self::FoulHalf => "foul-half",
            Self::SafeArea => "safe-area",
        }
    }
}

/// One shape: points in order, closed or not, grown all round by `grow`.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// What it is.
    pub kind: Kind,
    /// Its points (m).
    pub points: Vec<Point>,
    /// Whether the last point joins the first.
    pub closed: bool,
    /// Metres by which it is widened with round corners.
    pub grow: f64,
}

/// A word on the drawing, centred on its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Where (m).
    pub at: Point,
    /// What it says.
    pub text: String,
}

/// A length shown between two points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dimension {
    /// One end (m).
    pub from: Point,
    /// The other end (m).
    pub to: Point,
    /// The length.
    pub length: TapeLength,
}

/// A court drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The shapes, in the order they are drawn.
    pub outlines: Vec<Outline>,
    /// The words.
    pub labels: Vec<Label>,
    /// The lengths.
    pub dimensions: Vec<Dimension>,
    /// Where the sun is drawn, if the space says where it stands.
    pub sun: Option<Point>,
    /// Lower left corner of the sheet (m).
    pub low: Point,
    /// Upper right corner of the sheet (m).
    pub high: Point,
}

/// From the court's frame to the drawing's: an eighth of a turn.
fn view(p: Point) -> Point {
    Point::new((p.x - p.y) * FRAC_1_SQRT_2, (p.x + p.y) * FRAC_1_SQRT_2)
}

fn square(x: f64, y: f64, side: f64) -> Vec<Point> {
    [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
        .map(|(x, y)| Point::new(x, y))
        .into()
}

/// A shape given in the court's frame.
fn outline(kind: Kind, points: &[Point], closed: bool, grow: f64) -> Outline {
    Outline {
        kind,
        points: points.iter().copied().map(view).collect(),
        closed,
        grow,
    }
}

fn area(kind: Kind, points: &[Point]) -> Outline {
    outline(kind, points, true, 0.0)
}

fn line(kind: Kind, points: &[Point]) -> Outline {
    outline(kind, points, false, 0.0)
}

/// A court's lengths in metres.
struct Lengths {
    fair: f64,
    infield: f64,
    no_hit: f64,
    batters_box: f64,
    base: f64,
    safe_area: f64,
}

impl Lengths {
    fn of(court: &Court) -> Self {
        Self {
            fair: court.fair_side().metres(),
            infield: court.infield_side().metres(),
            no_hit: court.no_hit().metres(),
            batters_box: court.batters_box().metres(),
            base: court.base_side().metres(),
            safe_area: court.safe_area().metres(),
        }
    }

    fn outlines(&self, court: &Court) -> Vec<Outline> {
        let at = |m: Mark| court.mark(m);
        let (i, b, w, s) = (self.infield, self.batters_box, self.base, self.safe_area);
        let edge = match court.no_hit_shape() {
            NoHitShape::Line => alloc::vec![at(Mark::NoHitFirst), at(Mark::NoHitThird)],
            NoHitShape::Distance => (0..=24)
                .map(|k| FRAC_PI_2 * f64::from(k) / 24.0)
                .map(|a| Point::new(self.no_hit * cos(a), self.no_hit * sin(a)))
                .collect(),
        };
        let mut zone = edge.clone();
        zone.push(at(Mark::Home));
        let safe = [(i, 0.0), (i + s, 0.0), (i + s, -w), (i, -w)].map(|(x, y)| Point::new(x, y));
        let mut all = alloc::vec![
            area(Kind::NoHitZone, &zone),
            area(Kind::Infield, &square(0.0, 0.0, i)),
            area(Kind::SafeArea, &safe),
        ];
        if b > 0.0 {
            all.push(area(Kind::BattersBox, &square(-b, -b, b)));
        }
        let fence = [Mark::RightCorner, Mark::FarCorner, Mark::LeftCorner].map(at);
        let foul = |corner| line(Kind::FoulLine, &[at(Mark::Home), at(corner)]);
        all.extend([
            area(Kind::FoulHalf, &square(i - w, -w, w)),
            area(Kind::Base, &square(i - w, 0.0, w)),
            area(Kind::Base, &square(i - w, i - w, w)),
            area(Kind::Base, &square(0.0, i - w, w)),
            line(Kind::NoHitLine, &edge),
            foul(Mark::RightCorner),
            foul(Mark::LeftCorner),
            line(Kind::Fence, &fence),
        ]);
        all
    }

    fn labels(&self, court: &Court) -> Vec<Label> {
        let (f, i, n) = (self.fair, self.infield, self.no_hit);
        let (b, w) = (self.batters_box, self.base);
        let label = |x: f64, y: f64, text: &str| Label {
            at: view(Point::new(x, y)),
            text: text.into(),
        };
        let top = f - (f - i).min(2.6);
        let mut all = alloc::vec![
            label(1.4, -1.6, "home"),
            label(i - w - 2.6, w + 2.6, "1st"),
            label(i - w - 0.7, i - w - 0.7, "2nd"),
            label(w + 0.7, i - w - 0.7, "3rd"),
            label(n * 0.36, n * 0.36, "no-hit"),
        ];
        if b > 0.0 {
            all.push(label(-b * 0.7, -b * 0.7, "box"));
        }
        all.push(label(
            top,
            top,
            &format!("fence {} m", court.fence_height()),
        ));
        all
    }

    fn dimensions(&self) -> Vec<Dimension> {
        let (f, i, b) = (self.fair, self.infield, self.batters_box);
        let dimension = |a: (f64, f64), b: (f64, f64)| {
            let (a, b) = (Point::new(a.0, a.1), Point::new(b.0, b.1));
            Dimension {
                from: view(a),
                to: view(b),
                length: TapeLength::from_metres(a.distance(b)),
            }
        };
        // Beside the lines they belong to, on the side with nothing drawn.
        let (near, far) = (1.7 + self.base, 3.0 + self.base);
        let mut all = alloc::vec![
            dimension((0.0, -near), (i, -near)),
            dimension((0.0, -far), (f, -far)),
            dimension((-near, 0.0), (-near, self.no_hit)),
            dimension((-far, 0.0), (-far, f)),
            dimension((0.0, 0.0), (i, i)),
            dimension((i, i * 0.6), (f, i * 0.6)),
        ];
        if b > 0.0 {
            all.push(dimension((-b, -b - 1.6), (0.0, -b - 1.6)));
        }
        if self.safe_area > 0.0 {
            all.push(dimension((i, 0.9), (i + self.safe_area, 0.9)));
        }
        all
    }
}

/// The ground that a court was fitted into, and the way to the sun.
fn ground(space: &Space, place: Placement) -> (Vec<Outline>, Option<Point>) {
    let on = |p: &Point| place.on_court(*p);
    let polygon = |kind, points: &[Point]| area(kind, &points.iter().map(on).collect::<Vec<_>>());
    let mut outlines = alloc::vec![polygon(Kind::Space, space.outline())];
    outlines.extend(space.obstacles().iter().map(|o| match o {
        Obstacle::Polygon(points) => polygon(Kind::Obstacle, points),
        Obstacle::Circle { centre, radius } => {
            outline(Kind::Obstacle, &[on(centre)], true, radius.max(0.05))
        }
    }));
    let sun = space.sun().map(|degrees| {
        let azimuth = degrees.to_radians();
        let far = place.home().plus(Point::new(sin(azimuth), cos(azimuth)));
        view(on(&far))
    });
    (outlines, sun)
}

impl Plan {
    /// Draws a court, inside its space when it was fitted into one.
    #[must_use]
    pub fn new(court: &Court, space: Option<&Space>) -> Self {
        let (mut outlines, sun) = space
            .zip(court.placement())
            .map(|(space, place)| ground(space, place))
            .unwrap_or_default();
        let run_off = court.run_off().metres();
        outlines.extend(
            court
                .footprint()
                .iter()
                .map(|part| outline(Kind::RunOff, part, true, run_off)),
        );
        let lengths = Lengths::of(court);
        outlines.extend(lengths.outlines(court));
        let mut plan = Self {
            outlines,
            labels: lengths.labels(court),
            dimensions: lengths.dimensions(),
            sun,
            low: Point::new(0.0, 0.0),
            high: Point::new(0.0, 0.0),
        };
        plan.measure();
        plan
    }

    fn measure(&mut self) {
        let mut low = Point::new(f64::INFINITY, f64::INFINITY);
        let mut high = Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
        let mut take = |p: Point, by: f64| {
            low = Point::new(low.x.min(p.x - by), low.y.min(p.y - by));
            high = Point::new(high.x.max(p.x + by), high.y.max(p.y + by));
        };
        for o in &self.outlines {
            for p in &o.points {
                take(*p, o.grow + 0.5);
            }
        }
        for d in &self.dimensions {
            take(d.from, 1.5);
            take(d.to, 1.5);
        }
        self.low = low;
        self.high = high;
        // The sun stands on a circle round the middle, just inside the sheet.
        self.sun = self.sun.map(|d| {
            let middle = low.plus(high).times(0.5);
            let reach = (high.x - low.x).min(high.y - low.y) / 2.0 - 1.0;
            middle.plus(d.times(reach / sqrt(d.dot(d)).max(1e-9)))
        });
    }
}
