//! The phone app: an installable page that calls and keeps a game with no
//! signal.
//!
//! - `state` holds what every screen shares;
//! - `ledger` is the one way into a log;
//! - `book` reads a game from its entries through the engine;
//! - `store` keeps entries in IndexedDB;
//! - `delivery` gets the records to collectors;
//! - `screens` has one file a screen, `parts` what several are made of.
//!
//! There is no rule of the game in here: what is legal, what follows and how
//! it is said comes from the engine.

mod app;
mod book;
mod charter_draft;
mod clock;
mod court_draft;
mod delivery;
mod demo;
mod device;
mod draft;
mod dropped;
mod http;
mod js;
mod keys;
mod ledger;
mod lock;
mod official;
mod pairings;
mod parts;
mod peer_acks;
mod pieces;
mod precautions;
mod screens;
mod settings;
mod sharing;
mod state;
mod store;
mod tabs;
mod words;

use leptos::prelude::*;

/// Puts the app on the page.
pub fn start() {
    mount_to_body(app::App);
}
