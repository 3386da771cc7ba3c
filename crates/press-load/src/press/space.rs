//! Slots to clamp in and holes for slugs.

use crate::{Length, Point};

/// Which way slots run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SlotDirection {
    /// From left to right: they repeat from front to back.
    LeftRight,
    /// From front to back: they repeat from left to right.
    FrontBack,
}

/// T-slots side by side, evenly apart and symmetric about the press centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slots {
    /// Which way they run.
    pub direction: SlotDirection,
    /// Distance from slot to slot.
    pub pitch: Length,
    /// How many.
    pub count: u32,
}

impl Slots {
    /// Distance of each slot from the press centre, across the slots.
    pub fn offsets(&self) -> impl Iterator<Item = Length> {
        let (pitch, count) = (self.pitch, self.count);
        let first = -(f64::from(count) - 1.0) / 2.0;
        (0..count).map(move |i| pitch * (first + f64::from(i)))
    }

    /// Distance from a point to the nearest slot; nothing where there is none.
    pub fn distance_to(&self, point: Point) -> Option<Length> {
        let across = match self.direction {
            SlotDirection::LeftRight => point.y,
            SlotDirection::FrontBack => point.x,
        };
        let distances = self.offsets().map(|slot| (slot.metres() - across).abs());
        distances.min_by(f64::total_cmp).map(Length::from_metres)
    }
}

/// A rectangular hole in the bolster.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Its middle on the bolster.
    pub at: Point,
    /// Left to right.
    pub width: Length,
    /// Front to back.
    pub depth: Length,
}

impl Opening {
    /// Whether the rectangle from `low` to `high` lies within it.
    pub fn holds(&self, low: Point, high: Point) -> bool {
        let (half_width, half_depth) = (self.width.metres() / 2.0, self.depth.metres() / 2.0);
        // A slug as wide as its hole does not hang on a rounding error.
        let slack = 1e-9;
        low.x >= self.at.x - half_width - slack
            && high.x <= self.at.x + half_width + slack
            && low.y >= self.at.y - half_depth - slack
            && high.y <= self.at.y + half_depth + slack
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    #[test]
    fn slots_lie_symmetric_about_the_centre() {
        let mut slots = Slots {
            direction: SlotDirection::LeftRight,
            pitch: Length::from_millimetres(150.0),
            count: 4,
        };
        let offsets: Vec<f64> = slots.offsets().map(Length::millimetres).collect();
        for (offset, expected) in offsets.iter().zip([-225.0, -75.0, 75.0, 225.0]) {
            assert_close(*offset, expected, 1e-12);
        }
        let at = |slots: &Slots, x, y| slots.distance_to(Point::from_millimetres(x, y)).unwrap();
        assert_close(at(&slots, 999.0, 90.0).millimetres(), 15.0, 1e-9);
        slots.direction = SlotDirection::FrontBack;
        assert_close(at(&slots, 90.0, 999.0).millimetres(), 15.0, 1e-9);
        slots.count = 0;
        assert_eq!(slots.distance_to(Point::default()), None);
    }

    #[test]
    fn opening_holds_what_lies_inside() {
        let opening = Opening {
            at: Point::from_millimetres(100.0, 0.0),
            width: Length::from_millimetres(200.0),
            depth: Length::from_millimetres(100.0),
        };
        let p = Point::from_millimetres;
        assert!(opening.holds(p(0.0, -50.0), p(200.0, 50.0)));
        assert!(!opening.holds(p(-1.0, -50.0), p(200.0, 50.0)));
        assert!(!opening.holds(p(0.0, -50.0), p(200.0, 51.0)));
    }
}
