//! What a sheet and a file are told apart by.

use serde_json::Value;
use std::fmt::{self, Write};

/// A checksum of everything in a job but its record, such as `3F2A-91C0`.
///
/// CRC-32 of the fields written without spaces, in the order of the file: two jobs that differ in
/// one number have different ones, and space or a new entry in the record changes nothing. It tells
/// a mistake, not a forgery.
///
/// Source: the CRC-32 of ISO/IEC/IEEE 8802-3 (Ethernet), reflected, as in RFC 1952, section 8.
pub fn checksum(document: &Value) -> String {
    let mut sum = Crc32(!0);
    // A sum takes every text.
    let _ = match document {
        Value::Object(fields) => fields
            .iter()
            .filter(|(key, _)| *key != "record")
            .try_for_each(|(key, value)| write!(sum, "{key}:{value},")),
        other => write!(sum, "{other}"),
    };
    let sum = !sum.0;
    format!("{:04X}-{:04X}", sum >> 16, sum & 0xffff)
}

struct Crc32(u32);

impl Write for Crc32 {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        for &byte in text.as_bytes() {
            self.0 ^= u32::from(byte);
            for _ in 0..8 {
                self.0 = (self.0 >> 1) ^ if self.0 & 1 == 1 { 0xedb8_8320 } else { 0 };
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn the_sum_is_the_one_of_other_programs() {
        // Check value of CRC-32: R. N. Williams, "A Painless Guide to CRC Error Detection
        // Algorithms" (1993), section 15, parameters of CRC-32.
        let mut sum = Crc32(!0);
        sum.write_str("123456789").unwrap();
        assert_eq!(!sum.0, 0xcbf4_3926);
    }

    #[test]
    fn a_number_counts_and_the_record_does_not() {
        let job = json!({"title": "a", "press": {"rated_force_kn": 630}});
        let mut other = job.clone();
        other["record"] = json!([{"remark": "b"}]);
        assert_eq!(checksum(&job), checksum(&other));
        other["press"]["rated_force_kn"] = json!(631);
        assert_ne!(checksum(&job), checksum(&other));
        assert_eq!(checksum(&job).len(), 9);
    }
}
