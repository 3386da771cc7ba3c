//! The shut-height worksheet.

use super::Card;
use crate::{Job, setup::HeightSetting, spec::Unit, units::UnitSystem, words::fine_length};
use evenstroke_language::{say, tr};
use press_load::{
    Check, Length, Line, Missing,
    setting::{ShutHeightSetting, default_approach, force_of_too_deep},
};

/// The worksheet of a checked job.
pub fn shut_height_card(job: &Job, check: &Check, units: UnitSystem) -> Card {
    let mut card = Card::new("shut_height", tr("Shut height"));
    let setup = &job.setup;
    let mm = |length: Length| units.show(length.millimetres(), Unit::Mm);
    let fine = |length: Length| fine_length(length, units);
    let shown = |card: &mut Card, key, label: &str, length: Length| {
        card.number_as(key, label, length.millimetres(), Unit::Mm, fine(length));
    };
    let Some(closed) = job.die.shut_height else {
        card.missing(
            "closed_mm",
            tr("Closed height of the die"),
            tr(Missing::DieShutHeight.text()),
        );
        card.say(tr("Measure the closed die with a tape before anything else; a card is out of date after every grind."));
        return card;
    };
    let day = setup.measured_on.map(|day| say!(", measured {}", day));
    let by = Some(&setup.measured_by).filter(|by| !by.is_empty()).map(|by| say!(" by {}", by));
    let text = match (&day, &by) {
        (None, None) => say!("{}; who measured it when is not entered", fine(closed)),
        _ => format!(
            "{}{}{}",
            fine(closed),
            day.as_deref().unwrap_or(tr(", measured")),
            by.unwrap_or_default()
        ),
    };
    card.number_as(
        "closed_mm",
        tr("Closed height of the die"),
        closed.millimetres(),
        Unit::Mm,
        text,
    );
    // What was ground after the height was measured is not in it.
    let since = setup.measured_on.map_or_else(Vec::new, |day| {
        setup.record.grinds.iter().filter(|grind| grind.0 > day).map(|grind| grind.1).collect()
    });
    let ground: Length = since.iter().flatten().copied().sum();
    if since.iter().any(Option::is_none) {
        card.say(tr("The record has a grind since that day, and not how much it took off: measure again before setting."));
    } else if ground > Length::ZERO {
        card.say(say!(
            "The record has {} ground off since that day: measure again before setting.",
            fine(ground)
        ));
    }
    let parallels = setup.parallels.unwrap_or_default();
    match setup.parallels {
        Some(parallels) => shown(&mut card, "parallels_mm", tr("Parallels below it"), parallels),
        None => card.text(
            "parallels_mm",
            tr("Parallels below it"),
            tr("none entered: taken as standing on the bolster"),
        ),
    }
    let thickness = Length::from_metres(job.stock.thickness_m.high());
    let above = setup.approach.unwrap_or_else(|| default_approach(thickness));
    let stretch = check.stretch.map(|stretch| stretch.at_bdc);
    let setting = ShutHeightSetting::new(closed, parallels, stretch, above);
    match stretch {
        Some(stretch) => {
            shown(&mut card, "stretch_mm", tr("Press opens under the load at BDC"), stretch)
        }
        None => card.missing(
            "stretch_mm",
            tr("Press opens under the load at BDC"),
            tr(Missing::Stiffness.text()),
        ),
    }
    let approach = say!(
        "{}, {} above the closed die{}",
        fine(setting.approach),
        fine(above),
        if setup.approach.is_some() {
            ""
        } else {
            tr(" (one thickness and 1 mm for the tape; common practice)")
        }
    );
    card.number_as(
        "approach_mm",
        tr("Begin at"),
        setting.approach.millimetres(),
        Unit::Mm,
        approach,
    );
    shown(&mut card, "target_mm", tr("Then down to"), setting.target);
    match (setup.press_opening, job.press.shut_height) {
        (Some(opening), _) => {
            let move_by = setting.approach - opening;
            let way = if move_by >= Length::ZERO { tr("raise") } else { tr("lower") };
            let text =
                say!("{} now: {} the slide by {} first", fine(opening), way, fine(move_by.abs()));
            card.number_as(
                "press_opening_mm",
                tr("Press opens at BDC"),
                opening.millimetres(),
                Unit::Mm,
                text,
            );
            if opening < setting.stack {
                card.say(tr("As it is set now the press opens less than the closed die stands high: it would jam on bottom. Raise the slide before the die goes in."));
            }
        }
        (None, _) => card.missing(
            "press_opening_mm",
            tr("Press opens at BDC"),
            tr("not entered: inch to the bottom empty and measure bolster to slide (tape measure)"),
        ),
    }
    window(job, &setting, &mut card, units);
    match job.press.stiffness {
        Some(stiffness) => {
            let gain = force_of_too_deep(stiffness, Length::from_millimetres(0.1));
            card.number(
                "gain_kn",
                tr("0.1 mm too deep costs"),
                gain.kilonewtons(),
                Unit::Kn,
                units,
            );
        }
        None => card.missing("gain_kn", tr("0.1 mm too deep costs"), tr(Missing::Stiffness.text())),
    }
    match setup.height_setting {
        Some(HeightSetting::One) => card.text("setting", tr("Setting"), tr("one for every coil")),
        Some(HeightSetting::ByThickness) => {
            let nominal = Length::from_metres(job.stock.thickness_m.on(Line::Nominal));
            let shift = |metres: f64| setting.target + Length::from_metres(metres) - nominal;
            let (low, high) = (shift(job.stock.thickness_m.low()), shift(job.stock.thickness_m.high()));
            let mut text = say!("by the thickness: {} for the thinnest to {} for the thickest stock of the job", fine(low), fine(high));
            if let Some(coil) = job.coil.as_ref().and_then(|coil| coil.thickness_m) {
                text += &say!("; {} for this coil", fine(shift(coil)));
            }
            card.text("setting", tr("Setting"), text);
        }
        None => card.missing(
            "setting",
            tr("Setting"),
            tr("one, or by the thickness? Not entered. A die whose pad closes on the part has no single setting (P. Ulintz, MetalForming, 31 Mar 2022)"),
        ),
    }
    card.say(say!("Come down from {} in small steps with the die empty; never from below. Stop blocks do not bear a setting that is too deep.", mm(setting.approach)));
    card
}

/// The press's window, now and when all that may be ground is gone. A die that stands too high is told also
/// where only the greatest shut height is known.
fn window(job: &Job, setting: &ShutHeightSetting, card: &mut Card, units: UnitSystem) {
    let mm = |length: Length| units.show(length.millimetres(), Unit::Mm);
    let Some(highest) = job.press.shut_height else {
        card.missing("window_mm", tr("Press can be set"), tr(Missing::PressShutHeight.text()));
        return;
    };
    if setting.stack > highest {
        card.say(say!("The closed die stands {} higher than the press opens at BDC: it does not go into this press as it stands, and would jam on bottom.", mm(setting.stack - highest)));
    } else if setting.approach > highest {
        card.say(say!("The press does not open as far as the first approach: it begins {} above the closed die at most.", mm(highest - setting.stack)));
    }
    let Some(adjustment) = job.press.shut_height_adjustment else {
        card.missing("window_mm", tr("Press can be set"), tr(Missing::ShutHeightAdjustment.text()));
        return;
    };
    let lowest = highest - adjustment;
    card.text("window_mm", tr("Press can be set"), say!("from {} to {}", mm(lowest), mm(highest)));
    if setting.target < lowest {
        card.say(say!(
            "The press does not come down to the closed die: {} more of parallels.",
            mm(lowest - setting.target)
        ));
    }
    match job.setup.grind_allowance {
        Some(allowance) => {
            let last = setting.target - allowance;
            let text = if last < lowest {
                say!(
                    "{} may go; then the press needs {} more of parallels",
                    mm(allowance),
                    mm(lowest - last)
                )
            } else {
                say!("{} may go; the press still reaches the die then", mm(allowance))
            };
            card.number_as(
                "grind_allowance_mm",
                tr("Grinding"),
                allowance.millimetres(),
                Unit::Mm,
                text,
            );
        }
        None => card.missing(
            "grind_allowance_mm",
            tr("Grinding"),
            tr("what may still be ground off not entered (die drawing)"),
        ),
    }
}
