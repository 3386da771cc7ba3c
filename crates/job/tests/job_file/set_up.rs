//! What a die needs of any press, the cards of a set-up, and the record.

use crate::{
    contract::ESSENTIAL,
    support::{
        EVERY_OPERATION, assert_near, example, good_jobs, number, pointers, refusals, report,
        value, with, without,
    },
};
use evenstroke_job::{
    Job,
    cards::{Card, NeedRecord, SetupReport, need_card, setup_cards},
    record::Differs,
    units::UnitSystem,
};
use serde_json::{Value, json};

fn job(value: &Value) -> Job {
    Job::from_value(value).unwrap_or_else(|refused| panic!("{refused}"))
}

fn need(value: &Value) -> Value {
    serde_json::from_str(&NeedRecord::new(&job(value)).to_json()).expect("JSON")
}

fn card(value: &Value, id: &str) -> Card {
    let job = job(value);
    let cards = setup_cards(&job, &job.check(), UnitSystem::Metric);
    let ids: Vec<&str> = cards.iter().map(|card| card.id).collect();
    cards.iter().find(|card| card.id == id).cloned().unwrap_or_else(|| panic!("no {id} in {ids:?}"))
}

#[track_caller]
fn value_of(card: &Card, key: &str) -> f64 {
    let row = card.row(key).unwrap_or_else(|| panic!("no {key} in {card:?}"));
    row.value.unwrap_or_else(|| panic!("{row:?}"))
}

#[track_caller]
fn is_missing(card: &Card, key: &str, word: &str) {
    let row = card.row(key).unwrap_or_else(|| panic!("no {key} in {card:?}"));
    assert!(row.is_missing && row.value.is_none() && row.text.contains(word), "{row:?}");
}

/// What a die needs has nothing of the press in it: with a press, with another, and with none it is the
/// same.
#[test]
fn needs_are_the_same_in_every_press_and_in_none() {
    let none = need(&without(example(), "/press"));
    let small = need(&with(example(), "/press/rated_force_kn", 100));
    let here = need(&with(example(), "/die/placement/x_mm", 200));
    for key in [
        "force_upper_kn",
        "at_height_mm",
        "energy_upper_j",
        "stroke_least_mm",
        "moment_x_knm",
        "moment_y_knm",
        "stripping_kn",
        "shut_height_mm",
        "upper_die_kg",
        "daylight_mm",
        "bed_longest_mm",
    ] {
        let expected = number(&none[key]);
        assert!(expected > 0.0, "{key}");
        for other in [&small, &here] {
            assert_near(number(&other[key]), expected, 1e-9 * expected);
        }
    }
    assert_eq!(none["die_kg"], Value::Null);
    assert_eq!(none["reverse_kn"], Value::Null);
    let unknown = none["unknown"].as_array().expect("a list");
    let of = |key: &str| unknown.iter().find(|row| row["key"] == key);
    for (key, word) in
        [("die_kg", "scale"), ("reverse_kn", "press"), ("stroke_least_mm", "at least")]
    {
        let text = of(key).unwrap_or_else(|| panic!("{key}"))["text"].as_str().unwrap_or_default();
        assert!(text.contains(word), "{key}: {text}");
    }
    assert!(of("force_upper_kn").is_none());
}

/// A job whose stations are all idle: what is null has its reason, and it is that there is no work, not that a
/// height which was entered is missing.
#[test]
fn needs_of_a_die_without_work_say_so() {
    let idle = with(example(), "/stations", json!([{"name": "Idle", "strip_position": 1}]));
    let found = need(&idle);
    let unknown = found["unknown"].as_array().expect("a list");
    for (key, value) in found.as_object().expect("an object") {
        let said: Vec<&str> = unknown
            .iter()
            .filter(|row| row["key"] == key.as_str())
            .filter_map(|row| row["text"].as_str())
            .collect();
        assert_eq!(value.is_null(), !said.is_empty(), "{key}: {said:?}");
    }
    let text = |key: &str| unknown.iter().find(|row| row["key"] == key).expect(key)["text"].clone();
    for key in ["daylight_mm", "strip_state", "load_centre_x_mm", "first_touch_mm"] {
        assert_eq!(text(key), "no station does any work yet", "{key}");
    }
    is_missing(&need_card(&job(&idle), UnitSystem::Metric), "daylight_mm", "no station");
}

#[test]
fn needs_say_what_is_a_lower_bound_and_what_is_of_the_press() {
    let dropped = with(example(), "/stations/0/slug_drop_mm", 300);
    let card = need_card(&job(&dropped), UnitSystem::Metric);
    for key in ["stroke_least_mm", "daylight_mm"] {
        assert!(card.row(key).is_some_and(|row| row.text.starts_with("more than")), "{card:?}");
        let found = need(&dropped);
        let unknown = found["unknown"].as_array().expect("a list");
        assert!(unknown.iter().any(|row| row["key"] == key), "{key}: {unknown:?}");
    }
    let open = with(dropped.clone(), "/die/opening_needed_mm", 60);
    let opened = need_card(&job(&open), UnitSystem::Metric);
    assert_eq!(opened.row("daylight_mm").map(|row| row.text.as_str()), Some("440.0 mm or more"));
    let said = |card: &Card, text: &str| card.sentences.iter().any(|sentence| sentence == text);
    let of_press = "No press data are in it but for the reverse load and the minutes of slugs.";
    assert!(said(&card, of_press), "{card:?}");
    let alone = need_card(&job(&without(dropped, "/press")), UnitSystem::Metric);
    assert!(said(&alone, "No press data are in it."), "{alone:?}");
}

/// A die of 900 mm may stand on a bed of 1350 mm in a press rated for just its force: two thirds
/// (P. Ulintz, "Setting Small Dies in Large Presses", *MetalForming*, 22 Nov 2024); on one of 2700 mm the
/// rating doubles (pro rata, our own form). Closed 380 mm and open by 60 mm it stands 440 mm high.
#[test]
fn needs_tell_bed_stroke_and_daylight() {
    let found = need(&with(example(), "/die/opening_needed_mm", 60));
    assert_near(number(&found["bed_longest_mm"]), 1350.0, 1e-9);
    assert_near(number(&found["stroke_least_mm"]), 60.0, 1e-9);
    assert_near(number(&found["daylight_mm"]), 440.0, 1e-9);
    let bed = &found["rating_for_bed"][1];
    assert_near(number(&bed["bed_mm"]), 2700.0, 1e-9);
    let force = number(&found["force_upper_kn"]);
    assert_near(number(&bed["rated_kn"]), 2.0 * force, 1e-9);
    // The largest force is that which the check compares with the rated force.
    let report = report(&example());
    assert_near(force, number(&crate::support::limit(&report, "rated_force")["demand"]), 1e-9);
    let heights = found["force_by_height"].as_array().expect("a list");
    assert_near(number(&heights[0]["force_kn"]), force, 1e-9);
    assert!(
        heights.windows(2).all(|pair| number(&pair[0]["force_kn"]) >= number(&pair[1]["force_kn"]))
    );
}

/// 2 mm slugs at 45 strokes a minute fill 90 mm a minute: 300 mm in 3 min 20 s.
#[test]
fn blocked_slugs_of_two_millimetres_reach_a_die_300_mm_up_in_three_minutes_twenty() {
    let dropped = with(example(), "/stations/0/slug_drop_mm", 300);
    let found = need(&dropped);
    assert_eq!(found["slugs"][0]["station"], "Pierce");
    assert_near(number(&found["slugs"][0]["minutes_to_die"]), 10.0 / 3.0, 1e-9);
    assert_near(number(&found["slugs"][0]["strokes_to_die"]), 150.0, 1e-9);
    // The notch's height is not entered, the bend and the cut-off drop none.
    assert_eq!(found["slugs"].as_array().map(Vec::len), Some(2));
    assert_eq!(found["slugs"][1]["minutes_to_die"], Value::Null);
    let slugs = card(&dropped, "slugs");
    let table = slugs.table.as_ref().expect("a table");
    assert_eq!(table.rows[0][2], "3 min 20 s, 150 strokes");
    is_missing(&slugs, "cleared_by", "not entered");
    let said = with(dropped.clone(), "/setup", json!({"slugs_cleared_by": "the operator"}));
    assert_eq!(
        card(&said, "slugs").row("cleared_by").map(|row| row.text.as_str()),
        Some("the operator")
    );
    // Without a press there is no speed, but there are strokes.
    let alone = need(&without(dropped, "/press"));
    assert_eq!(alone["slugs"][0]["minutes_to_die"], Value::Null);
    assert_near(number(&alone["slugs"][0]["strokes_to_die"]), 150.0, 1e-9);
}

#[test]
fn slug_hole_under_a_station_is_named() {
    let holes = json!([{"x_mm": -240, "y_mm": 0, "width_mm": 80, "depth_mm": 80}]);
    let slugs = card(&with(example(), "/press/bolster/openings", holes), "slugs");
    let table = slugs.table.expect("a table");
    assert_eq!(table.rows[0][1], "hole 1, 240.0 mm left");
    assert_eq!(table.rows[1][1], "no hole lies under the whole slug");
}

/// What is left to judge without a press, a stripper or guides, never makes a pass; at most it is over.
#[test]
fn no_job_without_a_press_comes_out_as_a_pass() {
    for (name, text) in good_jobs() {
        let report = report(&without(value(text), "/press"));
        assert_eq!(report["verdict"], "not_checked", "{name}");
        for limit in ESSENTIAL {
            assert_eq!(crate::support::limit(&report, limit)["state"], "not_checked", "{name}");
        }
    }
    // A stripper that is too weak is that in every press.
    let weak = json!({"kind": "cushion", "force_kn": 0.001, "entry_mm": 8});
    let over = with(without(example(), "/press"), "/stations/0/stripper", weak);
    assert_eq!(report(&over)["verdict"], "over");
}

#[test]
fn job_without_a_press_is_not_checked_and_nothing_of_one_is_assumed() {
    let report = report(&without(example(), "/press"));
    assert_eq!(report["verdict"], "not_checked");
    for limit in report["limits"].as_array().expect("a list") {
        assert_eq!(limit["state"], "not_checked", "{limit}");
    }
    // What it opens is not judged against a stroke that nobody entered.
    let opening = with(without(example(), "/press"), "/die/opening_needed_mm", 5);
    let opened = crate::support::report(&opening);
    assert!(
        crate::support::limit(&opened, "daylight")["missing"]
            .as_str()
            .is_some_and(|text| text.contains("stroke of the press"))
    );
    let missing = card(&without(example(), "/press"), "missing");
    assert!(
        missing.sentences.iter().any(|text| text.starts_with("No press is chosen")),
        "{missing:?}"
    );
}

/// By hand: 380 mm on 50 mm parallels, begun 4 mm above; the press reaches down to 350 mm, opens 440 mm
/// now; 1500 kN/mm are 150 kN for a tenth.
#[test]
fn shut_height_worksheet_begins_above_and_ends_at_the_die() {
    let mut sheet = with(example(), "/die/parallels_mm", 50);
    sheet = with(sheet, "/die/grind_allowance_mm", 90);
    sheet = with(sheet, "/die/shut_height_measured_on", "2026-03-02");
    sheet = with(sheet, "/setup", json!({"approach_mm": 4, "press_opening_mm": 440}));
    sheet = with(sheet, "/record", json!({"grinds": [{"date": "2026-03-03", "amount_mm": 0.25}]}));
    let found = card(&sheet, "shut_height");
    assert_near(value_of(&found, "approach_mm"), 434.0, 1e-9);
    assert_near(value_of(&found, "gain_kn"), 150.0, 1e-9);
    // The example's die holds its gas spring at BDC, 1.4 · 5 kN at most, which opens 0.005 mm.
    assert_near(value_of(&found, "target_mm"), 430.0, 0.02);
    assert!(
        found
            .row("press_opening_mm")
            .is_some_and(|row| row.text.contains("lower the slide by 6.00 mm")),
        "{found:?}"
    );
    assert!(
        found
            .row("grind_allowance_mm")
            .is_some_and(|row| row.text.contains("10.0 mm more of parallels")),
        "{found:?}"
    );
    assert!(
        found.sentences.iter().any(|text| text.contains("0.25 mm ground off since")),
        "{found:?}"
    );
    is_missing(&found, "setting", "by the thickness?");
    let low = with(sheet.clone(), "/setup/press_opening_mm", 420);
    assert!(card(&low, "shut_height").sentences.iter().any(|text| text.contains("jam on bottom")));
    // A pad closes on the part: 2.0 ± 0.1 mm, a coil of 2.06 mm.
    let pad = with(
        with(sheet, "/die/height_setting", "by_thickness"),
        "/coil",
        json!({"thickness_mm": 2.06}),
    );
    let setting = card(&pad, "shut_height").row("setting").expect("a row").text.clone();
    assert!(
        setting.contains("429.89 mm for the thinnest")
            && setting.contains("430.09 mm for the thickest")
            && setting.contains("430.05 mm for this coil"),
        "{setting}"
    );
    let open = card(&without(without(example(), "/die/shut_height_mm"), "/press"), "shut_height");
    is_missing(&open, "closed_mm", "tape measure");
}

/// By hand: 380 mm on 90 mm parallels stand 470 mm, the press opens 450 mm: 20 mm too much. On 69 mm they
/// stand 449 mm, so that the approach has 1 mm.
#[test]
fn die_that_stands_higher_than_the_press_opens_is_told_before_it_jams() {
    let said = |job: &Value, text: &str| {
        let card = card(job, "shut_height");
        assert_eq!(
            card.sentences.iter().filter(|sentence| sentence.contains(text)).count(),
            1,
            "{card:?}"
        );
    };
    let high = with(example(), "/die/parallels_mm", 90);
    said(&high, "20.0 mm higher than the press opens at BDC");
    said(&without(high, "/press/shut_height_adjustment_mm"), "would jam on bottom");
    said(
        &with(example(), "/die/parallels_mm", 69),
        "it begins 1.0 mm above the closed die at most",
    );
}

/// By hand, in a press that can be set from 350 mm to 450 mm: 380 mm on 90 mm parallels stand 470 mm, too high;
/// 300 mm alone are too low, on 60 mm they stand 10 mm above the lower end, 40 mm of 50 mm off the middle.
#[test]
fn shut_height_is_judged_with_what_the_die_stands_on() {
    let judged = |job: &Value| crate::support::limit(&report(job), "shut_height").clone();
    let high = judged(&with(example(), "/die/parallels_mm", 90));
    assert_eq!(high["state"], "over");
    assert_near(number(&high["demand"]), 470.0, 1e-9);
    let low = with(example(), "/die/shut_height_mm", 300);
    assert_eq!(judged(&low)["state"], "over");
    let raised = judged(&with(low, "/die/parallels_mm", 60));
    assert_near(number(&raised["share"]), 0.8, 1e-9);
    assert_near(number(&raised["demand"]), 360.0, 1e-9);
}

/// An invented table: 350 kg and 150 kg are half-way between 0 and 1000 kg.
#[test]
fn counterbalance_is_read_off_the_presss_own_table() {
    let table = json!({"attachments_kg": 150, "points": [
        {"mass_kg": 0, "pressure_mpa": 0.3}, {"mass_kg": 1000, "pressure_mpa": 0.5}]});
    let job = with(example(), "/press/counterbalance", table);
    assert_near(value_of(&card(&job, "counterbalance"), "pressure_mpa"), 0.4, 1e-12);
    // 0.4 MPa are 4 bar, and 58.02 psi (1 psi = 6.894 757 kPa, value from memory).
    let air = |value: &Value, units: UnitSystem| {
        let job = self::job(value);
        let cards = setup_cards(&job, &job.check(), units);
        let card = cards.into_iter().find(|card| card.id == "counterbalance").expect("a card");
        card.row("pressure_mpa").expect("a row").text.clone()
    };
    assert_eq!(air(&job, UnitSystem::Metric), "0.40 MPa (4.0 bar)");
    assert_eq!(air(&job, UnitSystem::UsCustomary), "58 psi");
    let others = without(job.clone(), "/press/counterbalance/attachments_kg");
    let mass = card(&others, "counterbalance").row("mass_kg").expect("a row").text.clone();
    assert!(mass.contains("other attachments not entered"), "{mass}");
    let heavy = with(job.clone(), "/die/upper_mass_kg", 900);
    is_missing(&card(&heavy, "counterbalance"), "pressure_mpa", "outside the press's table");
    is_missing(
        &card(&without(job, "/die/upper_mass_kg"), "counterbalance"),
        "pressure_mpa",
        "upper die",
    );
    is_missing(&card(&example(), "counterbalance"), "pressure_mpa", "table");
}

/// M16 at 80 N·m with friction 0.2: 80/(0.2 · 0.016 m) = 25 kN; through a strap with its screw in the middle
/// 12.5 kN, four of them 50 kN. 2200 + 350 kg weigh 25.0 kN on a safety block.
#[test]
fn upper_die_is_held_by_what_its_torque_gives() {
    let clamps = json!({"count": 4, "torque_nm": 80, "bolt_mm": 16, "lever_share": 0.5});
    let job = with(example(), "/die/upper_clamps", clamps);
    let found = card(&job, "holding");
    assert_near(value_of(&found, "holds_kn"), 50.0, 1e-9);
    let report = report(&job);
    assert_near(number(&crate::support::limit(&report, "upper_die_hold")["limit"]), 50.0, 1e-9);
    let cautions = report["cautions"].as_array().expect("a list");
    assert!(cautions.iter().any(|caution| caution["id"] == "clamps_from_torque"));
    // Without a torque the torque that holds is told.
    let size = json!({"count": 4, "bolt_mm": 16});
    let found = card(&with(example(), "/die/upper_clamps", size), "holding");
    let pull = value_of(&found, "pull_kn");
    // Share 0.80 of a straight-side press.
    assert_near(value_of(&found, "torque_nm"), 0.2 * 16.0 * pull / 0.8 / 4.0, 1e-9);
    is_missing(&found, "holds_kn", "clamps");
    // That torque strains the screw by its force, and without a part all of that is taken to hold.
    let each = UnitSystem::Metric.show(pull / 0.8 / 4.0, evenstroke_job::spec::Unit::Kn);
    let said = |card: &Card, text: &str| card.sentences.iter().any(|said| said.contains(text));
    assert!(said(&found, &format!("each screw pulls with {each}")), "{found:?}");
    assert!(said(&found, "All of the screw's force"), "{found:?}");
    assert!(!said(&card(&job, "holding"), "All of the screw's force"));
    // Half an inch is no metric screw.
    let inch = json!({"count": 1, "torque_nm": 80, "bolt_mm": 12.7, "lever_share": 1});
    let found = card(&with(example(), "/die/upper_clamps", inch), "holding");
    let text = |key: &str| found.row(key).expect(key).text.clone();
    assert!(text("torque_nm").starts_with("screws of 12.70 mm to 80.0 N·m"), "{found:?}");
    assert!(text("holds_kn").starts_with("1 clamp,"), "{found:?}");
    let weights = card(&job, "weights");
    assert_near(value_of(&weights, "block_load_kn"), 2550.0 * 9.806_65e-3, 1e-9);
    is_missing(&weights, "lifting_kg", "whole die");
    let mut lifted = with(job, "/die/mass_kg", 1200);
    lifted = with(lifted, "/setup", json!({"lifting_limit_kg": 1000, "lifting_gear": "Cart"}));
    assert_eq!(card(&lifted, "weights").row("lifting_kg").and_then(|row| row.state), Some("over"));
}

#[test]
fn stiffness_is_taken_from_readings_where_no_figure_is_entered() {
    let readings = json!([{"shut_height_mm": 380, "force_kn": 200}, {"shut_height_mm": 379.8, "force_kn": 500}]);
    let measured = with(
        without(example(), "/press/stiffness_kn_per_mm"),
        "/press/stiffness_readings",
        readings.clone(),
    );
    assert_near(value_of(&card(&measured, "shut_height"), "gain_kn"), 150.0, 1e-6);
    let cautions = report(&measured)["cautions"].to_string();
    assert!(cautions.contains("measured_stiffness"), "{cautions}");
    // A figure that is entered is not overruled.
    let both = with(
        with(example(), "/press/stiffness_readings", readings),
        "/press/stiffness_kn_per_mm",
        900,
    );
    assert_near(value_of(&card(&both, "shut_height"), "gain_kn"), 90.0, 1e-9);
}

#[test]
fn first_strokes_tell_half_cuts_and_where_to_look() {
    // The pierced hole of 30 mm lies about −240 mm: the leading edge stands within it at the first hit.
    let strip = json!({"pitch_mm": 120, "first_hit_mm": -240});
    let found = card(&with(example(), "/die/strip", strip), "first_strokes");
    let table = found.table.clone().expect("a table");
    assert_eq!(table.rows[0][0], "1");
    assert!(table.rows[0][1].contains("Pierce (half cut)"), "{table:?}");
    assert!(table.rows[0][4].contains("edges and halves at Pierce"), "{table:?}");
    assert!(table.rows[0][3].contains("% left"), "{table:?}");
    assert!(
        table
            .rows
            .last()
            .is_some_and(|row| row[0].ends_with("strip full") && row[4].contains("first part"))
    );
    // Flywheel energy falls with the square of speed: 18 kJ at 60 a minute, of which the die takes 0.258 kJ, are
    // that at 60·√(0.258/18) = 7.2. The motor would do thousands of strokes, which is nothing to tell who makes
    // the first. A press that goes no slower than 20 has enough at any speed.
    let hits = |value: &Value, text: &str| {
        let card = card(value, "first_strokes");
        assert!(card.sentences.iter().any(|said| said.contains(text)), "{card:?}");
    };
    hits(&example(), "energy allows, 8 strokes/min or more");
    hits(&with(example(), "/press/slowest_spm", 20), "energy allows, 20 strokes/min or more");
    hits(&without(example(), "/press/energy"), "not known here");
    assert_eq!(table.rows.iter().filter(|row| row[4].contains("load display")).count(), 1);
    let unknown = card(&example(), "first_strokes");
    assert!(unknown.sentences.iter().any(|text| text.contains("first-hit line")), "{unknown:?}");
}

/// At 2.5 mm the example's notch cuts; an angle asks for the crank: 200 mm of stroke, rod 900 mm, 10° before
/// BDC is 100·(1 − cos 10°) + 900 − √(900² − (100 sin 10°)²) = 1.687 mm.
#[test]
fn after_a_trip_the_state_is_recorded_and_no_procedure_given() {
    let at = |trip: Value| card(&with(example(), "/trip", trip), "after_trip");
    let found =
        at(json!({"height_mm": 2.5, "date": "2026-03-04", "time": "10:20", "remark": "Loud."}));
    assert!(found.row("engaged").is_some_and(|row| row.text.contains("Notch")), "{found:?}");
    let points = &found.row("points_kn").expect("a row").text;
    assert!(points.contains("left") && points.contains("right"), "{points}");
    assert!(value_of(&found, "force_kn") > 0.0 && value_of(&found, "work_kj") > 0.0);
    let table = found.table.as_ref().expect("a table");
    assert!(table.rows.iter().any(|row| row[0].starts_with("Dull edges")), "{table:?}");
    assert!(table.rows.iter().all(|row| row.len() == 3 && !row[2].is_empty()), "{table:?}");
    assert!(found.sentences[0].contains("no procedure"), "{found:?}");
    assert!(found.sentences.iter().any(|text| text.contains("with the strip full")), "{found:?}");
    let radians = 10_f64.to_radians();
    let height = 100.0 * (1.0 - radians.cos()) + 900.0
        - (900.0_f64.powi(2) - (100.0 * radians.sin()).powi(2)).sqrt();
    let found = at(json!({"angle_deg": 10}));
    assert_near(value_of(&found, "height_mm"), height, 1e-9);
    is_missing(&at(json!({"remark": "?"})), "height_mm", "neither");
    let alone = with(without(example(), "/press"), "/trip", json!({"angle_deg": 10}));
    is_missing(&card(&alone, "after_trip"), "height_mm", "not known");
    let bottom = at(json!({"height_mm": 0}));
    assert!(bottom.table.is_some_and(|table| {
        table.rows.iter().any(|row| row[0] == "Set too deep" && row[1].contains("150"))
    }));
}

/// A grind counts also where nobody wrote down how much: the set-up before it is void and the height is to be
/// measured again.
#[test]
fn grind_without_its_amount_counts() {
    let grind = json!({"grinds": [{"date": "2026-03-03"}]});
    let mut sheet = with(example(), "/record", grind.clone());
    sheet = with(sheet, "/die/shut_height_measured_on", "2026-03-02");
    let found = card(&sheet, "shut_height");
    assert!(found.sentences.iter().any(|text| text.contains("measure again")), "{found:?}");
    let kept = with(example(), "/record", json!({"setups": [good_setup()]}));
    let kept = with(kept, "/record/grinds", grind["grinds"].clone());
    assert_eq!(differing(&kept), [Differs::Ground]);
    let told = card(&kept, "last_good");
    assert!(told.sentences.iter().any(|text| text.contains("not recorded")), "{told:?}");
}

/// What is recorded now holds for the job as it stands, and claims nothing that nobody measured or signed.
#[test]
fn new_entry_holds_for_the_job_and_signs_nothing() {
    let mut document = with(example(), "/coil", json!({"thickness_mm": 2.03}));
    let mut entry = evenstroke_job::record::entry_of(&document, "2026-03-02", "06:45");
    for key in ["set_by", "checked_by", "first_off", "good", "blocks_in", "total_kn"] {
        assert!(entry.get(key).is_none(), "{key}");
    }
    assert_eq!(entry["thickness_mm"], 2.03);
    entry["good"] = true.into();
    document = with(document, "/record", json!({"setups": [entry]}));
    let standing = job(&document).last_good_setup(UnitSystem::Metric).expect("a good set-up");
    assert!(standing.holds() && standing.not_compared.is_empty(), "{standing:?}");
    let uncut = without(document, "/coil");
    let entry = evenstroke_job::record::entry_of(&uncut, "2026-03-02", "06:45");
    assert!(entry.get("thickness_mm").is_none(), "the order's thickness is not a measured one");
}

fn good_setup() -> Value {
    json!({"date": "2026-03-02", "time": "06:45", "set_by": "A", "checked_by": "B", "good": true,
        "press": "Press 12", "material": "EN 10130 DC01", "thickness_mm": 2.03, "speed_spm": 45,
        "shut_height_mm": 380, "x_mm": 0, "y_mm": 0, "turn_deg": 0, "total_kn": 70, "points_kn": [50, 20]})
}

fn differing(job_value: &Value) -> Vec<Differs> {
    let standing = job(job_value).last_good_setup(UnitSystem::Metric).expect("a good set-up");
    standing.void.iter().map(|reason| reason.what).collect()
}

#[test]
fn last_good_setup_holds_until_something_of_it_changes() {
    let kept = with(example(), "/record", json!({"setups": [good_setup()]}));
    let standing = job(&kept).last_good_setup(UnitSystem::Metric).expect("a good set-up");
    assert!(standing.holds() && standing.not_compared.is_empty(), "{standing:?}");
    for (pointer, new, what) in [
        ("/press/name", json!("Press 7"), Differs::Press),
        ("/stock/material", json!("EN 10130 DC04"), Differs::Material),
        ("/stock/thickness_mm", json!(2.5), Differs::Thickness),
        ("/press/speed_spm", json!(50), Differs::Speed),
        ("/die/shut_height_mm", json!(379.7), Differs::ShutHeight),
        ("/die/placement/x_mm", json!(5), Differs::Place),
        ("/die/placement/turn_deg", json!(180), Differs::Place),
        ("/record/grinds", json!([{"date": "2026-03-02", "amount_mm": 0.2}]), Differs::Ground),
        ("/record/repairs", json!([{"date": "2026-03-09", "what": "Pilot"}]), Differs::Repaired),
    ] {
        assert_eq!(differing(&with(kept.clone(), pointer, new)), [what], "{pointer}");
    }
    // What came before the set-up is in it.
    let before = json!([{"date": "2026-03-01", "amount_mm": 0.2}]);
    assert!(differing(&with(kept.clone(), "/record/grinds", before)).is_empty());
    // Case and blanks are no other press.
    assert!(differing(&with(kept.clone(), "/press/name", " press 12 ")).is_empty());
    let unnamed = job(&without(kept.clone(), "/press/name"))
        .last_good_setup(UnitSystem::Metric)
        .expect("a set-up");
    assert!(unnamed.holds() && unnamed.not_compared == [Differs::Press]);
    // A place without its turn is half a place.
    let unturned = without(kept.clone(), "/record/setups/0/turn_deg");
    let half = job(&unturned).last_good_setup(UnitSystem::Metric).expect("a set-up");
    assert!(half.holds() && half.not_compared == [Differs::Place], "{half:?}");
    // 380 mm are 14.9606 in.
    let higher = job(&with(kept.clone(), "/die/shut_height_mm", 381));
    let inches = higher.last_good_setup(UnitSystem::UsCustomary).expect("a set-up");
    assert_eq!(
        (inches.void[0].then.as_str(), inches.void[0].now.as_str()),
        ("14.9606 in", "15.0000 in")
    );
    let void = card(&with(kept, "/press/speed_spm", 50), "last_good");
    assert_eq!(void.row("holds").map(|row| row.text.as_str()), Some("void"));
    assert!(
        void.sentences
            .iter()
            .any(|text| text == "Void: another speed. Then 45 strokes/min, now 50 strokes/min."),
        "{void:?}"
    );
}

#[test]
fn latest_good_setup_counts_and_stands_first() {
    let mut later = good_setup();
    later["date"] = json!("2026-03-05");
    later["shut_height_mm"] = json!(379);
    let mut failed = later.clone();
    failed["date"] = json!("2026-03-07");
    failed["good"] = json!(false);
    let job_value = with(example(), "/record", json!({"setups": [later, failed, good_setup()]}));
    let found = job(&job_value);
    assert_eq!(found.last_good_setup(UnitSystem::Metric).map(|standing| standing.setup), Some(0));
    let cards = setup_cards(&found, &found.check(), UnitSystem::Metric);
    assert_eq!(cards[0].id, "last_good");
    let none = with(
        example(),
        "/record",
        json!({"remarks": [{"date": "2026-03-02", "text": "Strip catches."}]}),
    );
    let last = card(&none, "last_good");
    is_missing(&last, "holds", "no set-up that is marked as good");
    assert!(last.table.is_some_and(|table| table.rows[0][2] == "Strip catches."));
}

#[test]
fn signatures_come_from_the_record_and_blocks_are_counted() {
    let mut entry = good_setup();
    entry["blocks_in"] = json!(2);
    entry["blocks_out"] = json!(1);
    entry["checked_by"] = json!("a");
    let found = card(&with(example(), "/record", json!({"setups": [entry]})), "signing");
    assert_eq!(found.row("set_by").map(|row| row.text.as_str()), Some("A"));
    is_missing(&found, "guards", "to be filled in");
    let said = |card: &Card, text: &str| card.sentences.iter().any(|said| said.contains(text));
    assert!(said(&found, "1 safety block is still in the press"), "{found:?}");
    assert!(said(&found, "same person"), "{found:?}");
    // What went in and was not counted out may still be there.
    let mut uncounted = good_setup();
    uncounted["blocks_in"] = json!(2);
    let found = card(&with(example(), "/record", json!({"setups": [uncounted]})), "signing");
    assert_eq!(found.row("blocks").map(|row| row.text.as_str()), Some("2 in, out not counted"));
    assert!(said(&found, "none is counted out"), "{found:?}");
}

#[track_caller]
fn refused_at(job: &Value, path: &str, allowed: &str, given: &str) {
    let found = refusals(Job::from_value(job));
    let refusal = found.iter().find(|refusal| refusal.path == path);
    let refusal = refusal.unwrap_or_else(|| panic!("no {path} in {found:?}"));
    assert!(refusal.allowed.contains(allowed) && refusal.given.contains(given), "{refusal}");
}

#[test]
fn what_cannot_be_is_refused_where_it_stands() {
    let record = |list: &str, entry: Value| with(example(), "/record", json!({ list: [entry] }));
    refused_at(
        &with(example(), "/die/mass_kg", 300),
        "die.upper_mass_kg",
        "300 kg, the whole die",
        "350 kg",
    );
    refused_at(
        &with(example(), "/die/grind_allowance_mm", 380),
        "die.grind_allowance_mm",
        "less than the closed height, 380 mm",
        "380 mm",
    );
    refused_at(
        &with(example(), "/die/grind_allowance_mm", -1),
        "die.grind_allowance_mm",
        "from 0",
        "-1",
    );
    refused_at(
        &with(example(), "/setup", json!({"press_opening_mm": 460})),
        "setup.press_opening_mm",
        "350 mm to 450 mm",
        "460 mm",
    );
    refused_at(
        &with(example(), "/trip", json!({"height_mm": 201})),
        "trip.height_mm",
        "at most the stroke, 200 mm",
        "201 mm",
    );
    refused_at(
        &with(example(), "/trip", json!({"height_mm": 2, "angle_deg": 9})),
        "trip.angle_deg",
        "must not stand beside height_mm",
        "2 mm and 9°",
    );
    refused_at(
        &record("grinds", json!({"date": "2026-03-02", "amount_mm": -0.1})),
        "record.grinds[0].amount_mm",
        "from 0",
        "-0.1",
    );
    refused_at(
        &record("grinds", json!({"date": "2026-02-30", "amount_mm": 0.1})),
        "record.grinds[0].date",
        "a day that there is",
        "2026-02-30",
    );
    refused_at(
        &record("setups", json!({"date": "2026-03-02", "time": "24:10"})),
        "record.setups[0].time",
        "00:00 to 23:59",
        "24:10",
    );
    refused_at(
        &record("setups", json!({"date": "2026-03-02", "blocks_in": 1, "blocks_out": 2})),
        "record.setups[0].blocks_out",
        "at most 1",
        "2",
    );
    refused_at(
        &record(
            "photos",
            json!({"name": "x", "kind": "other", "image": "data:image/svg+xml;base64,PHN2Zy8+PHN2Zy8+PHN2"}),
        ),
        "record.photos[0].image",
        "png, jpeg, webp or gif",
        "another type",
    );
    let clamps = json!({"count": 4, "force_kn": 20, "torque_nm": 80, "bolt_mm": 16});
    refused_at(
        &with(example(), "/die/upper_clamps", clamps),
        "die.upper_clamps.torque_nm",
        "must not stand beside force_kn",
        "20 kN and 80 N·m",
    );
    let readings = json!([{"shut_height_mm": 380, "force_kn": 500}, {"shut_height_mm": 379.8, "force_kn": 200}]);
    refused_at(
        &with(example(), "/press/stiffness_readings", readings),
        "press.stiffness_readings",
        "the load must rise",
        "row 2",
    );
    let table = json!({"points": [{"mass_kg": 100, "pressure_mpa": 0.4}, {"mass_kg": 50, "pressure_mpa": 0.5}]});
    refused_at(
        &with(example(), "/press/counterbalance", table),
        "press.counterbalance.points",
        "masses must rise",
        "row 2",
    );
    refused_at(
        &with(without(example(), "/press"), "/press", json!({"name": "Press 1"})),
        "press.drive",
        "must be",
        "nothing",
    );
}

/// The smallest and largest of every number that a set-up has gives a refusal or cards without nonsense.
#[test]
fn odd_numbers_of_a_set_up_give_a_refusal_or_readable_cards() {
    let whole = value(EVERY_OPERATION);
    let mut tried = 0;
    // The causes of a trip take a while to work out.
    let quick = without(whole.clone(), "/trip");
    let of = |pointer: &str| if pointer.starts_with("/trip") { &whole } else { &quick };
    for pointer in pointers(&whole) {
        let ours = [
            "/record",
            "/setup",
            "/trip",
            "counterbalance",
            "stiffness_readings",
            "slug_drop",
            "upper_clamps",
            "grind",
            "parallels",
        ];
        if !ours.iter().any(|word| pointer.contains(word))
            || !whole.pointer(&pointer).is_some_and(Value::is_number)
        {
            continue;
        }
        for odd in [0.0, 1e-9, 1.0, 1e6] {
            let Ok(job) = Job::from_value(&with(of(&pointer).clone(), &pointer, odd)) else {
                continue;
            };
            tried += 1;
            let check = job.check();
            for text in [NeedRecord::new(&job).to_json(), SetupReport::new(&job, &check).to_json()]
            {
                let lower = text.to_lowercase();
                assert!(
                    !lower.contains("nan") && !lower.contains(" inf"),
                    "{pointer} {odd}: {text}"
                );
            }
        }
    }
    assert!(tried > 60, "{tried}");
}

#[test]
fn every_good_job_has_its_cards_and_none_is_called_safe() {
    for (name, text) in good_jobs() {
        for job_value in [value(text), without(value(text), "/press")] {
            let job = job(&job_value);
            let check = job.check();
            for units in UnitSystem::ALL {
                for card in setup_cards(&job, &check, units) {
                    let words = serde_json::to_string(&card).expect("JSON").to_lowercase();
                    assert!(!words.replace("safety block", "").contains("safe"), "{name}: {words}");
                    let columns = card.table.as_ref().map_or(0, |table| table.head.len());
                    let rows = card.table.iter().flat_map(|table| &table.rows);
                    assert!(rows.into_iter().all(|row| row.len() == columns), "{name} {}", card.id);
                }
            }
        }
    }
}
