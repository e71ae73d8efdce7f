//! Rosters, line-up cards and eligibility.
