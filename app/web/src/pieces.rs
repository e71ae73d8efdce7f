//! The pieces of the program, each loaded when something of it is first asked
//! for. The first piece, which loads with the page, holds the frame and the
//! first screen of a phone without games; the piece of games is loaded at once
//! where there are games, and else when that screen stands. What two pieces
//! share is split off by the build. So all screens have one state in memory,
//! and no way between two of them loads the page. A new screen goes into one of
//! the pieces below, unless calling needs it.

use core::pin::Pin;
use std::rc::Rc;

use leptos::prelude::*;
use leptos_router::LazyRoute;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

use crate::delivery::Delivery;
use crate::js;
use crate::parts::{Message, Page, Tone};
use crate::screens::{self, GameLists};
use crate::state::{AppState, Reach};
use crate::store::{Store, Trouble};

/// Between two attempts to load what reads the games (ms).
const AGAIN: i32 = 5_000;

/// What a piece does over some time.
type Work<T> = Pin<Box<dyn Future<Output = T>>>;

/// A piece is neither on the phone nor to be had.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct NotHere;

impl From<SplitLoaderError> for NotHere {
    fn from(_: SplitLoaderError) -> Self {
        Self
    }
}

/// Shown in the place of a screen whose piece could not be loaded.
#[component]
fn Missing() -> impl IntoView {
    let again = move |_| {
        if let Some(window) = js::window() {
            // Refused only where the page may not navigate at all.
            let _ = window.location().reload();
        }
    };
    view! {
        <Page title="This screen is not on the phone yet" back="/">
            <Message
                tone=Tone::Bad
                what="This part of Chalkbook could not be loaded."
                next="It comes with the first visit, or with a new version, as soon as there is a signal. Calling goes on without it."
            >
                <button type="button" class="btn lit" on:click=again>"Open Chalkbook again"</button>
            </Message>
        </Page>
    }
}

/// One piece: its screens, each a route.
macro_rules! piece {
    ($(#[$about:meta])* $piece:ident, $load:ident, $which:ident: $($screen:ident),+) => {
        $(#[$about])*
        #[derive(Clone, Copy)]
        #[allow(clippy::enum_variant_names)] // The screens' own names.
        enum $which {
            $($screen,)+
        }

        #[wasm_split($piece, fallible, preload($load))]
        fn $piece(which: $which) -> Result<AnyView, NotHere> {
            Ok(match which {
                $($which::$screen => view! { <screens::$screen/> }.into_any(),)+
            })
        }

        $(
            /// The route to a screen of this piece.
            #[derive(Clone, Copy)]
            pub struct $screen;

            impl LazyRoute for $screen {
                fn data() -> Self {
                    Self
                }

                async fn view(_: Self) -> AnyView {
                    match $piece($which::$screen).await {
                        Ok(view) => view,
                        Err(NotHere) => view! { <Missing/> }.into_any(),
                    }
                }
            }
        )+
    };
}

/// Starts the app: storage first, then what is read from it, then delivery.
pub async fn start(app: AppState, lists: RwSignal<Option<GameLists>>, delivery: Delivery) {
    let Some(store) = app.open_storage().await else {
        return;
    };
    if app.listed.get_untracked() {
        // There is nothing to read: the first screen is drawn before.
        js::idle().await;
    }
    loop {
        match games(app, lists, delivery, store.clone()).await {
            Ok(work) => {
                work.await;
                return make_ready().await;
            }
            Err(NotHere) => app.reach.set(Reach::Failed(Trouble::NoProgram)),
        }
        js::pause(AGAIN).await;
    }
}

/// Loads every piece that is on the phone, so that no screen is waited for.
async fn make_ready() {
    // Nothing is fetched twice beside the service worker's own first visit.
    if !js::kept_offline().await {
        return;
    }
    // One that does not load says so where its screen is asked for.
    js::idle().await;
    let _ = load_game().await;
    js::idle().await;
    let _ = load_around().await;
    js::idle().await;
    let _ = load_event().await;
    js::idle().await;
    let _ = load_ground().await;
}

#[wasm_split(game, fallible)]
fn games(
    app: AppState,
    lists: RwSignal<Option<GameLists>>,
    delivery: Delivery,
    store: Rc<Store>,
) -> Result<Work<()>, NotHere> {
    Ok(Box::pin(async move {
        lists.set(Some(screens::LISTS));
        app.start(store.clone()).await;
        js::idle().await;
        if app.store().is_ok() {
            app.on_change(move |game| delivery.nudge(game.into()));
            delivery.start(store).await;
        }
    }))
}

/// Puts the made-up day on the phone, or takes it away.
///
/// # Errors
/// What happened and what to do next, when it cannot be done.
pub async fn demo_day(app: AppState, wanted: bool) -> DemoDone {
    match demo(app, wanted).await {
        Ok(work) => work.await,
        Err(NotHere) => Err((
            Trouble::NoProgram.what(),
            Trouble::NoProgram.next().to_string(),
        )),
    }
}

/// Done, or what happened and what to do next.
type DemoDone = Result<(), (String, String)>;

#[wasm_split(around, fallible)]
fn demo(app: AppState, wanted: bool) -> Result<Work<DemoDone>, NotHere> {
    Ok(Box::pin(async move {
        match wanted {
            true => app.add_demo().await.map_err(|why| why.says()),
            false => app
                .remove_demo()
                .await
                .map_err(|trouble| (trouble.what(), trouble.next().to_string())),
        }
    }))
}

piece! {
    /// A game: called, and told.
    game, load_game, Game: Calling, Story
}
piece! {
    /// Around a game, between two phones, and what is set once.
    around, load_around, Around:
        NewFixture, Cards, Officials, Statement, Cross, ShowToOther, Take, Preferences, Deliveries, ComponentSheet
}
piece! {
    /// An event and its day.
    event, load_event, Event: Events, OneEvent, MakeCharter, Desk, Check
}
piece! {
    /// The court, and care for those on it.
    ground, load_ground, Ground: Court, Care
}
