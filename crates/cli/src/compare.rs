//! What a load monitor reads, laid over the prediction.

use crate::{Stop, print, read_file, text::plain};
use clap::Args;
use evenstroke_job::{Job, day::Day, read, spec::Unit, units::UnitSystem, words};
use evenstroke_readings::{
    Comparison, Corrections, Problem, Typed, TypedComparison, Wishes, columns,
    compare::misfit,
    compare_typed, correct, report, rows,
    spreadsheet::{self, LARGEST_SPREADSHEET},
    stations::{StationFactors, station_factors},
    typed::trend_words,
    wishes,
};
use serde_json::Value;
use std::{
    path::{Path, PathBuf},
    process::ExitCode,
    time::{SystemTime, UNIX_EPOCH},
};

const UNITS: UnitSystem = UnitSystem::Metric;

#[derive(Args)]
pub struct Compare {
    /// The job file; `-` reads standard input.
    job: PathBuf,
    /// A recorded signature: text with any delimiter, .xlsx or .ods.
    #[arg(required_unless_present_any = ["points", "peak", "reverse"], conflicts_with_all = ["points", "peak", "reverse"])]
    readings: Option<PathBuf>,
    /// Print the comparison as JSON, with the edits that make each correction.
    #[arg(long)]
    json: bool,
    /// Peaks of the suspension points as on the display: left,right or front left,front right,back
    /// left,back right.
    #[arg(long, value_name = "F,F", value_delimiter = ',', allow_hyphen_values = true)]
    points: Vec<f64>,
    /// Peak of the whole press.
    #[arg(long, value_name = "F", allow_hyphen_values = true)]
    peak: Option<f64>,
    /// Reverse load.
    #[arg(long, value_name = "F", allow_hyphen_values = true)]
    reverse: Option<f64>,
    /// Day of the reading; today if not given.
    #[arg(long, value_name = "DATE")]
    at: Option<String>,
    /// Unit of force: kN, N, lbf, "US ton", tonne-force, …
    #[arg(long, value_name = "U")]
    force_unit: Option<String>,
    /// Columns of force, counted from 1: one for the press, or one for each point.
    #[arg(long, value_name = "N,N", value_delimiter = ',')]
    force: Vec<usize>,
    /// Column of time, counted from 1.
    #[arg(long, value_name = "N", conflicts_with_all = ["angle", "height"])]
    time: Option<usize>,
    /// Column of the crank angle, counted from 1.
    #[arg(long, value_name = "N", conflicts_with = "height")]
    angle: Option<usize>,
    /// Column of the slide height, counted from 1.
    #[arg(long, value_name = "N")]
    height: Option<usize>,
    /// Unit of time, angle or height.
    #[arg(long, value_name = "U")]
    place_unit: Option<String>,
    /// Samples a second, where no column tells where the slide is.
    #[arg(long, value_name = "N", conflicts_with_all = ["time", "angle", "height"])]
    samples_per_second: Option<f64>,
    /// What parts columns: tab, space, or the character.
    #[arg(long, value_name = "C")]
    delimiter: Option<String>,
    /// Decimal mark: point or comma.
    #[arg(long, value_name = "MARK")]
    decimal: Option<String>,
    /// Sheet of a spreadsheet; the first if not given.
    #[arg(long, value_name = "NAME")]
    sheet: Option<String>,
    /// Strokes per minute while it was recorded; those of the job if not given.
    #[arg(long, value_name = "N")]
    strokes_per_minute: Option<f64>,
    /// Where BDC is: the crank angle, the time of the first BDC, or the height told there; found by
    /// laying the reading over the prediction if not given.
    #[arg(long, value_name = "PLACE", allow_hyphen_values = true)]
    bdc: Option<f64>,
    /// Keep single samples that stand out.
    #[arg(long)]
    keep_spikes: bool,
}

/// The day of today, universal time.
fn today() -> Option<Day> {
    day_of(SystemTime::now().duration_since(UNIX_EPOCH).ok()?.as_secs())
}

/// The day of a time in seconds since 1970: a date of the Gregorian calendar by eras of 400 years that begin
/// in March (H. Hinnant, "chrono-Compatible Low-Level Date Algorithms"; value from memory).
fn day_of(seconds: u64) -> Option<Day> {
    let days = seconds / 86_400 + 719_468;
    let (era, of_era) = (days / 146_097, days % 146_097);
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month + 2) / 5 + 1;
    let (month, next) = if month < 10 { (month + 3, 0) } else { (month - 9, 1) };
    Day::read(&format!("{:04}-{month:02}-{day:02}", 400 * era + year + next))
}

pub fn compare(options: &Compare) -> Result<ExitCode, Stop> {
    let path = &options.job;
    let refused = |refused| Stop::Refused(path.clone(), refused);
    let file = read::json_of_bytes(&read_file(path, read::LARGEST_FILE)?).map_err(refused)?;
    let job = Job::from_value(&file).map_err(refused)?;
    let out = match &options.readings {
        Some(readings) => recorded(options, readings, &file, &job),
        None => typed(options, &file, &job),
    }?;
    print(&out)?;
    Ok(ExitCode::SUCCESS)
}

fn day(options: &Compare) -> Result<Day, Problem> {
    match &options.at {
        Some(text) => Day::read(text).ok_or_else(|| {
            Problem::new(format!("--at must be a day such as 2026-03-31, but is {text:?}"))
        }),
        None => today().ok_or_else(|| Problem::new("--at must be given: the clock tells no day")),
    }
}

fn wishes_of(options: &Compare) -> Result<Wishes, Problem> {
    let column = |number: usize| {
        number
            .checked_sub(1)
            .ok_or_else(|| Problem::new("columns are counted from 1, but one is 0"))
    };
    let mut found = Wishes {
        place_unit: options.place_unit.clone(),
        force_unit: options.force_unit.clone(),
        rate: options.samples_per_second,
        speed_spm: options.strokes_per_minute,
        bdc: options.bdc,
        keep_spikes: options.keep_spikes,
        ..Wishes::default()
    };
    found.delimiter = options.delimiter.as_deref().map(wishes::delimiter).transpose()?;
    found.decimal = options.decimal.as_deref().map(wishes::decimal).transpose()?;
    if !options.force.is_empty() {
        found.forces = Some(options.force.iter().map(|&n| column(n)).collect::<Result<_, _>>()?);
    }
    for (place, number) in [
        (columns::Place::Time, options.time),
        (columns::Place::Angle, options.angle),
        (columns::Place::Height, options.height),
    ] {
        if let Some(number) = number {
            (found.place, found.place_column) = (Some(place), Some(column(number)?));
        }
    }
    if options.samples_per_second.is_some() {
        found.place = Some(columns::Place::Count);
    }
    for (name, number) in [("strokes-per-minute", options.strokes_per_minute), ("bdc", options.bdc)]
    {
        let allowed = |number: f64| number.is_finite() && (name == "bdc" || number > 0.0);
        if let Some(number) = number.filter(|&number| !allowed(number)) {
            return Err(Problem::new(format!(
                "--{name} must be a number that can be, but is {number}"
            )));
        }
    }
    Ok(found)
}

fn recorded(options: &Compare, path: &Path, file: &Value, job: &Job) -> Result<String, Stop> {
    let refused = |problem: Problem| Stop::ReadingsRefused(path.display().to_string(), problem);
    let day = day(options).map_err(refused)?;
    let wishes = wishes_of(options).map_err(refused)?;
    let mut bytes = read_file(path, rows::LARGEST_FILE)?;
    if spreadsheet::is_spreadsheet(&bytes) {
        bytes.truncate(LARGEST_SPREADSHEET + 1);
        let text = spreadsheet::text_of(&bytes, options.sheet.as_deref()).map_err(refused)?;
        bytes = text.into_bytes();
    }
    let comparison = evenstroke_readings::read(&bytes, job, &wishes).map_err(refused)?;
    let mut stations = station_factors(job, &comparison);
    let corrections = correct::by_recording(file, job, &comparison, stations.as_mut(), day);
    Ok(match options.json {
        true => {
            report::text(&report::recording(job, &comparison, stations.as_ref(), &corrections))
                + "\n"
        }
        false => recording_text(job, &comparison, stations.as_ref(), &corrections),
    })
}

fn typed(options: &Compare, file: &Value, job: &Job) -> Result<String, Stop> {
    let refused = |problem: Problem| Stop::ReadingsRefused("what was typed".to_owned(), problem);
    let day = day(options).map_err(refused)?;
    let unit = options.force_unit.as_deref().unwrap_or("kN");
    let factor = columns::force_unit(unit).map_err(|why| refused(Problem::new(why)))?;
    let kn = |number: f64| number * factor;
    let typed = Typed {
        points_kn: options.points.iter().copied().map(kn).collect(),
        peak_kn: options.peak.map(kn),
        reverse_kn: options.reverse.map(kn),
    };
    let comparison = compare_typed(job, &job.check(), &typed, Some(day)).map_err(refused)?;
    let corrections = correct::by_typed(file, job, &typed, day);
    Ok(match options.json {
        true => report::text(&report::typed(job, &comparison, &corrections)) + "\n",
        false => typed_text(job, &comparison, &corrections),
    })
}

fn title(job: &Job) -> Vec<String> {
    let title = if job.title.is_empty() { "Untitled job" } else { &job.title };
    vec![title.to_owned(), String::new()]
}

fn kn(number: f64) -> String {
    UNITS.show(number, Unit::Kn)
}

fn ratio_words(ratio: Option<f64>) -> String {
    ratio.map_or(String::new(), |ratio| format!("{ratio:.2}"))
}

fn corrections_text(lines: &mut Vec<String>, corrections: &Corrections) {
    lines.push(String::new());
    lines.push("Corrections, of which none is made; --json has their edits".to_owned());
    for row in &corrections.proposals {
        let plus_minus = row.plus_minus.map_or(String::new(), |by| format!(" ± {by:.3}"));
        lines.push(format!("  {}{plus_minus}; by {}", row.words, row.reason));
    }
    if corrections.proposals.is_empty() {
        lines.push("  none: nothing is off by more than what was read is good for".to_owned());
    }
    lines.extend(corrections.notes.iter().map(|note| format!("  - {note}")));
    lines.push(String::new());
    lines.push(words::STANDING_CAUTIONS.last().map_or_else(String::new, |last| last.1.to_owned()));
}

fn recording_text(
    job: &Job,
    comparison: &Comparison,
    stations: Option<&StationFactors>,
    corrections: &Corrections,
) -> String {
    let mut lines = title(job);
    lines.push(format!(
        "{} samples, {} strokes compared, {} left out",
        comparison.samples, comparison.strokes, comparison.left_out
    ));
    lines.push(format!("  - {}", comparison.mapping.words()));
    let unit = &comparison.mapping.place_unit;
    lines.push(format!(
        "  - BDC {} at {:.3} {unit}",
        if comparison.bdc_found { "found" } else { "taken" },
        comparison.bdc
    ));
    lines.extend(comparison.told.iter().map(|told| format!("  - {told}")));
    lines.push(String::new());
    lines.push(format!(
        "{:<36}{:>12}{:>12}{:>12}  {:<24}{:>6}",
        "", "predicted", "upper", "read", "  lowest … highest", "ratio"
    ));
    for row in &comparison.quantities {
        let show = |number: Option<f64>| {
            number.map_or_else(|| "–".to_owned(), |number| UNITS.show(number, row.unit))
        };
        let band = row.read.map_or(String::new(), |band| {
            format!("  {} … {}", UNITS.number(band.low, row.unit), UNITS.show(band.high, row.unit))
        });
        lines.push(format!(
            "{:<36}{:>12}{:>12}{:>12}  {band:<24}{:>6}",
            row.label,
            show(row.predicted),
            show(row.upper),
            show(row.read.map(|band| band.mean)),
            ratio_words(row.ratio())
        ));
    }
    lines.push(format!(
        "curve: {:.1} % of the peak between prediction and reading, root of the mean square",
        100.0 * misfit(&comparison.steps)
    ));
    if let Some(found) = stations {
        lines.push(String::new());
        lines.push(format!(
            "Stations: all together × {:.2}; what is left over {:.1} % of the peak, with a factor each {:.1} %",
            found.common,
            100.0 * found.left_over.0,
            100.0 * found.left_over.1
        ));
        for (index, row) in found.factors.iter().enumerate() {
            let names: Vec<&str> =
                row.stations.iter().map(|&station| job.stations[station].name.as_str()).collect();
            let mut line =
                format!("  {:<32}× {:.2} ± {:.2}", names.join(" and "), row.factor, row.plus_minus);
            if row.stations.len() > 1 {
                line += ", not told apart: they rise and fall together";
            }
            if row.at_bound {
                line += ", at the end of what is looked for";
            }
            if found.off == Some(index) {
                line += ", likely off";
            }
            lines.push(line);
        }
    }
    corrections_text(&mut lines, corrections);
    plain(&lines)
}

fn typed_text(job: &Job, comparison: &TypedComparison, corrections: &Corrections) -> String {
    let mut lines = title(job);
    lines.push(format!("{:<16}{:>12}{:>12}{:>12}{:>8}", "", "predicted", "upper", "read", "ratio"));
    for row in &comparison.rows {
        let ratio = (row.predicted > 0.0).then(|| row.read / row.predicted);
        lines.push(format!(
            "{:<16}{:>12}{:>12}{:>12}{:>8}",
            row.place.label(),
            kn(row.predicted),
            kn(row.upper),
            kn(row.read),
            ratio_words(ratio)
        ));
    }
    if let Some((predicted, read)) = comparison.reverse {
        let show = |number: Option<f64>| number.map_or_else(|| "–".to_owned(), kn);
        lines.push(format!(
            "{:<16}{:>12}{:>12}{:>12}  predicted by estimate",
            "reverse load",
            show(predicted.map(|both| both.0)),
            show(predicted.map(|both| both.1)),
            kn(read)
        ));
    }
    if let Some(stop) = comparison.stop_kn {
        lines.push(format!("stop when the reverse load passes {}", kn(stop)));
    }
    if let Some([predicted, read]) = comparison.centre {
        let place = |centre: (f64, Option<f64>)| {
            let mm = press_load::Length::from_millimetres;
            words::direction_words(mm(centre.0), mm(centre.1.unwrap_or(0.0)), UNITS)
        };
        lines.push(format!(
            "load centre by the points: predicted {}, read {}",
            place(predicted),
            place(read)
        ));
    }
    lines.push(String::new());
    lines.push(format!(
        "What it looks like, of {} cases; off is in units of what a display is good for",
        comparison.tried
    ));
    for row in &comparison.likely {
        let alike = if row.cannot_tell { ", cannot be told from the first" } else { "" };
        lines.push(format!("  off {:>5.1}  {}{alike}", row.off, row.label));
    }
    lines.extend(comparison.trends.iter().map(|trend| format!("  - {}", trend_words(trend))));
    lines.extend(comparison.told.iter().map(|told| format!("  - {told}")));
    corrections_text(&mut lines, corrections);
    plain(&lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Days as `date -u -d @…` of GNU coreutils has them, at the ends of months, years and an era.
    #[test]
    fn seconds_since_1970_are_the_day_that_the_calendar_has() {
        for (seconds, day) in [
            (0, "1970-01-01"),
            (86_399, "1970-01-01"),
            (951_782_399, "2000-02-28"),
            (951_782_400, "2000-02-29"),
            (951_868_800, "2000-03-01"),
            (1_774_915_200, "2026-03-31"),
            (1_798_761_599, "2026-12-31"),
            (4_107_542_400, "2100-03-01"),
        ] {
            assert_eq!(day_of(seconds).map(|day| day.to_string()).as_deref(), Some(day));
        }
    }
}
