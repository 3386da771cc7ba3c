//! Jobs to start from, and changes to them.

use evenstroke_job::{Job, Refusal, Refused, demo::DEMOS, report::Report};
use serde_json::{Map, Value};

/// The example of the format's description.
pub const EXAMPLE: &str = include_str!("../../../../tests/contract/example.json");
/// An invented job with every operation and every field.
pub const EVERY_OPERATION: &str = include_str!("../../../../tests/contract/every_operation.json");

/// All jobs that have to load, each with a name for messages.
pub fn good_jobs() -> Vec<(&'static str, &'static str)> {
    let mut jobs = vec![("example", EXAMPLE), ("every operation", EVERY_OPERATION)];
    jobs.extend(DEMOS.iter().map(|demo| (demo.label, demo.text)));
    jobs
}

/// The text as a JSON value.
pub fn value(text: &str) -> Value {
    serde_json::from_str(text).expect("JSON")
}

/// The example as a JSON value.
pub fn example() -> Value {
    value(EXAMPLE)
}

/// The job with another value at a JSON pointer; the last key may be new.
pub fn with(mut job: Value, pointer: &str, new: impl Into<Value>) -> Value {
    let (parent, key) = pointer.rsplit_once('/').expect("a pointer");
    let parent = job.pointer_mut(parent).unwrap_or_else(|| panic!("no {parent}"));
    match parent {
        Value::Array(items) => items[key.parse::<usize>().expect("an index")] = new.into(),
        _ => parent[key.replace("~1", "/").replace("~0", "~")] = new.into(),
    }
    job
}

/// The job without the field at a JSON pointer, which has to be there.
pub fn without(mut job: Value, pointer: &str) -> Value {
    let (parent, key) = pointer.rsplit_once('/').expect("a pointer");
    let parent = job.pointer_mut(parent).and_then(Value::as_object_mut);
    let removed = parent.and_then(|parent| parent.shift_remove(key));
    assert!(removed.is_some(), "no {pointer}");
    job
}

/// The report of a job that has to load, as the command prints it.
pub fn report(job: &Value) -> Value {
    let job = Job::from_value(job).unwrap_or_else(|refused| panic!("{refused}"));
    value(&Report::new(&job, &job.check()).to_json())
}

/// The row of a limit in a report.
pub fn limit<'a>(report: &'a Value, id: &str) -> &'a Value {
    let rows = report["limits"].as_array().expect("a list");
    rows.iter().find(|row| row["id"] == id).unwrap_or_else(|| panic!("no limit {id}"))
}

/// A number of a report.
#[track_caller]
pub fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// Why a job is refused; fails if it loads.
#[track_caller]
pub fn refusals(outcome: Result<Job, Refused>) -> Vec<Refusal> {
    match outcome {
        Ok(_) => panic!("the job loads"),
        Err(Refused(refusals)) => {
            assert!(!refusals.is_empty());
            for refusal in &refusals {
                let Refusal { path, allowed, given } = refusal;
                assert!(!path.is_empty() && !allowed.is_empty() && !given.is_empty(), "{refusal}");
            }
            refusals
        }
    }
}

/// Fails unless `actual` is within `tolerance` of `expected`, absolutely; prints both.
#[track_caller]
pub fn assert_near(actual: f64, expected: f64, tolerance: f64) {
    assert!((actual - expected).abs() <= tolerance, "actual {actual}, expected {expected}");
}

/// JSON pointers of all values in a document, the document itself left out.
pub fn pointers(document: &Value) -> Vec<String> {
    fn walk(value: &Value, at: &str, found: &mut Vec<String>) {
        let mut step = |key: String, value: &Value| {
            let at = format!("{at}/{}", key.replace('~', "~0").replace('/', "~1"));
            found.push(at.clone());
            walk(value, &at, found);
        };
        match value {
            Value::Object(fields) => {
                fields.iter().for_each(|(key, value)| step(key.clone(), value))
            }
            Value::Array(items) => {
                items.iter().enumerate().for_each(|(index, value)| step(index.to_string(), value));
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    walk(document, "", &mut found);
    found
}

/// The object; fails for anything else.
#[track_caller]
pub fn object(value: &Value) -> &Map<String, Value> {
    value.as_object().unwrap_or_else(|| panic!("{value} is no object"))
}
