//! The JSON Schema of the job file, written from its description.

use crate::spec::{FieldSpec, JOB, NumberSpec, ObjectSpec, Shape};
use serde_json::{Map, Value, json};

const DATE_PATTERN: &str = "^(19|20|21)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$";
const TIME_PATTERN: &str = "^([01][0-9]|2[0-3]):[0-5][0-9]$";
const IMAGE_PATTERN: &str = "^data:image/(png|jpeg|webp|gif);base64,[A-Za-z0-9+/]{16,}={0,2}$";

/// The schema as a JSON value, draft 2020-12.
pub fn json_schema() -> Value {
    let mut schema = object(JOB.fields, &[]);
    if let Value::Object(map) = &mut schema {
        map.insert("$schema".into(), "https://json-schema.org/draft/2020-12/schema".into());
        map.insert("title".into(), "Evenstroke job, version 1".into());
        map.insert("description".into(), "Lengths in mm, forces in kN, stresses in MPa, moments in kN·m, energy in kJ. Ranges that depend on two fields (rod and stroke, entry and stroke) are checked by the reader.".into());
    }
    schema
}

/// The schema as the text of `docs/job.schema.json`.
pub fn json_schema_text() -> String {
    format!("{:#}\n", json_schema())
}

/// `tags` are fields with a fixed word that told the object's kind.
fn object(fields: &[FieldSpec], tags: &[(&str, &str)]) -> Value {
    let mut properties = Map::new();
    let mut required: Vec<Value> = Vec::new();
    for (tag, word) in tags {
        properties.insert((*tag).into(), json!({ "const": word }));
        required.push((*tag).into());
    }
    for field in fields {
        let mut value = shape(&field.shape);
        if !field.about.is_empty()
            && let Value::Object(map) = &mut value
        {
            map.insert("description".into(), field.about.into());
        }
        properties.insert(field.key.into(), value);
        if field.required {
            required.push(field.key.into());
        }
    }
    json!({
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn number(spec: &NumberSpec) -> Value {
    let min = if spec.above { "exclusiveMinimum" } else { "minimum" };
    json!({ "type": "number", min: spec.least(), "maximum": spec.max })
}

fn shape(of: &Shape) -> Value {
    match of {
        Shape::Number(spec) => number(spec),
        Shape::NumberOrRange(spec) => json!({ "anyOf": [number(spec), {
            "type": "object",
            "properties": { "low": number(spec), "high": number(spec) },
            "required": ["low", "high"],
            "additionalProperties": false,
        }] }),
        Shape::Whole { min, max } => json!({ "type": "integer", "minimum": min, "maximum": max }),
        Shape::WholeOf(numbers) => json!({ "enum": numbers }),
        Shape::Text { longest } => json!({ "type": "string", "maxLength": longest }),
        // The pattern lets every month have 31 days; the reader knows the calendar.
        Shape::Date => json!({ "type": "string", "pattern": DATE_PATTERN }),
        Shape::Time => json!({ "type": "string", "pattern": TIME_PATTERN }),
        Shape::Image { longest } => {
            json!({ "type": "string", "maxLength": longest, "pattern": IMAGE_PATTERN })
        }
        Shape::Choice(choices) => {
            let words: Vec<&str> = choices.iter().map(|choice| choice.0).collect();
            json!({ "enum": words })
        }
        Shape::Exactly(text) => json!({ "const": text }),
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Object(spec) => object(spec.fields, &[]),
        Shape::List { item, fewest, most } => {
            json!({ "type": "array", "items": shape(item), "minItems": fewest, "maxItems": most })
        }
        Shape::Tagged { .. } => {
            let mut kinds = Vec::new();
            tagged(of, &mut Vec::new(), &mut kinds);
            json!({ "oneOf": kinds })
        }
        Shape::OneOf(fields) => {
            let one: Vec<Value> =
                fields.iter().map(|field| object(std::slice::from_ref(field), &[])).collect();
            json!({ "oneOf": one })
        }
        Shape::Pair(spec) => {
            json!({ "type": "array", "items": number(spec), "minItems": 2, "maxItems": 2 })
        }
        Shape::FixedOr(other) => json!({ "anyOf": [
            { "const": "fixed" },
            object(&[], &[("kind", "fixed")]),
            shape(other),
        ] }),
    }
}

fn tagged<'a>(of: &'a Shape, tags: &mut Vec<(&'a str, &'a str)>, kinds: &mut Vec<Value>) {
    match of {
        Shape::Tagged { tag, kinds: bodies, .. } => {
            for (word, _, body) in *bodies {
                tags.push((tag, word));
                tagged(body, tags, kinds);
                tags.pop();
            }
        }
        Shape::Object(ObjectSpec { fields }) => kinds.push(object(fields, tags)),
        _ => {}
    }
}
