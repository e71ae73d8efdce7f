//! Prints how long the fit of a court into a space takes on this machine.
//!
//! A phone's processor is taken as four to six times slower, so the 200 ms it
//! may take there are 33 ms here. Printed, never failed: a machine at work on
//! other things is slow for reasons of its own.
//!
//! `cargo run --release -p court-check --bin fit-time`

use std::hint::black_box;
use std::time::Instant;

use engine::court::{FitOptions, Obstacle, Point, Space, SpaceDraft, SpaceObjection, fit};
use engine::rules::Edition;

fn main() -> Result<(), engine::Problems<SpaceObjection>> {
    const ROUNDS: usize = 50;
    let (edition, options) = (Edition::federation(), FitOptions::default());
    println!(
        "| a court into | fastest | median | fastest at a quarter and at a sixth of the speed |\n|---|---|---|---|"
    );
    for (what, draft) in spaces() {
        let space = Space::new(draft)?;
        let mut series = Vec::new();
        for _ in 0..ROUNDS {
            let from = Instant::now();
            black_box(fit(black_box(&space), &edition, &options));
            series.push(from.elapsed().as_secs_f64() * 1000.0);
        }
        series.sort_by(f64::total_cmp);
        let median = series.get(ROUNDS / 2).copied().unwrap_or(f64::NAN);
        // The fastest is what the fit costs; the rest is what else ran.
        let fastest = series.first().copied().unwrap_or(f64::NAN);
        println!(
            "| {what} | {fastest:.1} ms | {median:.1} ms | {:.0} ms, {:.0} ms |",
            fastest * 4.0,
            fastest * 6.0
        );
    }
    Ok(())
}

fn spaces() -> Vec<(&'static str, SpaceDraft)> {
    let polygon = |p: &[(f64, f64)]| p.iter().map(|&(x, y)| Point::new(x, y)).collect::<Vec<_>>();
    let post = |x, y| Obstacle::Circle {
        centre: Point::new(x, y),
        radius: 0.15,
    };
    let street = SpaceDraft::rectangle(30.0, 20.0);
    let posts = SpaceDraft {
        obstacles: vec![post(15.0, 10.0), post(6.0, 4.0), post(25.0, 16.0)],
        ..SpaceDraft::rectangle(34.0, 21.0)
    };
    let square = SpaceDraft {
        obstacles: vec![
            Obstacle::Polygon(polygon(&[(9.0, 9.0), (12.0, 9.5), (11.0, 12.0)])),
            post(20.0, 6.0),
            post(4.0, 17.0),
            post(22.0, 19.0),
        ],
        sun: Some(240.0),
        ..SpaceDraft::polygon(polygon(&[
            (0.0, 2.0),
            (12.0, 0.0),
            (14.0, 3.0),
            (17.0, 0.0),
            (29.0, 4.0),
            (27.0, 14.0),
            (31.0, 22.0),
            (18.0, 25.0),
            (15.0, 21.0),
            (10.0, 26.0),
            (-2.0, 19.0),
        ]))
    };
    let mut crowded = SpaceDraft::polygon(
        (0..64)
            .map(|i| {
                let turn = f64::from(i) * std::f64::consts::TAU / 64.0;
                let far = if i % 2 == 0 { 22.0 } else { 19.0 };
                Point::new(far * turn.cos(), far * turn.sin())
            })
            .collect(),
    );
    crowded.obstacles = (0..24)
        .map(|i| {
            let turn = f64::from(i) * 2.4;
            let far = 6.0 + f64::from(i) * 0.6;
            let (x, y) = (far * turn.cos(), far * turn.sin());
            Obstacle::Polygon(
                (0..16)
                    .map(|k| f64::from(k) * std::f64::consts::TAU / 16.0)
                    .map(|a| Point::new(x + 0.4 * a.cos(), y + 0.4 * a.sin()))
                    .collect(),
            )
        })
        .collect();
    vec![
        ("a street, 30 by 20 m", street),
        ("a yard with three posts", posts),
        ("a square with eleven corners and four obstacles", square),
        ("as many corners and obstacles as are read", crowded),
    ]
}
