//! One writer for each game among all tabs.

use crate::js;
use crate::lock::Lock;

/// How often the right is asked for before another tab is said to have it, and how long between (ms): a
/// page that was just left may still have it.
const TRIES: usize = 10;
const BETWEEN: i32 = 100;

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
    /// Another tab is believed to have it only after a second.
    pub async fn ask(
        game: String,
        take_over: bool,
        lost: impl FnOnce() + Clone + 'static,
    ) -> Option<Self> {
        for tried in 0..TRIES {
            if tried > 0 {
                js::pause(BETWEEN).await;
            }
            if let Some(lock) = Lock::ask(&Self::lock(&game), take_over, lost.clone()).await {
                return Some(Self { game, _lock: lock });
            }
        }
        None
    }
}
