//! Developer commands, as a library so that the browser tests and benchmarks use the same parts.
//!
//! [`tools`] finds or installs what a bare machine lacks, [`build`] runs Trunk, [`seal`] finishes the
//! build for offline use, [`serve`] gives it out, [`stages`] is the whole proof in order.

pub mod build;
pub mod icons;
pub mod place;
pub mod seal;
pub mod serve;
pub mod stages;
pub mod tools;
