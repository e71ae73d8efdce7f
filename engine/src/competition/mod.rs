//! Schedule, standings, tie-breaks and leaders.
