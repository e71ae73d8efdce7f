//! Line score, box score, its proof, and statistics.
