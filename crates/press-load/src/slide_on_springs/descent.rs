//! The slide followed on its way down.
//!
//! All curves are straight between their rows, so that between two rows the resting slide moves in a
//! straight line too: the way down is followed from one row of any station to the next, three linear
//! equations each, without a step size. Where the stock lets go faster than the springs follow, no
//! rest is near: the slide is then let down at a standing drive by implicit Euler steps of
//! `q̇ = −(q − G(q))`, which end where it rests again. A general solver would see the kinks as noise
//! and could jump past a rest.

use super::{Release, SlideRow, SlideSprings};
use crate::{
    Length, LoadSeries, Missing, Motion, Point, StripState, Stroke,
    snap_through::LET_GO,
    stroke::{StrokeLine, highest_index},
};

/// Rows of a station whose straight lines stay within this part of its peak are left out: the rows of
/// the curves themselves are no closer.
const ROW_TOLERANCE: f64 = 1e-3;
/// Least distance of two rows in metres: a jump is as wide as this.
const LEAST_STEP: f64 = 1e-10;
/// How much the drive is moved on where the slide finds no rest, in metres.
const NUDGE: f64 = 1e-8;
/// What the slide may still be away from its rest, in metres.
const AT_REST: f64 = 1e-11;
/// Where the slide finds no rest near by, damping is raised from this until the step goes with the
/// forces; the less there is, the farther a step goes.
const LEAST_DAMPING: f64 = 1e-6;
/// Steps without damping in search of one rest.
const MOST_NEWTON_STEPS: usize = 300;

/// Height, tilt left–right, tilt front–back; or force and the two moments.
pub(super) type Vector = [f64; 3];
type Matrix = [Vector; 3];

/// The curves of all stations on the bolster, with the rows that count.
pub(super) struct Tables {
    pub(super) all: Vec<Table>,
    /// Largest distance of a station from the middle.
    pub(super) reach: f64,
}

/// What one station's stock, or its springs, put on the slide over its local height.
pub(super) struct Table {
    station: usize,
    /// Springs push at any time, stock only when it is cut deeper than before.
    is_spring: bool,
    /// The one hit at which it acts, the strip ending within the station; none for the whole station.
    hit: Option<u32>,
    /// Where the local height is taken.
    at: Point,
    pub(super) rows: Vec<TableRow>,
    /// From this row on it has let go; none if it still pushes at BDC.
    released: usize,
}

/// Load at a height, and how it changes with height down to the next row.
#[derive(Clone, Copy)]
pub(super) struct TableRow {
    height: f64,
    load: Vector,
    slope: Vector,
}

impl Tables {
    pub(super) fn new(line: &StrokeLine, stroke: &Stroke, placement: &Motion) -> Self {
        let mut heights: Vec<f64> = stroke.rows.iter().map(|row| row.height.metres()).collect();
        // A jump is two rows at one height; here it gets a width, so that it has a slope.
        for index in 1..heights.len() {
            heights[index] = heights[index].min(heights[index - 1] - LEAST_STEP);
        }
        let mut all = Vec::with_capacity(line.stations.len());
        for (station, curve) in line.stations.iter().enumerate() {
            for (series, is_spring) in [(&curve.with_stock, false), (&curve.springs, true)] {
                all.extend(Table::new(station, is_spring, &heights, series, placement));
            }
            for (hit, series) in &curve.half {
                let half = Table::new(station, false, &heights, series, placement);
                all.extend(half.map(|table| Table { hit: Some(*hit), ..table }));
            }
        }
        let reach = all.iter().map(|table| table.at.x.hypot(table.at.y)).fold(0.0, f64::max);
        Self { all, reach }
    }
}

impl Table {
    /// Nothing if no force acts.
    fn new(
        station: usize,
        is_spring: bool,
        heights: &[f64],
        series: &LoadSeries,
        placement: &Motion,
    ) -> Option<Self> {
        let highest = highest_index(&series.force)?;
        let centre = series.centre(highest)?;
        let load = |index: usize| {
            let force = series.force[index];
            let moment = placement.turn(Point::new(series.moment_x[index], series.moment_y[index]));
            [force, moment.x + force * placement.shift.x, moment.y + force * placement.shift.y]
        };
        let first = series.force.iter().position(|&force| force > 0.0)?.saturating_sub(1);
        let half = 0.5 * series.force[highest];
        let half_at = (highest..heights.len()).find(|&index| series.force[index] <= half);
        let peak = |of: &[f64]| of.iter().fold(0.0_f64, |peak, value| peak.max(value.abs()));
        let tolerance = ROW_TOLERANCE * peak(&series.force);
        let reach = ROW_TOLERANCE * peak(&series.moment_x).max(peak(&series.moment_y));
        let tolerances = [tolerance, reach, reach];

        let mut rows = Vec::new();
        let mut released = usize::MAX;
        let mut index = first;
        loop {
            rows.push(TableRow { height: heights[index], load: load(index), slope: [0.0; 3] });
            if half_at.is_some_and(|at| index >= at) && released == usize::MAX {
                released = rows.len() - 1;
            }
            if index + 1 == heights.len() {
                break;
            }
            // The row at which a station lets go is kept, whatever the tolerance.
            let end = half_at.filter(|&at| at > index).unwrap_or(heights.len() - 1);
            index = farthest_straight(index, end, heights, load, tolerances);
        }
        for index in 1..rows.len() {
            let (above, below) = (rows[index - 1], rows[index]);
            let height = above.height - below.height;
            rows[index - 1].slope =
                [0, 1, 2].map(|part| (above.load[part] - below.load[part]) / height);
        }
        Some(Self { station, is_spring, hit: None, at: placement.apply(centre), rows, released })
    }

    fn acts_in(&self, state: StripState, line: &StrokeLine) -> bool {
        let station = &line.stations[self.station];
        match self.hit {
            Some(hit) => state == StripState::Hit(hit),
            None => self.is_spring || state.reaches(station.strip_position, station.full_from),
        }
    }
}

/// The farthest row up to `end` to which a straight line from `start` passes all rows between within
/// `tolerances`: every row passed narrows the cone of slopes that still do.
fn farthest_straight(
    start: usize,
    end: usize,
    heights: &[f64],
    load: impl Fn(usize) -> Vector,
    tolerances: Vector,
) -> usize {
    let from = load(start);
    let mut cone = [(f64::NEG_INFINITY, f64::INFINITY); 3];
    let mut farthest = start + 1;
    for index in start + 1..=end {
        let (to, fall) = (load(index), heights[start] - heights[index]);
        let mut inside = true;
        for part in 0..3 {
            let change = to[part] - from[part];
            let (least, most) = cone[part];
            inside &= change >= least * fall && change <= most * fall;
            let tolerance = tolerances[part];
            cone[part] =
                (least.max((change - tolerance) / fall), most.min((change + tolerance) / fall));
        }
        if inside {
            farthest = index;
        }
        if cone.iter().any(|(least, most)| least > most) {
            break;
        }
    }
    farthest
}

/// Where on its curve a station is.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Piece {
    /// Not touched.
    Above,
    /// From this row to the next, or below the last one.
    On(usize),
    /// The slide has come back above the deepest point, at this height on this row's piece: the
    /// stock lets go.
    LettingGo(f64, usize),
    /// It has let go.
    Free(f64, usize),
}

/// A station as the slide comes down.
struct Contact<'a> {
    table: &'a Table,
    piece: Piece,
}

impl Contact<'_> {
    fn height(&self, slide: &Vector) -> f64 {
        slide[0] + slide[1] * self.table.at.x + slide[2] * self.table.at.y
    }

    /// Load, and its change with height.
    fn load(&self, height: f64) -> (Vector, Vector) {
        let on = |row: &TableRow, height: f64| {
            [0, 1, 2].map(|part| row.load[part] + row.slope[part] * (height - row.height))
        };
        match self.piece {
            Piece::Above | Piece::Free(..) => ([0.0; 3], [0.0; 3]),
            Piece::On(index) => {
                let row = &self.table.rows[index];
                (on(row, height), row.slope)
            }
            Piece::LettingGo(deepest, index) => {
                let full = on(&self.table.rows[index], deepest);
                let hold = 1.0 - (height - deepest) / LET_GO;
                (full.map(|load| load * hold), full.map(|load| -load / LET_GO))
            }
        }
    }

    /// The height at which a move by `change` leaves the piece, and the piece that follows.
    fn next(&self, height: f64, change: f64) -> Option<(f64, Piece)> {
        let rows = &self.table.rows;
        if change < 0.0 {
            match self.piece {
                Piece::Above => Some((rows[0].height, Piece::On(0))),
                Piece::On(index) => Some((rows.get(index + 1)?.height, Piece::On(index + 1))),
                Piece::LettingGo(deepest, index) => Some((deepest, Piece::On(index))),
                Piece::Free(deepest, index) => {
                    Some((deepest + LET_GO, Piece::LettingGo(deepest, index)))
                }
            }
        } else {
            match self.piece {
                Piece::Above | Piece::Free(..) => None,
                Piece::On(index) if !self.table.is_spring => {
                    Some((height, Piece::LettingGo(height, index)))
                }
                Piece::On(0) => Some((rows[0].height, Piece::Above)),
                Piece::On(index) => Some((rows[index].height, Piece::On(index - 1))),
                Piece::LettingGo(deepest, index) => {
                    Some((deepest + LET_GO, Piece::Free(deepest, index)))
                }
            }
        }
    }
}

/// The slide as it comes down.
pub(super) struct Slide<'a> {
    springs: &'a SlideSprings,
    contacts: Vec<Contact<'a>>,
    at: Vector,
    drive: f64,
    releases: Vec<Release>,
}

impl<'a> Slide<'a> {
    pub(super) fn new(
        springs: &'a SlideSprings,
        tables: &'a Tables,
        line: &StrokeLine,
        state: StripState,
    ) -> Self {
        let contacts: Vec<Contact> = tables
            .all
            .iter()
            .filter(|table| table.acts_in(state, line))
            .map(|table| Contact { table, piece: Piece::Above })
            .collect();
        let touch = contacts.iter().map(|c| c.table.rows[0].height).fold(0.0, f64::max);
        Self { springs, contacts, at: [touch, 0.0, 0.0], drive: touch, releases: Vec::new() }
    }

    /// Follows the slide to BDC and shows every rest at which a station passes a row.
    pub(super) fn follow(
        mut self,
        show: &mut dyn FnMut(SlideRow),
    ) -> Result<Vec<Release>, Missing> {
        let rows: usize = self.contacts.iter().map(|contact| contact.table.rows.len()).sum();
        // Every row is passed once, or a few times where the slide rocks.
        let most_steps = 20 * rows + 2_000;
        let mut settling = false;
        let (mut settling_steps, mut standing_steps) = (0, 0);
        // Kept while the slide stands, so that a station which changes its piece does not turn back.
        let mut kept = 0.0;
        let mut rests = true;
        for _ in 0..most_steps {
            let target = if settling { self.drive } else { 0.0 };
            let (load, matrix) = self.linear();
            if rests {
                show(self.row(&load));
            }
            // Newton steps that go round in circles become small ones.
            let mut damping: f64 = if settling_steps > MOST_NEWTON_STEPS { 1.0 } else { kept };
            while !is_stable(&damped(&matrix, damping)) {
                damping = (4.0 * damping).max(LEAST_DAMPING);
                if !damping.is_finite() {
                    return Err(Missing::Rest);
                }
            }
            // Stations that hand the slide from piece to piece without moving it need a push too.
            let stuck = standing_steps > 2 * self.contacts.len() + 10;
            if !settling && (damping > 0.0 || stuck) && self.drive > NUDGE {
                (settling, rests) = (true, false);
                (settling_steps, standing_steps) = (0, 0);
                self.drive -= NUDGE;
                continue;
            }
            let give = self.springs.give(load);
            let missing =
                [0, 1, 2].map(|i| give[i] - self.at[i] + if i == 0 { target } else { 0.0 });
            let (change, _) = eliminate(&damped(&matrix, damping), &missing);
            if change.iter().any(|part| !part.is_finite()) {
                return Err(Missing::Rest);
            }
            let event = self.nearest_event(&change);
            let part = event.map_or(1.0, |(part, ..)| part);
            for (at, change) in self.at.iter_mut().zip(change) {
                *at += part * change;
            }
            kept = if part > 0.0 { 0.0 } else { damping };
            standing_steps = if part > 0.0 { 0 } else { standing_steps + 1 };
            if !settling {
                self.drive += part * (target - self.drive);
            }
            if let Some((_, index, piece)) = event {
                self.enter(index, piece);
            } else if !settling {
                let (load, _) = self.linear();
                show(self.row(&load));
                return Ok(self.releases);
            } else if damping == 0.0 || (is_stable(&matrix) && self.is_small(&missing)) {
                settling = false;
            }
            settling_steps = if settling { settling_steps + 1 } else { 0 };
            rests = !settling && part > 0.0;
        }
        Err(Missing::Rest)
    }

    /// The load, and the matrix `1 − C·∂load/∂slide` whose stability says whether the slide rests.
    fn linear(&self) -> (Vector, Matrix) {
        let mut load = [0.0; 3];
        let mut matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        for contact in &self.contacts {
            if matches!(contact.piece, Piece::Above | Piece::Free(..)) {
                continue;
            }
            let (part, slope) = contact.load(contact.height(&self.at));
            let give = self.springs.give(slope);
            let lever = [1.0, contact.table.at.x, contact.table.at.y];
            for row in 0..3 {
                load[row] += part[row];
                for column in 0..3 {
                    matrix[row][column] -= give[row] * lever[column];
                }
            }
        }
        (load, matrix)
    }

    /// Which station leaves its piece first on a move by `change`: after which part of it, which
    /// one, and to which piece.
    fn nearest_event(&self, change: &Vector) -> Option<(f64, usize, Piece)> {
        let mut nearest: Option<(f64, usize, Piece)> = None;
        for (index, contact) in self.contacts.iter().enumerate() {
            let at = contact.table.at;
            let (x, y) = (change[1] * at.x, change[2] * at.y);
            let fall = change[0] + x + y;
            // What is left of equal and opposite moves is rounding.
            if fall.abs() <= 1e-13 * (change[0].abs() + x.abs() + y.abs()) {
                continue;
            }
            let height = contact.height(&self.at);
            let Some((end, piece)) = contact.next(height, fall) else { continue };
            let part = ((end - height) / fall).max(0.0);
            if part < nearest.map_or(1.0, |(part, ..)| part) {
                nearest = Some((part, index, piece));
            }
        }
        nearest
    }

    fn is_small(&self, missing: &Vector) -> bool {
        let reach =
            self.contacts.iter().map(|c| c.table.at.x.hypot(c.table.at.y)).fold(0.0, f64::max);
        missing[0].abs() + missing[1].hypot(missing[2]) * reach < AT_REST
    }

    fn enter(&mut self, index: usize, piece: Piece) {
        let contact = &mut self.contacts[index];
        let was = contact.piece;
        contact.piece = piece;
        let table = contact.table;
        if let (Piece::On(from), Piece::On(to)) = (was, piece)
            && !table.is_spring
            && from < table.released
            && to >= table.released
        {
            let drive = Length::from_metres(self.drive);
            self.releases.push(Release { station: table.station, drive });
        }
    }

    fn row(&self, load: &Vector) -> SlideRow {
        SlideRow {
            drive: Length::from_metres(self.drive),
            slide: Length::from_metres(self.at[0]),
            tilt_x: self.at[1],
            tilt_y: self.at[2],
            force: load[0],
            moment_x: load[1],
            moment_y: load[2],
        }
    }
}

fn damped(matrix: &Matrix, damping: f64) -> Matrix {
    let mut damped = *matrix;
    for (index, row) in damped.iter_mut().enumerate() {
        row[index] += damping;
    }
    damped
}

/// Whether all eigenvalues lie right of zero (Routh and Hurwitz, for three).
fn is_stable(m: &Matrix) -> bool {
    let trace = m[0][0] + m[1][1] + m[2][2];
    let minor = |i: usize, j: usize| m[i][i] * m[j][j] - m[i][j] * m[j][i];
    let minors = minor(0, 1) + minor(0, 2) + minor(1, 2);
    let determinant = eliminate(m, &[0.0; 3]).1;
    trace > 0.0 && determinant > 0.0 && trace * minors > determinant
}

/// The solution and the determinant, by elimination with pivots: where stock is met at a jump the
/// matrix holds millions beside ones, which products of all three rows would lose.
fn eliminate(matrix: &Matrix, right: &Vector) -> (Vector, f64) {
    let (mut m, mut x) = (*matrix, *right);
    let mut determinant = 1.0;
    for column in 0..3 {
        let mut pivot = column;
        for row in column + 1..3 {
            if m[row][column].abs() > m[pivot][column].abs() {
                pivot = row;
            }
        }
        if pivot != column {
            m.swap(pivot, column);
            x.swap(pivot, column);
            determinant = -determinant;
        }
        determinant *= m[column][column];
        for row in column + 1..3 {
            let upper = m[column];
            let factor = m[row][column] / upper[column];
            for (value, upper) in m[row].iter_mut().zip(upper) {
                *value -= factor * upper;
            }
            x[row] -= factor * x[column];
        }
    }
    for row in (0..3).rev() {
        for later in row + 1..3 {
            x[row] -= m[row][later] * x[later];
        }
        x[row] /= m[row][row];
    }
    (x, determinant)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    /// By hand: 2x + y = 5, x + 3y + z = 10, 4z = 8.
    #[test]
    fn three_equations_are_solved_and_their_determinant_is_known() {
        let matrix = [[2.0, 1.0, 0.0], [1.0, 3.0, 1.0], [0.0, 0.0, 4.0]];
        let (x, determinant) = eliminate(&matrix, &[5.0, 10.0, 8.0]);
        assert_close(determinant, 20.0, 1e-12);
        for (found, expected) in x.into_iter().zip([1.4, 2.2, 2.0]) {
            assert_close(found, expected, 1e-12);
        }
        // Rows exchanged, the determinant changes its sign.
        let (_, exchanged) = eliminate(&[matrix[1], matrix[0], matrix[2]], &[0.0; 3]);
        assert_close(exchanged, -20.0, 1e-12);
    }

    /// Triangular matrices show their eigenvalues.
    #[test]
    fn matrix_is_stable_while_all_eigenvalues_are_positive() {
        let with = |a, b, c| [[a, 5.0, -2.0], [0.0, b, 7.0], [0.0, 0.0, c]];
        assert!(is_stable(&with(1.0, 2.0, 1e-9)));
        assert!(!is_stable(&with(1.0, 2.0, -1e-9)));
        assert!(!is_stable(&with(-1.0, -2.0, 3.0)));
        assert!(!is_stable(&with(f64::NAN, 1.0, 1.0)));
        // An oscillation that grows: eigenvalues 1 and −1 ± 2i.
        let growing = [[1.0, 0.0, 0.0], [0.0, -1.0, 2.0], [0.0, -2.0, -1.0]];
        assert!(!is_stable(&growing));
    }
}
