//! Today's events, and the next game on this court.

use crate::parts::A;
use engine::charter::{Charter, Scheduled};
use leptos::prelude::*;

use crate::charter_draft::fixture_line;
use crate::clock;
use crate::state::{ShownGame, app_state};
use crate::store::KeptCharter;

/// How long after its time a game may still be to begin (ms).
const LATE: u64 = 60 * 60 * 1000;

/// The games to umpire next: of the court where this phone recorded last in the
/// event, else one of each court.
fn next_games(
    kept: &KeptCharter,
    charter: &Charter,
    games: &[ShownGame],
    now: u64,
) -> Vec<Scheduled> {
    let here = |shown: &&ShownGame| {
        let setup = shown.book.as_ref().ok().map(|b| b.setup());
        setup.is_some_and(|s| s.charter.is_some_and(|c| kept.version(&c).is_some()))
    };
    let mut of_event: Vec<&ShownGame> = games.iter().filter(here).collect();
    of_event.sort_by_key(|g| g.listed.begun);
    let setups = || {
        of_event
            .iter()
            .filter_map(|g| Some(g.book.as_ref().ok()?.setup()))
    };
    let court = setups().filter_map(|s| s.court.clone()).next_back();
    let mut fixtures: Vec<&Scheduled> = charter
        .fixtures
        .iter()
        .filter(|f| f.starts.saturating_add(LATE) >= now && clock::same_day(f.starts, now))
        .filter(|f| setups().all(|s| s.fixture_number != Some(f.number)))
        .filter(|f| court.as_ref().is_none_or(|c| *c == f.court))
        .collect();
    fixtures.sort_by_key(|f| (f.starts, f.number));
    let mut courts = Vec::new();
    fixtures.retain(|f| {
        let new = !courts.contains(&&f.court);
        courts.push(&f.court);
        new
    });
    fixtures.into_iter().cloned().collect()
}

/// Today's events.
#[component]
pub fn Today() -> impl IntoView {
    let app = app_state();
    let cards = move || {
        let now = clock::now();
        let games = app.games.get();
        let all = app.charters.get();
        let today = all.iter().filter_map(|kept| {
            let charter = kept.in_force()?.charter();
            let is_today = charter.date == clock::date(now)
                || charter
                    .fixtures
                    .iter()
                    .any(|f| clock::same_day(f.starts, now));
            is_today.then(|| {
                let next = next_games(kept, charter, &games, now);
                card(&kept.event, charter, next)
            })
        });
        today.collect_view()
    };
    view! { {cards} }
}

fn card(event: &str, charter: &Charter, next: Vec<Scheduled>) -> impl IntoView + use<> {
    let name = charter.event.clone();
    let rows: Vec<_> = crate::pairings::filled(event, &next)
        .map(|game| {
            let to = format!("/new?event={event}&fixture={}", game.number);
            let (line, title) = (fixture_line(charter, &game), game.title);
            view! {
                <li>
                    <A href=to attr:class="game-row">
                        <span class="state">"Next: "{title}</span>
                        <span class="sides strong">{line}</span>
                        <span class="btn go">"Umpire it"</span>
                    </A>
                </li>
            }
        })
        .collect();
    let to = format!("/event?event={event}");
    view! {
        <section class="section" aria-label="Today's event">
            <h2>{name}</h2>
            <ul class="games">{rows}</ul>
            <A href=to attr:class="btn wide">"Teams and schedule"</A>
        </section>
    }
}
