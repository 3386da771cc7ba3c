//! What is no recording is refused in words that name the line, and nothing panics.

mod support;

use evenstroke_readings::{Wishes, columns, read, report, wishes};
use proptest::prelude::*;
use serde_json::{Value, json};
use support::{Truth, job, over_angle, stiff_example};

fn refusal(text: &[u8], wishes: &Wishes) -> String {
    match read(text, &job(&stiff_example()), wishes) {
        Ok(found) => panic!("it was read: {:?}", found.told),
        Err(problem) => problem.to_string(),
    }
}

fn good() -> String {
    over_angle(&job(&stiff_example()), &Truth { strokes: 2, ..Truth::default() })
}

fn with_line(line: usize, put: &str) -> Vec<u8> {
    let text = good();
    let mut lines: Vec<&str> = text.lines().collect();
    lines[line - 1] = put;
    lines.join("\r\n").into_bytes()
}

#[test]
fn wrong_cells_are_named_with_their_line() {
    for (put, words) in [
        ("180.0;12.5", "line 900: column 3 is missing: the row has only 2"),
        ("180.0;err;3.0", "line 900: column 2 must be a number, but is “err”"),
        ("180.0;;3.0", "line 900: column 2 must be a number, but is empty"),
        (
            "180.0;12,5;3.0",
            "line 900: column 2 must be a number, but is “12,5”; the numbers before have a decimal point",
        ),
        ("180.0;1e400;3.0", "line 900: column 2 must be a number, but is “1e400”"),
    ] {
        assert_eq!(refusal(&with_line(900, put), &Wishes::default()), words);
    }
}

#[test]
fn column_that_says_nothing_is_named() {
    let dead: String = good()
        .lines()
        .map(|line| format!("{};0\n", line.rsplit_once(';').expect("cells").0))
        .collect();
    let words = refusal(dead.as_bytes(), &Wishes::default());
    assert!(
        words.starts_with("column 3 must be a force that changes, but is 0 kN in all"),
        "{words}"
    );
}

#[test]
fn wishes_that_do_not_fit_are_named() {
    for (given, words) in [
        (json!({"force_columns": [1, 8]}), "column of force must be at most 3, but is 9"),
        (json!({"force_columns": [1, 1]}), "column 2 is used twice"),
        (json!({"force_columns": [0, 1]}), "column 1 is used twice"),
        (
            json!({"force_columns": []}),
            "columns of force must be one for the whole press, or one for each of two or four points, but are 0",
        ),
        (
            json!({"place": "height", "place_column": 0, "place_unit": "kN"}),
            "so “kN” is not understood",
        ),
        (json!({"force_unit": "ton"}), "must say which ton: US ton (2000 lb) or"),
        (json!({"place": "count"}), "no column tells where the slide is"),
    ] {
        let wishes = wishes::read(&given).expect("they are understood");
        let found = refusal(good().as_bytes(), &wishes);
        assert!(found.contains(words), "{given}: {found}");
    }
    for (given, words) in [
        (json!({"colour": 1}), "mapping.colour is not known"),
        (json!({"delimiter": "."}), "delimiter must be tab, space"),
        (json!({"place": "where"}), "place must be one of time, angle, height, count"),
        (json!({"samples_per_second": 0}), "samples_per_second must be above 0"),
        (json!({"force_columns": [-1]}), "must be a column from 0 to 255"),
        (json!([]), "mapping must be an object"),
    ] {
        let found = wishes::read(&given).expect_err("refused").to_string();
        assert!(found.contains(words), "{found}");
    }
}

/// What was said of one file may be said of the next, which has fewer columns.
#[test]
fn columns_that_are_not_there_are_told_with_how_the_file_is_read() {
    for given in [json!({"force_columns": [1, 8]}), json!({"place": "time", "place_column": 9})] {
        let wishes = wishes::read(&given).expect("they are understood");
        let (mapping, problem) = columns::look(good().as_bytes(), &wishes).expect("numbers");
        let report = report::not_read(&mapping, &problem.expect("a column is not there"));
        let words = report["mapping"]["words"].as_str().expect("words");
        assert!(words.contains("column 9") || words.contains("column 10"), "{words}");
    }
}

#[test]
fn place_beyond_all_numbers_is_named_with_its_line() {
    let rows: String = (0..30).map(|row| format!("{row}e307;{}\n", row % 7)).collect();
    let text = "time [min];force [kN]\n".to_owned() + &rows;
    // 1e307 minutes are 6e308 seconds, past the largest double, 1.8e308 (IEEE 754, binary64).
    assert_eq!(refusal(text.as_bytes(), &Wishes::default()), "line 3: time is beyond all numbers");
}

#[test]
fn press_whose_drive_is_not_known_says_what_to_enter() {
    let mut value = stiff_example();
    value["press"]["drive"].as_object_mut().expect("a drive").remove("connecting_rod_mm");
    let problem = read(good().as_bytes(), &job(&value), &Wishes::default()).expect_err("refused");
    assert!(problem.to_string().contains("enter its connecting rod"), "{problem}");
}

#[test]
fn time_that_goes_back_and_no_numbers_at_all_are_refused() {
    let text = "time,force\n0.0,1\n0.1,2\n0.2,3\n0.15,2\n0.3,1\n";
    assert_eq!(
        refusal(text.as_bytes(), &Wishes::default()),
        "line 5: time must not go back, but goes from 0.2 s to 0.15 s"
    );
    let words = refusal(b"here is\nno number\n", &Wishes::default());
    assert!(words.contains("must have rows of numbers"), "{words}");
    let few = refusal(b"time,force\n0,1\n1,2\n", &Wishes::default());
    assert!(few.contains("at least 20 samples"), "{few}");
}

fn wished() -> impl Strategy<Value = Value> {
    (0..6_u8, 0..4_usize, proptest::collection::vec(0..6_u64, 0..5), any::<f64>()).prop_map(
        |(which, place, columns, number)| match which {
            0 => json!({}),
            1 => json!({"place": (["time", "angle", "height", "count"][place]), "samples_per_second": 100}),
            2 => json!({"force_columns": columns}),
            3 => json!({"bdc": if number.is_finite() { number } else { 0.0 }}),
            4 => json!({"strokes_per_minute": 1e-3 + 100.0 * (place as f64), "keep_spikes": true}),
            _ => json!({"delimiter": ([";", ",", "tab", "space"][place]), "decimal": "comma"}),
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..2_000), wished in wished()) {
        let wishes = wishes::read(&wished).expect("understood");
        let _ = read(&bytes, &job(&stiff_example()), &wishes);
    }

    #[test]
    fn no_table_panics(
        head in "[a-z;°\\[\\]]{0,20}",
        cells in proptest::collection::vec(("[-+0-9.,eE;]{0,12}", 0..5_u8), 0..200),
        delimiter in 0..4_usize,
        wished in wished(),
    ) {
        let mark = [";", "\t", ",", " "][delimiter];
        let mut text = head + "\n";
        for (cell, end) in cells {
            text += &cell;
            text += if end == 0 { "\n" } else { mark };
        }
        let wishes = wishes::read(&wished).expect("understood");
        let _ = read(text.as_bytes(), &job(&stiff_example()), &wishes);
    }

    #[test]
    fn no_numbers_panic(
        rows in proptest::collection::vec((-400.0..800.0_f64, -1e3..1e3_f64, prop_oneof![Just(0.0), -1e300..1e300_f64]), 20..300),
        wished in wished(),
    ) {
        let text: String = rows.iter().map(|(a, b, c)| format!("{a};{b};{c:e}\n")).collect();
        let wishes = wishes::read(&wished).expect("understood");
        let _ = read(text.as_bytes(), &job(&stiff_example()), &wishes);
    }

    /// A recording with one byte changed is read or refused, and what is read is sound.
    #[test]
    fn damaged_recording_is_read_or_refused(at in 0..60_000_usize, byte in any::<u8>()) {
        let mut bytes = good().into_bytes();
        let at = at % bytes.len();
        bytes[at] = byte;
        if let Ok(found) = read(&bytes, &job(&stiff_example()), &Wishes::default()) {
            for row in found.quantities.iter().filter_map(|row| row.read) {
                prop_assert!(row.low <= row.mean + 1e-9 && row.mean <= row.high + 1e-9);
            }
        }
    }
}
