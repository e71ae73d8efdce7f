//! Schedule, standings, tie-breaks and leaders.
//!
//! Everything here is pure: results and rule values come in, tables with their
//! reasons go out. A lot is a value that is passed in, a date too.
//!
//! - [`schedule`]: who meets whom, where and when.
//! - [`standings`]: a table with every tie-break step.
//! - [`bracket`]: who is still in.
//! - [`results`]: all of it from a schedule and its games; start here.
//! - [`leaders`]: the leading players.
//! - [`calendar`]: its games for other programs.
//!
//! What the signed logs of an event come to, and every file made of it, is in
//! [`report`](crate::report).
//!
//! ```
//! use engine::competition::schedule::{Clock, Format, Request, Schedule, Window};
//! use engine::rules::Edition;
//!
//! let request = Request {
//!     teams: ["Quay Street", "Tram Yard", "Bell Lane"].map(String::from).to_vec(),
//!     format: Format::RoundRobin { twice: false },
//!     courts: vec!["Fish market".into()],
//!     windows: vec![Window { opens: Clock(9 * 60), closes: Clock(12 * 60) }],
//!     game: 30,
//!     turnaround: 5,
//!     rest: 20,
//! };
//! let schedule = Schedule::arrange(&request, &Edition::federation()).unwrap();
//! let lines: Vec<String> = schedule
//!     .games()
//!     .iter()
//!     .map(|g| {
//!         let [guest, home] = [g.guest, g.home].map(|side| schedule.side_name(side));
//!         format!("{} {guest} at {home}", g.start)
//!     })
//!     .collect();
//! assert_eq!(
//!     lines,
//!     [
//!         "09:00 Bell Lane at Tram Yard",
//!         "09:50 Tram Yard at Quay Street",
//!         "10:40 Quay Street at Bell Lane",
//!     ]
//! );
//! ```

pub mod bracket;
pub mod calendar;
mod entrants;
mod fraction;
pub mod leaders;
pub mod results;
pub mod schedule;
pub mod standings;

pub use entrants::{Entrant, EntrantProblem, Entrants, MAX_ENTRANTS, MAX_NAME, NameProblem};
pub use fraction::Fraction;
