//! One event: the charter in force, what this phone may do, and its games.

use crate::parts::{A, Section};
use engine::charter::{Charter, Privacy, SignedCharter};
use engine::log::{Author, Role, Verified};
use leptos::prelude::*;
use leptos_router::hooks::use_query_map;

use super::own_card;
use crate::charter_draft::{CharterDraft, fixture_line};
use crate::official::Official;
use crate::parts::{Message, Page, Tone};
use crate::state::{AppState, Reach, app_state};
use crate::store::KeptCharter;
use crate::words;

/// The screen; `event` in the address names the event, `taken` says what just
/// arrived.
#[component]
pub fn OneEvent() -> impl IntoView {
    let app = app_state();
    let query = use_query_map();
    let name = Memo::new(move |_| query.with(|q| q.get("event")).unwrap_or_default());
    let taken = Memo::new(move |_| query.with(|q| q.get("taken")).unwrap_or_default());
    move || match app.event(&name.get()) {
        Some(kept) => screen(app, &kept, &taken.get()).into_any(),
        None => view! {
            <Page title="Event" back="/events">
                {(app.reach.get() == Reach::Ready).then(|| view! {
                    <Message what="This event is not on this phone.".to_string()
                        next="Take its charter from the organiser.".to_string()/>
                })}
            </Page>
        }
        .into_any(),
    }
}

fn screen(app: AppState, kept: &KeptCharter, taken: &str) -> impl IntoView + use<> {
    let Some(signed) = kept.in_force() else {
        return ().into_any();
    };
    let charter = signed.charter();
    let own = own_card(app);
    let taken = match taken {
        "newer" => Some((
            format!("Newer version taken: version {}.", charter.version),
            "The older one is kept; games set up under it stay as they are.",
        )),
        "new" => Some(("The charter is on this phone.".to_string(), "")),
        "more" => Some((
            "More versions of the charter taken.".to_string(),
            "The one in force is the same as before.",
        )),
        "waits" => Some((
            "A later version is kept here and does not hold yet.".to_string(),
            "Take the charter from whoever shows all its versions: the organiser, or any official who has the newest.",
        )),
        "pairings" => Some((
            "Who plays in the games that were open is on this phone.".to_string(),
            "Tap your game.",
        )),
        "known" => Some((
            "This charter is on this phone already.".to_string(),
            "Nothing has changed.",
        )),
        "signed" => Some((
            format!("Signed and kept: version {}.", charter.version),
            "It goes to the collector by itself. Show it to the officials' phones.",
        )),
        _ => None,
    };
    let waits = kept.waiting().iter().map(|w| w.charter().version).max();
    let waits = waits.filter(|_| taken.is_none()).map(|version| {
        let what = format!("Version {version} is kept here and does not hold yet: a version before it is missing.");
        view! {
            <Message tone=Tone::Bad what=what
                next="Take the charter again, from any phone that has all its versions.".to_string()/>
        }
    });
    let forked = kept.history().forked_at().map(|version| {
        let what = format!("Two different charters are signed as version {version}.");
        view! {
            <Message tone=Tone::Bad what=what
                next="Every phone and collector uses the same one of them. The organiser ends it with a new version.".to_string()/>
        }
    });
    let damaged = kept.damaged.join(" ");
    let about: Vec<String> = [day(charter), charter.place.clone()]
        .into_iter()
        .filter(|t| !t.is_empty())
        .collect();
    let show = format!("/show?what=charter&event={}", kept.event);
    let may_sign = own
        .as_ref()
        .and_then(|own| charter.endorsement(&own.key).map(|o| (o, own)))
        .is_some_and(|(o, own)| o.role == Role::Organiser || own.key == charter.organiser.key);
    let renew = format!("/charter?event={}", kept.event);
    let begun = CharterDraft::load(Some(&kept.event)).is_some();
    let title = charter.event.clone();
    let signer = charter.organiser.name.clone();
    let version = charter.version;
    let phrase = signed.key().phrase().to_string();
    let parts = (
        endorsement(app, charter, own.as_ref()),
        games(charter, &kept.event),
        rules(charter),
        teams(charter),
        officials(charter),
        privacy(charter),
        versions(kept, signed),
    );
    let foot = move || {
        view! {
            <A href=show attr:class="btn lit big wide">"Show to another phone"</A>
        }
    };
    view! {
        <Page title=title back="/events" has_foot=true foot=foot>
            {taken.map(|(what, next)| view! { <Message tone=Tone::Good what=what next=next.to_string()/> })}
            {(!damaged.is_empty()).then(|| view! {
                <Message tone=Tone::Bad what="A version kept here cannot be read any more.".to_string() next=damaged/>
            })}
            {waits}
            {forked}
            <section class="section" aria-label="In force">
                <p class="strong">{about.join(", ")}</p>
                <p>"Version "{version}", signed by "{signer}" with the key"</p>
                <p class="phrase">{phrase}</p>
            </section>
            {parts}
            {may_sign.then(|| view! {
                <section class="section" aria-label="Organiser">
                    <A href=renew attr:class="btn wide start">
                        <span class="words">
                            {if begun { "Go on with the new version" } else { "Make a new version" }}
                            <span class="under">"Add an official, change a roster, move a game; it takes this one's place."</span>
                        </span>
                    </A>
                </section>
            })}
        </Page>
    }
    .into_any()
}

/// A day in words, as `Saturday 13 June 2026`; as it stands when it is none.
fn day(charter: &Charter) -> String {
    let day = charter.day();
    day.map_or_else(
        || charter.date.clone(),
        |d| d.format("%A %-d %B %Y").to_string(),
    )
}

/// What this phone's key is endorsed for.
fn endorsement(app: AppState, charter: &Charter, own: Option<&Author>) -> impl IntoView + use<> {
    let own = own?;
    let Some(listed) = charter.endorsement(&own.key) else {
        let next = if charter.open {
            "In this event anyone may keep a log; the organiser sees that the key is not listed."
        } else {
            "Show your card to the organiser, and take the next version of the charter."
        };
        return Some(
            view! {
                <section class="section" aria-label="You in this event">
                    <Message tone=Tone::Bad what="This phone's key is not listed.".to_string() next=next.to_string()/>
                    <A href="/show?what=card" attr:class="btn wide">"Show my card"</A>
                </section>
            }
            .into_any(),
        );
    };
    let differs = listed.name != own.name || listed.role != own.role;
    let (name, role) = (listed.name.clone(), listed.role);
    let known = Official::ROLES.contains(&role);
    let what = format!("This phone's key is listed: {name}, {role}.");
    let take = move |_| {
        let official = Official {
            name: name.clone(),
            role: role.to_string(),
        };
        official.save();
        app.official.set(official);
    };
    Some(
        view! {
            <section class="section" aria-label="You in this event">
                <Message tone=Tone::Good what=what/>
                {(differs && known).then(|| view! {
                    <p>"This phone signs with another name or role."</p>
                    <button type="button" class="btn wide" on:click=take>"Sign as the charter lists me"</button>
                })}
            </section>
        }
        .into_any(),
    )
}

fn games(charter: &Charter, event: &str) -> impl IntoView + use<> {
    let rows: Vec<_> = crate::pairings::filled(event, &charter.fixtures)
        .map(|game| {
            let to = format!("/new?event={event}&fixture={}", game.number);
            let under = format!("Game {}, {}", game.number, fixture_line(charter, &game));
            let title = game.title.clone();
            view! {
                <li>
                    <A href=to attr:class="btn wide start">
                        <span class="words">{under}<span class="under">{title}</span></span>
                    </A>
                </li>
            }
        })
        .collect();
    let other = format!("/new?event={event}");
    view! {
        <Section title="Games">
            {(!rows.is_empty()).then(|| view! { <p>"Tap a game to umpire it."</p> })}
            <ul class="stack-tight">{rows}</ul>
            <A href=other attr:class="btn wide">"A game that is not in the schedule"</A>
        </Section>
    }
}

fn rules(charter: &Charter) -> impl IntoView + use<> {
    let all: Vec<_> = charter
        .editions
        .iter()
        .map(|e| view! { <li>{words::capital(&e.to_string())}"."</li> })
        .collect();
    view! {
        <Section title="Rules">
            <ul class="stack-tight">{all}</ul>
        </Section>
    }
}

fn teams(charter: &Charter) -> impl IntoView + use<> {
    let all: Vec<_> = charter
        .teams
        .iter()
        .map(|team| {
            let players: Vec<_> = team
                .roster
                .iter()
                .map(|p| match p.name.as_str() {
                    "" => p.shirt.to_string(),
                    name => format!("{} {name}", p.shirt),
                })
                .collect();
            let players = if players.is_empty() {
                "no roster".to_string()
            } else {
                players.join(", ")
            };
            view! { <li><span class="strong">{team.name.clone()}</span>": "{players}</li> }
        })
        .collect();
    let count = words::count(
        u16::try_from(all.len()).unwrap_or(u16::MAX),
        "team",
        "teams",
    );
    view! {
        <details class="section">
            <summary class="btn wide">{format!("{count} and their rosters")}</summary>
            <ul class="stack-tight">{all}</ul>
        </details>
    }
}

fn officials(charter: &Charter) -> impl IntoView + use<> {
    let all: Vec<_> = charter
        .officials
        .iter()
        .chain([&charter.organiser])
        .map(|o| {
            let phrase = o.key.phrase().to_string();
            view! {
                <li>
                    <p><span class="strong">{o.name.clone()}</span>", "{o.role.to_string()}</p>
                    <p class="soft">{phrase}</p>
                </li>
            }
        })
        .collect();
    view! {
        <details class="section">
            <summary class="btn wide">"Officials and the words of their keys"</summary>
            <ul class="stack-tight">{all}</ul>
        </details>
    }
}

fn privacy(charter: &Charter) -> impl IntoView + use<> {
    let names = match charter.privacy {
        Privacy::Names => "Players' names may be shown in full.",
        Privacy::Initials => "Of players' names only initials and numbers are published.",
        Privacy::Numbers => "Only players' numbers are published.",
    };
    let open = if charter.open {
        "Anyone may keep a log."
    } else {
        "Only listed officials keep logs."
    };
    view! { <p class="soft">{names}" "{open}</p> }
}

fn versions(kept: &KeptCharter, in_force: &SignedCharter<Verified>) -> impl IntoView + use<> {
    let all: Vec<_> = kept
        .all()
        .collect::<Vec<_>>()
        .into_iter()
        .rev()
        .map(|v| {
            let state = if v.hash() == in_force.hash() {
                "in force"
            } else if kept.history().version(v.hash()).is_none() {
                "waits for one before it"
            } else if kept.history().beside().contains(v) {
                "signed beside another, does not hold"
            } else {
                "replaced, kept"
            };
            let name = v.charter().organiser.name.clone();
            let version = v.charter().version;
            let show = format!(
                "/show?what=charter&event={}&version={}",
                kept.event,
                v.hash()
            );
            view! {
                <li>
                    <A href=show attr:class="btn wide start">
                        <span class="words">
                            "Version "{version}", signed by "{name}
                            <span class="under">{state}". Show or save it."</span>
                        </span>
                    </A>
                </li>
            }
        })
        .collect();
    (all.len() > 1).then(|| {
        view! {
            <Section title="Versions">
                <ul class="stack-tight">{all}</ul>
            </Section>
        }
    })
}
