//! What is in, by court and time.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::parts::A;
use engine::charter::{Charter, Scheduled};
use engine::competition::bracket::GameState;
use engine::report::{GameReport, OfFixture, PlannedFixture, Verdict};
use engine::team::Side;
use leptos::prelude::*;

use super::arranged;
use super::{NotHere, Parts, Reading, Seen, address};
use crate::clock;
use crate::parts::{Message, Page, Tone};
use crate::state::{DeskView, app_state};
use crate::words::capital;

/// The mark of a game of which nothing is here.
const MISSING: &str = "missing";

/// A line of the list: a fixture with what is here of it, or a game outside
/// the schedule.
#[derive(Clone)]
struct Line {
    court: String,
    to: String,
    when: String,
    what: String,
    teams: [String; 2],
    runs: Option<[u16; 2]>,
    state: String,
    tag: Option<&'static str>,
}

/// The screen.
#[component]
pub fn Games(event: String, view: Seen) -> impl IntoView {
    let title = Signal::derive(move || {
        view.with(|v| {
            v.as_ref()
                .map_or_else(|| "Organiser's desk".into(), |v| v.name())
        })
    });
    let word = event.clone();
    let app = app_state();
    let unread = Memo::new(move |_| !app.desk.read.get());
    let lists = move || {
        let word = word.clone();
        view.with(|v| match v {
            None => view! { <NotHere/> }.into_any(),
            Some(v) => lists(v, &word, unread.get()).into_any(),
        })
    };
    view! {
        <Page title=title back="/desk">
            <Parts event=event here="games"/>
            {lists}
            <Show when=move || view.with(Option::is_none)><Reading/></Show>
        </Page>
    }
}

fn lists(view: &DeskView, word: &str, unread: bool) -> impl IntoView + use<> {
    let lines = lines(view, word, unread);
    let counted = summary(view, &lines);
    let app = app_state();
    // One line either way: nothing moves under a finger while the desk reads.
    let summary = move || match app.desk.reading.get() {
        Some((done, all)) if unread && all > 0 => {
            format!("Reading what is kept: {done} of {all} games.")
        }
        Some(_) if unread => "Reading what is kept.".into(),
        _ => counted.clone(),
    };
    let damaged = app.desk.damaged.with(Vec::len);
    // What waits for the organiser comes before the whole list.
    let waits = |l: &&Line| l.tag.is_some_and(|tag| tag != MISSING);
    let waits: Vec<_> = lines.iter().filter(waits).cloned().collect();
    let lots = arranged(view).map_or(0, |(_, results)| results.lots().len());
    let lots = if view.may_decide { lots } else { 0 };
    let to_tables = address(word, "&part=tables");
    let next = (!waits.is_empty() || lots > 0).then(|| {
        let rows = waits.into_iter().map(|l| view! { <li>{row(l)}</li> });
        view! {
            <section class="section" aria-label="To be settled">
                <h2>"To be settled"</h2>
                <ul class="games">
                    {rows.collect_view()}
                    {(lots > 0).then(|| view! {
                        <li><A href=to_tables attr:class="btn wide start">"A lot is needed: see the tables"</A></li>
                    })}
                </ul>
            </section>
        }
    });
    let mut courts: BTreeMap<String, Vec<Line>> = BTreeMap::new();
    for line in lines {
        courts.entry(line.court.clone()).or_default().push(line);
    }
    let problems: Vec<String> = view
        .report()
        .map(|r| r.problems().to_vec())
        .unwrap_or_default();
    let courts: Vec<_> = courts
        .into_iter()
        .map(|(court, lines)| {
            let name = if court.is_empty() { "Other games".into() } else { court };
            view! {
                <section class="section" aria-label=name.clone()>
                    <h2>{name.clone()}</h2>
                    <ul class="games">{lines.into_iter().map(|l| view! { <li>{row(l)}</li> }).collect_view()}</ul>
                </section>
            }
        })
        .collect();
    view! {
        <p class="strong" role="status">{summary}</p>
        {(damaged > 0).then(|| view! {
            <Message tone=Tone::Bad what="Something kept on this phone is damaged and does not count."
                next="The games below say which. Take their records in again: from the officials, a file or the collector.".to_string()/>
        })}
        {next}
        {(!problems.is_empty()).then(|| view! {
            <section class="section" aria-label="To be looked at">
                <h2>"To be looked at"</h2>
                <ul class="stack-tight">{problems.into_iter().map(|p| view! { <li class="objection">{p}</li> }).collect_view()}</ul>
            </section>
        })}
        <div class="courts stack">{courts}</div>
    }
}

fn row(line: Line) -> impl IntoView {
    let Line {
        to,
        when,
        what,
        teams,
        runs,
        state,
        tag,
        ..
    } = line;
    let sides: Vec<_> = teams
        .into_iter()
        .enumerate()
        .map(|(at, team)| {
            let runs = runs.and_then(|r| r.get(at).copied());
            view! { <span class="side"><span>{team}</span><span class="runs">{runs}</span></span> }
        })
        .collect();
    let class = if tag.is_some() {
        "game-row live"
    } else {
        "game-row"
    };
    let about: Vec<String> = [when, what].into_iter().filter(|t| !t.is_empty()).collect();
    view! {
        <A href=to attr:class=class>
            <span class="state">{about.join(", ")}</span>
            <span class="sides">{sides}</span>
            <span class="state">{tag.map(|t| view! { <span class="tag">{t}</span>" " })}{state}</span>
        </A>
    }
}

/// What of a whole day is in and what is not, in one sentence.
fn summary(view: &DeskView, lines: &[Line]) -> String {
    let count = |tag: &str| lines.iter().filter(|l| l.tag == Some(tag)).count();
    let scheduled = view.charter().map_or(0, |c| c.fixtures.len());
    let in_schedule = |at: &&Line| at.runs.is_some() || at.tag == Some("disputed");
    let there = lines.iter().take(scheduled).filter(in_schedule).count();
    let others = lines.len().saturating_sub(scheduled);
    let mut parts = match scheduled {
        0 => vec![format!("{others} games are here")],
        all => vec![format!("{there} of {all} scheduled games are in")],
    };
    if scheduled > 0 && others > 0 {
        parts.push(format!("{others} more under Other games"));
    }
    for tag in [
        MISSING,
        "undecided",
        "disputed",
        "tampered",
        "decided too early",
    ] {
        match count(tag) {
            0 => {}
            n => parts.push(format!("{n} {tag}")),
        }
    }
    format!("{}.", parts.join(", "))
}

fn lines(view: &DeskView, word: &str, unread: bool) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some(charter) = view.charter() {
        let mut fixtures: Vec<&Scheduled> = charter.fixtures.iter().collect();
        fixtures.sort_by_key(|f| (f.starts, f.number));
        lines.extend(
            fixtures
                .into_iter()
                .map(|f| fixture(view, charter, f, word, unread)),
        );
    }
    let counts = |g: &Arc<GameReport>| {
        let fixture = g.fixture.and_then(|n| view.of_fixture(n));
        fixture.is_some_and(|c| c.game == g.game)
    };
    for r in view.games().iter().filter(|g| !counts(g)) {
        lines.push(Line {
            court: String::new(),
            to: address(word, &format!("&game={}", r.game)),
            when: format!(
                "begun {} {}",
                clock::day(r.opened_ms),
                clock::time_of_day(r.opened_ms)
            ),
            what: r.title.clone().unwrap_or_default(),
            teams: [r.teams.guest.clone(), r.teams.home.clone()],
            runs: Some([r.score.guest, r.score.home]),
            state: if r.practice {
                "Practice: it counts for nothing.".into()
            } else {
                state(r)
            },
            tag: tag(r),
        });
    }
    lines
}

fn fixture(
    view: &DeskView,
    charter: &Charter,
    fixture: &Scheduled,
    word: &str,
    unread: bool,
) -> Line {
    let planned = PlannedFixture::new(view.report(), fixture);
    let when = charter
        .clock(fixture)
        .map_or_else(|| clock::time_of_day(fixture.starts), |c| c.to_string());
    let what = format!("game {}, {}", fixture.number, fixture.title);
    let line = Line {
        court: fixture.court.clone(),
        to: address(word, &format!("&fixture={}", fixture.number)),
        when,
        what,
        teams: planned.names(),
        runs: None,
        state: String::new(),
        tag: None,
    };
    match view.of_fixture(fixture.number) {
        Some(r) => Line {
            to: address(word, &format!("&game={}", r.game)),
            teams: Side::BOTH.map(|s| r.teams[s].clone()),
            runs: (!r.will_not_be_played()).then(|| Side::BOTH.map(|s| r.score[s])),
            state: state(r),
            tag: tag(r),
            ..line
        },
        None => {
            if let OfFixture::Several { games, proposed } = view.fixture(fixture.number)
                && let Some(first) = proposed.or(games.first().copied())
            {
                let scores: Vec<String> = games
                    .iter()
                    .map(|g| format!("{}-{}", g.score.guest, g.score.home))
                    .collect();
                let propose = match proposed {
                    Some(_) => "Look at the umpire's first: decide that it stands, or the other.",
                    None => "Decide of each whether it counts.",
                };
                return Line {
                    to: address(word, &format!("&game={}", first.game)),
                    state: format!(
                        "Kept as {} games: {}. {propose} Both stand under Other games.",
                        games.len(),
                        scores.join(" and ")
                    ),
                    tag: Some(if first.rivals.is_empty() {
                        "undecided"
                    } else {
                        "disputed"
                    }),
                    ..line
                };
            }
            let (state, tag) = match planned.state {
                _ if unread => ("Not read yet.", None),
                Some(GameState::Waiting) => ("Waits for earlier games.", None),
                Some(GameState::NotNeeded) => ("Not needed.", None),
                Some(GameState::NotPlayed) => ("Will not be played.", None),
                _ => ("No record has come in.", Some(MISSING)),
            };
            Line {
                state: state.into(),
                tag,
                ..line
            }
        }
    }
}

fn tag(report: &GameReport) -> Option<&'static str> {
    match report.verdict {
        Verdict::Disputed => Some("disputed"),
        Verdict::Tampered => Some("tampered"),
        _ if report.needs_attention() => Some("decided too early"),
        _ => None,
    }
}

/// How a game stands, in a few words.
fn state(report: &GameReport) -> String {
    let records = match report.keepers {
        0 => "no record".to_string(),
        1 => "1 record".to_string(),
        n => format!("{n} records"),
    };
    let place = match report.is_going_on() {
        true => format!(" {}", report.place()),
        false => String::new(),
    };
    match report.verdict.needs_attention() {
        // The mark before it has the word.
        true => format!("{}.{place}", capital(&records)),
        false => format!("{}, {records}.{place}", capital(&report.state())),
    }
}
