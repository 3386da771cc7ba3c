//! A force at one point as a piecewise linear function of slide height.

use crate::{
    Energy, Force, InputError, Length,
    geometry::Point,
    load::{KeyHeight, LoadSeries},
};

/// A force–height table at a point.
#[derive(Clone, Debug, PartialEq)]
pub struct PointLoad {
    at: Point,
    /// Falling heights in metres with the force there in newtons; a height that stands twice is a
    /// jump. Above the first and below the last row no force acts.
    rows: Vec<(f64, f64)>,
}

impl PointLoad {
    /// From rows of travel below `entry` and force, in rising travel; rows beyond BDC are cut off.
    pub(crate) fn from_travel(at: Point, entry: Length, rows: &[(f64, f64)]) -> Self {
        let heights: Vec<_> =
            rows.iter().map(|&(travel, f)| (entry.metres() - travel, f)).collect();
        Self::from_falling_rows(at, heights)
    }

    /// From a table of height and force, in either direction, at least two rows.
    ///
    /// # Errors
    ///
    /// [`InputError::TableNotOrdered`] if the heights do not run strictly in one direction,
    /// [`InputError::NegativeForce`] if a force is below zero.
    pub fn from_table(at: Point, rows: &[(Length, Force)]) -> Result<Self, InputError> {
        if let Some(&(_, force)) = rows.iter().find(|(_, force)| !(force.newtons() >= 0.0)) {
            return Err(InputError::NegativeForce(force));
        }
        let mut falling: Vec<_> = rows.iter().map(|(h, f)| (h.metres(), f.newtons())).collect();
        if falling.len() >= 2 && falling[0].0 < falling[1].0 {
            falling.reverse();
        }
        if falling.len() < 2 || falling.windows(2).any(|pair| !(pair[0].0 > pair[1].0)) {
            return Err(InputError::TableNotOrdered);
        }
        Ok(Self::from_falling_rows(at, falling))
    }

    fn from_falling_rows(at: Point, mut rows: Vec<(f64, f64)>) -> Self {
        if let Some(last_above) = rows.iter().rposition(|row| row.0 >= 0.0) {
            if let Some(&below) = rows.get(last_above + 1) {
                let above = rows[last_above];
                let part = above.0 / (above.0 - below.0);
                rows.truncate(last_above + 1);
                rows.push((0.0, above.1 + part * (below.1 - above.1)));
            }
        } else {
            rows.clear();
        }
        Self { at, rows }
    }

    /// Its points: falling heights in metres with the force there in newtons; a height that stands twice
    /// is a jump.
    pub fn rows(&self) -> &[(f64, f64)] {
        &self.rows
    }

    /// Force at a height in metres.
    pub fn force_at(&self, height: f64) -> f64 {
        let below = self.rows.partition_point(|row| row.0 > height);
        if below == 0 || below == self.rows.len() {
            // On the last row the force still acts; beyond it, or above the first, it does not.
            return match self.rows.get(below.wrapping_sub(usize::from(below > 0))) {
                Some(row) if row.0 == height => row.1,
                _ => 0.0,
            };
        }
        let ((h0, f0), (h1, f1)) = (self.rows[below - 1], self.rows[below]);
        f0 + (f1 - f0) * (h0 - height) / (h0 - h1)
    }

    /// Adds this load at each of the falling `heights`.
    pub(crate) fn add_to(&self, heights: &[f64], series: &mut LoadSeries) {
        let Some(first) = self.rows.first() else { return };
        let from = heights.partition_point(|&h| h > first.0);
        for (index, &height) in heights.iter().enumerate().skip(from) {
            let force = self.force_at(height);
            series.add_at(index, force, force * self.at.x, force * self.at.y);
        }
    }

    /// ∫F dh down to BDC.
    pub(crate) fn work(&self) -> Energy {
        let joules = self
            .rows
            .windows(2)
            .map(|pair| (pair[0].0 - pair[1].0) * (pair[0].1 + pair[1].1) / 2.0)
            .sum();
        Energy::from_joules(joules)
    }

    pub(crate) fn key_heights(&self) -> Vec<KeyHeight> {
        let last = self.rows.len().wrapping_sub(1);
        let jumps_at = |index: usize| {
            let (height, force) = self.rows[index];
            (index == 0 && force != 0.0)
                || (index == last && height > 0.0 && force != 0.0)
                || (index > 0 && self.rows[index - 1].0 == height)
                || (index < last && self.rows[index + 1].0 == height)
        };
        (0..self.rows.len())
            .map(|index| KeyHeight { height: self.rows[index].0, jump: jumps_at(index) })
            .collect()
    }

    /// Largest force of the table.
    pub fn peak(&self) -> Force {
        Force::from_newtons(self.rows.iter().map(|row| row.1).fold(0.0, f64::max))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn rows(table: &[(f64, f64)]) -> Vec<(Length, Force)> {
        table
            .iter()
            .map(|&(h, f)| (Length::from_millimetres(h), Force::from_kilonewtons(f)))
            .collect()
    }

    #[test]
    fn table_is_linear_between_rows_and_nothing_outside() {
        let load = PointLoad::from_table(
            Point::default(),
            &rows(&[(10.0, 0.0), (5.0, 40.0), (2.0, 40.0)]),
        )
        .unwrap();
        assert_close(load.force_at(7.5e-3), 20e3, 1e-12);
        assert_eq!(load.force_at(11e-3), 0.0);
        assert_eq!(load.force_at(1e-3), 0.0);
        assert_close(load.work().joules(), 100.0 + 120.0, 1e-12);
    }

    #[test]
    fn table_runs_in_either_direction() {
        let rising = PointLoad::from_table(Point::default(), &rows(&[(0.0, 8.0), (5.0, 1.0)]));
        let falling = PointLoad::from_table(Point::default(), &rows(&[(5.0, 1.0), (0.0, 8.0)]));
        assert_eq!(rising, falling);
        assert_eq!(rising.unwrap().force_at(0.0), 8e3);
    }

    #[test]
    fn table_rejects_disorder_and_pull() {
        let at = Point::default();
        let disorder = PointLoad::from_table(at, &rows(&[(5.0, 1.0), (2.0, 1.0), (3.0, 1.0)]));
        assert_eq!(disorder, Err(InputError::TableNotOrdered));
        assert_eq!(
            PointLoad::from_table(at, &rows(&[(5.0, 1.0)])),
            Err(InputError::TableNotOrdered)
        );
        let pull = PointLoad::from_table(at, &rows(&[(5.0, 1.0), (2.0, -1.0)]));
        assert_eq!(pull, Err(InputError::NegativeForce(Force::from_kilonewtons(-1.0))));
    }

    #[test]
    fn travel_beyond_bdc_is_cut_off_by_interpolation() {
        let load = PointLoad::from_travel(
            Point::default(),
            Length::from_millimetres(4.0),
            &[(0.0, 0.0), (8e-3, 80.0)],
        );
        assert_close(load.force_at(0.0), 40.0, 1e-12);
        assert_close(load.work().joules(), 0.5 * 4e-3 * 40.0, 1e-12);
    }
}
