//! The first strokes, hit by hit.

use super::{Card, Table};
use crate::{Job, spec::Unit, units::UnitSystem, words};
use evenstroke_language::{number, say, tr};
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
    let mut card = Card::new("first_strokes", tr("The first strokes"));
    let name = |hit: &Hit| hit_name(hit, found.follows_strip);
    if let Some(worst) = found.hits.get(found.worst) {
        let why = match worst.most_used {
            Some((id, used)) => format!(
                "{}: {} {}",
                name(worst),
                words::limit_label(id),
                words::share_words(used.share)
            ),
            None => say!(
                "{}: largest moment, {} left–right, {} front–back",
                name(worst),
                units.show(worst.moment_x.kilonewton_metres(), Unit::Knm),
                units.show(worst.moment_y.kilonewton_metres(), Unit::Knm)
            ),
        };
        card.text("worst", tr("Worst"), why);
        if let Some((id, used)) = worst.most_used {
            let near = job.press.near_share(job.settings.near_share);
            card.stands(press_load::State::of_share(used.share, near));
            if matches!(id, LimitId::OffCentreX | LimitId::OffCentreY | LimitId::SuspensionLoad) {
                card.say(tr(
                    "The worst hit loads one side: look at both sides of the load display there.",
                ));
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
                    say!(
                        "{} at {}",
                        units.show(peak.force.kilonewtons(), Unit::Kn),
                        units.show(peak.height.millimetres(), Unit::Mm)
                    ),
                    match hit.sides {
                        Some((left, right)) => {
                            say!(
                                "{} % left, {} % right",
                                number(left * 100.0, 0),
                                number(right * 100.0, 0)
                            )
                        }
                        None => say!("load centre {}", words::point_words(peak.centre, units)),
                    },
                ),
                None => (tr("none").to_owned(), String::new()),
            };
            rows.push(vec![name(hit), stations_words(job, hit), force, centre, look]);
        }
    }
    let left_out = found.hits.len() - rows.len();
    card.table = Some(Table {
        head: vec![tr("hit"), tr("works"), tr("force up to"), tr("sides"), tr("stop and look")],
        rows,
    });
    if left_out > 0 {
        card.say(say!("{} more hits are left out.", left_out));
    }
    if !found.follows_strip && job.die.kind == DieKind::Progressive {
        card.say(tr("Pitch and first-hit line are not entered, so that half cuts cannot be told: the strip is taken to end between two stations."));
    }
    card.say(speed_sentence(job, check));
    card.say(tr("Start-up scrap and a part left behind double the metal; take each out before the next hit. Stand aside."));
    card
}

fn hit_name(hit: &Hit, follows_strip: bool) -> String {
    let is_full = hit.state == press_load::StripState::Full;
    match (follows_strip, is_full) {
        (true, false) if hit.first == hit.last => format!("{}", hit.first),
        (true, false) => say!("{} to {}", hit.first, hit.last),
        (true, true) => say!("{}, strip full", hit.first),
        (false, true) => tr("full").to_owned(),
        (false, false) => say!("filled to position {}", hit.first),
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
                Standing::HalfCut => tr(" (half cut)"),
                Standing::HalfLoaded => tr(" (half loaded)"),
                Standing::HalfCutAndLoaded => tr(" (half cut, half loaded)"),
            };
            Some(format!("{}{how}", station.name))
        })
        .collect();
    if named.is_empty() { tr("nothing yet").to_owned() } else { named.join(", ") }
}

/// Where to stop and look after a hit.
fn look_for(job: &Job, hit: &Hit, before: &[Standing], is_worst: bool, is_last: bool) -> String {
    let mut look = Vec::new();
    let with = |of: &dyn Fn(usize) -> bool| -> Vec<&str> {
        (0..job.stations.len()).filter(|&i| of(i)).map(|i| job.stations[i].name.as_str()).collect()
    };
    let cut = with(&|i| matches!(hit.stations[i], Standing::HalfCut | Standing::HalfCutAndLoaded));
    if !cut.is_empty() {
        look.push(say!("edges and halves at {}", cut.join(", ")));
    }
    let loaded =
        with(&|i| matches!(hit.stations[i], Standing::HalfLoaded | Standing::HalfCutAndLoaded));
    if !loaded.is_empty() {
        look.push(say!("pad level at {}", loaded.join(", ")));
    }
    let joined = with(&|i| hit.stations[i] == Standing::Whole && before[i] != Standing::Whole);
    if !joined.is_empty() {
        look.push(say!("worked clean, scrap out at {}", joined.join(", ")));
    }
    if is_worst {
        look.push(tr("load display").to_owned());
    }
    if is_last {
        look.push(tr("first part").to_owned());
    }
    look.join("; ")
}

/// How to inch and how to hit: empty at any speed, in metal only at one that the energy allows.
fn speed_sentence(job: &Job, check: &Check) -> String {
    let stalls = tr("inched through the work, a loaded die can stall on bottom");
    if check.speed.is_empty() {
        return tr("Inch through empty. No speed does for hits in metal: see the working energy.")
            .to_owned();
    }
    let by_energy = job
        .press
        .energy
        .and_then(|rating| rating.slowest_for(check.energy_upper, job.press.running));
    // The slowest speed of the press where the energy does there.
    match check.speed.lowest.filter(|_| by_energy.is_some()) {
        // What the motor allows at the upper end is no aim for first hits.
        Some(lowest) => say!(
            "Inch through empty. Hit in metal only at a speed that the energy allows, {} strokes/min or more: {}.",
            number(lowest.per_minute().ceil(), 0),
            stalls
        ),
        // It has no flywheel that could run down.
        _ if matches!(job.press.drive, Drive::Hydraulic { .. }) => {
            tr("Inch through empty before the first hit in metal.").to_owned()
        }
        _ => say!(
            "Inch through empty. Hit in metal at a speed that the energy allows; from which speed on it does is not known here: {}.",
            stalls
        ),
    }
}
