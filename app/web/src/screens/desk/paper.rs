//! The results on paper: tables with their steps, finals, every game, leaders.

use std::sync::Arc;

use engine::team::Side;
use leptos::prelude::*;

use crate::parts::Section;

use super::arranged;
use super::tables::all;
use crate::state::DeskView;

/// Seen only when printed.
#[component]
pub fn Paper(view: Arc<DeskView>) -> impl IntoView {
    let about = view
        .charter()
        .map(|c| format!("{}, {}. Organiser: {}.", c.date, c.place, c.organiser.name));
    let games: Vec<_> = view
        .games()
        .iter()
        .filter(|r| r.counts() && !r.practice)
        .map(|r| {
            let number = r.fixture.map(|n| n.to_string()).unwrap_or_default();
            let [guest, home] = Side::BOTH.map(|s| r.teams[s].clone());
            let state = match &r.ruled {
                Some(ruled) if ruled.reason.is_empty() => ruled.sentence.clone(),
                Some(ruled) => format!("{} {}", ruled.sentence, ruled.reason),
                None => crate::words::capital(&r.state()),
            };
            view! {
                <tr>
                    <th scope="row">{number}</th><td>{r.title.clone()}</td><td>{r.court.clone()}</td>
                    <td>{guest}</td><td>{home}</td>
                    <td class="total">{format!("{}-{}", r.score.guest, r.score.home)}</td><td>{state}</td>
                </tr>
            }
        })
        .collect();
    let tables = arranged(&view).map(|(schedule, results)| all(&view, schedule, results));
    view! {
        <div class="paper results">
            <h2>{view.name()}</h2>
            <p>{about}</p>
            {tables}
            <Section title="Games">
                <table class="grid desk">
                    <thead><tr><th scope="col">"game"</th><th scope="col">"what"</th><th scope="col">"court"</th>
                        <th scope="col">"guests"</th><th scope="col">"home"</th><th scope="col">"score"</th>
                        <th scope="col">"state"</th></tr></thead>
                    <tbody>{games}</tbody>
                </table>
            </Section>
        </div>
    }
}
