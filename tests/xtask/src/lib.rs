//! Developer commands, and what the programs that they start have in common: [`place`] says where
//! things are, [`deadline`] ends what hangs, [`tools`] finds or installs what a bare machine lacks.
//!
//! This crate is the first thing that a newcomer waits for, so it needs next to nothing: whatever takes
//! long to compile is a program of its own, which a command starts.

pub mod deadline;
pub mod place;
pub mod tools;
