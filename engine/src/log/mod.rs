//! The play log: entries, chains, signatures, folding.
