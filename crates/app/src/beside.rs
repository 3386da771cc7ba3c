//! Work beside the page, by `www/beside.js`: a worker runs this same program for one task, so that
//! the page goes on meanwhile. Where there are no workers the page does the task itself.
//!
//! Of advice and rankings there comes back one JSON text that is all words and edits, so that the page
//! needs no types for them.

use crate::{browser, keeping};
use evenstroke_advice::{
    Progress,
    rank::{self, Library},
    told::{self, Extent},
};
use evenstroke_drawing::{Drawing, Flat, LengthUnit, Options};
use evenstroke_job::{Job, read::json_of_bytes, units::UnitSystem};
use evenstroke_language::{Language, current, retell, say, speak, tr};
use leptos::task::spawn_local;
use serde_json::{Value, json};
use std::ops::ControlFlow;
use wasm_bindgen::{JsCast, JsValue, prelude::Closure, prelude::wasm_bindgen};
use wasm_bindgen_futures::JsFuture;

/// What is done with the result of a task, or with why it has none.
type Then<T> = Box<dyn FnOnce(Result<T, String>)>;
/// Hears how far a task has come: words, and the share that is done as a number.
pub type Hears = Box<dyn Fn(String, f64)>;

/// How often a task tells how far it has come, in milliseconds.
const TELL_EVERY_MS: f64 = 80.0;

/// A task that goes on beside the page. It ends where this is dropped; then nothing more is heard of it.
pub struct Task {
    begun: JsValue,
    _hears: Closure<dyn Fn(String, f64)>,
}

impl Drop for Task {
    fn drop(&mut self) {
        keeping::call_on(&self.begun, "stop", &[]);
    }
}

/// Reads a drawing, an array buffer.
pub fn read_drawing(bytes: &JsValue, unit: Option<LengthUnit>, then: Then<Drawing>) -> Task {
    let unit = unit.map_or("", LengthUnit::symbol);
    let input = js_sys::Array::of2(bytes, &unit.into());
    begin(
        "drawing",
        &input,
        Box::new(|_, _| {}),
        Box::new(move |result| then(result.and_then(|found| drawing_of(&found)))),
    )
}

fn drawing_of(found: &JsValue) -> Result<Drawing, String> {
    let parts: &js_sys::Array = found.unchecked_ref();
    let numbers: js_sys::Float64Array = parts.get(0).unchecked_into();
    let words: js_sys::Array = parts.get(1).unchecked_into();
    let flat = Flat { numbers: numbers.to_vec(), words: texts(&words) };
    flat.drawing().ok_or_else(|| tr("what was read did not arrive whole").to_owned())
}

fn texts(list: &js_sys::Array) -> Vec<String> {
    list.iter().map(|text| text.as_string().unwrap_or_default()).collect()
}

/// A list of texts for a task.
pub fn list(texts: impl Iterator<Item = String>) -> js_sys::Array {
    texts.map(JsValue::from).collect()
}

/// Begins a task that answers with JSON.
pub fn begin_json(task: &str, input: &JsValue, hears: Hears, then: Then<Value>) -> Task {
    let parsed = |found: JsValue| {
        let text = found.as_string().unwrap_or_default();
        serde_json::from_str(&text).map_err(|_| tr("the answer did not arrive whole").to_owned())
    };
    begin(task, input, hears, Box::new(move |result| then(result.and_then(parsed))))
}

fn begin(task: &str, input: &JsValue, hears: Hears, then: Then<JsValue>) -> Task {
    let hears = Closure::wrap(hears);
    // The worker is a module of its own and has to be told the language.
    let task = format!("{} {task}", current().key());
    let values = [task.into(), input.clone(), hears.as_ref().clone()];
    let begun = keeping::call("beside", &values).unwrap_or_default();
    let done = keeping::field(&begun, "done").dyn_into::<js_sys::Promise>();
    spawn_local(async move {
        let outcome = match done {
            Ok(promise) => JsFuture::from(promise).await,
            Err(_) => Err(tr("this page cannot work beside itself").into()),
        };
        let why = |error: JsValue| error.as_string().unwrap_or_else(|| format!("{error:?}"));
        then(outcome.map_err(why));
    });
    Task { begun, _hears: hears }
}

/// A sentence of the scripts in the language of the page.
#[wasm_bindgen(js_name = told)]
pub fn sentence(text: &str) -> String {
    retell(text)
}

/// What the worker runs: one task by its name, which calls `tell` now and again with words and the
/// share that is done.
///
/// # Errors
///
/// Why there is no result, in words.
#[wasm_bindgen]
pub fn work(task: &str, input: &JsValue, tell: &js_sys::Function) -> Result<JsValue, JsValue> {
    let (language, task) = task.split_once(' ').unwrap_or(("", task));
    speak(Language::of_tag(language).unwrap_or_default());
    let input: &js_sys::Array = input.unchecked_ref();
    let mut told_at = f64::NEG_INFINITY;
    let mut watch = |at: Progress| {
        let now = browser::now_ms();
        if now - told_at >= TELL_EVERY_MS {
            told_at = now;
            let words = told::stage_words(at.stage, at.done, at.of);
            let share = at.done as f64 / at.of.max(1) as f64;
            // Whoever listens may be gone; the task is ended from outside.
            let _ = tell.call2(&JsValue::UNDEFINED, &words.into(), &share.into());
        }
        ControlFlow::Continue(())
    };
    let broken = |_| tr("it was broken off").to_owned();
    let answer = match task {
        "drawing" => return drawing(input),
        "advice" => {
            let [text, units] = [0, 1].map(|at| input.get(at).as_string().unwrap_or_default());
            let units = units_of(&units);
            Job::read(&text).map_err(|refused| refused.to_string()).and_then(|job| {
                let advice = evenstroke_advice::advise(&job, &mut watch).map_err(broken)?;
                Ok(told::topics_value(&told::topics(&job, &advice, units)))
            })
        }
        "presses" => Ok(presses(&texts(input))),
        "rank" | "rank all" => {
            let extent = if task == "rank" { Extent::InFull } else { Extent::InShort };
            let [dies, presses] =
                [1, 2].map(|at| texts(input.get(at).unchecked_ref::<js_sys::Array>()));
            let library = library(&dies, &presses);
            rank::rank(&library.dies, &library.presses, &mut watch)
                .map(|ranked| {
                    let units = units_of(&input.get(0).as_string().unwrap_or_default());
                    let refused = library.refused.iter().map(refused_words).collect::<Vec<_>>();
                    let names: Vec<&str> =
                        library.presses.iter().map(|press| press.name.as_str()).collect();
                    let Library { dies, presses, .. } = &library;
                    json!({
                        "dies": told::ranking_value(dies, presses, &ranked, units, extent),
                        "presses": names,
                        "refused": refused,
                    })
                })
                .map_err(broken)
        }
        "typed" | "recording" => crate::readings::work(task, input),
        _ => Err(say!("no such task: {}", task)),
    };
    answer.map(|value| value.to_string().into()).map_err(JsValue::from)
}

fn units_of(key: &str) -> UnitSystem {
    UnitSystem::ALL.into_iter().find(|units| units.key() == key).unwrap_or(UnitSystem::Metric)
}

fn library(dies: &[String], presses: &[String]) -> Library {
    let mut library = Library::default();
    for (index, text) in dies.iter().enumerate() {
        library.add_die(say!("Job {}", index + 1), json_of_bytes(text.as_bytes()));
    }
    for (index, text) in presses.iter().enumerate() {
        library.add_presses(say!("Press {}", index + 1), json_of_bytes(text.as_bytes()));
    }
    library
}

fn refused_words(row: &rank::RefusedRow) -> String {
    row.refused.0.first().map_or_else(String::new, |refusal| format!("{}: {refusal}", row.source))
}

/// The presses of files, given as name, text, name, text …: those that can be read, each with a name,
/// and what is wrong with the rest.
fn presses(files: &[String]) -> Value {
    let mut library = Library::default();
    for file in files.chunks_exact(2) {
        let name = file[0].strip_suffix(".json").unwrap_or(&file[0]);
        library.add_presses(name.to_owned(), json_of_bytes(file[1].as_bytes()));
    }
    let named = |press: &rank::PressEntry| {
        let mut value = press.value.clone();
        value["name"] = press.name.clone().into();
        value
    };
    json!({
        "presses": library.presses.iter().map(named).collect::<Vec<Value>>(),
        "refused": library.refused.iter().map(refused_words).collect::<Vec<String>>(),
    })
}

fn drawing(input: &js_sys::Array) -> Result<JsValue, JsValue> {
    let bytes = js_sys::Uint8Array::new(&input.get(0)).to_vec();
    let unit = input.get(1).as_string().unwrap_or_default();
    let options = Options { unit: LengthUnit::from_symbol(&unit), ..Options::default() };
    let drawing = evenstroke_drawing::read(&bytes, &options)
        .map_err(|refusal| retell(&refusal.to_string()))?;
    let flat = Flat::of(&drawing);
    let numbers = js_sys::Float64Array::from(&flat.numbers[..]);
    let words = list(flat.words.into_iter());
    Ok(js_sys::Array::of2(&numbers, &words).into())
}
