//! The court a game was played on, small enough to go with its fixture.

use alloc::string::String;
use alloc::vec::Vec;

use minicbor::{Decode, Encode};

use super::layout::{Court, Measure, Reduction};
use crate::message::text;
use crate::rules::{Edition, Length};

/// The lengths of the court used, beside those of the edition.
///
/// A CBOR map with whole-number keys, all values in millimetres:
/// 0 and 1 base to base, used and edition; 2 and 3 side of fair territory;
/// 4 and 5 no-hit line from home; 6 its minimum; 7 run-off kept.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Encode, Decode)]
#[cbor(map)]
pub struct CourtUsed {
    #[n(0)]
    infield: u32,
    #[n(1)]
    infield_edition: u32,
    #[n(2)]
    fair: u32,
    #[n(3)]
    fair_edition: u32,
    #[n(4)]
    no_hit: u32,
    #[n(5)]
    no_hit_edition: u32,
    #[n(6)]
    no_hit_minimum: u32,
    #[n(7)]
    run_off: u32,
}

impl CourtUsed {
    /// The summary of a court laid out under an edition.
    #[must_use]
    pub fn new(court: &Court, edition: &Edition) -> Self {
        Self {
            infield: court.infield_side().mm(),
            infield_edition: edition.infield_side().mm(),
            fair: court.fair_side().mm(),
            fair_edition: edition.fair_side().mm(),
            no_hit: court.no_hit().mm(),
            no_hit_edition: edition.no_hit().mm(),
            no_hit_minimum: edition.no_hit_minimum().mm(),
            run_off: court.run_off().mm(),
        }
    }

    /// Side of the infield square used.
    #[must_use]
    pub fn infield_side(&self) -> Length {
        Length::from_mm(self.infield)
    }

    /// Side of fair territory used.
    #[must_use]
    pub fn fair_side(&self) -> Length {
        Length::from_mm(self.fair)
    }

    /// No-hit line from home used.
    #[must_use]
    pub fn no_hit(&self) -> Length {
        Length::from_mm(self.no_hit)
    }

    /// Run-off kept.
    #[must_use]
    pub fn run_off(&self) -> Length {
        Length::from_mm(self.run_off)
    }

    /// Whether these are the values of this edition: a summary that came from
    /// elsewhere may speak of another.
    #[must_use]
    pub fn is_under(&self, edition: &Edition) -> bool {
        self.infield_edition == edition.infield_side().mm()
            && self.fair_edition == edition.fair_side().mm()
            && self.no_hit_edition == edition.no_hit().mm()
            && self.no_hit_minimum == edition.no_hit_minimum().mm()
    }

    /// What is less than the edition says.
    #[must_use]
    pub fn reductions(&self) -> Vec<Reduction> {
        [
            (
                Measure::InfieldSide,
                self.infield_edition,
                self.infield,
                false,
            ),
            (Measure::FairSide, self.fair_edition, self.fair, false),
            (
                Measure::NoHit,
                self.no_hit_edition,
                self.no_hit,
                self.no_hit >= self.no_hit_minimum,
            ),
        ]
        .into_iter()
        .filter(|(_, of, used, _)| used < of)
        .map(|(m, of, used, within)| {
            Reduction::new(m, Length::from_mm(of), Length::from_mm(used), within)
        })
        .collect()
    }

    /// Whether every length is one the edition allows.
    #[must_use]
    pub fn is_within_edition(&self) -> bool {
        self.reductions().iter().all(Reduction::within_edition)
    }

    /// The court in sentences for the final statement and the score sheet.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let mut out = alloc::vec![text!(
            "court-used",
            infield = self.infield_side(),
            fair = self.fair_side(),
            no_hit = self.no_hit(),
            run_off = self.run_off()
        )];
        let reductions = self.reductions();
        if reductions.is_empty() {
            out.push(text!("court-used-full"));
        }
        out.extend(reductions.iter().map(|it| text!("court-used-reduced", it)));
        out
    }
}
