//! A new fixture: the edition, what the competition changed, the two teams.

mod court;
mod event;
mod first;

use engine::rules::{BuiltIn, Edition, Setting, Source};
use leptos::prelude::*;
use leptos_router::NavigateOptions;
use leptos_router::hooks::{use_navigate, use_query_map};

use super::preferences::Choice;
use crate::draft::Draft;
use crate::parts::{Message, Page, Tone};
use crate::state::{Reach, app_state};
use crate::words;

pub use event::charter_of;
use first::{AskFirst, Question, TappedFixture};

/// The first step of a game: one tapped in a schedule may be kept already.
#[component]
pub fn NewFixture() -> impl IntoView {
    let app = app_state();
    let query = use_query_map();
    let tapped = Memo::new(move |_| {
        query.with(|q| {
            let number = q.get("fixture")?.parse().ok()?;
            let event = q.get("event")?;
            Some(TappedFixture { event, number })
        })
    });
    let anew = RwSignal::new(false);
    // Asked once: what is recorded meanwhile does not put the form away.
    let asked = Memo::new(move |before: Option<&Option<Question>>| {
        let ready = app.reach.get() == Reach::Ready;
        match before {
            Some(Some(question)) => Some(question.clone()),
            _ if ready => tapped.with(|t| untrack(|| Question::of(app, t.as_ref()?))),
            _ => None,
        }
    });
    move || match (asked.get(), tapped.get(), anew.get()) {
        (Some(question), Some(tapped), false) => {
            view! { <AskFirst tapped=tapped question=question anew=anew/> }.into_any()
        }
        _ => view! { <Form/> }.into_any(),
    }
}

/// What the game is between and by which rules.
#[component]
fn Form() -> impl IntoView {
    let app = app_state();
    let draft = RwSignal::new(Draft::load());
    let query = use_query_map();
    let asked = query.with_untracked(|q| {
        let number = q.get("fixture").and_then(|n| n.parse().ok());
        q.get("event").map(|event| (event, number))
    });
    // Chosen on the event's screen; a draft of that very game goes on.
    Effect::new(move |done: Option<bool>| {
        let ready = app.reach.get() == Reach::Ready;
        if done == Some(true) || !ready {
            return done.unwrap_or(false);
        }
        let Some((event, number)) = &asked else {
            return true;
        };
        let same = |d: &Draft| d.event.as_ref() == Some(event) && d.fixture == *number;
        if !draft.with_untracked(same)
            && let Some(kept) = app.event(event)
            && let Some(signed) = kept.in_force()
        {
            draft.update(|d| event::choose(d, event, signed.charter(), *number));
        }
        true
    });
    Effect::new(move |_| draft.with(Draft::save));
    let failed = RwSignal::new(None::<String>);
    let scheduled =
        Memo::new(move |_| draft.with(|d| d.fixture.is_some() && charter_of(app, d).is_some()));
    let teams = [0, 1].map(|at| {
        let id = format!("team-{at}");
        let words = if at == 0 { "One team" } else { "The other team" };
        view! {
            <div class="field">
                <label for=id.clone()>{words}</label>
                {move || {
                    let id = id.clone();
                    if scheduled.get() {
                        return view! { <event::TeamOfEvent draft=draft at=at id=id/> }.into_any();
                    }
                    view! {
                        <input id=id class="input" maxlength="60" autocomplete="off"
                            list=move || draft.with(|d| d.event.is_some()).then_some("event-teams")
                            prop:value=move || draft.with(|d| d.teams[at].name.clone())
                            on:input:target=move |ev| draft.update(|d| d.teams[at].name = ev.target().value())/>
                    }.into_any()
                }}
            </div>
        }
    });
    let navigate = use_navigate();
    let on = move |_| {
        let why = draft.with_untracked(|d| {
            let named = d.teams.iter().all(|t| !t.name.trim().is_empty());
            let same = d.teams[0].name.trim() == d.teams[1].name.trim();
            match (named, same) {
                (false, _) => Some("Both teams need a name.".to_string()),
                (true, true) => Some("The two teams have the same name: change one.".to_string()),
                (true, false) => court::objection(d),
            }
        });
        let clear = why.is_none();
        failed.set(why);
        if clear {
            navigate("/cards", NavigateOptions::default());
        }
    };
    let foot = move || {
        view! {
            {move || failed.get().map(|f| view! { <Message tone=Tone::Bad what=f/> })}
            <button type="button" class="btn lit big wide" on:click=on>"Line-up cards"</button>
        }
    };
    view! {
        <Page title="New game" back="/" has_foot=true foot=foot>
            <event::EventChoice draft=draft/>
            <section class="section" aria-label="Teams">
                <h2>"Who plays?"</h2>
                <event::OpenTeams draft=draft/>
                {teams.collect_view()}
                <event::TeamNames draft=draft/>
                <event::EventSays draft=draft/>
            </section>
            <Rules draft=draft/>
            <court::CourtChoice draft=draft/>
        </Page>
    }
}

/// The edition, and what the competition changed in it.
#[component]
pub fn Rules(draft: RwSignal<Draft>) -> impl IntoView {
    let editions = BuiltIn::ALL.map(|base| {
        let label = format!("{}. {}", base.title(), base.about());
        view! {
            <Choice group="edition" label=label
                chosen=move || draft.with(|d| d.edition == base.to_string())
                choose=move || draft.update(|d| { d.edition = base.to_string(); d.changes.clear(); })/>
        }
    });
    view! {
        <fieldset class="section">
            <legend>"Which rules?"</legend>
            <div class="choices">{editions.collect_view()}</div>
        </fieldset>
        <Settings draft=draft/>
    }
}

/// Every value of the edition with its source, to be changed by the competition.
#[component]
fn Settings(draft: RwSignal<Draft>) -> impl IntoView {
    let settings = move || {
        draft.with(|d| {
            d.edition()
                .map(|e: Edition| e.settings())
                .unwrap_or_default()
        })
    };
    let changed = move || draft.with(|d| d.changes.len());
    // Some forty fields that few open: a phone needs longer to make them than for all the rest.
    let opened = RwSignal::new(false);
    // Once made they stay, with what was not accepted in one of them.
    let open = move |_| {
        if !opened.get_untracked() {
            opened.set(true);
        }
    };
    let all = move || {
        view! {
            <div class="stack">
                <For each=settings key=|s| (s.name, s.value.clone()) let:setting>
                    <OneSetting draft=draft setting=setting/>
                </For>
            </div>
        }
    };
    view! {
        <details class="section" on:toggle=open>
            <summary class="btn wide start">
                <span class="words">
                    "Competition settings"
                    <span class="under">{move || match changed() {
                        0 => "None changed. Open to see every value and where it comes from.".to_string(),
                        1 => "1 value changed by the competition.".to_string(),
                        n => format!("{n} values changed by the competition."),
                    }}</span>
                </span>
            </summary>
            {move || opened.get().then(all)}
        </details>
    }
}

#[component]
fn OneSetting(draft: RwSignal<Draft>, setting: Setting) -> impl IntoView {
    let wrong = RwSignal::new(None::<String>);
    let name = setting.name;
    let id = format!("setting-{name}");
    let wrong_id = format!("wrong-{name}");
    let set = move |text: String| {
        let mut next = draft.get_untracked();
        match next.set(name, text.trim()) {
            Ok(()) => {
                wrong.set(None);
                draft.set(next);
            }
            Err(why) => wrong.set(Some(why.to_string())),
        }
    };
    let choices = setting.choices;
    let value = setting.value.clone();
    let label = words::capital(&setting.label);
    let meaning = choices
        .iter()
        .find(|(text, _)| *text == value)
        .map(|(_, meaning)| *meaning);
    let source = match setting.source {
        own @ Source::SetByCompetition => {
            view! { <span class="tag">{own.to_string()}</span> }.into_any()
        }
        other => view! { <span class="soft small">{other.to_string()}</span> }.into_any(),
    };
    let entry = if choices.is_empty() {
        view! {
            <input id=id.clone() class="input" autocomplete="off" prop:value=value
                aria-invalid=move || wrong.get().is_some().to_string()
                aria-describedby=wrong_id.clone()
                on:change:target=move |ev| set(ev.target().value())/>
        }
        .into_any()
    } else {
        let options = choices
            .iter()
            .map(|(text, meaning)| {
                let chosen = *text == value;
                view! { <option value=*text selected=chosen>{*meaning}</option> }
            })
            .collect_view();
        view! {
            <select id=id.clone() class="input" aria-describedby=wrong_id.clone()
                on:change:target=move |ev| set(ev.target().value())>{options}</select>
        }
        .into_any()
    };
    view! {
        <div class="field">
            <div class="split"><label for=id>{label}</label>{source}</div>
            {entry}
            {meaning.map(|m| view! { <p class="small soft">{m}"."</p> })}
            <div id=wrong_id role="alert">
                {move || wrong.get().map(|w| view! { <p class="objection">{w}</p> })}
            </div>
        </div>
    }
}
