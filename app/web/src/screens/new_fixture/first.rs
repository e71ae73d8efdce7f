//! Before a game of the schedule is set up here: is it kept already?

use engine::log::Role;
use leptos::prelude::*;

use crate::parts::{A, Page};
use crate::screens::events::own_card;
use crate::state::{AppState, app_state};

/// A fixture that was tapped in an event's schedule.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TappedFixture {
    /// The event's name here.
    pub event: String,
    /// Its number in the schedule.
    pub number: u32,
}

/// What is to be asked before a game is set up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Question {
    /// This phone keeps a game of this fixture: its name.
    KeptHere(String),
    /// The second scorer takes the game from whoever set it up.
    UmpireFirst,
}

impl Question {
    /// `None` where the game is set up at once.
    pub fn of(app: AppState, tapped: &TappedFixture) -> Option<Self> {
        let kept = app.event(&tapped.event)?;
        let here = app.games.with(|games| {
            let books = games.iter().filter_map(|g| g.book.as_ref().ok());
            let mut of_fixture = books.filter(|b| {
                let setup = b.setup();
                let event = setup.charter.is_some_and(|hash| kept.has(&hash));
                event && !setup.demo && setup.fixture_number == Some(tapped.number)
            });
            of_fixture.next_back().map(|b| b.listed.game.clone())
        });
        if let Some(game) = here {
            return Some(Self::KeptHere(game));
        }
        let own = own_card(app)?;
        let listed = kept.in_force()?.charter().endorsement(&own.key)?;
        (listed.role == Role::Scorer).then_some(Self::UmpireFirst)
    }
}

/// The question, with the way that is usually right as the main button.
#[component]
pub fn AskFirst(
    /// What was tapped.
    tapped: TappedFixture,
    /// What is asked.
    question: Question,
    /// Set to go on to a new game all the same.
    anew: RwSignal<bool>,
) -> impl IntoView {
    let back = format!("/event?event={}", tapped.event);
    let title = format!("Game {}", tapped.number);
    let charter = app_state().event(&tapped.event);
    let fixture = charter.and_then(|kept| {
        let charter = kept.in_force()?.charter().clone();
        let game = charter.fixture(tapped.number)?;
        let game = crate::pairings::filled(&tapped.event, [game]).next()?;
        Some(crate::charter_draft::fixture_line(&charter, &game))
    });
    let (asks, why, to, act, other) = match question {
        Question::KeptHere(game) => (
            "You keep this game already.",
            "It is on this phone, set up for this place in the schedule.",
            format!("/call?game={game}"),
            "Open it",
            "set it up anew: a further game of the two",
        ),
        Question::UmpireFirst => (
            "Does the umpire keep it already?",
            "You are listed as scorer. Take the game from the umpire's phone: your record is then of the very same \
             game, and the two are compared. A game set up here stands against the umpire's.",
            "/take".to_string(),
            "Take it from their phone",
            "no umpire keeps it: set it up here",
        ),
    };
    let foot = move || view! { <A href=to.clone() attr:class="btn lit big wide">{act}</A> };
    view! {
        <Page title=title back=back has_foot=true foot=foot>
            <section class="section" aria-label="Before a new game">
                {fixture.map(|f| view! { <p class="strong">{f}</p> })}
                <h2>{asks}</h2>
                <p>{why}</p>
                <button type="button" class="btn wide" on:click=move |_| anew.set(true)>{other}</button>
            </section>
        </Page>
    }
}
