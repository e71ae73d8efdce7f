//! Line score, box score, its proof, and player statistics: all derived from
//! the outcomes of the plays in force, never kept.
//!
//! Source of the definitions: Official Baseball Rules, chapter 9 (2019
//! numbering), reduced to a game without walks, sacrifices and pitchers.

mod average;
mod line;
mod sheet;
#[cfg(test)]
mod tests;

pub use average::Average;
pub use line::{HalfInningTotals, LineScore, SideTotal};
pub use sheet::{BoxScore, PlayerTotals, runs_batted_in};
