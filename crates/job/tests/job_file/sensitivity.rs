//! Which input moves each limit most, held against hand calculation and against jobs whose files
//! were changed one field at a time.

use crate::support::{assert_near, example, good_jobs, number, report, value, with, without};
use evenstroke_job::{
    Job,
    sensitivity::{Ends, Movers, inputs, sensitivity},
};
use press_load::LimitId;
use serde_json::{Value, json};
use std::f64::consts::PI;

fn job(value: &Value) -> Job {
    Job::from_value(value).unwrap_or_else(|refused| panic!("{refused}"))
}

fn movers(value: &Value) -> Vec<Movers> {
    let job = job(value);
    sensitivity(&job, &job.check())
}

#[track_caller]
fn of(found: &[Movers], id: LimitId) -> &Movers {
    found.iter().find(|limit| limit.id == id).unwrap_or_else(|| panic!("no {id:?}"))
}

/// Share of a limit with an input at its low and its high end.
#[track_caller]
fn shares(limit: &Movers, input: &str) -> (f64, f64) {
    let found = limit.movers.iter().find(|mover| mover.input.key == input);
    let mover = found.unwrap_or_else(|| panic!("{input} does not move {:?}", limit.id));
    (mover.share_at_low, mover.share_at_high)
}

/// One flat punch of 30 mm by the handbook's constant force, off-centre nowhere.
fn one_punch() -> Value {
    let stations = json!([{"name": "Pierce", "work": [
        {"op": "cut", "kind": "pierce", "outline": {"circle": {"diameter_mm": 30}}, "entry_mm": 4}]}]);
    with(with(example(), "/stations", stations), "/settings/cut_profile", "plateau")
}

/// `F = π·d·t·0.8·Rm` (P. C. Sharma, *A Textbook of Production Engineering*, ch. 2) over 1600 kN,
/// by hand at both ends of strength, thickness and wear.
#[test]
fn share_of_a_cut_goes_with_strength_thickness_and_wear_in_proportion() {
    let found = movers(&one_punch());
    let rated = of(&found, LimitId::RatedForce);
    let by_hand = |tensile: f64, t: f64| PI * 30.0 * t * 0.8 * tensile / 1e3 / 1600.0;
    assert_near(rated.share, by_hand(410.0, 2.1), 1e-9);
    let (low, high) = shares(rated, "tensile_mpa");
    assert_near(low, by_hand(270.0, 2.1), 1e-9);
    assert_near(high, by_hand(410.0, 2.1), 1e-9);
    let (low, high) = shares(rated, "thickness_mm");
    assert_near(low, by_hand(410.0, 1.9), 1e-9);
    assert_near(high, by_hand(410.0, 2.1), 1e-9);
    let (low, high) = shares(rated, "wear_factor");
    assert_near(low, by_hand(410.0, 2.1), 1e-9);
    assert_near(high, 1.3 * by_hand(410.0, 2.1), 1e-9);
    // Largest first: 34 % down, 30 % up, 10 % down.
    let order: Vec<&str> = rated.movers.iter().map(|mover| mover.input.key).collect();
    assert_eq!(order, ["tensile_mpa", "wear_factor", "thickness_mm"]);
}

/// The handbook's work is force times 0.4 of thickness, so that it goes with the square of thickness.
#[test]
fn energy_of_a_cut_goes_with_the_square_of_thickness() {
    let found = movers(&one_punch());
    let (low, high) = shares(of(&found, LimitId::WorkingEnergy), "thickness_mm");
    assert_near(low / high, (1.9_f64 / 2.1).powi(2), 1e-9);
}

#[test]
fn stripping_goes_with_its_factor() {
    let found = movers(&one_punch());
    let (low, high) = shares(of(&found, LimitId::StrippingLoad), "strip_factor");
    assert_near(high / low, 0.3 / 0.03, 1e-9);
}

/// The moment of a load at the die's middle is force times the shift: 5 mm of 200 kN·m.
#[test]
fn place_of_the_die_moves_the_moment_by_force_times_shift() {
    let found = movers(&one_punch());
    let force = PI * 30.0 * 2.1 * 0.8 * 410.0 / 1e3;
    let (low, high) = shares(of(&found, LimitId::OffCentreX), "placement_x_change_mm");
    for share in [low, high] {
        assert_near(share, force * 5e-3 / 200.0, 1e-9);
    }
}

/// On the bottom the press is a spring (Hooke's law): 0.1 mm times 1500 kN/mm is 150 kN more.
#[test]
fn shut_height_is_worth_the_presss_stiffness_where_the_die_squeezes() {
    let coin = json!([{"name": "Coin", "work": [
        {"op": "squeeze", "kind": "coin", "area_mm2": 400, "pressure_mpa": 1000, "entry_mm": 0.5}]}]);
    let found = movers(&with(example(), "/stations", coin));
    let rated = of(&found, LimitId::RatedForce);
    assert_near(rated.share, 400.0 / 1600.0, 1e-9);
    let (low, high) = shares(rated, "shut_height_change_mm");
    assert_near(low, 250.0 / 1600.0, 1e-9);
    assert_near(high, 550.0 / 1600.0, 1e-9);
    let (low, high) = shares(rated, "squeeze_pressure_percent");
    assert_near(low, 320.0 / 1600.0, 1e-9);
    assert_near(high, 480.0 / 1600.0, 1e-9);
}

/// An input's name, a field of the file, and its change at an end.
type Change = fn(Value, f64) -> Value;

/// Every cut of the job with another field.
fn each_cut(mut job: Value, change: &dyn Fn(&mut Value)) -> Value {
    for station in job["stations"].as_array_mut().expect("a list") {
        for work in station["work"].as_array_mut().expect("a list") {
            if work["op"] == "cut" {
                change(work);
            }
        }
    }
    job
}

fn scaled(job: Value, pointer: &str, factor: f64) -> Value {
    let old = number(job.pointer(pointer).unwrap_or_else(|| panic!("no {pointer}")));
    with(job, pointer, old * factor)
}

fn moved(mut job: Value, stations: std::ops::Range<usize>, by: f64) -> Value {
    for index in stations {
        for work in job["stations"][index]["work"].as_array_mut().expect("a list") {
            work["entry_mm"] = json!(number(&work["entry_mm"]) + by);
        }
    }
    job
}

const CHANGES: [(&str, &str, Change); 15] = [
    ("tensile_mpa", "Strength of the stock", |job, end| with(job, "/stock/tensile_mpa", end)),
    ("thickness_mm", "Thickness", |job, end| {
        with(with(job, "/stock/thickness_mm", end), "/stock/thickness_tolerance_mm", 0)
    }),
    ("separation", "Separation", |job, end| with(job, "/stock/separation", end)),
    ("clearance_change_percent", "Clearance per side", |job, end| {
        each_cut(job, &|cut| {
            if let Some(own) = cut["clearance_percent"].as_f64() {
                cut["clearance_percent"] = json!(own + end);
            }
        })
    }),
    ("wear_factor", "Edges, sharp to dull", |job, end| {
        each_cut(job, &|cut| cut["wear_factor"] = json!(end))
    }),
    ("strip_factor", "Stripping over cutting force", |job, end| {
        with(job, "/settings/strip_factor", end)
    }),
    ("spring_force_percent", "Springs, pads and cushions", |job, end| {
        scaled(job, "/stations/2/work/1/force_kn", 1.0 + end / 100.0)
    }),
    ("shut_height_change_mm", "Shut height setting, all stations", |job, end| {
        moved(job, 0..4, end)
    }),
    ("entry_change_mm", "First touch at Pierce", |job, end| moved(job, 0..1, end)),
    ("entry_change_mm", "First touch at Notch", |job, end| moved(job, 1..2, end)),
    ("entry_change_mm", "First touch at Bend", |job, end| moved(job, 2..3, end)),
    ("placement_x_change_mm", "Place of the die, left–right", |job, end| {
        with(job, "/die/placement/x_mm", end)
    }),
    ("stiffness_kn_per_mm", "Stiffness of the press", |job, end| {
        with(job, "/press/stiffness_kn_per_mm", end)
    }),
    ("slide_mass_kg", "Slide mass", |job, end| with(job, "/press/slide_mass_kg", end)),
    ("damping_percent", "Damping of the press", |job, end| {
        with(job, "/press/damping_percent", end)
    }),
];

/// The example with what the brute force needs to know: a gap that does not follow the strip, a
/// separation with a range.
fn example_of_known_tools() -> Value {
    let job = with(example(), "/stations/2/work/0/gap_mm", 2);
    with(job, "/stock/separation", json!({"low": 0.6, "high": 0.7}))
}

/// The shares of all limits in a report.
fn shares_of(report: &Value) -> Vec<(String, Option<f64>)> {
    let rows = report["limits"].as_array().expect("a list");
    let id = |row: &Value| row["id"].as_str().expect("an id").to_owned();
    rows.iter().map(|row| (id(row), row["share"].as_f64())).collect()
}

#[test]
fn shares_and_their_order_are_those_of_jobs_whose_files_were_changed() {
    let base = example_of_known_tools();
    let all = inputs(&job(&base));
    // For each change the shares of every limit at the low and at the high end.
    let by_file: Vec<_> = CHANGES
        .iter()
        .map(|(key, label, change)| {
            let input = all.iter().find(|input| input.key == *key && input.label == *label);
            let input = input.unwrap_or_else(|| panic!("no {label}"));
            let ends = [input.low, input.high];
            (input, ends.map(|end| shares_of(&report(&change(base.clone(), end)))))
        })
        .collect();
    let found = movers(&base);
    assert_eq!(found.len(), 13);
    for limit in &found {
        let judged = limit.share;
        let mut expected = Vec::new();
        for (input, ends) in &by_file {
            let [low, high] = [0, 1].map(|end: usize| {
                let row = ends[end].iter().find(|row| row.0 == limit.id.key());
                row.and_then(|row| row.1).expect("a share")
            });
            let mover = limit.movers.iter().find(|mover| mover.input == **input);
            let ours = mover.map_or([judged; 2], |m| [m.share_at_low, m.share_at_high]);
            for (ours, by_file) in ours.into_iter().zip([low, high]) {
                let difference = (ours - by_file).abs();
                assert!(
                    difference <= 1e-7 * by_file.abs().max(1e-3),
                    "{}, {:?}: {ours}, by file {by_file}",
                    input.label,
                    limit.id
                );
            }
            expected.push((low.max(high).max(judged) - low.min(high).min(judged), &input.label));
        }
        expected.retain(|row| row.0 > 1e-6);
        expected.sort_by(|a, b| b.0.total_cmp(&a.0));
        let expected: Vec<&String> = expected.iter().map(|row| row.1).collect();
        let ours: Vec<&String> = limit
            .movers
            .iter()
            .filter(|mover| mover.movement(judged) > 1e-6)
            .map(|mover| &mover.input.label)
            .filter(|label| CHANGES.iter().any(|change| change.1 == label.as_str()))
            .collect();
        assert_eq!(ours, expected, "{:?}", limit.id);
    }
}

#[test]
fn every_job_has_its_movers_in_order_and_each_says_where_its_span_comes_from() {
    for (name, text) in good_jobs() {
        let found = movers(&value(text));
        assert!(found.len() >= 10, "{name}");
        for limit in &found {
            let movements: Vec<f64> =
                limit.movers.iter().map(|mover| mover.movement(limit.share)).collect();
            assert!(movements.is_sorted_by(|a, b| a >= b), "{name}: {movements:?}");
            for mover in &limit.movers {
                let input = &mover.input;
                assert!(input.low < input.high, "{name}: {input:?}");
                assert!(mover.movement(limit.share) > 0.0);
                let marked = ["common practice, no source", "the job's own range", "(", "in print"];
                assert!(marked.iter().any(|mark| input.why.contains(mark)), "{input:?}");
                if input.ends == Ends::Changes {
                    assert!(input.low < 0.0 && input.high > 0.0, "{input:?}");
                }
            }
        }
    }
}

#[test]
fn what_is_known_exactly_is_no_input() {
    let job_value =
        with(with(example(), "/stock/tensile_mpa", 340), "/stock/thickness_tolerance_mm", 0);
    let keys: Vec<&str> = inputs(&job(&job_value)).iter().map(|input| input.key).collect();
    for key in ["tensile_mpa", "thickness_mm", "shear_ratio", "penetration", "friction"] {
        assert!(!keys.contains(&key), "{key} in {keys:?}");
    }
}

/// "Shear strength is 0.6 to 0.8 of tensile strength" are the rules in print; 0.8 is judged.
#[test]
fn shear_ratio_that_nobody_entered_runs_over_the_rules_in_print() {
    let found = movers(&without(one_punch(), "/stock/shear_ratio"));
    let (low, high) = shares(of(&found, LimitId::RatedForce), "shear_ratio");
    assert_near(low / high, 0.6 / 0.8, 1e-9);
    assert_near(high, of(&found, LimitId::RatedForce).share, 1e-12);
}

#[test]
fn station_with_stock_of_its_own_is_an_input_of_its_own() {
    let stock = json!({"tensile_mpa": {"low": 500, "high": 700}});
    let found = inputs(&job(&with(one_punch(), "/stations/0/stock", stock)));
    let strengths: Vec<(&str, f64)> = found
        .iter()
        .filter(|input| input.key == "tensile_mpa")
        .map(|input| (input.label.as_str(), input.high))
        .collect();
    let [(own, 410.0), (station, high)] = strengths[..] else { panic!("{strengths:?}") };
    assert_eq!((own, station), ("Strength of the stock", "Strength of the stock at Pierce"));
    assert_near(high, 700.0, 1e-9);
    // Its thickness is the job's, and varies with it.
    assert_eq!(found.iter().filter(|input| input.key == "thickness_mm").count(), 1);
}

/// A spring without a rate holds its preload: a tenth more of it leaves 1/1.1 of the share.
#[test]
fn springs_of_a_stripper_are_springs_too() {
    let stripper = json!({"kind": "coil", "preload_kn": 20, "rate_kn_per_mm": 0, "entry_mm": 8});
    let found = movers(&with(one_punch(), "/stations/0/stripper", stripper));
    let limit = of(&found, LimitId::StripperForce);
    let (low, high) = shares(limit, "spring_force_percent");
    assert_near(low, limit.share / 0.9, 1e-9);
    assert_near(high, limit.share / 1.1, 1e-9);
}

#[test]
fn clearance_that_nobody_entered_runs_over_what_is_in_print() {
    let job_value = without(example(), "/stations/0/work/0/clearance_percent");
    let found = inputs(&job(&job_value));
    let input = found.iter().find(|input| input.key == "clearance_percent").expect("an input");
    assert_eq!((input.low, input.high), (5.0, 8.0));
    assert!(!found.iter().any(|input| input.key == "clearance_change_percent"));
    // Below 10 % the upper line rises by 0.8 % of force per percent: 4 % and 1.6 % over that of a
    // clearance that is not known. A flat punch: with tool shear the slug's tail counts as well.
    let job_value = without(job_value, "/stations/0/work/0/tool_shear");
    let stations = json!([job_value["stations"][0]]);
    let found = movers(&with(job_value, "/stations", stations));
    let rated = of(&found, LimitId::RatedForce);
    let (low, high) = shares(rated, "clearance_percent");
    assert_near(low / rated.share, 1.04, 1e-4);
    assert_near(high / rated.share, 1.016, 1e-4);
}
