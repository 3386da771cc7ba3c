//! `evenstroke compare` on the contract's example and an invented recording of it
//! (`crates/readings/examples/recording.rs` writes it).

use serde_json::Value;
use std::process::{Command, Output};

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_evenstroke"))
        .args(arguments)
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
        .output()
        .expect("the command runs")
}

#[track_caller]
fn printed(arguments: &[&str]) -> String {
    let output = run(arguments);
    let message = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{message}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

#[track_caller]
fn refused(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert_eq!(output.status.code(), Some(3));
    assert!(output.stdout.is_empty());
    String::from_utf8(output.stderr).expect("UTF-8")
}

const JOB: &str = "tests/contract/example.json";
const RECORDING: &str = "tests/readings/signature.csv";

/// The recording was made with the notch at 1.3 times what is predicted and BDC at 172°.
#[test]
fn recording_is_laid_over_and_its_truth_is_found() {
    let text = printed(&["compare", JOB, RECORDING, "--at", "2026-03-31"]);
    let notch = text.lines().find(|line| line.contains("Notch ")).expect("the notch");
    assert!(notch.contains("× 1.3") && notch.ends_with("likely off"), "{notch}");
    assert!(text.contains("BDC found at 17"), "{text}");

    let json = printed(&["compare", JOB, RECORDING, "--at", "2026-03-31", "--json"]);
    let report: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(report["format"], "evenstroke-comparison");
    assert_eq!((&report["version"], &report["kind"]), (&1.into(), &"recording".into()));
    assert!((report["bdc"].as_f64().expect("bdc") - 172.0).abs() < 0.2);
    assert_eq!(report["strokes"], 3);
    assert!(report["curve"].as_array().expect("a curve").len() > 100);
}

#[test]
fn typed_reading_is_compared_in_any_unit() {
    let points = [
        "compare",
        JOB,
        "--points",
        "9.82,5.69",
        "--force-unit",
        "US ton",
        "--reverse",
        "0.33",
        "--json",
    ];
    let report: Value = serde_json::from_str(&printed(&points)).expect("JSON");
    assert_eq!(report["kind"], "typed");
    // Twice 2000 lbf times 9.80665 m/s² and 0.45359237 kg are 8.896443 kN each.
    let left = report["points"][1]["read_kn"].as_f64().expect("left");
    assert!((left - 9.82 * 8.896_443).abs() < 1e-3, "{left}");
    assert_eq!(report["stop_kn"], 160.0);
    let text = printed(&["compare", JOB, "--points", "43.7,25.3"]);
    let first = text.lines().find(|line| line.contains("off ") && line.starts_with("  off"));
    assert!(first.expect("a list").contains("As predicted"), "{text}");
}

#[test]
fn wrong_readings_and_mappings_are_refused_with_what_is_allowed() {
    for (arguments, words) in [
        (&["compare", JOB][..], "required"),
        (&["compare", JOB, "--points", "1,2,3"], "points must be 2, those of the press, but are 3"),
        (&["compare", JOB, "--points", "1,x"], "invalid"),
        (&["compare", JOB, "--points", "1,2", "--force-unit", "ton"], "must say which ton"),
        (&["compare", JOB, "--points", "1,2", "--at", "31.3.2026"], "--at must be a day such as"),
        (&["compare", JOB, RECORDING, "--force", "0,1"], "counted from 1"),
        (
            &["compare", JOB, RECORDING, "--force", "2,9"],
            "column of force must be at most 3, but is 9",
        ),
        (&["compare", JOB, RECORDING, "--delimiter", "."], "delimiter must be"),
        (&["compare", JOB, RECORDING, "--strokes-per-minute", "0"], "--strokes-per-minute must be"),
        (&["compare", JOB, RECORDING, "--points", "1,2"], "cannot be used with"),
        (&["compare", JOB, JOB], "is refused"),
        (&["compare", JOB, "no/such/file.csv"], "no/such/file.csv"),
        (&["compare", RECORDING, RECORDING], "signature.csv is refused"),
    ] {
        let message = refused(arguments);
        assert!(message.contains(words), "{arguments:?}: {message}");
    }
}

#[test]
fn spreadsheet_is_read_as_its_rows_are() {
    let sheet = "crates/readings/tests/data/signature.xlsx";
    let text = printed(&["compare", JOB, sheet]);
    assert!(text.contains("400 samples, 2 strokes compared"), "{text}");
    assert!(
        refused(&["compare", JOB, sheet, "--sheet", "Other"])
            .contains("sheet must be one of Press")
    );
}
