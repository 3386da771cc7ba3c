//! A job file that is refused, mended as text: where a path of a refusal stands, and another value put
//! there. Nothing else of the text is touched, so that nothing of the file is lost.

use crate::{FORMAT, Refused, read::LARGEST_FILE};
use serde_json::Value;
use std::ops::Range;

/// One step of a path.
enum Step {
    Key(String),
    Item(usize),
}

/// Whether a text that is refused is a job that can be mended here: not one of a later version, whose
/// fields mean something we do not know, and no file of ours of another kind.
pub fn can_be_mended(text: &str, refused: &Refused) -> bool {
    let is_later = refused.0.iter().any(|refusal| refusal.path == "version");
    let format: Option<String> =
        value_at(text, "format").and_then(|format| serde_json::from_str(format).ok());
    let is_another =
        format.is_some_and(|format| format != FORMAT && format.starts_with("evenstroke-"));
    !is_later && !is_another && !text.trim().is_empty() && text.len() <= LARGEST_FILE
}

/// Where the value at the path of a refusal stands in a text that is JSON, in bytes; where the path
/// leads nowhere, the innermost value on the way to it. In a text that is no JSON it is the place that
/// `given` of the refusal names by line and column.
pub fn place_of(text: &str, path: &str, given: &str) -> Range<usize> {
    if let Some(at) = line_and_column(text, given) {
        return at;
    }
    let found = found(text, path);
    found.0
}

/// The text with `value` at the path of a refusal: put in the place of what stands there, or added to
/// the object in which it is missing. `value` is JSON, or else becomes a text. Nothing where the path
/// leads nowhere.
pub fn with_value(text: &str, path: &str, value: &str) -> Option<String> {
    let value = value.trim();
    let is_json = serde_json::from_str::<Value>(value).is_ok();
    let value = if is_json { value.to_owned() } else { Value::from(value).to_string() };
    let (place, missing) = found(text, path);
    match missing.as_slice() {
        [] => Some(format!("{}{value}{}", &text[..place.start], &text[place.end..])),
        [Step::Key(key)] if text.as_bytes().get(place.start) == Some(&b'{') => {
            let after = place.start + 1;
            let is_empty = text[after..].trim_start().starts_with('}');
            let comma = if is_empty { "" } else { "," };
            let key = Value::from(key.as_str());
            Some(format!("{}{key}: {value}{comma}{}", &text[..after], &text[after..]))
        }
        _ => None,
    }
}

/// The text without the field at the path of a refusal; nothing where there is no such field.
pub fn without(text: &str, path: &str) -> Option<String> {
    let (place, missing) = found(text, path);
    let last = steps_of(path).pop()?;
    let (Step::Key(_), []) = (last, missing.as_slice()) else { return None };
    // From the quote of its key, which stands before the colon, over the comma on either side.
    let before = text[..place.start].trim_end_matches([':', ' ', '\t', '\r', '\n']);
    let opening = before.strip_suffix('"')?;
    let mut start = opening.rfind('"')?;
    while text[..start].ends_with('\\') {
        start = text[..start].rfind('"')?;
    }
    let after = past_space(text, place.end);
    if text.as_bytes().get(after) == Some(&b',') {
        return Some(format!("{}{}", &text[..start], &text[past_space(text, after + 1)..]));
    }
    let kept = text[..start].trim_end();
    Some(format!("{}{}", kept.strip_suffix(',').unwrap_or(kept), &text[place.end..]))
}

/// The JSON text of the value at a path, if there is one.
pub fn value_at<'a>(text: &'a str, path: &str) -> Option<&'a str> {
    let (place, missing) = found(text, path);
    missing.is_empty().then(|| &text[place])
}

/// The innermost value on the way to a path, and the steps that are left from there.
fn found(text: &str, path: &str) -> (Range<usize>, Vec<Step>) {
    let start = text.len() - text.trim_start_matches(['\u{feff}', ' ', '\t', '\r', '\n']).len();
    let whole = start..value_end(text, start).unwrap_or(text.len());
    let mut place = whole;
    let mut steps = steps_of(path).into_iter();
    while let Some(step) = steps.next() {
        match child(text, place.start, &step) {
            Some(inner) => place = inner,
            None => return (place, std::iter::once(step).chain(steps).collect()),
        }
    }
    (place, Vec::new())
}

/// The steps of a path as refusals write it: `stations[0].work[1].entry_mm`, `press["odd key"]`, `$`.
fn steps_of(path: &str) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut rest = path;
    while !rest.is_empty() {
        if let Some(inner) = rest.strip_prefix("[\"") {
            // The key is written as a Rust text, which escapes like JSON where it matters here.
            let end = string_end(rest, 1).unwrap_or(rest.len());
            let key = serde_json::from_str(&rest[1..end]).unwrap_or_else(|_| inner.to_owned());
            steps.push(Step::Key(key));
            rest = rest[end..].trim_start_matches(['…', ']']);
        } else if let Some(inner) = rest.strip_prefix('[') {
            let end = inner.find(']').unwrap_or(inner.len());
            if let Ok(index) = inner[..end].parse() {
                steps.push(Step::Item(index));
            }
            rest = inner[end..].trim_start_matches(']');
        } else {
            let trimmed = rest.trim_start_matches('.');
            let end = trimmed.find(['.', '[']).unwrap_or(trimmed.len());
            if !trimmed[..end].is_empty() && &trimmed[..end] != "$" {
                steps.push(Step::Key(trimmed[..end].to_owned()));
            }
            rest = &trimmed[end..];
        }
    }
    steps
}

/// The value one step inside the object or list that begins at `start`.
fn child(text: &str, start: usize, step: &Step) -> Option<Range<usize>> {
    let is_object = match (text.as_bytes().get(start)?, step) {
        (b'{', Step::Key(_)) => true,
        (b'[', Step::Item(_)) => false,
        _ => return None,
    };
    let mut at = start + 1;
    let mut index = 0;
    loop {
        at = past_space(text, at);
        let mut is_it = matches!(step, Step::Item(wanted) if *wanted == index);
        if is_object {
            let end = string_end(text, at)?;
            let key: String = serde_json::from_str(&text[at..end]).ok()?;
            is_it = matches!(step, Step::Key(wanted) if *wanted == key);
            at = past_space(text, end);
            if text.as_bytes().get(at) != Some(&b':') {
                return None;
            }
            at = past_space(text, at + 1);
        }
        let end = value_end(text, at)?;
        if is_it {
            return Some(at..end);
        }
        at = past_space(text, end);
        if text.as_bytes().get(at) != Some(&b',') {
            return None;
        }
        at += 1;
        index += 1;
    }
}

fn past_space(text: &str, at: usize) -> usize {
    let space = text.bytes().skip(at).take_while(|byte| b" \t\r\n".contains(byte)).count();
    at + space
}

/// The end of the text in quotes that begins at `at`.
fn string_end(text: &str, at: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    if bytes.get(at) != Some(&b'"') {
        return None;
    }
    let mut at = at + 1;
    loop {
        match bytes.get(at)? {
            b'"' => return Some(at + 1),
            b'\\' => at += 2,
            _ => at += 1,
        }
    }
}

/// The end of the value that begins at `at`.
fn value_end(text: &str, at: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut depth = 0_usize;
    let mut at = at;
    loop {
        match bytes.get(at) {
            Some(b'"') => {
                at = string_end(text, at)?;
            }
            Some(b'{' | b'[') => {
                depth += 1;
                at += 1;
                continue;
            }
            Some(b'}' | b']') if depth > 0 => {
                depth -= 1;
                at += 1;
            }
            Some(b',' | b':' | b' ' | b'\t' | b'\r' | b'\n') if depth > 0 => {
                at += 1;
                continue;
            }
            Some(b'}' | b']' | b',' | b':') | None => return None,
            Some(_) => {
                let word = bytes[at..].iter().take_while(|byte| !b",]}: \t\r\n".contains(byte));
                at += word.count();
            }
        }
        if depth == 0 {
            return Some(at);
        }
    }
}

/// The letter at the line and column that a message names at its end.
fn line_and_column(text: &str, message: &str) -> Option<Range<usize>> {
    let (_, end) = message.split_once(" at line ")?;
    let (line, column) = end.split_once(" column ")?;
    let (line, column): (usize, usize) = (line.parse().ok()?, column.parse().ok()?);
    let lines = text.split_inclusive('\n').take(line.checked_sub(1)?).map(str::len);
    let mut start = (lines.sum::<usize>() + column.saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let letter = text[start..].chars().next().map_or(0, char::len_utf8);
    Some(start..start + letter)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Job, demo::DEMOS, read::json_of_bytes};

    const TEXT: &str = r#" {"title": "a \" {b}", "press": {"name": null, "x y": [1, [2, 3]]},
  "stations": [{}, {"work": [{"entry_mm": -4.5e0}]}]}"#;

    #[test]
    fn the_place_of_a_path_is_found_in_the_text() {
        let at = |path| &TEXT[place_of(TEXT, path, "")];
        assert_eq!(at("stations[1].work[0].entry_mm"), "-4.5e0");
        assert_eq!(at("title"), r#""a \" {b}""#);
        assert_eq!(at(r#"press["x y"][1][0]"#), "2");
        assert_eq!(at("press.name"), "null");
        assert_eq!(at("$"), TEXT.trim());
        assert_eq!(at("stations[0].work"), "{}", "of what is missing, what it is missing in");
        assert_eq!(value_at(TEXT, "stations[0].work"), None);
    }

    #[test]
    fn a_value_is_put_in_its_place_and_nothing_else_changes() {
        let mended = with_value(TEXT, "stations[1].work[0].entry_mm", "4.5").expect("it is there");
        assert_eq!(mended, TEXT.replace("-4.5e0", "4.5"));
        let named = with_value(TEXT, "press.name", "Press 12").expect("it is there");
        assert_eq!(named, TEXT.replace("null", "\"Press 12\""));
        let added = with_value(TEXT, "stations[0].work", "[]").expect("its station is there");
        assert_eq!(added, TEXT.replace("[{},", r#"[{"work": []},"#));
        assert_eq!(with_value(TEXT, "stations[7].work", "[]"), None);
    }

    #[test]
    fn a_field_is_taken_out_with_its_comma() {
        let text = r#"{"a": 1, "b \" c": {"d": [2]}, "e": 3}"#;
        assert_eq!(without(text, "a").expect("a"), r#"{"b \" c": {"d": [2]}, "e": 3}"#);
        assert_eq!(without(text, "e").expect("e"), r#"{"a": 1, "b \" c": {"d": [2]}}"#);
        assert_eq!(
            without(text, r#"["b \" c"].d"#).expect("d"),
            r#"{"a": 1, "b \" c": {}, "e": 3}"#
        );
        let left = without(text, r#"["b \" c"]"#).expect("a key with a quote");
        assert_eq!(left, r#"{"a": 1, "e": 3}"#);
        for path in ["$", "z", r#"["b \" c"].d[0]"#, ""] {
            assert_eq!(without(text, path), None, "{path}");
        }
    }

    #[test]
    fn a_broken_text_is_marked_where_reading_stopped() {
        let text = "{\n  \"title\": \"é\",\n  \"press\" 5\n}";
        let refused = json_of_bytes(text.as_bytes()).expect_err("it is no JSON");
        let place = place_of(text, &refused.0[0].path, &refused.0[0].given);
        assert_eq!(&text[place], "5", "{}", refused.0[0].given);
    }

    #[test]
    fn every_refusal_of_a_damaged_demo_can_be_mended_in_its_text() {
        let good = DEMOS[0].text;
        for (path, bad) in [
            ("press.rated_force_kn", "\"much\""),
            ("stations[0].work[0].entry_mm", "-1"),
            ("stock.tensile_mpa.low", "1e99"),
            ("die.kind", "\"odd\""),
        ] {
            let was = value_at(good, path).unwrap_or_else(|| panic!("{path} stands in the demo"));
            let text = with_value(good, path, bad).expect("it is there");
            let refused = Job::read(&text).expect_err(bad);
            let told = &refused.0[0];
            assert_eq!(&text[place_of(&text, &told.path, &told.given)], bad, "{refused}");
            let mended = with_value(&text, &told.path, was).expect("it is there");
            assert_eq!(mended, good);
        }
    }

    #[test]
    fn a_later_version_and_other_files_of_ours_are_not_mended_here() {
        let can = |text: &str| can_be_mended(text, &Job::read(text).expect_err(text));
        assert!(can("{}") && can("{\"format\": \"evenstroke-job\", \"version\": 1}"));
        assert!(can(&DEMOS[0].text[1..]));
        assert!(!can("{\"format\": \"evenstroke-job\", \"version\": 2}"));
        assert!(!can("{\"format\": \"evenstroke-library\", \"version\": 1}"));
        assert!(!can(" \n"));
    }

    #[test]
    fn any_text_and_any_path_give_a_place_inside_the_text() {
        for text in ["", "{", "[1,", "\"", "{\"a\"", "{\"a\":}", "é", "}{", "[[[[", "{\"a\": \"\\"]
        {
            for path in ["", "$", "a", "a.b[3]", "[", "[\"", "[\"a", "a[99999999999999999999]", "."]
            {
                let place = place_of(text, path, "at line 9 column 99");
                assert!(text.get(place).is_some(), "{text} {path}");
                let place = place_of(text, path, "");
                assert!(text.get(place).is_some(), "{text} {path}");
                let _ = (with_value(text, path, "1"), without(text, path), value_at(text, path));
            }
        }
    }
}
