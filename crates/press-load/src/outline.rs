//! The edge along which a tool works.

use crate::{InputError, Length, error::positive_length, geometry::Point};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// An outline in station coordinates.
#[derive(Clone, Debug, PartialEq)]
pub enum Outline {
    /// A circle about the origin.
    Circle {
        /// Its diameter.
        diameter: Length,
    },
    /// A rectangle about the origin.
    Rectangle {
        /// Left to right.
        width: Length,
        /// Front to back.
        depth: Length,
        /// Radius of all four corners, or zero.
        corner_radius: Length,
    },
    /// A slot about the origin, along x, with round ends.
    Slot {
        /// Length over all.
        length: Length,
        /// Width, the diameter of the ends.
        width: Length,
    },
    /// Straight segments and arcs from point to point.
    Path {
        /// Corner points in metres.
        points: Vec<Point>,
        /// For each segment the tangent of a quarter of its arc's angle, counter-clockwise
        /// positive, zero for a straight segment; empty if all are straight.
        bulges: Vec<f64>,
        /// Whether the last point is joined to the first.
        closed: bool,
    },
    /// Only the length is known; the force is taken to act at the origin.
    LengthOnly(Length),
}

/// A piece of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edge {
    /// A straight piece.
    Line {
        /// From.
        start: Point,
        /// To.
        end: Point,
    },
    /// A piece of a circle.
    Arc {
        /// Centre of the circle.
        centre: Point,
        /// Its radius in metres.
        radius: f64,
        /// Angle of the start seen from the centre, in radians from x.
        start_rad: f64,
        /// Angle to the end, counter-clockwise positive.
        sweep_rad: f64,
    },
}

/// From where to where edges reach along a direction.
pub(crate) fn extent_of(edges: &[Edge], direction: Point) -> (f64, f64) {
    edges
        .iter()
        .map(|edge| edge.extent_along(direction))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), (c, d)| (a.min(c), b.max(d)))
}

impl Outline {
    /// From where to where it reaches along a direction, in metres; from endless to minus endless where
    /// only its length is known.
    ///
    /// # Errors
    ///
    /// As [`Outline::edges`].
    pub fn extent_along(&self, direction: Point) -> Result<(f64, f64), InputError> {
        Ok(extent_of(&self.edges()?, direction))
    }

    /// The outline's pieces, one after the other.
    ///
    /// # Errors
    ///
    /// [`InputError`] if a dimension is not positive, a corner radius or slot does not fit, the
    /// bulges do not match the segments, or the path has no length.
    pub fn edges(&self) -> Result<Vec<Edge>, InputError> {
        match self {
            Self::Circle { diameter } => {
                let radius = positive_length("circle diameter", *diameter)?.metres() / 2.0;
                let centre = Point::default();
                Ok(vec![Edge::Arc { centre, radius, start_rad: 0.0, sweep_rad: TAU }])
            }
            Self::Rectangle { width, depth, corner_radius } => {
                positive_length("rectangle width", *width)?;
                positive_length("rectangle depth", *depth)?;
                let largest = width.min(*depth) / 2.0;
                if !(*corner_radius >= Length::ZERO && *corner_radius <= largest) {
                    return Err(InputError::CornerRadiusTooLarge {
                        radius: *corner_radius,
                        largest,
                    });
                }
                Ok(rounded_rectangle(width.metres(), depth.metres(), corner_radius.metres()))
            }
            Self::Slot { length, width } => {
                positive_length("slot width", *width)?;
                if !(length.metres() > width.metres()) || !length.metres().is_finite() {
                    return Err(InputError::SlotShorterThanWide { length: *length, width: *width });
                }
                Ok(rounded_rectangle(length.metres(), width.metres(), width.metres() / 2.0))
            }
            Self::Path { points, bulges, closed } => path_edges(points, bulges, *closed),
            Self::LengthOnly(length) => {
                positive_length("cut length", *length)?;
                Ok(Vec::new())
            }
        }
    }

    /// Whether it encloses a slug or blank.
    pub fn is_closed(&self) -> bool {
        match self {
            Self::Circle { .. } | Self::Rectangle { .. } | Self::Slot { .. } => true,
            Self::Path { closed, .. } => *closed,
            Self::LengthOnly(_) => false,
        }
    }

    /// Length of the cut edge.
    ///
    /// # Errors
    ///
    /// As [`Outline::edges`].
    pub fn length(&self) -> Result<Length, InputError> {
        match self {
            Self::LengthOnly(length) => positive_length("cut length", *length),
            _ => Ok(Length::from_metres(self.edges()?.iter().map(Edge::length).sum())),
        }
    }

    /// Centroid of the edge, not of the area it encloses.
    ///
    /// # Source
    ///
    /// Society of Manufacturing Engineers, *Fundamentals of Tool Design*, 6th ed., ch. 8, p. 223:
    /// length and centroid of each line and arc, `X = Σ(L·x)/ΣL`.
    ///
    /// # Errors
    ///
    /// As [`Outline::edges`].
    pub fn centroid(&self) -> Result<Point, InputError> {
        let edges = self.edges()?;
        let (mut length, mut x, mut y) = (0.0, 0.0, 0.0);
        for edge in &edges {
            let (l, c) = (edge.length(), edge.centroid());
            length += l;
            x += l * c.x;
            y += l * c.y;
        }
        if length > 0.0 { Ok(Point::new(x / length, y / length)) } else { Ok(Point::default()) }
    }
}

impl Edge {
    /// Its length in metres.
    pub fn length(&self) -> f64 {
        match *self {
            Self::Line { start, end } => start.distance(end),
            Self::Arc { radius, sweep_rad, .. } => radius * sweep_rad.abs(),
        }
    }

    /// Centroid of the line, which for an arc lies inside the bow.
    pub fn centroid(&self) -> Point {
        match *self {
            Self::Line { start, end } => start.towards_point(end, 0.5),
            Self::Arc { centre, radius, start_rad, sweep_rad } => {
                let half = sweep_rad.abs() / 2.0;
                let distance = if half > 0.0 { radius * half.sin() / half } else { radius };
                centre.displaced(Point::towards(start_rad + sweep_rad / 2.0), distance)
            }
        }
    }

    /// Smallest and largest position along a direction given as a unit vector.
    pub fn extent_along(&self, direction: Point) -> (f64, f64) {
        match *self {
            Self::Line { start, end } => {
                let (a, b) = (start.along(direction), end.along(direction));
                (a.min(b), a.max(b))
            }
            Self::Arc { centre, radius, start_rad, sweep_rad } => {
                let at = |angle: f64| {
                    centre.along(direction) + radius * Point::towards(angle).along(direction)
                };
                let (a, b) = (at(start_rad), at(start_rad + sweep_rad));
                let facing = direction.y.atan2(direction.x);
                let high = if arc_contains(start_rad, sweep_rad, facing) {
                    centre.along(direction) + radius
                } else {
                    a.max(b)
                };
                let low = if arc_contains(start_rad, sweep_rad, facing + PI) {
                    centre.along(direction) - radius
                } else {
                    a.min(b)
                };
                (low, high)
            }
        }
    }

    /// Points along the edge for drawing, the end included, no farther from it than `chord_error_m`.
    pub fn polyline(&self, chord_error_m: f64) -> Vec<Point> {
        match *self {
            Self::Line { start, end } => vec![start, end],
            Self::Arc { centre, radius, start_rad, sweep_rad } => {
                let step = 2.0 * (1.0 - (chord_error_m / radius).min(1.0)).acos();
                let count = (sweep_rad.abs() / step.max(0.02)).ceil().max(1.0);
                (0..=count as usize)
                    .map(|i| {
                        let angle = start_rad + sweep_rad * i as f64 / count;
                        centre.displaced(Point::towards(angle), radius)
                    })
                    .collect()
            }
        }
    }
}

/// Whether `angle` lies on the arc, its ends included.
pub(crate) fn arc_contains(start_rad: f64, sweep_rad: f64, angle: f64) -> bool {
    let (from, sweep) =
        if sweep_rad >= 0.0 { (start_rad, sweep_rad) } else { (start_rad + sweep_rad, -sweep_rad) };
    (angle - from).rem_euclid(TAU) <= sweep
}

fn rounded_rectangle(width: f64, depth: f64, radius: f64) -> Vec<Edge> {
    let (x, y) = (width / 2.0 - radius, depth / 2.0 - radius);
    let mut edges = Vec::with_capacity(8);
    // Counter-clockwise from the right side; each side is followed by its corner.
    let corners = [(x, y), (-x, y), (-x, -y), (x, -y)];
    for (side, &(cx, cy)) in corners.iter().enumerate() {
        let outward = Point::towards(side as f64 * FRAC_PI_2);
        let (px, py) = corners[(side + 3) % 4];
        let offset = |cx: f64, cy: f64| {
            Point::new(cx + radius * outward.x.round(), cy + radius * outward.y.round())
        };
        let (start, end) = (offset(px, py), offset(cx, cy));
        if start.distance(end) > 0.0 {
            edges.push(Edge::Line { start, end });
        }
        if radius > 0.0 {
            edges.push(Edge::Arc {
                centre: Point::new(cx, cy),
                radius,
                start_rad: side as f64 * FRAC_PI_2,
                sweep_rad: FRAC_PI_2,
            });
        }
    }
    edges
}

fn path_edges(points: &[Point], bulges: &[f64], closed: bool) -> Result<Vec<Edge>, InputError> {
    let segments = if closed { points.len() } else { points.len().saturating_sub(1) };
    if !bulges.is_empty() && bulges.len() != segments {
        return Err(InputError::BulgeCount { given: bulges.len(), segments });
    }
    let mut edges = Vec::with_capacity(segments);
    for i in 0..segments {
        let (start, end) = (points[i], points[(i + 1) % points.len()]);
        let chord = start.distance(end);
        if chord == 0.0 || !chord.is_finite() {
            continue;
        }
        let bulge = bulges.get(i).copied().unwrap_or(0.0);
        // Below this the arc's rise is under a nanometre per metre of chord, and its radius only
        // noise.
        if bulge.abs() < 1e-9 {
            edges.push(Edge::Line { start, end });
            continue;
        }
        let radius = chord * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
        let left = Point::new(-(end.y - start.y) / chord, (end.x - start.x) / chord);
        let rise = chord * (1.0 - bulge * bulge) / (4.0 * bulge);
        let centre = start.towards_point(end, 0.5).displaced(left, rise);
        edges.push(Edge::Arc {
            centre,
            radius,
            start_rad: (start.y - centre.y).atan2(start.x - centre.x),
            sweep_rad: 4.0 * bulge.atan(),
        });
    }
    if edges.is_empty() { Err(InputError::OutlineWithoutLength) } else { Ok(edges) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    #[test]
    fn circle_perimeter_is_pi_times_diameter() {
        let circle = Outline::Circle { diameter: mm(30.0) };
        assert_close(circle.length().unwrap().millimetres(), PI * 30.0, 1e-14);
    }

    #[test]
    fn rectangle_with_corner_radius_has_its_perimeter_and_centroid() {
        let rectangle =
            Outline::Rectangle { width: mm(40.0), depth: mm(20.0), corner_radius: mm(5.0) };
        let expected = 2.0 * (30.0 + 10.0) + PI * 10.0;
        assert_close(rectangle.length().unwrap().millimetres(), expected, 1e-13);
        let centroid = rectangle.centroid().unwrap();
        assert!(centroid.x.abs() < 1e-15 && centroid.y.abs() < 1e-15);
    }

    #[test]
    fn edges_of_closed_outlines_join_up() {
        let outlines = [
            Outline::Rectangle { width: mm(40.0), depth: mm(20.0), corner_radius: mm(5.0) },
            Outline::Rectangle { width: mm(40.0), depth: mm(20.0), corner_radius: mm(0.0) },
            Outline::Slot { length: mm(40.0), width: mm(12.0) },
        ];
        for outline in outlines {
            let edges = outline.edges().unwrap();
            for (edge, next) in edges.iter().zip(edges.iter().cycle().skip(1)) {
                let end = *edge.polyline(1e-5).last().unwrap();
                let start = next.polyline(1e-5)[0];
                assert!(end.distance(start) < 1e-15, "{outline:?}: {end:?} {start:?}");
            }
        }
    }

    #[test]
    fn half_circle_bulge_is_one_and_bows_to_the_right_of_the_chord() {
        let path = Outline::Path {
            points: vec![Point::new(0.0, 0.0), Point::new(2.0, 0.0)],
            bulges: vec![1.0],
            closed: false,
        };
        assert_close(path.length().unwrap().metres(), PI, 1e-14);
        // Counter-clockwise from left to right passes below the chord; centroid at 2r/π.
        let centroid = path.centroid().unwrap();
        assert_close(centroid.x, 1.0, 1e-14);
        assert_close(centroid.y, -2.0 / PI, 1e-14);
    }

    #[test]
    fn path_rejects_missing_bulges_and_no_length() {
        let points = vec![Point::new(0.0, 0.0), Point::new(1.0, 0.0), Point::new(1.0, 1.0)];
        let path = Outline::Path { points, bulges: vec![0.0], closed: true };
        assert_eq!(path.edges(), Err(InputError::BulgeCount { given: 1, segments: 3 }));
        let point =
            Outline::Path { points: vec![Point::default(); 3], bulges: vec![], closed: true };
        assert_eq!(point.edges(), Err(InputError::OutlineWithoutLength));
    }

    #[test]
    fn corner_radius_and_slot_must_fit() {
        let rectangle =
            Outline::Rectangle { width: mm(40.0), depth: mm(20.0), corner_radius: mm(11.0) };
        assert!(matches!(rectangle.edges(), Err(InputError::CornerRadiusTooLarge { .. })));
        let slot = Outline::Slot { length: mm(10.0), width: mm(12.0) };
        assert!(matches!(slot.edges(), Err(InputError::SlotShorterThanWide { .. })));
        let circle = Outline::Circle { diameter: mm(f64::NAN) };
        assert!(matches!(circle.edges(), Err(InputError::LengthNotPositive { .. })));
    }

    #[test]
    fn arc_extent_includes_its_bow() {
        let arc =
            Edge::Arc { centre: Point::default(), radius: 1.0, start_rad: -0.5, sweep_rad: 1.0 };
        let (low, high) = arc.extent_along(Point::new(1.0, 0.0));
        assert_close(high, 1.0, 1e-15);
        assert_close(low, 0.5_f64.cos(), 1e-15);
    }
}
