//! Recordings made from a job whose truth is known.
//!
//! The truth is written down here and worked out by `press-load` alone; noise comes from a fixed
//! series, so that every run reads the same.
#![allow(dead_code)]

use evenstroke_job::Job;
use press_load::{Line, StripState};
use serde_json::Value;
use std::fmt::Write;

/// The job of the contract as JSON.
pub fn example() -> Value {
    let text = include_str!("../../../../tests/contract/example.json");
    serde_json::from_str(text).expect("the example is JSON")
}

/// The same without the press's stretch and vibration: force over height and nothing else.
pub fn stiff_example() -> Value {
    let mut job = example();
    let press = job["press"].as_object_mut().expect("a press");
    press.remove("stiffness_kn_per_mm");
    job
}

pub fn job(value: &Value) -> Job {
    Job::from_value(value).expect("the job is read")
}

/// A fixed series of numbers between −1 and 1 (a linear congruential generator with the constants of
/// D. E. Knuth's MMIX; value from memory).
pub struct Noise(pub u64);

impl Noise {
    pub fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    }
}

/// What a recording is made with.
pub struct Truth {
    /// Factor on the stock's part of each station.
    pub factors: Vec<f64>,
    /// Crank angle that the encoder shows at BDC.
    pub bdc_deg: f64,
    /// Noise of each channel in kN.
    pub noise_kn: f64,
    /// What each channel shows without load, in kN.
    pub zero_kn: [f64; 2],
    /// How much the zero creeps over the recording, in kN.
    pub drift_kn: f64,
    /// Strokes.
    pub strokes: usize,
    /// Samples of a stroke.
    pub samples: usize,
    /// Pull on the way up below 3 mm, in kN.
    pub strip_kn: f64,
}

impl Default for Truth {
    fn default() -> Self {
        Self {
            factors: vec![1.0; 4],
            bdc_deg: 180.0,
            noise_kn: 0.5,
            zero_kn: [0.0; 2],
            drift_kn: 0.0,
            strokes: 10,
            samples: 1_440,
            strip_kn: 0.0,
        }
    }
}

/// Left and right force in kN at a slide height, with the stations scaled.
fn channels(job: &Job, factors: &[f64], height_m: f64, down: bool) -> [f64; 2] {
    let rows = &job.stroke.rows;
    let below = rows.partition_point(|row| row.height.metres() > height_m);
    let at = |curve: &[f64]| match below.checked_sub(1) {
        None => curve[0],
        Some(above) if below == rows.len() => curve[above],
        Some(above) => {
            let (high, low) = (rows[above].height.metres(), rows[below].height.metres());
            let part = if high > low { (high - height_m) / (high - low) } else { 1.0 };
            curve[above] + part * (curve[below] - curve[above])
        }
    };
    let line = job.stroke.line(Line::Nominal);
    let (mut force, mut moment) = (0.0, 0.0);
    for (station, factor) in line.stations.iter().zip(factors) {
        if down {
            force += factor * at(&station.with_stock.force);
            moment += factor * at(&station.with_stock.moment_x);
        }
        force += at(&station.springs.force);
        moment += at(&station.springs.moment_x);
    }
    // The press of the example: two points 900 mm apart; the die stands in the middle.
    assert!(job.die.placement.x.metres() == 0.0);
    let share = moment / 0.9;
    [1e-3 * (0.5 * force - share), 1e-3 * (0.5 * force + share)]
}

/// A recording over crank angle: `angle;left;right` rows with a head.
pub fn over_angle(job: &Job, truth: &Truth) -> String {
    let mut noise = Noise(7);
    let mut text = "Crank angle [deg];Left [kN];Right [kN]\n".to_owned();
    let motion = job.press.drive.motion().expect("a crank");
    let all = (truth.strokes * truth.samples) as f64;
    for stroke in 0..truth.strokes {
        for sample in 0..truth.samples {
            let turn = 360.0 * sample as f64 / truth.samples as f64 - 180.0;
            let height = motion.height_at(turn.abs().to_radians()).metres();
            let mut sides = channels(job, &truth.factors, height, turn < 0.0);
            if turn > 0.0 && height < 3e-3 {
                sides.iter_mut().for_each(|side| *side -= 0.5 * truth.strip_kn);
            }
            let creep = truth.drift_kn * (stroke * truth.samples + sample) as f64 / all;
            let shown = |side: usize, noise: &mut Noise| {
                sides[side] + truth.zero_kn[side] + creep + truth.noise_kn * noise.next()
            };
            let (left, right) = (shown(0, &mut noise), shown(1, &mut noise));
            let angle = (turn + truth.bdc_deg).rem_euclid(360.0);
            let _ = writeln!(text, "{angle:.3};{left:.3};{right:.3}");
        }
    }
    text
}

/// A recording over time of the whole press with its vibration, as the snap-through model has it, and
/// the largest pull in kN.
pub fn over_time(job: &Job, strokes: usize, rate: f64, noise_kn: f64) -> (String, f64) {
    let course =
        press_load::SnapThrough::course(&job.press, job.die.upper_mass, &job.stroke, Line::Nominal)
            .expect("a course");
    let period = 60.0 / job.press.speed.expect("a speed").per_minute();
    let touch = job.press.drive.motion().expect("a crank").angle_at(course[0].drive);
    // First touch is so long after TDC.
    let begins = period * (0.5 - touch / std::f64::consts::TAU);
    let springs: f64 = 1e-3
        * job
            .stroke
            .nominal
            .stations
            .iter()
            .map(|s| s.springs.force.last().copied().unwrap_or(0.0))
            .sum::<f64>();
    let mut noise = Noise(3);
    let mut text = "Time (ms)\tForce (kN)\n".to_owned();
    let mut lowest = 0.0_f64;
    let count = (strokes as f64 * period * rate) as usize;
    for sample in 0..count {
        let time = sample as f64 / rate;
        let within = time.rem_euclid(period) - begins;
        let next = course.partition_point(|row| row.time < within);
        let force = match (next.checked_sub(1), course.get(next)) {
            (None, _) => 0.0,
            (Some(before), Some(row)) => {
                let last = &course[before];
                let part = (within - last.time) / (row.time - last.time);
                1e-3 * (last.press.newtons() + part * (row.press - last.press).newtons())
            }
            // On the way up the springs let go over as long as they took.
            (Some(last), None) => {
                let up = course[last].time;
                (springs * (1.0 - (within - up) / (0.5 * up))).max(0.0)
            }
        };
        lowest = lowest.min(force);
        let shown = force + noise_kn * noise.next();
        let _ = writeln!(text, "{:.4}\t{shown:.3}", 1e3 * time);
    }
    let _ = StripState::Full;
    (text, -lowest)
}
