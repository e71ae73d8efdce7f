//! The vocabulary of calls.
