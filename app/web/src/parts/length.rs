//! A length to be typed: metres, or feet and inches.

use leptos::prelude::*;

/// A quarter of an inch, the finest part of the tape in feet (m).
const QUARTER: f64 = 0.006_35;

/// The length typed, `None` when it is none. A comma is read as a point;
/// inches may have a fraction, as `6 1/2`.
pub fn read_length(feet: bool, one: &str, two: &str) -> Option<f64> {
    let number = |text: &str| {
        let text = text.trim().replace(',', ".");
        let plain = text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        plain.then(|| text.parse::<f64>().ok()).flatten()
    };
    if !feet {
        return number(one);
    }
    let inches = |text: &str| {
        let (whole, part) = match text.trim().split_once(' ') {
            Some((whole, part)) => (whole, part.trim()),
            None if text.contains('/') => ("0", text.trim()),
            None => (text.trim(), ""),
        };
        let whole = if whole.is_empty() {
            0.0
        } else {
            number(whole)?
        };
        let part = match part.split_once('/') {
            Some((a, b)) => {
                let b = number(b)?;
                if b <= 0.0 {
                    return None;
                }
                number(a)? / b
            }
            None if part.is_empty() => 0.0,
            None => return None,
        };
        Some(whole + part)
    };
    if one.trim().is_empty() && two.trim().is_empty() {
        return None;
    }
    let whole = if one.trim().is_empty() {
        0.0
    } else {
        number(one)?
    };
    Some(whole * 0.3048 + inches(two)? * 0.0254)
}

/// The length as it would be typed.
pub fn write_length(feet: bool, metres: f64) -> (String, String) {
    if !feet {
        let text = format!("{metres:.2}");
        let short = text.trim_end_matches('0').trim_end_matches('.');
        return (short.to_string(), String::new());
    }
    let quarters = (metres / QUARTER).round().max(0.0) as u64;
    let inches = quarters % 48 / 4;
    let part = match quarters % 4 {
        1 => " 1/4",
        2 => " 1/2",
        3 => " 3/4",
        _ => "",
    };
    ((quarters / 48).to_string(), format!("{inches}{part}"))
}

/// One field in metres, or two in feet and inches, with large figures.
#[component]
pub fn LengthField(
    /// A name for the elements, unique on the page.
    #[prop(into)]
    id: String,
    /// What is measured.
    #[prop(into)]
    label: Signal<String>,
    /// A few words under the label, may be empty.
    #[prop(into, optional)]
    hint: Signal<String>,
    /// Feet and inches instead of metres.
    #[prop(into)]
    feet: Signal<bool>,
    /// The length (m).
    #[prop(into)]
    value: Signal<Option<f64>>,
    /// Takes a new one.
    #[prop(into)]
    set: Callback<Option<f64>>,
) -> impl IntoView {
    let typed = RwSignal::new((String::new(), String::new()));
    let read = move || typed.with(|(one, two)| read_length(feet.get(), one, two));
    // What is being typed stays as typed while it means the same length.
    Effect::new(move |before: Option<bool>| {
        let (feet, value) = (feet.get(), value.get());
        let now = typed.with_untracked(|(one, two)| read_length(feet, one, two));
        let same = match (now, value) {
            (Some(a), Some(b)) => (a - b).abs() < 0.004,
            // Cleared from outside; a half-typed length is left alone.
            (None, None) => true,
            _ => false,
        };
        if !same || before.is_some_and(|b| b != feet) {
            typed.set(value.map(|v| write_length(feet, v)).unwrap_or_default());
        }
        feet
    });
    let enter = move |first: bool, text: String| {
        typed.update(|t| if first { t.0 = text } else { t.1 = text });
        set.run(read());
    };
    let wrong = Signal::derive(move || {
        let empty = typed.with(|(a, b)| a.trim().is_empty() && b.trim().is_empty());
        !empty && read().is_none()
    });
    let why = format!("{id}-why");
    let described = why.clone();
    let second = format!("{id}-inches");
    view! {
        <div class="field length">
            <label for=id.clone()>{label}</label>
            <Show when=move || !hint.with(String::is_empty)>
                <p class="small soft">{hint}</p>
            </Show>
            <div class="figures">
                <input id=id class="input" inputmode="decimal" autocomplete="off" maxlength="8"
                    aria-invalid=move || wrong.get().to_string() aria-describedby=described.clone()
                    prop:value=move || typed.with(|t| t.0.clone())
                    on:input:target=move |ev| enter(true, ev.target().value())/>
                <span aria-hidden="true">{move || if feet.get() { "ft" } else { "m" }}</span>
                <Show when=move || feet.get()>
                    <input id=second.clone() class="input" inputmode="text" autocomplete="off" maxlength="8"
                        aria-label=move || format!("{}, inches", label.get())
                        aria-invalid=move || wrong.get().to_string()
                        prop:value=move || typed.with(|t| t.1.clone())
                        on:input:target=move |ev| enter(false, ev.target().value())/>
                    <span aria-hidden="true">"in"</span>
                </Show>
            </div>
            <div id=why role="alert">
                <Show when=move || wrong.get()>
                    <p class="objection">{move || if feet.get() {
                        "This is no length: write feet and inches, as 78 and 6 1/2."
                    } else {
                        "This is no length: write metres, as 24.5."
                    }}</p>
                </Show>
            </div>
        </div>
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn metres_are_read_with_a_point_or_a_comma() {
        assert_eq!(read_length(false, "24.5", ""), Some(24.5));
        assert_eq!(read_length(false, " 24,50 ", ""), Some(24.5));
        for bad in ["", "x", "-3", "1e3", "2 4", "1.2.3", "inf", "NaN"] {
            assert_eq!(read_length(false, bad, ""), None, "{bad}");
        }
    }

    #[test]
    fn feet_and_inches_are_read_with_fractions() {
        // An inch is 25.4 mm exactly (international yard and pound agreement of 1959, from memory).
        let m = |a, b| read_length(true, a, b).unwrap();
        assert!((m("78", "6 1/2") - (78.0 * 12.0 + 6.5) * 0.0254).abs() < 1e-12);
        assert!((m("78", "") - 78.0 * 0.3048).abs() < 1e-12);
        assert!((m("", "3/4") - 0.75 * 0.0254).abs() < 1e-12);
        for (a, b) in [
            ("", ""),
            ("x", "1"),
            ("1", "1/0"),
            ("1", "1 x"),
            ("1", "-2"),
        ] {
            assert_eq!(read_length(true, a, b), None, "{a} {b}");
        }
    }

    #[test]
    fn a_length_written_reads_back() {
        for mm in (0..60_000).step_by(37) {
            let m = f64::from(mm) / 1000.0;
            for (feet, most) in [(false, 0.005_001), (true, QUARTER / 2.0 + 1e-9)] {
                let (a, b) = write_length(feet, m);
                let back = read_length(feet, &a, &b).unwrap();
                assert!((back - m).abs() <= most, "{m} {a} {b} {back}");
            }
        }
    }
}
