#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]
mod care;
mod drawing;
mod fitting;
mod ground;
mod taping;
