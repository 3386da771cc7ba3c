//! A sheet of a spreadsheet as text, which is then read like any other.

use crate::{Problem, rows::MOST_COLUMNS};
use calamine::{Data, Reader, Sheets, open_workbook_auto_from_rs};
use std::{fmt::Write, io::Cursor};

/// Largest spreadsheet in bytes: unpacked it is many times larger.
pub const LARGEST_SPREADSHEET: usize = 50_000_000;

/// Whether bytes begin as a spreadsheet does.
pub fn is_spreadsheet(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"\xD0\xCF\x11\xE0")
}

/// The sheet of a name, or the first one, as rows with tabs and a decimal point. Blank rows above stay,
/// so that the rows keep their numbers.
///
/// # Errors
///
/// [`Problem`] where the bytes are no spreadsheet, are too many, or there is no such sheet.
pub fn text_of(bytes: &[u8], sheet: Option<&str>) -> Result<String, Problem> {
    if bytes.len() > LARGEST_SPREADSHEET {
        return Err(Problem::new(format!(
            "a spreadsheet must be at most {} MB; save its sheet as CSV",
            LARGEST_SPREADSHEET / 1_000_000
        )));
    }
    let broken = |error: calamine::Error| {
        Problem::new(format!("must be an .xlsx, .xls or .ods file, but cannot be opened: {error}"))
    };
    let mut book: Sheets<_> = open_workbook_auto_from_rs(Cursor::new(bytes)).map_err(broken)?;
    let names = book.sheet_names();
    let name = match sheet {
        Some(wished) if names.iter().any(|name| name == wished) => wished.to_owned(),
        Some(wished) => {
            return Err(Problem::new(format!(
                "sheet must be one of {}, but is {wished:?}",
                names.join(", ")
            )));
        }
        None => names.first().cloned().ok_or_else(|| Problem::new("must have a sheet"))?,
    };
    let range = book.worksheet_range(&name).map_err(broken)?;
    let (first_row, first_column) = range.start().unwrap_or((0, 0));
    // Each row begins with tabs for the columns that are left out.
    if first_column as usize >= MOST_COLUMNS {
        return Err(Problem::new(format!(
            "cells must begin in one of the first {MOST_COLUMNS} columns, but begin in column {}",
            first_column + 1
        )));
    }
    let mut text = "\n".repeat(first_row as usize);
    for row in range.rows() {
        text += &"\t".repeat(first_column as usize);
        for (index, cell) in row.iter().enumerate() {
            if index > 0 {
                text.push('\t');
            }
            match cell {
                Data::Float(number) => {
                    let _ = write!(text, "{number}");
                }
                Data::Int(number) => {
                    let _ = write!(text, "{number}");
                }
                Data::Empty => {}
                other => text += &other.to_string().replace(['\t', '\n', '\r', '"'], " "),
            }
        }
        text.push('\n');
    }
    Ok(text)
}
