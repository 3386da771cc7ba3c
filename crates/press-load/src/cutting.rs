//! Cutting: shearing, blanking, piercing, notching, lancing, trimming, parting, shaving.
//!
//! All kinds but shaving follow one law; the kind says on which side tool shear belongs and which
//! punch has to be looked at. Stripping comes on top, on the way up: see [`crate::stripping`].

use crate::{
    Force, InputError, Length, Line, LineForce, Sheet, Stress,
    cut_profile::{CutProfile, DEFAULT_CLEARANCE_PERCENT, SlugPath},
    edge_load::EdgeLoad,
    error::positive_length,
    geometry::{Motion, Point},
    outline::{Edge, Outline},
    strip::StripEnd,
    tool_shear::{ToolShear, clip},
};
use std::f64::consts::PI;

/// Clearance per side, in percent of thickness, below which the upper line rises.
pub const FREE_CLEARANCE_PERCENT: f64 = 10.0;
/// What the force gains per percent of clearance below that: "going from 10 % to 5 % of thickness
/// raises the punching capacity needed by about 4 %" (punching-machine manual B380EN03, p. 3-49). The
/// note does not say whether per side or in all; taken as per side, which is the higher force.
pub const CLEARANCE_GAIN_PER_PERCENT: f64 = 0.04 / 5.0;

/// Force of shaving over shear strength times chip section, `2 · cot φ` with a shear angle φ of 25°:
/// an edge without rake and a friction angle of 40° (M. E. Merchant's law of the chip, value from
/// memory; its use for shaving is common practice, no source).
pub const SHAVING_FACTOR: f64 = 4.3;

/// Mean pressure on a punch from which on it is cautioned: punches of thick plate reached about
/// 2000 MPa in Keller's tests ("Neuere Durchstoss- und Schermaschinen", Dinglers Polytechnisches
/// Journal 298 (1895) 145–148); as a limit common practice, no source.
pub const PUNCH_STRESS_LIMIT: Stress = Stress::from_megapascals(2_000.0);
/// Young's modulus of tool steel (value from memory).
pub const TOOL_STEEL_MODULUS: Stress = Stress::from_megapascals(210_000.0);
/// Part of Euler's force from which on a punch is cautioned, because no punch is loaded exactly
/// along its axis (common practice, no source).
pub const BUCKLING_SHARE: f64 = 0.5;

/// What is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutKind {
    /// The part falls through the die.
    Blank,
    /// The slug falls through the die.
    Pierce,
    /// A piece of the strip's edge falls.
    Notch,
    /// The part is cut from the strip.
    CutOff,
    /// A straight cut.
    Shear,
    /// A cut that frees no piece; a bend follows.
    Lance,
    /// The rim of a formed part falls.
    Trim,
    /// A thin ring is taken off an edge cut before.
    Shave,
}

/// On which tool the shear is ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShearSide {
    /// On the punch: what is pushed into the die bends, what stays on it keeps flat.
    Punch,
    /// On the die: what stays on it bends, what is pushed into it keeps flat.
    Die,
}

/// How a punch is held at its end when it touches the stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PunchEnd {
    /// Fixed at the holder, free at the end.
    Free,
    /// Fixed at the holder, guided sideways by the stripper.
    Guided,
}

/// A punch that may be too slender.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlenderPunch {
    /// Free length below the holder.
    pub length: Length,
    /// How its end is held.
    pub end: PunchEnd,
}

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
    /// What is cut.
    pub kind: CutKind,
    /// The cut edge.
    pub outline: Outline,
    /// Slide height above BDC at which the tool first touches the stock.
    pub entry: Length,
    /// How the tool is ground.
    pub tool_shear: ToolShear,
    /// On which tool, where known.
    pub shear_on: Option<ShearSide>,
    /// The punch, where its length is known.
    pub punch: Option<SlenderPunch>,
    /// Width of the ring that shaving takes off, where known; needed for it only.
    pub allowance: Option<Length>,
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
    ///
    /// Shaving with a known allowance a takes `τ·min(4.3·a, t)·w` ([`SHAVING_FACTOR`]): a chip of
    /// width a is cut over the whole thickness, until the ring is so wide that it is sheared like any
    /// blank.
    pub fn line_force(&self, sheet: &Sheet, wear_factor: f64) -> LineForce {
        let t = sheet.thickness();
        let sheared = self.shaved().map_or(t, |allowance| (allowance * SHAVING_FACTOR).min(t));
        sheared * sheet.shear_strength() * wear_factor
    }

    fn shaved(&self) -> Option<Length> {
        self.allowance.filter(|_| self.kind == CutKind::Shave)
    }

    /// How much higher than nominal the force is: dull edges, and, on the shaped curve, clearance
    /// below [`FREE_CLEARANCE_PERCENT`], linear ([`CLEARANCE_GAIN_PER_PERCENT`]).
    ///
    /// The nominal line stays at 1. A clearance that nobody gave raises nothing: tables of shear
    /// strength do not say at what clearance they hold. The handbook's model stays `L·t·τ`.
    pub fn force_factor(&self, line: Line, model: CutModel) -> f64 {
        if line == Line::Nominal {
            return 1.0;
        }
        let tightness = match (model, self.clearance_percent) {
            (CutModel::Shaped, Some(percent)) => (FREE_CLEARANCE_PERCENT - percent).max(0.0),
            _ => 0.0,
        };
        self.wear_factor.max(1.0) * (1.0 + CLEARANCE_GAIN_PER_PERCENT * tightness)
    }

    /// The profile of force over penetration in `sheet`.
    ///
    /// A shaved edge is cut all the way: constant force over the thickness, no slug.
    pub fn profile(&self, sheet: &Sheet, model: CutModel) -> CutProfile {
        if self.shaved().is_some() {
            return CutProfile::plateau(1.0);
        }
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

    /// The load where the strip reaches only as far as `end`, given in the coordinates into which
    /// `motion` brings the outline: a half cut. A cut of which only the length is known is whole or
    /// not at all. The tool enters as it does on the whole outline.
    ///
    /// # Errors
    ///
    /// As [`Cut::load`].
    pub fn load_up_to(
        &self,
        sheet: &Sheet,
        model: CutModel,
        wear_factor: f64,
        motion: &Motion,
        end: StripEnd,
    ) -> Result<Option<EdgeLoad>, InputError> {
        if let Outline::LengthOnly(_) = self.outline {
            return if end.covers(motion.apply(Point::default())) {
                self.load(sheet, model, wear_factor, motion).map(Some)
            } else {
                Ok(None)
            };
        }
        let edges = self.tool_shear.apply(&self.outline.edges()?, self.entry);
        let direction = motion.turn_back(end.feed);
        let kept = clip(&edges, direction, end.position - motion.shift.along(end.feed));
        let (profile, line_force) =
            (self.profile(sheet, model), self.line_force(sheet, wear_factor));
        Ok((!kept.is_empty())
            .then(|| EdgeLoad::new(&kept, motion, profile, sheet.thickness(), line_force)))
    }

    /// Slide height above BDC at which the last edge point is through, negative if the cut is not
    /// finished at BDC.
    pub fn finished_at(&self, sheet: &Sheet) -> Length {
        let separation = if self.shaved().is_some() { 1.0 } else { sheet.separation() };
        self.entry - self.tool_shear.depth() - sheet.thickness() * separation
    }

    /// Mean pressure on the end of a piercing punch, force over its section; nothing for other work
    /// or where the outline encloses no area.
    ///
    /// On a round punch it is `4·t·τ/d` (B. K. Sarkar, *Strength of Materials*, problem 3.4), on a
    /// long narrow one `2·t·τ/w`. Tool shear is left out: a punch that is ground with it still carries
    /// its edge force where it cuts.
    pub fn punch_stress(&self, sheet: &Sheet, force_factor: f64) -> Option<Stress> {
        let area = self.punch_section()?;
        let force = self.outline.length().ok()? * self.line_force(sheet, force_factor);
        Some(Stress::from_pascals(force.newtons() / area))
    }

    /// Force at which the punch buckles by Euler, `π²·E·I/(K·L)²`, where its length and section are
    /// known: K = 2 for a free end, 0.7 for one guided by the stripper (Euler's cases; K values from
    /// memory). I about the weak axis of circle, rectangle (corner radii left out) or slot, of one
    /// section along the whole length.
    pub fn buckling_force(&self) -> Option<Force> {
        let punch = self.punch?;
        self.punch_section()?;
        let second_moment = match self.outline {
            Outline::Circle { diameter } => PI / 64.0 * diameter.metres().powi(4),
            Outline::Rectangle { width, depth, .. } => {
                width.max(depth).metres() * width.min(depth).metres().powi(3) / 12.0
            }
            Outline::Slot { length, width } => {
                let w = width.metres();
                (length.metres() - w) * w.powi(3) / 12.0 + PI / 64.0 * w.powi(4)
            }
            Outline::Path { .. } | Outline::LengthOnly(_) => return None,
        };
        let k = match punch.end {
            PunchEnd::Free => 2.0,
            PunchEnd::Guided => 0.7,
        };
        let length = positive_length("punch length", punch.length).ok()?.metres();
        let stiffness = PI * PI * TOOL_STEEL_MODULUS.pascals() * second_moment;
        Some(Force::from_newtons(stiffness / (k * length).powi(2)))
    }

    /// On which tool the shear keeps flat what is to be kept: on the punch where the slug falls, on
    /// the die where the part does (common practice, no source). Nothing for cuts that bend both
    /// sides, or neither.
    pub const fn flat_side(&self) -> Option<ShearSide> {
        match self.kind {
            CutKind::Pierce | CutKind::Notch => Some(ShearSide::Punch),
            CutKind::Blank => Some(ShearSide::Die),
            _ => None,
        }
    }

    /// Section of a piercing punch in square metres.
    fn punch_section(&self) -> Option<f64> {
        if self.kind != CutKind::Pierce || !self.outline.is_closed() {
            return None;
        }
        let area = enclosed_area(&self.outline.edges().ok()?);
        (area > 0.0).then_some(area)
    }
}

/// Area inside a closed outline in square metres, `½ ∮ (x dy − y dx)`.
fn enclosed_area(edges: &[Edge]) -> f64 {
    let part = |edge: &Edge| match *edge {
        Edge::Line { start, end } => start.x * end.y - end.x * start.y,
        Edge::Arc { centre, radius, start_rad, sweep_rad } => {
            let end_rad = start_rad + sweep_rad;
            radius
                * (radius * sweep_rad + centre.x * (end_rad.sin() - start_rad.sin())
                    - centre.y * (end_rad.cos() - start_rad.cos()))
        }
    };
    (0.5 * edges.iter().map(part).sum::<f64>()).abs()
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{assert_close, test_sheet};

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn cut(kind: CutKind, outline: Outline) -> Cut {
        Cut {
            kind,
            outline,
            entry: mm(10.0),
            tool_shear: ToolShear::Flat,
            shear_on: None,
            punch: None,
            allowance: None,
            clearance_percent: None,
            land: None,
            strip_factor: 0.0,
            wear_factor: 1.0,
        }
    }

    fn pierce(outline: Outline) -> Cut {
        cut(CutKind::Pierce, outline)
    }

    fn circle(diameter_mm: f64) -> Outline {
        Outline::Circle { diameter: mm(diameter_mm) }
    }

    #[test]
    fn area_of_an_outline_is_that_of_its_figure() {
        let area = |outline: Outline| enclosed_area(&outline.edges().unwrap()) * 1e6;
        assert_close(area(circle(10.0)), PI * 25.0, 1e-12);
        let corner_radius = mm(2.0);
        let rectangle = Outline::Rectangle { width: mm(20.0), depth: mm(10.0), corner_radius };
        assert_close(area(rectangle), 200.0 - (4.0 - PI) * 4.0, 1e-12);
        let slot = Outline::Slot { length: mm(30.0), width: mm(10.0) };
        assert_close(area(slot), 200.0 + PI * 25.0, 1e-12);
        // A square hung off the origin, run clockwise, one side bulged out to a half circle.
        let points = [(100.0, 50.0), (100.0, 60.0), (110.0, 60.0), (110.0, 50.0)];
        let path = Outline::Path {
            points: points.map(|(x, y)| Point::from_millimetres(x, y)).to_vec(),
            bulges: vec![-1.0, 0.0, 0.0, 0.0],
            closed: true,
        };
        assert_close(area(path), 100.0 + PI * 12.5, 1e-9);
    }

    #[test]
    fn narrow_punch_carries_twice_thickness_times_strength_over_its_width() {
        let sheet = test_sheet(2.0, 400.0);
        let slot = Outline::Slot { length: mm(4_000.0), width: mm(4.0) };
        let stress = pierce(slot).punch_stress(&sheet, 1.0).unwrap().megapascals();
        assert_close(stress, 2.0 * 2.0 * 320.0 / 4.0, 1e-3);
    }

    #[test]
    fn only_a_piercing_punch_of_known_section_has_a_stress() {
        let sheet = test_sheet(2.0, 400.0);
        assert_eq!(cut(CutKind::Blank, circle(10.0)).punch_stress(&sheet, 1.0), None);
        assert_eq!(pierce(Outline::LengthOnly(mm(20.0))).punch_stress(&sheet, 1.0), None);
    }

    #[test]
    fn punch_buckles_at_eulers_force_and_a_guided_one_eight_times_later() {
        // π²·210 GPa·(π/64·2⁴ mm⁴)/(2·50 mm)² = 162.8 N (hand calculation).
        let of = |end| {
            let punch = Some(SlenderPunch { length: mm(50.0), end });
            Cut { punch, ..pierce(circle(2.0)) }.buckling_force().unwrap().newtons()
        };
        assert_close(of(PunchEnd::Free), 162.8, 1e-3);
        assert_close(of(PunchEnd::Guided) / of(PunchEnd::Free), (2.0_f64 / 0.7).powi(2), 1e-12);
        assert_eq!(pierce(circle(2.0)).buckling_force(), None);
    }

    #[test]
    fn weak_axis_of_a_flat_punch_counts_whichever_way_it_stands() {
        let of = |width, depth| {
            let corner_radius = Length::ZERO;
            let outline = Outline::Rectangle { width: mm(width), depth: mm(depth), corner_radius };
            let punch = Some(SlenderPunch { length: mm(50.0), end: PunchEnd::Free });
            Cut { punch, ..pierce(outline) }.buckling_force().unwrap().newtons()
        };
        assert_close(of(20.0, 2.0), of(2.0, 20.0), 1e-12);
    }

    #[test]
    fn shaving_cuts_a_chip_and_a_wide_ring_is_sheared_like_a_blank() {
        let sheet = test_sheet(4.0, 400.0);
        let shave = |allowance_mm| Cut {
            allowance: Some(mm(allowance_mm)),
            ..cut(CutKind::Shave, circle(20.0))
        };
        let whole = cut(CutKind::Blank, circle(20.0)).line_force(&sheet, 1.0).newtons_per_metre();
        let part = |allowance| shave(allowance).line_force(&sheet, 1.0).newtons_per_metre() / whole;
        assert_close(part(0.1), 0.43 / 4.0, 1e-12);
        assert_close(part(0.2) / part(0.1), 2.0, 1e-12);
        assert_close(part(2.0), 1.0, 1e-12);
        // Its work is force times thickness, whatever the model.
        let profile = shave(0.1).profile(&sheet, CutModel::Shaped);
        assert_close(profile.work_factor(), 1.0, 1e-12);
        assert_close(shave(0.1).finished_at(&sheet).millimetres(), 10.0 - 4.0, 1e-12);
    }

    #[test]
    fn tight_clearance_raises_the_upper_line_of_the_shaped_curve_only() {
        let of = |percent, line, model| {
            Cut { clearance_percent: percent, ..pierce(circle(20.0)) }.force_factor(line, model)
        };
        assert_close(of(Some(5.0), Line::Upper, CutModel::Shaped), 1.04, 1e-12);
        assert_close(of(Some(7.5), Line::Upper, CutModel::Shaped), 1.02, 1e-12);
        for (percent, line, model) in [
            (Some(10.0), Line::Upper, CutModel::Shaped),
            (Some(15.0), Line::Upper, CutModel::Shaped),
            (None, Line::Upper, CutModel::Shaped),
            (Some(5.0), Line::Nominal, CutModel::Shaped),
            (Some(5.0), Line::Upper, CutModel::Plateau),
        ] {
            assert_eq!(of(percent, line, model), 1.0, "{percent:?} {line:?} {model:?}");
        }
    }
}
