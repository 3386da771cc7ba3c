//! Texts in the source code: just enough of a reader of Rust to find its string literals and what they
//! stand in.

use std::{fs, path::Path, path::PathBuf};

/// A string literal.
pub struct Literal {
    /// Where its first quote stands.
    pub start: usize,
    /// Behind its last quote.
    pub end: usize,
    /// What it says.
    pub text: String,
}

/// A file, without its tests.
pub struct Source {
    /// The path below the repository.
    pub path: String,
    /// As it is written.
    pub code: String,
    /// The same with comments and literals blanked out, byte for byte.
    pub bare: Vec<u8>,
    /// Its literals in order.
    pub literals: Vec<Literal>,
}

/// The repository.
pub fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// All sources of some crates.
pub fn sources(crates: &[&str]) -> Vec<Source> {
    let mut found = Vec::new();
    for name in crates {
        walk(&repository().join("crates").join(name).join("src"), &mut found);
    }
    found
}

fn walk(folder: &Path, found: &mut Vec<Source>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            walk(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let text = fs::read_to_string(&path).expect("a source");
            let tests = text.find("\n#[cfg(test)]\nmod ").unwrap_or(text.len());
            let name = path.strip_prefix(repository()).expect("below the repository");
            found.push(Source::new(&name.to_string_lossy(), &text[..tests]));
        }
    }
}

impl Source {
    /// Reads a source.
    pub fn new(path: &str, code: &str) -> Self {
        let bytes = code.as_bytes();
        let mut bare = bytes.to_vec();
        let mut literals = Vec::new();
        let mut at = 0;
        while at < bytes.len() {
            let rest = &code[at..];
            let begins_word =
                at == 0 || !(bytes[at - 1].is_ascii_alphanumeric() || bytes[at - 1] == b'_');
            let end = if rest.starts_with("//") {
                at + rest.find('\n').unwrap_or(rest.len())
            } else if begins_word && (rest.starts_with("r\"") || rest.starts_with("r#")) {
                let hashes = rest[1..].bytes().take_while(|byte| *byte == b'#').count();
                if rest.as_bytes().get(1 + hashes) != Some(&b'"') {
                    at += 1;
                    continue;
                }
                let close = format!("\"{}", "#".repeat(hashes));
                let inside = at + hashes + 2;
                let length = code[inside..].find(&close).expect("a raw literal ends");
                let end = inside + length + close.len();
                let text = code[inside..inside + length].to_owned();
                literals.push(Literal { start: at, end, text });
                end
            } else if rest.starts_with('"') {
                let mut end = at + 1;
                while bytes[end] != b'"' {
                    end += if bytes[end] == b'\\' { 2 } else { 1 };
                }
                literals.push(Literal {
                    start: at,
                    end: end + 1,
                    text: unescaped(&code[at + 1..end]),
                });
                end + 1
            } else if rest.starts_with('\'') {
                match char_literal(rest) {
                    Some(length) => at + length,
                    None => {
                        at += 1;
                        continue;
                    }
                }
            } else {
                at += rest.chars().next().map_or(1, char::len_utf8);
                continue;
            };
            for byte in &mut bare[at..end] {
                if *byte != b'\n' {
                    *byte = b' ';
                }
            }
            at = end;
        }
        Self { path: path.to_owned(), code: code.to_owned(), bare, literals }
    }

    /// What stands before a literal, without spaces at its end.
    pub fn before(&self, literal: &Literal) -> &str {
        self.code[..literal.start].trim_end()
    }

    /// What stands behind a literal, without spaces at its start.
    pub fn after(&self, literal: &Literal) -> &str {
        self.code[literal.end..].trim_start()
    }

    /// The places between the brackets that follow each `name(` or `name! {`.
    pub fn insides(&self, name: &str) -> Vec<(usize, usize)> {
        let mut found = Vec::new();
        let bare = String::from_utf8_lossy(&self.bare).into_owned();
        for (at, _) in bare.match_indices(name) {
            let begins_word = at == 0
                || !matches!(self.bare[at - 1], b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'_' | b'.');
            if begins_word {
                let open = at + name.len() - 1;
                found.push((open, self.closing(open)));
            }
        }
        found
    }

    fn closing(&self, open: usize) -> usize {
        let mut depth = 0_usize;
        for (at, byte) in self.bare.iter().enumerate().skip(open) {
            match byte {
                b'(' | b'[' | b'{' => depth += 1,
                b')' | b']' | b'}' => {
                    depth -= 1;
                    if depth == 0 {
                        return at;
                    }
                }
                _ => {}
            }
        }
        self.bare.len()
    }

    /// Where the bracket opens that a place stands in.
    pub fn opening(&self, place: usize) -> Option<usize> {
        let mut depth = 0_usize;
        for at in (0..place).rev() {
            match self.bare[at] {
                b')' | b']' | b'}' => depth += 1,
                b'(' | b'[' | b'{' if depth == 0 => return Some(at),
                b'(' | b'[' | b'{' => depth -= 1,
                _ => {}
            }
        }
        None
    }
}

/// Length of a character literal; nothing for a lifetime.
fn char_literal(rest: &str) -> Option<usize> {
    let inside = &rest[1..];
    if let Some(escaped) = inside.strip_prefix('\\') {
        // The letter behind the backslash may be a quote itself.
        let skip = escaped.chars().next()?.len_utf8();
        return Some(2 + skip + escaped[skip..].find('\'')? + 1);
    }
    let letter = inside.chars().next()?.len_utf8();
    inside[letter..].starts_with('\'').then_some(letter + 2)
}

fn unescaped(raw: &str) -> String {
    let mut out = String::new();
    let mut letters = raw.chars().peekable();
    while let Some(letter) = letters.next() {
        if letter != '\\' {
            out.push(letter);
            continue;
        }
        match letters.next() {
            Some('n') => out.push('\n'),
            Some('t') => out.push('\t'),
            Some('r') => out.push('\r'),
            Some('0') => out.push('\0'),
            Some('u') => {
                let code: String = letters.by_ref().skip(1).take_while(|c| *c != '}').collect();
                let code = u32::from_str_radix(&code, 16).expect("a code point");
                out.push(char::from_u32(code).expect("a letter"));
            }
            // The line goes on without its indentation.
            Some('\n') => while letters.next_if(|c| c.is_whitespace()).is_some() {},
            Some(other) => out.push(other),
            None => {}
        }
    }
    out
}
