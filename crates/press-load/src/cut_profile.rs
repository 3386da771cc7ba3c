//! How the cutting force of one point of the edge goes with penetration.
//!
//! `q(u) = τ · t · w · φ(u/t)`: φ is a piecewise linear function of the penetration u over the
//! thickness t, zero before the tool touches and after the slug is through. Everything that the sum
//! over an edge needs are φ and its first and second antiderivatives, which are kept in closed form.

use std::ops::Range;

/// Clearance per side, in percent of thickness, below which the slug tail is at its largest.
const TAIL_FULL_CLEARANCE: f64 = 4.0;
/// Clearance per side, in percent of thickness, from which on the slug falls freely.
const TAIL_FREE_CLEARANCE: f64 = 10.0;
/// Force of pushing one slug at tight clearance, as a part of the peak.
const TAIL_LEVEL: f64 = 0.35;
/// Travel over which the tail fades, as a part of thickness.
const TAIL_LENGTH: f64 = 1.2;
/// Clearance per side taken where none is given, in percent of thickness: the middle of "4 to 8 %
/// of thickness (per side)", University of Illinois mechanics reference, sheet metal.
pub const DEFAULT_CLEARANCE_PERCENT: f64 = 6.0;

/// The piecewise linear φ and its antiderivatives.
#[derive(Clone, Debug, PartialEq)]
pub struct CutProfile {
    /// The pieces in rising order, the last of them what follows the end, where φ is zero.
    pieces: Vec<Piece>,
    /// How the pieces differ from those before them, at their starts: φ is the sum of all changes
    /// behind a penetration.
    changes: Vec<Piece>,
}

/// One linear piece, from `start` to the start of the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Piece {
    pub(crate) start: f64,
    /// φ at `start`.
    pub(crate) value: f64,
    pub(crate) slope: f64,
    /// ∫φ from 0 to `start`.
    pub(crate) first: f64,
    /// ∫∫φ from 0 to `start`.
    pub(crate) second: f64,
}

/// How the slugs of a closed outline leave the die.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SlugPath {
    /// An open outline: nothing is pushed through.
    Open,
    /// A closed outline: the slug is pushed down the land.
    Closed {
        /// Clearance per side in percent of thickness.
        clearance_percent: f64,
        /// Slugs held in the straight land of the die, at least one.
        slugs_in_land: f64,
    },
}

impl CutProfile {
    /// The handbook model: the whole force from first touch to `penetration`, then nothing.
    pub fn plateau(penetration: f64) -> Self {
        Self::from_knots(&[(0.0, 0.0), (0.0, 1.0), (penetration, 1.0), (penetration, 0.0)])
    }

    /// The realistic model: a quick rise, a broad peak of exactly 1 near a third of thickness in
    /// mild steel, a quick fall, and at tight clearance a tail while the slug is pushed on.
    ///
    /// # Source
    ///
    /// The shape is ours, calibrated on Keller's punching tests: work up to separation 0.23–0.35 of
    /// peak force times thickness, 0.47–0.60 with the slug pushed out at 3 to 5 % clearance per
    /// side ("Neuere Durchstoss- und Schermaschinen", Dinglers Polytechnisches Journal 298 (1895)
    /// 145–148; F. Kick, same journal 272 (1889) 500–504). That rise and fall are similar in u/t
    /// for all thicknesses is Frémont's finding (same journal 305 (1897) 49–52), and so is that the
    /// tail is an effect of clearance. Several slugs in the land multiply the tail (push-through
    /// force n·k·F of the Chinese design form).
    pub fn shaped(separation: f64, slug_path: SlugPath) -> Self {
        let s = separation;
        let tail = match slug_path {
            SlugPath::Open => 0.0,
            SlugPath::Closed { clearance_percent, slugs_in_land } => {
                let tightness = (TAIL_FREE_CLEARANCE - clearance_percent)
                    / (TAIL_FREE_CLEARANCE - TAIL_FULL_CLEARANCE);
                // The tail of a column of slugs is capped at the cutting force itself: beyond it
                // the die is blocked, which is no working state.
                (TAIL_LEVEL * tightness.clamp(0.0, 1.0) * slugs_in_land.max(1.0)).min(1.0)
            }
        };
        let shoulder = tail.max(0.12);
        let mut knots = vec![
            (0.0, 0.0),
            (0.30 * s, 0.62),
            (0.43 * s, 1.0),
            (0.53 * s, 1.0),
            (0.63 * s, shoulder),
            (s, tail),
        ];
        if tail > 0.0 {
            knots.push((s + TAIL_LENGTH, 0.0));
        }
        Self::from_knots(&knots)
    }

    /// From knots `(u/t, φ)` in rising order; two knots at the same place are a jump.
    fn from_knots(knots: &[(f64, f64)]) -> Self {
        let mut pieces = Vec::with_capacity(knots.len());
        let (mut first, mut second) = (0.0, 0.0);
        for pair in knots.windows(2) {
            let ((start, value), (end, end_value)) = (pair[0], pair[1]);
            let width = end - start;
            if width <= 0.0 {
                continue;
            }
            let slope = (end_value - value) / width;
            pieces.push(Piece { start, value, slope, first, second });
            second += width * (first + width * (value / 2.0 + width * slope / 6.0));
            first += width * (value + width * slope / 2.0);
        }
        let start = knots.last().map_or(0.0, |knot| knot.0);
        pieces.push(Piece { start, value: 0.0, slope: 0.0, first, second });
        let (mut before, mut changes) = (Piece::NOTHING, Vec::with_capacity(pieces.len()));
        for piece in &pieces {
            changes.push(Piece {
                start: piece.start,
                value: piece.value - (before.value + before.slope * (piece.start - before.start)),
                slope: piece.slope - before.slope,
                ..Piece::NOTHING
            });
            before = *piece;
        }
        Self { pieces, changes }
    }

    /// What follows the last knot.
    fn through(&self) -> &Piece {
        &self.pieces[self.pieces.len() - 1]
    }

    /// Penetration over thickness beyond which no force acts.
    pub fn end(&self) -> f64 {
        self.through().start
    }

    /// Work per unit of peak force and thickness, ∫φ d(u/t).
    pub fn work_factor(&self) -> f64 {
        self.through().first
    }

    /// Where φ has a kink or a jump, in rising order.
    pub fn knots(&self) -> impl Iterator<Item = f64> + '_ {
        self.pieces.iter().map(|piece| piece.start)
    }

    /// Whether φ jumps where it starts and ends.
    pub fn has_jumps(&self) -> bool {
        self.pieces.first().is_some_and(|piece| piece.value > 0.0)
    }

    /// φ at `x = u/t`.
    pub fn value(&self, x: f64) -> f64 {
        let piece = self.piece_at(x);
        // Just before a last piece falls to zero, rounding must not take it below.
        if x > 0.0 { (piece.value + piece.slope * (x - piece.start)).max(0.0) } else { 0.0 }
    }

    /// ∫φ from 0 to `x`.
    pub fn first_integral(&self, x: f64) -> f64 {
        self.integrals(x).0
    }

    /// ∫φ and ∫∫φ from 0 to `x`.
    #[inline]
    pub fn integrals(&self, x: f64) -> (f64, f64) {
        if x <= 0.0 {
            return (0.0, 0.0);
        }
        let piece = self.piece_at(x);
        let d = x - piece.start;
        (
            piece.first + d * (piece.value + d * piece.slope / 2.0),
            piece.second + d * (piece.first + d * (piece.value / 2.0 + d * piece.slope / 6.0)),
        )
    }

    /// Calls `visit` with runs of the falling `heights` h, and the piece of φ in which
    /// `(entry − h)/thickness` lies there. Heights above first touch are left out.
    ///
    /// The penetration only rises, so the pieces follow each other.
    pub(crate) fn for_each_run(
        &self,
        entry: f64,
        thickness: f64,
        heights: &[f64],
        mut visit: impl FnMut(Range<usize>, &Piece),
    ) {
        let Some(&last) = heights.last() else { return };
        let x = |h: f64| (entry - h) / thickness;
        let x_last = x(last);
        let end_of_run = |from: usize, end: f64| match x_last < end {
            true => heights.len(),
            false => from + heights[from..].partition_point(|&h| x(h) < end),
        };
        let mut from = end_of_run(0, 0.0);
        for (index, piece) in self.pieces.iter().enumerate() {
            if from == heights.len() {
                return;
            }
            let end = self.pieces.get(index + 1).map_or(f64::INFINITY, |next| next.start);
            if x(heights[from]) < end {
                let to = end_of_run(from, end);
                visit(from..to, piece);
                from = to;
            }
        }
    }

    /// The pieces on which there may be force, with the end of each.
    pub(crate) fn pieces(&self) -> impl DoubleEndedIterator<Item = (Piece, f64)> + '_ {
        self.pieces.windows(2).map(|pair| (pair[0], pair[1].start))
    }

    /// What comes to φ at each of its knots.
    pub(crate) fn changes(&self) -> &[Piece] {
        &self.changes
    }

    /// The piece at a penetration above 0.
    #[inline]
    pub(crate) fn piece_at(&self, x: f64) -> &Piece {
        let mut index = 0;
        while index + 1 < self.pieces.len() && self.pieces[index + 1].start <= x {
            index += 1;
        }
        &self.pieces[index]
    }
}

impl Piece {
    const NOTHING: Self = Self { start: 0.0, value: 0.0, slope: 0.0, first: 0.0, second: 0.0 };
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    /// Mild steel: separation 0.65–0.75 of thickness (simulated cut edges, published-data set of
    /// the University of Stuttgart, DC03).
    const MILD_STEEL: f64 = 0.70;

    fn closed(clearance_percent: f64) -> SlugPath {
        SlugPath::Closed { clearance_percent, slugs_in_land: 1.0 }
    }

    #[test]
    fn plateau_work_is_force_times_penetration() {
        assert_close(CutProfile::plateau(0.4).work_factor(), 0.4, 1e-15);
    }

    #[test]
    fn shaped_peak_is_exactly_one_near_a_third_of_thickness() {
        let profile = CutProfile::shaped(MILD_STEEL, SlugPath::Open);
        let peak_at = profile.knots().find(|&x| profile.value(x) >= 1.0).unwrap_or(f64::NAN);
        assert_eq!(profile.value(peak_at + 1e-6), 1.0);
        assert!((0.25..=0.40).contains(&peak_at), "{peak_at}");
        let highest = (0..2000).map(|i| profile.value(f64::from(i) * 1e-3)).fold(0.0, f64::max);
        assert!(highest <= 1.0);
    }

    /// Keller: 0.23–0.30 by formula, times 1.05–1.2 for clearance; design reading 0.25–0.35.
    #[test]
    fn shaped_work_to_separation_lies_in_the_measured_band() {
        for clearance in [3.0, 5.0, 8.0, 12.0] {
            let profile = CutProfile::shaped(MILD_STEEL, closed(clearance));
            let work = profile.first_integral(MILD_STEEL);
            assert!((0.25..=0.35).contains(&work), "{clearance} %: {work}");
        }
    }

    /// Keller, whole process at 3 to 5 % clearance a side: 0.47–0.60 of peak force times thickness.
    #[test]
    fn shaped_work_with_slug_lies_in_the_measured_band_at_tight_clearance() {
        for clearance in [3.0, 4.0, 5.0] {
            let work = CutProfile::shaped(MILD_STEEL, closed(clearance)).work_factor();
            assert!((0.47..=0.60).contains(&work), "{clearance} %: {work}");
        }
    }

    #[test]
    fn slug_tail_vanishes_at_wide_clearance_and_grows_with_slugs() {
        assert_eq!(CutProfile::shaped(MILD_STEEL, closed(10.0)).end(), MILD_STEEL);
        let one = CutProfile::shaped(MILD_STEEL, closed(8.0)).work_factor();
        let three = SlugPath::Closed { clearance_percent: 8.0, slugs_in_land: 3.0 };
        assert!(CutProfile::shaped(MILD_STEEL, three).work_factor() > one);
    }

    #[test]
    fn integrals_are_antiderivatives() {
        let profile = CutProfile::shaped(0.65, closed(5.0));
        let step = 1e-5;
        for i in 1..200 {
            let x = f64::from(i) * 0.01 + 0.0031;
            let (first_below, second_below) = profile.integrals(x - step);
            let (first_above, second_above) = profile.integrals(x + step);
            let slope = (first_above - first_below) / (2.0 * step);
            assert!((slope - profile.value(x)).abs() < 1e-4, "{x}");
            let slope = (second_above - second_below) / (2.0 * step);
            assert!((slope - profile.first_integral(x)).abs() < 1e-4, "{x}");
        }
    }
}
