//! What arrived and wants a look before it counts: a charter of a new event, an
//! official's card, a record that is good only in part.

use crate::parts::A;
use engine::log::Author;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::{use_navigate, use_query_map};

use crate::charter_draft::CharterDraft;
use crate::parts::{Message, Tone, WholeKey};
use crate::state::{Arrival, TakenRecord, app_state};

/// The charter of an event that is new here: whose key is it?
#[component]
pub fn Compare(
    arrival: Arrival,
    /// At the organiser's desk, which stays where it is.
    #[prop(optional)]
    at_desk: bool,
) -> impl IntoView {
    let app = app_state();
    let Arrival::New { kept, namesake } = &arrival else {
        return ().into_any();
    };
    let signed = kept.history().in_force();
    let charter = signed.charter();
    let about = [charter.date.as_str(), charter.place.as_str()];
    let about: Vec<_> = about.into_iter().filter(|t| !t.is_empty()).collect();
    let (name, about) = (charter.event.clone(), about.join(", "));
    let count =
        |n: usize, one, many| crate::words::count(u16::try_from(n).unwrap_or(u16::MAX), one, many);
    let holds = format!(
        "Version {}: {}, {}, {}.",
        charter.version,
        count(charter.teams.len(), "team", "teams"),
        count(charter.officials.len() + 1, "official", "officials"),
        count(charter.fixtures.len(), "game", "games"),
    );
    let signer = charter.organiser.name.clone();
    let phrase = signed.key().phrase().to_string();
    let fingerprint = signed.key().fingerprint();
    let namesake = namesake.as_ref().map(|other| {
        format!("An event of this name is on this phone, signed with another key: {other}.")
    });
    let failed = RwSignal::new(None::<(String, String)>);
    let navigate = use_navigate();
    let away = navigate.clone();
    let arrival = StoredValue::new(arrival);
    let keep = move |_| {
        let navigate = navigate.clone();
        spawn_local(async move {
            let kept = match at_desk {
                true => app.desk_keeps(arrival.get_value()).await,
                false => app.keep_arrival(arrival.get_value()).await,
            };
            match kept {
                Ok(_) if at_desk => {}
                Ok(event) => {
                    let replace = NavigateOptions {
                        replace: true,
                        ..Default::default()
                    };
                    navigate(&format!("/event?event={event}&taken=new"), replace);
                }
                Err(why) => failed.set(Some(why.says())),
            }
        });
    };
    let leave = move |_| away("/events", NavigateOptions::default());
    view! {
        <section class="section" aria-label="The charter">
            <h2>{name}</h2>
            <p>{about}</p>
            <p>{holds}</p>
        </section>
        <section class="section" aria-label="Who signed it">
            <h2>"Signed by "{signer}</h2>
            <p>"with the key"</p>
            <p class="phrase">{phrase}</p>
            <p>"This event is new on this phone. Ask the organiser, face to face or by a call, to read the six words \
                of their key. This is asked once: later versions must be signed by an organiser whom this one names."</p>
            {namesake.map(|what| view! {
                <Message tone=Tone::Bad what=what next="Two people cannot both be its organiser: ask which one is.".to_string()/>
            })}
        </section>
        {move || failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
        <button type="button" class="btn lit big wide" on:click=keep>"The words are the same: keep it"</button>
        {(!at_desk).then(|| view! {
            <button type="button" class="btn wide" on:click=leave>"Other words: do not keep it"</button>
        })}
        <WholeKey of=fingerprint/>
    }
    .into_any()
}

/// An official's card, for the charter that is being made; `next` makes ready
/// for another one.
#[component]
pub fn Card(author: Author, next: Callback<String>) -> impl IntoView {
    let app = app_state();
    let query = use_query_map();
    let event = query.with_untracked(|q| q.get("event"));
    let phrase = author.key.phrase().to_string();
    let name = if author.name.is_empty() {
        "No name on the card".to_string()
    } else {
        author.name.clone()
    };
    let role = author.role.to_string();
    let navigate = use_navigate();
    let nameless = author.name.trim().is_empty();
    let listed = name.clone();
    let add = move || {
        let kept = CharterDraft::load(event.as_deref());
        // A new version not touched yet begins where the one in force ends.
        let begun = kept.or_else(|| {
            let event = event.as_deref()?;
            let kept = app.event(event)?;
            Some(CharterDraft::of(event, kept.in_force()?))
        });
        let mut draft = begun.unwrap_or_default();
        draft.add_official(&author);
        draft.save();
        draft
    };
    let add = StoredValue::new(add);
    let one_more = {
        let listed = listed.clone();
        move |_| {
            add.with_value(|add| add());
            next.run(listed.clone());
        }
    };
    let list = move |_| {
        let draft = add.with_value(|add| add());
        let listed = String::from(js_sys::encode_uri_component(&listed));
        let to = match &draft.event {
            Some(event) => format!("/charter?event={event}&listed={listed}"),
            None => format!("/charter?listed={listed}"),
        };
        let replace = NavigateOptions {
            replace: true,
            ..Default::default()
        };
        navigate(&to, replace);
    };
    view! {
        <section class="section" aria-label="The card">
            <h2>{name}", "{role}</h2>
            <p>"Ask them to read the six words of their key, and compare:"</p>
            <p class="phrase">{phrase}</p>
        </section>
        {nameless.then(|| view! {
            <Message tone=Tone::Bad what="There is no name on this card.".to_string()
                next="Ask for the name: it is given in the settings of that phone. Or give it in the list afterwards.".to_string()/>
        })}
        <button type="button" class="btn lit big wide" on:click=list>"The words are the same: list them"</button>
        <button type="button" class="btn wide" on:click=one_more>"The same: list them, and take the next card"</button>
        <A href="/events" attr:class="btn wide">"Do not list them"</A>
    }
}

/// A record that is good only up to an entry.
#[component]
pub fn Damaged(taken: TakenRecord) -> impl IntoView {
    let to = format!("/cross?game={}", taken.game);
    let count = u16::try_from(taken.added).unwrap_or(u16::MAX);
    let kept = crate::words::count(count, "new entry was", "new entries were");
    let what = format!(
        "Part of this record is damaged. {}",
        taken.damage.unwrap_or_default()
    );
    let next = format!(
        "What stands before it is good: {kept} kept. Your own record is as it was. Take it again from its keeper."
    );
    view! {
        <Message tone=Tone::Bad what=what next=next/>
        <A href=to attr:class="btn lit big wide">"Compare with what is good"</A>
    }
}
