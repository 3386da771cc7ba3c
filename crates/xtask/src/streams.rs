//! A WebAssembly module taken apart into streams of one kind each, which pack a sixteenth smaller
//! than the module as it is: opcodes beside opcodes, indices of locals beside such indices.
//!
//! `www/unpack.js` puts it together again. What is not taken apart (everything but the bodies of
//! functions) lies in the first stream.
//!
//! Source: WebAssembly Core Specification (W3C), chapter 5, Binary Format.

use crate::Failure;

/// How many streams there are.
pub const COUNT: usize = 15;

/// What lies in each.
mod stream {
    /// All but the bodies of functions, and where they come in.
    pub const REST: usize = 0;
    pub const LOCALS: usize = 1;
    pub const CODE: usize = 2;
    pub const TYPE: usize = 3;
    pub const BRANCH: usize = 4;
    pub const CALL: usize = 5;
    pub const INDIRECT: usize = 6;
    pub const GET: usize = 7;
    pub const SET: usize = 8;
    pub const TEE: usize = 9;
    pub const OTHER: usize = 10;
    pub const ALIGN: usize = 11;
    pub const OFFSET: usize = 12;
    pub const NUMBER: usize = 13;
    pub const FLOAT: usize = 14;
}

const CODE_SECTION: u8 = 10;

/// The streams of a module: the length of each, four bytes, then one after the other. The first
/// starts with how much of it stands before the bodies, and how many these are.
pub fn split(module: &[u8]) -> Result<Vec<u8>, Failure> {
    let (start, end) = code_section(module)?;
    let mut reader = Reader { bytes: &module[..end], at: start, last_is_padded: false };
    let mut streams: [Vec<u8>; COUNT] = Default::default();
    let count = reader.number()?;
    let before = reader.at;
    for number in [before, count as usize] {
        streams[stream::REST].extend_from_slice(&size(number)?);
    }
    streams[stream::REST].extend_from_slice(&module[..before]);
    streams[stream::REST].extend_from_slice(&module[end..]);
    for _ in 0..count {
        body(&mut reader, &mut streams)?;
    }
    if reader.at != end {
        return Err("the module's code section does not end with its last function".to_owned());
    }
    let mut result = Vec::with_capacity(module.len() + 64);
    for stream in &streams {
        result.extend_from_slice(&size(stream.len())?);
    }
    result.extend(streams.concat());
    Ok(result)
}

fn size(number: usize) -> Result<[u8; 4], Failure> {
    let number = u32::try_from(number).map_err(|_| "the module is too long to be packed")?;
    Ok(number.to_le_bytes())
}

/// Where the content of the code section starts and ends.
fn code_section(module: &[u8]) -> Result<(usize, usize), Failure> {
    let mut reader = Reader { bytes: module, at: 8, last_is_padded: false };
    loop {
        let kind = reader.byte()?;
        let length = reader.number()? as usize;
        let end = reader.at + length;
        if kind == CODE_SECTION && end <= module.len() {
            return Ok((reader.at, end));
        }
        reader.at = end;
    }
}

fn body(reader: &mut Reader, streams: &mut [Vec<u8>; COUNT]) -> Result<(), Failure> {
    let length = reader.number()? as usize;
    if reader.last_is_padded {
        return Err("a function's length is written with more bytes than it needs".to_owned());
    }
    let end = reader.at + length;
    let groups = reader.copy(&mut streams[stream::LOCALS])?;
    for _ in 0..groups {
        reader.copy(&mut streams[stream::LOCALS])?;
        streams[stream::LOCALS].push(reader.byte()?);
    }
    let mut depth = 0;
    while depth >= 0 {
        let opcode = reader.byte()?;
        streams[stream::CODE].push(opcode);
        depth += match opcode {
            0x02..=0x04 => 1,
            0x0b => -1,
            _ => 0,
        };
        operands(opcode, reader, streams)?;
    }
    if reader.at == end { Ok(()) } else { Err("a function does not end where it says".to_owned()) }
}

fn operands(
    opcode: u8,
    reader: &mut Reader,
    streams: &mut [Vec<u8>; COUNT],
) -> Result<(), Failure> {
    // Each is a number of variable length.
    let numbers: &[usize] = match opcode {
        0x02..=0x04 => &[stream::TYPE],
        0x0c | 0x0d => &[stream::BRANCH],
        0x10 => &[stream::CALL],
        0x11 => &[stream::INDIRECT; 2],
        0x20 => &[stream::GET],
        0x21 => &[stream::SET],
        0x22 => &[stream::TEE],
        0x23..=0x26 | 0x3f | 0x40 | 0xd0 | 0xd2 => &[stream::OTHER],
        0x28..=0x3e => &[stream::ALIGN, stream::OFFSET],
        0x41 | 0x42 => &[stream::NUMBER],
        0x0e => {
            let targets = reader.copy(&mut streams[stream::BRANCH])?;
            for _ in 0..=targets {
                reader.copy(&mut streams[stream::BRANCH])?;
            }
            &[]
        }
        0x43 | 0x44 => {
            for _ in 0..if opcode == 0x43 { 4 } else { 8 } {
                streams[stream::FLOAT].push(reader.byte()?);
            }
            &[]
        }
        0xfc => match reader.copy(&mut streams[stream::OTHER])? {
            0..=7 => &[],
            8 | 10 | 12 | 14 => &[stream::OTHER; 2],
            9 | 11 | 13 | 15..=17 => &[stream::OTHER],
            other => return Err(format!("the module holds the instruction fc {other:02x}")),
        },
        0x00 | 0x01 | 0x05 | 0x0b | 0x0f | 0x1a | 0x1b | 0x45..=0xc4 | 0xd1 => &[],
        other => return Err(format!("the module holds the instruction {other:02x}")),
    };
    for &number in numbers {
        reader.copy(&mut streams[number])?;
    }
    Ok(())
}

/// Reads a module from front to back.
struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Whether the last number took more bytes than it needs.
    last_is_padded: bool,
}

impl Reader<'_> {
    fn byte(&mut self) -> Result<u8, Failure> {
        let byte = self.bytes.get(self.at).copied().ok_or("the module is cut short")?;
        self.at += 1;
        Ok(byte)
    }

    /// A number of variable length, signed ones taken as they are written.
    fn number(&mut self) -> Result<u64, Failure> {
        let (mut number, mut shift) = (0, 0);
        loop {
            let byte = self.byte()?;
            number |= u64::from(byte & 0x7f).wrapping_shl(shift);
            if byte < 0x80 {
                self.last_is_padded = byte == 0 && shift > 0;
                return Ok(number);
            }
            shift += 7;
        }
    }

    /// The same, its bytes copied.
    fn copy(&mut self, stream: &mut Vec<u8>) -> Result<u64, Failure> {
        let start = self.at;
        let number = self.number()?;
        stream.extend_from_slice(&self.bytes[start..self.at]);
        Ok(number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `(module (func (param i32) (result f64) local.get 0 i32.load offset=5 drop f64.const 1))`
    const MODULE: &[u8] = &[
        0, 0x61, 0x73, 0x6d, 1, 0, 0, 0, 1, 6, 1, 0x60, 1, 0x7f, 1, 0x7c, 3, 2, 1, 0, 10, 19, 1,
        17, 0, 0x20, 0, 0x28, 2, 5, 0x1a, 0x44, 0, 0, 0, 0, 0, 0, 0xf0, 0x3f, 0x0b, 0,
    ];

    #[test]
    fn streams_hold_every_byte_but_the_lengths_of_functions() {
        // One byte follows the section, as a further section would.
        let module = &MODULE[..41];
        let split = split(module).unwrap();
        let length = |at: usize| u32::from_le_bytes(split[4 * at..4 * at + 4].try_into().unwrap());
        let total: u32 = (0..COUNT).map(length).sum();
        assert_eq!(split.len(), 4 * COUNT + total as usize);
        // Two sizes are added and the length of the one function is not kept.
        assert_eq!(total as usize, module.len() + 8 - 1);
        assert_eq!(length(stream::CODE), 5);
        assert_eq!(length(stream::FLOAT), 8);
    }

    #[test]
    fn what_is_not_known_is_refused() {
        let mut module = MODULE[..41].to_vec();
        module[30] = 0x1c;
        assert!(split(&module).unwrap_err().contains("1c"));
        assert!(split(&MODULE[..30]).is_err());
    }
}
