//! The calling screen.

mod code;
mod keys;
mod more;
mod notices;
mod panels;

use std::time::Duration;

use crate::parts::A;
use engine::game::{Change, Game, Stage};
use engine::log::{Body, Event, Step};
use engine::play::{BatterFate, Call, Goal};
use engine::team::Side;
use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::use_query_map;

use crate::book::Book;
use crate::chalk::{Access, Chalk, NotRecorded, Reach, Shown, chalk};
use crate::parts::{
    Court, HomeFirst, Lanes, Message, Page, ScoreHead, Tone, TroubleMessage, Verdict, effective,
    verdict,
};
use crate::store::{Trouble, ask_to_last};
use crate::{device, words};

/// How long a screen says that something is kept before it takes the next: the second tap of a double
/// tap must not record the next batter's default, nor answer what took the button's place.
const KEPT: Duration = Duration::from_millis(250);

use more::More;
pub use notices::{Form, NoticeForm};
use panels::{Held, Over, SidesChange, StandIn};

/// The game named in the address, opened and folded; `None` while it is read.
pub fn opened_book(trouble: RwSignal<Option<Trouble>>) -> RwSignal<Option<Shown>> {
    let chalk = chalk();
    let query = use_query_map();
    let id = Memo::new(move |_| query.with(|q| q.get("game")).unwrap_or_default());
    Effect::new(move |_| {
        if chalk.reach.get() != Reach::Ready {
            return;
        }
        let game = id.get();
        let there = chalk
            .open
            .with_untracked(|o| o.as_ref().is_some_and(|o| o.listed.game == game));
        if !there {
            spawn_local(async move { trouble.set(chalk.open(game, false).await.err()) });
        }
    });
    chalk.open
}

/// The call that a fresh play begins with: the commonest one.
pub fn fresh() -> Call {
    Call::new(BatterFate::safe(Goal::First))
}

/// Calls a game, play by play.
#[component]
pub fn Calling() -> impl IntoView {
    let chalk = chalk();
    let trouble = RwSignal::new(None::<Trouble>);
    let book = opened_book(trouble);
    // Which game can be read, and nothing of how it stands: a play changes what is on the screen, not
    // the screen, so that what it holds off and where the focus is outlive the play.
    let readable = Memo::new(move |_| {
        book.with(|b| {
            let shown = b.as_ref().filter(|b| b.book.is_ok())?;
            Some(shown.listed.game.clone())
        })
    });
    device::awake_while_mounted(chalk.settings.with_untracked(|s| s.awake));
    // Asked where there is first something of one's own to keep.
    Effect::new(move |asked: Option<bool>| {
        let own = book.with(|b| b.as_ref().is_some_and(|b| !b.listed.demo));
        if own && asked != Some(true) {
            spawn_local(async {
                ask_to_last().await;
            });
        }
        own || asked == Some(true)
    });
    move || {
        if readable.with(Option::is_some) {
            view! { <Open book=book/> }.into_any()
        } else {
            book.with(|shown| unreadable(shown.as_ref(), trouble))
                .into_any()
        }
    }
}

/// In place of a game that is not open yet, not here, or cannot be read.
pub fn unreadable(
    shown: Option<&Shown>,
    trouble: RwSignal<Option<Trouble>>,
) -> impl IntoView + use<> {
    let broken = shown.and_then(|s| s.book.as_ref().err().cloned());
    let opening = broken.is_none();
    let broken = broken.map(|b| {
        let found: Vec<_> = b
            .damaged
            .iter()
            .map(|d| view! { <li>{format!("Entry {}, {} bytes: {}", d.seq, d.bytes.len(), d.why)}</li> })
            .collect();
        view! {
            <Message tone=Tone::Bad what=format!("This game cannot be read. {}", b.why)
                next="What was found is kept as it is; nothing is deleted.".to_string()/>
            <ul class="stack-tight small">{found}</ul>
        }
    });
    view! {
        <Page title="Game" back="/">
            {broken}
            <TroubleMessage trouble=trouble/>
            <Show when=move || opening && trouble.get().is_none()>
                <p role="status">"Opening the game…"</p>
            </Show>
        </Page>
    }
}

/// What a screen with an open game needs to record something.
#[derive(Clone, Copy)]
pub struct Recording {
    chalk: Chalk,
    /// What went wrong with the last attempt.
    pub failed: RwSignal<Option<(String, String)>>,
    /// Something was kept a moment ago: what is asked for meanwhile is a finger's second tap.
    pub kept: RwSignal<bool>,
}

impl Recording {
    /// For the open game.
    pub fn new() -> Self {
        Self {
            chalk: chalk(),
            failed: RwSignal::new(None),
            kept: RwSignal::new(false),
        }
    }

    /// Records an event; `then` runs when it is kept.
    pub fn record(self, event: Event, then: impl FnOnce() + 'static) {
        self.record_body(Body::Event(event), then);
    }

    /// Records anything that a log says; `then` runs when it is kept, unless the screen was left
    /// meanwhile.
    pub fn record_body(self, body: Body, then: impl FnOnce() + 'static) {
        if self.kept.get_untracked() {
            return;
        }
        let chalk = self.chalk;
        spawn_local(async move {
            let done = chalk.record_body(body).await;
            let ticks = chalk.settings.with_untracked(|s| s.tick);
            match done {
                Ok(()) => {
                    if ticks {
                        device::tick();
                    }
                    if self.failed.try_set(None).is_none() {
                        self.hold_off();
                        then();
                    }
                }
                Err(NotRecorded::Busy) => {}
                Err(why) => {
                    if ticks {
                        device::double_tick();
                    }
                    self.failed.try_set(Some(why.says()));
                }
            }
        });
    }

    fn hold_off(self) {
        self.kept.set(true);
        let over = move || {
            self.kept.try_set(false);
        };
        set_timeout(over, KEPT);
    }
}

/// What the last thing in force says, and whether the sides changed with it.
fn last_words(book: &Book) -> Option<(String, Vec<String>)> {
    match book.history().steps().last()? {
        Step::Play(play) => match &play.result {
            Ok(outcome) => Some(("Last play".into(), outcome.sentences())),
            Err(why) => Some(("Last play no longer fits".into(), vec![why.to_string()])),
        },
        Step::Notice(n) => Some(("Last notice".into(), vec![n.notice.sentence(&book.names())])),
    }
}

/// The sequence number of the last play, if the sides changed with it and
/// nobody has said yet how the codes compare.
fn sides_changed(book: &Book) -> Option<u64> {
    match book.history().steps().last()? {
        Step::Play(play) => {
            let outcome = play.result.as_ref().ok()?;
            let answered = book.checked(outcome.turn.into()).is_some();
            (outcome.change == Change::Sides && !answered).then_some(play.seq)
        }
        Step::Notice(_) => None,
    }
}

#[component]
fn Open(book: RwSignal<Option<Shown>>) -> impl IntoView {
    let chalk = chalk();
    let recording = Recording::new();
    let kept = recording.kept;
    let call = RwSignal::new(fresh());
    let more = RwSignal::new(false);
    let more_at = RwSignal::new(more::At::List);
    // Kept as it is, not copied for each of the many that look at it with every play.
    let game = Memo::new(move |before: Option<&Game>| {
        let now = book.with(|b| match b {
            Some(Shown { book: Ok(book), .. }) => Some(book.game().clone()),
            _ => None,
        });
        // While the game is being left, the last one stays.
        match now.or_else(|| before.cloned()) {
            Some(game) => game,
            None => unreachable!("the screen is shown only with a game"),
        }
    });
    let game: Signal<Game> = game.into();
    let whole = Memo::new(move |_| {
        book.with(|b| matches!(b, Some(Shown { book: Ok(book), .. }) if book.is_whole()))
    });
    let events = Memo::new(move |_| {
        book.with(|b| {
            b.as_ref()
                .and_then(|b| b.book.as_ref().ok())
                .map_or(0, |b| b.history().events().len())
        })
    });
    // A call is made for the play that is next: with each play that comes or is taken back, a fresh one
    // begins. A notice changes nothing of it.
    let last_play = Memo::new(move |_| {
        book.with(|b| match b {
            Some(Shown { book: Ok(book), .. }) => book.history().plays().last().map(|p| p.seq),
            _ => None,
        })
    });
    Effect::new(move |before: Option<Option<u64>>| {
        let now = last_play.get();
        if before.is_some_and(|b| b != now) {
            call.set(fresh());
        }
        now
    });
    let changed = Memo::new(move |_| {
        book.with(|b| {
            b.as_ref()
                .and_then(|b| b.book.as_ref().ok())
                .and_then(sides_changed)
        })
    });
    let last = Memo::new(move |_| {
        book.with(|b| {
            b.as_ref()
                .and_then(|b| b.book.as_ref().ok())
                .and_then(last_words)
        })
    });

    let says = Memo::new(move |_| game.with(|g| call.with(|c| verdict(g, c))));
    let record = move || {
        let made = game.with_untracked(|g| call.with_untracked(|c| effective(g, c)));
        let event = book.with_untracked(|b| match b {
            Some(Shown { book: Ok(book), .. }) => Some(book.history().next_play(made)),
            _ => None,
        });
        if let Some(event) = event {
            recording.record(event, move || {
                let aloud = book.with_untracked(|b| match b {
                    Some(Shown { book: Ok(book), .. }) => spoken(book),
                    _ => String::new(),
                });
                chalk.say(aloud);
            });
        }
    };
    let undo = move || {
        let target = book.with_untracked(|b| match b {
            Some(Shown { book: Ok(book), .. }) => book.history().last_in_force(),
            _ => None,
        });
        if let Some(target) = target {
            recording.record(Event::Undo { target }, move || {
                let score = game.with_untracked(words::score);
                chalk.say(format!("Taken back. {score}"));
            });
        }
    };
    let quick = Callback::new(move |()| {
        if !chalk.settings.with_untracked(|s| s.quick_outs) {
            return;
        }
        if kept.get_untracked() {
            // The second tap of a double tap: it chose for the next batter what was meant for the last.
            call.set(fresh());
        } else {
            record();
        }
    });
    keys::listen(keys::Actions {
        game,
        call,
        record: Callback::new(move |()| record()),
        undo: Callback::new(move |()| undo()),
        more,
    });

    // Before the first play: what the event's charter says against the game.
    let heard = RwSignal::new(false);
    let charters = crate::against::heard();
    let against = Memo::new(move |_| {
        if heard.get() || events.get() > 0 {
            return Some(Vec::new());
        }
        book.with(|b| match b {
            Some(Shown { book: Ok(book), .. }) if book.setup().charter.is_some() => {
                charters.of(&book.listed.game).map(|judged| judged.against)
            }
            _ => Some(Vec::new()),
        })
    });
    let panel = move || {
        game.with(|g| match (g.stage(), g.needs_stand_in()) {
            (Stage::Over(_), _) => Panel::Over,
            (Stage::Held(_), _) => Panel::Held,
            _ if against.with(|a| a.as_ref().is_none_or(|a| !a.is_empty())) => Panel::Charter,
            (_, true) => Panel::StandIn,
            _ if changed.get().is_some() => Panel::Sides,
            _ => Panel::Lanes,
        })
    };
    let panel = Memo::new(move |_| panel());
    let writable = Memo::new(move |_| chalk.access.get() == Access::Here && whole.get());

    let title = game.with_untracked(|g| {
        let team = |side| words::team(g, side);
        format!("{} at {}", team(Side::Guest), team(Side::Home))
    });
    if let Some(document) = crate::js::window().and_then(|w| w.document()) {
        document.set_title(&format!("{title} · Chalkbook"));
    }

    let lanes = move || {
        view! {
            <div class="lanes"><div class="lanes-in">
                <Refusal says=says failed=recording.failed/>
                <Show when=move || chalk.settings.with(|s| s.fielding)>
                    <more::TouchedLine call=call tap=Callback::new(move |()| {
                        more_at.set(more::At::Touched);
                        more.set(true);
                    })/>
                </Show>
                <Lanes game=game call=call quick=quick/>
                <HomeFirst game=game call=call/>
            </div></div>
            <div class="confirm" role="group" aria-label="Record">
                <button type="button" class="btn" on:click=move |_| undo()
                    disabled=move || events.get() == 0>"undo last"</button>
                <RecordButton game=game call=call says=says kept=kept record=Callback::new(move |()| record())/>
                <button type="button" class="btn" on:click=move |_| more.set(true)>"more"</button>
            </div>
        }
    };
    view! {
        <main class="calling" class:kept=kept>
            <h1 class="unseen">{title}</h1>
            <ScoreHead game=game/>
            <Due game=game/>
            <div class="field-view">
                <div class="field-in">
                    <LastPlay last=last/>
                    <Court game=game/>
                </div>
            </div>
            {move || if !writable.get() {
                view! { <ReadOnly damaged=Signal::derive(move || !whole.get())/> }.into_any()
            } else {
                match panel.get() {
                    Panel::Lanes => lanes().into_any(),
                    Panel::Over => view! { <Over book=book recording=recording undo=Callback::new(move |()| undo())/> }.into_any(),
                    Panel::Held => view! {
                        <Held game=game recording=recording undo=Callback::new(move |()| undo()) more=more/>
                    }.into_any(),
                    Panel::StandIn => view! {
                        <StandIn game=game recording=recording undo=Callback::new(move |()| undo()) more=more/>
                    }.into_any(),
                    Panel::Charter => view! { <panels::Against against=against heard=heard/> }.into_any(),
                    Panel::Sides => view! {
                        <SidesChange book=book recording=recording undo=Callback::new(move |()| undo()) more=more/>
                    }.into_any(),
                }
            }}
            <More open=more at=more_at game=game call=call recording=recording/>
        </main>
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Panel {
    Lanes,
    Sides,
    StandIn,
    Held,
    Over,
    Charter,
}

/// What is read out after a play.
fn spoken(book: &Book) -> String {
    let mut said = match last_words(book) {
        Some((_, sentences)) => sentences.join(" "),
        None => String::new(),
    };
    said.push(' ');
    said.push_str(&words::score(book.game()));
    said
}

#[component]
fn Due(game: Signal<Game>) -> impl IntoView {
    let now = move || game.with(|g| words::player(g, g.at_bat(), g.due()));
    let then = move || game.with(|g| format!("then {}, {}", g.on_deck(1), g.on_deck(2)));
    let over = move || game.with(|g| g.ending().is_some());
    view! {
        <div class="due">
            <Show when=move || !over() fallback=|| view! { <span>"The game is over."</span> }>
                <span>"At bat " <span class="now">{now}</span></span>
                <span class="soft">{then}</span>
            </Show>
        </div>
    }
}

#[component]
fn LastPlay(last: Memo<Option<(String, Vec<String>)>>) -> impl IntoView {
    view! {
        <div class="last">
            {move || match last.get() {
                Some((title, sentences)) => view! {
                    <p><span class="strong">{title}": "</span>{sentences.join(" ")}</p>
                }.into_any(),
                None => view! { <p>"Nothing called yet. Tap what happened, then Record."</p> }.into_any(),
            }}
        </div>
    }
}

#[component]
fn Refusal(says: Memo<Verdict>, failed: RwSignal<Option<(String, String)>>) -> impl IntoView {
    let words = move || match says.get() {
        Verdict::Refused(objection) => Some(objection.to_string()),
        Verdict::Fits(_) | Verdict::Asks(_) => None,
    };
    view! {
        <div role="alert">
            {move || words().map(|w| view! { <p class="refusal">{w}</p> })}
            {move || failed.get().map(|(what, next)| view! {
                <div class="message bad"><p class="what">{what}</p><p>{next}</p></div>
            })}
        </div>
    }
}

#[component]
fn RecordButton(
    game: Signal<Game>,
    call: RwSignal<Call>,
    says: Memo<Verdict>,
    kept: RwSignal<bool>,
    record: Callback<()>,
) -> impl IntoView {
    let chalk = chalk();
    let follows = move || {
        let call = game.with(|g| call.with(|c| effective(g, c)));
        match game.get().apply(&call).map(|p| p.outcome.change) {
            Ok(Change::Sides) => "Record, change sides",
            Ok(Change::Over(_)) => "Record, game over",
            _ => "Record",
        }
    };
    let brief = move || match says.get() {
        Verdict::Fits(brief) => call.with(|c| {
            let by = c
                .scoring
                .iter()
                .flat_map(|s| s.by.iter())
                .map(ToString::to_string);
            let by: Vec<_> = by.collect();
            if by.is_empty() {
                brief
            } else {
                format!("{brief}. By {}", by.join(", "))
            }
        }),
        Verdict::Asks(_) => "Answer the question first.".into(),
        Verdict::Refused(_) => "This does not fit; see above.".into(),
    };
    let ready = move || !kept.get() && matches!(says.get(), Verdict::Fits(_));
    let title = move || match (kept.get(), ready()) {
        (true, _) => "Kept",
        (false, true) => follows(),
        (false, false) => "Not yet",
    };
    let tap = move |_| {
        if ready() {
            record.run(());
        } else if let Verdict::Refused(objection) = says.get_untracked() {
            device::double_tick();
            chalk.say(objection.to_string());
        }
    };
    view! {
        <button type="button" class="btn record" on:click=tap
            aria-disabled=move || (!ready() || chalk.is_writing()).to_string()>
            <span class="words">
                <b>{title}</b>
                <span class="says">{brief}</span>
            </span>
        </button>
    }
}

/// Shown in place of the lanes when this tab may not write.
#[component]
fn ReadOnly(#[prop(into)] damaged: Signal<bool>) -> impl IntoView {
    let chalk = chalk();
    let take = move |_| {
        let game = chalk
            .open
            .with_untracked(|o| o.as_ref().map(|o| o.listed.game.clone()));
        if let Some(game) = game {
            spawn_local(async move {
                // On failure the message below stays, and says why.
                let _ = chalk.open(game, true).await;
            });
        }
    };
    let id = move || {
        chalk
            .open
            .with(|o| o.as_ref().map(|o| o.listed.game.clone()))
            .unwrap_or_default()
    };
    view! {
        <div class="panel rest">
            {move || if damaged.get() {
                view! {
                    <Message tone=Tone::Bad what=Trouble::Damaged.what() next=Trouble::Damaged.next().to_string()/>
                }.into_any()
            } else {
                match chalk.access.get() {
                    Access::Asking | Access::Here => view! { <p role="status">"Opening the game…"</p> }.into_any(),
                    Access::Elsewhere => view! {
                        <Message tone=Tone::Bad what=Trouble::SecondTab.what()
                            next="Here it can only be read. Go on there, or take over here.".to_string()>
                            <button type="button" class="btn lit" on:click=take>"take over here"</button>
                        </Message>
                    }.into_any(),
                    Access::Lost => view! {
                        <Message tone=Tone::Bad what="Another tab took this game over.".to_string()
                            next="Here it can only be read. Everything recorded here is there.".to_string()>
                            <button type="button" class="btn lit" on:click=take>"take it back"</button>
                        </Message>
                    }.into_any(),
                }
            }}
            <A href=move || format!("/story?game={}", id()) attr:class="btn wide">"the story of the game"</A>
            <A href="/" attr:class="btn wide">"games on this phone"</A>
        </div>
    }
}
