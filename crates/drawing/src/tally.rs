//! What a reader passed over, counted.

/// Different things passed over that are listed; a file with more is not listed all over.
const MOST_LISTED: usize = 100;

/// Things of one kind that were passed over for one reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Skipped {
    /// What they are, such as `TEXT`.
    pub what: String,
    /// Why they were passed over.
    pub why: String,
    /// How many there are.
    pub count: usize,
}

/// Counts what is passed over, and keeps notes.
#[derive(Default)]
pub(crate) struct Tally {
    counts: Vec<Skipped>,
    unlisted: usize,
    pub notes: Vec<String>,
}

impl Tally {
    pub fn skip(&mut self, what: &str, why: &str) {
        let what = crate::refusal::shown(what);
        for skipped in &mut self.counts {
            if skipped.what == what && skipped.why == why {
                skipped.count += 1;
                return;
            }
        }
        if self.counts.len() < MOST_LISTED {
            self.counts.push(Skipped { what, why: why.to_owned(), count: 1 });
        } else {
            self.unlisted += 1;
        }
    }

    pub fn note(&mut self, text: &str) {
        if !self.notes.iter().any(|note| note == text) {
            self.notes.push(text.to_owned());
        }
    }

    /// What was counted, in the order in which it came.
    pub fn skipped(mut self) -> Vec<Skipped> {
        if self.unlisted > 0 {
            self.counts.push(Skipped {
                what: "others".to_owned(),
                why: "not listed one by one".to_owned(),
                count: self.unlisted,
            });
        }
        self.counts
    }
}
