//! The kernel as a WebAssembly module to be timed by `benches/kernel.mjs`.

#![allow(missing_docs)]

// The native bench reads more of it.
#[allow(dead_code)]
#[path = "../../press-load/benches/workload/mod.rs"]
mod workload;

use wasm_bindgen::prelude::wasm_bindgen;
use workload::{LargeDie, checksums};

/// A large die, kept between timed calls.
#[wasm_bindgen]
pub struct Die(LargeDie);

#[wasm_bindgen]
impl Die {
    #[wasm_bindgen(constructor)]
    pub fn new(stations: usize, segments: usize, heights: usize) -> Self {
        Self(LargeDie::new(stations, segments, heights))
    }

    /// Sums all stations at all heights; returns sums of force and moments.
    pub fn sum(&self) -> Vec<f64> {
        checksums(&self.0.series()).to_vec()
    }

    /// The same, every corner at every height.
    pub fn sum_directly(&self) -> Vec<f64> {
        checksums(&self.0.direct_series()).to_vec()
    }
}
