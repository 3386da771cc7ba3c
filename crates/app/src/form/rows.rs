//! Lists of numbers as lines of text, so that a table can be pasted in one go.

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
    entry::{RowError, read_row},
    spec::{FieldSpec, Shape, Unit},
    units::UnitSystem,
};
use evenstroke_language::{decimal, say, tr};
use leptos::prelude::*;
use serde_json::{Map, Value};

/// The columns of a list whose items are pairs, numbers or small objects.
fn columns(item: &'static Shape) -> Vec<(Option<&'static str>, &'static str, Unit)> {
    match item {
        Shape::Pair(spec) => vec![(None, tr("right"), spec.unit), (None, tr("back"), spec.unit)],
        Shape::Number(spec) => vec![(None, tr("value"), spec.unit)],
        Shape::Object(spec) => spec
            .fields
            .iter()
            .filter_map(|field| match &field.shape {
                Shape::Number(number) => Some((Some(field.key), tr(field.label), number.unit)),
                _ => None,
            })
            .collect(),
        _ => Vec::new(),
    }
}

/// A list as one line of text an item.
pub fn rows_field(field: &'static FieldSpec, item: &'static Shape, path: Path) -> AnyView {
    let store = expect_context::<Store>();
    let columns = columns(item);
    if columns.is_empty() {
        return ().into_any();
    }
    let here = path.clone();
    let value = memo(move || {
        store.document.with(|document| here.get(document).cloned().unwrap_or(Value::Null))
    });
    let refusal = refusal_at(store, tr(field.label), &path);
    let text = RwSignal::new(untrack(|| show(&columns, &value.get(), store.units.get())));
    let error = RwSignal::new(None::<String>);
    {
        let columns = columns.clone();
        effect(move || {
            let (value, units) = (value.get(), store.units.get());
            let typed = read(&columns, item, &text.get_untracked(), units);
            // What was just typed already says the same and stays as typed.
            if !typed.is_ok_and(|typed| near(&typed, &value)) {
                text.set(show(&columns, &value, units));
                error.set(None);
            }
        });
    }
    let heading = {
        let columns = columns.clone();
        move || {
            let units = store.units.get();
            let names: Vec<String> = columns
                .iter()
                .map(|(_, label, unit)| {
                    let symbol = units.symbol(*unit);
                    if symbol.is_empty() {
                        (*label).to_owned()
                    } else {
                        format!("{label}, {symbol}")
                    }
                })
                .collect();
            names.join("  ·  ")
        }
    };
    let required = field.required;
    let (described, error_id) = (described_by(&path), format!("{path}~error"));
    let frame = path.clone();
    let typed = move |raw: String| {
        let units = store.units.get_untracked();
        let list = read(&columns, item, &raw, units);
        text.set(raw);
        match list {
            Ok(Value::Array(items)) if items.is_empty() && !required => {
                error.set(None);
                store.remove(&path);
            }
            Ok(list) => {
                error.set(None);
                store.set(&path, list);
            }
            Err(message) => error.set(Some(message)),
        }
    };
    let message = move || error.get().or_else(|| refusal.get());
    let input = view! {
        <label class="number">
            <span class="label">{tr(field.label)}</span>
            <small class="columns">{text_of(heading)}</small>
            <textarea
                rows="5"
                spellcheck="false"
                prop:value=text_of(move || text.get())
                aria-invalid=text_of(move || message().is_some().to_string())
                aria-describedby=described
                on:input=on(move |event| typed(event_target_value(&event)))
            ></textarea>
        </label>
    }
    .into_any();
    let said = part(move || {
        let id = error_id.clone();
        message().map(|message| view! { <span class="error" id=id role="alert">{message}</span> })
    });
    framed(field, &frame, "wide", input, said.into_any())
}

type Columns = [(Option<&'static str>, &'static str, Unit)];

fn show(columns: &Columns, value: &Value, units: UnitSystem) -> String {
    let Some(items) = value.as_array() else { return String::new() };
    let number = |value: &Value, unit: Unit| {
        value.as_f64().map_or_else(String::new, |number| {
            let number = units.to_screen(number, unit);
            let rounded = (number * 1e6).round() / 1e6;
            decimal(rounded.to_string())
        })
    };
    let lines: Vec<String> = items
        .iter()
        .map(|item| {
            let cells: Vec<String> = columns
                .iter()
                .enumerate()
                .map(|(index, (key, _, unit))| match key {
                    Some(key) => number(&item[*key], *unit),
                    None if item.is_array() => number(&item[index], *unit),
                    None => number(item, *unit),
                })
                .collect();
            cells.join("  ")
        })
        .collect();
    lines.join("\n")
}

/// One item a line; its cells take what a field of their own does.
fn read(columns: &Columns, item: &Shape, text: &str, units: UnitSystem) -> Result<Value, String> {
    let mut items = Vec::new();
    let kinds: Vec<Unit> = columns.iter().map(|column| column.2).collect();
    for (index, line) in text.lines().enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        let cells = read_row(line, &kinds, units).map_err(|error| {
            let (line, count) = (index + 1, columns.len());
            match error {
                RowError::Count if count == 1 => say!("line {} must hold one number", line),
                RowError::Count => {
                    say!("line {} must hold {} numbers apart by spaces or “;”", line, count)
                }
                RowError::TwoWays => say!(
                    "line {} can be read in two ways: put “;” between its {} numbers",
                    line,
                    count
                ),
                RowError::Cell(at, given, error) => {
                    say!("line {}, {}: {}, given “{}”", line, columns[at].1, error, given)
                }
            }
        })?;
        let cells: Vec<Value> = cells.into_iter().map(Value::from).collect();
        items.push(match item {
            Shape::Pair(_) => Value::Array(cells),
            Shape::Object(_) => {
                let mut object = Map::new();
                for (cell, (key, _, _)) in cells.into_iter().zip(columns) {
                    object.insert(key.unwrap_or_default().to_owned(), cell);
                }
                Value::Object(object)
            }
            _ => cells.into_iter().next().unwrap_or(Value::Null),
        });
    }
    Ok(Value::Array(items))
}

/// Whether two lists hold the same numbers, but for rounding by a change of units.
fn near(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| near(a, b))
        }
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len() && a.iter().all(|(key, a)| b.get(key).is_some_and(|b| near(a, b)))
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap_or(0.0), b.as_f64().unwrap_or(0.0));
            (a - b).abs() <= 1e-5 * b.abs().max(1e-3)
        }
        (Value::Array(a), Value::Null) => a.is_empty(),
        _ => a == b,
    }
}
