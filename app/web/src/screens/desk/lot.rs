//! A lot for teams that nothing else separates: drawn by hand, written down
//! and signed here.

use engine::competition::Entrant;
use engine::log::{Body, Draw, GameId, Hash};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::{Seen, arranged};
use crate::parts::{Message, Section, Tone};
use crate::state::{DeskView, app_state};

/// A game of the event, in whose log of the organiser the lot is kept.
fn home_of(view: &DeskView) -> Option<GameId> {
    view.games().first().map(|g| g.game)
}

/// The section; there is none while no lot is asked for or was drawn.
#[component]
pub fn Lot(view: Seen) -> impl IntoView {
    move || {
        view.with(|v| {
            let v = v.as_ref()?;
            let (schedule, results) = arranged(v)?;
            let name = |team: &Entrant| schedule.entrants().name(*team).to_string();
            let asked = results.lots();
            let groups: Vec<Vec<String>> =
                asked.iter().map(|g| g.iter().map(name).collect()).collect();
            let game = home_of(v)?;
            let drawn = v.report().map_or(&[][..], |r| r.drawn());
            // A lot drawn again says which it takes the place of.
            let replaces = |teams: &[String]| -> Vec<Hash> {
                let same = drawn.iter().filter(|d| d.order.iter().any(|t| teams.contains(t)));
                same.map(|d| d.entry).take(Draw::REPLACES_LIMIT).collect()
            };
            let again = drawn
                .iter()
                .filter(|d| !groups.iter().any(|g| g.iter().any(|t| d.order.contains(t))))
                .map(|d| {
                    let said = format!("{}: {}", d.order.join(", "), d.note);
                    let (teams, replaces) = (d.order.clone(), replaces(&d.order));
                    view! {
                        <Section title="A lot that was drawn">
                            <p>{said}</p>
                            <details class="no-print">
                                <summary class="btn wide">"It was written down wrongly: draw it again"</summary>
                                <One teams=teams game=game replaces=replaces/>
                            </details>
                        </Section>
                    }
                })
                .collect_view();
            v.may_decide.then(|| {
                let asked = groups
                    .iter()
                    .map(|teams| view! { <One teams=teams.clone() game=game replaces=replaces(teams)/> })
                    .collect_view();
                view! { {asked}{again} }
            })
        })
    }
}

#[component]
fn One(
    teams: Vec<String>,
    game: GameId,
    /// Lots for these teams that this one takes the place of.
    replaces: Vec<Hash>,
) -> impl IntoView {
    let replaces = StoredValue::new(replaces);
    let app = app_state();
    let order = RwSignal::new(Vec::<String>::new());
    let note = RwSignal::new(String::new());
    let said = RwSignal::new(None::<(String, String)>);
    let all = teams.len();
    let names = teams.join(", ");
    let buttons = teams.clone().into_iter().map(|team| {
        let team = StoredValue::new(team);
        let place =
            move || order.with(|o| o.iter().position(|t| team.with_value(|own| t == own)));
        let tap = move |_| {
            if place().is_none() {
                order.update(|o| o.push(team.get_value()));
            }
        };
        view! {
            <button type="button" class="btn wide start" aria-pressed=move || place().is_some().to_string()
                on:click=tap>
                {move || match place() {
                    Some(at) => format!("{}: {}", at + 1, team.get_value()),
                    None => team.get_value(),
                }}
            </button>
        }
    });
    let sign = move |_| {
        let drawn = order.get_untracked();
        let how = note.get_untracked().trim().to_string();
        if drawn.len() < all {
            let what = "Tap every team, in the order drawn.".to_string();
            return said.set(Some((what, String::new())));
        }
        if how.is_empty() {
            let what = "Say how and before whom it was drawn.".to_string();
            return said.set(Some((what, String::new())));
        }
        spawn_local(async move {
            let draw = Draw {
                order: drawn,
                note: how,
                replaces: replaces.get_value(),
            };
            match app.desk_sign(game, Body::Draw(draw)).await {
                Ok(()) => super::done(app, "The lot is signed and kept."),
                Err(why) => said.set(Some(why.says())),
            }
        });
    };
    view! {
        <section class="section no-print" aria-label="A lot">
            <h2>"A lot is needed"</h2>
            <p>{format!("Nothing separates {names}. Draw a lot before the captains, then tap the teams in the order drawn.")}</p>
            <div class="stack-tight">{buttons.collect::<Vec<_>>()}</div>
            <button type="button" class="btn wide" on:click=move |_| order.set(Vec::new())>"Begin again"</button>
            <label class="field">
                <span class="label">"How and before whom"</span>
                <input class="input" maxlength="400" prop:value=move || note.get()
                    on:input:target=move |ev| note.set(ev.target().value())/>
            </label>
            {move || said.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            <button type="button" class="btn lit big wide" on:click=sign>"Sign the lot"</button>
        </section>
    }
}
