//! The command as a shell sees it: output, messages, exit codes.

use serde_json::Value;
use std::{
    fs,
    io::Write,
    path::{Path, PathBuf},
    process::{Child, Command, Output, Stdio},
};

const EXAMPLE: &str = include_str!("../../../tests/contract/example.json");

/// Exit codes of the contract.
const WITHIN_OR_NEAR: i32 = 0;
const OVER: i32 = 1;
const NOT_CHECKED: i32 = 2;
const REFUSED: i32 = 3;

fn project(path: &str) -> PathBuf {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../..")).join(path)
}

/// The example as a file, as an argument.
fn example() -> String {
    project("tests/contract/example.json").display().to_string()
}

/// An empty folder of this test's own.
fn folder(test: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(test);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder");
    folder
}

fn start(arguments: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_evenstroke"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command starts")
}

/// Runs the command with `input` on its standard input.
fn run_with(arguments: &[&str], input: &[u8]) -> Output {
    let mut child = start(arguments);
    let mut stdin = child.stdin.take().expect("a pipe");
    // A command that does not read its input may be gone before it is written.
    let _ = stdin.write_all(input);
    drop(stdin);
    child.wait_with_output().expect("the command ends")
}

fn run(arguments: &[&str]) -> Output {
    run_with(arguments, b"")
}

/// Standard output of a run that ended with `code` and without a message.
#[track_caller]
fn printed(output: &Output, code: i32) -> String {
    let message = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{message}");
    assert_eq!(message, "");
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

/// The message of a run that was refused and printed nothing.
#[track_caller]
fn refused(output: &Output) -> String {
    assert_eq!(output.status.code(), Some(REFUSED));
    assert_eq!(String::from_utf8_lossy(&output.stdout), "");
    let message = String::from_utf8(output.stderr.clone()).expect("UTF-8");
    assert!(!message.contains("panicked"), "{message}");
    message
}

/// Fails unless the text is one well-formed XML element with nothing around it.
fn assert_well_formed(xml: &str) {
    assert!(!xml.contains(|c: char| c.is_control() && !c.is_whitespace()), "a control character");
    let mut open: Vec<&str> = Vec::new();
    let mut elements = 0;
    let mut rest = xml.trim();
    while let Some(at) = rest.find('<') {
        let text = &rest[..at];
        assert!(!open.is_empty() || text.is_empty() && elements == 0, "text outside: {text}");
        for reference in text.split('&').skip(1) {
            assert!(reference.contains(';'), "a bare & in {text}");
        }
        let end = rest.find('>').expect("a tag ends");
        let tag = &rest[at + 1..end];
        rest = &rest[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
            continue;
        }
        elements += 1;
        assert!(!tag.contains('<') && tag.matches('"').count().is_multiple_of(2), "<{tag}>");
        let name = tag.split([' ', '\n', '/']).next().unwrap_or_default();
        assert!(name.chars().all(char::is_alphanumeric) && !name.is_empty(), "<{tag}>");
        if !tag.ends_with('/') {
            open.push(name);
        }
    }
    assert!(open.is_empty() && rest.is_empty() && elements > 10, "{open:?} left open, {rest}");
}

#[test]
fn text_names_verdict_limits_and_cautions() {
    let text = printed(&run(&["check", &example()]), WITHIN_OR_NEAR);
    assert!(text.starts_with("Gate-latch plate, 5-station progressive\nin Press 12\n"), "{text}");
    assert!(text.contains("WITHIN THE LIMITS CHECKED (13 of 18 limits checked)"), "{text}");
    for line in ["  Rated force ", "  Off-centre, left–right ", "  Reverse load ", "Cautions\n"] {
        assert!(text.contains(line), "{line} in {text}");
    }
    assert_eq!(text.matches("not checked  ").count(), 5, "{text}");
    assert!(!text.replace("safety blocks", "").to_lowercase().contains("safe"), "{text}");
}

#[test]
fn names_from_a_file_steer_no_terminal_and_fake_no_line() {
    let text = EXAMPLE
        .replacen("Gate-latch plate", "\\u001b[2JPlate\\nWITHIN ALL LIMITS\\r", 1)
        .replacen("Press 12", "\\u0007Press", 1);
    let text = printed(&run_with(&["check", "-"], text.as_bytes()), WITHIN_OR_NEAR);
    assert!(!text.contains(|c: char| c.is_control() && c != '\n'), "{text:?}");
    assert!(!text.lines().any(|line| line.starts_with("WITHIN ALL LIMITS")), "{text}");
}

#[test]
fn json_is_the_report() {
    let text = printed(&run(&["check", &example(), "--json"]), WITHIN_OR_NEAR);
    let report: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(report["format"], "evenstroke-report");
    assert_eq!(report["version"], 1);
    assert_eq!(report["verdict"], "within");
    assert_eq!(report["limits"].as_array().map(Vec::len), Some(18));
    assert!(text.ends_with("}\n"));
}

#[test]
fn working_ends_each_limit_in_the_share_of_the_report() {
    let text = printed(&run(&["working", &example()]), WITHIN_OR_NEAR);
    for line in ["Rated force: ", "share = asked / allowed = ", "Source: P. C. Sharma"] {
        assert!(text.contains(line), "{line}");
    }
    let parsed = |arguments: &[&str]| -> Value {
        serde_json::from_str(&printed(&run(arguments), WITHIN_OR_NEAR)).expect("JSON")
    };
    let working = parsed(&["working", &example(), "--json"]);
    let report = parsed(&["check", &example(), "--json"]);
    let (worked, judged) = (&working["limits"], &report["limits"]);
    for (worked, judged) in worked.as_array().unwrap().iter().zip(judged.as_array().unwrap()) {
        assert_eq!(worked["id"], judged["id"]);
        if let (Some(steps), true) = (worked["steps"].as_array(), judged["share"].is_number()) {
            assert_eq!(steps[0]["result"], judged["share"], "{}", worked["id"]);
            assert!(steps.iter().all(|step| step["source"].is_string()));
        }
    }
    assert_eq!(working["operations"][0]["path"], "stations[0].work[0]");
}

#[test]
fn csv_has_the_columns_of_the_curve() {
    let text = printed(&run(&["check", "--csv", &example()]), WITHIN_OR_NEAR);
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("height_mm,force_kn,upper_kn,available_kn,x_mm,y_mm"));
    let rows: Vec<Vec<f64>> = lines
        .map(|line| line.split(',').map(|cell| cell.parse().expect("a number")).collect())
        .collect();
    assert!(rows.len() > 50 && rows.iter().all(|row| row.len() == 6), "{} rows", rows.len());
}

#[test]
fn csv_leaves_the_capacity_empty_where_it_is_not_known() {
    let job = EXAMPLE.replacen("\"rated_force_kn\": 1600,", "", 1);
    let text = printed(&run_with(&["check", "-", "--csv"], job.as_bytes()), NOT_CHECKED);
    assert!(text.lines().skip(1).all(|line| line.split(',').nth(3) == Some("")), "{text}");
}

#[test]
fn svg_writes_two_charts_and_names_them() {
    let folder = folder("svg_writes_two_charts").join("not").join("there yet");
    let target = folder.display().to_string();
    let text = printed(&run(&["check", &example(), "--svg", &target]), WITHIN_OR_NEAR);
    let written: Vec<PathBuf> = text.lines().map(PathBuf::from).collect();
    assert_eq!(written, [folder.join("stroke.svg"), folder.join("plan.svg")]);
    for path in written {
        let svg = fs::read_to_string(path).expect("a file");
        assert!(svg.starts_with("<svg "));
        assert_well_formed(&svg);
    }
}

#[test]
fn names_from_a_file_leave_the_charts_well_formed() {
    let folder = folder("names_from_a_file").display().to_string();
    let job = EXAMPLE.replacen("\"Pierce\"", "\"<a b='\\\"'> & ]]> \\u0001\"", 1);
    printed(&run_with(&["check", "-", "--svg", &folder], job.as_bytes()), WITHIN_OR_NEAR);
    for name in ["stroke.svg", "plan.svg"] {
        assert_well_formed(&fs::read_to_string(Path::new(&folder).join(name)).expect("a file"));
    }
}

#[test]
fn svg_that_cannot_be_written_is_refused() {
    let folder = folder("svg_that_cannot_be_written");
    let file = folder.join("file");
    fs::write(&file, "in the way").expect("a file");
    let message = refused(&run(&["check", &example(), "--svg", &file.display().to_string()]));
    assert!(message.starts_with(&file.display().to_string()), "{message}");
}

#[test]
fn dash_reads_standard_input() {
    let from_file = run(&["check", &example(), "--json"]);
    let from_input = run_with(&["check", "-", "--json"], EXAMPLE.as_bytes());
    assert_eq!(printed(&from_input, WITHIN_OR_NEAR), printed(&from_file, WITHIN_OR_NEAR));
}

#[test]
fn schema_is_the_one_in_the_documents() {
    let text = printed(&run(&["schema"]), 0);
    let kept = fs::read_to_string(project("docs/job.schema.json")).expect("the schema");
    assert!(text == kept, "cargo run -p evenstroke-cli -- schema > docs/job.schema.json");
}

#[test]
fn sheet_is_html_with_both_charts_and_lines_to_sign() {
    let html = printed(&run(&["sheet", &example()]), 0);
    assert!(
        html.starts_with("<article class=\"sheet\" lang=\"en-US\">")
            && html.ends_with("</article>")
    );
    assert_eq!(html.matches("<svg ").count(), 2);
    for words in ["Gate-latch plate", "Press 12", "Set by, date and time"] {
        assert!(html.contains(words), "{words}");
    }
    assert!(!html.contains("<script"));
}

#[test]
fn words_are_in_the_language_asked_for_and_ids_stay() {
    let html = printed(&run(&["sheet", &example(), "--language", "de"]), 0);
    assert!(html.starts_with("<article class=\"sheet\" lang=\"de\">"), "{}", &html[..80]);
    for words in ["Einrichteblatt: Gate-latch plate", "Vor dem ersten Hub", "Nennkraft"] {
        assert!(html.contains(words), "{words}");
    }
    let need = printed(&run(&["need", &example(), "--language", "zh-CN"]), 0);
    assert!(need.contains("闭合高度"), "{need}");
    let json = |language| {
        let text = printed(&run(&["setup", &example(), "--json", "--language", language]), 0);
        serde_json::from_str::<Value>(&text).expect("JSON")
    };
    let (english, german) = (json("en-US"), json("de"));
    assert_ne!(english, german);
    let ids = |report: &Value| -> Vec<Value> {
        let cards = report["cards"].as_array().expect("cards");
        cards.iter().map(|card| card["id"].clone()).collect()
    };
    assert_eq!(ids(&english), ids(&german));
}

#[test]
fn language_that_there_is_not_is_refused() {
    let refused = run(&["sheet", &example(), "--language", "fr"]);
    assert!(!refused.status.success());
    let message = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(message.contains("must be one of en-US, en-GB, de, es, zh-Hans"), "{message}");
}

#[test]
fn exit_code_tells_the_verdict() {
    let cases = [
        ("\"rated_force_kn\": 1600", "\"rated_force_kn\": 1600", WITHIN_OR_NEAR, "within"),
        ("\"width_mm\": 1500", "\"width_mm\": 1000", WITHIN_OR_NEAR, "near"),
        ("\"width_mm\": 1500", "\"width_mm\": 800", OVER, "over"),
        ("\"rated_force_kn\": 1600", "\"rated_force_kn\": 40", OVER, "over"),
    ];
    for (found, instead, code, verdict) in cases {
        let job = EXAMPLE.replacen(found, instead, 1);
        let text = printed(&run_with(&["check", "-", "--json"], job.as_bytes()), code);
        let report: Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(report["verdict"], verdict, "{instead}");
        // Text and CSV end with the same code.
        printed(&run_with(&["check", "-"], job.as_bytes()), code);
        printed(&run_with(&["check", "-", "--csv"], job.as_bytes()), code);
    }
}

#[test]
fn missing_essential_rating_ends_with_code_2() {
    for field in [
        "\"rated_force_kn\": 1600,",
        ", \"rating_height_mm\": 6",
        "\"connecting_rod_mm\": 900, ",
        "\"energy\": {\"usable_kj\": 18, \"at_spm\": 60},",
        "\"speed_spm\": 45,",
        "\"moment_x_knm\": 200,",
        ", \"moment_y_knm\": 60",
        "\"shut_height_mm\": 450,",
        "\"shut_height_adjustment_mm\": 100,",
        " \"shut_height_mm\": 380,",
        "\"bolster\": {\"width_mm\": 1600, \"depth_mm\": 900},",
        "\"width_mm\": 900,",
    ] {
        assert!(EXAMPLE.contains(field), "{field}");
        let job = EXAMPLE.replacen(field, "", 1);
        let text = printed(&run_with(&["check", "-"], job.as_bytes()), NOT_CHECKED);
        assert!(text.contains("NOT CHECKED: DATA MISSING") && text.contains("Missing: "), "{text}");
    }
}

#[test]
fn refused_job_is_told_on_standard_error_with_every_place() {
    let job = EXAMPLE.replacen("\"stroke_mm\": 200", "\"stroke_mm\": \"200\"", 1).replacen(
        "\"shear_ratio\": 0.8",
        "\"shear_ratios\": 0.8",
        1,
    );
    for arguments in [vec!["check", "-"], vec!["check", "-", "--json"], vec!["sheet", "-"]] {
        let message = refused(&run_with(&arguments, job.as_bytes()));
        let lines: Vec<&str> = message.lines().collect();
        assert_eq!(lines.len(), 3, "{message}");
        assert_eq!(lines[0], "- is refused:");
        assert_eq!(
            lines[1],
            "  press.drive.stroke_mm: must be a number above 0 and at most 100000 mm, given \"200\""
        );
        assert!(
            lines[2].starts_with("  stock.shear_ratios: is no field here; allowed are material")
        );
    }
}

#[test]
fn hostile_files_are_refused_with_code_3() {
    let mut tried = 0;
    for entry in fs::read_dir(project("tests/hostile")).expect("a folder") {
        let path = entry.expect("an entry").path().display().to_string();
        let message = refused(&run(&["check", &path]));
        assert!(message.starts_with(&format!("{path} is refused:\n  ")), "{message}");
        tried += 1;
    }
    assert!(tried > 20, "{tried} files");
}

#[test]
fn bytes_that_are_no_text_are_refused() {
    let message = refused(&run_with(&["check", "-"], b"{\"title\": \"\xff\"}"));
    assert!(
        message.contains("$: a job file must be UTF-8 text, given 0xff at byte 11"),
        "{message}"
    );
}

#[test]
fn folder_or_missing_file_is_refused_by_name() {
    let folder = folder("folder_or_missing_file");
    for path in [folder.clone(), folder.join("no such file.json")] {
        let path = path.display().to_string();
        let message = refused(&run(&["check", &path]));
        assert!(message.starts_with(&format!("{path}: ")), "{message}");
    }
}

#[test]
fn input_beyond_20_mb_is_refused() {
    let message = refused(&run_with(&["check", "-"], &vec![b' '; 21 * 1024 * 1024]));
    assert!(message.contains("at most 20971520 bytes long (20 MB), given more"), "{message}");
}

#[test]
fn conflicting_or_unknown_options_are_refused() {
    let example = example();
    for arguments in [
        vec!["check", &example, "--json", "--csv"],
        vec!["check", &example, "--json", "--svg", "folder"],
        vec!["check", &example, "--csv", "--svg", "folder"],
        vec!["check", &example, "--svg"],
        vec!["check", &example, &example],
        vec!["check", &example, "--fast"],
        vec!["check"],
        vec!["weigh", &example],
        vec![],
    ] {
        let message = refused(&run(&arguments));
        assert!(message.contains("--help"), "{arguments:?}: {message}");
    }
    assert!(!Path::new("folder").exists());
}

#[test]
fn help_and_version_are_no_errors() {
    assert!(printed(&run(&["--help"]), 0).contains("Usage: evenstroke"));
    let help = printed(&run(&["check", "--help"]), 0);
    assert!(help.contains("1: over") && help.contains("3: input refused"), "{help}");
    assert!(printed(&run(&["--version"]), 0).starts_with("evenstroke "));
}

/// Runs with a pipe that nobody reads: closed before the job is there to be answered.
fn run_unheard(arguments: &[&str], input: &[u8]) -> Option<i32> {
    let mut child = start(arguments);
    drop(child.stdout.take());
    drop(child.stderr.take());
    let _ = child.stdin.take().expect("a pipe").write_all(input);
    child.wait().expect("the command ends").code()
}

#[test]
fn closed_pipe_is_no_panic() {
    for arguments in [
        vec!["check", "-"],
        vec!["check", "-", "--json"],
        vec!["check", "-", "--csv"],
        vec!["sheet", "-"],
        vec!["vary", "-"],
        vec!["need", "-"],
        vec!["need", "-", "--json"],
        vec!["setup", "-"],
        vec!["setup", "-", "--json"],
        vec!["advise", "-"],
    ] {
        assert_eq!(run_unheard(&arguments, EXAMPLE.as_bytes()), Some(0), "{arguments:?}");
        assert_eq!(run_unheard(&arguments, b"no job"), Some(REFUSED), "{arguments:?}");
    }
}

/// What a proposal changes makes the job that it promises, as a shell would do it.
#[test]
fn advice_can_be_put_into_the_job_and_checked() {
    let job = project("crates/job/demos/progressive.json").display().to_string();
    let text = printed(&run(&["advise", &job]), WITHIN_OR_NEAR);
    for part in
        ["Placement", "Move the die", "Punch steps", "Tool shear", "Speed", "taken for granted"]
    {
        assert!(text.contains(part), "{part}");
    }
    let json = printed(&run(&["advise", &job, "--json"]), WITHIN_OR_NEAR);
    let advice: Value = serde_json::from_str(&json).expect("JSON");
    let mut edited: Value =
        serde_json::from_str(&fs::read_to_string(&job).expect("the demo")).expect("JSON");
    let check = |job: &Value| {
        let output = run_with(&["check", "-", "--json"], job.to_string().as_bytes());
        serde_json::from_str::<Value>(&printed(&output, WITHIN_OR_NEAR)).expect("JSON")
    };
    let before = check(&edited);
    let steps = advice["punch_steps"].as_array().expect("a list");
    assert!(!steps.is_empty());
    for step in steps {
        let at = |key: &str| step[key].as_u64().expect("an index") as usize;
        edited["stations"][at("station")]["work"][at("work")]["entry_mm"] =
            step["entry_mm"].clone();
    }
    let after = check(&edited);
    let near = |a: &Value, b: &Value| {
        let (a, b) = (a.as_f64().expect("a number"), b.as_f64().expect("a number"));
        assert!((a - b).abs() <= 1e-6 * a.abs().max(1e-3), "{a} {b}");
    };
    near(&advice["peak_before_kn"], &before["peak"]["force_kn"]);
    near(&advice["peak_after_kn"], &after["peak"]["force_kn"]);
    near(&advice["reverse_before_kn"], &before["reverse_kn"]);
    near(&advice["reverse_after_kn"], &after["reverse_kn"]);
    assert!(advice["peak_after_kn"].as_f64() < advice["peak_before_kn"].as_f64());
    let placement = &advice["placement"];
    assert!(placement["share_after"].as_f64() < placement["share_before"].as_f64());
    assert_eq!(placement["limit"], "off_centre_x");
}

#[test]
fn advice_ends_with_the_code_of_the_job() {
    let over = project("crates/job/demos/combination.json").display().to_string();
    assert!(printed(&run(&["advise", &over, "--json"]), OVER).contains("evenstroke-advice"));
    refused(&run_with(&["advise", "-"], b"{"));
}

/// A folder with files of the project, by their new names.
fn filled(test: &str, files: &[(&str, &str)]) -> String {
    let folder = folder(test);
    for (name, from) in files {
        fs::copy(project(from), folder.join(name)).expect("a copy");
    }
    folder.display().to_string()
}

#[test]
fn ranking_puts_every_die_into_every_press() {
    let compound = "crates/job/demos/compound.json";
    let dies = filled("rank_dies", &[("washer.json", compound)]);
    let presses = filled(
        "rank_presses",
        &[("own.json", compound), ("other.json", "tests/contract/example.json")],
    );
    fs::write(Path::new(&presses).join("notes.txt"), "no press").expect("a file");
    let press = r#"{"name": "Bare", "rated_force_kn": 500, "drive": {"kind": "hydraulic", "stroke_mm": 100}}"#;
    fs::write(Path::new(&presses).join("bare.json"), press).expect("a file");
    let both = ["rank", "--dies", &dies, "--presses", &presses];
    let text = printed(&run(&both), WITHIN_OR_NEAR);
    assert!(text.contains("  1. Press 4") && text.contains("washer.json"), "{text}");
    let json = printed(&run(&[&both[..], &["--json"]].concat()), WITHIN_OR_NEAR);
    let ranking: Value = serde_json::from_str(&json).expect("JSON");
    let verdicts: Vec<&Value> = ranking["dies"][0]["presses"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|row| &row["verdict"])
        .collect();
    assert_eq!(verdicts, ["within", "not_checked", "over"]);

    // Without the press that fits the best that is left is not checked.
    fs::remove_file(Path::new(&presses).join("own.json")).expect("it was there");
    printed(&run(&both), NOT_CHECKED);
    fs::remove_file(Path::new(&presses).join("bare.json")).expect("it was there");
    printed(&run(&both), OVER);
    // What cannot be read is named, and the rest is ranked all the same.
    fs::write(Path::new(&presses).join("broken.json"), "{").expect("a file");
    let text = printed(&run(&both), REFUSED);
    assert!(text.contains("broken.json: $") && text.contains("1. Press 12"), "{text}");
}

#[test]
fn empty_folder_of_dies_or_presses_says_what_to_put_there() {
    let empty = folder("rank_empty").display().to_string();
    let dies = filled("rank_dies_alone", &[("washer.json", "crates/job/demos/compound.json")]);
    let message = refused(&run(&["rank", "--dies", &empty, "--presses", &dies]));
    assert!(message.contains("put job files there"), "{message}");
    let message = refused(&run(&["rank", "--dies", &dies, "--presses", &empty]));
    assert!(message.contains("put press objects"), "{message}");
    let missing = Path::new(&empty).join("none").display().to_string();
    assert!(refused(&run(&["rank", "--dies", &missing, "--presses", &dies])).contains("none"));
}

/// A line of these jobs, written out or named by file.
fn line_of(jobs: &[String]) -> String {
    let jobs = jobs.join(", ");
    format!(
        "{{\"format\": \"evenstroke-line\", \"version\": 1, \"title\": \"Line 4\", \"jobs\": [{jobs}]}}"
    )
}

fn in_file(path: &str) -> String {
    format!("{{\"file\": \"{path}\"}}")
}

/// A folder with a line of the example and of a job in a file beside it.
fn line_with(test: &str, job: &str) -> PathBuf {
    let folder = folder(test);
    fs::create_dir(folder.join("later")).expect("a folder");
    fs::write(folder.join("later/op20.json"), job).expect("a file");
    let path = folder.join("line.json");
    fs::write(&path, line_of(&[EXAMPLE.to_owned(), in_file("later/op20.json")])).expect("a file");
    path
}

#[test]
fn check_of_a_line_names_verdicts_weakest_and_slowest() {
    let demo = project("crates/job/demos/tandem_line.json").display().to_string();
    let text = printed(&run(&["check", &demo]), WITHIN_OR_NEAR);
    assert!(text.starts_with("Hatch-lid pan, three presses"), "{text}");
    for line in [
        "\nWITHIN THE LIMITS CHECKED\n",
        "\nWeakest: 1. Op 10, draw, in Line C, press 1: working energy 0.7",
        "\nSlowest: 1. Op 10, draw, in Line C, press 1: 14.0 strokes per minute.",
        "\n3. Op 30, flange, in Line C, press 3\n  Within the limits checked",
    ] {
        assert!(text.contains(line), "{line} in {text}");
    }
    assert!(!text.replace("safety blocks", "").to_lowercase().contains("safe"), "{text}");
}

#[test]
fn json_of_a_line_is_its_report() {
    let path = line_with("json_of_a_line", EXAMPLE).display().to_string();
    let text = printed(&run(&["check", &path, "--json"]), WITHIN_OR_NEAR);
    let report: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(report["format"], "evenstroke-line-report");
    assert_eq!(report["version"], 1);
    assert_eq!(report["jobs"].as_array().map(Vec::len), Some(2));
    assert_eq!(report["jobs"][1]["format"], "evenstroke-report");
    let one = printed(&run(&["check", &example(), "--json"]), WITHIN_OR_NEAR);
    assert_eq!(report["jobs"][1], serde_json::from_str::<Value>(&one).expect("JSON"));
}

#[test]
fn exit_code_of_a_line_is_that_of_its_worst_job() {
    let open = EXAMPLE.replacen("\"energy\": {\"usable_kj\": 18, \"at_spm\": 60},", "", 1);
    let over = EXAMPLE.replacen("\"rated_force_kn\": 1600", "\"rated_force_kn\": 20", 1);
    for (jobs, code, words) in [
        (vec![EXAMPLE.to_owned(), open.clone()], NOT_CHECKED, "NOT CHECKED: DATA MISSING"),
        (vec![over, open], OVER, "OVER A LIMIT"),
        (vec![EXAMPLE.to_owned(), EXAMPLE.to_owned()], WITHIN_OR_NEAR, "WITHIN THE LIMITS"),
    ] {
        let text = printed(&run_with(&["check", "-"], line_of(&jobs).as_bytes()), code);
        assert!(text.contains(words), "{text}");
    }
}

#[test]
fn what_is_wrong_in_a_line_is_told_with_its_path() {
    let bad = EXAMPLE.replacen("\"stroke_mm\": 200", "\"stroke_mm\": \"200\"", 1);
    let path = line_with("wrong_in_a_line", &bad).display().to_string();
    let message = refused(&run(&["check", &path]));
    let lines: Vec<&str> = message.lines().collect();
    assert_eq!(lines.len(), 2, "{message}");
    assert!(
        lines[1].starts_with("  $.jobs[1].press.drive.stroke_mm: must be a number"),
        "{message}"
    );
    assert!(lines[1].ends_with("given \"200\""), "{message}");
}

#[test]
fn files_of_a_line_are_read_from_its_own_folder_only() {
    let folder = folder("files_of_a_line");
    fs::create_dir(folder.join("line")).expect("a folder");
    fs::write(folder.join("outside.json"), EXAMPLE).expect("a file");
    let absolute = folder.join("outside.json").display().to_string();
    let path = folder.join("line/line.json");
    for (file, allowed) in [
        (absolute.as_str(), "must be a relative path"),
        ("../outside.json", "must be a relative path"),
        ("missing.json", "must be a file that can be read"),
        (".", "must be a relative path"),
    ] {
        fs::write(&path, line_of(&[in_file(file)])).expect("a file");
        let message = refused(&run(&["check", &path.display().to_string()]));
        let start = format!("  $.jobs[0].file: {allowed}");
        assert!(message.lines().any(|line| line.starts_with(&start)), "{message}");
    }
    // A folder is no file.
    fs::create_dir(folder.join("line/folder")).expect("a folder");
    fs::write(&path, line_of(&[in_file("folder")])).expect("a file");
    let message = refused(&run(&["check", &path.display().to_string()]));
    assert!(message.contains("$.jobs[0].file: must be a file that can be read"), "{message}");
}

#[test]
fn charts_sheet_and_what_if_take_one_press_at_a_time() {
    let line = line_of(&[EXAMPLE.to_owned()]);
    for arguments in [vec!["check", "-", "--csv"], vec!["check", "-", "--svg", "folder"]] {
        let message = refused(&run_with(&arguments, line.as_bytes()));
        assert!(message.contains("$: must be a job with --csv or --svg"), "{message}");
    }
    for command in ["sheet", "vary"] {
        let message = refused(&run_with(&[command, "-"], line.as_bytes()));
        assert!(message.contains("format: must be \"evenstroke-job\""), "{message}");
    }
    assert!(!Path::new("folder").exists());
}

#[test]
fn vary_names_movers_and_cases() {
    let text = printed(&run(&["vary", &example()]), WITHIN_OR_NEAR);
    for line in [
        "What moves each limit most",
        "    Strength of the stock",
        "What if: load alarm at +15 % and −20 % of the normal peak (common practice",
        "  Double metal at ",
        "  Next grade up, ",
        "  Thickest coil\n",
        "  Dull edges, +30 %\n",
        "  Punch missing at Pierce\n",
        "  Slug left in at Pierce\n",
        "the load alarm stays silent",
        "the load alarm trips: ",
    ] {
        assert!(text.contains(line), "{line} in {text}");
    }
    assert!(!text.contains("safe"), "{text}");
}

#[test]
fn vary_as_json_is_the_report_with_two_more_keys() {
    let text = printed(&run(&["vary", &example(), "--json"]), WITHIN_OR_NEAR);
    let mut varied: Value = serde_json::from_str(&text).expect("JSON");
    let object = varied.as_object_mut().expect("an object");
    let (movers, cases) = (object.remove("sensitivity"), object.remove("what_if"));
    let report = printed(&run(&["check", &example(), "--json"]), WITHIN_OR_NEAR);
    assert_eq!(varied, serde_json::from_str::<Value>(&report).expect("JSON"));
    let movers = movers.expect("sensitivity");
    let rated = &movers[0];
    assert_eq!(rated["limit"], "rated_force");
    let first = rated["inputs"][0].as_object().expect("an object");
    let keys: Vec<&str> = first.keys().map(String::as_str).collect();
    assert_eq!(
        keys,
        ["input", "label", "low", "high", "unit", "ends", "share_at_low", "share_at_high", "why"]
    );
    let cases = cases.expect("what_if");
    assert_eq!(
        (&cases["alarm_high_percent"], &cases["alarm_assumed"]),
        (&15.0.into(), &true.into())
    );
    assert!(cases["cases"].as_array().is_some_and(|cases| cases.len() >= 7));
}

#[test]
fn vary_ends_with_the_code_of_the_job_as_it_stands() {
    let over = EXAMPLE.replacen("\"rated_force_kn\": 1600", "\"rated_force_kn\": 20", 1);
    printed(&run_with(&["vary", "-"], over.as_bytes()), OVER);
    let open = EXAMPLE.replacen("\"speed_spm\": 45,", "", 1);
    printed(&run_with(&["vary", "-"], open.as_bytes()), NOT_CHECKED);
    refused(&run_with(&["vary", "-"], b"{}"));
}

#[test]
fn this_coil_is_told_beside_the_range() {
    let job = EXAMPLE.replacen(
        "\"die\": {",
        "\"coil\": {\"tensile_mpa\": 430, \"certificate\": \"4711\\u001b[2J\"}, \"die\": {",
        1,
    );
    let text = printed(&run_with(&["check", "-"], job.as_bytes()), WITHIN_OR_NEAR);
    assert!(text.contains("\nthis coil peak "), "{text}");
    assert!(
        text.contains("  - This coil is outside the job's range: tensile strength 430.0 MPa"),
        "{text}"
    );
}

#[test]
fn names_in_a_line_steer_no_terminal() {
    let job = EXAMPLE.replacen("Press 12", "\\u001b[2JPress\\nWITHIN", 1);
    let text = printed(&run_with(&["check", "-"], line_of(&[job]).as_bytes()), WITHIN_OR_NEAR);
    assert!(!text.contains(|c: char| c.is_control() && c != '\n'), "{text:?}");
    let job = EXAMPLE.replacen("\"Pierce\"", "\"\\u001b[2J\"", 1);
    let text = printed(&run_with(&["vary", "-"], job.as_bytes()), WITHIN_OR_NEAR);
    assert!(!text.contains(|c: char| c.is_control() && c != '\n'), "{text:?}");
}

#[test]
fn outline_lists_what_a_drawing_holds() {
    let file = project("tests/drawings/gaps.dxf").display().to_string();
    let text = printed(&run(&["outline", &file]), 0);
    assert!(text.starts_with("Read in mm; all lengths below in mm.\n"), "{text}");
    let first =
        "   1  0                   closed       179.985      24.998      20.004         4\n";
    assert!(text.contains(first), "{text}");
    assert!(
        text.contains("  - 150.000, 0.000 and 150.000, 0.400: 0.400 mm apart, layer 0\n"),
        "{text}"
    );
    assert!(text.contains("No curve had to be approximated."), "{text}");
}

#[test]
fn outline_as_json_has_the_fields_of_the_contract() {
    let file = project("tests/drawings/gaps.dxf").display().to_string();
    let text = printed(&run(&["outline", &file, "--json"]), 0);
    let value: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(value["unit"], "mm");
    assert_eq!(value["unit_assumed"], false);
    let outlines = value["outlines"].as_array().expect("a list");
    assert_eq!(outlines.len(), 2);
    assert_eq!(outlines[0]["layer"], "0");
    assert_eq!(outlines[0]["closed"], true);
    assert_eq!(outlines[0]["segments"], 4);
    for key in ["length_mm", "x_mm", "y_mm"] {
        assert!(outlines[0][key].is_f64(), "{key}");
    }
    assert_eq!(outlines[0]["outline"]["path"]["points"].as_array().map(Vec::len), Some(4));
    assert_eq!(value["gaps"].as_array().map(Vec::len), Some(1));
    assert!((value["gaps"][0]["distance_mm"].as_f64().expect("a number") - 0.4).abs() < 1e-9);
}

#[test]
fn an_outline_put_into_a_job_lies_where_the_drawing_has_it() {
    let drawing = "<svg><path d='M-50 20h20v10a5 5 0 0 1 -5 5h-15z'/></svg>";
    let output = run_with(&["outline", "-", "--json"], drawing.as_bytes());
    let value: Value = serde_json::from_str(&printed(&output, 0)).expect("JSON");
    assert_eq!(value["unit_assumed"], true);
    let outline = &value["outlines"][0];
    let mut job: Value = serde_json::from_str(EXAMPLE).expect("JSON");
    let work = &mut job["stations"][0]["work"][0];
    for key in ["outline", "x_mm", "y_mm"] {
        work[key] = outline[key].clone();
    }
    let output = run_with(&["check", "-", "--json"], job.to_string().as_bytes());
    assert!(matches!(output.status.code(), Some(0..=2)), "{output:?}");
    let report: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(report["format"], "evenstroke-report");
}

#[test]
fn outline_takes_unit_tolerance_and_layer() {
    let file = project("tests/drawings/loose_lines.dxf").display().to_string();
    let json = |more: &[&str]| -> Value {
        let arguments = [&["outline", &file, "--json"], more].concat();
        serde_json::from_str(&printed(&run(&arguments), 0)).expect("JSON")
    };
    let (plain, inches) = (json(&[]), json(&["--unit", "in"]));
    let length = |value: &Value| value["outlines"][0]["length_mm"].as_f64().expect("a number");
    assert!((length(&inches) - 25.4 * length(&plain)).abs() < 1e-6);
    assert_eq!((&inches["read_as"], &inches["file_unit"]), (&"in".into(), &"mm".into()));
    assert_eq!(json(&["--layer", "PIERCE"])["outlines"].as_array().map(Vec::len), Some(3));
    let more = json(&["--tolerance-mm", "0.2", "--chord-error-mm", "0.5"]);
    assert_eq!((&more["tolerance_mm"], &more["chord_error_mm"]), (&0.2.into(), &0.5.into()));
}

#[test]
fn a_drawing_that_is_refused_is_named_with_what_is_allowed() {
    let output = run_with(&["outline", "-"], b"AutoCAD Binary DXF\r\n\x1a\0");
    assert_eq!(
        refused(&output),
        "- is refused:\n  the file: must be saved as text (ASCII) DXF, given a binary DXF file, of \
         the same content\n"
    );
    let job = refused(&run(&["outline", &example()]));
    assert!(
        job.contains("must be a DXF file saved as text, or an SVG file, given a file that"),
        "{job}"
    );
    assert!(refused(&run(&["outline", "nowhere.dxf"])).starts_with("nowhere.dxf: "));
    let unit = refused(&run(&["outline", "-", "--unit", "furlong"]));
    assert!(unit.contains("must be one of mm, in, cm"), "{unit}");
    let tolerance = refused(&run_with(&["outline", "-", "--tolerance-mm", "99"], b"<svg/>"));
    assert!(tolerance.contains("tolerance: must be from 0.0001 to 10 mm, given 99"), "{tolerance}");
}

#[test]
fn names_from_a_drawing_steer_no_terminal() {
    let drawing =
        "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nA\u{1b}[2J\n11\n5\n21\n0\n0\nENDSEC\n0\nEOF\n";
    let text = printed(&run_with(&["outline", "-"], drawing.as_bytes()), 0);
    assert!(text.contains("A\u{fffd}[2J"), "{text:?}");
    assert!(!text.contains(|c: char| c.is_control() && c != '\n'), "{text:?}");
}

/// The example without its press, and with a free height of 300 mm below its first station.
fn die_alone() -> Vec<u8> {
    let mut job: Value = serde_json::from_str(EXAMPLE).expect("JSON");
    job.as_object_mut().expect("an object").remove("press");
    job["stations"][0]["slug_drop_mm"] = 300.into();
    job.to_string().into_bytes()
}

#[test]
fn need_tells_what_the_die_asks_of_any_press() {
    let with_press = printed(&run(&["need", &example(), "--json"]), WITHIN_OR_NEAR);
    let alone = printed(&run_with(&["need", "-", "--json"], &die_alone()), WITHIN_OR_NEAR);
    let [with_press, alone] = [with_press, alone].map(|text| {
        assert!(text.ends_with("}\n"));
        serde_json::from_str::<Value>(&text).expect("JSON")
    });
    assert_eq!((&alone["format"], &alone["version"]), (&"evenstroke-need".into(), &1.into()));
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
    ] {
        let number = alone[key].as_f64().unwrap_or_else(|| panic!("{key}: {}", alone[key]));
        let other = with_press[key].as_f64().unwrap_or_else(|| panic!("{key}"));
        assert!((number - other).abs() <= 1e-9 * number && number > 0.0, "{key}: {number} {other}");
    }
    // What is not known is null and named.
    assert_eq!(alone["die_kg"], Value::Null);
    let unknown = alone["unknown"].as_array().expect("a list");
    assert!(unknown.iter().any(|row| row["key"] == "die_kg"), "{unknown:?}");
    assert_eq!(alone["slugs"][0]["station"], "Pierce");
    assert_eq!(alone["slugs"][0]["minutes_to_die"], Value::Null);
}

/// 2 mm slugs at 45 a minute fill 90 mm a minute: 300 mm in 3 min 20 s.
#[test]
fn need_tells_when_blocked_slugs_reach_the_die() {
    let text = EXAMPLE.replacen(
        "\"strip_position\": 1,",
        "\"strip_position\": 1, \"slug_drop_mm\": 300,",
        1,
    );
    let json = printed(&run_with(&["need", "-", "--json"], text.as_bytes()), WITHIN_OR_NEAR);
    let found: Value = serde_json::from_str(&json).expect("JSON");
    let minutes = found["slugs"][0]["minutes_to_die"].as_f64().expect("a number");
    assert!((minutes - 10.0 / 3.0).abs() < 1e-9, "{minutes}");
    let words = printed(&run_with(&["need", "-"], text.as_bytes()), WITHIN_OR_NEAR);
    assert!(words.contains("Blocked slugs at Pierce reach the die in  3 min 20 s"), "{words}");
}

#[test]
fn job_without_a_press_is_not_checked() {
    let text = printed(&run_with(&["check", "-"], &die_alone()), NOT_CHECKED);
    assert!(text.contains("(0 of 18 limits checked)"), "{text}");
    let sheet = printed(&run_with(&["sheet", "-"], &die_alone()), WITHIN_OR_NEAR);
    assert!(sheet.contains("Stroke of this press</th><td>not entered"), "{sheet}");
}

#[test]
fn setup_prints_its_cards_as_text_and_json() {
    let every = project("tests/contract/every_operation.json").display().to_string();
    let text = printed(&run(&["setup", &every]), WITHIN_OR_NEAR);
    for title in [
        "Last good set-up",
        "Shut height",
        "Counterbalance",
        "Holding of the upper die",
        "Safety blocks and lifting",
        "Slugs",
        "The first strokes",
        "After a trip",
        "What is missing",
        "Signed",
    ] {
        assert!(text.lines().any(|line| line == title), "{title} in {text}");
    }
    let json = printed(&run(&["setup", &every, "--json"]), WITHIN_OR_NEAR);
    let found: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(found["format"], "evenstroke-setup");
    let cards = found["cards"].as_array().expect("a list");
    assert_eq!(cards[0]["id"], "last_good");
    assert!(cards.iter().all(|card| card["rows"].is_array() && card["sentences"].is_array()));
    // Pictures stay in the file.
    assert!(!json.contains("data:image"));
}

#[test]
fn setup_steers_no_terminal_and_need_refuses_what_cannot_be() {
    let text = EXAMPLE.replacen("\"Pierce\"", "\"\\u001b[2JPierce\\n\"", 1);
    for command in ["need", "setup"] {
        let out = printed(&run_with(&[command, "-"], text.as_bytes()), WITHIN_OR_NEAR);
        assert!(!out.contains(|c: char| c.is_control() && c != '\n'), "{out:?}");
        let heavy = EXAMPLE.replacen(
            "\"upper_mass_kg\": 350",
            "\"upper_mass_kg\": 350, \"mass_kg\": 300",
            1,
        );
        let message = refused(&run_with(&[command, "-"], heavy.as_bytes()));
        assert!(message.contains("die.upper_mass_kg: must be at most 300 kg"), "{message}");
        refused(&run(&[command, "no such file.json"]));
    }
}
