//! Fitting the largest court into a space.

use alloc::string::String;
use alloc::vec::Vec;
use core::f64::consts::{FRAC_PI_2, FRAC_PI_4};
use core::fmt;

use libm::{cos, fabs, floor, sin};

use super::layout::{Court, Placement, Size};
use super::search::{Net, Pose, Scene};
use super::shape::{Point, sides};
use super::space::Space;
use super::tape::{Units, said};
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

/// How sure it is that no larger court fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// The court has the edition's full size; there is no larger one.
    Full,
    /// Every place and turn was ruled out for a court larger by more than
    /// this many thousandths (to half a millimetre of run-off).
    Within {
        /// Thousandths of the court's size.
        per_mille: u16,
    },
    /// The best found; the space is too intricate to rule out the rest in
    /// the time allowed.
    BestFound,
}

impl fmt::Display for Proof {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Full => f.write_str("The full court fits."),
            Self::Within { per_mille } => write!(
                f,
                "No place or turn allows a court more than {}.{} % larger.",
                per_mille / 10,
                per_mille % 10
            ),
            Self::BestFound => f.write_str(
                "This is the best place found; the space is too intricate to rule out a better one.",
            ),
        }
    }
}

/// Where the sun stands as the batter sees it, looking from home to second.
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

impl fmt::Display for SunSide {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Ahead => "The sun stands in the batter's eyes.",
            Self::Right => "The sun stands on the first-base side.",
            Self::Behind => "The sun stands behind the batter, in the fielders' eyes.",
            Self::Left => "The sun stands on the third-base side.",
        })
    }
}

/// A court that fits.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    court: Court,
    placement: Placement,
    proof: Proof,
    spare: Length,
    sun: Option<SunSide>,
}

impl Fitted {
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

    /// How sure it is that no larger one fits.
    #[must_use]
    pub fn proof(&self) -> Proof {
        self.proof
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
    proof: Proof,
    least: Length,
    needed: Length,
    run_off: Length,
    sure: bool,
}

impl Shortfall {
    /// Whether every place and turn was ruled out for the least court; if
    /// not, none was found in the time allowed.
    #[must_use]
    pub fn is_certain(&self) -> bool {
        self.sure
    }

    /// The largest infield side found that would fit, if any at all was.
    #[must_use]
    pub fn largest_infield(&self) -> Option<Length> {
        self.largest
    }

    /// How sure it is that no court larger than that one fits.
    #[must_use]
    pub fn proof(&self) -> Proof {
        self.proof
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
}

impl Shortfall {
    /// Why nothing fits, by how much, and what would.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        let say = |length| said(length, units);
        let mut out = match self.largest {
            Some(l) => alloc::format!(
                "No court fits: base to base would be {}, {} short of the least, {}.",
                say(l),
                say(self.short_by()),
                say(self.least)
            ),
            None => String::from(
                "No court fits: no place was found even for the batter's box and first base.",
            ),
        };
        out.push_str(&alloc::format!(
            " With {} of run-off the least court needs a clear square of {}.",
            say(self.run_off),
            say(self.needed)
        ));
        if !self.sure {
            out.push_str(" The space is intricate, so a better place may exist.");
        }
        out
    }
}

/// What became of a fit.
#[derive(Clone, Debug, PartialEq)]
pub enum Fit {
    /// The largest court found.
    Fits(Fitted),
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
                out.push(alloc::format!("{}", f.proof));
                if let Some(sun) = f.sun {
                    out.push(alloc::format!("{sun}"));
                }
                out
            }
        }
    }
}

/// What the proof may cost, all rounds together: some fifty thousand cells of a
/// plain space, some tens of milliseconds on a phone.
const BUDGET: u32 = 1_000_000;

/// The rounds of the proof, in thousandths by which a court must be larger
/// to be looked for.
const ROUNDS: [u16; 3] = [100, 30, 8];

/// Poses from which the climb starts before the proof.
const WIDE: Net = Net {
    steps: 12,
    turns: 8,
    most: 14,
};

/// A closer net for courts nearly as large as the best of these: arms and
/// corners of the space where only a small court's clear ground looks poor.
const CLOSE: Net = Net {
    steps: 18,
    turns: 12,
    most: 10,
};

/// How large those courts are, against the best.
const NEARLY: f64 = 0.9;

/// Of these, the best are also tried after quarter turns.
const TURNED: usize = 4;

/// Sizes this near count as equal when the sun decides.
const SUN_SHARE: f64 = 0.995;

/// The largest court that keeps the edition's proportions inside a space.
///
/// Infield and fair territory shrink together; the no-hit line shrinks with
/// them but not under its minimum; batter's box, bases, safe area and run-off
/// keep their size. Any place and any turn are allowed; first base is always
/// on the right of the batter.
///
/// The search climbs by exact linear programs and then tries to rule out
/// every larger court; [`Fitted::proof`] says how far it got. Lengths are
/// rounded down to whole centimetres. Where the space says where the sun is,
/// courts within half a percent of the largest are compared and the one that
/// has the sun most nearly across the line from home to second is taken
/// (common practice, no source).
#[must_use]
pub fn fit(space: &Space, edition: &Edition, options: &FitOptions) -> Fit {
    let full = Court::full(edition, options.run_off);
    let size = full.size();
    let scene = Scene::new(space, size, options.run_off.metres());
    let least = least_infield(edition, options);
    let share = f64::from(least.mm()) / f64::from(full.infield_side().mm().max(1));
    let found = largest(&scene, size, share);
    let refused = |largest| {
        Fit::DoesNotFit(Shortfall {
            largest,
            proof: found.proof,
            sure: found.too_small,
            ..shortfall(edition, options, least)
        })
    };
    let Some(best) = found.best else {
        return refused(None);
    };
    let pose = choose(&scene, space, best);
    let mut infield = whole_infield(&full, pose.scale);
    let mut budget = BUDGET / 2;
    let rounded = loop {
        if let Some(r) = rounded(space, edition, options, infield, &pose, &mut budget) {
            break Some(r);
        }
        if infield.mm() <= 1_000 {
            break None;
        }
        infield = Length::from_mm(infield.mm().saturating_sub(10));
    };
    let Some((mut court, placement, spare)) = rounded else {
        return refused(None);
    };
    if court.infield_side() < least {
        return refused(Some(court.infield_side()));
    }
    court.placement = Some(placement);
    Fit::Fits(Fitted {
        court,
        placement,
        proof: found.proof,
        spare,
        sun: space.sun().map(|deg| sun_side(placement.turn(), deg)),
    })
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
        proof: Proof::BestFound,
        least,
        needed: Length::from_mm(beyond + behind + 2 * options.run_off.mm()),
        run_off: options.run_off,
        sure: false,
    }
}

/// What the search came to.
struct Largest {
    /// The best pose, which may be too small to play on.
    best: Option<Pose>,
    /// What is ruled out beyond it.
    proof: Proof,
    /// Every court worth playing on is ruled out.
    too_small: bool,
}

impl Largest {
    fn scale(&self) -> f64 {
        self.best.map_or(0.0, |b| b.scale)
    }
}

/// The largest court, whether or not it reaches the scale `least`.
fn largest(scene: &Scene, size: Size, least: f64) -> Largest {
    let smallest = (1.0 / size.infield.max(1e-3)).min(1.0);
    let mut grown: Vec<Pose> = Vec::new();
    for seed in scene.seeds(smallest, WIDE) {
        let pose = scene.grow(seed, 1.0, false);
        if pose.scale >= 1.0 {
            return Largest {
                best: Some(pose),
                proof: Proof::Full,
                too_small: false,
            };
        }
        grown.push(pose);
    }
    grown.sort_by(|a, b| b.scale.total_cmp(&a.scale));
    // The box and first base may lie better after a quarter turn.
    for i in 0..TURNED.min(grown.len()) {
        for q in 1..4 {
            let Some(from) = grown.get(i).copied() else {
                continue;
            };
            let turn = from.turn + f64::from(q) * FRAC_PI_2;
            let seed = Pose {
                scale: from.scale * 0.9,
                ..scene.about_middle(&from, turn)
            };
            if scene.fits(&seed) {
                grown.push(scene.grow(seed, 1.0, false));
            }
        }
    }
    let larger = |a: &Pose, b: &Pose| a.scale.total_cmp(&b.scale);
    let mut best = grown.into_iter().max_by(larger);
    if let Some(first) = best {
        let close = scene.seeds(first.scale * NEARLY, CLOSE);
        let climbed = close.into_iter().map(|pose| scene.grow(pose, 1.0, false));
        best = climbed.chain([first]).max_by(larger);
    }
    let mut found = Largest {
        best,
        proof: Proof::BestFound,
        too_small: false,
    };
    let mut budget = BUDGET;
    // Whether there is a court worth playing on comes first.
    while found.scale() < least {
        match scene.prove(least, 1.0, &mut budget) {
            Ok(Some(pose)) => found.best = Some(scene.grow(pose, 1.0, false)),
            Ok(None) => {
                found.too_small = true;
                break;
            }
            Err(_) => return found,
        }
    }
    let top = if found.too_small { least } else { 1.0 };
    for per_mille in ROUNDS {
        loop {
            if found.scale() >= 1.0 {
                found.proof = Proof::Full;
                return found;
            }
            let from = (found.scale() * (1.0 + f64::from(per_mille) / 1000.0)).max(smallest);
            if from >= top && top < 1.0 {
                // Courts from here on are ruled out already.
                found.proof = Proof::Within { per_mille };
                break;
            }
            match scene.prove(from.min(top), top, &mut budget) {
                Ok(Some(pose)) => found.best = Some(scene.grow(pose, top, false)),
                Ok(None) => {
                    found.proof = Proof::Within { per_mille };
                    break;
                }
                Err(_) => return found,
            }
        }
    }
    found
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
        poses.push(scene.grow(best, 1.0, true));
    }
    for turn in turns {
        let seed = scene.about_middle(&best, turn);
        for share in [1.0, 0.99, 0.95, 0.9] {
            let seed = Pose {
                scale: seed.scale * share,
                ..seed
            };
            if scene.fits(&seed) {
                let grown = scene.grow(seed, 1.0, false);
                poses.push(grown);
                if grown.scale >= 1.0 {
                    poses.push(scene.grow(grown, 1.0, true));
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
    let share = if sun.is_some() { SUN_SHARE } else { 1.0 };
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
    budget: &mut u32,
) -> Option<(Court, Placement, Length)> {
    let court = Court::scaled(edition, options.run_off, infield);
    let scene = Scene::new(space, court.size(), options.run_off.metres());
    let mut at = Pose {
        scale: 1.0,
        ..*pose
    };
    // A full court lies where it was chosen to; a reduced one is centred in
    // the last centimetre.
    if !court.reductions().is_empty() || !scene.fits(&at) {
        at = scene.grow(at, 1.0, true);
    }
    if !scene.fits(&at) {
        // First base moves towards home as the court shrinks, perhaps into a
        // corner of the ground: another place may do.
        let found = scene.prove(1.0, 1.0, budget).ok().flatten()?;
        at = scene.grow(found, 1.0, true);
    }
    let (home, turn) = scene.on_plan(&at);
    let spare = (scene.clearance(&at) - options.run_off.metres()).max(0.0);
    let spare = Length::from_mm((floor(spare * 100.0 + 1e-6) as u32).saturating_mul(10));
    Some((court, Placement::new(home, turn), spare))
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
