//! How often one sender may ask.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::Instant;

/// A bucket for each sender: full at first, it refills evenly over a minute.
#[derive(Debug)]
pub struct Rates {
    a_minute: f64,
    senders: Mutex<HashMap<IpAddr, (f64, Instant)>>,
}

/// Senders remembered; beyond that those whose bucket is full again are dropped.
const REMEMBERED: usize = 20_000;

impl Rates {
    /// So many requests a minute; 0 for no bound.
    #[must_use]
    pub fn new(a_minute: u32) -> Self {
        Self {
            a_minute: f64::from(a_minute),
            senders: Mutex::default(),
        }
    }

    /// Counts a request.
    ///
    /// # Errors
    /// The seconds to wait when there were too many.
    pub fn count(&self, sender: IpAddr, now: Instant) -> Result<(), u64> {
        if self.a_minute == 0.0 {
            return Ok(());
        }
        let mut senders = self.senders.lock().unwrap_or_else(PoisonError::into_inner);
        let per_second = self.a_minute / 60.0;
        let level = |(level, at): (f64, Instant)| {
            let since = now.saturating_duration_since(at).as_secs_f64();
            (level + since * per_second).min(self.a_minute)
        };
        if senders.len() >= REMEMBERED {
            senders.retain(|_, bucket| level(*bucket) < self.a_minute);
            if senders.len() >= REMEMBERED {
                senders.clear();
            }
        }
        let bucket = senders
            .entry(household(sender))
            .or_insert((self.a_minute, now));
        let left = level(*bucket);
        if left < 1.0 {
            let wait = ((1.0 - left) / per_second).ceil();
            // At most a minute.
            return Err(wait.clamp(1.0, 60.0) as u64);
        }
        *bucket = (left - 1.0, now);
        Ok(())
    }
}

/// One sender of IPv6 has a whole /64 to choose from.
pub(crate) fn household(sender: IpAddr) -> IpAddr {
    match sender {
        IpAddr::V4(_) => sender,
        IpAddr::V6(ip) => match ip.to_ipv4_mapped() {
            Some(v4) => IpAddr::V4(v4),
            None => IpAddr::V6((u128::from(ip) >> 64 << 64).into()),
        },
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_sender_over_the_bound_waits_and_others_do_not() {
        let rates = Rates::new(60);
        let now = Instant::now();
        let [a, b]: [IpAddr; 2] = ["192.0.2.1", "192.0.2.2"].map(|a| a.parse().unwrap());
        for _ in 0..60 {
            assert_eq!(rates.count(a, now), Ok(()));
        }
        assert_eq!(rates.count(a, now), Err(1));
        assert_eq!(rates.count(b, now), Ok(()));
        assert_eq!(rates.count(a, now + Duration::from_secs(1)), Ok(()));
        assert_eq!(rates.count(a, now + Duration::from_secs(1)), Err(1));
    }

    #[test]
    fn addresses_of_one_household_count_together() {
        let rates = Rates::new(1);
        let now = Instant::now();
        let [a, b, c]: [IpAddr; 3] =
            ["2001:db8::1", "2001:db8::2", "2001:db8:0:1::1"].map(|a| a.parse().unwrap());
        assert_eq!(rates.count(a, now), Ok(()));
        assert!(rates.count(b, now).is_err());
        assert_eq!(rates.count(c, now), Ok(()));
    }
}
