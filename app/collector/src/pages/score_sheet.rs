//! A game on paper: everything on one or two pages, with lines for signatures.

use engine::message::{isolated, pairing, score};
use engine::report::GameReport;
use engine::team::Side;
use maud::html;

use super::frame::Frame;
use super::game;
use crate::standings::View;

pub(super) fn page(view: &View, report: &GameReport) -> String {
    let title = format!("Score sheet: {}", pairing(&report.teams));
    let number = report.fixture.map(|n| format!("Game {n}"));
    let day = view
        .charter()
        .map(|c| format!("{}, {}", isolated(&c.event), c.date));
    let parts: Vec<String> = [day, number, report.title.clone(), report.court.clone()]
        .into_iter()
        .flatten()
        .collect();
    let frame = Frame {
        title: &title,
        about: "A score sheet to print and sign.",
        follows: None,
        up: super::FROM_SHEET,
    };
    let earned = report.sheet.earned();
    frame.around(&html! {
        div.sheet {
            header {
                h1 { (title) }
                p { (parts.join(", ")) }
                p { (report.place()) }
            }
            (game::line(report))
            (game::standing(view, report))
            @for side in Side::BOTH { (game::players(view, report, side)) }
            p {
                "Earned runs: " (score(&report.teams, earned)) ". " (report.plays) " plays."
            }
            dl.sign {
                @for who in ["Umpire", "Scorer", "Captain, guests", "Captain, home side"] {
                    dt { (who) }
                    dd {}
                }
            }
        }
    })
}
