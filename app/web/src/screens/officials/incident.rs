//! Reports of what was hurt or went wrong: for the organiser, on paper.

use engine::log::{Body, HalfInning, Incident, InvolvedPlayer, entry_number};
use engine::message::pairing;
use engine::team::Side;
use leptos::prelude::*;

use super::{Desk, Line, Lines};
use crate::book::Book;
use crate::{clock, words};

/// Everyone on the cards, with the words of the list.
fn people(book: &Book) -> Vec<(InvolvedPlayer, String)> {
    let one = |side: Side| {
        let game = book.game();
        let members = game.squads()[side].members().iter();
        members.map(move |m| {
            let player = InvolvedPlayer {
                side,
                shirt: m.shirt,
            };
            (player, who(book, player))
        })
    };
    Side::BOTH.into_iter().flat_map(one).collect()
}

fn who(book: &Book, player: InvolvedPlayer) -> String {
    let name = words::player(book.game(), player.side, player.shirt);
    format!("{}: {name}", book.team(player.side))
}

/// The half-inning now; none before the first play and after the end.
fn half_now(book: &Book) -> Option<HalfInning> {
    let game = book.game();
    let plays = book.history().plays().next().is_some() && game.ending().is_none();
    plays.then(|| HalfInning::from(game.turn()))
}

/// One report, as it is printed.
fn report(book: &Book, seq: u64, incident: &Incident) -> impl IntoView + use<> {
    let whom = match incident.player {
        Some(player) => who(book, player),
        None => incident.other.clone(),
    };
    let in_game = incident.half.map_or_else(
        || "Not while the game was played".to_string(),
        |h| engine::play::half_inning(h.inning, h.side),
    );
    let written = book.claimed(seq).map(|at| {
        let (day, time) = (clock::day(at), clock::time_of_day(at));
        format!("{day}, {time}")
    });
    let author = &book.record.opening().author;
    let author = format!("{} ({})", author.name, author.role);
    let stopped = match incident.stopped_min {
        0 => "not stopped".to_string(),
        n => format!("{n} min"),
    };
    let rows = [
        ("Game", pairing(&book.names())),
        ("When", in_game),
        ("Who", whom),
        ("What happened", incident.what.clone()),
        ("Witness", incident.witness.clone()),
        ("First aid", incident.first_aid.clone()),
        ("Play stopped", stopped),
        ("Written", written.unwrap_or_default()),
        ("By", author),
    ];
    let rows = rows.into_iter().filter(|(_, said)| !said.trim().is_empty());
    let rows =
        rows.map(|(title, said)| view! { <tr><th scope="row">{title}</th><td>{said}</td></tr> });
    view! {
        <section class="section" aria-label=format!("Incident report, entry {}", entry_number(seq))>
            <h2>"Incident report"</h2>
            <table class="grid"><tbody>{rows.collect_view()}</tbody></table>
        </section>
    }
}

/// A form for one report, and those written.
#[component]
pub fn Incidents(desk: Desk) -> impl IntoView {
    let text = || RwSignal::new(String::new());
    let (other, what, witness, aid, minutes) = (text(), text(), text(), text(), text());
    let player = RwSignal::new(None::<usize>);
    let list = StoredValue::new(desk.with(people).unwrap_or_default());
    let options = list.with_value(|l| {
        let one = |(at, (_, name)): (usize, &(InvolvedPlayer, String))| {
            view! { <option value=at.to_string() selected=move || player.get() == Some(at)>{name.clone()}</option> }
        };
        l.iter().enumerate().map(one).collect_view()
    });
    let minutes_read = move || match minutes.get().trim() {
        "" => Some(0),
        n => n.parse::<u16>().ok(),
    };
    let somebody = move || player.get().is_some() || !other.get().trim().is_empty();
    let ready = move || somebody() && !what.get().trim().is_empty() && minutes_read().is_some();
    let record = move |_| {
        let (Some(stopped_min), Some(half)) = (minutes_read(), desk.with(half_now)) else {
            return;
        };
        let trimmed = |t: RwSignal<String>| t.get_untracked().trim().to_string();
        let player_now = player
            .get_untracked()
            .and_then(|at| list.with_value(|l| l.get(at).map(|(p, _)| *p)));
        let body = Body::Incident(Incident {
            half,
            player: player_now,
            other: trimmed(other),
            what: trimmed(what),
            witness: trimmed(witness),
            first_aid: trimmed(aid),
            stopped_min,
        });
        desk.recording.record_body(body, move || {
            for field in [other, what, witness, aid, minutes] {
                field.set(String::new());
            }
            player.set(None);
        });
    };
    let print = |_| crate::js::print();
    let written = move || {
        let reports = desk.with(|book| {
            let all = book.record.incidents();
            all.map(|(seq, i)| report(book, seq, i)).collect_view()
        });
        reports.filter(|r| !r.is_empty()).map(|reports| {
            view! {
                {reports}
                <button type="button" class="btn wide no-print" on:click=print>"Print"</button>
            }
        })
    };
    view! {
        <section class="section no-print" aria-label="A new report">
            <h2>"Injury or incident"</h2>
            <p class="small">"First help, then write. No results page shows a report, and a collector gives this record to the event's officials only. Whoever is handed the record can read it. Keep to what was seen."</p>
            <div class="field">
                <label for="incident-player">"Who"</label>
                <select id="incident-player" class="input"
                    on:change:target=move |ev| player.set(ev.target().value().parse().ok())>
                    <option value="" selected=move || player.get().is_none()>"somebody else"</option>
                    {options}
                </select>
            </div>
            <Line id="incident-other" label="Who else, or what" value=other/>
            <Lines id="incident-what" label="What happened" value=what/>
            <Line id="incident-witness" label="Who saw it" value=witness/>
            <Lines id="incident-aid" label="First aid, and by whom" value=aid/>
            <Line id="incident-minutes" label="Play stopped for, in minutes" value=minutes most=3/>
            <button type="button" class="btn lit big wide" disabled=move || !ready() on:click=record>"Record the report"</button>
        </section>
        {written}
    }
}
