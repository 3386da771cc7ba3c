//! Places in the job as JSON, and what stands there.

use serde_json::{Map, Value};
use std::fmt;

/// One step into the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// A field of an object.
    Key(&'static str),
    /// An item of a list.
    Item(usize),
}

/// A place in the job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Path(Vec<Step>);

impl Path {
    /// The whole job.
    pub fn root() -> Self {
        Self::default()
    }

    /// A field of the object here.
    pub fn key(&self, key: &'static str) -> Self {
        self.with(Step::Key(key))
    }

    /// An item of the list here.
    pub fn item(&self, index: usize) -> Self {
        self.with(Step::Item(index))
    }

    fn with(&self, step: Step) -> Self {
        let mut steps = self.0.clone();
        steps.push(step);
        Self(steps)
    }

    /// The object that holds this field, and the field's key.
    pub fn split(&self) -> Option<(Self, &'static str)> {
        match self.0.split_last()? {
            (Step::Key(key), parents) => Some((Self(parents.to_vec()), *key)),
            (Step::Item(_), _) => None,
        }
    }

    /// What stands here.
    pub fn get<'a>(&self, root: &'a Value) -> Option<&'a Value> {
        self.0.iter().try_fold(root, |value, step| match step {
            Step::Key(key) => value.get(key),
            Step::Item(index) => value.get(index),
        })
    }

    /// Puts `value` here; objects on the way that are missing are made. A list item that does not
    /// exist is left alone.
    pub fn set(&self, root: &mut Value, value: Value) {
        let mut place = root;
        for step in &self.0 {
            place = match step {
                Step::Key(key) => {
                    if !place.is_object() {
                        *place = Value::Object(Map::new());
                    }
                    &mut place[*key]
                }
                Step::Item(index) => match place.get_mut(index) {
                    Some(item) => item,
                    None => return,
                },
            };
        }
        *place = value;
    }

    /// Takes away what stands here, and objects that are left empty by it.
    pub fn remove(&self, root: &mut Value) {
        let Some((last, parents)) = self.0.split_last() else { return };
        let parent = Self(parents.to_vec());
        let Some(place) = parent.get_mut(root) else { return };
        match last {
            Step::Key(key) => {
                if let Some(object) = place.as_object_mut() {
                    object.shift_remove(*key);
                    if object.is_empty() && matches!(parents.last(), Some(Step::Key(_))) {
                        parent.remove(root);
                    }
                }
            }
            Step::Item(index) => {
                if let Some(list) = place.as_array_mut()
                    && *index < list.len()
                {
                    list.remove(*index);
                }
            }
        }
    }

    /// What stands here, to be changed.
    pub fn get_mut<'a>(&self, root: &'a mut Value) -> Option<&'a mut Value> {
        self.0.iter().try_fold(root, |value, step| match step {
            Step::Key(key) => value.get_mut(*key),
            Step::Item(index) => value.get_mut(*index),
        })
    }
}

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, step) in self.0.iter().enumerate() {
            match step {
                Step::Key(key) if index == 0 => write!(f, "{key}")?,
                Step::Key(key) => write!(f, ".{key}")?,
                Step::Item(item) => write!(f, "[{item}]")?,
            }
        }
        Ok(())
    }
}
