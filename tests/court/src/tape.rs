//! The questions about tape and drawing: "set_out", "close" and "plan".

use engine::court::{
    Closing, Court, Fit, LineSide, Mark, Plan, TapeLength, Task, Units, closing_check, fit,
    materials, set_out, svg,
};
use serde_json::{Value, json};

use crate::fit::{edition, length, options, space};

/// The fitted court when a space is given, the full one when not.
pub(crate) fn court(ask: &Value) -> Result<Court, String> {
    let edition = edition(ask)?;
    if ask.get("outline").is_none() {
        return Ok(Court::full(&edition, length(ask, "run_off_mm", 1_000)?));
    }
    match fit(&space(ask)?, &edition, &options(ask)?) {
        Fit::Fits(f) => Ok(f.court().clone()),
        Fit::DoesNotFit(s) => Err(s.sentence(engine::court::Units::Metric)),
    }
}

pub(crate) fn name(mark: Mark) -> String {
    format!("{mark:?}")
}

fn lengths(l: TapeLength) -> Value {
    json!({ "cm": l.cm(), "quarter_inches": l.quarter_inches(), "m": l.metres() })
}

pub(crate) fn set_out_answer(ask: &Value) -> Result<Value, String> {
    let court = court(ask)?;
    let steps: Vec<Value> = set_out(&court)
        .iter()
        .map(|s| {
            let task = match s.task() {
                Task::Start => json!({ "start": name(Mark::Home) }),
                Task::Along {
                    mark,
                    from,
                    towards,
                    beyond,
                    length,
                } => json!({
                    "along": name(*mark), "from": name(*from), "towards": name(*towards),
                    "beyond": beyond, "length": lengths(*length),
                }),
                Task::ThreeFourFive { along, up, across } => json!({
                    "three_four_five": [lengths(*along), lengths(*up), lengths(*across)],
                }),
                Task::Cross {
                    mark,
                    first,
                    second,
                    side,
                } => json!({
                    "cross": name(*mark),
                    "first": [name(first.0), lengths(first.1)],
                    "second": [name(second.0), lengths(second.1)],
                    "left": *side == LineSide::Left,
                }),
                Task::Draw { through, .. } => json!({
                    "draw": through.iter().map(|m| name(*m)).collect::<Vec<_>>(),
                }),
                Task::LayBase { mark } => json!({ "base": name(*mark) }),
                Task::Close { diagonal } => json!({ "close": lengths(*diagonal) }),
            };
            json!({
                "task": task,
                "metric": s.text(Units::Metric),
                "feet": s.text(Units::FeetInches),
            })
        })
        .collect();
    let marks: serde_json::Map<String, Value> = Mark::ALL
        .into_iter()
        .map(|m| (name(m), json!([court.mark(m).x, court.mark(m).y])))
        .collect();
    Ok(json!({ "steps": steps, "marks": marks }))
}

pub(crate) fn close_answer(ask: &Value) -> Result<Value, String> {
    let court = court(ask)?;
    let number = |n: &str| {
        ask.get(n)
            .and_then(Value::as_f64)
            .ok_or(format!("{n}: metres"))
    };
    let allowed = ask.get("allowed").and_then(Value::as_f64).unwrap_or(0.0);
    let verdict = closing_check(&court, number("from_home")?, number("across")?, allowed);
    let (kind, cm, left) = match verdict {
        Closing::Square => ("square", 0, None),
        Closing::Leans {
            move_cm, towards, ..
        } => ("leans", i64::from(move_cm), Some(towards == LineSide::Left)),
        Closing::SidesWrong { side_cm } => ("sides", i64::from(side_cm), None),
        Closing::Implausible => ("implausible", 0, None),
    };
    Ok(json!({ "verdict": kind, "cm": cm, "left": left, "words": verdict.to_string() }))
}

pub(crate) fn plan_answer(ask: &Value) -> Result<Value, String> {
    let court = court(ask)?;
    let space = ask.get("outline").map(|_| space(ask)).transpose()?;
    let units = match ask.get("units").and_then(Value::as_str) {
        Some("feet") => Units::FeetInches,
        _ => Units::Metric,
    };
    let plan = Plan::new(&court, space.as_ref());
    Ok(json!({ "svg": svg(&plan, units), "materials": materials(&court).sentences(units) }))
}
