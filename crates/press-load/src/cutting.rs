//! Cutting: shearing, blanking, piercing, notching, lancing, trimming, parting.
//!
//! Stripping comes on top, on the way up: see [`crate::stripping`].

use crate::{
    Force, InputError, Length, LineForce, Sheet,
    cut_profile::{CutProfile, DEFAULT_CLEARANCE_PERCENT, SlugPath},
    edge_load::EdgeLoad,
    error::positive_length,
    geometry::{Motion, Point},
    outline::Outline,
    tool_shear::ToolShear,
};

/// Which model of the force over penetration is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutModel {
    /// The handbook's constant force over the penetration.
    Plateau,
    /// The measured form: rise, peak, fall, slug tail.
    Shaped,
}

/// A cut along an outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// The cut edge.
    pub outline: Outline,
    /// Slide height above BDC at which the tool first touches the stock.
    pub entry: Length,
    /// How the tool is ground.
    pub tool_shear: ToolShear,
    /// Clearance per side in percent of thickness, where known.
    pub clearance_percent: Option<f64>,
    /// Height of the straight land of the die, where known; it holds the slugs.
    pub land: Option<Length>,
    /// Part of the cutting force that pulls the punch out; none is nothing.
    pub strip_factor: f64,
    /// Cutting force with dull edges over that with sharp ones.
    pub wear_factor: f64,
}

impl Cut {
    /// Force per length of cut edge at the peak of the curve, `τ·t·w`.
    pub fn line_force(&self, sheet: &Sheet, wear_factor: f64) -> LineForce {
        sheet.thickness() * sheet.shear_strength() * wear_factor
    }

    /// The profile of force over penetration in `sheet`.
    pub fn profile(&self, sheet: &Sheet, model: CutModel) -> CutProfile {
        match model {
            CutModel::Plateau => CutProfile::plateau(sheet.penetration()),
            CutModel::Shaped => {
                let slug_path = if self.outline.is_closed() {
                    SlugPath::Closed {
                        clearance_percent: self
                            .clearance_percent
                            .unwrap_or(DEFAULT_CLEARANCE_PERCENT),
                        slugs_in_land: self.land.map_or(1.0, |land| land / sheet.thickness()),
                    }
                } else {
                    SlugPath::Open
                };
                CutProfile::shaped(sheet.separation(), slug_path)
            }
        }
    }

    /// The load through the stroke, with the outline brought into place by `motion`.
    ///
    /// `wear_factor` is 1 for sharp edges.
    ///
    /// # Errors
    ///
    /// [`InputError`] if the outline cannot be.
    pub fn load(
        &self,
        sheet: &Sheet,
        model: CutModel,
        wear_factor: f64,
        motion: &Motion,
    ) -> Result<EdgeLoad, InputError> {
        let profile = self.profile(sheet, model);
        let line_force = self.line_force(sheet, wear_factor);
        if let Outline::LengthOnly(length) = self.outline {
            let length = positive_length("cut length", length)?;
            let at = motion.apply(Point::default());
            let t = sheet.thickness();
            return Ok(EdgeLoad::at_point(at, length, self.entry, profile, t, line_force));
        }
        let edges = self.tool_shear.apply(&self.outline.edges()?, self.entry);
        Ok(EdgeLoad::new(&edges, motion, profile, sheet.thickness(), line_force))
    }

    /// Slide height above BDC at which the last edge point is through, negative if the cut is not
    /// finished at BDC.
    pub fn finished_at(&self, sheet: &Sheet) -> Length {
        self.entry - self.tool_shear.depth() - sheet.thickness() * sheet.separation()
    }
}

/// Peak force to blank or pierce `sheet` along `cut_length` with flat-ended, sharp tools.
///
/// `F = L · t · τ`: cut length, sheet thickness, shear strength. The whole cut edge is taken to be
/// in shear at once, so this is an upper bound for tools ground with shear.
///
/// # Errors
///
/// [`InputError::LengthNotPositive`] if `cut_length` is zero, negative or NaN.
///
/// # Source
///
/// P. C. Sharma, *A Textbook of Production Engineering*, 11th ed. (2008), ch. 2, example 2.1.
///
/// # Examples
///
/// ```
/// use press_load::{Length, Range, Stock, Line, cutting::flat_cutting_force};
///
/// let stock = Stock {
///     thickness_m: Range::exactly(0.002),
///     tensile_pa: Range::exactly(375e6),
///     shear_pa: Range::exactly(300e6),
///     yield_pa: None,
///     penetration: Range::exactly(0.4),
///     separation: Range::exactly(0.7),
///     strength_coefficient_pa: None,
///     hardening_exponent: None,
/// };
/// let force = flat_cutting_force(&stock.sheet(Line::Nominal)?, Length::from_millimetres(300.0))?;
/// assert!((force.kilonewtons() - 180.0).abs() < 1e-9);
/// # Ok::<(), press_load::InputError>(())
/// ```
pub fn flat_cutting_force(sheet: &Sheet, cut_length: Length) -> Result<Force, InputError> {
    positive_length("cut length", cut_length)?;
    Ok(cut_length * (sheet.thickness() * sheet.shear_strength()))
}
