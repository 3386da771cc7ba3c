//! Flanging: straight, stretch, shrink, and around a hole.
//!
//! A straight flange is a wiped bend. On a curved line the flange is besides stretched or
//! compressed along its edge; the work of that is spread over the travel in which it is wiped
//! upright.

use crate::{
    Energy, Force, InputError, Length, Sheet, Stress,
    bending::{Bend, BendKind, RUBBING_SHARE},
    error::{not_negative, positive, positive_length},
    geometry::Point,
    point_load::PointLoad,
};
use std::f64::consts::PI;

/// Parts of the wiping travel over which the force along the edge rises, and falls again (own
/// estimate, no source).
pub const HOOP_RAMP: f64 = 0.25;
/// Yield strength as a part of tensile strength where it is unknown (common practice, no source).
pub const YIELD_SHARE: f64 = 0.7;
/// Constant of the hole-flanging force (Romanowski, value from memory).
pub const HOLE_FLANGE_FACTOR: f64 = 1.1;
/// Height of a hole flange over thickness above which its wall splits (SME, *Fundamentals of Tool
/// Design*, 6th ed., p. 240; burr side and coined edge matter).
pub const HOLE_FLANGE_HEIGHT_LIMIT: f64 = 2.5;
/// Force of hole flanging over travel, both as parts: a rise while the rim bends down and the hole
/// widens, a peak, a fall as the wall stands up (common practice, no source).
const HOLE_FLANGE_SHAPE: [(f64, f64); 8] = [
    (0.0, 0.0),
    (0.2, 0.45),
    (0.4, 0.8),
    (0.5, 0.95),
    (0.6, 1.0),
    (0.7, 0.9),
    (0.85, 0.5),
    (1.0, RUBBING_SHARE),
];

/// What kind of flange, by the line it stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlangeKind {
    /// On a straight line: a wiped bend.
    Straight,
    /// On a hollow line: its edge is stretched.
    Stretch,
    /// On a rounded line: its edge is compressed.
    Shrink,
}

/// A flange wiped up or down along a line through the station point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flange {
    /// What kind.
    pub kind: FlangeKind,
    /// Length along the flange line.
    pub length: Length,
    /// Punch radius.
    pub punch_radius: Length,
    /// Die radius.
    pub die_radius: Length,
    /// Gap between punch and die.
    pub gap: Length,
    /// Radius of the flange line seen from above; needed for stretch and shrink.
    pub plan_radius: Option<Length>,
    /// Height of the flange; needed for stretch and shrink.
    pub height: Option<Length>,
    /// The handbook's k of the wiped bend, where given in place of the default.
    pub factor: Option<f64>,
    /// Force of a pad that holds the sheet from first touch to BDC.
    pub pad: Force,
    /// Slide height above BDC at which the punch first touches.
    pub entry: Length,
}

impl Flange {
    /// The wiped bend that every flange contains.
    ///
    /// # Errors
    ///
    /// [`InputError`] for lengths, radii, factor and pad force that cannot be.
    pub fn bend(&self) -> Result<Bend, InputError> {
        let Self { length, punch_radius, die_radius, gap, factor, pad, entry, .. } = *self;
        positive_length("entry height of the flange", entry)?;
        not_negative("pad force", pad.newtons())?;
        not_negative("punch radius", punch_radius.metres())?;
        not_negative("die radius", die_radius.metres())?;
        not_negative("gap", gap.metres())?;
        if let Some(k) = factor {
            positive("flange factor k", k)?;
        }
        let kind = BendKind::Wipe { punch_radius, die_radius, gap };
        Ok(Bend { kind, length, entry, factor, pad, bottoming: None })
    }

    /// Work that stretches or compresses the flange along its line; nothing on a straight line.
    ///
    /// Sheet at distance y from a line of radius R lay at R ∓ y before (− stretch, + shrink) and
    /// stands at R after, so its strain along the line is `ln(R/(R ∓ y))`. With the stress taken
    /// as Rm throughout and thickness constant, work is `Rm · t · L · ∫ |ln(1 ∓ y/R)| dy` from 0 to
    /// height h:
    ///
    /// - stretch `h + (R − h) · ln(1 − h/R)`
    /// - shrink `(R + h) · ln(1 + h/R) − h`
    ///
    /// both near h²/2R for low flanges. Own estimate, no source. Good for an order of size: uniaxial
    /// along the edge, radius and springback neglected, no wrinkling or splitting.
    ///
    /// # Errors
    ///
    /// [`InputError::FlangeWithoutCurve`], [`InputError::FlangeHigherThanPlanRadius`],
    /// [`InputError::LengthNotPositive`] if radius, height or length is not positive.
    pub fn hoop_work(&self, sheet: &Sheet) -> Result<Energy, InputError> {
        if self.kind == FlangeKind::Straight {
            return Ok(Energy::ZERO);
        }
        let (Some(radius), Some(height)) = (self.plan_radius, self.height) else {
            return Err(InputError::FlangeWithoutCurve);
        };
        positive_length("flange length", self.length)?;
        let r = positive_length("plan radius", radius)?.metres();
        let h = positive_length("flange height", height)?.metres();
        let strained = match self.kind {
            FlangeKind::Stretch if height >= radius => {
                return Err(InputError::FlangeHigherThanPlanRadius { height, radius });
            }
            // ln_1p keeps the small difference of nearly straight lines.
            FlangeKind::Stretch => h + (r - h) * (-h / r).ln_1p(),
            _ => (r + h) * (h / r).ln_1p() - h,
        };
        let force = sheet.tensile_strength() * (self.length * sheet.thickness());
        Ok(force.work_along(Length::from_metres(strained.max(0.0))))
    }

    /// Travel in which the flange is wiped upright: both radii and the thickness.
    fn wiping_travel(&self, sheet: &Sheet) -> Length {
        self.punch_radius + sheet.thickness() + self.die_radius
    }

    /// The hoop work as a force over travel: it rises over the first [`HOOP_RAMP`] of the wiping
    /// travel, is constant, and falls over the last.
    fn hoop_load(&self, sheet: &Sheet, at: Point) -> Result<Option<PointLoad>, InputError> {
        let work = self.hoop_work(sheet)?.joules();
        if work == 0.0 {
            return Ok(None);
        }
        let travel = self.wiping_travel(sheet).metres();
        let force = work / (travel * (1.0 - HOOP_RAMP));
        let ramp = HOOP_RAMP * travel;
        let rows = [(0.0, 0.0), (ramp, force), (travel - ramp, force), (travel, 0.0)];
        Ok(Some(PointLoad::from_travel(at, self.entry, &rows)))
    }

    /// Peak force without the pad, of the flange wiped upright.
    ///
    /// Straight: [`Bend::peak_force`] of the wiped bend. Stretch and shrink: highest sum of that
    /// bend's curve and the force along the edge from [`Flange::hoop_work`] (own estimate, no
    /// source).
    ///
    /// # Errors
    ///
    /// [`InputError`] of the wiped bend and of [`Flange::hoop_work`];
    /// [`InputError::NotPositive`] for a factor, [`InputError::Negative`] for a pad force or radius.
    pub fn peak_force(&self, sheet: &Sheet) -> Result<Force, InputError> {
        let peak = self.bend()?.peak_force(sheet)?;
        let whole =
            Self { entry: self.entry.max(self.wiping_travel(sheet)), pad: Force::ZERO, ..*self };
        if whole.hoop_load(sheet, Point::default())?.is_none() {
            return Ok(peak);
        }
        let loads = whole.loads(sheet, Point::default())?;
        // All are straight between their rows, so the sum is highest at one of them.
        let highest = loads
            .iter()
            .flat_map(PointLoad::key_heights)
            .map(|key| loads.iter().map(|load| load.force_at(key.height)).sum())
            .fold(0.0, f64::max);
        Ok(Force::from_newtons(highest))
    }

    /// The loads through the stroke, all at `at`: bend, pad if any, and the force along the edge.
    ///
    /// # Errors
    ///
    /// As [`Flange::peak_force`].
    pub fn loads(&self, sheet: &Sheet, at: Point) -> Result<Vec<PointLoad>, InputError> {
        let mut loads = self.bend()?.loads(sheet, at)?;
        loads.extend(self.hoop_load(sheet, at)?);
        Ok(loads)
    }
}

/// A hole whose rim is turned up all round, about the station point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoleFlange {
    /// Diameter of the hole before.
    pub hole_diameter: Length,
    /// Mean diameter of the flange after.
    pub flange_diameter: Length,
    /// Slide height above BDC at which the punch first touches.
    pub entry: Length,
}

impl HoleFlange {
    /// Peak force, `F = 1.1 · π · t · Re · (D − d)`: flange diameter D, hole diameter d.
    ///
    /// Round hole, rounded or pointed punch; a flat-nosed punch is said to need 1.5 to 2 times as
    /// much, which is not included (value from memory). Where the yield strength Re is unknown,
    /// [`YIELD_SHARE`] of the tensile strength is taken. Valid up to the height at which the wall
    /// splits: [`HoleFlange::height_limit`].
    ///
    /// # Errors
    ///
    /// [`InputError::LengthNotPositive`] for hole and entry height,
    /// [`InputError::HoleNotSmallerThanFlange`].
    ///
    /// # Source
    ///
    /// Romanowski, value from memory; no worked example was found in print.
    pub fn peak_force(&self, sheet: &Sheet) -> Result<Force, InputError> {
        let (hole, flange) = (self.hole_diameter, self.flange_diameter);
        positive_length("hole diameter", hole)?;
        positive_length("flange diameter", flange)?;
        positive_length("entry height of the hole flange", self.entry)?;
        if hole >= flange {
            return Err(InputError::HoleNotSmallerThanFlange { hole, flange });
        }
        let yield_strength = yield_strength(sheet)?;
        Ok(yield_strength * (sheet.thickness() * (flange - hole)) * (HOLE_FLANGE_FACTOR * PI))
    }

    /// Height of the flange, `(D − d)/2`: the ring between hole and flange stood upright, radius and
    /// thinning neglected.
    pub fn height(&self) -> Length {
        (self.flange_diameter - self.hole_diameter) / 2.0
    }

    /// Height above which the wall splits, [`HOLE_FLANGE_HEIGHT_LIMIT`] thicknesses.
    pub fn height_limit(&self, sheet: &Sheet) -> Length {
        sheet.thickness() * HOLE_FLANGE_HEIGHT_LIMIT
    }

    /// The load through the stroke at `at`: rise, peak at 0.6 of the travel, fall, then rubbing down
    /// to BDC (common practice, no source). The flange is upright after a travel of its height and
    /// one thickness; tool radii are unknown and neglected.
    ///
    /// # Errors
    ///
    /// As [`HoleFlange::peak_force`].
    pub fn loads(&self, sheet: &Sheet, at: Point) -> Result<Vec<PointLoad>, InputError> {
        let peak = self.peak_force(sheet)?.newtons();
        let travel = (self.height() + sheet.thickness()).metres();
        let mut rows: Vec<_> =
            HOLE_FLANGE_SHAPE.iter().map(|&(s, f)| (s * travel, f * peak)).collect();
        if self.entry.metres() > travel {
            rows.push((self.entry.metres(), RUBBING_SHARE * peak));
        }
        Ok(vec![PointLoad::from_travel(at, self.entry, &rows)])
    }
}

/// Yield strength, or [`YIELD_SHARE`] of the tensile strength.
fn yield_strength(sheet: &Sheet) -> Result<Stress, InputError> {
    let yield_strength = sheet.yield_strength().unwrap_or(sheet.tensile_strength() * YIELD_SHARE);
    positive("yield strength", yield_strength.pascals())?;
    Ok(yield_strength)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Line, Range, Stock, assert_close, test_sheet};

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn flange(kind: FlangeKind) -> Flange {
        Flange {
            kind,
            length: mm(80.0),
            punch_radius: mm(3.0),
            die_radius: mm(4.0),
            gap: mm(2.0),
            plan_radius: Some(mm(60.0)),
            height: Some(mm(12.0)),
            factor: None,
            pad: Force::ZERO,
            entry: mm(20.0),
        }
    }

    fn total(loads: &[PointLoad], height: f64) -> f64 {
        loads.iter().map(|load| load.force_at(height)).sum()
    }

    const KINDS: [FlangeKind; 3] = [FlangeKind::Straight, FlangeKind::Stretch, FlangeKind::Shrink];

    fn hole() -> HoleFlange {
        HoleFlange { hole_diameter: mm(20.0), flange_diameter: mm(28.0), entry: mm(10.0) }
    }

    fn sheet_with_yield(thickness_mm: f64, yield_mpa: f64) -> Sheet {
        Stock {
            thickness_m: Range::exactly(thickness_mm * 1e-3),
            tensile_pa: Range::exactly(320e6),
            shear_pa: Range::exactly(256e6),
            yield_pa: Some(Range::exactly(yield_mpa * 1e6)),
            penetration: Range::exactly(0.4),
            separation: Range::exactly(0.7),
            strength_coefficient_pa: None,
            hardening_exponent: None,
        }
        .sheet(Line::Nominal)
        .unwrap()
    }

    #[test]
    fn straight_flange_is_a_wiped_bend() {
        let sheet = test_sheet(2.0, 300.0);
        // k 0.33, D. Morales Palma, University of Seville, examination paper of 8 June 2015:
        // 0.33 · 300 · 80 · 2² / (3 + 2 + 4) = 3520 N.
        let force = flange(FlangeKind::Straight).peak_force(&sheet).unwrap();
        assert_close(force.newtons(), 3520.0, 1e-12);
    }

    #[test]
    fn hoop_work_of_a_low_flange_is_strength_times_volume_times_half_the_edge_strain() {
        // Series of both logarithms: h²/2R, so Rm · t · L · h²/2R; here h/R is 1/1000.
        let sheet = test_sheet(2.0, 300.0);
        for kind in [FlangeKind::Stretch, FlangeKind::Shrink] {
            let flange =
                Flange { plan_radius: Some(mm(4000.0)), height: Some(mm(4.0)), ..flange(kind) };
            let expected = 300e6 * 2e-3 * 80e-3 * 4e-3 * 4e-3 / (2.0 * 4.0);
            assert_close(flange.hoop_work(&sheet).unwrap().joules(), expected, 1e-3);
        }
    }

    #[test]
    fn stretching_takes_more_work_than_shrinking_the_same_flange() {
        // At h/R = 0.5: 0.5 + 0.5 ln 0.5 = 0.153 against 1.5 ln 1.5 − 0.5 = 0.108 (times R).
        let sheet = test_sheet(2.0, 300.0);
        let work = |kind| {
            let flange = Flange { height: Some(mm(30.0)), ..flange(kind) };
            flange.hoop_work(&sheet).unwrap().joules() / (300e6 * 2e-3 * 80e-3 * 60e-3)
        };
        assert_close(work(FlangeKind::Stretch), 0.5 + 0.5 * 0.5_f64.ln(), 1e-12);
        assert_close(work(FlangeKind::Shrink), 1.5 * 1.5_f64.ln() - 0.5, 1e-12);
    }

    #[test]
    fn nearly_straight_line_gives_the_straight_flange() {
        let sheet = test_sheet(2.0, 300.0);
        let straight = flange(FlangeKind::Straight).peak_force(&sheet).unwrap();
        for kind in [FlangeKind::Stretch, FlangeKind::Shrink] {
            let flange = Flange { plan_radius: Some(mm(1e7)), ..flange(kind) };
            assert_close(flange.peak_force(&sheet).unwrap() / straight, 1.0, 1e-3);
        }
    }

    #[test]
    fn flange_work_is_that_of_the_bend_and_of_the_hoop() {
        let sheet = test_sheet(2.0, 300.0);
        let bend = flange(FlangeKind::Straight).loads(&sheet, Point::default()).unwrap()[0].work();
        for kind in [FlangeKind::Stretch, FlangeKind::Shrink] {
            let flange = flange(kind);
            let work: Energy =
                flange.loads(&sheet, Point::default()).unwrap().iter().map(PointLoad::work).sum();
            let expected = bend + flange.hoop_work(&sheet).unwrap();
            assert_close(work.joules(), expected.joules(), 1e-9);
        }
    }

    #[test]
    fn flange_curve_peaks_at_its_peak_force_and_is_never_negative() {
        let sheet = test_sheet(2.0, 300.0);
        for kind in KINDS {
            let flange = flange(kind);
            let loads = flange.loads(&sheet, Point::default()).unwrap();
            let forces: Vec<_> = (0..=21_000).map(|i| total(&loads, f64::from(i) * 1e-6)).collect();
            assert!(forces.iter().all(|&force| force >= 0.0));
            let highest = forces.iter().copied().fold(0.0, f64::max);
            assert_close(highest, flange.peak_force(&sheet).unwrap().newtons(), 2e-3);
        }
    }

    #[test]
    fn curved_flange_force_is_proportional_to_length() {
        let sheet = test_sheet(2.0, 300.0);
        let single = flange(FlangeKind::Stretch);
        let double = Flange { length: mm(160.0), ..single };
        let ratio = double.peak_force(&sheet).unwrap() / single.peak_force(&sheet).unwrap();
        assert_close(ratio, 2.0, 1e-12);
    }

    #[test]
    fn pad_force_acts_from_first_touch_and_is_not_in_the_peak() {
        let sheet = test_sheet(2.0, 300.0);
        let bare = flange(FlangeKind::Shrink);
        let padded = Flange { pad: Force::from_kilonewtons(5.0), ..bare };
        assert_eq!(padded.peak_force(&sheet), bare.peak_force(&sheet));
        let at_touch = total(&padded.loads(&sheet, Point::default()).unwrap(), 20e-3);
        assert_close(at_touch, 5000.0, 1e-12);
    }

    #[test]
    fn curved_flange_rejects_a_missing_curve() {
        let sheet = test_sheet(2.0, 300.0);
        for kind in [FlangeKind::Stretch, FlangeKind::Shrink] {
            for flange in [
                Flange { plan_radius: None, ..flange(kind) },
                Flange { height: None, ..flange(kind) },
            ] {
                assert_eq!(flange.peak_force(&sheet), Err(InputError::FlangeWithoutCurve));
            }
        }
        let straight = Flange { plan_radius: None, height: None, ..flange(FlangeKind::Straight) };
        assert!(straight.peak_force(&sheet).is_ok());
    }

    #[test]
    fn stretch_flange_rejects_a_height_of_its_plan_radius() {
        let sheet = test_sheet(2.0, 300.0);
        let high = Flange { height: Some(mm(60.0)), ..flange(FlangeKind::Stretch) };
        assert_eq!(
            high.peak_force(&sheet),
            Err(InputError::FlangeHigherThanPlanRadius { height: mm(60.0), radius: mm(60.0) })
        );
        let shrunk = Flange { kind: FlangeKind::Shrink, ..high };
        assert!(shrunk.peak_force(&sheet).is_ok());
    }

    #[test]
    fn flange_rejects_lengths_factors_and_forces_that_cannot_be() {
        let sheet = test_sheet(2.0, 300.0);
        let good = flange(FlangeKind::Stretch);
        for bad in [
            Flange { length: Length::ZERO, ..good },
            Flange { entry: Length::ZERO, ..good },
            Flange { plan_radius: Some(Length::ZERO), ..good },
            Flange { height: Some(mm(-1.0)), ..good },
        ] {
            assert!(matches!(bad.peak_force(&sheet), Err(InputError::LengthNotPositive { .. })));
        }
        for bad in [
            Flange { pad: Force::from_kilonewtons(-1.0), ..good },
            Flange { die_radius: mm(-1.0), ..good },
        ] {
            assert!(matches!(bad.peak_force(&sheet), Err(InputError::Negative { .. })));
        }
        let bad = Flange { factor: Some(0.0), ..good };
        assert!(matches!(bad.peak_force(&sheet), Err(InputError::NotPositive { .. })));
    }

    #[test]
    fn hole_flange_force_is_the_handbooks() {
        // 1.1 · π · 1.5 mm · 200 MPa · (28 − 20) mm = 8294 N; Romanowski's formula, value from
        // memory.
        let force = hole().peak_force(&sheet_with_yield(1.5, 200.0)).unwrap();
        assert_close(force.newtons(), 8293.8, 1e-5);
    }

    #[test]
    fn hole_flange_takes_a_share_of_the_tensile_strength_where_yield_is_unknown() {
        let known = hole().peak_force(&sheet_with_yield(1.5, YIELD_SHARE * 300.0)).unwrap();
        let unknown = hole().peak_force(&test_sheet(1.5, 300.0)).unwrap();
        assert_close(unknown / known, 1.0, 1e-12);
    }

    #[test]
    fn hole_flange_curve_peaks_at_its_peak_force_and_is_never_negative() {
        let sheet = test_sheet(1.5, 300.0);
        let load = &hole().loads(&sheet, Point::default()).unwrap()[0];
        let peak = hole().peak_force(&sheet).unwrap().newtons();
        assert_close(load.peak().newtons(), peak, 1e-12);
        assert_eq!(load.force_at(10e-3), 0.0);
        assert!((0..=110).all(|i| load.force_at(f64::from(i) * 1e-4) >= 0.0));
        // Upright after 4 + 1.5 mm of travel, then it rubs down to BDC.
        assert_close(load.force_at(4.5e-3), RUBBING_SHARE * peak, 1e-9);
        assert_close(load.force_at(0.0), RUBBING_SHARE * peak, 1e-12);
    }

    #[test]
    fn hole_flange_work_is_the_integral_of_its_shape() {
        // Area under HOLE_FLANGE_SHAPE by trapezoids, added up by hand: 0.60375.
        let sheet = test_sheet(1.5, 300.0);
        let upright = HoleFlange { entry: mm(5.5), ..hole() };
        let work = upright.loads(&sheet, Point::default()).unwrap()[0].work().joules();
        let peak = upright.peak_force(&sheet).unwrap().newtons();
        assert_close(work, 0.603_75 * peak * 5.5e-3, 1e-9);
    }

    #[test]
    fn hole_flange_force_is_proportional_to_thickness_and_widening() {
        let base = hole().peak_force(&test_sheet(1.0, 300.0)).unwrap();
        let wider = HoleFlange { flange_diameter: mm(36.0), ..hole() };
        assert_close(wider.peak_force(&test_sheet(2.0, 300.0)).unwrap() / base, 4.0, 1e-12);
    }

    #[test]
    fn hole_that_is_hardly_widened_takes_hardly_a_force() {
        let sheet = test_sheet(1.5, 300.0);
        let same = HoleFlange { flange_diameter: mm(20.001), ..hole() };
        assert!(same.peak_force(&sheet).unwrap().newtons() < 2.0);
    }

    #[test]
    fn hole_flange_splits_above_two_and_a_half_thicknesses() {
        // SME, Fundamentals of Tool Design, 6th ed., p. 240.
        let sheet = test_sheet(1.5, 300.0);
        assert_close(hole().height_limit(&sheet).millimetres(), 3.75, 1e-12);
        assert_close(hole().height().millimetres(), 4.0, 1e-12);
    }

    #[test]
    fn hole_flange_rejects_a_hole_as_wide_as_the_flange_and_no_travel() {
        let sheet = test_sheet(1.5, 300.0);
        let wide = HoleFlange { hole_diameter: mm(28.0), ..hole() };
        assert_eq!(
            wide.peak_force(&sheet),
            Err(InputError::HoleNotSmallerThanFlange { hole: mm(28.0), flange: mm(28.0) })
        );
        for bad in [
            HoleFlange { hole_diameter: Length::ZERO, ..hole() },
            HoleFlange { entry: Length::ZERO, ..hole() },
        ] {
            assert!(matches!(bad.peak_force(&sheet), Err(InputError::LengthNotPositive { .. })));
        }
    }
}
