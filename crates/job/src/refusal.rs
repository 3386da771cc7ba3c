//! Why a file is refused: where, what is allowed, what was given.

use serde::Serialize;
use std::fmt;

/// One thing wrong with a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// Where in the file, such as `stations[0].work[1].entry_mm`; `$` for the file itself.
    pub path: String,
    /// What is allowed there.
    pub allowed: String,
    /// What was given.
    pub given: String,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}, given {}", self.path, self.allowed, self.given)
    }
}

/// All that is wrong with a file; a list where it is serialised.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refused(pub Vec<Refusal>);

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, refusal) in self.0.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{refusal}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Refused {}

impl From<Refusal> for Refused {
    fn from(refusal: Refusal) -> Self {
        Self(vec![refusal])
    }
}
