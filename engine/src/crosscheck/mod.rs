//! Comparison of two independent records of one game.
