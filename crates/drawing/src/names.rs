//! Names that stand in a file, and numbers that stand for them.

use std::collections::BTreeMap;

/// Names in the order in which they came; capitals of A to Z and spaces around
/// them do not tell them apart.
#[derive(Default)]
pub(crate) struct Names {
    numbers: BTreeMap<String, u32>,
    pub names: Vec<String>,
}

impl Names {
    /// The number of a name, a new one if it was not there.
    pub fn number(&mut self, name: &str) -> u32 {
        let next = self.names.len() as u32;
        let number = *self.numbers.entry(folded(name)).or_insert(next);
        if number == next {
            self.names.push(name.trim().to_owned());
        }
        number
    }
}

/// Whether two names are the same.
pub(crate) fn is_same(a: &str, b: &str) -> bool {
    folded(a) == folded(b)
}

fn folded(name: &str) -> String {
    // Capitals beyond ASCII would bring tables of all the world's letters into the page.
    name.trim().to_ascii_lowercase()
}
