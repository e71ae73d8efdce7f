//! The collector under faults, load and bad input.
//!
//! Phones deliver signed games through a [`proxy`] that loses, cuts, doubles,
//! delays and reorders, to collectors that are killed at random moments.
//! Afterwards every acknowledged entry must be there, none twice, and the heads
//! equal.

pub mod azure;
pub mod federation;
pub mod flushed;
pub mod load;
pub mod phone;
pub mod proxy;
pub mod quick_s3;
pub mod run;
pub mod service;
pub mod wire;
