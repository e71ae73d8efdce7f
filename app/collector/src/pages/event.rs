//! An event: games going on, the winner, tables, games, players.

use engine::competition::schedule::Stage;
use engine::report::GameReport;
use maud::{Markup, html};

use super::frame::{Follows, Frame};
use super::game_path;
use super::{bracket, files, games, leaders, score, tables, words};
use crate::standings::View;

pub(super) fn page(view: &View, name: &str) -> String {
    let about = view.charter().map(words::when_and_where);
    let frame = Frame {
        title: name,
        about: &about.as_ref().map_or_else(
            || format!("{name}: games and scores."),
            |about| format!("{name}, {about}: scores, tables and players."),
        ),
        follows: Some(Follows {
            event: view.event,
            game: None,
        }),
        up: super::FROM_EVENT,
    };
    let boards = boards(view);
    let tables = tables::section(view);
    let bracket = bracket::section(view);
    let games = games::section(view);
    let leaders = leaders::section(view);
    let parts = [
        ("now", "Now", boards.is_some()),
        ("tables", "Tables", bracket.is_some() || tables.is_some()),
        ("games", "Games", games.is_some()),
        ("players", "Players", leaders.is_some()),
    ];
    frame.around(&html! {
        header {
            h1 { (name) }
            @if let Some(about) = about { p.meta { (about) } }
        }
        @if let Some(boards) = boards { (boards) }
        @if let Some(winner) = winner(view) { (winner) }
        nav.chips aria-label="On this page" {
            @for (id, word, there) in parts {
                @if there { a href={ "#" (id) } { (word) } }
            }
        }
        div #tables {
            @if let Some(bracket) = bracket { (bracket) }
            @if let Some(tables) = tables { (tables) }
        }
        @if let Some(games) = games { (games) }
        @if let Some(leaders) = leaders { (leaders) }
        (problems(view))
        (files::footer(view))
    })
}

/// The games going on, largest on the page.
fn boards(view: &View) -> Option<Markup> {
    let live: Vec<&GameReport> = view
        .games()
        .iter()
        .map(|g| &**g)
        .filter(|g| words::is_being_played(g) && !g.practice)
        .collect();
    (!live.is_empty()).then(|| {
        html! {
            section #now {
                h2 { "Being played" }
                ul.boards {
                    @for game in live {
                        li {
                            a.board href=(game_path(view, game.game)) data-game=(game.game) {
                                span.meta {
                                    (game.court.as_deref().or(game.title.as_deref()).unwrap_or("Game"))
                                }
                                (score::lines(&score::sides(game)))
                                span data-place { (game.place()) }
                            }
                        }
                    }
                }
            }
        }
    })
}

/// The winner with the game that decided it.
fn winner(view: &View) -> Option<Markup> {
    let report = view.report()?;
    let (schedule, results) = (report.schedule()?, report.results()?);
    let [Some(first), second, third] = results.podium() else {
        return None;
    };
    let name = |team| schedule.entrants().name(team);
    let last = schedule
        .meetings()
        .iter()
        .find(|m| matches!(m.stage, Stage::Knockout { places: 2 } | Stage::Series));
    let last = last.and_then(|m| {
        let games = schedule.games().iter().filter(|g| g.meeting == m.number);
        let mut played = games.filter_map(|g| view.of_fixture(u32::from(g.number)));
        Some((schedule.meeting_name(m), played.next_back()?))
    });
    Some(html! {
        section.winner {
            h2 { "Winner: " (name(first)) }
            @if let Some((stage, game)) = last {
                a.board href=(game_path(view, game.game)) {
                    span.meta { (stage) }
                    (score::lines(&score::sides(game)))
                    @if let Some(note) = words::note(game) {
                        span.note.odd[game.needs_attention()] { (note) }
                    }
                }
            }
            @if second.is_some() || third.is_some() {
                p {
                    @if let Some(second) = second { "Second: " b { (name(second)) } ". " }
                    @if let Some(third) = third { "Third: " b { (name(third)) } "." }
                }
            }
        }
    })
}

fn problems(view: &View) -> Markup {
    let problems = view.report().map(|r| r.problems());
    html! {
        @if let Some(problems) = problems.filter(|p| !p.is_empty()) {
            section.odd {
                h2 { "To be looked at" }
                ul { @for problem in problems { li { (problem) } } }
            }
        }
    }
}
