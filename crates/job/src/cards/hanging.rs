//! What hangs on the slide: counterbalance, holding of the upper die, safety blocks; and lifting.

use super::{Card, need::WHOLE_MASS};
use crate::{
    Job,
    spec::Unit,
    units::{KSI_MPA, UnitSystem},
    words::fine_length,
};
use press_load::{Check, Force, Length, LimitId, Mass, Missing, State, Stress, clamping, setting};

/// The air of the counterbalance.
pub fn counterbalance_card(job: &Job, units: UnitSystem) -> Card {
    let mut card = Card::new("counterbalance", "Counterbalance");
    let kg = |mass: Mass| units.show(mass.kilograms(), Unit::Kg);
    let Some(counterbalance) = &job.setup.counterbalance else {
        card.missing("pressure_mpa", "Air pressure", "the press's table of pressure over weight not entered (plate at the counterbalance, or press manual)");
        return card;
    };
    let Some(upper) = job.die.upper_mass else {
        card.missing("pressure_mpa", "Air pressure", Missing::UpperMass.text());
        return card;
    };
    let mass = upper + counterbalance.attachments.unwrap_or_default();
    let others = counterbalance.attachments.map_or_else(
        || "other attachments not entered, taken as none".to_owned(),
        |others| format!("other attachments {}", kg(others)),
    );
    let text = format!("{}: upper die {}, {others}", kg(mass), kg(upper));
    card.number_as("mass_kg", "On the slide", mass.kilograms(), Unit::Kg, text);
    match counterbalance.table.pressure_for(mass) {
        Some(pressure) => {
            let text = air_words(pressure, units);
            card.number_as("pressure_mpa", "Air pressure", pressure.megapascals(), Unit::Mpa, text);
        }
        None => {
            let (lightest, heaviest) = counterbalance.table.span();
            card.missing(
                "pressure_mpa",
                "Air pressure",
                format!(
                    "outside the press's table, which goes from {} to {}: ask the press builder",
                    kg(lightest),
                    kg(heaviest)
                ),
            );
        }
    }
    card.say("Set at the table's figure or slightly above (D. A. Smith, MetalForming, Jul 2012): too low hammers the joints at every reversal, too high overloads the motor on the way down.");
    card
}

/// Air pressure as the gauges in shops read it, bar and psi.
pub(super) fn air_words(pressure: Stress, units: UnitSystem) -> String {
    let mpa = pressure.megapascals();
    match units {
        UnitSystem::UsCustomary => format!("{:.0} psi", mpa / KSI_MPA * 1e3),
        UnitSystem::Metric | UnitSystem::MetricTonnes => {
            format!("{mpa:.2} MPa ({:.1} bar)", mpa * 10.0)
        }
    }
}

/// What holds the upper die.
pub fn holding_card(job: &Job, check: &Check, units: UnitSystem) -> Card {
    let mut card = Card::new("holding", "Holding of the upper die");
    let kn = |force: Force| units.show(force.kilonewtons(), Unit::Kn);
    let limit = check.limit(LimitId::UpperDieHold);
    let pull = limit.outcome.ok().map(|used| used.demand).or(limit.needs.map(|needs| needs.demand));
    match (pull, job.die.upper_mass) {
        (Some(pull), _) => {
            card.number("pull_kn", "Pulls on it", pull, Unit::Kn, units);
        }
        (None, Some(mass)) => {
            let text = format!(
                "its weight, {}, and stripping; how it is jerked is not known: {}",
                kn(setting::weight(mass)),
                job.snap_through.err().map_or("", Missing::text)
            );
            card.missing("pull_kn", "Pulls on it", text);
        }
        (None, None) => card.missing("pull_kn", "Pulls on it", Missing::UpperMass.text()),
    }
    match job.die.upper_clamps {
        Some(clamps) => {
            let holds = clamps.force * f64::from(clamps.count);
            let noun = if clamps.count == 1 { "clamp" } else { "clamps" };
            let text =
                format!("{} {noun}, {} each, {} in all", clamps.count, kn(clamps.force), kn(holds));
            card.number_as("holds_kn", "Holds it", holds.kilonewtons(), Unit::Kn, text);
            card.stands(limit.state);
        }
        None => card.missing("holds_kn", "Holds it", Missing::UpperClamps.text()),
    }
    if let Some(tightening) = &job.setup.tightening
        && let Some(size) = tightening.size
    {
        let factor = format!(
            "friction factor {}{}",
            tightening.factor,
            if tightening.factor_assumed { ", a dry screw (value from memory)" } else { "" }
        );
        let screw = screw_words(size, units);
        match (tightening.torque, pull) {
            (Some(torque), _) => {
                let text = format!(
                    "{screw} to {}, {factor}",
                    units.show(torque.newton_metres(), Unit::Nm)
                );
                card.number_as("torque_nm", "Tightened", torque.newton_metres(), Unit::Nm, text);
            }
            (None, Some(pull)) => {
                // The screw of a strap clamp carries more than the die feels; at this torque the limit is
                // just about to count as near.
                let near = job.press.near_share(job.settings.near_share);
                let each = Force::from_kilonewtons(
                    pull / near / f64::from(tightening.count) / tightening.lever_share,
                );
                let torque = clamping::torque_for(each, size, tightening.factor);
                let text = format!(
                    "{screw} to {} or more, {factor}",
                    units.show(torque.newton_metres(), Unit::Nm)
                );
                card.number_as(
                    "torque_nm",
                    "To be tightened",
                    torque.newton_metres(),
                    Unit::Nm,
                    text,
                );
                card.say(format!(
                    "At that torque each screw pulls with {}: its class, its nut and the slot have to bear it; else more clamps or thicker screws.",
                    kn(each)
                ));
            }
            (None, None) => {}
        }
        if tightening.lever_assumed {
            card.say("All of the screw's force is taken to press on the die. Under a strap clamp it is less: enter the part, screw to heel block over die to heel block.");
        }
    }
    card.say("Snap-through tires the screws stroke by stroke: look at them during the run.");
    card
}

/// `M16`; a size that is no whole millimetre, of inch screws say, as a length.
fn screw_words(size: Length, units: UnitSystem) -> String {
    let mm = size.millimetres();
    if (mm - mm.round()).abs() < 1e-9 {
        format!("M{mm:.0}")
    } else {
        format!("screws of {}", fine_length(size, units))
    }
}

/// Safety blocks and lifting.
pub fn weights_card(job: &Job, units: UnitSystem) -> Card {
    let mut card = Card::new("weights", "Safety blocks and lifting");
    match (job.press.slide_mass, job.die.upper_mass) {
        (Some(slide), Some(upper)) => {
            let load = setting::block_load(slide, upper);
            let text = format!(
                "{}: slide and upper die, {}",
                units.show(load.kilonewtons(), Unit::Kn),
                units.show((slide + upper).kilograms(), Unit::Kg)
            );
            card.number_as(
                "block_load_kn",
                "A safety block bears",
                load.kilonewtons(),
                Unit::Kn,
                text,
            );
        }
        (None, _) => {
            card.missing("block_load_kn", "A safety block bears", Missing::SlideMass.text())
        }
        (_, None) => {
            card.missing("block_load_kn", "A safety block bears", Missing::UpperMass.text())
        }
    }
    match (job.die_mass, job.setup.lifting_limit) {
        (Some(mass), Some(limit)) => {
            let with = match job.setup.lifting_gear.as_str() {
                "" => String::new(),
                gear => format!(", {gear}"),
            };
            let text = format!(
                "{} of {}{with}",
                units.show(mass.kilograms(), Unit::Kg),
                units.show(limit.kilograms(), Unit::Kg)
            );
            card.number_as("lifting_kg", "Lifting", mass.kilograms(), Unit::Kg, text);
            card.stands(State::of_share(mass / limit, 1.0));
            if mass > limit {
                card.say("The die is heavier than what lifts it may carry: take other gear, or take the die apart.");
            }
        }
        (None, _) => card.missing("lifting_kg", "Lifting", WHOLE_MASS),
        (Some(_), None) => card.missing(
            "lifting_kg",
            "Lifting",
            "what the shop's own gear lifts not entered (its plate)",
        ),
    }
    card.say("Blocks stand centred, interlocked and rated for this; count them in and out. Blocks left in a press have been thrown out and killed (NIOSH FACE 16NY064).");
    if let Some(slide) = job.press.slide_mass
        && job.die.upper_mass.is_none()
    {
        card.say(format!("The slide alone weighs {}.", units.show(slide.kilograms(), Unit::Kg)));
    }
    card
}
