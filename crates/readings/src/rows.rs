//! Rows of delimited text, one at a time, whatever the size of the file.

use crate::{Problem, number::trimmed};
use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

/// Largest file, in bytes.
pub const LARGEST_FILE: usize = 200_000_000;
/// Most columns of a row.
pub const MOST_COLUMNS: usize = 256;
/// Longest row, in bytes.
const LONGEST_ROW: usize = 65_536;

/// The rows of a text.
pub struct Rows<'a> {
    reader: Reader,
    rest: &'a [u8],
    spaces: bool,
    cells: Vec<u8>,
    ends: Vec<usize>,
    count: usize,
    /// Line at which the row that was read last stands.
    pub line: u64,
}

impl<'a> Rows<'a> {
    /// Of bytes that [`plain`] has looked at.
    pub fn new(text: &'a [u8], delimiter: u8) -> Self {
        Self {
            reader: ReaderBuilder::new().delimiter(delimiter).build(),
            rest: text,
            spaces: delimiter == b' ',
            cells: vec![0; LONGEST_ROW],
            ends: vec![0; MOST_COLUMNS],
            count: 0,
            line: 0,
        }
    }

    /// Goes on to the next row that is not blank; false at the end.
    ///
    /// # Errors
    ///
    /// [`Problem`] naming a row that is too long or has too many columns.
    pub fn go_on(&mut self) -> Result<bool, Problem> {
        loop {
            let (result, read, _, ends) =
                self.reader.read_record(self.rest, &mut self.cells, &mut self.ends);
            let last = read.checked_sub(1).and_then(|last| self.rest.get(last));
            // A line feed that ends the row belongs to it.
            self.line = self.reader.line() - u64::from(last == Some(&b'\n'));
            self.rest = &self.rest[read..];
            match result {
                ReadRecordResult::Record => {
                    self.count = ends;
                    if self.spaces {
                        self.drop_empty();
                    }
                    if (0..self.count).any(|index| !self.cell(index).is_empty()) {
                        return Ok(true);
                    }
                }
                // The reader wants to be told once that there is no more.
                ReadRecordResult::InputEmpty => {}
                ReadRecordResult::End => return Ok(false),
                ReadRecordResult::OutputFull => {
                    return Err(Problem::at(
                        self.line,
                        format!(
                            "a row must be at most {LONGEST_ROW} characters long; is a quotation mark open?"
                        ),
                    ));
                }
                ReadRecordResult::OutputEndsFull => {
                    return Err(Problem::at(
                        self.line,
                        format!("a row must have at most {MOST_COLUMNS} columns"),
                    ));
                }
            }
        }
    }

    /// Several spaces part two columns as one does.
    fn drop_empty(&mut self) {
        let (mut kept, mut written, mut start) = (0, 0, 0);
        for index in 0..self.count {
            let end = self.ends[index];
            if end > start {
                self.cells.copy_within(start..end, written);
                written += end - start;
                self.ends[kept] = written;
                kept += 1;
            }
            start = end;
        }
        self.count = kept;
    }

    /// Columns of this row.
    pub fn count(&self) -> usize {
        self.count
    }

    /// One cell without the spaces around it; nothing in it beyond the end of the row.
    pub fn cell(&self, index: usize) -> &[u8] {
        if index >= self.count {
            return &[];
        }
        let start = index.checked_sub(1).map_or(0, |before| self.ends[before]);
        trimmed(&self.cells[start..self.ends[index]])
    }

    /// The same as text, cut short.
    pub fn text(&self, index: usize) -> String {
        words(self.cell(index))
    }
}

/// Bytes as text: UTF-8, else Latin-1; no more than 60 letters and no control characters.
pub fn words(bytes: &[u8]) -> String {
    let letters: Vec<char> = match std::str::from_utf8(bytes) {
        Ok(text) => text.chars().take(60).collect(),
        Err(_) => bytes.iter().take(60).map(|&byte| char::from(byte)).collect(),
    };
    letters.into_iter().filter(|letter| !letter.is_control()).collect()
}

/// The text of a file without its byte order mark; text of two bytes a letter is made one of UTF-8.
///
/// # Errors
///
/// [`Problem`] for what is no text, is empty or is too large.
pub fn plain(bytes: &[u8]) -> Result<std::borrow::Cow<'_, [u8]>, Problem> {
    if bytes.len() > LARGEST_FILE {
        let mb = |bytes: usize| bytes.div_ceil(1_000_000);
        return Err(Problem::new(format!(
            "must be at most {} MB, but is {} MB; record fewer strokes or samples",
            mb(LARGEST_FILE),
            mb(bytes.len())
        )));
    }
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"\xD0\xCF\x11\xE0") {
        return Err(Problem::new(
            "must be text, but is a spreadsheet or an archive; save its sheet as CSV",
        ));
    }
    let two_bytes = match bytes {
        [0xFF, 0xFE, rest @ ..] => Some((rest, u16::from_le_bytes as fn([u8; 2]) -> u16)),
        [0xFE, 0xFF, rest @ ..] => Some((rest, u16::from_be_bytes as fn([u8; 2]) -> u16)),
        _ => None,
    };
    let text = match two_bytes {
        Some((rest, unit)) => {
            let units = rest.chunks_exact(2).map(|pair| unit([pair[0], pair[1]]));
            let letters = char::decode_utf16(units).map(|letter| letter.unwrap_or('\u{FFFD}'));
            letters.collect::<String>().into_bytes().into()
        }
        None => std::borrow::Cow::from(bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes)),
    };
    if text.iter().take(4_096).any(|&byte| byte == 0) {
        return Err(Problem::new("must be text, but has bytes that are none"));
    }
    if text.iter().all(u8::is_ascii_whitespace) {
        return Err(Problem::new("must have rows, but is empty"));
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(text: &[u8], delimiter: u8) -> Vec<(u64, Vec<String>)> {
        let mut rows = Rows::new(text, delimiter);
        let mut found = Vec::new();
        while rows.go_on().expect("rows") {
            found.push((rows.line, (0..rows.count()).map(|i| rows.text(i)).collect()));
        }
        found
    }

    #[test]
    fn rows_know_their_lines_with_any_line_end() {
        for text in ["a;b\n\n1;2\n3;4", "a;b\r\n\r\n1;2\r\n3;4\r\n"] {
            let lines: Vec<u64> = all(text.as_bytes(), b';').iter().map(|row| row.0).collect();
            assert_eq!(lines, [1, 3, 4], "{text:?}");
        }
    }

    #[test]
    fn several_spaces_part_columns_as_one_does() {
        assert_eq!(all(b"  1   2 3\n", b' ')[0].1, ["1", "2", "3"]);
    }

    #[test]
    fn open_quotation_mark_is_told_and_does_not_swallow_the_file() {
        let text = format!("1;\"2\n{}", "3;4\n".repeat(40_000));
        let wrong = Rows::new(text.as_bytes(), b';').go_on().expect_err("too long");
        assert!(wrong.to_string().contains("quotation mark"), "{wrong}");
    }

    #[test]
    fn text_of_two_bytes_a_letter_and_latin_1_are_read() {
        let mut wide = vec![0xFF, 0xFE];
        wide.extend("Höhe\t1\n".encode_utf16().flat_map(u16::to_le_bytes));
        assert_eq!(&*plain(&wide).expect("text"), "Höhe\t1\n".as_bytes());
        assert_eq!(words(b"H\xF6he"), "Höhe");
        assert_eq!(&*plain(b"\xEF\xBB\xBFa").expect("text"), b"a");
    }

    #[test]
    fn what_is_no_text_is_refused() {
        for (bytes, word) in [
            (&b"PK\x03\x04rest"[..], "spreadsheet"),
            (b"a\0b", "none"),
            (b" \r\n", "empty"),
            (b"", "empty"),
        ] {
            let wrong = plain(bytes).expect_err("no text").to_string();
            assert!(wrong.contains(word), "{wrong}");
        }
    }
}
