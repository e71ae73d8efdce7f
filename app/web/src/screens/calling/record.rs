//! The one large button that records.

use engine::game::{Outcome, Unready};
use leptos::prelude::*;

use crate::device;
use crate::state::app_state;

/// Records the call. It says what the call comes to; its name says it in full.
#[component]
pub fn RecordButton(
    check: Memo<Result<Outcome, Unready>>,
    kept: RwSignal<bool>,
    record: Callback<()>,
) -> impl IntoView {
    let app = app_state();
    let ready = move || !kept.get() && check.with(Result::is_ok);
    let title = move || match (kept.get(), ready()) {
        (true, _) => "Kept",
        (false, true) => "Record",
        (false, false) => "Not yet",
    };
    let brief = move || {
        check.with(|c| match c {
            Ok(outcome) => outcome.consequence(),
            Err(Unready::Asks(_)) => "The answer records it.".into(),
            Err(Unready::Refused(_)) => "This does not fit.".into(),
        })
    };
    let full = move || {
        check.with(|c| match c {
            Ok(outcome) => outcome.sentences().join(" "),
            Err(Unready::Asks(_)) => String::new(),
            Err(Unready::Refused(objection)) => objection.to_string(),
        })
    };
    let tap = move |_| {
        if ready() {
            record.run(());
        } else if let Err(Unready::Refused(objection)) = check.get_untracked() {
            device::double_tick();
            app.say(objection.to_string());
        }
    };
    view! {
        <button type="button" class="btn record" on:click=tap
            aria-disabled=move || (!ready()).to_string()>
            <span class="words">
                <b>{title}</b>
                <span class="says">{brief}</span>
            </span>
            <span class="unseen">{full}</span>
        </button>
    }
}
