//! One game: line score, how it stands, box score.

use engine::report::GameReport;
use engine::report::publish::shown;
use engine::team::Side;

use super::html::Page;
use crate::standings::View;

pub(super) fn page(view: &View, report: &GameReport) -> Page {
    let event = view.event.to_string();
    let title = format!("{} at {}", report.teams.guest, report.teams.home);
    let mut page = Page::new(&title, Some(&event), super::FROM_GAME);
    page.raw("<nav><a href=\"");
    page.path(&format!("results/{event}"));
    page.raw("\">All results of the event</a></nav><header><h1>");
    page.text(&title);
    page.raw("</h1>");
    let what: Vec<&str> = [report.title.as_deref(), report.court.as_deref()]
        .into_iter()
        .flatten()
        .collect();
    if !what.is_empty() {
        page.tag("p", &what.join(", "));
    }
    page.raw("</header>");
    standing(&mut page, view, report);
    line(&mut page, report);
    for side in Side::BOTH {
        players(&mut page, view, report, side);
    }
    page.raw("<footer><p><a href=\"");
    page.path(&format!("results/{event}/games/{}/sheet", report.game));
    page.raw("\">Score sheet to print</a></p></footer>");
    page
}

pub(super) fn standing(page: &mut Page, view: &View, report: &GameReport) {
    let event = view.report.as_ref();
    let beside = event.and_then(|e| e.not_for_its_fixture(report.game));
    page.raw(if report.needs_attention() || beside.is_some() {
        "<section class=odd>"
    } else {
        "<section>"
    });
    page.tag("p", &report.place());
    page.tag("p", &report.basis);
    if let Some(other) = beside {
        page.tag("p", other);
    }
    match &report.ruled {
        Some(ruled) => {
            page.tag("p", &ruled.sentence);
            if !ruled.reason.is_empty() {
                page.tag("blockquote", &ruled.reason);
            }
            page.tag(
                "p",
                &format!("By itself the record is {}.", report.by_records),
            );
        }
        None => page.tag("p", &format!("This record is {}.", report.verdict)),
    }
    let ruling = report.ruled.as_ref().map(|r| &r.sentence);
    let reasons: Vec<_> = report
        .reasons
        .iter()
        .filter(|r| Some(*r) != ruling)
        .collect();
    if !reasons.is_empty() {
        page.raw("<ul>");
        for reason in reasons {
            page.tag("li", reason);
        }
        page.raw("</ul>");
    }
    if !report.objections.is_empty() {
        page.tag("p", "Against the charter:");
        page.raw("<ul>");
        for objection in &report.objections {
            page.tag("li", objection);
        }
        page.raw("</ul>");
    }
    if !report.sheet_counts() {
        page.tag(
            "p",
            "The innings and players below are as recorded; the score is as decided.",
        );
    }
    page.raw("</section>");
}

pub(super) fn line(page: &mut Page, report: &GameReport) {
    let innings: Vec<String> = (1..=report.line.innings()).map(|n| n.to_string()).collect();
    let mut columns = vec!["Team"];
    columns.extend(innings.iter().map(String::as_str));
    columns.extend(["Runs", "Hits", "Errors", "Left on base"]);
    page.head("Line score", &columns);
    for side in Side::BOTH {
        let totals = report.line.totals()[side];
        let mut cells = vec![report.teams[side].clone()];
        cells.extend((1..=report.line.innings()).map(|n| {
            report
                .line
                .runs_in(n, side)
                .map_or("x".into(), |r| r.to_string())
        }));
        // A forfeit has a score of its own.
        cells.extend(
            [report.score[side], totals.hits, totals.errors, totals.left].map(|n| n.to_string()),
        );
        page.row(&cells);
    }
    page.foot();
}

pub(super) fn players(page: &mut Page, view: &View, report: &GameReport, side: Side) {
    let team = &report.teams[side];
    page.head(
        team,
        &[
            "Player",
            "At bat",
            "Runs",
            "Hits",
            "Batted in",
            "Average",
            "Putouts",
            "Assists",
            "Errors",
        ],
    );
    for (shirt, t) in &report.sheet.players()[side] {
        let mut cells = vec![shown(view.charter(), team, *shirt)];
        cells.extend([t.at_bats, t.runs, t.hits, t.batted_in].map(|n| n.to_string()));
        cells.push(t.batting().to_string());
        cells.extend([t.putouts, t.assists, t.errors].map(|n| n.to_string()));
        page.row(&cells);
    }
    page.foot();
    if let Some(unsaid) = report.sheet.unsaid(side) {
        page.tag("p", &unsaid);
    }
}
