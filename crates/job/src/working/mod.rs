//! The working: how a number on the page comes about, step by step.
//!
//! A [`Working`] is one law with the numbers put in and what it gives. The laws themselves are worked
//! out in `press_load`; here they stand as text ([`LAWS`]), and tests hold that a formula evaluated with
//! the numbers put in gives the number that the check gives. Where a number is a sum or an integral
//! over many points, its law says so.
//!
//! - [`formula`]: the language of formulas
//! - [`LAWS`]: the table, from which `docs/laws.md` is written
//! - [`of_limit`], [`of_work`], [`of_now`]: the steps behind a limit, an operation, the slide now
//! - [`html`], [`lines`], [`law_lines`]: the steps for the page and for the command line

mod capacity;
pub mod formula;
#[cfg(test)]
mod handbook;
mod laws;
mod limit;
mod now;
mod operation;
mod show;
mod steps;

pub use laws::{LAWS, Law, Symbol};
pub use limit::of_limit;
pub use now::of_now;
pub use operation::of_work;
pub use show::{html, law_lines, lines};

use crate::spec::Unit;
use press_load::Length;

/// A law with numbers put in.
#[derive(Clone, Debug)]
pub struct Working {
    /// The law.
    pub law: &'static Law,
    /// What is put in for each symbol of the law behind its first, in the unit of the file: one value,
    /// or one for each row.
    pub put_in: Vec<Vec<f64>>,
    /// What the rows are called, where it is a sum.
    pub rows: Vec<String>,
    /// What it gives, in the unit of the file.
    pub result: f64,
    /// Slide height at which it holds, where it holds at one.
    pub at: Option<Length>,
    /// Unit in which all that is put in is told, where the law takes any.
    pub told_in: Option<Unit>,
    /// What belongs to this step alone.
    pub note: String,
}

impl Working {
    /// What the formula gives with the numbers put in, in the unit of the file.
    pub fn evaluate(&self) -> f64 {
        let [result, inputs @ ..] = self.law.symbols else { return f64::NAN };
        let values = |name: &str| {
            let found = inputs.iter().position(|symbol| symbol.sign == name);
            let Some((symbol, values)) =
                found.and_then(|index| Some((&inputs[index], self.put_in.get(index)?)))
            else {
                return Vec::new();
            };
            values.iter().map(|value| value * si(symbol.unit)).collect()
        };
        let formula = self.law.read();
        formula.map_or(f64::NAN, |formula| formula.evaluate(&values)) / si(result.unit)
    }
}

/// How many units of SI, without prefix, one unit of the file is; angles in radians.
const fn si(unit: Unit) -> f64 {
    match unit {
        Unit::One | Unit::Nm | Unit::Kg | Unit::Kgm2 => 1.0,
        Unit::Mm | Unit::MmPerS | Unit::MmPerM => 1e-3,
        Unit::Kn | Unit::Knm | Unit::Kj | Unit::Kw => 1e3,
        Unit::Mm2 => 1e-6,
        Unit::KnPerMm | Unit::Mpa | Unit::KnmPerMmPerM => 1e6,
        Unit::Spm | Unit::Rpm => 1.0 / 60.0,
        Unit::Deg => std::f64::consts::PI / 180.0,
        Unit::Percent => 0.01,
    }
}
