//! The number itself: digits, thousands, decimals, fractions.

use super::{EntryError, unit};
use crate::{read::json_of_bytes, spec::Unit};
use evenstroke_language::current;

/// A number at the start of a text.
pub(super) struct Found {
    pub value: f64,
    /// Letters that it takes.
    pub length: usize,
    /// Whether it is written as the page would: digits and at most a decimal point.
    pub plain: bool,
}

/// Reads the number at the start of `letters`, which holds at least one letter that is no space, if
/// any.
pub(super) fn read(letters: &[char], unit: Unit) -> Result<Found, EntryError> {
    if let Some(value) = letters.first().copied().and_then(vulgar) {
        return Ok(Found { value, length: 1, plain: false });
    }
    let mut found = decimal(letters)?;
    let rest = &letters[found.length..];
    let is_whole = letters[..found.length].iter().all(|c| c.is_ascii_digit() || *c == ' ');
    if !is_whole {
        return Ok(found);
    }
    let spaces = rest.iter().take_while(|c| **c == ' ').count();
    let after = &rest[spaces..];
    let grouped = letters[..found.length].contains(&' ');
    if let Some(part) = after.first().copied().and_then(vulgar) {
        found.value += part;
        found.length += spaces + 1;
        found.plain = false;
    } else if let (0, Some('-')) = (spaces, rest.first()) {
        // `1-1/2` is one and a half to some and a half to others.
        let part = &rest[1..];
        let is_vulgar = part.first().copied().is_some_and(|c| vulgar(c).is_some());
        if let Some((_, _, length)) = fraction(part).or(is_vulgar.then_some((0.0, 0.0, 1))) {
            let whole: String = letters[..found.length].iter().collect();
            let part: String = part[..length].iter().collect();
            return Err(EntryError::TwoMeanings(
                format!("{whole} {part}"),
                format!("{whole} - {part}"),
            ));
        }
    } else if spaces > 0
        && let Some((above, below, length)) = fraction(after)
        // `120 1/min` is a number with its unit.
        && !matches!(unit::read(after, unit), Ok(Some(_)))
    {
        found.value += above / below;
        found.length += spaces + length;
        found.plain = false;
    } else if grouped && rest.first() == Some(&'/') {
        // `1 100/128` is 1100 over 128, or one and a hundred 128ths.
        let text: Vec<char> = letters[..found.length].to_vec();
        let last = text.iter().rposition(|c| *c == ' ').unwrap_or(0);
        if fraction(&letters[last + 1..]).is_some() {
            let whole: String = text[..last].iter().collect();
            let part: String = text[last + 1..].iter().collect();
            return Err(EntryError::TwoMeanings(
                format!("{whole} + {part}/…"),
                format!("{whole}{part}/…"),
            ));
        }
    }
    Ok(found)
}

/// Whole numbers over each other with less above than below, and how many letters they take.
fn fraction(letters: &[char]) -> Option<(f64, f64, usize)> {
    let above = letters.iter().take_while(|c| c.is_ascii_digit()).count();
    if above == 0 || above > 4 || letters.get(above) != Some(&'/') {
        return None;
    }
    let rest = &letters[above + 1..];
    let below = rest.iter().take_while(|c| c.is_ascii_digit()).count();
    if below == 0 || below > 4 || rest.get(below).is_some_and(|c| ".,".contains(*c)) {
        return None;
    }
    let value = |digits: &[char]| {
        digits.iter().fold(0.0, |value, c| 10.0 * value + f64::from(c.to_digit(10).unwrap_or(0)))
    };
    let (over, under) = (value(&letters[..above]), value(&rest[..below]));
    (over < under && over > 0.0).then_some((over, under, above + 1 + below))
}

/// The fractions that have a letter of their own, as far as rulers have them.
fn vulgar(letter: char) -> Option<f64> {
    Some(match letter {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        _ => return None,
    })
}

/// Digits with what stands between and after them.
fn decimal(letters: &[char]) -> Result<Found, EntryError> {
    let digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
    let mut at = 0;
    // Groups of digits, and the letter before each but the first.
    let mut groups: Vec<String> = vec![String::new()];
    let mut between = Vec::new();
    while let Some(letter) = letters.get(at).copied() {
        match letter {
            '0'..='9' => {
                if let Some(group) = groups.last_mut() {
                    group.push(letter);
                }
            }
            '.' | ',' => {
                between.push(letter);
                groups.push(String::new());
            }
            // A space stands between thousands only: before three digits and no fourth.
            ' ' if digit(at + 1)
                && digit(at + 2)
                && digit(at + 3)
                && !digit(at + 4)
                && (1..=3).contains(&groups.last().map_or(0, String::len))
                && between.iter().all(|c| *c == ' ') =>
            {
                between.push(letter);
                groups.push(String::new());
            }
            _ => break,
        }
        at += 1;
    }
    let thousands = |upto: usize| {
        (1..=3).contains(&groups[0].len()) && groups[1..=upto].iter().all(|group| group.len() == 3)
    };
    // How many groups stand before the decimals; all of them if there are none.
    let last = groups.len() - 1;
    let whole = match between.last() {
        None | Some(' ') => groups.len(),
        Some(sign) => {
            let same = between.iter().filter(|c| *c == sign).count();
            if same == 1 { last } else { groups.len() }
        }
    };
    let grouping = &between[..whole - 1];
    let one_kind = grouping.windows(2).all(|pair| pair[0] == pair[1]);
    if !one_kind || (whole > 1 && !thousands(whole - 1)) {
        return Err(EntryError::NotANumber);
    }
    // Three digits behind the mark that is not this language's own are thousands to some readers.
    let mark = current().decimal_mark();
    let other = if mark == '.' { ',' } else { '.' };
    if between == [other] && thousands(1) && groups[0] != "0" {
        let (a, b) = (&groups[0], &groups[1]);
        return Err(EntryError::TwoMeanings(format!("{a}{mark}{b}"), format!("{a}{b}")));
    }
    if groups.iter().all(String::is_empty) {
        return Err(EntryError::NotANumber);
    }
    let mut text = groups[..whole].concat();
    let lead = text.len() - text.trim_start_matches('0').len();
    text.drain(..lead);
    if text.is_empty() {
        text.push('0');
    }
    if whole <= last && !groups[last].is_empty() {
        text.push('.');
        text.push_str(&groups[last]);
    }
    let exponent = exponent(&letters[at..]);
    text.extend(&letters[at..at + exponent]);
    // By the reader of job files, so that a typed number and a stored one are the same to the last
    // bit.
    let value = json_of_bytes(text.as_bytes())
        .ok()
        .and_then(|number| number.as_f64())
        .ok_or(EntryError::NotANumber)?;
    // A point between thousands is to be explained like a comma: `1.000.000`.
    let plain = !between.contains(&other) && grouping.iter().all(|sign| *sign == ' ');
    Ok(Found { value, length: at + exponent, plain })
}

/// How many letters an exponent takes, if there is one.
fn exponent(letters: &[char]) -> usize {
    if !matches!(letters.first(), Some('e' | 'E')) {
        return 0;
    }
    let sign = usize::from(matches!(letters.get(1), Some('+' | '-')));
    match letters[1 + sign..].iter().take_while(|c| c.is_ascii_digit()).count() {
        0 => 0,
        digits => 1 + sign + digits,
    }
}
