//! Straight sheared edges as a sum over their corners.
//!
//! Force and moments of a line are differences of antiderivatives of φ at its two ends
//! (`docs/kernel.md`). Gathered by corner, a whole outline is
//!
//! `F(h) = Σ c·Φ₁(x)`, `M(h) = Σ (c·p·Φ₁(x) + g·Φ₂(x))`, `x = (z − h)/t`,
//!
//! with the corner's place p and entry height z, and two weights c and g that depend on the two
//! lines that meet there. Φ₁ and Φ₂ are piecewise polynomials of degree two and three, and so are the
//! sums. They are taken in one of two ways:
//!
//! - **Direct**: every corner at every height.
//! - **Events**: within a block of heights the polynomial of the sum is set up once at the block's
//!   first height; whenever a corner meets a knot of φ its coefficients change. A sweep adds up the
//!   changes, and a height costs the same however many corners there are.
//!
//! A block is no longer than one thickness and its polynomials are centred in its middle, so that
//! what is added and taken away again stays of the size of the sum at a corner itself.

use crate::{
    Point,
    cut_profile::{CutProfile, Piece},
};

/// Most heights in a block: few enough for what is kept per height to stay in the fastest cache.
pub(crate) const BLOCK: usize = 256;
/// Heights in a block, and corners, from which on events are cheaper for certain; see
/// `docs/kernel.md` for the count of operations.
const EVENT_HEIGHTS: usize = 32;
const EVENT_CORNERS: usize = 8;

/// The corners of the straight edges of one cut.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct CornerSum {
    corners: Vec<Corner>,
    /// Places are counted from here, so that a cut far from the origin loses no digits.
    origin: Point,
    /// Force of all lines at φ = 1.
    pub(crate) whole_force: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Corner {
    entry: f64,
    place: Point,
    /// Weight of Φ₁ in the force.
    force: f64,
    /// Weights of Φ₂ in the moments.
    lever: Point,
}

/// Where the sums at a block of heights are kept.
pub(crate) struct Sums<'a> {
    pub(crate) force: &'a mut [f64],
    pub(crate) moment_x: &'a mut [f64],
    pub(crate) moment_y: &'a mut [f64],
}

/// A line by its two ends: place and entry height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub(crate) start: Point,
    pub(crate) end: Point,
    pub(crate) length: f64,
    pub(crate) start_entry: f64,
    pub(crate) end_entry: f64,
}

/// Coefficients of a sum's polynomials in y, the penetration over thickness from the block's
/// middle: c₀ + c₁y + c₂y² (+ c₃y³).
#[derive(Clone, Copy)]
struct Coefficients {
    force: [f64; 3],
    moment_x: [f64; 4],
    moment_y: [f64; 4],
}

/// Φ₁ = p₀ + p₁y + p₂y² and Φ₂ = q₀ + p₀y + p₁y²/2 + p₂y³/3 about the middle of a block.
struct Antiderivatives {
    p0: f64,
    p1: f64,
    p2: f64,
    q0: f64,
}

impl Line {
    /// Lowest and highest entry.
    pub(crate) fn entries(&self) -> (f64, f64) {
        (self.start_entry.min(self.end_entry), self.start_entry.max(self.end_entry))
    }
}

impl CornerSum {
    /// Adds a line; one that starts where the one before it ended, or ends where the first started,
    /// shares that corner.
    pub(crate) fn push(&mut self, line: &Line, thickness: f64, line_force: f64) {
        if self.corners.is_empty() {
            self.origin = line.start;
        }
        let per_difference = thickness / (line.end_entry - line.start_entry);
        let force = line_force * line.length * per_difference;
        let lever = |sign: f64| {
            let factor = sign * force * per_difference;
            Point::new(factor * (line.end.x - line.start.x), factor * (line.end.y - line.start.y))
        };
        self.whole_force += line_force * line.length;
        self.add(line.start, line.start_entry, -force, lever(1.0));
        self.add(line.end, line.end_entry, force, lever(-1.0));
    }

    fn add(&mut self, place: Point, entry: f64, force: f64, lever: Point) {
        let place = Point::new(place.x - self.origin.x, place.y - self.origin.y);
        let ends = [self.corners.len().checked_sub(1), (!self.corners.is_empty()).then_some(0)];
        for index in ends.into_iter().flatten() {
            let corner = &mut self.corners[index];
            if corner.entry == entry && corner.place == place {
                corner.force += force;
                corner.lever.x += lever.x;
                corner.lever.y += lever.y;
                return;
            }
        }
        self.corners.push(Corner { entry, place, force, lever });
    }

    /// Lowest and highest entry, if there is any line.
    pub(crate) fn entries(&self) -> Option<(f64, f64)> {
        let first = self.corners.first()?.entry;
        Some(self.corners.iter().fold((first, first), |(low, high), corner| {
            (low.min(corner.entry), high.max(corner.entry))
        }))
    }

    /// ∫F dh from above the first touch down to BDC, in joules.
    pub(crate) fn work(&self, profile: &CutProfile, thickness: f64) -> f64 {
        let at_bdc = |corner: &Corner| corner.force * profile.integrals(corner.entry / thickness).1;
        thickness * self.corners.iter().map(at_bdc).sum::<f64>()
    }

    /// Adds force and moments at each of the falling `heights`, at all of which the cut acts.
    pub(crate) fn add_to(
        &self,
        profile: &CutProfile,
        thickness: f64,
        heights: &[f64],
        sums: &mut Sums,
    ) {
        let mut from = 0;
        while from < heights.len() {
            let most = &heights[from..heights.len().min(from + BLOCK)];
            let within = most.partition_point(|&h| heights[from] - h <= thickness);
            let by_events = within >= EVENT_HEIGHTS && self.corners.len() >= EVENT_CORNERS;
            let count = if by_events { within } else { most.len() };
            let span = from..from + count;
            let mut part = Sums {
                force: &mut sums.force[span.clone()],
                moment_x: &mut sums.moment_x[span.clone()],
                moment_y: &mut sums.moment_y[span.clone()],
            };
            if by_events {
                self.add_by_events(profile, thickness, &heights[span], &mut part);
            } else {
                self.add_directly(profile, thickness, &heights[span], &mut part);
            }
            from += count;
        }
    }

    /// Every corner at every height of a block.
    fn add_directly(&self, profile: &CutProfile, thickness: f64, heights: &[f64], sums: &mut Sums) {
        let count = heights.len();
        let (mut force, mut moment_x, mut moment_y) = ([0.0; BLOCK], [0.0; BLOCK], [0.0; BLOCK]);
        let (force, moment_x, moment_y) =
            (&mut force[..count], &mut moment_x[..count], &mut moment_y[..count]);
        let per_thickness = 1.0 / thickness;
        for corner in &self.corners {
            profile.for_each_run(corner.entry, thickness, heights, |span, piece| {
                corner.add_run(
                    piece,
                    per_thickness,
                    &heights[span.clone()],
                    [&mut force[span.clone()], &mut moment_x[span.clone()], &mut moment_y[span]],
                );
            });
        }
        for i in 0..count {
            self.put(force[i], moment_x[i], moment_y[i], i, sums);
        }
    }

    /// The coefficients at each height from those at the first and the changes on the way.
    fn add_by_events(
        &self,
        profile: &CutProfile,
        thickness: f64,
        heights: &[f64],
        sums: &mut Sums,
    ) {
        let mut changes = [Coefficients::ZERO; BLOCK];
        let (top, bottom) = (heights[0], heights[heights.len() - 1]);
        let middle = 0.5 * (top + bottom);
        let per_thickness = 1.0 / thickness;
        for corner in &self.corners {
            let x_bottom = (corner.entry - bottom) * per_thickness;
            if x_bottom <= 0.0 {
                continue;
            }
            let x_top = (corner.entry - top) * per_thickness;
            let x_middle = (corner.entry - middle) * per_thickness;
            if x_top >= 0.0 {
                let piece = profile.piece_at(x_top);
                changes[0].add(corner, &Antiderivatives::of(piece, x_middle));
            }
            let mut index = 0;
            for change in profile.changes() {
                if change.start <= x_top {
                    continue;
                }
                if change.start > x_bottom {
                    break;
                }
                let height = corner.entry - change.start * thickness;
                index += heights[index..].partition_point(|&h| h > height);
                // Rounding may put a knot at the very last height just below it.
                if index < heights.len() {
                    changes[index].add(corner, &Antiderivatives::of(change, x_middle));
                }
            }
        }
        let mut sum = Coefficients::ZERO;
        for (i, &height) in heights.iter().enumerate() {
            sum.add_all(&changes[i]);
            let y = (middle - height) * per_thickness;
            let cubic = |c: &[f64; 4]| c[0] + y * (c[1] + y * (c[2] + y * c[3]));
            let force = sum.force[0] + y * (sum.force[1] + y * sum.force[2]);
            self.put(force, cubic(&sum.moment_x), cubic(&sum.moment_y), i, sums);
        }
    }

    /// Adds a sum counted from `origin` at one height.
    #[inline]
    fn put(&self, force: f64, moment_x: f64, moment_y: f64, index: usize, sums: &mut Sums) {
        // Rounding must not make a last touch of force negative.
        let force = force.max(0.0);
        sums.force[index] += force;
        sums.moment_x[index] += moment_x + force * self.origin.x;
        sums.moment_y[index] += moment_y + force * self.origin.y;
    }
}

impl Corner {
    /// Adds this corner at heights at which it is in one piece of φ.
    fn add_run(
        &self,
        piece: &Piece,
        per_thickness: f64,
        heights: &[f64],
        [force, moment_x, moment_y]: [&mut [f64]; 3],
    ) {
        let count = heights.len();
        // Slices of one length spare the loop its bounds checks.
        assert!(force.len() == count && moment_x.len() == count && moment_y.len() == count);
        let (value, half_slope) = (piece.value, piece.slope / 2.0);
        let (half_value, sixth_slope) = (piece.value / 2.0, piece.slope / 6.0);
        for i in 0..count {
            let d = (self.entry - heights[i]) * per_thickness - piece.start;
            let first = piece.first + d * (value + d * half_slope);
            let second = piece.second + d * (piece.first + d * (half_value + d * sixth_slope));
            let own = self.force * first;
            force[i] += own;
            moment_x[i] += own * self.place.x + self.lever.x * second;
            moment_y[i] += own * self.place.y + self.lever.y * second;
        }
    }
}

impl Antiderivatives {
    /// Of a piece of φ, or of a change of it at a knot.
    fn of(piece: &Piece, x_middle: f64) -> Self {
        let d = x_middle - piece.start;
        Self {
            p0: piece.first + d * (piece.value + d * piece.slope / 2.0),
            p1: piece.value + d * piece.slope,
            p2: piece.slope / 2.0,
            q0: piece.second
                + d * (piece.first + d * (piece.value / 2.0 + d * (piece.slope * (1.0 / 6.0)))),
        }
    }
}

impl Coefficients {
    const ZERO: Self = Self { force: [0.0; 3], moment_x: [0.0; 4], moment_y: [0.0; 4] };

    fn add(&mut self, corner: &Corner, of: &Antiderivatives) {
        let first = [of.p0, of.p1, of.p2];
        let second = [of.q0, of.p0, 0.5 * of.p1, (1.0 / 3.0) * of.p2];
        for k in 0..3 {
            let own = corner.force * first[k];
            self.force[k] += own;
            self.moment_x[k] += own * corner.place.x + corner.lever.x * second[k];
            self.moment_y[k] += own * corner.place.y + corner.lever.y * second[k];
        }
        self.moment_x[3] += corner.lever.x * second[3];
        self.moment_y[3] += corner.lever.y * second[3];
    }

    fn add_all(&mut self, other: &Self) {
        for k in 0..3 {
            self.force[k] += other.force[k];
        }
        for k in 0..4 {
            self.moment_x[k] += other.moment_x[k];
            self.moment_y[k] += other.moment_y[k];
        }
    }
}
