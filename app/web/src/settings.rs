//! Small preferences of this phone.

use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};

use crate::js;

const KEY: &str = "chalkbook-preferences";

/// Which theme.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Theme {
    /// As the phone is set.
    #[default]
    Phone,
    /// Paper and ink, for sunlight.
    Noon,
    /// Asphalt and chalk.
    Night,
}

/// The hand that holds the phone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Hand {
    /// Right.
    #[default]
    Right,
    /// Left.
    Left,
}

/// Preferences, kept apart from the games: losing them loses no game.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Theme.
    pub theme: Theme,
    /// Hand.
    pub hand: Hand,
    /// A short tick when a call is recorded.
    pub tick: bool,
    /// Keep the screen awake during a game.
    pub awake: bool,
    /// With the bases empty, a put-out records in one tap.
    pub quick_outs: bool,
    /// Ask who touched the ball on the calling screen.
    pub fielding: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            theme: Theme::Phone,
            hand: Hand::Right,
            tick: true,
            awake: true,
            quick_outs: false,
            fielding: false,
        }
    }
}

impl Settings {
    /// As kept; the usual ones when none are kept or they cannot be read.
    pub fn load() -> Self {
        LocalStorage::get(KEY).unwrap_or_default()
    }

    /// Keeps them. A browser that keeps nothing forgets them with the page.
    pub fn save(&self) {
        let _ = LocalStorage::set(KEY, self);
    }

    /// Puts theme and hand on the page.
    pub fn show(&self) {
        let dark = js::window()
            .and_then(|w| w.match_media("(prefers-color-scheme: dark)").ok().flatten())
            .is_some_and(|m| m.matches());
        let night = match self.theme {
            Theme::Noon => false,
            Theme::Night => true,
            Theme::Phone => dark,
        };
        if let Some(root) = js::root() {
            let _ = root.set_attribute("data-theme", if night { "night" } else { "noon" });
            let hand = if self.hand == Hand::Left {
                "left"
            } else {
                "right"
            };
            let _ = root.set_attribute("data-hand", hand);
        }
    }
}
