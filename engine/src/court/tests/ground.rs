//! Spaces as drawn, and the small linear program.
use super::super::program::{Row, solve};
use super::super::*;
use alloc::string::ToString;
use alloc::vec::Vec;
use proptest::prelude::*;

fn points(p: &[(f64, f64)]) -> Vec<Point> {
    p.iter().map(|&(x, y)| Point::new(x, y)).collect()
}

fn objections(draft: SpaceDraft) -> Vec<SpaceObjection> {
    Space::new(draft).unwrap_err().into_vec()
}

#[test]
fn each_kind_of_bad_drawing_is_named() {
    let poly = |p: &[(f64, f64)]| SpaceDraft::polygon(points(p));
    assert!(matches!(
        objections(poly(&[(0.0, 0.0), (9.0, 0.0)]))[..],
        [SpaceObjection::TooFewCorners {
            shape: Shape::Outline,
            got: 2
        }]
    ));
    let bow = poly(&[(0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 9.0)]);
    assert!(matches!(
        objections(bow)[..],
        [SpaceObjection::Crossing {
            side: 0,
            other: 2,
            ..
        }]
    ));
    let nan = poly(&[(0.0, 0.0), (f64::NAN, 0.0), (9.0, f64::INFINITY)]);
    assert!(matches!(
        objections(nan)[..],
        [
            SpaceObjection::NotANumber { corner: 1, .. },
            SpaceObjection::NotANumber { corner: 2, .. }
        ]
    ));
    assert!(matches!(
        objections(SpaceDraft::rectangle(501.0, 20.0))[..],
        [SpaceObjection::TooLarge { .. }]
    ));
    let twice = poly(&[(0.0, 0.0), (9.0, 0.0), (9.0, 0.0), (9.0, 9.0)]);
    assert!(matches!(
        objections(twice)[..],
        [SpaceObjection::RepeatedCorner { corner: 2, .. }]
    ));
    let flat = poly(&[(0.0, 0.0), (9.0, 0.0), (4.0, 0.0)]);
    assert!(matches!(objections(flat)[..], [SpaceObjection::NoArea(_)]));
    let spike = poly(&[(0.0, 0.0), (9.0, 0.0), (4.0, 0.0), (4.0, 9.0)]);
    assert!(matches!(
        objections(spike)[..],
        [
            SpaceObjection::Crossing {
                side: 0,
                other: 1,
                ..
            },
            ..
        ]
    ));
    let many = SpaceDraft::polygon(
        (0..65)
            .map(|i| Point::new(f64::from(i), f64::from(i * i) / 10.0))
            .collect(),
    );
    assert!(matches!(
        objections(many)[..],
        [SpaceObjection::TooManyCorners { got: 65, .. }]
    ));
}

#[test]
fn everything_wrong_is_said_at_once() {
    let draft = SpaceDraft {
        obstacles: alloc::vec![
            Obstacle::Circle {
                centre: Point::new(1.0, 1.0),
                radius: -0.1
            },
            Obstacle::Polygon(points(&[(0.0, 0.0)])),
            Obstacle::Circle {
                centre: Point::new(f64::NAN, 1.0),
                radius: 1.0
            },
        ],
        home_corner: Some(4),
        sun: Some(360.0),
        ..SpaceDraft::rectangle(20.0, 20.0)
    };
    let refused = Space::new(draft).unwrap_err();
    assert_eq!(refused.len(), 5);
    let text = refused.to_string();
    assert!(
        text.contains("Obstacle 1 has a radius below nothing"),
        "{text}"
    );
    assert!(text.contains("Home cannot be at corner 5"), "{text}");
    let crowd = SpaceDraft {
        obstacles: alloc::vec![
            Obstacle::Circle { centre: Point::new(1.0, 1.0), radius: 0.1 };
            Space::MOST_OBSTACLES + 1
        ],
        ..SpaceDraft::rectangle(20.0, 20.0)
    };
    assert!(matches!(
        objections(crowd)[..],
        [SpaceObjection::TooManyObstacles(25)]
    ));
}

#[test]
fn clockwise_and_anticlockwise_outlines_are_one_space() {
    let corners = points(&[(0.0, 0.0), (9.0, 0.0), (9.0, 7.0), (0.0, 7.0)]);
    let mut back = corners.clone();
    back.reverse();
    let mut draft = SpaceDraft::polygon(back);
    draft.home_corner = Some(3);
    let space = Space::new(draft).unwrap();
    assert_eq!(space.outline(), corners);
    assert_eq!(
        space.home_corner(),
        Some(Point::new(0.0, 0.0)),
        "the corner named, not its place"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Against all corners of the feasible set, the textbook way.
    #[test]
    fn the_linear_program_finds_the_optimum(
        rows in prop::collection::vec(
            (prop::array::uniform4(-1.0f64..1.0), -1.0f64..0.4), 0..7),
        goal in prop::array::uniform4(-1.0f64..1.0),
    ) {
        let rows: Vec<Row> = rows.into_iter().map(|(a, b)| Row { a, b }).collect();
        let mut all = rows.clone();
        for k in 0..4 {
            for sign in [1.0, -1.0] {
                let mut a = [0.0; 4];
                a[k] = sign;
                all.push(Row { a, b: -1.0 });
            }
        }
        let dot = |a: &[f64; 4], z: &[f64; 4]| a.iter().zip(z).map(|(x, y)| x * y).sum::<f64>();
        let meets = |z: &[f64; 4]| all.iter().all(|r| dot(&r.a, z) >= r.b - 1e-7);
        let mut best: Option<f64> = None;
        let n = all.len();
        for i in 0..n { for j in i + 1..n { for k in j + 1..n { for l in k + 1..n {
            if let Some(z) = corner([&all[i], &all[j], &all[k], &all[l]]) && meets(&z) {
                best = Some(best.map_or(dot(&goal, &z), |b| b.max(dot(&goal, &z))));
            }
        }}}}
        match (solve(goal, [1.0; 4], &rows), best) {
            (Some(z), Some(best)) => {
                prop_assert!(meets(&z), "{z:?}");
                prop_assert!((dot(&goal, &z) - best).abs() < 1e-5, "{} {best}", dot(&goal, &z));
            }
            (None, None) => {}
            // A feasible set thinner than rounding may be seen either way.
            (Some(z), None) => prop_assert!(all.iter().all(|r| dot(&r.a, &z) >= r.b - 1e-6)),
            (None, Some(_)) => {
                let inner: Vec<Row> = rows.iter().map(|r| Row { b: r.b + 1e-6, ..*r }).collect();
                prop_assert!(solve(goal, [1.0; 4], &inner).is_none());
            }
        }
    }

    #[test]
    fn no_drawing_panics(
        corners in prop::collection::vec((-60.0f64..60.0, -60.0f64..60.0), 0..9),
        circle in (-60.0f64..60.0, -60.0f64..60.0, -1.0f64..5.0),
        home in prop::option::of(0usize..10),
        sun in prop::option::of(-10.0f64..400.0),
    ) {
        let draft = SpaceDraft {
            obstacles: alloc::vec![Obstacle::Circle {
                centre: Point::new(circle.0, circle.1), radius: circle.2 }],
            home_corner: home,
            sun,
            ..SpaceDraft::polygon(points(&corners))
        };
        if let Err(refused) = Space::new(draft) {
            prop_assert!(!refused.is_empty());
            prop_assert!(refused.to_string().ends_with('.'));
        }
    }
}

/// Where four rows hold with equality.
fn corner(rows: [&Row; 4]) -> Option<[f64; 4]> {
    let mut m: Vec<[f64; 5]> = rows
        .iter()
        .map(|r| [r.a[0], r.a[1], r.a[2], r.a[3], r.b])
        .collect();
    for k in 0..4 {
        let top = (k..4).max_by(|&a, &b| m[a][k].abs().total_cmp(&m[b][k].abs()))?;
        m.swap(k, top);
        if m[k][k].abs() < 1e-9 {
            return None;
        }
        for r in 0..4 {
            if r != k {
                let f = m[r][k] / m[k][k];
                let pivot = m[k];
                for (to, from) in m[r].iter_mut().zip(pivot) {
                    *to -= f * from;
                }
            }
        }
    }
    Some([0, 1, 2, 3].map(|k| m[k][4] / m[k][k]))
}
