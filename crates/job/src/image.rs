//! Pictures in a file: data URLs of the image types that hold no script, checked at the border.

use evenstroke_language::{say, tr};

/// The types that are taken, with the bytes that each begins with; SVG may hold scripts and is not one.
const TYPES: [(&str, &[u8]); 4] = [
    ("png", &[0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n']),
    ("jpeg", &[0xff, 0xd8, 0xff]),
    ("webp", b"RIFF"),
    ("gif", b"GIF8"),
];
/// Fewest characters of base64 that hold the first bytes of any type.
const FEWEST: usize = 16;

/// What is allowed, as a message says it.
pub(crate) fn allowed(longest: usize) -> String {
    say!(
        "a picture as a data URL of at most {} characters, data:image/png;base64,… (png, jpeg, webp or gif)",
        longest
    )
}

/// Looks at a data URL: its type, its length, its alphabet, and whether it begins as its type does.
///
/// # Errors
///
/// What is allowed, and what was given where that is more than the value's own description.
pub(crate) fn check(url: Option<&str>, longest: usize) -> Result<(), (String, Option<String>)> {
    let wrong =
        |given: Option<&str>| (say!("must be {}", allowed(longest)), given.map(str::to_owned));
    let url = url.ok_or_else(|| wrong(None))?;
    if url.len() > longest {
        return Err((say!("must be {}", allowed(longest)), Some(say!("{} characters", url.len()))));
    }
    let rest = url.strip_prefix("data:image/").ok_or_else(|| wrong(None))?;
    let (kind, data) = rest.split_once(";base64,").ok_or_else(|| wrong(None))?;
    let known = TYPES.iter().find(|known| known.0 == kind);
    let (_, start) = known.ok_or_else(|| wrong(Some(tr("another type"))))?;
    let body = data.trim_end_matches('=');
    let padding = data.len() - body.len();
    if padding > 2 || body.len() < FEWEST || !body.bytes().all(|byte| sextet(byte).is_some()) {
        return Err(wrong(Some(tr("what is not base64"))));
    }
    if !decode(&body.as_bytes()[..FEWEST]).starts_with(start) {
        return Err((
            say!("must be {}, and be of the type that it says", allowed(longest)),
            Some(say!("something else than {}", kind)),
        ));
    }
    Ok(())
}

/// The value of a letter of base64.
const fn sextet(byte: u8) -> Option<u8> {
    Some(match byte {
        b'A'..=b'Z' => byte - b'A',
        b'a'..=b'z' => byte - b'a' + 26,
        b'0'..=b'9' => byte - b'0' + 52,
        b'+' => 62,
        b'/' => 63,
        _ => return None,
    })
}

/// The bytes of whole groups of four letters.
fn decode(letters: &[u8]) -> Vec<u8> {
    let groups = letters.chunks_exact(4);
    groups
        .flat_map(|group| {
            let bits = group
                .iter()
                .fold(0_u32, |bits, &byte| bits << 6 | u32::from(sextet(byte).unwrap_or(0)));
            [(bits >> 16) as u8, (bits >> 8) as u8, bits as u8]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The smallest PNG, one transparent dot (PNG specification, W3C, signature and chunks).
    const DOT: &str = "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPhfDwAChwGA60e6kgAAAABJRU5ErkJggg==";

    #[test]
    fn picture_is_taken_by_its_type_and_size() {
        assert_eq!(check(Some(DOT), 1_000), Ok(()));
        assert_eq!(check(Some("data:image/jpeg;base64,/9j/4AAQSkZJRgABAQ=="), 1_000), Ok(()));
        let (_, given) = check(Some(DOT), 100).expect_err("too long");
        assert!(given.expect("its length").ends_with("characters"));
    }

    #[test]
    fn what_is_no_picture_or_another_one_is_refused() {
        for url in [
            "",
            "picture.png",
            "https://example.org/a.png",
            "data:text/html;base64,PHNjcmlwdD5hbGVydCgxKTwvc2NyaXB0Pg==",
            "data:image/svg+xml;base64,PHN2ZyBvbmxvYWQ9ImFsZXJ0KDEpIi8+",
            "data:image/png,iVBORw0KGgo",
            "data:image/png;base64,",
            "data:image/png;base64,iVBORw0KGgo<script>alert(1)</script>",
            "data:image/png;base64,/9j/4AAQSkZJRgABAQ==",
            "data:image/gif;base64,iVBORw0KGgoAAAANSUhEUg===",
            "data:image/png;charset=x;base64,iVBORw0KGgoAAAANSUhEUg==",
        ] {
            assert!(check(Some(url), 1_000).is_err(), "{url}");
        }
        assert!(check(None, 1_000).is_err());
    }
}
