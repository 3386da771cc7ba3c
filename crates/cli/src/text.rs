//! The report as readable text.

use evenstroke_job::{Job, spec::Unit, units::UnitSystem, words};
use press_load::{Check, Peak};

/// What the command prints when no format is asked for.
pub fn report(job: &Job, check: &Check) -> String {
    let units = UnitSystem::Metric;
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
    lines.extend(coil(job, units));
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
    // Names come from the file: what would steer the terminal or fake a line is blotted out.
    lines.iter().map(|line| line.replace(char::is_control, "\u{fffd}") + "\n").collect()
}

/// What this coil asks, where its numbers are entered.
fn coil(job: &Job, units: UnitSystem) -> Option<String> {
    let check = match job.check_coil()? {
        Ok(check) => check,
        Err(error) => return Some(format!("this coil cannot be worked: {error}")),
    };
    let peak = match &check.peak_upper {
        Some(peak) => format!("peak {}", units.show(peak.force.kilonewtons(), Unit::Kn)),
        None => "no force acts".to_owned(),
    };
    Some(format!(
        "this coil {peak}, work per stroke {}, edges as worn: {}. {}",
        units.show(check.energy_upper.kilojoules(), Unit::Kj),
        words::verdict_words(check.verdict).to_lowercase(),
        words::reason(job, &check, units)
    ))
}
