//! What to bring.

use alloc::string::String;
use alloc::vec::Vec;

use libm::ceil;

use super::layout::Court;
use super::tape::{Units, stock};
use crate::message::text;
use crate::rules::NoHitShape;

/// The material one court needs. Counts are common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Materials {
    /// Metres of chalk line or marking tape, the fence not counted.
    pub line_m: f64,
    /// Metres of fence, or of line where no fence stands.
    pub fence_m: f64,
    /// Length of measuring tape that reaches every mark (m).
    pub tape_m: u32,
}

/// Counts what a court needs.
#[must_use]
pub fn materials(court: &Court) -> Materials {
    let f = court.fair_side().metres();
    let (b, n) = (court.batters_box().metres(), court.no_hit().metres());
    let (s, w) = (court.safe_area().metres(), court.base_side().metres());
    let no_hit = match court.no_hit_shape() {
        NoHitShape::Line => n * core::f64::consts::SQRT_2,
        NoHitShape::Distance => n * core::f64::consts::FRAC_PI_2,
    };
    // The safe area needs three lines; its fourth side is the base.
    let safe = if s > 0.0 { 2.0 * s + w } else { 0.0 };
    Materials {
        line_m: 2.0 * f + 4.0 * b + no_hit + safe,
        fence_m: 2.0 * f,
        // The diagonal is the longest length on the tape.
        tape_m: ceil(f * core::f64::consts::SQRT_2 / 5.0) as u32 * 5,
    }
}

impl Materials {
    /// The list in words.
    #[must_use]
    pub fn sentences(&self, units: Units) -> Vec<String> {
        let metres = |metres| stock(metres, units);
        alloc::vec![
            text!("materials-line", length = metres(self.line_m)),
            text!("materials-fence", length = metres(self.fence_m)),
            text!("materials-tape", length = metres(self.tape_m.into())),
            text!("materials-cones"),
            text!("materials-bases"),
            text!("materials-chalk"),
        ]
    }
}
