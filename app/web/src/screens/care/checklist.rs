//! The checklist before play: each point with who looked and when.

use engine::court::care::{Check, Topic};
use engine::log::BEFORE_THE_GAME;
use leptos::prelude::*;

use super::{Looking, Who};
use crate::clock;
use crate::parts::{Message, Section, Tone};
use crate::precautions::{Look, checklist};

/// Every point of the list.
#[component]
pub fn List(looking: Looking) -> impl IntoView {
    let list = Memo::new(move |_| looking.looks.with(|l| checklist(l)));
    let stands = move || {
        let (said, wrong, open) =
            list.with(|l| (l.sentence(), !l.wrong().is_empty(), !l.open().is_empty()));
        let tone = match (wrong, open) {
            (true, _) => Tone::Bad,
            (false, true) => Tone::Plain,
            (false, false) => Tone::Good,
        };
        view! { <Message tone=tone what=said/> }
    };
    let kept = move || {
        if looking.game.get().is_some() {
            "Each check goes into the log of this game."
        } else {
            "Kept on this phone today; the next game that begins here takes it into its log."
        }
    };
    view! {
        <p class="small soft">{kept}</p>
        <Who looking=looking/>
        <BeforeTheGame looking=looking/>
        <ol class="stack">
            {Topic::ALL.map(|topic| {
                let latest = Memo::new(move |_| list.with(|l| l.latest(topic).cloned()));
                view! { <Point looking=looking topic=topic latest=latest/> }
            }).collect_view()}
        </ol>
        {stands}
    }
}

/// What is ticked off before the first play.
#[component]
fn BeforeTheGame(looking: Looking) -> impl IntoView {
    let tick = move |item: &'static str| {
        let ticked = Memo::new(move |_| {
            looking.looks.with(|l| {
                let last = l.iter().rfind(|l| l.item == item);
                last.is_some_and(|l| l.in_order)
            })
        });
        let keep = move |_| {
            if let Some(who) = looking.name() {
                let look = Look {
                    item: item.into(),
                    who,
                    in_order: !ticked.get_untracked(),
                    at: clock::now(),
                };
                looking.keep(look, || {});
            }
        };
        view! {
            <button type="button" class="btn" aria-pressed=move || ticked.get().to_string() on:click=keep>{item}</button>
        }
    };
    view! {
        <Section title="Before the first play">
            <div class="ways two">{BEFORE_THE_GAME.map(tick).collect_view()}</div>
        </Section>
    }
}

#[component]
fn Point(looking: Looking, topic: Topic, latest: Memo<Option<Check>>) -> impl IntoView {
    // What was found, while it is being written.
    let found = RwSignal::new(None::<String>);
    let keep = move |in_order: bool, note: String| {
        if let Some(who) = looking.name() {
            let look = Look::at_topic(topic, &note, &who, in_order);
            looking.keep(look, move || found.set(None));
        }
    };
    let is = move |wanted: bool| latest.with(|l| l.as_ref().is_some_and(|l| l.in_order == wanted));
    let said = move || {
        latest.with(|l| {
            l.as_ref().map(|l| {
                let note = if l.note.is_empty() {
                    String::new()
                } else {
                    format!(": {}", l.note)
                };
                let how = if l.in_order {
                    "in order"
                } else {
                    "not in order"
                };
                format!("{}, {}: {how}{note}.", l.by, clock::time_of_day(l.at_ms))
            })
        })
    };
    let id = format!(
        "found-{}",
        Topic::ALL.iter().position(|t| *t == topic).unwrap_or(0)
    );
    let title = topic.title();
    view! {
        <li><div class="point" role="group" aria-label=title>
            <h2>{title}</h2>
            <p>{topic.text()}</p>
            <div class="pair">
                <button type="button" class="btn safe" aria-label=format!("{title}: in order")
                    aria-pressed=move || is(true).to_string()
                    on:click=move |_| keep(true, String::new())>"In order"</button>
                <button type="button" class="btn bad" aria-label=format!("{title}: not in order")
                    aria-pressed=move || is(false).to_string()
                    aria-expanded=move || found.with(Option::is_some).to_string()
                    on:click=move |_| found.set(Some(String::new()))>"Not in order"</button>
            </div>
            <Show when=move || found.with(Option::is_some)>
                <div class="field">
                    <label for=id.clone()>"What was found?"</label>
                    <input id=id.clone() class="input" maxlength="120" autocomplete="off"
                        on:input:target=move |ev| found.set(Some(ev.target().value()))/>
                </div>
                <button type="button" class="btn lit wide"
                    on:click=move |_| keep(false, found.get_untracked().unwrap_or_default())>
                    {format!("note: {title} is not in order")}
                </button>
            </Show>
            <p class="small" role="status">{said}</p>
        </div></li>
    }
}
