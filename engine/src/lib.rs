//! Rules.
#![no_std]
extern crate alloc;
