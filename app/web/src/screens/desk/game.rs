//! One game with its evidence: who kept it, what differs, what was signed
//! twice, where a file is damaged.

use engine::message::pairing;
use std::sync::Arc;

use engine::charter::Charter;
use engine::log::{Body, LogName, entry_number};
use engine::team::Side;
use leptos::prelude::*;
use leptos_router::components::A;

use super::settle::Settle;
use super::{NotHere, Reading, Seen, address};
use crate::clock;
use crate::delivery::{Held, Standing, collectors};
use crate::parts::{Message, Page, Section, Tone, batter_words};
use crate::screens::deliveries::DeliveryWord;
use crate::state::{DeskGame, DeskLog, DeskView, app_state};
use crate::words::capital;

/// The screen.
#[component]
pub fn Game(event: String, game: String, view: Seen) -> impl IntoView {
    let back = address(&event, "");
    let (app, id) = (app_state(), StoredValue::new(game));
    let found = Memo::new_with_compare(
        move |_| view.with(|v| app.desk_game(v.as_ref()?, &id.get_value())),
        |_, _| true,
    );
    let title = Signal::derive(move || {
        found.with(|g| {
            let g = g.as_ref();
            g.map_or_else(|| "A game".into(), |g| pairing(&g.report.teams))
        })
    });
    let inside = move || match (view.get(), found.get()) {
        (Some(view), Some(game)) => one(&view, game).into_any(),
        _ => view! { <NotHere/> }.into_any(),
    };
    view! {
        <Page title=title back=back>
            {inside}
            <Reading/>
        </Page>
    }
}

fn one(view: &DeskView, game: Arc<DeskGame>) -> impl IntoView + use<> {
    let r = &game.report;
    let sides = Side::BOTH.map(|side| {
        let runs = (!r.will_not_be_played()).then(|| r.score[side]);
        view! { <span class="side"><span>{r.teams[side].clone()}</span><span class="runs">{runs}</span></span> }
    });
    let about: Vec<String> = [
        r.fixture.map(|n| format!("Game {n}")),
        r.title.clone(),
        r.court.clone(),
    ]
    .into_iter()
    .flatten()
    .collect();
    // A decision says what stands; the place of the game is the records' word.
    let applies = r.ruled.as_ref().filter(|ruled| ruled.applies);
    let stands = match applies {
        Some(ruled) => ruled.sentence.clone(),
        None => format!("{}.", capital(&r.state())),
    };
    let by_records = r.ruled.as_ref().map(|ruled| {
        (
            ruled.reason.clone(),
            format!("Without the decision: {}.", r.status),
        )
    });
    let reasons = list(&r.reasons);
    let evidence = (!r.evidence.is_empty()).then(|| {
        let lines = list(&r.evidence);
        view! { <h3>"What the records say"</h3>{lines} }
    });
    let tone = if r.needs_attention() {
        Tone::Bad
    } else {
        Tone::Plain
    };
    let place = match applies {
        Some(_) => r.basis.to_string(),
        None => format!("{}. {}", r.place().trim_end_matches('.'), r.basis),
    };
    let beside = view.report();
    let beside = beside.and_then(|e| e.not_for_its_fixture(r.game));
    let beside = beside.map(|why| view! { <Message tone=Tone::Bad what=why.to_string()/> });
    let logs: Vec<_> = game
        .logs
        .iter()
        .map(|log| kept(log, view.charter()))
        .collect();
    let objections = objections(view, &game);
    let all_same = r.reasons.is_empty();
    view! {
        <p>{about.join(", ")}</p>
        <div class="game-row"><span class="sides">{sides.collect_view()}</span></div>
        <Message tone=tone what=stands next=place/>
        {beside}
        {(r.needs_attention() && view.may_decide).then(|| view! {
            <button type="button" class="btn lit wide" on:click=|_| to_settle()>"Settle it"</button>
        })}
        {by_records.map(|(reason, itself)| view! { <p class="strong">{reason}</p><p>{itself}</p> })}
        <Section title="Why">
            {reasons}
            {evidence}
            {all_same.then(|| view! { <p>"All records tell the same, and each official signed the other's statement."</p> })}
        </Section>
        <Section title="The records">
            {logs}
        </Section>
        {(!objections.is_empty()).then(|| view! {
            <Section title="Against the charter">
                <p>"It is for the organiser to judge what follows from it."</p>
                {list(&objections)}
            </Section>
        })}
        <Files game=r.game.to_string()/>
        <Settle game=game.clone() may=view.may_decide chartered=view.charter.is_some()/>
    }
}

/// Brings the form for a decision into view: it comes after the evidence.
fn to_settle() {
    let document = crate::js::window().and_then(|w| w.document());
    if let Some(form) = document.and_then(|d| d.get_element_by_id("settle")) {
        form.scroll_into_view();
    }
}

/// Sentences, one below the other.
pub fn list(lines: &[String]) -> impl IntoView + use<> {
    let lines = lines.to_vec();
    view! {
        <ul class="stack-tight sentences">{lines.into_iter().map(|l| view! { <li>{l}</li> }).collect_view()}</ul>
    }
}

/// What does not agree with the charter that the game was set up under, each
/// thing once.
fn objections(view: &DeskView, game: &DeskGame) -> Vec<String> {
    let mut said = Vec::new();
    let charters = app_state().charters.get_untracked();
    for log in game.logs.iter() {
        let opening = log.record.opening();
        let named = opening.setup.charter.as_ref();
        let version = named.and_then(|hash| charters.iter().find_map(|c| c.version(hash)));
        let Some(charter) = version.or(view.charter.as_ref()) else {
            continue;
        };
        for objection in charter.objections(opening) {
            let words = objection.to_string();
            if !said.contains(&words) {
                said.push(words);
            }
        }
    }
    said
}

/// One log: whose, how far, signed off or not, and what was signed twice.
fn kept(log: &DeskLog, charter: Option<&Charter>) -> impl IntoView + use<> {
    let record = &log.record;
    let author = &record.opening().author;
    let listed = charter.and_then(|c| c.endorsement(&author.key));
    let known = match (listed, charter) {
        (Some(listed), _) => format!("Listed in the charter as {}.", listed.role),
        (None, Some(_)) => "Not listed in the charter.".into(),
        (None, None) => String::new(),
    };
    let role = capital(&author.role.to_string());
    let who = match author.name.trim() {
        "" => format!("{role}, no name"),
        name => format!("{role}: {name}"),
    };
    let entries = record.chain().entries().len();
    let score = record.history().game().score();
    let state = match record.signed_off() {
        None if record.misstatement().is_some() => record
            .misstatement()
            .map(ToString::to_string)
            .unwrap_or_default(),
        _ if record.is_of_desk() => "Decisions only: no record of the game.".to_string(),
        Some((_, s)) => format!("Signed off at {}-{}.", s.score.guest, s.score.home),
        None => format!(
            "Not signed off; it stands at {}-{}.",
            score.guest, score.home
        ),
    };
    let key = format!("Key: {}", author.key.fingerprint().phrase());
    let forks: Vec<String> = twice(log);
    let decisions: Vec<String> = record
        .decisions()
        .map(|(seq, d)| {
            let at = record.chain().at(seq).map_or(0, |e| e.payload().claimed_ms);
            format!(
                "Decision of {} {}: {}",
                clock::day(at),
                clock::time_of_day(at),
                d.reason
            )
        })
        .collect();
    view! {
        <div class="difference">
            <h3>{who}</h3>
            <p>{format!("{entries} entries. {state} {known}")}</p>
            {(!forks.is_empty()).then(|| list(&forks))}
            {(!decisions.is_empty()).then(|| list(&decisions))}
            <Delivered log=log.name/>
            <p class="soft small">{key}</p>
        </div>
    }
}

/// How far a log has come that goes to collectors from here.
#[component]
fn Delivered(log: LogName) -> impl IntoView {
    let (from_desk, at) = (collectors().from_desk, collectors().at);
    let key = crate::delivery::key(log);
    let held = Memo::new(move |_| {
        from_desk.with(|all| {
            let found = all.iter().find(|f| f.record.key == key);
            found.map(|f| f.record.clone())
        })
    });
    let wrong = move |held: &Held| {
        at.with(|collectors| {
            let places = collectors.iter().filter_map(|p| p.places.get(&held.key));
            let refused = places.filter_map(|place| place.refused.as_ref());
            let waits = Standing::of(held, collectors) == Standing::Refused;
            let mut said = refused.map(|(_, r)| r.sentence.clone());
            said.next().filter(|_| waits)
        })
    };
    move || {
        held.get().map(|held| {
            let wrong = wrong(&held);
            view! {
                <p><DeliveryWord records=vec![held]/>" "<A href="/delivery">"Delivery"</A></p>
                {wrong.map(|why| view! { <Message tone=Tone::Bad what=why/> })}
            }
        })
    }
}

/// Both entries of each number that was signed twice.
fn twice(log: &DeskLog) -> Vec<String> {
    let mut lines = Vec::new();
    for other in &log.aside {
        let payload = other.payload();
        let Some(shown) = log.record.chain().at(payload.seq) else {
            continue;
        };
        lines.push(format!(
            "Entry {} was signed twice: in the line shown {}, in the other {}.",
            entry_number(payload.seq),
            says(shown.body(), shown.payload().claimed_ms),
            says(other.body(), payload.claimed_ms)
        ));
        if lines.len() == 3 {
            let more = log.aside.len() - lines.len();
            if more > 0 {
                lines.push(format!("{more} more entries stand in the other line."));
            }
            break;
        }
    }
    lines
}

fn says(body: &Body, at: u64) -> String {
    let what = match body {
        Body::Event(engine::log::Event::Play { turn, call }) => {
            let fate = batter_words(call.batter);
            format!(
                "a play in inning {}, batter {}: {fate}",
                turn.inning, turn.place
            )
        }
        other => format!("a {}", other.kind()),
    };
    format!("{what}, at {}", clock::time_of_day(at))
}

/// Files that hold something of this game that is not good, and what this phone
/// kept of it that is not good any more.
#[component]
fn Files(game: String) -> impl IntoView {
    let (files, damaged) = (app_state().desk.files, app_state().desk.damaged);
    let of = game.clone();
    let kept = move || {
        damaged.with(|all| {
            let of_game = all.iter().filter(|w| w.game.as_deref() == Some(&of));
            of_game.map(|w| w.sentence.clone()).collect::<Vec<_>>()
        })
    };
    let lines = move || {
        files.with(|files| {
            let mut lines = Vec::new();
            for file in files {
                let of_game = file
                    .wrong
                    .iter()
                    .filter(|w| w.game.as_deref() == Some(&game));
                lines.extend(of_game.map(|w| format!("{}: {}", file.name, w.sentence)));
            }
            lines
        })
    };
    move || {
        let kept = kept();
        let kept = (!kept.is_empty()).then(|| {
            view! {
                <Section title="Damaged on this phone">
                    <p>"What was kept here has changed since, and does not count. Take the record in again."</p>
                    {list(&kept)}
                </Section>
            }
        });
        let lines = lines();
        let files = (!lines.is_empty()).then(|| {
            view! {
                <Section title="Damaged files">
                    <p>"Each is kept as it came; what is good in it counts."</p>
                    {list(&lines)}
                </Section>
            }
        });
        view! { {kept}{files} }
    }
}
