//! The organiser's desk: what is in, what is wrong, what stands, and what is
//! given out. All of it from the phone alone.

mod collector;
mod game;
mod games;
mod give;
mod lot;
mod missing;
mod paper;
mod settle;
mod tables;
mod take_in;

pub use game::list;

use std::sync::Arc;

use crate::parts::A;
use engine::competition::results::Results;
use engine::competition::schedule::Schedule;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_query_map;

use crate::parts::{Message, Page, Tone, TroubleMessage};
use crate::state::{AppState, DeskEvent, DeskView, Reach, app_state};
use crate::store::Trouble;

/// An event as a screen of the desk sees it.
pub type Seen = Signal<Option<Arc<DeskView>>>;

/// Schedule and results, where the event has them.
fn arranged(view: &DeskView) -> Option<(&Schedule, &Results)> {
    view.report()?.arranged()
}

/// What of the desk is on the screen.
#[derive(Clone, Debug, PartialEq, Eq)]
enum At {
    Events,
    Games(String),
    Game(String, String),
    Fixture(String, u32),
    Tables(String),
    TakeIn(Option<String>),
    Give(String),
}

impl At {
    fn of(get: impl Fn(&str) -> Option<String>) -> Self {
        let part = get("part").unwrap_or_default();
        let Some(event) = get("event") else {
            return match part.as_str() {
                "in" => Self::TakeIn(None),
                _ => Self::Events,
            };
        };
        let fixture = get("fixture").and_then(|n| n.parse().ok());
        match (part.as_str(), get("game"), fixture) {
            (_, Some(game), _) => Self::Game(event, game),
            (_, None, Some(fixture)) => Self::Fixture(event, fixture),
            ("tables", ..) => Self::Tables(event),
            ("in", ..) => Self::TakeIn(Some(event)),
            ("out", ..) => Self::Give(event),
            _ => Self::Games(event),
        }
    }

    fn event(&self) -> Option<String> {
        match self {
            Self::Events | Self::TakeIn(None) => None,
            Self::Games(event)
            | Self::Game(event, _)
            | Self::Fixture(event, _)
            | Self::Tables(event)
            | Self::TakeIn(Some(event))
            | Self::Give(event) => Some(event.clone()),
        }
    }
}

/// The address of an event's part of the desk.
pub fn address(event: &str, more: &str) -> String {
    format!("/desk?event={event}{more}")
}

/// The screen; the address says which part of it.
#[component]
pub fn Desk() -> impl IntoView {
    let app = app_state();
    let query = use_query_map();
    let trouble = RwSignal::new(None::<Trouble>);
    Effect::new(move |_| {
        if app.reach.get() == Reach::Ready {
            spawn_local(async move {
                trouble.set(app.open_desk().await.err());
            });
        }
    });
    let at = Memo::new(move |_| query.with(|q| At::of(|name| q.get(name))));
    let event = Memo::new(move |_| at.with(At::event));
    // What is called missing was looked for first.
    Effect::new(move |_| {
        if let Some(event) = event.get().filter(|_| app.desk.read.get()) {
            untrack(|| collector::look(app, event));
        }
    });
    // Every change of the desk is one of the event, as far as is known here.
    let view: Seen = Memo::new_with_compare(
        move |_| event.get().and_then(|e| app.desk_view(&e)).map(Arc::new),
        |_, _| true,
    )
    .into();
    move || {
        let inside = match at.get() {
            At::Events => view! { <Events/> }.into_any(),
            At::TakeIn(event) => view! { <take_in::TakeIn event=event/> }.into_any(),
            At::Games(event) => view! { <games::Games event=event view=view/> }.into_any(),
            At::Game(event, game) => {
                view! { <game::Game event=event game=game view=view/> }.into_any()
            }
            At::Fixture(event, number) => {
                view! { <missing::Missing event=event number=number view=view/> }.into_any()
            }
            At::Tables(event) => view! { <tables::Tables event=event view=view/> }.into_any(),
            At::Give(event) => view! { <give::Give event=event view=view/> }.into_any(),
        };
        view! {
            <TroubleMessage trouble=trouble/>
            {inside}
        }
    }
}

/// How far the reading is, while games are being read.
#[component]
pub fn Reading() -> impl IntoView {
    let reading = app_state().desk.reading;
    move || {
        reading.get().map(|(done, all)| {
            let words = match all {
                0 => "Reading what is kept.".to_string(),
                all => format!("Reading and checking: {done} of {all} done."),
            };
            view! {
                <div class="field reading" role="status">
                    <span>{words}</span>
                    <progress aria-label="Reading" max=all.max(1).to_string() value=done.to_string()></progress>
                </div>
            }
        })
    }
}

/// Says that something is signed, and shows what stands now, which is on top.
fn done(app: AppState, words: &str) {
    app.aloud.set(words.into());
    if let Some(window) = crate::js::window() {
        window.scroll_to_with_x_and_y(0.0, 0.0);
    }
}

/// The ways between the parts of an event's desk.
#[component]
pub fn Parts(event: String, here: &'static str) -> impl IntoView {
    let parts = [
        ("games", "", "Games"),
        ("tables", "&part=tables", "Tables"),
        ("in", "&part=in", "Collect"),
        ("out", "&part=out", "Publish"),
    ];
    let parts = parts.map(|(part, more, words)| {
        let current = (part == here).then_some("true");
        view! { <A href=address(&event, more) attr:class="btn" attr:aria-current=current>{words}</A> }
    });
    // The first part has it for its title.
    let name = move || {
        let events = app_state().desk_events();
        let found = events.into_iter().find(|(e, ..)| e.word() == event);
        found.filter(|_| here != "games").map(|(_, name, _)| name)
    };
    view! {
        <p class="strong no-print">{name}</p>
        <nav class="ways four no-print" aria-label="The desk">{parts.collect_view()}</nav>
    }
}

/// Which event?
#[component]
fn Events() -> impl IntoView {
    let app = app_state();
    let foot =
        move || view! { <A href="/desk?part=in" attr:class="btn lit big wide">"Collect files"</A> };
    let events = Memo::new(move |_| app.desk_events());
    // The list stays as it is while games are being read: a finger may be on it.
    let names = Memo::new(move |_| {
        let named = |(event, name, _): &(DeskEvent, String, usize)| (event.clone(), name.clone());
        events.with(|all| all.iter().map(named).collect::<Vec<_>>())
    });
    let list = move || {
        names
            .get()
            .into_iter()
            .map(|(event, name)| {
                let of = event.clone();
                let under = move || {
                    let games = events.with(|all| {
                        let found = all.iter().find(|(e, ..)| *e == of);
                        found.map_or(0, |(.., games)| *games)
                    });
                    let count = u16::try_from(games).unwrap_or(u16::MAX);
                    let count = crate::words::count(count, "game", "games");
                    format!("{} here.", crate::words::capital(&count))
                };
                view! {
                    <li>
                        <A href=address(&event.word(), "") attr:class="btn wide start">
                            <span class="words">{name}<span class="under">{under}</span></span>
                        </A>
                    </li>
                }
            })
            .collect_view()
    };
    let none = move || names.with(Vec::is_empty) && app.desk.reading.get().is_none();
    view! {
        <Page title="Organiser's desk" back="/" has_foot=true foot=foot>
            <p>"Every record of a day in one place: what is missing or wrong, what stands, and the tables that follow."</p>
            <Show when=none>
                <Message
                    what="No charter and no record is on this phone yet."
                    next="Collect the charter and the records: files, text, or from the other phones' screens."
                />
            </Show>
            <ul class="games">{list}</ul>
            <Reading/>
        </Page>
    }
}

/// An event that is not here.
#[component]
pub fn NotHere() -> impl IntoView {
    move || {
        app_state().desk.reading.get().is_none().then(|| {
            view! {
                <Message tone=Tone::Bad what="This event is not on this phone."
                    next="Collect its charter or its records first.".to_string()/>
            }
        })
    }
}
