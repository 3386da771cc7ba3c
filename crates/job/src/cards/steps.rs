//! The steps of a set-up in the order in which a setter meets them, each with the fields that its card is
//! made of, so that a page can ask for them beside it.

use super::{
    Card, after_trip_card, counterbalance_card, first_strokes_card, holding_card, last_good_card,
    missing_card, need_card, shut_height_card, signing_card, slugs_card, weights_card,
};
use crate::{Job, units::UnitSystem};
use evenstroke_language::marked;
use press_load::{Check, Missing, State, slugs};

/// A field by the object of the job file that holds it and its key there.
pub type FieldPlace = (&'static str, &'static str);

/// One step.
#[derive(Clone, Copy, Debug)]
pub struct Step {
    /// The id of its card.
    pub id: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// The fields that its card is made of.
    pub fields: &'static [FieldPlace],
}

/// All steps.
pub const STEPS: [Step; 12] = [
    Step { id: "last_good", title: marked("Last good set-up"), fields: &[] },
    Step {
        id: "need",
        title: marked("What the die needs"),
        fields: &[
            ("die", "width_mm"),
            ("die", "depth_mm"),
            ("die", "shut_height_mm"),
            ("die", "opening_needed_mm"),
            ("die", "upper_mass_kg"),
            ("die", "mass_kg"),
        ],
    },
    Step { id: "missing", title: marked("What is missing"), fields: &[] },
    Step {
        id: "shut_height",
        title: marked("Shut height"),
        fields: &[
            ("die", "shut_height_mm"),
            ("die", "shut_height_measured_on"),
            ("die", "shut_height_measured_by"),
            ("die", "parallels_mm"),
            ("setup", "press_opening_mm"),
            ("setup", "approach_mm"),
            ("die", "grind_allowance_mm"),
            ("die", "height_setting"),
            ("press", "shut_height_mm"),
            ("press", "shut_height_adjustment_mm"),
            ("press", "stiffness_kn_per_mm"),
            ("press", "stiffness_readings"),
        ],
    },
    Step {
        id: "counterbalance",
        title: marked("Counterbalance"),
        fields: &[("die", "upper_mass_kg"), ("press", "counterbalance")],
    },
    Step {
        id: "holding",
        title: marked("Holding of the upper die"),
        fields: &[("die", "upper_mass_kg"), ("die", "upper_clamps")],
    },
    Step {
        id: "weights",
        title: marked("Safety blocks and lifting"),
        fields: &[
            ("die", "upper_mass_kg"),
            ("die", "mass_kg"),
            ("press", "slide_mass_kg"),
            ("setup", "lifting_limit_kg"),
            ("setup", "lifting_gear"),
        ],
    },
    Step {
        id: "slugs",
        title: marked("Slugs"),
        fields: &[("setup", "slugs_cleared_by"), ("setup", "slugs_cleared_every")],
    },
    Step {
        id: "first_strokes",
        title: marked("First strokes"),
        fields: &[("die", "strip"), ("press", "speed_spm")],
    },
    Step { id: "signing", title: marked("Sign and record"), fields: &[] },
    Step {
        id: "after_trip",
        title: marked("After a trip"),
        fields: &[
            ("trip", "angle_deg"),
            ("trip", "height_mm"),
            ("trip", "date"),
            ("trip", "time"),
            ("trip", "remark"),
        ],
    },
    Step { id: "photos", title: marked("Photos"), fields: &[] },
];

/// The card of a step, where it has one for this job.
pub fn card_of(step: &str, job: &Job, check: &Check, units: UnitSystem) -> Option<Card> {
    Some(match step {
        "last_good" => return last_good_card(job, units),
        "need" => need_card(job, units),
        "missing" => missing_card(job, check, units),
        "shut_height" => shut_height_card(job, check, units),
        "counterbalance" => counterbalance_card(job, units),
        "holding" => holding_card(job, check, units),
        "weights" => weights_card(job, units),
        "slugs" => return slugs_card(job, units),
        "first_strokes" => first_strokes_card(job, check, units),
        "signing" => signing_card(job),
        "after_trip" => return after_trip_card(job, check, units),
        _ => return None,
    })
}

/// Stations that drop slugs, by their place in the job: each has a free height of its own to be measured.
pub fn stations_with_slugs(job: &Job) -> Vec<usize> {
    let dropping = |index: &usize| slugs::station_drops_slugs(&job.stations[*index]);
    (0..job.stations.len()).filter(dropping).collect()
}

/// The fields to be entered so that every limit is checked, those that a verdict needs first.
pub fn missing_fields(check: &Check) -> Vec<FieldPlace> {
    let mut open: Vec<_> =
        check.limits.iter().filter(|limit| limit.state == State::NotChecked).collect();
    open.sort_by_key(|limit| !limit.id.is_essential());
    let mut places = Vec::new();
    for missing in open.into_iter().filter_map(|limit| limit.outcome.err()) {
        places.extend(place_of(missing).filter(|place| !places.contains(place)));
    }
    places
}

/// Where a datum is entered.
const fn place_of(missing: Missing) -> Option<FieldPlace> {
    Some(match missing {
        Missing::RatedForce => ("press", "rated_force_kn"),
        Missing::Stroke
        | Missing::RatingHeight
        | Missing::ConnectingRod
        | Missing::CapacityAboveTable
        | Missing::Kinematics => ("press", "drive"),
        Missing::UsableEnergy => ("press", "energy"),
        Missing::Speed => ("press", "speed_spm"),
        Missing::MotorPower => ("press", "motor_kw"),
        Missing::OffCentreX | Missing::OffCentreY => ("press", "off_centre"),
        Missing::Suspension | Missing::Rest => ("press", "suspension"),
        Missing::BolsterSize => ("press", "bolster"),
        Missing::SlideSize => ("press", "slide"),
        Missing::PressShutHeight => ("press", "shut_height_mm"),
        Missing::ShutHeightAdjustment => ("press", "shut_height_adjustment_mm"),
        Missing::Stiffness | Missing::VibrationTooFast => ("press", "stiffness_kn_per_mm"),
        Missing::SlideMass => ("press", "slide_mass_kg"),
        Missing::TiltStiffnessX | Missing::TiltStiffnessY | Missing::FrameTilt => {
            ("press", "level")
        }
        Missing::DieSize => ("die", "width_mm"),
        Missing::DieShutHeight => ("die", "shut_height_mm"),
        Missing::OpeningNeeded => ("die", "opening_needed_mm"),
        Missing::GuideEngagement => ("die", "guide_engagement_mm"),
        Missing::UpperMass => ("die", "upper_mass_kg"),
        Missing::UpperClamps => ("die", "upper_clamps"),
        Missing::SpringStripper | Missing::CuttingStation => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        demo::DEMOS,
        spec::{JOB, Shape},
    };

    fn is_field((section, key): FieldPlace) -> bool {
        let section = JOB.fields.iter().find(|field| field.key == section);
        match section.map(|field| &field.shape) {
            Some(Shape::Object(spec)) => spec.fields.iter().any(|field| field.key == key),
            _ => false,
        }
    }

    fn bare() -> Job {
        Job::read(
            r#"{"format": "evenstroke-job", "version": 1,
            "press": {"drive": {"kind": "crank", "stroke_mm": 100}},
            "stock": {"thickness_mm": 2, "tensile_mpa": 300}, "die": {"kind": "single"},
            "stations": [{"name": "Pierce", "x_mm": 0, "y_mm": 0, "work": [
              {"op": "cut", "kind": "pierce", "outline": {"circle": {"diameter_mm": 20}}, "entry_mm": 4}]}]}"#,
        )
        .expect("a job that says hardly anything")
    }

    #[test]
    fn every_field_of_a_step_is_one_of_the_job_file() {
        for step in STEPS {
            for place in step.fields {
                assert!(is_field(*place), "{}: {place:?}", step.id);
            }
        }
        let job = bare();
        let places = missing_fields(&job.check());
        assert!(places.len() > 10 && places.iter().all(|place| is_field(*place)), "{places:?}");
        // A verdict needs the rated force first.
        assert_eq!(places[0], ("press", "rated_force_kn"));
    }

    #[test]
    fn every_card_of_a_set_up_belongs_to_a_step() {
        let job = Job::read(DEMOS[0].text).expect("a demo");
        let check = job.check();
        for card in super::super::setup_cards(&job, &check, UnitSystem::Metric) {
            assert!(STEPS.iter().any(|step| step.id == card.id), "{}", card.id);
            assert_eq!(card_of(card.id, &job, &check, UnitSystem::Metric), Some(card));
        }
        for step in STEPS {
            let card = card_of(step.id, &job, &check, UnitSystem::Metric);
            assert!(card.is_none_or(|card| card.id == step.id), "{}", step.id);
        }
    }

    #[test]
    fn nothing_is_asked_where_nothing_is_missing() {
        let job = Job::read(DEMOS[0].text).expect("a demo");
        let check = job.check();
        let open = check.limits.iter().filter(|limit| limit.state == State::NotChecked);
        let open: Vec<_> = open.filter_map(|limit| limit.outcome.err()).collect();
        assert_eq!(missing_fields(&check).is_empty(), open.iter().all(|m| place_of(*m).is_none()));
        assert_eq!(stations_with_slugs(&job), [0, 1], "pierce and notch drop their slugs");
    }
}
