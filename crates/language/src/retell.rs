//! Sentences that come ready-made from a crate or a script that knows no languages.

use crate::{Language, current, decimal, fill::fill_in, table};
use std::fmt::Display;

/// Marks that a script puts around a name or time within its sentences: the isolates of Unicode, which
/// nobody sees.
const ISOLATES: [char; 2] = ['\u{2068}', '\u{2069}'];

/// A ready-made sentence in the language of the moment.
///
/// Its numbers are taken out and a text with a blank for each of them is looked up, so that
/// `bulges must be one for each of the 4 segments` is found as `… each of the {} segments`; so is what
/// stands between isolates. Of `punch diameter must be above 0 mm` both parts are looked up,
/// `punch diameter` and `must be above {} mm`. What is not found stays in English.
pub fn retell(english: &str) -> String {
    if current() != Language::EnglishUs {
        if let Some(whole) = masked(english) {
            return whole;
        }
        if let Some((what, rest)) = english.split_once(" must ")
            && let Some(rule) = masked(&format!("must {rest}"))
        {
            let what = masked(what).unwrap_or_else(|| what.to_owned());
            return format!("{what} {rule}");
        }
    }
    english.replace(ISOLATES, "")
}

/// A text found whole, or with its numbers and what is isolated taken out.
fn masked(english: &str) -> Option<String> {
    if let Some(whole) = table::find(current(), english) {
        return Some(whole.to_owned());
    }
    let mut template = String::new();
    let mut blanks: Vec<String> = Vec::new();
    let mut rest = english;
    while let Some(at) = rest.find(|letter: char| letter.is_ascii_digit() || letter == ISOLATES[0])
    {
        let (start, end, blank) = match rest[at..].strip_prefix(ISOLATES[0]) {
            Some(isolated) => {
                let (inside, after) = isolated.split_once(ISOLATES[1])?;
                (at, rest.len() - after.len(), inside.to_owned())
            }
            None => number_at(rest, at),
        };
        template.push_str(&rest[..start]);
        template.push_str("{}");
        blanks.push(blank);
        rest = &rest[end..];
    }
    template.push_str(rest);
    let values: Vec<&dyn Display> = blanks.iter().map(|blank| blank as &dyn Display).collect();
    table::find(current(), &template).map(|found| fill_in(found, &values))
}

/// Where the number of which a digit stands at `at` begins and ends, and how it is written.
fn number_at(text: &str, at: usize) -> (usize, usize, String) {
    // The sign belongs to the number.
    let start = if text[..at].ends_with('-') { at - 1 } else { at };
    let tail = &text[at..];
    let after = tail.find(|letter: char| !letter.is_ascii_digit() && letter != '.');
    let length = after.unwrap_or(tail.len());
    // A full stop after a number ends the sentence.
    let length = if tail[..length].ends_with('.') { length - 1 } else { length };
    (start, at + length, decimal(text[start..at + length].to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::speaking;

    #[test]
    fn numbers_and_isolated_names_come_back_in_the_sentence() {
        speaking(Language::German, || {
            assert_eq!(retell("must be above 0.5 mm"), "muss über 0,5 mm liegen");
            assert_eq!(
                retell("punch diameter must be above 0 mm"),
                "Stempeldurchmesser muss über 0 mm liegen"
            );
        });
    }

    #[test]
    fn what_no_catalogue_holds_stays_english_without_marks() {
        let text = "Nobody wrote this about \u{2068}a name\u{2069}, 4 times.";
        let plain = "Nobody wrote this about a name, 4 times.";
        assert_eq!(retell(text), plain);
        speaking(Language::Chinese, || assert_eq!(retell(text), plain));
    }
}
