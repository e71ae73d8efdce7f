//! One writer for each game among all tabs.

use crate::lock::Lock;

/// The right to write one game. It is given back when dropped, and lost when
/// another tab takes over.
pub struct Writer {
    game: String,
    _lock: Lock,
}

impl Writer {
    /// The name of a game's lock; the service worker looks for its beginning
    /// before it lets a new version take over.
    fn lock(game: &str) -> String {
        format!("chalkbook-game {}", game)
    }

    /// The game.
    pub fn game(&self) -> &str {
        &self.game
    }

    /// Asks for the right to write a game: `None` when another tab has it and
    /// `take_over` is false. `lost` is called when another tab takes it later.
    /// A browser without locks has no way to tell tabs apart there; the
    /// numbers of the entries still keep two writers from overwriting.
    pub async fn ask(game: String, take_over: bool, lost: impl FnOnce() + 'static) -> Option<Self> {
        let lock = Lock::ask(&Self::lock(&game), take_over, lost).await?;
        Some(Self { game, _lock: lock })
    }
}
