//! The pieces of the program that are loaded when one of their screens is
//! first asked for. What calling needs is in the first piece; what two pieces
//! share is split off by the build.

use leptos::prelude::*;
use leptos_router::LazyRoute;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

use crate::js;
use crate::parts::{Message, Page, Tone};
use crate::screens;

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
                <button type="button" class="btn lit" on:click=again>"open Chalkbook again"</button>
            </Message>
        </Page>
    }
}

/// One piece: its screens, each a route.
macro_rules! piece {
    ($(#[$about:meta])* $piece:ident, $which:ident: $($screen:ident),+) => {
        $(#[$about])*
        #[derive(Clone, Copy)]
        #[allow(clippy::enum_variant_names)] // The screens' own names.
        enum $which {
            $($screen,)+
        }

        #[wasm_split($piece, fallible)]
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

piece! {
    /// Around a game, between two phones, and what is set once.
    around, Around:
        NewFixture, Cards, Statement, Cross, ShowToOther, Take, Preferences, Deliveries, ComponentSheet
}
piece! {
    /// An event and its day.
    event, Event: Events, OneEvent, MakeCharter, Desk, Check
}
piece! {
    /// The court, and care for those on it.
    ground, Ground: Court, Care
}
