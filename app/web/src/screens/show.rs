//! Showing something to the other phone: as codes, as text, or as a file.

use engine::link::{Kind, Sender, SymbolSize, text};
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::components::A;
use leptos_router::hooks::use_query_map;

use super::calling::{opened_book, unreadable};
use super::cross::pending;
use crate::book::Book;
use crate::chalk::Shown;
use crate::hand;
use crate::parts::{CodeLoop, Message, Page, Tone};

/// What is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    /// The game, to be joined.
    Game,
    /// This phone's record of it.
    Record,
    /// What was agreed, for the other phone to record too.
    Rulings,
}

impl What {
    fn of(word: &str) -> Self {
        match word {
            "record" => Self::Record,
            "rulings" => Self::Rulings,
            _ => Self::Game,
        }
    }

    const fn title(self) -> &'static str {
        match self {
            Self::Game => "Show this game",
            Self::Record => "Show your record",
            Self::Rulings => "Show the rulings",
        }
    }

    const fn next(self) -> &'static str {
        match self {
            Self::Game => "On the second phone: \"take from another phone\" on the first screen.",
            Self::Record | Self::Rulings => {
                "On the other phone, in the same game: \"second phone\", then \"take theirs\"."
            }
        }
    }

    const fn file(self) -> &'static str {
        match self {
            Self::Game => "chalkbook-game.txt",
            Self::Record => "chalkbook-record.txt",
            Self::Rulings => "chalkbook-rulings.txt",
        }
    }

    fn payload(self, book: &Book) -> Option<(Kind, Vec<u8>)> {
        match self {
            Self::Game => Some((Kind::Fixture, book.setup().to_bytes())),
            Self::Record => Some((Kind::Entries, book.record.chain().to_bytes())),
            Self::Rulings => {
                let theirs = pending(book)?;
                Some((Kind::Rulings, theirs.agreement(&book.record).to_bytes()))
            }
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Codes,
    Text,
    File,
}

/// The screen; `what` in the address says what is shown.
#[component]
pub fn ShowToOther() -> impl IntoView {
    let trouble = RwSignal::new(None);
    let open = opened_book(trouble);
    let query = use_query_map();
    let what = Memo::new(move |_| What::of(&query.with(|q| q.get("what")).unwrap_or_default()));
    move || {
        let what = what.get();
        open.with(|open| match open {
            Some(Shown { book: Ok(book), .. }) => shown(book, what).into_any(),
            _ => unreadable(open.as_ref(), trouble).into_any(),
        })
    }
}

fn shown(book: &Book, what: What) -> impl IntoView + use<> {
    let back = format!("/cross?game={}", book.listed.game);
    let senders = match what.payload(book) {
        Some((kind, payload)) => Sender::new(kind, &payload, SymbolSize::QR)
            .and_then(|codes| Ok((codes, Sender::new(kind, &payload, SymbolSize::MAX)?)))
            .map_err(|why| why.to_string()),
        None => Err("There are no rulings to show.".into()),
    };
    let way = RwSignal::new(Way::Codes);
    let tab = move |this: Way, words: &'static str| {
        view! {
            <button type="button" class="btn" aria-pressed=move || (way.get() == this).to_string()
                on:click=move |_| way.set(this)>{words}</button>
        }
    };
    let again = back.clone();
    let foot = move || view! { <A href=again attr:class="btn lit big wide">"Done"</A> };
    let inside = match senders {
        Err(why) => view! { <Message tone=Tone::Bad what=why/> }.into_any(),
        Ok((codes, whole)) => {
            let codes = StoredValue::new(codes);
            let lines = StoredValue::new(text::lines(&whole, 0));
            view! {
                <div class="ways three" role="group" aria-label="How">
                    {tab(Way::Codes, "codes")}
                    {tab(Way::Text, "text")}
                    {tab(Way::File, "file")}
                </div>
                {move || match way.get() {
                    Way::Codes => view! {
                        <CodeLoop sender=codes/>
                        <p>{what.next()}" Hold the phones a hand apart, the code filling the picture."</p>
                    }.into_any(),
                    Way::Text => view! { <AsText lines=lines/> }.into_any(),
                    Way::File => view! { <AsFile lines=lines name=what.file()/> }.into_any(),
                }}
            }
            .into_any()
        }
    };
    view! {
        <Page title=what.title() back=back has_foot=true foot=foot>{inside}</Page>
    }
}

#[component]
fn AsText(lines: StoredValue<String>) -> impl IntoView {
    let done = RwSignal::new(None::<bool>);
    let copy =
        move |_| spawn_local(async move { done.set(Some(hand::copy(&lines.get_value()).await)) });
    view! {
        <p>"Send these lines in any chat, whole. The other phone reads them under \"text\"."</p>
        <textarea class="input lines" readonly rows="8" aria-label="lines to send">{lines.get_value()}</textarea>
        <button type="button" class="btn big wide" on:click=copy>"Copy the lines"</button>
        {move || done.get().map(|ok| if ok {
            view! { <p role="status">"Copied."</p> }.into_any()
        } else {
            view! { <Message tone=Tone::Bad what="This browser did not copy them."
                next="Hold a finger on the lines, choose all of them and copy."/> }.into_any()
        })}
    }
}

#[component]
fn AsFile(lines: StoredValue<String>, name: &'static str) -> impl IntoView {
    let said = RwSignal::new(None::<(Tone, &'static str)>);
    let share = move |_| {
        spawn_local(async move {
            if hand::share(name, &lines.get_value()).await {
                said.set(Some((Tone::Good, "Passed on.")));
            }
        });
    };
    let save = move |_| {
        said.set(Some(if hand::save(name, &lines.get_value()) {
            (Tone::Good, "Saved with this phone's downloads.")
        } else {
            (
                Tone::Bad,
                "This browser saves no files from here. Use codes or text.",
            )
        }));
    };
    view! {
        <p>"A small text file. The other phone reads it under \"file\"."</p>
        <Show when=hand::can_share>
            <button type="button" class="btn big wide" on:click=share>"Pass the file on"</button>
        </Show>
        <button type="button" class="btn big wide" on:click=save>"Save the file"</button>
        {move || said.get().map(|(tone, what)| view! { <Message tone=tone what=what.to_string()/> })}
    }
}
