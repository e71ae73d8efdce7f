//! Results for programs: JSON, CSV (RFC 4180) and iCalendar (RFC 5545).

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use engine::competition::calendar::{CalendarHead, Zone, calendar};
use engine::competition::csv;
use engine::competition::day::GameReport;
use engine::competition::leaders::{Category, Leader, Minimums, leaders};
use engine::log::GameId;
use serde_json::Value;

use super::{App, Refused, json};
use crate::event::EventId;
use crate::hex;
use crate::standings::View;

fn with_type(kind: &'static str, body: String) -> Response {
    let headers = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    (headers, body).into_response()
}

fn as_json(value: &Value) -> Response {
    with_type("application/json", value.to_string())
}

/// `GET`: the events served here.
pub async fn events(State(app): State<App>) -> Response {
    let events = app.events();
    let list: Vec<Value> = events.ids().map(|id| json::event(&events, id)).collect();
    as_json(&serde_json::json!({ "events": list }))
}

/// `GET`: a game in full.
pub async fn game(State(app): State<App>, Path(game): Path<String>) -> Result<Response, Refused> {
    let game = GameId(hex(&game).ok_or(Refused::BadAddress)?);
    let event = app.event_of(game).ok_or(Refused::NotFound)?;
    let view = app.view(event).await.ok_or(Refused::NotFound)?;
    let report = view.game(game).ok_or(Refused::NotFound)?;
    Ok(as_json(&json::whole_game(&view, report)))
}

/// The leaders of an event: the best five of each category, with at least three
/// turns at bat, or three chances, for an average.
pub(crate) fn lists(view: &View) -> Vec<(Category, Vec<Leader>)> {
    let players = view
        .report
        .as_ref()
        .map(|r| r.players())
        .unwrap_or_default();
    let least = Minimums {
        turns: 3,
        chances: 3,
    };
    let list = |c| leaders(players, c, least, 5).ok().map(|l| (c, l));
    Category::ALL.into_iter().filter_map(list).collect()
}

/// `GET`: one file of an event's results.
pub async fn file(
    State(app): State<App>,
    Path((event, file)): Path<(String, String)>,
) -> Result<Response, Refused> {
    const CSV: &str = "text/csv; charset=utf-8; header=present";
    let event: EventId = event.parse().map_err(|()| Refused::BadAddress)?;
    let view = app.view(event).await.ok_or(Refused::NotFound)?;
    let arranged = view
        .report
        .as_ref()
        .and_then(|r| Some((r.schedule()?, r.results()?)));
    Ok(match file.as_str() {
        "event.json" => as_json(&json::event(&app.events(), event)),
        "games.json" => {
            let games: Vec<Value> = view.games.iter().map(|g| json::game(g)).collect();
            as_json(&serde_json::json!({ "games": games }))
        }
        "games.csv" => {
            let games: Vec<&GameReport> = view.games.iter().map(Arc::as_ref).collect();
            with_type(CSV, csv::games(&games))
        }
        "standings.json" => as_json(&json::standings(&view)),
        "schedule.json" => as_json(&json::schedule(&view)),
        "leaders.json" => as_json(&json::leaders(&view, &lists(&view))),
        "schedule.csv" => {
            let (schedule, results) = arranged.ok_or(Refused::NotFound)?;
            with_type(CSV, csv::schedule(schedule, Some(results.progress())))
        }
        "leaders.csv" => {
            let (schedule, _) = arranged.ok_or(Refused::NotFound)?;
            with_type(CSV, csv::leaders(&lists(&view), schedule.entrants()))
        }
        "schedule.ics" => with_type(
            "text/calendar; charset=utf-8",
            ics(&view).ok_or(Refused::NotFound)?,
        ),
        table => {
            let number = table
                .strip_prefix("standings-")
                .and_then(|t| t.strip_suffix(".csv"));
            let number: usize = number
                .and_then(|n| n.parse().ok())
                .ok_or(Refused::NotFound)?;
            let (schedule, results) = arranged.ok_or(Refused::NotFound)?;
            let at = number.checked_sub(1).ok_or(Refused::NotFound)?;
            let table = results.tables().get(at).ok_or(Refused::NotFound)?;
            with_type(CSV, csv::standings(&table.table, schedule.entrants()))
        }
    })
}

fn ics(view: &View) -> Option<String> {
    let charter = view.charter()?;
    let report = view.report.as_ref()?;
    let id = format!("{}.chalkbook.invalid", view.event);
    let head = CalendarHead {
        name: &charter.event,
        // The event's own id is unique in the world.
        id: &id,
        first_day: charter.first_day()?,
        zone: Zone::Utc {
            ahead: charter.arranged.as_ref()?.ahead,
        },
        // The first day itself: the same version always gives the same text.
        stamp: i64::try_from(charter.fixtures.first()?.starts / 1000).ok()?,
        sequence: charter.version.saturating_sub(1),
    };
    calendar(
        report.schedule()?,
        report.results().map(|r| r.progress()),
        &head,
    )
    .ok()
}
