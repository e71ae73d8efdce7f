//! The schedule: what it is arranged from, what comes out, and games changed
//! by hand.

use engine::charter::{Charter, Scheduled};
use leptos::prelude::*;

use super::fields::{Field, Lines, Slips};
use super::{Making, anchor};
use crate::charter_draft::{FORMATS, MovedGame, Place, Plan, fixture_line};
use crate::screens::preferences::Tick;
use crate::words;

/// The form of the competition, the courts and their hours.
#[component]
pub fn Schedule(making: Making) -> impl IntoView {
    let draft = making.draft;
    let format = Memo::new(move |_| draft.with(|d| d.plan.format.clone()));
    let is = move |names: &[&str]| format.with(|f| names.contains(&f.as_str()));
    let options = FORMATS.map(|(value, label)| {
        let chosen = move || format.with(|f| f == value);
        view! { <option value=value selected=chosen>{label}</option> }
    });
    view! {
        <section class="section" aria-label="Schedule" id=anchor(Place::Schedule)>
            <h2>"Schedule"</h2>
            <div class="field">
                <label for="plan-format">"Form of the competition"</label>
                <select id="plan-format" class="input" on:change:target=move |ev| {
                    let chosen = ev.target().value();
                    draft.update(|d| d.plan.format = chosen);
                }>{options.collect_view()}</select>
            </div>
            <Show when=move || is(&["pools"])>
                <div class="pair">
                    <Field making=making id="plan-pools" label="Pools" kind="number"
                        get=|d| &d.plan.pools set=|d, t| d.plan.pools = t/>
                    <Field making=making id="plan-through" label="Through of each pool" kind="number"
                        get=|d| &d.plan.through set=|d, t| d.plan.through = t/>
                </div>
            </Show>
            <Show when=move || is(&["pools", "knockout"])>
                <Tick label="The losing semi-finalists meet" on=move || draft.with(|d| d.plan.third_place)
                    flip=move || draft.update(|d| d.plan.third_place = !d.plan.third_place)/>
            </Show>
            <Show when=move || !is(&["none"])>
                <Lines making=making id="plan-courts" label="Courts, one a line" rows="2"
                    get=|d| d.plan.courts.clone() set=|d, t| d.plan.courts = t/>
                <div class="pair">
                    <Field making=making id="plan-opens" label="Courts open" kind="time"
                        get=|d| &d.plan.opens set=|d, t| d.plan.opens = t/>
                    <Field making=making id="plan-closes" label="Courts close" kind="time"
                        get=|d| &d.plan.closes set=|d, t| d.plan.closes = t/>
                </div>
                <Fits making=making/>
                <Field making=making id="plan-game" label="Minutes for one game" kind="number"
                    get=|d| &d.plan.game set=|d, t| d.plan.game = t/>
                <Field making=making id="plan-turnaround" label="Minutes between games on a court" kind="number"
                    get=|d| &d.plan.turnaround set=|d, t| d.plan.turnaround = t/>
                <Field making=making id="plan-rest" label="Least rest of a team, in minutes" kind="number"
                    get=|d| &d.plan.rest set=|d, t| d.plan.rest = t/>
            </Show>
            <Slips making=making place=Place::Schedule/>
            <Arranged making=making/>
        </section>
    }
}

/// Whether the games fit into the hours, said as soon as they do not.
#[component]
fn Fits(making: Making) -> impl IntoView {
    let slips = Memo::new(move |_| {
        let tried = making.tried.get();
        // Once it was to be signed, everything wrong is listed below.
        making.draft.with(|d| {
            if tried {
                Vec::new()
            } else {
                d.schedule_slips()
            }
        })
    });
    view! {
        <div role="status" class="stack-tight">
            {move || slips.get().into_iter().map(|w| view! { <p class="objection">{w}</p> }).collect_view()}
        </div>
    }
}

/// The games that come out.
#[component]
fn Arranged(making: Making) -> impl IntoView {
    let games = Memo::new(move |_| {
        making.judged.with(|j| {
            let charter = j.as_ref().ok()?;
            let lines = charter.fixtures.iter().map(|g| Line::of(charter, g));
            Some(lines.collect::<Vec<_>>())
        })
    });
    let count = move || match games.with(|g| g.as_ref().map(Vec::len)) {
        None => "The games are listed here when the form is complete.".to_string(),
        Some(n) => {
            let n = u16::try_from(n).unwrap_or(u16::MAX);
            format!(
                "{} in the schedule.",
                words::capital(&words::count(n, "game", "games"))
            )
        }
    };
    view! {
        <p role="status">{count}</p>
        <Show when=move || games.with(|g| g.as_ref().is_some_and(|g| !g.is_empty()))>
            <details>
                <summary class="btn wide">"Look at the games, change one"</summary>
                <ul class="stack-tight">
                    <For each=move || games.get().unwrap_or_default() key=|line| line.clone() let:line>
                        <OneGame making=making line=line/>
                    </For>
                </ul>
            </details>
        </Show>
    }
}

/// A game of the schedule as shown and as changed.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Line {
    number: u32,
    title: String,
    words: String,
    guest: String,
    home: String,
    court: String,
    starts: String,
}

impl Line {
    fn of(charter: &Charter, game: &Scheduled) -> Self {
        Self {
            number: game.number,
            title: game.title.clone(),
            words: fixture_line(charter, game),
            guest: game.guest.clone().unwrap_or_default(),
            home: game.home.clone().unwrap_or_default(),
            court: game.court.clone(),
            starts: charter.clock(game).map_or_else(String::new, |c| {
                format!("{:02}:{:02}", c.hour(), c.minute())
            }),
        }
    }
}

#[component]
fn OneGame(making: Making, line: Line) -> impl IntoView {
    let number = line.number;
    let typed = RwSignal::new(MovedGame {
        number,
        guest: line.guest,
        home: line.home,
        court: line.court,
        starts: line.starts,
    });
    let keep = move |_| {
        let moved = typed.get_untracked();
        making.draft.update(|d| {
            d.plan.moved.retain(|m| m.number != number);
            d.plan.moved.push(moved);
        });
    };
    let back = move |_| {
        making
            .draft
            .update(|d| d.plan.moved.retain(|m| m.number != number))
    };
    let is_moved = move || {
        let of = |plan: &Plan| plan.moved.iter().any(|m| m.number == number);
        making.draft.with(|d| of(&d.plan))
    };
    let input = move |what: &'static str,
                      kind: &'static str,
                      get: fn(&mut MovedGame) -> &mut String| {
        let id = format!("game-{number}-{}", what.replace(' ', "-"));
        view! {
            <div class="field">
                <label for=id.clone()>{format!("{} of game {number}", words::capital(what))}</label>
                <input id=id class="input" type=kind autocomplete="off" maxlength="60"
                    prop:value=move || typed.with(|m| get(&mut m.clone()).clone())
                    on:input:target=move |ev| typed.update(|m| *get(m) = ev.target().value())/>
            </div>
        }
    };
    view! {
        <li>
            <details>
                <summary class="btn wide start">
                    <span class="words">
                        {format!("Game {number}, {}", line.words)}
                        <span class="under">{line.title}{move || is_moved().then_some(" · changed by hand")}</span>
                    </span>
                </summary>
                <div class="stack-tight boxed">
                    {input("guests", "text", |m| &mut m.guest)}
                    {input("home side", "text", |m| &mut m.home)}
                    {input("court", "text", |m| &mut m.court)}
                    {input("start", "time", |m| &mut m.starts)}
                    <button type="button" class="btn wide" on:click=keep>{format!("change game {number}")}</button>
                    {move || is_moved().then(|| view! {
                        <button type="button" class="btn wide" on:click=back>"As arranged"</button>
                    })}
                </div>
            </details>
        </li>
    }
}
