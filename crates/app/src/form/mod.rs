//! Forms built on the description of the job file: every field of the file can be edited, with its
//! unit, range and meaning from one place.

mod choice;
mod entries;
mod frame;
mod number;
mod order;
mod origin;
mod rows;
mod start;
mod summary;

pub use entries::{add_entry, entries_form};
pub use frame::{Fold, Forms, group, words_at};
pub use number::{Asked, parse as parse_number};
pub use order::{Towards, duplicate_station, duplicate_work, move_station, move_work};
pub use start::{new_station, new_work};

use crate::{
    erased::{flag, memo, on, part, text},
    path::Path,
    pictures,
    store::Store,
};
use choice::{Choice, choice_field, switch_kind};
use evenstroke_job::{
    cards::FieldPlace,
    day::{Day, is_time},
    spec::{self, FieldSpec, ObjectSpec, Shape},
};
use evenstroke_language::{say, tr};
use frame::{described_by, framed};
use leptos::{prelude::*, web_sys};
use number::{number_field, range_field, whole_field};
use serde_json::Value;
use summary::summary_of;
use wasm_bindgen::JsCast;

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
pub fn field_form(field: &'static FieldSpec, path: &Path) -> AnyView {
    match &field.shape {
        Shape::Number(spec) => number_field(field, *spec, path.clone()),
        Shape::NumberOrRange(spec) => range_field(field, *spec, path.clone()),
        Shape::Whole { min, max } => whole_field(field, *min, *max, path.clone()),
        Shape::WholeOf(numbers) => {
            let choices = numbers
                .iter()
                .filter(|number| (0..360).contains(*number))
                .map(|number| Choice::new(number.to_string(), number.to_string(), (*number).into()))
                .collect();
            choice_field(field, choices, path.clone())
        }
        Shape::Text { .. } => text_field(field, "text", path.clone()),
        Shape::Date => text_field(field, "date", path.clone()),
        Shape::Time => text_field(field, "time", path.clone()),
        Shape::Choice(words) => {
            let choices = words
                .iter()
                .map(|(word, label)| Choice::new(*word, tr(label), (*word).into()))
                .collect();
            choice_field(field, choices, path.clone())
        }
        Shape::Flag => {
            let choices = vec![
                Choice::new("true", tr("yes"), true.into()),
                Choice::new("false", tr("no"), false.into()),
            ];
            choice_field(field, choices, path.clone())
        }
        Shape::Object(spec) => group_of(field, path, object_form(spec, path, &[])),
        Shape::List { item, .. } => rows::rows_field(field, item, path.clone()),
        Shape::Tagged { .. } | Shape::OneOf(_) | Shape::FixedOr(_) => {
            group_of(field, path, shape_form(&field.shape, path, !field.required))
        }
        Shape::Image { .. } => picture_of(path),
        Shape::Pair(_) | Shape::Exactly(_) => ().into_any(),
    }
}

/// The field at a place, for a view that asks for it beside what hangs on it.
pub fn field_at((section, key): FieldPlace) -> AnyView {
    let field = fields_of(section).iter().find(|field| field.key == key);
    field.map(|field| field_form(field, &Path::root().key(section).key(field.key))).into_any()
}

/// The fields of an object of the job.
pub fn fields_of(section: &str) -> &'static [FieldSpec] {
    match spec::JOB.fields.iter().find(|field| field.key == section).map(|field| &field.shape) {
        Some(Shape::Object(spec)) => spec.fields,
        _ => &[],
    }
}

/// The fields of an object in sections, all but the first folded on a phone; a field that no
/// section names stands in the last one.
pub fn sectioned_form(
    spec: &'static ObjectSpec,
    path: &Path,
    sections: &[(&'static str, &[&str])],
) -> AnyView {
    let store = expect_context::<Store>();
    let named = |key: &str| sections.iter().position(|(_, keys)| keys.contains(&key));
    let last = sections.len().saturating_sub(1);
    sections
        .iter()
        .enumerate()
        .map(|(index, (label, _))| {
            let fields: Vec<&'static FieldSpec> = spec
                .fields
                .iter()
                .filter(|field| named(field.key).unwrap_or(last) == index)
                .collect();
            let forms =
                fields.iter().map(|field| field_form(field, &path.key(field.key))).collect_view();
            let key = format!("{path}#{index}");
            let path = path.clone();
            let words = move || {
                let units = store.units.get();
                store.document.with(|document| {
                    summary_of(&fields, path.get(document).unwrap_or(&Value::Null), units)
                })
            };
            let fold = if index == 0 { Fold::Open } else { Fold::OnPhone };
            group(tr(label).to_owned(), "", key, fold, Box::new(words), forms.into_any())
        })
        .collect_view()
        .into_any()
}

/// Fields under the heading of the one that holds them; what holds nothing is folded on a phone.
fn group_of(field: &'static FieldSpec, path: &Path, fields: AnyView) -> AnyView {
    let store = expect_context::<Store>();
    let words = words_at(&field.shape, path);
    let is_empty = store.document.with_untracked(|document| path.get(document).is_none());
    let fold = if is_empty { Fold::OnPhone } else { Fold::Open };
    group(tr(field.label).to_owned(), tr(field.about), path.to_string(), fold, words, fields)
}

/// What stands at a place whose fields depend on a kind: the choice of kind, and its fields.
pub fn shape_form(shape: &'static Shape, path: &Path, may_be_absent: bool) -> AnyView {
    let store = expect_context::<Store>();
    let kinds = kinds_of(shape);
    let label = match shape {
        Shape::Tagged { label, .. } => tr(label),
        _ => tr("Kind"),
    };
    let here = path.clone();
    let current = memo(move || {
        store.document.with(|document| here.get(document).and_then(|value| kind_of(shape, value)))
    });
    // What cannot be left out and is not there yet: nothing is worked out before it is chosen. Of an
    // object that is not there at all, such as the press, nothing is asked for.
    let parent = path.split().map(|(parent, _)| parent);
    let asks = {
        let parent_is_there = memo(move || {
            store
                .document
                .with(|document| parent.as_ref().is_some_and(|p| p.get(document).is_some()))
        });
        let is_optional = may_be_absent || matches!(shape, Shape::FixedOr(_));
        move || !is_optional && current.get().is_none() && parent_is_there.get()
    };
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
        <label class="field number">
            <span class="label">{label}</span>
            <select
                prop:value=text(move || current.get().unwrap_or_default())
                on:change=on(move |event| choose(event_target_value(&event)))
            >
                {(may_be_absent || matches!(shape, Shape::FixedOr(_)))
                    .then(|| view! { <option value="">{tr("not entered")}</option> })}
                {part(move || asks().then(|| view! { <option value="" selected=true>{tr("choose …")}</option> }))}
                {kinds
                    .into_iter()
                    .map(|(word, label)| {
                        let selected = flag(move || current.get().as_deref() == Some(word));
                        view! { <option value=word selected=selected>{label}</option> }
                    })
                    .collect_view()}
            </select>
            {part(move || asks().then(|| view! { <span class="error">{say!("{}: to be chosen", label)}</span> }))}
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
        Shape::Tagged { kinds, .. } => kinds.iter().map(|kind| (kind.0, tr(kind.1))).collect(),
        Shape::OneOf(fields) => fields.iter().map(|field| (field.key, tr(field.label))).collect(),
        Shape::FixedOr(other) => {
            let mut kinds = vec![("fixed", tr("fixed to the lower die"))];
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

/// Text, or a day or time of day by what the browser has to choose it.
fn text_field(field: &'static FieldSpec, kind: &'static str, path: Path) -> AnyView {
    let store = expect_context::<Store>();
    let here = path.clone();
    let word = move |document: &Value| {
        here.get(document).and_then(Value::as_str).unwrap_or_default().to_owned()
    };
    let stored = word.clone();
    let value = text(move || store.document.with(|document| word(document)));
    let at = path.clone();
    let typed = on(move |event| {
        let text = event_target_value(&event);
        // A day that is not whole yet is not taken.
        let is_whole = match kind {
            "date" => Day::read(&text).is_some(),
            "time" => is_time(&text),
            _ => true,
        };
        if text.is_empty() {
            if !field.required {
                store.remove(&at);
            }
        } else if is_whole {
            store.set(&at, text.into());
        }
    });
    let longest = match field.shape {
        Shape::Text { longest } => longest,
        _ => 10,
    };
    let described = described_by(&path);
    // What may run over several lines gets several.
    let input = if longest > ONE_LINE {
        view! {
            <textarea rows="4" maxlength=longest.to_string() aria-describedby=described prop:value=value on:input=typed></textarea>
        }
        .into_any()
    } else {
        // What was left half typed gives way to what is kept.
        let left = on(move |event: web_sys::FocusEvent| {
            let input = event.target().and_then(|target| target.dyn_into().ok());
            let kept = store.document.with_untracked(|document| stored(document));
            input.inspect(|input: &web_sys::HtmlInputElement| input.set_value(&kept));
        });
        view! { <input type=kind maxlength=longest.to_string() aria-describedby=described prop:value=value on:input=typed on:blur=left /> }
            .into_any()
    };
    let input = view! {
        <label class="number">
            <span class="label">{tr(field.label)}</span>
            {input}
        </label>
    }
    .into_any();
    let class = if kind == "text" { "wide" } else { "" };
    framed(field, &path, class, input, ().into_any())
}

/// The picture at a place.
fn picture_of(path: &Path) -> AnyView {
    let store = expect_context::<Store>();
    let path = path.clone();
    let address = text(move || {
        let stand_in = store.document.with(|document| {
            path.get(document).and_then(Value::as_str).unwrap_or_default().to_owned()
        });
        pictures::picture(&stand_in).unwrap_or_default()
    });
    view! { <img class="photo" alt=tr("Photo, described by the fields beside it") src=address /> }
        .into_any()
}

/// What the reader says about a place, if anything.
fn refusal_at(store: Store, label: &'static str, path: &Path) -> Memo<Option<String>> {
    let path = path.to_string();
    memo(move || {
        store.outcome.with(|outcome| {
            let refused = outcome.as_ref().err()?;
            let refusal = refused.0.iter().find(|refusal| refusal.path == path)?;
            Some(say!("{}: {}, given {}", label, refusal.allowed, refusal.given))
        })
    })
}
