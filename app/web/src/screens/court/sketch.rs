//! The sketch of the ground: to scale, tapped to add corners and obstacles.

use leptos::prelude::*;
use leptos::svg::Svg;

use crate::court_draft::{CourtDraft, Thing};

/// What a tap adds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Adds {
    /// A corner of the outline.
    Corner,
    /// Something round.
    Post,
    /// Something with edges.
    Block,
}

/// The part of the plane that is shown, and the grid on it, in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sheet {
    wide: f64,
    high: f64,
    grid: f64,
}

impl Sheet {
    fn of(draft: &CourtDraft) -> Option<Self> {
        if draft.drawn {
            let side = f64::from(draft.square) * f64::from(CourtDraft::SQUARES);
            // Lengths typed may reach beyond the grid.
            let (x, y) = draft
                .corners
                .iter()
                .fold((side, side), |(x, y), c| (x.max(c.0), y.max(c.1)));
            let grid = f64::from(draft.square);
            return Some(Self {
                wide: x,
                high: y,
                grid,
            });
        }
        let (wide, high) = (draft.length?, draft.width?);
        let fits = |v: f64| v > 0.0 && v <= engine::court::Space::LARGEST;
        (fits(wide) && fits(high)).then_some(Self {
            wide,
            high,
            grid: 0.5,
        })
    }

    /// Room around it, for corner numbers.
    fn margin(self) -> f64 {
        self.wide.max(self.high) * 0.06
    }

    /// The point of the ground under a point of the screen.
    fn under(self, x: f64, y: f64, width: f64, height: f64) -> Option<(f64, f64)> {
        let m = self.margin();
        let (w, h) = (self.wide + 2.0 * m, self.high + 2.0 * m);
        let scale = (width / w).min(height / h);
        if scale <= 0.0 || !scale.is_finite() {
            return None;
        }
        let right = (x - (width - w * scale) / 2.0) / scale - m;
        let down = (y - (height - h * scale) / 2.0) / scale - m;
        let snap = |v: f64, most: f64| ((v / self.grid).round() * self.grid).clamp(0.0, most);
        Some((snap(right, self.wide), snap(self.high - down, self.high)))
    }
}

/// The sketch.
#[component]
pub fn Sketch(
    /// The ground.
    draft: RwSignal<CourtDraft>,
    /// What a tap adds.
    adds: RwSignal<Adds>,
) -> impl IntoView {
    let node = NodeRef::<Svg>::new();
    let sheet = Memo::new(move |_| draft.with(Sheet::of));
    let tap = move |ev: leptos::ev::MouseEvent| {
        let (Some(svg), Some(sheet)) = (node.get_untracked(), sheet.get_untracked()) else {
            return;
        };
        let area = svg.get_bounding_client_rect();
        let (x, y) = (
            f64::from(ev.client_x()) - area.left(),
            f64::from(ev.client_y()) - area.top(),
        );
        let Some((x, y)) = sheet.under(x, y, area.width(), area.height()) else {
            return;
        };
        draft.update(|draft| add(draft, adds.get_untracked(), x, y));
    };
    let words = move || {
        draft.with(|y| {
            format!(
                "Sketch of the ground: {} corners, {} to keep clear of. Everything on it can also be typed below.",
                y.outline().len(),
                y.things.len()
            )
        })
    };
    move || {
        let sheet = sheet.get()?;
        let m = sheet.margin();
        let view = format!(
            "{} {} {} {}",
            -m,
            -sheet.high - m,
            sheet.wide + 2.0 * m,
            sheet.high + 2.0 * m
        );
        let letter = sheet.wide.max(sheet.high) / 18.0;
        let grid = draft.with_untracked(|y| y.drawn).then(|| grid(sheet));
        Some(view! {
            <svg class="sketch" node_ref=node viewBox=view role="img" aria-label=words on:click=tap
                font-size=letter>
                {grid}
                {move || draft.with(|y| drawing(y, letter))}
            </svg>
        })
    }
}

fn add(draft: &mut CourtDraft, what: Adds, x: f64, y: f64) {
    match what {
        Adds::Corner => {
            if draft.corners.iter().all(|c| *c != (x, y)) {
                draft.corners.push((x, y));
            }
        }
        Adds::Post => draft.things.push(Thing::Post { x, y, across: 0.3 }),
        Adds::Block => draft.things.push(Thing::Block {
            x,
            y,
            wide: 2.0,
            high: 2.0,
        }),
    }
}

fn grid(sheet: Sheet) -> impl IntoView {
    let mut path = String::new();
    let lines = |most: f64| {
        (0..=60)
            .map(move |i| f64::from(i) * sheet.grid)
            .take_while(move |v| *v <= most + 1e-9)
    };
    for x in lines(sheet.wide) {
        path.push_str(&format!("M{x} 0V{}", -sheet.high));
    }
    for y in lines(sheet.high) {
        path.push_str(&format!("M0 {}H{}", -y, sheet.wide));
    }
    view! { <path class="grid" d=path/> }
}

/// From each corner half-way between its two sides, into the ground.
fn inwards(outline: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let n = outline.len();
    let at = |i: usize| outline.get(i % n.max(1)).copied().unwrap_or_default();
    let unit = |(x, y): (f64, f64)| {
        let long = x.hypot(y).max(1e-9);
        (x / long, y / long)
    };
    let double_area: f64 = (0..n)
        .map(|i| {
            let (a, b) = (at(i), at(i + 1));
            a.0 * b.1 - a.1 * b.0
        })
        .sum();
    (0..n)
        .map(|i| {
            let (before, here, after) = (at(i + n - 1), at(i), at(i + 1));
            let u = unit((before.0 - here.0, before.1 - here.1));
            let v = unit((after.0 - here.0, after.1 - here.1));
            let turn = (v.0 * u.1 - v.1 * u.0) * double_area.signum();
            let (x, y) = (u.0 + v.0, u.1 + v.1);
            if x.hypot(y) < 1e-3 {
                // Straight on: to the left or right of the way round.
                let s = double_area.signum();
                return (-v.1 * s, v.0 * s);
            }
            let (x, y) = unit((x, y));
            if turn < 0.0 { (-x, -y) } else { (x, y) }
        })
        .collect()
}

fn drawing(draft: &CourtDraft, letter: f64) -> impl IntoView + use<> {
    let outline = draft.outline();
    let mut path = String::new();
    for (i, (x, y)) in outline.iter().enumerate() {
        path.push_str(&format!("{}{x} {}", if i == 0 { 'M' } else { 'L' }, -y));
    }
    if outline.len() > 2 {
        path.push('Z');
    }
    let n = outline.len().max(1) as f64;
    let (mx, my) = outline
        .iter()
        .fold((0.0, 0.0), |(a, b), (x, y)| (a + x / n, b + y / n));
    let inwards = inwards(&outline);
    let corners = outline
        .iter()
        .enumerate()
        .map(|(i, (x, y))| {
            let home = draft.home == Some(i);
            let (dx, dy) = inwards.get(i).copied().unwrap_or_default();
            let off = letter * if home { 2.3 } else { 1.2 };
            let (tx, ty) = (x + dx * off, y + dy * off);
            let words = if home {
                "home".to_string()
            } else {
                (i + 1).to_string()
            };
            view! {
                <circle class="corner" class:home=home cx=*x cy=-y r=letter * 0.28/>
                <text class="number" x=tx y=-ty>{words}</text>
            }
        })
        .collect_view();
    let things = draft
        .things
        .iter()
        .enumerate()
        .map(|(i, thing)| {
            let name = format!("o{}", i + 1);
            match *thing {
                Thing::Post { x, y, across } => view! {
                    <circle class="thing" cx=x cy=-y r=(across / 2.0).max(letter * 0.2)/>
                    <text class="number" x=x + letter * 0.9 y=-y>{name}</text>
                }
                .into_any(),
                Thing::Block { x, y, wide, high } => view! {
                    <rect class="thing" x=x y=-(y + high) width=wide height=high/>
                    <text class="number on" x=x + wide / 2.0 y=-(y + high / 2.0)>{name}</text>
                }
                .into_any(),
            }
        })
        .collect_view();
    let sun = draft.sun.map(|deg| {
        let far = outline
            .iter()
            .map(|(x, y)| (x - mx).hypot(y - my))
            .fold(0.0, f64::max);
        let az = f64::from(deg).to_radians();
        let (x, y) = (mx + az.sin() * far * 0.55, my + az.cos() * far * 0.55);
        view! {
            <circle class="sun" cx=x cy=-y r=letter * 0.8/>
            <text class="number" x=x y=-y>"sun"</text>
        }
    });
    view! { <path class="outline" d=path/> {things} {corners} {sun} }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: Sheet = Sheet {
        wide: 40.0,
        high: 20.0,
        grid: 0.5,
    };

    #[test]
    fn numbers_stand_inside_also_at_a_corner_that_juts_in() {
        let l = [
            (0.0, 0.0),
            (4.0, 0.0),
            (4.0, 2.0),
            (2.0, 2.0),
            (2.0, 4.0),
            (0.0, 4.0),
        ];
        let half = std::f64::consts::FRAC_1_SQRT_2;
        let want = [
            (half, half),
            (-half, half),
            (-half, -half),
            (-half, -half),
            (-half, -half),
            (half, -half),
        ];
        for (got, want) in inwards(&l).into_iter().zip(want) {
            assert!(
                (got.0 - want.0).abs() < 1e-9 && (got.1 - want.1).abs() < 1e-9,
                "{got:?} {want:?}"
            );
        }
        let mut other_way = l;
        other_way.reverse();
        let got = inwards(&other_way);
        assert!((got[5].0 - half).abs() < 1e-9 && (got[5].1 - half).abs() < 1e-9);
    }

    #[test]
    fn a_tap_is_the_point_of_the_ground_under_it() {
        // Margins of 2.4 m: 44.8 m over 448 pixels, ten pixels to the metre.
        let m = SHEET.margin();
        assert!((m - 2.4).abs() < 1e-9);
        let at = |x, y| SHEET.under(x, y, 448.0, 248.0);
        assert_eq!(at(24.0, 24.0), Some((0.0, 20.0)), "upper left");
        assert_eq!(at(424.0, 224.0), Some((40.0, 0.0)), "lower right");
        assert_eq!(at(124.0, 174.0), Some((10.0, 5.0)));
        assert_eq!(at(126.0, 171.0), Some((10.0, 5.5)), "to the grid");
        assert_eq!(
            at(0.0, 0.0),
            Some((0.0, 20.0)),
            "outside counts as the edge"
        );
        // A taller frame letterboxes: 100 px above and below.
        assert_eq!(SHEET.under(124.0, 274.0, 448.0, 448.0), Some((10.0, 5.0)));
        assert_eq!(SHEET.under(1.0, 1.0, 0.0, 0.0), None);
    }
}
