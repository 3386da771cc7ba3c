//! Sentences that come ready-made from a crate that knows no languages.

use crate::{Language, current, decimal, fill::fill_in, table};
use std::fmt::Display;

/// A sentence of the physics or of the reader of drawings in the language of the moment.
///
/// Its numbers are taken out and a text with a blank for each of them is looked up, so that
/// `bulges must be one for each of the 4 segments` is found as `… each of the {} segments`. Of
/// `punch diameter must be above 0 mm` both parts are looked up, `punch diameter` and
/// `must be above {} mm`. What is not found stays in English.
pub fn retell(english: &str) -> String {
    if current() == Language::EnglishUs {
        return english.to_owned();
    }
    if let Some(whole) = masked(english) {
        return whole;
    }
    if let Some((what, rest)) = english.split_once(" must ")
        && let Some(rule) = masked(&format!("must {rest}"))
    {
        let what = masked(what).unwrap_or_else(|| what.to_owned());
        return format!("{what} {rule}");
    }
    english.to_owned()
}

/// A text found whole, or with its numbers taken out.
fn masked(english: &str) -> Option<String> {
    if let Some(whole) = table::find(current(), english) {
        return Some(whole.to_owned());
    }
    let mut template = String::new();
    let mut numbers: Vec<String> = Vec::new();
    let mut rest = english;
    while let Some(at) = rest.find(|letter: char| letter.is_ascii_digit()) {
        // The sign belongs to the number.
        let start = if rest[..at].ends_with('-') { at - 1 } else { at };
        let tail = &rest[at..];
        let after = tail.find(|letter: char| !letter.is_ascii_digit() && letter != '.');
        let mut end = after.unwrap_or(tail.len());
        // A full stop after a number ends the sentence.
        if tail[..end].ends_with('.') {
            end -= 1;
        }
        template.push_str(&rest[..start]);
        template.push_str("{}");
        numbers.push(decimal(rest[start..at + end].to_owned()));
        rest = &tail[end..];
    }
    template.push_str(rest);
    let values: Vec<&dyn Display> = numbers.iter().map(|number| number as &dyn Display).collect();
    table::find(current(), &template).map(|found| fill_in(found, &values))
}
