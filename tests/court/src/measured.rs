//! The question "measured".

use engine::court::measured::{Finding, Move, Readings, Square, check};
use serde_json::{Value, json};

use crate::tape::{court, name};

pub(crate) fn answer(ask: &Value) -> Result<Value, String> {
    let court = court(ask)?;
    let square = match ask.get("square").and_then(Value::as_str) {
        Some("infield") => Square::Infield,
        _ => Square::Fair,
    };
    let mut readings = Readings::none(square);
    let given = ask.get("readings").and_then(Value::as_array);
    for (to, v) in readings.metres.iter_mut().zip(given.into_iter().flatten()) {
        *to = v.as_f64();
    }
    let tolerance = ask.get("tolerance").and_then(Value::as_f64).unwrap_or(0.02);
    let verdict = check(&court, &readings, tolerance).map_err(|e| e.to_string())?;
    let moved = |m: &Move| json!({ "mark": name(m.mark()), "by": [m.by().x, m.by().y], "cm": m.distance_cm() });
    let (kind, moves) = match verdict.finding() {
        Finding::Square => ("square", vec![]),
        Finding::MoveOne(m) => ("one", vec![moved(m)]),
        Finding::MoveSeveral(m) => ("several", m.iter().map(moved).collect()),
        Finding::MeasureAgain(s) => ("again", s.iter().map(|s| json!(format!("{s:?}"))).collect()),
    };
    Ok(json!({
        "finding": kind,
        "moves": moves,
        "worst_cm": verdict.worst_cm(),
        "misfit_cm": verdict.misfit_cm(),
        "words": verdict.sentences(engine::court::Units::Metric),
    }))
}
