//! Rulings from the other phone: looked at, then recorded here too.

use engine::crosscheck::{Agreement, AgreementObjection};
use engine::log::{Body, Event};
use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::book::Book;
use crate::parts::{Message, Section, Tone};
use crate::state::{AppState, ShownGame, app_state};

/// One thing that this record would take, in words.
fn words(body: &Body, book: &Book) -> (String, &'static str) {
    match body {
        Body::Ruling(ruling) if ruling.correction.is_some() => {
            (ruling.note.clone(), "Your record is corrected.")
        }
        Body::Ruling(ruling) => (ruling.note.clone(), "Your record stays as it is."),
        Body::LeftOpen(open) => (open.note.clone(), "Left standing: the game is disputed."),
        Body::Event(Event::Notice(notice)) => {
            (notice.sentence(&book.names()), "Added to your record.")
        }
        _ => (
            "A play that you had not recorded.".into(),
            "Added to your record.",
        ),
    }
}

/// Whether rulings for this game wait and could be recorded.
pub fn waits(app: AppState, book: &Book) -> bool {
    let fits = |a: &Option<Agreement>| a.as_ref().is_some_and(|a| a.check(&book.record).is_ok());
    app.offered.with(fits)
}

/// The rulings that wait for a yes, if they are for this record.
#[component]
pub fn Offer(writable: bool) -> impl IntoView {
    let app = app_state();
    let failed = RwSignal::new(None::<(String, String)>);
    let judged = move || {
        let agreement = app.offered.get()?;
        app.open.with(|open| match open {
            Some(ShownGame { book: Ok(book), .. }) if agreement.is_for(&book.record) => {
                let list: Vec<_> = agreement.bodies.iter().map(|b| words(b, book)).collect();
                let may = agreement.check(&book.record);
                Some((agreement, list, may))
            }
            _ => None,
        })
    };
    let record = move |agreement: Agreement| {
        spawn_local(async move {
            match app.record_all(agreement.bodies).await {
                Ok(()) => {
                    app.offered.set(None);
                    app.say("The rulings are recorded.");
                }
                Err(why) => {
                    failed.try_set(Some(why.says()));
                }
            }
        });
    };
    view! {
        {move || failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
        {move || judged().map(|(agreement, list, may)| match may {
            Ok(()) => {
                let rows: Vec<_> = list.into_iter()
                    .map(|(what, then)| view! { <li><p class="strong">{what}</p><p class="soft">{then}</p></li> })
                    .collect();
                view! {
                    <Section title="Rulings from the other phone">
                        <ul class="stack">{rows}</ul>
                        <div class="pair">
                            <button type="button" class="btn" on:click=move |_| app.offered.set(None)>"Not agreed"</button>
                            <button type="button" class="btn lit big" disabled=!writable
                                on:click=move |_| record(agreement.clone())>"Agree and record"</button>
                        </div>
                    </Section>
                }.into_any()
            }
            Err(why) => {
                let recorded = why == AgreementObjection::Recorded;
                view! {
                    <Message tone=if recorded { Tone::Good } else { Tone::Bad } what=why.to_string()>
                        <button type="button" class="btn" on:click=move |_| app.offered.set(None)>"Put away"</button>
                    </Message>
                }.into_any()
            }
        })}
    }
}
