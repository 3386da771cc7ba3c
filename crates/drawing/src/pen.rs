//! What the readers draw with: lines, arcs and curves become paths in millimetres.

use crate::{
    curve::{self, Control},
    geometry::{Affine, Point, are_radii},
    refusal::Refusal,
};
use std::f64::consts::TAU;

/// Most segments of a drawing; a large die has some ten thousand.
pub(crate) const MOST_SEGMENTS: usize = 1_000_000;
/// Farthest from the origin that a point may lie, in millimetres: a kilometre.
///
/// Beyond it the tolerances drown in the rounding of the numbers.
const FARTHEST_MM: f64 = 1e6;
/// Arcs beyond this bulge, 337°, are written as two halves, whose circle is better defined.
const LARGEST_BULGE: f64 = 10.0;

/// A path through points, one bulge for each segment.
#[derive(Clone, Debug)]
pub(crate) struct Path {
    pub layer: u32,
    pub closed: bool,
    pub points: Vec<Point>,
    pub bulges: Vec<f64>,
}

impl Path {
    /// Start, end and bulge of a segment.
    pub fn segment(&self, index: usize) -> (Point, Point, f64) {
        let next = if index + 1 == self.points.len() { 0 } else { index + 1 };
        (self.points[index], self.points[next], self.bulges[index])
    }
}

/// Collects paths.
pub(crate) struct Pen {
    chord_error: f64,
    /// What is shorter than this has no length.
    shortest: f64,
    pub paths: Vec<Path>,
    segments: usize,
    /// Farthest that a curve is from the pieces that stand for it.
    pub deviation: f64,
    /// How many paths had no length.
    pub without_length: usize,
    open: Option<Path>,
}

impl Pen {
    pub fn new(chord_error: f64, shortest: f64) -> Self {
        Self {
            chord_error,
            shortest,
            paths: Vec::new(),
            segments: 0,
            deviation: 0.0,
            without_length: 0,
            open: None,
        }
    }

    /// Begins a path; the one before is finished as an open one.
    pub fn start(&mut self, layer: u32, point: Point) -> Result<(), Refusal> {
        self.finish();
        within_reach(point)?;
        self.open = Some(Path { layer, closed: false, points: vec![point], bulges: Vec::new() });
        Ok(())
    }

    pub fn line_to(&mut self, end: Point) -> Result<(), Refusal> {
        self.segment_to(end, 0.0)
    }

    /// A segment by its bulge, in coordinates before `map`; `start` is where the last one ended.
    pub fn bulge_to(
        &mut self,
        map: &Affine,
        start: Point,
        end: Point,
        bulge: f64,
    ) -> Result<(), Refusal> {
        // A bow of a 10⁻⁹th of the chord is rounding.
        if bulge.abs() < 1e-9 {
            return self.line_to(map.apply(end));
        }
        let rise = (1.0 - bulge * bulge) / (4.0 * bulge);
        let chord = end.minus(start);
        let centre = start.middle(end).displaced(chord.turned_left(), rise);
        let from = start.minus(centre);
        if map.keeps_circles() && bulge.abs() <= LARGEST_BULGE {
            let bulge = if map.determinant() < 0.0 { -bulge } else { bulge };
            return self.segment_to(map.apply(end), bulge);
        }
        self.ellipse_to(map, centre, from, from.turned_left(), 0.0, 4.0 * bulge.atan(), end)
    }

    /// Part of an ellipse `centre + u cos t + v sin t`, in coordinates before `map`, that ends at
    /// `end`; a circle's part stays an arc.
    #[allow(clippy::too_many_arguments)] // Every one is a number of the file.
    pub fn ellipse_to(
        &mut self,
        map: &Affine,
        centre: Point,
        u: Point,
        v: Point,
        start_rad: f64,
        sweep_rad: f64,
        end: Point,
    ) -> Result<(), Refusal> {
        let (centre, u, v) = (map.apply(centre), map.turn(u), map.turn(v));
        let end = map.apply(end);
        if are_radii(u, v) {
            let parts = if (sweep_rad / 4.0).tan().abs() > LARGEST_BULGE { 2 } else { 1 };
            let part = sweep_rad / f64::from(parts);
            let bulge = (part / 4.0).tan() * u.cross(v).signum();
            if parts == 2 {
                let middle = start_rad + part;
                let middle = centre.displaced(u, middle.cos()).displaced(v, middle.sin());
                self.segment_to(middle, bulge)?;
            }
            return self.segment_to(end, bulge);
        }
        let mut pieces = curve::ellipse(centre, u, v, start_rad, sweep_rad);
        if let Some(last) = pieces.last_mut() {
            last[2] = Control::new(end, 1.0);
        }
        for piece in pieces {
            self.curve_to(&piece)?;
        }
        Ok(())
    }

    /// A whole ellipse or circle, as a path of its own.
    pub fn ellipse(
        &mut self,
        layer: u32,
        map: &Affine,
        centre: Point,
        u: Point,
        v: Point,
    ) -> Result<(), Refusal> {
        let start = Point::new(centre.x + u.x, centre.y + u.y);
        self.start(layer, map.apply(start))?;
        self.ellipse_to(map, centre, u, v, 0.0, TAU, start)?;
        self.close();
        Ok(())
    }

    /// A rational Bézier curve in millimetres, from where the path is.
    pub fn curve_to(&mut self, controls: &[Control]) -> Result<(), Refusal> {
        for control in controls {
            within_reach(control.point())?;
        }
        let chord_error = self.chord_error;
        let mut farthest = self.deviation;
        let result = curve::fit(controls, chord_error, &mut |piece| {
            farthest = farthest.max(piece.deviation);
            self.segment_to(piece.end, piece.bulge)
        });
        self.deviation = farthest;
        result
    }

    fn segment_to(&mut self, end: Point, bulge: f64) -> Result<(), Refusal> {
        within_reach(end)?;
        let Some(path) = &mut self.open else { return Ok(()) };
        let last = path.points[path.points.len() - 1];
        if last.distance(end) <= self.shortest {
            return Ok(());
        }
        self.segments += 1;
        if self.segments > MOST_SEGMENTS {
            return Err(Refusal::of_file(
                format!("must come to at most {MOST_SEGMENTS} lines and arcs"),
                "more",
            ));
        }
        path.points.push(end);
        path.bulges.push(bulge);
        Ok(())
    }

    /// Ends the path by going back to its start.
    pub fn close(&mut self) {
        let Some(mut path) = self.open.take() else { return };
        let (first, last) = (path.points[0], path.points[path.points.len() - 1]);
        if path.points.len() > 1 && last.distance(first) <= self.shortest {
            path.points.pop();
        } else {
            path.bulges.push(0.0);
            self.segments += 1;
        }
        path.closed = true;
        self.keep(path);
    }

    /// Ends the path where it is.
    pub fn finish(&mut self) {
        if let Some(path) = self.open.take() {
            self.keep(path);
        }
    }

    fn keep(&mut self, mut path: Path) {
        if path.bulges.is_empty() || path.points.len() < 2 {
            self.without_length += 1;
            return;
        }
        path.points.shrink_to_fit();
        path.bulges.shrink_to_fit();
        self.paths.push(path);
    }
}

fn within_reach(point: Point) -> Result<(), Refusal> {
    // Also refuses NaN.
    if point.x.abs() <= FARTHEST_MM && point.y.abs() <= FARTHEST_MM {
        return Ok(());
    }
    Err(Refusal::of_file(
        format!("must lie within {FARTHEST_MM} mm of its origin"),
        format!("a point at {}, {} mm", point.x, point.y),
    ))
}
