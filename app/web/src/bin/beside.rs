//! Starts what runs beside the screens of a game: delivery, and the look into
//! the charters.

fn main() {
    wasm_bindgen_futures::spawn_local(chalkbook::start_beside());
}
