//! One team's card, as it is filled in.

use engine::rules::Edition;
use engine::team::{Gender, Player, Position};
use leptos::html::{Div, Input};
use leptos::prelude::*;

use super::HITTERS;
use super::offered::{LastCard, Roster, suspended};
use super::wrong::Wrong;
use crate::draft::{Draft, Line};
use crate::parts::Key;
use crate::words;

/// One team's card of the draft, and the line at hand.
#[derive(Clone, Copy)]
pub(super) struct CardForm {
    pub(super) draft: RwSignal<Draft>,
    /// Which of the two teams.
    pub(super) team: usize,
    /// How many lines it has: five hitters, and as many reserves as may be named.
    pub(super) count: usize,
    wrong: Signal<Wrong>,
    done: Callback<()>,
    fields: StoredValue<Vec<NodeRef<Input>>>,
    focused: RwSignal<usize>,
    /// Two digits moved on by themselves: a "next" that comes all the same is already done.
    moved_on: StoredValue<bool>,
}

impl CardForm {
    fn new(
        draft: RwSignal<Draft>,
        team: usize,
        limit: usize,
        wrong: Signal<Wrong>,
        done: Callback<()>,
    ) -> Self {
        draft.update(|d| {
            if let Some(team) = d.teams.get_mut(team) {
                let room = team.lines.len().max(limit);
                team.lines.resize(room, Line::default());
            }
        });
        let count = draft.with_untracked(|d| d.teams.get(team).map_or(0, |t| t.lines.len()));
        let fields = (0..count).map(|_| NodeRef::new()).collect();
        Self {
            draft,
            team,
            count,
            wrong,
            done,
            fields: StoredValue::new(fields),
            focused: RwSignal::new(0),
            moved_on: StoredValue::new(false),
        }
    }

    /// The team's name.
    pub(super) fn name(self) -> String {
        let name = |d: &Draft| Some(d.teams.get(self.team)?.name.trim().to_owned());
        self.draft.with(|d| name(d).unwrap_or_default())
    }

    pub(super) fn lines(self) -> Vec<Line> {
        let lines = |d: &Draft| Some(d.teams.get(self.team)?.lines.clone());
        self.draft.with(|d| lines(d).unwrap_or_default())
    }

    fn line(self, line: usize) -> Line {
        let one = |d: &Draft| d.teams.get(self.team)?.lines.get(line).cloned();
        self.draft.with(|d| one(d).unwrap_or_default())
    }

    fn change(self, line: usize, change: impl FnOnce(&mut Line)) {
        self.draft.update(|d| {
            let lines = d.teams.get_mut(self.team).map(|t| &mut t.lines);
            if let Some(line) = lines.and_then(|l| l.get_mut(line)) {
                change(line);
            }
        });
    }

    fn is_wrong(self, line: usize) -> bool {
        let on = |(l, _): &(usize, String)| *l == line;
        self.wrong.with(|w| w.lines.iter().any(on))
    }

    fn objections(self) -> Vec<String> {
        self.wrong.with(|w| {
            let line = |(l, o): &(usize, String)| format!("{}: {o}", words::capital(&called(*l)));
            let lines = w.lines.iter().map(line);
            w.general.iter().cloned().chain(lines).collect()
        })
    }

    fn focus(self, line: usize) {
        self.focused.set(line);
        let field = self.fields.with_value(|f| f.get(line).copied());
        if let Some(input) = field.and_then(|f| f.get_untracked()) {
            let _ = input.focus();
        }
    }

    fn next(self, line: usize) {
        if line + 1 < self.count {
            self.focus(line + 1);
        } else {
            self.done.run(());
        }
    }

    fn press(self, key: Key) {
        let line = self.focused.get_untracked();
        let just_moved = self.moved_on.get_value();
        self.moved_on.set_value(false);
        let length = || untrack(|| self.line(line).number.len());
        match key {
            Key::Digit(n) => {
                self.change(line, |l| {
                    if l.number.len() < 2 {
                        l.number.push(char::from(b'0' + n.min(9)));
                    }
                });
                if length() == 2 && line + 1 < self.count {
                    self.moved_on.set_value(true);
                    self.focus(line + 1);
                } else {
                    self.focus(line);
                }
            }
            Key::Back => {
                let empty = length() == 0;
                let line = if empty { line.saturating_sub(1) } else { line };
                self.change(line, |l| {
                    l.number.pop();
                });
                self.focus(line);
            }
            Key::Next if just_moved => {}
            Key::Next => self.next(line),
        }
    }

    /// Puts a player of the roster on the line at hand, or on the first free one.
    pub(super) fn take(self, player: &Player) {
        let lines = untrack(|| self.lines());
        let at = self.focused.get_untracked();
        let free = |l: &Line| l.number.trim().is_empty();
        let here = lines.get(at).is_some_and(free).then_some(at);
        let Some(at) = here.or_else(|| lines.iter().position(free)) else {
            return;
        };
        self.change(at, |l| {
            l.number = player.shirt.to_string();
            l.name.clone_from(&player.name);
            l.gender = player.gender.map(Gender::letter);
        });
        // The next line; no keyboard is asked for.
        self.focused.set((at + 1).min(self.count.saturating_sub(1)));
    }
}

/// What a line is called.
fn called(line: usize) -> String {
    if line < HITTERS {
        format!("hitter {}", line + 1)
    } else {
        format!("reserve {}", line + 1 - HITTERS)
    }
}

/// One team's card.
#[component]
pub(super) fn Card(
    draft: RwSignal<Draft>,
    team: usize,
    edition: Memo<Edition>,
    wrong: Signal<Wrong>,
    done: Callback<()>,
    /// Where the pad at the bottom finds what its keys do.
    pad: StoredValue<Option<Callback<Key>>>,
) -> impl IntoView {
    let mixed = Signal::derive(move || edition.with(|e| e.gender_minimum().get() > 0));
    let limit = usize::from(edition.with_untracked(|e| e.roster_limit().get()));
    let form = CardForm::new(draft, team, limit, wrong, done);
    pad.set_value(Some(Callback::new(move |key| form.press(key))));
    Effect::new(move |_| form.focus(0));
    let suspended = suspended(form);
    let objections = move || {
        let all = form.objections().into_iter().chain(suspended.get());
        all.map(|o| view! { <p class="objection">{o}</p> })
            .collect_view()
    };
    // What is wrong, and the way on, may stand below what the pad leaves to see.
    let said = NodeRef::<Div>::new();
    Effect::new(move |before: Option<bool>| {
        let is_wrong = wrong.with(|w| !w.is_empty());
        if is_wrong && before != Some(true) {
            request_animation_frame(move || {
                if let Some(said) = said.get_untracked() {
                    said.scroll_into_view();
                }
            });
        }
        is_wrong
    });
    let tile = move |line| view! { <Tile form=form line=line mixed=mixed/> };
    let detail = move |line| view! { <Detail form=form line=line/> };
    view! {
        <LastCard form=form/>
        <Roster form=form/>
        <section class="stack-tight" aria-label="Numbers">
            <h2>"Hitters in batting order"</h2>
            <ol class="tiles">{(0..HITTERS).map(tile).collect_view()}</ol>
            <h2>"Reserves"</h2>
            <ol class="tiles">{(HITTERS..form.count).map(tile).collect_view()}</ol>
        </section>
        <div id="objections" role="alert" node_ref=said>{objections}</div>
        {move || wrong.with(|w| w.short.filter(|_| !w.is_empty())).map(|hitters| {
            let go_on = move |_| {
                draft.update(|d| d.teams[team.min(1)].forfeits = true);
                done.run(());
            };
            view! {
                <button type="button" class="btn wide" on:click=go_on>
                    {match hitters {
                        0 => "Nobody came: go on, they can only forfeit".to_string(),
                        n => format!("Only {n} came: go on, they can only forfeit"),
                    }}
                </button>
            }
        })}
        <details>
            <summary class="btn wide">"Names and positions, if wanted"</summary>
            <ol class="details">{(0..form.count).map(detail).collect_view()}</ol>
        </details>
    }
}

/// A line's number, and what the side's minimum asks.
#[component]
fn Tile(form: CardForm, line: usize, mixed: Signal<bool>) -> impl IntoView {
    let field = form.fields.with_value(|f| f.get(line).copied());
    let order = if line < HITTERS {
        (line + 1).to_string()
    } else {
        "reserve".into()
    };
    let gender = move || match form.line(line).gender() {
        Some(gender) => gender.to_string(),
        None => "not said".into(),
    };
    let turn = move |_| {
        form.change(line, |l| {
            l.gender = match l.gender {
                None => Some('F'),
                Some('F') => Some('M'),
                Some(_) => None,
            }
        });
    };
    view! {
        <li class="tile">
            <span class="order" aria-hidden="true">{order}</span>
            <input class="input number" inputmode="none" maxlength="2" autocomplete="off"
                node_ref=field.unwrap_or_default() aria-label=format!("number of {}", called(line))
                aria-invalid=move || form.is_wrong(line).to_string()
                aria-describedby="objections"
                prop:value=move || form.line(line).number
                on:focus=move |_| form.focused.set(line)
                on:input:target=move |ev| form.change(line, |l| l.number = ev.target().value())
                on:keydown=move |ev| if ev.key() == "Enter" { ev.prevent_default(); form.next(line); }/>
            <Show when=move || mixed.get()>
                <button type="button" class="btn" on:click=turn
                    aria-label=move || format!("gender of {}: {}", called(line), gender())>{gender}</button>
            </Show>
        </li>
    }
}

/// A line's name and position.
#[component]
fn Detail(form: CardForm, line: usize) -> impl IntoView {
    let number = move || {
        let number = form.line(line).number;
        if number.is_empty() {
            "–".into()
        } else {
            number
        }
    };
    let position = if line < HITTERS {
        let options = Position::ALL.map(|p| {
            let chosen = move || form.line(line).position == Some(p.index());
            view! { <option value=p.index().to_string() selected=chosen>{p.to_string()}</option> }
        });
        view! {
            <select class="input" aria-label=format!("position of {}", called(line))
                aria-invalid=move || form.is_wrong(line).to_string()
                aria-describedby="objections"
                on:change:target=move |ev| form.change(line, |l| l.position = ev.target().value().parse().ok())>
                <option value="">"position"</option>
                {options.collect_view()}
            </select>
        }
        .into_any()
    } else {
        view! { <span class="soft">"reserve"</span> }.into_any()
    };
    view! {
        <li class="detail">
            <b class="number">{number}</b>
            <input class="input" maxlength="30" autocomplete="off" placeholder="name"
                aria-label=format!("name of {}", called(line))
                prop:value=move || form.line(line).name
                on:input:target=move |ev| form.change(line, |l| l.name = ev.target().value())/>
            {position}
        </li>
    }
}
