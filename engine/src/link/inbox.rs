//! Several transfers at once, as in a pasted chat.

use super::{Packet, ReceiveProgress, ReceivedPayload, Receiver, Refusal};
use alloc::collections::VecDeque;
use alloc::vec::Vec;

/// Transfers kept at once; the one touched least recently gives way.
const MOST: usize = 4;

/// Takes packets of several transfers, however mixed.
#[derive(Clone, Debug, Default)]
pub struct Inbox {
    /// Touched least recently first.
    under_way: VecDeque<Receiver>,
}

impl Inbox {
    /// An empty inbox.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes one packet, whichever transfer it belongs to.
    ///
    /// # Errors
    /// As [`Receiver::accept`], never [`Refusal::OtherTransfer`].
    pub fn accept(&mut self, packet: &Packet) -> Result<ReceiveProgress, Refusal> {
        // The same payload as text and in codes comes in pieces of two sizes.
        let at = self.under_way.iter().position(|r| r.takes(packet));
        let mut receiver = at
            .and_then(|at| self.under_way.remove(at))
            .unwrap_or_default();
        let outcome = receiver.accept(packet);
        if receiver.transfer().is_some() {
            if self.under_way.len() == MOST {
                self.under_way.pop_front();
            }
            self.under_way.push_back(receiver);
        }
        outcome
    }

    /// Hands over every payload that is whole.
    pub fn take(&mut self) -> Vec<ReceivedPayload> {
        let whole = self
            .under_way
            .iter_mut()
            .filter_map(Receiver::take)
            .collect();
        self.under_way.retain(|r| r.transfer().is_some());
        whole
    }

    /// Transfers under way: how far each is.
    pub fn progress(&self) -> impl Iterator<Item = ReceiveProgress> + '_ {
        self.under_way.iter().filter_map(Receiver::progress)
    }
}
