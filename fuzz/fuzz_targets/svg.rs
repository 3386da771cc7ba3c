//! Any bytes, read as SVG: nothing panics, and what is read is sound.

#![no_main]

use evenstroke_drawing::{Options, read};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if bytes.first() != Some(&b'<') {
        return;
    }
    if let Ok(drawing) = read(bytes, &Options::default()) {
        for outline in &drawing.outlines {
            assert!(outline.length_mm > 0.0 && outline.length_mm.is_finite());
            assert!(outline.centroid.x.is_finite() && outline.centroid.y.is_finite());
            assert!(outline.points.len() == outline.bulges.len() + usize::from(!outline.closed));
            let _ = outline.to_job(outline.centroid);
        }
    }
});
