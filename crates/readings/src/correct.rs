//! What to change in a job so that it predicts what was read.
//!
//! A correction changes nothing: it carries the edits that make it, among them a remark for the job's
//! record with the day and the reason.

use crate::{
    Comparison, Typed,
    least_squares::Normal,
    predicted::Predicted,
    stations::{StationFactors, standard_errors},
};
use evenstroke_advice::Edit;
use evenstroke_job::{DEFAULT_SHEAR_RATIO, Job, day::Day, what_if};
use press_load::{Line, Range, Stock, cutting::CutModel};
use serde_json::{Map, Value, json};

/// What a correction is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corrected {
    /// Shear strength of the stock.
    Shear,
    /// Penetration, or separation in the measured shape.
    Penetration,
    /// Stripping over cutting force.
    Strip,
    /// Damping of the press's vertical vibration.
    Damping,
}

impl Corrected {
    /// Its name in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Shear => "shear_strength",
            Self::Penetration => "penetration",
            Self::Strip => "strip_factor",
            Self::Damping => "damping",
        }
    }
}

/// One proposed correction.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// What is corrected.
    pub what: Corrected,
    /// The same in words, with the numbers.
    pub words: String,
    /// Value after over value before.
    pub factor: f64,
    /// Twice the standard error of the factor, where it can be told.
    pub plus_minus: Option<f64>,
    /// What it rests on.
    pub reason: String,
    /// What makes it.
    pub edits: Vec<Edit>,
}

impl Correction {
    /// A factor on what `label` names.
    fn of_factor(
        what: Corrected,
        label: &str,
        factor: f64,
        reason: &str,
        edits: Vec<Edit>,
    ) -> Self {
        Self {
            what,
            words: format!("{label} × {factor:.3}"),
            factor,
            plus_minus: None,
            reason: reason.to_owned(),
            edits,
        }
    }
}

/// Corrections, and what could not be corrected and why.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Corrections {
    /// The proposals.
    pub proposals: Vec<Correction>,
    /// What stands in the way of others.
    pub notes: Vec<String>,
}

/// Farthest that a shear strength is corrected; beyond it something else is wrong (our own form).
const SHEAR: (f64, f64) = (0.4, 2.0);
/// Farthest that a penetration is corrected (our own form).
const PENETRATION: (f64, f64) = (0.6, 1.5);
/// Changes smaller than this are within what was read (our own form: a fifth of what a display is good
/// for).
const LEAST: f64 = 0.01;
/// A station is off by itself where that leaves less than this part of what other stock leaves over (our
/// own form).
const BY_ITSELF: f64 = 0.5;
/// How many times the noise a reverse load has to be to say something (common practice, no source).
const OUT_OF_NOISE: f64 = 2.0;
/// A display's last digit and its calibration (common practice, no source).
pub const READING_ACCURACY: f64 = 0.05;

fn each_stock(job: &mut Job, change: &dyn Fn(&mut Stock)) {
    change(&mut job.stock);
    job.stations.iter_mut().filter_map(|station| station.stock.as_mut()).for_each(change);
}

/// The job with its cutting force or its penetration changed, without the snap-through, which takes
/// most of the time.
fn changed(job: &Job, shear: f64, penetration: f64) -> Option<Job> {
    let altered = job.altered(|job| {
        job.press.stiffness = None;
        each_stock(job, &|stock| {
            stock.shear_pa = stock.shear_pa.scaled(shear);
            // A cut is through at the thickness at the latest.
            for range in [&mut stock.penetration, &mut stock.separation] {
                let ends = [range.low(), range.high()].map(|end| (end * penetration).min(1.0));
                *range = Range::new(ends[0], ends[1]);
            }
        });
    });
    altered.ok()
}

/// Forces of the cuts and of all else at the heights of the steps, shifted by some metres.
fn cut_and_rest(
    one: &Predicted,
    two: &Predicted,
    comparison: &Comparison,
    shift: f64,
) -> Vec<(f64, f64)> {
    let at = |predicted: &Predicted, height: f64| predicted.force((height + shift).max(0.0), true);
    let of = |height: f64| {
        // Cutting force goes with shear strength, nothing else does.
        let cut = at(two, height) - at(one, height);
        (cut, at(one, height) - cut)
    };
    comparison.steps.iter().map(|step| of(step.height)).collect()
}

/// The best factor on the cuts, with what is left over.
fn best_shear(parts: &[(f64, f64)], comparison: &Comparison) -> Option<(f64, f64, f64)> {
    let mut normal = Normal::new(1);
    for ((cut, rest), step) in parts.iter().zip(&comparison.steps) {
        normal.add(&[*cut], step.read.mean - rest);
    }
    if normal.matrix[0] <= 0.0 {
        return None;
    }
    let factor = normal.solve(SHEAR.0, SHEAR.1);
    let left: Vec<f64> = parts
        .iter()
        .zip(&comparison.steps)
        .map(|((cut, rest), step)| step.read.mean - rest - factor[0] * cut)
        .collect();
    let error = standard_errors(&normal, &left)[0];
    Some((factor[0], 2.0 * error, left.iter().map(|value| value * value).sum()))
}

/// Corrections by a recording with its station factors. A station counts as off by itself only if that
/// says more than other stock would: else `stations.off` is taken back.
pub fn by_recording(
    file: &Value,
    job: &Job,
    comparison: &Comparison,
    stations: Option<&mut StationFactors>,
    day: Day,
) -> Corrections {
    let mut found = Corrections::default();
    let strokes = match comparison.strokes {
        1 => "one stroke".to_owned(),
        count => format!("{count} strokes"),
    };
    let reason = format!("{strokes} of a load monitor laid over the prediction");
    let shift_free = comparison.bdc_found;
    let mut shear = 1.0;
    let fit = fitted(job, comparison, shift_free);
    let off = stations.and_then(|found| {
        let left = found.left_over_of_total(&Predicted::of(job), comparison);
        if fit.as_ref().is_some_and(|fit| left > BY_ITSELF * fit.left_over) {
            found.off = None;
        }
        Some(found.factors[found.off?].stations.clone())
    });
    match (fit, off) {
        (_, Some(off)) => {
            let names: Vec<&str> =
                off.iter().map(|&station| job.stations[station].name.as_str()).collect();
            found.notes.push(format!(
                "{} is off by itself: look at its tools, clearance and entry height first; a shear strength for all stations would not mend it",
                names.join(" and ")
            ));
        }
        (None, None) => {
            found.notes.push("nothing is cut, so that no shear strength follows".to_owned());
        }
        (Some(fit), None) => {
            shear = fit.shear;
            shear_correction(&mut found, file, shear, Some(fit.plus_minus), &reason, day);
            if let Some(penetration) = fit.penetration {
                penetration_correction(&mut found, file, job, penetration, &reason, day);
            }
        }
    }
    let read = |key: &str| {
        comparison
            .quantities
            .iter()
            .find(|quantity| quantity.key == key)
            .and_then(|q| Some((q.predicted?, q.read?)))
    };
    if let Some((predicted, read)) = read("stripping") {
        let noise = read.high - read.low;
        if predicted > 0.0 && read.mean > 0.0 && (comparison.strokes == 1 || noise < read.mean) {
            strip_correction(&mut found, file, job, read.mean / predicted, &reason, day);
        } else if predicted > 0.0 {
            found.notes.push(
                "the pull of stripping does not stand out of the reading, so that no strip factor follows".to_owned(),
            );
        }
    }
    let reverse = comparison.quantities.iter().find(|quantity| quantity.key == "reverse");
    if let Some(read) = reverse.and_then(|quantity| quantity.read) {
        if read.mean > OUT_OF_NOISE * comparison.noise_kn {
            damping_correction(&mut found, job, file, shear, read.mean, &reason, day);
        } else {
            found.notes.push(
                "the reverse load does not stand out of the noise, so that no damping follows"
                    .to_owned(),
            );
        }
    }
    found
}

/// Corrections by typed readings.
pub fn by_typed(file: &Value, job: &Job, typed: &Typed, day: Day) -> Corrections {
    let typed = &typed.with_one_as_peak();
    let mut found = Corrections::default();
    let mut shear = 1.0;
    let read = typed.total_kn();
    if read > 0.0 {
        let peak = |job: &Job| {
            let all = what_if::peaks(job, Line::Nominal);
            // The whole press comes first. The sum of the points stands beside their sum.
            let like_read = if typed.peak_kn.is_some() { &all[..1] } else { &all[1..] };
            like_read.iter().map(|row| row.1.kilonewtons()).sum::<f64>()
        };
        // The peak is not quite in proportion: another station may take it over.
        let at = |factor: f64| changed(job, factor, 1.0).map_or(0.0, |job| peak(&job));
        let (mut low, mut high) = SHEAR;
        let all = what_if::peaks(job, Line::Nominal);
        let even = read / peak(job).max(1e-9);
        let uneven = all.iter().skip(1).zip(&typed.points_kn).any(|((_, force), read)| {
            let share = force.kilonewtons();
            (read - even * share).abs() > 2.0 * READING_ACCURACY * even * share.max(1e-9)
        });
        if uneven {
            found.notes.push(
                "the points are not off in proportion: something is off at one place, which a shear strength would not mend".to_owned(),
            );
        } else if at(low) < read && read < at(high) {
            for _ in 0..30 {
                let middle = 0.5 * (low + high);
                if at(middle) < read { low = middle } else { high = middle }
            }
            shear = 0.5 * (low + high);
            let reason = format!("peak of {read:.0} kN on the display");
            shear_correction(&mut found, file, shear, Some(READING_ACCURACY * shear), &reason, day);
        } else {
            found.notes.push(format!(
                "no shear strength between {} and {} times that of the job gives the peak that was read",
                SHEAR.0, SHEAR.1
            ));
        }
    }
    if let Some(reverse) = typed.reverse_kn {
        let reason = format!("reverse load of {reverse:.0} kN on the display");
        damping_correction(&mut found, job, file, shear, reverse, &reason, day);
    }
    found
}

/// Stock that fits a curve.
struct StockFit {
    /// Factor on the shear strength.
    shear: f64,
    /// Twice its standard error.
    plus_minus: f64,
    /// Factor on the penetration, if it makes the curve fit much better.
    penetration: Option<f64>,
    /// Sum of squares left over.
    left_over: f64,
}

fn fitted(job: &Job, comparison: &Comparison, shift_free: bool) -> Option<StockFit> {
    // With BDC laid over by the curve itself, height is known to half a millimetre only.
    let shifts: Vec<f64> = match shift_free {
        true => (-20..=20).map(|step| f64::from(step) * 2.5e-5).collect(),
        false => vec![0.0],
    };
    let fit = |penetration: f64| -> Option<(f64, f64, f64)> {
        let one = Predicted::of(&changed(job, 1.0, penetration)?);
        let two = Predicted::of(&changed(job, 2.0, penetration)?);
        let mut best: Option<(f64, f64, f64)> = None;
        for &shift in &shifts {
            let parts = cut_and_rest(&one, &two, comparison, shift);
            if let Some(this) = best_shear(&parts, comparison)
                && best.is_none_or(|best| this.2 < best.2)
            {
                best = Some(this);
            }
        }
        best
    };
    let plain = fit(1.0)?;
    let mut best = (1.0, plain);
    let mut width = 0.1;
    for step in 0..=9 {
        let factor = PENETRATION.0 + width * f64::from(step);
        if let Some(this) = fit(factor)
            && this.2 < best.1.2
        {
            best = (factor, this);
        }
    }
    while width > 0.004 {
        width *= 0.5;
        for factor in [best.0 - width, best.0 + width] {
            if (PENETRATION.0..=PENETRATION.1).contains(&factor)
                && let Some(this) = fit(factor)
                && this.2 < best.1.2
            {
                best = (factor, this);
            }
        }
    }
    // A better fit by a few percent is what any further unknown brings (our own form).
    let much_better = best.1.2 < 0.8 * plain.2 && (best.0 - 1.0).abs() > 0.03;
    let ((shear, plus_minus, left_over), penetration) = match much_better {
        true => (best.1, Some(best.0)),
        false => (plain, None),
    };
    Some(StockFit { shear, plus_minus, penetration, left_over })
}

fn rounded(value: f64, steps: f64) -> f64 {
    (value * steps).round() / steps
}

/// A number or a range of a job file, scaled; kept within `most`.
fn scaled(value: &Value, factor: f64, steps: f64, most: f64) -> Option<Value> {
    let one = |value: &Value| Some(rounded((value.as_f64()? * factor).min(most), steps));
    if let Some(range) = value.as_object() {
        let mut scaled = Map::new();
        for key in ["low", "high"] {
            scaled.insert(key.to_owned(), one(range.get(key)?)?.into());
        }
        return Some(Value::Object(scaled));
    }
    one(value).map(Value::from)
}

fn edit(path: String, value: Value) -> Edit {
    Edit { path, value }
}

/// The objects in which a stock field may stand, with their paths.
fn stock_objects(file: &Value) -> Vec<(String, &Map<String, Value>)> {
    let mut rows: Vec<(String, &Map<String, Value>)> = Vec::new();
    if let Some(fields) = file["stock"].as_object() {
        rows.push(("stock".to_owned(), fields));
    }
    for (index, station) in file["stations"].as_array().into_iter().flatten().enumerate() {
        if let Some(fields) = station.as_object() {
            rows.push((format!("stations[{index}]"), fields));
        }
        if let Some(fields) = station["stock"].as_object() {
            rows.push((format!("stations[{index}].stock"), fields));
        }
    }
    rows
}

/// A remark for the record; it goes to the end of the list, or begins one.
pub fn remark(file: &Value, day: Day, text: &str) -> Edit {
    entry(file, "remarks", json!({"date": day.to_string(), "text": text}))
}

/// An entry for a list of the record.
pub fn entry(file: &Value, list: &str, entry: Value) -> Edit {
    match file["record"][list].as_array() {
        Some(entries) => edit(format!("record.{list}[{}]", entries.len()), entry),
        None => edit(format!("record.{list}"), Value::Array(vec![entry])),
    }
}

/// Adds a correction with its remark, if the job file takes it.
fn propose(found: &mut Corrections, file: &Value, mut correction: Correction, day: Day) {
    if (correction.factor - 1.0).abs() < LEAST || correction.edits.is_empty() {
        return;
    }
    let text = format!("Corrected by a reading: {}; {}.", correction.words, correction.reason);
    correction.edits.push(remark(file, day, &text));
    let fits = evenstroke_advice::apply(file, &correction.edits)
        .is_ok_and(|changed| Job::from_value(&changed).is_ok());
    if fits {
        found.proposals.push(correction);
    } else {
        found.notes.push(format!(
            "{}: would leave the range that the job file allows; look for another cause first",
            correction.words
        ));
    }
}

fn shear_correction(
    found: &mut Corrections,
    file: &Value,
    factor: f64,
    plus_minus: Option<f64>,
    reason: &str,
    day: Day,
) {
    let mut edits = Vec::new();
    let objects = stock_objects(file);
    let has =
        |fields: &Map<String, Value>, key: &str| fields.get(key).is_some_and(|v| !v.is_null());
    let elsewhere = objects.iter().skip(1).any(|(_, fields)| has(fields, "tensile_mpa"));
    for (path, fields) in &objects {
        if let Some(strength) = fields.get("shear_strength_mpa") {
            let value = scaled(strength, factor, 10.0, f64::INFINITY);
            edits.extend(value.map(|value| edit(format!("{path}.shear_strength_mpa"), value)));
        }
        let is_root = path == "stock";
        // Where both strengths are given the ratio says nothing, unless a station falls back on it.
        let ratio_counts =
            !(has(fields, "shear_strength_mpa") && has(fields, "tensile_mpa")) || elsewhere;
        let usual = Value::from(DEFAULT_SHEAR_RATIO);
        let ratio = match fields.get("shear_ratio") {
            None if is_root => Some(&usual),
            ratio => ratio,
        };
        if let Some(ratio) = ratio.filter(|_| !is_root || ratio_counts) {
            let value = scaled(ratio, factor, 1e4, f64::INFINITY);
            edits.extend(value.map(|value| edit(format!("{path}.shear_ratio"), value)));
        }
    }
    let correction =
        Correction::of_factor(Corrected::Shear, "shear strength", factor, reason, edits);
    propose(found, file, Correction { plus_minus, ..correction }, day);
}

fn penetration_correction(
    found: &mut Corrections,
    file: &Value,
    job: &Job,
    factor: f64,
    reason: &str,
    day: Day,
) {
    let (key, usual) = match job.settings.cut_model {
        CutModel::Plateau => ("penetration", json!(job.stock.penetration.on(Line::Nominal))),
        CutModel::Shaped => {
            let separation = job.stock.separation;
            ("separation", json!({"low": separation.low(), "high": separation.high()}))
        }
    };
    let mut edits = Vec::new();
    for (path, fields) in stock_objects(file) {
        let value = fields.get(key).or((path == "stock").then_some(&usual));
        let value = value.and_then(|value| scaled(value, factor, 1e4, 1.0));
        edits.extend(value.map(|value| edit(format!("{path}.{key}"), value)));
    }
    let correction = Correction::of_factor(Corrected::Penetration, key, factor, reason, edits);
    propose(found, file, correction, day);
}

fn strip_correction(
    found: &mut Corrections,
    file: &Value,
    job: &Job,
    factor: f64,
    reason: &str,
    day: Day,
) {
    let usual = Value::from(
        job.settings.strip_factor.unwrap_or(press_load::stripping::DEFAULT_STRIP_FACTOR),
    );
    let mut edits = Vec::new();
    let value = file["settings"].get("strip_factor").unwrap_or(&usual);
    let settings = scaled(value, factor, 1e4, f64::INFINITY);
    edits.extend(settings.map(|value| edit("settings.strip_factor".to_owned(), value)));
    for (s, station) in file["stations"].as_array().into_iter().flatten().enumerate() {
        for (w, work) in station["work"].as_array().into_iter().flatten().enumerate() {
            let value =
                work.get("strip_factor").and_then(|own| scaled(own, factor, 1e4, f64::INFINITY));
            let path = format!("stations[{s}].work[{w}].strip_factor");
            edits.extend(value.map(|value| edit(path, value)));
        }
    }
    let correction = Correction::of_factor(Corrected::Strip, "strip factor", factor, reason, edits);
    propose(found, file, correction, day);
}

/// The damping with which the snap-through model gives the reverse load that was read.
fn damping_correction(
    found: &mut Corrections,
    job: &Job,
    file: &Value,
    shear: f64,
    read_kn: f64,
    reason: &str,
    day: Day,
) {
    if let Err(missing) = job.snap_through {
        found.notes.push(format!("damping cannot be corrected: {}", missing.text()));
        return;
    }
    let at = |damping: f64| {
        let altered = job.altered(|job| {
            job.press.damping_share = Some(damping);
            each_stock(job, &|stock| stock.shear_pa = stock.shear_pa.scaled(shear));
        });
        altered
            .ok()
            .and_then(|job| job.snap_through.ok())
            .map_or(0.0, |snap| snap.nominal.kilonewtons())
    };
    let (mut low, mut high) = (0.01, 1.0);
    let (most, least) = (at(low), at(high));
    if !(read_kn > 0.0 && read_kn < most && read_kn > least) {
        found.notes.push(format!(
            "no damping gives the reverse load that was read: the model gives {least:.1} to {most:.1} kN, {read_kn:.1} kN was read"
        ));
        return;
    }
    for _ in 0..24 {
        let middle = (low * high).sqrt();
        if at(middle) > read_kn { low = middle } else { high = middle }
    }
    let damping = rounded(100.0 * (low * high).sqrt(), 10.0);
    let before =
        100.0 * job.press.damping_share.unwrap_or(press_load::snap_through::DEFAULT_DAMPING_SHARE);
    let with = if (shear - 1.0).abs() < LEAST {
        ""
    } else {
        ", with the shear strength corrected as well"
    };
    let correction = Correction {
        what: Corrected::Damping,
        words: format!("damping of the press {damping} %, was {} %{with}", rounded(before, 10.0)),
        factor: damping / before,
        plus_minus: None,
        reason: reason.to_owned(),
        edits: vec![edit("press.damping_percent".to_owned(), Value::from(damping))],
    };
    propose(found, file, correction, day);
}
