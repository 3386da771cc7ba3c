//! Prediction and reading beside each other.

use crate::{
    Mapping, Mended, Problem, ReadStroke, Recording, Samples, Wishes,
    predicted::{Predicted, Shares},
};
use evenstroke_job::{Job, spec::Unit, what_if};
use press_load::{Check, Length, Line, StripState, Work, stripping::Stripper};

/// Steps of height into which the working part of the stroke is divided.
const STEPS: usize = 240;

/// Part of the thickness from which on samples lie too far apart for a peak, which is a tenth of it
/// wide (our own form, by the shape of the cutting curve).
const COARSE: f64 = 0.1;

/// Where between BDC and the lowest entry the pull of stripping is read: above the turn of the slide, and
/// below where the punches leave the stock (our own form).
const PULLS: (f64, f64) = (0.15, 0.6);

/// Lowest, mean and highest of several strokes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Lowest.
    pub low: f64,
    /// Mean.
    pub mean: f64,
    /// Highest.
    pub high: f64,
}

impl Band {
    /// Of values; nothing if there are none.
    pub fn of(values: &[f64]) -> Option<Self> {
        let count = values.len();
        (count > 0).then(|| Self {
            low: values.iter().copied().fold(f64::INFINITY, f64::min),
            mean: values.iter().sum::<f64>() / count as f64,
            high: values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        })
    }
}

/// One figure, predicted and read.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// Its name in files.
    pub key: String,
    /// What people call it.
    pub label: String,
    /// Unit of the numbers.
    pub unit: Unit,
    /// Nominal, where it can be told.
    pub predicted: Option<f64>,
    /// The bound, on the upper line, where there is one.
    pub upper: Option<f64>,
    /// Over all strokes, where it could be read.
    pub read: Option<Band>,
}

impl Quantity {
    /// Read over predicted; nothing for places and heights, of which no ratio says anything.
    pub fn ratio(&self) -> Option<f64> {
        let (predicted, read) = (self.predicted?, self.read?.mean);
        (self.unit != Unit::Mm && predicted > 0.0 && read > 0.0).then(|| read / predicted)
    }
}

/// What was read between two heights, on the way down.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Mean height in metres.
    pub height: f64,
    /// Newtons of the whole press.
    pub read: Band,
    /// Newtons of each channel, mean.
    pub channels: Vec<f64>,
    /// Predicted newtons, nominal.
    pub predicted: f64,
    /// Predicted newtons, upper line.
    pub upper: f64,
    /// Samples in it.
    pub count: usize,
}

/// A recording laid over a prediction.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// How the file was read.
    pub mapping: Mapping,
    /// Samples of the file.
    pub samples: usize,
    /// Strokes that were compared.
    pub strokes: usize,
    /// Strokes that were left out.
    pub left_out: usize,
    /// Strokes per minute.
    pub speed_spm: Option<f64>,
    /// Where BDC is, in the unit of the mapping's place.
    pub bdc: f64,
    /// Whether that was found by laying the reading over the prediction.
    pub bdc_found: bool,
    /// Zero, sign and spikes of each channel.
    pub mended: Vec<Mended>,
    /// What each channel stands for.
    pub shares: Shares,
    /// How far the whole press's reading swings below zero where nothing acts, in kN.
    pub noise_kn: f64,
    /// The figures.
    pub quantities: Vec<Quantity>,
    /// The curve on the way down, from first touch to BDC.
    pub steps: Vec<Step>,
    /// What was done and taken for granted.
    pub told: Vec<String>,
}

/// What one stroke shows.
#[derive(Default)]
struct Shown {
    peak: (f64, f64),
    channels: Vec<f64>,
    seen_at_peak: Vec<f64>,
    work: f64,
    lowest: f64,
    strip: Option<f64>,
    /// Lowest total where nothing acts, which is noise.
    quiet: f64,
    /// Largest step of height between two samples, in metres.
    widest: f64,
}

/// Lays samples over a job.
///
/// # Errors
///
/// [`Problem`] as [`Recording::new`].
pub fn compare(
    job: &Job,
    check: &Check,
    samples: Samples,
    mapping: Mapping,
    wishes: &Wishes,
) -> Result<Comparison, Problem> {
    let predicted = Predicted::of(job);
    let count = samples.place.len();
    let mut recording = Recording::new(samples, &mapping, wishes, job, &predicted)?;
    let shares = Shares::of(job.press.suspension, recording.channels());
    let mut told = std::mem::take(&mut recording.told);
    if shares == Shares::Whole && recording.channels() > 1 {
        told.push(format!(
            "{} channels were added up: the press has no such suspension points entered, so that their parts cannot be told",
            recording.channels()
        ));
    }
    let pulled_up_to = pulled_up_to(job);
    let shown: Vec<Shown> = recording
        .strokes
        .iter()
        .map(|stroke| show(&recording, &predicted, shares, stroke, pulled_up_to))
        .collect();
    let band = |of: &dyn Fn(&Shown) -> f64| Band::of(&shown.iter().map(of).collect::<Vec<f64>>());
    let mut quantities = Vec::new();
    let mut push = |key: &str, label: &str, unit, predicted, upper, read| {
        quantities.push(Quantity {
            key: key.to_owned(),
            label: label.to_owned(),
            unit,
            predicted,
            upper,
            read,
        });
    };
    let kn = |peak: Option<press_load::Peak>| peak.map(|peak| peak.force.kilonewtons());
    push(
        "peak",
        "Peak",
        Unit::Kn,
        kn(check.peak),
        kn(check.peak_upper),
        band(&|s| 1e-3 * s.peak.0),
    );
    if shares != Shares::Whole {
        let nominal = what_if::peaks(job, Line::Nominal);
        let upper = what_if::peaks(job, Line::Upper);
        for (channel, place) in shares.places().iter().enumerate() {
            let of = |all: &[(what_if::Place, press_load::Force)]| {
                all.iter().find(|row| row.0 == *place).map(|row| row.1.kilonewtons())
            };
            push(
                place.key(),
                &format!("Peak {}", place.label()),
                Unit::Kn,
                of(&nominal),
                of(&upper),
                band(&|s| 1e-3 * s.channels[channel]),
            );
        }
    }
    let height = check.peak.map(|peak| peak.height.millimetres());
    push("peak_height", "Height of the peak", Unit::Mm, height, None, band(&|s| 1e3 * s.peak.1));
    let work = Some(check.energy.kilojoules());
    let work_upper = Some(check.energy_upper.kilojoules());
    push("work", "Work to BDC", Unit::Kj, work, work_upper, band(&|s| 1e-3 * s.work));
    if shares != Shares::Whole {
        let centres = |axis: usize| -> Vec<f64> {
            let of = |shown: &Shown| {
                let (x, y) = shares.centre(&shown.seen_at_peak)?;
                if axis == 0 { Some(1e3 * x) } else { y.map(|y| 1e3 * y) }
            };
            shown.iter().filter_map(of).collect()
        };
        let at = check.peak.map(|peak| peak.centre);
        let x = at.map(|at| 1e3 * at.x);
        push("centre_x", "Load centre, to the right", Unit::Mm, x, None, Band::of(&centres(0)));
        if let Shares::Four(..) = shares {
            let y = at.map(|at| 1e3 * at.y);
            push("centre_y", "Load centre, to the back", Unit::Mm, y, None, Band::of(&centres(1)));
        }
    }
    let snap = job.snap_through.ok();
    push(
        "reverse",
        "Reverse load, predicted by estimate",
        Unit::Kn,
        snap.map(|snap| snap.nominal.kilonewtons()),
        snap.map(|snap| snap.upper.kilonewtons()),
        band(&|s| 1e-3 * (-s.lowest).max(0.0)),
    );
    if pulled_up_to.is_some() {
        let pulls: Vec<f64> =
            shown.iter().filter_map(|s| s.strip.map(|pull| 1e-3 * pull)).collect();
        let strip = Some(check.stripping.kilonewtons());
        push("stripping", "Stripping on the way up", Unit::Kn, strip, None, Band::of(&pulls));
    }
    let widest =
        Band::of(&shown.iter().map(|s| s.widest).collect::<Vec<f64>>()).map_or(0.0, |b| b.mean);
    if widest > COARSE * job.stock.thickness_m.on(Line::Nominal) {
        told.push(format!(
            "the slide goes up to {:.2} mm between samples: a peak may fall between them, so that peaks are read low; record faster",
            1e3 * widest
        ));
    }
    let noise_kn = 1e-3 * shown.iter().map(|s| -s.quiet).fold(0.0, f64::max);
    let steps = steps(&recording, &predicted, job);
    Ok(Comparison {
        mapping,
        samples: count,
        strokes: recording.strokes.len(),
        left_out: recording.left_out,
        speed_spm: recording.speed_spm,
        bdc: recording.bdc,
        bdc_found: recording.bdc_found,
        mended: recording.mended,
        shares,
        noise_kn,
        quantities,
        steps,
        told,
    })
}

/// Height up to which a fixed stripper pulls at all cuts; nothing where none does.
fn pulled_up_to(job: &Job) -> Option<f64> {
    let mut lowest = f64::INFINITY;
    for station in &job.stations {
        let held = matches!(station.stripper, Some(Stripper::Sprung(_)));
        for placed in &station.work {
            if let Work::Cut(cut) = &placed.work {
                if held {
                    return None;
                }
                if cut.strip_factor > 0.0 {
                    lowest = lowest.min(cut.entry.metres());
                }
            }
        }
    }
    lowest.is_finite().then_some(lowest)
}

fn show(
    recording: &Recording,
    predicted: &Predicted,
    shares: Shares,
    stroke: &ReadStroke,
    pulled_up_to: Option<f64>,
) -> Shown {
    let mut shown = Shown { channels: vec![0.0; shares.count()], ..Shown::default() };
    let working = predicted.touch + 2e-3;
    let mut last: Option<(f64, f64)> = None;
    let (mut pull, mut pulls) = (0.0, 0.0);
    let mut at_peak = stroke.start;
    for index in stroke.start..stroke.end {
        let (height, down) = recording.slide(stroke, index);
        let total = recording.total(index);
        if height > working {
            last = None;
            shown.quiet = shown.quiet.min(total);
            continue;
        }
        shown.lowest = shown.lowest.min(total);
        if total > shown.peak.0 {
            shown.peak = (total, height);
            at_peak = index;
        }
        if shares != Shares::Whole {
            for channel in 0..shares.count() {
                let seen = recording.seen(channel, index);
                shown.channels[channel] = shown.channels[channel].max(seen);
            }
        }
        if down {
            if let Some((before, force)) = last {
                shown.work += 0.5 * (total + force) * (before - height);
                shown.widest = shown.widest.max(before - height);
            }
            last = Some((height, total));
        } else if let Some(most) = pulled_up_to
            && height > PULLS.0 * most
            && height < PULLS.1 * most
        {
            pull -= total - predicted.force(height, false);
            pulls += 1.0;
        }
    }
    if pulls >= 3.0 {
        shown.strip = Some(pull / pulls);
    }
    shown.seen_at_peak =
        (0..recording.channels()).map(|channel| recording.seen(channel, at_peak)).collect();
    shown
}

/// The curve in steps of height.
fn steps(recording: &Recording, predicted: &Predicted, job: &Job) -> Vec<Step> {
    let top = 1.05 * predicted.touch + 5e-4;
    let channels = recording.channels();
    let mut found: Vec<Step> = (0..STEPS)
        .map(|_| Step {
            height: 0.0,
            read: Band { low: f64::INFINITY, mean: 0.0, high: f64::NEG_INFINITY },
            channels: vec![0.0; channels],
            predicted: 0.0,
            upper: 0.0,
            count: 0,
        })
        .collect();
    for stroke in &recording.strokes {
        for index in stroke.start..stroke.end {
            let (height, down) = recording.slide(stroke, index);
            if !down || height >= top || height < 0.0 {
                continue;
            }
            let step = &mut found[((1.0 - height / top) * STEPS as f64) as usize % STEPS];
            let mut total = 0.0;
            for channel in 0..channels {
                let seen = recording.seen(channel, index);
                step.channels[channel] += seen;
                total += seen;
            }
            step.height += height;
            step.read.low = step.read.low.min(total);
            step.read.high = step.read.high.max(total);
            step.read.mean += total;
            step.count += 1;
        }
    }
    found.retain(|step| step.count > 0);
    let upper =
        job.stroke.line(Line::Upper).total(StripState::Full, &press_load::Motion::NONE).force;
    for step in &mut found {
        let count = step.count as f64;
        step.height /= count;
        step.read.mean /= count;
        step.channels.iter_mut().for_each(|sum| *sum /= count);
        step.predicted = predicted.force(step.height, true);
        step.upper = predicted.at(&upper, step.height);
    }
    found
}

/// How far prediction and reading lie apart along the curve: root of the mean square, over the highest
/// predicted force.
pub fn misfit(steps: &[Step]) -> f64 {
    let most = steps.iter().map(|step| step.predicted).fold(0.0, f64::max);
    let sum: f64 = steps.iter().map(|step| (step.read.mean - step.predicted).powi(2)).sum();
    if most > 0.0 { (sum / steps.len().max(1) as f64).sqrt() / most } else { 0.0 }
}

/// Highest point of the way down that was predicted, as the working part of the stroke.
pub fn working_height(comparison: &Comparison) -> Length {
    Length::from_metres(comparison.steps.first().map_or(0.0, |step| step.height))
}
