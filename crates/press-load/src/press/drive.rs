//! How the drive turns into force and motion of the slide.

use super::{MotionTable, SlideMotion};
use crate::{Force, InputError, Length, StrokeRate, error::positive_length};
use std::f64::consts::{PI, TAU};

/// A crank or eccentric with its connecting rod, exactly.
///
/// With R the crank radius, L the rod length and θ the crank angle from BDC,
/// `h(θ) = R(1 − cos θ) + L − √(L² − R² sin² θ)`.
///
/// # Source
///
/// R. S. Khurmi, J. K. Gupta, *Theory of Machines*, 14th ed. (2009), ch. 15 (exact slider-crank).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crank {
    radius: f64,
    rod: f64,
}

impl Crank {
    /// From stroke (twice the radius) and rod length.
    ///
    /// # Errors
    ///
    /// [`InputError::LengthNotPositive`] for a stroke that is not positive,
    /// [`InputError::RodNotLongerThanCrank`] if the crank could not turn.
    pub fn new(stroke: Length, rod: Length) -> Result<Self, InputError> {
        let radius = positive_length("stroke", stroke)? / 2.0;
        if !(rod > radius) || !rod.is_positive() {
            return Err(InputError::RodNotLongerThanCrank { rod, crank: radius });
        }
        Ok(Self { radius: radius.metres(), rod: rod.metres() })
    }

    /// Crank radius, half the stroke.
    pub const fn radius(&self) -> Length {
        Length::from_metres(self.radius)
    }

    /// Length of the connecting rod.
    pub const fn rod(&self) -> Length {
        Length::from_metres(self.rod)
    }

    /// Slide height above BDC at crank angle θ from BDC, in radians.
    pub fn height_at(&self, angle_rad: f64) -> Length {
        let (sin, cos) = angle_rad.sin_cos();
        let (r, l) = (self.radius, self.rod);
        // The rod term without the difference of two nearly equal numbers.
        let drop = (r * sin).powi(2) / (l + self.rod_height(sin));
        let rise = if cos > 0.0 { sin * sin / (1.0 + cos) } else { 1.0 - cos };
        Length::from_metres(r * rise + drop)
    }

    /// Crank angle from BDC, 0 to π, at a slide height within the stroke.
    pub fn angle_at(&self, height: Length) -> f64 {
        let (r, l) = (self.radius, self.rod);
        let h = height.metres();
        // Law of cosines in the triangle of crank, rod and slide, in half angles so that small
        // heights keep their digits: with c = R + L − h the distance of slide pin and crank centre,
        // sin²(θ/2) = (L² − (c − R)²)/(4Rc).
        let half_sine_squared = h * (2.0 * l - h) / (4.0 * r * (r + l - h));
        2.0 * half_sine_squared.clamp(0.0, 1.0).sqrt().asin()
    }

    /// Slide travel per crank angle, dh/dθ in metres per radian; torque over slide force.
    pub fn lever_at(&self, angle_rad: f64) -> Length {
        let (sin, cos) = angle_rad.sin_cos();
        let r = self.radius;
        Length::from_metres(r * sin + r * r * sin * cos / self.rod_height(sin))
    }

    /// Slide height above BDC at a crank angle before BDC, in degrees, at which a force is rated.
    ///
    /// # Errors
    ///
    /// [`InputError::RatingAngleOutsideQuarter`] for an angle that is not between BDC and a quarter
    /// turn.
    pub fn height_before_bdc(&self, angle_deg: f64) -> Result<Length, InputError> {
        if !(angle_deg > 0.0 && angle_deg <= 90.0) {
            return Err(InputError::RatingAngleOutsideQuarter(angle_deg));
        }
        Ok(self.height_at(angle_deg.to_radians()))
    }

    fn rod_height(&self, sin: f64) -> f64 {
        (self.rod * self.rod - (self.radius * sin).powi(2)).sqrt()
    }
}

/// How the slide is driven, and what force that allows where.
#[derive(Clone, Debug, PartialEq)]
pub enum Drive {
    /// A crank or eccentric: torque is constant, so force is large near BDC only.
    Crank {
        /// Stroke.
        stroke: Length,
        /// Kinematics, where the rod is known.
        crank: Option<Crank>,
        /// Height above BDC at which the rated force is given, where known.
        rating_height: Option<Length>,
        /// A second rating: what is allowed at a greater height, where the plate gives it.
        second_rating: Option<(Length, Force)>,
    },
    /// Full force anywhere in the stroke.
    Hydraulic {
        /// Stroke.
        stroke: Length,
        /// Slide speed while it presses, in metres per second, where known.
        pressing_speed: Option<f64>,
    },
    /// Allowed force over height as read off the press's own card: link, knuckle-joint and servo
    /// drives.
    Table {
        /// Stroke.
        stroke: Length,
        /// Height above BDC and allowed force, rising height.
        points: Vec<(Length, Force)>,
        /// How the slide moves, where known.
        motion: Option<MotionTable>,
    },
    /// Nothing is known of the drive, because no press is chosen.
    Unknown {
        /// Height above BDC from which the loads are followed: where anything of the die first
        /// touches. It is no stroke.
        reach: Length,
    },
}

impl Drive {
    /// A crank drive; rod and rating height may be unknown.
    ///
    /// # Errors
    ///
    /// As [`Crank::new`], and [`InputError::RatingHeightOutsideStroke`] for a rating height that is
    /// not between BDC and half the stroke.
    pub fn crank(
        stroke: Length,
        rod: Option<Length>,
        rating_height: Option<Length>,
    ) -> Result<Self, InputError> {
        positive_length("stroke", stroke)?;
        let crank = rod.map(|rod| Crank::new(stroke, rod)).transpose()?;
        if let Some(height) = rating_height {
            let largest = stroke / 2.0;
            if !height.is_positive() || height > largest {
                return Err(InputError::RatingHeightOutsideStroke { height, largest });
            }
        }
        Ok(Self::Crank { stroke, crank, rating_height, second_rating: None })
    }

    /// A crank drive whose rated force is given at a crank angle before BDC, in degrees, with the
    /// rod that the height follows from.
    ///
    /// # Errors
    ///
    /// As [`Crank::new`], and [`InputError::RatingAngleOutsideQuarter`] for an angle that is not
    /// between BDC and a quarter turn.
    pub fn crank_rated_at_angle(
        stroke: Length,
        rod: Length,
        angle_deg: f64,
    ) -> Result<Self, InputError> {
        let crank = Crank::new(stroke, rod)?;
        let height = crank.height_before_bdc(angle_deg)?;
        Ok(Self::Crank {
            stroke,
            crank: Some(crank),
            rating_height: Some(height),
            second_rating: None,
        })
    }

    /// The same crank drive with a second rating: `force` is allowed at `height`, above the height of
    /// the rated force. Other drives have their whole card in the table and stay as they are.
    ///
    /// # Errors
    ///
    /// [`InputError::SecondRatingNotAbove`] for a height not above the rating height,
    /// [`InputError::LengthNotPositive`] for one that is not positive.
    pub fn with_second_rating(mut self, height: Length, force: Force) -> Result<Self, InputError> {
        positive_length("height of the second rating", height)?;
        if let Self::Crank { rating_height, second_rating, .. } = &mut self {
            if let Some(first) = *rating_height
                && !(height > first)
            {
                return Err(InputError::SecondRatingNotAbove { height, first });
            }
            *second_rating = Some((height, force));
        }
        Ok(self)
    }

    /// A tabled drive, rows in either direction.
    ///
    /// # Errors
    ///
    /// [`InputError::TableNotOrdered`], [`InputError::NegativeForce`], or a stroke not positive.
    pub fn table(stroke: Length, mut points: Vec<(Length, Force)>) -> Result<Self, InputError> {
        positive_length("stroke", stroke)?;
        if points.len() >= 2 && points[0].0 > points[1].0 {
            points.reverse();
        }
        if points.len() < 2 || points.windows(2).any(|pair| !(pair[1].0 > pair[0].0)) {
            return Err(InputError::TableNotOrdered);
        }
        if let Some(&(_, force)) = points.iter().find(|(_, force)| !(*force >= Force::ZERO)) {
            return Err(InputError::NegativeForce(force));
        }
        Ok(Self::Table { stroke, points, motion: None })
    }

    /// How the slide moves, where it is known.
    pub fn motion(&self) -> Option<SlideMotion> {
        match self {
            Self::Crank { crank, .. } => crank.map(SlideMotion::Crank),
            Self::Table { motion, .. } => motion.clone().map(SlideMotion::Table),
            Self::Hydraulic { .. } | Self::Unknown { .. } => None,
        }
    }

    /// Stroke of the slide; of an unknown drive the height from which the loads are followed.
    pub const fn stroke(&self) -> Length {
        match self {
            Self::Crank { stroke, .. }
            | Self::Hydraulic { stroke, .. }
            | Self::Table { stroke, .. } => *stroke,
            Self::Unknown { reach } => *reach,
        }
    }

    /// Stroke of the slide, where the drive is known.
    pub const fn known_stroke(&self) -> Option<Length> {
        match self {
            Self::Unknown { .. } => None,
            _ => Some(self.stroke()),
        }
    }

    /// Force available at `height`, never more than `rated`; nothing where it is not known.
    ///
    /// Crank: the torque that gives the rated force at the rating height is available everywhere,
    /// so `F = min(F_rated, F_rated · h′(θ_rating)/h′(θ))`. The frame bounds the force below the
    /// rating height. With a second rating the torque of that rating holds from its height on, and
    /// between the two heights the torque goes evenly from one to the other (our own form: both
    /// ratings are met exactly; the press's card rules).
    ///
    /// # Source
    ///
    /// *ASM Handbook* vol. 14, Forming and Forging, chapter on forging machines, p. 51 (constant
    /// torque; rating at a stated distance from the bottom), with the rod taken into account.
    pub fn available_force(&self, height: Length, rated: Force) -> Option<Force> {
        match self {
            Self::Hydraulic { .. } => Some(rated),
            Self::Unknown { .. } => None,
            Self::Crank { crank, rating_height, second_rating, .. } => {
                let (crank, rating_height) = ((*crank)?, (*rating_height)?);
                if height <= rating_height {
                    return Some(rated);
                }
                let lever_at = |height| crank.lever_at(crank.angle_at(height));
                // Torque as a lever of the rated force.
                let mut arm = lever_at(rating_height);
                if let Some((second_height, force)) = *second_rating {
                    let second_arm = lever_at(second_height) * (force / rated);
                    let part = (height - rating_height) / (second_height - rating_height);
                    arm += (second_arm - arm) * part.min(1.0);
                }
                let lever = lever_at(height);
                // At TDC the lever vanishes and the frame alone bounds the force again.
                Some(if lever > arm { rated * (arm / lever) } else { rated })
            }
            Self::Table { points, .. } => {
                let (first, last) = (points.first()?, points.last()?);
                if height > last.0 {
                    return None;
                }
                if height <= first.0 {
                    return Some(first.1.min(rated));
                }
                let above = points.partition_point(|point| point.0 < height);
                let ((h0, f0), (h1, f1)) = (points[above - 1], points[above]);
                Some((f0 + (f1 - f0) * ((height - h0) / (h1 - h0))).min(rated))
            }
        }
    }

    /// Slide speed at `height` in metres per second, where the motion is known.
    pub fn speed_at(&self, height: Length, rate: Option<StrokeRate>) -> Option<f64> {
        if let Self::Hydraulic { pressing_speed, .. } = self {
            return *pressing_speed;
        }
        let motion = self.motion()?;
        let lever = motion.lever_at(motion.angle_at(height)).metres();
        Some(lever * TAU * rate?.per_second())
    }

    /// Drive angle before BDC at `height`, in degrees, where the motion is known.
    pub fn degrees_before_bdc(&self, height: Length) -> Option<f64> {
        Some(self.motion()?.angle_at(height) * 180.0 / PI)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn crank() -> Crank {
        Crank::new(mm(200.0), mm(900.0)).unwrap()
    }

    #[test]
    fn slide_travel_equals_stroke_at_tdc_and_nothing_at_bdc() {
        assert_close(crank().height_at(PI).millimetres(), 200.0, 1e-12);
        assert_eq!(crank().height_at(0.0), Length::ZERO);
    }

    #[test]
    fn angle_and_height_invert_each_other() {
        for h in [1e-6, 0.01, 1.0, 6.0, 55.0, 123.0, 199.9] {
            let angle = crank().angle_at(mm(h));
            assert_close(crank().height_at(angle).millimetres(), h, 1e-9);
        }
    }

    #[test]
    fn lever_is_the_derivative_of_height() {
        for degrees in [1.0_f64, 20.0, 75.0, 120.0, 170.0] {
            let (angle, step) = (degrees.to_radians(), 1e-5);
            let rise = crank().height_at(angle + step) - crank().height_at(angle - step);
            assert_close(crank().lever_at(angle).metres(), rise.metres() / (2.0 * step), 1e-7);
        }
    }

    #[test]
    fn crank_rejects_a_rod_shorter_than_the_crank() {
        assert!(matches!(
            Crank::new(mm(200.0), mm(100.0)),
            Err(InputError::RodNotLongerThanCrank { .. })
        ));
        assert!(Crank::new(mm(200.0), mm(f64::NAN)).is_err());
        assert!(Crank::new(mm(0.0), mm(10.0)).is_err());
    }

    #[test]
    fn force_is_rated_below_the_rating_height_and_falls_above_it() {
        let drive = Drive::crank(mm(200.0), Some(mm(900.0)), Some(mm(6.0))).unwrap();
        let rated = Force::from_kilonewtons(1600.0);
        let at = |h| drive.available_force(mm(h), rated).unwrap().kilonewtons();
        assert_eq!(at(0.0), 1600.0);
        assert_eq!(at(6.0), 1600.0);
        assert!(at(6.1) < 1600.0 && at(20.0) < at(10.0));
        // The torque is the same: force times lever.
        let c = crank();
        let torque = |h: f64| at(h) * c.lever_at(c.angle_at(mm(h))).metres();
        assert_close(torque(20.0), torque(60.0), 1e-12);
        assert_eq!(at(200.0), 1600.0);
    }

    #[test]
    fn unknown_rod_or_rating_height_leaves_the_force_unknown() {
        let rated = Force::from_kilonewtons(1600.0);
        let no_rod = Drive::crank(mm(200.0), None, Some(mm(6.0))).unwrap();
        assert_eq!(no_rod.available_force(mm(3.0), rated), None);
        let no_height = Drive::crank(mm(200.0), Some(mm(900.0)), None).unwrap();
        assert_eq!(no_height.available_force(mm(3.0), rated), None);
    }

    #[test]
    fn rating_height_must_lie_in_the_lower_half_of_the_stroke() {
        for height in [0.0, -1.0, 101.0, f64::NAN] {
            assert!(matches!(
                Drive::crank(mm(200.0), Some(mm(900.0)), Some(mm(height))),
                Err(InputError::RatingHeightOutsideStroke { .. })
            ));
        }
    }

    /// A rating of 30° before BDC is a height of 0.067 of the stroke without the rod (H. Tschätsch,
    /// *Metal Forming Practise* (2006), sec. 21.2, gives the angle): 13.4 mm at 200 mm of stroke. The
    /// rod adds `R·sin²30°/(2·L/R)`, first order.
    #[test]
    fn rating_angle_is_the_height_of_the_crank_there() {
        let long_rod = Crank::new(mm(200.0), mm(1e6)).unwrap();
        assert_close(long_rod.height_before_bdc(30.0).unwrap().millimetres(), 13.397, 1e-3);
        assert_close(crank().height_before_bdc(30.0).unwrap().millimetres(), 14.786, 2e-3);
        let rated = Force::from_kilonewtons(1600.0);
        let drive = Drive::crank_rated_at_angle(mm(200.0), mm(900.0), 30.0).unwrap();
        let at = |h| drive.available_force(mm(h), rated).unwrap().kilonewtons();
        assert_eq!(at(14.7), 1600.0);
        assert!(at(15.0) < 1600.0);
        for angle in [0.0, -30.0, 91.0, f64::NAN] {
            assert!(matches!(
                Drive::crank_rated_at_angle(mm(200.0), mm(900.0), angle),
                Err(InputError::RatingAngleOutsideQuarter(_))
            ));
        }
    }

    #[test]
    fn second_rating_is_met_and_its_torque_holds_above() {
        let kn = Force::from_kilonewtons;
        let one = Drive::crank(mm(200.0), Some(mm(900.0)), Some(mm(6.0))).unwrap();
        let two = one.clone().with_second_rating(mm(40.0), kn(500.0)).unwrap();
        let at = |drive: &Drive, h| drive.available_force(mm(h), kn(1600.0)).unwrap().kilonewtons();
        assert_eq!(at(&two, 6.0), 1600.0);
        assert_close(at(&two, 40.0), 500.0, 1e-12);
        let torque = |h: f64| at(&two, h) * crank().lever_at(crank().angle_at(mm(h))).metres();
        assert_close(torque(60.0), torque(90.0), 1e-12);
        // A second rating that says the same changes nothing.
        let same = one.clone().with_second_rating(mm(40.0), kn(at(&one, 40.0))).unwrap();
        for h in [10.0, 25.0, 39.0, 70.0] {
            assert_close(at(&same, h), at(&one, h), 1e-12);
        }
        assert!(matches!(
            one.with_second_rating(mm(6.0), kn(500.0)),
            Err(InputError::SecondRatingNotAbove { .. })
        ));
    }

    #[test]
    fn speed_is_the_lever_times_the_turning_speed() {
        let rate = StrokeRate::from_per_minute(45.0);
        let drive = Drive::crank(mm(200.0), Some(mm(900.0)), None).unwrap();
        let lever = crank().lever_at(crank().angle_at(mm(4.5))).metres();
        assert_close(drive.speed_at(mm(4.5), Some(rate)).unwrap(), lever * TAU * 0.75, 1e-12);
        assert_eq!(drive.speed_at(mm(4.5), None), None);
        let hydraulic = Drive::Hydraulic { stroke: mm(200.0), pressing_speed: Some(0.02) };
        assert_eq!(hydraulic.speed_at(mm(4.5), None), Some(0.02));
        let no_rod = Drive::crank(mm(200.0), None, None).unwrap();
        assert_eq!(no_rod.speed_at(mm(4.5), Some(rate)), None);
    }

    #[test]
    fn tabled_force_is_interpolated_and_unknown_above_the_table() {
        let kn = Force::from_kilonewtons;
        let points = vec![(mm(20.0), kn(400.0)), (mm(5.0), kn(1000.0))];
        let drive = Drive::table(mm(100.0), points).unwrap();
        let rated = kn(900.0);
        assert_close(drive.available_force(mm(12.5), rated).unwrap().kilonewtons(), 700.0, 1e-12);
        assert_eq!(drive.available_force(mm(1.0), rated), Some(rated));
        assert_eq!(drive.available_force(mm(20.1), rated), None);
        assert!(Drive::table(mm(100.0), vec![(mm(1.0), kn(1.0))]).is_err());
    }
}
