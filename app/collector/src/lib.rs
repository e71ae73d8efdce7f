//! The service that receives signed logs, keeps them, and serves the app and
//! the results. `PROTOCOL.md` beside it describes what goes over the wire.
//!
//! [`collector`] takes in and finds again, [`store`] keeps, [`orders`] hides and
//! erases, [`api`] and
//! [`pages`] answer, [`files`] gives out the built app, [`connections`] and [`tls`] let connections in, [`share`] bounds what one of
//! them gets,
//! [`serve`] runs it all.
//! The rules are the engine's; here is none.

use engine::log::LogName;

pub mod api;
pub mod collector;
pub mod connections;
pub mod etag;
pub mod event;
pub mod files;
pub mod metrics;
pub mod orders;
pub mod pages;
pub mod rate;
pub mod serve;
pub mod settings;
pub mod share;
pub mod standings;
pub mod store;
pub mod tls;

/// Bytes of a fixed number from hexadecimal.
pub(crate) fn hex<const N: usize>(text: &str) -> Option<[u8; N]> {
    let bytes = data_encoding::HEXLOWER.decode(text.as_bytes()).ok()?;
    bytes.try_into().ok()
}

/// A log's name from the two parts of a path.
pub(crate) fn log_name(game: &str, author: &str) -> Option<LogName> {
    Some(LogName {
        game: engine::log::GameId(hex(game)?),
        author: engine::log::Fingerprint(hex(author)?),
    })
}
