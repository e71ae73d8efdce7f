//! Events: the charters of this phone, what each says, and the making of one.

mod make;
mod one;
mod says;

use crate::parts::A;
use engine::log::Author;
use leptos::prelude::*;

use crate::charter_draft::CharterDraft;
use crate::parts::{Message, Page};
use crate::state::{AppState, Reach, app_state};
use crate::store::KeptCharter;
use crate::words;

pub use make::MakeCharter;
pub use one::OneEvent;
pub use says::{CharterSays, KeyNotes, opening_here, under_line};

/// Who this phone's official is, as a card for the organiser and as the author
/// of a log; `None` before the key is read.
pub fn own_card(app: AppState) -> Option<Author> {
    // Read first, so that the card is made again when the key is there.
    app.key_shown.get()?;
    let key = app.key().ok()?;
    let official = app.official.get();
    Some(Author::new(*key.public(), &*official.name, official.role()))
}

/// What this phone's key is endorsed for, in words.
pub fn endorsed(kept: &KeptCharter, own: Option<&Author>) -> String {
    let charter = kept.in_force().map(|c| c.charter());
    let listed = own.and_then(|own| charter?.endorsement(&own.key));
    match listed {
        Some(listed) => format!("You are listed: {}, {}.", listed.name, listed.role),
        None => "This phone's key is not listed.".into(),
    }
}

/// The events of this phone.
#[component]
pub fn Events() -> impl IntoView {
    let app = app_state();
    let rows = move || {
        let own = own_card(app);
        let mut all = app.charters.get();
        // The nearest day first; of one day, by name.
        all.sort_by_key(|kept| {
            kept.in_force().map(|c| {
                let charter = c.charter();
                (
                    core::cmp::Reverse(charter.date.clone()),
                    charter.event.clone(),
                )
            })
        });
        let rows = all.iter().filter_map(|kept| row(kept, own.as_ref()));
        rows.collect_view()
    };
    let none = move || app.reach.get() == Reach::Ready && app.charters.with(Vec::is_empty);
    let begun = CharterDraft::load(None).is_some();
    let foot = move || {
        view! { <A href="/take" attr:class="btn lit big wide">"Take a charter"</A> }
    };
    view! {
        <Page title="Events" back="/" has_foot=true foot=foot>
            <Show when=none>
                <Message
                    what="No event's charter is on this phone."
                    next="The organiser has it: take it from their phone, from a file, or from a message. \
                        Games without one work too, and are marked so."
                />
            </Show>
            <Show when=move || app.charters.with(|all| !all.is_empty())>
                <section class="section" aria-label="On this phone">
                    <ul class="games">{rows}</ul>
                </section>
            </Show>
            <p>"An event has a charter: its teams, officials, rules and schedule, signed by the organiser. \
                A phone that has it fills in each game."</p>
            <section class="section" aria-label="To become an official of an event">
                <A href="/show?what=card" attr:class="btn wide start">
                    <span class="words">
                        "Show my card to the organiser"
                        <span class="under">"Your name, role and public key, for the charter to list you."</span>
                    </span>
                </A>
                <A href="/charter" attr:class="btn wide start">
                    <span class="words">
                        {if begun { "Go on with the charter" } else { "Make a charter" }}
                        <span class="under">"For organisers: teams, rosters, officials, schedule, signed with this phone's key."</span>
                    </span>
                </A>
            </section>
        </Page>
    }
}

fn row(kept: &KeptCharter, own: Option<&Author>) -> Option<impl IntoView + use<>> {
    let charter = kept.in_force()?.charter();
    let about = [charter.date.as_str(), charter.place.as_str()];
    let about: Vec<_> = about.into_iter().filter(|t| !t.is_empty()).collect();
    let count = u16::try_from(charter.fixtures.len()).unwrap_or(u16::MAX);
    let state = format!(
        "Version {}, {}. {}",
        charter.version,
        words::count(count, "game", "games"),
        endorsed(kept, own)
    );
    let (name, about) = (charter.event.clone(), about.join(", "));
    let to = format!("/event?event={}", kept.event);
    Some(view! {
        <li>
            <A href=to attr:class="game-row">
                <span class="sides">
                    <span class="strong">{name}</span>
                    <span>{about}</span>
                </span>
                <span class="state">{state}</span>
            </A>
        </li>
    })
}
