//! What is in, by court and time.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::parts::A;
use engine::charter::{Charter, Pairings, Scheduled};
use engine::competition::bracket::GameState;
use engine::report::{GameReport, OfFixture, PlannedFixture, Verdict};
use engine::team::Side;
use leptos::prelude::*;

use super::arranged;
use super::{NotHere, Parts, Reading, Seen, address};
use crate::clock;
use crate::parts::{Message, Page, Tone};
use crate::state::{DeskEvent, DeskView, LookProgress, app_state};
use crate::words::capital;

/// The mark of a game of which nothing is here, nor at any collector.
const MISSING: &str = "missing";

/// The mark of one of which nothing is here, and no collector could be asked.
const NOT_HERE: &str = "not here";

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
    let of = event.clone();
    let looked = Memo::new(move |_| app.desk.looked.with(|all| all.get(&of).cloned()));
    let asking = move || looked.with(|l| matches!(l, None | Some(LookProgress::Asking)));
    let unread = Memo::new(move |_| !app.desk.read.get() || asking());
    let absent = move || match looked.get() {
        Some(LookProgress::NoAnswer | LookProgress::Refused(_)) => NOT_HERE,
        _ => MISSING,
    };
    let asked = move || match looked.get() {
        Some(LookProgress::Refused(why)) => format!(" Refused by the collector: {why}"),
        Some(LookProgress::NoAnswer) => {
            " Nobody answers at the collector: what is not here may be there.".into()
        }
        _ => String::new(),
    };
    let lists = move || {
        let word = word.clone();
        view.with(|v| match v {
            None => view! { <NotHere/> }.into_any(),
            Some(v) => lists(v, &word, unread.get(), absent(), asked()).into_any(),
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

/// Who plays in the open games of the schedule that have no record yet, as far
/// as the results here say.
fn pairings(view: &DeskView) -> Option<Pairings> {
    let (schedule, results) = arranged(view)?;
    let DeskEvent::Charter(word) = &view.event else {
        return None;
    };
    let kept = app_state().event(word)?;
    let event = kept.history().versions().first()?.hash();
    let mut found = Pairings::of(event, view.charter()?, schedule, results.progress());
    found.games.retain(|p| view.of_fixture(p.fixture).is_none());
    (!found.games.is_empty()).then_some(found)
}

fn lists(
    view: &DeskView,
    word: &str,
    unread: bool,
    absent: &'static str,
    asked: String,
) -> impl IntoView + use<> {
    let lines = lines(view, word, unread, absent);
    let counted = summary(view, &lines) + &asked;
    let app = app_state();
    // One line either way: nothing moves under a finger while the desk reads.
    let summary = move || match app.desk.reading.get() {
        Some((done, all)) if unread && all > 0 => {
            format!("Reading what is kept: {done} of {all} games.")
        }
        Some(_) if unread => "Reading what is kept.".into(),
        None if unread => "Asking the collector for what is not here.".into(),
        _ => counted.clone(),
    };
    let damaged = app.desk.damaged.with(Vec::len);
    // What waits for the organiser comes before the whole list.
    let waits = |l: &&Line| l.tag.is_some_and(|tag| tag != MISSING && tag != NOT_HERE);
    let waits: Vec<_> = lines.iter().filter(waits).cloned().collect();
    let lots = arranged(view).map_or(0, |(_, results)| results.lots().len());
    let lots = if view.may_decide { lots } else { 0 };
    let to_tables = address(word, "&part=tables");
    let show_pairings = pairings(view).map(|found| {
        let to = format!("/show?what=pairings&event={}", found.event);
        let count = u16::try_from(found.games.len()).unwrap_or(u16::MAX);
        let games = crate::words::count(count, "game that was open", "games that were open");
        crate::pairings::keep(app, found);
        view! {
            <A href=to attr:class="btn wide start">
                <span class="words">"Show who plays to an umpire's phone"
                    <span class="under">{format!("{games}: known by the results here.")}</span></span>
            </A>
        }
    });
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
    let suspended: Vec<String> = view.report().map_or_else(Vec::new, |r| {
        let open = r.suspensions().iter().filter(|s| s.left() > 0);
        open.map(|s| s.sentence()).collect()
    });
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
        {show_pairings}
        {(!problems.is_empty()).then(|| view! {
            <section class="section" aria-label="To be looked at">
                <h2>"To be looked at"</h2>
                <ul class="stack-tight">{problems.into_iter().map(|p| view! { <li class="objection">{p}</li> }).collect_view()}</ul>
            </section>
        })}
        {(!suspended.is_empty()).then(|| view! {
            <section class="section" aria-label="Suspended">
                <h2>"Suspended"</h2>
                <ul class="stack-tight">{suspended.into_iter().map(|s| view! { <li>{s}</li> }).collect_view()}</ul>
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
        NOT_HERE,
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

fn lines(view: &DeskView, word: &str, unread: bool, absent: &'static str) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some(charter) = view.charter() {
        let mut fixtures: Vec<&Scheduled> = charter.fixtures.iter().collect();
        fixtures.sort_by_key(|f| (f.starts, f.number));
        lines.extend(
            fixtures
                .into_iter()
                .map(|f| fixture(view, charter, f, word, unread, absent)),
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
    absent: &'static str,
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
                _ => ("No record has come in.", Some(absent)),
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
