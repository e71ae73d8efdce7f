//! The event of a new game: its charter gives teams, rosters, rules, court and
//! who is home.

use crate::parts::A;
use engine::charter::{Charter, Scheduled, SignedCharter};
use engine::log::Verified;
use leptos::prelude::*;

use crate::charter_draft::fixture_line;
use crate::draft::{Draft, Team};
use crate::screens::preferences::Choice;
use crate::state::{AppState, app_state};

/// Fills a fixture in from the charter: what is known of it takes the place of
/// what was typed.
pub fn choose(draft: &mut Draft, event: &str, charter: &Charter, number: Option<u32>) {
    draft.event = Some(event.into());
    draft.fixture = number;
    if let Some(edition) = charter.edition_of(number) {
        draft.edition.clone_from(&edition.base);
        draft.changes.clone_from(&edition.changes);
    }
    let game = number.and_then(|n| charter.fixture(n));
    draft.court_name = game.map_or_else(String::new, |g| g.court.clone());
    let sides = game.map_or([None, None], |g| [g.guest.clone(), g.home.clone()]);
    let known = sides.iter().all(Option::is_some);
    for (team, name) in draft.teams.iter_mut().zip(sides) {
        let name = name.unwrap_or_default();
        if team.name != name {
            *team = Team {
                name,
                ..Team::default()
            };
        }
    }
    let settled = known && !number.is_some_and(|n| charter.by_toss(n));
    draft.by_schedule = settled;
    draft.home = settled.then_some(1);
    draft.coin = false;
}

/// The charter in force of the draft's event.
pub fn charter_of(app: AppState, draft: &Draft) -> Option<SignedCharter<Verified>> {
    let kept = app.event(draft.event.as_deref()?)?;
    kept.in_force().cloned()
}

/// The choice of the event and of the game in its schedule.
#[component]
pub fn EventChoice(draft: RwSignal<Draft>) -> impl IntoView {
    let app = app_state();
    let chosen = Memo::new(move |_| draft.with(|d| (d.event.clone(), d.fixture)));
    let events = move || {
        let all = app.charters.get();
        let rows = all.into_iter().filter_map(|kept| {
            let charter = kept.in_force()?.charter().clone();
            let (event, of) = (kept.event.clone(), kept.event.clone());
            let label = format!("{}, {}", charter.event, charter.date);
            Some(view! {
                <Choice group="event" label=label
                    chosen=move || chosen.with(|c| c.0.as_ref() == Some(&of))
                    choose=move || draft.update(|d| choose(d, &event, &charter, None))/>
            })
        });
        rows.collect_view()
    };
    let games = move || {
        let (event, number) = chosen.get();
        let event = event?;
        let charter = app.event(&event)?.in_force()?.charter().clone();
        let options: Vec<_> = charter
            .fixtures
            .iter()
            .map(|game| {
                let words = option_words(&charter, game);
                view! { <option value=game.number.to_string() selected=number == Some(game.number)>{words}</option> }
            })
            .collect();
        let none = options.is_empty();
        let pick = move |value: String| {
            let number = value.parse().ok();
            draft.update(|d| choose(d, &event, &charter, number));
        };
        (!none).then(|| {
            view! {
                <div class="field">
                    <label for="fixture">"Which game of the schedule?"</label>
                    <select id="fixture" class="input" on:change:target=move |ev| pick(ev.target().value())>
                        <option value="" selected=number.is_none()>"One that is not in the schedule"</option>
                        {options}
                    </select>
                </div>
            }
        })
    };
    let leave = move || {
        draft.update(|d| {
            (d.event, d.fixture, d.by_schedule) = (None, None, false);
        });
    };
    view! {
        <Show when=move || app.charters.with(|all| !all.is_empty())>
            <fieldset class="section">
                <legend>"Which event?"</legend>
                <div class="choices">
                    {events}
                    <Choice group="event" label="None: a game without a charter"
                        chosen=move || chosen.with(|c| c.0.is_none()) choose=leave/>
                </div>
                {games}
            </fieldset>
        </Show>
    }
}

fn option_words(charter: &Charter, game: &Scheduled) -> String {
    format!("Game {}, {}", game.number, fixture_line(charter, game))
}

/// Names of the event's teams, for the fields to offer.
#[component]
pub fn TeamNames(draft: RwSignal<Draft>) -> impl IntoView {
    let app = app_state();
    let names = move || {
        let charter = draft.with(|d| charter_of(app, d));
        let teams = charter.map(|c| c.charter().teams.clone());
        let teams = teams.unwrap_or_default().into_iter();
        teams
            .map(|t| view! { <option value=t.name></option> })
            .collect_view()
    };
    view! { <datalist id="event-teams">{names}</datalist> }
}

/// What of the rules and teams chosen is not the charter's, in words.
#[component]
pub fn EventSays(draft: RwSignal<Draft>) -> impl IntoView {
    let app = app_state();
    let said = move || {
        draft.with(|d| {
            let charter = charter_of(app, d)?;
            let charter = charter.charter();
            let expected = charter.edition_of(d.fixture)?;
            let same = match (expected.edition(), d.edition()) {
                (Ok(a), Ok(b)) => a == b,
                _ => true,
            };
            let mut wrong = Vec::new();
            if !same {
                wrong.push(format!(
                    "The event plays by {expected}: choose these rules again, or it is said against the game."
                ));
            }
            for team in &d.teams {
                let name = team.name.trim();
                if !name.is_empty() && charter.team(name).is_none() {
                    wrong.push(format!("{name} is not a team of this event."));
                }
            }
            Some(wrong)
        })
    };
    let said = Memo::new(move |_| said().unwrap_or_default());
    let known = move || draft.with(|d| charter_of(app, d).is_some());
    view! {
        <div role="alert" class="stack-tight">
            {move || said.get().into_iter().map(|w| view! { <p class="objection">{w}</p> }).collect_view()}
        </div>
        <Show when=move || draft.with(|d| d.event.is_some()) && !known()>
            <p class="objection">"The charter of this event is not on this phone any more."</p>
        </Show>
        <Show when=known>
            <A href=move || format!("/event?event={}", draft.with(|d| d.event.clone().unwrap_or_default()))
                attr:class="btn wide">"look at the charter"</A>
        </Show>
    }
}
