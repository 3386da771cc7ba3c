//! Fields with a few choices, and objects whose fields depend on one.

use super::{
    frame::{described_by, framed},
    kinds_of,
    start::{companions, start, start_in},
};
use crate::{
    erased::{flag, memo, on, text},
    path::Path,
    store::Store,
};
use evenstroke_job::spec::{FieldSpec, Shape};
use evenstroke_language::tr;
use leptos::prelude::*;
use serde_json::{Map, Value};

/// One of a few values.
#[derive(Clone)]
pub struct Choice {
    word: String,
    label: String,
    value: Value,
}

impl Choice {
    /// The word that tells it apart, what the page calls it, what the file holds.
    pub fn new(word: impl Into<String>, label: impl Into<String>, value: Value) -> Self {
        Self { word: word.into(), label: label.into(), value }
    }
}

/// A field with a few choices.
pub fn choice_field(field: &'static FieldSpec, choices: Vec<Choice>, path: Path) -> AnyView {
    let store = expect_context::<Store>();
    let current = {
        let (path, choices) = (path.clone(), choices.clone());
        memo(move || {
            store.document.with(|document| {
                let value = path.get(document)?;
                choices.iter().find(|choice| same(&choice.value, value)).map(|c| c.word.clone())
            })
        })
    };
    let choose = {
        let (choices, path) = (choices.clone(), path.clone());
        move |word: String| match choices.iter().find(|choice| choice.word == word) {
            Some(choice) => put(store, &path, choice.value.clone()),
            None => store.remove(&path),
        }
    };
    let input = view! {
        <label class="number">
            <span class="label">{tr(field.label)}</span>
            <select
                aria-describedby=described_by(&path)
                prop:value=text(move || current.get().unwrap_or_default())
                on:change=on(move |event| choose(event_target_value(&event)))
            >
                {(!field.required).then(|| view! { <option value="">{tr("not entered")}</option> })}
                {choices
                    .into_iter()
                    .map(|choice| {
                        let word = choice.word.clone();
                        let selected = flag(move || current.get().as_ref() == Some(&word));
                        view! { <option value=choice.word selected=selected>{choice.label}</option> }
                    })
                    .collect_view()}
            </select>
        </label>
    }
    .into_any();
    framed(field, &path, "", input, ().into_any())
}

/// Puts a choice in place, with starting values for the fields that it cannot do without.
fn put(store: Store, path: &Path, value: Value) {
    store.edit(&path.to_string(), |document| {
        path.set(document, value);
        let Some((parent, "kind")) = path.split() else { return };
        let missing =
            parent.get(document).map(|work| companions(document, work)).unwrap_or_default();
        if let Some(Value::Object(work)) = parent.get_mut(document) {
            work.extend(missing);
        }
    });
}

/// Whether two values are the same choice; 90 and 90.0 are.
fn same(a: &Value, b: &Value) -> bool {
    a == b || a.as_f64().zip(b.as_f64()).is_some_and(|(a, b)| a == b)
}

/// Puts another kind in place: its starting values, and of the old ones those that it knows too.
pub fn switch_kind(store: Store, shape: &'static Shape, path: &Path, word: &str) {
    if word.is_empty() {
        return store.remove(path);
    }
    match shape {
        Shape::FixedOr(_) if word == "fixed" => store.set(path, word.into()),
        Shape::FixedOr(other) => switch_kind(store, other, path, word),
        Shape::OneOf(_) => store.set(path, start("outline", word)),
        Shape::Tagged { tag, .. } if kinds_of(shape).iter().any(|kind| kind.0 == word) => {
            let begin = store.document.with_untracked(|document| start_in(document, tag, word));
            let mut new = match begin {
                Value::Object(object) => object,
                _ => Map::new(),
            };
            let known = fields_of(shape, word);
            store.edit(&path.to_string(), |document| {
                if let Some(Value::Object(old)) = path.get(document) {
                    for (key, value) in old {
                        let is_tag = key == tag || (*tag == "op" && key == "kind");
                        if !is_tag && known.contains(&key.as_str()) {
                            new.insert(key.clone(), value.clone());
                        }
                        // The tag of an outer kind stays: a gas spring is still a spring.
                        if *tag == "kind" && key == "op" {
                            new.insert(key.clone(), value.clone());
                        }
                    }
                }
                path.set(document, Value::Object(new));
            });
        }
        _ => {}
    }
}

/// Names of the fields that a kind has.
fn fields_of(shape: &'static Shape, word: &str) -> Vec<&'static str> {
    match shape {
        Shape::Tagged { kinds, .. } => kinds
            .iter()
            .filter(|kind| kind.0 == word)
            .flat_map(|(_, _, body)| match body {
                Shape::Object(spec) => spec.fields.iter().map(|field| field.key).collect(),
                _ => Vec::new(),
            })
            .collect(),
        _ => Vec::new(),
    }
}
