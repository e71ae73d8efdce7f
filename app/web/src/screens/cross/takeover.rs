//! Going on from the other official's record, where one's own phone was lost.

use engine::crosscheck::Counterpart;
use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::book::Book;
use crate::parts::{Message, Tone};
use crate::state::app_state;

/// The offer, while nothing of the game is recorded here and the other official's
/// record has come.
pub fn offer(book: &Book, theirs: &Counterpart, writable: bool) -> Option<impl IntoView + use<>> {
    let copies = book.record.takeover(theirs.record(), 0)?.len() - 1;
    let app = app_state();
    let author = theirs.record().chain().author().fingerprint();
    let failed = RwSignal::new(None::<(String, String)>);
    let go_on = move |_| {
        spawn_local(async move {
            if let Err(why) = app.take_over(author).await {
                let _ = failed.try_set(Some(why.says()));
            }
        });
    };
    let what = match copies {
        1 => "the 1 thing that their record holds".to_string(),
        n => format!("the {n} things that their record holds"),
    };
    Some(view! {
        <section class="section" aria-label="In place of a lost phone">
            <h2>"In place of a lost phone?"</h2>
            <p>{format!(
                "If the phone that you called this game on is lost or empty, go on here: {what} become the beginning of \
                 yours, marked as copied. Compare codes with the other official from then on, and have the organiser \
                 list this phone's key and end the lost one's."
            )}</p>
            {move || failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            <button type="button" class="btn wide" on:click=go_on disabled=!writable>"Go on from their record"</button>
        </section>
    })
}
