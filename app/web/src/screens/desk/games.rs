//! What is in, by court and time.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::parts::{A, Section};
use engine::charter::{Charter, Pairings, Scheduled};
use engine::competition::bracket::GameState;
use engine::log::GameId;
use engine::report::{EventView, GameReport, OfFixture, PlannedFixture, Verdict};
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

/// What a line is about, whatever becomes of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Subject {
    Fixture(u32),
    Game(GameId),
}

/// A line of the list: a fixture with what is here of it, or a game outside
/// the schedule.
#[derive(Clone, PartialEq)]
struct Line {
    subject: Subject,
    court: String,
    to: String,
    when: String,
    what: String,
    teams: [String; 2],
    runs: Option<[u16; 2]>,
    state: String,
    tag: Option<&'static str>,
}

impl Line {
    /// Whether it waits for the organiser.
    fn waits(&self) -> bool {
        self.tag
            .is_some_and(|tag| tag != MISSING && tag != NOT_HERE)
    }
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
    let here = Memo::new(move |_| view.with(Option::is_some));
    let of = event.clone();
    let lists = move || match here.get() {
        false => view! { <NotHere/> }.into_any(),
        true => lists(of.clone(), view).into_any(),
    };
    view! {
        <Page title=title back="/desk">
            <Parts event=event here="games"/>
            {lists}
            <Show when=move || !here.get()><Reading/></Show>
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

/// What the list says.
fn lists(word: String, view: Seen) -> impl IntoView {
    let app = app_state();
    let of = word.clone();
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
    let of = word.clone();
    let lines = Memo::new(move |_| {
        view.with(|v| {
            let v = v.as_ref()?;
            Some(lines(v, &of, unread.get(), absent()))
        })
        .unwrap_or_default()
    });
    let rows = Rows(Memo::new(move |_| {
        lines.with(|all| {
            let named = all.iter().map(|line| (line.subject, line.clone()));
            named.collect()
        })
    }));
    // One line either way: nothing moves under a finger while the desk reads.
    let summary = move || match app.desk.reading.get() {
        Some((done, all)) if unread.get() && all > 0 => {
            format!("Reading what is kept: {done} of {all} games.")
        }
        Some(_) if unread.get() => "Reading what is kept.".into(),
        None if unread.get() => "Asking the collector for what is not here.".into(),
        _ => {
            let of_all = |v: &DeskView| lines.with(|lines| summary(v, lines));
            view.with(|v| v.as_deref().map(of_all).unwrap_or_default()) + &asked()
        }
    };
    let damaged = move || app.desk.damaged.with(|all| !all.is_empty());
    // What waits for the organiser comes before the whole list, once all of it
    // is known.
    let waits = Memo::new(move |_| {
        let waiting = |all: &Vec<Line>| {
            let waits = all.iter().filter(|l| l.waits());
            waits.map(|l| l.subject).collect::<Vec<_>>()
        };
        match unread.get() {
            true => Vec::new(),
            false => lines.with(waiting),
        }
    });
    let courts = Memo::new(move |_| {
        let mut courts: BTreeMap<String, Vec<Subject>> = BTreeMap::new();
        lines.with(|all| {
            for line in all {
                let court = courts.entry(line.court.clone()).or_default();
                court.push(line.subject);
            }
        });
        courts
    });
    let court = move |name: String| {
        let title = if name.is_empty() {
            "Other games".to_string()
        } else {
            name.clone()
        };
        let on = move || courts.with(|all| all.get(&name).cloned().unwrap_or_default());
        view! {
            <section class="section" aria-label=title.clone()>
                <h2>{title.clone()}</h2>
                <ul class="games">{rows.of(Signal::derive(on))}</ul>
            </section>
        }
    };
    let of_report = move |take: fn(&EventView) -> Vec<String>| {
        Memo::new(move |_| view.with(|v| v.as_deref().map(|v| take(v)).unwrap_or_default()))
    };
    let problems = of_report(|v| {
        v.report()
            .map(|r| r.problems().to_vec())
            .unwrap_or_default()
    });
    let suspended = of_report(|v| {
        let all = v.report().map(|r| r.suspensions()).unwrap_or_default();
        all.iter()
            .filter(|s| s.left() > 0)
            .map(|s| s.to_string())
            .collect()
    });
    view! {
        <p class="strong" role="status">{summary}</p>
        <Show when=damaged>
            <Message tone=Tone::Bad what="Something kept on this phone is damaged and does not count."
                next="The games below say which. Take their records in again: from the officials, a file or the collector."/>
        </Show>
        {to_settle(rows, waits, view, address(&word, "&part=tables"))}
        {move || view.with(|v| v.as_deref().and_then(pairings)).map(show_pairings)}
        {noted("To be looked at", "objection", problems)}
        {noted("Suspended", "", suspended)}
        <div class="courts stack">
            <For each=move || courts.with(|all| all.keys().cloned().collect::<Vec<_>>()) key=|name| name.clone() children=court/>
        </div>
    }
}

/// What waits for the organiser.
fn to_settle(rows: Rows, waits: Memo<Vec<Subject>>, view: Seen, tables: String) -> impl IntoView {
    let lots = Memo::new(move |_| {
        view.with(|v| {
            let v = v.as_ref().filter(|v| v.may_decide)?;
            arranged(v).map(|(_, results)| !results.lots().is_empty())
        }) == Some(true)
    });
    let tables = StoredValue::new(tables);
    view! {
        <Show when=move || lots.get() || waits.with(|w| !w.is_empty())>
            <Section title="To be settled" class="moved-in">
                <ul class="games">
                    {rows.of(waits.into())}
                    <Show when=move || lots.get()>
                        <li><A href=tables.get_value() attr:class="btn wide start">"A lot is needed: see the tables"</A></li>
                    </Show>
                </ul>
            </Section>
        </Show>
    }
}

fn show_pairings(found: Pairings) -> impl IntoView {
    let to = format!("/show?what=pairings&event={}", found.event);
    let count = u16::try_from(found.games.len()).unwrap_or(u16::MAX);
    let games = crate::words::count(count, "game that was open", "games that were open");
    crate::pairings::keep(app_state(), found);
    view! {
        <A href=to attr:class="btn wide start">
            <span class="words">"Show who plays to an umpire's phone"
                <span class="under">{format!("{games}: known by the results here.")}</span></span>
        </A>
    }
}

/// Sentences under a title, when there are any.
fn noted(title: &'static str, class: &'static str, all: Memo<Vec<String>>) -> impl IntoView {
    move || {
        let all = all.get();
        (!all.is_empty()).then(|| view! {
            <section class="section moved-in" aria-label=title>
                <h2>{title}</h2>
                <ul class="stack-tight">{all.into_iter().map(|p| view! { <li class=class>{p}</li> }).collect_view()}</ul>
            </section>
        })
    }
}

/// The rows that can be shown.
#[derive(Clone, Copy)]
struct Rows(Memo<BTreeMap<Subject, Line>>);

impl Rows {
    /// Those of some subjects, each its own element for as long as its subject
    /// is there: a row that is touched while others change stays what is
    /// touched.
    fn of(self, subjects: Signal<Vec<Subject>>) -> impl IntoView {
        let item = move |subject| {
            let line = Memo::new(move |_| self.0.with(|all| all.get(&subject).cloned()));
            view! { <li>{row(line)}</li> }
        };
        view! { <For each=move || subjects.get() key=|subject| *subject children=item/> }
    }
}

fn row(line: Memo<Option<Line>>) -> impl IntoView {
    // The line of a row that is about to leave.
    let of = move |take: fn(Line) -> String| move || line.get().map(take).unwrap_or_default();
    let tag = move || line.with(|l| l.as_ref().and_then(|l| l.tag));
    let sides = [0, 1].map(|at| {
        let team = move || line.with(|l| l.as_ref().and_then(|l| l.teams.get(at).cloned()));
        let runs = move || line.with(|l| l.as_ref().and_then(|l| l.runs?.get(at).copied()));
        view! { <span class="side"><span>{team}</span><span class="runs">{runs}</span></span> }
    });
    let class = move || {
        if tag().is_some() {
            "game-row live"
        } else {
            "game-row"
        }
    };
    let about = of(|l| {
        let about = [l.when, l.what].into_iter().filter(|t| !t.is_empty());
        about.collect::<Vec<_>>().join(", ")
    });
    view! {
        <A href=of(|l| l.to) attr:class=class>
            <span class="state">{about}</span>
            <span class="sides">{sides}</span>
            <span class="state">{move || tag().map(|t| view! { <span class="tag">{t}</span>" " })}{of(|l| l.state)}</span>
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
            subject: Subject::Game(r.game),
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
        subject: Subject::Fixture(fixture.number),
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
