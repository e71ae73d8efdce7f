//! Amending a play: it is called anew on the same lanes, and what that would
//! do to the later plays is shown before anything is kept.

use std::collections::BTreeSet;

use engine::game::{Draft, Game, Notice, Unready};
use engine::log::{Amendment, Correction, Event, Step};
use engine::play::Call;
use leptos::prelude::*;

use super::super::calling::{Form, NoticeForm, Touched};
use super::super::open_game::Recording;
use crate::book::Book;
use crate::parts::{HomeFirst, Lanes, Message, Page, Tone};
use crate::state::{ShownGame, app_state};
use crate::words;

/// What becomes of the play that was picked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum How {
    /// It is called anew.
    Anew,
    /// It did not happen.
    Gone,
    /// A play was missed just before it.
    Missed,
    /// A protest was upheld: the game goes on from before it.
    Replay,
}

/// What an amendment would do.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Effect {
    score: String,
    /// Later plays that would no longer fit and fit now: number and why.
    broken: Vec<(usize, String)>,
}

fn with_book<T>(f: impl FnOnce(&Book) -> Option<T>) -> Option<T> {
    // Nothing else changes the game while this screen is up.
    app_state().open.with_untracked(|open| match open {
        Some(ShownGame { book: Ok(book), .. }) => f(book),
        _ => None,
    })
}

/// The screen for one picked entry.
#[component]
pub fn Amend(
    /// Its number in the log.
    seq: u64,
    /// Goes back to the story.
    done: Callback<()>,
) -> impl IntoView {
    let play = with_book(|book| {
        let play = book.history().plays().find(|p| p.seq == seq)?.clone();
        let before = book.history().before(seq)?;
        Some((play, before))
    });
    let missed = RwSignal::new(false);
    move || match &play {
        Some((play, before)) if missed.get() => view! {
            <MissedNotice seq=seq number=play.number before=before.clone() done=done/>
        }
        .into_any(),
        Some((play, before)) => view! {
            <AmendPlay seq=seq number=play.number call=play.call.clone() before=before.clone()
                missed=missed done=done/>
        }
        .into_any(),
        None => view! { <AmendNotice seq=seq done=done/> }.into_any(),
    }
}

fn event(seq: u64, how: How, call: &Call) -> Event {
    let change = match how {
        How::Anew => Correction::Replace(call.clone()),
        How::Gone => Correction::Remove,
        How::Missed => Correction::InsertBefore(call.clone()),
        How::Replay => return Event::Replay { target: seq },
    };
    Event::Amend(Amendment {
        target: seq,
        change,
    })
}

/// What the event would do, or why it is refused.
fn effect(event: Event) -> Option<Result<Effect, String>> {
    with_book(|book| {
        let unfit: BTreeSet<u64> = book.history().conflicts().map(|p| p.seq).collect();
        Some(match book.history().preview(event) {
            Ok(after) => Ok(Effect {
                score: words::score(after.game()),
                broken: after
                    .conflicts()
                    .filter(|p| !unfit.contains(&p.seq))
                    .filter_map(|p| Some((p.number, p.result.as_ref().err()?.to_string())))
                    .collect(),
            }),
            Err(why) => Err(why.to_string()),
        })
    })
}

#[component]
fn AmendPlay(
    seq: u64,
    number: usize,
    call: Call,
    before: Game,
    /// A notice was missed before it, as a substitution.
    missed: RwSignal<bool>,
    done: Callback<()>,
) -> impl IntoView {
    let recording = Recording::new();
    let how = RwSignal::new(How::Anew);
    let recorded = call.clone();
    let draft = RwSignal::new(Draft::of_call(&before, &call));
    let title = format!("Correct play {number}");
    let stood = words::stood(&before);
    let game = RwSignal::new(before);
    let game: Signal<Game> = game.into();
    let made = move || game.with(|g| draft.with(|d| d.call(g)));
    let asks = move || {
        !matches!(how.get(), How::Gone | How::Replay)
            && matches!(
                game.with(|g| draft.with(|d| d.check(g))),
                Err(Unready::Asks(_))
            )
    };
    let same = {
        let recorded = recorded.clone();
        move || how.get() == How::Anew && made() == recorded
    };
    let effect = Memo::new(move |_| effect(event(seq, how.get(), &made())));
    let tab = move |this: How, text: &'static str| {
        let recorded = recorded.clone();
        view! {
            <button type="button" class="btn" aria-pressed=move || (how.get() == this).to_string()
                on:click=move |_| {
                    how.set(this);
                    draft.set(if this == How::Missed {
                        Draft::default()
                    } else {
                        game.with_untracked(|g| Draft::of_call(g, &recorded))
                    });
                }>{text}</button>
        }
    };
    let tabs = view! {
        <div class="ways two" role="group" aria-label="What was wrong">
            {tab(How::Anew, "Call it anew")}
            {tab(How::Missed, "One missed before it")}
            {tab(How::Gone, "Did not happen")}
            {tab(How::Replay, "Protest upheld")}
        </div>
    };
    let may = {
        let same = same.clone();
        move || !same() && !asks() && matches!(effect.get(), Some(Ok(_)))
    };
    let save = move |()| {
        recording.record(event(seq, how.get_untracked(), &made()), move || {
            done.run(())
        })
    };
    let foot = foot("Save correction", may, save, done);
    view! {
        <Page title=title back="/" has_foot=true foot=foot bare=true>
            <p class="strong">{stood}</p>
            {tabs}
            <Show when=move || !matches!(how.get(), How::Gone | How::Replay)>
                <div class="lanes"><div class="lanes-in">
                    <Lanes game=game draft=draft/>
                    <HomeFirst game=game draft=draft/>
                </div></div>
            </Show>
            {move || recording.failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            {move || if same() {
                view! { <p class="soft">"This is how it is recorded. Tap what is to change."</p> }.into_any()
            } else if asks() {
                view! { <p>"Answer the question first."</p> }.into_any()
            } else {
                said(effect.get()).into_any()
            }}
            <Show when=move || !matches!(how.get(), How::Gone | How::Replay)>
                <details>
                    <summary class="btn wide">"Who touched the ball"</summary>
                    <Touched game=game draft=draft/>
                </details>
            </Show>
            <button type="button" class="btn wide start" on:click=move |_| missed.set(true)>
                "A notice was missed before it: a substitution, a time-out ..."
            </button>
        </Page>
    }
}

/// A notice that was given before a play and not recorded then.
#[component]
fn MissedNotice(seq: u64, number: usize, before: Game, done: Callback<()>) -> impl IntoView {
    let recording = Recording::new();
    let form = RwSignal::new(None::<Form>);
    let notice = RwSignal::new(None::<Notice>);
    let game: Signal<Game> = RwSignal::new(before).into();
    let event = move || {
        let change = Correction::NoticeBefore(notice.get()?);
        Some(Event::Amend(Amendment {
            target: seq,
            change,
        }))
    };
    let effect = Memo::new(move |_| effect(event()?));
    let may = move || matches!(effect.get(), Some(Ok(_)));
    let save = move |()| {
        if let Some(event) = event() {
            recording.record(event, move || done.run(()));
        }
    };
    let foot = foot("Save correction", may, save, done);
    let list = move || {
        let one = |f: Form| {
            view! {
                <button type="button" class="btn big" on:click=move |_| form.set(Some(f))>{f.word()}</button>
            }
        };
        view! {
            <h2>"What was missed?"</h2>
            <div class="ways two">{Form::all().map(one).collect_view()}</div>
        }
    };
    let send = Callback::new(move |given: Notice| notice.set(Some(given)));
    let again = move |_| {
        notice.set(None);
        form.set(None);
    };
    view! {
        <Page title=format!("Missed before play {number}") back="/" has_foot=true foot=foot bare=true>
            {move || recording.failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            {move || match (notice.get(), form.get()) {
                (Some(given), _) => view! {
                    <p class="strong">{with_book(|book| Some(given.sentence(&book.names())))}</p>
                    {said(effect.get())}
                    <button type="button" class="btn wide" on:click=again>"Choose again"</button>
                }.into_any(),
                (None, Some(f)) => view! {
                    <h2>{f.title()}</h2>
                    <NoticeForm form=f game=game act="See what follows" send=send/>
                }.into_any(),
                (None, None) => list().into_any(),
            }}
        </Page>
    }
}

/// The two ways out of an amendment.
fn foot<V>(
    act: &'static str,
    may: impl Fn() -> bool + Clone + Send + Sync + 'static,
    save: impl Fn(()) -> V + Clone + 'static,
    done: Callback<()>,
) -> impl Fn() -> AnyView + Clone {
    move || {
        let (may, save) = (may.clone(), save.clone());
        view! {
            <div class="pair">
                <button type="button" class="btn" on:click=move |_| done.run(())>"Leave it"</button>
                <button type="button" class="btn lit big" disabled=move || !may()
                    on:click=move |_| { save(()); }>{act}</button>
            </div>
        }
        .into_any()
    }
}

/// The effect in words.
fn said(effect: Option<Result<Effect, String>>) -> impl IntoView {
    match effect {
        None => ().into_any(),
        Some(Err(why)) => view! { <p class="refusal" role="alert">{why}</p> }.into_any(),
        Some(Ok(effect)) if effect.broken.is_empty() => view! {
            <Message tone=Tone::Good what="Every later play still fits.".to_string()
                next=format!("Then it stands: {}", effect.score)/>
        }
        .into_any(),
        Some(Ok(effect)) => {
            let rows: Vec<_> = effect
                .broken
                .into_iter()
                .map(|(n, why)| view! { <li>{format!("Play {n}: {why}")}</li> })
                .collect();
            view! {
                <div class="message bad" role="status">
                    <p class="what">{match rows.len() {
                        1 => "One later play would no longer fit:".to_string(),
                        n => format!("{n} later plays would no longer fit:"),
                    }}</p>
                    <ul class="stack-tight">{rows}</ul>
                    <p>{format!("They stay in the story, marked, to be corrected too. Then it stands: {}", effect.score)}</p>
                </div>
            }
            .into_any()
        }
    }
}

/// A notice can only be taken out; a right one is then put in before the play that followed.
#[component]
fn AmendNotice(seq: u64, done: Callback<()>) -> impl IntoView {
    let recording = Recording::new();
    let words = with_book(|book| {
        book.history().steps().iter().find_map(|step| match step {
            Step::Notice(n) if n.seq == seq => Some(n.notice.sentence(&book.names())),
            _ => None,
        })
    });
    let gone = move || {
        Event::Amend(Amendment {
            target: seq,
            change: Correction::Remove,
        })
    };
    let effect = Memo::new(move |_| effect(gone()));
    let may = move || matches!(effect.get(), Some(Ok(_)));
    let save = move |()| recording.record(gone(), move || done.run(()));
    let foot = foot("It did not happen", may, save, done);
    view! {
        <Page title="Correct a notice" back="/" has_foot=true foot=foot bare=true>
            <p class="strong">{words}</p>
            {move || recording.failed.get().map(|(what, next)| view! { <Message tone=Tone::Bad what=what next=next/> })}
            {move || said(effect.get())}
        </Page>
    }
}
