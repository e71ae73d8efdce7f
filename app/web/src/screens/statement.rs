//! The final statement: line score, box score, how it ended, and the proof.

use crate::parts::{A, Section};
use engine::log::Care;
use engine::message::{isolated, score};
use engine::score::{BoxScore, LineScore, PlayerTotals};
use engine::team::{BySide, Shirt, Side};
use leptos::prelude::*;

use super::officials::crew_lines;
use super::open_game::{opened_book, unreadable};
use super::signatures::{signatures, to_sign};
use crate::book::Book;
use crate::clock;
use crate::court_draft::read_used;
use crate::parts::{Message, Page, Tone};
use crate::state::ShownGame;
use crate::words;

/// The score sheet of a game, over or not.
#[component]
pub fn Statement() -> impl IntoView {
    let trouble = RwSignal::new(None);
    let open = opened_book(trouble);
    move || {
        open.with(|open| match open {
            Some(ShownGame { book: Ok(book), .. }) => sheet(book).into_any(),
            _ => unreadable(open.as_ref(), trouble).into_any(),
        })
    }
}

fn sheet(book: &Book) -> impl IntoView + use<> {
    let game = book.game();
    let id = book.listed.game.clone();
    let over = game.ending().is_some();
    let title = if over {
        "Final statement"
    } else {
        "Score sheet"
    };
    let back = if over {
        "/".to_string()
    } else {
        format!("/call?game={id}")
    };
    let story = format!("/story?game={id}");
    let print = |_| crate::js::print();
    let foot = move || {
        view! {
            <div class="pair">
                <A href=story attr:class="btn">"Play by play"</A>
                <button type="button" class="btn" on:click=print>"Print"</button>
            </div>
        }
    };
    let line = LineScore::new(book.outcomes());
    let sheet = BoxScore::of(book.history());
    let setup = book.setup();
    let shown = |name| isolated(name).into_owned();
    let about = [
        setup.title.as_deref().map(shown),
        setup.court.as_deref().map(shown),
        Some(clock::day(book.listed.begun)),
        Some(format!("begun {}", clock::time_of_day(book.listed.begun))),
    ];
    let about: Vec<String> = about.into_iter().flatten().collect();
    let demo = setup.demo;
    let rules = words::capital(&setup.edition.to_string());
    let conflicts = book.history().conflicts().count();
    let how = match game.ending() {
        Some(ending) => ending.to_string(),
        None => format!("Not over: {}.", game.inning_words()),
    };
    let result = result(book);
    let line = line_table(book, &line);
    let boxes = Side::BOTH.map(|side| box_table(book, &sheet, side));
    let proof = proof(book);
    let court = court(book);
    let umpires = lines_section("Umpires", crew_lines(book));
    let care = care(book);
    let to_sign = to_sign(book);
    let signatures = signatures(book);
    view! {
        <Page title=title back=back has_foot=true foot=foot>
            <section class="section" aria-label="Result">
                <h2>{result}</h2>
                <p>{how}</p>
                <p class="soft small">
                    {demo.then(|| view! { <span class="tag">"demo: made up"</span>" " })}
                    {about.join(", ")}". "{rules}"."
                </p>
            </section>
            {(conflicts > 0).then(|| view! {
                <Message tone=Tone::Bad what="Some plays no longer fit after a correction.".to_string()
                    next="Look at them play by play before anyone signs.".to_string()/>
            })}
            {to_sign}
            {line}
            {boxes.collect_view()}
            {proof}
            {court}
            {umpires}
            {care}
            {signatures}
        </Page>
    }
}

/// Who won, or how it stands.
fn result(book: &Book) -> String {
    let game = book.game();
    let (names, runs) = (book.names(), game.score());
    // The winner first.
    let at = |side: Side| match game.winner() {
        Some(Side::Home) => side.other(),
        _ => side,
    };
    score(
        &BySide::from_fn(|side| names[at(side)]),
        &BySide::from_fn(|side| runs[at(side)]),
    )
}

fn line_table(book: &Book, line: &LineScore) -> impl IntoView + use<> {
    let innings = line.innings().max(1);
    let scheduled = book.game().edition().innings().get();
    let columns = innings.max(scheduled);
    let head = (1..=columns)
        .map(|n| view! { <th scope="col"><span class="unseen">"inning "</span>{n}</th> })
        .collect_view();
    let rows = Side::BOTH.map(|side| {
        let total = line.totals()[side];
        let runs = book.game().score()[side];
        let cells = (1..=columns)
            .map(|n| {
                let runs = line.runs_in(n, side);
                view! { <td>{runs.map_or_else(|| "–".to_string(), |r| r.to_string())}</td> }
            })
            .collect_view();
        view! {
            <tr>
                <th scope="row">{book.team(side).to_string()}</th>
                {cells}
                <td class="total">{runs}</td>
                <td>{total.hits}</td>
                <td>{total.errors}</td>
                <td>{total.left}</td>
            </tr>
        }
    });
    view! {
        <Section title="Runs by inning">
            <div class="scroll" tabindex="0" role="region" aria-label="Runs by inning, table">
                <table class="grid tight">
                    <thead><tr>
                        <td></td>{head}
                        <th scope="col">"runs"</th><th scope="col">"hits"</th>
                        <th scope="col">"errors"</th><th scope="col">"left"<span class="unseen">" on base"</span></th>
                    </tr></thead>
                    <tbody>{rows.collect_view()}</tbody>
                </table>
            </div>
        </Section>
    }
}

fn box_table(book: &Book, sheet: &BoxScore, side: Side) -> impl IntoView + use<> {
    let players = &sheet.players()[side];
    let card = book.game().fixture().lineups()[side].card();
    let order: Vec<Shirt> = card
        .players()
        .map(|p| p.shirt)
        .filter(|s| players.contains_key(s) || card.hitters.iter().any(|h| h.player.shirt == *s))
        .collect();
    let mut sum = PlayerTotals::default();
    for totals in players.values() {
        sum.add(totals);
    }
    let named: Vec<(String, PlayerTotals)> = order
        .into_iter()
        .map(|s| {
            let totals = players.get(&s).copied().unwrap_or_default();
            (words::player(book.game(), side, s), totals)
        })
        .collect();
    let bats = |(name, t): (String, PlayerTotals)| {
        view! {
            <tr>
                <th scope="row">{name}</th>
                <td>{t.at_bats}</td><td>{t.runs}</td><td>{t.hits}</td><td>{t.batted_in}</td>
                <td>{t.batting().to_string()}</td>
            </tr>
        }
    };
    let fields = |(name, t): (String, PlayerTotals)| {
        view! {
            <tr>
                <th scope="row">{name}</th>
                <td>{t.putouts}</td><td>{t.assists}</td><td>{t.errors}</td>
                <td>{t.fielding().to_string()}</td>
            </tr>
        }
    };
    let batting = named.clone().into_iter().map(bats).collect_view();
    let fielding = named.into_iter().map(fields).collect_view();
    let all = || ("All".to_string(), sum);
    let unsaid = sheet.unsaid(side);
    let team = book.team(side).to_string();
    let title = team.clone();
    view! {
        <section class="section" aria-label=team.clone()>
            <h2>{title}</h2>
            <div class="beside">
            <div class="scroll" tabindex="0" role="region" aria-label=format!("{team}, batting, table")>
                <table class="grid tight">
                    <caption>"Batting"</caption>
                    <thead><tr>
                        <td></td>
                        <th scope="col">"at bat"</th><th scope="col">"runs"</th><th scope="col">"hits"</th>
                        <th scope="col">"batted in"</th><th scope="col">"average"</th>
                    </tr></thead>
                    <tbody>{batting}</tbody>
                    <tfoot>{bats(all())}</tfoot>
                </table>
            </div>
            <div class="scroll" tabindex="0" role="region" aria-label=format!("{team}, fielding, table")>
                <table class="grid tight">
                    <caption>"Fielding"</caption>
                    <thead><tr>
                        <td></td>
                        <th scope="col">"put out"</th><th scope="col">"assists"</th>
                        <th scope="col">"errors"</th><th scope="col">"average"</th>
                    </tr></thead>
                    <tbody>{fielding}</tbody>
                    <tfoot>{fields(all())}</tfoot>
                </table>
            </div>
            </div>
            {unsaid.map(|unsaid| view! { <p class="small soft">{unsaid}</p> })}
        </section>
    }
}

/// The box score proves itself, or says that it does not.
fn proof(book: &Book) -> impl IntoView + use<> {
    let game = book.game();
    let rows = Side::BOTH.map(|side| {
        let t = game.tally()[side];
        let on = if game.ending().is_none() && side == game.at_bat() { game.on_base() } else { 0 };
        let now = if on > 0 { format!(" + {on} on base now") } else { String::new() };
        let placed = if t.placed > 0 { format!(" + {} placed", t.placed) } else { String::new() };
        let holds = game.balance(side) == 0;
        let class = if holds { "message good" } else { "message bad" };
        view! {
            <div class=class>
                <p class="what">{format!("{}: {}", book.team(side), if holds { "proves" } else { "does not prove" })}</p>
                <p>{format!(
                    "{} times at bat{placed} = {} runs + {} left on base{now} + {} put out",
                    t.turns, t.runs, t.left, t.outs
                )}</p>
            </div>
        }
    });
    view! {
        <Section title="Proof">
            <p class="small soft">"Everyone who came to bat scored, was left on base, or was put out."</p>
            <div class="beside stack-tight">{rows.collect_view()}</div>
        </Section>
    }
}

/// The court that the fixture was played on, with what was reduced.
fn court(book: &Book) -> Option<impl IntoView + use<>> {
    let bytes = book.setup().court_used.as_ref()?;
    let lines = match read_used(bytes) {
        None => {
            vec!["The court set out for this game is kept but cannot be read here.".to_string()]
        }
        Some(used) => {
            let mut lines = used.sentences();
            if !used.is_under(book.game().edition()) {
                lines.push("It was fitted under other rules than those of this game.".into());
            }
            lines
        }
    };
    lines_section("Court", lines)
}

/// A part of the sheet that is a list of sentences; nothing without one.
fn lines_section(title: &'static str, lines: Vec<String>) -> Option<impl IntoView + use<>> {
    let lines = (!lines.is_empty()).then(|| lines.into_iter().map(|l| view! { <li>{l}</li> }))?;
    Some(view! {
        <section class="section" aria-label=title>
            <h2>{title}</h2>
            <ul class="stack-tight small">{lines.collect_view()}</ul>
        </section>
    })
}

/// What was looked at before and during the game, and by whom.
fn care(book: &Book) -> Option<impl IntoView + use<>> {
    let one = |(seq, c): (u64, &Care)| {
        let at = book.claimed(seq).map(clock::time_of_day);
        let how = if c.in_order {
            "in order"
        } else {
            "not in order"
        };
        format!("{}: {how} ({}, {}).", c.item, c.who, at.unwrap_or_default())
    };
    lines_section("Care", book.record.care().map(one).collect())
}
