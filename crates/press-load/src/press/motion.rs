//! How the slide moves as the drive turns.

use super::Crank;
use crate::{InputError, Length};
use std::f64::consts::PI;

/// Height of the slide over the drive's angle from BDC.
#[derive(Clone, Debug, PartialEq)]
pub enum SlideMotion {
    /// A crank or eccentric, exactly.
    Crank(Crank),
    /// Any other drive, as read off its card or its control.
    Table(MotionTable),
}

impl SlideMotion {
    /// Slide height above BDC at a drive angle from BDC, in radians.
    pub fn height_at(&self, angle_rad: f64) -> Length {
        match self {
            Self::Crank(crank) => crank.height_at(angle_rad),
            Self::Table(table) => table.height_at(angle_rad),
        }
    }

    /// Drive angle before BDC at a slide height, in radians.
    pub fn angle_at(&self, height: Length) -> f64 {
        match self {
            Self::Crank(crank) => crank.angle_at(height),
            Self::Table(table) => table.angle_at(height),
        }
    }

    /// Slide travel per drive angle, in metres per radian.
    pub fn lever_at(&self, angle_rad: f64) -> Length {
        match self {
            Self::Crank(crank) => crank.lever_at(angle_rad),
            Self::Table(table) => table.lever_at(angle_rad),
        }
    }
}

/// Slide height over drive angle before BDC, joined by a smooth curve that neither overshoots nor
/// turns back between the rows.
///
/// Piecewise cubic. The slope at a row is that of the parabola through it and its neighbours, kept at
/// or below three times the smaller of the two neighbouring slopes, so that the curve stays monotone
/// (F. N. Fritsch, R. E. Carlson, "Monotone piecewise cubic interpolation", *SIAM Journal on Numerical
/// Analysis* 17 (1980); value from memory). At BDC it is zero, as the slide stands there. The
/// up-stroke is taken to mirror the down-stroke near BDC.
#[derive(Clone, Debug, PartialEq)]
pub struct MotionTable {
    rows: Vec<MotionRow>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct MotionRow {
    angle: f64,
    height: f64,
    slope: f64,
}

impl MotionTable {
    /// From rows of drive angle before BDC in radians and slide height, rising from BDC. The row of
    /// BDC itself may be left out.
    ///
    /// # Errors
    ///
    /// [`InputError::MotionNotRising`] if angles or heights do not both rise strictly from BDC, or
    /// there are fewer than two rows besides BDC.
    pub fn new(given: &[(f64, Length)]) -> Result<Self, InputError> {
        let mut points = vec![(0.0, 0.0)];
        for (index, &(angle, height)) in given.iter().enumerate() {
            let height = height.metres();
            if index == 0 && angle == 0.0 && height == 0.0 {
                continue;
            }
            let (last_angle, last_height) = points[points.len() - 1];
            if !(angle > last_angle && height > last_height) {
                return Err(InputError::MotionNotRising { row: index });
            }
            points.push((angle, height));
        }
        if points.len() < 3 {
            return Err(InputError::MotionNotRising { row: given.len() });
        }
        let steps: Vec<(f64, f64)> = points
            .windows(2)
            .map(|pair| (pair[1].0 - pair[0].0, (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0)))
            .collect();
        let rows = points
            .iter()
            .enumerate()
            .map(|(i, &(angle, height))| {
                let slope = match (i.checked_sub(1).map(|before| steps[before]), steps.get(i)) {
                    (None, _) => 0.0,
                    // At the top the slide comes to rest where it stands there, else it goes on as
                    // it came.
                    (Some((_, before)), None) if angle >= PI - 1e-9 => 0.0_f64.min(before),
                    (Some((_, before)), None) => before,
                    (Some((width_before, before)), Some(&(width_after, after))) => {
                        let parabola = (width_after * before + width_before * after)
                            / (width_before + width_after);
                        parabola.min(3.0 * before.min(after))
                    }
                };
                MotionRow { angle, height, slope }
            })
            .collect();
        Ok(Self { rows })
    }

    /// The largest height it knows.
    pub fn highest(&self) -> Length {
        Length::from_metres(self.rows.last().map_or(0.0, |row| row.height))
    }

    fn height_at(&self, angle_rad: f64) -> Length {
        Length::from_metres(self.at(angle_rad).0)
    }

    fn lever_at(&self, angle_rad: f64) -> Length {
        Length::from_metres(self.at(angle_rad).1.abs() * angle_rad.signum())
    }

    fn angle_at(&self, height: Length) -> f64 {
        let h = height.metres();
        let above = self.rows.partition_point(|row| row.height < h);
        let (Some(below), Some(next)) = (above.checked_sub(1), self.rows.get(above)) else {
            return if above == 0 { 0.0 } else { self.rows[self.rows.len() - 1].angle };
        };
        let (mut low, mut high) = (self.rows[below].angle, next.angle);
        // The curve rises within the piece; halving is exact enough in 60 steps at any width.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.at(middle).0 < h { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }

    /// Height and slope; beyond the last row the slide stands.
    fn at(&self, angle_rad: f64) -> (f64, f64) {
        let angle = angle_rad.abs();
        let above = self.rows.partition_point(|row| row.angle < angle).max(1);
        let (Some(to), from) = (self.rows.get(above), self.rows[above - 1]) else {
            return (self.rows[self.rows.len() - 1].height, 0.0);
        };
        let width = to.angle - from.angle;
        let s = (angle - from.angle) / width;
        let (rise, a, b) = (to.height - from.height, width * from.slope, width * to.slope);
        let (c2, c3) = (3.0 * rise - 2.0 * a - b, a + b - 2.0 * rise);
        let height = from.height + s * (a + s * (c2 + s * c3));
        (height, (a + s * (2.0 * c2 + 3.0 * s * c3)) / width)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn crank() -> Crank {
        let mm = Length::from_millimetres;
        Crank::new(mm(200.0), mm(900.0)).expect("the crank turns")
    }

    /// A crank's own motion read off every 5° comes back within 0.02 mm, and its speed within 1 %.
    #[test]
    fn table_of_a_crank_moves_like_the_crank() {
        let rows: Vec<(f64, Length)> = (1..=36)
            .map(|i| (5.0 * f64::from(i)).to_radians())
            .map(|angle| (angle, crank().height_at(angle)))
            .collect();
        let table = SlideMotion::Table(MotionTable::new(&rows).expect("a motion"));
        for degrees in [3.0_f64, 12.0, 33.0, 61.0, 77.5, 102.0, 141.0] {
            let angle = degrees.to_radians();
            let error = table.height_at(angle) - crank().height_at(angle);
            assert!(error.millimetres().abs() < 0.02, "{degrees}: {error:?}");
            assert_close(table.lever_at(angle).metres(), crank().lever_at(angle).metres(), 0.01);
        }
    }

    #[test]
    fn table_goes_through_its_rows_and_inverts() {
        let mm = Length::from_millimetres;
        let rows = [(0.2, mm(0.4)), (0.5, mm(5.0)), (1.0, mm(40.0)), (2.0, mm(60.0))];
        let table = MotionTable::new(&rows).expect("a motion");
        for (angle, height) in rows {
            assert_close(table.height_at(angle).millimetres(), height.millimetres(), 1e-12);
            assert_close(table.angle_at(height), angle, 1e-12);
        }
        for h in [0.01, 0.3, 1.0, 20.0, 59.0] {
            let angle = table.angle_at(mm(h));
            assert_close(table.height_at(angle).millimetres(), h, 1e-9);
        }
        assert_eq!(table.height_at(3.0), mm(60.0));
        assert_eq!(table.highest(), mm(60.0));
    }

    /// Between rows the slide never turns back.
    #[test]
    fn table_rises_everywhere() {
        let mm = Length::from_millimetres;
        let rows = [(0.1, mm(0.1)), (0.2, mm(30.0)), (0.3, mm(30.1)), (3.0, mm(80.0))];
        let table = MotionTable::new(&rows).expect("a motion");
        let heights: Vec<f64> =
            (0..=300).map(|i| table.height_at(0.01 * f64::from(i)).metres()).collect();
        assert!(heights.windows(2).all(|pair| pair[1] >= pair[0]));
    }

    #[test]
    fn table_rejects_rows_that_do_not_rise() {
        let mm = Length::from_millimetres;
        for (rows, row) in [
            (vec![], 0),
            (vec![(0.2, mm(1.0))], 1),
            (vec![(0.2, mm(1.0)), (0.2, mm(2.0))], 1),
            (vec![(0.2, mm(1.0)), (0.3, mm(1.0))], 1),
            (vec![(0.2, mm(1.0)), (0.3, mm(f64::NAN))], 1),
            (vec![(-0.2, mm(1.0)), (0.3, mm(2.0))], 0),
        ] {
            assert_eq!(MotionTable::new(&rows), Err(InputError::MotionNotRising { row }));
        }
    }
}
