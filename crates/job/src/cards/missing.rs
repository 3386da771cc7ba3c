//! What is missing: what to fetch, where to look, what hangs on it; and what stands in for what is assumed.

use super::{Card, Table};
use crate::{Job, units::UnitSystem, words};
use evenstroke_language::{say, tr};
use press_load::{Check, LimitId, Missing, State};

/// Where a datum is found.
fn where_to_look(missing: Missing) -> &'static str {
    tr(match missing {
        Missing::RatedForce
        | Missing::Stroke
        | Missing::PressShutHeight
        | Missing::ShutHeightAdjustment => "press plate",
        Missing::RatingHeight => "press plate or manual",
        Missing::ConnectingRod
        | Missing::UsableEnergy
        | Missing::OffCentreX
        | Missing::OffCentreY
        | Missing::Suspension
        | Missing::SlideMass
        | Missing::Kinematics => "press manual, or its builder",
        Missing::CapacityAboveTable => "the press's own card",
        Missing::Speed => "order or die card",
        Missing::MotorPower => "motor plate",
        Missing::BolsterSize
        | Missing::SlideSize
        | Missing::DieSize
        | Missing::DieShutHeight
        | Missing::GuideEngagement => "tape measure",
        Missing::Stiffness => "press builder, or two readings at the press",
        Missing::VibrationTooFast | Missing::Rest => "what was entered: check it",
        Missing::OpeningNeeded => "die drawing: part height and lift",
        Missing::UpperMass => "stamp on the die, or a scale",
        Missing::UpperClamps => "at the press: number, size, torque",
        Missing::TiltStiffnessX | Missing::TiltStiffnessY => {
            "feeler gauge and tape measure, or press builder"
        }
        Missing::FrameTilt => "press builder, or dial indicators under load",
        Missing::SpringStripper | Missing::CuttingStation => "nothing to fetch",
    })
}

/// The card of a checked job.
pub fn missing_card(job: &Job, check: &Check, units: UnitSystem) -> Card {
    let mut card = Card::new("missing", tr("What is missing"));
    let mut gaps: Vec<(Missing, Vec<LimitId>, Vec<String>)> = Vec::new();
    for limit in &check.limits {
        let Err(missing) = limit.outcome else { continue };
        // What a die does not have is no gap.
        if matches!(missing, Missing::SpringStripper | Missing::CuttingStation) {
            continue;
        }
        let needs = words::needs_words(limit, units);
        match gaps.iter_mut().find(|gap| gap.0 == missing) {
            Some(gap) => {
                gap.1.push(limit.id);
                gap.2.extend(needs);
            }
            None => gaps.push((missing, vec![limit.id], needs.into_iter().collect())),
        }
    }
    // What a verdict cannot do without comes first.
    let essential =
        |gap: &(Missing, Vec<LimitId>, Vec<String>)| !gap.1.iter().any(|id| id.is_essential());
    gaps.sort_by_key(essential);
    let open = check
        .limits
        .iter()
        .filter(|limit| limit.state == State::NotChecked && limit.id.is_essential())
        .count();
    card.text("open", tr("Limits that a verdict needs and that are not checked"), open.to_string());
    let rows = gaps
        .into_iter()
        .map(|(missing, limits, needs)| {
            let limits: Vec<&str> = limits.into_iter().map(words::limit_label).collect();
            vec![
                tr(missing.text()).to_owned(),
                where_to_look(missing).to_owned(),
                limits.join(", "),
                needs.join("; "),
            ]
        })
        .collect();
    card.table = Some(Table {
        head: vec![tr("fetch"), tr("where"), tr("not checked without it"), tr("till then")],
        rows,
    });
    if !job.setup.has_press {
        card.say(tr("No press is chosen: nothing is checked against one."));
    }
    if job.material.is_empty() {
        card.say(tr(
            "The stock has no designation: its certificate says what it is, and its strength.",
        ));
    } else if job.coil.is_none() {
        card.say(tr("This coil's own strength and thickness are not entered: they stand on its certificate."));
    }
    for &assumption in &job.assumptions {
        card.say(say!("Assumed: {}", words::assumption_words(assumption).1));
    }
    card
}
