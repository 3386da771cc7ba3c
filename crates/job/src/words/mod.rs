//! What people read: names of limits, directions, cautions.

use crate::{
    Assumption, Job, OutsideRange,
    spec::Unit,
    units::{UnitSystem, unit_of_limit},
};
use evenstroke_language::{decimal, in_sentence, marked, number, say, tr};
mod machine;

pub use machine::{
    fine_length, reverse_limit, running_words, slide_tilt_words, snap_through_words, speed_words,
    stretch_words,
};

use press_load::{
    Caution, Check, Length, Limit, LimitId, Point, State, StripState, Use, cutting::ShearSide,
    order,
};

/// What a limit is called.
pub fn limit_label(id: LimitId) -> &'static str {
    tr(match id {
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
    })
}

/// The word for a state.
pub fn state_word(state: State) -> &'static str {
    tr(match state {
        State::Within => "within",
        State::Near => "near",
        State::Over => "over",
        State::NotChecked => "not checked",
    })
}

/// The verdict as a headline. A result is never called more than within the limits checked.
pub fn verdict_words(state: State) -> &'static str {
    tr(match state {
        State::Within => "Within the limits checked",
        State::Near => "Near a limit",
        State::Over => "Over a limit",
        State::NotChecked => "Not checked: data missing",
    })
}

/// A strip state in words.
pub fn strip_state_words(state: StripState) -> String {
    match state {
        StripState::Full => tr("strip full").to_owned(),
        StripState::Filling(last) => say!("strip filling to position {}", last),
        StripState::Hit(hit) => say!("strip filling, hit {}", hit),
        StripState::BlankMissing(position) => say!("blank missing at position {}", position),
        StripState::RunningOut(first) => say!("strip running out from position {}", first),
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
    match (part(x, tr("right"), tr("left")), part(y, tr("back"), tr("front"))) {
        (None, None) => tr("at the centre").to_owned(),
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
        Err(missing) => {
            return match needs_words(limit, units) {
                Some(needs) => format!("{}; {needs}", tr(missing.text())),
                None => tr(missing.text()).to_owned(),
            };
        }
    };
    let mm = |length: Length| units.number(length.millimetres(), Unit::Mm);
    if limit.id == LimitId::ShutHeight
        && let (Some(die), Some(highest)) = (job.die.stack(), job.press.shut_height)
    {
        let lowest = highest - job.press.shut_height_adjustment.unwrap_or_default();
        let highest = units.show(highest.millimetres(), Unit::Mm);
        return say!("{} in {} … {}", mm(die), mm(lowest), highest);
    }
    let unit = unit_of_limit(limit.unit);
    if limit.id == LimitId::SlideTilt {
        return tilt_words(job, check, used, units);
    }
    let demand = units.number(used.demand, unit);
    let mut words = if used.limit == 0.0 && used.demand == 0.0 {
        tr("nothing acts").to_owned()
    } else if matches!(limit.id, LimitId::BolsterFit | LimitId::SlideFit) {
        say!("reaches {} of {} from the middle", demand, units.show(used.limit, unit))
    } else {
        say!("{} of {}", demand, units.show(used.limit, unit))
    };
    if let Some(height) = used.at_height {
        words += &say!(" at {}", units.show(height.millimetres(), Unit::Mm));
    }
    if limit.id.is_estimate() {
        return words + tr(", an estimate");
    }
    if check.strip_states.len() > 1 && used.at_height.is_some() {
        words += &format!(", {}", strip_state_words(used.strip_state));
    }
    words
}

/// What tilting does to the tightest cut: `0.034 mm of 0.160 mm clearance in Pierce at 3.6 mm, …`.
fn tilt_words(job: &Job, check: &Check, used: &Use, units: UnitSystem) -> String {
    let (eaten, clearance) = (units.show_fine(used.demand), units.show_fine(used.limit));
    let mut words = say!("{} of {} clearance", eaten, clearance);
    let station = check.tilt.and_then(|tilt| job.stations.get(tilt.station));
    if let Some(station) = station {
        words += &say!(" in {}", station.name);
    }
    if let Some(height) = used.at_height {
        words += &say!(" at {}", units.show(height.millimetres(), Unit::Mm));
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
    match (check.verdict, worst_first(check).first()) {
        (State::NotChecked, _) => {
            let gaps = gaps(check, units);
            if gaps.is_empty() {
                return tr("No station does any work yet.").to_owned();
            }
            let gaps: Vec<String> = gaps
                .into_iter()
                .map(|(text, needs)| match needs.is_empty() {
                    true => text.to_owned(),
                    false => format!("{text} ({})", needs.join(", ")),
                })
                .collect();
            say!("Missing: {}.", gaps.join("; "))
        }
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

/// The same where there is little room: of many gaps the first two, without what they would take.
pub fn reason_in_short(job: &Job, check: &Check, units: UnitSystem) -> String {
    match gaps(check, units).as_slice() {
        [first, second, others @ ..]
            if check.verdict == State::NotChecked && !others.is_empty() =>
        {
            say!("Missing: {}; {}; and {} more, see the limits.", first.0, second.0, others.len())
        }
        _ => reason(job, check, units),
    }
}

/// What keeps essential limits from being checked, each gap once, with all that would do.
fn gaps(check: &Check, units: UnitSystem) -> Vec<(&'static str, Vec<String>)> {
    let mut gaps: Vec<(&str, Vec<String>)> = Vec::new();
    for limit in &check.limits {
        if !limit.id.is_essential() || limit.state != State::NotChecked {
            continue;
        }
        let Some(text) = limit.outcome.err().map(|missing| tr(missing.text())) else { continue };
        let needs = needs_words(limit, units);
        match gaps.iter_mut().find(|gap| gap.0 == text) {
            Some(gap) => gap.1.extend(needs),
            None => gaps.push((text, needs.into_iter().collect())),
        }
    }
    gaps
}

/// A share with two digits; what is over never reads as exactly 1.00.
pub fn share_words(share: f64) -> String {
    if !share.is_finite() {
        return tr("more than any").to_owned();
    }
    let rounded = format!("{share:.2}");
    if share > 1.0 && rounded == "1.00" {
        say!("just over {}", decimal(rounded))
    } else {
        decimal(rounded)
    }
}

/// How many limits were checked, and how many of what number could be.
pub fn checked_words(check: &Check) -> String {
    let checked = check.limits.iter().filter(|limit| limit.state != State::NotChecked).count();
    say!("{} of {} limits checked", checked, check.limits.len())
}

/// A caution's name in files and its text.
pub fn caution_words(caution: &Caution, units: UnitSystem) -> (&'static str, String) {
    let mm = |length: Length| units.show(length.millimetres(), Unit::Mm);
    match caution {
        Caution::UnfinishedCut { station, missing } => (
            "unfinished_cut",
            say!(
                "{}: the cut may not be through at BDC; it lacks up to {} of depth.",
                station,
                mm(*missing)
            ),
        ),
        Caution::LengthOnly { station } => (
            "length_only",
            say!(
                "{}: only the cut length is known, so its load centre is taken at the station point.",
                station
            ),
        ),
        Caution::SpringPastStroke { station, travel, stroke } => (
            "spring_past_stroke",
            say!(
                "{}: the spring is pushed {} but has {} of stroke; it breaks.",
                station,
                mm(*travel),
                mm(*stroke)
            ),
        ),
        Caution::PointLifts { height, strip_state } => (
            "point_lifts",
            say!(
                "The load acts outside the suspension points at {} ({}): one side of the slide is pulled, not pushed.",
                mm(*height),
                strip_state_words(*strip_state)
            ),
        ),
        Caution::FrameTilts { tilt } => (
            "frame_tilts",
            say!(
                "The gap frame opens at the front: at the highest force the slide tilts front–back by up to {}, even with the load in the middle.",
                units.show(tilt * 1e3, Unit::MmPerM)
            ),
        ),
        Caution::DrawingRatioAboveLimit { station, ratio, limit } => (
            "drawing_ratio",
            say!(
                "{}: drawing ratio {} is above {}, which one draw usually takes.",
                station,
                number(*ratio, 2),
                number(*limit, 2)
            ),
        ),
        Caution::WallTears { station, force, limit } => (
            "wall_tears",
            say!(
                "{}: the draw asks {}, more than the {} at which the wall tears; the cup may not come out whole.",
                station,
                units.show(force.kilonewtons(), Unit::Kn),
                units.show(limit.kilonewtons(), Unit::Kn)
            ),
        ),
        Caution::HoleFlangeTooHigh { station, height, limit } => (
            "hole_flange_height",
            say!(
                "{}: the hole flange is {} high; above about {} its edge splits.",
                station,
                mm(*height),
                mm(*limit)
            ),
        ),
        Caution::PunchOverstressed { station, stress, limit } => (
            "punch_stress",
            say!(
                "{}: the punch is pressed with up to {}; above about {} few punches last (common practice; tests on thick plate came near it).",
                station,
                units.show(stress.megapascals(), Unit::Mpa),
                units.show(limit.megapascals(), Unit::Mpa)
            ),
        ),
        Caution::PunchBuckles { station, force, limit } => (
            "punch_buckling",
            say!(
                "{}: the slender punch carries up to {}; it buckles at {} (Euler) and is best kept below half of that. Guide it in the stripper or make it shorter.",
                station,
                units.show(force.kilonewtons(), Unit::Kn),
                units.show(limit.kilonewtons(), Unit::Kn)
            ),
        ),
        Caution::ShearBendsPart { station, on } => (
            "shear_side",
            match on {
                ShearSide::Punch => say!(
                    "{}: tool shear on the punch bends the blank that falls through; to keep it flat, grind the die.",
                    station
                ),
                ShearSide::Die => say!(
                    "{}: tool shear on the die bends the part that stays on it; to keep it flat, grind the punch.",
                    station
                ),
            },
        ),
        Caution::LanceClosed { station } => (
            "lance_closed",
            say!(
                "{}: a lance is open and frees no piece; this outline is closed and drops a slug. Is it a pierce?",
                station
            ),
        ),
        Caution::ShaveWithoutAllowance { station } => (
            "shave_allowance",
            say!(
                "{}: shaving without its allowance is taken as a cut through the whole thickness, which is too much force.",
                station
            ),
        ),
        Caution::ShutHeightGain { station, gain } => (
            "shut_height_gain",
            say!(
                "{}: on the bottom, 0.1 mm of shut height or stock thickness is worth up to {} on this press.",
                station,
                units.show(gain.kilonewtons(), Unit::Kn)
            ),
        ),
        Caution::OnePointUnrated { offset, moment } => (
            "one_point_unrated",
            say!(
                "One suspension point, and an off-centre rating is missing: nothing says how far the load may lie off the slide centre there. In its place the load centre was followed: at most {}, as if the largest force stood {} off the centre. Keep it centred and ask the press builder for the allowed moment.",
                units.show(moment.kilonewton_metres(), Unit::Knm),
                mm(*offset)
            ),
        ),
        Caution::HalfCut { station, hits } => (
            "half_cut",
            say!(
                "{}: {} the strip ends within the outline; the half cut pushes the punch aside. Hit, stop and look at the edges.",
                station,
                hit_words(*hits)
            ),
        ),
        Caution::HalfLoaded { station, hits } => (
            "half_loaded",
            say!(
                "{}: {} the strip ends under the pad or the forming punch, which is loaded on one side and tips. Put a piece of the same stock under the other side or keep the hit light.",
                station,
                hit_words(*hits)
            ),
        ),
        Caution::GuidesPart { gap, hazard } => (
            "guides_part",
            say!(
                "The guide posts leave their bushings by {} at the top of the stroke{}.",
                mm(*gap),
                if *hazard {
                    tr(
                        "; more than 6.35 mm (¼ in) near the operator is a hazard to be guarded (29 CFR 1910.217(d)(4))",
                    )
                } else {
                    ""
                }
            ),
        ),
        Caution::BoltsOutOfReach { on_slide, count, bolt, distance, reach } => (
            "bolts_out_of_reach",
            say!(
                "{} of the die's bolts do not reach a slot of the {} here: bolt {} is {} off, its reach is {}.",
                count,
                if *on_slide { tr("slide") } else { tr("bolster") },
                bolt + 1,
                mm(*distance),
                mm(*reach)
            ),
        ),
        Caution::SlugBlocked { station } => (
            "slug_blocked",
            say!(
                "{}: no hole of the bolster lies under the whole slug here; slugs pile up and are hit. Move the die, put it on parallels with a chute, or clear every few strokes.",
                station
            ),
        ),
        Caution::NoSpeed { lowest, highest } => (
            "no_speed",
            say!(
                "No speed does: by the flywheel's energy, or the press's slowest, it takes {} strokes/min and more, by the motor, or the press's fastest, {} and less.",
                number(lowest.per_minute().ceil(), 0),
                number(highest.per_minute().floor(), 0)
            ),
        ),
        Caution::NoWork => ("no_work", tr("No station does any work yet.").to_owned()),
    }
}

fn hit_words((first, last): (u32, u32)) -> String {
    if first == last { say!("at hit {}", first) } else { say!("at hits {} to {}", first, last) }
}

/// What the setter has to know of a limit that is near or over: what gives way, and what helps.
pub fn limit_caution(id: LimitId) -> &'static str {
    tr(match id {
        LimitId::RatedForce => {
            "More than the press is built for strains frame, connections and bearings. Take force out of the die (tool shear, punch steps) or choose a stronger press."
        }
        LimitId::ForceAtHeight => {
            "High in the stroke the drive gives less than its rating, and no load reading shows it: clutch, gears and shaft bear it. Let the work begin lower, or choose a press rated higher up."
        }
        LimitId::WorkingEnergy => {
            "The flywheel slows down too far; the press may stall on bottom. Running slower takes energy away: run faster within the press's own range, or take work out of the die."
        }
        LimitId::MotorPower => {
            "The motor does not make good the work between strokes, and the press slows down stroke by stroke. Fewer strokes a minute, or single strokes."
        }
        LimitId::OffCentreX => {
            "The slide is pressed to one side: gibs, connections and punches suffer. Shift the die left or right, or balance it with a load on the other side."
        }
        LimitId::OffCentreY => {
            "The slide is pressed to the front or the back: gibs and punches suffer. Shift the die, or balance it with a load on the other side."
        }
        LimitId::SuspensionLoad => {
            "One connection carries more than its part, whatever the total reads. Shift the die towards the other side."
        }
        LimitId::SlideTilt => {
            "The slide tips while punches are in the cut; edges touch and chip. Balance the sides, or step the punches so that both let go together."
        }
        LimitId::ReverseLoad => {
            "The press is pulled as the cut breaks through; joints of the frame and screws of the upper die tire. Watch the reverse reading all run: it grows as edges dull. Stop when it passes the limit."
        }
        LimitId::StripperForce => {
            "The stripper does not hold down: the stock rides up with the punches and breaks them. More or stronger springs, or sharp edges."
        }
        LimitId::StrippingLoad => {
            "Stripping pulls the slide down on its way up, which the press bears badly. A stripper on springs keeps the pull inside the die."
        }
        LimitId::ConcentratedLoad => {
            "A short die presses on the middle of bed and slide and bends them. The whole rating holds only for a die of about two thirds of the bed; the press's own chart rules."
        }
        LimitId::UpperDieHold => {
            "The clamps may not hold the upper die against its weight, stripping and the jerk of snap-through. More or stronger clamps, tightened to their figure and looked at during the run."
        }
        LimitId::ShutHeight => {
            "The die hardly goes into the press's window: too high it jams on bottom, too low it does not close. Measure the closed height with a tape, do not trust the card."
        }
        LimitId::Daylight => {
            "The die hardly opens far enough to feed and take out; a part left behind is hit twice. A longer stroke, or less lift."
        }
        LimitId::BolsterFit => {
            "The die comes close to the bolster's edge or stands over it: beyond it nothing bears the die, and clamps find no room."
        }
        LimitId::SlideFit => {
            "The upper die comes close to the slide's edge or stands over it: beyond it nothing bears the die, and clamps find no room."
        }
        LimitId::GuideEngagement => {
            "Punches touch the stock before the posts are well in their bushings, and nothing guides them. Longer posts, or a lower entry."
        }
    })
}

/// Whether the setter is told of a limit by its caution: where it is near or over.
pub const fn is_told(limit: &Limit) -> bool {
    matches!(limit.state, State::Near | State::Over)
}

/// What the press or die would have to give for a limit that was not checked: `runs if the press
/// gives 9.4 kJ per stroke`; nothing where that is not known.
pub fn needs_words(limit: &Limit, units: UnitSystem) -> Option<String> {
    let needs = limit.needs?;
    let what = units.show(needs.demand, unit_of_limit(limit.unit));
    let at = needs
        .at_height
        .map_or(String::new(), |height| say!(" at {}", units.show(height.millimetres(), Unit::Mm)));
    Some(match limit.id {
        LimitId::RatedForce => say!("runs if the press is rated for {}", what),
        LimitId::ForceAtHeight => {
            say!("runs if the press gives {}{} and its curve stays above the die's", what, at)
        }
        LimitId::WorkingEnergy => say!("runs if the press gives {} per stroke", what),
        LimitId::MotorPower => say!("runs if the motor gives {}", what),
        LimitId::OffCentreX => say!("runs if the press allows {} left–right{}", what, at),
        LimitId::OffCentreY => say!("runs if the press allows {} front–back{}", what, at),
        LimitId::SuspensionLoad => say!("runs if each suspension point carries {}", what),
        LimitId::ConcentratedLoad => {
            say!("runs if the press allows {} over this die length", what)
        }
        LimitId::ReverseLoad | LimitId::StrippingLoad => {
            say!("runs if the press stands a pull of {}", what)
        }
        LimitId::UpperDieHold => say!("holds if the clamps hold {} in all", what),
        LimitId::ShutHeight => say!("fits if the press can be set to {}", what),
        LimitId::GuideEngagement => {
            say!("guided if posts and bushings overlap by {} or more", what)
        }
        LimitId::BolsterFit => say!("fits if the bolster reaches {} from its middle", what),
        LimitId::SlideFit => say!("fits if the slide reaches {} from its middle", what),
        LimitId::SlideTilt | LimitId::StripperForce | LimitId::Daylight => return None,
    })
}

/// Name in files of the caution on a coil outside the job's range.
pub const COIL_OUTSIDE_RANGE: &str = "coil_outside_range";

/// What the job allows of a number that this coil has otherwise, and what the coil has.
pub fn outside_range_words(outside: &OutsideRange, units: UnitSystem) -> (String, String) {
    // Thickness is held to hundredths of a millimetre, finer than other lengths are shown.
    let number = |value: f64| match (units, outside.unit) {
        (UnitSystem::UsCustomary, _) => units.number(value, outside.unit),
        (_, Unit::Mm) => evenstroke_language::number(value, 2),
        (_, unit) => units.number(value, unit),
    };
    let symbol = units.symbol(outside.unit);
    // A range without width is one number.
    let allowed = if outside.low == outside.high {
        format!("{} {symbol}", number(outside.high))
    } else {
        say!("{} to {} {}", number(outside.low), number(outside.high), symbol)
    };
    (allowed, format!("{} {symbol}", number(outside.given)))
}

fn coil_caution_words(outside: &OutsideRange, units: UnitSystem) -> String {
    let (allowed, given) = outside_range_words(outside, units);
    say!(
        "This coil is outside the job's range: {} {}, the job has {}. The limits are judged on the job's range, not on this coil.",
        outside.what,
        given,
        allowed
    )
}

/// What this coil asks, where its numbers are entered: `this coil peak 231.0 kN, …`.
pub fn coil_words(job: &Job, units: UnitSystem) -> Option<String> {
    let check = match job.check_coil()? {
        Ok(check) => check,
        Err(error) => return Some(say!("this coil cannot be worked: {}", error)),
    };
    let peak = match &check.peak_upper {
        Some(peak) => say!("peak {}", units.show(peak.force.kilonewtons(), Unit::Kn)),
        None => tr("no force acts").to_owned(),
    };
    Some(say!(
        "this coil {}, work per stroke {}, edges as worn: {}. {}",
        peak,
        units.show(check.energy_upper.kilojoules(), Unit::Kj),
        in_sentence(verdict_words(check.verdict)),
        reason(job, &check, units)
    ))
}

/// An assumption's name in files and its text.
pub fn assumption_words(assumption: Assumption) -> (&'static str, &'static str) {
    let (key, text) = match assumption {
        Assumption::ShearRatio => (
            "assumed_shear_ratio",
            marked(
                "Shear strength is taken as 0.8 of tensile strength (rules in print: 0.6 to 0.8; measured on steel: 0.72 to 0.75).",
            ),
        ),
        Assumption::TensileFromShear => {
            ("assumed_tensile", marked("Tensile strength is worked back from the shear strength."))
        }
        Assumption::Penetration => {
            ("assumed_penetration", marked("Penetration is taken as 0.4 of thickness."))
        }
        Assumption::Separation => (
            "assumed_separation",
            marked("Separation is taken as 0.65 to 0.75 of thickness, as in mild steel."),
        ),
        Assumption::Clearance => (
            "assumed_clearance",
            marked("Clearance is taken as 6 % of thickness per side where not given."),
        ),
        Assumption::StripFactor => (
            "assumed_strip_factor",
            marked("Stripping is taken as 0.1 of the cutting force (in print: 0.03 to 0.3)."),
        ),
        Assumption::ReverseLimit => (
            "assumed_reverse_limit",
            marked(
                "The pull that the press stands is taken as 10 % of its rated force (common practice); its manual rules.",
            ),
        ),
        Assumption::EnergySpeed => (
            "assumed_energy_speed",
            marked(
                "The usable energy is taken to hold at the speed of this job, since no speed is given with it.",
            ),
        ),
        Assumption::MeasuredStiffness => (
            "measured_stiffness",
            marked(
                "The stiffness of the press is worked out from the readings at it, since its builder's figure is not entered.",
            ),
        ),
        Assumption::ClampsFromTorque => (
            "clamps_from_torque",
            marked(
                "What the upper die's clamps hold is worked out from torque, size and friction factor (0.2 if not given, value from memory), all of the screw's force on the die unless a part is given; it scatters by a quarter and more.",
            ),
        ),
        Assumption::PointStiffness => (
            "assumed_point_stiffness",
            marked(
                "For slide tilt the whole stiffness of the press is taken to be in its suspension points, in equal parts.",
            ),
        ),
    };
    (key, tr(text))
}

/// What belongs to every set-up: name in files and text.
pub const STANDING_CAUTIONS: [(&str, &str); 6] = [
    (
        "lock_out",
        marked(
            "Before hands go into the die: lock out, block the slide, count the safety blocks in and out again.",
        ),
    ),
    (
        "guards",
        marked("Guards and devices in place and tested after setting; keep clear of pinch points."),
    ),
    ("slugs", marked("Slug and scrap path open and emptied under every cutting station.")),
    (
        "first_strokes",
        marked(
            "Inch through empty. Hit in metal at a speed the energy allows: inched through the work, a loaded die can stall on bottom.",
        ),
    ),
    (
        "strange_noise",
        marked(
            "On a strange noise or a changed load reading stop; stand aside on the first strokes.",
        ),
    ),
    (
        "who_decides",
        marked(
            "This is a calculation from the data shown. The press's own plate and manual, local codes and a competent person decide.",
        ),
    ),
];

/// All cautions of a checked job: limits that are near or over, worst first, what follows from it, what
/// was assumed, what always holds.
pub fn all_cautions(job: &Job, check: &Check, units: UnitSystem) -> Vec<(&'static str, String)> {
    let limits = worst_first(check).into_iter().filter(|limit| is_told(limit)).map(|limit| {
        let (label, state) = (limit_label(limit.id), state_word(limit.state));
        (limit.id.key(), format!("{label} {state}: {}", limit_caution(limit.id)))
    });
    let found = check.cautions.iter().map(|caution| caution_words(caution, units));
    let assumed = job.assumptions.iter().map(|&assumption| {
        let (id, text) = assumption_words(assumption);
        (id, text.to_owned())
    });
    let standing = STANDING_CAUTIONS.iter().map(|&(id, text)| (id, tr(text).to_owned()));
    let outside = job.coil_outside_range();
    let coil = outside.iter().map(|row| (COIL_OUTSIDE_RANGE, coil_caution_words(row, units)));
    limits.chain(found).chain(coil).chain(assumed).chain(standing).collect()
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
    fn many_gaps_are_told_in_short_and_in_full_each_once() {
        let text = include_str!("../../../../tests/contract/example.json");
        let mut job: serde_json::Value = serde_json::from_str(text).expect("JSON");
        job.as_object_mut().expect("an object").remove("press");
        let job = Job::from_value(&job).expect("a job");
        let check = job.check();
        let short = reason_in_short(&job, &check, UnitSystem::Metric);
        let long = reason(&job, &check, UnitSystem::Metric);
        assert!(short.starts_with("Missing: rated force of the press not entered"), "{short}");
        assert!(short.ends_with("more, see the limits."), "{short}");
        assert!(short.len() < 160, "{short}");
        assert!(long.contains("runs if the press is rated for"), "{long}");
        // One datum may keep several limits open.
        assert_eq!(long.matches("rated force of the press not entered").count(), 1, "{long}");
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
