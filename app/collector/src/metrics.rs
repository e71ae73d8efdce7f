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
    /// Objects that were merged into larger ones.
    pub merged: Counter,
    /// Records verified again whether anybody asked for them or not.
    pub rechecked: Counter,
    /// Of these, those that are damaged.
    pub records_damaged: AtomicI64,
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
    /// Whether the storage did not take what it was given last.
    pub store_full: AtomicBool,
    /// Whether it could not be read since it was last read as a whole.
    pub store_unread: AtomicBool,
}

impl Metrics {
    /// Notes whether the storage took what it was given.
    pub fn writable(&self, yes: bool) {
        self.store_full.store(!yes, Ordering::Relaxed);
    }

    /// Whether the storage failed when it was last asked.
    #[must_use]
    pub fn is_store_down(&self) -> bool {
        self.store_full.load(Ordering::Relaxed) || self.store_unread.load(Ordering::Relaxed)
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
        let counters = [
            (
                "entries_verified_total",
                "Entries found good.",
                &self.verified,
            ),
            (
                "entries_stored_total",
                "Entries put into the storage.",
                &self.stored,
            ),
            (
                "storage_failures_total",
                "Times the storage did not answer.",
                &self.store_failures,
            ),
            (
                "objects_damaged_total",
                "Objects in the storage that are not shown.",
                &self.damaged,
            ),
            (
                "results_failed_total",
                "Times the results of an event could not be computed.",
                &self.views_failed,
            ),
            (
                "records_not_good_again_total",
                "Records read by their last signatures that did not hold when all were checked again.",
                &self.not_good_again,
            ),
            (
                "events_read_total",
                "Times an event was read from the storage.",
                &self.events_read,
            ),
            (
                "objects_merged_total",
                "Objects that were merged into larger ones.",
                &self.merged,
            ),
            (
                "records_rechecked_total",
                "Records verified again whether anybody asked for them or not.",
                &self.rechecked,
            ),
        ];
        for (name, help, count) in counters {
            let value = i128::from(count.get());
            one(name, "counter", help, &[(String::new(), value)]);
        }
        let gauges = [
            (
                "objects_unreadable",
                "Names and objects in the storage that cannot be read just now.",
                &self.unreadable,
            ),
            (
                "records_damaged",
                "Records that were found damaged in the storage when all were last verified again.",
                &self.records_damaged,
            ),
            ("events_held", "Events in memory.", &self.events_held),
            (
                "charters_damaged",
                "Charters in the storage that are damaged: only numbers are shown until they are mended.",
                &self.charters_damaged,
            ),
            ("live_scoreboards", "Live scoreboards open.", &self.live),
        ];
        for (name, help, now) in gauges {
            let value = i128::from(now.load(Ordering::Relaxed));
            one(name, "gauge", help, &[(String::new(), value)]);
        }
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
        let down = i128::from(self.is_store_down());
        one(
            "storage_down",
            "gauge",
            "Whether the storage failed when it was last asked: 1 if so.",
            &[(String::new(), down)],
        );
        out
    }
}
