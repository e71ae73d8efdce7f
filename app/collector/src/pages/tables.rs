//! The tables, each with how its order came about.

use maud::{Markup, html};

use crate::standings::View;

/// The section; `None` without a table.
pub(super) fn section(view: &View) -> Option<Markup> {
    let report = view.report()?;
    let (schedule, results) = (report.schedule()?, report.results()?);
    let entrants = schedule.entrants();
    (!results.tables().is_empty()).then(|| {
        html! {
            section {
                h2 { "Tables" }
                div.columns {
                    @for stage in results.tables() {
                        @let ties = stage.table.rows().iter().any(|r| r.record.ties > 0);
                        div {
                            table {
                                caption {
                                    b { (stage.stage) } " "
                                    span.meta { (stage.state()) }
                                }
                                thead {
                                    tr {
                                        th.place scope="col" { span.unseen { "Place" } }
                                        th scope="col" { "Team" }
                                        th.n scope="col" { "Won" }
                                        th.n scope="col" { "Lost" }
                                        @if ties { th.n scope="col" { "Tied" } }
                                        th.n scope="col" { "Runs" }
                                        th.n scope="col" { "Allowed" }
                                    }
                                }
                                tbody {
                                    @for row in stage.table.rows() {
                                        tr {
                                            td.place { (row.place) @if row.shared { "=" } }
                                            th scope="row" { (entrants.name(row.team)) }
                                            td.n { (row.record.wins) }
                                            td.n { (row.record.losses) }
                                            @if ties { td.n { (row.record.ties) } }
                                            td.n { (row.scored) }
                                            td.n { (row.allowed) }
                                        }
                                    }
                                }
                            }
                            @for note in stage.table.notes() { p.meta { (note) } }
                            details id={ "order-" (stage.stage) } {
                                summary { "How this order came about" }
                                ol { @for step in stage.table.steps() { li { (step.words(entrants)) } } }
                            }
                        }
                    }
                }
            }
        }
    })
}
