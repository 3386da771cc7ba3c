//! The sheet that is worked, and how far its properties may vary.

use crate::{InputError, Length, Stress, error::positive_length};

/// Which of the two curves is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// Middle of every range, sharp tools.
    Nominal,
    /// Strongest, thickest, dullest. Limits are judged on it.
    Upper,
}

/// A property known as a range; a single number is a range without width.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    low: f64,
    high: f64,
}

impl Range {
    /// From its two ends, in either order.
    pub const fn new(one_end: f64, other_end: f64) -> Self {
        Self { low: one_end.min(other_end), high: one_end.max(other_end) }
    }

    /// A range without width.
    pub const fn exactly(value: f64) -> Self {
        Self { low: value, high: value }
    }

    /// The middle for the nominal line, the high end for the upper line.
    pub const fn on(self, line: Line) -> f64 {
        match line {
            Line::Nominal => 0.5 * (self.low + self.high),
            Line::Upper => self.high,
        }
    }

    /// The low end.
    pub const fn low(self) -> f64 {
        self.low
    }

    /// The high end.
    pub const fn high(self) -> f64 {
        self.high
    }

    /// The range with both ends multiplied by a positive `factor`.
    pub const fn scaled(self, factor: f64) -> Self {
        Self { low: self.low * factor, high: self.high * factor }
    }
}

/// The stock with its ranges, as ordered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stock {
    /// Thickness in metres; its high end includes the tolerance.
    pub thickness_m: Range,
    /// Tensile strength in pascals.
    pub tensile_pa: Range,
    /// Shear strength in pascals.
    pub shear_pa: Range,
    /// Yield strength in pascals, where known.
    pub yield_pa: Option<Range>,
    /// Depth to which the whole cutting force acts in the plateau model, as a part of thickness.
    pub penetration: Range,
    /// Depth at which the slug or part separates, as a part of thickness.
    pub separation: Range,
    /// K of `σ = K·φⁿ` in pascals, where known.
    pub strength_coefficient_pa: Option<f64>,
    /// n of `σ = K·φⁿ`, where known.
    pub hardening_exponent: Option<f64>,
}

/// The sheet on one line: every property a single value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    thickness: Length,
    tensile: Stress,
    shear: Stress,
    yield_strength: Option<Stress>,
    penetration: f64,
    separation: f64,
    hardening: Option<(Stress, f64)>,
}

impl Stock {
    /// The sheet on `line`.
    ///
    /// # Errors
    ///
    /// [`InputError`] if the thickness, a strength, the penetration or the separation is not
    /// positive.
    pub fn sheet(&self, line: Line) -> Result<Sheet, InputError> {
        let positive = |what, value: f64| {
            if value > 0.0 && value.is_finite() {
                Ok(value)
            } else {
                Err(InputError::NotPositive { what, given: value })
            }
        };
        let hardening = match (self.strength_coefficient_pa, self.hardening_exponent) {
            (Some(coefficient), Some(exponent)) => Some((
                Stress::from_pascals(positive("strength coefficient", coefficient)?),
                positive("hardening exponent", exponent)?,
            )),
            _ => None,
        };
        Ok(Sheet {
            thickness: positive_length(
                "thickness",
                Length::from_metres(self.thickness_m.on(line)),
            )?,
            tensile: Stress::from_pascals(positive("tensile strength", self.tensile_pa.on(line))?),
            shear: Stress::from_pascals(positive("shear strength", self.shear_pa.on(line))?),
            yield_strength: self.yield_pa.map(|range| Stress::from_pascals(range.on(line))),
            penetration: positive("penetration", self.penetration.on(line))?,
            separation: positive("separation", self.separation.on(line))?,
            hardening,
        })
    }
}

impl Sheet {
    /// Thickness.
    pub const fn thickness(&self) -> Length {
        self.thickness
    }

    /// Tensile strength.
    pub const fn tensile_strength(&self) -> Stress {
        self.tensile
    }

    /// Shear strength.
    pub const fn shear_strength(&self) -> Stress {
        self.shear
    }

    /// Yield strength, where known.
    pub const fn yield_strength(&self) -> Option<Stress> {
        self.yield_strength
    }

    /// Penetration of the plateau model, as a part of thickness.
    pub const fn penetration(&self) -> f64 {
        self.penetration
    }

    /// Depth of separation, as a part of thickness.
    pub const fn separation(&self) -> f64 {
        self.separation
    }

    /// K and n of `σ = K·φⁿ`, where known.
    pub const fn hardening(&self) -> Option<(Stress, f64)> {
        self.hardening
    }
}
