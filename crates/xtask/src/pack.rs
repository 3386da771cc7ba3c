//! The program as one piece of text, as small as the saved page can unpack it.
//!
//! LZMA makes it about a fifth smaller than gzip does. Browsers do not undo LZMA, so the page
//! carries `www/unpack.js`, which does. The saved page is a file of the encoding windows-1252, in
//! which every byte is a letter of its own: a byte costs a byte, where UTF-8 would take a fifth
//! more. Nothing in the text means anything to the HTML parser, and it comes back from the page's
//! object model letter for letter.

use crate::{Failure, streams, windows_1252};
use lzma_rust2::{LzmaOptions, LzmaWriter};
use std::io::{self, Write};

/// Packs the script and the module together.
///
/// Inside lie the script's length, the script, the module's streams, and the CRC-32 of all before
/// it, by which the page tells a damaged file.
pub fn text(script: &str, module: &[u8]) -> Result<String, Failure> {
    let length = u32::try_from(script.len()).map_err(|_| "the script is too long to be packed")?;
    let mut content = length.to_le_bytes().to_vec();
    content.extend_from_slice(script.as_bytes());
    content.extend(streams::split(module)?);
    let sum = crc32fast::hash(&content);
    content.extend_from_slice(&sum.to_le_bytes());
    let packed = compress(&content).map_err(|err| format!("cannot pack the program: {err}"))?;
    Ok(letters(&packed))
}

/// A file of the format LZMA, with the size in its header and no end marker.
fn compress(content: &[u8]) -> io::Result<Vec<u8>> {
    let mut options = LzmaOptions::with_preset(9);
    // Found by trying: a module is a stream of bytes, in which position says nothing.
    (options.lc, options.pb) = (4, 0);
    (options.nice_len, options.depth_limit) = (LzmaOptions::NICE_LEN_MAX, 1000);
    let mut writer = LzmaWriter::new_use_header(Vec::new(), &options, Some(content.len() as u64))?;
    writer.write_all(content)?;
    writer.finish()
}

/// The letter that starts a pair which stands for one byte.
const ESCAPE: u8 = b'=';

/// One letter of windows-1252 for each byte; two for those that an HTML parser would change (NUL,
/// carriage return), read (`<`) or that start such a pair.
fn letters(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 2);
    for &byte in bytes {
        if matches!(byte, 0 | b'\r' | b'<' | ESCAPE) {
            text.push(windows_1252::letter(ESCAPE));
            text.push(windows_1252::letter(byte ^ 0x40));
        } else {
            text.push(windows_1252::letter(byte));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Read;

    fn bytes_of(text: &str) -> Vec<u8> {
        let mut bytes = windows_1252::bytes(text).unwrap().into_iter();
        let mut back = Vec::new();
        while let Some(byte) = bytes.next() {
            back.push(if byte == ESCAPE { bytes.next().unwrap() ^ 0x40 } else { byte });
        }
        back
    }

    #[test]
    fn every_byte_comes_back_from_letters() {
        let all: Vec<u8> = (0..=255).collect();
        let text = letters(&all);
        assert!(!text.contains(['<', '\r', '\0']));
        assert_eq!(bytes_of(&text), all);
        assert_eq!(windows_1252::bytes(&text).unwrap().len(), 260);
    }

    #[test]
    fn script_and_module_come_back_from_another_decoder() {
        let (script, module) = ("let a = '<&é';\n", b"\0asm\x01\0\0\0\x0a\x01\0".to_vec());
        let packed = bytes_of(&text(script, &module).unwrap());
        let mut content = Vec::new();
        let mut reader =
            lzma_rust2::LzmaReader::new_mem_limit(&packed[..], u32::MAX, None).unwrap();
        reader.read_to_end(&mut content).unwrap();

        let (content, sum) = content.split_at(content.len() - 4);
        assert_eq!(sum, crc32fast::hash(content).to_le_bytes());
        let (length, rest) = content.split_at(4);
        assert_eq!(length, (script.len() as u32).to_le_bytes());
        assert_eq!(rest, [script.as_bytes(), &streams::split(&module).unwrap()].concat());
    }
}
