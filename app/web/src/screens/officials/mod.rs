//! What an official keeps beside the plays: who umpires where, protests, and
//! reports of incidents. None of it changes the score by itself.

mod crew;
mod incident;
mod protest;

pub use crew::crew_lines;

use leptos::prelude::*;
use leptos_router::NavigateOptions;
use leptos_router::hooks::{use_navigate, use_query_map};

use super::open_game::{Recording, opened_book, unreadable};
use crate::book::Book;
use crate::parts::{Message, Page, Steps, Tone, inning_words};
use crate::state::{Access, ShownGame, app_state};

/// What the screen shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Crew,
    Protest,
    Incident,
}

impl Part {
    const ALL: [Self; 3] = [Self::Crew, Self::Protest, Self::Incident];

    const fn word(self) -> &'static str {
        match self {
            Self::Crew => "Umpires",
            Self::Protest => "Protest",
            Self::Incident => "Incident",
        }
    }
}

/// The open game, and the way to write to it.
#[derive(Clone, Copy)]
struct Desk {
    book: RwSignal<Option<ShownGame>>,
    recording: Recording,
}

impl Desk {
    /// What follows from the game as it is, where it can be read.
    fn with<T>(self, f: impl FnOnce(&Book) -> T) -> Option<T> {
        self.book.with(|b| match b {
            Some(ShownGame { book: Ok(book), .. }) => Some(f(book)),
            _ => None,
        })
    }
}

/// The screen; the address says which part of it.
#[component]
pub fn Officials() -> impl IntoView {
    let trouble = RwSignal::new(None);
    let book = opened_book(trouble);
    let query = use_query_map();
    let part = Memo::new(move |_| {
        let show = query.with(|q| q.get("show")).unwrap_or_default();
        let named = Part::ALL
            .into_iter()
            .find(|p| p.word().eq_ignore_ascii_case(&show));
        named.unwrap_or(Part::Crew)
    });
    // What is typed outlives what is recorded meanwhile.
    let game = Memo::new(move |_| {
        book.with(|b| {
            let shown = b.as_ref().filter(|b| b.book.is_ok())?;
            Some(shown.listed.game.clone())
        })
    });
    move || match game.get() {
        Some(game) => view! { <Parts book=book part=part game=game/> }.into_any(),
        None => book
            .with(|shown| unreadable(shown.as_ref(), trouble))
            .into_any(),
    }
}

#[component]
fn Parts(book: RwSignal<Option<ShownGame>>, part: Memo<Part>, game: String) -> impl IntoView {
    let app = app_state();
    let desk = Desk {
        book,
        recording: Recording::new(),
    };
    let navigate = use_navigate();
    let back = format!("/call?game={game}");
    let go = move |to: Part| {
        let address = format!("/officials?game={game}&show={}", to.word().to_lowercase());
        navigate(&address, NavigateOptions::default());
    };
    let writes =
        move || app.access.get() == Access::Here && desk.with(|b| b.is_whole()).unwrap_or_default();
    view! {
        <Page title="Beside the plays" back=back>
            <Steps label="Beside the plays" all=&Part::ALL word=Part::word here=part go=Callback::new(go)/>
            <Show when=move || app.access.get() != Access::Asking && !writes()>
                <Message what="This game is written in another tab or is damaged: here it can only be read."/>
            </Show>
            {move || desk.recording.failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            {move || match part.get() {
                Part::Crew => view! { <crew::Umpires desk=desk/> }.into_any(),
                Part::Protest => view! { <protest::Protests desk=desk/> }.into_any(),
                Part::Incident => view! { <incident::Incidents desk=desk/> }.into_any(),
            }}
        </Page>
    }
}

/// A line of text to fill in.
#[component]
fn Line(
    id: &'static str,
    label: &'static str,
    value: RwSignal<String>,
    /// Longest text.
    #[prop(default = 30)]
    most: usize,
) -> impl IntoView {
    view! {
        <div class="field">
            <label for=id>{label}</label>
            <input id=id class="input" maxlength=most.to_string() autocomplete="off"
                prop:value=move || value.get()
                on:input:target=move |ev| value.set(ev.target().value())/>
        </div>
    }
}

/// Several lines of text to fill in.
#[component]
fn Lines(#[prop(into)] id: String, label: &'static str, value: RwSignal<String>) -> impl IntoView {
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <textarea id=id class="input" rows="3" maxlength=engine::game::Notice::TEXT_LIMIT.to_string()
                prop:value=move || value.get()
                on:input:target=move |ev| value.set(ev.target().value())></textarea>
        </div>
    }
}

/// The half-inning in which an entry was written: that of the next play, else as the game is now.
fn when(book: &Book, seq: u64) -> String {
    let next = book.history().plays().find(|p| p.seq > seq);
    let turn = next.and_then(|p| p.result.as_ref().ok().map(|o| o.turn).or(p.turn));
    turn.map_or_else(
        || inning_words(book.game()),
        |t| engine::play::half_inning(t.inning, t.side),
    )
}
