//! Proofs and measurements of the optical link: a synthetic camera, the loss
//! curve, the time budget, and codes for independent readers.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

pub mod camera;
pub mod game;
