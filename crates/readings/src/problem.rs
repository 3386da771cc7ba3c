//! Why readings are refused.

use std::fmt;

/// What is wrong with readings, where, what is allowed and what was given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Line of the file, counted from 1, where one is to blame.
    pub line: Option<u64>,
    /// The rest, in words.
    pub text: String,
}

impl Problem {
    /// Of no line in particular.
    pub fn new(text: impl Into<String>) -> Self {
        Self { line: None, text: text.into() }
    }

    /// Of a line.
    pub fn at(line: u64, text: impl Into<String>) -> Self {
        Self { line: Some(line), text: text.into() }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}: ")?;
        }
        f.write_str(&self.text)
    }
}

impl std::error::Error for Problem {}
