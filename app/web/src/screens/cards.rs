//! Line-up cards: quick numbers, reserves, and every objection beside its field.

mod begin;
mod card;
mod offered;
mod toss;
mod wrong;

use engine::rules::Edition;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::use_navigate;

use begin::{setup, take_looks};
use card::Card;
use toss::Toss;
use wrong::Wrong;

use super::events::{CharterSays, opening_here};
use crate::draft::Draft;
use crate::parts::{Key, Message, NumberPad, Page, Tone};
use crate::state::app_state;

const HITTERS: usize = engine::rules::FIVE;

/// Which of the three steps is on the screen: the card of a team, or the toss.
#[derive(Clone, Copy)]
struct Flow {
    at: RwSignal<usize>,
    /// The teams whose faults are shown, because going on was tried.
    tried: RwSignal<[bool; 2]>,
    wrong: Memo<[Wrong; 2]>,
}

/// The step after both cards.
const TOSS: usize = 2;

impl Flow {
    fn new(draft: RwSignal<Draft>, edition: Memo<Edition>) -> Self {
        Self {
            at: RwSignal::new(0),
            tried: RwSignal::new([false; 2]),
            wrong: Memo::new(move |_| {
                [0, 1].map(|team| draft.with(|d| edition.with(|e| Wrong::with(d, team, e))))
            }),
        }
    }

    /// Goes to a card, whatever the other says.
    fn open(self, team: usize) {
        self.at.set(team);
    }

    /// Goes on from the card at hand when nothing is wrong with it.
    fn next(self) {
        let from = self.at.get_untracked();
        self.tried.update(|t| t[from.min(1)] = true);
        if self.wrong.with_untracked(|w| w[from.min(1)].is_empty()) {
            self.at.set(from + 1);
        }
    }

    /// Goes to the toss, or to the first card with something wrong.
    fn toss(self) {
        self.tried.set([true; 2]);
        let wrong = self
            .wrong
            .with_untracked(|w| w.iter().position(|w| !w.is_empty()));
        self.at.set(wrong.unwrap_or(TOSS));
    }

    /// What is shown as wrong with a card.
    fn shown(self, team: usize) -> Wrong {
        if self.tried.get()[team] {
            self.wrong.with(|w| w[team].clone())
        } else {
            Wrong::default()
        }
    }
}

/// Both cards, then the toss, then play.
#[component]
pub fn Cards() -> impl IntoView {
    let app = app_state();
    let draft = RwSignal::new(Draft::load());
    Effect::new(move |_| draft.with(Draft::save));
    let edition =
        Memo::new(move |_| draft.with(|d| d.edition().unwrap_or_else(|_| Edition::federation())));
    let flow = Flow::new(draft, edition);
    // Looked at before the first play: what the event's charter says to it.
    let under = Signal::derive(move || {
        let setup = draft.with(|d| {
            d.event.as_ref()?;
            setup(app, d)
        })?;
        let opening = opening_here(app, &setup, None)?;
        Some(app.under_in_force(&opening))
    });
    let pad = StoredValue::new(None::<Callback<Key>>);
    let step = move |team: usize| {
        let name = move || {
            let name = |d: &Draft| d.teams.get(team).map(|t| t.name.trim().to_owned());
            draft.with(|d| name(d).unwrap_or_default())
        };
        view! {
            <button type="button" class="btn" aria-current=move || (flow.at.get() == team).then_some("true")
                on:click=move |_| flow.open(team)>{name}</button>
        }
    };
    view! {
        <Page title="Line-up cards" back="/new" has_foot=true foot=move || view! { <Foot draft=draft flow=flow pad=pad/> }>
            <nav class="steps" aria-label="Steps">
                {[0, 1].map(step).collect_view()}
                <button type="button" class="btn" aria-current=move || (flow.at.get() == TOSS).then_some("true")
                    on:click=move |_| flow.toss()>"Toss"</button>
            </nav>
            {move || match flow.at.get() {
                TOSS => view! { <Toss draft=draft/> <CharterSays under=under/> }.into_any(),
                team => view! {
                    <Card draft=draft team=team edition=edition wrong=Signal::derive(move || flow.shown(team))
                        done=Callback::new(move |()| flow.next()) pad=pad/>
                }.into_any(),
            }}
        </Page>
    }
}

/// The pad and the way on; after the toss the game's beginning.
#[component]
fn Foot(
    draft: RwSignal<Draft>,
    flow: Flow,
    pad: StoredValue<Option<Callback<Key>>>,
) -> impl IntoView {
    let app = app_state();
    let failed = RwSignal::new(None::<(String, String)>);
    // From the first tap until the game is on the screen: a second one would begin a second game.
    let begins = RwSignal::new(false);
    let navigate = use_navigate();
    let begin = move |_| {
        if begins.get_untracked() {
            return;
        }
        let Some(setup) = draft.with_untracked(|d| setup(app, d)) else {
            return;
        };
        let navigate = navigate.clone();
        begins.set(true);
        spawn_local(async move {
            match app.begin(setup).await {
                Ok(game) => {
                    Draft::forget();
                    take_looks(app, game.clone()).await;
                    let replace = NavigateOptions {
                        replace: true,
                        ..Default::default()
                    };
                    navigate(&format!("/call?game={game}"), replace);
                }
                Err(why) => {
                    failed.set(Some(why.says()));
                    begins.set(false);
                }
            }
        });
    };
    let press = Callback::new(move |key| {
        if let Some(press) = pad.get_value() {
            press.run(key);
        }
    });
    let ready = move || draft.with(|d| d.home.is_some()) && !begins.get();
    view! {
        {move || failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
        {move || match flow.at.get() {
            TOSS => view! {
                <button type="button" class="btn lit big wide" disabled=move || !ready() on:click=begin.clone()>
                    "Play ball"
                </button>
            }.into_any(),
            now => view! {
                <NumberPad press=press/>
                <button type="button" class="btn lit big wide" on:click=move |_| flow.next()>
                    {if now == 0 { "Next card" } else { "Toss for home" }}
                </button>
            }.into_any(),
        }}
    }
}
