//! Advice against trying everything, against its own edits, and where nothing can be had.

#![allow(missing_docs)]

use evenstroke_advice::{
    Advice, BrokenOff, Edit, Figures, Progress, Proposal, Stage, advise, apply, placement, punch,
    rank::{Library, die_entry, press_entries, rank},
    report::{AdviceReport, RankReport},
    shear, speed, steps, told,
};
use evenstroke_job::{Job, demo::DEMOS, units::UnitSystem};
use press_load::{LimitId, State, Work};
use proptest::{prelude::*, test_runner::RngSeed};
use serde_json::{Value, json};
use std::ops::ControlFlow;

const EXAMPLE: &str = include_str!("../../../tests/contract/example.json");
const EVERY_OPERATION: &str = include_str!("../../../tests/contract/every_operation.json");

fn go_on(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn job(value: &Value) -> Job {
    Job::from_value(value).unwrap_or_else(|refused| panic!("{refused}\n{value:#}"))
}

fn value(text: &str) -> Value {
    serde_json::from_str(text).expect("JSON")
}

fn all_of(value: &Value) -> Advice {
    advise(&job(value), &mut go_on).expect("nothing breaks it off")
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-6 * a.abs().max(b.abs()).max(1e-9)
}

/// The figures of the file with the edits made, which have to be those that the proposal names.
fn made(value: &Value, proposal: &Proposal) -> Figures {
    let edited = apply(value, &proposal.edits).unwrap_or_else(|error| panic!("{error}"));
    let job = job(&edited);
    let after = Figures::of(&job, &job.check());
    let told = &proposal.after;
    assert_eq!(after.verdict, told.verdict);
    assert!(close(after.peak.newtons(), told.peak.newtons()), "{after:?} {told:?}");
    assert!(close(after.peak_upper.newtons(), told.peak_upper.newtons()), "{after:?} {told:?}");
    let share = |used: Option<evenstroke_advice::Used>| used.map_or(0.0, |used| used.share);
    for (a, b) in [(after.worst, told.worst), (after.balance, told.balance)] {
        assert!(close(share(a), share(b)) || share(a) == share(b), "{a:?} {b:?}");
    }
    after
}

fn press() -> Value {
    json!({
        "name": "Press T", "frame": "straight_side", "rated_force_kn": 800,
        "drive": {"kind": "crank", "stroke_mm": 150, "connecting_rod_mm": 700, "rating_height_mm": 6},
        "speed_spm": 50, "energy": {"usable_kj": 10, "at_spm": 60}, "motor_kw": 15,
        "suspension": {"points": 2, "span_x_mm": 700},
        "off_centre": {"moment_x_knm": 60, "moment_y_knm": 25},
        "bolster": {"width_mm": 1200, "depth_mm": 700}, "slide": {"width_mm": 1200, "depth_mm": 700},
        "shut_height_mm": 400, "shut_height_adjustment_mm": 100,
        "stiffness_kn_per_mm": 600, "slide_mass_kg": 1500, "damping_percent": 10
    })
}

fn stock() -> Value {
    json!({"thickness_mm": 2, "tensile_mpa": {"low": 300, "high": 400}, "penetration": 0.4})
}

fn die(stations: Value) -> Value {
    json!({
        "format": "evenstroke-job", "version": 1, "press": press(), "stock": stock(),
        "die": {"kind": "progressive", "width_mm": 700, "depth_mm": 400, "shut_height_mm": 340},
        "stations": stations,
    })
}

fn pierce(diameter_mm: f64, entry_mm: f64) -> Value {
    json!({"op": "cut", "kind": "pierce", "outline": {"circle": {"diameter_mm": diameter_mm}},
           "entry_mm": entry_mm, "clearance_percent": 8})
}

fn station(x_mm: f64, y_mm: f64, work: Value) -> Value {
    json!({"x_mm": x_mm, "y_mm": y_mm, "work": work})
}

/// Different holes that all touch at once.
fn row_of_holes() -> Value {
    die(json!([
        station(-200.0, 10.0, json!([pierce(60.0, 5.0)])),
        station(-60.0, 10.0, json!([pierce(40.0, 5.0), pierce(12.0, 5.0)])),
        station(150.0, 10.0, json!([pierce(30.0, 5.0)])),
    ]))
}

fn with(mut value: Value, pointer: &str, new: Value) -> Value {
    *value.pointer_mut(pointer).unwrap_or_else(|| panic!("no {pointer}")) = new;
    value
}

#[test]
fn edits_of_every_proposal_give_the_figures_that_it_names() {
    let mut proposals = 0;
    let demos = DEMOS.iter().map(|demo| demo.text);
    for text in demos.chain([EXAMPLE, EVERY_OPERATION]) {
        let value = value(text);
        if value["format"] != "evenstroke-job" {
            continue;
        }
        let advice = all_of(&value);
        for proposal in proposals_of(&advice) {
            made(&value, proposal);
            assert!(!proposal.assumes.is_empty());
            proposals += 1;
        }
    }
    assert!(proposals > 6, "{proposals}");
}

fn proposals_of(advice: &Advice) -> Vec<&Proposal> {
    let mut all: Vec<&Proposal> = Vec::new();
    all.extend(advice.placement.shift.as_ref().map(|shift| &shift.proposal));
    all.extend(advice.placement.balance.as_ref().map(|balance| &balance.proposal));
    all.extend(advice.steps.choices.iter().map(|choice| &choice.proposal));
    all.extend(advice.together.as_ref().map(|together| &together.choice.proposal));
    all.extend(&advice.shear.proposal);
    all.extend(&advice.shear.slopes_proposal);
    all.extend(advice.speed.proposal.as_ref().map(|proposal| &proposal.1));
    all
}

/// "By the depth of the shear band, or slightly less" (P. Ulintz, "Increasing Press Speed and
/// (In)Efficiency", *MetalForming*, 30 Mar 2023): 0.4 of 2 mm here, so no group is more than 0.8 mm
/// below the one before it. Small punches are never the long ones.
#[test]
fn steps_stay_within_the_shear_band_and_spare_small_punches() {
    let value = row_of_holes();
    let job = job(&value);
    let advice = steps::punch_steps(&job, &mut go_on).unwrap();
    assert!(advice.exhaustive && !advice.choices.is_empty());
    let sizes = |step: &steps::Step| match &job.stations[step.station].work[step.work].work {
        Work::Cut(cut) => cut.outline.length().unwrap().metres(),
        _ => panic!("only cuts are stepped"),
    };
    for choice in &advice.choices {
        assert!(choice.step.millimetres() <= 0.8 + 1e-9);
        let mut entries: Vec<f64> =
            choice.steps.iter().map(|step| step.entry.millimetres()).collect();
        entries.sort_by(f64::total_cmp);
        assert!(entries.windows(2).all(|pair| pair[1] - pair[0] <= 0.8 + 1e-9), "{entries:?}");
        for a in &choice.steps {
            for b in &choice.steps {
                assert!(sizes(a) >= sizes(b) || a.entry <= b.entry, "{a:?} {b:?}");
            }
        }
        let after = made(&value, &choice.proposal);
        let unfinished =
            |job: &Job| job.stroke.upper.stations.iter().any(|s| s.unfinished.metres() > 0.0);
        let edited = apply(&value, &choice.proposal.edits).unwrap();
        assert!(!unfinished(&Job::from_value(&edited).unwrap()));
        assert!(choice.peak_reground >= after.peak_upper);
    }
    let best = &advice.choices[advice.best.expect("one is named first")].proposal;
    assert!(best.after.peak_upper < best.before.peak_upper * 0.8, "{best:?}");
}

/// All divisions of four punches of four sizes into groups that respect size, worked out in full.
#[test]
fn least_peak_of_the_choices_is_that_of_all_divisions() {
    let value = row_of_holes();
    let job = job(&value);
    let advice = steps::punch_steps(&job, &mut go_on).unwrap();
    let least = advice.choices.iter().map(|choice| choice.proposal.after.peak_upper.newtons());
    let least = least.fold(f64::INFINITY, f64::min);
    // From the largest to the smallest.
    let punches = [(0, 0), (1, 0), (2, 0), (1, 1)];
    let (mut tried, mut all) = (f64::INFINITY, 0);
    for part in [1.0, 0.85] {
        let step = ((0.8 * part * 100.0_f64) + 1e-6).floor() / 100.0;
        for first in 0..=4 {
            for second in first..=4 {
                let mut value = value.clone();
                for (place, (station, work)) in punches.iter().enumerate() {
                    let level = usize::from(place >= first) + usize::from(place >= second);
                    let entry = 5.0 - step * level as f64;
                    value["stations"][station]["work"][work]["entry_mm"] = json!(entry);
                }
                let job = self::job(&value);
                let peak = Figures::of(&job, &job.check()).peak_upper.newtons();
                tried = tried.min(peak);
                all += 1;
            }
        }
    }
    assert_eq!(all, 30);
    assert!(least <= tried * 1.01, "{least} against {tried}");
}

#[test]
fn many_equal_punches_are_stepped_by_rule_and_never_for_the_worse() {
    let holes: Vec<Value> = (0..24)
        .map(|i| station(-300.0 + 25.0 * f64::from(i), 0.0, json!([pierce(20.0, 5.0)])))
        .collect();
    let value = die(json!(holes));
    let job = job(&value);
    let advice = steps::punch_steps(&job, &mut go_on).unwrap();
    assert!(!advice.exhaustive);
    let best = &advice.choices[advice.best.expect("one is named first")];
    let after = made(&value, &best.proposal);
    assert!(after.peak_upper < best.proposal.before.peak_upper * 0.7);
    assert!(after.reverse_upper <= best.proposal.before.reverse_upper);
}

#[test]
fn balanced_die_gets_no_shift() {
    let hole = |x: f64| station(x, 0.0, json!([pierce(40.0, 5.0)]));
    let mut value = die(json!([hole(-100.0), hole(100.0)]));
    value["die"]["kind"] = json!("single");
    let advice = placement::placement(&job(&value), &mut go_on).unwrap();
    assert_eq!(advice.shift, None);
    assert!(advice.reason.unwrap().contains("no place in the room"));
}

#[test]
fn press_without_ratings_gives_the_reason() {
    let mut value = row_of_holes();
    let press = value["press"].as_object_mut().unwrap();
    for key in ["off_centre", "suspension", "stiffness_kn_per_mm"] {
        press.shift_remove(key);
    }
    let advice = placement::placement(&job(&value), &mut go_on).unwrap();
    assert_eq!(advice.shift, None);
    assert!(advice.reason.unwrap().contains("off-centre"), "names what is missing");
}

#[test]
fn band_that_cannot_be_kept_is_told_with_the_nearest_place() {
    let mut value = row_of_holes();
    value["die"]["band"] = json!({"x_from_mm": 300, "x_to_mm": 400});
    let advice = placement::placement(&job(&value), &mut go_on).unwrap();
    assert!(advice.notes.iter().any(|note| note.contains("50.00 mm off")), "{:?}", advice.notes);
    // 1200 mm of bolster leave a die of 700 mm 250 mm to either side.
    let x = advice.shift.map(|shift| shift.to.x.millimetres());
    assert!(x.is_none_or(|x| close(x, 250.0)), "{x:?}");
}

/// The bolts of the progressive demo stand in slots every 150 mm with a reach of some millimetres.
#[test]
fn bolts_that_keep_the_die_from_a_better_place_are_told() {
    let mut value = value(DEMOS[0].text);
    let told = |value: &Value| {
        let advice = placement::placement(&job(value), &mut go_on).unwrap();
        let share = advice.shift.unwrap().after.share;
        (share, advice.notes.iter().any(|note| note.contains("slots for the bolts or slug holes")))
    };
    let (held, is_told) = told(&value);
    assert!(is_told);
    value["die"].as_object_mut().unwrap().shift_remove("bolts");
    value["press"]["bolster"].as_object_mut().unwrap().shift_remove("openings");
    let (free, is_told) = told(&value);
    assert!(free < held * 0.95 && !is_told, "{free} {held}");
}

#[test]
fn die_larger_than_the_bolster_is_told() {
    let value = with(row_of_holes(), "/die/width_mm", json!(1300));
    let advice = placement::placement(&job(&value), &mut go_on).unwrap();
    assert!(advice.notes[0].contains("larger than the bolster"), "{:?}", advice.notes);
}

#[test]
fn locked_stations_stay_and_are_named() {
    let mut value = row_of_holes();
    for station in value["stations"].as_array_mut().unwrap() {
        station["locked"] = json!(true);
    }
    let advice = all_of(&value);
    assert!(advice.steps.choices.is_empty() && advice.shear.grinds.is_empty());
    assert!(
        advice.steps.notes[0].contains("3 of 3 stations are locked"),
        "{:?}",
        advice.steps.notes
    );
    value["stations"][1]["locked"] = json!(false);
    for proposal in proposals_of(&all_of(&value)) {
        let touches = |edit: &evenstroke_advice::Edit| {
            edit.path.starts_with("stations[0]") || edit.path.starts_with("stations[2]")
        };
        assert!(!proposal.edits.iter().any(touches), "{:?}", proposal.edits);
    }
}

/// Where the die cannot be shifted a dummy load is the next cure, a coining station or springs (H.
/// Singhal, D. Diaz-Infante, T. Altan, "Off-center loading … Part I", *Stamping Journal*, Sep/Oct 2019).
#[test]
fn die_that_cannot_move_gets_a_load_that_balances_it() {
    let mut value = die(json!([station(-250.0, 0.0, json!([pierce(90.0, 5.0)]))]));
    value["die"]["kind"] = json!("single");
    value["die"]["band"] = json!({"x_from_mm": 0, "x_to_mm": 0, "y_from_mm": 0, "y_to_mm": 0});
    value["press"]["off_centre"]["moment_x_knm"] = json!(45);
    // Without it neither tilt nor reverse load is judged, and the moment is all there is.
    value["press"].as_object_mut().unwrap().shift_remove("stiffness_kn_per_mm");
    let advice = placement::placement(&job(&value), &mut go_on).unwrap();
    assert_eq!(advice.shift, None);
    let cause = advice.cause.expect("it is over");
    assert_eq!(cause.station, 0);
    assert!(cause.moment.x < 0.0);
    let balance = advice.balance.expect("there is room on the right");
    assert!(balance.at.x > 0.0);
    assert_eq!(balance.proposal.before.verdict, State::Over);
    let after = made(&value, &balance.proposal);
    assert_eq!(after.verdict, State::Within);
    // What is over the near share has to be taken away by the load at its lever (our arithmetic).
    let over = cause.moment.x.abs() - 0.8 * 45e3;
    let needed = over / balance.at.x;
    let force = balance.force.newtons();
    assert!(force >= needed * (1.0 - 1e-3) && force <= needed + 400.0, "{force} {needed}");
}

#[test]
fn roof_goes_on_the_side_that_keeps_the_part_flat() {
    let blank = json!({"op": "cut", "kind": "blank", "outline": {"circle": {"diameter_mm": 90}}, "entry_mm": 6});
    let value = die(json!([
        station(-100.0, 0.0, json!([pierce(60.0, 6.0)])),
        station(100.0, 0.0, json!([blank])),
    ]));
    let advice = shear::tool_shear(&job(&value), &mut go_on).unwrap();
    let proposal = advice.proposal.expect("both are flat");
    let after = made(&value, &proposal);
    assert!(after.peak_upper < proposal.before.peak_upper * 0.9);
    let edited = apply(&value, &proposal.edits).unwrap();
    for grind in &advice.grinds {
        let tool = &edited["stations"][grind.station]["work"][grind.work]["tool_shear"];
        assert_eq!(tool["kind"], "roof");
        assert_eq!(tool["shear_on"], ["punch", "die"][grind.station]);
    }
    let bends = |caution: &press_load::Caution| {
        matches!(
            caution,
            press_load::Caution::ShearBendsPart { .. } | press_load::Caution::UnfinishedCut { .. }
        )
    };
    assert!(!job(&edited).check().cautions.iter().any(bends));
}

/// Two oblong punches, left and right of the middle.
fn two_oblong_punches() -> Value {
    let oblong = json!({"op": "cut", "kind": "pierce", "entry_mm": 6.0, "clearance_percent": 8,
        "outline": {"rectangle": {"width_mm": 60, "depth_mm": 20}}});
    die(json!([station(-120.0, 0.0, json!([oblong])), station(120.0, 0.0, json!([oblong]))]))
}

/// A face without friction pushes sideways with force times slope (statics; grinding two tools against each
/// other is common practice, no source).
#[test]
fn slopes_of_two_punches_push_against_each_other() {
    let value = two_oblong_punches();
    let job = job(&value);
    let advice = shear::tool_shear(&job, &mut go_on).unwrap();
    let proposal = advice.slopes_proposal.expect("they are equal and in one row");
    let after = made(&value, &proposal);
    assert!(after.peak_upper < proposal.before.peak_upper * 0.9);
    let [a, b] = &advice.slopes[..] else { panic!("{:?}", advice.slopes) };
    assert_eq!((a.direction_deg - b.direction_deg).abs(), 180.0);
    assert_eq!(a.form, shear::Form::Slope { against: (b.station, b.work) });
    let edited = apply(&value, &proposal.edits).unwrap();
    for station in [0, 1] {
        let tool = &edited["stations"][station]["work"][0]["tool_shear"];
        assert_eq!((&tool["kind"], &tool["shear_on"]), (&json!("slope"), &json!("punch")));
    }
    let bends = |caution: &press_load::Caution| {
        matches!(
            caution,
            press_load::Caution::ShearBendsPart { .. } | press_load::Caution::UnfinishedCut { .. }
        )
    };
    assert!(!self::job(&edited).check().cautions.iter().any(bends));
}

/// Along x and along y, to either side, at each depth, all worked out in full.
#[test]
fn slopes_that_are_proposed_have_the_least_peak_of_all_pairs_of_slopes() {
    let value = two_oblong_punches();
    let advice = shear::tool_shear(&job(&value), &mut go_on).unwrap();
    let found = advice.slopes_proposal.unwrap().after.peak_upper.newtons();
    let mut least = f64::INFINITY;
    for depth in [0.8, 2.0] {
        for direction in [0, 90, 180, 270] {
            let mut value = value.clone();
            for (station, turn) in [(0, 0), (1, 180)] {
                value["stations"][station]["work"][0]["tool_shear"] = json!({
                    "kind": "slope", "depth_mm": depth, "direction_deg": (direction + turn) % 360,
                });
            }
            let job = job(&value);
            least = least.min(Figures::of(&job, &job.check()).peak_upper.newtons());
        }
    }
    assert!(found <= least * 1.01, "{found} against {least}");
}

#[test]
fn punches_that_are_not_alike_or_not_in_a_row_get_no_slopes() {
    let changed = |pointer: &str, new: Value| {
        let value = with(two_oblong_punches(), pointer, new);
        shear::tool_shear(&job(&value), &mut go_on).unwrap().slopes
    };
    assert_eq!(changed("/stations/1/y_mm", json!(60)), []);
    assert_eq!(
        changed("/stations/1/work/0/outline/rectangle/width_mm", json!(50)),
        [],
        "one would cut with less force than the other"
    );
    assert_eq!(changed("/stations/1/work/0/entry_mm", json!(5.5)), []);
    assert_eq!(changed("/stations/1/work/0/kind", json!("blank")), []);
    assert_eq!(changed("/stations/1/y_mm", json!(1)).len(), 2, "as good as in a row");
}

/// Every division of four punches into groups that respect size, each at every place of a raster, worked
/// out in full: what is proposed, or else the better of place and steps alone, does as well.
#[test]
fn steps_and_place_together_do_as_well_as_trying_all() {
    for (rating, fixed) in [(18.0, true), (18.0, false), (60.0, false)] {
        let mut value = with(row_of_holes(), "/press/off_centre/moment_x_knm", json!(rating));
        value["press"]["damping_percent"] = json!(60);
        if rating > 50.0 {
            // Without stiffness there is no tilt, for which places are searched and not solved.
            value["press"].as_object_mut().unwrap().shift_remove("stiffness_kn_per_mm");
        }
        if fixed {
            // A load that does not move: the largest hole balances it while the others do not cut.
            let spring = json!({"op": "spring", "kind": "cushion", "force_kn": 60, "entry_mm": 9});
            value["stations"][2]["work"].as_array_mut().unwrap().push(spring);
        }
        let advice = all_of(&value);
        let share = |figures: &Figures| figures.worst.map_or(0.0, |used| used.share);
        let alone = [
            advice.placement.shift.as_ref().map(|shift| &shift.proposal.after),
            advice.steps.best.map(|best| &advice.steps.choices[best].proposal.after),
        ];
        let alone = alone.into_iter().flatten().map(share).fold(f64::INFINITY, f64::min);
        let together = advice.together.as_ref().map(|both| share(&both.choice.proposal.after));
        let found = together.unwrap_or(f64::INFINITY).min(alone);
        let before = {
            let job = job(&value);
            Figures::of(&job, &job.check())
        };
        let mut least = f64::INFINITY;
        for (step, first, second) in [0.8, 0.68]
            .into_iter()
            .flat_map(|step| (0..=4).flat_map(move |a| (a..=4).map(move |b| (step, a, b))))
        {
            let mut value = value.clone();
            for (place, (station, work)) in [(0, 0), (1, 0), (2, 0), (1, 1)].iter().enumerate() {
                let level = usize::from(place >= first) + usize::from(place >= second);
                value["stations"][station]["work"][work]["entry_mm"] =
                    json!(5.0 - step * level as f64);
            }
            let job = job(&value);
            for (x, y) in (-12..=12).flat_map(|x| (-3..=3).map(move |y| (x, y))) {
                let to = press_load::Placement {
                    x: press_load::Length::from_millimetres(20.0 * f64::from(x)),
                    y: press_load::Length::from_millimetres(20.0 * f64::from(y)),
                    ..job.die.placement
                };
                let after = Figures::of(&job, &job.check_at(to));
                let worse = |after: Option<press_load::Force>,
                             before: Option<press_load::Force>| {
                    after.zip(before).is_some_and(|(after, before)| after > before)
                };
                if after.over.iter().all(|id| before.over.contains(id))
                    && !worse(after.reverse_upper, before.reverse_upper)
                    && !worse(after.reverse, before.reverse)
                {
                    least = least.min(share(&after));
                }
            }
        }
        assert!(found <= least * 1.02, "{found} ({together:?}, alone {alone}) against {least}");
        if let Some(together) = together {
            assert!(together <= alone * 1.001);
        }
    }
}

#[test]
fn slope_is_named_for_its_side_thrust() {
    let mut value = row_of_holes();
    value["stations"][0]["work"][0]["tool_shear"] =
        json!({"kind": "slope", "depth_mm": 0.1, "direction_deg": 0});
    let advice = shear::tool_shear(&job(&value), &mut go_on).unwrap();
    let replaced = advice.grinds.iter().any(|grind| grind.station == 0 && grind.was_slope);
    assert!(replaced || advice.notes.iter().any(|note| note.contains("pushes sideways")));
}

/// Half the speed is a quarter of the energy (P. Ulintz, "Press Energy and Deep Drawing",
/// *MetalForming*, 1 Feb 2016): with just the energy of the rated speed a die cannot run at half of it.
#[test]
fn die_that_runs_too_slowly_is_told_the_slowest_speed_that_does() {
    let mut value = row_of_holes();
    let work = job(&value).check().energy_upper.kilojoules();
    value["press"]["energy"] = json!({"usable_kj": work, "at_spm": 50});
    value["press"]["speed_spm"] = json!(25);
    let advice = speed::speed(&job(&value));
    let (rate, proposal) = advice.proposal.expect("the flywheel holds a quarter");
    assert!(close(rate.per_minute(), 50.0), "{rate:?}");
    let used =
        |value: &Value| job(value).check().limit(LimitId::WorkingEnergy).outcome.unwrap().share;
    assert!(close(used(&value), 4.0));
    assert!(used(&apply(&value, &proposal.edits).unwrap()) <= 1.0 + 1e-9);
    value["press"]["speed_spm"] = json!(55);
    assert_eq!(speed::speed(&job(&value)).proposal, None);
}

/// Energy goes with the square of speed, power with speed: a flywheel that holds what a stroke takes at
/// 36.53 strokes/min and a motor that restores it 36.58 times a minute leave no whole speed (our
/// arithmetic).
#[test]
fn narrow_band_of_speeds_is_told_as_finely_as_it_takes() {
    let mut value = row_of_holes();
    let work = job(&value).check().energy_upper.kilojoules();
    value["press"]["energy"] = json!({"usable_kj": work, "at_spm": 36.53});
    value["press"]["motor_kw"] = json!(work * 36.58 / 60.0);
    for (running, to) in [(20.0, 36.54), (60.0, 36.57)] {
        value["press"]["speed_spm"] = json!(running);
        let (rate, proposal) = speed::speed(&job(&value)).proposal.expect("there is a band");
        assert!((rate.per_minute() - to).abs() < 0.0101, "{rate:?}");
        let made = job(&apply(&value, &proposal.edits).unwrap()).check();
        for id in [LimitId::WorkingEnergy, LimitId::MotorPower] {
            assert!(made.limit(id).outcome.unwrap().share <= 1.0, "{id:?}");
        }
    }
}

#[test]
fn work_is_broken_off_where_the_watch_says_so() {
    let job = job(&row_of_holes());
    for stage in [Stage::Placement, Stage::PunchSteps, Stage::Together, Stage::ToolShear] {
        let mut seen = Vec::new();
        let result = advise(&job, &mut |progress| {
            assert!(progress.done <= progress.of);
            seen.push(progress.stage);
            if progress.stage == stage { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        assert_eq!(result, Err(BrokenOff));
        assert_eq!(seen.iter().filter(|&&seen| seen == stage).count(), 1);
    }
}

#[test]
fn report_has_the_keys_of_the_contract() {
    let value = row_of_holes();
    let job = job(&value);
    let advice = advise(&job, &mut go_on).unwrap();
    let report: Value = serde_json::from_str(&AdviceReport::new(&job, &advice).to_json()).unwrap();
    for key in ["x_mm", "y_mm", "share_before", "share_after"] {
        assert!(report["placement"][key].is_number(), "{key}");
    }
    assert!(report["placement"]["limit"].is_string());
    assert!(
        report["placement"]["share_after"].as_f64() < report["placement"]["share_before"].as_f64()
    );
    let steps = report["punch_steps"].as_array().unwrap();
    assert!(!steps.is_empty());
    let mut edited = value.clone();
    for step in steps {
        let (station, work) = (step["station"].as_u64().unwrap(), step["work"].as_u64().unwrap());
        edited["stations"][station as usize]["work"][work as usize]["entry_mm"] =
            step["entry_mm"].clone();
    }
    let peak = |value: &Value| self::job(value).check().peak.unwrap().force.kilonewtons();
    assert!(close(report["peak_before_kn"].as_f64().unwrap(), peak(&value)));
    assert!(close(report["peak_after_kn"].as_f64().unwrap(), peak(&edited)));
    for key in ["reverse_before_kn", "reverse_after_kn"] {
        assert!(report[key].is_number(), "{key}");
    }
}

#[test]
fn presses_are_ranked_best_first() {
    // With more damping, so that the press does not spring back too far.
    let die_value = with(row_of_holes(), "/press/damping_percent", json!(40));
    let die = die_entry("die.json", die_value.clone()).unwrap();
    let press = || die_value["press"].clone();
    let mut weak = press();
    weak["name"] = json!("Weak");
    weak["rated_force_kn"] = json!(150);
    let mut short = press();
    short["name"] = json!("Short");
    short["drive"]["stroke_mm"] = json!(3);
    short["drive"]["rating_height_mm"] = json!(1);
    let mut unknown = press();
    unknown["name"] = json!("Unknown");
    unknown.as_object_mut().unwrap().shift_remove("energy");
    unknown.as_object_mut().unwrap().shift_remove("speed_spm");
    let library = json!([weak, short, {"press": unknown}, die_value]);
    let presses = press_entries("library.json", &library).unwrap();
    let ranked = rank(std::slice::from_ref(&die), &presses, &mut go_on).unwrap();
    let names: Vec<&str> = ranked[0].iter().map(|row| presses[row.press].name.as_str()).collect();
    assert_eq!(names, ["Press T", "Unknown", "Weak", "Short"]);
    let verdicts: Vec<Option<State>> = ranked[0]
        .iter()
        .map(|row| row.outcome.as_ref().ok().map(|fit| fit.figures.verdict))
        .collect();
    assert_eq!(verdicts, [Some(State::Within), Some(State::NotChecked), Some(State::Over), None]);
    let unknown = ranked[0][1].outcome.as_ref().unwrap();
    assert!(unknown.speed_of_die && unknown.open == [LimitId::WorkingEnergy]);
    // The best place on a press is that of the advice for the job in it.
    let shift = placement::placement(&die.job, &mut go_on).unwrap().shift.unwrap();
    assert_eq!(ranked[0][0].outcome.as_ref().unwrap().placement, shift.to);
    // The edits put the die into the press.
    let library = Library { dies: vec![die.clone()], presses, refused: Vec::new() };
    let report = RankReport::new(&library, &ranked);
    let report: Value = serde_json::from_str(&report.to_json()).unwrap();
    let row = &report["dies"][0]["presses"][2];
    let mut moved = die.value.clone();
    moved["press"] = row["edits"][0]["value"].clone();
    moved["die"]["placement"] = row["placement"].clone();
    assert_eq!(job(&moved).check().verdict.key(), row["verdict"]);
    assert_eq!(
        report["dies"][0]["presses"][3]["refused"][0]["path"],
        "stations[0].work[0].entry_mm"
    );
}

/// A die of 700 mm on 900 mm counts as near the end from 10 mm beside the middle on (0.8 of 900 mm are
/// 720 mm), so that it moves no farther for a better balance; nothing but that holds it.
#[test]
fn die_stays_clear_of_the_ends_of_the_bolster_in_advice_and_ranking_alike() {
    let mut value = row_of_holes();
    // Without it neither tilt nor reverse load is judged.
    value["press"].as_object_mut().unwrap().shift_remove("stiffness_kn_per_mm");
    for area in ["bolster", "slide"] {
        value["press"][area]["width_mm"] = json!(900);
    }
    let die = die_entry("die.json", value.clone()).unwrap();
    let advice = placement::placement(&die.job, &mut go_on).unwrap();
    let to = advice.shift.expect("the left is heavier").to;
    assert!(close(to.x.millimetres(), 9.99), "{to:?}");
    assert_eq!(advice.notes, Vec::<String>::new());
    let press = &press_entries("press.json", &value["press"]).unwrap()[0];
    assert_eq!(evenstroke_advice::rank::fit(&die, press).unwrap().placement, to);
}

#[test]
fn die_that_is_too_low_for_a_press_is_told_what_to_put_under_it() {
    let die = die_entry("die.json", row_of_holes()).unwrap();
    let mut tall = press();
    // 450 to 500 mm for a die of 340 mm.
    tall["shut_height_mm"] = json!(500);
    tall["shut_height_adjustment_mm"] = json!(50);
    for (press, short) in [(tall, Some(110.0)), (press(), None)] {
        let entry = &press_entries("press.json", &press).unwrap()[0];
        let fit = evenstroke_advice::rank::fit(&die, entry).unwrap();
        let told = fit.too_low.map(|short| short.millimetres());
        assert!(told.zip(short).map_or(told == short, |(a, b)| close(a, b)), "{told:?}");
        assert_eq!(fit.figures.over.contains(&LimitId::ShutHeight), short.is_some());
    }
}

/// By hand: in the die's own press it stands on 20 mm of parallels, 360 mm in 300 to 400 mm; the other one,
/// which opens 350 mm at most, takes it without them.
#[test]
fn what_was_set_at_the_dies_own_press_is_not_taken_to_another() {
    let mut own = row_of_holes();
    own["die"]["parallels_mm"] = json!(20);
    own["setup"] = json!({"press_opening_mm": 365, "lifting_gear": "Cart"});
    own["trip"] = json!({"height_mm": 140});
    let die = die_entry("die.json", own).unwrap();
    let mut low = press();
    low["shut_height_mm"] = json!(350);
    low["drive"]["stroke_mm"] = json!(120);
    let presses = press_entries("library.json", &json!([press(), low])).unwrap();
    let ranked = rank(std::slice::from_ref(&die), &presses, &mut go_on).unwrap();
    let library = Library { dies: vec![die.clone()], presses, refused: Vec::new() };
    let report = RankReport::new(&library, &ranked);
    let report: Value = serde_json::from_str(&report.to_json()).unwrap();
    for row in &ranked[0] {
        let fit = row.outcome.as_ref().unwrap_or_else(|refused| panic!("{refused}"));
        assert!(!fit.figures.over.contains(&LimitId::ShutHeight), "{fit:?}");
    }
    let edits_of = |press: usize| {
        let at = ranked[0].iter().position(|row| row.press == press).unwrap();
        let edits = report["dies"][0]["presses"][at]["edits"].as_array().unwrap();
        edits
            .iter()
            .map(|edit| Edit {
                path: edit["path"].as_str().unwrap().to_owned(),
                value: edit["value"].clone(),
            })
            .collect::<Vec<_>>()
    };
    let moved = apply(&die.value, &edits_of(1)).unwrap();
    assert_eq!(moved["setup"], json!({"lifting_gear": "Cart"}));
    assert!(moved.get("trip").is_none() && moved["die"].get("parallels_mm").is_none());
    job(&moved);
    let stays = apply(&die.value, &edits_of(0)).unwrap();
    assert_eq!((&stays["setup"], &stays["trip"]), (&die.value["setup"], &die.value["trip"]));
}

#[test]
fn ranking_by_many_threads_is_that_by_one() {
    let dies: Vec<_> =
        DEMOS.iter().filter_map(|demo| die_entry(demo.label, value(demo.text)).ok()).collect();
    let presses: Vec<_> = DEMOS
        .iter()
        .flat_map(|demo| press_entries(demo.label, &value(demo.text)).unwrap())
        .collect();
    assert!(dies.len() >= 3 && presses.len() >= dies.len());
    let ranked = rank(&dies, &presses, &mut go_on).unwrap();
    for (die, ranked) in dies.iter().zip(&ranked) {
        assert_eq!(ranked.len(), presses.len());
        for row in ranked {
            assert_eq!(row.outcome, evenstroke_advice::rank::fit(die, &presses[row.press]));
        }
    }
    let broken = rank(&dies, &presses, &mut |progress| {
        if progress.done > 2 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    assert_eq!(broken, Err(BrokenOff));
    assert_eq!(rank(&[], &presses, &mut go_on), Ok(Vec::new()));
    assert_eq!(rank(&dies, &[], &mut go_on).unwrap(), vec![Vec::new(); dies.len()]);
}

#[test]
fn what_is_no_press_is_refused_with_its_place() {
    for (value, path) in [
        (
            json!({"rated_force_kn": -1, "drive": {"kind": "hydraulic", "stroke_mm": 100}}),
            "press.rated_force_kn",
        ),
        (json!({"name": "Nothing"}), "press.drive"),
        (json!([]), "$"),
        (json!(5), "$"),
        (json!({"format": "evenstroke-report"}), "$"),
    ] {
        let refused = press_entries("p", &value).expect_err("no press");
        assert_eq!(refused.0[0].path, path, "{value}");
    }
}

fn random_jobs() -> impl Strategy<Value = Value> {
    let shears = prop_oneof![
        3 => Just(json!({"kind": "flat"})),
        1 => (0.2..1.5, 0.0..90.0).prop_map(|(depth, to)| json!({"kind": "slope", "depth_mm": depth, "direction_deg": to})),
    ];
    let holes =
        (6.0..90.0, 2.5..7.0, shears, prop::sample::select(vec!["pierce", "blank", "notch"]));
    let holes = holes.prop_map(|(diameter, entry, shear, kind)| {
        let mut hole = pierce(diameter, entry);
        hole["kind"] = json!(kind);
        hole["tool_shear"] = shear;
        hole
    });
    let springs = (5.0..60.0, 2.0..15.0).prop_map(|(force, entry)| {
        json!({"op": "spring", "kind": "cushion", "force_kn": force, "entry_mm": entry})
    });
    let work = prop::collection::vec(prop_oneof![3 => holes, 1 => springs], 1..3);
    let stations = prop::collection::vec((-300.0..300.0, -150.0..150.0, work, any::<bool>()), 1..4);
    let ratings = (10.0..80.0, 5.0..40.0, 200.0..1500.0, prop::sample::select(vec![1, 2, 4]));
    (stations, ratings, -80.0..80.0, -60.0..60.0).prop_map(
        |(stations, (x, y, rated, points), at_x, at_y)| {
            let stations: Vec<Value> = stations
                .into_iter()
                .map(|(x, y, work, locked)| {
                    let mut station = station(x, y, json!(work));
                    station["locked"] = json!(locked && x > 0.0);
                    station
                })
                .collect();
            let mut value = die(json!(stations));
            value["die"]["placement"] = json!({"x_mm": at_x, "y_mm": at_y});
            value["press"]["off_centre"] = json!({"moment_x_knm": x, "moment_y_knm": y});
            value["press"]["rated_force_kn"] = json!(rated);
            value["press"]["suspension"] =
                json!({"points": points, "span_x_mm": 700, "span_y_mm": 400});
            value
        },
    )
}

fn order_of(state: State) -> usize {
    [State::Within, State::Near, State::NotChecked, State::Over]
        .iter()
        .position(|&s| s == state)
        .unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 24,
        rng_seed: RngSeed::Fixed(0x5a1d),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// No proposal breaks a limit; the shift, the steps named first and the tool shear make neither the
    /// verdict nor the worst limit worse, the latter two neither peak nor reverse load.
    #[test]
    fn advice_never_makes_a_job_worse(value in random_jobs()) {
        let advice = all_of(&value);
        for proposal in proposals_of(&advice) {
            let after = made(&value, proposal);
            prop_assert!(after.over.iter().all(|id| proposal.before.over.contains(id)), "{proposal:?}");
        }
        let share = |used: Option<evenstroke_advice::Used>| used.map_or(0.0, |used| used.share);
        let slack = 1.0 + 1e-9;
        if let Some(shift) = &advice.placement.shift {
            let Proposal { before, after, .. } = &shift.proposal;
            prop_assert!(order_of(after.verdict) <= order_of(before.verdict));
            prop_assert!(share(after.balance) < share(before.balance));
            prop_assert!(shift.no_lower <= share(after.balance) * slack);
        }
        let first = advice.steps.best.map(|best| &advice.steps.choices[best].proposal);
        let together = advice.together.as_ref().map(|together| &together.choice.proposal);
        let shear = advice.shear.proposal.iter().chain(&advice.shear.slopes_proposal);
        for Proposal { before, after, .. } in first.into_iter().chain(together).chain(shear) {
            prop_assert!(order_of(after.verdict) <= order_of(before.verdict));
            prop_assert!(share(after.worst) <= share(before.worst) * slack);
            prop_assert!(after.peak_upper <= before.peak_upper * slack && after.peak <= before.peak * slack);
            if let (Some(after), Some(before)) = (after.reverse_upper, before.reverse_upper) {
                prop_assert!(after <= before * slack);
            }
        }
        let job = job(&value);
        for choice in &advice.steps.choices {
            for step in &choice.steps {
                prop_assert!(!job.locked[step.station]);
            }
        }
        // The report is plain data, whatever the job.
        let report = AdviceReport::new(&job, &advice).to_json();
        prop_assert!(serde_json::from_str::<Value>(&report).is_ok());
        prop_assert_eq!(punch::punches(&job).iter().filter(|punch| job.locked[punch.station]).count(), 0);
    }
}

#[test]
fn words_of_advice_say_what_changes_in_the_units_asked_for() {
    let mut value = two_oblong_punches();
    // Off the centre to the left, and turned over: what is right of the die is left of the press.
    value["die"]["placement"] = json!({"x_mm": -30, "y_mm": 0, "turn_deg": 180});
    let job = job(&value);
    let advice = all_of(&value);
    let topics = told::topics(&job, &advice, UnitSystem::Metric);
    let offer = &topics[0].offers[0];
    assert_eq!(offer.words, "Move the die 30.0 mm right");
    assert_eq!(offer.details, ["Its centre is then at that of the press."]);
    assert!(offer.figures.iter().any(|row| row[0] == "Off-centre, left–right" && row[1] != row[2]));
    let slopes = topics[3].offers.last().unwrap();
    let against = |first: &str, last: &str| {
        slopes.details.iter().any(|line| line.contains(&format!("{first} first and {last} last")))
    };
    assert!(against("left", "right") && against("right", "left"), "{:?}", slopes.details);
    let customary = told::topics(&job, &advice, UnitSystem::UsCustomary);
    assert_eq!(customary[0].offers[0].words, "Move the die 1.181 in right");
    let plain = told::topics_value(&topics);
    assert_eq!(plain[0]["offers"][0]["words"], "Move the die 30.0 mm right");
    let edits = plain[0]["offers"][0]["edits"].as_array().unwrap();
    let edits: Vec<Edit> = edits.iter().filter_map(Edit::of_value).collect();
    assert_eq!(edits, offer.edits);
}

#[test]
fn words_of_a_ranking_come_in_full_best_first_or_in_short_as_given() {
    let die = die_entry("die.json", row_of_holes()).unwrap();
    let mut short = press();
    short["name"] = json!("Short");
    short["drive"] = json!({"kind": "hydraulic", "stroke_mm": 3});
    let presses = press_entries("library.json", &json!([short, press()])).unwrap();
    let dies = [die.clone()];
    let ranked = rank(&dies, &presses, &mut go_on).unwrap();
    let plain = |extent| told::ranking_value(&dies, &presses, &ranked, UnitSystem::Metric, extent);
    let one = plain(told::Extent::InFull);
    let rows = &one[0]["presses"];
    assert_eq!(rows[0]["name"], "Press T");
    assert_eq!((&rows[1]["key"], &rows[1]["edits"]), (&json!("refused"), &Value::Null));
    assert!(rows[0]["details"][0].as_str().unwrap().starts_with("best place "));
    let edits = rows[0]["edits"].as_array().unwrap();
    let edits: Vec<Edit> = edits.iter().filter_map(Edit::of_value).collect();
    job(&apply(&die.value, &edits).unwrap());
    let short = plain(told::Extent::InShort);
    let cells = &short[0]["presses"];
    assert_eq!((&cells[0]["key"], &cells[1]["edits"]), (&json!("refused"), &Value::Null));
    assert_eq!(cells[1]["limit"], rows[0]["limit"]);
}

/// The page hands out its presses and jobs in one file.
#[test]
fn presses_are_read_from_the_library_of_the_page() {
    let library = json!({"format": "evenstroke-library", "version": 1,
        "jobs": [{"id": "a", "job": row_of_holes()}], "presses": [press(), press()]});
    assert_eq!(press_entries("library.json", &library).unwrap().len(), 2);
    let mut jobs = library;
    jobs.as_object_mut().unwrap().shift_remove("presses");
    let names = press_entries("library.json", &jobs).unwrap();
    assert_eq!(names[0].name, "Press T");
}
