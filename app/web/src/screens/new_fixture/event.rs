//! The event of a new game: its charter gives teams, rosters, rules, court and
//! who is home.

use crate::parts::A;
use engine::charter::{Charter, Scheduled, SignedCharter};
use engine::log::Verified;
use engine::message::isolated;
use leptos::prelude::*;

use crate::charter_draft::fixture_line;
use crate::delivery::{collectors, own};
use crate::draft::{Draft, Team};
use crate::pairings::{self, AskProgress};
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
    let game = pairings::filled(event, game).next();
    draft.court_name = game.as_ref().map_or_else(String::new, |g| g.court.clone());
    let sides = game.map_or([None, None], |g| [g.guest, g.home]);
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
            let label = format!("{}, {}", isolated(&charter.event), charter.date);
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
        let options: Vec<_> = pairings::filled(&event, &charter.fixtures)
            .map(|game| {
                let words = option_words(&charter, &game);
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
                <p class="small">"Its charter, signed by the organiser, fills in rules, teams and schedule."</p>
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

/// Whether it is known here who plays in an open game of the schedule.
fn is_known(event: &str, number: u32) -> bool {
    let known = pairings::known(event);
    known.is_some_and(|p| p.games.iter().any(|g| g.fixture == number))
}

/// A game of the schedule whose teams were to be played for: who they are by
/// the results, asked of the collectors as soon as the form opens.
#[component]
pub fn OpenTeams(draft: RwSignal<Draft>) -> impl IntoView {
    let app = app_state();
    let asked = RwSignal::new(None::<AskProgress>);
    let named = collectors().named;
    // The event and the game, where the charter leaves a side open.
    let open = Memo::new(move |_| {
        draft.with(|d| {
            let event = d.event.clone()?;
            let number = d.fixture?;
            let charter = charter_of(app, d)?;
            let fixture = charter.charter().fixture(number)?;
            (fixture.guest.is_none() || fixture.home.is_none()).then_some((event, number))
        })
    });
    // A form that was begun before anybody knew them gets its teams too.
    let fill = move |event: &str, number| {
        let empty = |d: &Draft| d.teams.iter().all(|t| t.name.is_empty());
        if is_known(event, number)
            && draft.with_untracked(empty)
            && let Some(charter) = draft.with_untracked(|d| charter_of(app, d))
        {
            draft.update(|d| choose(d, event, charter.charter(), Some(number)));
        }
    };
    let ask = move || {
        let Some((event, number)) = open.get_untracked() else {
            return;
        };
        fill(&event, number);
        asked.set(Some(AskProgress::Asking));
        let addresses = named.with_untracked(|n| n.to_ask(&own()));
        leptos::task::spawn_local(async move {
            let answer = pairings::ask(app, addresses, &event).await;
            if asked.try_set(Some(answer)).is_none() {
                fill(&event, number);
            }
        });
    };
    Effect::new(move |_| {
        if open.with(Option::is_some) {
            untrack(ask);
        }
    });
    let said = move || {
        let (event, number) = open.get()?;
        Some(match (asked.get(), is_known(&event, number)) {
            (Some(AskProgress::Asking), _) => "Asking the collector who plays.",
            (Some(AskProgress::Answered), true) => {
                "Who plays follows from the results at the collector."
            }
            (_, true) => "Who plays follows from the results.",
            (Some(AskProgress::Answered), false) => {
                "The results at the collector do not say yet who plays: a game before this one is open."
            }
            (_, false) => {
                "Nobody answers: no signal. The organiser's desk shows who plays, as a code."
            }
        })
    };
    view! {
        <Show when=move || open.with(Option::is_some)>
            <p role="status">{said}</p>
            <div class="pair">
                <button type="button" class="btn" on:click=move |_| ask()>"Ask again"</button>
                <A href="/take" attr:class="btn">"Take it from the desk"</A>
            </div>
        </Show>
    }
}

/// One team of a scheduled game: chosen among the event's, never typed.
#[component]
pub fn TeamOfEvent(draft: RwSignal<Draft>, at: usize, id: String) -> impl IntoView {
    let app = app_state();
    let names = move || {
        let charter = draft.with(|d| charter_of(app, d));
        let teams = charter
            .map(|c| c.charter().teams.clone())
            .unwrap_or_default();
        let now = draft.with(|d| d.teams[at].name.clone());
        let known = teams.iter().any(|t| t.name == now);
        let none =
            (!known).then(|| view! { <option value="" selected=true>"not known yet"</option> });
        let rows = teams.into_iter().map(|t| {
            let selected = t.name == now;
            view! { <option value=t.name.clone() selected=selected>{t.name.clone()}</option> }
        });
        (none, rows.collect_view())
    };
    let pick = move |name: String| {
        draft.update(|d| {
            if d.teams[at].name != name {
                d.teams[at] = Team {
                    name,
                    ..Team::default()
                };
            }
        });
    };
    view! {
        <select id=id class="input" on:change:target=move |ev| pick(ev.target().value())>{names}</select>
    }
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
                attr:class="btn wide">"Look at the charter"</A>
        </Show>
    }
}
