//! What goes on paper: the plan and every step, on one page.

use engine::court::materials;
use leptos::prelude::*;

use super::Work;
use super::plan::drawn;
use crate::clock;
use crate::parts::Defer;
use crate::words::capital;

/// Seen only in print.
#[component]
pub fn Paper(work: Work) -> impl IntoView {
    move || {
        let (units, name) = work.draft.with(|y| (y.units(), y.name.trim().to_string()));
        work.found.with(|found| {
            let found = found.as_ref().ok()?;
            let court = found.fit.court()?;
            let line = |s: String| view! { <li>{capital(&s)}</li> };
            let said = found.fit.sentences(units).into_iter().map(line).collect_view();
            let bring = materials(court).sentences(units).into_iter().map(line).collect_view();
            let steps = found
                .steps()
                .iter()
                .map(|s| line(s.text(units)))
                .collect_view();
            let title = if name.is_empty() {
                "The court".to_string()
            } else {
                format!("The court: {name}")
            };
            Some(view! {
                <article class="paper">
                    <h2>{title}</h2>
                    <p>{format!("{}. {} m of run-off all round.", clock::day(clock::now()), court.run_off())}</p>
                    <Defer words=super::DEFER/>
                    <div class="paper-in">
                        <div inner_html=drawn(found, units)></div>
                        <div>
                            <ul class="paper-list">{said}</ul>
                            <h3>"What to bring"</h3>
                            <ul class="paper-list">{bring}</ul>
                        </div>
                    </div>
                    <ol class="paper-steps">{steps}</ol>
                </article>
            })
        })
    }
}
