//! The component sheet: every control once, in both themes.

use leptos::prelude::*;

use crate::parts::{BottomSheet, Message, NumberPad, Outs, Page, Section, Tone};
use crate::settings::Theme;

use super::preferences::{Choice, Tick};

/// Every control of the app.
#[component]
pub fn ComponentSheet() -> impl IntoView {
    let app = crate::state::app_state();
    let up = RwSignal::new(false);
    let chosen = RwSignal::new(0);
    let on = RwSignal::new(true);
    let show = move |theme: Theme| {
        app.settings.update(|s| s.theme = theme);
    };
    let theme = move || app.settings.with(|s| s.theme);
    view! {
        <Page title="Every control" back="/">
            <Section title="Theme">
                <div class="pair">
                    <button type="button" class="btn" aria-pressed=move || (theme() == Theme::Noon).to_string()
                        on:click=move |_| show(Theme::Noon)>"noon"</button>
                    <button type="button" class="btn" aria-pressed=move || (theme() == Theme::Night).to_string()
                        on:click=move |_| show(Theme::Night)>"night"</button>
                </div>
            </Section>
            <Section title="Buttons">
                <div class="ways three">
                    <button type="button" class="btn">"plain"</button>
                    <button type="button" class="btn" aria-pressed="true">"chosen"</button>
                    <button type="button" class="btn" disabled=true>"not now"</button>
                    <button type="button" class="btn safe">"safe"</button>
                    <button type="button" class="btn safe" aria-pressed="true">"safe 1st"</button>
                    <button type="button" class="btn quiet">"quiet"</button>
                    <button type="button" class="btn out">"out"</button>
                    <button type="button" class="btn out" aria-pressed="true">"out"</button>
                    <button type="button" class="btn lit">"go on"</button>
                </div>
                <button type="button" class="btn lit big wide">"The next tap"</button>
                <button type="button" class="btn wide start">
                    <span class="words">"With a second line"<span class="under">"What it does, in a few words."</span></span>
                </button>
            </Section>
            <Section title="Out marks">
                {(0..=3u8).map(|n| view! { <div class="split"><Outs outs=n/><span>{format!("{n} out")}</span></div> }).collect_view()}
            </Section>
            <section class="section" aria-label="A lane">
                <h2>"Lanes"</h2>
                <div class="lanes"><div class="lanes-in">
                <div class="lane empty" aria-hidden="true"><span>"3rd"</span></div>
                <div class="lane" role="group" aria-label="22 on 2nd">
                    <button type="button" class="btn who">
                        <span class="unseen">"to 3rd on a fielder's error, how? "</span>
                        <b>"22"</b>" "<span class="why">"error"</span>
                    </button>
                    <div class="row">
                        <button type="button" class="btn">"stays"</button>
                        <button type="button" class="btn" aria-pressed="true">"3rd"</button>
                        <button type="button" class="btn">"home"</button>
                        <button type="button" class="btn out">"out"</button>
                    </div>
                </div>
                </div></div>
                <p class="refusal">"22 and 23 cannot both be on 3rd: move 22 on or call one out."</p>
                <div class="question" role="group" aria-label="A question">
                    <p>"23 makes the third out. Was 22 home first?"</p>
                    <div class="row">
                        <button type="button" class="btn safe" aria-pressed="true">"home first: run counts"</button>
                        <button type="button" class="btn out">"out first: no run"</button>
                    </div>
                </div>
            </section>
            <Section title="Messages">
                <Message what="Something to know.".to_string() next="What to do next.".to_string()/>
                <Message tone=Tone::Good what="Every later play still fits.".to_string()/>
                <div class="message bad">
                    <p class="what">"This phone has no room left: the call was not recorded."</p>
                    <p>"Free some space, then tap Record again."</p>
                    <div class="acts"><button type="button" class="btn">"try again"</button></div>
                </div>
                <p><span class="tag">"demo"</span></p>
            </Section>
            <Section title="Fields">
                <div class="field">
                    <label for="sheet-text">"A text"</label>
                    <input id="sheet-text" class="input" value="Quay Street"/>
                </div>
                <div class="field">
                    <label for="sheet-wrong">"A wrong one"</label>
                    <input id="sheet-wrong" class="input" value="100" aria-invalid="true" aria-describedby="sheet-why"/>
                    <p id="sheet-why" class="objection">"\"100\" is no shirt number: give one from 0 to 99."</p>
                </div>
                <div class="field">
                    <label for="sheet-list">"A list"</label>
                    <select id="sheet-list" class="input"><option>"first base"</option><option>"midfielder"</option></select>
                </div>
                <Choice group="sheet" label="One of two" chosen=move || chosen.get() == 0 choose=move || chosen.set(0)/>
                <Choice group="sheet" label="The other" chosen=move || chosen.get() == 1 choose=move || chosen.set(1)/>
                <Tick label="On or off" on=move || on.get() flip=move || on.update(|o| *o = !*o)/>
            </Section>
            <Section title="Number pad">
                <NumberPad press=Callback::new(|_| ())/>
            </Section>
            <Section title="Table">
                <table class="grid">
                    <thead><tr><td></td><th scope="col">"runs"</th><th scope="col">"hits"</th></tr></thead>
                    <tbody>
                        <tr><th scope="row">"Quay Street"</th><td class="total">"4"</td><td>"7"</td></tr>
                        <tr><th scope="row">"Tram Yard"</th><td class="total">"2"</td><td>"5"</td></tr>
                    </tbody>
                </table>
            </Section>
            <button type="button" class="btn wide" on:click=move |_| up.set(true)>"Raise the sheet"</button>
            <BottomSheet open=up title="A sheet">
                <p>"It rises where the thumb is. Escape or a tap beside it closes it."</p>
            </BottomSheet>
        </Page>
    }
}
