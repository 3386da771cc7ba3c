//! The encoding windows-1252, as browsers read it: one letter for every byte.
//!
//! Source: Encoding Standard (WHATWG), index windows-1252.

use crate::Failure;

/// The letters of the bytes from 80 to 9F; all others are those of the same number.
const HIGH: [char; 32] = [
    '\u{20ac}', '\u{81}', '\u{201a}', '\u{192}', '\u{201e}', '\u{2026}', '\u{2020}', '\u{2021}',
    '\u{2c6}', '\u{2030}', '\u{160}', '\u{2039}', '\u{152}', '\u{8d}', '\u{17d}', '\u{8f}',
    '\u{90}', '\u{2018}', '\u{2019}', '\u{201c}', '\u{201d}', '\u{2022}', '\u{2013}', '\u{2014}',
    '\u{2dc}', '\u{2122}', '\u{161}', '\u{203a}', '\u{153}', '\u{9d}', '\u{17e}', '\u{178}',
];

/// The letter that a byte is read as.
pub fn letter(byte: u8) -> char {
    match byte {
        0x80..=0x9f => HIGH[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}

/// The bytes of a text, or the first letter that has none.
pub fn bytes(text: &str) -> Result<Vec<u8>, Failure> {
    text.chars()
        .map(|letter| {
            let high = HIGH.iter().position(|&other| other == letter);
            let byte = high.map(|place| 0x80 + place as u8).or_else(|| match letter {
                '\u{80}'..='\u{9f}' => None,
                _ => u8::try_from(letter).ok(),
            });
            byte.ok_or_else(|| format!("the saved page cannot hold the letter {letter:?} as it is"))
        })
        .collect()
}

/// A piece of HTML in ASCII: other letters become references by number.
pub fn html(text: &str) -> String {
    ascii(text, |letter| format!("&#{};", u32::from(letter)))
}

/// JSON in ASCII.
pub fn json(text: &str) -> String {
    ascii(text, |letter| {
        let mut units = [0; 2];
        letter.encode_utf16(&mut units).iter().map(|unit| format!("\\u{unit:04x}")).collect()
    })
}

/// A style in ASCII.
pub fn style(text: &str) -> String {
    ascii(text, |letter| format!("\\{:x} ", u32::from(letter)))
}

fn ascii(text: &str, other: impl Fn(char) -> String) -> String {
    let mut result = String::with_capacity(text.len());
    for letter in text.chars() {
        if letter.is_ascii() {
            result.push(letter);
        } else {
            result += &other(letter);
        }
    }
    result
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_byte_is_a_letter_of_its_own() {
        let all: Vec<u8> = (0..=255).collect();
        let text: String = all.iter().map(|&byte| letter(byte)).collect();
        assert_eq!(bytes(&text).unwrap(), all);
    }

    #[test]
    fn letters_outside_are_refused_by_name() {
        assert!(bytes("a\u{4e2d}").unwrap_err().contains('\u{4e2d}'));
        assert!(bytes("\u{80}").is_err());
    }

    #[test]
    fn text_becomes_ascii_that_means_the_same() {
        assert_eq!(html("2 \u{d7} \u{4e2d}"), "2 &#215; &#20013;");
        assert_eq!(json("\"\u{e9}\u{1f527}\""), "\"\\u00e9\\ud83d\\udd27\"");
        assert_eq!(style("content: \"\u{2013}\""), "content: \"\\2013 \"");
    }
}
