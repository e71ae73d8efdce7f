//! One game: the score, how it stands, innings and players.

use engine::report::GameReport;
use engine::report::publish::shown;
use engine::team::Side;
use maud::{Markup, html};

use super::frame::{Follows, Frame};
use super::{score, words};
use crate::standings::View;

pub(super) fn page(view: &View, report: &GameReport) -> String {
    let title = format!("{} at {}", report.teams.guest, report.teams.home);
    let mut what: Vec<&str> = [report.title.as_deref(), report.court.as_deref()]
        .into_iter()
        .flatten()
        .collect();
    let event = view.charter().map(|c| c.event.as_str());
    what.extend(event);
    let frame = Frame {
        title: &title,
        about: &format!(
            "{} {}, {} {}. {}",
            report.teams.guest,
            report.score.guest,
            report.teams.home,
            report.score.home,
            what.join(", ")
        ),
        follows: Some(Follows {
            event: view.event,
            game: Some(report.game),
        }),
        up: super::FROM_GAME,
    };
    let home = format!("{}results/{}", super::FROM_GAME, view.event);
    let sheet = format!("{home}/games/{}/sheet", report.game);
    frame.around(&html! {
        nav { a href=(home) { "All results" span.unseen { " of the event" } } }
        header {
            h1.unseen { (title) }
            p.meta { (what.join(" · ")) }
            div.board data-game=(report.game) {
                (score::lines(&score::sides(report)))
                span data-place { (report.place()) }
            }
        }
        (line(report))
        @if !words::is_being_played(report) || report.needs_attention() {
            (standing(view, report))
        }
        @for side in Side::BOTH { (players(view, report, side)) }
        footer { p { a.button href=(sheet) { "Score sheet to print" } } }
    })
}

/// How the game stands and why.
pub(super) fn standing(view: &View, report: &GameReport) -> Markup {
    let event = view.report();
    let beside = event.and_then(|e| e.not_for_its_fixture(report.game));
    let ruling = report.ruled.as_ref().map(|r| &r.sentence);
    let reasons = report.reasons.iter().filter(|r| Some(*r) != ruling);
    let reasons: Vec<&String> = reasons.collect();
    html! {
        section.odd[report.needs_attention() || beside.is_some()] {
            h2 { "How it stands" }
            @if let (None, Some(note)) = (&report.ruled, words::note(report)) {
                p { b { (note) "." } }
            }
            p { (report.basis) }
            @if let Some(other) = beside { p { (other) } }
            @for rival in &report.rivals {
                p { a href=(format!("{}results/{}/games/{rival}", super::FROM_GAME, view.event)) { "The other record of this game" } }
            }
            @if let Some(ruled) = &report.ruled {
                p { (ruled.sentence) }
                @if !ruled.reason.is_empty() { blockquote { (ruled.reason) } }
                p { "Without the decision: " (report.status) "." }
            }
            @if !reasons.is_empty() {
                ul { @for reason in reasons { li { (reason) } } }
            }
            @if !report.objections.is_empty() {
                p { "Against the charter:" }
                ul { @for objection in &report.objections { li { (objection) } } }
            }
            @if !report.sheet_counts() {
                p { "The innings and players below are as recorded; the score is as decided." }
            }
        }
    }
}

/// A half-inning's runs; the cross of score books where the home side had no
/// need to bat, nothing where nobody has batted yet.
fn runs(report: &GameReport, inning: u8, side: Side) -> String {
    let over = report.ending.is_some();
    match report.line.runs_in(inning, side) {
        Some(runs) => runs.to_string(),
        None if over => "x".into(),
        None => String::new(),
    }
}

/// The line score.
pub(super) fn line(report: &GameReport) -> Markup {
    let innings = 1..=report.line.innings();
    let totals = report.line.totals();
    html! {
        div.scroll tabindex="0" role="region" aria-label="Line score" {
            table.line {
                caption.unseen { "Line score" }
                thead {
                    tr {
                        th scope="col" { "Team" }
                        @for inning in innings.clone() { th.n scope="col" { (inning) } }
                        th.n scope="col" { "Runs" }
                        th.n scope="col" { "Hits" }
                        th.n scope="col" { "Errors" }
                    }
                }
                tbody {
                    @for side in Side::BOTH {
                        tr {
                            th scope="row" { (report.teams[side]) }
                            @for inning in innings.clone() {
                                td.n { (runs(report, inning, side)) }
                            }
                            // A forfeit has a score of its own.
                            td.n { b { (report.score[side]) } }
                            td.n { (totals[side].hits) }
                            td.n { (totals[side].errors) }
                        }
                    }
                }
            }
        }
        p.meta {
            "Left on base: " (report.teams.guest) " " (totals.guest.left) ", "
            (report.teams.home) " " (totals.home.left) "."
        }
    }
}

/// A side's players: at bat, and in the field.
pub(super) fn players(view: &View, report: &GameReport, side: Side) -> Markup {
    let team = &report.teams[side];
    let lines = &report.sheet.players()[side];
    let name = |shirt| shown(view.charter(), team, shirt);
    html! {
        section {
            h2 { (team) }
            div.columns {
                table.players {
                    caption.unseen { (team) " at bat" }
                    thead {
                        tr {
                            th scope="col" { "Player" }
                            th.n scope="col" { "At bat" }
                            th.n scope="col" { "Runs" }
                            th.n scope="col" { "Hits" }
                            th.n scope="col" { "Batted in" }
                            th.n scope="col" { "Average" }
                        }
                    }
                    tbody {
                        @for (shirt, t) in lines {
                            tr {
                                th scope="row" { (name(*shirt)) }
                                td.n { (t.at_bats) }
                                td.n { (t.runs) }
                                td.n { (t.hits) }
                                td.n { (t.batted_in) }
                                td.n { (t.batting()) }
                            }
                        }
                    }
                }
                table.players {
                    caption.unseen { (team) " in the field" }
                    thead {
                        tr {
                            th scope="col" { "Player" }
                            th.n scope="col" { "Putouts" }
                            th.n scope="col" { "Assists" }
                            th.n scope="col" { "Errors" }
                        }
                    }
                    tbody {
                        @for (shirt, t) in lines {
                            tr {
                                th scope="row" { (name(*shirt)) }
                                td.n { (t.putouts) }
                                td.n { (t.assists) }
                                td.n { (t.errors) }
                            }
                        }
                    }
                }
            }
            @if let Some(unsaid) = report.sheet.unsaid(side) { p.meta { (unsaid) } }
        }
    }
}
