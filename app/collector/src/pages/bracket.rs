//! The knock-out, drawn: each meeting with the two that lead to it.

use engine::competition::bracket::Progress;
use engine::competition::schedule::{Meeting, Participant, Schedule, Stage};
use maud::{Markup, html};

use super::game_path;
use super::score::{self, SideLine};
use crate::standings::View;

/// The section; `None` without a knock-out.
pub(super) fn section(view: &View) -> Option<Markup> {
    let report = view.report()?;
    let schedule = report.schedule()?;
    let drawing = Drawing {
        view,
        schedule,
        progress: report.results()?.progress(),
    };
    let stage = |wanted: Stage| schedule.meetings().iter().find(|m| m.stage == wanted);
    let last = stage(Stage::Knockout { places: 2 }).or_else(|| stage(Stage::Series))?;
    Some(html! {
        section {
            h2 { "Knock-out" }
            ul.bracket { (drawing.tie(last)) }
            @if let Some(third) = stage(Stage::ThirdPlace) {
                ul.bracket { (drawing.tie(third)) }
            }
        }
    })
}

struct Drawing<'a> {
    view: &'a View,
    schedule: &'a Schedule,
    progress: &'a Progress,
}

impl Drawing<'_> {
    /// A meeting and those before it. What a meeting waits for has a smaller
    /// number, so this ends.
    fn tie(&self, meeting: &Meeting) -> Markup {
        let before: Vec<&Meeting> = meeting
            .sides
            .iter()
            .filter_map(|side| match side {
                Participant::Winner(number) if *number < meeting.number => {
                    self.schedule.meeting(*number)
                }
                _ => None,
            })
            .collect();
        html! {
            li.tie {
                (self.card(meeting))
                @if !before.is_empty() {
                    ul { @for meeting in before { (self.tie(meeting)) } }
                }
            }
        }
    }

    fn card(&self, meeting: &Meeting) -> Markup {
        let by_meeting = self.schedule.games_by_meeting();
        let games = by_meeting
            .get(usize::from(meeting.number).saturating_sub(1))
            .map_or(&[][..], Vec::as_slice);
        let reports: Vec<_> = games
            .iter()
            .filter_map(|g| self.view.of_fixture(u32::from(g.number)))
            .collect();
        let state = self
            .progress
            .meetings()
            .get(usize::from(meeting.number).saturating_sub(1));
        let lines = match (games.len(), reports.first()) {
            (1, Some(report)) => score::sides(report),
            (many, _) => [0, 1].map(|at| {
                let (side, team) = (meeting.sides[at], state.and_then(|s| s.sides[at]));
                SideLine {
                    name: self.progress.side_name(self.schedule, side),
                    score: state
                        .filter(|_| many > 1 && !reports.is_empty())
                        .map(|s| s.wins[at].to_string()),
                    won: team.is_some() && state.and_then(|s| s.winner) == team,
                }
            }),
        };
        let name = self.schedule.meeting_name(meeting);
        let content = html! {
            span.meta { (name) }
            (score::lines(&lines))
        };
        html! {
            @match reports.as_slice() {
                [only] => a.row href=(game_path(self.view, only.game)) data-game=(only.game) { (content) },
                _ => div.row { (content) },
            }
        }
    }
}
