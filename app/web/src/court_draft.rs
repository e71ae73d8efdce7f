//! The ground that a court is fitted into, as typed and tapped, with what has
//! been ticked off and measured: kept in a small piece of text, so that a
//! half-chalked court outlives a dead phone.

use engine::court::{
    CourtUsed, Fit, FitOptions, Obstacle, Point, Space, SpaceDraft, Units, fit, set_out,
};
use engine::rules::{BuiltIn, Edition, Length};
use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};

const KEY: &str = "chalkbook-court";

/// Something to keep clear of, in metres from the lower left corner.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Thing {
    /// Round: a post, a tree, a manhole.
    Post {
        /// To the right.
        x: f64,
        /// Up.
        y: f64,
        /// Across.
        across: f64,
    },
    /// A box along the edges of the sketch: a car, a bench, a planted bed.
    Block {
        /// To the right, of its lower left corner.
        x: f64,
        /// Up.
        y: f64,
        /// Size to the right.
        wide: f64,
        /// Size upwards.
        high: f64,
    },
}

/// The ground, and how far the work on it has come.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct CourtDraft {
    /// Lengths in feet and inches.
    pub feet: bool,
    /// A drawn outline instead of a rectangle.
    pub drawn: bool,
    /// Length of the rectangle (m).
    pub length: Option<f64>,
    /// Width of the rectangle (m).
    pub width: Option<f64>,
    /// Corners of the drawn outline (m).
    pub corners: Vec<(f64, f64)>,
    /// Metres to a square of the grid.
    pub square: u8,
    /// What to keep clear of.
    pub things: Vec<Thing>,
    /// Which corner home must be nearest.
    pub home: Option<usize>,
    /// Where the sun stands, degrees clockwise from the top of the sketch.
    pub sun: Option<u16>,
    /// The built-in edition, by its documented name.
    pub edition: String,
    /// Values that the competition changed.
    pub changes: Vec<(String, String)>,
    /// Clear ground all round, in decimetres.
    pub run_off: u8,
    /// Name of the place.
    pub name: String,
    /// Which court the ticks and readings below belong to.
    pub fitted: String,
    /// The court in the form that goes with a fixture.
    pub used: Option<Vec<u8>>,
    /// Steps ticked off.
    pub done: Vec<usize>,
    /// The two diagonals measured (m).
    pub diagonals: [Option<f64>; 2],
}

impl Default for CourtDraft {
    fn default() -> Self {
        Self {
            feet: false,
            drawn: false,
            length: None,
            width: None,
            corners: Vec::new(),
            square: 2,
            things: Vec::new(),
            home: None,
            sun: None,
            edition: BuiltIn::Federation.to_string(),
            changes: Vec::new(),
            run_off: 10,
            name: String::new(),
            fitted: String::new(),
            used: None,
            done: Vec::new(),
            diagonals: [None; 2],
        }
    }
}

/// What decides where the court lies; ticks and readings do not.
#[derive(Clone, Debug, PartialEq)]
pub struct CourtInputs {
    /// Nothing typed yet, or the ground.
    ground: Option<SpaceDraft>,
    edition: String,
    changes: Vec<(String, String)>,
    run_off: u8,
}

/// The court that was found, with the ground and the rules it was asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The ground.
    pub space: Space,
    /// The rules.
    pub edition: Edition,
    /// What the engine found.
    pub fit: Fit,
}

impl CourtDraft {
    /// Squares along each edge of the grid.
    pub const SQUARES: u8 = 20;

    /// As kept on the phone, or a fresh one.
    pub fn load() -> Self {
        LocalStorage::get(KEY).unwrap_or_default()
    }

    /// Keeps it.
    pub fn save(&self) {
        let _ = LocalStorage::set(KEY, self);
    }

    /// The tape's units.
    pub fn units(&self) -> Units {
        if self.feet {
            Units::FeetInches
        } else {
            Units::Metric
        }
    }

    /// Corners of the outline, of either kind (m).
    pub fn outline(&self) -> Vec<(f64, f64)> {
        match (self.drawn, self.length, self.width) {
            (true, ..) => self.corners.clone(),
            (false, Some(l), Some(w)) => vec![(0.0, 0.0), (l, 0.0), (l, w), (0.0, w)],
            _ => Vec::new(),
        }
    }

    /// The question to the engine.
    pub fn asked(&self) -> CourtInputs {
        let outline = self.outline();
        let ground = (!outline.is_empty()).then(|| {
            let mut ground =
                SpaceDraft::polygon(outline.iter().map(|(x, y)| Point::new(*x, *y)).collect());
            ground.obstacles = self.things.iter().map(Thing::obstacle).collect();
            ground.home_corner = self.home;
            ground.sun = self.sun.map(f64::from);
            ground
        });
        CourtInputs {
            ground,
            edition: self.edition.clone(),
            changes: self.changes.clone(),
            run_off: self.run_off,
        }
    }

    /// Takes over what was found: ticks and readings of another court are dropped.
    pub fn take(&mut self, found: &Found) {
        let Some(court) = found.fit.court() else {
            // Nothing to offer to a game; the ticks wait for the ground to be put right.
            self.used = None;
            return;
        };
        let place = court.placement().map(|p| {
            let home = p.home();
            format!("{:.2} {:.2} {:.3}", home.x, home.y, p.turn())
        });
        let used = CourtUsed::new(court, &found.edition);
        let name = format!("{used:?} {}", place.unwrap_or_default());
        self.used = minicbor::to_vec(&used).ok();
        if self.fitted != name {
            self.fitted = name;
            self.done.clear();
            self.diagonals = [None; 2];
        }
    }

    /// The first step not ticked off; `None` when all are.
    pub fn next_step(&self, of: usize) -> Option<usize> {
        (0..of).find(|i| !self.done.contains(i))
    }

    /// Makes a side of the drawn outline so long; the corners after it move
    /// along, and the last side closes the outline by itself.
    pub fn set_side(&mut self, side: usize, metres: f64) {
        let (Some(&(ax, ay)), Some(&(bx, by))) =
            (self.corners.get(side), self.corners.get(side + 1))
        else {
            return;
        };
        let now = (bx - ax).hypot(by - ay);
        if now <= 0.0 || !metres.is_finite() || metres <= 0.0 {
            return;
        }
        let more = metres / now - 1.0;
        let (dx, dy) = ((bx - ax) * more, (by - ay) * more);
        for corner in self.corners.iter_mut().skip(side + 1) {
            *corner = (corner.0 + dx, corner.1 + dy);
        }
    }

    /// How long a side of the outline is (m), the closing one included.
    pub fn side(&self, side: usize) -> Option<f64> {
        let a = self.corners.get(side)?;
        let b = self.corners.get(side + 1).or(self.corners.first())?;
        Some((b.0 - a.0).hypot(b.1 - a.1))
    }
}

impl Thing {
    fn obstacle(&self) -> Obstacle {
        match *self {
            Self::Post { x, y, across } => Obstacle::Circle {
                centre: Point::new(x, y),
                radius: across / 2.0,
            },
            Self::Block { x, y, wide, high } => Obstacle::Polygon(
                [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
                    .map(|(x, y)| Point::new(x, y))
                    .into(),
            ),
        }
    }
}

impl CourtInputs {
    /// Asks the engine.
    ///
    /// # Errors
    /// Everything wrong with the ground or the rules, in sentences.
    pub fn answer(self) -> Result<Found, Vec<String>> {
        let Some(ground) = self.ground else {
            return Err(vec!["Measure the ground first: length and width.".into()]);
        };
        let base = self.edition.parse().unwrap_or(BuiltIn::Federation);
        let changes = self.changes.iter().map(|(n, v)| (n.as_str(), v.as_str()));
        let edition = Edition::built_in(base)
            .with_all(changes)
            .map_err(|e| vec![e.to_string()])?;
        let space = Space::new(ground)
            .map_err(|wrong| wrong.iter().map(ToString::to_string).collect::<Vec<_>>())?;
        let options = FitOptions {
            run_off: Length::from_mm(u32::from(self.run_off) * 100),
            ..FitOptions::default()
        };
        let fit = fit(&space, &edition, &options);
        Ok(Found {
            space,
            edition,
            fit,
        })
    }
}

impl Found {
    /// Steps of the set-out, none without a court.
    pub fn steps(&self) -> Vec<engine::court::SetOutStep> {
        self.fit.court().map(set_out).unwrap_or_default()
    }
}

/// The court that goes with a fixture, from its bytes.
pub fn read_used(bytes: &[u8]) -> Option<CourtUsed> {
    minicbor::decode(bytes).ok()
}
