//! Starts delivery beside the screens of a game.

fn main() {
    wasm_bindgen_futures::spawn_local(chalkbook::start_delivery());
}
