//! What people type where a number is asked for: `12,5`, `1 1/2"`, `2 x 30`, `25 US ton-f`.
//!
//! ```text
//! sum     = product { ("+" | "-") product }
//! product = factor { ("x" | "*" | "/") factor }
//! factor  = [ "+" | "-" ] ( number | "(" sum ")" ) [ unit ]
//! number  = digits, with a decimal point or comma and spaces between thousands, and a fraction
//! ```
//!
//! A unit after a product names the whole of it, so that `3/8 in` is three eighths of an inch. What
//! has two meanings is refused and both are named: `1,392`, `1-1/2`, a bare ton, a gauge number.

mod number;
mod row;
mod unit;

pub use row::{RowError, read_row};

use crate::{
    spec::{NumberSpec, Unit},
    units::UnitSystem,
};
use evenstroke_language::{decimal, say, tr};
use std::fmt;

/// Longest text that is read, in characters.
pub const LONGEST: usize = 100;
/// Deepest nesting of parentheses.
const DEEPEST: usize = 8;

/// A number that was typed, understood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// In the unit of the file.
    pub value: f64,
    /// Whether it was typed as the page would write it, so that there is nothing to explain.
    pub plain: bool,
}

/// Why what was typed is no number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EntryError {
    /// It is no number and no arithmetic.
    NotANumber,
    /// It is longer than [`LONGEST`].
    TooLong,
    /// It divides by zero or is beyond all numbers.
    NotFinite,
    /// Two readings, both written so that they have one meaning.
    TwoMeanings(String, String),
    /// A word that is no unit of the field, and the units that are.
    UnitUnknown(String, String),
    /// A ton of which there are two; what the field calls the metric one.
    WhichTon(&'static str),
    /// A gauge number, which differs from table to table.
    Gauge,
    /// A sum of which some parts have units that differ and others have none.
    UnitMissing,
    /// A product of which more than one part has a unit.
    UnitTwice,
}

impl fmt::Display for EntryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotANumber => tr("must be a number, such as 12.5, 1 1/2 or 2 x 30"),
            Self::TooLong => tr("must be at most 100 characters long"),
            Self::NotFinite => tr("must be a number that is not divided by zero"),
            Self::TwoMeanings(one, other) => {
                return f.write_str(&say!("has two meanings: write {} or {}", one, other));
            }
            Self::UnitUnknown(word, known) => {
                return match known.as_str() {
                    "" => f.write_str(&say!("takes no unit, so “{}” is not understood", word)),
                    _ => f.write_str(&say!("takes {}, so “{}” is not understood", known, word)),
                };
            }
            Self::WhichTon(metric) => {
                return f.write_str(&say!(
                    "must say which ton: US ton (2000 lb) or {} (1000 kg)",
                    metric
                ));
            }
            Self::Gauge => tr("must be in mm or in: gauge numbers differ from table to table"),
            Self::UnitMissing => tr("must have a unit at every part or at none"),
            Self::UnitTwice => tr("must have a unit at one part of a product only"),
        })
    }
}

/// Reads what was typed in a field of `unit`; a number without a unit is in that of `system`.
/// Nothing typed is no error here.
///
/// # Errors
///
/// [`EntryError`]; a text that has one is never half understood.
pub fn read(text: &str, unit: Unit, system: UnitSystem) -> Result<Option<Entry>, EntryError> {
    if text.chars().count() > LONGEST {
        return Err(EntryError::TooLong);
    }
    let letters: Vec<char> = text.chars().map(usual).collect();
    let mut reader = Reader { letters: &letters, at: 0, unit, depth: 0, plain: true };
    reader.skip_spaces();
    if reader.is_at_end() {
        return Ok(None);
    }
    let amount = reader.sum()?;
    if !reader.is_at_end() {
        return Err(EntryError::NotANumber);
    }
    let value = match amount.unit {
        Named::Nothing => system.to_file(amount.number, unit),
        Named::Unit(factor) => times(amount.number, factor),
        Named::Several => amount.number,
    };
    if value.is_finite() {
        Ok(Some(Entry { value, plain: reader.plain }))
    } else {
        Err(EntryError::NotFinite)
    }
}

/// Reads a number alone, without arithmetic or unit, as in a line of a table.
///
/// # Errors
///
/// [`EntryError`] as [`read`].
pub fn read_number(text: &str) -> Result<Option<f64>, EntryError> {
    let is_number = |c: char| c.is_ascii_digit() || c.is_whitespace() || ".,+-−eE".contains(c);
    if !text.chars().all(is_number) {
        return Err(EntryError::NotANumber);
    }
    // A minus after the first letter is a difference, unless it is that of an exponent.
    let trimmed = text.trim();
    let later = trimmed.char_indices().skip(1);
    for (at, letter) in later {
        if "+-−".contains(letter) && !trimmed[..at].ends_with(['e', 'E']) {
            return Err(EntryError::NotANumber);
        }
    }
    Ok(read(text, Unit::One, UnitSystem::Metric)?.map(|entry| entry.value))
}

/// What is allowed, in the units on screen: `above 0 and at most 500 kN`.
pub fn range_words(spec: &NumberSpec, system: UnitSystem) -> String {
    let show = |value: f64| decimal(digits(system.to_screen(value, spec.unit)));
    let (low, high) = (show(spec.min), show(spec.max));
    let symbol = system.symbol(spec.unit);
    let gap = if symbol.is_empty() || spec.unit == Unit::Deg { "" } else { " " };
    if spec.above {
        say!("above {} and at most {}{}{}", low, high, gap, symbol)
    } else {
        say!("from {} to {}{}{}", low, high, gap, symbol)
    }
}

/// The units that a field takes, in words: `mm, cm, m or in`.
pub fn units_of(unit: Unit) -> String {
    unit::words(unit)
}

/// A number with as many digits as it needs, at most seven that count.
pub fn digits(number: f64) -> String {
    if number == 0.0 || !number.is_finite() {
        return "0".to_owned();
    }
    let digits = (6 - number.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let text = format!("{number:.digits$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// The same letter as it is usually typed: signs and spaces of print become those of a keyboard.
fn usual(letter: char) -> char {
    match letter {
        '−' | '‐' | '‑' | '–' => '-',
        '⁄' | '÷' => '/',
        '×' => 'x',
        '″' | '”' | '“' => '"',
        'μ' => 'µ',
        letter if letter.is_whitespace() => ' ',
        letter => letter,
    }
}

/// Without this a value given in the file's own unit would pick up rounding.
fn times(number: f64, factor: f64) -> f64 {
    if factor == 1.0 { number } else { number * factor }
}

/// Which unit a number was given.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Named {
    /// None: that of the screen, or of its neighbours.
    Nothing,
    /// One, as how many units of the file it is.
    Unit(f64),
    /// Several that differ; the number is in the unit of the file.
    Several,
}

/// A number with the unit it was given.
#[derive(Clone, Copy, Debug)]
struct Amount {
    number: f64,
    unit: Named,
}

impl Amount {
    fn in_file(self) -> f64 {
        match self.unit {
            Named::Unit(factor) => times(self.number, factor),
            Named::Nothing | Named::Several => self.number,
        }
    }

    /// A sum in which the parts without a unit take that of the others, if those agree.
    fn plus(self, other: Self) -> Result<Self, EntryError> {
        use Named::{Nothing, Several, Unit};
        let added = |unit| Ok(Self { number: self.number + other.number, unit });
        match (self.unit, other.unit) {
            (Nothing, Nothing) => added(Nothing),
            (Nothing, Unit(factor)) | (Unit(factor), Nothing) => added(Unit(factor)),
            (Unit(one), Unit(same)) if one == same => added(Unit(one)),
            (Nothing, Several) | (Several, Nothing) => Err(EntryError::UnitMissing),
            _ => Ok(Self { number: self.in_file() + other.in_file(), unit: Several }),
        }
    }
}

/// Reads from the left, one letter after the other.
struct Reader<'a> {
    letters: &'a [char],
    at: usize,
    unit: Unit,
    depth: usize,
    plain: bool,
}

impl Reader<'_> {
    fn rest(&self) -> &[char] {
        &self.letters[self.at..]
    }

    fn next(&self) -> Option<char> {
        self.rest().first().copied()
    }

    fn is_at_end(&self) -> bool {
        self.at == self.letters.len()
    }

    fn skip_spaces(&mut self) {
        while self.next() == Some(' ') {
            self.at += 1;
        }
    }

    fn sum(&mut self) -> Result<Amount, EntryError> {
        let mut sum = self.product()?;
        // Parts with a unit of their own before one without: `1 in + 2 mm + 3`.
        let mut bare = sum.unit == Named::Nothing;
        loop {
            let Some(sign @ ('+' | '-')) = self.next() else { return Ok(sum) };
            self.at += 1;
            self.plain = false;
            let mut part = self.product()?;
            bare |= part.unit == Named::Nothing;
            if sign == '-' {
                part.number = -part.number;
            }
            sum = sum.plus(part)?;
            if bare && sum.unit == Named::Several {
                return Err(EntryError::UnitMissing);
            }
        }
    }

    fn product(&mut self) -> Result<Amount, EntryError> {
        let mut product = self.factor()?;
        loop {
            let Some(sign @ ('*' | 'x' | 'X' | '·' | '/')) = self.next() else {
                return Ok(product);
            };
            self.at += 1;
            self.plain = false;
            let factor = self.factor()?;
            product.unit = match (product.unit, factor.unit) {
                (unit, Named::Nothing) | (Named::Nothing, unit) => unit,
                _ => return Err(EntryError::UnitTwice),
            };
            if sign == '/' {
                // Not left to the end: what is divided by that quotient would come out as nothing.
                if factor.number == 0.0 {
                    return Err(EntryError::NotFinite);
                }
                product.number /= factor.number;
            } else {
                product.number *= factor.number;
            }
        }
    }

    fn factor(&mut self) -> Result<Amount, EntryError> {
        self.skip_spaces();
        let sign = match self.next() {
            Some('-') => -1.0,
            _ => 1.0,
        };
        if let Some('+' | '-') = self.next() {
            self.at += 1;
            self.skip_spaces();
        }
        let mut amount = if self.next() == Some('(') {
            self.at += 1;
            self.plain = false;
            self.depth += 1;
            if self.depth > DEEPEST {
                return Err(EntryError::NotANumber);
            }
            let inner = self.sum()?;
            if self.next() != Some(')') {
                return Err(EntryError::NotANumber);
            }
            self.at += 1;
            self.depth -= 1;
            inner
        } else {
            let found = number::read(self.rest(), self.unit)?;
            self.at += found.length;
            self.plain &= found.plain;
            Amount { number: found.value, unit: Named::Nothing }
        };
        amount.number *= sign;
        self.skip_spaces();
        if let Some((length, factor)) = unit::read(self.rest(), self.unit)? {
            if amount.unit != Named::Nothing {
                return Err(EntryError::UnitTwice);
            }
            self.at += length;
            self.plain = false;
            amount.unit = Named::Unit(factor);
            self.skip_spaces();
        }
        Ok(amount)
    }
}

#[cfg(test)]
mod tests;
