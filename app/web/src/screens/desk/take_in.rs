//! The ways in: files, text, other phones' screens, a collector. Whatever comes
//! is kept as it came; what is good in it counts.

use crate::parts::{A, Section};
use engine::link::{ReceivedPayload, text};
use engine::log::Hash;
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::collector::Collector;
use super::{Parts, Reading, address};
use crate::parts::{Message, Page, PastedLines, Tone};
use crate::screens::take::Compare;
use crate::sharing;
use crate::state::app_state;
use crate::store::FiledDocument;

/// The screen.
#[component]
pub fn TakeIn(event: Option<String>) -> impl IntoView {
    let app = app_state();
    let back = event
        .as_ref()
        .map_or_else(|| "/desk".to_string(), |e| address(e, ""));
    // What the camera read is said here too.
    let said = app.desk.just;
    on_cleanup(move || said.set(None));
    let field = NodeRef::<leptos::html::Input>::new();
    let chosen = move |_| {
        let Some(input) = field.get_untracked() else {
            return;
        };
        spawn_local(async move {
            let files = sharing::all_chosen(&input.into()).await;
            let files = files
                .into_iter()
                .flat_map(|(name, bytes)| unpacked(name, bytes));
            said.set(Some(app.desk_take(files.collect()).await));
        });
    };
    let typed = RwSignal::new(String::new());
    let read = move || {
        let bytes = typed.with_untracked(|t| t.clone().into_bytes());
        spawn_local(async move {
            let files = unpacked("pasted text".into(), bytes);
            said.set(Some(app.desk_take(files).await));
            typed.set(String::new());
        });
    };
    let camera = match &event {
        Some(event) => format!("/take?desk={event}"),
        None => "/take?desk=any".into(),
    };
    // Stays as it is while more files are read.
    let asked = Memo::new(move |before: Option<&Option<Hash>>| {
        let before = before.copied().flatten();
        app.desk_asks(before).map(|(hash, _)| hash)
    });
    let parts = event
        .clone()
        .map(|event| view! { <Parts event=event here="in"/> });
    view! {
        <Page title="Collect" back=back>
            {parts}
            {move || asked.get().and_then(|hash| untrack(|| app.desk_asks(Some(hash)))).map(|(_, arrival)| view! {
                <Compare arrival=arrival at_desk=true/>
            })}
            // Below the question: it comes while that is being answered.
            {move || said.get().map(|done| view! {
                <div class="moved-in">
                    {match done {
                        Ok(files) => view! { <Taken files=files/> }.into_any(),
                        Err(t) => view! { <Message tone=Tone::Bad what=t.what() next=t.next().to_string()/> }.into_any(),
                    }}
                </div>
            })}
            <Section title="Files">
                <label class="field">
                    <span class="label">"Records and charters, several at once"</span>
                    <input class="input" type="file" multiple node_ref=field on:change=chosen/>
                </label>
            </Section>
            <Section title="Text">
                <PastedLines typed=typed read=read/>
            </Section>
            <Section title="Another phone's screen">
                <A href=camera attr:class="btn wide">"Take with the camera"</A>
            </Section>
            {event.map(|event| view! { <Collector event=event/> })}
            <Came/>
            <Reading/>
        </Page>
    }
}

/// A file as it is, or what the lines of another phone in it carry.
pub fn unpacked(name: String, bytes: Vec<u8>) -> Vec<(String, Vec<u8>)> {
    let found = core::str::from_utf8(&bytes)
        .map(text::read)
        .unwrap_or_default();
    let whole = found.whole();
    if whole.is_empty() {
        return vec![(name, bytes)];
    }
    let named = |r: ReceivedPayload| (format!("{name}: {}", r.kind), r.payload);
    whole.into_iter().map(named).collect()
}

/// What came just now.
#[component]
fn Taken(files: Vec<FiledDocument>) -> impl IntoView {
    let wrong = files.iter().filter(|f| !f.wrong.is_empty()).count();
    let what = match files.len() {
        1 => "1 file is kept.".to_string(),
        n => format!("{n} files are kept."),
    };
    let (tone, next) = match wrong {
        0 if files.len() == 1 => (Tone::Good, "Every signature in it is good.".to_string()),
        0 => (Tone::Good, "Every signature in them is good.".to_string()),
        1 if files.len() == 1 => (Tone::Bad, "Something is wrong with it: see below.".into()),
        1 => (
            Tone::Bad,
            "Something is wrong with one of them: see below.".into(),
        ),
        n => (
            Tone::Bad,
            format!("Something is wrong with {n} of them: see below."),
        ),
    };
    view! { <Message tone=tone what=what next=next/> }
}

/// Every file that ever came, what is wrong first.
#[component]
fn Came() -> impl IntoView {
    let files = app_state().desk.files;
    move || {
        let mut all = files.get();
        all.sort_by_key(|f| f.wrong.is_empty());
        (!all.is_empty()).then(|| {
            let rows: Vec<_> = all
                .into_iter()
                .map(|f| view! { <li>{row(f)}</li> })
                .collect();
            view! {
                <Section title="What came">
                    <ul class="games">{rows}</ul>
                </Section>
            }
        })
    }
}

fn row(file: FiledDocument) -> impl IntoView {
    let when = format!(
        "{}, {} bytes. {}",
        crate::clock::time_of_day(file.at_ms),
        file.bytes.len(),
        file.what
    );
    let wrong: Vec<String> = file.wrong.iter().map(|w| w.sentence.clone()).collect();
    let class = if wrong.is_empty() {
        "message"
    } else {
        "message bad"
    };
    view! {
        <div class=class>
            <p class="what">{file.name}</p>
            <p>{when}</p>
            {(!wrong.is_empty()).then(|| super::game::list(&wrong))}
        </div>
    }
}
