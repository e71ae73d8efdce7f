//! The question "fit".

use std::time::Instant;

use engine::court::{Fit, FitOptions, Obstacle, Point, Space, SpaceDraft, fit};
use engine::rules::{Edition, Length};
use serde_json::{Value, json};

pub(crate) fn length(ask: &Value, name: &str, or: u32) -> Result<Length, String> {
    match ask.get(name) {
        None | Some(Value::Null) => Ok(Length::from_mm(or)),
        Some(v) => v
            .as_u64()
            .and_then(|mm| u32::try_from(mm).ok())
            .map(Length::from_mm)
            .ok_or_else(|| format!("{name}: whole millimetres")),
    }
}

pub(crate) fn edition(ask: &Value) -> Result<Edition, String> {
    let base = ask
        .get("edition")
        .and_then(Value::as_str)
        .unwrap_or("federation");
    let base = base.parse().map_err(str::to_string)?;
    let set = ask.get("set").and_then(Value::as_object);
    let set: Vec<(String, String)> = set
        .map(|m| {
            m.iter()
                .map(|(k, v)| (k.clone(), v.as_str().unwrap_or_default().to_string()))
                .collect()
        })
        .unwrap_or_default();
    Edition::built_in(base)
        .with_all(set.iter().map(|(k, v)| (k.as_str(), v.as_str())))
        .map_err(|e| e.to_string())
}

fn number(v: Option<&Value>) -> Result<f64, String> {
    v.and_then(Value::as_f64)
        .ok_or_else(|| "a number is missing".into())
}

fn point(v: &Value) -> Result<Point, String> {
    Ok(Point::new(number(v.get(0))?, number(v.get(1))?))
}

fn points(v: Option<&Value>) -> Result<Vec<Point>, String> {
    v.and_then(Value::as_array)
        .ok_or("a list of points is missing")?
        .iter()
        .map(point)
        .collect()
}

pub(crate) fn space(ask: &Value) -> Result<Space, String> {
    let mut obstacles = Vec::new();
    for o in ask
        .get("obstacles")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
    {
        obstacles.push(match o.get("circle") {
            Some(c) => Obstacle::Circle {
                centre: point(c)?,
                radius: number(c.get(2))?,
            },
            None => Obstacle::Polygon(points(o.get("polygon"))?),
        });
    }
    let home_corner = ask.get("home_corner").and_then(Value::as_u64);
    Space::new(SpaceDraft {
        outline: points(ask.get("outline"))?,
        obstacles,
        home_corner: home_corner.and_then(|c| usize::try_from(c).ok()),
        sun: ask.get("sun").and_then(Value::as_f64),
    })
    .map_err(|e| e.to_string())
}

pub(crate) fn options(ask: &Value) -> Result<FitOptions, String> {
    let usual = FitOptions::default();
    Ok(FitOptions {
        run_off: length(ask, "run_off_mm", usual.run_off.mm())?,
        least_infield: length(ask, "least_mm", usual.least_infield.mm())?,
    })
}

pub(crate) fn answer(ask: &Value) -> Result<Value, String> {
    let (space, edition, options) = (space(ask)?, edition(ask)?, options(ask)?);
    let start = Instant::now();
    let found = fit(&space, &edition, &options);
    let took = start.elapsed().as_secs_f64() * 1000.0;
    let words = found.sentences(engine::court::Units::Metric);
    Ok(match &found {
        Fit::DoesNotFit(s) => json!({
            "fits": false,
            "largest_mm": s.largest_infield().map(Length::mm),
            "least_mm": s.least_infield().mm(),
            "short_mm": s.short_by().mm(),
            "square_mm": s.square_needed().mm(),
            "words": words,
            "ms": took,
        }),
        Fit::Fits(f) => {
            let (court, place) = (f.court(), f.placement());
            let parts: Vec<Vec<[f64; 2]>> = court
                .footprint()
                .iter()
                .map(|r| {
                    r.iter()
                        .map(|p| place.on_plan(*p))
                        .map(|p| [p.x, p.y])
                        .collect()
                })
                .collect();
            let cuts: Vec<Value> = court
                .reductions()
                .iter()
                .map(|r| {
                    json!({
                        "measure": r.measure().to_string(),
                        "edition_mm": r.edition().mm(),
                        "used_mm": r.used().mm(),
                        "within": r.within_edition(),
                    })
                })
                .collect();
            json!({
                "fits": true,
                "home": [place.home().x, place.home().y],
                "turn": place.turn(),
                "infield_mm": court.infield_side().mm(),
                "fair_mm": court.fair_side().mm(),
                "no_hit_mm": court.no_hit().mm(),
                "box_mm": court.batters_box().mm(),
                "base_mm": court.base_side().mm(),
                "safe_mm": court.safe_area().mm(),
                "run_off_mm": court.run_off().mm(),
                "spare_mm": f.spare().mm(),
                "sun": f.sun().map(|s| format!("{s:?}").to_lowercase()),
                "reductions": cuts,
                "parts": parts,
                "words": words,
                "ms": took,
            })
        }
    })
}
