//! The loads of all stations through the stroke.
//!
//! Curves are kept per station and in die coordinates, so that moving the die on the bolster or
//! asking for another strip state costs a sum, not a new evaluation of the laws.

use crate::{
    Energy, Force, InputError, Length, Line, Motion, Sheet, Stock,
    cutting::CutModel,
    die::{DieKind, Station},
    evaluation::{Evaluation, sum},
    load::{KeyHeight, LoadSeries},
    order,
    station_loads::{StationLoads, Terms},
    strip::{Strip, StripState, in_order},
};
use std::sync::Arc;

/// Straight lines between the rows stay within this part of the peak force.
const CURVE_TOLERANCE: f64 = 1e-3;
/// Where between two rows the curve is probed. Not in the middle and not alike on both sides: the S
/// of a round punch ground with a slope crosses its chord in the middle. One lies close to the upper
/// row: where a rounded corner touches first, force rises steeply at once.
const PROBES: [f64; 3] = [0.07, 0.36, 0.71];
/// Refinement stops at this many rows; the tolerance is reached far earlier on real dies.
const MOST_ROWS: usize = 20_000;
/// Kinks that are kept as rows of their own before refinement.
const MOST_KEYS: usize = 5_000;
/// Heights between two rows at which a peak is looked for in one go: enough for the sum over a long
/// outline to come from events.
const SECTIONS: usize = 32;
/// At a jump the curve is evaluated this far above and below, in metres.
const JUMP_STEP: f64 = 1e-12;
/// Rows closer than this, in metres, are one.
const SAME_HEIGHT: f64 = 1e-10;

/// A row of the curves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Slide height above BDC.
    pub height: Length,
    /// Height in metres at which the laws are evaluated: beside a jump it lies a hair off.
    at: f64,
}

/// What one station puts on the slide, in die coordinates.
#[derive(Clone, Debug, PartialEq)]
pub struct StationCurve {
    /// Place along the strip.
    pub strip_position: u32,
    /// The hit from which on all of it is on stock, while the die fills up: its place along the strip
    /// where the leading edge is not followed.
    pub full_from: u32,
    /// What acts with stock at hits at which the strip ends within it, in place of `with_stock`.
    pub half: Vec<(u32, LoadSeries)>,
    /// The sheet that is worked there on this line.
    pub sheet: Sheet,
    /// What acts where stock is in the station.
    pub with_stock: LoadSeries,
    /// What acts in any case: springs and cushions.
    pub springs: LoadSeries,
    /// Work of both per stroke.
    pub work: Energy,
    /// Cutting force of whole edges times strip factor.
    pub strip_force: Force,
    /// How much deeper its deepest unfinished cut would have to go; zero if all are through.
    pub unfinished: Length,
}

/// All stations on one line.
#[derive(Clone, Debug, PartialEq)]
pub struct StrokeLine {
    /// In the order of the job.
    pub stations: Vec<StationCurve>,
}

/// All stations through the stroke, nominal and upper.
#[derive(Clone, Debug)]
pub struct Stroke {
    /// The rows, from TDC down to BDC.
    pub rows: Vec<Row>,
    /// Middle of every range, sharp.
    pub nominal: Arc<StrokeLine>,
    /// Strongest, thickest, dullest.
    pub upper: Arc<StrokeLine>,
    /// Whether the strip's leading edge is followed while the die fills up.
    pub follows_strip: bool,
    /// What the next stroke may take over.
    evaluation: Arc<Evaluation>,
}

/// Which station's which work cannot be, and why.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkError {
    /// Index of the station.
    pub station: usize,
    /// Index of its work, or nothing if its stock is at fault.
    pub work: Option<usize>,
    /// What is wrong.
    pub error: InputError,
}

impl std::fmt::Display for WorkError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.work {
            Some(work) => {
                write!(f, "station {} work {}: {}", self.station + 1, work + 1, self.error)
            }
            None => write!(f, "station {}: {}", self.station + 1, self.error),
        }
    }
}

impl std::error::Error for WorkError {}

impl StationCurve {
    /// What acts with stock in a strip state; nothing where there is no stock.
    pub fn stock_in(&self, state: StripState) -> Option<&LoadSeries> {
        if state.reaches(self.strip_position, self.full_from) {
            return Some(&self.with_stock);
        }
        let StripState::Hit(hit) = state else { return None };
        self.half.iter().find(|half| half.0 == hit).map(|half| &half.1)
    }
}

impl Stroke {
    /// Evaluates all stations through a stroke of length `stroke`.
    ///
    /// # Errors
    ///
    /// [`WorkError`] naming the station and work whose data no law can work with.
    pub fn new(
        stations: &[Station],
        stock: &Stock,
        model: CutModel,
        stroke: Length,
    ) -> Result<Self, WorkError> {
        Self::with_strip(stations, stock, model, stroke, None)
    }

    /// As [`Stroke::new`], with the leading edge of `strip` followed while the die fills up.
    ///
    /// # Errors
    ///
    /// As [`Stroke::new`]; [`InputError::TooManyHits`] where the strip does not fill the die soon
    /// enough.
    pub fn with_strip(
        stations: &[Station],
        stock: &Stock,
        model: CutModel,
        stroke: Length,
        strip: Option<&Strip>,
    ) -> Result<Self, WorkError> {
        Self::with_strip_reusing(stations, stock, model, stroke, strip, None)
    }

    /// As [`Stroke::with_strip`], taking over from a `previous` stroke what an edit has left alone:
    /// where no station changed its curves are shared, else the search for the rows starts from the
    /// total forces before. Rounding of the search aside, the curves are those of a stroke from
    /// scratch.
    ///
    /// # Errors
    ///
    /// As [`Stroke::with_strip`].
    pub fn with_strip_reusing(
        stations: &[Station],
        stock: &Stock,
        model: CutModel,
        stroke: Length,
        strip: Option<&Strip>,
        previous: Option<&Self>,
    ) -> Result<Self, WorkError> {
        let terms = Terms { stock: *stock, model, strip: strip.copied() };
        let unchanged = |previous: &&Self| {
            previous.rows.first().is_some_and(|row| row.height == stroke)
                && previous.evaluation.is_of(stations, &terms)
        };
        if let Some(previous) = previous.filter(unchanged) {
            return Ok(previous.clone());
        }
        let (all, before) =
            Evaluation::new(stations, terms, previous.map(|stroke| &*stroke.evaluation))?;
        let mut trial = Trial { all, before };
        let rows = trial.rows(stroke);
        let mut evaluation = trial.all;
        evaluation.finish();

        let heights: Vec<f64> = rows.iter().map(|row| row.at).collect();
        let line = |line: Line| StrokeLine {
            stations: stations
                .iter()
                .zip(&evaluation.stations)
                .map(|(station, evaluated)| {
                    let loads = &evaluated.loads[line as usize];
                    StationCurve {
                        strip_position: station.strip_position,
                        full_from: loads.full_from,
                        half: loads
                            .half
                            .iter()
                            .map(|(hit, loads)| (*hit, sum(loads, &heights)))
                            .collect(),
                        sheet: loads.sheet,
                        with_stock: sum(&loads.with_stock, &heights),
                        springs: sum(&loads.springs, &heights),
                        work: loads.work(),
                        strip_force: loads.strip_force,
                        unfinished: loads.unfinished,
                    }
                })
                .collect(),
        };
        let (nominal, upper) = (Arc::new(line(Line::Nominal)), Arc::new(line(Line::Upper)));
        let evaluation = Arc::new(evaluation);
        Ok(Self { rows, nominal, upper, follows_strip: strip.is_some(), evaluation })
    }

    /// The states that the strip goes through, the full strip first.
    pub fn strip_states(&self, kind: DieKind) -> Vec<StripState> {
        let stations = &self.nominal.stations;
        let positions: Vec<u32> = stations.iter().map(|station| station.strip_position).collect();
        // Hits at which something changes: a station is cut half, or is all on stock for the first
        // time; at the last of them the strip is full.
        let changes: Vec<u32> = stations
            .iter()
            .flat_map(|station| station.half.iter().map(|half| half.0).chain([station.full_from]))
            .collect();
        let mut filling = in_order(&changes);
        filling.pop();
        let state = if self.follows_strip { StripState::Hit } else { StripState::Filling };
        let filling: Vec<StripState> = filling.into_iter().map(state).collect();
        StripState::all(kind, &filling, &positions)
    }

    /// A series of the stroke's rows at a height, straight between the rows; at a jump the value after it.
    pub fn value_at(&self, values: &[f64], height: Length) -> f64 {
        let rows = &self.rows;
        let next = rows.partition_point(|row| row.height >= height);
        match (next.checked_sub(1), rows.get(next)) {
            (Some(above), Some(below)) => {
                let span = rows[above].height - below.height;
                let part =
                    if span > Length::ZERO { (rows[above].height - height) / span } else { 0.0 };
                values[above] + part * (values[next] - values[above])
            }
            (Some(above), None) => values[above],
            (None, _) => 0.0,
        }
    }

    /// The curves of one line.
    pub fn line(&self, line: Line) -> &StrokeLine {
        match line {
            Line::Nominal => &self.nominal,
            Line::Upper => &self.upper,
        }
    }
}

impl StrokeLine {
    /// The sum over the stations in a strip state, brought onto the bolster by `placement`.
    pub fn total(&self, state: StripState, placement: &Motion) -> LoadSeries {
        let mut total = self.zero();
        for station in &self.stations {
            total.add(&station.springs);
            if let Some(with_stock) = station.stock_in(state) {
                total.add(with_stock);
            }
        }
        total.place(placement);
        total
    }

    /// Calls `visit` with the sum in each of `states`, which cost one addition per station each.
    pub fn for_each_state(
        &self,
        states: &[StripState],
        placement: &Motion,
        mut visit: impl FnMut(StripState, &LoadSeries),
    ) {
        let mut springs = self.zero();
        for station in &self.stations {
            springs.add(&station.springs);
        }
        let in_order_of = |key: fn(&StationCurve) -> u32| -> Vec<&StationCurve> {
            let keys: Vec<f64> = self.stations.iter().map(|s| f64::from(key(s))).collect();
            order::rising(&keys).into_iter().map(|i| &self.stations[i]).collect()
        };
        let mut show = |state, sum: &LoadSeries| {
            let mut total = sum.clone();
            total.place(placement);
            visit(state, &total);
        };

        let ordered = in_order_of(|station| station.full_from);
        let mut sum = springs.clone();
        let mut next = 0;
        for &state in states {
            if let StripState::Filling(hit) | StripState::Hit(hit) = state {
                while next < ordered.len() && ordered[next].full_from <= hit {
                    sum.add(&ordered[next].with_stock);
                    next += 1;
                }
                let half = ordered[next..].iter().filter_map(|station| station.stock_in(state));
                let mut total = sum.clone();
                half.for_each(|half| total.add(half));
                show(state, &total);
            }
        }
        for station in &ordered[next..] {
            sum.add(&station.with_stock);
        }
        if states.contains(&StripState::Full) {
            show(StripState::Full, &sum);
        }
        for &state in states {
            if let StripState::BlankMissing(missing) = state {
                let mut total = sum.clone();
                for station in &self.stations {
                    if station.strip_position == missing {
                        total.subtract(&station.with_stock);
                    }
                }
                show(state, &total);
            }
        }

        let ordered = in_order_of(|station| station.strip_position);
        let mut sum = springs;
        let mut remaining = ordered.len();
        for &state in states.iter().rev() {
            if let StripState::RunningOut(first) = state {
                while remaining > 0 && ordered[remaining - 1].strip_position >= first {
                    remaining -= 1;
                    sum.add(&ordered[remaining].with_stock);
                }
                show(state, &sum);
            }
        }
    }

    /// Work per stroke with the strip full.
    pub fn work(&self) -> Energy {
        self.stations.iter().map(|station| station.work).sum()
    }

    fn zero(&self) -> LoadSeries {
        LoadSeries::zero(self.stations.first().map_or(0, |s| s.springs.force.len()))
    }
}

/// The search for the rows: every height that is tried is evaluated once and has a place.
struct Trial<'a> {
    all: Evaluation,
    before: Option<&'a Evaluation>,
}

impl Trial<'_> {
    /// The heights at which the curves are kept: every kink and both sides of
    /// every jump, refined until straight lines between rows are good, and the peaks of both lines to
    /// the last digit that counts.
    fn rows(&mut self, stroke: Length) -> Vec<Row> {
        let keys = kinks(self.all.stations.iter().flat_map(|station| &*station.loads), stroke);
        let mut rows = Vec::with_capacity(2 * keys.len());
        for key in keys {
            let height = Length::from_metres(key.height);
            if key.jump {
                rows.push(Row { height, at: key.height + JUMP_STEP });
                rows.push(Row { height, at: key.height - JUMP_STEP });
            } else {
                rows.push(Row { height, at: key.height });
            }
        }
        let heights: Vec<f64> = rows.iter().map(|row| row.at).collect();
        let places = self.all.add(&heights, self.before);
        let mut rows: Vec<(Row, usize)> = rows.into_iter().zip(places).collect();
        self.refine(&mut rows);
        self.add_peaks(&mut rows);
        rows.into_iter().map(|row| row.0).collect()
    }

    fn refine(&mut self, rows: &mut Vec<(Row, usize)>) {
        let peaks =
            [0, 1].map(|line: usize| self.all.force[line].iter().copied().fold(0.0, f64::max));
        // Intervals still to be looked at, by the index of their upper row.
        let mut open = vec![true; rows.len()];
        while open.iter().any(|&is_open| is_open) && rows.len() < MOST_ROWS {
            let probes: Vec<Option<[f64; PROBES.len()]>> = (0..rows.len())
                .map(|i| {
                    let (high, low) = (rows[i].0.at, rows.get(i + 1)?.0.at);
                    (open[i] && high - low > 2.0 * SAME_HEIGHT)
                        .then(|| PROBES.map(|part| high + part * (low - high)))
                })
                .collect();
            let heights: Vec<f64> = probes.iter().flatten().flatten().copied().collect();
            if heights.is_empty() {
                break;
            }
            let mut next = self.all.add(&heights, self.before).start;
            let force = &self.all.force;
            let mut refined = Vec::with_capacity(rows.len() + heights.len());
            let mut still_open = Vec::with_capacity(refined.capacity());
            for (i, places) in probes.iter().enumerate() {
                let off_chord = |line: usize, probe: usize| {
                    let (high, low) = (force[line][rows[i].1], force[line][rows[i + 1].1]);
                    let chord = high + PROBES[probe] * (low - high);
                    (force[line][next + probe] - chord).abs() > CURVE_TOLERANCE * peaks[line]
                };
                let bent = places.is_some()
                    && (0..2).any(|line| (0..PROBES.len()).any(|probe| off_chord(line, probe)));
                refined.push(rows[i]);
                still_open.push(bent);
                if let Some(places) = *places {
                    if bent {
                        for (probe, at) in places.into_iter().enumerate() {
                            refined
                                .push((Row { height: Length::from_metres(at), at }, next + probe));
                            still_open.push(true);
                        }
                    }
                    next += PROBES.len();
                }
            }
            *rows = refined;
            open = still_open;
        }
    }

    /// Adds the row of each line's peak where it lies between two rows.
    fn add_peaks(&mut self, rows: &mut Vec<(Row, usize)>) {
        let mut found = Vec::new();
        for line in [0, 1] {
            let force: Vec<f64> = rows.iter().map(|row| self.all.force[line][row.1]).collect();
            let Some(highest) = highest_index(&force) else { continue };
            let mut high = rows[highest.saturating_sub(1)].0.at;
            let mut low = rows[(highest + 1).min(rows.len() - 1)].0.at;
            // The highest of some heights in one go: the peak lies between its neighbours.
            while high - low > SAME_HEIGHT * 10.0 {
                let step = (high - low) / (SECTIONS + 1) as f64;
                let heights: [f64; SECTIONS] =
                    std::array::from_fn(|i| high - step * (i + 1) as f64);
                let forces = self.all.force_once(line, &heights);
                let best = highest_index(&forces).unwrap_or(0);
                (high, low) = (heights[best] + step, heights[best] - step);
            }
            let peak = 0.5 * (high + low);
            // Where the top is flat, rounding makes no peak.
            if order::is_greater(self.all.force_once(line, &[peak])[0], force[highest]) {
                found.push(peak);
            }
        }
        for peak in found {
            let place = self.all.add(&[peak], self.before).start;
            let index = rows.partition_point(|row| row.0.at > peak);
            rows.insert(index, (Row { height: Length::from_metres(peak), at: peak }, place));
        }
    }
}

/// Where some loads have kinks and jumps within the stroke, from the top down, both ends of the
/// stroke among them.
fn kinks<'a>(loads: impl Iterator<Item = &'a StationLoads>, stroke: Length) -> Vec<KeyHeight> {
    let top = stroke.metres();
    let mut found: Vec<KeyHeight> = loads
        .flat_map(StationLoads::key_heights)
        .filter(|key| key.height >= 0.0 && key.height <= top)
        .collect();
    found.push(KeyHeight { height: top, jump: false });
    found.push(KeyHeight { height: 0.0, jump: false });
    let found_at: Vec<f64> = found.iter().map(|key| key.height).collect();
    let mut keys: Vec<KeyHeight> =
        order::falling(&found_at).into_iter().map(|i| found[i]).collect();
    // Thousands of operations bring more kinks than a curve needs: those that lie closest become one.
    let mut same_height = SAME_HEIGHT;
    loop {
        keys.dedup_by(|next, kept| {
            let same = kept.height - next.height <= same_height;
            kept.jump |= same && next.jump;
            same
        });
        if keys.len() <= MOST_KEYS {
            break;
        }
        same_height *= 10.0;
    }
    keys
}

/// Index of the largest value, the first of those that are equal but for rounding; nothing if all are
/// zero.
pub(crate) fn highest_index(values: &[f64]) -> Option<usize> {
    let mut best = None;
    for (index, &value) in values.iter().enumerate() {
        if order::is_greater(value, best.map_or(0.0, |b: usize| values[b])) {
            best = Some(index);
        }
    }
    best
}
