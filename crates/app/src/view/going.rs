//! Work beside the page as it is shown: how far it has come, and a button that ends it.

use super::button;
use crate::{
    beside::{self, Task},
    erased::{flag, on, part, text},
};
use evenstroke_language::{say, tr};
use leptos::prelude::*;
use serde_json::Value;
use std::{sync::Arc, time::Duration};
use wasm_bindgen::JsValue;

/// Work that goes on, or what became of it.
#[derive(Clone, Copy)]
pub struct Going {
    said: RwSignal<String>,
    share: RwSignal<f64>,
    /// Whether it goes on.
    pub on: RwSignal<bool>,
    task: StoredValue<Option<Task>, LocalStorage>,
}

impl Going {
    /// Nothing going on.
    pub fn new() -> Self {
        Self {
            said: RwSignal::new(String::new()),
            share: RwSignal::new(0.0),
            on: RwSignal::new(false),
            task: StoredValue::new_local(None),
        }
    }

    /// Says something where the work is shown.
    pub fn say(self, words: String) {
        self.said.set(words);
    }

    /// Begins a task in place of the one that goes on, and does something with its answer.
    pub fn begin(self, task: &str, input: &JsValue, then: Box<dyn FnOnce(Value)>) {
        self.said.set(tr("Beginning …").to_owned());
        self.share.set(0.0);
        self.on.set(true);
        let hears = move |words: String, share: f64| {
            // What is no longer shown hears nothing more.
            if self.on.try_get_untracked() == Some(true) {
                self.said.set(words + " …");
                self.share.set(share);
            }
        };
        let done = move |answer: Result<Value, String>| {
            if self.on.try_get_untracked() != Some(true) {
                return;
            }
            self.on.set(false);
            match answer {
                Ok(value) => {
                    self.said.set(String::new());
                    then(value);
                }
                Err(reason) => self.said.set(say!("This could not be worked out: {}.", reason)),
            }
        };
        let task = beside::begin_json(task, input, Box::new(hears), Box::new(done));
        self.task.set_value(Some(task));
    }

    /// Ends the work.
    pub fn stop(self, words: &str) {
        self.task.set_value(None);
        self.on.set(false);
        self.said.set(words.to_owned());
    }

    /// How far it has come, and Cancel.
    pub fn view(self) -> AnyView {
        let bar = move || {
            self.on.get().then(|| {
                let value = text(move || format!("{:.3}", self.share.get()));
                let cancel = on(move |_| self.stop(tr("Cancelled. Nothing was changed.")));
                view! {
                    <progress aria-label=tr("How far the work has come") max="1" value=value></progress>
                    {button(tr("Cancel"), "", flag(|| false), cancel)}
                }
            })
        };
        view! {
            <div class="going">
                <p role="status">{text(move || self.said.get())}</p>
                {part(bar)}
            </div>
        }
        .into_any()
    }
}

/// Makes a part of a long list.
pub type Piece = Arc<dyn Fn(usize) -> AnyView + Send + Sync>;

/// A long list, some parts of it at a time, so that the page does not stand still while it is made.
pub fn by_and_by(count: usize, at_once: usize, piece: Piece) -> AnyView {
    let shown = RwSignal::new(0_usize);
    more(shown, count, at_once.max(1));
    view! {
        <For each=move || 0..shown.get() key=|index| *index children=move |index| piece(index) />
    }
    .into_any()
}

fn more(shown: RwSignal<usize>, count: usize, at_once: usize) {
    if let Some(now) = shown.try_get_untracked()
        && now < count
    {
        shown.set(count.min(now + at_once));
        set_timeout(move || more(shown, count, at_once), Duration::ZERO);
    }
}
