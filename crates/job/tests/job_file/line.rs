//! A tandem line: read strictly, judged press by press, its weakest and its slowest named.

use crate::support::{assert_near, example, number, report, value, with, without};
use evenstroke_job::{
    Refusal, Refused,
    demo::TANDEM_LINE,
    line::{
        HighestSpeed, LineReport, MOST_JOBS, TandemLine, is_line, slowest_words, weakest_words,
    },
};
use press_load::{LimitId, State};
use serde_json::{Value, json};

fn line_of(jobs: Vec<Value>) -> Value {
    json!({"format": "evenstroke-line", "version": 1, "title": "Line 4", "jobs": jobs})
}

fn read(value: &Value) -> TandemLine {
    TandemLine::from_value(value).unwrap_or_else(|refused| panic!("{refused}"))
}

fn line_report(line: &TandemLine) -> Value {
    value(&LineReport::new(line, &line.check()).to_json())
}

/// The one refusal of a line.
#[track_caller]
fn refusal(outcome: Result<TandemLine, Refused>) -> Refusal {
    match outcome {
        Ok(_) => panic!("the line loads"),
        Err(Refused(mut found)) => {
            assert_eq!(found.len(), 1, "{found:?}");
            found.remove(0)
        }
    }
}

#[track_caller]
fn assert_refused(line: &Value, path: &str, allowed: &str, given: &str) {
    let found = refusal(TandemLine::from_value(line));
    assert_eq!(found.path, path);
    assert!(found.allowed.contains(allowed), "{found}");
    assert!(found.given.contains(given), "{found}");
}

#[test]
fn demo_line_is_invented_and_within_its_limits() {
    assert!(is_line(&value(TANDEM_LINE)));
    let line = read(&value(TANDEM_LINE));
    let titles: Vec<&str> = line.jobs.iter().map(|job| job.title.as_str()).collect();
    assert_eq!(titles, ["Op 10, draw", "Op 20, trim and pierce", "Op 30, flange"]);
    assert!(line.title.contains("invented"));
    assert!(line.jobs.iter().all(|job| job.note.starts_with("Invented demo")));
    let check = line.check();
    assert_eq!(check.verdict, State::Within);
    for check in &check.checks {
        assert_eq!(check.cautions, []);
    }
    // The draw asks the energy, and its press runs slowest.
    assert_eq!(check.weakest.map(|w| (w.job, w.limit)), Some((0, LimitId::WorkingEnergy)));
    assert_eq!(check.slowest.map(|slowest| slowest.0), Some(0));
}

#[test]
fn report_of_a_line_holds_the_report_of_each_job() {
    let jobs = vec![example(), with(example(), "/press/name", "Press 13")];
    let line = read(&line_of(jobs.clone()));
    let found = line_report(&line);
    assert_eq!(found["format"], "evenstroke-line-report");
    assert_eq!(found["version"], 1);
    assert_eq!(found["title"], "Line 4");
    assert_eq!(found["verdict"], "within");
    let reports: Vec<Value> = jobs.iter().map(report).collect();
    assert_eq!(found["jobs"], Value::Array(reports));
    assert_eq!(found["speeds"].as_array().map(Vec::len), Some(2));
    for (key, fields) in [
        ("weakest", &["job", "title", "press", "limit", "share"][..]),
        ("slowest", &["job", "title", "press", "line_spm"][..]),
    ] {
        let keys: Vec<&String> = found[key].as_object().expect("an object").keys().collect();
        assert_eq!(keys, fields);
    }
}

#[test]
fn verdict_is_the_worst_and_an_open_job_is_no_pass() {
    let within = example();
    let near = with(example(), "/settings/near_share", 0.2);
    let open = without(example(), "/press/energy");
    let over = with(example(), "/press/rated_force_kn", 20);
    for (jobs, expected) in [
        (vec![within.clone(), within.clone()], "within"),
        (vec![within.clone(), near.clone()], "near"),
        (vec![open.clone(), near], "not_checked"),
        (vec![within, open, over], "over"),
    ] {
        assert_eq!(line_report(&read(&line_of(jobs)))["verdict"], expected);
    }
}

#[test]
fn weakest_is_where_a_limit_is_used_most() {
    let weak = with(with(example(), "/press/rated_force_kn", 90), "/title", "Weak");
    let line = read(&line_of(vec![example(), weak.clone(), example()]));
    let found = line_report(&line);
    assert_eq!((&found["weakest"]["job"], &found["weakest"]["title"]), (&json!(1), &json!("Weak")));
    let largest = report(&weak)["limits"]
        .as_array()
        .expect("a list")
        .iter()
        .filter(|row| !row["id"].as_str().expect("an id").ends_with("fit"))
        .filter_map(|row| row["share"].as_f64())
        .fold(0.0, f64::max);
    assert_near(number(&found["weakest"]["share"]), largest, 1e-12);
    let words = weakest_words(&line, &line.check());
    assert!(words.starts_with("Weakest: 2. Weak, in Press 12: "), "{words}");
}

#[test]
fn a_die_that_fills_its_bolster_is_not_weak_but_one_too_large_is() {
    let wide = with(example(), "/press/bolster/width_mm", 905);
    let weakest = |job: Value| read(&line_of(vec![job])).check().weakest.expect("a limit");
    assert!(weakest(wide).limit != LimitId::BolsterFit);
    let found = weakest(with(example(), "/press/bolster/width_mm", 800));
    assert_eq!(found.limit, LimitId::BolsterFit);
    assert_near(found.share, 900.0 / 800.0, 1e-9);
}

#[test]
fn open_jobs_are_named_beside_the_weakest() {
    let open = with(without(example(), "/press/energy"), "/title", "Open");
    let line = read(&line_of(vec![example(), open]));
    let words = weakest_words(&line, &line.check());
    assert!(words.contains("Not checked, data missing: 2. Open, in Press 12."), "{words}");
}

/// Mean power is work per stroke times strokes: a motor of P kW gives back E kJ 60·P/E times a
/// minute.
#[test]
fn motor_sets_the_highest_speed() {
    let job = with(with(example(), "/press/motor_kw", 0.1), "/press/speed_spm", 45);
    let energy = number(&report(&job)["energy_upper_j"]) * 1e-3;
    let line = read(&line_of(vec![job]));
    let check = line.check();
    let Some(HighestSpeed::Motor(most)) = check.speeds[0].highest else {
        panic!("{:?}", check.speeds);
    };
    assert_near(most.per_minute(), 60.0 * 0.1 / energy, 1e-9);
    // It cannot make the strokes entered, so that it sets the pace with those it can.
    assert!(most.per_minute() < 45.0);
    let found = line_report(&line);
    assert_near(number(&found["slowest"]["line_spm"]), most.per_minute(), 1e-9);
    assert_eq!(found["speeds"][0]["speed_spm"], 45.0);
}

#[test]
fn slowest_press_sets_the_pace() {
    let at = |spm: f64| with(example(), "/press/speed_spm", spm);
    let line = read(&line_of(vec![at(45.0), at(38.0), at(50.0)]));
    let found = line_report(&line);
    assert_eq!(found["slowest"]["job"], 1);
    assert_near(number(&found["slowest"]["line_spm"]), 38.0, 1e-9);
    let words = slowest_words(&line, &line.check());
    assert!(words.contains("2. ") && words.ends_with("38.0 strokes per minute."), "{words}");
}

#[test]
fn flywheel_that_holds_the_work_at_no_speed_stops_the_line() {
    let job = with(example(), "/press/energy/usable_kj", 0.01);
    let line = read(&line_of(vec![example(), job]));
    let check = line.check();
    assert_eq!(check.speeds[1].highest, Some(HighestSpeed::None));
    let found = line_report(&line);
    assert_eq!((&found["slowest"]["job"], &found["slowest"]["line_spm"]), (&json!(1), &json!(0.0)));
    assert!(slowest_words(&line, &check).contains("does not hold the work at any speed"));
}

#[test]
fn line_without_speeds_has_no_slowest() {
    let job = without(without(example(), "/press/speed_spm"), "/press/motor_kw");
    let line = read(&line_of(vec![job.clone()]));
    assert_eq!(line_report(&line)["slowest"], Value::Null);
    assert_eq!(slowest_words(&line, &line.check()), "Slowest: no strokes per minute entered.");
    let line = read(&line_of(vec![example(), job]));
    let words = slowest_words(&line, &line.check());
    assert!(words.ends_with("No speed is known for 1 of the 2 presses."), "{words}");
}

#[test]
fn what_is_wrong_in_a_job_is_refused_at_its_place_in_the_line() {
    let bad = with(example(), "/press/drive/stroke_mm", "200");
    assert_refused(
        &line_of(vec![example(), bad]),
        "$.jobs[1].press.drive.stroke_mm",
        "must be a number above 0",
        "\"200\"",
    );
    // What only the laws find.
    let bad = with(example(), "/stations/2/work/1/entry_mm", 201);
    let path = "$.jobs[0].stations[2].work[1].entry_mm";
    assert_refused(&line_of(vec![bad]), path, "at most the stroke", "201 mm");
    assert_refused(&line_of(vec![json!({})]), "$.jobs[0].format", "evenstroke-job", "nothing");
    let odd = with(example(), "/a b", 1);
    assert_refused(&line_of(vec![odd]), "$.jobs[0][\"a b\"]", "is no field here", "1");
}

#[test]
fn every_wrong_job_is_named_up_to_fifty_places() {
    let bad = with(with(example(), "/press/speed_spm", 0), "/die/kind", "soft");
    let Err(Refused(found)) = TandemLine::from_value(&line_of(vec![bad.clone(), example(), bad]))
    else {
        panic!("the line loads");
    };
    let paths: Vec<&str> = found.iter().map(|refusal| refusal.path.as_str()).collect();
    assert_eq!(
        paths,
        [
            "$.jobs[0].press.speed_spm",
            "$.jobs[0].die.kind",
            "$.jobs[2].press.speed_spm",
            "$.jobs[2].die.kind"
        ]
    );
    let mut worse = example();
    for key in 0..60 {
        worse[format!("field_{key}")] = json!(key);
    }
    let Err(Refused(found)) = TandemLine::from_value(&line_of(vec![worse; 3])) else {
        panic!("the line loads");
    };
    assert_eq!(found.len(), 50);
}

#[test]
fn line_that_is_no_line_is_refused() {
    let good = line_of(vec![example()]);
    for (line, path, allowed, given) in [
        (json!([]), "$.format", "evenstroke-line", "nothing"),
        (Value::Null, "$.format", "evenstroke-line", "nothing"),
        (example(), "$.format", "evenstroke-line", "evenstroke-job"),
        (with(good.clone(), "/version", 2), "$.version", "must be 1", "2"),
        (with(good.clone(), "/version", "1"), "$.version", "must be 1", "\"1\""),
        (without(good.clone(), "/version"), "$.version", "must be 1", "nothing"),
        (with(good.clone(), "/title", 4), "$.title", "text of at most 200", "4"),
        (with(good.clone(), "/title", "x".repeat(201)), "$.title", "text", "201 characters"),
        (with(good.clone(), "/colour", "red"), "$[\"colour\"]", "is no field here", "red"),
        (with(good.clone(), "/jobs", json!([])), "$.jobs", "1 to 20", "0 items"),
        (with(good.clone(), "/jobs", json!({})), "$.jobs", "a list", "an object"),
        (without(good.clone(), "/jobs"), "$.jobs", "a list", "nothing"),
        (line_of(vec![json!({}); MOST_JOBS + 1]), "$.jobs", "1 to 20", "21 items"),
        (line_of(vec![json!(7)]), "$.jobs[0]", "must be a job", "7"),
        (line_of(vec![good.clone()]), "$.jobs[0].format", "evenstroke-job", "evenstroke-line"),
    ] {
        assert_refused(&line, path, allowed, given);
    }
}

#[test]
fn foreign_keys_of_any_length_are_cut_short() {
    let line = with(line_of(vec![example()]), &format!("/{}", "k".repeat(100_000)), 1);
    assert!(refusal(TandemLine::from_value(&line)).path.len() < 100);
}

#[test]
fn nesting_inside_a_line_is_refused_where_it_starts() {
    let mut deep = json!(1);
    for _ in 0..100 {
        deep = json!([deep]);
    }
    assert_refused(&line_of(vec![deep]), "$.jobs[0]", "must be a job", "a list of 1 items");
}

#[test]
fn jobs_in_files_are_fetched_by_their_relative_paths() {
    let mut asked = Vec::new();
    let line = line_of(vec![json!({"file": "op10.json"}), json!({"file": "later/op 20.json"})]);
    let read = TandemLine::with_files(&line, &mut |path| {
        asked.push(path.to_owned());
        Ok(with(example(), "/title", path).to_string().into_bytes())
    })
    .expect("a line");
    assert_eq!(asked, ["op10.json", "later/op 20.json"]);
    let titles: Vec<&str> = read.jobs.iter().map(|job| job.title.as_str()).collect();
    assert_eq!(titles, ["op10.json", "later/op 20.json"]);
}

#[test]
fn path_that_leaves_the_folder_is_refused_and_never_fetched() {
    for path in [
        json!("/etc/passwd"),
        json!("../op10.json"),
        json!("later/../../op10.json"),
        json!("later//op10.json"),
        json!("./op10.json"),
        json!("later/"),
        json!("C:/op10.json"),
        json!("C:op10.json"),
        json!("\\\\server\\op10.json"),
        json!("..\\op10.json"),
        json!("op10.json\u{0}"),
        json!("op\n10.json"),
        json!(""),
        json!("."),
        json!(".."),
        json!("x".repeat(201)),
        json!(7),
        Value::Null,
        json!(["op10.json"]),
    ] {
        let line = line_of(vec![json!({"file": path})]);
        let outcome = TandemLine::with_files(&line, &mut |path| panic!("{path} is fetched"));
        let found = refusal(outcome);
        assert_eq!(found.path, "$.jobs[0].file");
        assert!(found.allowed.contains("relative path"), "{found}");
    }
}

#[test]
fn file_beside_other_fields_is_refused() {
    let mut both = example();
    both["file"] = json!("op10.json");
    let Err(Refused(found)) = TandemLine::from_value(&line_of(vec![both])) else {
        panic!("the line loads");
    };
    assert!(found.iter().all(|refusal| refusal.path.starts_with("$.jobs[0][")), "{found:?}");
}

#[test]
fn what_is_wrong_in_a_file_is_told_at_its_place_in_the_line() {
    let line = line_of(vec![example(), json!({"file": "op20.json"})]);
    let with_bytes = |bytes: &[u8]| {
        let bytes = bytes.to_vec();
        refusal(TandemLine::with_files(&line, &mut |_| Ok(bytes.clone())))
    };
    let bad = with(example(), "/press/speed_spm", 0).to_string();
    assert_eq!(with_bytes(bad.as_bytes()).path, "$.jobs[1].press.speed_spm");
    for bytes in [&b""[..], b"{", b"\xff", b"[[[["] {
        let found = with_bytes(bytes);
        assert_eq!(found.path, "$.jobs[1]");
        assert!(found.allowed.starts_with("a job file must"), "{found}");
    }
    assert!(with_bytes(&vec![b' '; 21 * 1024 * 1024]).allowed.contains("20971520 bytes"));
    // A line in a line is no job.
    assert_eq!(with_bytes(line.to_string().as_bytes()).path, "$.jobs[1].format");
    let found = refusal(TandemLine::from_value(&line));
    assert_eq!(found.path, "$.jobs[1].file");
    assert!(found.allowed.contains("no file can be read here"), "{found}");
}
