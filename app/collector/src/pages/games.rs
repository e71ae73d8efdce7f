//! The games as rows: newest stage first, the whole row the link.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use engine::charter::{Charter, Scheduled};
use engine::competition::bracket::GameState;
use engine::competition::schedule::{Clock, Stage};
use engine::log::GameId;
use engine::report::{GameReport, PlannedFixture};
use maud::{Markup, html};

use super::game_path;
use super::score::{self, SideLine};
use super::words;
use crate::standings::View;

/// One game, played or to come.
struct Row {
    link: Option<GameId>,
    meta: String,
    sides: [SideLine; 2],
    note: Option<String>,
    odd: bool,
}

impl Row {
    fn markup(&self, view: &View) -> Markup {
        let content = html! {
            @if !self.meta.is_empty() { span.meta { (self.meta) } }
            (score::lines(&self.sides))
            @if let Some(note) = &self.note {
                span.note.odd[self.odd] { (note) }
            }
        };
        html! {
            li {
                @match self.link {
                    Some(game) => {
                        a.row.game href=(game_path(view, game)) data-game=(game) { (content) }
                    }
                    None => div.row.game { (content) },
                }
            }
        }
    }
}

fn joined(parts: &[&str]) -> String {
    let parts: Vec<&str> = parts.iter().copied().filter(|p| !p.is_empty()).collect();
    parts.join(" · ")
}

fn time(charter: &Charter, fixture: &Scheduled) -> String {
    let clock = charter.clock(fixture);
    clock.map_or_else(
        || Clock(u32::try_from(fixture.starts / 60_000 % 1440).unwrap_or(0)).to_string(),
        |c| c.to_string(),
    )
}

/// A fixture with the game that counts for it, and its stage.
fn fixture_row(view: &View, charter: &Charter, fixture: &Scheduled) -> (Option<Stage>, Row) {
    let number = fixture.number;
    let found = PlannedFixture::new(view.report(), fixture);
    let report = view.of_fixture(number);
    let kept = view.report().map_or(0, |r| r.undecided(number).len());
    let planned = || {
        found.names().map(|name| SideLine {
            name,
            score: None,
            won: false,
        })
    };
    let note = match (report, found.state) {
        (Some(report), _) => words::note(report),
        (None, _) if kept > 1 => Some(format!("Kept as {kept} games, to be decided")),
        (None, Some(GameState::NotNeeded)) => Some("Not needed".into()),
        (None, Some(GameState::NotPlayed)) => Some("Not played".into()),
        (None, _) => None,
    };
    let stage = found.stage;
    let row = Row {
        link: report.map(|r| r.game),
        meta: joined(&[
            &time(charter, fixture),
            &fixture.court,
            if fixture.title == heading(stage) {
                ""
            } else {
                &fixture.title
            },
        ]),
        // Who was home in the end is what the log says.
        sides: report.map_or_else(planned, |r| score::sides(r)),
        note,
        odd: report.map_or(kept > 1, |r| r.needs_attention()),
    };
    (stage, row)
}

/// Newest first: the final, the rounds before it, then all pools together.
fn rank(stage: Option<Stage>) -> u16 {
    match stage {
        Some(Stage::Knockout { places: 2 } | Stage::Series) => 0,
        Some(Stage::ThirdPlace) => 1,
        Some(Stage::Knockout { places }) => places,
        Some(Stage::Pool(_) | Stage::RoundRobin) | None => u16::MAX,
    }
}

fn heading(stage: Option<Stage>) -> String {
    match stage {
        Some(Stage::Pool(_)) => "Pools".into(),
        Some(Stage::Knockout { places: 4 }) => "Semi-finals".into(),
        Some(Stage::Knockout { places: 8 }) => "Quarter-finals".into(),
        Some(stage) => stage.to_string(),
        None => "All games".into(),
    }
}

/// Games that stand for no fixture, or not for theirs.
fn outside(view: &View) -> Vec<Row> {
    let counts = |g: &GameReport| {
        let counting = g.fixture.and_then(|n| view.of_fixture(n));
        counting.is_some_and(|c| c.game == g.game)
    };
    let mut others: Vec<&GameReport> = view
        .games()
        .iter()
        .map(|g| &**g)
        .filter(|g| !counts(g))
        .collect();
    others.sort_by_key(|g| Reverse(g.opened_ms));
    let row = |game: &GameReport| Row {
        link: Some(game.game),
        meta: joined(&[
            game.court.as_deref().unwrap_or_default(),
            game.title.as_deref().unwrap_or_default(),
        ]),
        sides: score::sides(game),
        note: words::note(game),
        odd: game.needs_attention(),
    };
    others.into_iter().map(row).collect()
}

/// The section; `None` without a game.
pub(super) fn section(view: &View) -> Option<Markup> {
    let charter = view.charter();
    let fixtures = charter.map(|c| c.fixtures.as_slice()).unwrap_or_default();
    let mut stages: BTreeMap<u16, (String, Vec<Row>)> = BTreeMap::new();
    for fixture in fixtures {
        let (stage, row) = fixture_row(view, charter?, fixture);
        let group = stages.entry(rank(stage));
        let (_, rows) = group.or_insert_with(|| (heading(stage), Vec::new()));
        rows.push(row);
    }
    let mut groups: Vec<(String, Vec<Row>)> = stages.into_values().collect();
    let others = outside(view);
    if !others.is_empty() {
        let heading = if groups.is_empty() {
            "All games"
        } else {
            "Outside the schedule"
        };
        groups.push((heading.into(), others));
    }
    (!groups.is_empty()).then(|| {
        html! {
            section #games {
                h2 { "Games" }
                @for (heading, rows) in &groups {
                    h3 { (heading) }
                    ul.rows.games { @for row in rows { (row.markup(view)) } }
                }
            }
        }
    })
}
