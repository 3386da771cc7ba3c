//! What this die needs of any press: the card that goes with the die and needs no press data.

use super::{Card, Table, hanging::air_words, slugs};
use crate::{Job, spec::Unit, units::UnitSystem, words};
use evenstroke_language::{say, tr};
use press_load::{
    Length, Missing,
    die_needs::{At, DieNeeds, longest_bed, rating_for_bed},
};
use serde::Serialize;

/// What it calls itself as JSON.
pub const FORMAT: &str = "evenstroke-need";
/// Its version.
pub const VERSION: u32 = 1;

/// Heights above BDC at which the force is told, in mm: those at which presses are rated, and on.
const HEIGHTS_MM: [f64; 12] = [0.0, 1.0, 2.0, 3.0, 6.0, 12.7, 20.0, 30.0, 50.0, 80.0, 120.0, 200.0];
/// Beds for which the rating is told, as multiples of the die's length.
const BEDS: [f64; 3] = [2.0, 3.0, 4.0];

fn no_work() -> &'static str {
    tr("no station does any work yet")
}

fn no_opening_words() -> &'static str {
    tr(
        "opening that feeding and taking out need not entered: it is at least this, from where the die first acts",
    )
}

fn at_the_top() -> &'static str {
    tr("Bolster to slide at the top")
}

/// What the command prints as JSON; names and units are a contract. What is not known is null, and why
/// stands in `unknown`.
#[derive(Clone, Debug, Serialize)]
pub struct NeedRecord {
    format: &'static str,
    version: u32,
    title: String,
    /// Largest upper force of all strip states.
    force_upper_kn: Option<f64>,
    at_height_mm: Option<f64>,
    strip_state: Option<String>,
    /// Load centre there from the die's centre, before it is turned.
    load_centre_x_mm: Option<f64>,
    load_centre_y_mm: Option<f64>,
    energy_upper_j: f64,
    /// Shortest stroke, as far as known; `unknown` says where it is only a lower bound.
    stroke_least_mm: Option<f64>,
    first_touch_mm: Option<f64>,
    /// About the die's centre, before it is turned.
    moment_x_knm: Option<f64>,
    moment_y_knm: Option<f64>,
    /// On the upper line.
    stripping_kn: f64,
    /// What is let go as the cuts break through, upper line.
    released_kn: f64,
    /// Estimate in the press of the job; null without one.
    reverse_kn: Option<f64>,
    shut_height_mm: Option<f64>,
    /// Bolster to slide at the top with the least stroke.
    daylight_mm: Option<f64>,
    opening_needed_mm: Option<f64>,
    die_length_mm: Option<f64>,
    die_depth_mm: Option<f64>,
    /// Shortest bed that bears all of the die.
    bed_least_mm: Option<f64>,
    /// Longest bed on which a press rated for just the force is allowed it.
    bed_longest_mm: Option<f64>,
    /// Rated force that a longer bed takes.
    rating_for_bed: Vec<BedRow>,
    force_by_height: Vec<HeightRow>,
    upper_die_kg: Option<f64>,
    die_kg: Option<f64>,
    cushions: Vec<CushionRow>,
    slugs: Vec<slugs::SlugRow>,
    unknown: Vec<UnknownRow>,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct BedRow {
    bed_mm: f64,
    rated_kn: f64,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct HeightRow {
    height_mm: f64,
    /// Largest at or above that height.
    force_kn: f64,
}

#[derive(Clone, Debug, Serialize)]
struct CushionRow {
    station: String,
    force_kn: f64,
    pressure_mpa: Option<f64>,
    travel_mm: f64,
}

#[derive(Clone, Debug, Serialize)]
struct UnknownRow {
    key: String,
    text: String,
}

/// What the die of a job needs of any press.
pub fn needs(job: &Job) -> DieNeeds {
    DieNeeds::new(&job.die, &job.stations, &job.stroke)
}

fn forces_by_height(needs: &DieNeeds) -> Vec<(Length, press_load::Force)> {
    HEIGHTS_MM
        .iter()
        .map(|&mm| Length::from_millimetres(mm))
        .take_while(|&height| height == Length::ZERO || height < needs.highest_contact)
        .map(|height| (height, needs.force_at_or_above(height)))
        .collect()
}

impl NeedRecord {
    /// The record of a job's die.
    pub fn new(job: &Job) -> Self {
        let needs = needs(job);
        let force = needs.force;
        let works = force.is_some();
        let length = job.die.footprint.map(|footprint| footprint.width);
        let mm = |length: Length| length.millimetres();
        let slugs = slugs::rows(job);
        let mut record = Self {
            format: FORMAT,
            version: VERSION,
            title: job.title.clone(),
            force_upper_kn: force.map(|force| force.what.kilonewtons()),
            at_height_mm: force.map(|force| mm(force.height)),
            strip_state: force.map(|force| force.state.to_string()),
            load_centre_x_mm: needs.centre.map(|centre| centre.x * 1e3),
            load_centre_y_mm: needs.centre.map(|centre| centre.y * 1e3),
            energy_upper_j: needs.energy.joules(),
            stroke_least_mm: works.then(|| mm(needs.stroke)),
            first_touch_mm: works.then(|| mm(needs.first_touch)),
            moment_x_knm: needs.moment_x.map(|at| at.what.kilonewton_metres()),
            moment_y_knm: needs.moment_y.map(|at| at.what.kilonewton_metres()),
            stripping_kn: needs.stripping.kilonewtons(),
            released_kn: needs.released.kilonewtons(),
            reverse_kn: job.snap_through.ok().map(|snap| snap.upper.kilonewtons()),
            shut_height_mm: job.die.shut_height.map(mm),
            daylight_mm: needs.daylight.filter(|_| works).map(mm),
            opening_needed_mm: job.die.opening_needed.map(mm),
            die_length_mm: length.map(mm),
            die_depth_mm: job.die.footprint.map(|footprint| mm(footprint.depth)),
            bed_least_mm: length.map(mm),
            bed_longest_mm: length.map(longest_bed).map(mm),
            rating_for_bed: force
                .zip(length)
                .map(|(force, length)| beds(force, length))
                .unwrap_or_default()
                .into_iter()
                .map(|(bed, rated)| BedRow { bed_mm: mm(bed), rated_kn: rated.kilonewtons() })
                .collect(),
            force_by_height: forces_by_height(&needs)
                .into_iter()
                .map(|(height, force)| HeightRow {
                    height_mm: mm(height),
                    force_kn: force.kilonewtons(),
                })
                .collect(),
            upper_die_kg: job.die.upper_mass.map(|mass| mass.kilograms()),
            die_kg: job.die_mass.map(|mass| mass.kilograms()),
            cushions: job
                .setup
                .cushions
                .iter()
                .map(|cushion| CushionRow {
                    station: job.stations[cushion.station].name.clone(),
                    force_kn: cushion.force.kilonewtons(),
                    pressure_mpa: cushion.pressure.map(|pressure| pressure.megapascals()),
                    travel_mm: mm(cushion.travel),
                })
                .collect(),
            slugs,
            unknown: Vec::new(),
        };
        record.unknown = record.unknown_rows(job);
        record
    }

    fn unknown_rows(&self, job: &Job) -> Vec<UnknownRow> {
        let mut rows = Vec::new();
        let mut say = |key: &str, is_unknown: bool, text: &str| {
            if is_unknown {
                rows.push(UnknownRow { key: key.to_owned(), text: text.to_owned() });
            }
        };
        for key in [
            "force_upper_kn",
            "at_height_mm",
            "strip_state",
            "load_centre_x_mm",
            "load_centre_y_mm",
            "stroke_least_mm",
            "first_touch_mm",
            "moment_x_knm",
            "moment_y_knm",
        ] {
            say(key, self.force_upper_kn.is_none(), no_work());
        }
        say(
            "opening_needed_mm",
            self.opening_needed_mm.is_none(),
            tr(Missing::OpeningNeeded.text()),
        );
        say("shut_height_mm", self.shut_height_mm.is_none(), tr(Missing::DieShutHeight.text()));
        let no_height = self.shut_height_mm.is_none();
        say("daylight_mm", no_height, tr(Missing::DieShutHeight.text()));
        say("daylight_mm", !no_height && self.daylight_mm.is_none(), no_work());
        let no_opening = self.opening_needed_mm.is_none();
        say("stroke_least_mm", no_opening && self.stroke_least_mm.is_some(), no_opening_words());
        say("daylight_mm", no_opening && self.daylight_mm.is_some(), no_opening_words());
        if let Err(missing) = job.snap_through {
            say("reverse_kn", true, &say!("depends on the press: {}", tr(missing.text())));
        }
        for key in ["die_length_mm", "die_depth_mm", "bed_least_mm", "bed_longest_mm"] {
            say(key, self.die_length_mm.is_none(), tr(Missing::DieSize.text()));
        }
        say("upper_die_kg", self.upper_die_kg.is_none(), tr(Missing::UpperMass.text()));
        say("die_kg", self.die_kg.is_none(), whole_mass());
        for (index, slug) in self.slugs.iter().enumerate() {
            if let Some(missing) = slug.missing {
                say(&format!("slugs[{index}].minutes_to_die"), true, missing);
            }
        }
        rows
    }

    /// As JSON text.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}

/// What is missing where the whole die's mass is.
pub(super) fn whole_mass() -> &'static str {
    tr("mass of the whole die not entered (stamp on the die, or a scale)")
}

fn beds(force: At<press_load::Force>, length: Length) -> Vec<(Length, press_load::Force)> {
    BEDS.iter()
        .map(|&times| (length * times, rating_for_bed(force.what, length, length * times)))
        .collect()
}

/// The card of a job's die.
pub fn need_card(job: &Job, units: UnitSystem) -> Card {
    let needs = needs(job);
    let mut card = Card::new("need", tr("What this die needs of any press"));
    let mm = |length: Length| units.show(length.millimetres(), Unit::Mm);
    let kn = |force: press_load::Force| units.show(force.kilonewtons(), Unit::Kn);
    match needs.force {
        Some(force) => {
            let state = words::strip_state_words(force.state);
            let text = say!("{} at {} above BDC, {}", kn(force.what), mm(force.height), state);
            card.number_as("force_upper_kn", tr("Force"), force.what.kilonewtons(), Unit::Kn, text);
        }
        None => card.missing("force_upper_kn", tr("Force"), no_work()),
    }
    card.number(
        "energy_upper_kj",
        tr("Work per stroke"),
        needs.energy.kilojoules(),
        Unit::Kj,
        units,
    );
    // Without the opening stroke and height at the top are bounded from below only.
    let at_least = |card: &mut Card, key, label: &str, length: Length| {
        let text = match job.die.opening_needed {
            Some(_) => say!("{} or more", mm(length)),
            None => say!("more than {}; {}", mm(length), tr(Missing::OpeningNeeded.text())),
        };
        card.number_as(key, label, length.millimetres(), Unit::Mm, text);
    };
    match needs.force {
        Some(_) => at_least(&mut card, "stroke_least_mm", tr("Stroke"), needs.stroke),
        None => card.missing("stroke_least_mm", tr("Stroke"), no_work()),
    }
    for (key, label, moment) in [
        ("moment_x_knm", tr("Moment left–right"), needs.moment_x),
        ("moment_y_knm", tr("Moment front–back"), needs.moment_y),
    ] {
        match moment {
            Some(at) => {
                let moment = at.what.kilonewton_metres();
                let text = say!(
                    "{} about the die's centre at {}, {}",
                    units.show(moment, Unit::Knm),
                    mm(at.height),
                    words::strip_state_words(at.state)
                );
                card.number_as(key, label, moment, Unit::Knm, text);
            }
            None => card.missing(key, label, no_work()),
        }
    }
    if let Some(centre) = needs.centre {
        card.text(
            "load_centre",
            tr("Load centre at that force"),
            say!("{} of the die's centre", words::point_words(centre, units)),
        );
    }
    card.number(
        "stripping_kn",
        tr("Pull on the way up"),
        needs.stripping.kilonewtons(),
        Unit::Kn,
        units,
    );
    card.number(
        "released_kn",
        tr("Let go at break-through"),
        needs.released.kilonewtons(),
        Unit::Kn,
        units,
    );
    match job.snap_through {
        Ok(snap) => {
            let text = say!("{} in this press, an estimate", kn(snap.upper));
            card.number_as(
                "reverse_kn",
                tr("Reverse load"),
                snap.upper.kilonewtons(),
                Unit::Kn,
                text,
            );
        }
        Err(missing) => {
            card.missing(
                "reverse_kn",
                tr("Reverse load"),
                say!("depends on the press: {}", tr(missing.text())),
            );
        }
    }
    match job.die.shut_height {
        Some(height) => {
            card.number(
                "shut_height_mm",
                tr("Closed height"),
                height.millimetres(),
                Unit::Mm,
                units,
            );
        }
        None => {
            card.missing("shut_height_mm", tr("Closed height"), tr(Missing::DieShutHeight.text()))
        }
    }
    match (needs.daylight, needs.force) {
        (Some(daylight), Some(_)) => at_least(&mut card, "daylight_mm", at_the_top(), daylight),
        (Some(_), None) => card.missing("daylight_mm", at_the_top(), no_work()),
        (None, _) => card.missing("daylight_mm", at_the_top(), tr(Missing::DieShutHeight.text())),
    }
    match (job.die.footprint, needs.force) {
        (Some(footprint), Some(force)) => {
            let longest = longest_bed(footprint.width);
            let text = say!(
                "a press rated for {} may have a bed from {} to {} long",
                kn(force.what),
                mm(footprint.width),
                mm(longest)
            );
            card.number_as(
                "bed_longest_mm",
                tr("Length of the press"),
                longest.millimetres(),
                Unit::Mm,
                text,
            );
            let beds: Vec<String> = beds(force, footprint.width)
                .into_iter()
                .map(|(bed, rated)| say!("{} on a bed of {}", kn(rated), mm(bed)))
                .collect();
            card.text("rating_for_bed", tr("Rated force on a longer bed"), beds.join(", "));
        }
        (Some(_), None) => card.missing("bed_longest_mm", tr("Length of the press"), no_work()),
        (None, _) => {
            card.missing("bed_longest_mm", tr("Length of the press"), tr(Missing::DieSize.text()))
        }
    }
    for (key, label, mass, missing) in [
        ("upper_die_kg", tr("Upper die"), job.die.upper_mass, tr(Missing::UpperMass.text())),
        ("die_kg", tr("Whole die"), job.die_mass, whole_mass()),
    ] {
        match mass {
            Some(mass) => card.number(key, label, mass.kilograms(), Unit::Kg, units),
            None => card.missing(key, label, missing),
        }
    }
    for cushion in &job.setup.cushions {
        let pressure = cushion
            .pressure
            .map_or(String::new(), |pressure| say!(", {} of air", air_words(pressure, units)));
        let text = say!("{} over {}{}", kn(cushion.force), mm(cushion.travel), pressure);
        let label = say!("Cushion at {}", job.stations[cushion.station].name);
        card.number_as("cushion_kn", &label, cushion.force.kilonewtons(), Unit::Kn, text);
    }
    let slugs = slugs::rows(job);
    for slug in &slugs {
        slug.show(&mut card);
    }
    card.table = Some(Table {
        head: vec![tr("at or above"), tr("largest force")],
        rows: forces_by_height(&needs)
            .into_iter()
            .map(|(height, force)| vec![mm(height), kn(force)])
            .collect(),
    });
    card.say(tr(
        "On the upper line (strongest, thickest, dullest), the worst of all strip states.",
    ));
    let of_press = [
        job.snap_through.is_ok().then_some(tr("the reverse load")),
        slugs
            .iter()
            .any(|slug| slug.minutes_to_die.is_some())
            .then_some(tr("the minutes of slugs")),
    ];
    let of_press: Vec<&str> = of_press.into_iter().flatten().collect();
    card.say(if of_press.is_empty() {
        tr("No press data are in it.").to_owned()
    } else {
        say!("No press data are in it but for {}.", of_press.join(" and "))
    });
    card.say(tr("Length of the press: the whole rating holds only for a die of two thirds of the bed (P. Ulintz, MetalForming, 22 Nov 2024); pro rata beyond is our own form, and the press's own chart rules."));
    card
}
