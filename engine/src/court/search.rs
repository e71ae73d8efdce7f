//! The search for the largest court.
//!
//! A pose is where home lies, which way the court turns, and its scale (1 is
//! the edition's size). Two parts work together:
//!
//! - **Growing** (`grow`): from a pose that fits, a sequence of exact small
//!   linear programs over movement, turn and scale climbs to a pose that no
//!   small change improves.
//! - **Proving** (`prove`): all poses at scales above the best found are cut
//!   into cells. A cell is dropped only when the geometry shows that no pose in
//!   it can fit: some needed point of the footprint would lie nearer than the
//!   run-off to a wall or an obstacle even after the largest movement the cell
//!   allows. A cell whose middle fits improves the best; the rest are halved.
//!   When no cell is left, no court more than the stated share larger exists.

use alloc::vec::Vec;

use libm::{atan2, cos, sin, sqrt};

use super::layout::Size;
use super::program::{Row, solve};
use super::shape::{Point, Rect, Segment, inside, sides};
use super::space::{Obstacle, Space};

/// Cells smaller than this (m) are not cut further.
const FINEST: f64 = 5e-4;
/// Lengths nearer than this count as equal (m).
const SLACK: f64 = 1e-7;

/// Where a court lies and how large it is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pose {
    pub home: Point,
    pub turn: f64,
    pub scale: f64,
}

/// How closely places and turns are looked at for poses to climb from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Net {
    /// Places along each side of the space.
    pub steps: u32,
    /// Turns at each place.
    pub turns: u32,
    /// Poses to give.
    pub most: usize,
}

/// Ground where every point of the footprint lies on one side.
struct HalfPlane {
    normal: Point,
    least: f64,
}

/// The space in a frame turned to its longest side, ready for measuring.
pub(super) struct Scene {
    frame: f64,
    outline: Vec<Point>,
    solids: Vec<Vec<Point>>,
    walls: Vec<Segment>,
    /// Walls that are not on the hull, which half-planes do not cover.
    inner: Vec<Segment>,
    posts: Vec<(Point, f64)>,
    hull: Vec<HalfPlane>,
    home: Vec<HalfPlane>,
    size: Size,
    run_off: f64,
}

fn turned(p: Point, by: f64) -> Point {
    let (s, c) = (sin(by), cos(by));
    Point::new(p.x * c - p.y * s, p.x * s + p.y * c)
}

impl Scene {
    pub(super) fn new(space: &Space, size: Size, run_off: f64) -> Self {
        let (_, frame) = sides(space.outline())
            .map(|s| s.b.minus(s.a))
            .map(|d| (d.length(), atan2(d.y, d.x)))
            .fold((0.0, 0.0), |best, it| if it.0 > best.0 { it } else { best });
        let into = |p: &Point| turned(*p, -frame);
        let outline: Vec<Point> = space.outline().iter().map(into).collect();
        let mut walls: Vec<Segment> = sides(&outline).collect();
        let mut solids = Vec::new();
        let mut posts = Vec::new();
        for o in space.obstacles() {
            match o {
                Obstacle::Polygon(p) => {
                    let p: Vec<Point> = p.iter().map(into).collect();
                    walls.extend(sides(&p));
                    solids.push(p);
                }
                Obstacle::Circle { centre, radius } => posts.push((into(centre), *radius)),
            }
        }
        let mut hull = Vec::new();
        let mut inner = Vec::new();
        for (i, s) in walls.iter().enumerate() {
            let d = s.b.minus(s.a);
            let normal = d.left().times(1.0 / d.length().max(1e-9));
            let h = HalfPlane {
                normal,
                least: normal.dot(s.a),
            };
            // A side is on the hull when every corner lies on its inner side.
            let on_hull =
                i < outline.len() && outline.iter().all(|p| h.normal.dot(*p) >= h.least - 1e-9);
            if on_hull {
                hull.push(h);
            } else {
                inner.push(*s);
            }
        }
        let home = space
            .home_corner()
            .map(|v| into(&v))
            .map(|v| {
                outline
                    .iter()
                    .filter(|w| w.distance(v) > 1e-9)
                    .map(|w| {
                        let d = v.minus(*w);
                        let normal = d.times(1.0 / d.length());
                        HalfPlane {
                            normal,
                            least: normal.dot(v.plus(*w)) / 2.0,
                        }
                    })
                    .collect()
            })
            .unwrap_or_default();
        Self {
            frame,
            outline,
            solids,
            walls,
            inner,
            posts,
            hull,
            home,
            size,
            run_off,
        }
    }

    /// A pose of this frame, on the plan.
    pub(super) fn on_plan(&self, pose: &Pose) -> (Point, f64) {
        (turned(pose.home, self.frame), pose.turn + self.frame)
    }

    /// The direction of a vector of the plan, in this frame.
    pub(super) fn direction(&self, d: Point) -> f64 {
        atan2(d.y, d.x) - self.frame
    }

    /// The pose turned about the middle of its fair territory.
    pub(super) fn about_middle(&self, pose: &Pose, turn: f64) -> Pose {
        let half = self.size.fair * pose.scale / 2.0;
        let arm = Point::new(half, half);
        let middle = pose.home.plus(turned(arm, pose.turn));
        Pose {
            home: middle.minus(turned(arm, turn)),
            turn,
            ..*pose
        }
    }

    fn free(&self, p: Point) -> bool {
        inside(&self.outline, p) && !self.solids.iter().any(|s| inside(s, p))
    }

    /// Distance from a point to what bounds the free ground, negative when
    /// the point is not on free ground.
    fn room(&self, p: Point) -> f64 {
        let mut d = f64::INFINITY;
        for w in &self.walls {
            d = d.min(p.distance(w.nearest(p)));
        }
        if !self.free(p) {
            d = -d;
        }
        for (c, r) in &self.posts {
            d = d.min(p.distance(*c) - r);
        }
        d
    }

    /// Least distance of the footprint to anything, or below nothing.
    fn clearance_of(&self, home: Point, turn: f64, size: &Size) -> f64 {
        let parts = size.parts();
        let (s, c) = (sin(turn), cos(turn));
        // Every part, since without run-off two parts may meet in a corner
        // that lies on a wall, one on either side of it.
        for r in &parts {
            let m = r.middle();
            if !self.free(home.plus(Point::new(m.x * c - m.y * s, m.x * s + m.y * c))) {
                return -1.0;
            }
        }
        let local = |p: Point| {
            let d = p.minus(home);
            Point::new(d.x * c + d.y * s, d.y * c - d.x * s)
        };
        let mut best = f64::INFINITY;
        for r in &parts {
            let m = r.middle();
            let middle = home.plus(Point::new(m.x * c - m.y * s, m.x * s + m.y * c));
            for w in &self.walls {
                if best.is_finite() && !w.within(middle, best + r.radius()) {
                    continue;
                }
                let w = Segment {
                    a: local(w.a),
                    b: local(w.b),
                };
                best = best.min(r.signed_segment(&w));
            }
        }
        for (p, radius) in &self.posts {
            let p = local(*p);
            for r in &parts {
                best = best.min(r.signed(p) - radius);
            }
        }
        best
    }

    pub(super) fn clearance(&self, pose: &Pose) -> f64 {
        self.clearance_of(pose.home, pose.turn, &self.size.times(pose.scale))
    }

    fn home_allowed(&self, home: Point) -> bool {
        self.home
            .iter()
            .all(|h| h.normal.dot(home) >= h.least - SLACK)
    }

    pub(super) fn fits(&self, pose: &Pose) -> bool {
        if !self.home_allowed(pose.home) {
            return false;
        }
        let parts = self.size.times(pose.scale).parts();
        let (s, c) = (sin(pose.turn), cos(pose.turn));
        let least = self.run_off - SLACK;
        let middles = parts.map(|r| {
            let m = r.middle();
            pose.home
                .plus(Point::new(m.x * c - m.y * s, m.x * s + m.y * c))
        });
        if middles.iter().any(|m| !self.free(*m)) {
            return false;
        }
        let local = |p: Point| {
            let d = p.minus(pose.home);
            Point::new(d.x * c + d.y * s, d.y * c - d.x * s)
        };
        for (r, m) in parts.iter().zip(middles) {
            let round = r.radius();
            let near = |w: &&Segment| w.within(m, round + least);
            let clear = |w: &Segment| {
                let w = Segment {
                    a: local(w.a),
                    b: local(w.b),
                };
                r.signed_segment(&w) >= least
            };
            let posts = |(p, radius): &(Point, f64)| r.signed(local(*p)) - radius >= least;
            if !self.walls.iter().filter(near).all(clear) || !self.posts.iter().all(posts) {
                return false;
            }
        }
        true
    }

    /// Climbs from `pose`. With `wider` the scale stays and the clearance
    /// grows; else the scale grows up to `top` and the run-off is kept.
    pub(super) fn grow(&self, mut pose: Pose, top: f64, wider: bool) -> Pose {
        let mut reach = 1.0f64;
        let mut clear = self.clearance(&pose);
        let mut rows: Vec<Row> = Vec::new();
        for _ in 0..60 {
            if reach < 1e-6 || (!wider && pose.scale >= top) {
                break;
            }
            self.rows(&pose, clear, reach, wider, &mut rows);
            let arm = (self.size.fair * pose.scale).max(3.0);
            let bound = [
                reach,
                reach,
                reach / arm,
                if wider {
                    reach
                } else {
                    reach / self.size.fair.max(1e-3)
                },
            ];
            let Some([u, v, w, t]) = solve([0.0, 0.0, 0.0, 1.0], bound, &rows) else {
                reach /= 4.0;
                continue;
            };
            let step = turned(Point::new(u, v), pose.turn);
            let there = Pose {
                home: pose.home.plus(step),
                turn: pose.turn + w,
                scale: if wider {
                    pose.scale
                } else {
                    (pose.scale + t).min(top)
                },
            };
            if !self.home_allowed(there.home) {
                reach /= 4.0;
                continue;
            }
            if wider {
                let c = self.clearance(&there);
                if c > clear + 1e-7 {
                    reach = if c - clear > t * 0.5 {
                        reach * 1.5
                    } else {
                        reach * 0.7
                    };
                    (pose, clear) = (there, c);
                } else {
                    reach /= 4.0;
                }
            } else {
                // The programs know the court only near this pose, so the
                // scale is taken back until the real distances agree.
                let (mut lo, mut hi) = (pose.scale, there.scale);
                let ok = |scale: f64| self.fits(&Pose { scale, ..there });
                let good = if ok(hi) {
                    hi
                } else if ok(lo) {
                    for _ in 0..12 {
                        let mid = (lo + hi) / 2.0;
                        if ok(mid) { lo = mid } else { hi = mid }
                    }
                    lo
                } else {
                    lo
                };
                if good > pose.scale + 1e-8 && ok(good) {
                    reach = if good - pose.scale > t * 0.5 {
                        reach * 1.5
                    } else {
                        reach * 0.5
                    };
                    pose = Pose {
                        scale: good,
                        ..there
                    };
                } else {
                    reach /= 4.0;
                }
            }
            reach = reach.min(3.0);
        }
        pose
    }

    /// What movement, turn and growth do to every distance that may matter
    /// within `reach`. The variables are a step along the court's own axes,
    /// a turn about home, and the scale or the clearance gained.
    fn rows(&self, pose: &Pose, clear: f64, reach: f64, wider: bool, rows: &mut Vec<Row>) {
        rows.clear();
        let size = self.size.times(pose.scale);
        let parts = size.parts();
        let (f, i) = (self.size.fair, self.size.infield);
        // How each side of each part moves as the scale grows.
        let rate = [
            Rect {
                x0: 0.0,
                y0: 0.0,
                x1: f,
                y1: f,
            },
            Rect {
                x0: 0.0,
                y0: 0.0,
                x1: 0.0,
                y1: 0.0,
            },
            Rect {
                x0: i,
                y0: 0.0,
                x1: i,
                y1: 0.0,
            },
        ];
        let base = if wider { clear } else { self.run_off };
        let far = base + 4.0 * reach;
        let (s, c) = (sin(pose.turn), cos(pose.turn));
        let local = |p: Point| {
            let d = p.minus(pose.home);
            Point::new(d.x * c + d.y * s, d.y * c - d.x * s)
        };
        let mut add = |part: &Rect, rate: &Rect, p: Point, q: Point, less: f64| {
            let d = p.distance(q);
            if d - less > far || d < 1e-9 {
                return;
            }
            let n = p.minus(q).times(1.0 / d);
            let along = |v: f64, lo: f64, hi: f64, rlo: f64, rhi: f64| {
                if v >= hi {
                    rhi
                } else if v <= lo {
                    rlo
                } else {
                    0.0
                }
            };
            let grow = n.dot(Point::new(
                along(p.x, part.x0, part.x1, rate.x0, rate.x1),
                along(p.y, part.y0, part.y1, rate.y0, rate.y1),
            ));
            let spin = n.dot(p.left());
            rows.push(Row {
                a: [n.x, n.y, spin, if wider { -1.0 } else { grow }],
                b: base - (d - less),
            });
        };
        for w in &self.walls {
            let w = Segment {
                a: local(w.a),
                b: local(w.b),
            };
            for (r, m) in parts.iter().zip(&rate) {
                if !w.within(r.middle(), far + r.radius()) {
                    continue;
                }
                for p in r.corners() {
                    add(r, m, p, w.nearest(p), 0.0);
                }
                add(r, m, r.nearest(w.a), w.a, 0.0);
                add(r, m, r.nearest(w.b), w.b, 0.0);
            }
        }
        for (q, radius) in &self.posts {
            let q = local(*q);
            for (r, m) in parts.iter().zip(&rate) {
                add(r, m, r.nearest(q), q, *radius);
            }
        }
        for h in &self.home {
            let n = turned(h.normal, -pose.turn);
            rows.push(Row {
                a: [n.x, n.y, 0.0, 0.0],
                b: h.least - h.normal.dot(pose.home),
            });
        }
        rows.sort_by(|x: &Row, y: &Row| y.b.total_cmp(&x.b));
    }

    /// Poses of scale `scale` that fit, spread over the space and over the
    /// turns, those with most clear ground first.
    pub(super) fn seeds(&self, scale: f64, net: Net) -> Vec<Pose> {
        let Net { steps, turns, most } = net;
        let (lo, hi) = self.bounds();
        let mut found: Vec<(f64, Pose)> = Vec::new();
        for i in 0..steps * steps * turns {
            let part = |n: u32| (f64::from(n) + 0.5) / f64::from(steps);
            let (x, y) = (part(i % steps), part(i / steps % steps));
            let turn = f64::from(i / (steps * steps)) * core::f64::consts::TAU / f64::from(turns);
            let middle = Point::new(lo.x + (hi.x - lo.x) * x, lo.y + (hi.y - lo.y) * y);
            let half = self.size.fair * scale / 2.0;
            let home = middle.minus(turned(Point::new(half, half), turn));
            let pose = Pose { home, turn, scale };
            if self.fits(&pose) {
                found.push((self.clearance(&pose), pose));
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        let apart = (hi.x - lo.x).max(hi.y - lo.y) / 8.0;
        let mut out: Vec<Pose> = Vec::new();
        for (_, p) in found {
            let same = |q: &Pose| q.home.distance(p.home) <= apart && cos(q.turn - p.turn) > 0.8;
            if out.len() < most && !out.iter().any(same) {
                out.push(p);
            }
        }
        out
    }

    fn bounds(&self) -> (Point, Point) {
        let far = f64::INFINITY;
        self.outline.iter().fold(
            (Point::new(far, far), Point::new(-far, -far)),
            |(l, h), p| {
                (
                    Point::new(l.x.min(p.x), l.y.min(p.y)),
                    Point::new(h.x.max(p.x), h.y.max(p.y)),
                )
            },
        )
    }

    /// Looks at every pose at scales from `from` to `top`. Returns the first
    /// that fits, nothing when none does, or an error when
    /// `budget`, counted in walls measured, runs out.
    pub(super) fn prove(
        &self,
        from: f64,
        top: f64,
        budget: &mut u32,
    ) -> Result<Option<Pose>, OutOfBudget> {
        let (lo, hi) = self.bounds();
        // Cells are of where the middle of fair territory lies, at scale `from`.
        let k = from * self.size.fair / 2.0;
        // On convex ground the programs of the cells settle where the court
        // lies, and little but the turn needs cutting.
        let convex = self.inner.is_empty() && self.posts.is_empty();
        let sliding = if convex { 0.01 } else { 1.0 };
        // A cell costs about as much as there is to measure.
        let cost = 12 + u32::try_from(self.walls.len() + self.posts.len()).unwrap_or(u32::MAX);
        let mut rows = Vec::new();
        let mut open = alloc::vec![Cell {
            x: (lo.x + hi.x) / 2.0,
            y: (lo.y + hi.y) / 2.0,
            hx: (hi.x - lo.x) / 2.0,
            hy: (hi.y - lo.y) / 2.0,
            turn: 0.0,
            ht: core::f64::consts::PI,
            s1: from,
            s2: top,
        }];
        while let Some(cell) = open.pop() {
            if *budget == 0 {
                return Err(OutOfBudget);
            }
            *budget = budget.saturating_sub(cost);
            let Some((mid, turn)) = self.promising(&cell, k, &mut rows) else {
                continue;
            };
            let home = mid.minus(turned(Point::new(k, k), turn));
            let pose = Pose {
                home,
                turn,
                scale: cell.s1,
            };
            if self.fits(&pose) {
                return Ok(Some(pose));
            }
            let arm = k * core::f64::consts::SQRT_2 * cell.ht;
            let span = (cell.s2 - cell.s1) * self.size.infield * 0.5;
            if cell.hx.max(cell.hy).max(arm).max(span) < FINEST {
                continue;
            }
            let (x, y) = (cell.hx * sliding, cell.hy * sliding);
            let widest = x.max(y).max(arm).max(span);
            let mut halves = [cell, cell];
            for (half, sign) in halves.iter_mut().zip([-0.5, 0.5]) {
                if widest == x {
                    half.x += sign * cell.hx;
                    half.hx /= 2.0;
                } else if widest == y {
                    half.y += sign * cell.hy;
                    half.hy /= 2.0;
                } else if widest == arm {
                    half.turn += sign * cell.ht;
                    half.ht /= 2.0;
                } else if sign > 0.0 {
                    // The smaller court is looked at first: it fits sooner.
                    half.s2 = (cell.s1 + cell.s2) / 2.0;
                } else {
                    half.s1 = (cell.s1 + cell.s2) / 2.0;
                }
            }
            open.extend(halves);
        }
        Ok(None)
    }

    /// The most promising middle and turn of a cell, or nothing when no pose
    /// in it can fit.
    fn promising(&self, cell: &Cell, k: f64, rows: &mut Vec<Row>) -> Option<(Point, f64)> {
        let mid = Point::new(cell.x, cell.y);
        let (s, c) = (sin(cell.turn), cos(cell.turn));
        let out = |p: Point| Point::new(p.x * c - p.y * s, p.x * s + p.y * c);
        let pivot = Point::new(k, k);
        let home = mid.minus(out(pivot));
        let slide = sqrt(cell.hx * cell.hx + cell.hy * cell.hy);
        let size = self.size.times(cell.s1);
        let half = size.fair / 2.0;
        // The circle inside fair territory needs room whatever the turn.
        let shift = half - k;
        let centre = mid.plus(out(Point::new(shift, shift)));
        let drift = slide + shift * core::f64::consts::SQRT_2 * cell.ht;
        if self.room(centre) + drift < half + self.run_off - SLACK {
            return None;
        }
        let [fair, the_box, strip] = size.parts();
        // Ground the strip takes at every scale of the cell.
        let core = Rect {
            x0: self.size.infield * cell.s2 - size.base,
            ..strip
        };
        let core = (core.x0 <= core.x1).then_some(core);
        let parts = [Some(fair), Some(the_box), core];
        let angle = cell.ht;
        rows.clear();
        // The variables: a step of the middle, a turn, the least slack.
        for r in parts.iter().flatten() {
            for p in r.corners() {
                let arm = out(p.minus(pivot));
                let at = mid.plus(arm);
                for h in &self.hull {
                    let slack = h.normal.dot(at) - h.least - self.run_off;
                    if slack >= 2.0 * (slide + arm.length() * angle) {
                        continue;
                    }
                    let n = h.normal;
                    let spin = n.dot(arm.left());
                    // What the turn gives beyond its straight part.
                    let bend = arm.length() * angle * angle / 2.0;
                    let most = n.x.abs() * cell.hx
                        + n.y.abs() * cell.hy
                        + (spin.abs() * angle + bend).min(2.0 * arm.length());
                    if slack + most < -SLACK {
                        return None;
                    }
                    if slack < most {
                        rows.push(Row {
                            a: [n.x, n.y, spin, -1.0],
                            b: -slack - bend,
                        });
                    }
                }
            }
        }
        for h in &self.home {
            let n = h.normal;
            let arm = out(pivot.times(-1.0));
            let spin = n.dot(arm.left());
            let bend = arm.length() * angle * angle / 2.0;
            let slack = n.dot(home) - h.least;
            rows.push(Row {
                a: [n.x, n.y, spin, -1.0],
                b: -slack - bend,
            });
        }
        let local = |p: Point| {
            let d = p.minus(home);
            Point::new(d.x * c + d.y * s, d.y * c - d.x * s)
        };
        let reach = |r: &Rect| {
            let arm = r
                .corners()
                .iter()
                .map(|p| p.distance(pivot))
                .fold(0.0, f64::max);
            slide + (arm * angle).min(2.0 * arm)
        };
        let reaches = parts.map(|r| r.map(|r| (r, reach(&r))));
        for (r, reach) in reaches.iter().flatten() {
            // A part with its middle far from free ground, whatever the walls.
            let m = mid.plus(out(r.middle().minus(pivot)));
            let inner = (r.x1 - r.x0).min(r.y1 - r.y0) / 2.0;
            if self.run_off < 0.05 && self.room(m) + reach < inner + self.run_off - SLACK {
                return None;
            }
        }
        for (r, reach) in reaches.iter().flatten() {
            let m = mid.plus(out(r.middle().minus(pivot)));
            let needed = r.radius() + self.run_off - reach;
            if needed <= 0.0 {
                continue;
            }
            for w in self.inner.iter().filter(|w| w.within(m, needed)) {
                let w = Segment {
                    a: local(w.a),
                    b: local(w.b),
                };
                if r.signed_segment(&w) + reach < self.run_off - SLACK {
                    return None;
                }
            }
        }
        for (p, radius) in &self.posts {
            let p = local(*p);
            for (r, reach) in reaches.iter().flatten() {
                if r.signed(p) - radius + reach < self.run_off - SLACK {
                    return None;
                }
            }
        }
        if rows.is_empty() || angle > 1.0 {
            return Some((mid, cell.turn));
        }
        rows.sort_by(|x: &Row, y: &Row| y.b.total_cmp(&x.b));
        let [u, v, w, least] = solve([0.0, 0.0, 0.0, 1.0], [cell.hx, cell.hy, angle, 1e3], rows)?;
        (least >= -SLACK).then(|| (mid.plus(Point::new(u, v)), cell.turn + w))
    }
}

/// The proof needed more cells than allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct OutOfBudget;

#[derive(Clone, Copy, Debug)]
struct Cell {
    x: f64,
    y: f64,
    hx: f64,
    hy: f64,
    turn: f64,
    ht: f64,
    s1: f64,
    s2: f64,
}
