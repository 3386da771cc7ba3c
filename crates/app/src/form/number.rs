//! Fields for numbers: typed in the units on screen, kept in those of the file.

use super::{
    frame::{described_by, framed},
    refusal_at,
};
use crate::{
    erased::{effect, memo, on, part, text as text_of},
    path::Path,
    store::Store,
};
use evenstroke_job::{
    entry::{self, range_words},
    spec::{FieldSpec, NumberSpec, Unit},
    units::UnitSystem,
};
use evenstroke_language::{decimal, say, tr};
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
    let refusal = refusal_at(store, tr(field.label), &path);
    let at = path.clone();
    let change = move |number: Option<f64>| match (number, digits) {
        (Some(number), Digits::Any) => store.set(&at, number.into()),
        (Some(number), Digits::Whole) => store.set(&at, (number as i64).into()),
        (None, _) => store.remove(&at),
    };
    let typed = Typed { label: tr(field.label), spec, digits, required: field.required };
    let (input, said) = number_input(typed, &path, value, Some(refusal), Box::new(change));
    framed(field, &path, "", input, said)
}

/// A number or a range: with only the first box filled it is a number.
pub fn range_field(field: &'static FieldSpec, spec: NumberSpec, path: Path) -> AnyView {
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
    let refusal = refusal_at(store, tr(field.label), &path);
    let at = path.clone();
    let change = move |low: Option<f64>, high: Option<f64>| match (low, high) {
        (Some(low), Some(high)) => store.edit(&at.to_string(), |document| {
            at.set(document, Value::Null);
            at.key("low").set(document, low.into());
            at.key("high").set(document, high.into());
        }),
        (Some(only), None) | (None, Some(only)) => store.set(&at, only.into()),
        (None, None) => store.remove(&at),
    };
    let change_low = {
        let change = change.clone();
        move |number| change(number, high.get_untracked())
    };
    let change_high = move |number| change(low.get_untracked(), number);
    let first =
        Typed { label: tr(field.label), spec, digits: Digits::Any, required: field.required };
    let second = Typed { label: tr("up to, if a range"), required: false, ..first };
    let (low, low_said) = number_input(first, &path, low, Some(refusal), Box::new(change_low));
    let (high, high_said) =
        number_input(second, &path.key("high"), high, None, Box::new(change_high));
    let inputs = view! { <div class="pair">{low} {high}</div> }.into_any();
    let said = view! { {low_said} {high_said} }.into_any();
    framed(field, &path, "range", inputs, said)
}

/// What may be typed in an input.
#[derive(Clone, Copy)]
struct Typed {
    label: &'static str,
    spec: NumberSpec,
    digits: Digits,
    required: bool,
}

impl Typed {
    /// The value in the unit of the file, or a message that names the field, what is allowed and
    /// what was given.
    fn read(self, raw: &str, units: UnitSystem) -> Result<Option<f64>, String> {
        let Self { label, spec, .. } = self;
        let refused = |allowed: &str, given: &str| {
            // What was pasted may be long; its start says which it was.
            let given: String = given.chars().take(40).collect();
            Err(say!("{}: {}, given {}", label, allowed, given))
        };
        match entry::read(raw, spec.unit, units) {
            Err(error) => refused(&error.to_string(), &format!("“{}”", raw.trim())),
            Ok(None) if self.required => Err(say!("{}: must not be empty", label)),
            Ok(None) => Ok(None),
            Ok(Some(entry)) if self.digits == Digits::Whole && entry.value.fract() != 0.0 => {
                refused(tr("must be a whole number"), &with_unit(entry.value, spec.unit, units))
            }
            Ok(Some(entry)) if !spec.allows(entry.value) => refused(
                &say!("must be {}", range_words(&spec, units)),
                &with_unit(entry.value, spec.unit, units),
            ),
            Ok(Some(entry)) => Ok(Some(entry.value)),
        }
    }

    /// What was understood, where that is not just what was typed: `= 9.525 mm`.
    fn understood(self, raw: &str, units: UnitSystem) -> String {
        match (entry::read(raw, self.spec.unit, units), self.read(raw, units)) {
            (Ok(Some(entry)), Ok(_)) if !entry.plain => {
                format!("= {}", with_unit(entry.value, self.spec.unit, units))
            }
            _ => String::new(),
        }
    }
}

/// A number as it is written into a field.
fn shortest(number: f64) -> String {
    decimal(entry::digits(number))
}

fn with_unit(value: f64, unit: Unit, units: UnitSystem) -> String {
    let gap = if unit == Unit::Deg || unit == Unit::One { "" } else { " " };
    format!("{}{gap}{}", shortest(units.to_screen(value, unit)), units.symbol(unit))
}

/// The input itself, and what is said about what was typed in it. What cannot be a value stays in
/// the box with a message below it, and the job keeps its last value.
fn number_input(
    typed: Typed,
    path: &Path,
    value: Memo<Option<f64>>,
    refusal: Option<Memo<Option<String>>>,
    on_change: Box<dyn Fn(Option<f64>) + Send + Sync>,
) -> (AnyView, AnyView) {
    let Typed { label, spec, digits, .. } = typed;
    let store = expect_context::<Store>();
    let shown = move |units: UnitSystem| {
        value.get().map_or_else(String::new, |value| shortest(units.to_screen(value, spec.unit)))
    };
    let text = RwSignal::new(untrack(|| shown(store.units.get())));
    let error = RwSignal::new(None::<String>);

    // A change from elsewhere (undo, another unit, a drag) replaces the text; what was just typed
    // already says the same number and stays as typed.
    effect(move || {
        let units = store.units.get();
        let value = value.get();
        let raw = text.get_untracked();
        let same = match (entry::read(&raw, spec.unit, units), value) {
            (Ok(Some(entry)), Some(value)) => {
                (entry.value - value).abs() <= 1e-9 * value.abs().max(1e-9)
            }
            (Ok(None), None) => true,
            _ => false,
        };
        if !same {
            text.set(shown(units));
            error.set(None);
        }
    });

    let change = move |raw: String| {
        let outcome = typed.read(&raw, store.units.get_untracked());
        text.set(raw);
        match outcome {
            Ok(number) => {
                error.set(None);
                on_change(number);
            }
            Err(message) => error.set(Some(message)),
        }
    };
    let message = move || error.get().or_else(|| refusal?.get());
    // Digits are what is typed most, and gloves want large keys; but a phone's pad of digits has no
    // room for fractions and units. So the unit is a button that asks for all letters and back. Where
    // inches are read, fractions are common and all letters come first.
    let letters = RwSignal::new(None::<bool>);
    let wants_letters =
        move || letters.get().unwrap_or_else(|| store.units.get() == UnitSystem::UsCustomary);
    let keys = move || match digits {
        Digits::Whole => "numeric",
        Digits::Any if wants_letters() => "text",
        Digits::Any => "decimal",
    };
    let field = NodeRef::<leptos::html::Input>::new();
    let other_keys = move |event: leptos::web_sys::MouseEvent| {
        event.prevent_default();
        letters.set(Some(!untrack(wants_letters)));
        // The keys change only when the field is entered anew.
        if let Some(field) = field.get_untracked() {
            let _ = field.blur();
            let _ = field.focus();
        }
    };
    let input = view! {
        <label class="number">
            <span class="label">{label}</span>
            <span class="box">
                <input
                    node_ref=field
                    type="text"
                    inputmode=text_of(move || keys().to_owned())
                    autocomplete="off"
                    autocapitalize="off"
                    spellcheck="false"
                    prop:value=text_of(move || text.get())
                    aria-invalid=text_of(move || message().is_some().to_string())
                    aria-describedby=described_by(path)
                    on:input=on(move |event| change(event_target_value(&event)))
                />
                {unit_button(store, spec.unit, digits, on(other_keys))}
            </span>
        </label>
    }
    .into_any();
    let (error_id, understood_id) = (format!("{path}~error"), format!("{path}~understood"));
    let understood = move || text.with(|text| typed.understood(text, store.units.get()));
    let said = view! {
        <span class="understood" id=understood_id role="status">{text_of(understood)}</span>
        {part(move || {
            let id = error_id.clone();
            message().map(|message| view! { <span class="error" id=id role="alert">{message}</span> })
        })}
    }
    .into_any();
    (input, said)
}

/// The unit beside an input, which asks for other keys where there are any.
fn unit_button(
    store: Store,
    unit: Unit,
    digits: Digits,
    other_keys: Box<dyn FnMut(leptos::web_sys::MouseEvent)>,
) -> AnyView {
    let symbol = move || store.units.get().symbol(unit).to_owned();
    if digits == Digits::Whole {
        return view! { <span class="unit">{text_of(symbol)}</span> }.into_any();
    }
    // Beside a number without a unit it stands for what else is typed there.
    let words = move || match symbol() {
        symbol if symbol.is_empty() => "½".to_owned(),
        symbol => symbol,
    };
    view! {
        <button
            type="button"
            class="unit"
            tabindex="-1"
            title=tr("Keys for units and fractions, such as 3/8 in")
            on:click=other_keys
        >
            {text_of(words)}
        </button>
    }
    .into_any()
}

/// A number that is asked for outside the job: typed as in a field, with its units, and kept nowhere.
#[derive(Clone, Copy)]
pub struct Asked {
    store: Store,
    typed: Typed,
    /// The largest that is allowed, in the unit of the file.
    most: fn(Store) -> f64,
    text: RwSignal<String>,
}

impl Asked {
    /// One of `unit` from `least` on, which begins with `first`, both in the unit of the file.
    pub fn new(
        label: &'static str,
        unit: Unit,
        (least, most): (f64, fn(Store) -> f64),
        first: f64,
    ) -> Self {
        let store = expect_context::<Store>();
        let spec = NumberSpec { unit, min: least, above: false, max: f64::MAX };
        let typed = Typed { label, spec, digits: Digits::Any, required: true };
        let shown = shortest(store.units.get_untracked().to_screen(first, unit));
        Self { store, typed, most, text: RwSignal::new(shown) }
    }

    /// Only whole numbers.
    pub fn whole(mut self) -> Self {
        self.typed.digits = Digits::Whole;
        self
    }

    /// The number in the unit of the file, or what is wrong with what was typed.
    pub fn value(self) -> Result<f64, String> {
        let mut typed = self.typed;
        typed.spec.max = (self.most)(self.store);
        let value = self.text.with(|text| typed.read(text, self.store.units.get()))?;
        // It is required, so that there is one.
        Ok(value.unwrap_or_default())
    }

    /// The input, and below it what is wrong.
    pub fn view(self) -> AnyView {
        let Typed { label, spec, .. } = self.typed;
        let symbol = move || self.store.units.get().symbol(spec.unit);
        let words = text_of(move || match symbol() {
            "" => label.to_owned(),
            symbol => format!("{label}, {symbol}"),
        });
        view! {
            <label class="field">
                <span class="label">{words}</span>
                <input
                    class="button"
                    inputmode=if self.typed.digits == Digits::Whole { "numeric" } else { "text" }
                    autocomplete="off"
                    prop:value=text_of(move || self.text.get())
                    aria-invalid=text_of(move || self.value().is_err().to_string())
                    on:input=on(move |event| self.text.set(event_target_value(&event)))
                />
                {part(move || self.value().err().map(|why| view! { <span class="error" role="alert">{why}</span> }))}
            </label>
        }
        .into_any()
    }
}

/// A number alone, as in a line of a table: comma or point, spaces between thousands. Nothing is no
/// error here.
pub fn parse(text: &str) -> Result<Option<f64>, ()> {
    entry::read_number(text).map_err(|_| ())
}

#[cfg(test)]
mod tests {
    use super::*;

    const STROKE: Typed = Typed {
        label: "Stroke",
        spec: NumberSpec { unit: Unit::Mm, min: 0.0, above: true, max: 1000.0 },
        digits: Digits::Any,
        required: true,
    };

    #[test]
    fn a_message_names_the_field_what_is_allowed_and_what_was_given() {
        let refused = |raw| STROKE.read(raw, UnitSystem::Metric).expect_err(raw);
        assert_eq!(
            refused("-3/8 in"),
            "Stroke: must be above 0 and at most 1000 mm, given -9.525 mm"
        );
        assert_eq!(refused(""), "Stroke: must not be empty");
        assert_eq!(
            refused(" 25 kN "),
            "Stroke: takes mm, cm, m, in, thou, ft or µm, so “kN” is not understood, given “25 kN”"
        );
        assert!(refused(&"9".repeat(5_000)).len() < 120);
        let whole = Typed { digits: Digits::Whole, ..STROKE };
        let refused = whole.read("1.7", UnitSystem::Metric).expect_err("a part");
        assert_eq!(refused, "Stroke: must be a whole number, given 1.7 mm");
    }

    #[test]
    fn what_was_understood_is_told_only_where_it_is_not_what_was_typed() {
        assert_eq!(STROKE.understood("3/8 in", UnitSystem::Metric), "= 9.525 mm");
        assert_eq!(STROKE.understood("1 1/2", UnitSystem::UsCustomary), "= 1.5 in");
        assert_eq!(STROKE.understood("12.5", UnitSystem::Metric), "");
        assert_eq!(STROKE.understood("12.5 kN", UnitSystem::Metric), "");
        assert_eq!(STROKE.understood("", UnitSystem::Metric), "");
    }
}
