//! The force law of cutting summed along an edge, in closed form.
//!
//! On a piece of edge the entry height z is linear in position, so with u = z − h the force is
//! `F = q₀ ∫ φ(u/t) dℓ`, `q₀ = τ·t·w`, and the moments are `q₀ ∫ φ(u/t)·(x, y) dℓ`.
//!
//! - **Line**, z from z₀ to z₁: with a = (z₀−h)/t, b = (z₁−h)/t, d = b − a and Φ₁, Φ₂ the first and
//!   second antiderivatives of φ, `∫φ ds = (Φ₁(b) − Φ₁(a))/d` and
//!   `∫φ s ds = Φ₁(b)/d − (Φ₂(b) − Φ₂(a))/d²` for s from 0 to 1: a sum over the two ends, taken by
//!   [`CornerSum`]. Where d is small these differences cancel, and the sum goes piece by piece of φ
//!   instead, which is exact too.
//! - **Arc**: u = A + B·cos ψ with ψ the angle from the direction of steepest entry. φ is linear in
//!   u on each of its pieces, so ∫φ dψ, ∫φ cos ψ dψ and ∫φ sin ψ dψ are elementary between the
//!   angles at which u crosses a knot of φ. Arcs are therefore not split and carry no chord error.
//! - **Flat** edges enter at once: their length and first moments are gathered per entry height.

use crate::{
    Energy, Length, LineForce, Point,
    corner_sum::{CornerSum, Line, Sums},
    cut_profile::CutProfile,
    geometry::Motion,
    load::{KeyHeight, LoadSeries},
    outline::Edge,
    tool_shear::ShearedEdge,
};
use std::{
    f64::consts::{PI, TAU},
    ops::Range,
};

/// A line is summed by pieces where it enters so evenly that a whole edge like it would differ in
/// entry height by less than this part of thickness: the sum over corners loses about `ε/d²` in the
/// moment of the whole edge, which here is 2·10⁻¹³. A line of a finely divided outline is short in
/// its difference, but light as well, and counts by its slope.
const SMALL_DIFFERENCE: f64 = 3e-2;

/// The load of one cut through the stroke.
#[derive(Clone, Debug, PartialEq)]
pub struct EdgeLoad {
    profile: CutProfile,
    thickness: f64,
    /// Force per length of edge at φ = 1, in newtons per metre.
    line_force: f64,
    flats: Vec<Flat>,
    /// Lines that enter nearly at once.
    nearly_flat: Vec<Line>,
    /// All other lines.
    corners: CornerSum,
    arcs: Vec<Arc>,
}

/// All edge that enters at one height.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Flat {
    entry: f64,
    length: f64,
    moment_x: f64,
    moment_y: f64,
}

/// An arc on which the entry height falls steadily with the angle from the steepest direction.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Arc {
    centre: Point,
    radius: f64,
    /// Unit vector towards which the entry height rises.
    uphill: Point,
    /// Entry height at the centre, and its rise from there to the circle's highest point.
    centre_entry: f64,
    rise: f64,
    /// Angles from `uphill`, 0 ≤ from < to ≤ π.
    from: Angle,
    to: Angle,
    /// +1 if the angles run counter-clockwise, −1 if clockwise.
    side: f64,
}

/// An angle between 0 and π.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Angle {
    rad: f64,
    sin: f64,
    cos: f64,
}

impl EdgeLoad {
    /// The load of `edges`, brought into place by `motion`.
    pub fn new(
        edges: &[ShearedEdge],
        motion: &Motion,
        profile: CutProfile,
        thickness: Length,
        line_force: LineForce,
    ) -> Self {
        let mut load = Self {
            profile,
            thickness: thickness.metres(),
            line_force: line_force.newtons_per_metre(),
            flats: Vec::new(),
            nearly_flat: Vec::new(),
            corners: CornerSum::default(),
            arcs: Vec::new(),
        };
        let whole_length: f64 = edges.iter().map(|sheared| sheared.edge.length()).sum();
        for sheared in edges {
            let gradient = sheared.gradient.x.hypot(sheared.gradient.y);
            match sheared.edge {
                Edge::Line { start, end } => {
                    let (start_entry, end_entry) = (sheared.entry_at(start), sheared.entry_at(end));
                    let difference = (end_entry - start_entry).abs();
                    let line = Line {
                        start: motion.apply(start),
                        end: motion.apply(end),
                        length: start.distance(end),
                        start_entry,
                        end_entry,
                    };
                    // Entry heights closer than 10⁻¹¹ of thickness differ by rounding only.
                    if difference <= 1e-11 * load.thickness {
                        load.add_flat(&sheared.edge, 0.5 * (start_entry + end_entry), motion);
                    } else if difference * whole_length
                        < SMALL_DIFFERENCE * load.thickness * line.length
                    {
                        load.nearly_flat.push(line);
                    } else {
                        load.corners.push(&line, load.thickness, load.line_force);
                    }
                }
                Edge::Arc { centre, radius, start_rad, sweep_rad } => {
                    if gradient * radius <= 1e-11 * load.thickness {
                        load.add_flat(&sheared.edge, sheared.entry_at(centre), motion);
                    } else {
                        let uphill_rad = sheared.gradient.y.atan2(sheared.gradient.x);
                        let uphill = Point::new(
                            sheared.gradient.x / gradient,
                            sheared.gradient.y / gradient,
                        );
                        for (from, to, side) in monotonic_parts(start_rad, sweep_rad, uphill_rad) {
                            load.arcs.push(Arc {
                                centre: motion.apply(centre),
                                radius,
                                uphill: motion.turn(uphill),
                                centre_entry: sheared.entry_at(centre),
                                rise: gradient * radius,
                                from: Angle::new(from),
                                to: Angle::new(to),
                                side,
                            });
                        }
                    }
                }
            }
        }
        load
    }

    /// The load of an edge of which only the length is known, acting at one point.
    pub fn at_point(
        at: Point,
        length: Length,
        entry: Length,
        profile: CutProfile,
        thickness: Length,
        line_force: LineForce,
    ) -> Self {
        let length = length.metres();
        Self {
            profile,
            thickness: thickness.metres(),
            line_force: line_force.newtons_per_metre(),
            flats: vec![Flat {
                entry: entry.metres(),
                length,
                moment_x: length * at.x,
                moment_y: length * at.y,
            }],
            nearly_flat: Vec::new(),
            corners: CornerSum::default(),
            arcs: Vec::new(),
        }
    }

    fn add_flat(&mut self, edge: &Edge, entry: f64, motion: &Motion) {
        let (length, centroid) = (edge.length(), motion.apply(edge.centroid()));
        let (moment_x, moment_y) = (length * centroid.x, length * centroid.y);
        let near = 1e-11 * self.thickness;
        match self.flats.iter_mut().find(|flat| (flat.entry - entry).abs() <= near) {
            Some(flat) => {
                flat.length += length;
                flat.moment_x += moment_x;
                flat.moment_y += moment_y;
            }
            None => self.flats.push(Flat { entry, length, moment_x, moment_y }),
        }
    }

    /// Adds this load at each of the falling `heights`; allocates nothing.
    pub(crate) fn add_to(&self, heights: &[f64], series: &mut LoadSeries) {
        for flat in &self.flats {
            for index in self.active(heights, flat.entry, flat.entry) {
                let phi = self.profile.value((flat.entry - heights[index]) / self.thickness);
                let q = self.line_force * phi;
                series.add_at(index, q * flat.length, q * flat.moment_x, q * flat.moment_y);
            }
        }
        for line in &self.nearly_flat {
            let (low, high) = line.entries();
            self.add_nearly_flat(line, heights, self.active(heights, low, high), series);
        }
        if let Some((low, high)) = self.corners.entries() {
            let span = self.active(heights, low, high);
            let mut sums = Sums {
                force: &mut series.force[span.clone()],
                moment_x: &mut series.moment_x[span.clone()],
                moment_y: &mut series.moment_y[span.clone()],
            };
            self.corners.add_to(&self.profile, self.thickness, &heights[span], &mut sums);
        }
        for arc in &self.arcs {
            let (low, high) = arc.entries();
            for index in self.active(heights, low, high) {
                let (force, x, y) = self.arc_force(arc, heights[index]);
                series.add_at(index, force, x, y);
            }
        }
    }

    /// Indices of the heights at which an edge entering between `low` and `high` carries force.
    fn active(&self, heights: &[f64], low: f64, high: f64) -> Range<usize> {
        let from = heights.partition_point(|&h| h >= high);
        let last = low - self.profile.end() * self.thickness;
        let to = from + heights[from..].partition_point(|&h| h > last);
        from..to
    }

    /// Adds a line whose difference in entry height is small.
    ///
    /// At most heights all of it is in one piece of φ; only where it straddles a knot does the sum
    /// go piece by piece.
    fn add_nearly_flat(
        &self,
        line: &Line,
        heights: &[f64],
        active: Range<usize>,
        series: &mut LoadSeries,
    ) {
        let per_thickness = 1.0 / self.thickness;
        let start = |h: f64| (line.start_entry - h) * per_thickness;
        let difference = (line.end_entry - line.start_entry) * per_thickness;
        let (below, above) = (difference.min(0.0), difference.max(0.0));
        let mut add = |index: usize, (mean, first): (f64, f64)| {
            let q = self.line_force * line.length;
            let (force, lever) = ((q * mean).max(0.0), q * first);
            series.add_at(
                index,
                force,
                force * line.start.x + lever * (line.end.x - line.start.x),
                force * line.start.y + lever * (line.end.y - line.start.y),
            );
        };
        let mut index = active.start;
        for (piece, piece_end) in self.profile.pieces() {
            while index < active.end && start(heights[index]) + below < piece.start {
                let a = start(heights[index]);
                add(index, self.means_by_pieces(a, a + difference));
                index += 1;
            }
            while index < active.end && start(heights[index]) + above <= piece_end {
                let value = piece.value + piece.slope * (start(heights[index]) - piece.start);
                let rise = piece.slope * difference;
                add(index, (value + rise / 2.0, value / 2.0 + rise / 3.0));
                index += 1;
            }
        }
        while index < active.end {
            let a = start(heights[index]);
            add(index, self.means_by_pieces(a, a + difference));
            index += 1;
        }
    }

    /// `∫φ ds` and `∫φ s ds` for s from 0 to 1 and u/t from `a` to `b`, piece by piece.
    fn means_by_pieces(&self, a: f64, b: f64) -> (f64, f64) {
        let (low, high) = (a.min(b), a.max(b));
        let width = high - low;
        let (mut mean, mut first) = (0.0, 0.0);
        for (piece, piece_end) in self.profile.pieces() {
            let (from, to) = (piece.start.max(low), piece_end.min(high));
            if to <= from {
                continue;
            }
            let (s0, ds) = ((from - low) / width, (to - from) / width);
            let v0 = piece.value + piece.slope * (from - piece.start);
            let v1 = piece.value + piece.slope * (to - piece.start);
            mean += ds * (v0 + v1) / 2.0;
            first += ds * (s0 * (v0 + v1) / 2.0 + ds * (v0 + 2.0 * v1) / 6.0);
        }
        if b >= a { (mean, first) } else { (mean, mean - first) }
    }

    /// Force and moments of an arc at height `h`.
    fn arc_force(&self, arc: &Arc, h: f64) -> (f64, f64, f64) {
        let a = (arc.centre_entry - h) / self.thickness;
        let b = arc.rise / self.thickness;
        let (mut sum, mut cosines, mut sines) = (0.0, 0.0, 0.0);
        // Against the angle u rises, so the pieces follow each other from the far end on.
        let mut lower = arc.angle_at(-a / b);
        for (piece, piece_end) in self.profile.pieces() {
            let upper = arc.angle_at((piece_end - a) / b);
            if upper.rad < lower.rad {
                let span = Span::between(&upper, &lower);
                let n = piece.slope * b;
                let m = piece.value + piece.slope * (a - piece.start);
                sum += m * span.angle + n * span.sin;
                cosines += m * span.sin + n * span.cos_squared();
                sines += m * span.cos_fall + n * span.sin_squared / 2.0;
            }
            lower = upper;
        }
        let q = self.line_force * arc.radius;
        let (along, across) = (q * arc.radius * cosines, q * arc.radius * sines * arc.side);
        // Rounding must not make a last touch of force negative.
        let force = (q * sum).max(0.0);
        (
            force,
            force * arc.centre.x + along * arc.uphill.x - across * arc.uphill.y,
            force * arc.centre.y + along * arc.uphill.y + across * arc.uphill.x,
        )
    }

    /// ∫F dh from above the first touch down to BDC.
    pub(crate) fn work(&self) -> Energy {
        let t = self.thickness;
        let flats: f64 = self
            .flats
            .iter()
            .map(|flat| flat.length * self.profile.first_integral(flat.entry / t))
            .sum();
        let lines: f64 = self
            .nearly_flat
            .iter()
            .map(|line| line.length * self.mean_work(line.start_entry / t, line.end_entry / t))
            .sum();
        let corners = Energy::from_joules(self.corners.work(&self.profile, t));
        let arcs: f64 = self.arcs.iter().map(|arc| arc.radius * self.arc_work(arc)).sum();
        corners + Energy::from_joules(self.line_force * t * (flats + lines + arcs))
    }

    /// Mean of Φ₁ between `a` and `b`.
    fn mean_work(&self, a: f64, b: f64) -> f64 {
        // Φ₁ is quadratic between the knots of φ, for which Simpson's rule is exact.
        let (low, high) = (a.min(b), a.max(b));
        let mut cuts: Vec<f64> = self.profile.knots().filter(|&x| x > low && x < high).collect();
        cuts.insert(0, low);
        cuts.push(high);
        let phi = |x| self.profile.first_integral(x);
        let integral: f64 = cuts
            .windows(2)
            .map(|pair| {
                let (x0, x1) = (pair[0], pair[1]);
                (x1 - x0) * (phi(x0) + 4.0 * phi(0.5 * (x0 + x1)) + phi(x1)) / 6.0
            })
            .sum();
        if high > low { integral / (high - low) } else { phi(low) }
    }

    /// `∫Φ₁ dψ` along an arc at BDC.
    fn arc_work(&self, arc: &Arc) -> f64 {
        let a = arc.centre_entry / self.thickness;
        let b = arc.rise / self.thickness;
        let mut sum = 0.0;
        let mut lower = arc.angle_at(-a / b);
        for (piece, piece_end) in self.profile.pieces() {
            let upper = arc.angle_at((piece_end - a) / b);
            let span = Span::between(&upper, &lower);
            let p = a - piece.start;
            sum += (piece.first + p * (piece.value + p * piece.slope / 2.0)) * span.angle
                + b * (piece.value + p * piece.slope) * span.sin
                + b * b * piece.slope / 2.0 * span.cos_squared();
            lower = upper;
        }
        sum += self.profile.work_factor() * (lower.rad - arc.from.rad);
        sum
    }

    pub(crate) fn key_heights(&self) -> Vec<KeyHeight> {
        let mut keys = Vec::new();
        let mut push = |entry: f64, jump: bool| {
            keys.extend(self.profile.knots().map(|knot| KeyHeight {
                height: entry - knot * self.thickness,
                jump: jump && self.profile.has_jumps(),
            }));
        };
        for flat in &self.flats {
            push(flat.entry, true);
        }
        // The inner corners of a long outline are found by refinement; its two ends are not left
        // to chance.
        let (low, high) = outermost(self.sloped_entries());
        if high >= low {
            push(high, false);
            push(low, false);
        }
        keys
    }

    /// Heights between which some edge point first touches.
    pub fn entry_span(&self) -> (Length, Length) {
        let flats = self.flats.iter().map(|flat| (flat.entry, flat.entry));
        let (low, high) = outermost(flats.chain(self.sloped_entries()));
        (Length::from_metres(low), Length::from_metres(high))
    }

    /// Force with the whole edge at full shear strength: cut length times line force.
    pub fn whole_edge_force(&self) -> f64 {
        let length: f64 = self.flats.iter().map(|flat| flat.length).sum::<f64>()
            + self.nearly_flat.iter().map(|line| line.length).sum::<f64>()
            + self.arcs.iter().map(|arc| arc.radius * (arc.to.rad - arc.from.rad)).sum::<f64>();
        self.line_force * length + self.corners.whole_force
    }

    /// Lowest and highest entry of the edges that do not enter at once.
    fn sloped_entries(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let lines = self.nearly_flat.iter().map(Line::entries);
        lines.chain(self.corners.entries()).chain(self.arcs.iter().map(Arc::entries))
    }
}

/// The lowest and the highest of spans.
fn outermost(spans: impl Iterator<Item = (f64, f64)>) -> (f64, f64) {
    spans.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), (c, d)| (a.min(c), b.max(d)))
}

/// Increments of the elementary functions over a part of an arc.
struct Span {
    angle: f64,
    sin: f64,
    sin_cos: f64,
    /// cos at the start minus cos at the end.
    cos_fall: f64,
    sin_squared: f64,
}

impl Span {
    fn between(from: &Angle, to: &Angle) -> Self {
        Self {
            angle: to.rad - from.rad,
            sin: to.sin - from.sin,
            sin_cos: to.sin * to.cos - from.sin * from.cos,
            cos_fall: from.cos - to.cos,
            sin_squared: to.sin * to.sin - from.sin * from.sin,
        }
    }

    /// ∫cos² over the span.
    fn cos_squared(&self) -> f64 {
        (self.angle + self.sin_cos) / 2.0
    }
}

impl Arc {
    /// Lowest and highest entry.
    fn entries(&self) -> (f64, f64) {
        (self.centre_entry + self.rise * self.to.cos, self.centre_entry + self.rise * self.from.cos)
    }

    /// The angle with this cosine, or the nearer end of the arc.
    fn angle_at(&self, cos: f64) -> Angle {
        if cos >= self.from.cos {
            self.from
        } else if cos <= self.to.cos {
            self.to
        } else {
            Angle { rad: cos.acos(), sin: ((1.0 - cos) * (1.0 + cos)).sqrt(), cos }
        }
    }
}

impl Angle {
    fn new(rad: f64) -> Self {
        let (sin, cos) = rad.sin_cos();
        Self { rad, sin, cos }
    }
}

/// The arc in parts on each of which the angle from `uphill_rad` stays within 0…π on one side.
fn monotonic_parts(start_rad: f64, sweep_rad: f64, uphill_rad: f64) -> Vec<(f64, f64, f64)> {
    let (from, sweep) =
        if sweep_rad >= 0.0 { (start_rad, sweep_rad) } else { (start_rad + sweep_rad, -sweep_rad) };
    let begin = (from - uphill_rad).rem_euclid(TAU);
    let end = begin + sweep.min(TAU);
    let mut parts = Vec::with_capacity(4);
    // Half turns from 0: the even ones run downhill counter-clockwise, the odd ones are mirrored.
    for half in 0..4 {
        let (low, high) = (f64::from(half) * PI, f64::from(half + 1) * PI);
        let (a, b) = (begin.max(low), end.min(high));
        if b - a <= 1e-14 {
            continue;
        }
        if half % 2 == 0 {
            parts.push((a - low, b - low, 1.0));
        } else {
            parts.push((high - b, high - a, -1.0));
        }
    }
    parts
}
