//! The leading players: three lists, three of each, the rest folded.

use engine::competition::leaders::{Category, Leader, named};
use engine::competition::schedule::Schedule;
use engine::report::publish::shown;
use maud::{Markup, html};

use crate::standings::View;

/// Leaders in sight.
const FIRST: usize = 3;
/// The lists in sight.
const HEADLINES: [Category; 3] = [
    Category::BattingAverage,
    Category::RunsBattedIn,
    Category::Putouts,
];

/// The section; `None` while nobody leads.
pub(super) fn section(view: &View) -> Option<Markup> {
    let schedule = view.report()?.schedule()?;
    let least = view.published(|p| p.minimums());
    let (first, others): (Vec<_>, Vec<_>) = view
        .published(|p| p.leaders())
        .into_iter()
        .map(|(category, list)| (category, named(&list).to_vec()))
        .filter(|(_, list)| !list.is_empty())
        .partition(|(category, _)| HEADLINES.contains(category));
    let list = |(category, list): &(Category, Vec<Leader>)| {
        let rows = Rows {
            view,
            schedule,
            category: *category,
        };
        let (seen, folded) = list.split_at(list.len().min(FIRST));
        html! {
            div {
                (rows.table(&category.to_string(), seen))
                @if let Some(needs) = least.sentence(*category) { p.meta { (needs) } }
                @if !folded.is_empty() {
                    details id={ "more-" (category) } {
                        summary { (folded.len()) " more" span.unseen { " by " (category) } }
                        (rows.table(&format!("{category}, from the next place on"), folded))
                    }
                }
            }
        }
    };
    (!first.is_empty() || !others.is_empty()).then(|| {
        html! {
            section #players {
                h2 { "Players" }
                div.columns { @for one in &first { (list(one)) } }
                @if !others.is_empty() {
                    details #lists {
                        summary { "More lists" }
                        div.columns { @for one in &others { (list(one)) } }
                    }
                }
            }
        }
    })
}

struct Rows<'a> {
    view: &'a View,
    schedule: &'a Schedule,
    category: Category,
}

impl Rows<'_> {
    fn table(&self, caption: &str, leaders: &[Leader]) -> Markup {
        html! {
            table.leaders {
                caption { (caption) }
                thead.unseen {
                    tr {
                        th scope="col" { "Place" }
                        th scope="col" { "Player" }
                        th scope="col" { (self.category) }
                    }
                }
                tbody {
                    @for leader in leaders {
                        @let team = self.schedule.entrants().name(leader.team);
                        tr {
                            td.place { (leader.place_text()) }
                            th scope="row" {
                                (shown(self.view.charter(), team, leader.shirt))
                                span.meta { (team) }
                            }
                            td.n { (leader.value) }
                        }
                    }
                }
            }
        }
    }
}
