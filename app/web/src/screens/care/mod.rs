//! Care before and during a game: the checklist, the thunder clock, heat, and
//! what to read once. Local rules and licensed people decide.

mod checklist;
mod heat;
mod reading;
mod thunder;

pub use thunder::{is_thunder, notice as thunder_notice, open_stop, tell_log};

use engine::log::Body;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::{use_navigate, use_query_map};

use super::open_game::opened_book;
use crate::book::Book;
use crate::parts::{Defer, Message, Page, Steps, Tone, TroubleMessage};
use crate::precautions::{self, Look};
use crate::state::{Access, AppState, ShownGame, app_state};

/// What the screen shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    List,
    Thunder,
    Heat,
    Read,
}

impl Part {
    const ALL: [Self; 4] = [Self::List, Self::Thunder, Self::Heat, Self::Read];

    const fn word(self) -> &'static str {
        match self {
            Self::List => "Checks",
            Self::Thunder => "Thunder",
            Self::Heat => "Heat",
            Self::Read => "Advice",
        }
    }
}

/// Where looks are kept: in the log of the open game, else on the phone.
#[derive(Clone, Copy)]
struct Looking {
    app: AppState,
    /// A game is named in the address.
    game: Memo<Option<String>>,
    looks: RwSignal<Vec<Look>>,
    who: RwSignal<String>,
    /// The name is missing and was needed.
    nameless: RwSignal<bool>,
    failed: RwSignal<Option<(String, String)>>,
}

impl Looking {
    /// Whether the open game's log can be written.
    fn writes(self) -> bool {
        let whole = |o: &Option<ShownGame>| matches!(o, Some(ShownGame { book: Ok(book), .. }) if book.is_whole());
        self.app.access.get() == Access::Here && self.app.open.with(whole)
    }

    /// The name, or a word that it is missing.
    fn name(self) -> Option<String> {
        let name = self.who.get_untracked().trim().to_string();
        self.nameless.set(name.is_empty());
        (!name.is_empty()).then_some(name)
    }

    /// Keeps a look; `then` runs when it is kept.
    fn keep(self, look: Look, then: impl FnOnce() + 'static) {
        if self.game.get_untracked().is_none() {
            self.looks.update(|l| l.push(look));
            self.looks.with_untracked(|l| precautions::keep_looks(l));
            return then();
        }
        let app = self.app;
        spawn_local(async move {
            match app.record_body(Body::Care(look.care())).await {
                Ok(()) => {
                    self.failed.set(None);
                    then();
                }
                Err(why) => self.failed.set(Some(why.says())),
            }
        });
    }
}

/// The looks in the log of a game.
fn looks_of(book: &Book) -> Vec<Look> {
    book.record
        .care()
        .map(|(seq, care)| Look {
            item: care.item.clone(),
            who: care.who.clone(),
            in_order: care.in_order,
            at: book.claimed(seq).unwrap_or_default(),
        })
        .collect()
}

/// The four parts, one at a time.
#[component]
pub fn Care() -> impl IntoView {
    let app = app_state();
    let query = use_query_map();
    let game = Memo::new(move |_| query.with(|q| q.get("game")).filter(|g| !g.is_empty()));
    let part = Memo::new(move |_| {
        let named = query.with(|q| q.get("show")).unwrap_or_default();
        Part::ALL
            .into_iter()
            .find(|p| p.word().eq_ignore_ascii_case(&named))
            .unwrap_or(Part::List)
    });
    let trouble = RwSignal::new(None);
    if game.get_untracked().is_some() {
        opened_book(trouble);
    }
    let looking = Looking {
        app,
        game,
        looks: RwSignal::new(precautions::looks()),
        who: RwSignal::new(precautions::checker()),
        nameless: RwSignal::new(false),
        failed: RwSignal::new(None),
    };
    // The log's own looks, whenever it grows.
    Effect::new(move |_| {
        if game.get().is_some() {
            let from_log = app.open.with(|o| match o {
                Some(ShownGame { book: Ok(book), .. }) => looks_of(book),
                _ => Vec::new(),
            });
            looking.looks.set(from_log);
        }
    });
    let navigate = use_navigate();
    let go = move |to: Part| {
        let address = match game.get_untracked() {
            Some(game) => format!("/care?game={game}&show={}", to.word().to_lowercase()),
            None => format!("/care?show={}", to.word().to_lowercase()),
        };
        navigate(&address, NavigateOptions::default());
    };
    let back = match game.get_untracked() {
        Some(game) => format!("/call?game={game}"),
        None => "/".into(),
    };
    let read_only =
        move || game.get().is_some() && app.access.get() != Access::Asking && !looking.writes();
    view! {
        <Page title="Care" back=back>
            <Steps label="Care" all=&Part::ALL word=Part::word here=part go=Callback::new(go)/>
            <TroubleMessage trouble=trouble/>
            <Show when=read_only>
                <Message what="This game is written in another tab or is damaged: what is looked at here cannot go into its log.".to_string()/>
            </Show>
            {move || looking.failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            {move || match part.get() {
                Part::List => view! { <checklist::List looking=looking/> }.into_any(),
                Part::Thunder => view! { <thunder::Thunder looking=looking/> }.into_any(),
                Part::Heat => view! { <heat::Heat looking=looking/> }.into_any(),
                Part::Read => view! { <reading::Reading/> }.into_any(),
            }}
            <Defer/>
        </Page>
    }
}

/// Who looks; asked once and kept.
#[component]
fn Who(looking: Looking) -> impl IntoView {
    let wrong = move || looking.nameless.get() && looking.who.with(|w| w.trim().is_empty());
    view! {
        <div class="field">
            <label for="care-who">"Who looks?"</label>
            <input id="care-who" class="input" maxlength="40" autocomplete="off" aria-describedby="care-who-why"
                aria-invalid=move || wrong().to_string()
                prop:value=move || looking.who.get()
                on:input:target=move |ev| {
                    let name = ev.target().value();
                    precautions::set_checker(name.trim());
                    looking.who.set(name);
                }/>
            <div id="care-who-why" role="alert">
                <Show when=wrong>
                    <p class="objection">"Say who looks: a name or a role goes with each check."</p>
                </Show>
            </div>
        </div>
    }
}
