//! This coil beside the range of the job.

use crate::support::{
    assert_near, example, good_jobs, limit, number, object, refusals, report, value, with, without,
};
use evenstroke_job::Job;
use serde_json::{Value, json};
use std::f64::consts::PI;

/// One flat punch of 30 mm, edges dull by a fifth, by the handbook's constant force.
fn one_punch() -> Value {
    let stations = json!([{"name": "Pierce", "work": [
        {"op": "cut", "kind": "pierce", "outline": {"circle": {"diameter_mm": 30}}, "entry_mm": 4,
         "wear_factor": 1.2}]}]);
    with(with(example(), "/stations", stations), "/settings/cut_profile", "plateau")
}

fn with_coil(job: Value, coil: Value) -> Value {
    with(job, "/coil", coil)
}

/// `F = π·d·t·0.8·Rm·w` (P. C. Sharma, *A Textbook of Production Engineering*, ch. 2, for sharp
/// edges), worked out by hand: π · 30 mm · 2.05 mm · 0.8 · 350 MPa · 1.2 = 64.92 kN.
#[test]
fn coil_is_worked_out_with_its_own_numbers_and_worn_edges() {
    let coil = json!({"thickness_mm": 2.05, "tensile_mpa": 350, "certificate": "4711"});
    let report = report(&with_coil(one_punch(), coil));
    let row = &report["coil"];
    let by_hand = PI * 30.0 * 2.05 * 0.8 * 350.0 * 1.2 / 1e3;
    assert_near(number(&row["peak"]["force_kn"]), by_hand, 1e-6);
    // The handbook's work: force times penetration, 0.4 of thickness.
    assert_near(number(&row["energy_j"]), by_hand * 0.4 * 2.05, 1e-6);
    assert_eq!(row["certificate"], "4711");
    assert_eq!(row["verdict"], "within");
    let worst = &row["worst"];
    assert_eq!(worst["state"], "within");
    assert!(limit(&report, worst["limit"].as_str().expect("an id")).is_object());
}

#[test]
fn coil_in_the_middle_of_every_range_is_the_nominal_line() {
    // Sharp edges, and no clearance that would raise the upper line.
    let job = without(one_punch(), "/stations/0/work/0/wear_factor");
    let report = report(&with_coil(job, json!({"tensile_mpa": 340, "thickness_mm": 2})));
    let [coil, nominal] = [&report["coil"], &report].map(|part| number(&part["peak"]["force_kn"]));
    assert_near(coil, nominal, 1e-9 * nominal);
}

#[test]
fn limits_are_judged_on_the_jobs_range_whatever_the_coil() {
    for (name, text) in good_jobs() {
        let mut job = value(text);
        job.as_object_mut().expect("a job").shift_remove("coil");
        let without_coil = report(&job);
        let coil = json!({"tensile_mpa": 900, "yield_mpa": 600, "thickness_mm": 1.1});
        let mut with_coil = report(&with_coil(job, coil));
        assert!(object(&with_coil["coil"]).len() >= 9, "{name}");
        object(&without_coil);
        for key in ["coil", "cautions"] {
            with_coil.as_object_mut().expect("a report").shift_remove(key);
        }
        let mut same = without_coil.clone();
        same.as_object_mut().expect("a report").shift_remove("cautions");
        assert_eq!(with_coil, same, "{name}");
    }
}

#[test]
fn stronger_or_thicker_coil_asks_more() {
    let peak = |tensile: f64, thickness: f64| {
        let coil = json!({"tensile_mpa": tensile, "thickness_mm": thickness});
        number(&report(&with_coil(example(), coil))["coil"]["peak"]["force_kn"])
    };
    assert!(peak(300.0, 2.0) < peak(301.0, 2.0) && peak(300.0, 2.0) < peak(300.0, 2.01));
}

/// The whole die cuts, so that its force goes with strength in proportion.
#[test]
fn force_of_a_cutting_coil_is_proportional_to_its_strength() {
    let peak = |tensile: f64| {
        number(
            &report(&with_coil(one_punch(), json!({"tensile_mpa": tensile})))["coil"]["peak"]["force_kn"],
        )
    };
    assert_near(peak(400.0) / peak(300.0), 4.0 / 3.0, 1e-9);
}

/// A station whose stock was worked before keeps its proportion to the job's.
#[test]
fn station_with_stock_of_its_own_goes_with_the_coil() {
    let job =
        with(one_punch(), "/stations/0/stock", json!({"tensile_mpa": 510, "thickness_mm": 1}));
    let row = &report(&with_coil(job, json!({"tensile_mpa": 380, "thickness_mm": 2.2})))["coil"];
    let by_hand = PI * 30.0 * (1.0 * 2.2 / 2.0) * 0.8 * (510.0 * 380.0 / 340.0) * 1.2 / 1e3;
    assert_near(number(&row["peak"]["force_kn"]), by_hand, 1e-6);
}

fn outside(job: &Value) -> Vec<Value> {
    let report = report(job);
    let cautions = report["cautions"].as_array().expect("a list");
    cautions.iter().filter(|row| row["id"] == "coil_outside_range").cloned().collect()
}

#[test]
fn coil_outside_the_range_is_cautioned_with_field_allowed_and_given() {
    let coil = json!({"tensile_mpa": 430, "thickness_mm": 1.85});
    let [strength, thickness] = &outside(&with_coil(example(), coil))[..] else { panic!() };
    assert_eq!(strength["field"], "coil.tensile_mpa");
    assert_eq!(strength["allowed"], "270.0 to 410.0 MPa");
    assert_eq!(strength["given"], "430.0 MPa");
    assert_eq!(thickness["field"], "coil.thickness_mm");
    assert_eq!(thickness["allowed"], "1.90 to 2.10 mm");
    assert_eq!(thickness["given"], "1.85 mm");
    let text = strength["text"].as_str().expect("text");
    assert!(text.contains("430.0 MPa") && text.contains("270.0 to 410.0 MPa"), "{text}");
}

#[test]
fn coil_at_the_end_of_its_range_is_not_outside() {
    for (tensile, thickness) in [(270.0, 1.9), (410.0, 2.1), (340.0, 2.0)] {
        let coil = json!({"tensile_mpa": tensile, "thickness_mm": thickness});
        assert_eq!(outside(&with_coil(example(), coil)), Vec::<Value>::new());
    }
    // The job knows nothing of yielding, so nothing is outside it.
    assert_eq!(outside(&with_coil(example(), json!({"yield_mpa": 9000}))), Vec::<Value>::new());
}

#[test]
fn coil_without_numbers_says_nothing() {
    for coil in [json!({}), json!({"certificate": "4711", "date": "2 May"})] {
        let report = report(&with_coil(example(), coil));
        assert!(!object(&report).contains_key("coil"));
    }
}

#[test]
fn coil_that_cannot_be_worked_is_said_so_and_the_job_judged_all_the_same() {
    let bend = json!([{"name": "Vee", "work": [
        {"op": "bend", "kind": "v", "length_mm": 80, "opening_mm": 12, "entry_mm": 9}]}]);
    let job = with(example(), "/stations", bend);
    let report = report(&with_coil(job, json!({"thickness_mm": 13})));
    assert_eq!(report["verdict"], "within");
    assert_eq!(report["coil"]["verdict"], "not_checked");
    assert_eq!(report["coil"]["worst"], Value::Null);
    let error = report["coil"]["error"].as_str().expect("text");
    assert!(error.contains("station 1 work 1: opening must be more than"), "{error}");
}

#[test]
fn coil_with_absurd_numbers_is_refused_at_its_field() {
    for (coil, path) in [
        (json!({"tensile_mpa": 0}), "coil.tensile_mpa"),
        (json!({"tensile_mpa": {"low": 300, "high": 310}}), "coil.tensile_mpa"),
        (json!({"thickness_mm": -1}), "coil.thickness_mm"),
        (json!({"thickness_mm": 101}), "coil.thickness_mm"),
        (json!({"yield_mpa": "175"}), "coil.yield_mpa"),
        (json!({"date": 20260502}), "coil.date"),
        (json!({"certificate": "x".repeat(201)}), "coil.certificate"),
        (json!({"width_mm": 100}), "coil.width_mm"),
        (json!([]), "coil"),
        (Value::Null, "coil"),
    ] {
        let found = refusals(Job::from_value(&with_coil(example(), coil)));
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].path, path);
    }
}
