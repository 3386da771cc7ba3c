//! The report as readable text.

use evenstroke_job::{
    Job,
    line::{self, LineCheck, TandemLine},
    sensitivity::{Ends, Input, Movers},
    spec::Unit,
    units::UnitSystem,
    what_if::{self, WhatIf},
    words,
};
use press_load::{Check, Force, Peak};

/// Inputs that are shown for a limit; the JSON has them all.
const MOST_MOVERS: usize = 4;

/// What the command prints when no format is asked for.
pub fn report(job: &Job, check: &Check) -> String {
    let units = UnitSystem::Metric;
    let mut lines = headline(job, check, units);

    let peak = |name: &str, peak: &Option<Peak>| match peak {
        Some(peak) => format!(
            "{name:<9} peak {} at {} above BDC, load centre {}",
            units.show(peak.force.kilonewtons(), Unit::Kn),
            units.show(peak.height.millimetres(), Unit::Mm),
            words::point_words(peak.centre, units)
        ),
        None => format!("{name:<9} no force acts"),
    };
    lines.push(peak("nominal", &check.peak));
    lines.push(peak("upper", &check.peak_upper));
    lines.push(format!(
        "work per stroke {} nominal, {} upper; stripping pulls {}",
        units.show(check.energy.kilojoules(), Unit::Kj),
        units.show(check.energy_upper.kilojoules(), Unit::Kj),
        units.show(check.stripping.kilonewtons(), Unit::Kn)
    ));
    if let Some(band) = words::speed_words(&check.speed) {
        lines.push(format!("runs {band}"));
    }
    if let Some((height, speed)) = check.speed.at_contact {
        lines.push(format!(
            "slide speed at first touch, {} above BDC: {}",
            units.show(height.millimetres(), Unit::Mm),
            units.show(speed * 1e3, Unit::MmPerS)
        ));
    }
    if let Some(stretch) = check.stretch {
        lines.push(words::stretch_words(&stretch, units));
    }
    lines.extend(words::coil_words(job, units));
    lines.push(String::new());

    lines.push("Limits, worst first, judged on the upper line".to_owned());
    for limit in words::worst_first(check) {
        let share =
            limit.outcome.map_or_else(|_| String::from("–"), |used| words::share_words(used.share));
        lines.push(format!(
            "  {:<24}{:<13}{:>6}  {}",
            words::limit_label(limit.id),
            words::state_word(limit.state),
            share,
            words::limit_words(job, check, limit, units)
        ));
    }
    lines.push(String::new());
    lines.push("Cautions".to_owned());
    for (_, text) in words::all_cautions(job, check, units) {
        lines.push(format!("  - {text}"));
    }
    plain(&lines)
}

/// Names come from the file: what would steer the terminal or fake a line is blotted out.
pub(crate) fn plain(lines: &[String]) -> String {
    lines.iter().map(|line| line.replace(char::is_control, "\u{fffd}") + "\n").collect()
}

/// Title, press, verdict and its reason.
fn headline(job: &Job, check: &Check, units: UnitSystem) -> Vec<String> {
    let mut lines = Vec::new();
    let title = if job.title.is_empty() { "Untitled job" } else { &job.title };
    lines.push(title.to_owned());
    if !job.press_name.is_empty() {
        lines.push(format!("in {}", job.press_name));
    }
    lines.push(String::new());
    lines.push(format!(
        "{} ({})",
        words::verdict_words(check.verdict).to_uppercase(),
        words::checked_words(check)
    ));
    lines.push(words::reason(job, check, units));
    lines.push(String::new());
    lines
}

/// What moves each limit, and what would be if.
pub fn vary(job: &Job, check: &Check, movers: &[Movers], what_if: &WhatIf) -> String {
    let units = UnitSystem::Metric;
    let mut lines = headline(job, check, units);
    lines.push(
        "What moves each limit most: one input from low to high, all else as judged".to_owned(),
    );
    for limit in words::worst_first(check) {
        let Some(found) = movers.iter().find(|found| found.id == limit.id) else { continue };
        lines.push(format!(
            "  {}, {}",
            words::limit_label(limit.id),
            words::share_words(found.share)
        ));
        if found.movers.is_empty() {
            lines.push("    nothing that is uncertain moves it".to_owned());
        }
        for mover in found.movers.iter().take(MOST_MOVERS) {
            lines.push(format!(
                "    {:<40}{:>26}   {} … {}",
                mover.input.label,
                ends(&mover.input, units),
                words::share_words(mover.share_at_low),
                words::share_words(mover.share_at_high)
            ));
        }
    }
    lines.push(String::new());

    let force = |force: Force| units.show(force.kilonewtons(), Unit::Kn);
    let peak = |figures: &what_if::Figures| {
        let normal = figures.peaks.first().map_or(Force::ZERO, |peak| peak.1);
        let reverse = match figures.reverse {
            Some(reverse) => format!("; reverse load {}, an estimate", force(reverse)),
            None => String::new(),
        };
        format!(
            "peak {}, upper {}; work {}{reverse}",
            force(normal),
            force(figures.peak_upper),
            units.show(figures.energy_upper.kilojoules(), Unit::Kj)
        )
    };
    let band = &what_if.band;
    lines.push(format!(
        "What if: load alarm at {} and {} of the normal peak{}",
        what_if::percent(band.high),
        what_if::percent(-band.low),
        if band.assumed { " (common practice; set yours in the settings)" } else { "" }
    ));
    lines.push(format!("  As it stands: {}", peak(&what_if.normal)));
    for outcome in &what_if.outcomes {
        lines.push(format!("  {}", outcome.case.label(job)));
        lines.push(format!("    {}", peak(&outcome.figures)));
        let readings: Vec<String> = outcome
            .readings
            .iter()
            .map(|reading| {
                let place = reading.place.label();
                let change = reading.now - reading.normal;
                if reading.normal > Force::ZERO {
                    format!("{place} {}", what_if::percent(change / reading.normal))
                } else {
                    format!("{place} {}", force(reading.now))
                }
            })
            .collect();
        lines.push(format!(
            "    {}; {}; {}",
            readings.join(", "),
            what_if::breaks_words(outcome),
            what_if::alarm_words(outcome)
        ));
    }
    if what_if.left_out > 0 {
        lines.push(format!("  {} more punches and slugs are left out", what_if.left_out));
    }
    plain(&lines)
}

/// Every press of a line, and where it is weakest and slowest.
pub fn line(line: &TandemLine, check: &LineCheck) -> String {
    let units = UnitSystem::Metric;
    let title = if line.title.is_empty() { "Untitled line" } else { &line.title };
    let mut lines = vec![
        title.to_owned(),
        String::new(),
        words::verdict_words(check.verdict).to_uppercase(),
        line::weakest_words(line, check),
        line::slowest_words(line, check),
        String::new(),
    ];
    for (index, (job, found)) in line.jobs.iter().zip(&check.checks).enumerate() {
        lines.push(line::job_words(line, index));
        lines.push(format!(
            "  {} ({})",
            words::verdict_words(found.verdict),
            words::checked_words(found)
        ));
        lines.push(format!("  {}", words::reason(job, found, units)));
        lines.push(format!("  {}", line::speed_words(&check.speeds[index])));
        for caution in &found.cautions {
            lines.push(format!("  - {}", words::caution_words(caution, units).1));
        }
    }
    lines.push(String::new());
    lines.push("Cautions that always hold".to_owned());
    for (_, text) in words::STANDING_CAUTIONS {
        lines.push(format!("  - {text}"));
    }
    plain(&lines)
}

/// The ends of an input: `270.0 to 410.0 MPa`, `−0.1 to +0.1 mm`.
fn ends(input: &Input, units: UnitSystem) -> String {
    // Lengths that count here are tenths of a millimetre, ratios hundredths.
    let number = |value: f64| match input.unit {
        Unit::Mm => format!("{value:.2}"),
        _ => units.number(value, input.unit),
    };
    let sign = |value: f64| if input.ends == Ends::Changes && value > 0.0 { "+" } else { "" };
    format!(
        "{}{} to {}{} {}",
        sign(input.low),
        number(input.low),
        sign(input.high),
        number(input.high),
        units.symbol(input.unit)
    )
    .trim_end()
    .to_owned()
}
