//! Loads beside the middle of the press.

use crate::{Force, InputError, Length, Moment, order};

/// What the maker allows beside the middle in one direction.
#[derive(Clone, Debug, PartialEq)]
pub enum AxisRating {
    /// A largest moment, force times distance.
    Moment(Moment),
    /// Allowed force over distance from the middle.
    Table(AxisTable),
    /// Both; the stricter counts.
    Both(Moment, AxisTable),
}

/// Allowed force over distance from the middle, rising distance.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisTable(Vec<(Length, Force)>);

impl AxisTable {
    /// From rows of distance and allowed force.
    ///
    /// # Errors
    ///
    /// [`InputError::TableNotOrdered`] if distances do not rise strictly from zero or more,
    /// [`InputError::NegativeForce`] for a negative force.
    pub fn new(rows: Vec<(Length, Force)>) -> Result<Self, InputError> {
        if let Some(&(_, force)) = rows.iter().find(|(_, force)| !(*force >= Force::ZERO)) {
            return Err(InputError::NegativeForce(force));
        }
        let ordered = rows.windows(2).all(|pair| pair[1].0 > pair[0].0);
        if rows.len() < 2 || !ordered || !(rows[0].0 >= Length::ZERO) {
            return Err(InputError::TableNotOrdered);
        }
        Ok(Self(rows))
    }

    /// Its rows of distance and allowed force.
    pub fn rows(&self) -> &[(Length, Force)] {
        &self.0
    }

    /// Allowed force at a distance: linear between rows, the first row's force nearer to the
    /// middle, and nothing beyond the last row.
    pub fn allowed_at(&self, distance: Length) -> Force {
        let distance = distance.abs();
        let above = self.0.partition_point(|row| row.0 < distance);
        match (above.checked_sub(1).map(|below| self.0[below]), self.0.get(above)) {
            (None, Some(first)) => first.1,
            (Some((x0, f0)), Some(&(x1, f1))) => f0 + (f1 - f0) * ((distance - x0) / (x1 - x0)),
            (_, None) => Force::ZERO,
        }
    }
}

impl AxisTable {
    /// The farthest distance up to which at least `force` is allowed everywhere; nothing where it is
    /// not even in the middle.
    fn reach_of(&self, force: Force) -> Option<Length> {
        let Some(too_far) = self.0.iter().position(|row| row.1 < force) else {
            return self.0.last().map(|row| row.0);
        };
        let (x0, f0) = self.0[too_far.checked_sub(1)?];
        let (x1, f1) = self.0[too_far];
        Some(x0 + (x1 - x0) * ((f0 - force) / (f0 - f1)))
    }
}

/// Allowed force over the left–right length of the die, rising length: the press's own chart for
/// concentrated loads.
#[derive(Clone, Debug, PartialEq)]
pub struct DieLengthTable(Vec<(Length, Force)>);

impl DieLengthTable {
    /// From rows of die length and allowed force.
    ///
    /// # Errors
    ///
    /// [`InputError::TableNotOrdered`] if lengths do not rise strictly from above zero,
    /// [`InputError::NegativeForce`] for a negative force.
    pub fn new(rows: Vec<(Length, Force)>) -> Result<Self, InputError> {
        if let Some(&(_, force)) = rows.iter().find(|(_, force)| !(*force >= Force::ZERO)) {
            return Err(InputError::NegativeForce(force));
        }
        let ordered = rows.windows(2).all(|pair| pair[1].0 > pair[0].0);
        if rows.is_empty() || !ordered || !rows[0].0.is_positive() {
            return Err(InputError::TableNotOrdered);
        }
        Ok(Self(rows))
    }

    /// Its rows of die length and allowed force.
    pub fn rows(&self) -> &[(Length, Force)] {
        &self.0
    }

    /// Allowed force for a die of `length`: linear between rows, the last row's force for longer dies,
    /// pro rata to length below the first row (our own form, which lets a die without length have no
    /// force).
    pub fn allowed_for(&self, length: Length) -> Force {
        let above = self.0.partition_point(|row| row.0 < length);
        match (above.checked_sub(1).map(|below| self.0[below]), self.0.get(above)) {
            (None, Some(&(first, force))) => force * (length / first).max(0.0),
            (Some((l0, f0)), Some(&(l1, f1))) => f0 + (f1 - f0) * ((length - l0) / (l1 - l0)),
            (Some((_, force)), None) => force,
            (None, None) => Force::ZERO,
        }
    }
}

impl AxisRating {
    /// How much of the rating is used by `force` acting at `offset`: share, demand, limit.
    pub fn use_of(&self, force: Force, offset: Length) -> RatingUse {
        let by_moment = |rating: Moment| {
            let moment = force.moment_at(offset.abs());
            RatingUse::Moment { share: moment / rating, demand: moment, limit: rating }
        };
        let by_table = |table: &AxisTable| {
            let allowed = table.allowed_at(offset);
            let share = if force <= Force::ZERO { 0.0 } else { force / allowed };
            RatingUse::Force { share, demand: force, limit: allowed }
        };
        match self {
            Self::Moment(rating) => by_moment(*rating),
            Self::Table(table) => by_table(table),
            Self::Both(rating, table) => {
                let (moment, force) = (by_moment(*rating), by_table(table));
                if order::is_greater(force.share(), moment.share()) { force } else { moment }
            }
        }
    }
}

impl AxisRating {
    /// How far from the middle `force` may act for no more than `share` of the rating to be used
    /// there or nearer; nothing where it is more even in the middle. In a table that allows more
    /// farther out again only the part before that counts.
    pub fn reach_of(&self, force: Force, share: f64) -> Option<Length> {
        let by_moment =
            |rating: Moment| Length::from_metres(share * rating.newton_metres() / force.newtons());
        let by_table = |table: &AxisTable| table.reach_of(force / share);
        match self {
            Self::Moment(rating) => Some(by_moment(*rating)),
            Self::Table(table) => by_table(table),
            Self::Both(rating, table) => Some(by_moment(*rating).min(by_table(table)?)),
        }
    }
}

/// How much of an off-centre rating is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RatingUse {
    /// Against a moment rating.
    Moment {
        /// Demand over limit.
        share: f64,
        /// Moment that acts.
        demand: Moment,
        /// Moment allowed.
        limit: Moment,
    },
    /// Against a table of forces.
    Force {
        /// Demand over limit.
        share: f64,
        /// Force that acts.
        demand: Force,
        /// Force allowed at that distance.
        limit: Force,
    },
}

impl RatingUse {
    /// Demand over limit.
    pub const fn share(&self) -> f64 {
        match *self {
            Self::Moment { share, .. } | Self::Force { share, .. } => share,
        }
    }
}

/// The connections between drive and slide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Suspension {
    /// One in the middle.
    OnePoint,
    /// Two, left and right.
    TwoPoint {
        /// Distance between them.
        span_x: Length,
    },
    /// Four.
    FourPoint {
        /// Left to right.
        span_x: Length,
        /// Front to back.
        span_y: Length,
    },
}

impl Suspension {
    /// How many points.
    pub const fn points(self) -> u32 {
        match self {
            Self::OnePoint => 1,
            Self::TwoPoint { .. } => 2,
            Self::FourPoint { .. } => 4,
        }
    }

    /// Parts of a force at `(x, y)` carried by the most and the least loaded point.
    ///
    /// Rigid slide: two points carry `½ ± x/span`, four points the product of the parts in both
    /// directions.
    pub fn parts(self, x: Length, y: Length) -> (f64, f64) {
        let halves = |offset: Length, span: Length| {
            let shift = (offset / span).abs();
            (0.5 + shift, 0.5 - shift)
        };
        match self {
            Self::OnePoint => (1.0, 1.0),
            Self::TwoPoint { span_x } => halves(x, span_x),
            Self::FourPoint { span_x, span_y } => {
                let ((most_x, least_x), (most_y, least_y)) = (halves(x, span_x), halves(y, span_y));
                let least = (least_x * least_y).min(least_x * most_y).min(most_x * least_y);
                (most_x * most_y, least)
            }
        }
    }
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
    fn two_points_share_by_the_lever() {
        let (most, least) = Suspension::TwoPoint { span_x: mm(900.0) }.parts(mm(-225.0), mm(50.0));
        assert_close(most, 0.75, 1e-15);
        assert_close(least, 0.25, 1e-15);
    }

    #[test]
    fn four_points_share_in_both_directions_and_a_corner_may_lift() {
        let four = Suspension::FourPoint { span_x: mm(1000.0), span_y: mm(600.0) };
        assert_eq!(four.parts(mm(0.0), mm(0.0)), (0.25, 0.25));
        let (most, least) = four.parts(mm(600.0), mm(0.0));
        assert_close(most, 0.55, 1e-15);
        assert!(least < 0.0);
    }

    #[test]
    fn table_forbids_what_lies_beyond_it() {
        let table = AxisTable::new(vec![(mm(0.0), kn(1600.0)), (mm(200.0), kn(800.0))]).unwrap();
        assert_close(table.allowed_at(mm(-100.0)).kilonewtons(), 1200.0, 1e-12);
        assert_eq!(table.allowed_at(mm(201.0)), Force::ZERO);
        let used = AxisRating::Table(table).use_of(kn(600.0), mm(100.0));
        assert_close(used.share(), 0.5, 1e-12);
        assert!(AxisTable::new(vec![(mm(0.0), kn(1.0))]).is_err());
        assert!(AxisTable::new(vec![(mm(0.0), kn(1.0)), (mm(1.0), kn(-1.0))]).is_err());
    }

    #[test]
    fn die_length_table_is_pro_rata_below_and_flat_above_its_rows() {
        let table =
            DieLengthTable::new(vec![(mm(400.0), kn(500.0)), (mm(800.0), kn(1600.0))]).unwrap();
        for (length, force) in
            [(0.0, 0.0), (200.0, 250.0), (400.0, 500.0), (600.0, 1050.0), (900.0, 1600.0)]
        {
            assert_close(table.allowed_for(mm(length)).kilonewtons(), force, 1e-12);
        }
        assert!(DieLengthTable::new(vec![]).is_err());
        assert!(DieLengthTable::new(vec![(mm(0.0), kn(1.0))]).is_err());
        assert!(DieLengthTable::new(vec![(mm(9.0), kn(1.0)), (mm(9.0), kn(2.0))]).is_err());
        assert!(DieLengthTable::new(vec![(mm(9.0), kn(-1.0))]).is_err());
    }

    /// At its reach a rating is used by just the share that was asked for.
    #[test]
    fn reach_of_a_force_is_where_its_share_is_used() {
        let rows = vec![(mm(50.0), kn(1600.0)), (mm(200.0), kn(800.0)), (mm(300.0), kn(0.0))];
        let table = AxisTable::new(rows).unwrap();
        let moment = Moment::from_kilonewton_metres(60.0);
        for rating in [
            AxisRating::Moment(moment),
            AxisRating::Table(table.clone()),
            AxisRating::Both(moment, table),
        ] {
            for (force, share) in [(300.0, 0.5), (700.0, 0.9), (900.0, 0.7), (900.0, 2.0)] {
                let reach = rating.reach_of(kn(force), share).unwrap();
                assert_close(rating.use_of(kn(force), reach).share(), share, 1e-12);
            }
        }
        let table = AxisTable::new(vec![(mm(0.0), kn(100.0)), (mm(9.0), kn(100.0))]).unwrap();
        let rating = AxisRating::Table(table);
        assert_eq!(rating.reach_of(kn(101.0), 1.0), None);
        assert_eq!(rating.reach_of(kn(99.0), 1.0), Some(mm(9.0)));
    }

    #[test]
    fn of_two_ratings_the_stricter_counts() {
        let table = AxisTable::new(vec![(mm(0.0), kn(1600.0)), (mm(200.0), kn(800.0))]).unwrap();
        let both = AxisRating::Both(Moment::from_kilonewton_metres(30.0), table);
        assert_close(both.use_of(kn(600.0), mm(100.0)).share(), 2.0, 1e-12);
    }
}
