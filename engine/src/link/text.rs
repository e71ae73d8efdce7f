//! Packets as lines of text: what a QR code holds, what is pasted into a chat
//! and what a file holds.
//!
//! ```text
//! line = "CHALK:" base32 "."
//! ```
//! `base32` is the packet in base 32 (RFC 4648 section 6) without padding. All
//! characters are in the alphanumeric set of QR codes (ISO/IEC 18004). The
//! packet carries its own check, so every line is checked by itself.

use super::{Inbox, Packet, ReceivedPayload, Refusal, Sender};
use alloc::string::String;
use alloc::vec::Vec;
use data_encoding::BASE32_NOPAD;

const START: &str = "CHALK:";
const END: char = '.';

/// A packet as one line, without a line break.
#[must_use]
pub fn line(packet: &Packet) -> String {
    let mut out = String::from(START);
    BASE32_NOPAD.encode_append(&packet.to_bytes(), &mut out);
    out.push(END);
    out
}

/// A whole transfer as lines, for a chat or a file; `spare` of the lines may
/// get lost.
#[must_use]
pub fn lines(sender: &Sender, spare: u32) -> String {
    let mut out = String::new();
    for packet in sender.batch(spare) {
        out.push_str(&line(&packet));
        out.push('\n');
    }
    out
}

/// Reads what one QR code holds.
///
/// # Errors
/// [`Refusal::NotOurs`] for any other content, or what [`Packet::from_bytes`]
/// says.
pub fn read_line(content: &str) -> Result<Packet, Refusal> {
    let plain = essence(content);
    decode(plain.strip_prefix(START).ok_or(Refusal::NotOurs)?)
}

/// What was found in a text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    /// Packets in the order of the text.
    pub packets: Vec<Packet>,
    /// Why each other line that began as one of ours was left out.
    pub refused: Vec<Refusal>,
}

impl Found {
    /// The transfers that are whole in it. What is missing shows in what is.
    #[must_use]
    pub fn whole(&self) -> Vec<ReceivedPayload> {
        let mut inbox = Inbox::new();
        for packet in &self.packets {
            // A line that does not fit is left out.
            let _ = inbox.accept(packet);
        }
        inbox.take()
    }
}

/// Finds every line of ours in a pasted text or a file, whatever stands
/// around: capitals or not, broken into lines, spaced, quoted or set in marks.
#[must_use]
pub fn read(text: &str) -> Found {
    let plain = essence(text);
    let mut found = Found::default();
    for piece in plain.split(START).skip(1) {
        match decode(piece) {
            Ok(packet) => found.packets.push(packet),
            Err(refusal) => found.refused.push(refusal),
        }
    }
    found
}

/// Only what a line is made of: chats add spaces, breaks, quotes and marks.
fn essence(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_ascii_alphanumeric() || *c == ':' || *c == END)
        .map(|c| c.to_ascii_uppercase())
        .collect()
}

/// `piece` is what follows a [`START`]. A lost full stop is forgiven: the
/// packet's check decides.
fn decode(piece: &str) -> Result<Packet, Refusal> {
    let body = piece.split(END).next().unwrap_or(piece);
    let bytes = BASE32_NOPAD
        .decode(body.as_bytes())
        .map_err(|_| Refusal::Damaged)?;
    Packet::from_bytes(&bytes)
}
