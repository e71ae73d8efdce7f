//! Optical transfer between phones with no network: packets and reassembly.
//!
//! A payload (opaque bytes with a [`Kind`]) is compressed, cut into RaptorQ
//! symbols (RFC 6330) and sent as [`Packet`]s. Any sufficient subset of the
//! packets, in any order, with losses and duplicates, gives the payload back;
//! the [`Receiver`] hands it out only when its full SHA-256 agrees.
//!
//! One packet is one line of text ([`text`]). The same line is drawn as a QR
//! code, pasted into a chat or saved as a file. It is text, not raw bytes,
//! because a browser's own barcode reader returns text only and garbles the
//! rest; base 32 in QR's alphanumeric mode costs 10 % over byte mode.
//!
//! ```
//! use engine::link::{Kind, Receiver, Sender, SymbolSize, text};
//!
//! let log = vec![7; 3000];
//! let sender = Sender::new(Kind::Entries, &log, SymbolSize::QR)?;
//! let mut receiver = Receiver::expecting(Kind::Entries);
//! for packet in sender.stream() {
//!     let line = text::line(&packet); // shown as a QR code and read back
//!     let progress = receiver.accept(&text::read_line(&line)?)?;
//!     if progress.complete {
//!         break;
//!     }
//! }
//! assert_eq!(receiver.take().map(|r| r.payload), Some(log));
//! # Ok::<(), Box<dyn core::error::Error>>(())
//! ```

mod inbox;
mod kind;
mod object;
mod packet;
#[cfg(any(feature = "qr-read", feature = "qr-write"))]
pub mod qr;
mod receive;
mod refusal;
mod send;
#[cfg(test)]
mod tests;
pub mod text;

pub use inbox::Inbox;
pub use kind::Kind;
pub use object::MAX_PAYLOAD;
pub use packet::{MAX_OBJECT, MAX_SYMBOL, MAX_SYMBOLS, Packet, TransferId};
pub use receive::{ReceiveProgress, ReceivedPayload, Receiver};
pub use refusal::Refusal;
pub use send::{ObjectTooLarge, Sender, SymbolSize};
