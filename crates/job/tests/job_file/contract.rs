//! The report, version 1: names, types, units and what they mean.

use crate::support::{
    EXAMPLE, assert_near, example, good_jobs, limit, number, object, report, value, with, without,
};
use evenstroke_job::{Job, report::curve_csv};
use press_load::{Length, Line, LoadSeries, Motion, Point, stripping::Stripper};
use serde_json::{Value, json};

/// Ids of the limits and the units they may have.
const LIMITS: [(&str, &[&str]); 18] = [
    ("rated_force", &["kN"]),
    ("force_at_height", &["kN"]),
    ("working_energy", &["kJ"]),
    ("motor_power", &["kW"]),
    ("off_centre_x", &["kN·m", "kN"]),
    ("off_centre_y", &["kN·m", "kN"]),
    ("suspension_load", &["kN"]),
    ("slide_tilt", &["mm"]),
    ("reverse_load", &["kN"]),
    ("stripper_force", &["kN"]),
    ("stripping_load", &["kN"]),
    ("concentrated_load", &["kN"]),
    ("upper_die_hold", &["kN"]),
    ("shut_height", &["mm"]),
    ("daylight", &["mm"]),
    ("bolster_fit", &["mm"]),
    ("slide_fit", &["mm"]),
    ("guide_engagement", &["mm"]),
];

/// Limits without which no die passes.
pub const ESSENTIAL: [&str; 7] = [
    "rated_force",
    "force_at_height",
    "working_energy",
    "off_centre_x",
    "off_centre_y",
    "shut_height",
    "bolster_fit",
];

const STATES: [&str; 4] = ["within", "near", "over", "not_checked"];

/// Between rows the curve is straight within this part of the peak.
const CURVE_TOLERANCE: f64 = 0.005;

/// Every good job with either cutting profile.
fn jobs() -> Vec<(String, Value)> {
    let mut jobs = Vec::new();
    for (name, text) in good_jobs() {
        for profile in ["shaped", "plateau"] {
            let job = with(value(text), "/settings/cut_profile", profile);
            jobs.push((format!("{name}, {profile}"), job));
        }
    }
    jobs
}

#[track_caller]
fn assert_keys(value: &Value, keys: &[&str]) {
    let found: Vec<&str> = object(value).keys().map(String::as_str).collect();
    assert_eq!(found, keys);
}

#[track_caller]
fn assert_number_or_null(value: &Value) {
    assert!(value.is_number() || value.is_null(), "{value}");
}

/// `full`, `filling_<position>` or `running_out_<position>`.
fn is_strip_state(word: &str) -> bool {
    word == "full"
        || word
            .strip_prefix("filling_")
            .or_else(|| word.strip_prefix("running_out_"))
            .is_some_and(|position| position.parse::<u32>().is_ok_and(|position| position > 0))
}

fn curve(report: &Value) -> &[Value] {
    report["curve"].as_array().expect("a list")
}

#[test]
fn example_loads_and_is_within_its_limits() {
    Job::read(EXAMPLE).expect("the example is a job");
    let report = report(&example());
    assert_eq!(report["verdict"], "within");
    assert_eq!(number(&limit(&report, "rated_force")["limit"]), 1600.0);
    // 45 of 60 strokes a minute leave (45/60)² of 18 kJ.
    assert_near(number(&limit(&report, "working_energy")["limit"]), 10.125, 1e-12);
}

#[test]
fn report_has_the_fields_of_its_version() {
    for (_, job) in jobs() {
        let report = report(&job);
        let mut keys = vec![
            "format",
            "version",
            "verdict",
            "peak",
            "peak_upper",
            "energy_j",
            "energy_upper_j",
            "stripping_kn",
            "reverse_kn",
            "speed",
            "stretch",
            "limits",
            "cautions",
            "curve",
        ];
        // What this coil asks stands there only if its numbers are entered.
        if job.get("coil").is_some() {
            keys.insert(11, "coil");
        }
        assert_keys(&report, &keys);
        assert_eq!(report["format"], "evenstroke-report");
        assert_eq!(report["version"], 1);
        assert!(STATES.contains(&report["verdict"].as_str().expect("a word")));
        for peak in ["peak", "peak_upper"] {
            assert_keys(&report[peak], &["force_kn", "height_mm", "x_mm", "y_mm"]);
            for field in object(&report[peak]).values() {
                number(field);
            }
        }
        for magnitude in ["energy_j", "energy_upper_j", "stripping_kn"] {
            assert!(number(&report[magnitude]) >= 0.0, "{magnitude}");
        }
        assert_number_or_null(&report["reverse_kn"]);
        for caution in report["cautions"].as_array().expect("a list") {
            assert_keys(caution, &["id", "text"]);
            for field in object(caution).values() {
                assert!(!field.as_str().expect("text").is_empty());
            }
        }
        for row in curve(&report) {
            assert_keys(
                row,
                &["height_mm", "force_kn", "upper_kn", "available_kn", "x_mm", "y_mm"],
            );
            for (key, field) in object(row) {
                if key == "available_kn" {
                    assert_number_or_null(field)
                } else {
                    number(field);
                }
            }
        }
    }
}

#[test]
fn limits_are_all_there_with_their_units_and_states() {
    for (name, job) in jobs() {
        let report = report(&job);
        let near_share = job["settings"]["near_share"]
            .as_f64()
            .unwrap_or(if job["press"]["frame"] == "gap_frame" { 0.65 } else { 0.80 });
        let rows = report["limits"].as_array().expect("a list");
        let ids: Vec<&str> = rows.iter().map(|row| row["id"].as_str().expect("an id")).collect();
        assert_eq!(ids, LIMITS.map(|limit| limit.0));
        for (row, (id, units)) in rows.iter().zip(LIMITS) {
            let about = format!("{name}: {row}");
            let mut keys = vec![
                "id",
                "state",
                "share",
                "demand",
                "limit",
                "unit",
                "at_height_mm",
                "strip_state",
            ];
            if id == "reverse_load" {
                // It carries the mark of an estimate wherever it stands.
                assert_eq!(row["estimate"], true, "{about}");
                keys.push("estimate");
            }
            assert!(units.contains(&row["unit"].as_str().expect("a unit")), "{about}");
            if row["state"] == "not_checked" {
                for field in ["share", "demand", "limit", "at_height_mm", "strip_state"] {
                    assert!(row[field].is_null(), "{about}");
                }
                assert!(!row["missing"].as_str().expect("a text").is_empty(), "{about}");
                keys.push("missing");
                if row.get("needs").is_some() {
                    assert!(number(&row["needs"]) >= 0.0, "{about}");
                    keys.push("needs");
                    let text = row["needs_text"].as_str().unwrap_or_default();
                    assert!(text.contains(" if "), "{about}: {text}");
                    keys.push("needs_text");
                }
            } else {
                let share = number(&row["share"]);
                let (demand, limit) = (number(&row["demand"]), number(&row["limit"]));
                // The shut height's share is that of its window; JSON has no infinity.
                if id != "shut_height" && demand > 0.0 {
                    let expected = (demand / limit).min(1e12);
                    assert_near(share, expected, 1e-9 * expected);
                }
                let state = if share > 1.0 {
                    "over"
                } else if share >= near_share {
                    "near"
                } else {
                    "within"
                };
                assert_eq!(row["state"], state, "{about}");
                assert!(is_strip_state(row["strip_state"].as_str().expect("a word")), "{about}");
                assert_number_or_null(&row["at_height_mm"]);
                let cautions = report["cautions"].as_array().expect("a list");
                let is_told = cautions.iter().any(|caution| caution["id"] == id);
                assert_eq!(is_told, state != "within", "{about}");
            }
            assert_keys(row, &keys);
        }
    }
}

#[test]
fn verdict_is_the_worst_state() {
    for (_, job) in jobs() {
        let report = report(&job);
        let states: Vec<&str> = LIMITS
            .iter()
            .map(|(id, _)| limit(&report, id)["state"].as_str().expect("a word"))
            .collect();
        let essential_open =
            ESSENTIAL.iter().any(|id| limit(&report, id)["state"] == "not_checked");
        let expected = if states.contains(&"over") {
            "over"
        } else if essential_open {
            "not_checked"
        } else if states.contains(&"near") {
            "near"
        } else {
            "within"
        };
        assert_eq!(report["verdict"], expected);
    }
}

#[test]
fn peak_is_the_highest_row_of_the_curve() {
    for (name, job) in jobs() {
        let report = report(&job);
        for (peak, column) in [("peak", "force_kn"), ("peak_upper", "upper_kn")] {
            let peak = &report[peak];
            let highest = curve(&report)
                .iter()
                .max_by(|a, b| number(&a[column]).total_cmp(&number(&b[column])))
                .expect("rows");
            // Of rows that differ by rounding alone the first one is the peak.
            let (at_peak, most) = (number(&peak["force_kn"]), number(&highest[column]));
            assert!((at_peak - most).abs() <= 1e-12 * most, "{name}: {at_peak} {most}");
            let at_peak: Vec<&Value> =
                curve(&report).iter().filter(|row| row["height_mm"] == peak["height_mm"]).collect();
            assert!(at_peak.iter().any(|row| row[column] == peak["force_kn"]), "{name}");
            if column == "force_kn" {
                let same =
                    |row: &&&Value| row["x_mm"] == peak["x_mm"] && row["y_mm"] == peak["y_mm"];
                assert!(at_peak.iter().find(same).is_some(), "{name}");
            }
        }
    }
}

#[test]
fn curve_runs_from_the_top_of_the_stroke_down_to_bdc() {
    for (name, job) in jobs() {
        let report = report(&job);
        let heights: Vec<f64> =
            curve(&report).iter().map(|row| number(&row["height_mm"])).collect();
        assert_near(heights[0], number(&job["press"]["drive"]["stroke_mm"]), 1e-9);
        assert_near(*heights.last().expect("rows"), 0.0, 1e-9);
        for (i, pair) in heights.windows(2).enumerate() {
            assert!(pair[1] <= pair[0], "{name}: row {i} rises from {} to {}", pair[0], pair[1]);
        }
        let thrice = heights.windows(3).any(|three| three[0] == three[2]);
        assert!(!thrice, "{name}: a height stands more than twice");
    }
}

/// All loads of a job at one height, straight from the laws.
fn force_from_the_laws(job: &Job, line: Line, heights_m: &[f64]) -> Vec<f64> {
    let mut total = LoadSeries::zero(heights_m.len());
    for station in &job.stations {
        let sheet = station.stock.as_ref().unwrap_or(&job.stock).sheet(line).expect("a sheet");
        let place = Motion::new(station.at, 0.0);
        for placed in &station.work {
            let motion = placed.motion.then(&place);
            let loads = placed.work.loads(&sheet, line, job.settings.cut_model, &motion);
            for load in loads.expect("loads") {
                load.add_to(heights_m, &mut total);
            }
        }
        if let Some(Stripper::Sprung(spring)) = &station.stripper {
            for (force, &height) in total.force.iter_mut().zip(heights_m) {
                *force += spring.force_at(Length::from_metres(height)).newtons();
            }
        }
    }
    total.force
}

#[test]
fn straight_lines_between_rows_stay_within_half_a_percent_of_the_peak() {
    const PARTS: [f64; 7] = [0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95];
    for (name, document) in jobs() {
        let job = Job::from_value(&document).expect("a job");
        let report = report(&document);
        for (line, column, peak) in
            [(Line::Nominal, "force_kn", "peak"), (Line::Upper, "upper_kn", "peak_upper")]
        {
            let allowed = CURVE_TOLERANCE * number(&report[peak]["force_kn"]);
            let mut heights_m = Vec::new();
            let mut straight = Vec::new();
            for pair in curve(&report).windows(2) {
                let (h0, h1) = (number(&pair[0]["height_mm"]), number(&pair[1]["height_mm"]));
                // Beside a jump the laws change within a hair, which is no place between rows.
                if h0 - h1 < 1e-6 {
                    continue;
                }
                let (f0, f1) = (number(&pair[0][column]), number(&pair[1][column]));
                for part in PARTS {
                    heights_m.push((h0 + part * (h1 - h0)) * 1e-3);
                    straight.push(f0 + part * (f1 - f0));
                }
            }
            assert!(heights_m.len() >= 4 * PARTS.len(), "{name}: the curve has next to no rows");
            let exact = force_from_the_laws(&job, line, &heights_m);
            for ((height, straight), exact) in heights_m.iter().zip(&straight).zip(&exact) {
                let off = (straight - exact * 1e-3).abs();
                assert!(
                    off <= allowed,
                    "{name}, {line:?}: {off} kN off at {} mm, allowed {allowed} kN",
                    height * 1e3
                );
            }
        }
    }
}

/// A flat straight cut of 100 mm in 2 mm sheet of 300 MPa shear strength that lets go at 0.4 of
/// thickness: 60 kN from 5 mm down to 4.2 mm, by the handbook's rule.
fn one_flat_cut() -> Value {
    let job = with(example(), "/settings/cut_profile", "plateau");
    let job = with(
        job,
        "/stock",
        json!({
            "thickness_mm": 2, "tensile_mpa": 375, "shear_ratio": 0.8, "penetration": 0.4, "separation": 0.7
        }),
    );
    with(
        job,
        "/stations",
        json!([{"work": [{
            "op": "cut", "kind": "shear", "entry_mm": 5,
            "outline": {"path": {"points": [[20, -50], [20, 50]]}}
        }]}]),
    )
}

#[test]
fn jump_has_two_rows_at_its_height() {
    let report = report(&one_flat_cut());
    for (height, before, after) in [(5.0, 0.0, 60.0), (4.2, 60.0, 0.0)] {
        let forces: Vec<f64> = curve(&report)
            .iter()
            .filter(|row| (number(&row["height_mm"]) - height).abs() < 1e-9)
            .map(|row| number(&row["force_kn"]))
            .collect();
        assert_eq!(forces.len(), 2, "rows at {height} mm");
        assert_near(forces[0], before, 1e-6);
        assert_near(forces[1], after, 1e-6);
    }
    // 60 kN over 0.8 mm.
    assert_near(number(&report["energy_j"]), 48.0, 1e-6);
    assert_near(number(&report["peak"]["x_mm"]), 20.0, 1e-9);
}

#[test]
fn csv_is_the_curve_of_the_report() {
    let job = Job::read(EXAMPLE).expect("the example is a job");
    let csv = curve_csv(&job.check());
    let report = report(&example());
    let mut lines = csv.lines();
    assert_eq!(lines.next(), Some("height_mm,force_kn,upper_kn,available_kn,x_mm,y_mm"));
    let rows = curve(&report);
    assert_eq!(lines.clone().count(), rows.len());
    for (line, row) in lines.zip(rows) {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().expect("a number")).collect();
        let expected: Vec<f64> = object(row).values().map(number).collect();
        assert_eq!(cells, expected);
    }
}

#[test]
fn missing_essential_rating_is_never_a_pass() {
    let removals = [
        ("/press/rated_force_kn", "rated_force"),
        ("/press/rated_force_kn", "force_at_height"),
        ("/press/drive/rating_height_mm", "force_at_height"),
        ("/press/drive/connecting_rod_mm", "force_at_height"),
        ("/press/energy", "working_energy"),
        ("/press/energy/usable_kj", "working_energy"),
        ("/press/speed_spm", "working_energy"),
        ("/press/off_centre", "off_centre_x"),
        ("/press/off_centre", "off_centre_y"),
        ("/press/off_centre/moment_x_knm", "off_centre_x"),
        ("/press/off_centre/moment_y_knm", "off_centre_y"),
        ("/press/shut_height_mm", "shut_height"),
        ("/press/shut_height_adjustment_mm", "shut_height"),
        ("/die/shut_height_mm", "shut_height"),
        ("/press/bolster", "bolster_fit"),
        ("/die/width_mm", "bolster_fit"),
        ("/die/depth_mm", "bolster_fit"),
    ];
    assert!(ESSENTIAL.iter().all(|id| removals.iter().any(|removal| removal.1 == *id)));
    for (pointer, id) in removals {
        let report = report(&without(example(), pointer));
        assert_eq!(report["verdict"], "not_checked", "without {pointer}");
        assert_eq!(limit(&report, id)["state"], "not_checked", "without {pointer}");
    }
}

#[test]
fn missing_essential_rating_does_not_hide_what_is_over() {
    let job = with(without(example(), "/press/off_centre"), "/press/rated_force_kn", 20);
    assert_eq!(report(&job)["verdict"], "over");
}

#[test]
fn missing_rating_that_is_not_essential_leaves_the_verdict() {
    for (pointer, id) in [
        ("/press/motor_kw", "motor_power"),
        ("/press/suspension", "suspension_load"),
        ("/press/slide", "slide_fit"),
    ] {
        let report = report(&without(example(), pointer));
        assert_eq!(report["verdict"], "within", "without {pointer}");
        assert_eq!(limit(&report, id)["state"], "not_checked", "without {pointer}");
    }
}

#[test]
fn die_without_any_work_is_not_checked() {
    let report = report(&with(example(), "/stations", json!([{"name": "Idle"}])));
    assert_eq!(report["verdict"], "not_checked");
    assert_eq!(
        report["peak"],
        json!({"force_kn": 0.0, "height_mm": 0.0, "x_mm": 0.0, "y_mm": 0.0})
    );
}

#[test]
fn near_starts_at_the_share_of_the_settings_and_ends_at_the_limit() {
    let share = number(&limit(&report(&example()), "slide_fit")["share"]);
    assert_near(share, 0.6, 1e-12);
    for (width, state) in
        [(900.0 / 0.799, "within"), (900.0 / 0.801, "near"), (900.0, "near"), (899.9, "over")]
    {
        let report = report(&with(example(), "/press/slide/width_mm", width));
        assert_eq!(limit(&report, "slide_fit")["state"], state, "slide {width} mm wide");
        assert_eq!(report["verdict"], state);
    }
}

#[test]
fn gap_frame_is_near_earlier_than_straight_side() {
    let job = without(example(), "/settings/near_share");
    let job = with(job, "/press/slide/width_mm", 900.0 / 0.7);
    assert_eq!(report(&job)["verdict"], "within");
    assert_eq!(report(&with(job, "/press/frame", "gap_frame"))["verdict"], "near");
}

/// Peak of the example placed so, as (x, y).
fn load_centre(x_mm: f64, y_mm: f64, turn_deg: i32) -> (f64, f64) {
    let placement = json!({"x_mm": x_mm, "y_mm": y_mm, "turn_deg": turn_deg});
    let report = report(&with(example(), "/die/placement", placement));
    (number(&report["peak"]["x_mm"]), number(&report["peak"]["y_mm"]))
}

#[test]
fn shift_moves_the_load_centre_with_the_die() {
    let (x, y) = load_centre(0.0, 0.0, 0);
    assert!(x.abs() > 10.0 && y.abs() > 10.0, "the example is off centre");
    let (shifted_x, shifted_y) = load_centre(12.0, -7.0, 0);
    assert_near(shifted_x, x + 12.0, 1e-9);
    assert_near(shifted_y, y - 7.0, 1e-9);
}

#[test]
fn turn_is_counter_clockwise_about_the_die_centre() {
    let (x, y) = load_centre(0.0, 0.0, 0);
    for (turn, turned) in [(90, (-y, x)), (180, (-x, -y)), (270, (y, -x)), (-90, (y, -x))] {
        let (found_x, found_y) = load_centre(30.0, 5.0, turn);
        assert_near(found_x, 30.0 + turned.0, 1e-9);
        assert_near(found_y, 5.0 + turned.1, 1e-9);
    }
}

#[test]
fn whole_turn_changes_nothing() {
    for pair in [(0, 360), (0, -360), (90, -270), (180, -180), (270, -90)] {
        let of = |turn: i32| report(&with(example(), "/die/placement/turn_deg", turn));
        assert_eq!(of(pair.0), of(pair.1), "{pair:?}");
    }
}

#[test]
fn quarter_turn_exchanges_width_and_depth_on_the_bolster() {
    let report = report(&with(example(), "/die/placement/turn_deg", 90));
    // 900 mm deep now, in the middle of 900 mm.
    assert_near(number(&limit(&report, "bolster_fit")["share"]), 1.0, 1e-12);
    assert_near(number(&limit(&report, "slide_fit")["share"]), 1.125, 1e-12);
}

#[test]
fn partial_strip_is_the_worst_where_the_full_one_balances() {
    // Two equal cuts left and right of the centre: only one of them works while the strip fills.
    let station = |x: f64, position: u32| {
        json!({"x_mm": x, "strip_position": position, "work": [{
            "op": "cut", "kind": "pierce", "entry_mm": 5, "outline": {"circle": {"diameter_mm": 30}}
        }]})
    };
    let job = with(example(), "/stations", json!([station(-200.0, 3), station(200.0, 5)]));
    let report = report(&job);
    assert_near(number(&report["peak"]["x_mm"]), 0.0, 1e-9);
    let row = limit(&report, "off_centre_x");
    assert!(number(&row["demand"]) > 1.0);
    assert!(["filling_3", "running_out_4"].contains(&row["strip_state"].as_str().expect("a word")));
    assert_eq!(limit(&report, "rated_force")["strip_state"], "full");
}

#[test]
fn station_stock_may_stand_beside_its_own_stock_object() {
    let plain = one_flat_cut();
    let force = |job: &Value| number(&report(job)["peak"]["force_kn"]);
    assert_near(force(&plain), 60.0, 1e-6);
    // Thickness in one place, strength in the other: 3 mm of 400 MPa shear strength.
    let split = with(plain.clone(), "/stations/0/stock", json!({"thickness_mm": 3}));
    let split = with(split, "/stations/0/tensile_mpa", 500);
    assert_near(force(&split), 120.0, 1e-6);
    // Of two values the one in the stock object counts.
    let both = with(split, "/stations/0/thickness_mm", 1);
    assert_near(force(&both), 120.0, 1e-6);
}

#[test]
fn station_of_stronger_stock_does_not_keep_the_shear_strength_of_the_job() {
    let job = with(one_flat_cut(), "/stock/shear_strength_mpa", 250);
    let force = |job: &Value| number(&report(job)["peak"]["force_kn"]);
    assert_near(force(&job), 50.0, 1e-6);
    let job = with(job, "/stations/0/stock", json!({"tensile_mpa": 750}));
    assert_near(force(&job), 120.0, 1e-6);
}

#[test]
fn gap_that_is_not_given_is_the_thickness_in_the_station() {
    let bend = json!([{"stock": {"thickness_mm": 3}, "work": [{
        "op": "bend", "kind": "wipe", "length_mm": 80, "punch_radius_mm": 3, "die_radius_mm": 4, "entry_mm": 20
    }]}]);
    let left_open = with(example(), "/stations", bend);
    let given = with(left_open.clone(), "/stations/0/work/0/gap_mm", 3);
    assert_eq!(report(&left_open)["peak"], report(&given)["peak"]);
}

#[test]
fn nothing_in_a_report_is_called_safe() {
    for (_, job) in jobs() {
        let text = report(&job).to_string().replace("safety blocks", "");
        assert!(!text.to_lowercase().contains("safe"), "{text}");
    }
}

#[test]
fn point_of_a_length_only_cut_is_its_station() {
    let job = with(
        example(),
        "/stations",
        json!([{"x_mm": 35, "y_mm": -12, "work": [{
            "op": "cut", "kind": "shear", "entry_mm": 5, "outline": {"length_mm": 100}
        }]}]),
    );
    let job = Job::from_value(&job).expect("a job");
    let peak = job.check().peak.expect("a peak");
    assert_near(peak.centre.distance(Point::from_millimetres(35.0, -12.0)), 0.0, 1e-12);
}

#[test]
fn suspension_points_without_their_distance_are_not_checked() {
    let mut job = example();
    job["press"]["suspension"] = json!({"points": 2});
    let report = report(&job);
    let limits = report["limits"].as_array().expect("limits are a list");
    let suspension = limits.iter().find(|limit| limit["id"] == "suspension_load");
    assert_eq!(suspension.expect("it is listed")["state"], "not_checked");
}

/// The example with one 100 kN table 200 mm right of the middle beside a hole there, so that its tilt
/// is known: 20 kN·m on 1500 · 900²/4 kN·mm, which is 0.065 8 mm per metre, over 380 mm of die.
fn tilting_job() -> Value {
    let work = json!([
        {"op": "table", "points": [{"height_mm": 9, "force_kn": 0}, {"height_mm": 5, "force_kn": 100},
         {"height_mm": 0, "force_kn": 100}]},
        {"op": "cut", "kind": "pierce", "outline": {"circle": {"diameter_mm": 0.001}}, "entry_mm": 4,
         "clearance_percent": 8}
    ]);
    let station =
        json!({"name": "Hole", "x_mm": 200, "y_mm": 0, "strip_position": 1, "work": work});
    with(example(), "/stations", json!([station]))
}

#[test]
fn tilt_of_a_known_load_is_held_against_the_clearance() {
    let demand = |job: &Value| number(&limit(&report(job), "slide_tilt")["demand"]);
    let bare = demand(&tilting_job());
    assert_near(bare, 20.0 / (1500.0 * 0.9 * 0.9 / 4.0) * 0.38, 1e-4);
    // 8 % of 2 mm.
    assert_near(number(&limit(&report(&tilting_job()), "slide_tilt")["limit"]), 0.16, 1e-9);

    let stiffer = with(tilting_job(), "/press/suspension/stiffness_kn_per_mm", 1500);
    assert_near(demand(&stiffer), bare / 2.0, 1e-4);
    let level = |level: Value| with(tilting_job(), "/press/level", level);
    let play = level(json!({"gib_clearance_mm": 0.03}));
    assert_near(demand(&play), bare + 0.03, 1e-4);
    let skew = level(json!({"parallelism_mm_per_m": 0.05}));
    assert_near(demand(&skew), bare + 0.05 * 0.38, 1e-4);
    // As much again as the points hold, in kN·m per mm/m: 1500 · 900²/4 kN·mm.
    let held = level(json!({"stiffness_x_knm_per_mm_per_m": 1500.0 * 0.9 * 0.9 / 4.0}));
    assert_near(demand(&held), bare / 2.0, 1e-4);
}

#[test]
fn tilt_of_a_gap_frame_needs_its_frame_and_cautions() {
    let gap = with(tilting_job(), "/press/frame", "gap_frame");
    let missing = limit(&report(&gap), "slide_tilt")["missing"].to_string();
    assert!(missing.contains("gap frame tilts at rated force"), "{missing}");
    // 0.32 mm per metre at 1600 kN is 0.02 at 100 kN, square to the tilt left–right.
    let level =
        json!({"frame_mm_per_m_at_rated": 0.32, "gib_clearance_mm": 0, "gib_length_mm": 500});
    let told = report(&with(gap, "/press/level", level));
    let left_right: f64 = 20.0 / (1500.0 * 0.9 * 0.9 / 4.0);
    let demand = number(&limit(&told, "slide_tilt")["demand"]);
    assert_near(demand, left_right.hypot(0.02) * 0.38, 1e-3);
    let cautions = told["cautions"].as_array().expect("a list");
    assert!(cautions.iter().any(|caution| caution["id"] == "frame_tilts"), "{cautions:?}");
}

#[test]
fn stiffness_of_a_point_is_assumed_only_where_it_counts() {
    let assumes = |job: &Value| {
        let told = report(job);
        let cautions = told["cautions"].as_array().expect("a list").clone();
        cautions.iter().any(|caution| caution["id"] == "assumed_point_stiffness")
    };
    assert!(assumes(&example()));
    assert!(!assumes(&with(example(), "/press/suspension/stiffness_kn_per_mm", 900)));
    assert!(!assumes(&with(example(), "/press/suspension", json!({"points": 1}))));
    assert!(!assumes(&without(example(), "/press/stiffness_kn_per_mm")));
}

#[test]
fn tilt_reads_in_fine_digits_with_its_station() {
    use evenstroke_job::{units::UnitSystem, words::limit_words};
    let job = Job::from_value(&tilting_job()).unwrap_or_else(|refused| panic!("{refused}"));
    let check = job.check();
    let words =
        limit_words(&job, &check, check.limit(press_load::LimitId::SlideTilt), UnitSystem::Metric);
    assert!(words.starts_with("0.025 mm of 0.160 mm clearance in Hole at "), "{words}");
}
