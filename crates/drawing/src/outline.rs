//! An outline as it leaves the drawing.

use crate::{geometry::Point, pen::Path};
use serde_json::{Map, Value};
use std::f64::consts::TAU;

/// Most points of a path in the job file.
pub const MOST_POINTS: usize = 50_000;

/// A line that was found in a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// The layer it lies on; empty where an SVG file names none.
    pub layer: String,
    /// Whether it comes back to its start.
    pub closed: bool,
    /// Corner points in millimetres; a closed outline does not repeat its first one.
    pub points: Vec<Point>,
    /// For each segment the tangent of a quarter of its arc's angle, counter-clockwise positive,
    /// zero where it is straight.
    pub bulges: Vec<f64>,
    /// Its length in millimetres.
    pub length_mm: f64,
    /// Centroid of the line, not of the area it encloses.
    pub centroid: Point,
}

impl Outline {
    /// The outline of a path: closed ones counter-clockwise from their leftmost point, open ones from
    /// the end farther left, so that it does not tell in which order it was drawn.
    pub(crate) fn new(path: Path, layer: String) -> Self {
        let Path { closed, mut points, mut bulges, .. } = path;
        if closed {
            if enclosed(&points, &bulges) < 0.0 {
                turn_round(&mut points, &mut bulges, true);
            }
            let mut first = 0;
            for (index, point) in points.iter().enumerate() {
                if comes_before(*point, points[first]) {
                    first = index;
                }
            }
            points.rotate_left(first);
            bulges.rotate_left(first);
        } else if comes_before(points[points.len() - 1], points[0]) {
            turn_round(&mut points, &mut bulges, false);
        }
        let mut outline =
            Self { layer, closed, points, bulges, length_mm: 0.0, centroid: Point::default() };
        let (mut length, mut x, mut y) = (0.0, 0.0, 0.0);
        // Seen from the first point: far from the origin the sums would lose digits.
        let origin = outline.points[0];
        for index in 0..outline.bulges.len() {
            let (l, c) = segment_length_and_centroid(outline.segment(index));
            length += l;
            x += l * (c.x - origin.x);
            y += l * (c.y - origin.y);
        }
        outline.length_mm = length;
        outline.centroid = Point::new(origin.x + x / length, origin.y + y / length);
        if let Some((centre, radius)) = outline.circle() {
            outline.length_mm = TAU * radius;
            outline.centroid = centre;
        }
        outline
    }

    fn segment(&self, index: usize) -> (Point, Point, f64) {
        (self.points[index], self.points[(index + 1) % self.points.len()], self.bulges[index])
    }

    /// How many lines and arcs it has; a circle is one.
    pub fn segments(&self) -> usize {
        if self.circle().is_some() { 1 } else { self.bulges.len() }
    }

    /// Centre and radius if it is a full circle, in however many arcs it was drawn.
    pub fn circle(&self) -> Option<(Point, f64)> {
        if !self.closed || self.bulges.contains(&0.0) {
            return None;
        }
        let turn: f64 = self.bulges.iter().map(|bulge| 4.0 * bulge.atan()).sum();
        if (turn.abs() - TAU).abs() > 1e-6 {
            return None;
        }
        let (centre, radius) = arc_circle(self.segment(0));
        let same = (1..self.bulges.len()).all(|index| {
            let (c, r) = arc_circle(self.segment(index));
            // A nanometre, or what is left of the digits of a large circle.
            let hair = 1e-6_f64.max(1e-9 * radius);
            c.distance(centre) <= hair && (r - radius).abs() <= hair
        });
        same.then_some((centre, radius))
    }

    /// Least and greatest x and y.
    pub fn extent(&self) -> (Point, Point) {
        let (mut low, mut high) = (self.points[0], self.points[0]);
        let mut reach = |point: Point| {
            low = Point::new(low.x.min(point.x), low.y.min(point.y));
            high = Point::new(high.x.max(point.x), high.y.max(point.y));
        };
        for index in 0..self.bulges.len() {
            let segment = self.segment(index);
            let (start, end, bulge) = segment;
            reach(end);
            if bulge != 0.0 {
                let (centre, radius) = arc_circle(segment);
                for direction in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
                    let tip = centre.displaced(Point::new(direction.0, direction.1), radius);
                    // An arc is what its circle has to the right of the chord, if it turns left.
                    if end.minus(start).cross(tip.minus(start)) * bulge < 0.0 {
                        reach(tip);
                    }
                }
            }
        }
        (low, high)
    }

    /// The outline as straight lines for a picture, from its first point on; arcs in steps of at
    /// most 15 degrees, which is within a hundredth of their radius.
    pub fn chords(&self) -> Vec<Point> {
        let mut chords = vec![self.points[0]];
        for index in 0..self.bulges.len() {
            let (start, end, bulge) = self.segment(index);
            let sweep = 4.0 * bulge.atan();
            let steps = (sweep.abs() / 15.0_f64.to_radians()).ceil();
            if steps > 1.0 {
                let (centre, _) = arc_circle((start, end, bulge));
                let arm = start.minus(centre);
                for step in 1..steps as u32 {
                    let (sin, cos) = (sweep * f64::from(step) / steps).sin_cos();
                    let turned = arm.turned_left();
                    chords.push(centre.displaced(arm, cos).displaced(turned, sin));
                }
            }
            chords.push(end);
        }
        chords
    }

    /// The outline in the form of the job file, about `origin`: `circle` where it is a full circle
    /// about that point, else `path`.
    ///
    /// With the centroid as origin, and its coordinates as `x_mm` and `y_mm` of the work item, a cut
    /// comes to lie where the drawing has it. Coordinates are rounded to a nanometre.
    ///
    /// # Errors
    ///
    /// What is wrong with it if it has more points than the job file takes ([`MOST_POINTS`]).
    pub fn to_job(&self, origin: Point) -> Result<Value, String> {
        if let Some((centre, radius)) = self.circle()
            && centre.distance(origin) <= 1e-6
        {
            let diameter = Value::from(rounded(2.0 * radius, 1e6));
            return Ok(only("circle", only("diameter_mm", diameter)));
        }
        if self.points.len() > MOST_POINTS {
            return Err(format!(
                "a path of the job file has at most {MOST_POINTS} points, this one {}",
                self.points.len()
            ));
        }
        // Put together by hand: what `json!` takes goes through all of serde.
        let mut points = Vec::with_capacity(self.points.len());
        for point in &self.points {
            let (x, y) = (rounded(point.x - origin.x, 1e6), rounded(point.y - origin.y, 1e6));
            points.push(Value::Array(vec![Value::from(x), Value::from(y)]));
        }
        let mut path = Map::new();
        path.insert("closed".to_owned(), Value::Bool(self.closed));
        path.insert("points".to_owned(), Value::Array(points));
        if self.bulges.iter().any(|bulge| *bulge != 0.0) {
            let mut bulges = Vec::with_capacity(self.bulges.len());
            for bulge in &self.bulges {
                bulges.push(Value::from(rounded(*bulge, 1e12)));
            }
            path.insert("bulges".to_owned(), Value::Array(bulges));
        }
        Ok(only("path", Value::Object(path)))
    }
}

/// An object with one field.
fn only(key: &str, value: Value) -> Value {
    let mut object = Map::new();
    object.insert(key.to_owned(), value);
    Value::Object(object)
}

/// `value` to a part of one; no negative zero.
fn rounded(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts + 0.0
}

fn comes_before(a: Point, b: Point) -> bool {
    a.x < b.x || a.x == b.x && a.y < b.y
}

/// The same line drawn the other way.
pub(crate) fn turn_round(points: &mut [Point], bulges: &mut [f64], closed: bool) {
    points.reverse();
    bulges.reverse();
    if closed {
        // The segment from the last point to the first one stays the last one.
        bulges.rotate_left(1);
    }
    for bulge in bulges {
        *bulge = -*bulge;
    }
}

/// Twice the area, positive counter-clockwise.
fn enclosed(points: &[Point], bulges: &[f64]) -> f64 {
    let origin = points[0];
    let mut doubled = 0.0;
    for (index, bulge) in bulges.iter().enumerate() {
        let (start, end) = (points[index], points[(index + 1) % points.len()]);
        doubled += start.minus(origin).cross(end.minus(origin));
        let (chord, sweep) = (start.distance(end), 4.0 * bulge.atan());
        if *bulge != 0.0 {
            let radius = chord * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
            doubled += radius * radius * (sweep - sweep.sin());
        }
    }
    doubled
}

/// Centre and radius of an arc.
fn arc_circle((start, end, bulge): (Point, Point, f64)) -> (Point, f64) {
    let chord = end.minus(start);
    let rise = (1.0 - bulge * bulge) / (4.0 * bulge);
    let radius = chord.length() * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
    (start.middle(end).displaced(chord.turned_left(), rise), radius)
}

/// The point halfway along a segment.
pub(crate) fn middle_of((start, end, bulge): (Point, Point, f64)) -> Point {
    // The rise of an arc is its bulge times half its chord, to the right where it turns left.
    start.middle(end).displaced(end.minus(start).turned_left(), -bulge / 2.0)
}

/// Length of a segment.
pub(crate) fn segment_length((start, end, bulge): (Point, Point, f64)) -> f64 {
    let chord = start.distance(end);
    if bulge == 0.0 {
        return chord;
    }
    chord * (1.0 + bulge * bulge) * bulge.abs().atan() / bulge.abs()
}

fn segment_length_and_centroid(segment: (Point, Point, f64)) -> (f64, Point) {
    let (start, end, bulge) = segment;
    let length = segment_length(segment);
    let half = 2.0 * bulge.abs().atan();
    // How far the centroid stands off the chord, in chords: the centroid of an arc lies at
    // r·sin(half)/half from its centre, its chord at r·cos(half).
    let off = if half < 1e-3 {
        // The difference above would drown in rounding; the first term of its series is a third of
        // the rise less, and the next one is a 10⁻⁶th of it.
        bulge.abs() / 3.0
    } else {
        (half.sin() / half - half.cos()) / (2.0 * half.sin())
    };
    (length, start.middle(end).displaced(end.minus(start).turned_left(), -off * bulge.signum()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, read};

    #[test]
    fn chords_of_a_circle_lie_on_it_and_come_back() {
        let svg = br#"<svg width="90mm" height="60mm" viewBox="0 0 90 60"><circle cx="30" cy="20" r="5"/></svg>"#;
        let drawing = read(svg, &Options::default()).expect("a circle");
        let chords = drawing.outlines[0].chords();
        assert!(chords.len() >= 25 && chords[0] == chords[chords.len() - 1]);
        let mut length = 0.0;
        for pair in chords.windows(2) {
            assert!((pair[0].distance(Point::new(30.0, -20.0)) - 5.0).abs() < 1e-9);
            length += pair[0].distance(pair[1]);
        }
        assert!((length / drawing.outlines[0].length_mm - 1.0).abs() < 0.01, "{length}");
    }
}
