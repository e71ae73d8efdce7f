//! The phone app: an installable page that calls and keeps a game with no
//! signal.
//!
//! - [`chalk`] holds what every screen shares and alone appends to a log;
//! - [`book`] reads a game from its entries through the engine;
//! - [`store`] keeps entries in IndexedDB;
//! - [`delivery`] gets the records to collectors;
//! - [`screens`] has one file a screen, [`parts`] what several are made of.
//!
//! There is no rule of the game in here: what is legal, what follows and how
//! it is said comes from the engine.

mod against;
mod app;
pub mod book;
pub mod chalk;
mod charter_draft;
mod clock;
pub mod delivery;
pub mod demo;
mod device;
mod draft;
mod dropped;
mod hand;
mod js;
pub mod keys;
mod lock;
pub mod official;
pub mod parts;
mod precautions;
pub mod screens;
mod settings;
pub mod store;
mod tabs;
mod told;
mod words;
mod yard;

use std::rc::Rc;

use leptos::prelude::*;

/// Puts the screens of a game on the page.
pub fn start() {
    mount_to_body(app::Game);
}

/// Puts the other screens on the page.
pub fn start_around() {
    mount_to_body(app::Around);
}

/// Delivers the records of this phone and looks into its charters while the
/// screens of a game are on the page. It shows nothing: the screens hear of it.
pub async fn start_beside() {
    // Storage that cannot be opened, or is closed by a newer version, is said by the screens.
    if let Ok(store) = store::Store::open(|| (), || ()).await {
        let store = Rc::new(store);
        against::judge(store.clone()).await;
        let delivery = delivery::Delivery::new(delivery::Posts::new());
        delivery.start(store).await;
    }
}
