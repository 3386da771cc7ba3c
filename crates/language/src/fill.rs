//! Sentences with blanks.

use crate::{current, table};
use std::fmt::{Display, Write};

/// The template in the language of the moment, its blanks filled with `values`.
///
/// `{}` takes the next value, `{1}` the second one; `{{` and `}}` are braces. A blank for which there is
/// no value stays as it is.
pub fn fill(template: &'static str, values: &[&dyn Display]) -> String {
    fill_in(table::find(current(), template).unwrap_or(template), values)
}

/// The same with the template as it is.
pub(crate) fn fill_in(template: &str, values: &[&dyn Display]) -> String {
    let mut out = String::with_capacity(template.len() + 8 * values.len());
    let mut next = 0;
    let mut rest = template;
    while let Some(at) = rest.find(['{', '}']) {
        out.push_str(&rest[..at]);
        let tail = &rest[at..];
        if tail.starts_with("{{") || tail.starts_with("}}") {
            out.push_str(&tail[..1]);
            rest = &tail[2..];
            continue;
        }
        let Some(end) = tail.find('}').map(|end| end + 1) else {
            out.push_str(tail);
            return out;
        };
        let blank = &tail[..end];
        let name = blank.trim_matches(['{', '}']);
        let index = if name.is_empty() {
            next += 1;
            Some(next - 1)
        } else {
            name.parse::<usize>().ok()
        };
        match index.and_then(|index| values.get(index)) {
            // Writing to a string does not fail.
            Some(value) => _ = write!(out, "{value}"),
            None => out.push_str(blank),
        }
        rest = &tail[end..];
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::fill_in;

    #[test]
    fn blanks_are_filled_in_order_or_by_number() {
        assert_eq!(fill_in("{} of {}", &[&1, &"two"]), "1 of two");
        assert_eq!(fill_in("{1}: {0}", &[&1, &"two"]), "two: 1");
        assert_eq!(fill_in("{{\"file\"}} at {}", &[&3.5]), "{\"file\"} at 3.5");
        assert_eq!(fill_in("nothing", &[]), "nothing");
    }

    #[test]
    fn a_blank_without_a_value_stays() {
        assert_eq!(fill_in("{} and {}", &[&1]), "1 and {}");
        assert_eq!(fill_in("{7}", &[&1]), "{7}");
        assert_eq!(fill_in("open {", &[&1]), "open {");
    }
}
