//! Reading a file strictly.
//!
//! Text becomes a JSON value in which no key stands twice, and the value is held against the
//! description in [`crate::spec`]: every wrong field is named, not only the first.

use crate::{
    day::{Day, is_time},
    image,
    refusal::{Refusal, Refused},
    spec::{FieldSpec, JOB, NumberSpec, ObjectSpec, Shape},
};
use evenstroke_language::{say, tr};
use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::fmt;

/// Largest file that is read: a real job is a few kilobytes, one with imported outlines some
/// hundred.
pub const LARGEST_FILE: usize = 20 * 1024 * 1024;
/// Longest text of the file, in characters, that a message repeats.
const LONGEST_SHOWN: usize = 40;
/// A file that is wrong all over is not listed all over.
const MOST_REFUSALS: usize = 50;

/// Reads the text of a job file into a value that fits the description.
///
/// # Errors
///
/// [`Refused`] with every field that is unknown, missing, of the wrong type or out of range.
pub fn read_text(text: &str) -> Result<Value, Refused> {
    let value = json_of_text(text)?;
    check_value(&value)?;
    Ok(value)
}

/// The JSON value of a file, whatever it holds.
fn json_of_text(text: &str) -> Result<Value, Refused> {
    if text.len() > LARGEST_FILE {
        return Err(too_large().into());
    }
    let text = text.trim_start_matches('\u{feff}');
    if text.trim().is_empty() {
        return Err(whole_file(tr("must hold a JSON object"), tr("an empty file")).into());
    }
    let StrictValue(value) = serde_json::from_str(text).map_err(|error| {
        whole_file(
            tr("must be JSON without repeated keys and at most 127 levels deep"),
            error.to_string(),
        )
    })?;
    Ok(value)
}

/// Reads the bytes of a job file, which have to be UTF-8.
///
/// Of a file beyond [`LARGEST_FILE`] no more than one byte over it is needed.
///
/// # Errors
///
/// As [`read_text`].
pub fn read_bytes(bytes: &[u8]) -> Result<Value, Refused> {
    let value = json_of_bytes(bytes)?;
    check_value(&value)?;
    Ok(value)
}

/// The JSON value of a file that may hold a job or something else, such as a line of presses.
///
/// # Errors
///
/// [`Refused`] for what is no JSON, too large or too deep.
pub fn json_of_bytes(bytes: &[u8]) -> Result<Value, Refused> {
    // A file that was read in part may end inside a letter: its size comes first.
    if bytes.len() > LARGEST_FILE {
        return Err(too_large().into());
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        whole_file(
            tr("must be UTF-8 text"),
            say!("{} at byte {}", format_args!("{:#04x}", bytes[at]), at),
        )
    })?;
    json_of_text(text)
}

fn whole_file(allowed: &str, given: impl Into<String>) -> Refusal {
    Refusal { path: "$".to_owned(), allowed: say!("a job file {}", allowed), given: given.into() }
}

fn too_large() -> Refusal {
    whole_file(&say!("must be at most {} bytes long (20 MB)", LARGEST_FILE), tr("more"))
}

/// Holds a value against the description of the job file.
///
/// # Errors
///
/// As [`read_text`].
pub fn check_value(value: &Value) -> Result<(), Refused> {
    check_format(value)?;
    let mut refusals = Vec::new();
    check_object(&JOB, value, &Path::Root, &[], &mut refusals);
    if refusals.is_empty() { Ok(()) } else { Err(Refused(refusals)) }
}

/// A file of another kind or of a later version is refused for that alone: its other fields mean
/// something we do not know.
fn check_format(value: &Value) -> Result<(), Refusal> {
    let Some(object) = value.as_object() else {
        return Err(whole_file(tr("must hold a JSON object"), describe(value)));
    };
    let format = object.get("format").unwrap_or(&Value::Null);
    if format.as_str() != Some(crate::FORMAT) {
        return Err(Refusal {
            path: "format".to_owned(),
            allowed: say!("must be \"{}\"", crate::FORMAT),
            given: describe(format),
        });
    }
    let version = object.get("version").unwrap_or(&Value::Null);
    if whole(version) != Some(crate::VERSION as i64) {
        return Err(Refusal {
            path: "version".to_owned(),
            allowed: say!(
                "must be {}, the version that this program reads; a later one needs a later program",
                crate::VERSION
            ),
            given: describe(version),
        });
    }
    Ok(())
}

/// Where in the file we are; turned into text only when something is wrong.
#[derive(Clone, Copy)]
enum Path<'a> {
    Root,
    Key(&'a Path<'a>, &'a str),
    Index(&'a Path<'a>, usize),
}

impl fmt::Display for Path<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Root => Ok(()),
            Self::Key(parent, key) if !is_plain(key) => {
                let start: String = key.chars().take(LONGEST_SHOWN).collect();
                let rest = if start.len() < key.len() { "…" } else { "" };
                write!(f, "{parent}[{start:?}{rest}]")
            }
            Self::Key(Path::Root, key) => f.write_str(key),
            Self::Key(parent, key) => write!(f, "{parent}.{key}"),
            Self::Index(parent, index) => write!(f, "{parent}[{index}]"),
        }
    }
}

/// Whether a key can stand in a message as it is; others come from a foreign or broken file.
fn is_plain(key: &str) -> bool {
    (1..=LONGEST_SHOWN).contains(&key.len())
        && key.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'_')
}

impl Path<'_> {
    fn refuse(&self, allowed: impl Into<String>, given: impl Into<String>, to: &mut Vec<Refusal>) {
        if to.len() < MOST_REFUSALS {
            let path = if matches!(self, Path::Root) { "$".to_owned() } else { self.to_string() };
            to.push(Refusal { path, allowed: allowed.into(), given: given.into() });
        }
    }
}

/// `tags` are the keys that told the object's kind and are therefore known.
fn check_object(
    spec: &ObjectSpec,
    value: &Value,
    path: &Path,
    tags: &[&str],
    refusals: &mut Vec<Refusal>,
) {
    let Some(object) = value.as_object() else {
        return path.refuse(tr("must be an object"), describe(value), refusals);
    };
    check_fields(spec.fields, object, path, tags, refusals);
}

fn check_fields(
    fields: &[FieldSpec],
    object: &Map<String, Value>,
    path: &Path,
    tags: &[&str],
    refusals: &mut Vec<Refusal>,
) {
    for key in object.keys() {
        if !tags.contains(&key.as_str()) && !fields.iter().any(|field| field.key == key) {
            let known: Vec<&str> =
                tags.iter().copied().chain(fields.iter().map(|field| field.key)).collect();
            Path::Key(path, key).refuse(
                say!("is no field here; allowed are {}", known.join(", ")),
                describe(&object[key]),
                refusals,
            );
        }
    }
    for field in fields {
        let path = Path::Key(path, field.key);
        match object.get(field.key) {
            Some(value) => check_shape(&field.shape, value, &path, refusals),
            None if field.required => {
                path.refuse(say!("must be {}", allowed(&field.shape)), tr("nothing"), refusals);
            }
            None => {}
        }
    }
}

fn check_shape(shape: &Shape, value: &Value, path: &Path, refusals: &mut Vec<Refusal>) {
    let mut refuse = || {
        path.refuse(say!("must be {}", allowed(shape)), describe(value), refusals);
    };
    match shape {
        Shape::Number(spec) => {
            if !value.as_f64().is_some_and(|number| spec.allows(number)) {
                refuse();
            }
        }
        Shape::NumberOrRange(spec) => {
            if value.is_number() {
                return check_shape(&Shape::Number(*spec), value, path, refusals);
            }
            let Some(object) = value.as_object() else { return refuse() };
            for key in object.keys() {
                if key != "low" && key != "high" {
                    Path::Key(path, key).refuse(
                        tr("is no field here; allowed are low, high"),
                        describe(&object[key]),
                        refusals,
                    );
                }
            }
            for key in ["low", "high"] {
                let end = object.get(key).unwrap_or(&Value::Null);
                check_shape(&Shape::Number(*spec), end, &Path::Key(path, key), refusals);
            }
            let end = |key| object.get(key).and_then(Value::as_f64);
            if let (Some(low), Some(high)) = (end("low"), end("high"))
                && low > high
            {
                path.refuse(
                    tr("low must not be above high"),
                    say!("{} and {}", object["low"], object["high"]),
                    refusals,
                );
            }
        }
        Shape::Whole { min, max } => {
            if !whole(value).is_some_and(|number| (*min..=*max).contains(&number)) {
                refuse();
            }
        }
        Shape::WholeOf(allowed) => {
            if !whole(value).is_some_and(|number| allowed.contains(&number)) {
                refuse();
            }
        }
        Shape::Text { longest } => {
            if value.as_str().is_none_or(|text| text.chars().count() > *longest) {
                refuse();
            }
        }
        Shape::Date => {
            if value.as_str().and_then(Day::read).is_none() {
                refuse();
            }
        }
        Shape::Time => {
            if !value.as_str().is_some_and(is_time) {
                refuse();
            }
        }
        Shape::Image { longest } => {
            if let Err((allowed, given)) = image::check(value.as_str(), *longest) {
                path.refuse(allowed, given.unwrap_or_else(|| describe(value)), refusals);
            }
        }
        Shape::Choice(choices) => {
            if !value.as_str().is_some_and(|word| choices.iter().any(|choice| choice.0 == word)) {
                refuse();
            }
        }
        Shape::Exactly(text) => {
            if value.as_str() != Some(text) {
                refuse();
            }
        }
        Shape::Flag => {
            if !value.is_boolean() {
                refuse();
            }
        }
        Shape::Object(spec) => check_object(spec, value, path, &[], refusals),
        Shape::List { item, fewest, most } => {
            let Some(items) = value.as_array() else { return refuse() };
            if items.len() < *fewest || items.len() > *most {
                return path.refuse(
                    say!("must be {}", allowed(shape)),
                    say!("{} items", items.len()),
                    refusals,
                );
            }
            for (index, value) in items.iter().enumerate() {
                check_shape(item, value, &Path::Index(path, index), refusals);
            }
        }
        Shape::Tagged { .. } => check_tagged(shape, value, path, &mut Vec::new(), refusals),
        Shape::OneOf(fields) => {
            let Some(object) = value.as_object() else { return refuse() };
            let known: Vec<&FieldSpec> =
                fields.iter().filter(|field| object.contains_key(field.key)).collect();
            match (object.len(), known.as_slice()) {
                (1, [field]) => check_shape(
                    &field.shape,
                    &object[field.key],
                    &Path::Key(path, field.key),
                    refusals,
                ),
                _ => refuse(),
            }
        }
        Shape::Pair(spec) => {
            let pair = value.as_array().filter(|pair| pair.len() == 2);
            let numbers = pair.and_then(|pair| Some([pair[0].as_f64()?, pair[1].as_f64()?]));
            if !numbers.is_some_and(|numbers| numbers.iter().all(|&number| spec.allows(number))) {
                refuse();
            }
        }
        Shape::FixedOr(other) => {
            let kind = value.get("kind").and_then(Value::as_str);
            match (value.as_object(), other) {
                (Some(object), _) if kind == Some("fixed") => {
                    check_fields(&[], object, path, &["kind"], refusals);
                }
                (Some(object), Shape::Tagged { tag, kinds, .. })
                    if !kinds.iter().any(|known| Some(known.0) == kind) =>
                {
                    let words: Vec<&str> = kinds.iter().map(|kind| kind.0).collect();
                    Path::Key(path, tag).refuse(
                        say!("must be one of fixed, {}", words.join(", ")),
                        describe(object.get(*tag).unwrap_or(&Value::Null)),
                        refusals,
                    );
                }
                (Some(_), _) => check_shape(other, value, path, refusals),
                (None, _) if value.as_str() != Some("fixed") => refuse(),
                (None, _) => {}
            }
        }
    }
}

fn check_tagged<'a>(
    shape: &'a Shape,
    value: &'a Value,
    path: &Path,
    tags: &mut Vec<&'a str>,
    refusals: &mut Vec<Refusal>,
) {
    let Shape::Tagged { tag, kinds, .. } = shape else {
        if let Shape::Object(spec) = shape {
            check_object(spec, value, path, tags, refusals);
        }
        return;
    };
    let Some(object) = value.as_object() else {
        return path.refuse(tr("must be an object"), describe(value), refusals);
    };
    tags.push(tag);
    let given = object.get(*tag).unwrap_or(&Value::Null);
    match kinds.iter().find(|kind| Some(kind.0) == given.as_str()) {
        Some((_, _, body)) => check_tagged(body, value, path, tags, refusals),
        None => {
            let words: Vec<&str> = kinds.iter().map(|kind| kind.0).collect();
            Path::Key(path, tag).refuse(
                say!("must be one of {}", words.join(", ")),
                describe(given),
                refusals,
            );
        }
    }
}

impl NumberSpec {
    /// Whether a number lies in the range; never for NaN and infinities.
    pub fn allows(&self, number: f64) -> bool {
        let least = self.least();
        let low_enough = if self.above { number > least } else { number >= least };
        low_enough && number <= self.max
    }
}

impl fmt::Display for NumberSpec {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = self.unit.symbol();
        let space = if unit.is_empty() { "" } else { " " };
        if self.above {
            f.write_str(&say!("above {} and at most {}{}{}", self.min, self.max, space, unit))
        } else {
            f.write_str(&say!("from {} to {}{}{}", self.min, self.max, space, unit))
        }
    }
}

fn allowed(shape: &Shape) -> String {
    match shape {
        Shape::Number(spec) => say!("a number {}", spec),
        Shape::NumberOrRange(spec) => {
            say!("a number {}, or {{\"low\", \"high\"}} of such numbers", spec)
        }
        Shape::Whole { min, max } => say!("a whole number from {} to {}", min, max),
        Shape::WholeOf(numbers) => {
            let words: Vec<String> = numbers.iter().map(ToString::to_string).collect();
            say!("one of {}", words.join(", "))
        }
        Shape::Text { longest } => say!("text of at most {} characters", longest),
        Shape::Date => tr("a day that there is, as year-month-day such as 2026-03-31").to_owned(),
        Shape::Time => tr("a time of day such as 06:45, from 00:00 to 23:59").to_owned(),
        Shape::Image { longest } => image::allowed(*longest),
        Shape::Choice(choices) => {
            let words: Vec<&str> = choices.iter().map(|choice| choice.0).collect();
            say!("one of {}", words.join(", "))
        }
        Shape::Exactly(text) => format!("\"{text}\""),
        Shape::Flag => tr("true or false").to_owned(),
        Shape::Object(_) | Shape::Tagged { .. } => tr("an object").to_owned(),
        Shape::List { fewest, most, .. } => say!("a list of {} to {} items", fewest, most),
        Shape::OneOf(fields) => {
            let words: Vec<&str> = fields.iter().map(|field| field.key).collect();
            say!("an object with exactly one of {}", words.join(", "))
        }
        Shape::Pair(spec) => say!("a list of two numbers {}", spec),
        Shape::FixedOr(_) => tr("\"fixed\" or a spring object").to_owned(),
    }
}

/// A value as a message shows it: its type, and its content where that is short.
pub(crate) fn describe(value: &Value) -> String {
    match value {
        Value::Null => tr("nothing").to_owned(),
        Value::Bool(flag) => flag.to_string(),
        Value::Number(number) => number.to_string(),
        Value::String(text) if text.chars().count() <= LONGEST_SHOWN => format!("{text:?}"),
        Value::String(text) => say!("text of {} characters", text.chars().count()),
        Value::Array(items) => say!("a list of {} items", items.len()),
        Value::Object(object) if object.len() <= 4 && object.keys().all(|key| is_plain(key)) => {
            let keys: Vec<&str> = object.keys().map(String::as_str).collect();
            say!(
                "an object with {}",
                if keys.is_empty() { tr("nothing").into() } else { keys.join(", ") }
            )
        }
        Value::Object(object) => say!("an object with {} fields", object.len()),
    }
}

/// A whole number; `6.0` is one too.
pub(crate) fn whole(value: &Value) -> Option<i64> {
    value.as_i64().or_else(|| {
        let number = value.as_f64()?;
        (number.fract() == 0.0 && number.abs() < 1e15).then_some(number as i64)
    })
}

/// A JSON value in which every object's keys differ.
struct StrictValue(Value);

impl<'de> Deserialize<'de> for StrictValue {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(StrictVisitor).map(StrictValue)
    }
}

struct StrictVisitor;

impl<'de> Visitor<'de> for StrictVisitor {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(tr("any JSON value"))
    }

    fn visit_bool<E: de::Error>(self, flag: bool) -> Result<Value, E> {
        Ok(Value::Bool(flag))
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Value, E> {
        Ok(number.into())
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<Value, E> {
        Ok(number.into())
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Value, E> {
        serde_json::Number::from_f64(number)
            .map(Value::Number)
            .ok_or_else(|| E::custom(tr("a number must be finite")))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Value, E> {
        Ok(Value::String(text.to_owned()))
    }

    fn visit_unit<E: de::Error>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(StrictValue(item)) = items.next_element()? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut object = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            let StrictValue(value) = entries.next_value()?;
            if object.contains_key(&key) {
                return Err(de::Error::custom(say!(
                    "the key {} stands twice",
                    format_args!("{:?}", key)
                )));
            }
            object.insert(key, value);
        }
        Ok(Value::Object(object))
    }
}
