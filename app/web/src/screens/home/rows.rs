//! The games of this phone: those going on as cards, the others a line each.

use crate::parts::{A, Section};
use engine::play::count_outs;
use engine::team::Side;
use leptos::prelude::*;

use crate::book::Book;
use crate::clock;
use crate::screens::DeliveryWord;
use crate::state::{ShownGame, Under, app_state};

fn is_over(shown: &ShownGame) -> bool {
    shown
        .book
        .as_ref()
        .map_or(true, |book| book.game().ending().is_some())
}

/// Games that are not over, the last one begun first; those of the demo day
/// after one's own.
#[component]
pub fn GoingOn() -> impl IntoView {
    let app = app_state();
    let cards = move || {
        let mut games = app.games.get();
        games.retain(|g| !is_over(g));
        games.sort_by_key(|g| (g.listed.demo, core::cmp::Reverse(g.listed.begun)));
        games
            .iter()
            .enumerate()
            .filter_map(|(at, g)| {
                Some(view! { <li>{card(g, g.book.as_ref().ok()?, at == 0)}</li> })
            })
            .collect_view()
    };
    let any = move || app.games.with(|games| !games.iter().all(is_over));
    view! {
        <Show when=any>
            <Section title="Going on">
                <ul class="games">{cards}</ul>
            </Section>
        </Show>
    }
}

fn card(shown: &ShownGame, book: &Book, first: bool) -> impl IntoView + use<> {
    let game = book.game();
    let begun = !book.history().events().is_empty();
    let place = match begun {
        true => format!("{}, {}.", game.inning_words(), count_outs(game.outs())),
        false => "Not begun.".to_string(),
    };
    let go = if begun {
        "Go on calling"
    } else {
        "Begin calling"
    };
    let to = format!("/call?game={}", shown.listed.game);
    let (sides, notes, charter) = (sides(book), notes(shown, book), charter(shown, book));
    let (when, held) = (when(shown), crate::delivery::held(shown));
    view! {
        <A href=to attr:class="game-row live">
            {sides}
            <span class="state">{notes}{place}" "{when}" "{charter}<DeliveryWord records=held/></span>
            <span class="btn go" class:lit=first>{go}</span>
        </A>
    }
}

/// Finished games and those that cannot be read, by day.
#[component]
pub fn Finished() -> impl IntoView {
    let app = app_state();
    let days = move || {
        let mut games = app.games.get();
        games.retain(is_over);
        games.sort_by_key(|g| core::cmp::Reverse(g.listed.begun));
        let days = games.chunk_by(|a, b| clock::same_day(a.listed.begun, b.listed.begun));
        days.filter_map(|day| {
            let begun = day.first()?.listed.begun;
            let title = match clock::same_day(begun, clock::now()) {
                true => "Today".to_string(),
                false => clock::day(begun),
            };
            let rows = day.iter().map(|g| view! { <li>{line(g)}</li> });
            Some(view! {
                <section class="section" aria-label=title.clone()>
                    <h2>{title.clone()}</h2>
                    <ul class="lines-of-games">{rows.collect_view()}</ul>
                </section>
            })
        })
        .collect_view()
    };
    view! { {days} }
}

fn line(shown: &ShownGame) -> impl IntoView + use<> {
    let id = &shown.listed.game;
    match &shown.book {
        Ok(book) => {
            let score = book.game().score();
            let teams = Side::BOTH.map(|side| {
                view! { <span class="team">{book.team(side).to_string()}" "<b>{score[side]}</b></span>" " }
            });
            let teams = teams.collect_view();
            let to = format!("/statement?game={id}");
            let (notes, charter) = (notes(shown, book), charter(shown, book));
            let stands = match shown.listed.demo {
                true => String::new(),
                false => crate::words::capital(&format!("{}. ", app_state().standing(book).0)),
            };
            let held = crate::delivery::held(shown);
            view! {
                <A href=to attr:class="game-line">
                    <span class="teams">{teams}</span>
                    <span class="state"><span class="unseen">"Over. "</span>{notes}{stands}{charter}
                        <DeliveryWord records=held/></span>
                </A>
            }
            .into_any()
        }
        Err(why) => {
            let state = format!("{} {} Kept as found.", why.why, when(shown));
            let to = format!("/story?game={id}");
            view! {
                <A href=to attr:class="game-line">
                    <span class="teams">"A game that cannot be read"</span>
                    <span class="state">{state}</span>
                </A>
            }
            .into_any()
        }
    }
}

fn sides(book: &Book) -> impl IntoView + use<> {
    let score = book.game().score();
    let sides = Side::BOTH.map(|side| {
        view! {
            <span class="side">
                <span>{book.team(side).to_string()}</span>
                <span class="runs">{score[side]}</span>
            </span>
        }
    });
    view! { <span class="sides">{sides.collect_view()}</span> }
}

fn when(shown: &ShownGame) -> String {
    let begun = shown.listed.begun;
    match clock::same_day(begun, clock::now()) {
        true => format!("Begun {}.", clock::time_of_day(begun)),
        false => format!("Begun {}.", clock::day(begun)),
    }
}

/// What is special about the record.
fn notes(shown: &ShownGame, book: &Book) -> impl IntoView + use<> {
    let demo = shown.listed.demo;
    let damaged = !book.is_whole();
    view! {
        {demo.then(|| view! { <span class="tag">"demo"</span>" " })}
        {damaged.then(|| view! { <span class="tag">"part damaged"</span>" " })}
    }
}

/// How the game stands to its charter.
fn charter(shown: &ShownGame, book: &Book) -> Signal<&'static str> {
    match book.setup().charter {
        Some(_) => Signal::derive({
            let (app, opening) = (app_state(), book.record.opening().clone());
            move || match app.under(&opening) {
                Under::NotHere => "Its charter is not on this phone. ",
                Under::Charter { objections, .. } if !objections.is_empty() => {
                    "Not as the charter says. "
                }
                Under::Charter { .. } | Under::None => "",
            }
        }),
        None if shown.listed.demo => Signal::stored(""),
        None => Signal::stored("Without a charter. "),
    }
}
