//! The ground: a rectangle by its two lengths, or an outline tapped on a grid.

use engine::rules::{BuiltIn, Edition};
use leptos::prelude::*;

use super::sketch::{Adds, Sketch};
use super::things::Things;
use super::{Part, Work};
use crate::court_draft::CourtDraft;
use crate::parts::{Defer, LengthField, Section};
use crate::screens::preferences::Choice;

/// Where the sun can stand on the sketch.
const SUNS: [(u16, &str); 8] = [
    (0, "at the top of the sketch"),
    (45, "at the top right"),
    (90, "on the right"),
    (135, "at the bottom right"),
    (180, "at the bottom"),
    (225, "at the bottom left"),
    (270, "on the left"),
    (315, "at the top left"),
];

/// Run-offs to choose from, in decimetres.
const RUN_OFFS: [u8; 4] = [10, 15, 20, 30];

/// Everything that is known of the ground.
#[component]
pub fn Space(work: Work) -> impl IntoView {
    let draft = work.draft;
    let adds = RwSignal::new(if draft.with_untracked(|y| y.drawn) {
        Adds::Corner
    } else {
        Adds::Post
    });
    let drawn = Memo::new(move |_| draft.with(|y| y.drawn));
    let kind = move |to: bool| {
        draft.update(|y| {
            y.drawn = to;
            y.home = None;
        });
        adds.set(if to { Adds::Corner } else { Adds::Post });
    };
    view! {
        <section class="section" aria-label="Shape of the ground">
            <div class="pair" role="group" aria-label="Shape of the ground">
                <button type="button" class="btn" aria-pressed=move || (!drawn.get()).to_string()
                    on:click=move |_| kind(false)>"A rectangle"</button>
                <button type="button" class="btn" aria-pressed=move || drawn.get().to_string()
                    on:click=move |_| kind(true)>"Another shape"</button>
            </div>
            {move || if drawn.get() {
                view! { <Drawn work=work adds=adds/> }.into_any()
            } else {
                view! { <Rectangle work=work adds=adds/> }.into_any()
            }}
        </section>
        <Section title="Keep clear of">
            <p class="small soft">"Posts, trees, kerbs, cars, benches. The run-off is kept from each of them."</p>
            <Things work=work/>
        </Section>
        <section class="section" aria-label="Rules">
            <h2>"Which rules?"</h2>
            <Editions draft=draft/>
        </section>
        <section class="section" aria-label="Run-off">
            <h2>"Clear ground all round"</h2>
            <p class="small soft">"More is better: players run and look up."</p>
            <div class="row" role="group" aria-label="Run-off">
                {RUN_OFFS.map(|dm| view! {
                    <button type="button" class="btn" aria-pressed=move || draft.with(|y| y.run_off == dm).to_string()
                        on:click=move |_| draft.update(|y| y.run_off = dm)>{metres(dm)}</button>
                }).collect_view()}
            </div>
        </section>
        <section class="section" aria-label="Home and sun">
            <h2>"If it matters"</h2>
            <HomeCorner draft=draft/>
            <div class="field">
                <label for="court-sun">"The sun stands"</label>
                <select id="court-sun" class="input" on:change:target=move |ev| {
                    let to = ev.target().value().parse().ok();
                    draft.update(|y| y.sun = to);
                }>
                    <option value="" selected=move || draft.with(|y| y.sun.is_none())>"not said"</option>
                    {SUNS.map(|(deg, words)| view! {
                        <option value=deg.to_string() selected=move || draft.with(|y| y.sun == Some(deg))>{words}</option>
                    }).collect_view()}
                </select>
            </div>
        </section>
        <Defer words=super::DEFER/>
    }
}

/// Fits the court.
#[component]
pub fn Foot(work: Work) -> impl IntoView {
    let ready = move || work.draft.with(|y| !y.outline().is_empty());
    view! {
        <button type="button" class="btn lit big wide" disabled=move || !ready()
            on:click=move |_| work.go.run(Part::Plan)>"Fit the court"</button>
    }
}

fn metres(dm: u8) -> String {
    if dm.is_multiple_of(10) {
        format!("{} m", dm / 10)
    } else {
        format!("{}.{} m", dm / 10, dm % 10)
    }
}

#[component]
fn Rectangle(work: Work, adds: RwSignal<Adds>) -> impl IntoView {
    let draft = work.draft;
    let feet = work.feet();
    view! {
        <div class="pair">
            <LengthField id="court-length" label="Length" feet=feet
                value=Signal::derive(move || draft.with(|y| y.length))
                set=Callback::new(move |v| draft.update(|y| y.length = v))/>
            <LengthField id="court-width" label="Width" feet=feet
                value=Signal::derive(move || draft.with(|y| y.width))
                set=Callback::new(move |v| draft.update(|y| y.width = v))/>
        </div>
        <Sketch draft=draft adds=adds/>
        <Show when=move || draft.with(|y| !y.outline().is_empty())>
            <TapAdds adds=adds corner=false/>
        </Show>
    }
}

#[component]
fn TapAdds(adds: RwSignal<Adds>, corner: bool) -> impl IntoView {
    let one = move |what: Adds, words: &'static str| {
        view! {
            <button type="button" class="btn" aria-pressed=move || (adds.get() == what).to_string()
                on:click=move |_| adds.set(what)>{words}</button>
        }
    };
    view! {
        <p class="small soft" id="tap-adds">"A tap on the sketch adds:"</p>
        <div class="row" role="group" aria-labelledby="tap-adds">
            {corner.then(|| one(Adds::Corner, "a corner"))}
            {one(Adds::Post, "a post")}
            {one(Adds::Block, "a block")}
        </div>
    }
}

#[component]
fn Drawn(work: Work, adds: RwSignal<Adds>) -> impl IntoView {
    let draft = work.draft;
    let feet = work.feet();
    let count = Memo::new(move |_| draft.with(|y| y.corners.len()));
    let row = move |i: usize| {
        let last = move || i + 1 == count.get();
        let label = move || {
            let to = if last() { 1 } else { i + 2 };
            format!("From corner {} to {to}", i + 1)
        };
        let value = Signal::derive(move || draft.with(|y| y.side(i)));
        view! {
            <li class="side-row">
                {move || if last() {
                    view! {
                        <p>{label}<span class="small soft">" closes the outline: "{move || shown(draft, value)}</span></p>
                    }.into_any()
                } else {
                    view! {
                        <LengthField id=format!("side-{i}") label=Signal::derive(label) feet=feet value=value
                            set=Callback::new(move |v: Option<f64>| {
                                if let Some(v) = v {
                                    draft.update(|y| y.set_side(i, v));
                                }
                            })/>
                    }.into_any()
                }}
                <button type="button" class="btn quiet" aria-label=format!("remove corner {}", i + 1)
                    on:click=move |_| draft.update(|y| {
                        if i < y.corners.len() {
                            y.corners.remove(i);
                        }
                        y.home = None;
                    })>"Remove"</button>
            </li>
        }
    };
    view! {
        <div class="row" role="group" aria-label="A square of the grid">
            {[1u8, 2, 5].map(|m| view! {
                <button type="button" class="btn" aria-pressed=move || draft.with(|y| y.square == m).to_string()
                    on:click=move |_| draft.update(|y| y.square = m)>{format!("{m} m squares")}</button>
            }).collect_view()}
        </div>
        <p class="small">{move || match count.get() {
            0 => "Tap the corners of the ground, one after the other, all the way round.".to_string(),
            1 | 2 => format!("{} so far; go on round.", if count.get() == 1 { "1 corner" } else { "2 corners" }),
            n => format!("{n} corners. Type below what the tape says; the last side closes by itself."),
        }}</p>
        <Sketch draft=draft adds=adds/>
        <TapAdds adds=adds corner=true/>
        <div class="pair">
            <button type="button" class="btn" disabled=move || count.get() == 0
                on:click=move |_| draft.update(|y| { y.corners.pop(); y.home = None; })>"Take back a corner"</button>
            <button type="button" class="btn" disabled=move || count.get() == 0
                on:click=move |_| draft.update(|y| { y.corners.clear(); y.home = None; })>"Start again"</button>
        </div>
        <ol class="stack-tight">{move || (0..count.get()).map(row).collect_view()}</ol>
        <Typed draft=draft feet=feet/>
    }
}

/// A corner by numbers, for those who do not tap.
#[component]
fn Typed(draft: RwSignal<CourtDraft>, feet: Signal<bool>) -> impl IntoView {
    let right = RwSignal::new(None::<f64>);
    let up = RwSignal::new(None::<f64>);
    let add = move |_| {
        if let (Some(x), Some(y)) = (right.get_untracked(), up.get_untracked()) {
            draft.update(|draft| draft.corners.push((x, y)));
            right.set(None);
            up.set(None);
        }
    };
    view! {
        <details>
            <summary class="btn wide">"A corner by numbers"</summary>
            <div class="stack-tight">
                <div class="pair">
                    <LengthField id="corner-right" label="From the left" feet=feet value=right
                        set=Callback::new(move |v| right.set(v))/>
                    <LengthField id="corner-up" label="From the bottom" feet=feet value=up
                        set=Callback::new(move |v| up.set(v))/>
                </div>
                <button type="button" class="btn wide" on:click=add
                    disabled=move || right.get().is_none() || up.get().is_none()>"Add the corner"</button>
            </div>
        </details>
    }
}

fn shown(draft: RwSignal<CourtDraft>, value: Signal<Option<f64>>) -> String {
    let units = draft.with(CourtDraft::units);
    value.get().map_or_else(String::new, |m| {
        format!("{}.", engine::court::TapeLength::from_metres(m).show(units))
    })
}

#[component]
fn HomeCorner(draft: RwSignal<CourtDraft>) -> impl IntoView {
    let corners = Memo::new(move |_| draft.with(|y| y.outline().len()));
    view! {
        <p class="label strong" id="home-corner">"Home is in the corner"</p>
        <div class="ways five" role="group" aria-labelledby="home-corner">
            <button type="button" class="btn" aria-pressed=move || draft.with(|y| y.home.is_none()).to_string()
                on:click=move |_| draft.update(|y| y.home = None)>"Any"</button>
            {move || (0..corners.get()).map(|i| view! {
                <button type="button" class="btn" aria-label=format!("corner {}", i + 1)
                    aria-pressed=move || draft.with(|y| y.home == Some(i)).to_string()
                    on:click=move |_| draft.update(|y| y.home = Some(i))>{i + 1}</button>
            }).collect_view()}
        </div>
    }
}

#[component]
fn Editions(draft: RwSignal<CourtDraft>) -> impl IntoView {
    let drafted = crate::draft::Draft::load();
    let own = (!drafted.changes.is_empty()).then_some((drafted.edition, drafted.changes));
    let words = |base: BuiltIn| {
        let e = Edition::built_in(base);
        format!(
            "{}: {} m base to base, no-hit line at {} m.",
            base.title(),
            **e.infield_side(),
            **e.no_hit()
        )
    };
    let built_in = BuiltIn::ALL.map(|base| {
        view! {
            <Choice group="court-edition" label=words(base)
                chosen=move || draft.with(|y| y.changes.is_empty() && y.edition == base.to_string())
                choose=move || draft.update(|y| { y.edition = base.to_string(); y.changes.clear(); })/>
        }
    });
    let own = own.map(|(edition, changes)| {
        let kept = (edition.clone(), changes.clone());
        view! {
            <Choice group="court-edition" label="As set in the new game being written."
                chosen=move || draft.with(|y| (&y.edition, &y.changes) == (&kept.0, &kept.1))
                choose=move || draft.update(|y| { y.edition.clone_from(&edition); y.changes.clone_from(&changes); })/>
        }
    });
    view! { <div class="choices" role="group" aria-label="Rules">{built_in.collect_view()}{own}</div> }
}
