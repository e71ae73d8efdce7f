//! The search for the largest court.
//!
//! A pose is where home lies, which way the court turns, and its scale (1 is
//! the edition's size). From a pose that fits, a sequence of small linear
//! programs over movement, turn and scale climbs to a pose that no small change
//! improves; a net of poses to start from covers the space.

use alloc::collections::BinaryHeap;
use alloc::vec::Vec;
use core::cmp::Ordering;
use core::f64::consts::{PI, SQRT_2, TAU};

use libm::{atan2, cos, sin};

use super::layout::Size;
use super::program::{Row, solve};
use super::shape::{Point, Rect, Segment, inside, sides};
use super::space::{Obstacle, Space};

/// Cells smaller than this (m) are not cut further.
const FINEST: f64 = 0.01;
/// How much of what a cell's movement might gain counts as hope.
const HOPE: f64 = 0.5;
/// Lengths nearer than this count as equal (m).
const SLACK: f64 = 1e-7;

/// Where a court lies and how large it is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pose {
    pub home: Point,
    pub turn: f64,
    pub scale: f64,
}

/// The net of poses to climb from: places along each side of the space, turns
/// at each place, and how many of them to take, those with most clear ground.
const STEPS: u32 = 12;
const TURNS: u32 = 8;
const MOST: usize = 14;

/// Poses about one, as far as a step or a turn from it allows.
struct Cell {
    /// The middle of fair territory, and how far it may lie from it each way.
    middle: Point,
    slide: f64,
    turn: f64,
    spin: f64,
    /// How promising it is.
    hope: f64,
}

impl Ord for Cell {
    fn cmp(&self, o: &Self) -> Ordering {
        self.hope.total_cmp(&o.hope)
    }
}

impl PartialOrd for Cell {
    fn partial_cmp(&self, o: &Self) -> Option<Ordering> {
        Some(self.cmp(o))
    }
}

impl PartialEq for Cell {
    fn eq(&self, o: &Self) -> bool {
        self.cmp(o) == Ordering::Equal
    }
}

impl Eq for Cell {}

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
    posts: Vec<(Point, f64)>,
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
            posts,
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

    /// Least distance of the footprint to anything, or below nothing; beyond
    /// `most` it is not measured.
    fn clearance_up_to(&self, pose: &Pose, most: f64) -> f64 {
        let parts = self.size.times(pose.scale).parts();
        let (s, c) = (sin(pose.turn), cos(pose.turn));
        let middles = parts.map(|r| {
            let m = r.middle();
            pose.home
                .plus(Point::new(m.x * c - m.y * s, m.x * s + m.y * c))
        });
        // Every part, since without run-off two parts may meet in a corner
        // that lies on a wall, one on either side of it.
        if let Some(m) = middles.iter().find(|m| !self.free(**m)) {
            let to = |w: &Segment| m.distance(w.nearest(*m));
            return -self.walls.iter().map(to).fold(Space::LARGEST, f64::min);
        }
        let local = |p: Point| {
            let d = p.minus(pose.home);
            Point::new(d.x * c + d.y * s, d.y * c - d.x * s)
        };
        let mut least = most;
        for (r, m) in parts.iter().zip(middles) {
            for w in &self.walls {
                if w.within(m, least + r.radius()) {
                    let w = Segment {
                        a: local(w.a),
                        b: local(w.b),
                    };
                    least = least.min(r.signed_segment(&w));
                }
            }
            for (p, radius) in &self.posts {
                least = least.min(r.signed(local(*p)) - radius);
            }
        }
        least
    }

    pub(super) fn clearance(&self, pose: &Pose) -> f64 {
        self.clearance_up_to(pose, Space::LARGEST)
    }

    /// How far home may still move, below nothing where it may not be.
    fn home_room(&self, home: Point) -> f64 {
        let room = |h: &HalfPlane| h.normal.dot(home) - h.least;
        self.home.iter().map(room).fold(Space::LARGEST, f64::min)
    }

    pub(super) fn fits(&self, pose: &Pose) -> bool {
        self.home_room(pose.home) >= -SLACK
            && self.clearance_up_to(pose, self.run_off) >= self.run_off - SLACK
    }

    /// Climbs from `pose`. With `wider` the scale stays and the clearance
    /// grows; else the scale grows up to 1 and the run-off is kept.
    pub(super) fn grow(&self, mut pose: Pose, wider: bool) -> Pose {
        let mut reach = 1.0f64;
        let mut clear = self.clearance(&pose);
        let mut rows: Vec<Row> = Vec::new();
        for _ in 0..60 {
            if reach < 1e-6 || (!wider && pose.scale >= 1.0) {
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
                    (pose.scale + t).min(1.0)
                },
            };
            if self.home_room(there.home) < -SLACK {
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
    pub(super) fn seeds(&self, scale: f64) -> Vec<Pose> {
        let (lo, hi) = self.bounds();
        let mut found: Vec<(f64, Pose)> = Vec::new();
        for i in 0..STEPS * STEPS * TURNS {
            let part = |n: u32| (f64::from(n) + 0.5) / f64::from(STEPS);
            let (x, y) = (part(i % STEPS), part(i / STEPS % STEPS));
            let turn = f64::from(i / (STEPS * STEPS)) * TAU / f64::from(TURNS);
            let middle = Point::new(lo.x + (hi.x - lo.x) * x, lo.y + (hi.y - lo.y) * y);
            let half = self.size.fair * scale / 2.0;
            let home = middle.minus(turned(Point::new(half, half), turn));
            let pose = Pose { home, turn, scale };
            if self.fits(&pose) {
                found.push((self.clearance(&pose), pose));
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        // A climb among many walls costs as much as many among few.
        let most = if self.walls.len() > 100 {
            MOST / 3
        } else {
            MOST
        };
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

    /// A pose of scale `scale` that fits, looked for where most is to be hoped
    /// until `budget`, counted in walls measured, runs out.
    ///
    /// A cell of poses is dropped when its middle pose has so little clear
    /// ground that the largest movement within the cell cannot make it enough.
    pub(super) fn find(&self, scale: f64, budget: &mut u32) -> Option<Pose> {
        let (lo, hi) = self.bounds();
        let half = self.size.fair * scale / 2.0;
        let pivot = Point::new(half, half);
        let parts = self.size.times(scale).parts();
        let corners = parts.iter().flat_map(Rect::corners);
        let arm = corners.map(|p| p.distance(pivot)).fold(0.0, f64::max);
        let cost = 4 + u32::try_from(self.walls.len() + self.posts.len()).unwrap_or(u32::MAX);
        let mut open = BinaryHeap::from([Cell {
            middle: lo.plus(hi).times(0.5),
            slide: (hi.x - lo.x).max(hi.y - lo.y) / 2.0,
            turn: 0.0,
            spin: PI,
            hope: 0.0,
        }]);
        while let Some(cell) = open.pop() {
            let turns = arm * cell.spin > cell.slide;
            let (slide, spin) = match turns {
                true => (cell.slide, cell.spin / 2.0),
                false => (cell.slide / 2.0, cell.spin),
            };
            if slide < FINEST {
                continue;
            }
            let ways: &[(f64, f64)] = if turns {
                &[(-1.0, 0.0), (1.0, 0.0)]
            } else {
                &[(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)]
            };
            for (a, b) in ways {
                *budget = budget.checked_sub(cost)?;
                let (middle, turn) = if turns {
                    (cell.middle, cell.turn + a * spin)
                } else {
                    (
                        cell.middle.plus(Point::new(a * slide, b * slide)),
                        cell.turn,
                    )
                };
                let home = middle.minus(turned(pivot, turn));
                let pose = Pose { home, turn, scale };
                let reach = slide * SQRT_2 + (arm * spin).min(2.0 * arm);
                let clear = self
                    .clearance_up_to(&pose, self.run_off + reach)
                    .min(self.run_off + self.home_room(home));
                if clear >= self.run_off - SLACK {
                    return Some(pose);
                }
                if clear + reach >= self.run_off {
                    let hope = clear + reach * HOPE;
                    open.push(Cell {
                        middle,
                        slide,
                        turn,
                        spin,
                        hope,
                    });
                }
            }
        }
        None
    }
}
