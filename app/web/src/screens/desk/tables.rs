//! The tables with every step that made them, the knock-out, the leaders.

use engine::competition::leaders::named;
use engine::competition::results::{Results, StageTable};
use engine::competition::schedule::{Schedule, Stage};
use engine::message::score;
use engine::report::EventReport;
use engine::report::publish::shown;
use leptos::prelude::*;

use super::lot::Lot;
use super::{NotHere, Parts, Reading, Seen, arranged};
use crate::parts::{Message, Page, Section};
use crate::state::DeskView;

/// The screen.
#[component]
pub fn Tables(event: String, view: Seen) -> impl IntoView {
    let back = super::address(&event, "");
    let inside = move || {
        view.with(|v| match v {
            None => view! { <NotHere/> }.into_any(),
            Some(v) => match arranged(v) {
                None => view! {
                    <Message what="There is no table without a charter that says how its schedule was arranged."
                        next="Collect the event's charter; one whose games were only listed has no table.".to_string()/>
                }
                .into_any(),
                // What waits for the organiser comes first.
                Some((schedule, results)) => view! {
                    <Lot view=view/>
                    {all(v, schedule, results)}
                }
                .into_any(),
            },
        })
    };
    view! {
        <Page title="Tables" back=back>
            <Parts event=event here="tables"/>
            {inside}
            <Reading/>
        </Page>
    }
}

/// Tables, knock-out and leaders.
pub fn all(view: &DeskView, schedule: &Schedule, results: &Results) -> impl IntoView + use<> {
    let tables: Vec<_> = results
        .tables()
        .iter()
        .map(|t| table(schedule, t))
        .collect();
    let problems = view.report().map(EventReport::problems);
    let problems = problems.unwrap_or_default().to_vec();
    view! {
        <div class="beside stack">{tables}</div>
        {knock_out(view, schedule, results)}
        {leaders(view, schedule)}
        {(!problems.is_empty()).then(|| view! {
            <Section title="To be looked at">
                {super::game::list(&problems)}
            </Section>
        })}
    }
}

fn table(schedule: &Schedule, stage: &StageTable) -> impl IntoView + use<> {
    let entrants = schedule.entrants();
    let title = stage.stage.to_string();
    let state = stage.state();
    let ties = stage.table.rows().iter().any(|r| r.record.ties > 0);
    let rows: Vec<_> = stage
        .table
        .rows()
        .iter()
        .map(|row| {
            let place = format!("{}{}", row.place, if row.shared { "=" } else { "" });
            view! {
                <tr>
                    <th scope="row">{format!("{place} {}", entrants.name(row.team))}</th>
                    <td>{row.record.wins}</td><td>{row.record.losses}</td>
                    {ties.then(|| view! { <td>{row.record.ties}</td> })}
                    <td>{row.scored}</td><td>{row.allowed}</td>
                </tr>
            }
        })
        .collect();
    let notes = stage.table.notes();
    let steps = stage.table.steps().iter().map(|s| s.words(entrants));
    let steps: Vec<_> = steps.collect();
    view! {
        <section class="section" aria-label=title.clone()>
            <h2>{title.clone()}</h2>
            <div class="scroll" tabindex="0" role="region" aria-label=format!("{title}, {state}")>
                <table class="grid desk">
                    <caption>{format!("{title}, {state}")}</caption>
                    <thead><tr><th scope="col">"team"</th><th scope="col">"won"</th><th scope="col">"lost"</th>
                        {ties.then(|| view! { <th scope="col">"tied"</th> })}
                        <th scope="col">"runs"</th><th scope="col">"allowed"</th></tr></thead>
                    <tbody>{rows}</tbody>
                </table>
            </div>
            {notes.into_iter().map(|n| view! { <p class="small">{n}</p> }).collect_view()}
            <h3>"How this order came about"</h3>
            <ol class="stack-tight sentences">{steps.into_iter().map(|s| view! { <li>{s}</li> }).collect_view()}</ol>
        </section>
    }
}

fn knock_out(view: &DeskView, schedule: &Schedule, results: &Results) -> impl IntoView + use<> {
    let progress = results.progress();
    let entrants = schedule.entrants();
    let games = schedule.games_by_meeting();
    let meetings: Vec<_> = schedule
        .meetings()
        .iter()
        .zip(progress.meetings())
        .zip(games)
        .filter(|((m, _), _)| !matches!(m.stage, Stage::RoundRobin | Stage::Pool(_)))
        .map(|((meeting, state), games)| {
            let played: Vec<String> = games
                .iter()
                .filter_map(|g| view.of_fixture(u32::from(g.number)))
                .filter(|g| !g.will_not_be_played())
                .map(|g| score(&g.teams, &g.score))
                .collect();
            let sides = match played.is_empty() {
                true => meeting
                    .sides
                    .map(|s| progress.side_name(schedule, s))
                    .join(" and "),
                false => played.join("; "),
            };
            let name = schedule.meeting_name(meeting);
            let outcome = match state.winner {
                Some(team) => format!("{} won.", entrants.name(team)),
                None if state.sides.contains(&None) => "Waits for earlier games.".into(),
                None => "Not decided.".into(),
            };
            view! { <li><span class="strong">{name}</span>": "{sides}". "{outcome}</li> }
        })
        .collect();
    let podium: Vec<String> = results
        .podium()
        .into_iter()
        .flatten()
        .map(|t| entrants.name(t).to_string())
        .collect();
    (!meetings.is_empty() || !podium.is_empty()).then(|| {
        view! {
            <Section title="Finals">
                <ul class="stack-tight sentences">{meetings}</ul>
                {(!podium.is_empty()).then(|| view! {
                    <h3>"First places"</h3>
                    <ol class="stack-tight places">{podium.into_iter().map(|t| view! { <li>{t}</li> }).collect_view()}</ol>
                })}
            </Section>
        }
    })
}

fn leaders(view: &DeskView, schedule: &Schedule) -> impl IntoView + use<> {
    let (lists, least) = view.published(|p| (p.leaders(), p.minimums()));
    let lists: Vec<_> = lists
        .into_iter()
        .map(|(category, list)| (category, named(&list).to_vec()))
        .filter(|(_, list)| !list.is_empty())
        .map(|(category, list)| {
            let title = category.to_string();
            let needs = least.sentence(category);
            let rows: Vec<_> = list
                .iter()
                .map(|l| {
                    let team = schedule.entrants().name(l.team);
                    let who = shown(view.charter(), team, l.shirt);
                    view! {
                        <tr><th scope="row">{format!("{} {who}", l.place_text())}</th>
                            <td class="team">{team.to_string()}</td><td class="total">{l.value.to_string()}</td></tr>
                    }
                })
                .collect();
            view! {
                <table class="grid desk">
                    <caption>{title}{needs.map(|n| view! { <br/><span class="quiet">{n}</span> })}</caption>
                    <thead><tr><th scope="col">"player"</th><th scope="col" class="team">"team"</th><th scope="col">"value"</th></tr></thead>
                    <tbody>{rows}</tbody>
                </table>
            }
        })
        .collect();
    (!lists.is_empty()).then(|| {
        view! {
            <Section title="Leaders"><div class="leaders">{lists}</div></Section>
        }
    })
}
