//! Numbers off the display: what the press shows in a case is taken for that case.

mod support;

use evenstroke_job::{
    Job,
    day::Day,
    what_if::{Case, Figures, cases},
};
use evenstroke_readings::{
    Typed, TypedComparison, compare_typed, correct,
    typed::{keep, points_of},
};
use serde_json::{Value, json};
use support::{example, job};

fn compared(value: &Value, typed: &Typed) -> TypedComparison {
    let job = job(value);
    compare_typed(&job, &job.check(), typed, None).expect("it is compared")
}

/// What the display shows of a job.
fn display(job: &Job) -> Typed {
    let figures = Figures::of(job, &job.check());
    Typed {
        points_kn: figures.peaks[1..].iter().map(|row| row.1.kilonewtons()).collect(),
        peak_kn: None,
        reverse_kn: figures.reverse.map(|force| force.kilonewtons()),
    }
}

#[test]
fn good_day_looks_as_predicted() {
    let value = example();
    let found = compared(&value, &display(&job(&value)));
    assert_eq!(found.likely[0].key, "as_predicted");
    assert!(found.likely[0].off < 1e-9);
    assert_eq!(found.rows.len(), 3);
    for row in &found.rows {
        assert!((row.read - row.predicted).abs() < 1e-9 && row.upper > row.predicted, "{row:?}");
    }
    let [predicted, read] = found.centre.expect("a centre");
    assert_eq!(predicted, read);
    // 10 % of 1600 kN, as the press of the example says (P. Ulintz, "Managing Reverse Tonnage",
    // MetalForming, has the same share where a maker gives none).
    assert_eq!(found.stop_kn, Some(160.0));
}

/// A rigid beam on two supports: 30 kN left and 60 kN right of 900 mm put the load a sixth of the span
/// to the right of the middle (moments about the left support: 60·900/90 − 450 = 150 mm).
#[test]
fn load_centre_is_worked_back_from_the_points() {
    let typed = Typed { points_kn: vec![30.0, 60.0], ..Typed::default() };
    let [_, read] = compared(&example(), &typed).centre.expect("a centre");
    assert!((read.0 - 150.0).abs() < 1e-9 && read.1.is_none(), "{read:?}");
}

/// Four supports of a rigid plate, 900 by 600 mm: 10, 20, 30 and 40 kN from front left to back right.
/// Moments about the middle: x = 450·(20 + 40 − 10 − 30)/100 = 90 mm, y = 300·(30 + 40 − 10 − 20)/100
/// = 120 mm.
#[test]
fn load_centre_of_four_points_is_worked_back() {
    let mut value = example();
    value["press"]["suspension"] = json!({"points": 4, "span_x_mm": 900, "span_y_mm": 600});
    assert_eq!(points_of(&job(&value)), 4);
    let typed = Typed { points_kn: vec![10.0, 20.0, 30.0, 40.0], ..Typed::default() };
    let [_, (x, y)] = compared(&value, &typed).centre.expect("a centre");
    assert!((x - 90.0).abs() < 1e-9 && (y.expect("y") - 120.0).abs() < 1e-9, "{x} {y:?}");
}

/// Every case of the job is shown on the display; it comes first or cannot be told from the first.
#[test]
fn case_that_the_display_shows_is_among_the_likeliest() {
    let value = example();
    let good = job(&value);
    let check = good.check();
    let (all, _) = cases(&good, &check);
    let mut first = 0;
    for case in &all {
        let shown = display(&case.apply(&good).expect("it can be"));
        let found = compared(&value, &shown);
        let place = found.likely.iter().position(|row| row.label == case.label(&good));
        let place = place.unwrap_or_else(|| panic!("{case:?}: {:?}", found.likely));
        assert!(found.likely[place].off < 1e-6, "{case:?}");
        assert!(place == 0 || found.likely[place].cannot_tell, "{case:?}: {:?}", found.likely);
        first += usize::from(place == 0 && found.likely.get(1).is_none_or(|row| !row.cannot_tell));
    }
    assert!(first >= 2, "some are told apart from all others: {first} of {}", all.len());
}

#[test]
fn missing_punch_is_told_from_the_side_that_lacks_it() {
    let value = example();
    let good = job(&value);
    let missing = Case::PunchMissing { station: 0, work: 0 };
    let found = compared(&value, &display(&missing.apply(&good).expect("it can be")));
    assert_eq!(found.likely[0].key, "punch_missing", "{:?}", found.likely);
    assert_eq!(found.likely[0].label, "Punch missing at Pierce");
}

#[test]
fn cases_that_look_alike_are_listed_as_such() {
    let value = example();
    // Everything a tenth higher: stronger stock, dull edges and the next grade are all near.
    let mut shown = display(&job(&value));
    shown.reverse_kn = None;
    shown.points_kn.iter_mut().for_each(|kn| *kn *= 1.1);
    let found = compared(&value, &shown);
    assert_eq!(found.likely[0].key, "stock_within_range", "{:?}", found.likely);
    assert!(found.likely[1..].iter().any(|row| row.cannot_tell), "{:?}", found.likely);
}

#[test]
fn reading_that_looks_like_nothing_says_so() {
    let typed = Typed { points_kn: vec![400.0, 1.0], ..Typed::default() };
    let found = compared(&example(), &typed);
    assert!(
        found.told.iter().any(|told| told.contains("nothing that was tried")),
        "{:?}",
        found.told
    );
}

#[test]
fn readings_that_cannot_be_are_refused() {
    let job = job(&example());
    let refusal = |typed: &Typed| {
        compare_typed(&job, &job.check(), typed, None).expect_err("refused").to_string()
    };
    let points = |points_kn: &[f64]| Typed { points_kn: points_kn.to_vec(), ..Typed::default() };
    assert_eq!(
        refusal(&points(&[1.0, 2.0, 3.0])),
        "points must be 2, those of the press, but are 3"
    );
    assert_eq!(refusal(&points(&[1.0, -2.0])), "a reading must be from 0 to 1000000 kN, but is -2");
    assert_eq!(
        refusal(&points(&[1.0, f64::NAN])),
        "a reading must be from 0 to 1000000 kN, but is NaN"
    );
    assert!(refusal(&Typed::default()).contains("is empty"));
}

#[test]
fn reverse_load_past_the_stop_figure_is_told() {
    let typed = Typed { reverse_kn: Some(170.0), ..Typed::default() };
    let found = compared(&example(), &typed);
    assert!(found.told.iter().any(|told| told.contains("past the figure at which to stop")));
}

/// The middle of all slopes: 100, 104, 109, 113 kN rise by 4 to 5 kN a reading, 13 in all of 100.
#[test]
fn rising_readings_since_the_last_grind_are_a_sign_of_dull_edges() {
    let mut value = example();
    value["record"] = json!({
        "grinds": [{"date": "2026-02-01", "amount_mm": 0.2}],
        "readings": [
            {"date": "2026-01-10", "total_kn": 300, "reverse_kn": 90},
            {"date": "2026-02-03", "total_kn": 100, "reverse_kn": 10},
            {"date": "2026-02-05", "points_kn": [50, 54], "reverse_kn": 10},
            {"date": "2026-02-07", "total_kn": 109, "reverse_kn": 11}
        ]
    });
    let job = job(&value);
    let typed = Typed { peak_kn: Some(113.0), reverse_kn: Some(10.0), ..Typed::default() };
    let day = Day::read("2026-02-09");
    let found = compare_typed(&job, &job.check(), &typed, day).expect("compared");
    let peak = found.trends.iter().find(|trend| trend.what == "peak").expect("a trend");
    assert_eq!((peak.count, peak.from.to_string()), (4, "2026-02-03".to_owned()));
    assert!((peak.rise - 0.135).abs() < 0.01 && peak.rising, "{peak:?}");
    let reverse = found.trends.iter().find(|trend| trend.what == "reverse load").expect("a trend");
    assert!(!reverse.rising, "{reverse:?}");
}

#[test]
fn kept_reading_and_correction_fit_the_job_file() {
    let value = example();
    let good = job(&value);
    let day = Day::read("2026-03-31").expect("a day");
    let stronger =
        good.altered(|job| job.stock.shear_pa = job.stock.shear_pa.scaled(1.2)).expect("altered");
    let typed = Typed { reverse_kn: None, ..display(&stronger) };
    let once = evenstroke_advice::apply(&value, &[keep(&value, &good, &typed, day)]).expect("fits");
    let twice = evenstroke_advice::apply(&once, &[keep(&once, &good, &typed, day)]).expect("fits");
    assert_eq!(job(&twice).setup.record.readings.len(), 2);
    let found = correct::by_typed(&value, &good, &typed, day);
    assert_eq!(found.proposals[0].what.key(), "shear_strength");
    assert!((found.proposals[0].factor - 1.2).abs() < 0.01, "{found:?}");
    // One side high, the other low: no stock does that.
    let typed = Typed { points_kn: vec![30.0, 42.0], ..Typed::default() };
    let found = correct::by_typed(&value, &good, &typed, day);
    assert!(found.proposals.is_empty() && found.notes[0].contains("not off in proportion"));
}

/// A display that has the whole press beside its points, or that alone: where the points peak at different
/// heights, the peak of the press is not the sum of theirs. The truth is stock a fifth stronger.
#[test]
fn peak_of_the_whole_press_is_corrected_as_what_it_is() {
    let mut value = example();
    let cut_off = &mut value["stations"][3]["work"][0];
    cut_off["entry_mm"] = json!(1.5);
    cut_off.as_object_mut().expect("work").remove("tool_shear");
    let good = job(&value);
    let day = Day::read("2026-03-31").expect("a day");
    let stronger =
        good.altered(|job| job.stock.shear_pa = job.stock.shear_pa.scaled(1.2)).expect("altered");
    let peaks = Figures::of(&stronger, &stronger.check()).peaks;
    let [whole, left, right] = [0, 1, 2].map(|index| peaks[index].1.kilonewtons());
    assert!(left + right > 1.1 * whole, "{left} {right} {whole}");
    for typed in [
        Typed { points_kn: vec![left, right], ..Typed::default() },
        Typed { points_kn: vec![left, right], peak_kn: Some(whole), ..Typed::default() },
        Typed { peak_kn: Some(whole), ..Typed::default() },
        Typed { points_kn: vec![whole], ..Typed::default() },
    ] {
        let found = correct::by_typed(&value, &good, &typed, day);
        let factor = found.proposals.first().map(|row| row.factor);
        assert!(factor.is_some_and(|factor| (factor - 1.2).abs() < 0.01), "{typed:?}: {found:?}");
    }
}
