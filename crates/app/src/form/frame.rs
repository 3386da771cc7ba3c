//! What stands around an input: its help, what it takes, where its value came from, and groups of
//! fields that fold.

use super::{origin::origin, summary::summary};
use crate::{
    browser,
    erased::{flag, memo, on, part, text},
    path::Path,
    store::Store,
    view::button,
};
use evenstroke_job::{
    entry::{range_words, units_of},
    sketch::VIEW_BOX,
    spec::{FieldSpec, NumberSpec, Shape},
};
use evenstroke_language::{say, tr};
use leptos::{prelude::*, web_sys};
use serde_json::Value;
use wasm_bindgen::JsCast;

/// What the forms of a page share: which help is open, and which groups were folded or unfolded.
#[derive(Clone, Copy)]
pub struct Forms {
    /// Place of the field whose help is open; empty where none is.
    help: RwSignal<String>,
    /// Groups that somebody folded or unfolded: a line each, `-` or `+` and its place.
    turned: RwSignal<String>,
    /// Whether the window is as narrow as a phone.
    phone: ReadSignal<bool>,
}

impl Forms {
    /// No help open, and all groups as they begin.
    pub fn new() -> Self {
        Self {
            help: RwSignal::new(String::new()),
            turned: RwSignal::new(String::new()),
            phone: browser::media("(max-width: 699px)"),
        }
    }

    /// Closes the help that is open, on Escape.
    pub fn escape(self, event: &web_sys::KeyboardEvent) {
        let id = self.help.get_untracked();
        // A dialog above takes the key for itself.
        let dialog = document().query_selector("dialog[open]").ok().flatten();
        if event.key() == "Escape" && !id.is_empty() && dialog.is_none() {
            self.close(&id);
        }
    }

    /// Closes the help of a field and gives the focus back to its button.
    fn close(self, id: &str) {
        self.help.set(String::new());
        browser::focus(&button_id(id));
    }

    fn is_open(self, key: &str, otherwise: bool) -> bool {
        self.turned.with_untracked(|turned| {
            turned
                .lines()
                // Each begins with its sign, and no place holds the end of a line.
                .find(|line| line[1..] == *key)
                .map_or(otherwise, |line| line.starts_with('+'))
        })
    }

    fn turn(self, key: &str, open: bool) {
        self.turned.update_untracked(|turned| {
            let sign = if open { '+' } else { '-' };
            let others = turned.lines().filter(|line| line[1..] != *key);
            *turned = others.fold(format!("{sign}{key}"), |lines, line| lines + "\n" + line);
        });
    }
}

fn button_id(id: &str) -> String {
    format!("{id}~help")
}

/// The ids of what is said about the input at a place: what is wrong, what was understood, what it
/// takes.
pub fn described_by(path: &Path) -> String {
    format!("{path}~error {path}~understood {path}~takes")
}

/// An input with its help beside it and, below, what is said about it.
pub fn framed(
    field: &'static FieldSpec,
    path: &Path,
    class: &'static str,
    input: AnyView,
    said: AnyView,
) -> AnyView {
    let store = expect_context::<Store>();
    let forms = store.forms;
    let id = path.to_string();
    let takes = {
        let path = path.clone();
        text(move || {
            let range = match &field.shape {
                Shape::Number(spec) | Shape::NumberOrRange(spec) => range_of(store, spec),
                Shape::Whole { min, max } => say!("whole, from {} to {}", min, max),
                _ => String::new(),
            };
            let note = store.document.with(|document| match path.get(document) {
                Some(_) => origin(document, &path),
                None => field.if_empty().map(str::to_owned),
            });
            match (range.is_empty(), note) {
                (false, Some(note)) => format!("{range} · {note}"),
                (true, Some(note)) => note,
                (_, None) => range,
            }
        })
    };
    let is_open = {
        let id = id.clone();
        memo(move || forms.help.with(|open| *open == id))
    };
    let toggle = {
        let id = id.clone();
        move |_| {
            forms.help.set(if is_open.get_untracked() { String::new() } else { id.clone() });
        }
    };
    let panel_id = format!("{id}~panel");
    let takes_id = format!("{id}~takes");
    let panel = {
        let (id, panel_id) = (id.clone(), panel_id.clone());
        part(move || is_open.get().then(|| help(field, store, forms, &id, &panel_id)))
    };
    view! {
        <div class=format!("field framed {class}")>
            {input}
            <button
                type="button"
                class="button help-button"
                id=button_id(&id)
                aria-label=say!("Help on {}", tr(field.label))
                aria-expanded=text(move || is_open.get().to_string())
                aria-controls=panel_id
                on:click=on(toggle)
            >
                <span aria-hidden="true">"?"</span>
            </button>
            {said}
            <small class="about" id=takes_id>{takes}</small>
        </div>
        {panel}
    }
    .into_any()
}

fn range_of(store: Store, spec: &NumberSpec) -> String {
    range_words(spec, store.units.get())
}

/// The help of a field: below it, so that it covers nothing.
fn help(
    field: &'static FieldSpec,
    store: Store,
    forms: Forms,
    id: &str,
    panel_id: &str,
) -> AnyView {
    let id = id.to_owned();
    let units = match &field.shape {
        Shape::Number(spec) | Shape::NumberOrRange(spec) => units_of(spec.unit),
        _ => String::new(),
    };
    let takes = move || match &field.shape {
        Shape::Number(spec) => range_of(store, spec),
        Shape::NumberOrRange(spec) => {
            say!("{}, or a range of two such numbers", range_of(store, spec))
        }
        _ => String::new(),
    };
    let numbers = (!units.is_empty()).then(|| {
        view! {
            <p>{text(move || say!("Takes numbers {}.", takes()))}</p>
            <p>{say!("Units: {}. Fractions and sums too, such as 1 1/2 or 2 x 30 + 0.5.", units)}</p>
        }
    });
    let sketch = field.sketch.map(|sketch| {
        view! {
            <svg class="sketch" viewBox=VIEW_BOX role="img" aria-label=sketch.title() inner_html=sketch.svg()></svg>
        }
    });
    view! {
        <div class="help" id=panel_id.to_owned() role="note" aria-label=say!("Help: {}", tr(field.label))>
            <div class="help-words">
                <p><strong>{tr(field.label)}</strong> " " {tr(field.about)}</p>
                {numbers}
                {button(tr("Close help"), "", flag(|| false), on(move |_| forms.close(&id)))}
            </div>
            {sketch}
        </div>
    }
    .into_any()
}

/// How a group of fields begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fold {
    /// Unfolded.
    Open,
    /// Folded on a phone, where a long card would be scrolled without end.
    OnPhone,
    /// Folded everywhere: one of many entries.
    Folded,
}

/// A group of fields that folds, with what is in it in one line. `key` tells it apart from others;
/// how somebody left it is remembered for as long as the page is open.
pub fn group(
    label: String,
    about: &'static str,
    key: String,
    fold: Fold,
    words: Box<dyn Fn() -> String + Send + Sync>,
    fields: AnyView,
) -> AnyView {
    let forms = expect_context::<Store>().forms;
    let folds = match fold {
        Fold::Open => false,
        Fold::OnPhone => forms.phone.get_untracked(),
        Fold::Folded => true,
    };
    let open = forms.is_open(&key, !folds);
    let toggled = move |event: web_sys::Event| {
        let open = event
            .target()
            .and_then(|target| target.dyn_into::<web_sys::Element>().ok())
            .is_some_and(|details| details.has_attribute("open"));
        forms.turn(&key, open);
    };
    let name = label.clone();
    view! {
        <details class="group" aria-label=name open=open on:toggle=on(toggled)>
            <summary>
                <span class="group-name">{label}</span>
                <span class="card-summary">{text(words)}</span>
            </summary>
            {(!about.is_empty()).then(|| view! { <p class="about">{about}</p> })}
            <div class="fields">{fields}</div>
        </details>
    }
    .into_any()
}

/// What stands at a place, in a line.
pub fn words_at(shape: &'static Shape, path: &Path) -> Box<dyn Fn() -> String + Send + Sync> {
    let store = expect_context::<Store>();
    let path = path.clone();
    Box::new(move || {
        let units = store.units.get();
        store
            .document
            .with(|document| summary(shape, path.get(document).unwrap_or(&Value::Null), units))
    })
}
