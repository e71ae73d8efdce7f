//! Counters for whoever runs the service: numbers only, nobody's data.

use std::fmt::Write as _;
use std::sync::atomic::{AtomicBool, AtomicI64, AtomicU64, Ordering};

/// A number that only rises.
#[derive(Debug, Default)]
pub struct Counter(AtomicU64);

impl Counter {
    /// Adds to it.
    pub fn add(&self, n: usize) {
        self.0
            .fetch_add(u64::try_from(n).unwrap_or(u64::MAX), Ordering::Relaxed);
    }

    /// Its value.
    #[must_use]
    pub fn get(&self) -> u64 {
        self.0.load(Ordering::Relaxed)
    }
}

/// The counters.
#[derive(Debug, Default)]
pub struct Metrics {
    /// Entries whose signature and place were found good.
    pub verified: Counter,
    /// Entries put into the storage.
    pub stored: Counter,
    /// Times the storage did not answer.
    pub store_failures: Counter,
    /// Objects in the storage that are not shown.
    pub damaged: Counter,
    /// Logs found good by their last signatures of which one before was not.
    pub not_good_again: Counter,
    /// Times an event was read from the storage.
    pub events_read: Counter,
    /// Events in memory.
    pub events_held: AtomicI64,
    /// Names and objects in the storage that cannot be read just now.
    pub unreadable: AtomicI64,
    /// Charters in the storage that are damaged now.
    pub charters_damaged: AtomicI64,
    /// Times the results of an event could not be computed.
    pub views_failed: Counter,
    /// Answers by the first digit of their status, from 1.
    pub answers: [Counter; 5],
    /// Live scoreboards open now.
    pub live: AtomicI64,
    /// Whether the storage failed when it was last asked.
    pub store_down: AtomicBool,
}

impl Metrics {
    /// Notes whether the storage took what it was given.
    pub fn writable(&self, yes: bool) {
        self.store_down.store(!yes, Ordering::Relaxed);
    }

    /// The text exposition format that monitoring systems read.
    #[must_use]
    pub fn text(&self) -> String {
        let mut out = String::new();
        let mut one = |name: &str, kind: &str, help: &str, values: &[(String, i128)]| {
            // Writing to memory cannot fail.
            let _ = writeln!(
                out,
                "# HELP collector_{name} {help}\n# TYPE collector_{name} {kind}"
            );
            for (label, value) in values {
                let _ = writeln!(out, "collector_{name}{label} {value}");
            }
        };
        let plain = |c: &Counter| vec![(String::new(), i128::from(c.get()))];
        one(
            "entries_verified_total",
            "counter",
            "Entries found good.",
            &plain(&self.verified),
        );
        one(
            "entries_stored_total",
            "counter",
            "Entries put into the storage.",
            &plain(&self.stored),
        );
        one(
            "storage_failures_total",
            "counter",
            "Times the storage did not answer.",
            &plain(&self.store_failures),
        );
        one(
            "objects_damaged_total",
            "counter",
            "Objects in the storage that are not shown.",
            &plain(&self.damaged),
        );
        one(
            "results_failed_total",
            "counter",
            "Times the results of an event could not be computed.",
            &plain(&self.views_failed),
        );
        one(
            "records_not_good_again_total",
            "counter",
            "Records read by their last signatures that did not hold when all were checked again.",
            &plain(&self.not_good_again),
        );
        one(
            "events_read_total",
            "counter",
            "Times an event was read from the storage.",
            &plain(&self.events_read),
        );
        let now = |n: &AtomicI64| vec![(String::new(), i128::from(n.load(Ordering::Relaxed)))];
        one(
            "objects_unreadable",
            "gauge",
            "Names and objects in the storage that cannot be read just now.",
            &now(&self.unreadable),
        );
        one(
            "events_held",
            "gauge",
            "Events in memory.",
            &now(&self.events_held),
        );
        one(
            "charters_damaged",
            "gauge",
            "Charters in the storage that are damaged: only numbers are shown until they are mended.",
            &now(&self.charters_damaged),
        );
        let by_class: Vec<_> = (1..)
            .zip(&self.answers)
            .map(|(digit, c)| (format!("{{class=\"{digit}xx\"}}"), i128::from(c.get())))
            .collect();
        one(
            "answers_total",
            "counter",
            "Answers by class of status.",
            &by_class,
        );
        let down = i128::from(self.store_down.load(Ordering::Relaxed));
        one(
            "storage_down",
            "gauge",
            "Whether the storage failed when it was last asked: 1 if so.",
            &[(String::new(), down)],
        );
        let live = i128::from(self.live.load(Ordering::Relaxed));
        one(
            "live_scoreboards",
            "gauge",
            "Live scoreboards open.",
            &[(String::new(), live)],
        );
        out
    }
}
