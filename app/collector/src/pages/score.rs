//! Two teams with the score at the right.

use engine::report::GameReport;
use engine::team::Side;
use maud::{Markup, html};

/// A side of a game or meeting.
#[derive(Clone, Debug)]
pub(super) struct SideLine {
    /// The team, or what it is played for.
    pub name: String,
    /// Its runs, or games won in a series.
    pub score: Option<String>,
    /// Whether it won.
    pub won: bool,
}

/// The sides of a game as it stands.
pub(super) fn sides(report: &GameReport) -> [SideLine; 2] {
    let shown = !report.will_not_be_played();
    let over = report.ending.is_some() && report.counts();
    Side::BOTH.map(|side| {
        let (own, other) = (report.score[side], report.score[side.other()]);
        SideLine {
            name: report.teams[side].clone(),
            score: shown.then(|| own.to_string()),
            won: over && own > other,
        }
    })
}

/// The two lines; with a live game the runs are found by side.
pub(super) fn lines(sides: &[SideLine; 2]) -> Markup {
    html! {
        @for (at, side) in sides.iter().enumerate() {
            span.side.won[side.won] {
                span { (side.name) }
                @if let Some(score) = &side.score {
                    " " b data-runs=(at) { (score) }
                }
            }
        }
    }
}
