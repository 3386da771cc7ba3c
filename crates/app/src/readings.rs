//! Readings compared beside the page: the tasks `typed` and `recording` of the worker.

use evenstroke_job::{Job, day::Day, read::json_of_bytes};
use evenstroke_language::tr;
use evenstroke_readings::{
    Problem, Typed, columns, compare, compare_typed, correct, report, rows, samples,
    stations::station_factors, wishes,
};
use serde_json::Value;
use wasm_bindgen::{JsCast, JsValue};

/// Does a task. What comes in are the job's text, the day, then what was typed as JSON; or the mapping
/// as JSON and the bytes of the file.
///
/// # Errors
///
/// Why there is no answer, in words.
pub fn work(task: &str, input: &js_sys::Array) -> Result<Value, String> {
    let text = |at: u32| input.get(at).as_string().unwrap_or_default();
    let file = json_of_bytes(text(0).as_bytes()).map_err(|refused| refused.to_string())?;
    let job = Job::from_value(&file).map_err(|refused| refused.to_string())?;
    let day = Day::read(&text(1)).ok_or(tr("the day must be one such as 2026-03-31"))?;
    let said: Value = serde_json::from_str(&text(2)).unwrap_or_default();
    if task == "typed" {
        let typed = typed_of(&said);
        let found = compare_typed(&job, &job.check(), &typed, Some(day)).map_err(words)?;
        return Ok(report::typed(&job, &found, &correct::by_typed(&file, &job, &typed, day)));
    }
    let bytes = js_sys::Uint8Array::new(&input.get(3).unchecked_into::<JsValue>()).to_vec();
    let wishes = wishes::read(&said).map_err(words)?;
    let text = rows::plain(&bytes).map_err(words)?;
    let (mapping, problem) = columns::look(&text, &wishes).map_err(words)?;
    let shown = mapping.clone();
    let found = match problem {
        Some(problem) => Err(problem),
        None => samples::samples(&text, &mapping, &wishes)
            .and_then(|found| compare(&job, &job.check(), found, mapping, &wishes)),
    };
    Ok(match found {
        Err(problem) => report::not_read(&shown, &problem),
        Ok(found) => {
            let mut stations = station_factors(&job, &found);
            let corrections = correct::by_recording(&file, &job, &found, stations.as_mut(), day);
            report::recording(&job, &found, stations.as_ref(), &corrections)
        }
    })
}

fn words(problem: Problem) -> String {
    problem.to_string()
}

/// What was typed, from JSON.
pub fn typed_of(said: &Value) -> Typed {
    Typed {
        points_kn: said["points"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_f64)
            .collect(),
        peak_kn: None,
        reverse_kn: said["reverse"].as_f64(),
    }
}
