//! Reads games as plain text and plays them through the engine.
