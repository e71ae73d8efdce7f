//! A game on paper: everything on one or two pages, with lines for signatures.

use engine::report::GameReport;
use engine::team::Side;

use super::game;
use super::html::Page;
use crate::standings::View;

pub(super) fn page(view: &View, report: &GameReport) -> Page {
    let title = format!(
        "Score sheet: {} at {}",
        report.teams.guest, report.teams.home
    );
    let mut page = Page::new(&title, None, super::FROM_SHEET);
    page.raw("<div class=sheet><header><h1>");
    page.text(&title);
    page.raw("</h1>");
    let number = report.fixture.map(|n| format!("Game {n}"));
    let day = view.charter().map(|c| format!("{}, {}", c.event, c.date));
    let parts: Vec<String> = [day, number, report.title.clone(), report.court.clone()]
        .into_iter()
        .flatten()
        .collect();
    page.tag("p", &parts.join(", "));
    page.raw("</header>");
    game::line(&mut page, report);
    game::standing(&mut page, view, report);
    for side in Side::BOTH {
        game::players(&mut page, view, report, side);
    }
    let earned = report.sheet.earned();
    page.tag(
        "p",
        &format!(
            "Earned runs: {} {}, {} {}. {} plays.",
            report.teams.guest, earned.guest, report.teams.home, earned.home, report.plays
        ),
    );
    page.raw("<dl class=sign>");
    for who in ["Umpire", "Scorer", "Captain, guests", "Captain, home side"] {
        page.tag("dt", who);
        page.raw("<dd></dd>");
    }
    page.raw("</dl></div>");
    page
}
