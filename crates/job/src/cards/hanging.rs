//! What hangs on the slide: counterbalance, holding of the upper die, safety blocks; and lifting.

use super::{Card, need::whole_mass};
use crate::{
    Job,
    spec::Unit,
    units::{KSI_MPA, UnitSystem},
    words::fine_length,
};
use evenstroke_language::{number, say, tr};
use press_load::{Check, Force, Length, LimitId, Mass, Missing, State, Stress, clamping, setting};

/// The air of the counterbalance.
pub fn counterbalance_card(job: &Job, units: UnitSystem) -> Card {
    let mut card = Card::new("counterbalance", tr("Counterbalance"));
    let kg = |mass: Mass| units.show(mass.kilograms(), Unit::Kg);
    let Some(counterbalance) = &job.setup.counterbalance else {
        card.missing("pressure_mpa", tr("Air pressure"), tr("the press's table of pressure over weight not entered (plate at the counterbalance, or press manual)"));
        return card;
    };
    let Some(upper) = job.die.upper_mass else {
        card.missing("pressure_mpa", tr("Air pressure"), tr(Missing::UpperMass.text()));
        return card;
    };
    let mass = upper + counterbalance.attachments.unwrap_or_default();
    let others = counterbalance.attachments.map_or_else(
        || tr("other attachments not entered, taken as none").to_owned(),
        |others| say!("other attachments {}", kg(others)),
    );
    let text = say!("{}: upper die {}, {}", kg(mass), kg(upper), others);
    card.number_as("mass_kg", tr("On the slide"), mass.kilograms(), Unit::Kg, text);
    match counterbalance.table.pressure_for(mass) {
        Some(pressure) => {
            let text = air_words(pressure, units);
            card.number_as(
                "pressure_mpa",
                tr("Air pressure"),
                pressure.megapascals(),
                Unit::Mpa,
                text,
            );
        }
        None => {
            let (lightest, heaviest) = counterbalance.table.span();
            card.missing(
                "pressure_mpa",
                tr("Air pressure"),
                say!(
                    "outside the press's table, which goes from {} to {}: ask the press builder",
                    kg(lightest),
                    kg(heaviest)
                ),
            );
        }
    }
    card.say(tr("Set at the table's figure or slightly above (D. A. Smith, MetalForming, Jul 2012): too low hammers the joints at every reversal, too high overloads the motor on the way down."));
    card
}

/// Air pressure as the gauges in shops read it, bar and psi.
pub(super) fn air_words(pressure: Stress, units: UnitSystem) -> String {
    let mpa = pressure.megapascals();
    match units {
        UnitSystem::UsCustomary => say!("{} psi", number(mpa / KSI_MPA * 1e3, 0)),
        UnitSystem::Metric | UnitSystem::MetricTonnes => {
            say!("{} MPa ({} bar)", number(mpa, 2), number(mpa * 10.0, 1))
        }
    }
}

/// What holds the upper die.
pub fn holding_card(job: &Job, check: &Check, units: UnitSystem) -> Card {
    let mut card = Card::new("holding", tr("Holding of the upper die"));
    let kn = |force: Force| units.show(force.kilonewtons(), Unit::Kn);
    let limit = check.limit(LimitId::UpperDieHold);
    let pull = limit.outcome.ok().map(|used| used.demand).or(limit.needs.map(|needs| needs.demand));
    match (pull, job.die.upper_mass) {
        (Some(pull), _) => {
            card.number("pull_kn", tr("Pulls on it"), pull, Unit::Kn, units);
        }
        (None, Some(mass)) => {
            let text = say!(
                "its weight, {}, and stripping; how it is jerked is not known: {}",
                kn(setting::weight(mass)),
                job.snap_through.err().map_or("", |missing| tr(missing.text()))
            );
            card.missing("pull_kn", tr("Pulls on it"), text);
        }
        (None, None) => card.missing("pull_kn", tr("Pulls on it"), tr(Missing::UpperMass.text())),
    }
    match job.die.upper_clamps {
        Some(clamps) => {
            let holds = clamps.force * f64::from(clamps.count);
            let text = match clamps.count {
                1 => say!("1 clamp, {}", kn(clamps.force)),
                count => say!("{} clamps, {} each, {} in all", count, kn(clamps.force), kn(holds)),
            };
            card.number_as("holds_kn", tr("Holds it"), holds.kilonewtons(), Unit::Kn, text);
            card.stands(limit.state);
        }
        None => card.missing("holds_kn", tr("Holds it"), tr(Missing::UpperClamps.text())),
    }
    if let Some(tightening) = &job.setup.tightening
        && let Some(size) = tightening.size
    {
        let factor = say!(
            "friction factor {}{}",
            tightening.factor,
            if tightening.factor_assumed { tr(", a dry screw (value from memory)") } else { "" }
        );
        let screw = screw_words(size, units);
        match (tightening.torque, pull) {
            (Some(torque), _) => {
                let text = say!(
                    "{} to {}, {}",
                    screw,
                    units.show(torque.newton_metres(), Unit::Nm),
                    factor
                );
                card.number_as(
                    "torque_nm",
                    tr("Tightened"),
                    torque.newton_metres(),
                    Unit::Nm,
                    text,
                );
            }
            (None, Some(pull)) => {
                // The screw of a strap clamp carries more than the die feels; at this torque the limit is
                // just about to count as near.
                let near = job.press.near_share(job.settings.near_share);
                let each = Force::from_kilonewtons(
                    pull / near / f64::from(tightening.count) / tightening.lever_share,
                );
                let torque = clamping::torque_for(each, size, tightening.factor);
                let text = say!(
                    "{} to {} or more, {}",
                    screw,
                    units.show(torque.newton_metres(), Unit::Nm),
                    factor
                );
                card.number_as(
                    "torque_nm",
                    tr("To be tightened"),
                    torque.newton_metres(),
                    Unit::Nm,
                    text,
                );
                card.say(say!("At that torque each screw pulls with {}: its class, its nut and the slot have to bear it; else more clamps or thicker screws.", kn(each)));
            }
            (None, None) => {}
        }
        if tightening.lever_assumed {
            card.say(tr("All of the screw's force is taken to press on the die. Under a strap clamp it is less: enter the part, screw to heel block over die to heel block."));
        }
    }
    card.say(tr("Snap-through tires the screws stroke by stroke: look at them during the run."));
    card
}

/// `M16`; a size that is no whole millimetre, of inch screws say, as a length.
fn screw_words(size: Length, units: UnitSystem) -> String {
    let mm = size.millimetres();
    if (mm - mm.round()).abs() < 1e-9 {
        format!("M{mm:.0}")
    } else {
        say!("screws of {}", fine_length(size, units))
    }
}

/// Safety blocks and lifting.
pub fn weights_card(job: &Job, units: UnitSystem) -> Card {
    let mut card = Card::new("weights", tr("Safety blocks and lifting"));
    match (job.press.slide_mass, job.die.upper_mass) {
        (Some(slide), Some(upper)) => {
            let load = setting::block_load(slide, upper);
            let text = say!(
                "{}: slide and upper die, {}",
                units.show(load.kilonewtons(), Unit::Kn),
                units.show((slide + upper).kilograms(), Unit::Kg)
            );
            card.number_as(
                "block_load_kn",
                tr("A safety block bears"),
                load.kilonewtons(),
                Unit::Kn,
                text,
            );
        }
        (None, _) => {
            card.missing("block_load_kn", tr("A safety block bears"), tr(Missing::SlideMass.text()))
        }
        (_, None) => {
            card.missing("block_load_kn", tr("A safety block bears"), tr(Missing::UpperMass.text()))
        }
    }
    match (job.die_mass, job.setup.lifting_limit) {
        (Some(mass), Some(limit)) => {
            let with = match job.setup.lifting_gear.as_str() {
                "" => String::new(),
                gear => format!(", {gear}"),
            };
            let text = say!(
                "{} of {}{}",
                units.show(mass.kilograms(), Unit::Kg),
                units.show(limit.kilograms(), Unit::Kg),
                with
            );
            card.number_as("lifting_kg", tr("Lifting"), mass.kilograms(), Unit::Kg, text);
            card.stands(State::of_share(mass / limit, 1.0));
            if mass > limit {
                card.say(tr("The die is heavier than what lifts it may carry: take other gear, or take the die apart."));
            }
        }
        (None, _) => card.missing("lifting_kg", tr("Lifting"), whole_mass()),
        (Some(_), None) => card.missing(
            "lifting_kg",
            tr("Lifting"),
            tr("what the shop's own gear lifts not entered (its plate)"),
        ),
    }
    card.say(tr("Blocks stand centred, interlocked and rated for this; count them in and out. Blocks left in a press have been thrown out and killed (NIOSH FACE 16NY064)."));
    if let Some(slide) = job.press.slide_mass
        && job.die.upper_mass.is_none()
    {
        card.say(say!("The slide alone weighs {}.", units.show(slide.kilograms(), Unit::Kg)));
    }
    card
}
