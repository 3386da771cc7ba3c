//! The first strokes, hit by hit.

use super::{Card, Table};
use crate::{Job, spec::Unit, units::UnitSystem, words};
use press_load::{
    Check, DieKind,
    first_strokes::{FirstStrokes, Hit, Standing},
    limits::LimitId,
    press::Drive,
};

/// More rows than this are not told: nobody reads on.
const MOST_ROWS: usize = 60;

/// The card of a checked job.
pub fn first_strokes_card(job: &Job, check: &Check, units: UnitSystem) -> Card {
    let found = FirstStrokes::new(&job.press, &job.die, &job.stations, &job.stroke);
    let mut card = Card::new("first_strokes", "The first strokes");
    let name = |hit: &Hit| hit_name(hit, found.follows_strip);
    if let Some(worst) = found.hits.get(found.worst) {
        let why = match worst.most_used {
            Some((id, used)) => format!(
                "{}: {} {}",
                name(worst),
                words::limit_label(id),
                words::share_words(used.share)
            ),
            None => format!(
                "{}: largest moment, {} left–right, {} front–back",
                name(worst),
                units.show(worst.moment_x.kilonewton_metres(), Unit::Knm),
                units.show(worst.moment_y.kilonewton_metres(), Unit::Knm)
            ),
        };
        card.text("worst", "Worst", why);
        if let Some((id, used)) = worst.most_used {
            let near = job.press.near_share(job.settings.near_share);
            card.stands(press_load::State::of_share(used.share, near));
            if matches!(id, LimitId::OffCentreX | LimitId::OffCentreY | LimitId::SuspensionLoad) {
                card.say(
                    "The worst hit loads one side: look at both sides of the load display there.",
                );
            }
        }
    }
    let mut rows = Vec::new();
    let mut before: Vec<Standing> = vec![Standing::Empty; job.stations.len()];
    for (index, hit) in found.hits.iter().enumerate() {
        let look = look_for(job, hit, &before, index == found.worst, index + 1 == found.hits.len());
        before.clone_from(&hit.stations);
        if rows.len() < MOST_ROWS || index + 1 == found.hits.len() {
            let (force, centre) = match &hit.peak {
                Some(peak) => (
                    format!(
                        "{} at {}",
                        units.show(peak.force.kilonewtons(), Unit::Kn),
                        units.show(peak.height.millimetres(), Unit::Mm)
                    ),
                    match hit.sides {
                        Some((left, right)) => {
                            format!("{:.0} % left, {:.0} % right", left * 100.0, right * 100.0)
                        }
                        None => format!("load centre {}", words::point_words(peak.centre, units)),
                    },
                ),
                None => ("none".to_owned(), String::new()),
            };
            rows.push(vec![name(hit), stations_words(job, hit), force, centre, look]);
        }
    }
    let left_out = found.hits.len() - rows.len();
    card.table =
        Some(Table { head: vec!["hit", "works", "force up to", "sides", "stop and look"], rows });
    if left_out > 0 {
        card.say(format!("{left_out} more hits are left out."));
    }
    if !found.follows_strip && job.die.kind == DieKind::Progressive {
        card.say("Pitch and first-hit line are not entered, so that half cuts cannot be told: the strip is taken to end between two stations.");
    }
    card.say(speed_sentence(job, check));
    card.say("Start-up scrap and a part left behind double the metal; take each out before the next hit. Stand aside.");
    card
}

fn hit_name(hit: &Hit, follows_strip: bool) -> String {
    let is_full = hit.state == press_load::StripState::Full;
    match (follows_strip, is_full) {
        (true, false) if hit.first == hit.last => format!("{}", hit.first),
        (true, false) => format!("{} to {}", hit.first, hit.last),
        (true, true) => format!("{}, strip full", hit.first),
        (false, true) => "full".to_owned(),
        (false, false) => format!("filled to position {}", hit.first),
    }
}

fn stations_words(job: &Job, hit: &Hit) -> String {
    let named: Vec<String> = job
        .stations
        .iter()
        .zip(&hit.stations)
        .filter_map(|(station, standing)| {
            let how = match standing {
                Standing::Empty => return None,
                Standing::Whole => "",
                Standing::HalfCut => " (half cut)",
                Standing::HalfLoaded => " (half loaded)",
                Standing::HalfCutAndLoaded => " (half cut, half loaded)",
            };
            Some(format!("{}{how}", station.name))
        })
        .collect();
    if named.is_empty() { "nothing yet".to_owned() } else { named.join(", ") }
}

/// Where to stop and look after a hit.
fn look_for(job: &Job, hit: &Hit, before: &[Standing], is_worst: bool, is_last: bool) -> String {
    let mut look = Vec::new();
    let with = |of: &dyn Fn(usize) -> bool| -> Vec<&str> {
        (0..job.stations.len()).filter(|&i| of(i)).map(|i| job.stations[i].name.as_str()).collect()
    };
    let cut = with(&|i| matches!(hit.stations[i], Standing::HalfCut | Standing::HalfCutAndLoaded));
    if !cut.is_empty() {
        look.push(format!("edges and halves at {}", cut.join(", ")));
    }
    let loaded =
        with(&|i| matches!(hit.stations[i], Standing::HalfLoaded | Standing::HalfCutAndLoaded));
    if !loaded.is_empty() {
        look.push(format!("pad level at {}", loaded.join(", ")));
    }
    let joined = with(&|i| hit.stations[i] == Standing::Whole && before[i] != Standing::Whole);
    if !joined.is_empty() {
        look.push(format!("worked clean, scrap out at {}", joined.join(", ")));
    }
    if is_worst {
        look.push("load display".to_owned());
    }
    if is_last {
        look.push("first part".to_owned());
    }
    look.join("; ")
}

/// How to inch and how to hit: empty at any speed, in metal only at one that the energy allows.
fn speed_sentence(job: &Job, check: &Check) -> String {
    const STALLS: &str = "inched through the work, a loaded die can stall on bottom";
    if check.speed.is_empty() {
        return "Inch through empty. No speed does for hits in metal: see the working energy."
            .to_owned();
    }
    let by_energy = job
        .press
        .energy
        .and_then(|rating| rating.slowest_for(check.energy_upper, job.press.running));
    // The slowest speed of the press where the energy does there.
    match check.speed.lowest.filter(|_| by_energy.is_some()) {
        // What the motor allows at the upper end is no aim for first hits.
        Some(lowest) => format!(
            "Inch through empty. Hit in metal only at a speed that the energy allows, {:.0} strokes/min or more: {STALLS}.",
            lowest.per_minute().ceil()
        ),
        // It has no flywheel that could run down.
        _ if matches!(job.press.drive, Drive::Hydraulic { .. }) => {
            "Inch through empty before the first hit in metal.".to_owned()
        }
        _ => format!(
            "Inch through empty. Hit in metal at a speed that the energy allows; from which speed on it does is not known here: {STALLS}."
        ),
    }
}
