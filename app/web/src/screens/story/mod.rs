//! The story of the game: every play in words, and amendments.

mod amend;

use engine::log::{Event, Step, entry_number};
use engine::message::pairing;
use engine::play::half_inning;
use leptos::prelude::*;

use super::open_game::{opened_book, unreadable};
use crate::book::Book;
use crate::clock;
use crate::parts::{Message, Page, Tone, batter_words};
use crate::state::{Access, ShownGame, app_state};
use crate::words;

use amend::Amend;

/// The story; a play that is picked opens on the same lanes.
#[component]
pub fn Story() -> impl IntoView {
    let app = app_state();
    let trouble = RwSignal::new(None);
    let open = opened_book(trouble);
    let picked = RwSignal::new(None::<u64>);
    move || {
        if let Some(seq) = picked.get() {
            return view! { <Amend seq=seq done=Callback::new(move |()| picked.set(None))/> }
                .into_any();
        }
        let may = app.access.get() == Access::Here;
        open.with(|open| match open {
            Some(ShownGame { book: Ok(book), .. }) => {
                told(book, picked, may && book.is_whole()).into_any()
            }
            _ => unreadable(open.as_ref(), trouble).into_any(),
        })
    }
}

fn told(book: &Book, picked: RwSignal<Option<u64>>, may_amend: bool) -> impl IntoView + use<> {
    let id = &book.listed.game;
    let mut half = None;
    let mut rows = Vec::new();
    for step in book.history().steps() {
        let turn = match step {
            Step::Play(p) => p.result.as_ref().ok().map(|o| o.turn).or(p.turn),
            Step::Notice(_) => None,
        };
        if let Some(turn) = turn
            && half != Some((turn.inning, turn.side))
        {
            half = Some((turn.inning, turn.side));
            let title = format!(
                "{}: {}",
                half_inning(turn.inning, turn.side),
                book.team(turn.side)
            );
            rows.push(view! { <li><h2 class="half">{title}</h2></li> }.into_any());
        }
        rows.push(row(book, step, picked, may_amend).into_any());
    }
    let nothing = rows.is_empty();
    let conflicts = book.history().conflicts().count();
    let title = pairing(&book.names());
    let back = format!("/call?game={id}");
    let damage = damage(book);
    let everything = everything(book);
    view! {
        <Page title="Play by play" back=back>
            <p class="strong">{title}</p>
            {(conflicts > 0).then(|| view! {
                <Message tone=Tone::Bad
                    what=words::conflicts(conflicts)
                    next="Correct them one by one, the earliest first.".to_string()/>
            })}
            {damage}
            {nothing.then(|| view! { <p>"Nothing is called yet."</p> })}
            <ol class="story">{rows}</ol>
            {everything}
        </Page>
    }
}

fn row(
    book: &Book,
    step: &Step,
    picked: RwSignal<Option<u64>>,
    may_amend: bool,
) -> impl IntoView + use<> {
    let (seq, number, text, marks) = match step {
        Step::Play(play) => {
            let text = match &play.result {
                Ok(outcome) => {
                    let mut said = outcome.sentences().join(" ");
                    if let Some(note) = &outcome.note {
                        said.push_str(&format!(" ({note})"));
                    }
                    said
                }
                Err(why) => why.to_string(),
            };
            let mut marks = Vec::new();
            if play.result.is_err() {
                marks.push("no longer fits");
            }
            if play.amended_by.is_some() {
                marks.push("corrected");
            }
            (play.seq, play.number.to_string(), text, marks)
        }
        Step::Notice(notice) => {
            let marks = if notice.objection.is_some() {
                vec!["no longer fits"]
            } else {
                Vec::new()
            };
            (
                notice.seq,
                String::new(),
                notice.notice.sentence(&book.names()),
                marks,
            )
        }
    };
    let class = if marks.contains(&"no longer fits") {
        "play changed-later"
    } else {
        "play"
    };
    let time = book
        .claimed(seq)
        .map(clock::time_of_day)
        .unwrap_or_default();
    let label = if number.is_empty() {
        "correct this notice".to_string()
    } else {
        format!("correct play {number}")
    };
    view! {
        <li class=class>
            <span class="n">{number}</span>
            <span>
                {text}" "<span class="soft small">{time}</span>
                {marks.into_iter().map(|m| view! { " "<span class="tag">{m}</span> }).collect_view()}
            </span>
            {may_amend.then(|| view! {
                <button type="button" class="btn quiet" aria-label=label
                    on:click=move |_| picked.set(Some(seq))>"Correct"</button>
            })}
        </li>
    }
}

/// Damaged entries: shown, kept, never deleted.
fn damage(book: &Book) -> Option<impl IntoView + use<>> {
    if book.damaged.is_empty() {
        return None;
    }
    let rows: Vec<_> = book
        .damaged
        .iter()
        .map(
            |d| view! { <li>{format!("Entry {}, {} bytes: {}", entry_number(d.seq), d.bytes.len(), d.why)}</li> },
        )
        .collect();
    Some(view! {
        <section class="message bad" aria-label="Damaged entries">
            <p class="what">{format!("{} entries of this game cannot be used.", rows.len())}</p>
            <p>"The game below ends before them. They are kept as found; nothing is deleted. \
                Go on in a new game, or on the other official's phone."</p>
            <ul class="stack-tight small">{rows}</ul>
        </section>
    })
}

/// Every entry, those taken back too.
fn everything(book: &Book) -> impl IntoView + use<> {
    let rows: Vec<_> = book
        .history()
        .events()
        .iter()
        .map(|(seq, event)| {
            let what = match event {
                Event::Play { call, .. } => format!("Play, batter {}.", batter_words(call.batter)),
                Event::Notice(n) => n.sentence(&book.names()),
                Event::Amend(a) => format!("Corrects entry {}.", entry_number(a.target)),
                Event::Undo { target } => {
                    format!("Takes back entry {}.", entry_number(*target))
                }
                Event::Replay { target } => {
                    format!(
                        "A protest was upheld: the game is played again from entry {}.",
                        entry_number(*target)
                    )
                }
                Event::Settle(_) => "Corrections agreed by both officials.".into(),
            };
            let back = !book.history().is_in_force(*seq) && !matches!(event, Event::Undo { .. });
            let time = book.claimed(*seq).map(clock::time_of_day).unwrap_or_default();
            view! {
                <li class="play">
                    <span class="n">{entry_number(*seq)}</span>
                    <span>{what}{back.then(|| view! { " "<span class="tag">"taken back"</span> })}</span>
                    <span class="soft small">{time}</span>
                </li>
            }
        })
        .collect();
    view! {
        <details class="section">
            <summary class="btn wide">"Every entry, those taken back too"</summary>
            <ol class="story">{rows}</ol>
        </details>
    }
}
