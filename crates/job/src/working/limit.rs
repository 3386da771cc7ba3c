//! From the share of a limit back to how demand and limit come about.

use super::{
    Working,
    capacity::capacity,
    laws, operation,
    steps::{Acting, Steps},
};
use crate::{Job, spec::Unit, units::unit_of_limit, words::strip_state_words};
use evenstroke_language::{say, tr};
use press_load::{
    Check, Length, Limit, LimitId, LimitUnit, Line, LoadSeries, Need, Placement, SnapThrough,
    Station,
    check::DEFAULT_REVERSE_SHARE,
    press::{AxisRating, Drive, EnergyRating, Running, Suspension, most_strokes},
    setting::weight,
    stripping::Stripper,
};

/// The steps behind a limit as judged with the die at `placement`, its share first. Of a limit that is
/// not checked those of what the press would have to give, as far as that is known.
pub fn of_limit(job: &Job, check: &Check, placement: Placement, id: LimitId) -> Vec<Working> {
    let mut steps = Steps::of(job);
    let limit = check.limit(id);
    let _ = build(&mut steps, check, placement, limit);
    // A share that has a law of its own is there already.
    if let Ok(used) = limit.outcome
        && !matches!(id, LimitId::ShutHeight | LimitId::Daylight | LimitId::GuideEngagement)
    {
        steps.share(used.demand, used.limit, used.share, unit_of_limit(limit.unit));
    }
    steps.finish()
}

/// What a limit is worked out from; nothing more where something is missing.
fn build(steps: &mut Steps, check: &Check, placement: Placement, limit: &Limit) -> Option<()> {
    let job = steps.job;
    let (press, die) = (&job.press, &job.die);
    let allowed = limit.outcome.ok().map(|used| used.limit);
    let asked = limit.outcome.ok().map(|used| used.needs()).or(limit.needs)?;
    match limit.id {
        LimitId::RatedForce => {
            // What the force does beside the limit stands last.
            if let (Some(stretch), Some(peak), Some(stiffness)) =
                (check.stretch, check.peak_upper, press.stiffness)
            {
                let put_in = [peak.force.kilonewtons(), stiffness.kilonewtons_per_millimetre()];
                steps.known(&laws::STRETCH, &put_in, stretch.at_peak.millimetres());
                steps.note(tr("strip full"));
            }
            on_slide(steps, placement, limit, asked)?;
        }
        LimitId::ForceAtHeight
        | LimitId::ConcentratedLoad
        | LimitId::OffCentreX
        | LimitId::OffCentreY
        | LimitId::SuspensionLoad => on_slide(steps, placement, limit, asked)?,
        LimitId::WorkingEnergy => {
            if let Some(allowed) = allowed {
                usable_energy(steps, check, allowed)?;
            }
            work(steps, check);
        }
        LimitId::MotorPower => {
            if let Some(allowed) = allowed {
                let work = check.energy_upper;
                let power = press.power_at_flywheel()?;
                if press.running == Running::Continuous
                    && let Some(fastest) = most_strokes(work, power, 1.0)
                {
                    let put_in = [power.kilowatts(), work.kilojoules()];
                    steps.known(&laws::FASTEST, &put_in, fastest.per_minute());
                }
                let part = press.motor_efficiency.unwrap_or(1.0) * 100.0;
                steps.known(&laws::MOTOR, &[press.motor?.kilowatts(), part], allowed);
            }
            work(steps, check);
            let strokes = press.strokes_made_good()?.per_minute();
            steps.known(&laws::POWER, &[check.energy_upper.kilojoules(), strokes], asked.demand);
        }
        LimitId::StripperForce => stripper(steps, asked, allowed?)?,
        LimitId::StrippingLoad => {
            if let Some(allowed) = allowed {
                reverse_limit(steps, allowed)?;
            }
            strip(steps, &pulling(job), asked.demand);
        }
        LimitId::ReverseLoad => {
            if let Some(allowed) = allowed {
                reverse_limit(steps, allowed)?;
            }
            snap(steps, asked.demand)?;
        }
        LimitId::UpperDieHold => {
            if let (Some(clamps), Some(allowed)) = (die.upper_clamps, allowed) {
                let put_in = [f64::from(clamps.count), clamps.force.kilonewtons()];
                steps.known(&laws::CLAMPS, &put_in, allowed);
            }
            let stations = pulling(job);
            let pull: f64 = stations
                .iter()
                .map(|&index| job.stroke.upper.stations[index].strip_force.kilonewtons())
                .sum();
            strip(steps, &stations, pull);
            let carried = job.snap_through.ok()?.on_upper_die.kilonewtons();
            let put_in = [weight(die.upper_mass?).kilonewtons(), pull, carried];
            steps.known(&laws::UPPER_PULL, &put_in, asked.demand);
        }
        LimitId::SlideTilt => {
            let tilt = check.tilt?;
            let sheet = &job.stroke.upper.stations[tilt.station].sheet;
            let clearance = tilt.clearance.millimetres();
            let thickness = sheet.thickness().millimetres();
            steps.known(&laws::CLEARANCE, &[clearance / thickness * 100.0, thickness], clearance);
            steps.note(job.stations[tilt.station].name.clone());
            let put_in = [
                tilt.counted_x * 1e3,
                tilt.counted_y * 1e3,
                press.level.parallelism.unwrap_or(0.0) * 1e3,
                die.shut_height?.millimetres(),
                press.level.gib_clearance.unwrap_or_default().millimetres(),
            ];
            steps.known(&laws::TILT, &put_in, tilt.mismatch.millimetres());
        }
        LimitId::ShutHeight => {
            let put_in = [die.shut_height?, die.parallels].map(Length::millimetres);
            steps.known(&laws::STACK, &put_in, die.stack()?.millimetres());
            let used = limit.outcome.ok()?;
            let (height, highest) = (die.stack()?.millimetres(), press.shut_height?.millimetres());
            match press.shut_height_adjustment {
                Some(adjustment) if adjustment > Length::ZERO => {
                    let put_in = [height, highest, adjustment.millimetres()];
                    steps.known(&laws::SHUT_HEIGHT, &put_in, used.share);
                }
                Some(_) => {}
                None => steps.share(height, highest, used.share, Unit::Mm),
            }
        }
        LimitId::Daylight => {
            let used = limit.outcome.ok()?;
            steps.known(&laws::DAYLIGHT, &[used.demand, used.limit], used.share);
        }
        LimitId::GuideEngagement => {
            let used = limit.outcome.ok()?;
            steps.known(&laws::GUIDES, &[used.demand, used.limit], used.share);
        }
        LimitId::BolsterFit | LimitId::SlideFit => {
            let area = die_area(job, placement)?;
            let reach = |shift: Length, size: Length| {
                (shift.millimetres(), size.millimetres(), (shift.abs() + size / 2.0).millimetres())
            };
            let ways = [reach(placement.x, area.width), reach(placement.y, area.depth)];
            let along = usize::from(ways[0].2 != asked.demand);
            if let Some(allowed) = allowed {
                let room = if limit.id == LimitId::SlideFit { press.slide } else { press.bolster }?;
                let size = [room.width, room.depth][along].millimetres();
                steps.known(&laws::HALF_SIZE, &[size], allowed);
            }
            let (shift, size, reaches) = ways[along];
            steps.known(&laws::REACH, &[shift, size], reaches);
            steps.note(["left–right", "front–back"][along]);
        }
    }
    Some(())
}

fn die_area(job: &Job, placement: Placement) -> Option<press_load::press::Footprint> {
    press_load::Die { placement, ..job.die.clone() }.placed_footprint()
}

/// The limits of force and load centre, at the height and in the strip state in which they are worst.
fn on_slide(steps: &mut Steps, placement: Placement, limit: &Limit, asked: Need) -> Option<()> {
    let job = steps.job;
    let (press, height) = (&job.press, asked.at_height?);
    let total = job.stroke.upper.total(asked.strip_state, &placement.motion());
    let is_moment = limit.unit == LimitUnit::KilonewtonMetre;
    let is_x = limit.id == LimitId::OffCentreX;
    let centre = |index: usize| {
        let place = |moment: &[f64]| Length::from_metres(moment[index] / total.force[index]);
        (place(&total.moment_x), place(&total.moment_y))
    };
    let parts = |index: usize| {
        let (x, y) = centre(index);
        press.suspension.map_or(1.0, |suspension| suspension.parts(x, y).0)
    };
    let figure = |total: &LoadSeries, index: usize| match limit.id {
        LimitId::OffCentreX if is_moment => total.moment_x[index].abs(),
        LimitId::OffCentreY if is_moment => total.moment_y[index].abs(),
        LimitId::SuspensionLoad => total.force[index] * parts(index),
        _ => total.force[index],
    };
    // Both sides of a jump stand at the same height: the one that gives the demand is meant.
    let rows = job.stroke.rows.iter().enumerate().filter(|(_, row)| row.height == height);
    let off = |index: usize| (figure(&total, index) * 1e-3 - asked.demand).abs();
    let (index, _) =
        rows.map(|(index, _)| (index, off(index))).min_by(|a, b| a.1.total_cmp(&b.1))?;

    let (x, y) = centre(index);
    if let Ok(used) = limit.outcome {
        let rated = press.rated_force.map(|rated| rated.kilonewtons());
        match limit.id {
            LimitId::ForceAtHeight => {
                capacity(steps, height)?;
            }
            LimitId::ConcentratedLoad => concentrated(steps, placement, used.limit)?,
            LimitId::SuspensionLoad => {
                let points = f64::from(press.suspension?.points());
                steps.known(&laws::POINT_LIMIT, &[rated?, points], used.limit);
            }
            LimitId::OffCentreX if !is_moment => {
                off_centre_table(steps, press.off_centre_x.as_ref()?, x, used.limit);
            }
            LimitId::OffCentreY if !is_moment => {
                off_centre_table(steps, press.off_centre_y.as_ref()?, y, used.limit);
            }
            _ => {}
        }
    }
    let at = |values: &[f64]| values[index];
    let acting = Acting::of(job, &job.stroke.upper, placement, asked.strip_state, &at);
    let force = total.force[index] * 1e-3;
    let (x, y) = (x.millimetres(), y.millimetres());
    let state = say!("upper line, {}", strip_state_words(asked.strip_state));
    match limit.id {
        LimitId::OffCentreX | LimitId::OffCentreY => {
            let (places, place) = if is_x { (&acting.x, x) } else { (&acting.y, y) };
            let direction = if is_x { "left–right" } else { "front–back" };
            if is_moment {
                let columns = vec![acting.forces.clone(), places.clone()];
                steps.rows(&laws::MOMENT, acting.names.clone(), columns, asked.demand);
                steps.at(height);
                steps.note(format!("{direction}, {state}"));
            } else {
                acting.centre(steps, places, place, direction);
                acting.add_up(steps, force, height, &state);
            }
        }
        LimitId::SuspensionLoad => {
            let suspension = press.suspension?;
            if let Suspension::FourPoint { .. } = suspension {
                acting.centre(steps, &acting.y, y, "front–back");
            }
            if suspension.points() > 1 {
                acting.centre(steps, &acting.x, x, "left–right");
            }
            acting.add_up(steps, force, height, &state);
            match suspension {
                Suspension::OnePoint => {}
                Suspension::TwoPoint { span_x } => {
                    let put_in = [force, x, span_x.millimetres()];
                    steps.known(&laws::POINT_PART, &put_in, asked.demand);
                }
                Suspension::FourPoint { span_x, span_y } => {
                    let put_in = [force, x, span_x.millimetres(), y, span_y.millimetres()];
                    steps.known(&laws::FOUR_POINTS, &put_in, asked.demand);
                }
            }
        }
        _ => acting.add_up(steps, asked.demand, height, &state),
    }
    Some(())
}

/// The pair of rows between which a place lies; below the first row twice that one.
fn about<K: PartialOrd + Copy, V: Copy>(
    rows: &[(K, V)],
    place: K,
    first: K,
) -> Option<[(K, V); 2]> {
    let above = rows.partition_point(|row| row.0 < place);
    let next = *rows.get(above)?;
    Some([above.checked_sub(1).map_or((first, next.1), |before| rows[before]), next])
}

fn off_centre_table(
    steps: &mut Steps,
    rating: &AxisRating,
    offset: Length,
    allowed: f64,
) -> Option<()> {
    let table = match rating {
        AxisRating::Moment(_) => return None,
        AxisRating::Table(table) | AxisRating::Both(_, table) => table,
    };
    // Beyond its last row a table allows nothing, and has no formula.
    let below = Length::from_millimetres(-1.0);
    let [(x_0, f_0), (x_1, f_1)] = about(table.rows(), offset.abs(), below)?;
    let put_in = [
        f_0.kilonewtons(),
        f_1.kilonewtons(),
        offset.millimetres(),
        x_0.millimetres(),
        x_1.millimetres(),
    ];
    steps.known(&laws::OFF_CENTRE_TABLE, &put_in, allowed);
    Some(())
}

fn concentrated(steps: &mut Steps, placement: Placement, allowed: f64) -> Option<()> {
    let press = &steps.job.press;
    let length = die_area(steps.job, placement)?.width;
    if let Some(table) = &press.die_length {
        let rows = table.rows();
        let last = *rows.last()?;
        let [(l_0, f_0), (l_1, f_1)] = match about(rows, length, Length::ZERO) {
            // Pro rata below the first row: from nothing at no length.
            Some([(_, _), first]) if length <= rows[0].0 => {
                [(Length::ZERO, press_load::Force::ZERO), first]
            }
            Some(pair) => pair,
            None => [(Length::ZERO, last.1), last],
        };
        let put_in = [
            f_0.kilonewtons(),
            f_1.kilonewtons(),
            length.millimetres(),
            l_0.millimetres(),
            l_1.millimetres(),
        ];
        steps.known(&laws::DIE_LENGTH_TABLE, &put_in, allowed);
        if length > last.0 {
            steps.note(tr("longer than the last row: its force"));
        }
        return Some(());
    }
    let bed = press.bolster?.width.millimetres();
    let put_in = [press.rated_force?.kilonewtons(), length.millimetres(), bed];
    steps.known(&laws::BED_LIMIT, &put_in, allowed);
    Some(())
}

/// Work of each station on the upper line, added up.
fn work(steps: &mut Steps, check: &Check) {
    let job = steps.job;
    let stations = &job.stroke.upper.stations;
    let (names, works) = job
        .stations
        .iter()
        .zip(stations)
        .map(|(station, curve)| (station.name.clone(), curve.work.kilojoules()))
        .unzip();
    steps.rows(&laws::WORK, names, vec![works], check.energy_upper.kilojoules());
}

fn usable_energy(steps: &mut Steps, check: &Check, allowed: f64) -> Option<()> {
    let press = &steps.job.press;
    if let Drive::Hydraulic { stroke, .. } = press.drive {
        let put_in = [press.rated_force?.kilonewtons(), stroke.millimetres()];
        steps.known(&laws::HYDRAULIC_ENERGY, &put_in, allowed);
        return Some(());
    }
    let is_single = matches!(press.running, Running::Single { .. });
    let speed = press.speed?.per_minute();
    let rating = press.energy?;
    let (rated, at) = match rating {
        EnergyRating::Usable { energy, single, at } => {
            (single.filter(|_| is_single).unwrap_or(energy).kilojoules(), at)
        }
        EnergyRating::Flywheel {
            inertia_kgm2,
            turns_per_second,
            slowdown,
            single_slowdown,
            at,
        } => {
            let slowdown = single_slowdown.filter(|_| is_single).unwrap_or(slowdown);
            let put_in = [inertia_kgm2, turns_per_second * 60.0, slowdown * 100.0];
            (steps.worked(&laws::FLYWHEEL, &put_in), at)
        }
    };
    let work = check.energy_upper;
    if let (Some(at), Some(slowest)) = (at, rating.slowest_for(work, press.running)) {
        let put_in = [at.per_minute(), work.kilojoules(), rated];
        steps.known(&laws::SLOWEST, &put_in, slowest.per_minute());
    }
    let at = at.map_or(speed, |at| at.per_minute());
    steps.known(&laws::USABLE_ENERGY, &[rated, speed, at], allowed);
    Some(())
}

fn reverse_limit(steps: &mut Steps, allowed: f64) -> Option<()> {
    let press = &steps.job.press;
    let part = press.reverse_share.unwrap_or(DEFAULT_REVERSE_SHARE) * 100.0;
    steps.known(&laws::REVERSE_LIMIT, &[part, press.rated_force?.kilonewtons()], allowed);
    Some(())
}

/// Stations whose stripper is fixed or unknown, so that they pull on the slide.
fn pulling(job: &Job) -> Vec<usize> {
    let fixed = |station: &Station| !matches!(station.stripper, Some(Stripper::Sprung(_)));
    (0..job.stations.len()).filter(|&index| fixed(&job.stations[index])).collect()
}

/// Stripping of all cuts of some stations.
fn strip(steps: &mut Steps, stations: &[usize], result: f64) {
    let job = steps.job;
    let (mut names, mut factors, mut forces) = (Vec::new(), Vec::new(), Vec::new());
    for &index in stations {
        for (work, factor, force) in operation::whole_edges(job, index, Line::Upper) {
            names.push(say!("{}, work {}", job.stations[index].name, work + 1));
            factors.push(factor);
            forces.push(force.kilonewtons());
        }
    }
    steps.rows(&laws::STRIP_EDGE, names, vec![factors, forces], result);
}

fn stripper(steps: &mut Steps, asked: Need, allowed: f64) -> Option<()> {
    let job = steps.job;
    let leaves = asked.at_height?;
    // The station that is judged: the one whose stripper and stripping give these figures.
    let (index, spring) = job.stations.iter().enumerate().find_map(|(index, station)| {
        let Some(Stripper::Sprung(spring)) = &station.stripper else { return None };
        let pull = job.stroke.upper.stations[index].strip_force.kilonewtons();
        (pull == asked.demand && spring.force_at(leaves).kilonewtons() == allowed)
            .then_some((index, spring))
    })?;
    operation::spring_at(steps, spring, leaves, allowed);
    strip(steps, &[index], asked.demand);
    Some(())
}

fn snap(steps: &mut Steps, pull: f64) -> Option<()> {
    let job = steps.job;
    let rows =
        SnapThrough::course(&job.press, job.die.upper_mass, &job.stroke, Line::Upper).ok()?;
    let row = rows.into_iter().min_by(|a, b| a.press.newtons().total_cmp(&b.press.newtons()))?;
    let stiffness = job.press.stiffness?.kilonewtons_per_millimetre();
    if pull > 0.0 {
        steps.known(&laws::SNAP, &[stiffness, (row.drive - row.slide).millimetres()], pull);
        steps.at(row.slide.max(Length::ZERO));
    }
    Some(())
}
