//! The phone app.
fn main() {}
