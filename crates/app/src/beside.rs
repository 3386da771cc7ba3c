//! Work beside the page, by `www/beside.js`: a worker runs this same program for one task, so that
//! the page goes on meanwhile. Where there are no workers the page does the task itself.

use crate::keeping;
use evenstroke_drawing::{Drawing, Flat, LengthUnit, Options};
use evenstroke_language::{say, tr};
use leptos::task::spawn_local;
use wasm_bindgen::{JsCast, JsValue, prelude::wasm_bindgen};
use wasm_bindgen_futures::JsFuture;

/// What is done with the result of a task, or with why it has none.
type Then<T> = Box<dyn FnOnce(Result<T, String>)>;

/// A task that goes on beside the page. It may be stopped; then nothing more is heard of it.
pub struct Task(JsValue);

impl Task {
    /// Ends it at once.
    pub fn stop(&self) {
        keeping::call_on(&self.0, "stop", &[]);
    }
}

/// Reads a drawing, an array buffer.
pub fn read_drawing(bytes: &JsValue, unit: Option<LengthUnit>, then: Then<Drawing>) -> Task {
    let unit = unit.map_or("", LengthUnit::symbol);
    let input = js_sys::Array::of2(bytes, &unit.into());
    begin(
        "drawing",
        &input,
        Box::new(move |result| then(result.and_then(|found| drawing_of(&found)))),
    )
}

fn drawing_of(found: &JsValue) -> Result<Drawing, String> {
    let parts: &js_sys::Array = found.unchecked_ref();
    let numbers: js_sys::Float64Array = parts.get(0).unchecked_into();
    let words: js_sys::Array = parts.get(1).unchecked_into();
    let words = words.iter().map(|word| word.as_string().unwrap_or_default()).collect();
    let flat = Flat { numbers: numbers.to_vec(), words };
    flat.drawing().ok_or_else(|| tr("what was read did not arrive whole").to_owned())
}

fn begin(task: &str, input: &JsValue, then: Then<JsValue>) -> Task {
    let begun = keeping::call("beside", &[task.into(), input.clone()]).unwrap_or_default();
    let done = keeping::field(&begun, "done").dyn_into::<js_sys::Promise>();
    spawn_local(async move {
        let outcome = match done {
            Ok(promise) => JsFuture::from(promise).await,
            Err(_) => Err(tr("this page cannot work beside itself").into()),
        };
        let why = |error: JsValue| error.as_string().unwrap_or_else(|| format!("{error:?}"));
        then(outcome.map_err(why));
    });
    Task(begun)
}

/// What the worker runs: one task by its name.
///
/// # Errors
///
/// Why there is no result, in words.
#[wasm_bindgen]
pub fn work(task: &str, input: &JsValue) -> Result<JsValue, JsValue> {
    let input: &js_sys::Array = input.unchecked_ref();
    match task {
        "drawing" => {
            let bytes = js_sys::Uint8Array::new(&input.get(0)).to_vec();
            let unit = input.get(1).as_string().unwrap_or_default();
            let options = Options { unit: LengthUnit::from_symbol(&unit), ..Options::default() };
            let drawing = evenstroke_drawing::read(&bytes, &options)
                .map_err(|refusal| refusal.to_string())?;
            let flat = Flat::of(&drawing);
            let numbers = js_sys::Float64Array::from(&flat.numbers[..]);
            let words: js_sys::Array = flat.words.into_iter().map(JsValue::from).collect();
            Ok(js_sys::Array::of2(&numbers, &words).into())
        }
        _ => Err(say!("no such task: {}", task).into()),
    }
}
