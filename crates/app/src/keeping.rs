//! What this browser keeps of the jobs, by `www/store.js`, and how the page hears of it.
//!
//! The script does the work: it is small where a crate would be large, and it goes on keeping the
//! job where the program has stopped. Between the two go texts and a number for each open job.

use crate::store::{Shared, Store};
use evenstroke_language::{retell, tr};
use leptos::{prelude::*, task::spawn_local};
use serde_json::Value;
use wasm_bindgen::{JsCast, JsValue, prelude::Closure};
use wasm_bindgen_futures::JsFuture;

/// Which open job a document belongs to. Every opening gives a new one.
pub type Handle = u32;

/// How the job in view is kept.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum State {
    /// Nothing was changed that could be lost.
    #[default]
    AsOpened,
    /// Changed and not kept yet.
    Edited,
    /// Written to this browser's storage and read back.
    Kept,
    /// Given to the user as a file with exactly this content.
    Handed,
    /// This browser could not keep it; why.
    NotKept(String),
}

/// What the page shows of keeping.
#[derive(Clone, Copy)]
pub struct Keeping {
    /// How the job in view is kept.
    pub state: RwSignal<State>,
    /// What there is to tell, oldest first: a `text`, and as `offer` the kept job that can be opened
    /// in answer, if any.
    pub notices: RwSignal<Shared<Value>>,
}

/// Where the text of a job comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// A file of the user's.
    File,
    /// A demo that the user chose.
    Demo,
    /// The first demo, where nothing else could be opened.
    Spare,
}

/// The job to start with: that of the page, or the one that was open last.
pub fn first() -> Option<(Handle, String)> {
    taken(&field(&script()?, "first").as_string()?)
}

/// The handle for a job that was not kept before.
pub fn begin(text: &str, origin: Origin) -> Handle {
    let from = match origin {
        Origin::File => "file",
        Origin::Demo => "demo",
        Origin::Spare => "spare",
    };
    call("begin", &[text.into(), from.into()])
        .and_then(|handle| handle.as_f64())
        .unwrap_or_default() as Handle
}

/// Tells what the job in view is now. The script has the text before anything is worked out from
/// it, so that it is there even if that fails.
pub fn changed(handle: Handle, document: &Value) {
    call("changed", &[handle.into(), text_of(document).into()]);
}

/// Tells that the user was given the job as a file.
pub fn handed(handle: Handle, text: &str) {
    call("handed", &[handle.into(), text.into()]);
}

/// Shows a sentence among the notices.
pub fn tell(sentence: &str) {
    call("tellNotice", &[sentence.into()]);
}

/// Tells that the program has stopped, with a report of why.
pub fn stopped(report: &str) {
    call("stopped", &[report.into()]);
}

/// The text of a job file: that of `to_string_pretty`, by code that refusals already bring along.
pub fn text_of(document: &Value) -> String {
    let whole: &Value = &crate::pictures::put_back(document);
    format!("{whole:#}")
}

/// Listens to the script for as long as the page lives.
pub fn listen(store: Store) -> Keeping {
    let keeping =
        Keeping { state: RwSignal::new(State::AsOpened), notices: RwSignal::new(json("")) };
    store.document.with_untracked(|document| changed(store.handle.get_untracked(), document));
    // Not `FnMut`: giving a second copy its title makes the script speak again at once.
    let hears = Closure::<dyn Fn(String, String)>::new(move |kind: String, text: String| {
        hear(store, keeping, &kind, text);
    });
    call("listen", &[hears.as_ref().clone()]);
    hears.forget();
    keeping
}

fn hear(store: Store, keeping: Keeping, kind: &str, text: String) {
    let state = match kind {
        "as-opened" => State::AsOpened,
        "edited" => State::Edited,
        "kept" => State::Kept,
        "handed" => State::Handed,
        "not-kept" => State::NotKept(text),
        "second" => {
            store.edit("second copy", |document| document["title"] = text.into());
            return;
        }
        _ => {
            keeping.notices.set(json(&text));
            return;
        }
    };
    if keeping.state.with_untracked(|last| *last != state) {
        keeping.state.set(state);
    }
}

/// Opens a kept job, at its newest revision or at another, as one step of undo.
pub fn open_kept(store: Store, title: String, id: &str, revision: Option<f64>) {
    let revision = revision.map_or(JsValue::NULL, JsValue::from);
    ask("take", &[id.into(), revision], move |answer| match answer {
        Ok(found) => {
            if let Some((handle, text)) = taken(&found) {
                store.open_kept(&title, handle, &text);
            }
        }
        Err(reason) => store.refused_file.set(Some((title, reason))),
    });
}

/// Tells that a notice was read.
pub fn closed(index: usize) {
    call("closed", &[(index as u32).into()]);
}

/// Asks the script for something that takes time; it answers with a text, or with why it could not.
pub fn ask(name: &str, values: &[JsValue], then: impl FnOnce(Result<String, String>) + 'static) {
    let promise = call(name, values).and_then(|answer| answer.dyn_into().ok());
    answer(promise, Box::new(then));
}

fn answer(promise: Option<js_sys::Promise>, then: Box<dyn FnOnce(Result<String, String>)>) {
    spawn_local(async move {
        let outcome = match promise {
            Some(promise) => JsFuture::from(promise).await,
            None => Err(tr("this page keeps no jobs").into()),
        };
        let text = |value: JsValue| value.as_string().unwrap_or_default();
        then(outcome.map(text).map_err(|reason| retell(&text(reason))));
    });
}

/// An answer with parts; nothing where it has none.
pub fn json(answer: &str) -> Shared<Value> {
    Shared::new(serde_json::from_str(answer).unwrap_or_default())
}

/// A text in an answer; empty where there is none.
pub fn word(value: &Value, key: &str) -> String {
    value[key].as_str().unwrap_or_default().to_owned()
}

fn taken(answer: &str) -> Option<(Handle, String)> {
    let found = json(answer);
    Some((found["handle"].as_u64()? as Handle, found["text"].as_str()?.to_owned()))
}

/// A field of an object of the scripts; undefined where there is none.
pub fn field(value: &JsValue, key: &str) -> JsValue {
    js_sys::Reflect::get(value, &key.into()).unwrap_or(JsValue::UNDEFINED)
}

fn script() -> Option<JsValue> {
    js_sys::Reflect::get(&js_sys::global(), &"evenstroke".into()).ok()
}

/// Calls the scripts. They catch their own failures; where they are missing the page has not
/// started.
pub fn call(name: &str, values: &[JsValue]) -> Option<JsValue> {
    call_on(&script()?, name, values)
}

/// Calls a function of an object of the scripts.
pub fn call_on(object: &JsValue, name: &str, values: &[JsValue]) -> Option<JsValue> {
    let function: js_sys::Function = field(object, name).dyn_into().ok()?;
    let list = js_sys::Array::new();
    for value in values {
        list.push(value);
    }
    function.apply(object, &list).ok()
}
