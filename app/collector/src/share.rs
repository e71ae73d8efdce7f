//! What there is only so much of, and of which nobody gets all: connections,
//! seats, bytes of bodies under way.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};

use crate::rate::household;

/// So much in all, and so much for one address.
#[derive(Debug)]
pub struct Bound {
    most: usize,
    each: usize,
    taken: Mutex<Taken>,
}

#[derive(Debug, Default)]
struct Taken {
    all: usize,
    by: HashMap<IpAddr, usize>,
}

impl Bound {
    /// So much in all, and so much for one address (of IPv6, one /64).
    #[must_use]
    pub fn new(most: usize, each: usize) -> Arc<Self> {
        Arc::new(Self {
            most,
            each,
            taken: Mutex::default(),
        })
    }

    /// Takes some for an address; where it is not known, only what is there in
    /// all counts. `None` when there is not so much left.
    #[must_use]
    pub fn take(self: &Arc<Self>, who: Option<IpAddr>, some: usize) -> Option<Share> {
        let mut share = Share {
            of: self.clone(),
            who: who.map(household),
            size: 0,
        };
        share.grow(some).then_some(share)
    }

    /// How much is taken now.
    #[must_use]
    pub fn in_use(&self) -> usize {
        self.taken
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .all
    }
}

/// What somebody took; given back when dropped.
#[derive(Debug)]
pub struct Share {
    of: Arc<Bound>,
    who: Option<IpAddr>,
    size: usize,
}

impl Share {
    /// Takes more of it; `false`, and nothing is taken, when there is not so
    /// much left.
    pub fn grow(&mut self, more: usize) -> bool {
        let mut taken = self.of.taken.lock().unwrap_or_else(PoisonError::into_inner);
        let own = self
            .who
            .map_or(0, |who| taken.by.get(&who).copied().unwrap_or(0));
        let fits = taken.all.saturating_add(more) <= self.of.most;
        if !fits || own.saturating_add(more) > self.of.each {
            return false;
        }
        taken.all += more;
        if let Some(who) = self.who {
            taken.by.insert(who, own + more);
        }
        self.size += more;
        true
    }
}

impl Drop for Share {
    fn drop(&mut self) {
        let mut taken = self.of.taken.lock().unwrap_or_else(PoisonError::into_inner);
        taken.all = taken.all.saturating_sub(self.size);
        let Some(who) = self.who else { return };
        let own = taken
            .by
            .get(&who)
            .map_or(0, |own| own.saturating_sub(self.size));
        match own {
            0 => taken.by.remove(&who),
            own => taken.by.insert(who, own),
        };
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn one_address_never_gets_all_and_what_is_dropped_comes_back() {
        let bound = Bound::new(10, 4);
        let [a, b, c] = ["192.0.2.1", "192.0.2.2", "2001:db8::1"].map(|a| a.parse().ok());
        let neighbour = "2001:db8::2".parse().ok();
        let mut first = bound.take(a, 3).unwrap();
        assert!(bound.take(a, 2).is_none() && first.grow(1) && !first.grow(1));
        let second = bound.take(b, 4).unwrap();
        let third = bound.take(c, 2).unwrap();
        assert!(bound.take(c, 1).is_none(), "that is all there is");
        assert_eq!(bound.in_use(), 10);
        drop(second);
        assert!(bound.take(neighbour, 3).is_none(), "one household");
        let unknown = bound.take(None, 4).unwrap();
        drop((first, third, unknown));
        assert_eq!(bound.in_use(), 0);
        assert!(bound.taken.lock().unwrap().by.is_empty());
    }
}
