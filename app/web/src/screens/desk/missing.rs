//! A fixture of which no record is here: whom to ask, and what to do when a
//! team did not come.

use engine::charter::Charter;
use engine::log::{Body, Decision, Disposition, GameMark, HomeBy, Setup};
use engine::team::{BySide, Card, Side};
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::arranged;
use super::game::list;
use super::{Reading, Seen, address};
use crate::parts::{Message, Page, Section, Tone};
use crate::screens::preferences::Choice;
use crate::state::{DeskView, app_state};
use crate::words::capital;

/// The screen.
#[component]
pub fn Missing(event: String, number: u32, view: Seen) -> impl IntoView {
    let back = address(&event, "");
    let inside = move || {
        view.with(|v| {
            let view = v.as_ref()?;
            let charter = view.charter()?;
            let fixture = charter.fixture(number)?;
            let officials: Vec<String> = charter
                .officials
                .iter()
                .map(|o| format!("{}: {}", capital(&o.role.to_string()), o.name))
                .collect();
            let absent = setup(view, charter, number).filter(|_| view.may_decide);
            let done = view.of_fixture(number).is_some();
            Some(view! {
                <p>{format!("{}, {}.", fixture.title, fixture.court)}</p>
                {if done {
                    view! { <Message tone=Tone::Good what="This game is decided."/> }.into_any()
                } else {
                    view! {
                        <Message what="No record of this game has come in."
                            next="Ask its officials to deliver it, or take it from their phones: file, text or camera.".to_string()/>
                    }.into_any()
                }}
                <Section title="Officials of the event">
                    {list(&officials)}
                </Section>
                {absent.filter(|_| !done).map(|setup| view! { <Absent setup=setup/> })}
            })
        })
    };
    view! {
        <Page title=format!("Game {number}") back=back>
            {inside}
            <Reading/>
        </Page>
    }
}

/// The game as the schedule has it, with the first five of each roster; `None`
/// while its teams are open.
fn setup(view: &DeskView, charter: &Charter, number: u32) -> Option<Setup> {
    let signed = view.charter.as_ref()?;
    let fixture = charter.fixture(number)?;
    let (schedule, results) = arranged(view)?;
    let game = schedule.game(number)?;
    let card = |side| {
        let team = results.progress().team(side)?;
        let team = charter.team(schedule.entrants().name(team))?;
        let five = team.roster.iter().take(5).cloned();
        Some(Card::new(&*team.name, five))
    };
    let cards = BySide {
        guest: card(game.guest)?,
        home: card(game.home)?,
    };
    let edition = charter.edition_of(Some(number))?.edition().ok()?;
    Some(Setup {
        title: Some(fixture.title.clone()),
        court: Some(fixture.court.clone()),
        starts: Some(fixture.starts),
        charter: Some(signed.hash()),
        fixture_number: Some(number),
        home_by: Some(HomeBy::Schedule),
        ..Setup::new(
            GameMark::scheduled(&signed.hash(), number, 1),
            cards,
            &edition,
        )
    })
}

/// A team did not come, or the game was called off.
#[component]
fn Absent(setup: Setup) -> impl IntoView {
    let app = app_state();
    let chosen = RwSignal::new(None::<Disposition>);
    let reason = RwSignal::new(String::new());
    let said = RwSignal::new(None::<(String, String)>);
    let teams = Side::BOTH.map(|side| {
        let words = format!("{} forfeited", setup.cards[side].team);
        (Disposition::Forfeit { by: side }, words)
    });
    let nobody = "It will not be played: the schedule goes on without it".to_string();
    let choices = teams.into_iter().chain([(Disposition::NotPlayed, nobody)]);
    let choices: Vec<_> = choices
        .map(|(what, words)| {
            view! {
                <Choice group="absent" label=words chosen=move || chosen.get() == Some(what)
                    choose=move || chosen.set(Some(what))/>
            }
        })
        .collect();
    let setup = StoredValue::new(setup);
    let sign = move |_| {
        let why = reason.get_untracked().trim().to_string();
        let (Some(decided), false) = (chosen.get_untracked(), why.is_empty()) else {
            let what = "Choose what holds, and give the reason in a sentence.";
            return said.set(Some((what.into(), String::new())));
        };
        spawn_local(async move {
            let decision = Decision {
                considered: Vec::new(),
                decided,
                reason: why,
            };
            let done = app
                .desk_sign_in(setup.get_value(), Body::Decision(decision))
                .await;
            match done {
                Ok(()) => super::done(app, "The decision is signed and kept."),
                Err(why) => said.set(Some(why.says())),
            }
        });
    };
    view! {
        <section class="section" aria-label="The game is not played">
            <h2>"A team did not come, or it is called off"</h2>
            <p>"Signed with this phone's key. Records that come later are shown beside it."</p>
            <fieldset class="choices"><legend>"What holds"</legend>{choices}</fieldset>
            <label class="field">
                <span class="label">"Why"</span>
                <textarea class="input" rows="3" maxlength="400" prop:value=move || reason.get()
                    on:input:target=move |ev| reason.set(ev.target().value())></textarea>
            </label>
            {move || said.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            <button type="button" class="btn lit big wide" on:click=sign>"Sign the decision"</button>
        </section>
    }
}
