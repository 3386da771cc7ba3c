//! Stripping: pulling the punches out of the stock on the way up.
//!
//! `F_strip = k · F_cut` with F_cut the force of the whole sharp or dull edge, without the relief
//! that tool shear gives: the stock grips the punch along its whole outline. A fixed stripper holds
//! the stock to the lower die, so the slide is pulled down by it; a stripper on springs in the
//! upper die pushes the stock off, and the pull stays inside the upper die.
//!
//! Factors in print: 0.10 and 0.20 in one set of press-tool notes, 0.03–0.08 in a press-die tutorial
//! (2012), 0.10–0.30 in P. Ulintz, "Pressure Strippers Part 1", *MetalForming*, July 2009.

use crate::springs::Spring;

/// How a station strips.
#[derive(Clone, Debug, PartialEq)]
pub enum Stripper {
    /// Fixed to the lower die.
    Fixed,
    /// Carried by springs in the upper die.
    Sprung(Spring),
}

/// Part of the cutting force taken where none is given (press-tool training notes, "P = L·t·τ/10").
pub const DEFAULT_STRIP_FACTOR: f64 = 0.1;
