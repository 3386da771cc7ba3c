//! What there is to say of the press as a machine: speed, energy, stretch, snap-through, tilt.

use super::limit_words;
use crate::{Job, spec::Unit, units::UnitSystem};
use evenstroke_language::{number, say, tr};
use press_load::{
    Check, Force, Length, LimitId, SlideCourse, SpeedBand, Stretch, check::DEFAULT_REVERSE_SHARE,
    press::Drive, slide_on_springs::SlideRow,
};

/// The strokes per minute at which the die runs: `from 24 to 61 strokes/min`, `at no speed`; nothing if
/// neither end is known.
pub fn speed_words(speed: &SpeedBand) -> Option<String> {
    if speed.is_empty() {
        return Some(tr("at no speed").to_owned());
    }
    let lowest = speed.lowest.map(|rate| format!("{:.0}", rate.per_minute().ceil()));
    let highest = speed.highest.map(|rate| format!("{:.0}", rate.per_minute().floor()));
    Some(match (lowest, highest) {
        (Some(lowest), Some(highest)) => say!("from {} to {} strokes/min", lowest, highest),
        (Some(lowest), None) => say!("from {} strokes/min on", lowest),
        (None, Some(highest)) => say!("up to {} strokes/min", highest),
        (None, None) => return None,
    })
}

/// What there is to say of speed, energy and stretch, a sentence each.
pub fn running_words(job: &Job, check: &Check, units: UnitSystem) -> Vec<String> {
    let mut lines = Vec::new();
    let work = units.show(check.energy_upper.kilojoules(), Unit::Kj);
    lines.push(match job.press.usable_energy() {
        Some(usable) => say!(
            "One stroke takes up to {}; the press gives {} at this speed",
            work,
            units.show(usable.kilojoules(), Unit::Kj)
        ),
        None => say!("One stroke takes up to {}; what the press gives is not known", work),
    });
    let is_hydraulic = matches!(job.press.drive, Drive::Hydraulic { .. });
    match speed_words(&check.speed) {
        Some(band) if check.speed.is_empty() => lines.push(say!("The die runs {}: {}", band, if check.speed.too_little_energy {
                tr("the flywheel holds too little for one stroke, however fast")
            } else {
                tr("where the flywheel holds enough, the motor or the press does not keep up")
            })),
        Some(band) => lines.push(say!("The die runs {}{}{}", band, if check.speed.lowest_by_energy { tr("; slower, the flywheel holds too little") } else { "" }, if check.speed.highest_by_motor { tr("; faster, the motor does not keep up") } else { "" })),
        // It has no flywheel whose energy could go with speed.
        None if is_hydraulic => {}
        None => lines.push(
            tr("Between what speeds it runs is not known: enter the energy with its speed, and the motor")
                .to_owned(),
        ),
    }
    if let Some((height, speed)) = check.speed.at_contact {
        lines.push(say!(
            "The slide moves at {} where it first touches, {} above BDC",
            units.show(speed * 1e3, Unit::MmPerS),
            units.show(height.millimetres(), Unit::Mm)
        ));
    }
    if let Some(stretch) = &check.stretch {
        let words = stretch_words(stretch, units);
        let mut letters = words.chars();
        lines.extend(letters.next().map(|first| first.to_uppercase().chain(letters).collect()));
    }
    lines
}

/// A length of which hundredths of a millimetre count.
pub fn fine_length(length: Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::UsCustomary => say!("{} in", number(length.millimetres() / 25.4, 4)),
        _ => say!("{} mm", number(length.millimetres(), 2)),
    }
}

/// How much the press opens: `the press opens 0.34 mm at the peak, 0.00 mm at BDC`.
pub fn stretch_words(stretch: &Stretch, units: UnitSystem) -> String {
    let fine = |length| fine_length(length, units);
    say!(
        "the press opens {} at the peak, {} at BDC: set without load, the slide ends that much higher under load",
        fine(stretch.at_peak),
        fine(stretch.at_bdc)
    )
}

/// The pull at which to stop: the press's own figure, or the usual share of its rated force.
pub fn reverse_limit(job: &Job) -> Option<Force> {
    let share = job.press.reverse_share.unwrap_or(DEFAULT_REVERSE_SHARE);
    Some(job.press.rated_force? * share)
}

/// What there is to say of the snap-through, a sentence each.
pub fn snap_through_words(job: &Job, units: UnitSystem) -> Vec<String> {
    let kn = |force: Force| units.show(force.kilonewtons(), Unit::Kn);
    let mut lines = vec![match job.snap_through {
        Ok(snap) => say!(
            "As the cut breaks through the press springs back and is pulled by {} nominal, {} with worn edges; an estimate, which compares variants of a die and is corrected by readings",
            kn(snap.nominal),
            kn(snap.upper)
        ),
        Err(missing) => say!("How the press springs back cannot be told: {}", tr(missing.text())),
    }];
    if let Some(limit) = reverse_limit(job) {
        lines.push(say!("Stop when the reverse reading passes {}; it grows as edges dull, so look at it all run", kn(limit)));
    }
    lines.push(
        tr("Punch steps, tool shear and sharp edges make it smaller, speed makes it larger")
            .to_owned(),
    );
    lines
}

/// What there is to say of the slide's tilt, a sentence each; `course` is what is looked at.
pub fn slide_tilt_words(
    job: &Job,
    check: &Check,
    course: &SlideCourse,
    units: UnitSystem,
) -> Vec<String> {
    let steepest = |tilt: fn(&SlideRow) -> f64| {
        course.rows.iter().map(|row| tilt(row).abs()).fold(0.0, f64::max)
    };
    let mut lines = vec![
        say!(
            "The slide tips by up to {} mm per metre left–right and {} front–back on its way down",
            number(steepest(SlideRow::tilt_x_mm_per_m), 3),
            number(steepest(SlideRow::tilt_y_mm_per_m), 3)
        ),
        say!(
            "Worst over all strip states: {}",
            limit_words(job, check, check.limit(LimitId::SlideTilt), units)
        ),
    ];
    let order: Vec<&str> = course
        .releases
        .iter()
        .filter_map(|release| job.stations.get(release.station))
        .map(|station| station.name.as_str())
        .collect();
    if order.len() > 1 {
        lines.push(say!("Stations let go in this order: {}", order.join(", ")));
    }
    lines
}
