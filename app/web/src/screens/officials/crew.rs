//! Who umpires where, and each rotation.

use engine::log::{Body, Crew};
use leptos::prelude::*;

use super::{Desk, Line, when};
use crate::book::Book;
use crate::clock;

const PLACES: [(&str, &str); 4] = [
    ("crew-home", "home"),
    ("crew-first", "first base"),
    ("crew-second", "second base"),
    ("crew-third", "third base"),
];

fn names(crew: &Crew) -> [Option<&String>; 4] {
    let Crew {
        home,
        first,
        second,
        third,
    } = crew;
    [home, first, second, third].map(Option::as_ref)
}

/// Each crew that was noted, in words.
pub fn crew_lines(book: &Book) -> Vec<String> {
    let one = |(seq, crew): (u64, &Crew)| {
        let at = book.claimed(seq).map(clock::time_of_day);
        let who = names(crew).into_iter().zip(PLACES);
        let who: Vec<String> = who
            .filter_map(|(name, (_, place))| Some(format!("{place} {}", name?)))
            .collect();
        format!(
            "{} ({}): {}.",
            when(book, seq),
            at.unwrap_or_default(),
            who.join(", ")
        )
    };
    book.record.crews().map(one).collect()
}

/// The four places, filled in as noted last.
#[component]
pub fn Umpires(desk: Desk) -> impl IntoView {
    let last = desk.with(|b| b.record.crews().next_back().map(|(_, c)| c.clone()));
    let last = last.flatten().unwrap_or_default();
    let typed = names(&last).map(|name| RwSignal::new(name.cloned().unwrap_or_default()));
    let crew = move || {
        let name = |at: usize| Some(typed[at].get().trim().to_string()).filter(|n| !n.is_empty());
        Crew {
            home: name(0),
            first: name(1),
            second: name(2),
            third: name(3),
        }
    };
    let noted = move || {
        desk.with(|b| {
            let last = b.record.crews().next_back().map(|(_, c)| c.clone());
            last.unwrap_or_default() == crew()
        })
        .unwrap_or_default()
    };
    // Each to the next place that somebody has.
    let rotate = move |_| {
        let filled = typed
            .iter()
            .filter(|t| !t.get_untracked().trim().is_empty());
        let filled: Vec<_> = filled.collect();
        let mut names: Vec<String> = filled.iter().map(|t| t.get_untracked()).collect();
        if !names.is_empty() {
            names.rotate_right(1);
        }
        for (place, name) in filled.into_iter().zip(names) {
            place.set(name);
        }
    };
    let record = move |_| {
        let crew = Body::Crew(crew());
        desk.recording.record_body(crew, || {});
    };
    let lines = move || {
        let lines = desk.with(crew_lines).unwrap_or_default().into_iter();
        lines.map(|l| view! { <li>{l}</li> }).collect_view()
    };
    view! {
        <section class="section" aria-label="Who umpires where">
            <h2>"Who umpires where?"</h2>
            {PLACES.into_iter().zip(typed).map(|((id, label), value)| view! {
                <Line id=id label=label value=value/>
            }).collect_view()}
            <div class="pair">
                <button type="button" class="btn" on:click=rotate>"Rotate"</button>
                <button type="button" class="btn lit big" disabled=noted on:click=record>"Note it"</button>
            </div>
            <ul class="stack-tight small">{lines}</ul>
        </section>
    }
}
