//! The space at hand: an outline and what to keep clear of.

use alloc::vec::Vec;

use libm::fabs;

use crate::Problems;
use crate::message::localized;

use super::shape::{Point, double_area, sides, touch};

/// Something inside the space that the court must stay away from.
#[derive(Clone, Debug, PartialEq)]
pub enum Obstacle {
    /// A building, a planted bed, a parked car: a simple polygon.
    Polygon(Vec<Point>),
    /// A post, a tree, a manhole.
    Circle {
        /// Its middle.
        centre: Point,
        /// Its radius (m), 0 for a thin post.
        radius: f64,
    },
}

/// A space as drawn or typed, perhaps wrong: the untrusted twin of [`Space`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SpaceDraft {
    /// Corners of the usable ground, in order, either way round.
    pub outline: Vec<Point>,
    /// What to keep clear of.
    pub obstacles: Vec<Obstacle>,
    /// Which corner of the outline must be the one nearest home, if any.
    pub home_corner: Option<usize>,
    /// Where the sun stands, in degrees clockwise from the top of the plan,
    /// 0 up to but not including 360.
    pub sun: Option<f64>,
}

impl SpaceDraft {
    /// A rectangle, `length` to the right and `width` up (m), its first corner
    /// at the origin and the others anticlockwise.
    #[must_use]
    pub fn rectangle(length: f64, width: f64) -> Self {
        Self {
            outline: [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]
                .map(|(x, y)| Point::new(x, y))
                .into(),
            ..Self::default()
        }
    }

    /// An empty space with this outline.
    #[must_use]
    pub fn polygon(outline: Vec<Point>) -> Self {
        Self {
            outline,
            ..Self::default()
        }
    }
}

/// Which drawn shape an objection is about.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Shape {
    /// The outline of the space.
    Outline,
    /// The obstacle at this place in the list, from 0.
    #[message(number = _0.saturating_add(1))]
    Obstacle(usize),
}

impl Shape {
    const fn most_corners(self) -> usize {
        match self {
            Self::Outline => Space::MOST_CORNERS,
            Self::Obstacle(_) => Space::MOST_OBSTACLE_CORNERS,
        }
    }
}

/// One thing wrong with a drawn space. Corners count from 0 here and from 1
/// in the sentence.
#[localized]
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SpaceObjection {
    /// A polygon needs three corners.
    TooFewCorners {
        /// Which shape.
        shape: Shape,
        /// Corners it has.
        got: usize,
    },
    /// More corners than [`Space::MOST_CORNERS`], or for an obstacle than
    /// [`Space::MOST_OBSTACLE_CORNERS`].
    #[message(most = shape.most_corners())]
    TooManyCorners {
        /// Which shape.
        shape: Shape,
        /// Corners it has.
        got: usize,
    },
    /// More obstacles than [`Space::MOST_OBSTACLES`].
    #[message(most = Space::MOST_OBSTACLES, count = _0)]
    TooManyObstacles(usize),
    /// A coordinate or radius that is not a finite number.
    #[message(corner = corner.saturating_add(1))]
    NotANumber {
        /// Which shape.
        shape: Shape,
        /// Which corner, 0 for a circle.
        corner: usize,
    },
    /// Wider than [`Space::LARGEST`], or drawn further than that from the rest.
    #[message(extent = alloc::format!("{extent:.0}"), most = Space::LARGEST)]
    TooLarge {
        /// Which shape.
        shape: Shape,
        /// Its greatest extent (m).
        extent: f64,
    },
    /// Two corners in one place.
    #[message(corner = corner.saturating_add(1))]
    RepeatedCorner {
        /// Which shape.
        shape: Shape,
        /// The later of the two.
        corner: usize,
    },
    /// Two sides cross or touch, so inside and outside are not clear.
    #[message(side = side.saturating_add(1), other = other.saturating_add(1))]
    Crossing {
        /// Which shape.
        shape: Shape,
        /// The side that starts at this corner…
        side: usize,
        /// …and the side that starts at this one.
        other: usize,
    },
    /// All corners on one line.
    #[message(shape = _0)]
    NoArea(Shape),
    /// A circle with a radius below nothing.
    #[message(shape = Shape::Obstacle(*_0))]
    NegativeRadius(usize),
    /// The corner named for home does not exist.
    #[message(corner = corner.saturating_add(1))]
    NoSuchCorner {
        /// The corner named.
        corner: usize,
        /// Corners there are.
        corners: usize,
    },
    /// The sun must stand at 0 up to but not including 360 degrees.
    #[message(degrees = _0)]
    SunOutOfRange(f64),
}

/// A space that makes sense: a simple outline that encloses ground, simple
/// obstacles, all numbers finite. Made only by [`Space::new`].
#[derive(Clone, Debug, PartialEq)]
pub struct Space {
    outline: Vec<Point>,
    obstacles: Vec<Obstacle>,
    home_corner: Option<Point>,
    sun: Option<f64>,
}

impl Space {
    /// Corners the outline may have.
    pub const MOST_CORNERS: usize = 64;
    /// Obstacles that are read.
    pub const MOST_OBSTACLES: usize = 24;
    /// Corners an obstacle may have.
    pub const MOST_OBSTACLE_CORNERS: usize = 16;
    /// Greatest extent of a space (m).
    pub const LARGEST: f64 = 500.0;

    /// Checks a drawn space.
    ///
    /// # Errors
    /// Everything that is wrong, not only the first problem.
    pub fn new(draft: SpaceDraft) -> Result<Self, Problems<SpaceObjection>> {
        let mut wrong = Vec::new();
        check_polygon(Shape::Outline, &draft.outline, &mut wrong);
        if draft.obstacles.len() > Self::MOST_OBSTACLES {
            wrong.push(SpaceObjection::TooManyObstacles(draft.obstacles.len()));
        }
        for (i, o) in draft
            .obstacles
            .iter()
            .enumerate()
            .take(Self::MOST_OBSTACLES)
        {
            let shape = Shape::Obstacle(i);
            match o {
                Obstacle::Polygon(p) => check_polygon(shape, p, &mut wrong),
                Obstacle::Circle { centre, radius } => {
                    if !(centre.x.is_finite() && centre.y.is_finite() && radius.is_finite()) {
                        wrong.push(SpaceObjection::NotANumber { shape, corner: 0 });
                    } else if *radius < 0.0 {
                        wrong.push(SpaceObjection::NegativeRadius(i));
                    } else if *radius > Self::LARGEST {
                        wrong.push(SpaceObjection::TooLarge {
                            shape,
                            extent: *radius * 2.0,
                        });
                    }
                }
            }
        }
        let corners = draft.outline.len();
        let home_corner = draft.home_corner.and_then(|i| {
            let found = draft.outline.get(i).copied();
            if found.is_none() {
                wrong.push(SpaceObjection::NoSuchCorner { corner: i, corners });
            }
            found
        });
        if let Some(deg) = draft.sun
            && !(0.0..360.0).contains(&deg)
        {
            wrong.push(SpaceObjection::SunOutOfRange(deg));
        }
        Problems::none(wrong)?;
        let mut outline = draft.outline;
        if double_area(&outline) < 0.0 {
            outline.reverse();
        }
        Ok(Self {
            outline,
            obstacles: draft.obstacles,
            home_corner,
            sun: draft.sun,
        })
    }

    /// Corners of the usable ground, anticlockwise.
    #[must_use]
    pub fn outline(&self) -> &[Point] {
        &self.outline
    }

    /// What to keep clear of.
    #[must_use]
    pub fn obstacles(&self) -> &[Obstacle] {
        &self.obstacles
    }

    /// The corner of the outline that must be nearest home, if one was named.
    #[must_use]
    pub fn home_corner(&self) -> Option<Point> {
        self.home_corner
    }

    /// Where the sun stands, degrees clockwise from the top of the plan.
    #[must_use]
    pub fn sun(&self) -> Option<f64> {
        self.sun
    }
}

fn check_polygon(shape: Shape, p: &[Point], wrong: &mut Vec<SpaceObjection>) {
    let before = wrong.len();
    if p.len() < 3 {
        wrong.push(SpaceObjection::TooFewCorners {
            shape,
            got: p.len(),
        });
    }
    if p.len() > shape.most_corners() {
        // The rest is not looked at: it would take long and help nobody.
        wrong.push(SpaceObjection::TooManyCorners {
            shape,
            got: p.len(),
        });
        return;
    }
    for (corner, q) in p.iter().enumerate() {
        if !(q.x.is_finite() && q.y.is_finite()) {
            wrong.push(SpaceObjection::NotANumber { shape, corner });
        }
    }
    if wrong.len() > before {
        return;
    }
    let extent = |f: fn(&Point) -> f64| {
        let (lo, hi) = p
            .iter()
            .map(f)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                (l.min(v), h.max(v))
            });
        hi - lo
    };
    let far = p
        .iter()
        .map(|q| fabs(q.x).max(fabs(q.y)))
        .fold(0.0, f64::max);
    let widest = extent(|q| q.x).max(extent(|q| q.y));
    if widest > Space::LARGEST || far > 1e7 {
        wrong.push(SpaceObjection::TooLarge {
            shape,
            extent: widest.max(if far > 1e7 { far } else { 0.0 }),
        });
    }
    for (i, a) in p.iter().enumerate() {
        if p.iter().take(i).any(|b| a.distance(*b) < 1e-6) {
            wrong.push(SpaceObjection::RepeatedCorner { shape, corner: i });
        }
    }
    if wrong.len() > before {
        return;
    }
    let n = p.len();
    let list: Vec<_> = sides(p).collect();
    for (i, s) in list.iter().enumerate() {
        for (j, t) in list.iter().enumerate().skip(i + 1) {
            let follows = j == i + 1;
            let closes = i == 0 && j == n - 1;
            let bad = if n == 3 {
                false
            } else if follows {
                folds_back(s.a, s.b, t.b)
            } else if closes {
                folds_back(t.a, t.b, s.b)
            } else {
                touch(s, t)
            };
            if bad {
                wrong.push(SpaceObjection::Crossing {
                    shape,
                    side: i,
                    other: j,
                });
            }
        }
    }
    if wrong.len() == before && fabs(double_area(p)) < 1e-6 * widest.max(1e-9) {
        wrong.push(SpaceObjection::NoArea(shape));
    }
}

/// Whether the way a-b-c turns straight back on itself.
fn folds_back(a: Point, b: Point, c: Point) -> bool {
    let (u, v) = (b.minus(a), c.minus(b));
    u.dot(v) < 0.0 && fabs(u.cross(v)) <= 1e-6 * u.length().min(v.length())
}
