//! The public pages: plain HTML for phones and projectors, the same content
//! without scripts, one small script for what changes while one looks.

mod event;
mod game;
mod html;
mod score_sheet;

use axum::Router;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use engine::log::GameId;

use crate::api::App;
use crate::event::EventId;
use crate::hex;
use crate::standings::{NoView, View};
use html::Page;

/// Scripts and styles from here only, nothing else from anywhere.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; \
    base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// From each page to where `results` lies.
const FROM_ALL: &str = "";
const FROM_EVENT: &str = "../";
const FROM_GAME: &str = "../../../";
const FROM_SHEET: &str = "../../../../";

/// The routes under `/results`.
pub fn router() -> Router<App> {
    Router::new()
        .route("/results", get(all))
        .route("/results/look.css", get(look))
        .route("/results/live.js", get(live))
        .route("/results/{event}", get(one))
        .route("/results/{event}/games/{game}", get(game_page))
        .route("/results/{event}/games/{game}/sheet", get(sheet))
}

/// Where no app is served, the results are the first page.
pub async fn start() -> Response {
    Redirect::temporary("results").into_response()
}

fn answered(status: StatusCode, page: Page) -> Response {
    let headers = [
        (header::CONTENT_TYPE, "text/html; charset=utf-8"),
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    (status, headers, page.end()).into_response()
}

async fn look() -> impl IntoResponse {
    (
        [(header::CONTENT_TYPE, "text/css; charset=utf-8")],
        include_str!("look.css"),
    )
}

async fn live() -> impl IntoResponse {
    (
        [(header::CONTENT_TYPE, "text/javascript; charset=utf-8")],
        include_str!("live.js"),
    )
}

async fn all(State(app): State<App>) -> Response {
    let events = app.events();
    let mut page = Page::new("Results", None, FROM_ALL);
    page.tag("h1", "Results");
    page.raw("<ul class=events>");
    for id in events.ids() {
        page.raw("<li><a href=\"");
        page.path(&format!("results/{id}"));
        page.raw("\">");
        page.text(events.name(id));
        page.raw("</a>");
        if let Some(charter) = events.charter(id).map(|c| c.charter()) {
            page.raw(" <small>");
            page.text(&format!("{}, {}", charter.date, charter.place));
            page.raw("</small>");
        }
        page.raw("</li>");
    }
    page.raw("</ul>");
    if events.ids().next().is_none() {
        page.tag("p", "No event is served here yet.");
    }
    answered(StatusCode::OK, page)
}

fn missing(up: &'static str) -> Response {
    let mut page = Page::new("Not here", None, up);
    page.tag("h1", "There is nothing under this address.");
    page.raw("<p><a href=\"");
    page.path("results");
    page.raw("\">All results</a></p>");
    answered(StatusCode::NOT_FOUND, page)
}

/// The page for what cannot be shown.
fn not_shown(why: NoView, up: &'static str) -> Response {
    match why {
        NoView::NotServed => missing(up),
        NoView::Failed => {
            let mut page = Page::new("Not now", None, up);
            page.tag("h1", "The results could not be computed.");
            page.tag("p", "It is a fault of the collector. Tell whoever runs it.");
            answered(StatusCode::INTERNAL_SERVER_ERROR, page)
        }
    }
}

async fn one(State(app): State<App>, Path(event): Path<String>) -> Response {
    let Ok(event) = event.parse::<EventId>() else {
        return missing(FROM_EVENT);
    };
    let view = match app.view(event).await {
        Ok(view) => view,
        Err(why) => return not_shown(why, FROM_EVENT),
    };
    let events = app.events();
    answered(StatusCode::OK, event::page(&view, events.name(event)))
}

async fn game_page(
    State(app): State<App>,
    Path((event, game)): Path<(String, String)>,
) -> Response {
    match found(&app, &event, &game).await {
        Ok((view, game)) => match view.game(game) {
            Some(report) => answered(StatusCode::OK, game::page(&view, report)),
            None => missing(FROM_GAME),
        },
        Err(why) => not_shown(why, FROM_GAME),
    }
}

async fn sheet(State(app): State<App>, Path((event, game)): Path<(String, String)>) -> Response {
    match found(&app, &event, &game).await {
        Ok((view, game)) => match view.game(game) {
            Some(report) => answered(StatusCode::OK, score_sheet::page(&view, report)),
            None => missing(FROM_SHEET),
        },
        Err(why) => not_shown(why, FROM_SHEET),
    }
}

async fn found(
    app: &App,
    event: &str,
    game: &str,
) -> Result<(std::sync::Arc<View>, GameId), NoView> {
    let game = GameId(hex(game).ok_or(NoView::NotServed)?);
    let event = event.parse().map_err(|()| NoView::NotServed)?;
    Ok((app.view(event).await?, game))
}
