//! A small drawing for one step: the marks so far, the new one, and the tapes.
//! Home is at the bottom and second base straight above it, as on the plan.

use std::f64::consts::FRAC_1_SQRT_2;

use engine::court::{Court, Mark, Point, SetOutStep, Task, Units};
use leptos::prelude::*;

/// The court's frame turned by an eighth; down is more, as on a screen.
fn seen(p: Point) -> (f64, f64) {
    ((p.x - p.y) * FRAC_1_SQRT_2, -(p.x + p.y) * FRAC_1_SQRT_2)
}

fn path(points: &[Point]) -> String {
    points
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let (x, y) = seen(*p);
            format!("{}{x:.3} {y:.3}", if i == 0 { 'M' } else { 'L' })
        })
        .collect()
}

/// A tape: from where, to where, what it shows.
type Tape = (Point, Point, String);

/// The tapes of a step, and lines to be drawn through marks.
fn tapes(court: &Court, step: &SetOutStep, units: Units) -> (Vec<Tape>, Vec<Point>) {
    let at = |m: Mark| court.mark(m);
    match step.task() {
        Task::Start => (Vec::new(), vec![at(Mark::Home), at(Mark::RightCorner)]),
        Task::Along {
            mark, from, length, ..
        } => (
            vec![(at(*from), at(*mark), length.show(units).to_string())],
            Vec::new(),
        ),
        Task::Cross {
            mark,
            first,
            second,
            ..
        } => {
            let tape = |(from, length): &(Mark, engine::court::TapeLength)| {
                (at(*from), at(*mark), length.show(units).to_string())
            };
            (vec![tape(first), tape(second)], Vec::new())
        }
        Task::ThreeFourFive { along, up, across } => {
            let (home, a, b) = (
                at(Mark::Home),
                Point::new(along.metres(), 0.0),
                Point::new(0.0, up.metres()),
            );
            (
                vec![
                    (home, a, along.show(units).to_string()),
                    (home, b, up.show(units).to_string()),
                    (a, b, across.show(units).to_string()),
                ],
                Vec::new(),
            )
        }
        Task::Draw { through, .. } => (Vec::new(), through.iter().map(|m| at(*m)).collect()),
        Task::Close { diagonal } => {
            let words = diagonal.show(units).to_string();
            (
                vec![
                    (at(Mark::Home), at(Mark::FarCorner), words.clone()),
                    (at(Mark::RightCorner), at(Mark::LeftCorner), words),
                ],
                Vec::new(),
            )
        }
        Task::LayBase { .. } => (Vec::new(), Vec::new()),
    }
}

/// The drawing of one step.
pub fn drawing(
    court: &Court,
    steps: &[SetOutStep],
    at: usize,
    units: Units,
) -> impl IntoView + use<> {
    let fair = court.fair_side().metres();
    let half = fair * FRAC_1_SQRT_2;
    let behind = court.batters_box().metres().max(1.0);
    let margin = fair * 0.075;
    let view = format!(
        "{:.2} {:.2} {:.2} {:.2}",
        -half - margin,
        -2.0 * half - margin,
        2.0 * (half + margin),
        2.0 * half + behind + 2.0 * margin
    );
    let all = |marks: &[Mark]| {
        let points: Vec<Point> = marks.iter().map(|m| court.mark(*m)).collect();
        path(&points)
    };
    let square = all(&[
        Mark::Home,
        Mark::RightCorner,
        Mark::FarCorner,
        Mark::LeftCorner,
        Mark::Home,
    ]);
    let known = steps
        .iter()
        .take(at)
        .filter_map(SetOutStep::mark)
        .map(|m| {
            let (x, y) = seen(court.mark(m));
            view! { <circle class="known" cx=x cy=y r=fair * 0.013/> }
        })
        .collect_view();
    let step = steps.get(at);
    let (tapes, line) = step.map(|s| tapes(court, s, units)).unwrap_or_default();
    let letter = fair * 0.08;
    let tapes = tapes
        .into_iter()
        .map(|(a, b, words)| {
            let ((ax, ay), (bx, by)) = (seen(a), seen(b));
            // Nearer to the known end, where two tapes lie apart.
            let (mx, my) = (ax + (bx - ax) * 0.42, ay + (by - ay) * 0.42);
            view! {
                <path class="tape" d=path(&[a, b])/>
                <text class="tape-length" x=mx y=my>{words}</text>
            }
        })
        .collect_view();
    let line = (line.len() > 1).then(|| view! { <path class="drawn" d=path(&line)/> });
    let new = step
        .and_then(|s| match s.task() {
            Task::LayBase { mark } => Some(*mark),
            _ => s.mark(),
        })
        .map(|m| {
            let (x, y) = seen(court.mark(m));
            view! {
                <circle class="new" cx=x cy=y r=fair * 0.026/>
                <circle class="ring" cx=x cy=y r=fair * 0.05/>
            }
        });
    let (hx, hy) = seen(court.mark(Mark::Home));
    view! {
        <svg class="marks" viewBox=view aria-hidden="true" font-size=letter>
            <path class="court-line" d=square/>
            {known} {tapes} {line} {new}
            <text class="where" x=hx y=hy + letter * 1.2>"home"</text>
        </svg>
    }
}
