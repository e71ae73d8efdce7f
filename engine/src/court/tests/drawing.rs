//! The plan, its drawing and the material list.
use super::super::*;
use crate::rules::{Edition, Length};
use alloc::string::String;
use alloc::vec::Vec;

fn full(edition: &Edition) -> Court {
    Court::full(edition, Length::from_mm(1000))
}

/// Every tag opened is closed, in order; quotes are in pairs.
fn well_formed(svg: &str) {
    let mut open: Vec<&str> = Vec::new();
    for tag in svg.split('<').skip(1) {
        let (inside, _) = tag.split_once('>').unwrap();
        assert_eq!(inside.matches('"').count() % 2, 0, "{inside}");
        if let Some(name) = inside.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !inside.ends_with('/') {
            open.push(inside.split(' ').next().unwrap());
        }
    }
    assert!(open.is_empty());
}

#[test]
fn the_drawing_has_every_part_and_is_always_the_same() {
    let court = full(&Edition::federation());
    let plan = Plan::new(&court, None);
    let text = svg(&plan, Units::Metric);
    well_formed(&text);
    assert_eq!(text, svg(&Plan::new(&court, None), Units::Metric));
    for class in [
        "run-off",
        "no-hit-zone",
        "no-hit-line",
        "infield",
        "foul-line",
        "fence",
        "batters-box",
        "base",
        "foul-half",
        "safe-area",
        "dimension",
        "label",
    ] {
        let attribute: String = alloc::format!("class=\"{class}\"");
        assert!(text.contains(&attribute), "{class}");
    }
    for length in [
        "13.00 m", "18.00 m", "4.50 m", "3.00 m", "1.50 m", "5.00 m", "18.38 m",
    ] {
        assert!(text.contains(length), "{length}");
    }
    assert!(
        !text.contains("#") && !text.contains("rgb"),
        "colours are the page's"
    );
    assert!(
        !text.contains(" style="),
        "no inline style, which a strict page forbids"
    );
    assert!(svg(&plan, Units::FeetInches).contains("42 ft 7 3/4 in"));
}

/// One unit is one metre, so lengths can be read off the drawing.
#[test]
fn the_drawing_is_to_scale_with_home_below_second() {
    let plan = Plan::new(&full(&Edition::federation()), None);
    let foul = plan
        .outlines
        .iter()
        .find(|o| o.kind == Kind::FoulLine)
        .unwrap();
    let (a, b) = (foul.points[0], foul.points[1]);
    assert!((libm::hypot(a.x - b.x, a.y - b.y) - 18.0).abs() < 1e-9);
    let third = plan.labels.iter().find(|l| l.text == "3rd").unwrap().at;
    let first = plan.labels.iter().find(|l| l.text == "1st").unwrap().at;
    let second = plan.labels.iter().find(|l| l.text == "2nd").unwrap().at;
    assert!(
        third.x < second.x && second.x < first.x,
        "first base on the right"
    );
    assert!(second.y > first.y);
    for d in &plan.dimensions {
        let span = libm::hypot(d.from.x - d.to.x, d.from.y - d.to.y);
        assert!((span - d.length.metres()).abs() < 1e-4);
    }
    for p in plan.outlines.iter().flat_map(|o| &o.points) {
        assert!(p.x >= plan.low.x && p.x <= plan.high.x);
        assert!(p.y >= plan.low.y && p.y <= plan.high.y);
    }
}

#[test]
fn a_fitted_court_is_drawn_in_its_space() {
    let draft = SpaceDraft {
        obstacles: alloc::vec![
            Obstacle::Circle {
                centre: Point::new(2.0, 2.0),
                radius: 0.3
            },
            Obstacle::Polygon(alloc::vec![
                Point::new(28.0, 1.0),
                Point::new(30.0, 1.0),
                Point::new(29.0, 3.0)
            ]),
        ],
        sun: Some(225.0),
        ..SpaceDraft::rectangle(32.0, 28.0)
    };
    let space = Space::new(draft).unwrap();
    let found = fit(&space, &Edition::introductory(), &FitOptions::default());
    let plan = Plan::new(found.court().unwrap(), Some(&space));
    let outline = plan
        .outlines
        .iter()
        .find(|o| o.kind == Kind::Space)
        .unwrap();
    let (a, b) = (outline.points[0], outline.points[1]);
    assert!((libm::hypot(a.x - b.x, a.y - b.y) - 32.0).abs() < 1e-6);
    assert_eq!(
        plan.outlines
            .iter()
            .filter(|o| o.kind == Kind::Obstacle)
            .count(),
        2
    );
    assert!(plan.sun.is_some());
    let text = svg(&plan, Units::Metric);
    well_formed(&text);
    assert!(text.contains("class=\"space\"") && text.contains("class=\"sun\""));
    // The introductory no-hit zone is round.
    let line = plan
        .outlines
        .iter()
        .find(|o| o.kind == Kind::NoHitLine)
        .unwrap();
    assert!(line.points.len() > 10);
}

/// Two foul lines of 18 m, a box of 3 m sides, a no-hit line of 6.364 m and
/// two sides and an end of the safe area.
#[test]
fn materials_add_up() {
    let m = materials(&full(&Edition::federation()));
    let line = 2.0 * 18.0 + 4.0 * 3.0 + 6.364 + 2.0 * 1.5 + 0.5;
    assert!((m.line_m - line).abs() < 1e-3, "{}", m.line_m);
    assert!((m.fence_m - 36.0).abs() < 1e-9);
    assert!(f64::from(m.tape_m) >= 25.456);
    let list = m.sentences(Units::Metric).join(" ");
    assert!(list.contains("Bases: 2 single, and 1 double") && list.contains("Cones: 5,"));
}
