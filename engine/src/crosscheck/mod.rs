//! Comparison of two independent records of one game.
//!
//! Both records are reduced to **umpire facts**: who was at bat, where each
//! person ended, runs, outs, the bases afterwards, and who is in play. Equal
//! facts give equal [`CheckCode`]s. When codes differ, [`compare`] finds the
//! smallest set of differences and what each official would have to correct.

mod agreement;
mod align;
mod code;
mod difference;
mod exchange;
mod facts;
mod settle;
mod signing;
mod standing;
mod status;
#[cfg(test)]
mod tests;
mod words;

pub use agreement::{Agreement, AgreementObjection, Counterpart, SettlingEntries};
pub use code::{CheckCode, Half, code_after, codes};
pub use difference::{Comparison, Detail, Difference, Kind, NoticeRef, PlayRef, compare};
pub use exchange::{Exchange, ExchangeObjection, Extent, Held};
pub use facts::{PlayFacts, RunnerEnd};
pub use settle::{Choice, ChoiceObjection, Settlement};
pub use signing::{SigningTask, signing_tasks};
pub use standing::RecordStanding;
pub use status::{KeptRecord, Reason, Status, Verdict, status};
#[cfg(feature = "competition")]
pub(crate) use words::capital;
