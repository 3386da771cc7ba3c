//! The check as a WebAssembly module: for the page's worker, and for any script that has a job.
//!
//! ```js
//! const report = check_job(job); // an object, or the text of a job file
//! ```
//!
//! The report is the one that the command prints with `--json`. What is refused is thrown as a list
//! of `{path, allowed, given}`.

use evenstroke_job::{Job, Refusal, Refused, report::Report};
use js_sys::{Error, JSON};
use serde::Serialize;
use serde_wasm_bindgen::Serializer;
use wasm_bindgen::{
    JsCast,
    prelude::{JsValue, wasm_bindgen},
};

/// Checks a job given as the text of a job file.
///
/// # Errors
///
/// [`Refused`] with every place that is wrong: path, what is allowed, what was given.
pub fn check_text(text: &str) -> Result<Report, Refused> {
    let job = Job::read(text)?;
    Ok(Report::new(&job, &job.check()))
}

/// Checks a job given as an object or as the text of a job file, and returns the report as an
/// object.
///
/// # Errors
///
/// A list of `{path, allowed, given}`, one for each place that is wrong.
#[wasm_bindgen]
pub fn check_job(job: JsValue) -> Result<JsValue, JsValue> {
    job_text(&job)
        .and_then(|text| check_text(&text))
        .map_or_else(|refused| Err(to_object(&refused)?), |report| to_object(&report))
}

/// An object goes through JSON text, so that it is read as strictly as a file is: no endless or
/// bottomless objects, nothing that JSON does not have.
fn job_text(job: &JsValue) -> Result<String, Refused> {
    if let Some(text) = job.as_string() {
        return Ok(text);
    }
    JSON::stringify(job)
        .map_err(|error| match error.dyn_ref::<Error>() {
            // An engine draws a picture of a circle below its first line.
            Some(error) => {
                String::from(error.message()).lines().next().unwrap_or_default().to_owned()
            }
            None => "one that cannot be written as JSON".to_owned(),
        })
        .and_then(|text| text.as_string().ok_or_else(|| "neither".to_owned()))
        .map_err(|given| {
            Refusal {
                path: "$".into(),
                allowed: "a job must be an object or the text of a job file".into(),
                given,
            }
            .into()
        })
}

fn to_object(value: &impl Serialize) -> Result<JsValue, JsValue> {
    value.serialize(&Serializer::json_compatible()).map_err(JsValue::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    const EXAMPLE: &str = include_str!("../../../tests/contract/example.json");

    #[test]
    fn report_is_the_one_the_command_prints() {
        let report = check_text(EXAMPLE).expect("the example is a job");
        let job = Job::read(EXAMPLE).expect("the example is a job");
        assert_eq!(report.to_json(), Report::new(&job, &job.check()).to_json());
        assert!(report.to_json().contains("\"evenstroke-report\""));
    }

    #[test]
    fn refusals_are_a_list_of_path_allowed_and_given() {
        let text = EXAMPLE.replacen("\"stroke_mm\": 200", "\"stroke_mm\": -200", 1);
        let refused = check_text(&text).expect_err("no stroke is negative");
        assert_eq!(
            serde_json::to_value(&refused).expect("plain data"),
            serde_json::json!([{
                "path": "press.drive.stroke_mm",
                "allowed": "must be a number above 0 and at most 100000 mm",
                "given": "-200",
            }])
        );
    }

    #[test]
    fn text_that_is_no_job_is_refused() {
        for text in ["", "null", "[]", "{", "\"evenstroke-job\""] {
            let Refused(refusals) = check_text(text).expect_err("no job");
            assert_eq!(refusals[0].path, "$", "{text}");
        }
    }
}
