//! What a set-up needs beside the check, as a job file holds it.
//!
//! The description has seen to types and ranges; the checks here need two fields at once.

use crate::{
    Refusal,
    build::{Fields, refusal},
    day::Day,
    record::Record,
};
use evenstroke_language::{say, tr};
use press_load::{
    Die, Force, Length, Mass, Moment, Stress, clamping::DEFAULT_FRICTION_FACTOR,
    counterbalance::CounterbalanceTable, press::Press,
};
use serde_json::Value;

/// How the shut height of a die is found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeightSetting {
    /// One setting: the die closes on blocks or on its bottom.
    One,
    /// By the thickness of the coil: a pad closes on the part.
    ByThickness,
}

/// The press's table for its counterbalance.
#[derive(Clone, Debug, PartialEq)]
pub struct Counterbalance {
    /// Pressure over mass.
    pub table: CounterbalanceTable,
    /// What hangs on the slide beside the upper die and counts in the table, where that is entered.
    pub attachments: Option<Mass>,
}

/// How the clamps of the upper die are tightened, as far as entered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tightening {
    /// How many.
    pub count: u32,
    /// On the wrench.
    pub torque: Option<Moment>,
    /// Nominal size of the screw.
    pub size: Option<Length>,
    /// K of torque = K · force · size.
    pub factor: f64,
    /// Whether K is the default.
    pub factor_assumed: bool,
    /// Part of the screw's force that presses on the die.
    pub lever_share: f64,
    /// Whether that is the default, all of it.
    pub lever_assumed: bool,
}

/// Where the slide stood after a trip.
#[derive(Clone, Debug, PartialEq)]
pub struct Trip {
    /// Height or angle.
    pub at: Option<TripAt>,
    /// Day.
    pub day: Option<Day>,
    /// Time of day.
    pub time: String,
    /// Anything worth knowing.
    pub remark: String,
}

/// How the place of the slide was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TripAt {
    /// Slide height above BDC.
    Height(Length),
    /// Crank angle before BDC in degrees.
    Angle(f64),
}

/// A cushion whose force and travel have to be set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CushionSetting {
    /// Index of the station.
    pub station: usize,
    /// Force at first touch.
    pub force: Force,
    /// Air pressure, where that is entered.
    pub pressure: Option<Stress>,
    /// Travel from first touch to BDC.
    pub travel: Length,
}

/// What a set-up needs beside the check.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Setup {
    /// Whether a press is chosen.
    pub has_press: bool,
    /// Day on which the closed height was measured.
    pub measured_on: Option<Day>,
    /// Who measured it.
    pub measured_by: String,
    /// What sharpening may still take off.
    pub grind_allowance: Option<Length>,
    /// What the die stands on.
    pub parallels: Option<Length>,
    /// How the shut height is found.
    pub height_setting: Option<HeightSetting>,
    /// The press's table for its counterbalance.
    pub counterbalance: Option<Counterbalance>,
    /// How the upper die's clamps are tightened.
    pub tightening: Option<Tightening>,
    /// Free height below the die opening of each station.
    pub slug_drops: Vec<Option<Length>>,
    /// Cushions, in the order of the stations.
    pub cushions: Vec<CushionSetting>,
    /// Bolster to slide at BDC as the press is set now.
    pub press_opening: Option<Length>,
    /// How far above the closed die the slide is set at first.
    pub approach: Option<Length>,
    /// What the shop's own gear lifts.
    pub lifting_limit: Option<Mass>,
    /// That gear.
    pub lifting_gear: String,
    /// Who clears slugs.
    pub slugs_cleared_by: String,
    /// How often.
    pub slugs_cleared_every: String,
    /// Where the slide stood after a trip.
    pub trip: Option<Trip>,
    /// What was set, read, ground and repaired.
    pub record: Record,
}

/// Reads it from a job that fits the description.
///
/// # Errors
///
/// [`Refusal`] for weights that cannot be, heights that contradict each other, tables that turn back.
pub(crate) fn read(value: &Value, press: &Press, die: &Die) -> Result<Setup, Refusal> {
    let section = |key: &str| value[key].as_object().map(Fields);
    let (die_fields, press_fields) = (section("die"), section("press"));
    let word = |fields: Option<Fields>, key: &str| {
        fields.map_or_else(String::new, |fields| fields.word(key).to_owned())
    };
    let mm = |fields: Option<Fields>, key: &str| fields.and_then(|fields| fields.mm(key));
    let shop = section("setup");
    let setup = Setup {
        has_press: press_fields.is_some(),
        measured_on: Day::read(&word(die_fields, "shut_height_measured_on")),
        measured_by: word(die_fields, "shut_height_measured_by"),
        grind_allowance: mm(die_fields, "grind_allowance_mm"),
        parallels: mm(die_fields, "parallels_mm"),
        height_setting: match word(die_fields, "height_setting").as_str() {
            "one" => Some(HeightSetting::One),
            "by_thickness" => Some(HeightSetting::ByThickness),
            _ => None,
        },
        counterbalance: press_fields
            .and_then(|fields| fields.object("counterbalance"))
            .map(counterbalance)
            .transpose()?,
        tightening: die_fields.and_then(|fields| fields.object("upper_clamps")).map(tightening),
        slug_drops: value["stations"]
            .as_array()
            .map_or(&[][..], Vec::as_slice)
            .iter()
            .map(|station| mm(station.as_object().map(Fields), "slug_drop_mm"))
            .collect(),
        cushions: cushions(value),
        press_opening: mm(shop, "press_opening_mm"),
        approach: mm(shop, "approach_mm"),
        lifting_limit: shop
            .and_then(|fields| fields.number("lifting_limit_kg"))
            .map(Mass::from_kilograms),
        lifting_gear: word(shop, "lifting_gear"),
        slugs_cleared_by: word(shop, "slugs_cleared_by"),
        slugs_cleared_every: word(shop, "slugs_cleared_every"),
        trip: section("trip").map(trip).transpose()?,
        record: section("record").map(crate::record::read).transpose()?.unwrap_or_default(),
    };
    weights(value)?;
    heights(&setup, press, die)?;
    Ok(setup)
}

fn refuse(path: &str, allowed: String, given: String) -> Refusal {
    Refusal { path: path.to_owned(), allowed, given }
}

/// Refused rather than a caution, in files written before this check as well: one of the two is wrong and
/// nothing says which, and both carry what hangs over people (lifting, safety blocks, clamps,
/// counterbalance).
fn weights(value: &Value) -> Result<(), Refusal> {
    let of = |key: &str| value["die"][key].as_f64();
    match (of("upper_mass_kg"), of("mass_kg")) {
        (Some(upper), Some(whole)) if upper > whole => Err(refuse(
            "die.upper_mass_kg",
            say!("must be at most {} kg, the whole die (mass_kg)", whole),
            say!("{} kg", upper),
        )),
        _ => Ok(()),
    }
}

fn heights(setup: &Setup, press: &Press, die: &Die) -> Result<(), Refusal> {
    // A difference of two entered heights has digits that nobody entered.
    let mm = |length: Length| say!("{} mm", (length.millimetres() * 1e6).round() / 1e6);
    if let (Some(allowance), Some(closed)) = (setup.grind_allowance, die.shut_height)
        && allowance >= closed
    {
        return Err(refuse(
            "die.grind_allowance_mm",
            say!("must be less than the closed height, {} (shut_height_mm)", mm(closed)),
            mm(allowance),
        ));
    }
    if let (Some(opening), Some(highest)) = (setup.press_opening, press.shut_height) {
        let lowest = press.shut_height_adjustment.map(|adjustment| highest - adjustment);
        // What a tape leaves open is no contradiction.
        let tape = Length::from_millimetres(press_load::setting::TAPE_MM);
        if opening > highest + tape || lowest.is_some_and(|lowest| opening + tape < lowest) {
            let window = match lowest {
                Some(lowest) => say!("{} to {}", mm(lowest), mm(highest)),
                None => say!("at most {}", mm(highest)),
            };
            return Err(refuse(
                "setup.press_opening_mm",
                say!(
                    "must be what the press can be set to, {} (press.shut_height_mm and its adjustment)",
                    window
                ),
                mm(opening),
            ));
        }
    }
    if let (Some(Trip { at: Some(TripAt::Height(height)), .. }), Some(stroke)) =
        (&setup.trip, press.drive.known_stroke())
        && *height > stroke
    {
        return Err(refuse(
            "trip.height_mm",
            say!("must be at most the stroke, {}", mm(stroke)),
            mm(*height),
        ));
    }
    Ok(())
}

fn counterbalance(fields: Fields) -> Result<Counterbalance, Refusal> {
    let rows = fields.list("points").iter().filter_map(|row| row.as_object().map(Fields));
    let rows = rows
        .map(|row| {
            let mass = Mass::from_kilograms(row.number_or("mass_kg", 0.0));
            (mass, Stress::from_megapascals(row.number_or("pressure_mpa", 0.0)))
        })
        .collect();
    let table = CounterbalanceTable::new(rows)
        .map_err(|error| refusal("press.counterbalance.points", &error))?;
    let attachments = fields.number("attachments_kg").map(Mass::from_kilograms);
    Ok(Counterbalance { table, attachments })
}

fn tightening(fields: Fields) -> Tightening {
    let factor = fields.number("friction_factor");
    let lever = fields.number("lever_share");
    Tightening {
        count: fields.number_or("count", 1.0) as u32,
        torque: fields.number("torque_nm").map(Moment::from_newton_metres),
        size: fields.mm("bolt_mm"),
        factor: factor.unwrap_or(DEFAULT_FRICTION_FACTOR),
        factor_assumed: factor.is_none(),
        lever_share: lever.unwrap_or(1.0),
        lever_assumed: lever.is_none(),
    }
}

fn trip(fields: Fields) -> Result<Trip, Refusal> {
    let (height, angle) = (fields.mm("height_mm"), fields.number("angle_deg"));
    let at = match (height, angle) {
        (Some(height), Some(angle)) => {
            return Err(refuse(
                "trip.angle_deg",
                tr("must not stand beside height_mm: the slide was read in one way").to_owned(),
                say!("{} mm and {}°", height.millimetres(), angle),
            ));
        }
        (Some(height), None) => Some(TripAt::Height(height)),
        (None, Some(angle)) => Some(TripAt::Angle(angle)),
        (None, None) => None,
    };
    Ok(Trip {
        at,
        day: Day::read(fields.word("date")),
        time: fields.word("time").to_owned(),
        remark: fields.word("remark").to_owned(),
    })
}

fn cushions(value: &Value) -> Vec<CushionSetting> {
    let mut found = Vec::new();
    for (station, fields) in value["stations"].as_array().into_iter().flatten().enumerate() {
        for work in fields["work"].as_array().into_iter().flatten() {
            let Some(work) = work.as_object().map(Fields) else { continue };
            if work.word("op") != "spring" {
                continue;
            }
            let travel = work.mm_or_zero("entry_mm");
            match work.word("kind") {
                "cushion" => found.push(CushionSetting {
                    station,
                    force: work.kn_or_zero("force_kn"),
                    pressure: None,
                    travel,
                }),
                "air_cushion" => {
                    let pressure = Stress::from_megapascals(work.number_or("pressure_mpa", 0.0));
                    let force = press_load::springs::air_cushion_force(
                        pressure,
                        work.mm_or_zero("piston_diameter_mm"),
                        work.number_or("pistons", 1.0),
                    );
                    if let Ok(force) = force {
                        let pressure = Some(pressure);
                        found.push(CushionSetting { station, force, pressure, travel });
                    }
                }
                _ => {}
            }
        }
    }
    found
}
