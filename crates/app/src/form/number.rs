//! Fields for numbers: typed in the units on screen, kept in those of the file.

use super::refusal_at;
use crate::{
    erased::{effect, memo, on, part, text as text_of},
    path::Path,
    store::Store,
};
use evenstroke_job::{
    read::json_of_bytes,
    spec::{FieldSpec, NumberSpec, Unit},
    units::UnitSystem,
};
use leptos::prelude::*;
use serde_json::Value;

/// Which numbers a field takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Digits {
    /// Any.
    Any,
    /// Whole ones.
    Whole,
}

/// A number.
pub fn number_field(field: &'static FieldSpec, spec: NumberSpec, path: Path) -> AnyView {
    single_field(field, spec, Digits::Any, path)
}

/// A whole number.
pub fn whole_field(field: &'static FieldSpec, min: i64, max: i64, path: Path) -> AnyView {
    let spec = NumberSpec { unit: Unit::One, min: min as f64, above: false, max: max as f64 };
    single_field(field, spec, Digits::Whole, path)
}

fn single_field(
    field: &'static FieldSpec,
    spec: NumberSpec,
    digits: Digits,
    path: Path,
) -> AnyView {
    let store = expect_context::<Store>();
    let here = path.clone();
    let value =
        memo(move || store.document.with(|document| here.get(document).and_then(Value::as_f64)));
    let refusal = refusal_at(store, &path);
    let change = move |number: Option<f64>| match (number, digits) {
        (Some(number), Digits::Any) => store.set(&path, number.into()),
        (Some(number), Digits::Whole) => store.set(&path, (number as i64).into()),
        (None, _) => store.remove(&path),
    };
    view! {
        <div class="field">
            <NumberInput
                label=field.label
                about=field.about
                spec=spec
                digits=digits
                required=field.required
                value=value
                refusal=refusal
                on_change=Callback::new(change)
            />
        </div>
    }
    .into_any()
}

/// A number or a range: with only the first box filled it is a number.
pub fn range_field(field: &'static FieldSpec, spec: NumberSpec, path: Path) -> impl IntoView {
    let store = expect_context::<Store>();
    let end = |key: &'static str| {
        let path = path.clone();
        memo(move || {
            store.document.with(|document| match path.get(document)? {
                Value::Number(number) if key == "low" => number.as_f64(),
                value => value.get(key)?.as_f64(),
            })
        })
    };
    let (low, high) = (end("low"), end("high"));
    let refusal = refusal_at(store, &path);
    let nothing = memo(|| None);
    let change = move |low: Option<f64>, high: Option<f64>| match (low, high) {
        (Some(low), Some(high)) => store.edit(&path.to_string(), |document| {
            path.set(document, Value::Null);
            path.key("low").set(document, low.into());
            path.key("high").set(document, high.into());
        }),
        (Some(only), None) | (None, Some(only)) => store.set(&path, only.into()),
        (None, None) => store.remove(&path),
    };
    let change_low = {
        let change = change.clone();
        move |number| change(number, high.get_untracked())
    };
    let change_high = move |number| change(low.get_untracked(), number);
    view! {
        <div class="field range" role="group" aria-label=field.label>
            <NumberInput
                label=field.label
                about=field.about
                spec=spec
                digits=Digits::Any
                required=field.required
                value=low
                refusal=refusal
                on_change=Callback::new(change_low)
            />
            <NumberInput
                label="up to, if a range"
                about=""
                spec=spec
                digits=Digits::Any
                required=false
                value=high
                refusal=nothing
                on_change=Callback::new(change_high)
            />
        </div>
    }
}

/// The input itself. What cannot be a value stays in the box with a message beside it, and the job
/// keeps its last value.
#[component]
fn NumberInput(
    label: &'static str,
    about: &'static str,
    spec: NumberSpec,
    digits: Digits,
    required: bool,
    value: Memo<Option<f64>>,
    refusal: Memo<Option<String>>,
    on_change: Callback<Option<f64>>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let shown = move |units: UnitSystem| {
        value.get().map_or_else(String::new, |value| plain(units.to_screen(value, spec.unit)))
    };
    let text = RwSignal::new(untrack(|| shown(store.units.get())));
    let error = RwSignal::new(None::<String>);

    // A change from elsewhere (undo, another unit, a drag) replaces the text; what was just typed
    // already says the same number and stays as typed.
    effect(move || {
        let units = store.units.get();
        let value = value.get();
        let typed = parse(&text.get_untracked()).ok().flatten();
        let same = match (typed, value) {
            (Some(typed), Some(value)) => {
                let typed = units.to_file(typed, spec.unit);
                (typed - value).abs() <= 1e-9 * value.abs().max(1e-9)
            }
            (None, None) => text.get_untracked().trim().is_empty(),
            _ => false,
        };
        if !same {
            text.set(shown(units));
            error.set(None);
        }
    });

    let typed = move |raw: String| {
        let units = store.units.get_untracked();
        let outcome = match parse(&raw) {
            Err(()) => Err("must be a number, such as 12.5".to_owned()),
            Ok(None) if required => Err("must not be empty".to_owned()),
            Ok(None) => Ok(None),
            Ok(Some(number)) if digits == Digits::Whole && number.fract() != 0.0 => {
                Err("must be a whole number".to_owned())
            }
            Ok(Some(number)) => {
                let number = units.to_file(number, spec.unit);
                if spec.allows(number) { Ok(Some(number)) } else { Err(range_words(&spec, units)) }
            }
        };
        text.set(raw);
        match outcome {
            Ok(number) => {
                error.set(None);
                on_change.run(number);
            }
            Err(message) => error.set(Some(message)),
        }
    };
    let message = move || error.get().or_else(|| refusal.get());
    view! {
        <label class="number">
            <span class="label">{label}</span>
            <span class="box">
                <input
                    type="text"
                    inputmode="decimal"
                    autocomplete="off"
                    prop:value=text_of(move || text.get())
                    aria-invalid=text_of(move || message().is_some().to_string())
                    on:input=on(move |event| typed(event_target_value(&event)))
                />
                <span class="unit">{text_of(move || store.units.get().symbol(spec.unit).to_owned())}</span>
            </span>
            {part(move || message().map(|message| view! { <span class="error" role="alert">{message}</span> }))}
            {(!about.is_empty()).then(|| view! { <small class="about">{about}</small> })}
        </label>
    }
}

/// What is allowed, in the units on screen.
fn range_words(spec: &NumberSpec, units: UnitSystem) -> String {
    let show = |value: f64| plain(units.to_screen(value, spec.unit));
    let unit = units.symbol(spec.unit);
    let (low, high) = (show(spec.min), show(spec.max));
    if spec.above {
        format!("must be above {low} and at most {high} {unit}")
    } else {
        format!("must be from {low} to {high} {unit}")
    }
}

/// A number with as many digits as it needs, at most seven that count.
fn plain(number: f64) -> String {
    if number == 0.0 || !number.is_finite() {
        return "0".to_owned();
    }
    let digits = (6 - number.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let text = format!("{number:.digits$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A number as people type it: comma or point, spaces between thousands. Nothing is no error here.
///
/// The digits are read by the same reader as those of a job file, so that a typed number and a
/// stored one are the same to the last bit.
pub fn parse(text: &str) -> Result<Option<f64>, ()> {
    let mut plain = String::with_capacity(text.len() + 1);
    for letter in text.chars().filter(|letter| !letter.is_whitespace()) {
        match letter {
            ',' => plain.push('.'),
            '−' => plain.push('-'),
            other => plain.push(other),
        }
    }
    if plain.is_empty() {
        return Ok(None);
    }
    // People write +5, .5 and 5. where JSON does not.
    let (sign, digits) = match plain.strip_prefix('-') {
        Some(digits) => ("-", digits),
        None => ("", plain.strip_prefix('+').unwrap_or(&plain)),
    };
    let digits = digits.strip_suffix('.').unwrap_or(digits);
    let leading_zero = if digits.starts_with('.') { "0" } else { "" };
    let whole = digits.trim_start_matches('0');
    let digits =
        if whole.starts_with(|letter: char| letter.is_ascii_digit()) { whole } else { digits };
    let number = json_of_bytes(format!("{sign}{leading_zero}{digits}").as_bytes());
    number.ok().and_then(|number| number.as_f64()).map(Some).ok_or(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_people_type_them() {
        assert_eq!(parse(" 1 392,5 "), Ok(Some(1392.5)));
        assert_eq!(parse("−3.5"), Ok(Some(-3.5)));
        assert_eq!(parse("+.5"), Ok(Some(0.5)));
        assert_eq!(parse("007."), Ok(Some(7.0)));
        assert_eq!(parse("0.25"), Ok(Some(0.25)));
        assert_eq!(parse("0"), Ok(Some(0.0)));
        assert_eq!(parse(""), Ok(None));
        for nonsense in
            ["abc", "nan", "inf", "1e999", "1.2.3", "--4", "<b>", "null", "[1]", "1 e", "."]
        {
            assert_eq!(parse(nonsense), Err(()), "{nonsense}");
        }
    }

    #[test]
    fn numbers_are_shown_without_needless_digits() {
        assert_eq!(plain(2.0), "2");
        assert_eq!(plain(0.1 + 0.2), "0.3");
        assert_eq!(plain(1600.0), "1600");
        assert_eq!(plain(1.0 / 25.4), "0.03937008");
    }
}
