//! The teams of the event, each with its roster.

use leptos::prelude::*;

use super::fields::{Lines, Slips};
use super::{Making, anchor};
use crate::charter_draft::{Place, TeamText, read_roster};
use crate::state::app_state;
use crate::words;

/// All teams.
#[component]
pub fn Teams(making: Making) -> impl IntoView {
    let draft = making.draft;
    let count = Memo::new(move |_| draft.with(|d| d.teams.len()));
    let add = move |_| draft.update(|d| d.teams.push(TeamText::default()));
    view! {
        <section class="section" aria-label="Teams">
            <h2>"Teams and rosters"</h2>
            <p class="soft">"In seeding order, or in the order of the draw."</p>
            <FromEarlier making=making/>
            <For each=move || 0..count.get() key=|at| *at let:at>
                <OneTeam making=making at=at/>
            </For>
            <button type="button" class="btn wide" on:click=add>"Add a team"</button>
        </section>
    }
}

/// The teams of another event on this phone, taken over with their rosters.
#[component]
fn FromEarlier(making: Making) -> impl IntoView {
    let draft = making.draft;
    let event = draft.with_untracked(|d| d.event.clone());
    let rows = move || {
        let nothing = draft.with(|d| {
            let empty = |t: &TeamText| t.name.trim().is_empty() && t.roster.trim().is_empty();
            d.teams.iter().all(empty)
        });
        let all = app_state().charters.get();
        let others = all
            .into_iter()
            .filter(|kept| Some(&kept.event) != event.as_ref());
        let rows = others.filter_map(|kept| {
            let charter = kept.in_force()?.charter().clone();
            let count = u16::try_from(charter.teams.len()).ok().filter(|n| *n > 0)?;
            let words = format!(
                "copy the {} of {}, {}",
                words::count(count, "team", "teams"),
                charter.event,
                charter.date
            );
            let copy = move |_| draft.update(|d| d.copy_teams(&charter));
            Some(view! { <button type="button" class="btn wide" on:click=copy>{words}</button> })
        });
        // Nothing that was typed is written over.
        nothing.then(|| rows.collect_view())
    };
    view! { <div class="stack-tight">{rows}</div> }
}

#[component]
fn OneTeam(making: Making, at: usize) -> impl IntoView {
    let draft = making.draft;
    let name = move || {
        draft.with(|d| {
            let name = d.teams.get(at).map(|t| t.name.trim().to_string());
            name.unwrap_or_default()
        })
    };
    let shown = Memo::new(move |_| match name() {
        name if name.is_empty() => format!("Team {}", at + 1),
        name => name,
    });
    let mixed = Memo::new(move |_| draft.with(|d| d.edition().gender_minimum().get() > 0));
    let players = move || {
        let text = draft.with(|d| d.teams.get(at).map(|t| t.roster.clone()));
        match read_roster(&text.unwrap_or_default(), mixed.get()) {
            Ok(players) if players.is_empty() => "No roster yet.".to_string(),
            Ok(players) => {
                let n = u16::try_from(players.len()).unwrap_or(u16::MAX);
                format!(
                    "{} on the roster.",
                    words::capital(&words::count(n, "player", "players"))
                )
            }
            Err(wrong) => wrong.into_iter().next().unwrap_or_default(),
        }
    };
    let id = format!("event-team-{at}");
    let remove = move |_| {
        draft.update(|d| {
            if at < d.teams.len() {
                d.teams.remove(at);
            }
        });
    };
    let label = move || {
        let letter = if mixed.get() { ", F or M" } else { "" };
        format!("Roster: one player a line, number{letter} and name, as pasted from any list")
    };
    view! {
        <div class="stack-tight boxed" role="group" aria-label=move || shown.get() id=anchor(Place::Team(at))>
            <div class="field">
                <label for=id.clone()>{format!("Name of team {}", at + 1)}</label>
                <input id=id class="input" maxlength="60" autocomplete="off"
                    prop:value=move || draft.with(|d| d.teams.get(at).map(|t| t.name.clone()))
                    on:input:target=move |ev| {
                        let typed = ev.target().value();
                        draft.update(|d| if let Some(t) = d.teams.get_mut(at) { t.name = typed });
                    }/>
            </div>
            {move || view! {
                <Lines making=making id=format!("event-roster-{at}") label=label() rows="4"
                    get=move |d| d.teams.get(at).map(|t| t.roster.clone()).unwrap_or_default()
                    set=move |d, text| if let Some(t) = d.teams.get_mut(at) { t.roster = text }/>
            }}
            <div class="split">
                <p class="soft small" role="status">{players}</p>
                <button type="button" class="btn" on:click=remove
                    aria-label=move || format!("take out {}", shown.get())>"Take out"</button>
            </div>
            <Slips making=making place=Place::Team(at)/>
        </div>
    }
}
