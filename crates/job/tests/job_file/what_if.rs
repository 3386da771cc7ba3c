//! Double metal, dull edges, missing punches and their like, by arithmetic on dies that cut with
//! flat punches and the handbook's constant force, `F = π·d·t·0.8·Rm`.

use crate::support::{assert_near, example, good_jobs, value, with, without};
use evenstroke_job::{
    Job,
    report::VariedReport,
    sensitivity::sensitivity,
    what_if::{
        Alarm, AlarmBand, Case, Outcome, Place, WhatIf, alarm_words, cases, next_grade, what_if,
    },
};
use press_load::{Force, LimitId, State};
use serde_json::{Value, json};
use std::f64::consts::PI;

/// Nominal force of a punch in kN: 2 mm, 0.8 · 340 MPa.
fn force(diameter_mm: f64) -> f64 {
    PI * diameter_mm * 2.0 * 0.8 * 340.0 / 1e3
}

fn punch(x_mm: f64, diameter_mm: f64, entry_mm: f64) -> Value {
    json!({"op": "cut", "kind": "pierce", "outline": {"circle": {"diameter_mm": diameter_mm}},
           "entry_mm": entry_mm, "x_mm": x_mm, "wear_factor": 1.2, "strip_factor": 0.1})
}

/// A die with these punches in one station, on two points 900 mm apart.
fn die_with(punches: Vec<Value>) -> Value {
    let stations = json!([{"name": "Pierce", "work": punches}]);
    with(with(example(), "/stations", stations), "/settings/cut_profile", "plateau")
}

fn run(job: &Value) -> WhatIf {
    let job = Job::from_value(job).unwrap_or_else(|refused| panic!("{refused}"));
    what_if(&job, &job.check())
}

#[track_caller]
fn outcome<'a>(found: &'a WhatIf, wanted: &dyn Fn(&Case) -> bool) -> &'a Outcome {
    found.outcomes.iter().find(|outcome| wanted(&outcome.case)).expect("the case")
}

/// The nominal peak in kN at a place.
#[track_caller]
fn now(outcome: &Outcome, place: Place) -> f64 {
    let reading = outcome.readings.iter().find(|reading| reading.place == place).expect("a place");
    reading.now.kilonewtons()
}

#[track_caller]
fn alarm(outcome: &Outcome, place: Place) -> Alarm {
    outcome.readings.iter().find(|reading| reading.place == place).expect("a place").alarm
}

const MISSING_FIRST: Case = Case::PunchMissing { station: 0, work: 0 };

#[test]
fn alarm_trips_beyond_its_band_and_not_on_it() {
    let band = AlarmBand { high: 0.15, low: 0.20, assumed: true };
    let kn = Force::from_kilonewtons;
    for (normal, now, expected) in [
        (100.0, 115.0, Alarm::Silent),
        (100.0, 115.01, Alarm::High),
        (100.0, 80.0, Alarm::Silent),
        (100.0, 79.99, Alarm::Low),
        (100.0, 100.0, Alarm::Silent),
        (100.0, 0.0, Alarm::Low),
        (0.0, 0.0, Alarm::Silent),
        (0.0, 1.0, Alarm::High),
    ] {
        assert_eq!(band.alarm(kn(normal), kn(now)), expected, "{normal} {now}");
    }
}

#[test]
fn double_metal_takes_twice_the_force_and_twice_the_work() {
    let found = run(&die_with(vec![punch(0.0, 30.0, 4.0)]));
    let double = outcome(&found, &|case| *case == Case::DoubleMetal { station: 0 });
    assert_near(found.normal.peaks[0].1.kilonewtons(), force(30.0), 1e-6);
    assert_near(now(double, Place::Total), 2.0 * force(30.0), 1e-6);
    // Each sheet over 0.4 of its own 2 mm.
    let work = 2.0 * force(30.0) * 0.4 * 2.0;
    assert_near(double.figures.energy.joules(), work, 1e-6);
    assert_eq!(alarm(double, Place::Total), Alarm::High);
}

#[test]
fn double_metal_is_met_one_thickness_earlier() {
    let job = Job::from_value(&die_with(vec![punch(0.0, 30.0, 4.0)])).expect("a job");
    let double = Case::DoubleMetal { station: 0 }.apply(&job).expect("it can be worked out");
    let touch = double.stations[0].work[0].work.entry();
    assert_near(touch.millimetres(), 6.0, 1e-9);
    // Both sheets are stripped.
    let pull = |job: &Job| job.check().stripping.kilonewtons();
    assert_near(pull(&double), 2.0 * pull(&job), 1e-9);
}

#[test]
fn double_metal_is_told_of_the_station_where_it_is_worst() {
    let stations = json!([
        {"name": "Small", "x_mm": -100, "work": [punch(0.0, 10.0, 4.0)]},
        {"name": "Large", "x_mm": 100, "work": [punch(0.0, 60.0, 4.0)]}]);
    let found = run(&with(die_with(vec![]), "/stations", stations));
    let double = outcome(&found, &|case| matches!(case, Case::DoubleMetal { .. }));
    assert_eq!(double.case, Case::DoubleMetal { station: 1 });
}

/// Dull edges: 30 % over sharp on the nominal line, 1.3 over the 1.2 of the job on the upper.
#[test]
fn dull_edges_show_on_both_lines() {
    let found = run(&die_with(vec![punch(0.0, 30.0, 4.0)]));
    let dull = outcome(&found, &|case| matches!(case, Case::DullEdges { .. }));
    assert_near(now(dull, Place::Total), 1.3 * force(30.0), 1e-6);
    let upper = found.normal.peak_upper.kilonewtons();
    assert_near(dull.figures.peak_upper.kilonewtons(), upper * 1.3 / 1.2, 1e-6);
    assert_eq!(alarm(dull, Place::Total), Alarm::High);
}

#[test]
fn thickest_coil_is_the_thick_end_of_the_tolerance() {
    let job = die_with(vec![punch(0.0, 30.0, 4.0)]);
    let found = run(&job);
    let thick = outcome(&found, &|case| *case == Case::ThickestCoil);
    assert_near(now(thick, Place::Total), force(30.0) * 2.1 / 2.0, 1e-6);
    // 5 % more is within every usual band.
    assert!(!thick.is_noticed());
    assert_eq!(alarm_words(thick), "the load alarm stays silent");
    // Stock without a tolerance has no thickest coil.
    let exact = with(job, "/stock/thickness_tolerance_mm", 0);
    assert!(!run(&exact).outcomes.iter().any(|outcome| outcome.case == Case::ThickestCoil));
}

#[test]
fn next_grade_up_is_the_next_stronger_of_its_group_or_a_quarter_more() {
    // EN 10130 DC04: 270 to 350, middle 310 MPa; the least stronger one is DC01 or its like.
    let (ratio, grade) = next_grade("EN 10130 DC04");
    assert!(grade.is_some() && (1.05..1.2).contains(&ratio), "{ratio} {grade:?}");
    assert_eq!(next_grade("Unheard-of steel"), (1.25, None));
    assert_eq!(next_grade(""), (1.25, None));
    let job = with(die_with(vec![punch(0.0, 30.0, 4.0)]), "/stock/material", "Unheard-of steel");
    let found = run(&job);
    let next = outcome(&found, &|case| matches!(case, Case::NextGradeUp { .. }));
    assert_near(now(next, Place::Total), 1.25 * force(30.0), 1e-6);
}

/// Two equal punches 200 mm left and right of the middle, points 900 mm apart: the left point carries
/// F·(½ + 200/900) + F·(½ − 200/900) = F with both, F·(½ − 200/900) with the right one alone.
#[test]
fn missing_punch_shows_per_point_by_the_lever() {
    let found = run(&die_with(vec![punch(-200.0, 30.0, 4.0), punch(200.0, 30.0, 4.0)]));
    let missing = outcome(&found, &|case| *case == MISSING_FIRST);
    let f = force(30.0);
    assert_near(now(missing, Place::Total), f, 1e-6);
    assert_near(now(missing, Place::Left), f * (0.5 - 200.0 / 900.0), 1e-6);
    assert_near(now(missing, Place::Right), f * (0.5 + 200.0 / 900.0), 1e-6);
    for (place, expected) in
        [(Place::Total, Alarm::Low), (Place::Left, Alarm::Low), (Place::Right, Alarm::Low)]
    {
        assert_eq!(alarm(missing, place), expected, "{place:?}");
    }
    assert_eq!(alarm_words(missing), "the load alarm trips: low total, low left, low right");
}

/// "A broken small punch changes the total by far less": 4 of 64 mm of diameter are 6 %.
#[test]
fn small_punch_that_breaks_is_not_noticed() {
    let found = run(&die_with(vec![punch(0.0, 4.0, 4.0), punch(0.0, 60.0, 4.0)]));
    let missing = outcome(&found, &|case| *case == MISSING_FIRST);
    assert_near(now(missing, Place::Total) / force(64.0), 60.0 / 64.0, 1e-9);
    assert!(!missing.is_noticed());
}

/// 15 of 64 mm are 23 %: beyond 20 %, within a band that the shop set wider.
#[test]
fn band_of_the_shop_decides_what_is_noticed() {
    let job = die_with(vec![punch(0.0, 15.0, 4.0), punch(0.0, 49.0, 4.0)]);
    let found = run(&job);
    assert!(found.band.assumed);
    assert!(outcome(&found, &|case| *case == MISSING_FIRST).is_noticed());
    let job = with(job, "/settings/alarm_low_percent", 25);
    let found = run(&with(job, "/settings/alarm_high_percent", 10));
    assert!(!found.band.assumed);
    assert_near(found.band.high, 0.10, 1e-12);
    assert!(!outcome(&found, &|case| *case == MISSING_FIRST).is_noticed());
}

/// A punch that cuts while no other does leaves the peak as it was, whatever its size.
#[test]
fn missing_punch_that_cuts_alone_does_not_change_the_peak() {
    let found = run(&die_with(vec![punch(0.0, 59.0, 9.0), punch(0.0, 60.0, 4.0)]));
    let missing = outcome(&found, &|case| *case == MISSING_FIRST);
    assert_near(now(missing, Place::Total), force(60.0), 1e-6);
    assert!(!missing.is_noticed());
}

/// The slug's punch alone takes twice its force, 2 mm earlier, where the other does not cut yet.
#[test]
fn slug_left_in_doubles_its_own_cut_one_thickness_earlier() {
    let found = run(&die_with(vec![punch(0.0, 30.0, 4.0), punch(0.0, 20.0, 4.0)]));
    let slug = outcome(&found, &|case| *case == Case::SlugLeftIn { station: 0, work: 0 });
    assert_near(now(slug, Place::Total), 2.0 * force(30.0), 1e-6);
    let work = (2.0 * force(30.0) + force(20.0)) * 0.4 * 2.0;
    assert_near(slug.figures.energy.joules(), work, 1e-6);
}

#[test]
fn slug_is_not_stripped_twice() {
    let job = Job::from_value(&die_with(vec![punch(0.0, 30.0, 4.0)])).expect("a job");
    let slug = Case::SlugLeftIn { station: 0, work: 0 }.apply(&job).expect("it can be worked out");
    assert_near(slug.check().stripping.kilonewtons(), job.check().stripping.kilonewtons(), 1e-9);
}

#[test]
fn only_what_frees_a_slug_leaves_one() {
    let job = Job::from_value(&example()).expect("a job");
    let (found, left_out) = cases(&job, &job.check());
    let slugs: Vec<usize> = found
        .iter()
        .filter(|case| matches!(case, Case::SlugLeftIn { .. }))
        .filter_map(Case::station)
        .collect();
    // The pierce; the notch and the cut-off are open.
    assert_eq!((slugs, left_out), (vec![0], 0));
    let missing = found.iter().filter(|case| matches!(case, Case::PunchMissing { .. })).count();
    assert_eq!(missing, 3);
}

/// Upper force of one punch, 65 · 1.2 · 2.1/2 · 410/340 = 98.5 kN of 150 kN: double is over, dull
/// (106.7 kN) is not.
#[test]
fn what_breaks_is_what_was_not_over_before() {
    let job = with(die_with(vec![punch(0.0, 38.0, 4.0)]), "/press/rated_force_kn", 150);
    let found = run(&job);
    let double = outcome(&found, &|case| matches!(case, Case::DoubleMetal { .. }));
    assert!(double.breaks.contains(&LimitId::RatedForce), "{:?}", double.breaks);
    assert_eq!(double.figures.verdict, State::Over);
    let dull = outcome(&found, &|case| matches!(case, Case::DullEdges { .. }));
    assert_eq!(dull.breaks, []);
    // In a press that is over already nothing new breaks on rated force.
    let found = run(&with(job, "/press/rated_force_kn", 50));
    for outcome in &found.outcomes {
        assert!(!outcome.breaks.contains(&LimitId::RatedForce), "{:?}", outcome.case);
    }
}

/// `½ ± x/span` left and right times `½ ± y/span` front and back: all of it is a half behind and a
/// half to the right, 9/16 at the back right corner.
#[test]
fn four_points_share_in_both_directions() {
    let job = die_with(vec![punch(225.0, 30.0, 4.0)]);
    let job = with(job, "/stations/0/y_mm", 125);
    let points = json!({"points": 4, "span_x_mm": 900, "span_y_mm": 500});
    let found = run(&with(job, "/press/suspension", points));
    let f = force(30.0);
    for (place, part) in [
        (Place::FrontLeft, 1.0 / 16.0),
        (Place::FrontRight, 3.0 / 16.0),
        (Place::BackLeft, 3.0 / 16.0),
        (Place::BackRight, 9.0 / 16.0),
    ] {
        let peak = found.normal.peaks.iter().find(|peak| peak.0 == place).expect("a point");
        assert_near(peak.1.kilonewtons(), part * f, 1e-6);
    }
}

#[test]
fn press_of_unknown_points_shows_its_total_alone() {
    let job = without(die_with(vec![punch(0.0, 30.0, 4.0)]), "/press/suspension");
    let found = run(&job);
    assert!(found.outcomes.iter().all(|outcome| outcome.readings.len() == 1));
}

#[test]
fn every_case_of_every_job_is_worked_out() {
    for (name, text) in good_jobs() {
        let job = Job::from_value(&value(text)).expect("a job");
        let check = job.check();
        let (cases, left_out) = cases(&job, &check);
        let found = what_if(&job, &check);
        assert_eq!(found.outcomes.len(), cases.len(), "{name}");
        assert_eq!((found.left_out, left_out), (0, 0));
        let places = found.normal.peaks.len();
        for outcome in &found.outcomes {
            assert_eq!(outcome.readings.len(), places, "{name}: {:?}", outcome.case);
            assert!(!outcome.case.label(&job).is_empty());
        }
        // Nothing that adds metal, strength or thickness asks less work.
        for outcome in &found.outcomes {
            let more = !matches!(outcome.case, Case::PunchMissing { .. } | Case::ThickestCoil);
            let energy = outcome.figures.energy.joules();
            assert!(
                !more || energy >= found.normal.energy.joules() * (1.0 - 1e-9),
                "{name}: {:?}",
                outcome.case
            );
        }
    }
}

#[test]
fn punches_beyond_counting_are_left_out_and_counted() {
    let punches = (0..70).map(|i| punch(f64::from(i), 4.0, 4.0)).collect();
    let found = run(&die_with(punches));
    assert_eq!(found.left_out, 20);
    let of = |kind: &dyn Fn(&Case) -> bool| {
        found.outcomes.iter().filter(|outcome| kind(&outcome.case)).count()
    };
    assert_eq!(of(&|case| matches!(case, Case::PunchMissing { .. })), 60);
    assert_eq!(of(&|case| matches!(case, Case::SlugLeftIn { .. })), 60);
}

#[test]
fn idle_die_has_little_to_fear() {
    let job = with(example(), "/stations", json!([{"name": "Idle", "work": []}]));
    let found = run(&job);
    let names: Vec<&str> = found.outcomes.iter().map(|outcome| outcome.case.key()).collect();
    assert_eq!(names, ["next_grade_up", "thickest_coil"]);
    assert!(found.outcomes.iter().all(|outcome| !outcome.is_noticed()));
}

/// Numbers at the ends of what the reader lets through neither panic nor leave a number out.
#[test]
fn numbers_at_the_ends_of_their_ranges_give_finite_answers() {
    let stations = json!([
        {"name": "Pierce", "work": [punch(0.0, 30.0, 4.0)],
         "stripper": {"kind": "coil", "preload_kn": 3, "rate_kn_per_mm": 0.2, "entry_mm": 8}},
        {"name": "Form", "work": [
            {"op": "bend", "kind": "wipe", "length_mm": 80, "punch_radius_mm": 3, "die_radius_mm": 4, "entry_mm": 9, "pad_kn": 4},
            {"op": "squeeze", "kind": "coin", "area_mm2": 100, "pressure_mpa": 900, "entry_mm": 0.5},
            {"op": "table", "points": [{"height_mm": 9, "force_kn": 0}, {"height_mm": 0, "force_kn": 20}]}]}]);
    let job = with(example(), "/stations", stations);
    let job = with(job, "/settings/alarm_high_percent", 10);
    let mut worked = 0;
    for (pointer, ends) in [
        ("/stock/thickness_mm", [0.001, 100.0]),
        ("/stock/tensile_mpa", [1e-6, 10_000.0]),
        ("/stock/thickness_tolerance_mm", [0.0, 1.9]),
        ("/stations/0/work/0/entry_mm", [1e-6, 200.0]),
        ("/stations/0/work/0/wear_factor", [1.0, 3.0]),
        ("/stations/0/stripper/preload_kn", [0.0, 1e6]),
        ("/stations/1/work/1/area_mm2", [1e-6, 1e8]),
        ("/stations/1/work/1/entry_mm", [1e-6, 200.0]),
        ("/stations/1/work/2/points/0/height_mm", [1e-3, 200.0]),
        ("/press/stiffness_kn_per_mm", [1e-6, 1e6]),
        ("/press/slide_mass_kg", [1e-6, 1e6]),
        ("/press/rated_force_kn", [1e-6, 1e6]),
        ("/press/suspension/span_x_mm", [1e-6, 1e5]),
        ("/die/placement/x_mm", [-1e5, 1e5]),
        ("/settings/alarm_high_percent", [1e-6, 1_000.0]),
    ] {
        for end in ends {
            let Ok(job) = Job::from_value(&with(job.clone(), pointer, end)) else { continue };
            let check = job.check();
            let (movers, what_if) = (sensitivity(&job, &check), what_if(&job, &check));
            let text = VariedReport::new(&job, &check, &movers, &what_if).to_json();
            let report = value(&text);
            for limit in report["sensitivity"].as_array().expect("a list") {
                for input in limit["inputs"].as_array().expect("a list") {
                    assert!(input["share_at_low"].is_number(), "{pointer} {end}: {input}");
                    assert!(input["share_at_high"].is_number(), "{pointer} {end}: {input}");
                }
            }
            for case in report["what_if"]["cases"].as_array().expect("a list") {
                assert!(case["peak_kn"].is_number() && case["energy_j"].is_number(), "{case}");
                for reading in case["readings"].as_array().expect("a list") {
                    assert!(reading["now_kn"].is_number(), "{pointer} {end}: {reading}");
                }
            }
            worked += 1;
        }
    }
    assert!(worked >= 24, "{worked} jobs");
}
