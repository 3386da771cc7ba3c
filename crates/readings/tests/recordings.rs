//! Recordings whose truth is known: what was put in comes out again.

mod support;

use evenstroke_readings::{Comparison, Wishes, correct, read, stations::station_factors};
use support::{Truth, example, job, over_angle, over_time, stiff_example};

fn read_mean(comparison: &Comparison, key: &str) -> f64 {
    let row = comparison.quantities.iter().find(|row| row.key == key).expect(key);
    row.read.expect("it was read").mean
}

fn predicted(comparison: &Comparison, key: &str) -> f64 {
    let row = comparison.quantities.iter().find(|row| row.key == key).expect(key);
    row.predicted.expect("it was predicted")
}

#[track_caller]
fn assert_near(actual: f64, expected: f64, by: f64) {
    assert!((actual - expected).abs() <= by, "{actual} is not within {by} of {expected}");
}

fn compare(value: &serde_json::Value, text: &str, wishes: &Wishes) -> Comparison {
    read(text.as_bytes(), &job(value), wishes).unwrap_or_else(|problem| panic!("{problem}"))
}

#[test]
fn reading_of_the_prediction_itself_agrees_with_it() {
    let value = stiff_example();
    let comparison =
        compare(&value, &over_angle(&job(&value), &Truth::default()), &Wishes::default());
    assert_eq!((comparison.strokes, comparison.left_out), (10, 0));
    for key in ["peak", "left", "right", "work"] {
        assert_near(read_mean(&comparison, key) / predicted(&comparison, key), 1.0, 0.01);
    }
    assert_near(read_mean(&comparison, "peak_height"), predicted(&comparison, "peak_height"), 0.1);
    assert_near(read_mean(&comparison, "centre_x"), predicted(&comparison, "centre_x"), 3.0);
    assert_near(comparison.bdc, 180.0, 0.1);
}

/// Encoder shifted, channels with a zero of their own that creeps, noise of 1 % of the peak.
#[test]
fn encoder_zero_drift_and_noise_are_found_and_taken_off() {
    let value = stiff_example();
    let truth = Truth {
        bdc_deg: 317.5,
        noise_kn: 1.0,
        zero_kn: [12.0, -7.5],
        drift_kn: 6.0,
        strokes: 20,
        ..Truth::default()
    };
    let comparison = compare(&value, &over_angle(&job(&value), &truth), &Wishes::default());
    assert_eq!(comparison.strokes, 20);
    assert_near(comparison.bdc, 317.5, 0.15);
    for key in ["peak", "left", "right", "work"] {
        assert_near(read_mean(&comparison, key) / predicted(&comparison, key), 1.0, 0.03);
    }
    // Half of the drift stands in the middle of the recording.
    assert_near(comparison.mended[0].zero_kn, 15.0, 1.0);
    assert_near(comparison.mended[1].zero_kn, -4.5, 1.0);
    assert!(comparison.told.iter().any(|told| told.contains("drifts")), "{:?}", comparison.told);
}

#[test]
fn station_that_is_off_is_found_with_its_factor() {
    let value = stiff_example();
    for (station, factor) in [(0, 0.55), (1, 1.4), (3, 0.7)] {
        let mut truth = Truth { noise_kn: 1.0, ..Truth::default() };
        truth.factors[station] = factor;
        let job = job(&value);
        // BDC is given: a factor moves the best overlay a little.
        let wishes = Wishes { bdc: Some(180.0), ..Wishes::default() };
        let comparison = compare(&value, &over_angle(&job, &truth), &wishes);
        let mut found = station_factors(&job, &comparison).expect("stations");
        let off = &found.factors[found.off.expect("one is off")];
        assert_eq!(off.stations, [station], "{found:?}");
        let stays = found.off;
        assert_near(off.factor, factor, 0.05);
        assert!(off.plus_minus < 0.1, "{off:?}");
        for other in found.factors.iter().filter(|other| other.stations != [station]) {
            assert_near(other.factor, 1.0, other.plus_minus.max(0.06));
        }
        assert!(found.left_over.1 < 0.7 * found.left_over.0);
        let day = evenstroke_job::day::Day::read("2026-03-31").expect("a day");
        let corrected = correct::by_recording(&value, &job, &comparison, Some(&mut found), day);
        assert_eq!(found.off, stays);
        let name = &job.stations[station].name;
        assert!(corrected.notes.iter().any(|note| note.starts_with(name)), "{corrected:?}");
        assert!(corrected.proposals.iter().all(|row| row.what != correct::Corrected::Shear));
    }
}

/// Two stations at one place that enter at one height: no reading tells them apart.
#[test]
fn stations_that_overlap_are_named_together() {
    let mut value = stiff_example();
    let mut twin = value["stations"][1].clone();
    twin["name"] = "Notch, second".into();
    value["stations"].as_array_mut().expect("stations").push(twin);
    let job = job(&value);
    let truth = Truth { factors: vec![1.0, 1.5, 1.0, 1.0, 0.9], ..Truth::default() };
    let wishes = Wishes { bdc: Some(180.0), ..Wishes::default() };
    let comparison = compare(&value, &over_angle(&job, &truth), &wishes);
    let found = station_factors(&job, &comparison).expect("stations");
    let both = found.factors.iter().find(|row| row.stations == [1, 4]).expect("they share one");
    assert_near(both.factor, 1.2, 0.05);
}

#[test]
fn shear_strength_is_corrected_to_what_was_read() {
    let value = stiff_example();
    let before = job(&value);
    let truth = before
        .altered(|job| job.stock.shear_pa = job.stock.shear_pa.scaled(1.17))
        .expect("it is worked out");
    let comparison = compare(&value, &over_angle(&truth, &Truth::default()), &Wishes::default());
    let day = evenstroke_job::day::Day::read("2026-03-31").expect("a day");
    let mut stations = station_factors(&before, &comparison);
    let found = correct::by_recording(&value, &before, &comparison, stations.as_mut(), day);
    assert_eq!(stations.expect("stations").off, None, "all cuts are off alike");
    let shear = &found.proposals[0];
    assert_near(shear.factor, 1.17, 0.02);
    assert!((shear.factor - 1.17).abs() <= shear.plus_minus.expect("an uncertainty") + 0.01);
    let after = evenstroke_advice::apply(&value, &shear.edits).expect("edits fit");
    let again = compare(&after, &over_angle(&truth, &Truth::default()), &Wishes::default());
    assert_near(read_mean(&again, "peak") / predicted(&again, "peak"), 1.0, 0.02);
    let remark = after["record"]["remarks"][0]["text"].as_str().expect("a remark");
    assert!(remark.contains("shear strength") && remark.contains("10 strokes"), "{remark}");
    assert_eq!(after["record"]["remarks"][0]["date"], "2026-03-31");
}

#[test]
fn separation_and_strip_factor_are_corrected_to_what_was_read() {
    let mut value = stiff_example();
    value["stock"]["separation"] = serde_json::json!(0.6);
    let before = job(&value);
    let mut tougher = value.clone();
    tougher["stock"]["separation"] = serde_json::json!(0.75);
    let stripping = before.check().stripping.kilonewtons();
    let truth = Truth { strip_kn: 2.0 * stripping, noise_kn: 0.2, ..Truth::default() };
    let text = over_angle(&job(&tougher), &truth);
    let wishes = Wishes { bdc: Some(180.0), ..Wishes::default() };
    let comparison = compare(&value, &text, &wishes);
    let day = evenstroke_job::day::Day::read("2026-03-31").expect("a day");
    let mut stations = station_factors(&before, &comparison);
    let found = correct::by_recording(&value, &before, &comparison, stations.as_mut(), day);
    let of = |key: &str| {
        found
            .proposals
            .iter()
            .find(|row| row.what.key() == key)
            .unwrap_or_else(|| panic!("{found:?}"))
    };
    assert_near(of("penetration").factor, 0.75 / 0.6, 0.06);
    assert_near(of("strip_factor").factor, 2.0, 0.15);
}

/// The press as a spring, by the model that follows it through time: force over time, the place of BDC
/// and the speed are not told.
#[test]
fn vibrating_press_over_time_gives_reverse_load_and_damping() {
    let value = example();
    let before = job(&value);
    let truth = before.altered(|job| job.press.damping_share = Some(0.2)).expect("worked out");
    let (text, pull) = over_time(&truth, 6, 6_000.0, 0.3);
    let comparison = compare(&value, &text, &Wishes::default());
    assert!(comparison.strokes >= 5, "{comparison:?}");
    assert_near(read_mean(&comparison, "reverse"), pull, 0.05 * pull + 0.5);
    assert_near(read_mean(&comparison, "peak") / predicted(&comparison, "peak"), 1.0, 0.06);
    assert_near(comparison.speed_spm.expect("a speed"), 45.0, 0.2);
    // BDC of the first stroke is half a period after its TDC, where the recording begins.
    assert_near(comparison.bdc, 1e3 * 30.0 / 45.0, 4.0);
    let day = evenstroke_job::day::Day::read("2026-03-31").expect("a day");
    let mut stations = station_factors(&before, &comparison);
    let found = correct::by_recording(&value, &before, &comparison, stations.as_mut(), day);
    let damping = found.proposals.iter().find(|row| row.what.key() == "damping").expect("damping");
    let percent = damping.edits[0].value.as_f64().expect("a number");
    assert_near(percent, 20.0, 3.0);
}

#[test]
fn height_column_spikes_and_an_inverted_sign_are_told() {
    let value = stiff_example();
    let job = job(&value);
    let motion = job.press.drive.motion().expect("a crank");
    let mut text = "\u{feff}Slide height\tForce\nin\tUS ton\n".to_owned();
    let angle = over_angle(&job, &Truth { strokes: 3, noise_kn: 0.1, ..Truth::default() });
    for (nth, line) in angle.lines().skip(1).enumerate() {
        let cells: Vec<f64> = line.split(';').map(|cell| cell.parse().expect("a number")).collect();
        let height = motion.height_at((cells[0] - 180.0).abs().to_radians()).millimetres();
        let kn = if nth == 700 || nth == 2_000 { 900.0 } else { -(cells[1] + cells[2]) };
        let inches = format!("{:.5}", (height + 12.0) / 25.4).replace('.', ",");
        let tons = format!("{:.5}", kn / 8.896_443).replace('.', ",");
        text += &format!("{inches}\t{tons}\n");
    }
    let comparison = compare(&value, &text, &Wishes::default());
    assert_eq!(comparison.strokes, 3);
    assert!(comparison.mended[0].inverted);
    assert_eq!(comparison.mended[0].spikes, 2);
    assert_near(read_mean(&comparison, "peak") / predicted(&comparison, "peak"), 1.0, 0.01);
    assert_near(comparison.bdc, 12.0 / 25.4, 0.002);
    for word in ["upside down", "stood out"] {
        assert!(comparison.told.iter().any(|told| told.contains(word)), "{:?}", comparison.told);
    }
}

#[test]
fn sampling_may_be_uneven() {
    let value = stiff_example();
    let job = job(&value);
    let whole = over_angle(&job, &Truth { strokes: 8, samples: 7_200, ..Truth::default() });
    let mut noise = support::Noise(11);
    let mut text = String::new();
    for (nth, line) in whole.lines().enumerate() {
        // About half of the rows are missing, in clusters.
        if nth == 0 || noise.next() + 0.5 * (nth as f64 * 0.05).sin() > 0.0 {
            text += line;
            text += "\n";
        }
    }
    let coarse = over_angle(&job, &Truth { samples: 720, ..Truth::default() });
    let coarse = compare(&value, &coarse, &Wishes::default());
    assert!(coarse.told.iter().any(|told| told.contains("between samples")), "{:?}", coarse.told);
    let comparison = compare(&value, &text, &Wishes::default());
    assert_near(read_mean(&comparison, "peak") / predicted(&comparison, "peak"), 1.0, 0.02);
    assert_near(read_mean(&comparison, "work") / predicted(&comparison, "work"), 1.0, 0.03);
}
