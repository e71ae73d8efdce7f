//! Schedule, standings, tie-breaks and leaders.
//!
//! Everything here is pure: results and rule values come in, tables with their
//! reasons go out. A lot is a value that is passed in, a date too.

pub mod bracket;
pub mod calendar;
pub mod csv;
mod entrants;
mod fraction;
pub mod leaders;
pub mod results;
pub mod schedule;
pub mod standings;

pub use entrants::{Entrant, EntrantProblem, Entrants, MAX_ENTRANTS, MAX_NAME, NameProblem};
pub use fraction::Fraction;
