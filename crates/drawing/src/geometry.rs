//! Points and affine maps in the plane of the drawing.

/// A point, or a displacement, in millimetres: x to the right, y to the back.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// To the back.
    pub y: f64,
}

impl Point {
    /// From millimetres.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Distance from `other`.
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    /// Halfway to `other`.
    pub(crate) fn middle(self, other: Self) -> Self {
        Self::new(f64::midpoint(self.x, other.x), f64::midpoint(self.y, other.y))
    }

    pub(crate) fn minus(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }

    /// This point displaced by `length` times `direction`.
    pub(crate) fn displaced(self, direction: Self, length: f64) -> Self {
        Self::new(self.x + length * direction.x, self.y + length * direction.y)
    }

    pub(crate) fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// Twice the area of the triangle with `other`, positive counter-clockwise.
    pub(crate) fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    pub(crate) fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    /// A quarter turn counter-clockwise.
    pub(crate) const fn turned_left(self) -> Self {
        Self::new(-self.y, self.x)
    }
}

/// Where a point of a block or a group comes to lie: two axes and a shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Affine {
    /// Image of the unit step along x.
    pub x_axis: Point,
    /// Image of the unit step along y.
    pub y_axis: Point,
    /// Image of the origin.
    pub shift: Point,
}

impl Affine {
    pub const fn scale(x: f64, y: f64) -> Self {
        Self { x_axis: Point::new(x, 0.0), y_axis: Point::new(0.0, y), shift: Point::new(0.0, 0.0) }
    }

    pub const fn shift(by: Point) -> Self {
        Self { shift: by, ..Self::scale(1.0, 1.0) }
    }

    /// A turn counter-clockwise; quarter turns are exact.
    pub fn turn_deg(angle: f64) -> Self {
        let reduced = angle.rem_euclid(360.0);
        let (sin, cos) = if reduced % 90.0 == 0.0 {
            let quarter = [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)];
            quarter[(reduced / 90.0) as usize % 4]
        } else {
            reduced.to_radians().sin_cos()
        };
        let x_axis = Point::new(cos, sin);
        Self { x_axis, y_axis: x_axis.turned_left(), shift: Point::new(0.0, 0.0) }
    }

    pub fn apply(&self, point: Point) -> Point {
        let turned = self.turn(point);
        Point::new(turned.x + self.shift.x, turned.y + self.shift.y)
    }

    /// A displacement, which is turned and scaled but not shifted.
    pub fn turn(&self, displacement: Point) -> Point {
        Point::new(
            self.x_axis.x * displacement.x + self.y_axis.x * displacement.y,
            self.x_axis.y * displacement.x + self.y_axis.y * displacement.y,
        )
    }

    /// The map that applies `inner` first and then this one.
    pub fn after(&self, inner: &Self) -> Self {
        Self {
            x_axis: self.turn(inner.x_axis),
            y_axis: self.turn(inner.y_axis),
            shift: self.apply(inner.shift),
        }
    }

    /// Area of the image of the unit square, negative where the map mirrors.
    pub fn determinant(&self) -> f64 {
        self.x_axis.cross(self.y_axis)
    }

    /// Whether circles stay circles.
    pub fn keeps_circles(&self) -> bool {
        are_radii(self.x_axis, self.y_axis)
    }
}

/// Whether two conjugate half-diameters are those of a circle.
///
/// One part in 10⁹ is below what drawings are written with, and a ten-thousandth of a millimetre on
/// the largest die.
pub(crate) fn are_radii(u: Point, v: Point) -> bool {
    let (a, b) = (u.dot(u), v.dot(v));
    (a - b).abs() <= 1e-9 * a && u.dot(v).abs() <= 1e-9 * a && a > 0.0
}
