//! The measured check: what the tape says, which mark to move, how far, which way.

use engine::court::measured::{Finding, Readings, Square, Stretch, check};
use engine::court::{Closing, Mark, TapeLength, closing_check, diagonal};
use leptos::prelude::*;

use super::plan::{none, refused};
use super::{Part, Work};
use crate::parts::{Defer, LengthField, Message, Tone};
use crate::words::capital;

/// How far a mark may be off, to choose from (cm).
const TOLERANCES: [u8; 3] = [1, 2, 5];

/// Diagonals first, because they are quick; all six when they differ.
#[component]
pub fn Check(work: Work) -> impl IntoView {
    move || {
        work.found.with(|found| match found {
            Err(why) => refused(why).into_any(),
            Ok(found) => match &found.fit {
                engine::court::Fit::DoesNotFit(short) => {
                    none(short, work.yard.with(crate::yard::Yard::units)).into_any()
                }
                engine::court::Fit::Fits(_) => view! {
                    <Tolerance work=work/>
                    <section class="section" aria-label="Two diagonals">
                        <h2>"Two diagonals"</h2>
                        <Diagonals work=work/>
                    </section>
                    <Six work=work/>
                    <Defer words=super::DEFER/>
                }
                .into_any(),
            },
        })
    }
}

/// Back to the steps, or to the plan.
#[component]
pub fn Foot(work: Work) -> impl IntoView {
    view! {
        <div class="pair">
            <button type="button" class="btn" on:click=move |_| work.go.run(Part::Steps)>"the steps"</button>
            <button type="button" class="btn lit" on:click=move |_| work.go.run(Part::Plan)>"the plan"</button>
        </div>
    }
}

#[component]
fn Tolerance(work: Work) -> impl IntoView {
    let yard = work.yard;
    view! {
        <p class="small" id="tolerance">"A mark may be off by"</p>
        <div class="row" role="group" aria-labelledby="tolerance">
            {TOLERANCES.map(|cm| view! {
                <button type="button" class="btn" aria-pressed=move || yard.with(|y| y.tolerance == cm).to_string()
                    on:click=move |_| yard.update(|y| y.tolerance = cm)>{format!("{cm} cm")}</button>
            }).collect_view()}
        </div>
    }
}

/// The closing check: two readings tell whether the square leans.
#[component]
pub fn Diagonals(work: Work) -> impl IntoView {
    let yard = work.yard;
    let feet = work.feet();
    let field = move |i: usize, label: &'static str| {
        view! {
            <LengthField id=format!("diagonal-{i}") label=label feet=feet
                value=Signal::derive(move || yard.with(|y| y.diagonals[i]))
                set=Callback::new(move |v| yard.update(|y| y.diagonals[i] = v))/>
        }
    };
    let want = move || {
        let units = yard.with(crate::yard::Yard::units);
        work.found.with(|f| {
            let court = f.as_ref().ok()?.fit.court()?;
            Some(format!("Each should be {}.", diagonal(court).show(units)))
        })
    };
    let verdict = move || {
        let (readings, tolerance) = yard.with(|y| (y.diagonals, y.tolerance));
        let [Some(from_home), Some(across)] = readings else {
            return None;
        };
        work.found.with(|f| {
            let court = f.as_ref().ok()?.fit.court()?;
            let said = closing_check(court, from_home, across, f64::from(tolerance) / 100.0);
            let tone = if said == Closing::Square {
                Tone::Good
            } else {
                Tone::Bad
            };
            Some(view! { <Message tone=tone what=said.text()/> })
        })
    };
    view! {
        <p class="small">{want}</p>
        {field(0, "Home to the far fence corner")}
        {field(1, "Right to left fence corner")}
        {verdict}
    }
}

#[component]
fn Six(work: Work) -> impl IntoView {
    let yard = work.yard;
    let feet = work.feet();
    let square = Memo::new(move |_| {
        if yard.with(|y| y.fence) {
            Square::Fair
        } else {
            Square::Infield
        }
    });
    let side = move |square: Square| {
        work.found.with(|f| {
            let court = f.as_ref().ok()?.fit.court()?;
            Some(match square {
                Square::Infield => court.mark(Mark::First).x,
                Square::Fair => court.mark(Mark::RightCorner).x,
            })
        })
    };
    let choose = move |fence: bool| {
        yard.update(|y| {
            if y.fence != fence {
                y.fence = fence;
                y.readings = [None; 6];
            }
        });
    };
    let fields = move || {
        let square = square.get();
        let units = yard.with(crate::yard::Yard::units);
        let side = side(square).unwrap_or_default();
        Stretch::ALL
            .into_iter()
            .enumerate()
            .map(|(i, stretch)| {
                let want = match stretch {
                    Stretch::HomeFar | Stretch::RightLeft => side * std::f64::consts::SQRT_2,
                    _ => side,
                };
                let hint = format!("should be {}", TapeLength::from_metres(want).show(units));
                view! {
                    <LengthField id=format!("reading-{i}") label=capital(&stretch.name(square)) hint=hint feet=feet
                        value=Signal::derive(move || yard.with(|y| y.readings[i]))
                        set=Callback::new(move |v| yard.update(|y| y.readings[i] = v))/>
                }
            })
            .collect_view()
    };
    let verdict = move || {
        let (readings, tolerance, units) = yard.with(|y| (y.readings, y.tolerance, y.units()));
        if readings.iter().all(Option::is_none) {
            return None;
        }
        let readings = Readings {
            square: square.get(),
            metres: readings,
        };
        work.found.with(|f| {
            let court = f.as_ref().ok()?.fit.court()?;
            Some(
                match check(court, &readings, f64::from(tolerance) / 100.0) {
                    Ok(verdict) => {
                        let tone = if *verdict.finding() == Finding::Square {
                            Tone::Good
                        } else {
                            Tone::Bad
                        };
                        let mut said = verdict.sentences(units).into_iter();
                        let what = said.next().unwrap_or_default();
                        let next = said.collect::<Vec<_>>().join(" ");
                        view! { <Message tone=tone what=what next=next/> }.into_any()
                    }
                    Err(why) => {
                        let said = why.objections().iter().map(|o| o.sentence(units));
                        let said = said.map(|s| capital(&s)).collect::<Vec<_>>().join(" ");
                        view! { <Message what=said/> }.into_any()
                    }
                },
            )
        })
    };
    view! {
        <section class="section" aria-label="Four sides and two diagonals">
            <h2>"Four sides and two diagonals"</h2>
            <p class="small soft">"They tell which mark to move. Five of the six are enough."</p>
            <div class="pair" role="group" aria-label="Which square">
                <button type="button" class="btn" aria-pressed=move || (square.get() == Square::Infield).to_string()
                    on:click=move |_| choose(false)>"the bases"</button>
                <button type="button" class="btn" aria-pressed=move || (square.get() == Square::Fair).to_string()
                    on:click=move |_| choose(true)>"the fence"</button>
            </div>
            <div class="readings">{fields}</div>
            {verdict}
        </section>
    }
}
