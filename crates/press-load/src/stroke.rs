//! The loads of all stations through the stroke.
//!
//! Curves are kept per station and in die coordinates, so that moving the die on the bolster or
//! asking for another strip state costs a sum, not a new evaluation of the laws.

use crate::{
    Energy, Force, InputError, Length, Line, Motion, Point, Sheet, Stock,
    cutting::CutModel,
    die::{DieKind, Station, Work},
    load::{KeyHeight, Load, LoadSeries},
    order,
    strip::{Strip, StripState, in_order},
};

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
/// At a jump the curve is evaluated this far above and below, in metres.
const JUMP_STEP: f64 = 1e-12;
/// What the strip overlaps by no more than this, in metres, is not worked.
const TOUCHED: f64 = 1e-9;
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
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// The rows, from TDC down to BDC.
    pub rows: Vec<Row>,
    /// Middle of every range, sharp.
    pub nominal: StrokeLine,
    /// Strongest, thickest, dullest.
    pub upper: StrokeLine,
    /// Whether the strip's leading edge is followed while the die fills up.
    pub follows_strip: bool,
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

/// The loads of a station on one line, before they are evaluated.
struct StationLoads {
    sheet: Sheet,
    full_from: u32,
    half: Vec<(u32, Vec<Load>)>,
    with_stock: Vec<Load>,
    springs: Vec<Load>,
    strip_force: Force,
    unfinished: Length,
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
        let nominal = station_loads(stations, stock, model, Line::Nominal, strip)?;
        let upper = station_loads(stations, stock, model, Line::Upper, strip)?;
        let rows = rows(&nominal, &upper, stroke);
        let heights: Vec<f64> = rows.iter().map(|row| row.at).collect();
        let line = |loads: &[StationLoads]| StrokeLine {
            stations: stations
                .iter()
                .zip(loads)
                .map(|(station, loads)| StationCurve {
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
                    work: loads.with_stock.iter().chain(&loads.springs).map(Load::work).sum(),
                    strip_force: loads.strip_force,
                    unfinished: loads.unfinished,
                })
                .collect(),
        };
        let (nominal, upper) = (line(&nominal), line(&upper));
        Ok(Self { rows, nominal, upper, follows_strip: strip.is_some() })
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

    /// The curves of one line.
    pub const fn line(&self, line: Line) -> &StrokeLine {
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
        place(&mut total, placement);
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
            place(&mut total, placement);
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

/// Turns and shifts the moments of a sum from die coordinates onto the bolster.
fn place(total: &mut LoadSeries, placement: &Motion) {
    for index in 0..total.force.len() {
        let turned = placement.turn(Point::new(total.moment_x[index], total.moment_y[index]));
        total.moment_x[index] = turned.x + total.force[index] * placement.shift.x;
        total.moment_y[index] = turned.y + total.force[index] * placement.shift.y;
    }
}

fn station_loads(
    stations: &[Station],
    stock: &Stock,
    model: CutModel,
    line: Line,
    strip: Option<&Strip>,
) -> Result<Vec<StationLoads>, WorkError> {
    stations
        .iter()
        .enumerate()
        .map(|(index, station)| {
            let at_fault = |work| move |error| WorkError { station: index, work, error };
            let sheet =
                station.stock.as_ref().unwrap_or(stock).sheet(line).map_err(at_fault(None))?;
            let to_die = Motion::new(station.at, 0.0);
            let mut loads = StationLoads {
                sheet,
                full_from: station.strip_position,
                half: Vec::new(),
                with_stock: Vec::new(),
                springs: Vec::new(),
                strip_force: Force::ZERO,
                unfinished: Length::ZERO,
            };
            for (work_index, placed) in station.work.iter().enumerate() {
                let motion = placed.motion.then(&to_die);
                let work_loads = placed
                    .work
                    .loads(&sheet, line, model, &motion)
                    .map_err(at_fault(Some(work_index)))?;
                if let Work::Cut(cut) = &placed.work {
                    let whole_edge: f64 = work_loads
                        .iter()
                        .map(|load| match load {
                            Load::Edge(edge) => edge.whole_edge_force(),
                            Load::Point(_) => 0.0,
                        })
                        .sum();
                    loads.unfinished = loads.unfinished.max(-cut.finished_at(&sheet));
                    loads.strip_force += Force::from_newtons(cut.strip_factor * whole_edge);
                }
                let kept = if placed.work.needs_stock() {
                    &mut loads.with_stock
                } else {
                    &mut loads.springs
                };
                kept.extend(work_loads);
            }
            if let Some(strip) = strip {
                let reach = reach(station, strip).map_err(at_fault(None))?;
                loads.full_from = reach.full_from;
                for hit in reach.first..reach.full_from {
                    let end = strip.end_at(hit);
                    let mut half = Vec::new();
                    for (work_index, placed) in station.work.iter().enumerate() {
                        if placed.work.needs_stock() {
                            let motion = placed.motion.then(&to_die);
                            let part = placed.work.loads_up_to(&sheet, line, model, &motion, end);
                            half.extend(part.map_err(at_fault(Some(work_index)))?);
                        }
                    }
                    loads.half.push((hit, half));
                }
            }
            if let Some(crate::stripping::Stripper::Sprung(spring)) = &station.stripper {
                let at = to_die.apply(Point::default());
                loads.springs.push(Load::Point(spring.load(at).map_err(at_fault(None))?));
            }
            Ok(loads)
        })
        .collect()
}

/// The hits from which on a station is partly and all on stock.
struct Reach {
    first: u32,
    full_from: u32,
}

fn reach(station: &Station, strip: &Strip) -> Result<Reach, InputError> {
    let (to_die, feed) = (Motion::new(station.at, 0.0), strip.feed.direction());
    let at = station.at.along(feed);
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for placed in station.work.iter().filter(|placed| placed.work.needs_stock()) {
        let (from, to) = placed.work.extent_along(&placed.motion.then(&to_die), feed)?;
        (low, high) = (low.min(from), high.max(to));
    }
    if low > high {
        (low, high) = (at, at);
    }
    // A hair beyond its beginning, so that an edge that only touches it does not count.
    let first = strip.hit_that_reaches(low + 2.0 * TOUCHED)?;
    Ok(Reach { first, full_from: strip.hit_that_reaches(high)?.max(first) })
}

fn sum(loads: &[Load], heights: &[f64]) -> LoadSeries {
    let mut series = LoadSeries::zero(heights.len());
    for load in loads {
        load.add_to(heights, &mut series);
    }
    series
}

/// Total forces of both lines at one list of falling heights.
fn totals(lines: [&[StationLoads]; 2], heights: &[f64]) -> [LoadSeries; 2] {
    lines.map(|stations| {
        let mut series = LoadSeries::zero(heights.len());
        for load in stations.iter().flat_map(|s| s.with_stock.iter().chain(&s.springs)) {
            load.add_to(heights, &mut series);
        }
        series
    })
}

/// The heights at which the curves are kept: every kink and both sides of every jump, refined until
/// straight lines between rows are good, and the peaks of both lines to the last digit that counts.
fn rows(nominal: &[StationLoads], upper: &[StationLoads], stroke: Length) -> Vec<Row> {
    let top = stroke.metres();
    let mut found: Vec<KeyHeight> = [nominal, upper]
        .iter()
        .flat_map(|stations| stations.iter())
        .flat_map(|s| {
            let half = s.half.iter().flat_map(|half| &half.1);
            s.with_stock.iter().chain(&s.springs).chain(half)
        })
        .flat_map(Load::key_heights)
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

    let lines = [nominal, upper];
    refine(&mut rows, lines);
    add_peaks(&mut rows, lines);
    rows
}

fn refine(rows: &mut Vec<Row>, lines: [&[StationLoads]; 2]) {
    let at = |rows: &[Row]| -> Vec<f64> { rows.iter().map(|row| row.at).collect() };
    let mut values = totals(lines, &at(rows));
    let peaks = [0, 1].map(|line: usize| values[line].force.iter().copied().fold(0.0, f64::max));
    // Intervals still to be looked at, by the index of their upper row.
    let mut open = vec![true; rows.len()];
    while open.iter().any(|&is_open| is_open) && rows.len() < MOST_ROWS {
        let probes: Vec<Option<[f64; PROBES.len()]>> = (0..rows.len())
            .map(|i| {
                let next = rows.get(i + 1)?;
                (open[i] && rows[i].at - next.at > 2.0 * SAME_HEIGHT)
                    .then(|| PROBES.map(|part| rows[i].at + part * (next.at - rows[i].at)))
            })
            .collect();
        let heights: Vec<f64> = probes.iter().flatten().flatten().copied().collect();
        if heights.is_empty() {
            break;
        }
        let found = totals(lines, &heights);
        let mut refined = Vec::with_capacity(rows.len() + heights.len());
        let mut still_open = Vec::with_capacity(refined.capacity());
        let mut next_values = [LoadSeries::default(), LoadSeries::default()];
        let mut push = |row: Row, is_open: bool, from: &[LoadSeries; 2], index: usize| {
            refined.push(row);
            still_open.push(is_open);
            for line in 0..2 {
                next_values[line].force.push(from[line].force[index]);
            }
        };
        let mut taken = 0;
        for (i, places) in probes.iter().enumerate() {
            let off_chord = |line: usize, probe: usize| {
                let (high, low) = (values[line].force[i], values[line].force[i + 1]);
                let chord = high + PROBES[probe] * (low - high);
                (found[line].force[taken + probe] - chord).abs() > CURVE_TOLERANCE * peaks[line]
            };
            let bent = places.is_some()
                && (0..2).any(|line| (0..PROBES.len()).any(|probe| off_chord(line, probe)));
            push(rows[i], bent, &values, i);
            if let Some(places) = *places {
                if bent {
                    for (probe, at) in places.into_iter().enumerate() {
                        let row = Row { height: Length::from_metres(at), at };
                        push(row, true, &found, taken + probe);
                    }
                }
                taken += PROBES.len();
            }
        }
        *rows = refined;
        open = still_open;
        values = next_values;
    }
}

/// Adds the row of each line's peak where it lies between two rows.
fn add_peaks(rows: &mut Vec<Row>, lines: [&[StationLoads]; 2]) {
    const GOLDEN: f64 = 0.618_033_988_749_895;
    let heights: Vec<f64> = rows.iter().map(|row| row.at).collect();
    let values = totals(lines, &heights);
    let mut found = Vec::new();
    for (line, series) in values.iter().enumerate() {
        let Some(highest) = highest_index(&series.force) else { continue };
        let force = |height: f64| totals(lines, &[height])[line].force[0];
        let mut high = heights[highest.saturating_sub(1)];
        let mut low = heights[(highest + 1).min(heights.len() - 1)];
        while high - low > SAME_HEIGHT * 10.0 {
            let (a, b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
            if force(a) >= force(b) { high = b } else { low = a }
        }
        let peak = 0.5 * (high + low);
        if force(peak) > series.force[highest] {
            found.push(peak);
        }
    }
    for peak in found {
        let index = rows.partition_point(|row| row.at > peak);
        rows.insert(index, Row { height: Length::from_metres(peak), at: peak });
    }
}

/// Index of the largest value, the first of equal ones; nothing if all are zero.
pub(crate) fn highest_index(values: &[f64]) -> Option<usize> {
    let mut best = None;
    for (index, &value) in values.iter().enumerate() {
        if value > best.map_or(0.0, |b: usize| values[b]) {
            best = Some(index);
        }
    }
    best
}
