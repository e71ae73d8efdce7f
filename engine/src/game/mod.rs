//! The state machine of a game.
