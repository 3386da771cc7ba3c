//! The check as a WebAssembly module: for the page's worker, and for any script that has a job.
//!
//! ```js
//! const report = check_job(job); // an object, or the text of a job file
//! const advice = advise(job, ({ stage, done, of }) => stillWanted);
//! const ranking = rank([job, other], [press, jobOfAnotherPress]);
//! ```
//!
//! Reports are those that the command prints with `--json`. What is refused is thrown as a list of
//! `{path, allowed, given}`. Long work calls back as it goes on and ends with `undefined` as soon as
//! `false` comes back.

use evenstroke_advice::{
    Progress, Watch, rank as ranking,
    report::{AdviceReport, RankReport},
};
use evenstroke_job::{Job, Refusal, Refused, read, report::Report};
use js_sys::{Array, Error, Function, JSON, Object, Reflect};
use serde::Serialize;
use serde_wasm_bindgen::Serializer;
use std::ops::ControlFlow;
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

/// Advice for a job given as the text of a job file; nothing if `watch` breaks it off.
///
/// # Errors
///
/// As [`check_text`].
pub fn advise_text(text: &str, watch: &mut Watch) -> Result<Option<AdviceReport>, Refused> {
    let job = Job::read(text)?;
    let advice = evenstroke_advice::advise(&job, watch);
    Ok(advice.ok().map(|advice| AdviceReport::new(&job, &advice)))
}

/// Advice for a job given as an object or as the text of a job file, as an object.
///
/// `progress` is called with `{stage, done, of}`; where it returns `false` the work ends and nothing is
/// returned.
///
/// # Errors
///
/// As [`check_job`].
#[wasm_bindgen]
pub fn advise(job: JsValue, progress: Option<Function>) -> Result<JsValue, JsValue> {
    let advice = job_text(&job)
        .and_then(|text| advise_text(&text, &mut |at| told(progress.as_ref(), at)))
        .map_err(|refused| to_object(&refused).unwrap_or_else(|error| error))?;
    advice.map_or(Ok(JsValue::UNDEFINED), |advice| to_object(&advice))
}

/// Every die in every press, from texts; nothing if `watch` breaks it off. What is refused is named
/// `dies[0]` or `presses[0]` in the report.
pub fn rank_texts(
    dies: &[Result<String, Refused>],
    presses: &[Result<String, Refused>],
    watch: &mut Watch,
) -> Option<RankReport> {
    let mut library = ranking::Library::default();
    let value = |text: &Result<String, Refused>| {
        read::json_of_bytes(text.as_ref().map_err(Clone::clone)?.as_bytes())
    };
    for (index, text) in dies.iter().enumerate() {
        library.add_die(format!("dies[{index}]"), value(text));
    }
    for (index, text) in presses.iter().enumerate() {
        library.add_presses(format!("presses[{index}]"), value(text));
    }
    let ranked = ranking::rank(&library.dies, &library.presses, watch).ok()?;
    Some(RankReport::new(&library, &ranked))
}

/// Every die in every press, as an object. Dies are jobs, presses are press objects or jobs, each as an
/// object or as text; `progress` as for [`advise`].
///
/// # Errors
///
/// Whatever JavaScript throws; what is refused stands in the report.
#[wasm_bindgen]
pub fn rank(dies: Array, presses: Array, progress: Option<Function>) -> Result<JsValue, JsValue> {
    let texts = |items: &Array| -> Vec<Result<String, Refused>> {
        items.iter().map(|item| job_text(&item)).collect()
    };
    let report = rank_texts(&texts(&dies), &texts(&presses), &mut |at| told(progress.as_ref(), at));
    report.map_or(Ok(JsValue::UNDEFINED), |report| to_object(&report))
}

/// Tells a script how far the work has come. A script that throws wants no more of it.
fn told(progress: Option<&Function>, at: Progress) -> ControlFlow<()> {
    let Some(progress) = progress else { return ControlFlow::Continue(()) };
    let row = Object::new();
    let set = |key: &str, value: JsValue| {
        let _ = Reflect::set(&row, &key.into(), &value);
    };
    set("stage", at.stage.key().into());
    set("done", (at.done as f64).into());
    set("of", (at.of as f64).into());
    match progress.call1(&JsValue::UNDEFINED, &row) {
        Ok(answer) if answer != JsValue::FALSE => ControlFlow::Continue(()),
        _ => ControlFlow::Break(()),
    }
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
    fn advice_is_the_one_the_command_prints() {
        let go_on = |_| ControlFlow::Continue(());
        let report = advise_text(EXAMPLE, &mut go_on.clone()).expect("the example is a job");
        let job = Job::read(EXAMPLE).expect("the example is a job");
        let advice = evenstroke_advice::advise(&job, &mut go_on.clone()).expect("it goes on");
        assert_eq!(
            report.expect("it goes on").to_json(),
            AdviceReport::new(&job, &advice).to_json()
        );
        let broken = advise_text(EXAMPLE, &mut |_| ControlFlow::Break(()));
        assert!(broken.expect("the example is a job").is_none());
        assert!(advise_text("{", &mut go_on.clone()).is_err());
    }

    #[test]
    fn what_cannot_be_ranked_is_named() {
        let dies = [Ok(EXAMPLE.to_owned()), Ok("{".to_owned())];
        let presses = [Ok(EXAMPLE.to_owned()), Ok("5".to_owned())];
        let mut go_on = |_| ControlFlow::Continue(());
        let report = rank_texts(&dies, &presses, &mut go_on).expect("it goes on").to_json();
        let report: serde_json::Value = serde_json::from_str(&report).expect("JSON");
        assert_eq!(report["dies"][0]["presses"][0]["verdict"], "within");
        assert_eq!(report["refused"][0]["source"], "dies[1]");
        assert_eq!(report["refused"][1]["source"], "presses[1]");
    }

    #[test]
    fn text_that_is_no_job_is_refused() {
        for text in ["", "null", "[]", "{", "\"evenstroke-job\""] {
            let Refused(refusals) = check_text(text).expect_err("no job");
            assert_eq!(refusals[0].path, "$", "{text}");
        }
    }
}
