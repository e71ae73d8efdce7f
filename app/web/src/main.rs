//! Starts the phone app.

fn main() {
    chalkbook::start();
}
