//! What is given out: files for other programs, a calendar, a sheet to print,
//! and the organiser's own decisions.

use std::sync::Arc;

use engine::log::LogFile;
use engine::report::publish::File;
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::paper::Paper;
use super::{NotHere, Parts, Reading, Seen, address};
use crate::parts::{Message, Page, Section, Tone};
use crate::sharing;
use crate::state::{DeskView, app_state};

/// The file with the organiser's decisions.
const DECISIONS: &str = "decisions.playlog";

/// The screen.
#[component]
pub fn Give(event: String, view: Seen) -> impl IntoView {
    let back = address(&event, "");
    let inside = move || match view.get() {
        None => view! { <NotHere/> }.into_any(),
        Some(view) => files(&view).into_any(),
    };
    view! {
        <Page title="Publish" back=back>
            <Parts event=event here="out"/>
            {inside}
            <Reading/>
        </Page>
    }
}

fn what_is_it(name: &str) -> String {
    match name.split_once('.') {
        Some(("games", "csv")) => "Every game, its score and how it stands, as a table.".into(),
        Some(("schedule", "ics")) => "The schedule for calendars.".into(),
        Some(("schedule", "csv")) => "The schedule with its results, as a table.".into(),
        Some(("leaders", "csv")) => "The leading players, as a table.".into(),
        Some((table, "csv")) => format!(
            "Table {}, as a table.",
            table.trim_start_matches("standings-")
        )
        .replace(", as a table", " of the standings"),
        Some((_, "json")) => "The same for programs.".into(),
        _ => String::new(),
    }
}

fn files(view: &Arc<DeskView>) -> impl IntoView + use<> {
    let said = RwSignal::new(None::<(Tone, String)>);
    let names = view.published(|p| p.names());
    let list: Vec<_> = names
        .into_iter()
        .map(|name| {
            let (for_save, for_share) = (view.clone(), view.clone());
            let (save, share) = (name.clone(), name.clone());
            let saved = move |_| {
                let Some(file) = for_save.published(|p| p.file(&save)) else {
                    return;
                };
                said.set(Some(kept(&file)));
            };
            let shared = move |_| {
                let Some(file) = for_share.published(|p| p.file(&share)) else {
                    return;
                };
                spawn_local(async move {
                    if sharing::share(&file.name, &file.content).await {
                        said.set(Some((Tone::Good, format!("{} is passed on.", file.name))));
                    }
                });
            };
            let about = what_is_it(&name);
            view! {
                <li class="file-row">
                    <button type="button" class="btn wide start" on:click=saved>
                        <span class="words">{format!("Save {name}")}<span class="under">{about}</span></span>
                    </button>
                    <Show when=sharing::can_share>
                        <button type="button" class="btn" on:click=shared.clone()
                            aria-label=format!("Pass {name} on")>"Pass on"</button>
                    </Show>
                </li>
            }
        })
        .collect();
    let decisions = app_state().desk_decisions(view);
    let decisions = (!decisions.is_empty()).then(|| {
        let save = move |_| {
            let ok = sharing::save_as(DECISIONS, LogFile::MEDIA_TYPE, &decisions);
            said.set(Some(told(ok, DECISIONS)));
        };
        view! {
            <Section title="Your decisions" class="no-print">
                <p>"Signed by you. A collector and every other desk can check them."</p>
                <button type="button" class="btn wide" on:click=save>"Save the decisions"</button>
            </Section>
        }
    });
    let print = |_| crate::js::print();
    let privacy = view.charter().map_or(
        "Players by number only: there is no charter that says otherwise.",
        |c| match c.privacy {
            engine::charter::Privacy::Names => "Players by their names, as the charter says.",
            engine::charter::Privacy::Initials => {
                "Players by initials and number, as the charter says."
            }
            engine::charter::Privacy::Numbers => "Players by number only, as the charter says.",
        },
    );
    view! {
        <div class="no-print stack">
            <p>{privacy}</p>
            {move || said.get().map(|(tone, what)| view! { <Message tone=tone what=what/> })}
            <Section title="On paper">
                <button type="button" class="btn lit big wide" on:click=print>"Print the results"</button>
            </Section>
            <Section title="Files">
                <ul class="games">{list}</ul>
            </Section>
            {decisions}
        </div>
        <Paper view=view.clone()/>
    }
}

fn told(ok: bool, name: &str) -> (Tone, String) {
    match ok {
        true => (
            Tone::Good,
            format!("{name} is saved with this phone's downloads."),
        ),
        false => (Tone::Bad, "This browser saves no files from here.".into()),
    }
}

fn kept(file: &File) -> (Tone, String) {
    let ok = sharing::save_as(&file.name, file.kind, file.content.as_bytes());
    told(ok, &file.name)
}
