//! A line of a table: a number for every column, each typed as in a field of its own.

use super::{Entry, EntryError, read};
use crate::{spec::Unit, units::UnitSystem};

/// Most words on a line; a table has at most a few columns.
const MOST_WORDS: usize = 40;

/// Why a line is no row of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RowError {
    /// It does not hold a number for every column.
    Count,
    /// It can be divided into numbers in more than one way.
    TwoWays,
    /// A cell, counted from 0, with its text, is no number.
    Cell(usize, String, EntryError),
}

/// Reads a line into a value for every column, in the units of the file.
///
/// Cells are apart by tabs, semicolons or two spaces; where that makes the right number of cells, each
/// may hold anything that a field takes. Single spaces divide, too, as long as there is only one way
/// to do so: `5 mm 20 kN` or `1 1/2 20`.
///
/// # Errors
///
/// [`RowError`]; a line that has one is never half understood.
pub fn read_row(line: &str, columns: &[Unit], system: UnitSystem) -> Result<Vec<f64>, RowError> {
    let line = line.replace(['\u{202f}', '\u{a0}'], " ");
    let filled = |cells: Vec<&str>| -> Vec<String> {
        cells.into_iter().map(|cell| cell.trim().to_owned()).filter(|c| !c.is_empty()).collect()
    };
    let whole = |cells: &[String]| -> Result<Vec<f64>, RowError> {
        cells
            .iter()
            .zip(columns)
            .enumerate()
            .map(|(at, (cell, &unit))| match read(cell, unit, system) {
                Ok(Some(Entry { value, .. })) => Ok(value),
                Ok(None) => Err(RowError::Count),
                Err(error) => Err(RowError::Cell(at, cell.clone(), error)),
            })
            .collect()
    };
    let marked = line.contains(['\t', ';']);
    let apart = match marked {
        true => filled(line.split(['\t', ';']).collect()),
        false => filled(line.split("  ").collect()),
    };
    if apart.len() == columns.len() {
        return whole(&apart);
    }
    let words: Vec<String> = filled(line.split([' ', '\t', ';']).collect());
    if words.len() == columns.len() {
        return whole(&words);
    }
    if marked || words.len() < columns.len() || words.len() > MOST_WORDS {
        return Err(RowError::Count);
    }
    let mut ways = divided(&words, columns, system);
    match (ways.pop(), ways.is_empty()) {
        (Some(only), true) => Ok(only),
        (Some(_), false) => Err(RowError::TwoWays),
        (None, _) => Err(RowError::Count),
    }
}

/// At most two ways to divide the words into as many cells as there are columns.
fn divided(words: &[String], columns: &[Unit], system: UnitSystem) -> Vec<Vec<f64>> {
    let Some((&unit, others)) = columns.split_first() else {
        return if words.is_empty() { vec![Vec::new()] } else { Vec::new() };
    };
    let mut found = Vec::new();
    // Each column that follows takes a word at least.
    for taken in 1..=words.len().saturating_sub(others.len()) {
        if taken < words.len() && others.is_empty() {
            continue;
        }
        let Ok(Some(entry)) = read(&words[..taken].join(" "), unit, system) else { continue };
        for mut rest in divided(&words[taken..], others, system) {
            rest.insert(0, entry.value);
            found.push(rest);
            if found.len() > 1 {
                return found;
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const FORCE_TABLE: [Unit; 2] = [Unit::Mm, Unit::Kn];

    fn row(line: &str) -> Result<Vec<f64>, RowError> {
        read_row(line, &FORCE_TABLE, UnitSystem::Metric)
    }

    /// 1 in = 25.4 mm (international inch, 1959); 1 US ton-force = 8.896443 kN.
    #[test]
    fn a_cell_takes_units_and_arithmetic_like_a_field() {
        for (line, values) in [
            ("5 20", [5.0, 20.0]),
            ("5,5\t20", [5.5, 20.0]),
            ("3/8 in  20 kN", [9.525, 20.0]),
            ("3/8 in 20 kN", [9.525, 20.0]),
            ("1 1/2 in; 2 x 30", [38.1, 60.0]),
            ("12.5 + 0.2 ; 10 kN", [12.7, 10.0]),
            ("5\u{a0}mm;20", [5.0, 20.0]),
            ("10; 1 US ton", [10.0, 8.896443]),
            ("10 1 US ton", [10.0, 8.896443]),
        ] {
            let read = row(line).unwrap_or_else(|error| panic!("{line}: {error:?}"));
            assert!(read.iter().zip(values).all(|(a, b)| (a - b).abs() < 1e-5), "{line}: {read:?}");
        }
    }

    #[test]
    fn a_line_that_can_be_read_in_two_ways_is_refused() {
        assert_eq!(row("1 1/2 1/2"), Err(RowError::TwoWays));
        assert_eq!(row("1 1/2; 1/2"), Ok(vec![1.5, 0.5]));
    }

    #[test]
    fn what_is_wrong_with_a_line_is_told() {
        assert_eq!(row("5"), Err(RowError::Count));
        assert_eq!(row("5; 6; 7"), Err(RowError::Count));
        assert_eq!(row(""), Err(RowError::Count));
        assert!(matches!(row("5; 20 mm"), Err(RowError::Cell(1, text, _)) if text == "20 mm"));
        assert!(matches!(row("5 banana"), Err(RowError::Cell(1, ..))));
        assert_eq!(row(&"1 ".repeat(5_000)), Err(RowError::Count));
    }
}
