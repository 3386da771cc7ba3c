//! Bending: V, U and wipe.
//!
//! The peak is the handbook's `F = k · Rm · L · t² / W`. The curve over travel comes from the
//! geometry of the bend, scaled so that its peak is the handbook's:
//!
//! - The bending moment grows linearly with the leg's angle to its full plastic value over the first
//!   [`FULLY_PLASTIC_DEG`] and is constant from there (common practice, no source: no measured
//!   bending curve with numbers was found in print).
//! - **V**, leg angle α: travel `W/2 · tan α`; two supports at `W/2`, forces square to the legs, so
//!   `F ∝ cos² α`. The V is closed at 45°.
//! - **Wipe** and each leg of a **U**: the sheet is tangent to the die radius and the punch nose,
//!   with S = r_die + t + r_punch and W the distance of their centres. Travel
//!   `S − (S − W·sin α)/cos α`, lever along the leg `(W − S·sin α)/cos α`, so
//!   `F ∝ cos² α / (W − S·sin α)`. Once the leg is upright the punch only rubs. A sheet thicker than
//!   the gap follows the curve of one that fills it, `S = W`, to a peak that grows with its thickness;
//!   that its leg is ironed to the gap as well is not counted.
//! - **Bottoming** is a rise to `pressure · area` over the last [`BOTTOMING_TRAVEL`] of thickness.

use crate::{
    Area, Force, InputError, Length, Sheet, Stress, error::positive_length, geometry::Point,
    point_load::PointLoad,
};

/// Leg angle at which the bend is fully plastic, in degrees (common practice, no source).
pub const FULLY_PLASTIC_DEG: f64 = 10.0;
/// Force of rubbing along an upright leg as a part of the peak (common practice, no source).
pub const RUBBING_SHARE: f64 = 0.15;
/// Travel of bottoming above BDC as a part of thickness (common practice, no source).
pub const BOTTOMING_TRAVEL: f64 = 0.1;
/// Points of a bend curve; linear interpolation between them is within 0.1 % of the peak.
const CURVE_POINTS: usize = 48;

/// What kind of bend, with the tool dimensions that set its lever.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BendKind {
    /// A V die.
    V {
        /// Width of the V at its top.
        opening: Length,
    },
    /// Two legs bent up at once.
    U {
        /// Punch radius.
        punch_radius: Length,
        /// Die radius.
        die_radius: Length,
        /// Gap between punch and die; the sheet's nominal thickness where none is given.
        gap: Length,
    },
    /// One leg wiped over a die radius.
    Wipe {
        /// Punch radius.
        punch_radius: Length,
        /// Die radius.
        die_radius: Length,
        /// Gap between punch and die.
        gap: Length,
    },
}

/// A bend along a straight line through the station point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Kind and tool dimensions.
    pub kind: BendKind,
    /// Length of the bend line.
    pub length: Length,
    /// Slide height above BDC at which the punch first touches.
    pub entry: Length,
    /// The handbook's k, where given in place of the default.
    pub factor: Option<f64>,
    /// Force of a pad that holds the sheet from first touch to BDC.
    pub pad: Force,
    /// Pressure on the bend at BDC, where it is bottomed.
    pub bottoming: Option<Stress>,
}

impl BendKind {
    /// The handbook's k.
    ///
    /// # Source
    ///
    /// V 1.33 and wipe 0.33: D. Morales Palma, University of Seville, solved examination paper of
    /// 8 June 2015. U 0.67: P. C. Sharma, *A Textbook of Production Engineering*, example 2.11.
    pub const fn default_factor(self) -> f64 {
        match self {
            Self::V { .. } => 1.33,
            Self::U { .. } => 0.67,
            Self::Wipe { .. } => 0.33,
        }
    }

    /// The handbook's W: V opening, or punch radius + gap + die radius.
    pub fn width(self) -> Length {
        match self {
            Self::V { opening } => opening,
            Self::U { punch_radius, die_radius, gap }
            | Self::Wipe { punch_radius, die_radius, gap } => punch_radius + gap + die_radius,
        }
    }
}

impl Bend {
    /// Peak bending force without pad and bottoming.
    ///
    /// `F = k · Rm · L · t² / W`.
    ///
    /// # Errors
    ///
    /// [`InputError`] if a length is not positive or the opening is below the thickness.
    pub fn peak_force(&self, sheet: &Sheet) -> Result<Force, InputError> {
        let width = positive_length("bend width W", self.kind.width())?;
        positive_length("bend length", self.length)?;
        let t = sheet.thickness();
        if let BendKind::V { opening } = self.kind
            && opening <= t
        {
            return Err(InputError::OpeningBelowThickness { opening, thickness: t });
        }
        let k = self.factor.unwrap_or(self.kind.default_factor());
        Ok(sheet.tensile_strength() * (self.length * t) * (k * (t / width)))
    }

    /// Area on which bottoming presses: the V's projected flanks, or the strip of the bend corner
    /// as wide as punch radius and thickness (twice for a U).
    pub fn bottoming_area(&self, sheet: &Sheet) -> Area {
        match self.kind {
            BendKind::V { opening } => self.length * opening,
            BendKind::U { punch_radius, .. } => {
                self.length * (punch_radius + sheet.thickness()) * 2.0
            }
            BendKind::Wipe { punch_radius, .. } => self.length * (punch_radius + sheet.thickness()),
        }
    }

    /// The loads through the stroke, all at `at`.
    ///
    /// # Errors
    ///
    /// As [`Bend::peak_force`].
    pub fn loads(&self, sheet: &Sheet, at: Point) -> Result<Vec<PointLoad>, InputError> {
        let peak = self.peak_force(sheet)?.newtons();
        let entry = self.entry.metres();
        let mut rows = match self.kind {
            BendKind::V { opening } => v_curve(opening.metres()),
            BendKind::U { punch_radius, die_radius, .. }
            | BendKind::Wipe { punch_radius, die_radius, .. } => {
                let width = self.kind.width();
                // Of a sheet thicker than the gap the lever would vanish before the leg is upright,
                // and all the rest of a curve scaled to that end would come out too low.
                let radii = (punch_radius + sheet.thickness() + die_radius).min(width);
                wipe_curve(width.metres(), radii.metres())
            }
        };
        let highest = rows.iter().map(|row| row.1).fold(0.0, f64::max);
        for row in &mut rows {
            row.1 *= peak / highest;
        }
        if !matches!(self.kind, BendKind::V { .. })
            && let Some(&(end, _)) = rows.last()
            && entry > end
        {
            let rubbing = RUBBING_SHARE * peak;
            rows.push((end, rubbing));
            rows.push((entry, rubbing));
        }
        let mut loads = vec![PointLoad::from_travel(at, self.entry, &rows)];
        if self.pad > Force::ZERO {
            let pad = self.pad.newtons();
            loads.push(PointLoad::from_travel(at, self.entry, &[(0.0, pad), (entry, pad)]));
        }
        if let Some(pressure) = self.bottoming {
            let force = (self.bottoming_area(sheet) * pressure).newtons();
            let rise = (sheet.thickness() * BOTTOMING_TRAVEL).min(self.entry).metres();
            loads.push(PointLoad::from_travel(
                at,
                self.entry,
                &[(entry - rise, 0.0), (entry, force)],
            ));
        }
        Ok(loads)
    }
}

/// Share of the full plastic moment at a leg angle in radians.
fn plastic_share(angle: f64) -> f64 {
    (angle / FULLY_PLASTIC_DEG.to_radians()).min(1.0)
}

/// Travel and relative force of a V bend, up to the closed V at 45°.
fn v_curve(opening: f64) -> Vec<(f64, f64)> {
    angles(45.0)
        .map(|angle| (opening / 2.0 * angle.tan(), plastic_share(angle) * angle.cos().powi(2)))
        .collect()
}

/// Travel and relative force of a wiped leg until it is upright or, with a wide gap, until the
/// punch nose has passed the die radius.
fn wipe_curve(width: f64, sum_of_radii: f64) -> Vec<(f64, f64)> {
    let mut rows: Vec<(f64, f64)> = Vec::with_capacity(CURVE_POINTS + 1);
    // At 90° the expressions are 0/0 where W = S; the curve ends just before.
    for angle in angles(89.9) {
        let (sin, cos) = angle.sin_cos();
        let travel = sum_of_radii - (sum_of_radii - width * sin) / cos;
        let lever = width - sum_of_radii * sin;
        let past_nose = travel > sum_of_radii;
        if lever <= 0.0
            || past_nose
            || rows.last().is_some_and(|row| travel <= row.0) && angle > 0.0
        {
            break;
        }
        rows.push((travel, plastic_share(angle) * cos * cos / lever));
    }
    rows
}

/// Evenly spaced angles from 0 to `last_deg`, denser where the bend turns plastic, in radians.
fn angles(last_deg: f64) -> impl Iterator<Item = f64> {
    let last = last_deg.to_radians();
    let plastic = FULLY_PLASTIC_DEG.to_radians();
    let early = 8;
    (0..=CURVE_POINTS).map(move |i| {
        if i <= early {
            plastic * i as f64 / early as f64
        } else {
            plastic + (last - plastic) * (i - early) as f64 / (CURVE_POINTS - early) as f64
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{assert_close, test_sheet};

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn bend(kind: BendKind) -> Bend {
        Bend {
            kind,
            length: mm(80.0),
            entry: mm(30.0),
            factor: None,
            pad: Force::ZERO,
            bottoming: None,
        }
    }

    fn kinds() -> [BendKind; 3] {
        let (punch_radius, die_radius, gap) = (mm(3.0), mm(4.0), mm(2.0));
        [
            BendKind::V { opening: mm(16.0) },
            BendKind::U { punch_radius, die_radius, gap },
            BendKind::Wipe { punch_radius, die_radius, gap },
        ]
    }

    #[test]
    fn sheet_thicker_than_the_gap_takes_more_force_all_the_way() {
        for gap in [1.9, 2.0] {
            let wipe = BendKind::Wipe { punch_radius: mm(3.0), die_radius: mm(4.0), gap: mm(gap) };
            let bend = Bend {
                kind: wipe,
                length: mm(80.0),
                entry: mm(14.0),
                factor: None,
                pad: Force::ZERO,
                bottoming: None,
            };
            let force = |thickness: f64, height: f64| {
                let sheet = test_sheet(thickness, 300.0);
                let loads = bend.loads(&sheet, Point::default()).expect("a bend");
                loads[0].force_at(height * 1e-3)
            };
            let mut height = 13.9;
            while height > 6.0 {
                let (thin, thick) = (force(2.0, height), force(2.1, height));
                assert!(thick >= thin, "{gap} mm gap, {height} mm: {thick} N under {thin} N");
                height -= 0.05;
            }
        }
    }

    #[test]
    fn bend_curve_peaks_at_the_handbook_force() {
        let sheet = test_sheet(2.0, 300.0);
        for kind in kinds() {
            let bend = bend(kind);
            let loads = bend.loads(&sheet, Point::default()).unwrap();
            let peak = bend.peak_force(&sheet).unwrap();
            assert_close(loads[0].peak().newtons(), peak.newtons(), 1e-12);
        }
    }

    #[test]
    fn bend_force_starts_at_nothing_and_is_never_negative() {
        let sheet = test_sheet(2.0, 300.0);
        for kind in kinds() {
            let loads = bend(kind).loads(&sheet, Point::default()).unwrap();
            assert_eq!(loads[0].force_at(30e-3), 0.0);
            for i in 0..300 {
                assert!(loads[0].force_at(f64::from(i) * 1e-4) >= 0.0);
            }
        }
    }

    #[test]
    fn wiped_leg_is_upright_after_both_radii_and_the_thickness() {
        // With the gap equal to the thickness the nose passes when S = r + t + r is travelled.
        let rows = wipe_curve(9e-3, 9e-3);
        assert_close(rows.last().unwrap().0, 9e-3, 2e-3);
        // F ∝ (1 + sin α)/W there: twice the force of the start at the end.
        assert_close(rows.last().unwrap().1 * 9e-3, 2.0, 1e-2);
    }

    #[test]
    fn bottoming_adds_pressure_times_area_at_bdc_only() {
        let sheet = test_sheet(2.0, 300.0);
        let bend = Bend {
            bottoming: Some(Stress::from_megapascals(100.0)),
            ..bend(BendKind::V { opening: mm(16.0) })
        };
        let loads = bend.loads(&sheet, Point::default()).unwrap();
        assert_close(loads[1].force_at(0.0), 80.0 * 16.0 * 100.0, 1e-12);
        assert_eq!(loads[1].force_at(0.5e-3), 0.0);
    }

    #[test]
    fn bend_rejects_an_opening_below_the_thickness() {
        let sheet = test_sheet(2.0, 300.0);
        let narrow = bend(BendKind::V { opening: mm(1.5) });
        assert!(matches!(narrow.peak_force(&sheet), Err(InputError::OpeningBelowThickness { .. })));
    }
}
