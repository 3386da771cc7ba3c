//! Hemming: a flange that was bent up before is folded back on its own sheet.
//!
//! The hem is closed at BDC, so its force peaks there whatever the entry height:
//!
//! - **Folding.** The punch meets the flange at its edge, where the lever about the fold is the leg
//!   itself, and rolls it down towards the fold, where the lever is one thickness. The plastic moment
//!   is constant, so the force is inverse to the lever, which is taken to shrink evenly with travel.
//!   The leg is `entry / sin 45°`: what a leg standing at [`PRE_BEND_DEG`] above the sheet comes down
//!   to lie flat (first bend 30 to 45°, <https://billyohsheds.info/sheet-metal-hems/>, a source of
//!   low grade).
//! - **Flattening** raises the force to [`FLAT_TIMES_OPEN`] times the open hem over the last
//!   thickness of travel.
//!
//! Levers and travels are common practice, no source: no worked hemming force was found in print.

use crate::{
    Force, InputError, Length, Sheet,
    error::{positive, positive_length},
    geometry::Point,
    point_load::PointLoad,
};

/// k of the open hem, that of a wiped bend.
pub const DEFAULT_FACTOR: f64 = 0.33;
/// Force that presses a hem flat over that of an open hem
/// (<https://billyohsheds.info/sheet-metal-hems/>, a source of low grade, the only one found).
pub const FLAT_TIMES_OPEN: f64 = 2.5;
/// Angle of the flange above the sheet at first touch, in degrees.
pub const PRE_BEND_DEG: f64 = 45.0;
/// Part of the folding travel after which the fold is fully plastic (common practice, no source).
const PLASTIC_SHARE: f64 = 0.1;
/// Straight pieces of the plastic fold; the curve is within 1 % of the peak of its law.
const CURVE_PIECES: u32 = 40;

/// What kind of hem.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HemKind {
    /// A gap is left at the fold.
    Open,
    /// Pressed flat.
    Flat,
}

/// A hem along a straight line through the station point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hem {
    /// What kind.
    pub kind: HemKind,
    /// Length of the fold.
    pub length: Length,
    /// Slide height above BDC at which the punch first touches the flange bent before.
    pub entry: Length,
    /// Gap that an open hem keeps at its fold, at least the sheet's thickness; the thickness if none.
    pub gap: Option<Length>,
    /// k of the open hem, where given in place of [`DEFAULT_FACTOR`].
    pub factor: Option<f64>,
}

impl Hem {
    /// Peak force, at BDC.
    ///
    /// Open: `F = k · Rm · L · t² / W` with the wiped bend's k and W the lever at the end of the
    /// fold: the gap, or one thickness, which gives `F = k · Rm · L · t`. Flat: [`FLAT_TIMES_OPEN`] times that. Straight fold, the
    /// whole length at once, soft sheet of one thickness; a hem around another panel is not covered.
    ///
    /// # Errors
    ///
    /// [`InputError::LengthNotPositive`] for length and entry height,
    /// [`InputError::NotPositive`] for a factor that is not,
    /// [`InputError::OpeningBelowThickness`] for stock thicker than the gap.
    ///
    /// # Source
    ///
    /// Common practice, no source, for the lever; [`FLAT_TIMES_OPEN`] for the flat hem.
    pub fn peak_force(&self, sheet: &Sheet) -> Result<Force, InputError> {
        let open = self.open_force(sheet)?;
        Ok(match self.kind {
            HemKind::Open => open,
            HemKind::Flat => open * FLAT_TIMES_OPEN,
        })
    }

    fn open_force(&self, sheet: &Sheet) -> Result<Force, InputError> {
        positive_length("hem length", self.length)?;
        positive_length("entry height of the hem", self.entry)?;
        let k = positive("hem factor k", self.factor.unwrap_or(DEFAULT_FACTOR))?;
        let t = sheet.thickness();
        let lever = self.lever_at_fold(sheet)?;
        Ok(sheet.tensile_strength() * (self.length * t) * (k * (t / lever)))
    }

    /// Lever about the fold when it is closed.
    fn lever_at_fold(&self, sheet: &Sheet) -> Result<Length, InputError> {
        let thickness = sheet.thickness();
        match (self.kind, self.gap) {
            (HemKind::Open, Some(gap)) if !(gap >= thickness) => {
                Err(InputError::OpeningBelowThickness { opening: gap, thickness })
            }
            (HemKind::Open, Some(gap)) => Ok(gap),
            _ => Ok(thickness),
        }
    }

    /// The load through the stroke at `at`.
    ///
    /// # Errors
    ///
    /// As [`Hem::peak_force`].
    pub fn loads(&self, sheet: &Sheet, at: Point) -> Result<Vec<PointLoad>, InputError> {
        let open = self.open_force(sheet)?.newtons();
        let (entry, lever_at_fold) = (self.entry.metres(), self.lever_at_fold(sheet)?.metres());
        let folding = match self.kind {
            HemKind::Open => entry,
            // A short entry height leaves half of it to the fold.
            HemKind::Flat => entry - lever_at_fold.min(entry / 2.0),
        };
        let leg = (entry / PRE_BEND_DEG.to_radians().sin()).max(lever_at_fold);
        // Force over travel is straight up to the plastic fold; from there rows stand at levers that
        // shrink by the same factor, closer towards the fold, where the force rises steeply.
        let plastic_lever = leg + (lever_at_fold - leg) * PLASTIC_SHARE;
        let shrinking = (plastic_lever / lever_at_fold).ln();
        let mut rows = vec![(0.0, 0.0)];
        rows.extend((0..=CURVE_PIECES).map(|i| f64::from(i) / f64::from(CURVE_PIECES)).map(|i| {
            let lever = lever_at_fold * (shrinking * (1.0 - i)).exp();
            let left = if shrinking > 0.0 {
                (shrinking * (1.0 - i)).exp_m1() / shrinking.exp_m1()
            } else {
                1.0 - i
            };
            let part = 1.0 - (1.0 - PLASTIC_SHARE) * left;
            (folding * part, open * lever_at_fold / lever)
        }));
        if matches!(self.kind, HemKind::Flat) {
            rows.push((entry, open * FLAT_TIMES_OPEN));
        }
        Ok(vec![PointLoad::from_travel(at, self.entry, &rows)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{assert_close, test_sheet};

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn hem(kind: HemKind) -> Hem {
        Hem { kind, length: mm(200.0), entry: mm(8.0), gap: None, factor: None }
    }

    const KINDS: [HemKind; 2] = [HemKind::Open, HemKind::Flat];

    #[test]
    fn open_hem_takes_a_third_of_strength_times_section() {
        // 0.33 · 300 MPa · 200 mm · 1 mm = 19.8 kN; our own figure, no worked example in print.
        let force = hem(HemKind::Open).peak_force(&test_sheet(1.0, 300.0)).unwrap();
        assert_close(force.kilonewtons(), 19.8, 1e-12);
    }

    #[test]
    fn flat_hem_takes_two_and_a_half_times_the_open_one() {
        // HEM-01, https://billyohsheds.info/sheet-metal-hems/, low grade.
        let sheet = test_sheet(1.0, 300.0);
        let force = |kind| hem(kind).peak_force(&sheet).unwrap();
        assert_close(force(HemKind::Flat) / force(HemKind::Open), 2.5, 1e-12);
    }

    #[test]
    fn hem_curve_rises_to_its_peak_at_bdc() {
        let sheet = test_sheet(1.0, 300.0);
        for kind in KINDS {
            let load = &hem(kind).loads(&sheet, Point::default()).unwrap()[0];
            let peak = hem(kind).peak_force(&sheet).unwrap().newtons();
            assert_close(load.peak().newtons(), peak, 1e-12);
            assert_close(load.force_at(0.0), peak, 1e-12);
            assert_eq!(load.force_at(8e-3), 0.0);
            let forces: Vec<_> =
                (0..=80).rev().map(|i| load.force_at(f64::from(i) * 1e-4)).collect();
            assert!(forces.windows(2).all(|pair| 0.0 <= pair[0] && pair[0] <= pair[1]));
        }
    }

    #[test]
    fn flat_hem_is_an_open_hem_until_one_thickness_above_bdc() {
        let sheet = test_sheet(1.0, 300.0);
        let load = &hem(HemKind::Flat).loads(&sheet, Point::default()).unwrap()[0];
        let open = hem(HemKind::Open).peak_force(&sheet).unwrap().newtons();
        assert_close(load.force_at(1e-3), open, 1e-9);
    }

    #[test]
    fn hem_work_is_the_integral_of_its_curve() {
        let sheet = test_sheet(1.0, 300.0);
        for kind in KINDS {
            let load = &hem(kind).loads(&sheet, Point::default()).unwrap()[0];
            let step = 1e-6;
            let sum: f64 =
                (0..8000).map(|i| load.force_at((f64::from(i) + 0.5) * step) * step).sum();
            assert_close(load.work().joules(), sum, 1e-5);
        }
    }

    #[test]
    fn straight_pieces_of_a_hem_stay_near_its_law() {
        for (entry_mm, thickness_mm) in [(8.0, 1.0), (40.0, 0.5), (1.0, 1.0), (3.0, 1.0)] {
            let sheet = test_sheet(thickness_mm, 300.0);
            let hem = Hem { entry: mm(entry_mm), ..hem(HemKind::Open) };
            let load = &hem.loads(&sheet, Point::default()).unwrap()[0];
            let leg = entry_mm / 45.0_f64.to_radians().sin();
            let peak = hem.peak_force(&sheet).unwrap().newtons();
            for i in 1..1000 {
                let part = f64::from(i) * 1e-3;
                let lever = leg + (thickness_mm - leg) * part;
                let law = (part / PLASTIC_SHARE).min(1.0) * thickness_mm / lever;
                let curve = load.force_at(entry_mm * 1e-3 * (1.0 - part)) / peak;
                assert!((curve - law).abs() <= 1e-2, "{entry_mm} {part}: {curve}, law {law}");
            }
        }
    }

    #[test]
    fn hem_force_is_proportional_to_length_and_thickness() {
        let long = Hem { length: mm(400.0), ..hem(HemKind::Flat) };
        let thick = long.peak_force(&test_sheet(3.0, 300.0)).unwrap();
        let thin = hem(HemKind::Flat).peak_force(&test_sheet(1.0, 300.0)).unwrap();
        assert_close(thick / thin, 6.0, 1e-12);
    }

    #[test]
    fn hem_shorter_than_its_sheet_is_thick_still_peaks_at_bdc() {
        let sheet = test_sheet(1.0, 300.0);
        for kind in KINDS {
            let hem = Hem { entry: mm(0.5), ..hem(kind) };
            let load = &hem.loads(&sheet, Point::default()).unwrap()[0];
            assert_close(load.force_at(0.0), hem.peak_force(&sheet).unwrap().newtons(), 1e-12);
        }
    }

    #[test]
    fn hem_rejects_no_length_no_travel_and_no_factor() {
        let sheet = test_sheet(1.0, 300.0);
        for hem in [
            Hem { length: Length::ZERO, ..hem(HemKind::Open) },
            Hem { entry: Length::ZERO, ..hem(HemKind::Open) },
        ] {
            assert!(matches!(hem.peak_force(&sheet), Err(InputError::LengthNotPositive { .. })));
        }
        let hem = Hem { factor: Some(-0.3), ..hem(HemKind::Open) };
        assert!(matches!(hem.peak_force(&sheet), Err(InputError::NotPositive { .. })));
    }

    #[test]
    fn stock_thicker_than_the_gap_of_an_open_hem_is_refused() {
        let sheet = test_sheet(2.0, 300.0);
        let tight = Hem { gap: Some(mm(1.5)), ..hem(HemKind::Open) };
        assert!(matches!(tight.peak_force(&sheet), Err(InputError::OpeningBelowThickness { .. })));
        let wide = Hem { gap: Some(mm(4.0)), ..hem(HemKind::Open) };
        let closed = hem(HemKind::Open).peak_force(&sheet).expect("the hem can be").newtons();
        assert_close(wide.peak_force(&sheet).expect("it can").newtons(), closed / 2.0, 1e-12);
    }
}
