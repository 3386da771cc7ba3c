//! Days and times of day as files hold them.

use std::fmt;

/// A day of the Gregorian calendar from 1900 to 2199; days compare by what comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    year: u16,
    month: u8,
    day: u8,
}

impl Day {
    /// Reads `2026-03-31`; nothing for a day that there is not.
    pub fn read(text: &str) -> Option<Self> {
        let bytes = text.as_bytes();
        if bytes.len() != 10 || bytes[4] != b'-' || bytes[7] != b'-' {
            return None;
        }
        let number = |from: usize, to: usize| -> Option<u16> {
            let digits = text.get(from..to)?;
            digits.bytes().all(|b| b.is_ascii_digit()).then(|| digits.parse().ok())?
        };
        let (year, month, day) = (number(0, 4)?, number(5, 7)?, number(8, 10)?);
        let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let days = match month {
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            1..=12 => 31,
            _ => return None,
        };
        ((1900..2200).contains(&year) && (1..=days).contains(&day)).then_some(Self {
            year,
            month: month as u8,
            day: day as u8,
        })
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// Whether a text is a time of day, `06:45`.
pub fn is_time(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.len() == 5
        && bytes[2] == b':'
        && [0, 1, 3, 4].iter().all(|&i| bytes[i].is_ascii_digit())
        && &bytes[..2] < b"24".as_slice()
        && bytes[3] < b'6'
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2024 and 2000 are leap years, 1900 and 2026 are not (Gregorian calendar).
    #[test]
    fn day_has_to_be_in_the_calendar() {
        for text in ["2024-02-29", "2000-02-29", "2026-12-31", "2026-04-30"] {
            assert_eq!(Day::read(text).expect(text).to_string(), text);
        }
        for text in [
            "2026-02-29",
            "1900-02-29",
            "2026-04-31",
            "2026-13-01",
            "2026-00-10",
            "2026-01-00",
            "26-01-01",
            "2026-1-01",
            "2026/01/01",
            "1899-12-31",
            "2200-01-01",
            "+026-01-01",
            "2026-01-011",
            "",
            "２026-01-1",
        ] {
            assert_eq!(Day::read(text), None, "{text}");
        }
        assert!(Day::read("2026-02-28") < Day::read("2026-03-01"));
    }

    #[test]
    fn time_has_24_hours() {
        for text in ["00:00", "06:45", "23:59"] {
            assert!(is_time(text), "{text}");
        }
        for text in ["24:00", "6:45", "06:60", "06.45", "0645", "", "-1:00"] {
            assert!(!is_time(text), "{text}");
        }
    }
}
