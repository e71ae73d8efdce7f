//! Points, segments and upright rectangles, and the distances between them.

use libm::{fabs, sqrt};

/// A point of the plan in metres, `x` to the right and `y` up (not down, as
/// on a screen: a plan turned over would put first base on the wrong side).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Metres to the right.
    pub x: f64,
    /// Metres up.
    pub y: f64,
}

impl Point {
    /// A point from metres right and metres up.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    pub(super) fn minus(self, o: Self) -> Self {
        Self::new(self.x - o.x, self.y - o.y)
    }

    pub(super) fn plus(self, o: Self) -> Self {
        Self::new(self.x + o.x, self.y + o.y)
    }

    pub(super) fn times(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }

    pub(super) fn dot(self, o: Self) -> f64 {
        self.x * o.x + self.y * o.y
    }

    pub(super) fn cross(self, o: Self) -> f64 {
        self.x * o.y - self.y * o.x
    }

    pub(super) fn length(self) -> f64 {
        sqrt(self.dot(self))
    }

    /// A quarter turn to the left.
    pub(super) fn left(self) -> Self {
        Self::new(-self.y, self.x)
    }

    pub(super) fn distance(self, o: Self) -> f64 {
        self.minus(o).length()
    }
}

/// A straight stretch between two points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Segment {
    pub a: Point,
    pub b: Point,
}

impl Segment {
    /// Whether some point is nearer than `far` to `p`.
    pub(super) fn within(&self, p: Point, far: f64) -> bool {
        let d = self.nearest(p).minus(p);
        d.dot(d) < far * far
    }

    pub(super) fn nearest(&self, p: Point) -> Point {
        let d = self.b.minus(self.a);
        let len2 = d.dot(d);
        if len2 <= 0.0 {
            return self.a;
        }
        let t = (p.minus(self.a).dot(d) / len2).clamp(0.0, 1.0);
        self.a.plus(d.times(t))
    }
}

/// A rectangle with sides along the axes of its own frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rect {
    pub x0: f64,
    pub y0: f64,
    pub x1: f64,
    pub y1: f64,
}

impl Rect {
    /// Radius of the circle through the corners.
    pub(super) fn radius(&self) -> f64 {
        Point::new(self.x1 - self.x0, self.y1 - self.y0).length() / 2.0
    }

    pub(super) fn middle(&self) -> Point {
        Point::new((self.x0 + self.x1) / 2.0, (self.y0 + self.y1) / 2.0)
    }

    pub(super) fn corners(&self) -> [Point; 4] {
        [
            Point::new(self.x0, self.y0),
            Point::new(self.x1, self.y0),
            Point::new(self.x1, self.y1),
            Point::new(self.x0, self.y1),
        ]
    }

    pub(super) fn nearest(&self, p: Point) -> Point {
        Point::new(clamp(p.x, self.x0, self.x1), clamp(p.y, self.y0, self.y1))
    }

    /// Distance to a point, negative by the depth when it lies inside.
    pub(super) fn signed(&self, p: Point) -> f64 {
        let dx = (self.x0 - p.x).max(p.x - self.x1);
        let dy = (self.y0 - p.y).max(p.y - self.y1);
        if dx <= 0.0 || dy <= 0.0 {
            dx.max(dy)
        } else {
            sqrt(dx * dx + dy * dy)
        }
    }

    /// Distance to a segment; when they overlap, negative by a depth that
    /// some point of the segment certainly has.
    pub(super) fn signed_segment(&self, s: &Segment) -> f64 {
        if let Some((p, q)) = self.clip(s) {
            let mid = p.plus(q).times(0.5);
            let deepest = self.signed(p).min(self.signed(q)).min(self.signed(mid));
            return deepest.min(0.0);
        }
        let mut best = f64::INFINITY;
        for c in self.corners() {
            best = best.min(c.distance(s.nearest(c)));
        }
        best.min(self.signed(s.a)).min(self.signed(s.b))
    }

    /// The part of a segment inside, ends first.
    fn clip(&self, s: &Segment) -> Option<(Point, Point)> {
        let d = s.b.minus(s.a);
        let (mut lo, mut hi) = (0.0f64, 1.0f64);
        for (p, q) in [
            (-d.x, s.a.x - self.x0),
            (d.x, self.x1 - s.a.x),
            (-d.y, s.a.y - self.y0),
            (d.y, self.y1 - s.a.y),
        ] {
            if p == 0.0 {
                if q < 0.0 {
                    return None;
                }
            } else if p < 0.0 {
                lo = lo.max(q / p);
            } else {
                hi = hi.min(q / p);
            }
        }
        (lo <= hi).then(|| (s.a.plus(d.times(lo)), s.a.plus(d.times(hi))))
    }
}

/// `clamp` that cannot panic when the bounds are crossed.
fn clamp(v: f64, lo: f64, hi: f64) -> f64 {
    v.max(lo).min(hi.max(lo))
}

/// The sides of a closed outline.
pub(super) fn sides(outline: &[Point]) -> impl Iterator<Item = Segment> + '_ {
    let next = outline.iter().skip(1).chain(outline.first());
    outline.iter().zip(next).map(|(&a, &b)| Segment { a, b })
}

/// Twice the area, positive when the corners run to the left.
pub(super) fn double_area(outline: &[Point]) -> f64 {
    let Some(&o) = outline.first() else {
        return 0.0;
    };
    sides(outline)
        .map(|s| s.a.minus(o).cross(s.b.minus(o)))
        .sum()
}

/// Whether a point lies inside an outline (even-odd; on the line is either).
pub(super) fn inside(outline: &[Point], p: Point) -> bool {
    let mut odd = false;
    for s in sides(outline) {
        if (s.a.y > p.y) != (s.b.y > p.y) {
            let x = s.a.x + (p.y - s.a.y) / (s.b.y - s.a.y) * (s.b.x - s.a.x);
            if p.x < x {
                odd = !odd;
            }
        }
    }
    odd
}

/// Whether two segments share a point, with a slack of a micrometre.
pub(super) fn touch(s: &Segment, t: &Segment) -> bool {
    let side = |s: &Segment, p: Point| {
        let d = s.b.minus(s.a);
        let c = d.cross(p.minus(s.a));
        if fabs(c) <= 1e-6 * d.length() { 0.0 } else { c }
    };
    let near = |s: &Segment, p: Point| p.distance(s.nearest(p)) <= 1e-6;
    if near(s, t.a) || near(s, t.b) || near(t, s.a) || near(t, s.b) {
        return true;
    }
    side(s, t.a) * side(s, t.b) < 0.0 && side(t, s.a) * side(t, s.b) < 0.0
}
