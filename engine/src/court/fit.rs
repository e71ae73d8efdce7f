//! Fitting the largest court into a space.

use alloc::string::String;
use alloc::vec::Vec;
use core::f64::consts::{FRAC_PI_2, FRAC_PI_4};

use libm::{cos, fabs, floor, sin};

use super::layout::{Court, Placement, Size};
use super::search::{Pose, Scene};
use super::shape::{Point, sides};
use super::space::Space;
use super::tape::{Units, said};
use crate::message::{Message, Speech, localized, text};
use crate::rules::{Edition, Length};

/// What the fit must keep besides the edition's own minima.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FitOptions {
    /// Clear ground kept all round the court: fair territory, the batter's
    /// box, the foul half of first base and the safe area.
    ///
    /// 1 m unless told (common practice, no source). More is better; local
    /// rules and licensed people decide.
    pub run_off: Length,
    /// The least infield side worth playing on.
    ///
    /// 7 m unless told (common practice, no source). Never taken below the
    /// no-hit minimum and two bases, nor above the edition's own side.
    pub least_infield: Length,
}

impl Default for FitOptions {
    fn default() -> Self {
        Self {
            run_off: Length::from_mm(1_000),
            least_infield: Length::from_mm(7_000),
        }
    }
}

/// Where the sun stands as the batter sees it, looking from home to second.
#[localized]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SunSide {
    /// In the batter's eyes.
    Ahead,
    /// On the first-base side.
    Right,
    /// In the fielders' eyes.
    Behind,
    /// On the third-base side.
    Left,
}

/// A court that fits.
#[derive(Clone, Debug, PartialEq)]
pub struct FittedCourt {
    court: Court,
    placement: Placement,
    spare: Length,
    sun: Option<SunSide>,
}

impl FittedCourt {
    /// The court, with its placement on the plan.
    #[must_use]
    pub fn court(&self) -> &Court {
        &self.court
    }

    /// Where it lies.
    #[must_use]
    pub fn placement(&self) -> Placement {
        self.placement
    }

    /// Clear ground beyond the run-off asked for, all round.
    #[must_use]
    pub fn spare(&self) -> Length {
        self.spare
    }

    /// Where the sun stands to the batter, when the space says where it is.
    #[must_use]
    pub fn sun(&self) -> Option<SunSide> {
        self.sun
    }
}

/// Why no court fits, and by how much it fails.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shortfall {
    largest: Option<Length>,
    least: Length,
    needed: Length,
    run_off: Length,
}

impl Shortfall {
    /// The largest infield side found that would fit, if any at all was.
    #[must_use]
    pub fn largest_infield(&self) -> Option<Length> {
        self.largest
    }

    /// The least infield side worth playing on.
    #[must_use]
    pub fn least_infield(&self) -> Length {
        self.least
    }

    /// By how much the infield side falls short.
    #[must_use]
    pub fn short_by(&self) -> Length {
        let got = self.largest.map_or(0, Length::mm);
        Length::from_mm(self.least.mm().saturating_sub(got))
    }

    /// Side of an empty square that would surely hold the least court.
    #[must_use]
    pub fn square_needed(&self) -> Length {
        self.needed
    }

    /// Why nothing fits, by how much, and what would.
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
        let say = |length| said(length, units);
        let (least, run_off, square) = (say(self.least), say(self.run_off), say(self.needed));
        match self.largest {
            Some(largest) => {
                let (largest, short) = (say(largest), say(self.short_by()));
                text!("shortfall", largest, short, least, run_off, square)
            }
            None => text!("shortfall-none", run_off, square),
        }
    }
}

/// What became of a fit.
#[derive(Clone, Debug, PartialEq)]
pub enum Fit {
    /// The largest court found.
    Fits(FittedCourt),
    /// None large enough.
    DoesNotFit(Shortfall),
}

impl Fit {
    /// The court, if one fits.
    #[must_use]
    pub fn court(&self) -> Option<&Court> {
        match self {
            Self::Fits(f) => Some(&f.court),
            Self::DoesNotFit(_) => None,
        }
    }

    /// What was found, in plain sentences.
    #[must_use]
    pub fn sentences(&self, units: Units) -> Vec<String> {
        match self {
            Self::DoesNotFit(s) => alloc::vec![s.sentence(units)],
            Self::Fits(f) => {
                let mut out = f.court.sentences(units);
                if let Some(sun) = f.sun {
                    out.push(alloc::format!("{sun}"));
                }
                out
            }
        }
    }
}

/// By how much larger a court the search looks for once it has one.
const LARGER: f64 = 1.008;

/// What that search may cost, in lengths measured.
const BUDGET: u32 = 600_000;

/// How many of the best courts are also tried after quarter turns, and rounded.
const BEST: usize = 4;

/// Centimetres that a court may lose to rounding. First base moves towards home
/// as the court shrinks, perhaps into a corner of the ground, so that one
/// centimetre less need not do.
const LOSSES: [u32; 6] = [0, 1, 2, 4, 8, 16];

/// What looking for another place after rounding may cost, each time.
const AGAIN: u32 = BUDGET / 6;

/// Sizes this near count as equal when the sun decides.
const SUN_SHARE: f64 = 0.995;

/// The largest court that keeps the edition's proportions inside a space.
///
/// Infield and fair territory shrink together; the no-hit line shrinks with
/// them but not under its minimum; batter's box, bases, safe area and run-off
/// keep their size. Any place and any turn are allowed; first base is always
/// on the right of the batter.
///
/// The search climbs from many places and turns; it does not prove that no
/// larger court exists. Against an independent geometry library it comes within
/// one percent (`tests/court`). Lengths are rounded down to whole centimetres.
/// Where the space says where the sun is, courts within half a percent of the
/// largest are compared and the one that has the sun most nearly across the
/// line from home to second is taken (common practice, no source).
#[must_use]
pub fn fit(space: &Space, edition: &Edition, options: &FitOptions) -> Fit {
    let full = Court::full(edition, options.run_off);
    let scene = Scene::new(space, full.size(), options.run_off.metres());
    let least = least_infield(edition, options);
    let mut poses = climb(&scene, full.size());
    if let Some(best) = poses.first() {
        poses.insert(0, choose(&scene, space, *best));
    }
    let near = space.sun().map_or(1.0, |_| SUN_SHARE);
    let mut best: Option<FittedCourt> = None;
    for pose in poses.iter().take(BEST) {
        let top = whole_infield(&full, pose.scale).mm();
        let found = best.as_ref().map_or(0, |b| b.court.infield.mm());
        if f64::from(found) >= f64::from(top) * near {
            break;
        }
        let smaller = LOSSES
            .iter()
            .map(|cm| top.saturating_sub(cm * 10))
            .take_while(|mm| *mm > found.max(1_000));
        let fitted = smaller
            .map(Length::from_mm)
            .find_map(|infield| rounded(space, edition, options, infield, pose));
        best = fitted.or(best);
    }
    match best {
        Some(fitted) if fitted.court.infield_side() >= least => Fit::Fits(fitted),
        small => Fit::DoesNotFit(Shortfall {
            largest: small.map(|f| f.court.infield_side()),
            ..shortfall(edition, options, least)
        }),
    }
}

fn least_infield(edition: &Edition, options: &FitOptions) -> Length {
    let floor = edition.no_hit_minimum().mm() + 2 * edition.base_side().mm();
    options
        .least_infield
        .max(Length::from_mm(floor))
        .min(**edition.infield_side())
}

/// What the least court needs, with nothing found yet.
fn shortfall(edition: &Edition, options: &FitOptions, least: Length) -> Shortfall {
    let court = Court::scaled(edition, options.run_off, least);
    // Fair territory before it is rounded down, so that the square does hold it.
    let beyond = court
        .fair_side()
        .mm()
        .saturating_add(if court.reductions().is_empty() { 0 } else { 10 })
        .max(court.infield_side().mm() + court.safe_area().mm());
    let behind = court.batters_box().mm().max(court.base_side().mm());
    Shortfall {
        largest: None,
        least,
        needed: Length::from_mm(beyond + behind + 2 * options.run_off.mm()),
        run_off: options.run_off,
    }
}

/// Courts that no small movement enlarges, the largest first.
fn climb(scene: &Scene, size: Size) -> Vec<Pose> {
    let smallest = (1.0 / size.infield.max(1e-3)).min(1.0);
    let mut grown: Vec<Pose> = Vec::new();
    for seed in scene.seeds(smallest) {
        let pose = scene.grow(seed, false);
        if pose.scale >= 1.0 {
            return alloc::vec![pose];
        }
        grown.push(pose);
    }
    let largest_first = |grown: &mut Vec<Pose>| {
        grown.sort_by(|a, b| b.scale.total_cmp(&a.scale));
        grown
            .first()
            .map_or(smallest, |p| p.scale * LARGER)
            .min(1.0)
    };
    largest_first(&mut grown);
    grown.extend(quarter_turns(scene, &grown));
    let mut budget = BUDGET;
    loop {
        let larger = largest_first(&mut grown);
        match scene.find(larger, &mut budget) {
            Some(pose) => grown.push(scene.grow(pose, false)),
            None => return grown,
        }
        if grown.last().is_some_and(|p| p.scale >= 1.0) {
            largest_first(&mut grown);
            return grown;
        }
    }
}

/// The best courts after quarter turns: box and first base may lie better there.
fn quarter_turns(scene: &Scene, grown: &[Pose]) -> Vec<Pose> {
    grown
        .iter()
        .take(BEST)
        .flat_map(|from| (1..4).map(move |q| (from, from.turn + f64::from(q) * FRAC_PI_2)))
        .map(|(from, turn)| Pose {
            scale: from.scale * 0.9,
            ..scene.about_middle(from, turn)
        })
        .filter(|seed| scene.fits(seed))
        .map(|seed| scene.grow(seed, false))
        .collect()
}

/// The infield side of a scale, rounded down to whole centimetres; the full
/// one is kept to the millimetre.
fn whole_infield(full: &Court, scale: f64) -> Length {
    let all = full.infield_side();
    if scale >= 1.0 - 1e-9 {
        all
    } else {
        let cm = floor(f64::from(all.mm()) * scale / 10.0 + 1e-6);
        Length::from_mm((cm.max(0.0) as u32).saturating_mul(10))
    }
}

/// Other turns of the same ground, for more clear ground or a better sun.
fn choose(scene: &Scene, space: &Space, best: Pose) -> Pose {
    let full = best.scale >= 1.0;
    // The sun straight across the line from home to second, either way.
    let across = space.sun().map(|deg| {
        let sun = scene.direction(Point::new(sin(deg.to_radians()), cos(deg.to_radians())));
        [FRAC_PI_2, -FRAC_PI_2].map(|side| sun + side - FRAC_PI_4)
    });
    let mut turns: Vec<f64> = across.into_iter().flatten().collect();
    turns.extend((1..4).map(|q| best.turn + f64::from(q) * FRAC_PI_2));
    if full {
        for s in sides(space.outline()) {
            let d = s.b.minus(s.a);
            let along = scene.direction(d);
            turns.extend((0..4).map(|q| along + f64::from(q) * FRAC_PI_2));
        }
    }
    turns.truncate(24);
    let mut poses = alloc::vec![best];
    if full {
        poses.push(scene.grow(best, true));
    }
    for turn in turns {
        let seed = scene.about_middle(&best, turn);
        for share in [1.0, 0.99, 0.95, 0.9] {
            let seed = Pose {
                scale: seed.scale * share,
                ..seed
            };
            if scene.fits(&seed) {
                let grown = scene.grow(seed, false);
                poses.push(grown);
                if grown.scale >= 1.0 {
                    poses.push(scene.grow(grown, true));
                }
                break;
            }
        }
    }
    let top = poses.iter().map(|p| p.scale).fold(0.0, f64::max);
    let sun = space.sun();
    let worth = |p: &Pose| -> (f64, f64) {
        let glare = sun.map_or(0.0, |deg| {
            let (_, turn) = scene.on_plan(p);
            // Steps of a tenth, so that a hair's breadth decides nothing.
            floor(fabs(facing(turn, deg).0) * 10.0) / 10.0
        });
        let room = if full { scene.clearance(p) } else { p.scale };
        (-glare, room)
    };
    let share = sun.map_or(1.0, |_| SUN_SHARE);
    poses
        .into_iter()
        .filter(|p| p.scale >= top * share)
        .max_by(|a, b| {
            let (a, b) = (worth(a), worth(b));
            a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
        })
        .unwrap_or(best)
}

/// The court with this infield side near a pose, moved to where it has most
/// clear ground, if it fits there.
fn rounded(
    space: &Space,
    edition: &Edition,
    options: &FitOptions,
    infield: Length,
    pose: &Pose,
) -> Option<FittedCourt> {
    let mut court = Court::scaled(edition, options.run_off, infield);
    let scene = Scene::new(space, court.size(), options.run_off.metres());
    let mut at = Pose {
        scale: 1.0,
        ..*pose
    };
    // A full court lies where it was chosen to; a reduced one is centred in
    // the last centimetre.
    if !court.reductions().is_empty() || !scene.fits(&at) {
        at = scene.grow(at, true);
    }
    if !scene.fits(&at) {
        // First base moves towards home as the court shrinks, perhaps into a
        // corner of the ground: another place may do.
        at = scene.grow(scene.find(1.0, &mut { AGAIN })?, true);
    }
    let (home, turn) = scene.on_plan(&at);
    let placement = Placement::new(home, turn);
    court.placement = Some(placement);
    let spare = (scene.clearance(&at) - options.run_off.metres()).max(0.0);
    Some(FittedCourt {
        court,
        placement,
        spare: Length::from_mm((floor(spare * 100.0 + 1e-6) as u32).saturating_mul(10)),
        sun: space.sun().map(|deg| sun_side(turn, deg)),
    })
}

/// Cosine and sine of the way from home to second against the sun.
fn facing(turn: f64, deg: f64) -> (f64, f64) {
    let az = deg.to_radians();
    let sun = Point::new(sin(az), cos(az));
    let ahead = Point::new(cos(turn + FRAC_PI_4), sin(turn + FRAC_PI_4));
    (ahead.dot(sun), ahead.cross(sun))
}

fn sun_side(turn: f64, deg: f64) -> SunSide {
    let (ahead, left) = facing(turn, deg);
    if fabs(ahead) >= fabs(left) {
        if ahead > 0.0 {
            SunSide::Ahead
        } else {
            SunSide::Behind
        }
    } else if left > 0.0 {
        SunSide::Left
    } else {
        SunSide::Right
    }
}
