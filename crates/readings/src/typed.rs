//! Two or four numbers off the load display, as a setter types them.

use crate::{
    Problem, Shares,
    correct::{READING_ACCURACY, entry},
};
use evenstroke_advice::Edit;
use evenstroke_job::{
    Job,
    day::Day,
    record::Peaks,
    what_if::{self, Case, Place, cases},
    words,
};
use press_load::{Check, Force, Line, order};
use serde_json::{Map, Value};

/// The snap-through is an estimate: a reverse load says something of a case only if it is off by more
/// than this part of what is predicted (our own form).
const REVERSE_ACCURACY: f64 = 0.5;
/// Cases that are off by less than this many times the accuracy of the reading look like it (our own
/// form).
const LIKE: f64 = 1.0;
/// Rows of the list of likely cases.
const MOST_LISTED: usize = 8;
/// Rise over all readings since the last grind from which on it is named (our own form: twice what a
/// display is good for).
const RISE: f64 = 0.10;

/// What the display said.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Typed {
    /// Peaks of the suspension points in kN, in the order of the display: left, right; or front left,
    /// front right, back left, back right.
    pub points_kn: Vec<f64>,
    /// Peak of the whole press in kN, where the display has one.
    pub peak_kn: Option<f64>,
    /// Reverse load in kN.
    pub reverse_kn: Option<f64>,
}

impl Typed {
    /// Peak of the whole press: as read, or the sum of the points.
    pub fn total_kn(&self) -> f64 {
        self.peak_kn.unwrap_or_else(|| self.points_kn.iter().sum())
    }

    /// The same with one number alone taken for the whole press's.
    pub(crate) fn with_one_as_peak(&self) -> Self {
        let mut typed = self.clone();
        if typed.points_kn.len() == 1 && typed.peak_kn.is_none() {
            typed.peak_kn = typed.points_kn.pop();
        }
        typed
    }
}

/// One place of the display.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypedRow {
    /// Where.
    pub place: Place,
    /// Nominal: what a display shows on a good day, in kN.
    pub predicted: f64,
    /// The bound, in kN.
    pub upper: f64,
    /// Read, in kN.
    pub read: f64,
}

/// What a reading looks like.
#[derive(Clone, Debug, PartialEq)]
pub struct Likely {
    /// In words.
    pub label: String,
    /// Its name in files.
    pub key: &'static str,
    /// Root of the mean square by which it is off at all places, in units of what a display is good
    /// for.
    pub off: f64,
    /// Whether it cannot be told from the first of the list.
    pub cannot_tell: bool,
}

/// How a figure goes over the record.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// What: peak or reverse load.
    pub what: &'static str,
    /// Day of the first reading.
    pub from: Day,
    /// Day of the last.
    pub to: Day,
    /// Readings.
    pub count: usize,
    /// From the first to the last along the middle slope, as a part of the lower of the first two.
    pub rise: f64,
    /// Whether it rises by more than a display is good for, in most steps.
    pub rising: bool,
}

/// A typed reading compared.
#[derive(Clone, Debug, PartialEq)]
pub struct TypedComparison {
    /// The whole press, then each point.
    pub rows: Vec<TypedRow>,
    /// Load centre in millimetres, to the right and to the back: predicted by the nominal peaks of the
    /// points, and worked back from the reading. The back is there for four points.
    pub centre: Option<[(f64, Option<f64>); 2]>,
    /// Reverse load in kN: predicted nominal and upper where it can be, and read.
    pub reverse: Option<(Option<(f64, f64)>, f64)>,
    /// Pull at which to stop, in kN.
    pub stop_kn: Option<f64>,
    /// Cases that look like it, the likeliest first.
    pub likely: Vec<Likely>,
    /// Cases that were tried.
    pub tried: usize,
    /// How peak and reverse load go over the record.
    pub trends: Vec<Trend>,
    /// What else there is to say.
    pub told: Vec<String>,
}

/// How many points a display of this press has.
pub fn points_of(job: &Job) -> usize {
    what_if::peaks(job, Line::Nominal).len() - 1
}

/// Compares a typed reading.
///
/// # Errors
///
/// [`Problem`] where nothing was read, a number is no force, or the points are not those of the press.
pub fn compare_typed(
    job: &Job,
    check: &Check,
    typed: &Typed,
    day: Option<Day>,
) -> Result<TypedComparison, Problem> {
    let points = points_of(job);
    let given = typed.points_kn.len();
    let numbers = typed.points_kn.iter().chain(&typed.peak_kn).chain(&typed.reverse_kn);
    for number in numbers {
        if !(*number >= 0.0 && *number <= 1e6) {
            return Err(Problem::new(format!(
                "a reading must be from 0 to 1000000 kN, but is {number}"
            )));
        }
    }
    if given > 0 && given != points && !(given == 1 && typed.peak_kn.is_none()) {
        return Err(Problem::new(match points {
            0 => format!(
                "points must be one peak: the press has no two or four suspension points entered, but are {given}"
            ),
            points => format!("points must be {points}, those of the press, but are {given}"),
        }));
    }
    if given == 0 && typed.peak_kn.is_none() && typed.reverse_kn.is_none() {
        return Err(Problem::new("a reading must have a peak or a reverse load, but is empty"));
    }
    let typed = typed.with_one_as_peak();
    let nominal = what_if::peaks(job, Line::Nominal);
    let upper = what_if::peaks(job, Line::Upper);
    let mut rows = Vec::new();
    let has_points = !typed.points_kn.is_empty();
    for (index, &(place, force)) in nominal.iter().enumerate() {
        let read = match index {
            0 => typed.peak_kn,
            point => typed.points_kn.get(point - 1).copied(),
        };
        if let Some(read) = read {
            let (predicted, upper) = (force.kilonewtons(), upper[index].1.kilonewtons());
            rows.push(TypedRow { place, predicted, upper, read });
        }
    }
    if has_points && typed.peak_kn.is_none() {
        let sum = |of: fn(&TypedRow) -> f64| rows.iter().map(of).sum();
        let row = TypedRow {
            place: Place::Total,
            predicted: sum(|row| row.predicted),
            upper: sum(|row| row.upper),
            read: sum(|row| row.read),
        };
        rows.insert(0, row);
    }
    let shares = Shares::of(job.press.suspension, typed.points_kn.len());
    let predicted: Vec<f64> = nominal[1..].iter().map(|row| row.1.newtons()).collect();
    let read: Vec<f64> = typed.points_kn.iter().map(|kn| 1e3 * kn).collect();
    let mm = |centre: (f64, Option<f64>)| (1e3 * centre.0, centre.1.map(|y| 1e3 * y));
    let centre = match shares {
        Shares::Whole => None,
        _ => shares.centre(&predicted).zip(shares.centre(&read)).map(|(a, b)| [mm(a), mm(b)]),
    };
    let snap = job.snap_through.ok().map(|s| (s.nominal.kilonewtons(), s.upper.kilonewtons()));
    let mut told = Vec::new();
    let stop_kn = words::reverse_limit(job).map(Force::kilonewtons);
    if let (Some(read), Some(stop)) = (typed.reverse_kn, stop_kn)
        && read > stop
    {
        told.push("the reverse load is past the figure at which to stop: stop and find out why, as after an overload".to_owned());
    }
    if has_points && typed.peak_kn.is_none() {
        told.push("the peaks of the points need not come at the same moment: their sum is at least the peak of the press".to_owned());
    }
    let (likely, tried) = likely_cases(job, check, &typed);
    match likely.first() {
        Some(first) if first.off > 3.0 * LIKE => told.push(
            "nothing that was tried looks like this reading: check the display, the data and the die".to_owned(),
        ),
        _ => {}
    }
    let trends = trends(job, &typed, day);
    Ok(TypedComparison {
        rows,
        centre,
        reverse: typed.reverse_kn.map(|read| (snap, read)),
        stop_kn,
        likely,
        tried,
        trends,
        told,
    })
}

/// What a case would show at the places that were read.
fn shown(typed: &Typed, peaks: &[(Place, Force)], reverse: Option<Force>) -> Vec<f64> {
    let kn = |index: usize| peaks.get(index).map_or(0.0, |row| row.1.kilonewtons());
    let mut shown: Vec<f64> = (0..typed.points_kn.len()).map(|point| kn(point + 1)).collect();
    if typed.peak_kn.is_some() {
        shown.push(kn(0));
    }
    if let Some(read) = typed.reverse_kn {
        // What cannot be predicted says nothing.
        shown.push(reverse.map_or(read, Force::kilonewtons));
    }
    shown
}

/// The cases that look most like a reading, and how many were tried.
///
/// Places are compared in units of what a display is good for: a twentieth of what it shows, and of an
/// even share of the press.
fn likely_cases(job: &Job, check: &Check, typed: &Typed) -> (Vec<Likely>, usize) {
    let normal = what_if::Figures::of(job, check);
    let as_is = shown(typed, &normal.peaks, normal.reverse);
    let read: Vec<f64> =
        typed.points_kn.iter().copied().chain(typed.peak_kn).chain(typed.reverse_kn).collect();
    let forces = read.len() - usize::from(typed.reverse_kn.is_some());
    let even = as_is[..forces].iter().sum::<f64>() / forces.max(1) as f64;
    let accuracy: Vec<f64> = as_is
        .iter()
        .enumerate()
        .map(|(index, &force)| match index < forces {
            true => (READING_ACCURACY * force.max(even)).max(1e-3),
            false => (REVERSE_ACCURACY * force).max(READING_ACCURACY * even).max(1e-3),
        })
        .collect();
    let apart = |one: &[f64], other: &[f64]| {
        let squares =
            one.iter().zip(other).zip(&accuracy).map(|((a, b), by)| ((a - b) / by).powi(2));
        (squares.sum::<f64>() / one.len() as f64).sqrt()
    };
    let mut found = vec![(
        Likely {
            label: "As predicted".to_owned(),
            key: "as_predicted",
            off: apart(&as_is, &read),
            cannot_tell: false,
        },
        as_is.clone(),
    )];
    // Stock within its own range of strength: all forces go with it, as far as they are stock's.
    let shear = job.stock.shear_pa;
    let middle = shear.on(Line::Nominal);
    let sums: (f64, f64) = (as_is[..forces].iter().sum(), read[..forces].iter().sum());
    if sums.0 > 0.0 && sums.1 > 0.0 && shear.high() > shear.low() {
        let factor = (sums.1 / sums.0).clamp(shear.low() / middle, shear.high() / middle);
        let seen: Vec<f64> = as_is.iter().map(|force| force * factor).collect();
        let percent = what_if::percent(factor - 1.0);
        if (factor - 1.0).abs() > 0.01 {
            found.push((
                Likely {
                    label: format!("Stock {percent} in strength, within its range"),
                    key: "stock_within_range",
                    off: apart(&seen, &read),
                    cannot_tell: false,
                },
                seen,
            ));
        }
    }
    let (mut tried, _) = cases(job, check);
    tried.retain(|case| !matches!(case, Case::DoubleMetal { .. }));
    for station in 0..job.stations.len().min(60) {
        if job.stations[station].work.iter().any(|placed| placed.work.needs_stock()) {
            tried.push(Case::DoubleMetal { station });
        }
    }
    for case in &tried {
        let Some(outcome) = case.outcome(job, check) else { continue };
        let seen = shown(typed, &outcome.figures.peaks, outcome.figures.reverse);
        found.push((
            Likely {
                label: case.label(job),
                key: case.key(),
                off: apart(&seen, &read),
                cannot_tell: false,
            },
            seen,
        ));
    }
    let offs: Vec<f64> = found.iter().map(|row| row.0.off).collect();
    let order = order::rising(&offs);
    let best = &found[order[0]];
    let listed = order
        .iter()
        .enumerate()
        .map(|(rank, &index)| {
            let (likely, seen) = &found[index];
            let alike = rank > 0 && apart(seen, &best.1) < LIKE && likely.off < best.0.off + LIKE;
            Likely { cannot_tell: alike, ..likely.clone() }
        })
        .take(MOST_LISTED)
        .collect();
    (listed, found.len())
}

/// How peak and reverse load went since the die was last ground, this reading being the last.
fn trends(job: &Job, typed: &Typed, day: Option<Day>) -> Vec<Trend> {
    let record = &job.setup.record;
    let sharp = record.grinds.iter().map(|grind| grind.0).max();
    let setups = record.setups.iter().map(|setup| (setup.day, setup.time.as_str(), &setup.peaks));
    let readings = record.readings.iter().map(|one| (one.day, one.time.as_str(), &one.peaks));
    let mut rows: Vec<(Day, &str, &Peaks)> = setups.chain(readings).collect();
    rows.retain(|row| sharp.is_none_or(|sharp| row.0 >= sharp));
    let now = Peaks {
        total: (typed.total_kn() > 0.0).then(|| Force::from_kilonewtons(typed.total_kn())),
        points: Vec::new(),
        reverse: typed.reverse_kn.map(Force::from_kilonewtons),
    };
    if let Some(day) = day {
        rows.retain(|row| row.0 <= day);
        rows.push((day, "24:00", &now));
    }
    rows.sort_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)));
    let total = |peaks: &Peaks| {
        let sum: Force = peaks.points.iter().fold(Force::ZERO, |sum, &one| sum + one);
        peaks.total.or((sum > Force::ZERO).then_some(sum))
    };
    let reverse = |peaks: &Peaks| peaks.reverse;
    let of = |what: &'static str, value: &dyn Fn(&Peaks) -> Option<Force>| {
        let known: Vec<(Day, f64)> =
            rows.iter().filter_map(|row| Some((row.0, value(row.2)?.kilonewtons()))).collect();
        trend(what, &known)
    };
    [of("peak", &total), of("reverse load", &reverse)].into_iter().flatten().collect()
}

/// The middle of the slopes between all pairs, reading by reading (P. K. Sen, "Estimates of the
/// regression coefficient based on Kendall's tau", *Journal of the American Statistical Association*
/// 63 (1968); value from memory): one wild reading does not turn it.
fn trend(what: &'static str, known: &[(Day, f64)]) -> Option<Trend> {
    let known = &known[known.len().saturating_sub(60)..];
    if known.len() < 3 {
        return None;
    }
    let (mut slopes, mut up, mut down) = (Vec::new(), 0, 0);
    for later in 1..known.len() {
        for earlier in 0..later {
            let change = known[later].1 - known[earlier].1;
            slopes.push(change / (later - earlier) as f64);
            up += usize::from(change > 0.0);
            down += usize::from(change < 0.0);
        }
    }
    let sorted = order::rising_values(&slopes);
    let first = known[..2].iter().map(|row| row.1).fold(f64::INFINITY, f64::min);
    if !(first > 0.0) {
        return None;
    }
    let rise = sorted[sorted.len() / 2] * (known.len() - 1) as f64 / first;
    Some(Trend {
        what,
        from: known[0].0,
        to: known[known.len() - 1].0,
        count: known.len(),
        rise,
        rising: rise > RISE && up >= 3 * down,
    })
}

/// A trend in a sentence.
pub fn trend_words(trend: &Trend) -> String {
    let Trend { what, from, to, count, rise, rising } = trend;
    let percent = what_if::percent(*rise);
    let what_it_means = match rising {
        true => ": rising, a sign of dull edges (common practice, no source)",
        false => ", within what a display is good for or without a direction",
    };
    format!(
        "{what} over {count} readings from {from} to {to} since the last grind: {percent}{what_it_means}"
    )
}

/// The edit that keeps a reading in the record.
pub fn keep(file: &Value, job: &Job, typed: &Typed, day: Day) -> Edit {
    let mut row = Map::new();
    let mut put = |key: &str, value: Value| row.insert(key.to_owned(), value);
    put("date", day.to_string().into());
    let typed = typed.with_one_as_peak();
    if let Some(total) = typed.peak_kn {
        put("total_kn", total.into());
    }
    if !typed.points_kn.is_empty() {
        put("points_kn", typed.points_kn.into());
    }
    if let Some(reverse) = typed.reverse_kn {
        put("reverse_kn", reverse.into());
    }
    if let Some(speed) = job.press.speed {
        put("speed_spm", ((speed.per_minute() * 1e6).round() / 1e6).into());
    }
    entry(file, "readings", Value::Object(row))
}
