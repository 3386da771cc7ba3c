//! Smooth curves as arcs and lines that keep within a given distance of them.
//!
//! Every curve of both file formats is a chain of rational Bézier curves: a B-spline after blossoming,
//! an ellipse in quarters, a Bézier curve as it is. Affine maps act on their control points, and their
//! convex hull makes bounds that hold everywhere and not only where one looks:
//!
//! - A curve lies in the hull of its control points, so it is no farther from its chord than they are.
//! - `|P(t) − C|² − R²` times the square of the denominator is again a Bézier curve, of twice the
//!   degree, so its coefficients bound how far the curve is from the circle about C.
//!
//! # Source
//!
//! Blossoms and the convex hull: L. Ramshaw, *Blossoms are polar forms*, Computer Aided Geometric
//! Design 6 (1989); products of Bernstein polynomials: R. T. Farouki and V. T. Rajan, *Algorithms for
//! polynomials in Bernstein form*, Computer Aided Geometric Design 5 (1988). Both from memory.

use crate::geometry::{Affine, Point};

/// A control point in homogeneous coordinates: x and y are already multiplied by the weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Control {
    pub x: f64,
    pub y: f64,
    pub w: f64,
}

/// Highest degree that is read; drawings hold 3, seldom 5.
pub(crate) const HIGHEST_DEGREE: usize = 24;

/// Halvings after which a piece counts as straight, whatever its bound says.
///
/// A piece is then a 10⁻⁷th of the curve; only curves with wild weights get here.
const MOST_HALVINGS: u32 = 24;

impl Control {
    pub fn new(point: Point, w: f64) -> Self {
        Self { x: point.x * w, y: point.y * w, w }
    }

    pub fn point(self) -> Point {
        Point::new(self.x / self.w, self.y / self.w)
    }

    pub fn mapped(self, map: &Affine) -> Self {
        Self {
            x: map.x_axis.x * self.x + map.y_axis.x * self.y + map.shift.x * self.w,
            y: map.x_axis.y * self.x + map.y_axis.y * self.y + map.shift.y * self.w,
            w: self.w,
        }
    }

    /// The control point at part `s` of the way to `other`.
    fn between(self, other: Self, s: f64) -> Self {
        Self {
            x: self.x + s * (other.x - self.x),
            y: self.y + s * (other.y - self.y),
            w: self.w + s * (other.w - self.w),
        }
    }
}

/// A piece of the answer, from where the last one ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Piece {
    pub end: Point,
    /// Tangent of a quarter of the arc's angle, zero for a straight piece.
    pub bulge: f64,
    /// No point of the curve is farther from the piece than this, in millimetres.
    pub deviation: f64,
}

/// Lays arcs and lines along a rational Bézier curve, no farther from it than `chord_error`.
///
/// `put` takes the pieces in turn and may stop by an error.
pub(crate) fn fit<E>(
    curve: &[Control],
    chord_error: f64,
    put: &mut dyn FnMut(Piece) -> Result<(), E>,
) -> Result<(), E> {
    let mut waiting: Vec<(Vec<Control>, u32)> = vec![(curve.to_vec(), 0)];
    while let Some((piece, halvings)) = waiting.pop() {
        let points: Vec<Point> = piece.iter().map(|control| control.point()).collect();
        let end = points[points.len() - 1];
        let straight = distance_from_chord(&points);
        // What is straight but for rounding gains nothing from an arc.
        if straight <= 1e-3 * chord_error {
            put(Piece { end, bulge: 0.0, deviation: straight })?;
            continue;
        }
        let (first, second) = halves(&piece);
        if let Some(arc) = arc_through(&piece, &points, second[0].point(), chord_error) {
            put(arc)?;
        } else if straight <= chord_error || halvings >= MOST_HALVINGS {
            put(Piece { end, bulge: 0.0, deviation: straight })?;
        } else {
            waiting.push((second, halvings + 1));
            waiting.push((first, halvings + 1));
        }
    }
    Ok(())
}

/// How far the hull reaches from the chord between the ends.
fn distance_from_chord(points: &[Point]) -> f64 {
    let start = points[0];
    let chord = points[points.len() - 1].minus(start);
    let square = chord.dot(chord);
    let mut farthest = 0.0_f64;
    for point in points {
        let from_start = point.minus(start);
        let s = if square > 0.0 { (from_start.dot(chord) / square).clamp(0.0, 1.0) } else { 0.0 };
        farthest = farthest.max(from_start.minus(Point::default().displaced(chord, s)).length());
    }
    farthest
}

/// The halves of a curve, by de Casteljau's construction.
fn halves(curve: &[Control]) -> (Vec<Control>, Vec<Control>) {
    let mut row = curve.to_vec();
    let mut first = Vec::with_capacity(curve.len());
    let mut second = Vec::with_capacity(curve.len());
    for last in (0..curve.len()).rev() {
        first.push(row[0]);
        second.push(row[last]);
        for i in 0..last {
            row[i] = row[i].between(row[i + 1], 0.5);
        }
    }
    second.reverse();
    (first, second)
}

/// The arc through the ends and the middle, if the curve keeps within `chord_error` of it.
fn arc_through(
    curve: &[Control],
    points: &[Point],
    middle: Point,
    chord_error: f64,
) -> Option<Piece> {
    let (start, end) = (points[0], points[points.len() - 1]);
    let (to_middle, to_end) = (middle.minus(start), end.minus(start));
    let doubled = 2.0 * to_middle.cross(to_end);
    if doubled == 0.0 {
        return None;
    }
    let (m, e) = (to_middle.dot(to_middle), to_end.dot(to_end));
    let centre = Point::new(
        start.x + (m * to_end.y - e * to_middle.y) / doubled,
        start.y + (e * to_middle.x - m * to_end.x) / doubled,
    );
    let (from, to) = (start.minus(centre), end.minus(centre));
    let radius = from.length();
    let side = doubled.signum();
    // At most a third of a turn, so that the wedge below is convex and the half it opens to is clear.
    if !radius.is_finite() || from.dot(to) < -0.5 * radius * radius || from.cross(to) * side <= 0.0
    {
        return None;
    }
    // With all control points in the wedge of the arc, so is the curve; being continuous it passes
    // every angle, and what bounds its distance from the circle bounds the arc's from it, too.
    let hair = 1e-9 * radius * radius;
    for point in points {
        let ray = point.minus(centre);
        if from.cross(ray) * side < -hair || ray.cross(to) * side < -hair {
            return None;
        }
    }
    let spread = distance_of_squares(curve, centre, radius);
    let least = (radius * radius - spread).max(0.0).sqrt();
    let deviation = spread / (radius + least);
    let sweep = from.cross(to).atan2(from.dot(to));
    (deviation <= chord_error).then(|| Piece { end, bulge: (sweep / 4.0).tan(), deviation })
}

/// Bound of `| |P − centre|² − radius² |` over the curve.
fn distance_of_squares(curve: &[Control], centre: Point, radius: f64) -> f64 {
    let degree = curve.len() - 1;
    let from_centre: Vec<Control> = curve
        .iter()
        .map(|c| Control { x: c.x - centre.x * c.w, y: c.y - centre.y * c.w, w: c.w * radius })
        .collect();
    let least_weight = curve.iter().map(|control| control.w).fold(f64::INFINITY, f64::min);
    let once = binomials(degree);
    let twice = binomials(2 * degree);
    let mut largest = 0.0_f64;
    for (k, whole) in twice.iter().enumerate() {
        let mut coefficient = 0.0;
        for i in k.saturating_sub(degree)..=k.min(degree) {
            let (a, b) = (from_centre[i], from_centre[k - i]);
            coefficient += once[i] * once[k - i] * (a.x * b.x + a.y * b.y - a.w * b.w);
        }
        largest = largest.max((coefficient / whole).abs());
    }
    largest / (least_weight * least_weight)
}

fn binomials(n: usize) -> Vec<f64> {
    let mut row = vec![1.0; n + 1];
    for k in 1..n {
        row[k] = row[k - 1] * (n + 1 - k) as f64 / k as f64;
    }
    row
}

/// Part of an ellipse `centre + u cos t + v sin t` from `start_rad` over `sweep_rad`, exactly, as
/// rational curves of degree 2 of at most a quarter each.
pub(crate) fn ellipse(
    centre: Point,
    u: Point,
    v: Point,
    start_rad: f64,
    sweep_rad: f64,
) -> Vec<[Control; 3]> {
    let count = (sweep_rad.abs() / std::f64::consts::FRAC_PI_2 - 1e-9).ceil().max(1.0);
    let half = sweep_rad / count / 2.0;
    let weight = half.cos();
    let at = |angle: f64, stretch: f64| {
        centre.displaced(u, angle.cos() * stretch).displaced(v, angle.sin() * stretch)
    };
    (0..count as usize)
        .map(|i| {
            let angle = start_rad + half * (2 * i + 1) as f64;
            [
                Control::new(at(angle - half, 1.0), 1.0),
                Control::new(at(angle, 1.0 / weight), weight),
                Control::new(at(angle + half, 1.0), 1.0),
            ]
        })
        .collect()
}

/// The Bézier curves of a B-spline, one after the other, of `degree` + 1 control points each.
///
/// Knots must not fall, and there must be one for each control point and `degree` + 1 more.
pub(crate) fn bezier_pieces(degree: usize, knots: &[f64], controls: &[Control]) -> Vec<Control> {
    let mut pieces = Vec::new();
    for span in degree..controls.len() {
        let (low, high) = (knots[span], knots[span + 1]);
        if !(high > low) {
            continue;
        }
        for highs in 0..=degree {
            // The blossom with `highs` arguments at the span's end and the others at its start.
            let mut row = controls[span - degree..=span].to_vec();
            for round in 1..=degree {
                let argument = if round <= highs { high } else { low };
                for i in (round..=degree).rev() {
                    let left = knots[span + i - degree];
                    let right = knots[span + 1 + i - round];
                    row[i] = row[i - 1].between(row[i], (argument - left) / (right - left));
                }
            }
            pieces.push(row[degree]);
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    fn fitted(curve: &[Control], chord_error: f64) -> Vec<Piece> {
        let mut pieces = Vec::new();
        let Ok(()) = fit::<Infallible>(curve, chord_error, &mut |piece| {
            pieces.push(piece);
            Ok(())
        });
        pieces
    }

    fn polynomial(points: &[(f64, f64)]) -> Vec<Control> {
        points.iter().map(|&(x, y)| Control::new(Point::new(x, y), 1.0)).collect()
    }

    fn at(curve: &[Control], t: f64) -> Point {
        let mut row = curve.to_vec();
        for last in (1..curve.len()).rev() {
            for i in 0..last {
                row[i] = row[i].between(row[i + 1], t);
            }
        }
        row[0].point()
    }

    /// Distance of a point from one piece.
    fn distance(point: Point, start: Point, piece: &Piece) -> f64 {
        let chord = piece.end.minus(start);
        if piece.bulge == 0.0 {
            return distance_from_chord(&[start, point, piece.end]);
        }
        let rise = (1.0 - piece.bulge * piece.bulge) / (4.0 * piece.bulge);
        let centre = start.middle(piece.end).displaced(chord.turned_left(), rise);
        let radius = start.distance(centre);
        let (from, ray, to) = (start.minus(centre), point.minus(centre), piece.end.minus(centre));
        let side = piece.bulge.signum();
        if from.cross(ray) * side >= 0.0 && ray.cross(to) * side >= 0.0 {
            (ray.length() - radius).abs()
        } else {
            point.distance(start).min(point.distance(piece.end))
        }
    }

    #[test]
    fn every_point_of_a_curve_is_within_the_stated_deviation() {
        let curves = [
            polynomial(&[(0.0, 0.0), (30.0, 60.0), (70.0, -60.0), (100.0, 0.0)]),
            // With a loop, with a cusp, with all but the ends in one place, and going back on itself.
            polynomial(&[(0.0, 0.0), (120.0, 80.0), (-20.0, 80.0), (100.0, 0.0)]),
            polynomial(&[(0.0, 0.0), (100.0, 100.0), (0.0, 100.0), (100.0, 0.0)]),
            polynomial(&[(0.0, 0.0), (50.0, 1.0), (50.0, 1.0), (50.0, 1.0), (100.0, 0.0)]),
            polynomial(&[(0.0, 0.0), (100.0, 0.0), (40.0, 0.0)]),
            ellipse(Point::new(5.0, 7.0), Point::new(80.0, 10.0), Point::new(-3.0, 9.0), 0.3, 1.5)
                [0]
            .to_vec(),
        ];
        for curve in &curves {
            for chord_error in [1.0, 0.01, 1e-4] {
                let pieces = fitted(curve, chord_error);
                let mut starts = vec![curve[0].point()];
                starts.extend(pieces.iter().map(|piece| piece.end));
                let stated = pieces.iter().fold(0.0_f64, |worst, piece| worst.max(piece.deviation));
                assert!(stated <= chord_error, "{stated} {chord_error}");
                for i in 0..=1000 {
                    let point = at(curve, f64::from(i) / 1000.0);
                    let nearest = pieces
                        .iter()
                        .zip(&starts)
                        .map(|(piece, start)| distance(point, *start, piece))
                        .fold(f64::INFINITY, f64::min);
                    assert!(nearest <= stated + 1e-9, "{nearest} {stated} of {curve:?}");
                }
            }
        }
    }

    #[test]
    fn a_rational_quarter_circle_becomes_one_exact_arc() {
        let quarter =
            ellipse(Point::default(), Point::new(10.0, 0.0), Point::new(0.0, 10.0), 0.0, 1.0);
        let pieces = fitted(&quarter[0], 1e-4);
        assert_eq!(pieces.len(), 1);
        assert!((pieces[0].bulge - 0.25_f64.tan()).abs() < 1e-14, "{pieces:?}");
        assert!(pieces[0].deviation < 1e-12, "{pieces:?}");
    }

    #[test]
    fn arcs_need_far_fewer_pieces_than_chords() {
        let curve = polynomial(&[(0.0, 0.0), (0.0, 55.0), (45.0, 100.0), (100.0, 100.0)]);
        // A chord of a curve with radius 100 stands off by 0.001 mm at 0.9 mm: 170 of them.
        assert!(fitted(&curve, 1e-3).len() <= 16, "{}", fitted(&curve, 1e-3).len());
    }

    #[test]
    fn a_b_spline_passes_through_the_ends_of_its_bezier_curves() {
        // A uniform quadratic B-spline joins at the middles of the sides of its control polygon.
        let controls = polynomial(&[(0.0, 0.0), (4.0, 0.0), (4.0, 6.0), (10.0, 6.0)]);
        let knots = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0];
        let pieces = bezier_pieces(2, &knots, &controls);
        let points: Vec<Point> = pieces.iter().map(|control| control.point()).collect();
        assert_eq!(points[0], Point::new(2.0, 0.0));
        assert_eq!(points[2], Point::new(4.0, 3.0));
        assert_eq!(points[3], points[2]);
        assert_eq!(points[5], Point::new(7.0, 6.0));
        assert_eq!(points.len(), 6);
    }
}
