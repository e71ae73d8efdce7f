//! The court: fit it into a space, set it out with a tape, draw it, and keep it
//! safe.
//!
//! ```
//! use engine::court::{FitOptions, Space, SpaceDraft, fit, set_out};
//! use engine::rules::Edition;
//!
//! let yard = Space::new(SpaceDraft::rectangle(24.0, 23.0)).unwrap();
//! let found = fit(&yard, &Edition::federation(), &FitOptions::default());
//! let court = found.court().unwrap();
//! assert!(court.reductions().is_empty());
//! assert!(set_out(court).len() > 10);
//! ```

pub mod care;
mod fit;
mod layout;
mod materials;
mod plan;
mod program;
mod search;
mod set_out;
mod shape;
mod space;
mod svg;
mod tape;
#[cfg(test)]
mod tests;
mod used;

pub use fit::{Fit, FitOptions, FittedCourt, Shortfall, SunSide, fit};
pub use layout::{Court, Mark, Measure, Placement, Reduction};
pub use materials::{Materials, materials};
pub use plan::{Dimension, Kind, Label, Outline, Plan};
pub use set_out::{
    Closing, DrawnLine, Hands, LineSide, SetOutStep, Task, closing_check, diagonal, set_out,
};
pub use shape::Point;
pub use space::{Obstacle, Shape, Space, SpaceDraft, SpaceObjection};
pub use svg::svg;
pub use tape::{ShownLength, TapeLength, Units};
pub use used::CourtUsed;
