//! The public pages: plain HTML for phones and projectors, the same content
//! without scripts, one small script for what changes while one looks.

mod bracket;
mod event;
mod files;
mod frame;
mod game;
mod games;
mod leaders;
mod score;
mod score_sheet;
mod tables;
mod words;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use engine::log::GameId;
use maud::html;

use crate::api::App;
use crate::event::EventId;
use crate::hex;
use crate::standings::{NoView, View};
use frame::Frame;

/// Scripts, styles and pictures from here only, nothing else from anywhere.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; \
    img-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// From each page to where `results` lies.
const FROM_ALL: &str = "";
const FROM_EVENT: &str = "../";
const FROM_GAME: &str = "../../../";
const FROM_SHEET: &str = "../../../../";

/// The way from an event's page to that of one of its games.
fn game_path(view: &View, game: GameId) -> String {
    format!("{}results/{}/games/{game}", FROM_EVENT, view.event)
}

/// The routes under `/results`.
pub fn router() -> Router<App> {
    Router::new()
        .route("/results", get(all))
        .route(
            "/results/look.css",
            get(async || file("text/css; charset=utf-8", include_str!("look.css"))),
        )
        .route(
            "/results/live.js",
            get(async || file("text/javascript; charset=utf-8", include_str!("live.js"))),
        )
        .route(
            "/results/icon.svg",
            get(async || {
                file(
                    "image/svg+xml",
                    include_str!("../../../../public/icons/court.svg"),
                )
            }),
        )
        .route("/results/{event}", get(one))
        .route("/results/{event}/games/{game}", get(game_page))
        .route("/results/{event}/games/{game}/sheet", get(sheet))
}

/// Where no app is served, the results are the first page.
pub async fn start() -> Response {
    Redirect::temporary("results").into_response()
}

fn file(kind: &'static str, content: &'static str) -> Response {
    ([(header::CONTENT_TYPE, kind)], content).into_response()
}

fn page(status: StatusCode, page: String) -> Response {
    let headers = [
        (header::CONTENT_TYPE, "text/html; charset=utf-8"),
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    (status, headers, page).into_response()
}

async fn all(State(app): State<App>) -> Response {
    let events = app.events();
    let frame = Frame {
        title: "Results",
        about: "Events of five-a-side street baseball: scores, tables and players.",
        follows: None,
        up: FROM_ALL,
    };
    let content = html! {
        header { h1 { "Results" } }
        @if events.shown().next().is_none() {
            p { "No event is served here yet." }
        }
        ul.rows {
            @for id in events.shown() {
                li {
                    a.row href={ "results/" (id) } {
                        b { (events.name(id)) }
                        @if let Some(charter) = events.charter(id).map(|c| c.charter()) {
                            span.meta { (words::when_and_where(charter)) }
                        }
                    }
                }
            }
        }
    };
    page(StatusCode::OK, frame.around(&content))
}

/// A page that says why there is none.
fn without(status: StatusCode, title: &str, sentence: &str, up: &'static str) -> Response {
    let frame = Frame {
        title,
        about: sentence,
        follows: None,
        up,
    };
    let content = html! {
        h1 { (title) }
        p { (sentence) }
        nav { a href={ (up) "results" } { "All results" } }
    };
    page(status, frame.around(&content))
}

/// The page for what cannot be shown.
fn not_shown(why: NoView, up: &'static str) -> Response {
    match why {
        NoView::NotServed => without(
            StatusCode::NOT_FOUND,
            "Not here",
            "There is nothing under this address.",
            up,
        ),
        NoView::StoreDown => without(
            StatusCode::SERVICE_UNAVAILABLE,
            "Not now",
            "The storage of these results does not answer just now: try again in a minute.",
            up,
        ),
        NoView::Failed => without(
            StatusCode::INTERNAL_SERVER_ERROR,
            "Not now",
            "The results could not be computed. It is a fault of the collector: tell whoever runs it.",
            up,
        ),
    }
}

async fn one(State(app): State<App>, Path(event): Path<String>) -> Response {
    let Ok(event) = event.parse::<EventId>() else {
        return not_shown(NoView::NotServed, FROM_EVENT);
    };
    match app.view(event).await {
        Ok(view) => {
            let events = app.events();
            page(StatusCode::OK, event::page(&view, events.name(event)))
        }
        Err(why) => not_shown(why, FROM_EVENT),
    }
}

async fn game_page(
    State(app): State<App>,
    Path((event, game)): Path<(String, String)>,
) -> Response {
    match found(&app, &event, &game).await {
        Ok((view, game)) => match view.game(game) {
            Some(report) => page(StatusCode::OK, game::page(&view, report)),
            None => not_shown(NoView::NotServed, FROM_GAME),
        },
        Err(why) => not_shown(why, FROM_GAME),
    }
}

async fn sheet(State(app): State<App>, Path((event, game)): Path<(String, String)>) -> Response {
    match found(&app, &event, &game).await {
        Ok((view, game)) => match view.game(game) {
            Some(report) => page(StatusCode::OK, score_sheet::page(&view, report)),
            None => not_shown(NoView::NotServed, FROM_SHEET),
        },
        Err(why) => not_shown(why, FROM_SHEET),
    }
}

async fn found(app: &App, event: &str, game: &str) -> Result<(Arc<View>, GameId), NoView> {
    let game = GameId(hex(game).ok_or(NoView::NotServed)?);
    let event = event.parse().map_err(|()| NoView::NotServed)?;
    Ok((app.view(event).await?, game))
}
