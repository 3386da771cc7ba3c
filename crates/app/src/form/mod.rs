//! Forms built on the description of the job file: every field of the file can be edited, with its
//! unit, range and meaning from one place.

mod choice;
mod number;
mod rows;
mod start;

pub use number::parse as parse_number;
pub use start::{new_station, new_work};

use crate::{
    erased::{flag, memo, on, part, text},
    path::Path,
    store::Store,
};
use choice::{Choice, choice_field, switch_kind};
use evenstroke_job::spec::{FieldSpec, ObjectSpec, Shape};
use leptos::prelude::*;
use number::{number_field, range_field, whole_field};
use serde_json::Value;

/// Texts that may be longer than this are typed in several lines.
const ONE_LINE: usize = 200;

/// The fields of an object, without those named in `left_out`.
pub fn object_form(spec: &'static ObjectSpec, path: &Path, left_out: &[&str]) -> AnyView {
    spec.fields
        .iter()
        .filter(|field| !left_out.contains(&field.key))
        .map(|field| field_form(field, &path.key(field.key)))
        .collect_view()
        .into_any()
}

/// One field, at `path`.
fn field_form(field: &'static FieldSpec, path: &Path) -> AnyView {
    match &field.shape {
        Shape::Number(spec) => number_field(field, *spec, path.clone()).into_any(),
        Shape::NumberOrRange(spec) => range_field(field, *spec, path.clone()).into_any(),
        Shape::Whole { min, max } => whole_field(field, *min, *max, path.clone()).into_any(),
        Shape::WholeOf(numbers) => {
            let choices = numbers
                .iter()
                .filter(|number| (0..360).contains(*number))
                .map(|number| Choice::new(number.to_string(), number.to_string(), (*number).into()))
                .collect();
            choice_field(field, choices, path.clone()).into_any()
        }
        Shape::Text { longest } => text_field(field, *longest, path.clone()).into_any(),
        Shape::Date | Shape::Time => text_field(field, 10, path.clone()).into_any(),
        Shape::Choice(words) => {
            let choices = words
                .iter()
                .map(|(word, label)| Choice::new(*word, *label, (*word).into()))
                .collect();
            choice_field(field, choices, path.clone()).into_any()
        }
        Shape::Flag => {
            let choices = vec![
                Choice::new("true", "yes", true.into()),
                Choice::new("false", "no", false.into()),
            ];
            choice_field(field, choices, path.clone()).into_any()
        }
        Shape::Object(spec) => group(field.label, object_form(spec, path, &[])),
        Shape::List { item, .. } => rows::rows_field(field, item, path.clone()).into_any(),
        Shape::Tagged { .. } => group(field.label, shape_form(&field.shape, path, !field.required)),
        Shape::OneOf(_) | Shape::FixedOr(_) => {
            group(field.label, shape_form(&field.shape, path, !field.required))
        }
        Shape::Pair(_) | Shape::Exactly(_) | Shape::Image { .. } => ().into_any(),
    }
}

/// Fields under a heading.
fn group(label: &'static str, fields: AnyView) -> AnyView {
    view! {
        <fieldset class="group">
            <legend>{label}</legend>
            <div class="fields">{fields}</div>
        </fieldset>
    }
    .into_any()
}

/// What stands at a place whose fields depend on a kind: the choice of kind, and its fields.
pub fn shape_form(shape: &'static Shape, path: &Path, may_be_absent: bool) -> AnyView {
    let store = expect_context::<Store>();
    let kinds = kinds_of(shape);
    let label = match shape {
        Shape::Tagged { label, .. } => *label,
        _ => "Kind",
    };
    let here = path.clone();
    let current = memo(move || {
        store.document.with(|document| here.get(document).and_then(|value| kind_of(shape, value)))
    });
    let fields_path = path.clone();
    let fields = part(move || {
        current.get().and_then(|kind| body_of(shape, &kind)).map(|body| match body {
            Body::Fields(spec) => object_form(spec, &fields_path, &[]),
            Body::Field(field) => field_form(field, &fields_path.key(field.key)),
            Body::Shape(shape) => shape_form(shape, &fields_path, false),
        })
    });
    let choose = {
        let path = path.clone();
        move |word: String| switch_kind(store, shape, &path, &word)
    };
    view! {
        <label class="field">
            <span class="label">{label}</span>
            <select
                prop:value=text(move || current.get().unwrap_or_default())
                on:change=on(move |event| choose(event_target_value(&event)))
            >
                {(may_be_absent || matches!(shape, Shape::FixedOr(_)))
                    .then(|| view! { <option value="">"not entered"</option> })}
                {kinds
                    .into_iter()
                    .map(|(word, label)| {
                        let selected = flag(move || current.get().as_deref() == Some(word));
                        view! { <option value=word selected=selected>{label}</option> }
                    })
                    .collect_view()}
            </select>
        </label>
        {fields}
    }
    .into_any()
}

/// What a kind brings with it.
enum Body {
    Fields(&'static ObjectSpec),
    Field(&'static FieldSpec),
    Shape(&'static Shape),
}

/// Words and names of the kinds of a shape.
fn kinds_of(shape: &'static Shape) -> Vec<(&'static str, &'static str)> {
    match shape {
        Shape::Tagged { kinds, .. } => kinds.iter().map(|kind| (kind.0, kind.1)).collect(),
        Shape::OneOf(fields) => fields.iter().map(|field| (field.key, field.label)).collect(),
        Shape::FixedOr(other) => {
            let mut kinds = vec![("fixed", "fixed to the lower die")];
            kinds.extend(kinds_of(other));
            kinds
        }
        _ => Vec::new(),
    }
}

/// The word of the kind that stands there.
fn kind_of(shape: &Shape, value: &Value) -> Option<String> {
    match shape {
        Shape::Tagged { tag, .. } => value.get(tag)?.as_str().map(str::to_owned),
        Shape::OneOf(_) => value.as_object()?.keys().next().cloned(),
        Shape::FixedOr(other) => match value.as_str() {
            Some(word) => Some(word.to_owned()),
            None => kind_of(other, value),
        },
        _ => None,
    }
}

fn body_of(shape: &'static Shape, word: &str) -> Option<Body> {
    match shape {
        Shape::Tagged { kinds, .. } => {
            let (_, _, body) = kinds.iter().find(|kind| kind.0 == word)?;
            Some(match body {
                Shape::Object(spec) => Body::Fields(spec),
                other => Body::Shape(other),
            })
        }
        Shape::OneOf(fields) => {
            let field = fields.iter().find(|field| field.key == word)?;
            Some(Body::Field(field))
        }
        Shape::FixedOr(other) => body_of(other, word),
        _ => None,
    }
}

fn text_field(field: &'static FieldSpec, longest: usize, path: Path) -> impl IntoView {
    let store = expect_context::<Store>();
    let here = path.clone();
    let value = text(move || {
        store.document.with(|document| {
            here.get(document).and_then(Value::as_str).unwrap_or_default().to_owned()
        })
    });
    let change = move |text: String| {
        if text.is_empty() {
            store.remove(&path);
        } else {
            store.set(&path, text.into());
        }
    };
    let typed = on(move |event| change(event_target_value(&event)));
    // What may run over several lines gets several.
    let input = if longest > ONE_LINE {
        view! {
            <textarea rows="4" maxlength=longest.to_string() prop:value=value on:input=typed></textarea>
        }
        .into_any()
    } else {
        view! { <input type="text" maxlength=longest.to_string() prop:value=value on:input=typed /> }
            .into_any()
    };
    view! {
        <label class="field wide">
            <span class="label">{field.label}</span>
            {input}
            <small class="about">{field.about}</small>
        </label>
    }
}

/// What the reader says about a place, if anything.
fn refusal_at(store: Store, path: &Path) -> Memo<Option<String>> {
    let path = path.to_string();
    memo(move || {
        store.outcome.with(|outcome| {
            let refused = outcome.as_ref().err()?;
            let refusal = refused.0.iter().find(|refusal| refusal.path == path)?;
            Some(format!("{}, given {}", refusal.allowed, refusal.given))
        })
    })
}
