//! This coil: the numbers of its certificate beside the range of the job.
//!
//! The limits are judged on the job's range, because the next coil may lie anywhere in it. What this
//! one asks is worked out beside them, with the laws' nominal values and the coil's own numbers in
//! their place: strength and thickness are known, so that nothing is added for what may vary; edges
//! wear all the same, and tight clearance counts as it does on the upper line.

use crate::{Job, spec::Unit};
use evenstroke_language::tr;
use press_load::{Check, Line, Range, Stock, WorkError};

/// The coil that is to be run.
#[derive(Clone, Debug, PartialEq)]
pub struct Coil {
    /// Number of its certificate.
    pub certificate: String,
    /// Date of the certificate, or of the measurement.
    pub date: String,
    /// Thickness in metres.
    pub thickness_m: Option<f64>,
    /// Tensile strength in pascals.
    pub tensile_pa: Option<f64>,
    /// Yield strength in pascals.
    pub yield_pa: Option<f64>,
}

/// A number of the coil that lies outside the range of the job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutsideRange {
    /// Field of the job file.
    pub field: &'static str,
    /// What it is.
    pub what: &'static str,
    /// Least that the job allows, in the unit of the file.
    pub low: f64,
    /// Most that the job allows.
    pub high: f64,
    /// What the coil has.
    pub given: f64,
    /// The unit of the file.
    pub unit: Unit,
}

impl Coil {
    /// Whether it says anything that the job's range does not.
    pub const fn has_numbers(&self) -> bool {
        self.thickness_m.is_some() || self.tensile_pa.is_some() || self.yield_pa.is_some()
    }
}

/// The coil's numbers over the middle of the job's ranges.
#[derive(Clone, Copy)]
struct Factors {
    thickness: f64,
    strength: f64,
    yielding: f64,
}

impl Factors {
    fn of(coil: &Coil, stock: &Stock) -> Self {
        let over = |given: Option<f64>, range: Range| given.map(|g| g / range.on(Line::Nominal));
        let strength = over(coil.tensile_pa, stock.tensile_pa).unwrap_or(1.0);
        Self {
            thickness: over(coil.thickness_m, stock.thickness_m).unwrap_or(1.0),
            strength,
            // Where only the tensile strength is known, the coil yields later as it breaks later.
            yielding: stock
                .yield_pa
                .and_then(|range| over(coil.yield_pa, range))
                .unwrap_or(strength),
        }
    }

    /// A stock of the job as it is in this coil: every range a single number.
    ///
    /// Shear strength goes with tensile strength, and so does K of `σ = K·φⁿ`, for
    /// `Rm = K·(n/e)ⁿ` (Considère). A station with stock of its own, drawn thinner or work-hardened
    /// by the stations before, differs from the job's in the same proportion as before.
    fn apply(self, stock: &Stock, coil_yield: Option<f64>) -> Stock {
        let exactly = |range: Range, factor: f64| Range::exactly(range.on(Line::Nominal) * factor);
        Stock {
            thickness_m: exactly(stock.thickness_m, self.thickness),
            tensile_pa: exactly(stock.tensile_pa, self.strength),
            shear_pa: exactly(stock.shear_pa, self.strength),
            yield_pa: stock
                .yield_pa
                .map(|range| exactly(range, self.yielding))
                .or(coil_yield.map(Range::exactly)),
            penetration: exactly(stock.penetration, 1.0),
            separation: exactly(stock.separation, 1.0),
            strength_coefficient_pa: stock.strength_coefficient_pa.map(|k| k * self.strength),
            hardening_exponent: stock.hardening_exponent,
        }
    }
}

impl Job {
    /// Judges this coil: upper peak, upper energy and limits of the answer are those of the coil's own
    /// numbers with worn edges. Nothing if no coil is entered.
    ///
    /// # Errors
    ///
    /// [`WorkError`] if a station cannot work a coil like this, such as one thicker than a V is wide.
    pub fn check_coil(&self) -> Option<Result<Check, WorkError>> {
        let coil = self.coil.as_ref().filter(|coil| coil.has_numbers())?;
        let factors = Factors::of(coil, &self.stock);
        let job = self.altered(|job| {
            job.stock = factors.apply(&job.stock, coil.yield_pa);
            for stock in job.stations.iter_mut().filter_map(|station| station.stock.as_mut()) {
                *stock = factors.apply(stock, coil.yield_pa);
            }
        });
        Some(job.map(|job| job.check()))
    }

    /// What of this coil lies outside the range that the limits are judged on.
    pub fn coil_outside_range(&self) -> Vec<OutsideRange> {
        let Some(coil) = &self.coil else { return Vec::new() };
        let rows = [
            (
                "coil.tensile_mpa",
                tr("tensile strength"),
                coil.tensile_pa,
                Some(self.stock.tensile_pa),
            ),
            ("coil.yield_mpa", tr("yield strength"), coil.yield_pa, self.stock.yield_pa),
            ("coil.thickness_mm", tr("thickness"), coil.thickness_m, Some(self.stock.thickness_m)),
        ];
        rows.into_iter()
            .filter_map(|(field, what, given, range)| {
                let (given, range) = (given?, range?);
                let (unit, scale) =
                    if field == "coil.thickness_mm" { (Unit::Mm, 1e3) } else { (Unit::Mpa, 1e-6) };
                // A number at an end of its range is not outside by a rounding error.
                let rounding = 1e-9 * range.high();
                let inside = given >= range.low() - rounding && given <= range.high() + rounding;
                (!inside).then(|| OutsideRange {
                    field,
                    what,
                    low: range.low() * scale,
                    high: range.high() * scale,
                    given: given * scale,
                    unit,
                })
            })
            .collect()
    }
}
