//! Everything that is not the next call, behind one button.

use crate::parts::A;
use engine::game::{BatterChoice, Draft, Game, Hold, Notice, Outcome, Unready, WarningRecipient};
use engine::log::Event;
use engine::play::Scoring;
use engine::team::{Place, Position, Side};
use leptos::prelude::*;

use super::Recording;
use super::keys::KEYS;
use super::notices::{Form, NoticeForm};
use crate::parts::{BottomSheet, Message, Tone};
use crate::screens::care::thunder_notice;
use crate::state::app_state;
use crate::{clock, precautions, words};

/// What the sheet shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    /// The list.
    List,
    /// A form for one notice.
    Notice(Form),
    /// Who touched the ball.
    Touched,
    /// A note on the play being called.
    Note,
    /// Who hits, where it is not the batter due.
    Hitter,
    /// A second warning: the competition asks for the ejection.
    Proposed(Side, WarningRecipient),
}

/// The sheet.
#[component]
pub fn More(
    open: RwSignal<bool>,
    /// What it shows.
    at: RwSignal<At>,
    game: Signal<Game>,
    draft: RwSignal<Draft>,
    recording: Recording,
) -> impl IntoView {
    Effect::new(move |_| {
        if open.get() {
            recording.failed.set(None);
        } else {
            at.set(At::List);
        }
    });
    let title = move || match at.get() {
        At::List => "More".to_string(),
        At::Notice(form) => form.title().to_string(),
        At::Touched => "Who touched the ball?".to_string(),
        At::Note => "A note on this play".to_string(),
        At::Hitter => "Who hit?".to_string(),
        At::Proposed(..) => "Send off after a second warning?".to_string(),
    };
    let send = Callback::new(move |mut notice: Notice| {
        if notice == Notice::Hold(Hold::Lightning) {
            // The clock starts with the thunder, whether or not it can be written down.
            precautions::thunder(clock::now());
            // A game stopped for rain is stopped already.
            let said = thunder_notice(game.with_untracked(Game::stage));
            notice = said.unwrap_or(notice);
        }
        let warned = match &notice {
            Notice::Warning { side, .. } => Some(*side),
            _ => None,
        };
        recording.record(Event::Notice(notice), move || {
            // Proposed, never done: the sheet closes without it too.
            let proposed = warned.and_then(|side| {
                let who = game.with_untracked(|g| g.proposes_ejection(side))?;
                Some(At::Proposed(side, who))
            });
            match proposed {
                Some(proposed) => at.set(proposed),
                None => open.set(false),
            }
        });
    });
    let failed = move || {
        let said = recording.failed.get();
        said.map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })
    };
    view! {
        <BottomSheet open=open title=Signal::derive(title) close="Back to the game">
            {move || match at.get() {
                At::List => view! { <List at=at/> }.into_any(),
                At::Notice(form) => view! {
                    {failed}
                    <NoticeForm form=form game=game send=send/>
                }.into_any(),
                At::Proposed(side, who) => view! {
                    {failed}
                    <p>{game.with_untracked(|g| words::proposal(g, side))}</p>
                    <NoticeForm form=Form::Ejection game=game send=send about=(side, who)/>
                }.into_any(),
                At::Touched => view! { <Touched game=game draft=draft/> }.into_any(),
                At::Note => view! { <Note draft=draft/> }.into_any(),
                At::Hitter => view! { <Hitter game=game draft=draft open=open/> }.into_any(),
            }}
        </BottomSheet>
    }
}

#[component]
fn List(at: RwSignal<At>) -> impl IntoView {
    let id = app_state()
        .open
        .with_untracked(|o| o.as_ref().map(|o| o.listed.game.clone()))
        .unwrap_or_default();
    let id = StoredValue::new(id);
    let to = move |at_form: At, words: &'static str| {
        view! { <button type="button" class="btn" on:click=move |_| at.set(at_form)>{words}</button> }
    };
    let form = move |form: Form| to(At::Notice(form), form.word());
    let link = move |path: &'static str, words: &'static str| {
        view! { <A href=format!("/{path}game={}", id.get_value()) attr:class="btn">{words}</A> }
    };
    view! {
        <h3>"Players"</h3>
        <div class="ways two">{Form::PLAYERS.map(form).collect_view()}</div>
        <h3>"Time"</h3>
        <div class="ways two">{Form::TIME.map(form).collect_view()}</div>
        <h3>"Order"</h3>
        <div class="ways two">
            {form(Form::Warning)}
            {form(Form::Ejection)}
            {link("officials?show=protest&", "Protest")}
            {form(Form::Forfeit)}
        </div>
        <h3>"The record"</h3>
        <div class="ways two">
            {to(At::Touched, "Who touched it")}
            {to(At::Note, "Note on this play")}
            {to(At::Hitter, "Hit out of turn")}
            {form(Form::NoPlay)}
            {form(Form::Remark)}
            {link("story?", "Play by play")}
            {link("statement?", "Score sheet")}
            {link("officials?show=umpires&", "Umpires")}
            {link("officials?show=incident&", "Incident report")}
        </div>
        <h3>"Look up, leave"</h3>
        <div class="ways two">
            {link("care?show=checks&", "Checks before play")}
            {link("care?show=thunder&", "Thunder, care")}
            {link("cross?", "Second phone")}
            <A href="/" attr:class="btn">"Leave the game"</A>
        </div>
        <details>
            <summary class="btn wide">"Keys of a keyboard"</summary>
            <dl class="keys">
                {KEYS.map(|(key, does)| view! { <dt>{key}</dt><dd>{does}</dd> }).collect_view()}
            </dl>
        </details>
    }
}

/// The scorer's extras of the call being made: who touched the ball in order,
/// the last one made the out; whose error it was.
#[component]
pub fn Touched(
    /// The game before the play.
    game: Signal<Game>,
    /// The call being made.
    draft: RwSignal<Draft>,
) -> impl IntoView {
    let change = move |f: &dyn Fn(&mut Scoring)| draft.update(|d| f(&mut d.scoring));
    let who = move |p: Position| {
        game.with(|g| {
            let side: Side = g.at_bat().other();
            g.fielder(side, p)
                .map(|s| words::player(g, side, s))
                .unwrap_or_default()
        })
    };
    let chain = move || draft.with(|d| chain_words(&d.scoring));
    let errors = move |p: Position| draft.with(|d| d.scoring.errors.contains(&p));
    let check = Memo::new(move |_| game.with(|g| draft.with(|d| d.check(g))));
    let thrown = move || check.with(|c| c.as_ref().is_ok_and(Outcome::is_thrown_out_of_play));
    // One that is charged already must be there to be taken away.
    let may_err =
        move || draft.with(|d| d.chosen() != BatterChoice::Illegal || !d.scoring.errors.is_empty());
    view! {
        <div class="touched" role="group" aria-label="Who touched the ball">
            <p class="small">"For the score sheet, never needed for a call. The last one made the out."</p>
            <p class="split">
                <span>{move || {
                    let chain = chain();
                    if chain.is_empty() { "Touched by: tap in order".to_string() } else { format!("Touched by {chain}") }
                }}</span>
            </p>
            <div class="ways three">
                {Position::ALL.map(|p| view! {
                    <button type="button" class="btn" on:click=move |_| change(&|s| {
                        if s.by.len() < Scoring::LIMIT { s.by.push(p); }
                    })>
                        <span class="words">{p.to_string()}<span class="under">{move || who(p)}</span></span>
                    </button>
                }).collect_view()}
            </div>
            <Putouts game=game draft=draft check=check/>
            <Show when=may_err>
                <p>{move || if thrown() {
                    "Thrown out of play: an error? By whom; nobody, if it was none"
                } else {
                    "Error by"
                }}</p>
                <div class="ways three">
                    {Position::ALL.map(|p| view! {
                        <button type="button" class="btn bad" aria-label=format!("error by {p}")
                            aria-pressed=move || errors(p).to_string()
                            on:click=move |_| change(&|s| {
                                if s.errors.contains(&p) { s.errors.retain(|e| *e != p); } else { s.errors.push(p); }
                            })>{p.to_string()}</button>
                    }).collect_view()}
                </div>
            </Show>
            <BattedIn draft=draft check=check/>
            <button type="button" class="btn wide" on:click=move |_| change(&|s| *s = Scoring::default())>"Start again"</button>
        </div>
    }
}

/// Which touch was the putout, where it was not the last one.
#[component]
fn Putouts(
    game: Signal<Game>,
    draft: RwSignal<Draft>,
    check: Memo<Result<Outcome, Unready>>,
) -> impl IntoView {
    let credited = move || {
        let putouts = |o: &Outcome| usize::from(game.with(|g| o.putouts(g.edition())));
        check.with(|c| c.as_ref().map_or(0, putouts))
    };
    let illegal = move || draft.with(|d| d.chosen() == BatterChoice::Illegal);
    let policy = move || {
        let policy = game.with(|g| **g.edition().illegal_putout());
        illegal().then(|| format!("The putout of an illegal hit: {}.", policy.meaning()))
    };
    let touches = Memo::new(move |_| draft.with(|d| d.scoring.by.clone()));
    let row = move || {
        let outs = credited();
        let by = touches.get();
        (outs > 0 && by.len() > 1).then(|| {
            let one = |(at, p): (usize, Position)| {
                let made = move || draft.with(|d| d.scoring.putouts(outs).contains(&at));
                view! {
                    <button type="button" class="btn" aria-label=format!("putout by touch {}, {p}", at + 1)
                        aria-pressed=move || made().to_string()
                        on:click=move |_| draft.update(|d| d.scoring.star(at, outs))>{p.to_string()}</button>
                }
            };
            view! {
                <p>"Put out by: the last, unless you tap another"</p>
                <div class="ways three">{by.into_iter().enumerate().map(one).collect_view()}</div>
            }
        })
    };
    view! {
        {move || policy().map(|p| view! { <p>{p}</p> })}
        {row}
    }
}

/// How many runs the batter is credited with: as the rule derives them, unless
/// the scorer judges otherwise.
#[component]
fn BattedIn(draft: RwSignal<Draft>, check: Memo<Result<Outcome, Unready>>) -> impl IntoView {
    let found = Memo::new(move |_| {
        let runs = |o: &Outcome| (o.runs, engine::score::runs_batted_in(o));
        check.with(|c| c.as_ref().ok().map(runs))
    });
    let said = move || draft.with(|d| d.scoring.batted_in);
    let one = move |to: Option<u8>, words: String| {
        view! {
            <button type="button" class="btn" aria-label=format!("batted in: {words}")
                aria-pressed=move || (said() == to).to_string()
                on:click=move |_| draft.update(|d| d.scoring.batted_in = to)>{words.clone()}</button>
        }
    };
    move || {
        let (runs, derived) = found.get()?;
        (runs > 0 || said().is_some()).then(|| {
            view! {
                <p>"Runs batted in"</p>
                <div class="ways three">
                    {one(None, format!("by the rule, {derived}"))}
                    {(0..=runs).map(|n| one(Some(n), n.to_string())).collect_view()}
                </div>
            }
        })
    }
}

/// Hit out of turn, and nobody objected: who it was.
#[component]
fn Hitter(game: Signal<Game>, draft: RwSignal<Draft>, open: RwSignal<bool>) -> impl IntoView {
    let one = move |place: Place| {
        let (who, name, due) = game.with(|g| {
            let who = g.squads()[g.at_bat()].at(place);
            (who, words::player(g, g.at_bat(), who), who == g.due())
        });
        let hitter = (!due).then_some(who);
        let lit = move || draft.with(|d| d.hitter == hitter).to_string();
        let choose = move |_| {
            draft.update(|d| d.hitter = hitter);
            open.set(false);
        };
        view! {
            <button type="button" class="btn" aria-pressed=lit on:click=choose>
                <span class="words">{name}{due.then(|| view! { <span class="under">"is due"</span> })}</span>
            </button>
        }
    };
    view! {
        <p>"Nobody objected before the next hit: it stands, and the one after this hitter is due. Found in time, the hit is illegal: out of turn."</p>
        <div class="ways two">{Place::ALL.map(one).collect_view()}</div>
    }
}

/// A note in plain words, kept with the play being called.
#[component]
fn Note(draft: RwSignal<Draft>) -> impl IntoView {
    let kept = draft.with_untracked(|d| d.note.clone().unwrap_or_default());
    view! {
        <div class="field">
            <label for="play-note">"In a few words, for instance why it was ruled so"</label>
            <textarea id="play-note" class="input" rows="3" maxlength=Notice::TEXT_LIMIT.to_string()
                prop:value=kept
                on:input:target=move |ev| {
                    let text = ev.target().value();
                    draft.update(|d| d.note = Some(text.trim().to_string()).filter(|t| !t.is_empty()));
                }></textarea>
        </div>
        <p>"It is recorded together with the play."</p>
    }
}

/// Who touched the ball, in order.
pub fn chain_words(scoring: &Scoring) -> String {
    let by = scoring.by.iter();
    by.map(ToString::to_string)
        .collect::<Vec<_>>()
        .join(", then ")
}

/// One line above the lanes for those who keep the score sheet as they call.
#[component]
pub fn TouchedLine(
    draft: RwSignal<Draft>,
    check: Memo<Result<Outcome, Unready>>,
    tap: Callback<()>,
) -> impl IntoView {
    let asks = |o: &Outcome| o.is_thrown_out_of_play() && o.scoring.errors.is_empty();
    let thrown = move || check.with(|c| c.as_ref().is_ok_and(asks));
    let words = move || match draft.with(|d| chain_words(&d.scoring)) {
        _ if thrown() => "thrown out of play: an error?".to_string(),
        none if none.is_empty() => "who touched it?".to_string(),
        by => format!("touched by {by}"),
    };
    view! {
        <button type="button" class="btn wide touched-line" on:click=move |_| tap.run(())>{words}</button>
    }
}
