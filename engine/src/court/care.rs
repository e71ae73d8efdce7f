//! Care before and during play: a checklist, the weather hold and heat bands.
//!
//! None of it makes a place or a day safe. [`DEFER`] goes with every page.

mod checklist;
mod heat;
mod lightning;

pub use checklist::{Check, Checklist, Topic};
pub use heat::{Band, Wbgt, WbgtError};
pub use lightning::{HOLD_MS, HoldState, WeatherHold};

/// The sentence that goes with everything here.
pub const DEFER: &str =
    "Local rules and licensed people decide; this list and this clock only help to remember.";
