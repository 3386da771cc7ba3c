//! Springs, pads and cushions: they act at their own position from first touch down to BDC and
//! count in force, energy and load centre.

use crate::{
    Force, InputError, Length, Stiffness, Stress,
    error::{positive, positive_length},
    geometry::Point,
    point_load::PointLoad,
};
use std::f64::consts::FRAC_PI_4;

/// What pushes back.
#[derive(Clone, Debug, PartialEq)]
pub enum SpringKind {
    /// Preload and rate: `F = F₀ + c·s`.
    Coil {
        /// Force at first touch.
        preload: Force,
        /// Force per travel.
        rate: Stiffness,
    },
    /// Gas spring: initial force, rising over its stroke.
    ///
    /// Taken linear from F₀ to `force_rise`·F₀. The gas law bends the curve below that chord, so
    /// this is never too low in between.
    Gas {
        /// Force at first touch.
        force: Force,
        /// Travel at which the full rise is reached.
        stroke: Length,
        /// Force at full stroke over initial force.
        force_rise: f64,
    },
    /// Elastomer: force over travel as tabled by its maker, linear between the rows.
    Elastomer {
        /// Travel and force, rising travel from 0.
        points: Vec<(Length, Force)>,
    },
    /// Air or hydraulic cushion: constant force.
    Cushion {
        /// Its force.
        force: Force,
        /// How far it can be pushed.
        stroke: Length,
    },
}

/// A spring that the slide touches at `entry`.
#[derive(Clone, Debug, PartialEq)]
pub struct Spring {
    /// Kind and data.
    pub kind: SpringKind,
    /// Slide height above BDC at which it is first touched.
    pub entry: Length,
}

impl Spring {
    /// Its load through the stroke.
    ///
    /// # Errors
    ///
    /// [`InputError`] if a gas or cushion stroke is not positive, a force is negative, or an
    /// elastomer's table does not rise in travel.
    pub fn load(&self, at: Point) -> Result<PointLoad, InputError> {
        let entry = self.entry.metres();
        let not_negative = |force: Force| {
            if force >= Force::ZERO {
                Ok(force.newtons())
            } else {
                Err(InputError::NegativeForce(force))
            }
        };
        let rows = match &self.kind {
            SpringKind::Coil { preload, rate } => {
                let end = not_negative(*preload + *rate * self.entry)?;
                vec![(0.0, not_negative(*preload)?), (entry, end)]
            }
            SpringKind::Gas { force, stroke, force_rise } => {
                positive_length("gas spring stroke", *stroke)?;
                let start = not_negative(*force)?;
                let rise = start * (force_rise - 1.0) / stroke.metres();
                vec![
                    (0.0, start),
                    (entry, not_negative(Force::from_newtons(start + rise * entry))?),
                ]
            }
            SpringKind::Elastomer { points } => {
                let rising = points.windows(2).all(|pair| pair[1].0 > pair[0].0);
                if points.len() < 2 || !rising {
                    return Err(InputError::TableNotOrdered);
                }
                let mut rows = Vec::with_capacity(points.len() + 1);
                for (travel, force) in points {
                    rows.push((travel.metres(), not_negative(*force)?));
                }
                // Beyond its table an elastomer stiffens on: the last slope is carried forward.
                let (&(s0, f0), &(s1, f1)) = (&rows[rows.len() - 2], &rows[rows.len() - 1]);
                if entry > s1 {
                    rows.push((entry, f1 + (f1 - f0) / (s1 - s0) * (entry - s1)));
                }
                rows
            }
            SpringKind::Cushion { force, stroke } => {
                positive_length("cushion stroke", *stroke)?;
                let force = not_negative(*force)?;
                vec![(0.0, force), (entry, force)]
            }
        };
        Ok(PointLoad::from_travel(at, self.entry, &rows))
    }

    /// Force at first touch, which is what it still gives when the tool leaves the stock.
    pub fn initial_force(&self) -> Force {
        match &self.kind {
            SpringKind::Coil { preload, .. } => *preload,
            SpringKind::Gas { force, .. } | SpringKind::Cushion { force, .. } => *force,
            SpringKind::Elastomer { points } => points.first().map_or(Force::ZERO, |row| row.1),
        }
    }

    /// How far it may be pushed, where known.
    pub fn stroke(&self) -> Option<Length> {
        match &self.kind {
            SpringKind::Coil { .. } => None,
            SpringKind::Gas { stroke, .. } | SpringKind::Cushion { stroke, .. } => Some(*stroke),
            SpringKind::Elastomer { points } => points.last().map(|row| row.0),
        }
    }

    /// Force at a slide height, while it is touched.
    pub fn force_at(&self, height: Length) -> Force {
        self.load(Point::default())
            .map_or(Force::ZERO, |load| Force::from_newtons(load.force_at(height.metres())))
    }
}

/// Force of an air cushion, `p · π/4 · d² · n`: gauge pressure, piston diameter, number of pistons.
///
/// Friction of the seals and the rise of pressure as it is pushed are left out; a small tank raises
/// the pressure like the charge of a gas spring ([`SpringKind::Gas`]).
///
/// # Errors
///
/// [`InputError::NotPositive`] or [`InputError::LengthNotPositive`] for what is not above zero.
///
/// # Source
///
/// Dayton Die Cushions, cushion tonnage page: 10 in at 100 psi, 7854 lbf. The page prints pressure
/// *divided* by area; the figure needs the product.
pub fn air_cushion_force(
    pressure: Stress,
    piston_diameter: Length,
    pistons: f64,
) -> Result<Force, InputError> {
    positive("air pressure", pressure.pascals())?;
    positive("number of pistons", pistons)?;
    let d = positive_length("piston diameter", piston_diameter)?;
    Ok(d * d * pressure * (FRAC_PI_4 * pistons))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn kn(value: f64) -> Force {
        Force::from_kilonewtons(value)
    }

    #[test]
    fn coil_spring_force_is_preload_plus_rate_times_travel() {
        let kind = SpringKind::Coil {
            preload: kn(2.0),
            rate: Stiffness::from_kilonewtons_per_millimetre(0.1),
        };
        let load = Spring { kind, entry: mm(20.0) }.load(Point::default()).unwrap();
        assert_close(load.force_at(5e-3), 2_000.0 + 1_500.0, 1e-12);
        assert_close(load.work().joules(), 20e-3 * (2_000.0 + 4_000.0) / 2.0, 1e-12);
    }

    #[test]
    fn gas_spring_reaches_its_rise_at_full_stroke() {
        let kind = SpringKind::Gas { force: kn(5.0), stroke: mm(25.0), force_rise: 1.4 };
        let load = Spring { kind, entry: mm(25.0) }.load(Point::default()).unwrap();
        assert_close(load.force_at(0.0), 7_000.0, 1e-12);
        assert_close(load.force_at(25e-3), 5_000.0, 1e-12);
    }

    #[test]
    fn cushion_force_is_constant_and_its_work_force_times_travel() {
        let kind = SpringKind::Cushion { force: kn(80.0), stroke: mm(60.0) };
        let load = Spring { kind, entry: mm(50.0) }.load(Point::default()).unwrap();
        assert_close(load.force_at(0.0), 80e3, 1e-12);
        assert_close(load.work().joules(), 4_000.0, 1e-12);
    }

    #[test]
    fn elastomer_needs_rising_travel() {
        let falling =
            SpringKind::Elastomer { points: vec![(mm(5.0), kn(1.0)), (mm(2.0), kn(2.0))] };
        let spring = Spring { kind: falling, entry: mm(5.0) };
        assert_eq!(spring.load(Point::default()), Err(InputError::TableNotOrdered));
        let rising = SpringKind::Elastomer { points: vec![(mm(0.0), kn(0.0)), (mm(4.0), kn(2.0))] };
        let load = Spring { kind: rising, entry: mm(6.0) }.load(Point::default()).unwrap();
        assert_close(load.force_at(2e-3), 2_000.0, 1e-12);
        assert_close(load.force_at(0.0), 3_000.0, 1e-12);
    }

    #[test]
    fn springs_reject_negative_force_and_no_stroke() {
        let kind = SpringKind::Gas { force: kn(-1.0), stroke: mm(25.0), force_rise: 1.4 };
        assert!(Spring { kind, entry: mm(5.0) }.load(Point::default()).is_err());
        let kind = SpringKind::Cushion { force: kn(1.0), stroke: mm(0.0) };
        assert!(Spring { kind, entry: mm(5.0) }.load(Point::default()).is_err());
    }

    #[test]
    fn air_cushion_rejects_no_pressure_no_piston_and_no_number() {
        let bar = Stress::from_megapascals(0.5);
        assert!(air_cushion_force(Stress::ZERO, mm(200.0), 1.0).is_err());
        assert!(air_cushion_force(bar, Length::ZERO, 1.0).is_err());
        assert!(air_cushion_force(bar, mm(200.0), 0.0).is_err());
    }

    #[test]
    fn air_cushion_force_grows_with_the_square_of_its_piston() {
        let of = |d| air_cushion_force(Stress::from_megapascals(0.5), mm(d), 2.0).unwrap();
        assert_close(of(400.0) / of(200.0), 4.0, 1e-12);
    }
}
