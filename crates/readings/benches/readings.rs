//! A recording of a million samples, how it grows, and what of it is reading.

use criterion::{Criterion, criterion_group, criterion_main};
use evenstroke_job::Job;
use evenstroke_readings::{Wishes, columns, compare, read, samples, signal};
use std::{
    fmt::Write,
    hint::black_box,
    time::{Duration, Instant},
};

fn job() -> Job {
    let text = include_str!("../../../tests/contract/example.json");
    Job::read(text).expect("the example is read")
}

/// `count` samples over crank angle of two channels that follow the prediction.
fn recording(job: &Job, count: usize) -> String {
    let motion = job.press.drive.motion().expect("a crank");
    let predicted = evenstroke_readings::Predicted::of(job);
    let mut text = "angle [deg];left [kN];right [kN]\n".to_owned();
    for index in 0..count {
        let angle = (index % 2_000) as f64 * 0.18;
        let height = motion.height_at((angle - 180.0).abs().to_radians()).metres();
        let force = 5e-4 * predicted.force(height, angle < 180.0);
        let noise = ((index * 7_919) % 101) as f64 * 0.01;
        let _ = writeln!(text, "{angle:.2};{:.3};{:.3}", force + noise, force - noise);
    }
    text
}

fn timed(of: &mut dyn FnMut()) -> Duration {
    let times = (0..3).map(|_| {
        let begin = Instant::now();
        of();
        begin.elapsed()
    });
    times.min().unwrap_or_default()
}

fn million(criterion: &mut Criterion) {
    let job = job();
    let text = recording(&job, 1_000_000);
    let wishes = Wishes::default();
    let mut group = criterion.benchmark_group("1 000 000 samples");
    group.sample_size(10);
    group.bench_function("read and laid over", |bench| {
        bench.iter(|| read(black_box(text.as_bytes()), &job, &wishes).expect("it is read"));
    });
    group.finish();

    // Ratios: what the same text takes by the standard library's split and parse, and how time grows.
    let mapping = columns::map(text.as_bytes(), &wishes).expect("a mapping");
    let numbers = timed(&mut || {
        black_box(samples::samples(text.as_bytes(), &mapping, &wishes).expect("numbers"));
    });
    let by_split = timed(&mut || {
        let mut sum = 0.0;
        for line in text.lines().skip(1) {
            sum += line.split(';').map(|cell| cell.parse::<f64>().expect("a number")).sum::<f64>();
        }
        black_box(sum);
    });
    let found = samples::samples(text.as_bytes(), &mapping, &wishes).expect("numbers");
    let check = job.check();
    let laid_over = timed(&mut || {
        let done = compare(&job, &check, found.clone(), mapping.clone(), &wishes);
        black_box(done.expect("laid over"));
    });
    let thin = timed(&mut || {
        black_box(signal::thinned(&found.channels[0], 1_000));
    });
    let ratio = |a: Duration, b: Duration| a.as_secs_f64() / b.as_secs_f64();
    println!(
        "numbers {numbers:?}, {:.2} times split and parse ({by_split:?})",
        ratio(numbers, by_split)
    );
    println!(
        "laid over {laid_over:?}, {:.2} times its numbers; thinned {thin:?}",
        ratio(laid_over, numbers)
    );
    let mut last: Option<Duration> = None;
    for count in [250_000, 500_000, 1_000_000, 2_000_000] {
        let text = recording(&job, count);
        let took = timed(&mut || {
            black_box(read(text.as_bytes(), &job, &wishes).expect("it is read"));
        });
        let grown = last
            .map_or(String::new(), |last| format!(", {:.2} times half of it", ratio(took, last)));
        println!("{count} samples, {} MB: {took:?}{grown}", text.len() / 1_000_000);
        last = Some(took);
    }
}

criterion_group!(benches, million);
criterion_main!(benches);
