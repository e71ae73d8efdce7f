//! Protests: the rule cited, the play, how the game stood before it, and what
//! was decided. One that is upheld is followed by a replay from that play.

use engine::game::Notice;
use engine::log::{Body, Event, FoldedPlay, ProtestCase, ProtestDecision, entry_number};
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
    /// Which play, and how the game stood before it.
    against: Option<String>,
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
            // As it was then: no later correction or replay moves it.
            let then = history.until(seq);
            Protest {
                seq,
                said: format!("{}: {}", when(book, seq), notice.sentence(&book.names())),
                rule: case.map(|c| c.rule.clone()).unwrap_or_default(),
                play,
                against: play.and_then(|p| {
                    let said = then.plays().find(|one| one.seq == p).map(brief)?;
                    let stood = words::stood(&then.before(p)?);
                    Some(format!("Against {said}. Before the play: {stood}"))
                }),
                decision: case.and_then(|c| c.decision.clone()),
            }
        })
        .collect()
}

/// A play in a few words: "play 2: 22 out".
fn brief(play: &FoldedPlay) -> String {
    let brief = play.result.as_ref().map(|o| o.brief()).unwrap_or_default();
    format!("play {}: {brief}", play.number)
}

/// The last plays, newest first, in a few words.
fn last_plays(book: &Book) -> Vec<(u64, String)> {
    let last = book.history().plays().rev().take(8);
    last.map(|p| (p.seq, brief(p))).collect()
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
        against,
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
        <section class="section" aria-label=format!("Protest, entry {}", entry_number(seq))>
            <h2>{said}</h2>
            {(!rule.is_empty()).then(|| view! { <p>{format!("Rule cited: {rule}.")}</p> })}
            {against.map(|a| view! { <p>{a}</p> })}
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
    let plays = Memo::new(move |_| desk.with(last_plays).unwrap_or_default());
    let newest = move || plays.with(|p| p.first().map(|(seq, _)| *seq));
    let play = RwSignal::new(untrack(newest));
    // A replay takes plays away.
    Effect::new(move |_| play.set(newest()));
    let sides = desk.with(|book| {
        Side::BOTH.map(|s| {
            let lit = move || (side.get() == Some(s)).to_string();
            let name = book.team(s).to_string();
            view! {
                <button type="button" class="btn" aria-pressed=lit on:click=move |_| side.set(Some(s))>{name}</button>
            }
        }).collect_view()
    });
    let options = move || {
        let one = |(seq, words): (u64, String)| {
            view! { <option value=seq.to_string() selected=move || play.get() == Some(seq)>{words}</option> }
        };
        plays.get().into_iter().map(one).collect_view()
    };
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
