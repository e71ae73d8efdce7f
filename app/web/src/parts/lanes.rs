//! A lane for each person in jeopardy: the lead runner on top, the batter
//! nearest the thumb. Every base has its lane at its place, also when nobody is
//! on it, and nothing in a lane changes its size: what lies under a thumb stays
//! there. A tap chooses; why, and whose error, is asked for beside the number.

use engine::game::{BatterChoice, Draft, Game, RunnerChoice};
use engine::play::{Advance, Base, BatterFate, Continuation, Goal, PutOut, Reach, RunnerFate};
use engine::team::Shirt;
use leptos::prelude::*;

use super::fate_sheet::{FateSheet, Person, batter_words, fate_words};
use crate::words;

/// The lanes of a call.
#[component]
pub fn Lanes(
    /// The game before the play.
    #[prop(into)]
    game: Signal<Game>,
    /// The call being made.
    draft: RwSignal<Draft>,
    /// Called when an out with nobody on base is tapped, to record at once.
    #[prop(into, optional)]
    quick: Option<Callback<()>>,
) -> impl IntoView {
    let asked = RwSignal::new(Person::Batter);
    let more = RwSignal::new(false);
    let ask = move |person: Person| {
        asked.set(person);
        more.set(true);
    };
    let slot = move |base: Base| {
        let who = Memo::new(move |_| game.with(|g| g.bases()[base].map(|r| r.shirt)));
        move || {
            match who.get() {
            Some(who) => view! {
                <RunnerLane game=game draft=draft base=base who=who
                    ask=Callback::new(move |()| ask(Person::On(base)))/>
            }
            .into_any(),
            None => view! { <div class="lane empty" aria-hidden="true"><span>{base.to_string()}</span></div> }
                .into_any(),
        }
        }
    };
    view! {
        {Base::LEAD_FIRST.map(slot)}
        <BatterLane game=game draft=draft quick=quick ask=Callback::new(move |()| ask(Person::Batter))/>
        <FateSheet game=game draft=draft person=asked open=more/>
    }
}

/// Why someone is where they are: one word, and what may be left out around it.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Why {
    before: String,
    word: String,
    after: String,
}

impl Why {
    /// The last word of the reason is the one that stays.
    fn new(reason: &str) -> Self {
        let (before, word) = reason.rsplit_once(' ').unwrap_or(("", reason));
        Self {
            before: before.into(),
            word: word.into(),
            after: String::new(),
        }
    }

    fn out(how: PutOut, at: Option<Goal>) -> Self {
        let after = at.map(|at| format!("at {at}")).unwrap_or_default();
        Self {
            after,
            ..Self::new(how.word())
        }
    }

    fn then(then: Continuation) -> Self {
        match then {
            Continuation::Out(out) => Self::out(out.how, Some(out.at)),
            Continuation::Base(further) => Self::new(&format!("then {}", further.to)),
        }
    }

    /// Whether it takes two lines where there is little room.
    fn is_long(&self) -> bool {
        !self.after.is_empty() || self.before.len() + self.word.len() > 6
    }
}

/// Who it is and what becomes of them; a tap says more about it.
#[component]
fn Who(
    who: Signal<Shirt>,
    why: Memo<Why>,
    /// What stands, in full.
    stands: Signal<String>,
    /// The player's name, where there is room for it.
    name: Signal<String>,
    ask: Callback<()>,
) -> impl IntoView {
    let rest = |words: String, far: bool| {
        (!words.is_empty()).then(|| view! { <span class="rest" class:far=far>{words}</span> })
    };
    let words = move || {
        let Why {
            before,
            word,
            after,
        } = why.get();
        // Three pieces have no room beside the number on a phone.
        let far = !before.is_empty();
        view! { {rest(before, false)}" "{word}" "{rest(after, far)} }
    };
    view! {
        <button type="button" class="btn who" class:long=move || why.with(Why::is_long)
            on:click=move |_| ask.run(())>
            <span class="unseen">{stands}", how? "</span>
            <b>{move || who.get().get()}</b>" "
            <span class="name">{name}</span>" "
            <span class="why">{words}</span>
        </button>
    }
}

#[component]
fn RunnerLane(
    game: Signal<Game>,
    draft: RwSignal<Draft>,
    base: Base,
    who: Shirt,
    ask: Callback<()>,
) -> impl IntoView {
    let fate = Memo::new(move |_| game.with(|g| draft.with(|d| d.runner(g, base))));
    let choose = move |choice: RunnerChoice| draft.update(|d| d.choose_runner(base, choice));
    let name = Signal::derive(move || game.with(|g| words::name(g, g.at_bat(), who)));
    let stands = Signal::derive(move || match fate.get() {
        Some(fate) => fate_words(fate),
        None => format!("on {base}"),
    });
    let why = Memo::new(move |_| match fate.get() {
        Some(RunnerFate::Out { at, how }) => Why::out(how, at),
        Some(RunnerFate::To {
            then: Some(then), ..
        }) => Why::then(then),
        Some(RunnerFate::To { on, .. }) if !on.word().is_empty() => Why::new(on.word()),
        _ => Why::new(&format!("on {base}")),
    });
    let choice = move |choice: RunnerChoice,
                       lit: fn(RunnerFate, RunnerChoice) -> bool,
                       class: &'static str,
                       words: String| {
        let lit = move || fate.get().is_some_and(|fate| lit(fate, choice)).to_string();
        view! {
            <button type="button" class=class aria-pressed=lit on:click=move |_| choose(choice)>{words}</button>
        }
    };
    let goals = Goal::ALL.into_iter().filter(move |g| *g > base.goal()).map(move |goal| {
        let lit = |fate: RunnerFate, choice: RunnerChoice| {
            matches!(fate, RunnerFate::To { goal, then: None, .. } if choice == RunnerChoice::To(goal))
        };
        choice(RunnerChoice::To(goal), lit, "btn", goal.to_string())
    });
    view! {
        <div class="lane" role="group" aria-label=format!("{who} on {base}")>
            <Who who=Signal::stored(who) why=why stands=stands name=name ask=ask/>
            <div class="row">
                {choice(RunnerChoice::Holds, |fate, _| fate == RunnerFate::Holds, "btn", "stays".into())}
                {goals.collect_view()}
                {choice(RunnerChoice::Out, |fate, _| fate.is_out(), "btn out", "out".into())}
            </div>
        </div>
    }
}

#[component]
fn BatterLane(
    game: Signal<Game>,
    draft: RwSignal<Draft>,
    quick: Option<Callback<()>>,
    ask: Callback<()>,
) -> impl IntoView {
    let batter = move || draft.with(Draft::batter);
    let chosen = move || draft.with(Draft::chosen);
    let safe = Goal::ALL.into_iter().map(move |goal| {
        let choice = BatterChoice::Safe(goal);
        let lit = move || (chosen() == choice).to_string();
        let first = if goal == Goal::First {
            "safe 1st".to_string()
        } else {
            goal.to_string()
        };
        // Said, not shown: the place of the button and its colour show it.
        let safe = match goal {
            Goal::First => "",
            Goal::Home => "safe ",
            Goal::Second | Goal::Third => "safe at ",
        };
        view! {
            <button type="button" class="btn safe" aria-pressed=lit
                on:click=move |_| draft.update(|d| d.choose_batter(choice))>
                <span class="words"><span class="unseen">{safe}</span>{first}</span>
            </button>
        }
    });
    let out = move |choice: BatterChoice, words: &'static str| {
        let lit = move || (chosen() == choice).to_string();
        let tap = move |_| {
            draft.update(|d| d.choose_batter(choice));
            if let (Some(quick), true) = (quick, game.with_untracked(|g| g.on_base() == 0)) {
                quick.run(());
            }
        };
        view! { <button type="button" class="btn out" aria-pressed=lit on:click=tap>{words}</button> }
    };
    let is_safe = move || matches!(chosen(), BatterChoice::Safe(_));
    let further = move || {
        let then = match batter() {
            BatterFate::Safe { then, .. } => then.and_then(Continuation::base),
            _ => None,
        };
        then.is_some_and(|further| further.on == Advance::Error)
            .to_string()
    };
    let may_go_on = move || matches!(chosen(), BatterChoice::Safe(at) if at != Goal::Home);
    let on_error = move || {
        matches!(
            batter(),
            BatterFate::Safe {
                on: Reach::Error,
                ..
            }
        )
        .to_string()
    };
    let hitter = move || draft.with(|d| d.hitter);
    let why = Memo::new(move |_| match batter() {
        BatterFate::Safe {
            then: Some(then), ..
        } => Why::then(then),
        BatterFate::Safe { on, .. } if on != Reach::Hit => Why::new(on.word()),
        BatterFate::Illegal(act) => Why::new(act.word()),
        BatterFate::OutBeforeFirst(how) => Why::new(how.word()),
        BatterFate::NoHit => Why::new("no hit"),
        BatterFate::Safe { .. } | BatterFate::Caught if hitter().is_some() => Why::new("not due"),
        BatterFate::Safe { .. } | BatterFate::Caught => Why::new("hits"),
    });
    let stands = Signal::derive(move || batter_words(batter()));
    let due = Signal::derive(move || hitter().unwrap_or_else(|| game.with(Game::due)));
    let name = Signal::derive(move || game.with(|g| words::name(g, g.at_bat(), due.get())));
    view! {
        <div class="lane batter" role="group" aria-label=move || format!("{} at bat", due.get())>
            <Who who=due why=why stands=stands name=name ask=ask/>
            <div class="calls">
                {safe.collect_view()}
                <button type="button" class="btn why-key" aria-label="safe on error" aria-pressed=on_error
                    disabled=move || !is_safe()
                    on:click=move |_| draft.update(|d| d.toggle_reach(Reach::Error))>"on error"</button>
                {out(BatterChoice::Out, "out before 1st")}
                {out(BatterChoice::Caught, "caught")}
                {out(BatterChoice::Illegal, "illegal hit")}
                <button type="button" class="btn why-key" aria-label="+1 on error: a base further"
                    aria-pressed=further disabled=move || !may_go_on()
                    on:click=move |_| draft.update(Draft::toggle_further)>"+1 on error"</button>
            </div>
        </div>
    }
}
