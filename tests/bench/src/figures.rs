//! Series of measurements, and the rows they make.

use std::fs;
use std::time::Duration;

/// Prints a row: a series in seconds, and the budget in words.
pub fn row(what: &str, series: &mut [f64], budget: &str) {
    series.sort_by(f64::total_cmp);
    println!(
        "| {what} | {} | {} | {budget} |",
        time(quantile(series, 0.5)),
        time(quantile(series, 0.95))
    );
}

/// The value that so large a part of a sorted series is not above (nearest rank).
pub fn quantile(sorted: &[f64], part: f64) -> f64 {
    let rank = (part * sorted.len() as f64).ceil() as usize;
    sorted
        .get(rank.saturating_sub(1))
        .copied()
        .unwrap_or(f64::NAN)
}

/// Seconds of a duration.
pub fn seconds(duration: Duration) -> f64 {
    duration.as_secs_f64()
}

fn time(seconds: f64) -> String {
    match seconds {
        s if s.is_nan() => "none".to_owned(),
        s if s < 1e-6 => format!("{:.0} ns", s * 1e9),
        s if s < 1e-3 => format!("{:.1} µs", s * 1e6),
        s if s < 1.0 => format!("{:.1} ms", s * 1e3),
        s => format!("{s:.2} s"),
    }
}

/// The machine and how this was built, in a line.
pub fn machine() -> String {
    let cpu = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let model = cpu
        .lines()
        .find_map(|line| line.strip_prefix("model name"))
        .map_or("unknown processor", |rest| {
            rest.trim_start_matches([' ', '\t', ':'])
        });
    let cores = std::thread::available_parallelism().map_or(0, usize::from);
    let build = if cfg!(debug_assertions) {
        "unoptimised build, figures say nothing"
    } else {
        "optimised build"
    };
    format!("{model}, {cores} cores, {build}")
}

#[cfg(test)]
mod tests {
    use super::quantile;

    #[test]
    fn quantiles_are_by_nearest_rank() {
        let sorted: Vec<f64> = (1..=20).map(f64::from).collect();
        assert_eq!(quantile(&sorted, 0.5), 10.0);
        assert_eq!(quantile(&sorted, 0.95), 19.0);
        assert_eq!(quantile(&[7.0], 0.95), 7.0);
        assert!(quantile(&[], 0.5).is_nan());
    }
}
