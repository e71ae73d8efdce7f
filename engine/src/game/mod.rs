//! The state machine of a game: apply a call, list the legal calls, know when
//! it is over.

mod apply;
mod consequence;
mod courtesy_runner;
mod draft;
mod ending;
mod force;
mod legal;
mod notice;
mod objection;
mod offer;
mod outcome;
mod resolve;
mod state;
#[cfg(test)]
pub(crate) mod tests;
mod words;

pub use apply::{PlayedCall, RefusedCall};
pub use draft::{BatterChoice, Draft, RunnerChoice, Unready};
pub use ending::Ending;
#[cfg(feature = "log")]
pub(crate) use force::out_of_a_force;
pub use notice::{Hold, Notice, NoticeRefused, Stoppage, WarningRecipient};
pub use objection::{NoticeObjection, PlayObjection};
pub use outcome::{Change, End, Fate, Movement, Outcome};
pub use resolve::{ResolvedCall, ThirdOutQuestion};
pub use state::{Fixture, FixtureObjection, Game, Runner, Stage, Tally};
