//! Every limit where it is within, near, over and not checked, and what the setter is told of it.
//!
//! Demand does not depend on the rating, so that a rating of demand over share gives just that share.

use crate::support::{value, with, without};
use evenstroke_job::{Job, demo::DEMOS, report::Report, units::UnitSystem, words};
use press_load::{LimitId, State};
use serde_json::{Value, json};

/// The progressive demo with little damping, so that the press springs back, and for the stripper with
/// one on springs.
fn base(id: LimitId) -> Value {
    let job = with(value(DEMOS[0].text), "/press/damping_percent", 5);
    if id != LimitId::StripperForce {
        return job;
    }
    let stripper = json!({
        "kind": "gas", "force_kn": STRIPPER_KN, "stroke_mm": 30, "force_rise": 1, "entry_mm": 20
    });
    with(job, "/stations/0/stripper", stripper)
}

const STRIPPER_KN: f64 = 30.0;

struct Judged {
    state: State,
    share: f64,
    demand: f64,
}

fn judge(job: &Value, id: LimitId) -> Judged {
    let job = Job::from_value(job).unwrap_or_else(|refused| panic!("{}: {refused}", id.key()));
    let limit = *job.check().limit(id);
    let (share, demand) = limit.outcome.map_or((f64::NAN, f64::NAN), |u| (u.share, u.demand));
    Judged { state: limit.state, share, demand }
}

/// The job in which the limit has this share.
fn job_with_share(id: LimitId, share: f64) -> Value {
    let demand = judge(&base(id), id).demand;
    let rating = demand / share;
    let at = |pointer: &str, rating: f64| with(base(id), pointer, rating);
    match id {
        LimitId::RatedForce | LimitId::ForceAtHeight => at("/press/rated_force_kn", rating),
        // Each of two points carries half of the rated force.
        LimitId::SuspensionLoad => at("/press/rated_force_kn", 2.0 * rating),
        // At 45 of the 60 strokes a minute at which the energy is given.
        LimitId::WorkingEnergy => at("/press/energy/usable_kj", rating / 0.75_f64.powi(2)),
        LimitId::MotorPower => at("/press/motor_kw", rating / 0.85),
        LimitId::OffCentreX => at("/press/off_centre/moment_x_knm", rating),
        LimitId::OffCentreY => at("/press/off_centre/moment_y_knm", rating),
        LimitId::ReverseLoad | LimitId::StrippingLoad => {
            at("/press/reverse_limit_percent", 100.0 * rating / 630.0)
        }
        LimitId::StripperForce => {
            let gives = judge(&base(id), id).demand / judge(&base(id), id).share;
            at("/stations/0/stripper/force_kn", STRIPPER_KN * rating / gives)
        }
        LimitId::ConcentratedLoad => {
            let row = json!([{"length_mm": 1, "force_kn": rating}]);
            with(base(id), "/press/die_length_table", row)
        }
        LimitId::UpperDieHold => at("/die/upper_clamps/force_kn", rating / 6.0),
        // The window is 320 to 420 mm; its middle is 370.
        LimitId::ShutHeight => at("/die/shut_height_mm", 370.0 + 50.0 * share),
        // The stroke is 120 mm.
        LimitId::Daylight => at("/die/opening_needed_mm", 120.0 * share),
        LimitId::GuideEngagement => at("/die/guide_engagement_mm", rating),
        LimitId::BolsterFit => at("/press/bolster/width_mm", 2.0 * rating),
        LimitId::SlideFit => at("/press/slide/width_mm", 2.0 * rating),
        LimitId::SlideTilt => {
            // Parallelism tilts the die besides; the lever is its closed height, 375 mm.
            let tipped = judge(&base(id), id);
            let clearance = tipped.demand / tipped.share;
            let more = share * clearance - tipped.demand;
            at("/press/level/parallelism_mm_per_m", more / 0.375)
        }
    }
}

/// What to take away so that the limit cannot be checked.
const fn needed_for(id: LimitId) -> &'static str {
    match id {
        LimitId::RatedForce
        | LimitId::ForceAtHeight
        | LimitId::ReverseLoad
        | LimitId::StrippingLoad => "/press/rated_force_kn",
        LimitId::SuspensionLoad => "/press/suspension",
        LimitId::WorkingEnergy => "/press/energy",
        LimitId::MotorPower => "/press/motor_kw",
        LimitId::OffCentreX => "/press/off_centre/moment_x_knm",
        LimitId::OffCentreY => "/press/off_centre/moment_y_knm",
        LimitId::StripperForce => "/stations/0/stripper",
        LimitId::ConcentratedLoad => "/die/width_mm",
        LimitId::UpperDieHold => "/die/upper_clamps",
        LimitId::ShutHeight | LimitId::SlideTilt => "/die/shut_height_mm",
        LimitId::Daylight => "/die/opening_needed_mm",
        LimitId::GuideEngagement => "/die/guide_engagement_mm",
        LimitId::BolsterFit => "/press/bolster",
        LimitId::SlideFit => "/press/slide",
    }
}

/// The settings of the demo let 0.8 count as near.
#[test]
fn every_limit_is_within_near_and_over_by_its_share() {
    for id in LimitId::ALL {
        for (share, state) in [
            (0.7, State::Within),
            (0.9, State::Near),
            (1.0 + 1e-6, State::Over),
            (1.5, State::Over),
        ] {
            let judged = judge(&job_with_share(id, share), id);
            assert_eq!(judged.state, state, "{} at {share}", id.key());
            assert!((judged.share - share).abs() < 1e-6, "{} {}", id.key(), judged.share);
        }
    }
}

#[test]
fn every_limit_without_its_rating_is_not_checked_and_never_a_pass() {
    for id in LimitId::ALL {
        let job = without(base(id), needed_for(id));
        assert_eq!(judge(&job, id).state, State::NotChecked, "{}", id.key());
        let job = Job::from_value(&job).expect("a job");
        let check = job.check();
        if id.is_essential() {
            assert_eq!(check.verdict, State::NotChecked, "{}", id.key());
        }
        let missing = check.limit(id).outcome.expect_err("it was not checked");
        let words = words::limit_words(&job, &check, check.limit(id), UnitSystem::Metric);
        assert!(words.starts_with(missing.text()), "{words}");
    }
}

/// What the press would have to give is what the limit would have compared.
#[test]
fn what_is_not_checked_tells_the_demand() {
    for id in LimitId::ALL {
        let whole = judge(&base(id), id);
        let job = Job::from_value(&without(base(id), needed_for(id))).expect("a job");
        let Some(needs) = job.check().limit(id).needs else {
            let silent = [
                // Without its suspension nothing says how the load is shared, without its size how
                // far the die reaches, without the springs what they would have to hold.
                LimitId::SuspensionLoad,
                LimitId::StripperForce,
                LimitId::SlideTilt,
                LimitId::Daylight,
                LimitId::ShutHeight,
            ];
            assert!(silent.contains(&id), "{} tells nothing", id.key());
            continue;
        };
        if id == LimitId::ForceAtHeight {
            // The largest force, and where: how the curve runs elsewhere is not known.
            assert!(needs.demand >= whole.demand && needs.at_height.is_some());
        } else {
            assert!(
                (needs.demand - whole.demand).abs() < 1e-9 * whole.demand,
                "{}: {} against {}",
                id.key(),
                needs.demand,
                whole.demand
            );
        }
    }
}

#[test]
fn every_limit_near_or_over_has_its_line_in_the_report_and_its_caution() {
    for id in LimitId::ALL {
        for (share, is_told) in [(0.7, false), (0.9, true), (1.2, true)] {
            let job = Job::from_value(&job_with_share(id, share)).expect("a job");
            let report: Value =
                serde_json::from_str(&Report::new(&job, &job.check()).to_json()).expect("JSON");
            let rows = report["limits"].as_array().expect("a list");
            let row = rows.iter().find(|row| row["id"] == id.key()).expect("its line");
            assert!((row["share"].as_f64().expect("a number") - share).abs() < 1e-6);
            let cautions = report["cautions"].as_array().expect("a list");
            let caution = cautions.iter().find(|caution| caution["id"] == id.key());
            assert_eq!(caution.is_some(), is_told, "{} at {share}", id.key());
            if let Some(caution) = caution {
                let text = caution["text"].as_str().expect("a text");
                assert!(text.starts_with(words::limit_label(id)), "{text}");
                assert!(text.len() > 60, "a setter wants to know what to do: {text}");
            }
        }
    }
}

/// What is said of the speeds does not contradict the limits.
#[test]
fn no_speed_is_named_where_the_energy_does_at_none() {
    let demo = value(DEMOS[0].text);
    let words = |job: &Value| {
        let job = Job::from_value(job).expect("a job");
        words::running_words(&job, &job.check(), UnitSystem::Metric).join(" ")
    };
    assert!(words(&demo).contains("runs from 30 to 60 strokes/min"));
    let weak = with(demo.clone(), "/press/energy/usable_kj", 0.3);
    assert!(words(&weak).contains("runs at no speed: the flywheel holds too little"));
    // Half of what one stroke takes at the fastest speed of the press.
    let slow = with(with(demo.clone(), "/press/fastest_spm", 31), "/press/energy/usable_kj", 0.7);
    assert!(words(&slow).contains("runs at no speed: where the flywheel holds enough"));
    let hydraulic = with(demo, "/press/drive", json!({"kind": "hydraulic", "stroke_mm": 120}));
    assert!(!words(&without(hydraulic, "/press/slowest_spm")).contains("enter the energy"));
}
