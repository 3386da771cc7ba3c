//! Points and motions in the plane of the bolster.
//!
//! Seen from above, operator at the front: x to the right, y to the back, angles counter-clockwise
//! from x. Coordinates are in metres.

/// A point, or a displacement, in metres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// To the back.
    pub y: f64,
}

impl Point {
    /// From metres.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// From millimetres.
    pub const fn from_millimetres(x: f64, y: f64) -> Self {
        Self { x: x * 1e-3, y: y * 1e-3 }
    }

    /// The unit vector at `angle_rad`.
    pub fn towards(angle_rad: f64) -> Self {
        Self { x: angle_rad.cos(), y: angle_rad.sin() }
    }

    /// Position along a direction given as a unit vector.
    pub fn along(self, direction: Self) -> f64 {
        self.x * direction.x + self.y * direction.y
    }

    /// Distance from `other`.
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    /// The point at part `s` of the way to `other`.
    pub fn towards_point(self, other: Self, s: f64) -> Self {
        Self { x: self.x + s * (other.x - self.x), y: self.y + s * (other.y - self.y) }
    }

    /// This point displaced by `length` along `direction`.
    pub fn displaced(self, direction: Self, length: f64) -> Self {
        Self { x: self.x + length * direction.x, y: self.y + length * direction.y }
    }
}

/// A turn followed by a shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Shift after the turn.
    pub shift: Point,
    /// Turn about the origin, counter-clockwise, in radians.
    pub turn_rad: f64,
    turned: Point,
}

impl Motion {
    /// No motion at all.
    pub const NONE: Self =
        Self { shift: Point::new(0.0, 0.0), turn_rad: 0.0, turned: Point::new(1.0, 0.0) };

    /// A turn by `turn_deg` degrees, counter-clockwise, and then a shift.
    ///
    /// Quarter turns are exact, so that turning by 360° changes nothing.
    pub fn new(shift: Point, turn_deg: f64) -> Self {
        let reduced = turn_deg.rem_euclid(360.0);
        let turned = if reduced == 0.0 {
            Point::new(1.0, 0.0)
        } else if reduced == 90.0 {
            Point::new(0.0, 1.0)
        } else if reduced == 180.0 {
            Point::new(-1.0, 0.0)
        } else if reduced == 270.0 {
            Point::new(0.0, -1.0)
        } else {
            Point::towards(reduced.to_radians())
        };
        Self { shift, turn_rad: reduced.to_radians(), turned }
    }

    /// Where `point` comes to lie.
    pub fn apply(&self, point: Point) -> Point {
        let turned = self.turn(point);
        Point::new(turned.x + self.shift.x, turned.y + self.shift.y)
    }

    /// What comes to lie at `place`.
    pub fn apply_back(&self, place: Point) -> Point {
        self.turn_back(Point::new(place.x - self.shift.x, place.y - self.shift.y))
    }

    /// `displacement` turned but not shifted.
    pub fn turn(&self, displacement: Point) -> Point {
        let (cos, sin) = (self.turned.x, self.turned.y);
        Point::new(
            cos * displacement.x - sin * displacement.y,
            sin * displacement.x + cos * displacement.y,
        )
    }

    /// `displacement` turned the other way round, not shifted.
    pub fn turn_back(&self, displacement: Point) -> Point {
        let (cos, sin) = (self.turned.x, self.turned.y);
        Point::new(
            cos * displacement.x + sin * displacement.y,
            cos * displacement.y - sin * displacement.x,
        )
    }

    /// This motion followed by `next`.
    pub fn then(&self, next: &Self) -> Self {
        Self {
            shift: next.apply(self.shift),
            turn_rad: self.turn_rad + next.turn_rad,
            turned: next.turn(self.turned),
        }
    }
}
