//! The working: a formula with the numbers put in gives the number that the check gives.

use crate::support::{EVERY_OPERATION, EXAMPLE, good_jobs, value, with};
use evenstroke_job::{
    Job,
    units::UnitSystem,
    working::{LAWS, Working, html, lines, of_limit, of_now, of_work},
};
use press_load::{
    Length, LimitId, Line, Motion, Point, StripState, Stroke, Work,
    cutting::{Cut, CutModel},
    stroke::WorkError,
};
use proptest::prelude::*;
use serde_json::{Value, json};

/// What a sum is compared with: its terms may all but cancel.
fn scale(step: &Working) -> f64 {
    if step.rows.is_empty() {
        return step.result.abs();
    }
    let products = (0..step.rows.len()).map(|row| {
        step.put_in
            .iter()
            .map(|values| values.get(row).copied().unwrap_or(1.0).abs())
            .product::<f64>()
    });
    let unit = if step.law.key == "moment" { 1e-3 } else { 1.0 };
    match step.law.key {
        "centre" => step.put_in[1].iter().fold(step.result.abs(), |a, b| a.max(b.abs())),
        _ => products.sum::<f64>() * unit,
    }
}

fn hold(name: &str, steps: &[Working]) {
    for step in steps {
        let key = step.law.key;
        assert!(LAWS.iter().any(|law| std::ptr::eq(*law, step.law)), "{name}: {key}");
        assert_eq!(step.put_in.len() + 1, step.law.symbols.len(), "{name}: {key}");
        let evaluated = step.evaluate();
        let off = (evaluated - step.result).abs();
        assert!(
            evaluated == step.result || off <= 1e-9 * scale(step),
            "{name}: {key} gives {evaluated}, shown is {}: {step:?}",
            step.result
        );
    }
}

/// All steps of a job.
fn all_steps(name: &str, job: &Job) -> Vec<Working> {
    let check = job.check();
    let placement = job.die.placement;
    let mut all = Vec::new();
    for id in LimitId::ALL {
        let steps = of_limit(job, &check, placement, id);
        hold(&format!("{name}, {}", id.key()), &steps);
        let limit = check.limit(id);
        if let (Ok(used), Some(first)) = (limit.outcome, steps.first())
            && used.limit != 0.0
        {
            // What stands on the page is what the steps end in.
            assert_eq!(first.result, used.share, "{name}: {}", id.key());
        }
        all.extend(steps);
    }
    for (station, of) in job.stations.iter().enumerate() {
        for work in 0..of.work.len() {
            let steps = of_work(job, station, work);
            let name = format!("{name}, station {station} work {work}");
            hold(&name, &steps);
            let Some(first) = steps.first() else { panic!("{name} has no working") };
            if let Ok(peak) = peak_alone(job, station, work) {
                let off = (first.result - peak).abs();
                assert!(
                    off <= 1e-7 * peak,
                    "{name}: {} kN, its curve peaks at {peak}",
                    first.result
                );
            }
            all.extend(steps);
        }
    }
    for state in check.strip_states {
        for part in 0..8 {
            let height = job.press.drive.stroke() * (f64::from(part) / 40.0);
            let steps = of_now(job, placement, state, height);
            hold(&format!("{name}, now"), &steps);
            all.extend(steps);
        }
    }
    all
}

/// The highest point of the curve of one work by itself, upper line, in kN.
fn peak_alone(job: &Job, station: usize, work: usize) -> Result<f64, WorkError> {
    let mut alone = job.stations[station].clone();
    alone.work = vec![alone.work[work].clone()];
    alone.stripper = None;
    let reach = job.press.drive.stroke();
    let stroke = Stroke::new(&[alone], &job.stock, job.settings.cut_model, reach)?;
    let total = stroke.upper.total(StripState::Full, &Motion::NONE);
    Ok(total.force.iter().copied().fold(0.0, f64::max) * 1e-3)
}

#[test]
fn every_formula_gives_the_number_shown_in_all_jobs() {
    let mut used: Vec<&str> = Vec::new();
    for (name, text) in good_jobs() {
        let job = Job::read(text).expect("a job");
        used.extend(all_steps(name, &job).iter().map(|step| step.law.key));
        let mut plateau = value(text);
        plateau["settings"]["cut_profile"] = json!("plateau");
        used.extend(
            all_steps(name, &Job::from_value(&plateau).expect("a job")).iter().map(|s| s.law.key),
        );
    }
    used.sort_unstable();
    used.dedup();
    // Laws of cautions and of cards are told in the handbook page only.
    assert!(used.len() >= 40, "{} laws are used: {used:?}", used.len());
}

#[test]
fn presses_of_all_kinds_have_their_working() {
    let base = value(EVERY_OPERATION);
    let example = value(EXAMPLE);
    let jobs = [
        with(example.clone(), "/press/drive", json!({"kind": "hydraulic", "stroke_mm": 200})),
        with(
            example.clone(),
            "/press/drive",
            json!({"kind": "table", "stroke_mm": 200, "points": [
                {"height_mm": 3, "force_kn": 1600}, {"height_mm": 12, "force_kn": 900},
                {"height_mm": 40, "force_kn": 400}]}),
        ),
        with(
            example.clone(),
            "/press/off_centre",
            json!({"table_x": [{"offset_mm": 0, "force_kn": 1600}, {"offset_mm": 400, "force_kn": 700}],
                   "table_y": [{"offset_mm": 10, "force_kn": 1500}, {"offset_mm": 200, "force_kn": 300}]}),
        ),
        with(
            example.clone(),
            "/press/suspension",
            json!({"points": 4, "span_x_mm": 900, "span_y_mm": 500}),
        ),
        with(example.clone(), "/press/suspension", json!({"points": 1})),
        with(
            example.clone(),
            "/press/energy",
            json!({"inertia_kgm2": 90, "flywheel_rpm": 300, "slowdown_percent": 15}),
        ),
        with(
            example.clone(),
            "/press/die_length_table",
            json!([{"length_mm": 600, "force_kn": 900}, {"length_mm": 1100, "force_kn": 1600}]),
        ),
        with(example, "/press/drive/second_rating", json!({"height_mm": 25, "force_kn": 600})),
        base,
    ];
    for (index, json) in jobs.iter().enumerate() {
        if let Ok(job) = Job::from_value(json) {
            all_steps(&format!("press {index}"), &job);
        } else {
            let refused = Job::from_value(json).expect_err("refused");
            panic!("press {index}: {refused}");
        }
    }
}

/// The mean of φ along an edge comes of a closed form; here it is added up over many pieces of each
/// line and arc.
#[test]
fn mean_along_a_sheared_edge_is_that_of_an_independent_sum() {
    let mut seen = 0;
    for (name, text) in good_jobs() {
        for model in ["plateau", "shaped"] {
            let mut json = value(text);
            json["settings"]["cut_profile"] = json!(model);
            let job = Job::from_value(&json).expect("a job");
            for (station, of) in job.stations.iter().enumerate() {
                for (work, placed) in of.work.iter().enumerate() {
                    let steps = of_work(&job, station, work);
                    let (Work::Cut(cut), Some(first)) = (&placed.work, steps.first()) else {
                        continue;
                    };
                    if first.law.key != "shear_peak" {
                        continue;
                    }
                    seen += 1;
                    let sheet = job.stroke.upper.stations[station].sheet;
                    let largest = largest_mean(cut, &sheet, job.settings.cut_model);
                    let mean = first.put_in[1][0];
                    assert!((largest - mean).abs() < 2e-3, "{name} {model}: {mean}, sum {largest}");
                }
            }
        }
    }
    assert!(seen > 3, "only {seen} sheared edges");
}

fn largest_mean(cut: &Cut, sheet: &press_load::Sheet, model: CutModel) -> f64 {
    let profile = cut.profile(sheet, model);
    let edges = cut.tool_shear.apply(&cut.outline.edges().expect("an outline"), cut.entry);
    let mut points: Vec<(f64, f64)> = Vec::new();
    let whole = cut.outline.length().expect("an outline").metres();
    for edge in &edges {
        let line = edge.edge.polyline(1e-6);
        for pair in line.windows(2) {
            let part = pair[0].distance(pair[1]) / whole;
            let pieces = (part * 4_000.0).ceil();
            let count = pieces as u32;
            for piece in 0..count {
                let part = (f64::from(piece) + 0.5) / pieces;
                let at = Point::new(
                    pair[0].x + (pair[1].x - pair[0].x) * part,
                    pair[0].y + (pair[1].y - pair[0].y) * part,
                );
                points.push((edge.entry_at(at), pair[0].distance(pair[1]) / pieces));
            }
        }
    }
    let length: f64 = points.iter().map(|point| point.1).sum();
    let top = cut.entry.metres();
    let thickness = sheet.thickness().metres();
    let steps = 500;
    let mean = |height: f64| {
        points
            .iter()
            .map(|&(entry, piece)| profile.value((entry - height) / thickness) * piece)
            .sum::<f64>()
            / length
    };
    let step = top / f64::from(steps);
    let rough = (0..=steps).map(|i| step * f64::from(i));
    let highest = |heights: &mut dyn Iterator<Item = f64>| {
        heights
            .map(|height| (height, mean(height)))
            .fold((0.0, 0.0), |best, here| if here.1 > best.1 { here } else { best })
    };
    let (at, _) = highest(&mut rough.into_iter());
    highest(&mut (-60..=60).map(|i| at + step * f64::from(i) / 60.0)).1
}

#[test]
fn numbers_that_are_missing_have_no_working_and_no_panic() {
    let mut json = value(EXAMPLE);
    json.as_object_mut().expect("an object").remove("press");
    let job = Job::from_value(&json).expect("a job");
    let check = job.check();
    let steps = |id| of_limit(&job, &check, job.die.placement, id);
    // What any press would have to give is told all the same.
    assert_eq!(steps(LimitId::RatedForce)[0].law.key, "parts");
    assert_eq!(steps(LimitId::OffCentreX)[0].law.key, "moment");
    assert!(steps(LimitId::MotorPower).len() <= 1);
    all_steps("no press", &job);
    assert!(of_work(&job, 99, 0).is_empty());
    assert!(of_work(&job, 0, 99).is_empty());
    of_now(&job, job.die.placement, StripState::Full, Length::from_millimetres(1e6));
}

#[test]
fn upper_line_is_what_the_working_shows() {
    let job = Job::read(EXAMPLE).expect("a job");
    let steps = of_work(&job, 0, 0);
    let whole = steps.iter().find(|step| step.law.key == "cut_edge").expect("a cut");
    // π · 30 mm of 2.1 mm at 0.8 · 410 MPa, clearance 8 %: 1 + 0.8 · 0.02.
    let expected = std::f64::consts::PI * 30.0 * 2.1 * 0.8 * 410.0 * 1.016 * 1e-3;
    assert!((whole.result - expected).abs() < 1e-9 * expected, "{} {expected}", whole.result);
    let sheet = job.stock.sheet(Line::Upper).expect("a sheet");
    assert!((whole.put_in[1][0] - sheet.thickness().millimetres()).abs() < 1e-12);
}

#[test]
fn every_unit_system_shows_every_step() {
    for (_, text) in good_jobs() {
        let job = Job::read(text).expect("a job");
        let check = job.check();
        for units in UnitSystem::ALL {
            for id in LimitId::ALL {
                let steps = of_limit(&job, &check, job.die.placement, id);
                let html = html(&steps, units);
                assert_eq!(html.matches("<section").count(), steps.len());
                assert!(!html.contains("NaN") && !html.contains("style="), "{html}");
                assert!(lines(&steps, units).iter().all(|line| !line.contains("NaN")));
            }
        }
    }
}

/// The job with its numbers turned by up to a fifth: both ends of a range alike, and all rows of a
/// table.
fn turned(json: &Value, turn: &mut dyn FnMut() -> f64) -> Value {
    match json {
        Value::Object(range) if range.contains_key("low") => scaled(json, turn()),
        Value::Object(fields) => fields
            .iter()
            .map(|(key, field)| {
                let turned = match key.as_str() {
                    "version"
                    | "strip_position"
                    | "turn_deg"
                    | "count"
                    | "pistons"
                    | "ridges"
                    | "wear_factor"
                    | "motor_efficiency_percent"
                    | "force_rise"
                    | "record"
                    | "setup"
                    | "trip"
                    | "placement"
                    | "band" => field.clone(),
                    "points" if field.is_number() => field.clone(),
                    "stations" | "work" => turned(field, turn),
                    _ if field.is_array() => scaled(field, turn()),
                    _ => turned(field, turn),
                };
                (key.clone(), turned)
            })
            .collect(),
        Value::Array(items) => items.iter().map(|item| turned(item, turn)).collect(),
        _ => scaled(json, turn()),
    }
}

/// All numbers within it times a factor.
fn scaled(json: &Value, factor: f64) -> Value {
    match json {
        Value::Object(fields) => {
            fields.iter().map(|(key, field)| (key.clone(), scaled(field, factor))).collect()
        }
        Value::Array(items) => items.iter().map(|item| scaled(item, factor)).collect(),
        Value::Number(number) => json!(number.as_f64().unwrap_or(0.0) * factor),
        other => other.clone(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn every_formula_gives_the_number_shown_in_random_jobs(
        which in 0..6_usize,
        turns in prop::collection::vec(0.8..1.25_f64, 97),
    ) {
        let jobs = good_jobs();
        let (name, text) = jobs[which % jobs.len()];
        let mut at = 0;
        let mut turn = || {
            at += 1;
            turns[at % turns.len()]
        };
        let json = turned(&value(text), &mut turn);
        // Some changes cannot be; those are told elsewhere.
        if let Ok(job) = Job::from_value(&json) {
            all_steps(name, &job);
        }
    }
}
