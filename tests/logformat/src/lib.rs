//! Play logs judged from outside the engine.
//!
//! [`sample`] records whole signed games, [`defects`] makes from them files
//! that are wrong in one known way each, [`decoders`] reads bytes as everything
//! that they could be, [`verify`] is the command line of the
//! engine's verifier. `verify.py` beside this crate is a second verifier,
//! written from `engine/LOG_FORMAT.md` alone; `test_logformat.py` holds the two
//! to the same verdicts.

pub mod decoders;
pub mod defects;
pub mod sample;
pub mod signed;
pub mod vector;
pub mod verify;
