//! What people read: names of limits, directions, cautions.

use crate::{
    Assumption, Job,
    spec::Unit,
    units::{UnitSystem, unit_of_limit},
};
use press_load::{
    Caution, Check, Length, Limit, LimitId, Missing, Point, State, StripState, Use,
    cutting::ShearSide, order,
};

/// What a limit is called.
pub const fn limit_label(id: LimitId) -> &'static str {
    match id {
        LimitId::RatedForce => "Rated force",
        LimitId::ForceAtHeight => "Force at height",
        LimitId::WorkingEnergy => "Working energy",
        LimitId::MotorPower => "Motor power",
        LimitId::OffCentreX => "Off-centre, left–right",
        LimitId::OffCentreY => "Off-centre, front–back",
        LimitId::SuspensionLoad => "Suspension point",
        LimitId::SlideTilt => "Slide tilt",
        LimitId::ReverseLoad => "Reverse load",
        LimitId::StripperForce => "Stripper force",
        LimitId::StrippingLoad => "Stripping load",
        LimitId::ConcentratedLoad => "Concentrated load",
        LimitId::UpperDieHold => "Upper die holding",
        LimitId::ShutHeight => "Shut height",
        LimitId::Daylight => "Daylight",
        LimitId::BolsterFit => "Fit on bolster",
        LimitId::SlideFit => "Fit under slide",
        LimitId::GuideEngagement => "Guide engagement",
    }
}

/// The word for a state.
pub const fn state_word(state: State) -> &'static str {
    match state {
        State::Within => "within",
        State::Near => "near",
        State::Over => "over",
        State::NotChecked => "not checked",
    }
}

/// The verdict as a headline. A result is never called more than within the limits checked.
pub const fn verdict_words(state: State) -> &'static str {
    match state {
        State::Within => "Within the limits checked",
        State::Near => "Near a limit",
        State::Over => "Over a limit",
        State::NotChecked => "Not checked: data missing",
    }
}

/// A strip state in words.
pub fn strip_state_words(state: StripState) -> String {
    match state {
        StripState::Full => "strip full".to_owned(),
        StripState::Filling(last) => format!("strip filling to position {last}"),
        StripState::RunningOut(first) => format!("strip running out from position {first}"),
    }
}

/// A displacement in words: `128 mm left, 3 mm back`.
pub fn direction_words(x: Length, y: Length, units: UnitSystem) -> String {
    let part = |length: Length, positive: &str, negative: &str| {
        let mm = length.millimetres();
        // What rounds to nothing has no direction.
        (mm.abs() >= 0.05).then(|| {
            format!(
                "{} {}",
                units.show(mm.abs(), Unit::Mm),
                if mm > 0.0 { positive } else { negative }
            )
        })
    };
    match (part(x, "right", "left"), part(y, "back", "front")) {
        (None, None) => "at the centre".to_owned(),
        (Some(x), None) => x,
        (None, Some(y)) => y,
        (Some(x), Some(y)) => format!("{x}, {y}"),
    }
}

/// A point in words.
pub fn point_words(point: Point, units: UnitSystem) -> String {
    direction_words(Length::from_metres(point.x), Length::from_metres(point.y), units)
}

/// Demand and limit in units, where and when: `1 392 of 1 600 kN at 4.1 mm, strip full`.
pub fn limit_words(job: &Job, check: &Check, limit: &Limit, units: UnitSystem) -> String {
    let used = match &limit.outcome {
        Ok(used) => used,
        Err(missing) => return missing.text().to_owned(),
    };
    let mm = |length: Length| units.number(length.millimetres(), Unit::Mm);
    if limit.id == LimitId::ShutHeight
        && let (Some(die), Some(highest)) = (job.die.shut_height, job.press.shut_height)
    {
        let lowest = highest - job.press.shut_height_adjustment.unwrap_or_default();
        let highest = units.show(highest.millimetres(), Unit::Mm);
        return format!("{} in {} … {highest}", mm(die), mm(lowest));
    }
    let unit = unit_of_limit(limit.unit);
    if limit.id == LimitId::SlideTilt {
        return tilt_words(job, check, used, units);
    }
    let demand = units.number(used.demand, unit);
    let mut words = if used.limit == 0.0 && used.demand == 0.0 {
        "nothing acts".to_owned()
    } else if matches!(limit.id, LimitId::BolsterFit | LimitId::SlideFit) {
        format!("reaches {demand} of {} from the middle", units.show(used.limit, unit))
    } else {
        format!("{demand} of {}", units.show(used.limit, unit))
    };
    if let Some(height) = used.at_height {
        words += &format!(" at {}", units.show(height.millimetres(), Unit::Mm));
    }
    if limit.id.is_estimate() {
        return words + ", an estimate";
    }
    if check.strip_states.len() > 1 && used.at_height.is_some() {
        words += &format!(", {}", strip_state_words(used.strip_state));
    }
    words
}

/// What tilting does to the tightest cut: `0.034 mm of 0.160 mm clearance in Pierce at 3.6 mm, …`.
fn tilt_words(job: &Job, check: &Check, used: &Use, units: UnitSystem) -> String {
    let (eaten, clearance) = (units.show_fine(used.demand), units.show_fine(used.limit));
    let mut words = format!("{eaten} of {clearance} clearance");
    let station = check.tilt.and_then(|tilt| job.stations.get(tilt.station));
    if let Some(station) = station {
        words += &format!(" in {}", station.name);
    }
    if let Some(height) = used.at_height {
        words += &format!(" at {}", units.show(height.millimetres(), Unit::Mm));
    }
    if check.strip_states.len() > 1 {
        words += &format!(", {}", strip_state_words(used.strip_state));
    }
    words
}

/// The limits, worst first; those not checked come last, essential ones before the others.
pub fn worst_first(check: &Check) -> Vec<&Limit> {
    let rank = |limit: &&Limit| match limit.state {
        State::Over => 0.0,
        State::Near => 1.0,
        State::Within => 2.0,
        State::NotChecked if limit.id.is_essential() => 3.0,
        State::NotChecked => 4.0,
    };
    let share = |limit: &Limit| limit.outcome.map_or(0.0, |used| used.share);
    // Equal ranks keep the order that the shares gave.
    let shares: Vec<f64> = check.limits.iter().map(share).collect();
    let by_share: Vec<&Limit> =
        order::falling(&shares).into_iter().map(|i| &check.limits[i]).collect();
    let ranks: Vec<f64> = by_share.iter().map(rank).collect();
    order::rising(&ranks).into_iter().map(|i| by_share[i]).collect()
}

/// One sentence on why the verdict is what it is.
pub fn reason(job: &Job, check: &Check, units: UnitSystem) -> String {
    let open: Vec<&Limit> = check
        .limits
        .iter()
        .filter(|limit| limit.id.is_essential() && limit.state == State::NotChecked)
        .collect();
    match (check.verdict, worst_first(check).first()) {
        (State::NotChecked, _) if !open.is_empty() => {
            let gaps: Vec<&str> =
                open.iter().filter_map(|limit| limit.outcome.err()).map(Missing::text).collect();
            format!("Missing: {}.", gaps.join("; "))
        }
        (State::NotChecked, _) => "No station does any work yet.".to_owned(),
        (_, Some(worst)) => {
            let share = worst.outcome.map_or(0.0, |used| used.share);
            format!(
                "{} {}: {}.",
                limit_label(worst.id),
                share_words(share),
                limit_words(job, check, worst, units)
            )
        }
        (_, None) => String::new(),
    }
}

/// A share with two digits; what is over never reads as exactly 1.00.
pub fn share_words(share: f64) -> String {
    if !share.is_finite() {
        return "more than any".to_owned();
    }
    let rounded = format!("{share:.2}");
    if share > 1.0 && rounded == "1.00" { "just over 1.00".to_owned() } else { rounded }
}

/// How many limits were checked, and how many of what number could be.
pub fn checked_words(check: &Check) -> String {
    let checked = check.limits.iter().filter(|limit| limit.state != State::NotChecked).count();
    format!("{checked} of {} limits checked", check.limits.len())
}

/// A caution's name in files and its text.
pub fn caution_words(caution: &Caution, units: UnitSystem) -> (&'static str, String) {
    let mm = |length: Length| units.show(length.millimetres(), Unit::Mm);
    match caution {
        Caution::UnfinishedCut { station, missing } => (
            "unfinished_cut",
            format!(
                "{station}: the cut may not be through at BDC; it lacks up to {} of depth.",
                mm(*missing)
            ),
        ),
        Caution::LengthOnly { station } => (
            "length_only",
            format!(
                "{station}: only the cut length is known, so its load centre is taken at the station point."
            ),
        ),
        Caution::SpringPastStroke { station, travel, stroke } => (
            "spring_past_stroke",
            format!(
                "{station}: the spring is pushed {} but has {} of stroke; it breaks.",
                mm(*travel),
                mm(*stroke)
            ),
        ),
        Caution::PointLifts { height, strip_state } => (
            "point_lifts",
            format!(
                "The load acts outside the suspension points at {} ({}): one side of the slide is pulled, not pushed.",
                mm(*height),
                strip_state_words(*strip_state)
            ),
        ),
        Caution::FrameTilts { tilt } => (
            "frame_tilts",
            format!(
                "The gap frame opens at the front: at the highest force the slide tilts front–back by up to {}, even with the load in the middle.",
                units.show(tilt * 1e3, Unit::MmPerM)
            ),
        ),
        Caution::DrawingRatioAboveLimit { station, ratio, limit } => (
            "drawing_ratio",
            format!(
                "{station}: drawing ratio {ratio:.2} is above {limit:.2}, which one draw usually takes."
            ),
        ),
        Caution::WallTears { station, force, limit } => (
            "wall_tears",
            format!(
                "{station}: the draw asks {}, more than the {} at which the wall tears; the cup may not come out whole.",
                units.show(force.kilonewtons(), Unit::Kn),
                units.show(limit.kilonewtons(), Unit::Kn)
            ),
        ),
        Caution::HoleFlangeTooHigh { station, height, limit } => (
            "hole_flange_height",
            format!(
                "{station}: the hole flange is {} high; above about {} its edge splits.",
                mm(*height),
                mm(*limit)
            ),
        ),
        Caution::PunchOverstressed { station, stress, limit } => (
            "punch_stress",
            format!(
                "{station}: the punch is pressed with up to {}; above about {} few punches last (common practice; tests on thick plate came near it).",
                units.show(stress.megapascals(), Unit::Mpa),
                units.show(limit.megapascals(), Unit::Mpa)
            ),
        ),
        Caution::PunchBuckles { station, force, limit } => (
            "punch_buckling",
            format!(
                "{station}: the slender punch carries up to {}; it buckles at {} (Euler) and is best kept below half of that. Guide it in the stripper or make it shorter.",
                units.show(force.kilonewtons(), Unit::Kn),
                units.show(limit.kilonewtons(), Unit::Kn)
            ),
        ),
        Caution::ShearBendsPart { station, on } => (
            "shear_side",
            match on {
                ShearSide::Punch => format!(
                    "{station}: tool shear on the punch bends the blank that falls through; to keep it flat, grind the die."
                ),
                ShearSide::Die => format!(
                    "{station}: tool shear on the die bends the part that stays on it; to keep it flat, grind the punch."
                ),
            },
        ),
        Caution::LanceClosed { station } => (
            "lance_closed",
            format!(
                "{station}: a lance is open and frees no piece; this outline is closed and drops a slug. Is it a pierce?"
            ),
        ),
        Caution::ShaveWithoutAllowance { station } => (
            "shave_allowance",
            format!(
                "{station}: shaving without its allowance is taken as a cut through the whole thickness, which is too much force."
            ),
        ),
        Caution::ShutHeightGain { station, gain } => (
            "shut_height_gain",
            format!(
                "{station}: on the bottom, 0.1 mm of shut height or stock thickness is worth up to {} on this press.",
                units.show(gain.kilonewtons(), Unit::Kn)
            ),
        ),
        Caution::NoWork => ("no_work", "No station does any work yet.".to_owned()),
    }
}

/// An assumption's name in files and its text.
pub const fn assumption_words(assumption: Assumption) -> (&'static str, &'static str) {
    match assumption {
        Assumption::ShearRatio => (
            "assumed_shear_ratio",
            "Shear strength is taken as 0.8 of tensile strength (rules in print: 0.6 to 0.8; measured on steel: 0.72 to 0.75).",
        ),
        Assumption::TensileFromShear => {
            ("assumed_tensile", "Tensile strength is worked back from the shear strength.")
        }
        Assumption::Penetration => {
            ("assumed_penetration", "Penetration is taken as 0.4 of thickness.")
        }
        Assumption::Separation => (
            "assumed_separation",
            "Separation is taken as 0.65 to 0.75 of thickness, as in mild steel.",
        ),
        Assumption::Clearance => (
            "assumed_clearance",
            "Clearance is taken as 6 % of thickness per side where not given.",
        ),
        Assumption::StripFactor => (
            "assumed_strip_factor",
            "Stripping is taken as 0.1 of the cutting force (in print: 0.03 to 0.3).",
        ),
        Assumption::ReverseLimit => (
            "assumed_reverse_limit",
            "The pull that the press stands is taken as 10 % of its rated force (common practice); its manual rules.",
        ),
        Assumption::EnergySpeed => (
            "assumed_energy_speed",
            "The usable energy is taken to hold at the speed of this job, since no speed is given with it.",
        ),
        Assumption::PointStiffness => (
            "assumed_point_stiffness",
            "For slide tilt the whole stiffness of the press is taken to be in its suspension points, in equal parts.",
        ),
    }
}

/// What belongs to every set-up: name in files and text.
pub const STANDING_CAUTIONS: [(&str, &str); 6] = [
    (
        "lock_out",
        "Before hands go into the die: lock out, block the slide, count the safety blocks in and out again.",
    ),
    ("guards", "Guards and devices in place and tested after setting; keep clear of pinch points."),
    ("slugs", "Slug and scrap path open and emptied under every cutting station."),
    (
        "first_strokes",
        "Inch through empty. Hit in metal at a speed the energy allows: inched through the work, a loaded die can stall on bottom.",
    ),
    (
        "strange_noise",
        "On a strange noise or a changed load reading stop; stand aside on the first strokes.",
    ),
    (
        "who_decides",
        "This is a calculation from the data shown. The press's own plate and manual, local codes and a competent person decide.",
    ),
];

/// All cautions of a checked job: what follows from it, what was assumed, what always holds.
pub fn all_cautions(job: &Job, check: &Check, units: UnitSystem) -> Vec<(&'static str, String)> {
    let found = check.cautions.iter().map(|caution| caution_words(caution, units));
    let assumed = job.assumptions.iter().map(|&assumption| {
        let (id, text) = assumption_words(assumption);
        (id, text.to_owned())
    });
    let standing = STANDING_CAUTIONS.iter().map(|(id, text)| (*id, (*text).to_owned()));
    found.chain(assumed).chain(standing).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    #[test]
    fn directions_are_words_not_axes() {
        let words = |x, y| direction_words(mm(x), mm(y), UnitSystem::Metric);
        assert_eq!(words(-128.0, 3.0), "128.0 mm left, 3.0 mm back");
        assert_eq!(words(12.0, 0.0), "12.0 mm right");
        assert_eq!(words(0.0, -5.0), "5.0 mm front");
        assert_eq!(words(0.01, -0.01), "at the centre");
    }

    #[test]
    fn a_share_just_over_one_does_not_read_as_one() {
        assert_eq!(share_words(1.001), "just over 1.00");
        assert_eq!(share_words(0.999), "1.00");
        assert_eq!(share_words(f64::INFINITY), "more than any");
    }

    #[test]
    fn nothing_is_ever_called_safe() {
        let mut texts: Vec<String> =
            STANDING_CAUTIONS.iter().map(|caution| caution.1.to_owned()).collect();
        for state in [State::Within, State::Near, State::Over, State::NotChecked] {
            texts.push(verdict_words(state).to_owned());
            texts.push(state_word(state).to_owned());
        }
        for text in texts {
            let without_device = text.replace("safety blocks", "");
            assert!(!without_device.contains("safe"), "{text}");
        }
    }
}
