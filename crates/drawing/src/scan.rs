//! Numbers and words out of text, for both formats.
//!
//! The page reads no other decimal numbers than those of JSON, so that the standard library's exact
//! reader would bring its tables along for drawings alone. This one is off by one unit in the last
//! place at worst.

/// What is left of a text.
#[derive(Clone)]
pub(crate) struct Scanner<'a> {
    rest: &'a [u8],
}

impl<'a> Scanner<'a> {
    pub fn new(text: &'a [u8]) -> Self {
        Self { rest: text }
    }

    /// The next letter, which stays.
    pub fn peek(&self) -> Option<u8> {
        self.rest.first().copied()
    }

    /// The next letter.
    pub fn letter(&mut self) -> Option<u8> {
        let (first, rest) = self.rest.split_first()?;
        self.rest = rest;
        Some(*first)
    }

    /// Goes past white space and commas.
    pub fn skip_separators(&mut self) {
        while let Some(b' ' | b'\t' | b'\r' | b'\n' | 0x0c | b',') = self.peek() {
            self.letter();
        }
    }

    /// Letters of the alphabet up to the next that is none.
    pub fn word(&mut self) -> &'a [u8] {
        let length =
            self.rest.iter().position(|b| !b.is_ascii_alphabetic()).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(length);
        self.rest = rest;
        word
    }

    /// What is left.
    pub fn rest(&self) -> &'a [u8] {
        self.rest
    }

    /// A decimal number without anything before it; nothing is taken if there is none.
    pub fn number(&mut self) -> Option<f64> {
        let mut ahead = self.clone();
        let sign = ahead.sign();
        let (mut mantissa, mut exponent, mut digits) = (0_u64, 0_i32, 0);
        let mut behind_point = false;
        loop {
            match ahead.peek() {
                Some(digit @ b'0'..=b'9') => {
                    digits += 1;
                    // Nineteen digits fit; more say nothing that a number keeps.
                    if mantissa < 1_000_000_000_000_000_000 {
                        mantissa = mantissa * 10 + u64::from(digit - b'0');
                        exponent -= i32::from(behind_point);
                    } else {
                        exponent = exponent.saturating_add(i32::from(!behind_point));
                    }
                }
                Some(b'.') if !behind_point => behind_point = true,
                _ => break,
            }
            ahead.letter();
        }
        if digits == 0 {
            return None;
        }
        if let Some(b'e' | b'E') = ahead.peek() {
            let mut power = ahead.clone();
            power.letter();
            let sign = power.sign();
            let mut value = None;
            while let Some(digit @ b'0'..=b'9') = power.peek() {
                // Far beyond all numbers, and far from the bounds of an integer.
                value = Some((value.unwrap_or(0) * 10 + i32::from(digit - b'0')).min(9_999));
                power.letter();
            }
            // Without digits it is the e of a unit.
            if let Some(value) = value {
                exponent = exponent.saturating_add(if sign < 0.0 { -value } else { value });
                ahead = power;
            }
        }
        *self = ahead;
        Some(sign * scaled(mantissa as f64, exponent))
    }

    fn sign(&mut self) -> f64 {
        let sign = if self.peek() == Some(b'-') { -1.0 } else { 1.0 };
        if let Some(b'+' | b'-') = self.peek() {
            self.letter();
        }
        sign
    }
}

/// A number that stands alone, with nothing but white space around it.
pub(crate) fn number(text: &[u8]) -> Option<f64> {
    let mut scanner = Scanner::new(text.trim_ascii());
    scanner.number().filter(|_| scanner.rest().is_empty())
}

/// `value` times ten to the `exponent`.
fn scaled(value: f64, exponent: i32) -> f64 {
    if value == 0.0 {
        return 0.0;
    }
    // Up to 10²² powers of ten are exact, so that the one division or product rounds once.
    let mut power = 1.0;
    for _ in 0..exponent.unsigned_abs().min(330) {
        power *= 10.0;
    }
    if exponent < 0 { value / power } else { value * power }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_those_of_the_standard_library_to_the_last_place() {
        for text in [
            "0",
            "-0",
            "1",
            "+1",
            "-1.5",
            ".5",
            "5.",
            "1e3",
            "1E-3",
            "25.4",
            "0.1",
            "123.456789",
            "-0.000001",
            "1234567890.123456789",
            "3.14159265358979323846264338327950288",
            "0.30000000000000004",
            "1e22",
            "1e-22",
            "179769313486231570000000000000000000000",
            "1e-300",
            "99999999999999999999999",
            "0.00000000000000000000000123",
        ] {
            let expected: f64 = text.parse().expect("a number");
            let actual = number(text.as_bytes()).expect("a number");
            let exact = text.len() <= 17 && !text.contains("300");
            let tolerance = if exact { 0.0 } else { 1e-13 * expected.abs() };
            assert!((actual - expected).abs() <= tolerance, "{text}: {actual} {expected}");
        }
        assert_eq!(number(b" 2.5\r"), Some(2.5));
        assert_eq!(number(b"1e400"), Some(f64::INFINITY));
        assert_eq!(number(b"1e-400"), Some(0.0));
        for text in ["", "-", ".", "e5", "nan", "inf", "1 2", "1e", "1x", "--1", "0x10"] {
            assert_eq!(number(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn numbers_run_together_where_that_is_clear() {
        let mut scanner = Scanner::new(b".5.5-3+4e1em");
        let read: Vec<f64> = std::iter::from_fn(|| scanner.number()).collect();
        assert_eq!(read, [0.5, 0.5, -3.0, 40.0]);
        assert_eq!(scanner.word(), b"em");
    }
}
