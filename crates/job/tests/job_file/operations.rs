//! Operations as a job gives them: what is cautioned, what is refused, and what they come to.

use crate::support::{assert_near, example, number, refusals, report, with};
use evenstroke_job::Job;
use serde_json::{Value, json};

/// The example with one piece of work in its first station, in 2 mm sheet of one strength.
fn job(work: Value) -> Value {
    let stock = json!({"thickness_mm": 2, "tensile_mpa": 300, "shear_ratio": 0.8});
    with(with(example(), "/stock", stock), "/stations", json!([{"name": "Here", "work": [work]}]))
}

fn caution(work: Value, id: &str) -> Option<String> {
    let report = report(&job(work));
    let cautions = report["cautions"].as_array().expect("a list");
    let found = cautions.iter().find(|caution| caution["id"] == id)?;
    found["text"].as_str().map(str::to_owned)
}

#[track_caller]
fn assert_cautioned(work: Value, id: &str, words: &[&str]) {
    let text = caution(work, id).unwrap_or_else(|| panic!("no {id}"));
    assert!(text.starts_with("Here: "), "{text}");
    for word in words {
        assert!(text.contains(word), "{text}");
    }
}

#[track_caller]
fn assert_refused(work: Value, field: &str, allowed: &str, given: &str) {
    let found = refusals(Job::from_value(&job(work)));
    let [refusal] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(refusal.path, format!("stations[0].work[0].{field}"));
    assert!(refusal.allowed.contains(allowed), "{refusal}");
    assert!(refusal.given.contains(given), "{refusal}");
}

fn pierce(diameter_mm: f64) -> Value {
    let outline = json!({"circle": {"diameter_mm": diameter_mm}});
    json!({"op": "cut", "kind": "pierce", "outline": outline, "entry_mm": 4})
}

/// Pressure 4·t·τ/d (B. K. Sarkar, *Strength of Materials*, problem 3.4): 4·2·240/0.9 = 2133 MPa.
#[test]
fn hole_smaller_than_half_the_thickness_is_cautioned_for_its_punch() {
    assert_cautioned(pierce(0.9), "punch_stress", &["133 MPa", "000 MPa"]);
    assert_eq!(caution(pierce(1.0), "punch_stress"), None);
}

/// Euler: π²·210 GPa·(π/64·3⁴ mm⁴)/(2·60 mm)² = 572 N, force π·3·2·240 = 4.5 kN (hand calculation).
#[test]
fn slender_punch_is_cautioned_until_it_is_short_or_guided() {
    let long = with(pierce(3.0), "/punch_length_mm", 60);
    assert_cautioned(long.clone(), "punch_buckling", &["4.52 kN", "0.57 kN", "Euler"]);
    assert_cautioned(with(long, "/punch_guided", true), "punch_buckling", &["4.67 kN"]);
    assert_eq!(caution(with(pierce(3.0), "/punch_length_mm", 15), "punch_buckling"), None);
    assert_eq!(caution(pierce(3.0), "punch_buckling"), None);
}

#[test]
fn tool_shear_on_the_side_that_bends_the_part_is_advised_against() {
    let ground = |kind: &str, on: &str| {
        let shear = json!({"kind": "slope", "depth_mm": 1, "direction_deg": 0, "shear_on": on});
        with(with(pierce(20.0), "/kind", kind), "/tool_shear", shear)
    };
    assert_cautioned(ground("pierce", "die"), "shear_side", &["grind the punch"]);
    assert_cautioned(ground("blank", "punch"), "shear_side", &["grind the die"]);
    for (kind, on) in [("pierce", "punch"), ("blank", "die"), ("cut_off", "punch")] {
        assert_eq!(caution(ground(kind, on), "shear_side"), None, "{kind} on {on}");
    }
}

#[test]
fn closed_lance_is_cautioned() {
    assert_cautioned(with(pierce(20.0), "/kind", "lance"), "lance_closed", &["closed"]);
    let open = json!({"path": {"points": [[0, 0], [10, 0], [10, 10]], "closed": false}});
    let open = with(with(pierce(20.0), "/kind", "lance"), "/outline", open);
    assert_eq!(caution(open, "lance_closed"), None);
}

#[test]
fn shaving_needs_its_allowance_and_takes_a_chip_not_the_whole_thickness() {
    let shave = with(pierce(20.0), "/kind", "shave");
    assert_cautioned(shave.clone(), "shave_allowance", &["too much force"]);
    let peak = |work: Value| number(&report(&job(work))["peak"]["force_kn"]);
    // 4.3·0.1 of 2 mm.
    let thin = peak(with(shave.clone(), "/allowance_mm", 0.1));
    assert_near(thin / peak(shave.clone()), 0.215, 1e-6);
    assert_eq!(caution(with(shave.clone(), "/allowance_mm", 0.1), "shave_allowance"), None);
    assert_refused(with(shave, "/allowance_mm", 2.5), "allowance_mm", "thickness, 2 mm", "2.5 mm");
}

/// Hooke's law: 1500 kN/mm · 0.1 mm.
#[test]
fn work_on_the_bottom_says_what_a_tenth_of_a_millimetre_is_worth() {
    let squeeze = json!({"op": "squeeze", "kind": "size", "area_mm2": 100, "pressure_mpa": 300, "entry_mm": 0.3});
    assert_cautioned(squeeze, "shut_height_gain", &["0.1 mm", "150.0 kN"]);
    let bend = json!({"op": "bend", "kind": "v", "length_mm": 50, "opening_mm": 16, "entry_mm": 8});
    assert_eq!(caution(bend.clone(), "shut_height_gain"), None);
    assert_cautioned(with(bend, "/bottoming_mpa", 150), "shut_height_gain", &["150.0 kN"]);
}

/// Cushion of 10 in at 100 psi: 7854 lbf, 34.94 kN (Dayton Die Cushions, page on tonnage).
#[test]
fn air_cushion_gives_pressure_times_area_from_first_touch_and_rises_over_its_stroke() {
    let cushion = json!({"op": "spring", "kind": "air_cushion", "pressure_mpa": 0.689_475_73,
        "piston_diameter_mm": 254, "pistons": 1, "entry_mm": 40});
    let peak = |work: Value| number(&report(&job(work))["peak"]["force_kn"]);
    assert_near(peak(cushion.clone()), 34.94, 0.01);
    let two = with(cushion.clone(), "/pistons", 2);
    assert_near(peak(two), 2.0 * 34.94, 0.02);
    let rising = with(with(cushion, "/force_rise", 1.2), "/stroke_mm", 80);
    // Half of its stroke takes half of the rise.
    assert_near(peak(rising), 1.1 * 34.94, 0.01);
}

fn box_draw() -> Value {
    json!({"op": "draw", "kind": "first", "depth_mm": 30, "die_radius_mm": 8, "punch_radius_mm": 6,
        "blank_holder_kn": 20, "entry_mm": 40,
        "box": {"width_mm": 100, "depth_mm": 100, "corner_radius_mm": 50}})
}

#[test]
fn square_box_with_corners_of_half_its_side_is_the_round_cup() {
    let round = json!({"op": "draw", "kind": "first", "blank_diameter_mm": 170,
        "punch_diameter_mm": 100, "depth_mm": 30, "die_radius_mm": 8, "punch_radius_mm": 6,
        "blank_holder_kn": 20, "entry_mm": 40});
    let square = with(box_draw(), "/blank_diameter_mm", 170);
    let curve = |work: Value| report(&job(work))["peak"]["force_kn"].clone();
    assert_near(number(&curve(square)), number(&curve(round)), 1e-6);
}

#[test]
fn box_and_round_draw_refuse_what_does_not_fit_them() {
    let wide = with(box_draw(), "/box/corner_radius_mm", 60);
    assert_refused(wide, "box.corner_radius_mm", "half the shorter side, 50 mm", "60 mm");
    let other = with(box_draw(), "/punch_diameter_mm", 80);
    assert_refused(other, "punch_diameter_mm", "100 mm", "80 mm");
    assert_refused(with(box_draw(), "/kind", "redraw"), "box", "left out", "box");
    let mut round = box_draw();
    round.as_object_mut().expect("an object").remove("box");
    assert_refused(round, "blank_diameter_mm", "where no box is drawn", "nothing");
}

/// Low times low to high times high; the nominal line takes the middle of that.
#[test]
fn range_of_the_shear_ratio_spreads_the_shear_strength() {
    let job = with(job(pierce(20.0)), "/stock/shear_ratio", json!({"low": 0.7, "high": 0.9}));
    let job = Job::from_value(&job).unwrap_or_else(|refused| panic!("{refused}"));
    assert_near(job.stock.shear_pa.low(), 210e6, 1.0);
    assert_near(job.stock.shear_pa.high(), 270e6, 1.0);
}
