//! One game: the score, how it stands, innings and players.

use engine::message::pairing;
use engine::report::GameReport;
use engine::report::publish::shown;
use engine::score::PlayerTotals;
use engine::team::{BySide, Side};
use maud::{Markup, html};

use super::frame::{Follows, Frame};
use super::{score, words};
use crate::standings::View;

pub(super) fn page(view: &View, report: &GameReport) -> String {
    let title = pairing(&report.teams);
    let mut what: Vec<&str> = [report.title.as_deref(), report.court.as_deref()]
        .into_iter()
        .flatten()
        .collect();
    let event = view.charter().map(|c| c.event.as_str());
    what.extend(event);
    let frame = Frame {
        title: &title,
        about: &format!(
            "{}. {}",
            engine::message::score(&report.teams, &report.score),
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
            "Left on base: " (engine::message::score(&report.teams, &BySide::from_fn(|side| totals[side].left))) "."
        }
    }
}

/// A column of a players' table: its heading and what stands in it.
type Column = (&'static str, fn(&PlayerTotals) -> String);

const AT_BAT: [Column; 5] = [
    ("At bat", |t| t.at_bats.to_string()),
    ("Runs", |t| t.runs.to_string()),
    ("Hits", |t| t.hits.to_string()),
    ("Batted in", |t| t.batted_in.to_string()),
    ("Average", |t| t.batting().to_string()),
];

const IN_THE_FIELD: [Column; 3] = [
    ("Putouts", |t| t.putouts.to_string()),
    ("Assists", |t| t.assists.to_string()),
    ("Errors", |t| t.errors.to_string()),
];

/// A side's players: at bat, and in the field.
pub(super) fn players(view: &View, report: &GameReport, side: Side) -> Markup {
    let team = &report.teams[side];
    let table = |what: &str, columns: &[Column]| {
        html! {
            table.players {
                caption.unseen { (team) (what) }
                thead {
                    tr {
                        th scope="col" { "Player" }
                        @for (heading, _) in columns { th.n scope="col" { (heading) } }
                    }
                }
                tbody {
                    @for (shirt, totals) in &report.sheet.players()[side] {
                        tr {
                            th scope="row" { (shown(view.charter(), team, *shirt)) }
                            @for (_, value) in columns { td.n { (value(totals)) } }
                        }
                    }
                }
            }
        }
    };
    html! {
        section {
            h2 { (team) }
            div.columns {
                (table(" at bat", &AT_BAT))
                (table(" in the field", &IN_THE_FIELD))
            }
            @if let Some(unsaid) = report.sheet.unsaid(side) { p.meta { (unsaid) } }
        }
    }
}
