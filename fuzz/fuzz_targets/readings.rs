//! Any bytes, read as a recording of a load monitor: nothing panics, and what is read is sound.

#![no_main]

use evenstroke_job::Job;
use evenstroke_readings::{Wishes, read};
use std::sync::LazyLock;

static JOB: LazyLock<Job> = LazyLock::new(|| {
    Job::read(include_str!("../../tests/contract/example.json")).expect("the example is read")
});

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Ok(found) = read(bytes, &JOB, &Wishes::default()) {
        assert!(found.strokes > 0 && !found.mapping.forces.is_empty());
        for row in found.quantities.iter().filter_map(|row| row.read) {
            assert!(row.low.is_finite() && row.high.is_finite() && row.low <= row.high);
        }
    }
});
