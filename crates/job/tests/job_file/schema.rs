//! The JSON Schema says what the reader does, field by field.
//!
//! Every field of the description is put into the smallest job that can hold it and then spoiled in
//! every way that concerns this field alone. Rules across fields are the reader's own.

use crate::support::{example, good_jobs, value, with};
use evenstroke_job::{
    Job,
    read::check_value,
    schema::{json_schema, json_schema_text},
    spec::{FieldSpec, JOB, NumberSpec, Shape},
};
use jsonschema::Validator;
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

fn validator() -> Validator {
    jsonschema::validator_for(&json_schema()).expect("the schema is a schema")
}

/// One transparent dot.
const DOT: &str = "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPhfDwAChwGA60e6kgAAAABJRU5ErkJggg==";

/// The smallest value that a shape takes: required fields only, the first of several kinds.
fn sample(shape: &Shape) -> Value {
    match shape {
        Shape::Number(spec) | Shape::NumberOrRange(spec) => json!(sample_number(spec)),
        Shape::Whole { min, .. } => json!(min),
        Shape::WholeOf(numbers) => json!(numbers[0]),
        Shape::Text { .. } => json!("text"),
        Shape::Date => json!("2026-03-31"),
        Shape::Time => json!("06:45"),
        Shape::Image { .. } => json!(DOT),
        Shape::Choice(choices) => json!(choices[0].0),
        Shape::Flag => json!(true),
        Shape::Object(spec) => sample_object(spec.fields),
        Shape::List { item, fewest, .. } => {
            Value::Array((0..(*fewest).max(1)).map(|_| sample(item)).collect())
        }
        Shape::Tagged { tag, kinds, .. } => with_tag(sample(kinds[0].2), tag, kinds[0].0),
        Shape::OneOf(fields) => json!({ fields[0].key: sample(&fields[0].shape) }),
        Shape::Pair(spec) => json!([sample_number(spec), sample_number(spec)]),
        Shape::FixedOr(_) => json!("fixed"),
        Shape::Exactly(text) => json!(text),
    }
}

fn sample_number(spec: &NumberSpec) -> f64 {
    if spec.allows(1.0) { 1.0 } else { 0.5 * (spec.min + spec.max) }
}

fn sample_object(fields: &[FieldSpec]) -> Value {
    let needed = fields.iter().filter(|field| field.required);
    Value::Object(needed.map(|field| (field.key.to_owned(), sample(&field.shape))).collect())
}

fn with_tag(mut object: Value, tag: &str, word: &str) -> Value {
    object[tag] = json!(word);
    object
}

/// A job to be completed with one value.
type Build<'a> = &'a dyn Fn(Value) -> Value;
/// Called for every place: the shape, its path, and how to put a value there.
type Visit<'a> = &'a mut dyn FnMut(&Shape, &str, Build);

/// Visits a shape and all that can stand inside it.
fn walk(shape: &Shape, path: &str, build: Build, visit: Visit) {
    visit(shape, path, build);
    match shape {
        Shape::Object(spec) => walk_fields(spec.fields, &[], path, build, visit),
        Shape::List { item, .. } => {
            // The other items of a list with a least length are plain ones.
            let Value::Array(list) = sample(shape) else { return };
            let put = |value| {
                let mut list = list.clone();
                list[0] = value;
                build(Value::Array(list))
            };
            walk(item, &format!("{path}[0]"), &put, visit);
        }
        Shape::Tagged { .. } => walk_kinds(shape, &[], path, build, visit),
        Shape::OneOf(fields) => {
            for field in *fields {
                let path = format!("{path}.{}", field.key);
                walk(&field.shape, &path, &|value| build(json!({ field.key: value })), visit);
            }
        }
        Shape::NumberOrRange(spec) => {
            let widest = |low: Value, high: Value| build(json!({"low": low, "high": high}));
            // A low end above the high one is a fault of the range.
            visit(&Shape::Number(*spec), path, &|value| widest(value, json!(spec.max)));
            let least = json!(if spec.above { spec.least().next_up() } else { spec.min });
            visit(&Shape::Number(*spec), path, &|value| widest(least.clone(), value));
        }
        Shape::FixedOr(other) => walk(other, path, build, visit),
        _ => {}
    }
}

/// `tags` are the fields that told the kind.
fn walk_fields(
    fields: &[FieldSpec],
    tags: &[(&str, &str)],
    path: &str,
    build: Build,
    visit: Visit,
) {
    let mut object = sample_object(fields);
    for (tag, word) in tags {
        object = with_tag(object, tag, word);
    }
    for field in fields {
        let path =
            if path.is_empty() { field.key.to_owned() } else { format!("{path}.{}", field.key) };
        let put = |value| {
            let mut object = object.clone();
            object[field.key] = value;
            build(object)
        };
        walk(&field.shape, &path, &put, visit);
    }
}

fn walk_kinds(shape: &Shape, tags: &[(&str, &str)], path: &str, build: Build, visit: Visit) {
    match shape {
        Shape::Tagged { tag, kinds, .. } => {
            for (word, _, body) in *kinds {
                let tags: Vec<(&str, &str)> = tags.iter().copied().chain([(*tag, *word)]).collect();
                walk_kinds(body, &tags, path, build, visit);
            }
        }
        Shape::Object(spec) => {
            let tagged = |mut value: Value| {
                if let Some(object) = value.as_object_mut() {
                    object.extend(tags.iter().map(|(tag, word)| ((*tag).into(), json!(word))));
                }
                build(value)
            };
            visit(shape, path, &tagged);
            walk_fields(spec.fields, tags, path, build, visit);
        }
        _ => panic!("{path}: a kind is an object"),
    }
}

/// Calls `visit` for every place in the job file.
fn every_place(visit: Visit) {
    walk(&Shape::Object(&JOB), "", &|value| value, visit);
}

/// Values around the borders of a shape, right and wrong ones.
fn borders(shape: &Shape) -> Vec<Value> {
    match shape {
        Shape::Number(spec) | Shape::NumberOrRange(spec) => {
            let mut values: Vec<Value> = [
                spec.min,
                spec.max,
                spec.min.next_down(),
                spec.min.next_up(),
                spec.least(),
                spec.least().next_up(),
                spec.max.next_up(),
                spec.min - 1.0,
                spec.max + 1.0,
                1e300,
                -1e300,
            ]
            .map(|number| json!(number))
            .into();
            let inside = sample_number(spec);
            values.extend([
                json!({"low": inside, "high": inside}),
                json!({"low": inside}),
                json!({"high": inside}),
                json!({"low": inside, "high": inside, "middle": inside}),
                json!({"low": inside, "high": spec.max.next_up()}),
                json!({"low": "1", "high": inside}),
                json!([inside, inside]),
            ]);
            values
        }
        Shape::Whole { min, max } => vec![
            json!(min),
            json!(max),
            json!(min - 1),
            json!(max + 1),
            json!(*min as f64),
            json!(*min as f64 + 0.5),
            json!(1e300),
            json!(u64::MAX),
        ],
        Shape::WholeOf(numbers) => {
            let mut values: Vec<Value> = numbers.iter().map(|number| json!(number)).collect();
            values.extend([json!(numbers[0] as f64), json!(numbers[0] as f64 + 0.5), json!(7)]);
            values
        }
        // Letters of several bytes: length is counted in letters.
        Shape::Text { longest } => vec![
            json!(""),
            json!("é".repeat(*longest)),
            json!("é".repeat(longest + 1)),
            json!("𝛕".repeat(*longest)),
        ],
        // The calendar is the reader's own.
        Shape::Date => [
            "2026-03-31",
            "2024-02-29",
            "2026-13-01",
            "2026-00-01",
            "2026-01-32",
            "1899-12-31",
            "2200-01-01",
            "2026-3-31",
            "31.3.2026",
            "2026-03-31 ",
        ]
        .map(|day| json!(day))
        .into(),
        Shape::Time => ["00:00", "23:59", "24:00", "12:60", "6:45", "06:45:00", "noon"]
            .map(|time| json!(time))
            .into(),
        Shape::Image { longest } => vec![
            json!(DOT),
            json!(DOT.replace("image/png", "image/svg+xml")),
            json!(DOT.replace("image/png", "text/html")),
            json!(DOT.replace("base64,", "")),
            json!(DOT.replace("iVBOR", "iVB<R")),
            json!("data:image/png;base64,"),
            json!(format!("{}{}", DOT.trim_end_matches('='), "A".repeat(*longest))),
        ],
        Shape::Choice(choices) => {
            let mut values: Vec<Value> = choices.iter().map(|choice| json!(choice.0)).collect();
            values.extend([json!("none of them"), json!(choices[0].0.to_uppercase())]);
            values
        }
        Shape::Exactly(text) => vec![json!(text), json!(format!("{text} "))],
        Shape::Flag => vec![json!(true), json!(false), json!("true"), json!(1)],
        Shape::List { item, fewest, most } => {
            let of = |count: usize| Value::Array(vec![sample(item); count]);
            vec![of(*fewest), of(fewest.saturating_sub(1)), of(*most), of(most + 1)]
        }
        Shape::Pair(spec) => vec![
            json!([1.0]),
            json!([1.0, 1.0, 1.0]),
            json!([1.0, "1"]),
            json!([spec.min, spec.max]),
            json!([spec.max.next_up(), 1.0]),
        ],
        Shape::Object(spec) => vec![with_tag(sample_object(spec.fields), "unheard_of", "x")],
        Shape::Tagged { tag, kinds, .. } => {
            let mut values = vec![with_tag(sample(shape), "unheard_of", "x")];
            values.push(with_tag(sample(shape), tag, "unheard of"));
            // The fields of one kind under the name of the next.
            values.extend(kinds.iter().map(|kind| with_tag(sample(shape), tag, kind.0)));
            values
        }
        Shape::OneOf(fields) => {
            let all: Map<String, Value> =
                fields.iter().map(|field| (field.key.to_owned(), sample(&field.shape))).collect();
            vec![Value::Object(all), with_tag(sample(shape), "unheard_of", "x")]
        }
        Shape::FixedOr(other) => vec![
            json!("fixed"),
            json!({"kind": "fixed"}),
            json!({"kind": "fixed", "entry_mm": 1.0}),
            json!({"kind": "unheard of"}),
            json!("loose"),
            sample(other),
        ],
    }
}

/// One value of every type, and odd ones.
fn every_type() -> Vec<Value> {
    vec![
        Value::Null,
        json!(true),
        json!(0),
        json!(1),
        json!(-1),
        json!(0.5),
        json!(""),
        json!("1"),
        json!([]),
        json!([null]),
        json!({}),
        json!({"": null}),
    ]
}

/// What the reader and the schema have said so far.
#[derive(Default)]
struct Tally {
    accepted: usize,
    refused: usize,
}

impl Tally {
    /// Fails unless reader and schema agree; a refusal has to point at `path` or into it.
    fn agree(&mut self, validator: &Validator, job: &Value, path: &str) {
        let read = check_value(job);
        assert_eq!(
            read.is_ok(),
            validator.is_valid(job),
            "at {path} the reader says {read:?}, the schema {:?}",
            validator.iter_errors(job).map(|error| error.to_string()).collect::<Vec<_>>()
        );
        match read {
            Ok(()) => {
                self.accepted += 1;
                // Whether the whole makes sense is another question, which may not panic.
                let _ = Job::from_value(job);
            }
            Err(refused) => {
                self.refused += 1;
                for refusal in &refused.0 {
                    let inside = refusal.path.strip_prefix(path);
                    let whole = path.is_empty() || refusal.path == "$";
                    assert!(
                        whole || inside.is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '['])),
                        "spoiled at {path}, refused at {}",
                        refusal.path
                    );
                    assert!(!refusal.allowed.is_empty() && !refusal.given.is_empty());
                }
            }
        }
    }
}

#[test]
fn schema_in_the_documents_is_the_one_the_program_writes() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/job.schema.json");
    let kept = std::fs::read_to_string(file).unwrap_or_default();
    assert!(
        kept == json_schema_text(),
        "docs/job.schema.json is out of step; rewrite it with\n  \
         cargo run -p evenstroke-cli -- schema > docs/job.schema.json"
    );
}

#[test]
fn schema_is_itself_valid() {
    let schema = json_schema();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    if let Err(error) = jsonschema::meta::validate(&schema) {
        panic!("{error}");
    }
}

#[test]
fn jobs_that_load_fit_the_schema() {
    let validator = validator();
    for (name, text) in good_jobs() {
        if let Err(error) = validator.validate(&value(text)) {
            panic!("{name}: {error} at {}", error.instance_path());
        }
        Job::read(text).unwrap_or_else(|refused| panic!("{name}: {refused}"));
    }
}

/// Paths of all fields of a document, without indices.
fn fields_used(value: &Value, path: &str, used: &mut BTreeSet<String>) {
    used.insert(path.to_owned());
    match value {
        Value::Object(fields) => {
            for (key, value) in fields {
                let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                fields_used(value, &path, used);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| fields_used(item, path, used)),
        _ => {}
    }
}

#[test]
fn every_field_is_used_by_a_job_that_loads() {
    let mut described = BTreeSet::new();
    every_place(&mut |_, path, _| {
        described.insert(path.replace("[0]", ""));
    });
    let tabled_drive = json!({"kind": "table", "stroke_mm": 200, "points": [
        {"height_mm": 0, "force_kn": 1600}, {"height_mm": 200, "force_kn": 400}
    ], "motion": [
        {"angle_deg": 60, "height_mm": 20}, {"angle_deg": 180, "height_mm": 200}
    ]});
    let tabled_press = with(example(), "/press/drive", tabled_drive);
    let hydraulic = json!({"kind": "hydraulic", "stroke_mm": 200, "pressing_speed_mm_per_s": 20});
    let hydraulic_press = with(example(), "/press/drive", hydraulic);
    let single = with(example(), "/press/energy/single_kj", 24);
    let stalled = with(example(), "/trip", json!({"height_mm": 4}));
    let more = [tabled_press, hydraulic_press, single, stalled];
    for job in &more {
        Job::from_value(job).unwrap_or_else(|refused| panic!("{refused}"));
    }
    let mut used = BTreeSet::new();
    for job in good_jobs().into_iter().map(|(_, text)| value(text)).chain(more) {
        fields_used(&job, "", &mut used);
    }
    let unused: Vec<&String> = described
        .iter()
        .filter(|path| !path.ends_with(".low") && !path.ends_with(".high"))
        .filter(|path| {
            // Stock fields may stand in three places; one is enough.
            let stock = path.replacen("stations.stock.", "stock.", 1);
            let stock = stock.replacen("stations.", "stock.", 1);
            let places = ["stations.stock.", "stations.", ""]
                .map(|place| stock.replacen("stock.", place, 1))
                .into_iter()
                .chain([stock.clone(), (*path).clone()]);
            !places.into_iter().any(|place| used.contains(&place))
        })
        .collect();
    assert!(unused.is_empty(), "no job uses {unused:?}");
}

#[test]
fn reader_and_schema_agree_on_values_of_every_field() {
    let validator = validator();
    let mut tally = Tally::default();
    let mut places = 0;
    every_place(&mut |shape, path, build| {
        places += 1;
        for value in borders(shape).into_iter().chain(every_type()) {
            tally.agree(&validator, &build(value), path);
        }
    });
    // The walk reaches every field of every kind, and both answers are common.
    assert!(places > 300, "{places} places");
    assert!(tally.accepted > places, "{} accepted", tally.accepted);
    assert!(tally.refused > 8 * places, "{} refused", tally.refused);
}

#[test]
fn reader_and_schema_agree_on_missing_and_unknown_fields() {
    let validator = validator();
    let mut tally = Tally::default();
    every_place(&mut |shape, path, build| {
        let whole = sample(shape);
        let Some(object) = whole.as_object() else { return };
        for key in object.keys() {
            let mut less = object.clone();
            less.shift_remove(key);
            tally.agree(&validator, &build(Value::Object(less)), path);
        }
        for key in ["unheard_of", "", "Title", "height_mm ", "\u{1b}[2J"] {
            let mut more = object.clone();
            more.insert(key.to_owned(), json!(1));
            tally.agree(&validator, &build(Value::Object(more)), path);
        }
    });
    assert!(tally.refused > 300, "{} refused", tally.refused);
}
