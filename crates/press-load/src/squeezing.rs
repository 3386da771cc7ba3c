//! Squeezing: coining, embossing, sizing.
//!
//! The force is pressure times area and stands at BDC. Because the press is a spring, shut height
//! decides how much of it is reached: see [`gain_per_tenth_millimetre`].

use crate::{
    Area, Force, InputError, Length, Range, Sheet, Stiffness, Stress,
    error::{positive, positive_length},
    geometry::Point,
    point_load::PointLoad,
};

/// Power of travel with which the force rises from first touch to BDC (common practice, no source:
/// no measured coining curve was found in print).
pub const RISE_POWER: i32 = 3;
/// Straight pieces of the rise; each lies on or above the curve, by at most 0.2 % of the peak.
const CURVE_PIECES: u32 = 24;

/// By how much the pressures of [`thin_embossing_pressure`] are higher on crank and knuckle-joint
/// presses than on the screw presses they are given for (H. Tschätsch, A. Koth, *Metal Forming
/// Practise*, Springer 2006, note to table 17.1, p. 214).
pub const CRANK_PRESS_FACTOR: f64 = 1.5;

/// What is squeezed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SqueezeKind {
    /// Metal flows into both dies.
    Coin,
    /// Raised or sunk detail, thickness nearly kept.
    Emboss,
    /// A surface or thickness brought to size.
    Size,
}

/// A squeeze about the station point.
///
/// The kind names the operation; all kinds follow one law and differ in their pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Squeeze {
    /// What is squeezed.
    pub kind: SqueezeKind,
    /// Projected area of the punch.
    pub area: Area,
    /// Pressure at BDC.
    pub pressure: Stress,
    /// Slide height above BDC at which the punch first touches, over which the force rises.
    pub entry: Length,
}

impl Squeeze {
    /// Force at BDC, `F = A · p`.
    ///
    /// The pressure is the mean over the projected area when the detail is filled; the sheet enters
    /// only through it. Valid as far as the pressure is: it depends on detail, material and press
    /// ([`coining_pressure`], [`embossing_pressure`], [`thin_embossing_pressure`]).
    ///
    /// # Errors
    ///
    /// [`InputError::NotPositive`] for area or pressure, [`InputError::LengthNotPositive`] for the
    /// entry height.
    ///
    /// # Source
    ///
    /// H. Tschätsch, A. Koth, *Metal Forming Practise*, Springer 2006, ch. 8 (F = kr · A).
    pub fn peak_force(&self, _sheet: &Sheet) -> Result<Force, InputError> {
        positive("squeezed area", self.area.square_metres())?;
        positive("squeezing pressure", self.pressure.pascals())?;
        positive_length("entry height of the squeeze", self.entry)?;
        Ok(self.area * self.pressure)
    }

    /// The load through the stroke at `at`: `F · (s / entry)³`, s the travel from first touch
    /// ([`RISE_POWER`], common practice, no source), as straight pieces.
    ///
    /// # Errors
    ///
    /// As [`Squeeze::peak_force`].
    pub fn loads(&self, sheet: &Sheet, at: Point) -> Result<Vec<PointLoad>, InputError> {
        let peak = self.peak_force(sheet)?.newtons();
        let entry = self.entry.metres();
        let rows: Vec<_> = (0..=CURVE_PIECES)
            .map(|i| f64::from(i) / f64::from(CURVE_PIECES))
            .map(|part| (entry * part, peak * part.powi(RISE_POWER)))
            .collect();
        Ok(vec![PointLoad::from_travel(at, self.entry, &rows)])
    }
}

/// Force that 0.1 mm of shut height or stock thickness is worth at BDC: `stiffness · 0.1 mm`.
///
/// `stiffness` is that of press and die together, slide to bolster. The work is taken as rigid, so
/// this is an upper bound. It follows from Hooke's law.
pub fn gain_per_tenth_millimetre(stiffness: Stiffness) -> Force {
    stiffness * Length::from_millimetres(0.1)
}

/// A material for which pressures are tabled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SqueezedMaterial {
    /// Aluminium 99 %, Rm 80–100 MPa.
    Aluminium,
    /// Aluminium alloy, Rm 180–320 MPa.
    AluminiumAlloy,
    /// Brass Ms63, Rm 290–410 MPa.
    Brass,
    /// Soft copper, Rm 210–240 MPa.
    Copper,
    /// Steel, Rm 280–420 MPa; deep-drawing steel in the table for thin sheet.
    Steel,
    /// Stainless steel, Rm 600–750 MPa.
    Stainless,
}

/// How an embossing punch sits in its die.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PunchFit {
    /// With play.
    Loose,
    /// Close-fitting.
    Tight,
}

fn megapascals(low: f64, high: f64) -> Range {
    Range::new(low * 1e6, high * 1e6)
}

/// Pressure to emboss lettering, in pascals.
///
/// # Source
///
/// H. Tschätsch, A. Koth, *Metal Forming Practise*, Springer 2006, table 8.1, p. 87.
pub fn embossing_pressure(material: SqueezedMaterial) -> Range {
    match material {
        SqueezedMaterial::Aluminium => megapascals(50.0, 80.0),
        SqueezedMaterial::AluminiumAlloy => megapascals(150.0, 150.0),
        SqueezedMaterial::Brass | SqueezedMaterial::Copper => megapascals(200.0, 300.0),
        SqueezedMaterial::Steel => megapascals(300.0, 400.0),
        SqueezedMaterial::Stainless => megapascals(600.0, 800.0),
    }
}

/// Pressure of deep coining, in pascals.
///
/// # Source
///
/// H. Tschätsch, A. Koth, *Metal Forming Practise*, Springer 2006, table 8.1, p. 87.
pub fn coining_pressure(material: SqueezedMaterial) -> Range {
    match material {
        SqueezedMaterial::Aluminium => megapascals(80.0, 120.0),
        SqueezedMaterial::AluminiumAlloy => megapascals(350.0, 350.0),
        SqueezedMaterial::Brass => megapascals(1500.0, 1800.0),
        SqueezedMaterial::Copper => megapascals(800.0, 1000.0),
        SqueezedMaterial::Steel => megapascals(1200.0, 1500.0),
        SqueezedMaterial::Stainless => megapascals(2500.0, 3200.0),
    }
}

/// Pressure to emboss thin sheet on a **screw press**, in pascals, where it is tabled.
///
/// On a crank or knuckle-joint press it is half as high again: [`on_crank_press`]. For copper the
/// two tables differ (100–250 MPa here against 200–300 MPa in table 8.1).
///
/// # Source
///
/// H. Tschätsch, A. Koth, *Metal Forming Practise*, Springer 2006, table 17.1, p. 214.
pub fn thin_embossing_pressure(
    material: SqueezedMaterial,
    fit: PunchFit,
    thickness: Length,
) -> Option<Range> {
    let loose = match material {
        SqueezedMaterial::Aluminium => Some((50.0, 80.0)),
        SqueezedMaterial::AluminiumAlloy => None,
        SqueezedMaterial::Brass => Some((200.0, 300.0)),
        SqueezedMaterial::Copper => Some((100.0, 250.0)),
        SqueezedMaterial::Steel => Some((350.0, 400.0)),
        SqueezedMaterial::Stainless => Some((600.0, 900.0)),
    };
    // Up to 0.4 mm, above 0.4 up to 0.7 mm, above 0.7 mm.
    let tight = match material {
        SqueezedMaterial::Aluminium => [Some((80.0, 120.0)), Some((60.0, 100.0)), None],
        SqueezedMaterial::AluminiumAlloy => [None; 3],
        SqueezedMaterial::Brass | SqueezedMaterial::Copper => {
            [Some((1000.0, 1200.0)), Some((700.0, 1000.0)), Some((600.0, 800.0))]
        }
        SqueezedMaterial::Steel => {
            [Some((1800.0, 2500.0)), Some((1250.0, 1600.0)), Some((1000.0, 1200.0))]
        }
        SqueezedMaterial::Stainless => {
            [Some((2200.0, 3000.0)), Some((1600.0, 2000.0)), Some((1200.0, 1500.0))]
        }
    };
    let [thin, middle, thick] = tight;
    let row = match fit {
        PunchFit::Loose => loose,
        PunchFit::Tight if thickness <= Length::from_millimetres(0.4) => thin,
        PunchFit::Tight if thickness <= Length::from_millimetres(0.7) => middle,
        PunchFit::Tight => thick,
    };
    row.map(|(low, high)| megapascals(low, high))
}

/// A screw-press pressure as it is on crank and knuckle-joint presses, [`CRANK_PRESS_FACTOR`].
pub fn on_crank_press(screw_press: Range) -> Range {
    screw_press.scaled(CRANK_PRESS_FACTOR)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{assert_close, test_sheet};
    use std::f64::consts::PI;

    fn coin(pressure_mpa: f64) -> Squeeze {
        Squeeze {
            kind: SqueezeKind::Coin,
            area: Area::from_square_millimetres(PI / 4.0 * 25.0 * 25.0),
            pressure: Stress::from_megapascals(pressure_mpa),
            entry: Length::from_millimetres(0.5),
        }
    }

    #[test]
    fn deep_coining_of_a_25_mm_steel_blank_takes_589_to_736_kilonewtons() {
        // Derived from Tschätsch and Koth, table 8.1: 1200 to 1500 MPa on 25 mm diameter.
        let sheet = test_sheet(2.0, 350.0);
        let pressure = coining_pressure(SqueezedMaterial::Steel);
        let force = |pascals: f64| coin(pascals * 1e-6).peak_force(&sheet).unwrap().kilonewtons();
        assert_close(force(pressure.low()), 589.0, 1e-3);
        assert_close(force(pressure.high()), 736.0, 1e-3);
    }

    #[test]
    fn crank_press_takes_half_as_much_pressure_again() {
        // Tschätsch and Koth, table 17.1: deep-drawing steel, tight punch, above 0.7 mm
        // 1000–1200 MPa on a screw press, so 1500–1800 MPa on a crank press.
        let thickness = Length::from_millimetres(1.0);
        let screw =
            thin_embossing_pressure(SqueezedMaterial::Steel, PunchFit::Tight, thickness).unwrap();
        assert_close(on_crank_press(screw).low(), 1500e6, 1e-12);
        assert_close(on_crank_press(screw).high(), 1800e6, 1e-12);
    }

    #[test]
    fn thin_embossing_pressure_is_given_only_where_it_is_tabled() {
        // Tschätsch and Koth, table 17.1: aluminium above 0.7 mm with a tight punch is a dash.
        let tight = |mm| {
            let thickness = Length::from_millimetres(mm);
            thin_embossing_pressure(SqueezedMaterial::Aluminium, PunchFit::Tight, thickness)
        };
        assert_eq!(tight(1.0), None);
        assert_eq!(tight(0.4), Some(megapascals(80.0, 120.0)));
        assert_eq!(tight(0.5), Some(megapascals(60.0, 100.0)));
    }

    #[test]
    fn squeezing_force_stands_at_bdc_and_is_an_eighth_of_it_half_way() {
        // (1/2)³; our own rise, no source.
        let sheet = test_sheet(2.0, 350.0);
        let squeeze = coin(1200.0);
        let load = &squeeze.loads(&sheet, Point::default()).unwrap()[0];
        let peak = squeeze.peak_force(&sheet).unwrap().newtons();
        assert_close(load.force_at(0.0), peak, 1e-12);
        assert_close(load.peak().newtons(), peak, 1e-12);
        assert_close(load.force_at(0.25e-3), peak / 8.0, 1e-12);
        assert_eq!(load.force_at(0.5e-3), 0.0);
        assert!((0..=600).all(|i| load.force_at(f64::from(i) * 1e-6) >= 0.0));
    }

    #[test]
    fn squeezing_work_is_a_quarter_of_force_times_travel() {
        // ∫ (s/e)³ ds = e/4; straight pieces above a hollow curve add 0.2 %.
        let sheet = test_sheet(2.0, 350.0);
        let squeeze = coin(1200.0);
        let peak = squeeze.peak_force(&sheet).unwrap().newtons();
        let work = squeeze.loads(&sheet, Point::default()).unwrap()[0].work().joules();
        assert_close(work, peak * 0.5e-3 / 4.0, 3e-3);
    }

    #[test]
    fn squeezing_force_is_proportional_to_area_and_pressure() {
        let sheet = test_sheet(2.0, 350.0);
        let single = coin(600.0).peak_force(&sheet).unwrap();
        let squeeze = Squeeze { area: coin(600.0).area * 2.0, ..coin(1200.0) };
        assert_close(squeeze.peak_force(&sheet).unwrap() / single, 4.0, 1e-12);
    }

    #[test]
    fn a_tenth_of_a_millimetre_is_worth_a_tenth_of_the_stiffness() {
        // 800 kN/mm · 0.1 mm = 80 kN, Hooke's law.
        let gain = gain_per_tenth_millimetre(Stiffness::from_kilonewtons_per_millimetre(800.0));
        assert_close(gain.kilonewtons(), 80.0, 1e-12);
    }

    #[test]
    fn squeezing_rejects_no_area_no_pressure_and_no_travel() {
        let sheet = test_sheet(2.0, 350.0);
        let no_area = Squeeze { area: Area::ZERO, ..coin(1200.0) };
        assert!(matches!(
            no_area.peak_force(&sheet),
            Err(InputError::NotPositive { what: "squeezed area", .. })
        ));
        assert!(matches!(
            coin(f64::NAN).peak_force(&sheet),
            Err(InputError::NotPositive { what: "squeezing pressure", .. })
        ));
        let no_travel = Squeeze { entry: Length::ZERO, ..coin(1200.0) };
        assert!(matches!(
            no_travel.loads(&sheet, Point::default()),
            Err(InputError::LengthNotPositive { .. })
        ));
    }
}
