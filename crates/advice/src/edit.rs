//! Changes to a job file as a list of places and values, so that a proposal is applied in one go and
//! taken back in one.

use press_load::Length;
use serde::Serialize;
use serde_json::{Map, Value};
use std::fmt;

/// A value for one place in a job file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Edit {
    /// Where, in the form of a refusal's path: `stations[0].work[1].entry_mm`.
    pub path: String,
    /// What stands there afterwards; null takes away what stood there.
    pub value: Value,
}

/// An edit that does not fit the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoPlace {
    /// Path of the edit.
    pub path: String,
}

impl fmt::Display for NoPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: must be a place in the job file", self.path)
    }
}

impl std::error::Error for NoPlace {}

impl Edit {
    /// Of plain data, an object with `path` and `value`; nothing if it is none.
    pub fn of_value(value: &Value) -> Option<Self> {
        Some(Self::new(value["path"].as_str()?, value.get("value")?.clone()))
    }

    pub(crate) fn new(path: impl Into<String>, value: impl Into<Value>) -> Self {
        Self { path: path.into(), value: value.into() }
    }
}

/// Millimetres as they are written into a file: without the last digits of a conversion.
pub(crate) fn file_mm(length: Length) -> f64 {
    (length.millimetres() * 1e6).round() / 1e6
}

/// One step of a path.
enum Step<'a> {
    Key(&'a str),
    Index(usize),
}

fn steps(path: &str) -> Option<Vec<Step<'_>>> {
    let mut steps = Vec::new();
    for part in path.split('.') {
        let (key, rest) = part.split_at(part.find('[').unwrap_or(part.len()));
        if key.is_empty() {
            return None;
        }
        steps.push(Step::Key(key));
        let mut rest = rest;
        while let Some(inner) = rest.strip_prefix('[') {
            let end = inner.find(']')?;
            steps.push(Step::Index(inner[..end].parse().ok()?));
            rest = &inner[end + 1..];
        }
        if !rest.is_empty() {
            return None;
        }
    }
    Some(steps)
}

/// Puts one value in its place. Objects on the way that are not there are made; an index one past the
/// end of a list adds to it.
fn put(job: &mut Value, edit: &Edit) -> Option<()> {
    let steps = steps(&edit.path)?;
    let (last, way) = steps.split_last()?;
    let mut at = job;
    for step in way {
        at = match step {
            Step::Key(key) => {
                at.as_object_mut()?.entry(*key).or_insert_with(|| Value::Object(Map::new()))
            }
            Step::Index(index) => at.as_array_mut()?.get_mut(*index)?,
        };
    }
    match last {
        Step::Key(key) if edit.value.is_null() => {
            at.as_object_mut()?.shift_remove(*key);
        }
        Step::Key(key) => {
            at.as_object_mut()?.insert((*key).to_owned(), edit.value.clone());
        }
        Step::Index(index) => {
            let items = at.as_array_mut()?;
            match (edit.value.is_null(), index.cmp(&items.len())) {
                (true, std::cmp::Ordering::Less) => {
                    items.remove(*index);
                }
                (false, std::cmp::Ordering::Less) => items[*index] = edit.value.clone(),
                (false, std::cmp::Ordering::Equal) => items.push(edit.value.clone()),
                _ => return None,
            }
        }
    }
    Some(())
}

/// The job file with all edits made.
///
/// # Errors
///
/// [`NoPlace`] naming the first edit whose path leads nowhere; whether the values are allowed is for
/// the reader to say.
pub fn apply(job: &Value, edits: &[Edit]) -> Result<Value, NoPlace> {
    let mut job = job.clone();
    for edit in edits {
        put(&mut job, edit).ok_or_else(|| NoPlace { path: edit.path.clone() })?;
    }
    Ok(job)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn edits_are_made_where_they_point() {
        let job = json!({"die": {"kind": "single"}, "stations": [{"work": [{"entry_mm": 3}]}]});
        let edits = [
            Edit::new("die.placement.x_mm", 12.5),
            Edit::new("stations[0].work[0].entry_mm", 4),
            Edit::new("stations[1]", json!({"name": "Balance"})),
            Edit::new("die.kind", Value::Null),
        ];
        assert_eq!(
            apply(&job, &edits),
            Ok(json!({
                "die": {"placement": {"x_mm": 12.5}},
                "stations": [{"work": [{"entry_mm": 4}]}, {"name": "Balance"}],
            }))
        );
    }

    #[test]
    fn edit_that_points_nowhere_is_named() {
        let job = json!({"stations": [], "title": "t"});
        for path in
            ["stations[1]", "stations[0].work", "title.x", "stations.x", "", "a..b", "a[0", "a[x]"]
        {
            let wrong = apply(&job, &[Edit::new("note", "n"), Edit::new(path, 1)]);
            assert_eq!(wrong, Err(NoPlace { path: path.to_owned() }), "{path}");
        }
    }
}
