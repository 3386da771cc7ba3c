//! Numbers as instruments write them.
//!
//! A reader of our own: that of the standard library rounds the last digit exactly, which no load
//! monitor needs, and is larger than the rest of this crate's reading.

/// What stands between whole and part of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// `12.5`
    Point,
    /// `12,5`
    Comma,
}

impl Decimal {
    /// The mark itself.
    pub const fn mark(self) -> char {
        match self {
            Self::Point => '.',
            Self::Comma => ',',
        }
    }
}

/// Takes spaces from both ends, those that do not break among them.
pub fn trimmed(mut cell: &[u8]) -> &[u8] {
    loop {
        cell = cell.trim_ascii();
        let inner = cell
            .strip_prefix(b"\xC2\xA0")
            .or_else(|| cell.strip_suffix(b"\xC2\xA0"))
            .or_else(|| cell.strip_prefix(b"\xA0"));
        match inner {
            Some(inner) => cell = inner,
            None => return cell,
        }
    }
}

/// The number in a cell, to some two units of its last binary digit; nothing where it is none or has
/// no finite value.
pub fn number(cell: &[u8], decimal: Decimal) -> Option<f64> {
    let cell = trimmed(cell);
    let (negative, mut rest) = match cell {
        [b'-', rest @ ..] | [0xE2, 0x88, 0x92, rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        rest => (false, rest),
    };
    let (mut digits, mut seen, mut exponent, mut after_mark) = (0_u64, false, 0_i32, false);
    while let [first, others @ ..] = rest {
        match first {
            b'0'..=b'9' => {
                seen = true;
                // Nineteen digits fit; those beyond only shift the point.
                if digits < 1_000_000_000_000_000_000 {
                    digits = digits * 10 + u64::from(first - b'0');
                    exponent -= i32::from(after_mark);
                } else {
                    exponent = exponent.saturating_add(i32::from(!after_mark));
                }
            }
            &mark if mark == decimal.mark() as u8 && !after_mark => after_mark = true,
            _ => break,
        }
        rest = others;
    }
    if !seen {
        return None;
    }
    if let [b'e' | b'E', power @ ..] = rest {
        let (sign, power) = match power {
            [b'-', power @ ..] => (-1, power),
            [b'+', power @ ..] => (1, power),
            power => (1, power),
        };
        if power.is_empty() {
            return None;
        }
        let mut value = 0_i32;
        for digit in power {
            if !digit.is_ascii_digit() {
                return None;
            }
            value = (value * 10 + i32::from(digit - b'0')).min(9_999);
        }
        exponent = exponent.saturating_add(sign * value);
        rest = &[];
    }
    if !rest.is_empty() {
        return None;
    }
    let mut value = digits as f64;
    while exponent != 0 && value != 0.0 && value.is_finite() {
        // Powers of ten up to 22 are exact.
        let step = exponent.clamp(-22, 22);
        let power = 10_f64.powi(step.abs());
        value = if step < 0 { value / power } else { value * power };
        exponent -= step;
    }
    value.is_finite().then_some(if negative { -value } else { value })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_the_standard_library_reads_them() {
        for text in [
            "0",
            "1",
            "-1",
            "+1.5",
            "12.25",
            ".5",
            "5.",
            "1e3",
            "1E-3",
            "-2.5e+2",
            "0.1",
            "123456789012345678901234",
            "1.7976931348623157e308",
            "4.9e-324",
            "0e999999",
            " 7 ",
        ] {
            let expected: f64 = text.trim().parse().expect("a number");
            let found = number(text.as_bytes(), Decimal::Point).expect(text);
            assert!((found - expected).abs() <= 4e-16 * expected.abs(), "{text}: {found}");
        }
    }

    #[test]
    fn what_is_no_number_is_none() {
        for text in [
            "", " ", "-", ".", "e5", "1e", "1e+", "1.2.3", "1,5", "nan", "inf", "1e999", "0x10",
            "1 2", "--1", "12:30",
        ] {
            assert_eq!(number(text.as_bytes(), Decimal::Point), None, "{text}");
        }
        assert_eq!(number(b"1.5", Decimal::Comma), None);
        assert_eq!(number(b"-1,5", Decimal::Comma), Some(-1.5));
        assert_eq!(number("\u{a0}−3,5\u{a0}".as_bytes(), Decimal::Comma), Some(-3.5));
    }
}
