//! Protests: the rule cited, the play, how the game stood before it, and what
//! was decided. One that is upheld is followed by a replay from that play.

use engine::game::Notice;
use engine::log::{Body, Event, ProtestCase, ProtestDecision};
use engine::team::Side;
use leptos::prelude::*;

use super::{Desk, Line, Lines, when};
use crate::book::Book;
use crate::words;

/// A protest with what is known of it.
#[derive(Clone, PartialEq)]
struct Protest {
    /// Number of its entry.
    seq: u64,
    said: String,
    rule: String,
    play: Option<u64>,
    /// How the game stood before the play.
    stood: Option<String>,
    decision: Option<ProtestDecision>,
}

/// Every protest that was not taken back, those before a replay too.
fn protests(book: &Book) -> Vec<Protest> {
    let history = book.history();
    let filed = history
        .events()
        .iter()
        .filter_map(|(seq, event)| match event {
            Event::Notice(notice @ Notice::Protest { .. }) if history.is_in_force(*seq) => {
                Some((*seq, notice))
            }
            _ => None,
        });
    filed
        .map(|(seq, notice)| {
            let cases = book.record.protest_cases();
            let case = cases.map(|(_, c)| c).rfind(|c| c.protest == seq);
            let play = case.and_then(|c| c.play);
            Protest {
                seq,
                said: format!("{}: {}", when(book, seq), notice.sentence(&book.names())),
                rule: case.map(|c| c.rule.clone()).unwrap_or_default(),
                play,
                stood: play
                    .and_then(|p| history.before(p))
                    .map(|game| words::stood(&game)),
                decision: case.and_then(|c| c.decision.clone()),
            }
        })
        .collect()
}

/// The last plays, newest first, in a few words.
fn last_plays(book: &Book) -> Vec<(u64, String)> {
    let one = |p: &engine::log::FoldedPlay| {
        let brief = p.result.as_ref().map(|o| o.brief()).unwrap_or_default();
        (p.seq, format!("play {}: {brief}", p.number))
    };
    book.history().plays().rev().take(8).map(one).collect()
}

/// Those filed, and a form for another.
#[component]
pub fn Protests(desk: Desk) -> impl IntoView {
    let all = Memo::new(move |_| desk.with(protests).unwrap_or_default());
    let cases = move || {
        let all = all.get().into_iter();
        all.map(|p| view! { <Case desk=desk protest=p/> })
            .collect_view()
    };
    view! {
        {cases}
        <File desk=desk/>
    }
}

#[component]
fn Case(desk: Desk, protest: Protest) -> impl IntoView {
    let reason = RwSignal::new(String::new());
    let Protest {
        seq,
        said,
        rule,
        play,
        stood,
        decision,
    } = protest;
    let decide = {
        let rule = rule.clone();
        move |upheld: bool| {
            let case = Body::ProtestCase(ProtestCase {
                protest: seq,
                rule: rule.clone(),
                play,
                decision: Some(ProtestDecision {
                    upheld,
                    reason: reason.get_untracked().trim().to_string(),
                }),
            });
            // A play that is not in force any more is not played again.
            let there = play.filter(|p| {
                desk.with(|b| b.history().before(*p).is_some())
                    .unwrap_or_default()
            });
            let again = there.filter(|_| upheld);
            let again = again.map(|target| Body::Event(Event::Replay { target }));
            let bodies = core::iter::once(case).chain(again).collect();
            desk.recording.record_all(bodies, || {});
        }
    };
    let uphold = decide.clone();
    let open = decision.is_none();
    let decided = decision.map(|d| {
        let how = if d.upheld { "Upheld" } else { "Denied" };
        let why = if d.reason.is_empty() {
            ".".into()
        } else {
            format!(": {}", d.reason)
        };
        view! { <p class="strong">{format!("{how}{why}")}</p> }
    });
    let upheld = match play {
        Some(_) => "Upheld: replay from the play",
        None => "Upheld",
    };
    view! {
        <section class="section" aria-label="Protest">
            <h2>{said}</h2>
            {(!rule.is_empty()).then(|| view! { <p>{format!("Rule cited: {rule}.")}</p> })}
            {stood.map(|s| view! { <p>{format!("Before the play: {s}")}</p> })}
            {decided}
            {open.then(|| view! {
                <Lines id=format!("protest-reason-{seq}") label="Decided by whom, and why" value=reason/>
                <div class="pair">
                    <button type="button" class="btn big" on:click=move |_| decide(false)>"Denied"</button>
                    <button type="button" class="btn big" on:click=move |_| uphold(true)>{upheld}</button>
                </div>
            })}
        </section>
    }
}

#[component]
fn File(desk: Desk) -> impl IntoView {
    let (rule, text) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let side = RwSignal::new(None::<Side>);
    let plays = StoredValue::new(desk.with(last_plays).unwrap_or_default());
    let play = RwSignal::new(plays.with_value(|p| p.first().map(|(seq, _)| *seq)));
    let sides = desk.with(|book| {
        Side::BOTH.map(|s| {
            let lit = move || (side.get() == Some(s)).to_string();
            let name = book.team(s).to_string();
            view! {
                <button type="button" class="btn" aria-pressed=lit on:click=move |_| side.set(Some(s))>{name}</button>
            }
        }).collect_view()
    });
    let options = plays.with_value(|plays| {
        let one = |(seq, words): &(u64, String)| {
            let seq = *seq;
            view! { <option value=seq.to_string() selected=move || play.get() == Some(seq)>{words.clone()}</option> }
        };
        plays.iter().map(one).collect_view()
    });
    let file = move |_| {
        let (Some(side_now), Some(protest)) =
            (side.get_untracked(), desk.with(|b| b.record.next_seq()))
        else {
            return;
        };
        let trimmed = |t: RwSignal<String>| t.get_untracked().trim().to_string();
        let notice = Notice::Protest {
            side: side_now,
            text: trimmed(text),
        };
        let case = ProtestCase {
            protest,
            rule: trimmed(rule),
            play: play.get_untracked(),
            decision: None,
        };
        let bodies = vec![Body::Event(Event::Notice(notice)), Body::ProtestCase(case)];
        desk.recording.record_all(bodies, move || {
            side.set(None);
            rule.set(String::new());
            text.set(String::new());
        });
    };
    view! {
        <section class="section" aria-label="A new protest">
            <h2>"Who protests?"</h2>
            <div class="ways two" role="group" aria-label="Side">{sides}</div>
            <div class="field">
                <label for="protest-play">"Against which play"</label>
                <select id="protest-play" class="input"
                    on:change:target=move |ev| play.set(ev.target().value().parse().ok())>
                    {options}
                    <option value="" selected=move || play.get().is_none()>"no play"</option>
                </select>
            </div>
            <Line id="protest-rule" label="Rule cited" value=rule most=120/>
            <Lines id="protest-text" label="What about" value=text/>
            <button type="button" class="btn lit big wide" disabled=move || side.get().is_none() on:click=file>"File the protest"</button>
        </section>
    }
}
