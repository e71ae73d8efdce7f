//! Word between the tabs of one phone: something was recorded.

use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::Closure;
use web_sys::{BroadcastChannel, MessageEvent};

const NAME: &str = "chalkbook";

/// The line to the other tabs, until dropped.
pub struct Tabs {
    channel: BroadcastChannel,
    _listens: Closure<dyn FnMut(MessageEvent)>,
}

impl Tabs {
    /// Opens the line; `heard` is called with the game that another tab
    /// changed. `None` in a browser without one: tabs then learn of each
    /// other's entries when they read again.
    pub fn open(heard: impl Fn(String) + 'static) -> Option<Self> {
        Self::on(NAME, heard)
    }

    /// As [`Tabs::open`], a line of another name for word of another kind.
    pub fn on(name: &str, heard: impl Fn(String) + 'static) -> Option<Self> {
        let channel = BroadcastChannel::new(name).ok()?;
        let listens = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            if let Some(game) = event.data().as_string() {
                heard(game);
            }
        });
        channel.set_onmessage(Some(listens.as_ref().unchecked_ref()));
        Some(Self {
            channel,
            _listens: listens,
        })
    }

    /// Tells the other tabs that a game has changed.
    pub fn tell(&self, game: &str) {
        // A line that is closed has nobody to tell.
        let _ = self.channel.post_message(&game.into());
    }
}

impl Drop for Tabs {
    fn drop(&mut self) {
        self.channel.set_onmessage(None);
        self.channel.close();
    }
}
