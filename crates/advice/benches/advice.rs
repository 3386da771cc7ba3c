//! How long advice takes, and what it saves against trying.
//!
//! The reference is what one would write first: the die checked at every place of a raster, every way
//! to step the punches checked in full, every pair of die and press one after the other. It is kept
//! here only to have something to compare with; the printed ratios hold on the machine that runs it.

use criterion::Criterion;
use evenstroke_advice::{
    Figures, Progress, placement,
    rank::{DieEntry, PressEntry, die_entry, fit, press_entries, rank},
    steps,
};
use evenstroke_job::{Job, demo::DEMOS};
use press_load::{Length, Placement, Work, place::PlaceQuestion};
use std::{hint::black_box, ops::ControlFlow, time::Instant};

/// Places along each side of the raster.
const RASTER: usize = 51;

fn go_on(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args().sample_size(20);
    let job = demo(0);
    criterion.bench_function("all advice for the progressive demo", |b| {
        b.iter(|| evenstroke_advice::advise(black_box(&job), &mut go_on));
    });
    criterion.final_summary();
    for number in [0, 3] {
        place_against_raster(&demo(number));
    }
    steps_against_trying(&demo(0));
    together_against_trying(&demo(0));
    rank_against_one_thread();
}

fn demo(number: usize) -> Job {
    Job::read(DEMOS[number].text).unwrap_or_else(|refused| panic!("{refused}"))
}

/// Seconds of the fastest of some runs, and what the last one gave.
fn fastest<T>(runs: usize, mut call: impl FnMut() -> T) -> (f64, T) {
    let mut run = || {
        let start = Instant::now();
        let found = black_box(call());
        (start.elapsed().as_secs_f64(), found)
    };
    let (mut best, mut last) = run();
    for _ in 1..runs {
        let (time, found) = run();
        (best, last) = (best.min(time), found);
    }
    (best, last)
}

fn print(what: &str, ours: f64, other: &str, theirs: f64) {
    println!(
        "{what}: {:.2} ms, {other} {:.2} ms, {:.1} times as long",
        ours * 1e3,
        theirs * 1e3,
        theirs / ours
    );
}

/// The best place against a check at every place of a raster over half a metre each way, as far as the
/// die may stand there.
fn place_against_raster(job: &Job) {
    let question = PlaceQuestion::new(&job.press, &job.die, &job.stations, &job.stroke);
    let solve = || question.best(job.band, &mut || ControlFlow::Continue(()));
    let (ours, best) = fastest(15, solve);
    let balance = |job: &Job, at: Placement| {
        Figures::of(job, &job.check_at(at)).balance.map_or(0.0, |used| used.share)
    };
    let raster = || {
        let at =
            |i: usize| Length::from_millimetres(500.0 * (i as f64 / (RASTER - 1) as f64 - 0.5));
        let places = (0..RASTER * RASTER).map(|i| (at(i % RASTER), at(i / RASTER)));
        let shares = places.map(|(x, y)| {
            let to = Placement { x, y, ..job.die.placement };
            let fits = best.as_ref().is_some_and(|best| best.room.holds(to.motion().shift));
            if fits { balance(job, to) } else { f64::INFINITY }
        });
        shares.fold(f64::INFINITY, f64::min)
    };
    let (theirs, least) = fastest(2, raster);
    print(&format!("best place, {}", job.title), ours, "raster", theirs);
    let share = best.as_ref().map_or(f64::NAN, |best| balance(job, best.placement));
    println!("  worst share {share:.4}, least in the raster {least:.4}");
    let (whole, _) = fastest(5, || placement::placement(job, &mut go_on));
    println!("  with figures before and after: {:.2} ms", whole * 1e3);
}

/// Punch steps against a full check of three levels for every punch, size and shear band left aside.
fn steps_against_trying(job: &Job) {
    let (ours, advice) = fastest(3, || steps::punch_steps(job, &mut go_on));
    let punches = evenstroke_advice::punch::punches(job);
    let all = 3_usize.pow(punches.len() as u32);
    let few = all.min(243);
    let try_all = || {
        let mut least = f64::INFINITY;
        for number in 0..few {
            let mut rest = number;
            let changed = job.altered(|job| {
                for punch in &punches {
                    let by = Length::from_millimetres(0.76 * (rest % 3) as f64);
                    rest /= 3;
                    if let Work::Cut(cut) = &mut job.stations[punch.station].work[punch.work].work {
                        cut.entry = Length::from_millimetres(6.0) - by;
                    }
                }
            });
            if let Ok(changed) = changed {
                let peak = Figures::of(&changed, &changed.check()).peak_upper;
                least = least.min(peak.kilonewtons());
            }
        }
        least
    };
    let (theirs, least) = fastest(1, try_all);
    let theirs = theirs * all as f64 / few as f64;
    print(&format!("punch steps, {} punches", punches.len()), ours, "all in full", theirs);
    let peaks = advice.map(|advice| {
        let peaks = advice.choices.iter().map(|c| c.proposal.after.peak_upper.kilonewtons());
        peaks.fold(f64::INFINITY, f64::min)
    });
    println!(
        "  lowest peak {:.1} kN, of those tried in full {least:.1} kN",
        peaks.unwrap_or(f64::NAN)
    );
}

/// Steps with the die at their best place against every division of the punches at every place of a
/// coarse raster.
fn together_against_trying(job: &Job) {
    let (ours, advice) = fastest(3, || evenstroke_advice::advise(job, &mut go_on));
    let punches = evenstroke_advice::punch::punches(job);
    let (all, few) = (3_usize.pow(punches.len() as u32), 9);
    let at = |i: usize| Length::from_millimetres(20.0 * (i as f64 - 10.0));
    let try_all = || {
        let mut least = f64::INFINITY;
        for number in 0..few {
            let changed = job.altered(|job| {
                for (index, punch) in punches.iter().enumerate() {
                    let level = number / 3_usize.pow((index % 2) as u32) % 3;
                    if let Work::Cut(cut) = &mut job.stations[punch.station].work[punch.work].work {
                        cut.entry = Length::from_millimetres(6.0 - 0.76 * level as f64);
                    }
                }
            });
            let Ok(changed) = changed else { continue };
            for place in 0..21 * 21 {
                let to = Placement { x: at(place % 21), y: at(place / 21), ..job.die.placement };
                let check = changed.check_at(to);
                let share = Figures::of(&changed, &check).balance.map_or(0.0, |used| used.share);
                least = least.min(share);
            }
        }
        least
    };
    let (theirs, _) = fastest(1, try_all);
    let theirs = theirs * all as f64 / few as f64;
    print("all advice, steps with place among it", ours, "all steps at all places", theirs);
    if let Some(together) = advice.ok().and_then(|advice| advice.together) {
        let after = together.choice.proposal.after.balance.map_or(f64::NAN, |used| used.share);
        println!("  worst share that depends on the place {after:.4}");
    }
}

/// Every demo in every press, by all cores and by one.
fn rank_against_one_thread() {
    let value = |text: &str| serde_json::from_str(text).unwrap_or_default();
    let entries = DEMOS.iter().filter_map(|demo| die_entry(demo.label, value(demo.text)).ok());
    let dies: Vec<DieEntry> = entries.collect();
    let own = DEMOS.iter().filter_map(|demo| press_entries(demo.label, &value(demo.text)).ok());
    let presses: Vec<PressEntry> = own.flatten().cycle().take(40).collect();
    let (ours, _) = fastest(3, || rank(&dies, &presses, &mut go_on));
    let one = || {
        let pairs = dies.iter().flat_map(|die| presses.iter().map(move |press| (die, press)));
        pairs.filter_map(|(die, press)| fit(die, press).ok()).count()
    };
    let (theirs, _) = fastest(3, one);
    print(&format!("{} dies in {} presses", dies.len(), presses.len()), ours, "one thread", theirs);
}
