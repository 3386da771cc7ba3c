//! Why a drawing is refused: where, what is allowed, what was given.

use std::fmt;

/// Longest text of the file, in characters, that a message repeats.
const LONGEST_SHOWN: usize = 40;

/// What is wrong with a drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Where in the file, such as `line 12`; `the file` for the whole of it.
    pub place: String,
    /// What is allowed there.
    pub allowed: String,
    /// What was given.
    pub given: String,
}

impl Refusal {
    pub(crate) fn new(
        place: impl Into<String>,
        allowed: impl Into<String>,
        given: impl Into<String>,
    ) -> Self {
        Self { place: place.into(), allowed: allowed.into(), given: given.into() }
    }

    /// One that is about the whole file.
    pub(crate) fn of_file(allowed: impl Into<String>, given: impl Into<String>) -> Self {
        Self::new("the file", allowed, given)
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}, given {}", self.place, self.allowed, self.given)
    }
}

impl std::error::Error for Refusal {}

/// Text from the file as a message shows it: short, and without what would steer a terminal.
pub(crate) fn shown(text: &str) -> String {
    let mut short: String = text
        .chars()
        .take(LONGEST_SHOWN)
        .map(|letter| if letter.is_control() { '\u{fffd}' } else { letter })
        .collect();
    if text.chars().nth(LONGEST_SHOWN).is_some() {
        short.push('…');
    }
    short
}
