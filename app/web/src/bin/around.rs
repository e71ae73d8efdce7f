//! Starts the screens around a game: cards, comparing, signing, the court, preferences.

fn main() {
    chalkbook::start_around();
}
