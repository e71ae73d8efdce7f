//! The calling screen.

mod clocks;
mod code;
mod keys;
mod more;
mod notices;
mod panels;
mod record;
mod view;

use engine::game::{Change, Draft, Game, Stage};
use engine::log::{Event, Step};
use engine::message::pairing;
use engine::team::BySide;
use leptos::html::H1;
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::care::is_thunder;
use super::open_game::{Recording, opened_book, unreadable};
use crate::book::Book;
use crate::parts::{Lanes, ScoreHead, begins_here};
use crate::state::{Access, ShownGame, app_state};
use crate::store::{Trouble, ask_to_last};
use crate::{device, precautions, words};

use clocks::clocks_now;
pub use code::{Answers, code_now};
use more::More;
pub use more::Touched;
pub use notices::{Form, NoticeForm};
use panels::{CourtesyRunner, Held, Over, ReadOnly, SidesChange};
use record::RecordButton;
use view::{Due, FieldView, last_words, spoken};

/// Calls a game, play by play.
#[component]
pub fn Calling() -> impl IntoView {
    let app = app_state();
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
    device::awake_while_mounted(app.settings.with_untracked(|s| s.awake));
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
fn Open(book: RwSignal<Option<ShownGame>>) -> impl IntoView {
    let app = app_state();
    let recording = Recording::new();
    let kept = recording.kept;
    let draft = RwSignal::new(Draft::default());
    let more = RwSignal::new(false);
    let more_at = RwSignal::new(more::At::List);
    // Kept as it is, not copied for each of the many that look at it with every play.
    let game = Memo::new(move |before: Option<&Game>| {
        let now = book.with(|b| match b {
            Some(ShownGame { book: Ok(book), .. }) => Some(book.game().clone()),
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
        book.with(|b| matches!(b, Some(ShownGame { book: Ok(book), .. }) if book.is_whole()))
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
            Some(ShownGame { book: Ok(book), .. }) => book.history().plays().last().map(|p| p.seq),
            _ => None,
        })
    });
    Effect::new(move |before: Option<Option<u64>>| {
        let now = last_play.get();
        if before.is_some_and(|b| b != now) {
            draft.set(Draft::default());
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

    let check = Memo::new(move |_| game.with(|g| draft.with(|d| d.check(g))));
    let record = Callback::new(move |()| {
        let made = game.with_untracked(|g| draft.with_untracked(|d| d.call(g)));
        let event = book.with_untracked(|b| match b {
            Some(ShownGame { book: Ok(book), .. }) => Some(book.history().next_play(made)),
            _ => None,
        });
        if let Some(event) = event {
            recording.record(event, move || {
                let aloud = book.with_untracked(|b| match b {
                    Some(ShownGame { book: Ok(book), .. }) => spoken(book),
                    _ => String::new(),
                });
                app.say(aloud);
            });
        }
    });
    let undo = move || {
        let target = book.with_untracked(|b| match b {
            Some(ShownGame { book: Ok(book), .. }) => {
                let last = book.history().steps().last();
                let thunder = matches!(last, Some(Step::Notice(n)) if is_thunder(&n.notice));
                Some((book.history().last_in_force()?, thunder))
            }
            _ => None,
        });
        if let Some((target, thunder)) = target {
            recording.record(Event::Undo { target }, move || {
                if thunder {
                    precautions::no_thunder();
                }
                let score = game.with_untracked(words::score);
                app.say(format!("Taken back. {score}"));
            });
        }
    };
    let quick = Callback::new(move |()| {
        if !app.settings.with_untracked(|s| s.quick_outs) {
            return;
        }
        if kept.get_untracked() {
            // The second tap of a double tap: it chose for the next batter what was meant for the last.
            draft.set(Draft::default());
        } else {
            record.run(());
        }
    });
    keys::listen(keys::Actions {
        draft,
        record,
        undo: Callback::new(move |()| undo()),
        more,
    });

    // Before the first play: what the event's charter says against the game.
    let heard = RwSignal::new(false);
    let against = Memo::new(move |_| {
        if heard.get() || events.get() > 0 {
            return Vec::new();
        }
        book.with(|b| match b {
            Some(ShownGame { book: Ok(book), .. }) => {
                app.under_in_force(book.record.opening()).objections()
            }
            _ => Vec::new(),
        })
    });
    let panel = move || {
        game.with(|g| match (g.stage(), g.needs_courtesy_runner()) {
            (Stage::Over(_), _) => Panel::Over,
            (Stage::Held(_), _) => Panel::Held,
            _ if against.with(|a| !a.is_empty()) => Panel::Charter,
            (_, true) => Panel::CourtesyRunner,
            _ if changed.get().is_some() => Panel::Sides,
            _ => Panel::Lanes,
        })
    };
    let panel = Memo::new(move |_| panel());
    let writable = Memo::new(move |_| app.access.get() == Access::Here && whole.get());

    let title = game.with_untracked(|g| pairing(&BySide::from_fn(|side| words::team(g, side))));
    if let Some(document) = crate::js::window().and_then(|w| w.document()) {
        document.set_title(&format!("{title} · Chalkbook"));
    }
    let heading = NodeRef::<H1>::new();
    begins_here(heading);

    let clocks = clocks_now(book);
    let undo = Callback::new(move |()| undo());
    let open_more = Callback::new(move |()| more.set(true));
    let ask_touched = Callback::new(move |()| {
        more_at.set(more::At::Touched);
        more.set(true);
    });
    let called = Memo::new(move |_| writable.get() && panel.get() == Panel::Lanes);
    let lanes = move || {
        view! {
            <div class="lanes"><div class="lanes-in">
                <Lanes game=game draft=draft quick=quick/>
            </div></div>
            <div class="confirm" role="group" aria-label="Record">
                <button type="button" class="btn" on:click=move |_| undo.run(())
                    disabled=move || events.get() == 0>"Undo last"</button>
                <RecordButton check=check kept=kept record=record/>
                <button type="button" class="btn" on:click=move |_| open_more.run(())>"More"</button>
            </div>
        }
    };
    view! {
        <main class="calling">
            <div class="hold-off" class:on=kept aria-hidden="true"></div>
            <h1 class="unseen" node_ref=heading tabindex="-1">{title}</h1>
            <ScoreHead game=game clock=Signal::derive(move || clocks.with(|c| c[0].clone()))/>
            <Due game=game clock=Signal::derive(move || clocks.with(|c| c[1].clone()))/>
            <FieldView last=last game=game draft=draft check=check failed=recording.failed called=called
                clocks=clocks ask_touched=ask_touched record=record/>
            {move || if !writable.get() {
                view! { <ReadOnly damaged=Signal::derive(move || !whole.get())/> }.into_any()
            } else {
                match panel.get() {
                    Panel::Lanes => lanes().into_any(),
                    Panel::Over => view! { <Over book=book recording=recording undo=undo more=open_more/> }.into_any(),
                    Panel::Held => view! { <Held game=game recording=recording undo=undo more=open_more/> }.into_any(),
                    Panel::CourtesyRunner => view! { <CourtesyRunner game=game recording=recording undo=undo more=open_more/> }.into_any(),
                    Panel::Charter => view! { <panels::Against against=against heard=heard/> }.into_any(),
                    Panel::Sides => view! { <SidesChange book=book recording=recording undo=undo more=open_more/> }.into_any(),
                }
            }}
            <More open=more at=more_at game=game draft=draft recording=recording/>
        </main>
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Panel {
    Lanes,
    Sides,
    CourtesyRunner,
    Held,
    Over,
    Charter,
}
