//! After a trip: what stood between slide and bolster where it stopped, and what may have done it.

use super::{Card, Table};
use crate::{
    Job,
    setup::TripAt,
    spec::Unit,
    units::UnitSystem,
    what_if::{self, Case, Place},
};
use evenstroke_language::{number, say, tr};
use press_load::{
    Check, Force, Length, Missing, StripState, press::Suspension, setting, stall::Stall,
};

/// More causes than this are not told.
const MOST_CAUSES: usize = 8;
/// Below this height what was set too deep is a cause: the clearance of a coil's tolerance and a grind (our
/// own form).
const NEAR_BOTTOM_MM: f64 = 1.0;

/// The card of a checked job; nothing where no trip is entered.
pub fn after_trip_card(job: &Job, check: &Check, units: UnitSystem) -> Option<Card> {
    let trip = job.setup.trip.as_ref()?;
    let mut card = Card::new("after_trip", tr("After a trip"));
    if let Some(day) = trip.day {
        card.text("when", tr("When"), format!("{day} {}", trip.time).trim_end().to_owned());
    }
    if !trip.remark.is_empty() {
        card.text("remark", tr("Remark"), trip.remark.clone());
    }
    card.say(tr("This records the state. It is no procedure: freeing a press that is stuck is work for specialists and the press builder. A press that was overloaded is examined before it runs again (UK PUWER 1998, reg. 32, exceptional events; our reading)."));
    let height = match trip.at {
        Some(TripAt::Height(height)) => Some(height),
        Some(TripAt::Angle(angle)) => {
            let height =
                job.press.drive.motion().map(|motion| motion.height_at(angle.to_radians()));
            if height.is_none() {
                card.missing(
                    "height_mm",
                    tr("Slide stands at"),
                    say!(
                        "{}° before BDC; its height is not known: {}",
                        angle,
                        tr(Missing::Kinematics.text())
                    ),
                );
            }
            height
        }
        None => {
            card.missing(
                "height_mm",
                tr("Slide stands at"),
                tr("neither angle nor height entered (dial at the press, tape measure)"),
            );
            None
        }
    };
    let Some(height) = height else { return Some(card) };
    let mm = |length: Length| units.show(length.millimetres(), Unit::Mm);
    let kn = |force: Force| units.show(force.kilonewtons(), Unit::Kn);
    let text = match trip.at {
        Some(TripAt::Angle(angle)) => say!("{} above BDC, {}° before it", mm(height), angle),
        _ => say!("{} above BDC", mm(height)),
    };
    card.number_as("height_mm", tr("Slide stands at"), height.millimetres(), Unit::Mm, text);
    let stall = Stall::new(&job.press, &job.die, &job.stroke, StripState::Full, height);
    let engaged: Vec<String> = stall
        .engaged
        .iter()
        .map(|engaged| format!("{} {}", job.stations[engaged.station].name, kn(engaged.upper)))
        .collect();
    card.text(
        "engaged",
        tr("Stations in work there"),
        if engaged.is_empty() { tr("none").to_owned() } else { engaged.join(", ") },
    );
    let allowed = stall.available.map_or_else(
        || tr("what the press allows there is not known").to_owned(),
        |force| say!("the press allows {}", kn(force)),
    );
    card.number_as(
        "force_kn",
        tr("Force expected there"),
        stall.upper.kilonewtons(),
        Unit::Kn,
        say!("{} nominal, {} upper; {}", kn(stall.nominal), kn(stall.upper), allowed),
    );
    match (stall.points.is_empty(), job.press.suspension) {
        (_, None) => card.missing("points_kn", tr("On each point"), tr(Missing::Suspension.text())),
        (true, Some(_)) => card.text("points_kn", tr("On each point"), tr("nothing acts there")),
        (false, Some(suspension)) => {
            let points: Vec<String> = places(suspension)
                .iter()
                .zip(&stall.points)
                .map(|(place, force)| format!("{} {}", place.label(), kn(*force)))
                .collect();
            card.text("points_kn", tr("On each point"), points.join(", "));
        }
    }
    let done = stall.work_done.kilojoules();
    let usable = job.press.usable_energy();
    let text = match usable {
        Some(usable) => say!(
            "{} of {} that the press gives at this speed",
            units.show(done, Unit::Kj),
            units.show(usable.kilojoules(), Unit::Kj)
        ),
        None => say!("{}; what the press gives is not known", units.show(done, Unit::Kj)),
    };
    card.number_as("work_kj", tr("Work done down to there"), done, Unit::Kj, text);
    card.table = Some(causes(job, check, height, &stall, units));
    card.say(tr("Worked out with the strip full: in the first strokes, and when it runs out, less of it stands there."));
    card.say(tr("Causes are worked out for this die, those with most force at that height first; a misfeed, a broken tool or a loose part in the die is not in them."));
    Some(card)
}

const fn places(suspension: Suspension) -> &'static [Place] {
    match suspension {
        Suspension::OnePoint => &[Place::Total],
        Suspension::TwoPoint { .. } => &[Place::Left, Place::Right],
        Suspension::FourPoint { .. } => {
            &[Place::FrontLeft, Place::FrontRight, Place::BackLeft, Place::BackRight]
        }
    }
}

fn causes(job: &Job, check: &Check, height: Length, stall: &Stall, units: UnitSystem) -> Table {
    let kn = |force: Force| units.show(force.kilonewtons(), Unit::Kn);
    let mut found: Vec<(Force, Vec<String>)> = Vec::new();
    let (cases, _) = what_if::cases(job, check);
    for case in cases {
        // A punch that is missing takes force away.
        if matches!(case, Case::PunchMissing { .. }) {
            continue;
        }
        let Some(changed) = case.apply(job) else { continue };
        let there =
            Stall::new(&changed.press, &changed.die, &changed.stroke, StripState::Full, height);
        let more = there.upper - stall.upper;
        if more <= stall.upper * 1e-3 {
            continue;
        }
        let normal = check.peak.map(|peak| peak.force);
        let reads = match (normal, changed.check().peak.map(|peak| peak.force)) {
            (Some(normal), Some(now)) if normal > Force::ZERO => {
                say!("peak {} against the usual", what_if::percent(now / normal - 1.0))
            }
            _ => String::new(),
        };
        found.push((
            more,
            vec![
                case.label(job),
                say!("{} there, {} more", kn(there.upper), kn(more)),
                join(&reads, look(&case)),
            ],
        ));
    }
    found.sort_by(|a, b| b.0.newtons().total_cmp(&a.0.newtons()));
    let mut rows: Vec<Vec<String>> = found.into_iter().take(MOST_CAUSES).map(|row| row.1).collect();
    let usable = job.press.usable_energy();
    if usable.is_some_and(|usable| stall.work_done > usable) || check.speed.lowest_by_energy {
        let lowest = check.speed.lowest.map_or_else(
            || tr("a speed that is not known").to_owned(),
            |rate| say!("{} strokes/min", number(rate.per_minute().ceil(), 0)),
        );
        rows.push(vec![
            tr("Too little energy").to_owned(),
            say!("run or inched below {}", lowest),
            tr("flywheel or motor slowed down before it stood; no overload reading").to_owned(),
        ]);
    }
    if height.millimetres() <= NEAR_BOTTOM_MM {
        let gain = job.press.stiffness.map_or_else(
            || tr(Missing::Stiffness.text()).to_owned(),
            |stiffness| {
                say!(
                    "{} for each 0.1 mm",
                    kn(setting::force_of_too_deep(stiffness, Length::from_millimetres(0.1)))
                )
            },
        );
        rows.push(vec![
            tr("Set too deep").to_owned(),
            gain,
            tr("blocks or bottom bright; slide crept down, lock nut loose, die or parallels changed")
                .to_owned(),
        ]);
    }
    Table { head: vec![tr("may have been"), tr("force"), tr("how it would look")], rows }
}

fn join(reads: &str, look: &str) -> String {
    if reads.is_empty() { look.to_owned() } else { format!("{reads}; {look}") }
}

/// How a case looks in the die (common practice, no source).
fn look(case: &Case) -> &'static str {
    tr(match case {
        Case::DoubleMetal { .. } => "two thicknesses lie in the station; one stroke, not before",
        Case::NextGradeUp { .. } => {
            "from the first stroke of this coil on; look at its certificate"
        }
        Case::ThickestCoil => "since the coil was changed; measure its thickness",
        Case::DullEdges { .. } => "the peak crept up over the run; burr on the part",
        Case::PunchMissing { .. } => "a hole is missing in the part",
        Case::SlugLeftIn { .. } => "a dent of the slug in strip or part; one stroke, not before",
    })
}
