//! Width of text where no font can be asked, and numbers as the user reads them.

use evenstroke_language::decimal;

/// How heavy a text is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Weight {
    Regular,
    Bold,
}

/// Estimated width of `text` at `size`, in the unit of `size`.
///
/// Advance widths as common to wide sans faces, so a narrower face leaves a little air and never
/// runs into its neighbour.
pub(crate) fn estimated_width(text: &str, size: f64, weight: Weight) -> f64 {
    let ems: f64 = text.chars().map(advance_in_ems).sum();
    let heavier = match weight {
        Weight::Regular => 1.0,
        Weight::Bold => 1.1,
    };
    ems * size * heavier
}

fn advance_in_ems(character: char) -> f64 {
    match character {
        'i' | 'j' | 'l' | '\'' | '|' => 0.28,
        ' ' | '.' | ',' | ':' | ';' | 'I' | '\u{a0}' | '·' => 0.33,
        'f' | 'r' | 't' | '(' | ')' | '[' | ']' | '/' | '-' => 0.4,
        'm' | 'w' | 'M' | 'W' | '%' | '@' | '…' | '—' => 0.95,
        '→' | '←' | '↑' | '↓' | '×' => 0.84,
        'A'..='Z' => 0.7,
        // Chinese characters and their punctuation fill a square.
        '\u{2e80}'.. => 1.0,
        _ => 0.62,
    }
}

/// A number with as many decimals as the reader needs: three figures that count, at most two
/// decimals.
pub(crate) fn number(value: f64) -> String {
    let decimals = match value.abs() {
        size if size >= 100.0 => 0,
        size if size >= 10.0 => 1,
        _ => 2,
    };
    let text = format!("{value:.decimals$}");
    let text = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    // A small negative number may round to zero.
    match text {
        "-0" => "0".to_owned(),
        _ => decimal(text.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_carry_three_figures_that_count() {
        for (value, text) in [
            (1281.4, "1281"),
            (41.28, "41.3"),
            (4.127, "4.13"),
            (4.1, "4.1"),
            (0.0, "0"),
            (-0.001, "0"),
            (100.0, "100"),
        ] {
            assert_eq!(number(value), text);
        }
    }

    /// Chinese type is set in squares (from memory: W3C, Requirements for Chinese Text Layout).
    #[test]
    fn chinese_text_is_as_wide_as_its_squares() {
        assert_eq!(estimated_width("滑块高度，", 10.0, Weight::Regular), 50.0);
    }

    #[test]
    fn bold_text_is_estimated_wider() {
        let regular = estimated_width("press allows", 12.0, Weight::Regular);
        let bold = estimated_width("press allows", 12.0, Weight::Bold);
        assert!(bold > regular && regular > 12.0 * 5.0);
    }
}
