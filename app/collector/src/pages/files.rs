//! The results as files, each with a sentence that says what it is for.

use maud::{Markup, html};

use crate::standings::View;

/// What a file holds, where its name does not say it to everyone.
fn about(name: &str) -> &'static str {
    match name.split_once('.').map_or(name, |(stem, _)| stem) {
        "games" => "Every game with its score and how it stands.",
        "schedule" => "Who meets whom, where and when.",
        "leaders" => "The leading players of every list.",
        "standings" => "The tables with every step of their order.",
        _ => "One table, as it stands.",
    }
}

fn kind(name: &str) -> &'static str {
    match name.rsplit_once('.').map_or("", |(_, ending)| ending) {
        "csv" => "For a spreadsheet.",
        "json" => "For programs.",
        _ => "",
    }
}

/// The end of an event's page.
pub(super) fn footer(view: &View) -> Markup {
    const CALENDAR: &str = "schedule.ics";
    let names = view.published(|p| p.names());
    let (calendar, files): (Vec<&String>, Vec<&String>) =
        names.iter().partition(|name| *name == CALENDAR);
    let path = |name: &str| format!("{}api/events/{}/{name}", super::FROM_EVENT, view.event);
    html! {
        footer {
            @if !calendar.is_empty() {
                p { a.button href=(path(CALENDAR)) { "Add the games to a calendar" } }
            }
            details #files {
                summary { "The results as files" }
                ul.rows {
                    @for name in files {
                        li {
                            a.row href=(path(name)) {
                                b { (name) }
                                span.meta { (about(name)) " " (kind(name)) }
                            }
                        }
                    }
                }
            }
        }
    }
}
