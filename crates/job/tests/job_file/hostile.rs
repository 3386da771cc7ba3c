//! Files that are broken, huge, absurd or meant ill: refused with place, allowed and given, and
//! never a panic.

use crate::support::{
    EVERY_OPERATION, EXAMPLE, example, good_jobs, pointers, refusals, report, value, with, without,
};
use evenstroke_job::{Job, read, report::Report};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::{collections::BTreeSet, fs, path::PathBuf};

/// The small hostile files, and the paths at which each is refused.
const FILES: [(&str, &[&str]); 29] = [
    ("beyond_all_numbers.json", &["$"]),
    ("byte_order_mark_only.json", &["$"]),
    ("cut_off.json", &["$"]),
    ("empty.json", &["$"]),
    ("format_in_capitals.json", &["format"]),
    ("half_a_letter.json", &["$"]),
    ("infinity.json", &["$"]),
    (
        "keys_of_a_script_engine.json",
        &["__proto__", "constructor", "press.drive.kind", "stock", "die", "stations"],
    ),
    ("list.json", &["$"]),
    ("nan.json", &["$"]),
    ("no_fields.json", &["format"]),
    ("no_sections.json", &["stock", "die", "stations"]),
    ("no_version.json", &["version"]),
    ("not_json.json", &["$"]),
    ("not_utf8.json", &["$"]),
    ("null.json", &["$"]),
    ("repeated_key.json", &["$"]),
    ("repeated_key_deep_inside.json", &["$"]),
    ("repeated_key_written_in_two_ways.json", &["$"]),
    ("report.json", &["format"]),
    ("sections_of_wrong_types.json", &["press", "stock", "die", "stations"]),
    ("trailing_comma.json", &["$"]),
    ("two_documents.json", &["$"]),
    ("version_0.json", &["version"]),
    ("version_1_and_a_half.json", &["version"]),
    ("version_2.json", &["version"]),
    ("version_as_text.json", &["version"]),
    ("version_beyond_counting.json", &["version"]),
    ("whitespace.json", &["$"]),
];

fn folder() -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/hostile"))
}

#[test]
fn hostile_files_are_refused_where_they_are_wrong() {
    for (name, paths) in FILES {
        let bytes = fs::read(folder().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
        let found = refusals(Job::read_bytes(&bytes));
        let found: Vec<&str> = found.iter().map(|refusal| refusal.path.as_str()).collect();
        assert_eq!(found, paths, "{name}");
    }
}

#[test]
fn every_hostile_file_is_tried() {
    let tried: BTreeSet<String> = FILES.iter().map(|file| file.0.to_owned()).collect();
    let kept: BTreeSet<String> = fs::read_dir(folder())
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().into_string().expect("a name"))
        .collect();
    assert_eq!(tried, kept);
}

/// Fails unless the job is refused at `path` alone, in words that hold `allowed` and `given`.
#[track_caller]
fn assert_refused(job: &Value, path: &str, allowed: &str, given: &str) {
    let found = refusals(Job::from_value(job));
    let [refusal] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(refusal.path, path);
    assert!(refusal.allowed.contains(allowed), "{refusal}");
    assert!(refusal.given.contains(given), "{refusal}");
    // The text of the file says the same.
    assert_eq!(refusals(Job::read(&job.to_string())), found);
}

#[test]
fn byte_order_mark_before_a_job_is_passed_over() {
    assert!(Job::read(&format!("\u{feff}{EXAMPLE}")).is_ok());
}

#[test]
fn refusal_of_a_repeated_key_names_it() {
    let text =
        EXAMPLE.replacen("\"diameter_mm\": 30", "\"diameter_mm\": 30, \"diameter_mm\": 3", 1);
    let found = refusals(Job::read(&text));
    assert!(found[0].given.contains("\"diameter_mm\" stands twice"), "{}", found[0]);
}

#[test]
fn nesting_without_end_is_refused() {
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let deep = open.repeat(100_000);
        let closed = format!("{deep}1{}", close.repeat(100_000));
        for text in [deep, closed] {
            let found = refusals(Job::read(&text));
            assert_eq!(found[0].path, "$");
            assert!(found[0].allowed.contains("127 levels"), "{}", found[0]);
        }
    }
}

#[test]
fn nesting_inside_a_job_is_refused_where_it_starts() {
    let mut deep = json!(1);
    for _ in 0..100 {
        deep = json!([deep]);
    }
    assert_refused(&with(example(), "/title", deep), "title", "text", "a list of 1 items");
}

#[test]
fn file_beyond_20_mb_is_refused_before_it_is_read() {
    // A job that is good but for its size.
    let text = EXAMPLE.to_owned() + &" ".repeat(read::LARGEST_FILE + 1 - EXAMPLE.len());
    let found = refusals(Job::read(&text));
    assert_eq!((found[0].path.as_str(), found[0].given.as_str()), ("$", "more"));
    assert!(found[0].allowed.contains("20971520 bytes"), "{}", found[0]);
    assert!(Job::read(&text[..read::LARGEST_FILE]).is_ok());
    // One that was read in part may end inside a letter.
    assert!(refusals(Job::read_bytes(&vec![0xc3; read::LARGEST_FILE + 1]))[0].given == "more");
}

#[test]
fn bytes_that_are_no_text_are_named() {
    let mut bytes = EXAMPLE.as_bytes().to_vec();
    bytes[100] = 0xff;
    let found = refusals(Job::read_bytes(&bytes));
    assert_eq!(found[0].to_string(), "$: a job file must be UTF-8 text, given 0xff at byte 100");
}

#[test]
fn later_version_is_refused_for_that_alone() {
    for version in [json!(2), json!(1.5), json!("1"), json!(1e300), json!(-1), Value::Null] {
        let job = with(with(example(), "/unheard_of", 1), "/version", version.clone());
        let given = if version.is_null() { "nothing".to_owned() } else { version.to_string() };
        assert_refused(&job, "version", "must be 1", &given);
    }
    // The same number in another spelling.
    assert!(Job::from_value(&with(example(), "/version", 1.0)).is_ok());
}

#[test]
fn missing_section_is_named() {
    for section in ["stock", "die", "stations"] {
        assert_refused(&without(example(), &format!("/{section}")), section, "must be", "nothing");
    }
    assert_refused(&without(example(), "/press/drive"), "press.drive", "must be", "nothing");
}

#[test]
fn band_whose_ends_are_exchanged_is_refused() {
    let job = with(example(), "/die/band", json!({"y_from_mm": 8, "y_to_mm": -8}));
    assert_refused(&job, "die.band.y_from_mm", "must be at most -8, the other end", "8");
    let locked = with(example(), "/die/band", json!({"y_from_mm": 8, "y_to_mm": 8}));
    assert!(Job::from_value(&locked).is_ok());
}

#[test]
fn unknown_field_is_refused_at_every_level() {
    let job = value(EVERY_OPERATION);
    let mut objects = 0;
    for pointer in [String::new()].into_iter().chain(pointers(&job)) {
        if !job.pointer(&pointer).is_some_and(Value::is_object) {
            continue;
        }
        objects += 1;
        let spoiled = with(job.clone(), &format!("{pointer}/colour"), "red");
        let found = refusals(Job::from_value(&spoiled));
        let [refusal] = found.as_slice() else { panic!("{pointer}: {found:?}") };
        // An outline has exactly one field, so that two are the outline's fault.
        assert!(
            refusal.path.ends_with("colour") && refusal.given == "\"red\""
                || refusal.path.ends_with("outline") && refusal.given.contains("colour"),
            "{refusal}"
        );
    }
    assert!(objects > 60, "{objects} objects");
}

#[test]
fn value_of_a_wrong_type_is_refused_everywhere() {
    let job = value(EVERY_OPERATION);
    for pointer in pointers(&job) {
        for wrong in [Value::Null, json!([[]]), json!({"colour": "red"})] {
            refusals(Job::from_value(&with(job.clone(), &pointer, wrong)));
        }
    }
}

#[test]
fn negative_number_is_refused_where_none_can_be() {
    let signed = ["x_mm", "y_mm", "turn_deg", "direction_deg", "points", "bulges", "band"];
    let job = value(EVERY_OPERATION);
    let mut tried = 0;
    for pointer in pointers(&job) {
        let number = job.pointer(&pointer).is_some_and(Value::is_number);
        let may_be_negative = signed.iter().any(|key| {
            pointer.split('/').any(|step| step == *key)
                && !pointer.ends_with("_kn")
                && !pointer.ends_with("height_mm")
                && !pointer.ends_with("travel_mm")
        });
        if number && !may_be_negative {
            tried += 1;
            let found = refusals(Job::from_value(&with(job.clone(), &pointer, -7)));
            assert!(found[0].given.contains("-7"), "{}", found[0]);
        }
    }
    assert!(tried > 150, "{tried} numbers");
}

#[test]
fn numbers_beyond_any_press_are_refused() {
    for (pointer, path, given) in [
        ("/press/rated_force_kn", "press.rated_force_kn", json!(1e7)),
        ("/press/drive/stroke_mm", "press.drive.stroke_mm", json!(1e300)),
        ("/press/speed_spm", "press.speed_spm", json!(0)),
        ("/press/reverse_limit_percent", "press.reverse_limit_percent", json!(101)),
        ("/stock/thickness_mm", "stock.thickness_mm", json!(0)),
        ("/stock/shear_ratio", "stock.shear_ratio", json!(2)),
        ("/stock/penetration", "stock.penetration", json!(1.01)),
        ("/settings/near_share", "settings.near_share", json!(0)),
        ("/die/placement/turn_deg", "die.placement.turn_deg", json!(45)),
        ("/die/placement/x_mm", "die.placement.x_mm", json!(-100_001)),
        ("/press/suspension/points", "press.suspension.points", json!(3)),
        ("/stations/0/strip_position", "stations[0].strip_position", json!(0)),
    ] {
        let text = given.to_string();
        assert_refused(&with(example(), pointer, given), path, "must be", &text);
    }
}

#[test]
fn rod_must_be_longer_than_the_crank() {
    let job = with(example(), "/press/drive/connecting_rod_mm", 100);
    assert_refused(
        &job,
        "press.drive.connecting_rod_mm",
        "longer than the crank radius 100 mm",
        "100 mm",
    );
}

#[test]
fn rating_height_must_be_in_the_lower_half_of_the_stroke() {
    let job = with(example(), "/press/drive/rating_height_mm", 101);
    assert_refused(&job, "press.drive.rating_height_mm", "at most 100 mm", "101 mm");
}

#[test]
fn entry_must_be_within_the_stroke() {
    let job = with(example(), "/stations/2/work/1/entry_mm", 201);
    assert_refused(&job, "stations[2].work[1].entry_mm", "at most the stroke, 200 mm", "201 mm");
    let stripper = json!({"kind": "coil", "preload_kn": 1, "rate_kn_per_mm": 1, "entry_mm": 300});
    let job = with(example(), "/stations/0/stripper", stripper);
    assert_refused(&job, "stations[0].stripper.entry_mm", "at most the stroke", "300 mm");
    let points = json!([{"height_mm": 201, "force_kn": 0}, {"height_mm": 0, "force_kn": 1}]);
    let job = with(example(), "/stations/0/work/0", json!({"op": "table", "points": points}));
    assert_refused(&job, "stations[0].work[0].points[0].height_mm", "at most the stroke", "201 mm");
}

#[test]
fn low_must_not_be_above_high() {
    let job = with(example(), "/stock/tensile_mpa", json!({"low": 410, "high": 270}));
    assert_refused(&job, "stock.tensile_mpa", "low must not be above high", "410 and 270");
}

#[test]
fn stock_needs_a_strength() {
    let job = without(example(), "/stock/tensile_mpa");
    assert_refused(&job, "stock.tensile_mpa", "shear_strength_mpa", "nothing");
}

#[test]
fn tables_must_run_in_one_direction() {
    let rows = |key: &str, at: [f64; 3]| {
        Value::Array(at.iter().map(|at| json!({key: at, "force_kn": 10})).collect())
    };
    for at in [[0.0, 10.0, 5.0], [0.0, 10.0, 10.0], [10.0, 0.0, 5.0]] {
        let drive = json!({"kind": "table", "stroke_mm": 200, "points": rows("height_mm", at)});
        let job = with(example(), "/press/drive", drive);
        assert_refused(&job, "press.drive.points", "one direction", "repeat or turn back");
        let job = with(example(), "/press/off_centre/table_y", rows("offset_mm", at));
        assert_refused(&job, "press.off_centre.table_y", "one direction", "repeat or turn back");
        let work = json!({"op": "table", "points": rows("height_mm", at)});
        let job = with(example(), "/stations/1/work/0", work);
        assert_refused(&job, "stations[1].work[0].points", "one direction", "repeat or turn back");
    }
    let falling = rows("travel_mm", [10.0, 5.0, 0.0]);
    let work = json!({"op": "spring", "kind": "elastomer", "entry_mm": 9, "points": falling});
    let job = with(example(), "/stations/2/work/1", work);
    assert_refused(&job, "stations[2].work[1].points", "one direction", "repeat or turn back");
}

#[test]
fn work_that_cannot_be_is_refused_at_its_field() {
    let cut =
        |outline: Value| json!({"op": "cut", "kind": "blank", "entry_mm": 5, "outline": outline});
    let path = |points: Value, bulges: Value| {
        cut(json!({"path": {"closed": true, "points": points, "bulges": bulges}}))
    };
    let cases = [
        (
            path(json!([[3, 3], [3, 3], [3, 3]]), json!([])),
            "outline.path.points",
            "two points that differ",
            "all the same",
        ),
        (
            path(json!([[0, 0], [9, 0], [9, 9]]), json!([0, 1])),
            "outline.path.bulges",
            "each of the 3 segments",
            "2",
        ),
        (
            cut(json!({"rectangle": {"width_mm": 40, "depth_mm": 20, "corner_radius_mm": 10.5}})),
            "outline.rectangle.corner_radius_mm",
            "at most 10 mm",
            "10.5 mm",
        ),
        (
            cut(json!({"slot": {"length_mm": 10, "width_mm": 12}})),
            "outline.slot.length_mm",
            "more than its width 12 mm",
            "10 mm",
        ),
        (
            json!({"op": "bend", "kind": "v", "length_mm": 80, "opening_mm": 2, "entry_mm": 9}),
            "opening_mm",
            "more than the sheet thickness",
            "2 mm",
        ),
        (
            json!({"op": "bend", "kind": "v", "length_mm": 80, "entry_mm": 9}),
            "opening_mm",
            "with kind v",
            "nothing",
        ),
        (
            json!({"op": "bend", "kind": "u", "length_mm": 80, "die_radius_mm": 4, "entry_mm": 9}),
            "punch_radius_mm",
            "with kind u or wipe",
            "nothing",
        ),
        (
            json!({"op": "flange", "kind": "stretch", "length_mm": 80, "punch_radius_mm": 3, "die_radius_mm": 4, "entry_mm": 9}),
            "plan_radius_mm",
            "radius in plan and its height",
            "nothing",
        ),
        (
            json!({"op": "flange", "kind": "stretch", "length_mm": 80, "punch_radius_mm": 3, "die_radius_mm": 4, "plan_radius_mm": 10, "height_mm": 12, "entry_mm": 9}),
            "height_mm",
            "less than its radius in plan 10 mm",
            "12 mm",
        ),
        (
            json!({"op": "hole_flange", "hole_diameter_mm": 20, "flange_diameter_mm": 19, "entry_mm": 9}),
            "hole_diameter_mm",
            "less than the flange diameter 19 mm",
            "20 mm",
        ),
        (
            json!({"op": "draw", "kind": "first", "blank_diameter_mm": 50, "punch_diameter_mm": 60, "depth_mm": 9, "entry_mm": 9}),
            "punch_diameter_mm",
            "less than the blank diameter 50 mm",
            "60 mm",
        ),
        (
            json!({"op": "draw", "kind": "first", "blank_diameter_mm": 51, "punch_diameter_mm": 50, "depth_mm": 9, "entry_mm": 9}),
            "blank_diameter_mm",
            "punch plus one thickness",
            "51 mm",
        ),
        (
            json!({"op": "draw", "kind": "first", "blank_diameter_mm": 90, "punch_diameter_mm": 50, "punch_radius_mm": 26, "depth_mm": 9, "entry_mm": 9}),
            "punch_radius_mm",
            "at most 25 mm",
            "26 mm",
        ),
        (
            json!({"op": "draw", "kind": "iron", "blank_diameter_mm": 90, "punch_diameter_mm": 50, "depth_mm": 9, "entry_mm": 9}),
            "wall_after_mm",
            "wall thickness after it",
            "nothing",
        ),
        (
            json!({"op": "draw", "kind": "iron", "blank_diameter_mm": 90, "punch_diameter_mm": 50, "wall_after_mm": 2.5, "depth_mm": 9, "entry_mm": 9}),
            "wall_after_mm",
            "less than the sheet thickness",
            "2.5 mm",
        ),
    ];
    for (work, field, allowed, given) in cases {
        let job = with(example(), "/stations/2/work/1", work);
        assert_refused(&job, &format!("stations[2].work[1].{field}"), allowed, given);
    }
}

#[test]
fn outline_is_exactly_one_thing() {
    for outline in [
        json!({}),
        json!({"circle": {"diameter_mm": 3}, "length_mm": 3}),
        json!({"triangle": {"side_mm": 3}}),
        json!([]),
    ] {
        let job = with(example(), "/stations/0/work/0/outline", outline);
        assert_refused(
            &job,
            "stations[0].work[0].outline",
            "exactly one of circle, rectangle",
            "a",
        );
    }
}

#[test]
fn stripper_of_an_unknown_kind_is_told_all_kinds() {
    let job = with(example(), "/stations/0/stripper", json!({"kind": "magnet"}));
    assert_refused(
        &job,
        "stations[0].stripper.kind",
        "fixed, coil, gas, elastomer, cushion",
        "magnet",
    );
    let job = with(example(), "/stations/0/stripper", json!({"kind": "fixed", "force_kn": 1}));
    assert_refused(&job, "stations[0].stripper.force_kn", "no field here", "1");
}

#[test]
fn more_than_500_stations_are_refused() {
    let job = with(example(), "/stations", json!(vec![json!({}); 501]));
    assert_refused(&job, "stations", "1 to 500 items", "501 items");
    assert!(Job::from_value(&with(example(), "/stations", json!(vec![json!({}); 500]))).is_ok());
    assert_refused(&with(example(), "/stations", json!([])), "stations", "1 to 500", "0 items");
}

#[test]
fn outline_of_more_than_50_000_points_is_refused() {
    let outline = |count: u32| {
        let points: Vec<[u32; 2]> = (0..count).map(|i| [i, i % 2]).collect();
        with(example(), "/stations/0/work/0/outline", json!({"path": {"points": points}}))
    };
    let path = "stations[0].work[0].outline.path.points";
    assert_refused(&outline(50_001), path, "2 to 50000 items", "50001 items");
    assert_refused(&outline(1), path, "2 to 50000 items", "1 items");
    assert!(Job::from_value(&outline(50_000)).is_ok());
}

#[test]
fn file_that_is_wrong_all_over_is_not_listed_all_over() {
    let job = with(example(), "/stations", json!(vec![json!(1); 500]));
    assert_eq!(refusals(Job::from_value(&job)).len(), 50);
}

#[test]
fn messages_repeat_no_long_text_and_steer_no_terminal() {
    let spoiled = [
        with(example(), "/press/frame", "x".repeat(1_000_000)),
        with(example(), &format!("/press/{}", "y".repeat(1_000_000)), 1),
        with(example(), "/press/\u{1b}[2J\r\n", "\u{1b}[31m"),
        with(example(), "/stations/0/stripper", json!({"\u{1b}[2J": "\u{1b}[2J"})),
        with(example(), "/stations/0/work/0/outline", json!({"\u{7}": 1, "\u{202e}": 2})),
    ];
    for job in spoiled {
        for refusal in refusals(Job::from_value(&job)) {
            let message = refusal.to_string();
            assert!(message.len() < 2_000, "{} letters", message.len());
            assert!(!message.contains(char::is_control), "{message:?}");
        }
    }
}

/// Fails unless all numbers of a report are there: one that is not finite is written as null.
#[track_caller]
fn assert_finite(report: &Value) {
    for pointer in pointers(report) {
        let value = report.pointer(&pointer).expect("a value");
        let key = pointer.rsplit('/').next().unwrap_or_default();
        if value.is_null() {
            let row = report.pointer(pointer.rsplit_once('/').expect("a parent").0);
            let not_checked = row.is_some_and(|row| row["state"] == "not_checked");
            let may_be_missing = ["available_kn", "reverse_kn", "at_height_mm", "stretch"]
                .contains(&key)
                || pointer.starts_with("/speed/");
            assert!(not_checked || may_be_missing, "{pointer} is no finite number");
        }
    }
}

#[test]
fn reports_of_good_jobs_hold_finite_numbers_only() {
    for (_, text) in good_jobs() {
        assert_finite(&report(&value(text)));
    }
}

/// Reads and judges; whatever the job is, the answer is a refusal or a report of finite numbers.
fn try_job(job: &Value) {
    if let Ok(job) = Job::from_value(job) {
        assert_finite(&value(&Report::new(&job, &job.check()).to_json()));
    }
}

#[test]
fn number_anywhere_in_its_range_gives_a_refusal_or_finite_numbers() {
    // Next to nothing, and more than most tools have.
    const NUMBERS: [f64; 2] = [1e-310, 1e3];
    let (every, example) = (value(EVERY_OPERATION), example());
    let plateau = with(example.clone(), "/settings/cut_profile", "plateau");
    let mut tried = 0;
    for job in [every, example, plateau] {
        for pointer in pointers(&job) {
            // A thousand ridges take long and are tried elsewhere.
            if !job.pointer(&pointer).is_some_and(Value::is_number) || pointer.ends_with("ridges") {
                continue;
            }
            for number in NUMBERS {
                tried += 1;
                try_job(&with(job.clone(), &pointer, number));
            }
        }
    }
    assert!(tried > 600, "{tried} jobs");
}

#[test]
fn job_that_would_take_minutes_is_refused() {
    // Every edge of a thousand crosses two thousand half ridges.
    let points: Vec<[u32; 2]> = (0..1_000).map(|i| [i, i % 2 * 50]).collect();
    let job = with(
        example(),
        "/stations/0/work/0",
        json!({
            "op": "cut", "kind": "trim", "entry_mm": 50, "outline": {"path": {"points": points}},
            "tool_shear": {"kind": "zigzag", "depth_mm": 10, "direction_deg": 90, "ridges": 1000}
        }),
    );
    assert_refused(&job, "stations[0].work[0]", "at most 100000 pieces", "1998000");
    let draw = json!({
        "op": "draw", "kind": "first", "blank_diameter_mm": 100, "punch_diameter_mm": 60,
        "depth_mm": 30, "entry_mm": 50
    });
    let job = with(example(), "/stations", json!(vec![json!({"work": vec![draw; 500]}); 3]));
    assert_refused(&job, "stations[2].work[0]", "at most 100000 pieces", "100100");
}

#[test]
fn gap_of_more_than_ten_thicknesses_is_refused() {
    let job = with(example(), "/stations/2/work/0/gap_mm", 20.1);
    assert_refused(&job, "stations[2].work[0].gap_mm", "at most 10 thicknesses, 20 mm", "20.1 mm");
    assert!(Job::from_value(&with(job, "/stations/2/work/0/gap_mm", 20)).is_ok());
}

/// Any JSON value, with keys and words of the job file among others.
fn any_json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        prop::sample::select(vec![0.0, 1.0, -1.0, 0.5, 1e-300, 5e-324, 1e300, 1e5])
            .prop_map(Value::from),
        prop::sample::select(vec!["evenstroke-job", "cut", "fixed", "progressive", "crank", ""])
            .prop_map(Value::from),
        any::<String>().prop_map(Value::from),
    ];
    let key = prop_oneof![
        prop::sample::select(vec![
            "format", "version", "press", "stock", "die", "stations", "work", "op", "kind", "low",
            "high", "points", "circle", "entry_mm", "x_mm",
        ])
        .prop_map(str::to_owned),
        any::<String>(),
    ];
    leaf.prop_recursive(4, 40, 6, move |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            prop::collection::vec((key.clone(), inner), 0..6)
                .prop_map(|fields| Value::Object(fields.into_iter().collect())),
        ]
    })
}

/// One of the good jobs.
fn any_good_job() -> impl Strategy<Value = Value> {
    prop::sample::select(good_jobs()).prop_map(|(_, text)| value(text))
}

proptest! {
    // Nothing is kept beside the sources: a case that fails becomes a test of its own.
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn arbitrary_json_never_panics_the_reader(json in any_json()) {
        try_job(&json);
        let _ = Job::read(&json.to_string());
        // With the head of a job the reader looks inside.
        try_job(&json!({"format": "evenstroke-job", "version": 1, "press": json, "stock": json,
            "die": json, "stations": [json], "settings": json}));
    }

    #[test]
    fn arbitrary_bytes_never_panic_the_reader(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = Job::read_bytes(&bytes);
    }

    #[test]
    fn bytes_changed_in_a_job_never_panic_the_reader(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..4),
    ) {
        let mut bytes = EXAMPLE.as_bytes().to_vec();
        for (index, byte) in changes {
            let index = index.index(bytes.len());
            bytes[index] = byte;
        }
        if let Ok(job) = Job::read_bytes(&bytes) {
            assert_finite(&value(&Report::new(&job, &job.check()).to_json()));
        }
    }

    #[test]
    fn values_changed_in_a_job_give_a_refusal_or_finite_numbers(
        job in any_good_job(),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any_json()), 1..3),
    ) {
        let mut job = job;
        for (index, json) in changes {
            let places = pointers(&job);
            job = with(job, &places[index.index(places.len())], json);
        }
        try_job(&job);
    }

    #[test]
    fn numbers_changed_in_a_job_give_a_refusal_or_finite_numbers(
        job in any_good_job(),
        plateau in any::<bool>(),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any_number()), 1..5),
    ) {
        let mut job = with(job, "/settings/cut_profile", if plateau { "plateau" } else { "shaped" });
        let places: Vec<String> = pointers(&job)
            .into_iter()
            .filter(|pointer| job.pointer(pointer).is_some_and(Value::is_number))
            .collect();
        for (index, number) in changes {
            job = with(job, &places[index.index(places.len())], number);
        }
        try_job(&job);
    }
}

/// Numbers that a job may hold, from next to nothing to the largest.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(0.0),
        Just(5e-324),
        (-320.0..7.0f64).prop_map(|power| 10f64.powf(power)),
        (-5.0..5.0f64).prop_map(|power| 10f64.powf(power)),
        (-5.0..5.0f64).prop_map(|power| -(10f64.powf(power))),
        prop::sample::select(vec![1.0, 90.0, 100.0, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8]),
    ]
}
