//! Which station is likely off: what factor on each station's force brings the prediction nearest to
//! the reading.
//!
//! The reading of every channel at every height is a sum of the stations' parts; the factors that make
//! the squares of what is left smallest are looked for between [`LOW`] and [`HIGH`]. Stations whose
//! parts rise and fall together cannot be told apart by any reading: they share one factor, and are
//! named together. What a factor is uncertain by comes from what is left over, with the rows that
//! follow each other counted as far as they differ (an effective number of rows by their correlation
//! at one step, the usual correction for a first-order autoregressive remainder; value from memory).

use crate::{
    Comparison,
    least_squares::Normal,
    predicted::{Predicted, Shares},
};
use evenstroke_job::Job;
use press_load::{PlacedWork, Work, order};

/// Least factor that is looked for (our own form: what is further off is no longer the same die).
pub const LOW: f64 = 0.3;
/// Largest (our own form).
pub const HIGH: f64 = 3.0;
/// Parts that are more alike than this cannot be told apart (our own form).
const ALIKE: f64 = 0.98;
/// How much the others may blow up the variance of a factor before it is not its own any more (our own
/// form).
const MOST_INFLATION: f64 = 50.0;
/// More stations than this are not told apart.
const MOST_STATIONS: usize = 60;

/// A factor on the force of a station, or of several that cannot be told apart.
#[derive(Clone, Debug, PartialEq)]
pub struct StationFactor {
    /// Indices of the stations.
    pub stations: Vec<usize>,
    /// Read over predicted.
    pub factor: f64,
    /// Twice its standard error.
    pub plus_minus: f64,
    /// Whether it is at the end of what is looked for.
    pub at_bound: bool,
}

/// The factors of all stations.
#[derive(Clone, Debug, PartialEq)]
pub struct StationFactors {
    /// One for each station, or for each group.
    pub factors: Vec<StationFactor>,
    /// One factor on all of them, as if nothing but the stock were off.
    pub common: f64,
    /// Index in `factors` of what is likely off, if one is off by more than the others and than its own
    /// uncertainty.
    pub off: Option<usize>,
    /// Root of the mean square that is left, over the highest predicted force: with one factor, and
    /// with one for each.
    pub left_over: (f64, f64),
}

/// Rows of a problem: the parts of the stations, and what was read less the springs, in newtons.
fn rows(predicted: &Predicted, comparison: &Comparison, active: &[usize]) -> Vec<(Vec<f64>, f64)> {
    let shares = comparison.shares;
    let mut found = Vec::new();
    for channel in 0..shares.count() {
        for step in &comparison.steps {
            let part = |series: &press_load::LoadSeries| {
                let (force, x, y) = predicted.load(series, step.height);
                shares.seen(channel, force, x, y)
            };
            let row = active.iter().map(|&station| part(&predicted.stations[station])).collect();
            let read = match shares {
                Shares::Whole => step.read.mean,
                _ => step.channels[channel],
            };
            found.push((row, read - part(&predicted.springs)));
        }
    }
    found
}

/// The factors; nothing where no station works stock, or too many do.
pub fn station_factors(job: &Job, comparison: &Comparison) -> Option<StationFactors> {
    let predicted = Predicted::of(job);
    let works =
        |station: &usize| predicted.stations[*station].force.iter().any(|force| force.abs() > 1.0);
    let active: Vec<usize> = (0..job.stations.len()).filter(works).collect();
    if active.is_empty() || active.len() > MOST_STATIONS || comparison.steps.len() < 10 {
        return None;
    }
    let rows = rows(&predicted, comparison, &active);
    let mut groups: Vec<Vec<usize>> = (0..active.len()).map(|index| vec![index]).collect();
    let mut normal;
    loop {
        normal = Normal::new(groups.len());
        for (row, value) in &rows {
            normal.add(&grouped(row, &groups), *value);
        }
        match inseparable(&normal) {
            Some((keep, join)) => {
                let joined = groups.remove(join);
                groups[keep].extend(joined);
            }
            None => break,
        }
    }
    let most = comparison.steps.iter().map(|step| step.predicted).fold(0.0, f64::max);
    let rms = |square: f64| (square / rows.len() as f64).sqrt() / most;

    let all = vec![(0..active.len()).collect::<Vec<usize>>()];
    let mut one = Normal::new(1);
    for (row, value) in &rows {
        one.add(&grouped(row, &all), *value);
    }
    let common = one.solve(LOW, HIGH);
    let factors = normal.solve(LOW, HIGH);

    let left: Vec<f64> = rows
        .iter()
        .map(|(row, value)| {
            let said: f64 = grouped(row, &groups).iter().zip(&factors).map(|(a, x)| a * x).sum();
            value - said
        })
        .collect();
    let errors = standard_errors(&normal, &left);
    let found: Vec<StationFactor> = groups
        .iter()
        .enumerate()
        .map(|(index, group)| StationFactor {
            stations: group.iter().map(|&member| active[member]).collect(),
            factor: factors[index],
            plus_minus: 2.0 * errors[index],
            at_bound: factors[index] <= LOW * 1.001 || factors[index] >= HIGH * 0.999,
        })
        .collect();
    // Stronger stock raises all cuts alike, which is not a station by itself.
    let cuts = |row: &StationFactor| {
        let cuts = |placed: &PlacedWork| matches!(placed.work, Work::Cut(_));
        row.stations.iter().any(|&station| job.stations[station].work.iter().any(cuts))
    };
    let of_cuts: Vec<f64> = found.iter().filter(|row| cuts(row)).map(|row| row.factor).collect();
    let usual_cut = middle(&of_cuts);
    let mut off = (0.0, None);
    for (index, row) in found.iter().enumerate() {
        let by = (row.factor - if cuts(row) { usual_cut } else { 1.0 }).abs();
        // What is within a twentieth of the others is within what a display is good for.
        if by > row.plus_minus.max(0.05) && by > off.0 && found.len() > 1 {
            off = (by, Some(index));
        }
    }
    Some(StationFactors {
        off: off.1,
        left_over: (rms(one.left_over(&common)), rms(normal.left_over(&factors))),
        factors: found,
        common: common[0],
    })
}

/// The middle one of some factors, of two middle ones that nearer to 1; 1 of none.
fn middle(factors: &[f64]) -> f64 {
    let sorted = order::rising_values(factors);
    let Some(last) = sorted.len().checked_sub(1) else { return 1.0 };
    let (low, high) = (sorted[last / 2], sorted[last.div_ceil(2)]);
    if (low - 1.0).abs() <= (high - 1.0).abs() { low } else { high }
}

impl StationFactors {
    /// Sum of squares that these factors leave over of the whole press's curve, in newtons squared.
    pub(crate) fn left_over_of_total(&self, predicted: &Predicted, comparison: &Comparison) -> f64 {
        let at = |step: &crate::compare::Step| {
            let mut left = step.read.mean - predicted.at(&predicted.springs.force, step.height);
            for row in &self.factors {
                for &station in &row.stations {
                    let force = &predicted.stations[station].force;
                    left -= row.factor * predicted.at(force, step.height);
                }
            }
            left * left
        };
        comparison.steps.iter().map(at).sum()
    }
}

fn grouped(row: &[f64], groups: &[Vec<usize>]) -> Vec<f64> {
    groups.iter().map(|group| group.iter().map(|&member| row[member]).sum()).collect()
}

/// Two unknowns that no reading tells apart, the one to keep and the one to join to it.
fn inseparable(normal: &Normal) -> Option<(usize, usize)> {
    let n = normal.right.len();
    let alike = |i: usize, j: usize| {
        let scale = (normal.matrix[i * n + i] * normal.matrix[j * n + j]).sqrt();
        if scale > 0.0 { (normal.matrix[i * n + j] / scale).abs() } else { 0.0 }
    };
    let mut most = (0.0, (0, 0));
    for i in 0..n {
        for j in i + 1..n {
            if alike(i, j) > most.0 {
                most = (alike(i, j), (i, j));
            }
        }
    }
    if most.0 > ALIKE {
        return Some(most.1);
    }
    let variances = normal.variances();
    let mut worst = (MOST_INFLATION, None);
    for (i, variance) in variances.iter().enumerate() {
        let inflation = variance * normal.matrix[i * n + i];
        // What is determined by nothing has no variance at all here.
        if n > 1 && (inflation > worst.0 || inflation <= 0.0) {
            worst = (inflation.max(MOST_INFLATION), Some(i));
        }
    }
    let i = worst.1?;
    let mut partner = (-1.0, 0);
    for j in (0..n).filter(|&j| j != i) {
        if alike(i, j) > partner.0 {
            partner = (alike(i, j), j);
        }
    }
    Some((i.min(partner.1), i.max(partner.1)))
}

/// Standard errors of the unknowns by what is left over.
pub fn standard_errors(normal: &Normal, left: &[f64]) -> Vec<f64> {
    let square: f64 = left.iter().map(|value| value * value).sum();
    let follow: f64 = left.windows(2).map(|pair| pair[0] * pair[1]).sum();
    let like = if square > 0.0 { (follow / square).clamp(0.0, 0.98) } else { 0.0 };
    let spare = left.len().saturating_sub(normal.right.len()).max(1) as f64;
    let variance = square / spare * (1.0 + like) / (1.0 - like);
    normal.variances().into_iter().map(|unit| (variance * unit.max(0.0)).sqrt()).collect()
}
