//! Snap-through: the press is a spring that lets go when the cut breaks through.
//!
//! One mass m (slide and upper die) hangs on the drive by the stiffness k of the whole press, damped
//! by a share ζ of critical; the drive moves it down as it turns, the die pushes it up:
//!
//! `m·ÿ = F(y) − k·(y − h) − 2ζ√(km)·(ẏ − ḣ)`, with y the height of the slide, h that of the drive.
//!
//! The pull in the press after the cut breaks through is the reverse load. What the die's stock
//! pushes depends on the deepest point reached so far: where the slide springs back, stock lets go
//! within [`LET_GO`]. No tool takes hold or breaks out at once either: a load changes by no more than
//! its peak within [`LET_GO`] of travel (our own form), so that no last digit decides on which side of
//! a jump the slide is.
//!
//! **This is an estimate.** No published formula gives the absolute value; it compares variants of a
//! die, and readings correct it. The slide is one mass, gravity is borne by the counterbalance.

use crate::{
    Force, Length, Line, Mass, Missing, Motion, StripState, Stroke,
    press::{Press, SlideMotion},
};
use ode_solvers::{Rk4, System, Vector2};
use std::{
    cell::Cell,
    f64::consts::{PI, TAU},
};

/// Damping where none is given, as a share of critical. With it a sudden release comes back with
/// exp(−πζ/√(1−ζ²)) = 0.37 of what was let go, which with the slug's tail lands in the "10–30 % of the
/// forward peak on mild steel" that is commonly reported (value from memory).
pub const DEFAULT_DAMPING_SHARE: f64 = 0.3;
/// Travel in which worked stock lets go when the slide springs back, in metres (common practice, no
/// source: the elastic recovery of sheet is of this order).
pub(crate) const LET_GO: f64 = 1e-5;
/// Steps for one period of the free vibration; both pulls are then within 1 %.
const STEPS_PER_PERIOD: f64 = 200.0;
/// Most steps; a vibration that needs more is not that of a press.
const MOST_STEPS: f64 = 120_000.0;
/// Periods that are followed beyond BDC.
const PERIODS_AFTER: f64 = 2.0;

/// The largest pull in the press after the cut breaks through, on both lines, with the strip full.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SnapThrough {
    /// On the nominal line.
    pub nominal: Force,
    /// On the upper line.
    pub upper: Force,
    /// Slide height above BDC at which the pull of the upper line is largest.
    pub upper_at: Length,
    /// What it takes to carry the upper die along when the slide springs back, on the upper line: its
    /// mass times the slide's acceleration, less what the die still pushes. Without its weight.
    pub on_upper_die: Force,
}

impl SnapThrough {
    /// Follows the slide through the stroke on both lines.
    ///
    /// `upper_mass` is that of the upper die, none if unknown.
    ///
    /// # Errors
    ///
    /// [`Missing`] naming what has to be known first: stiffness, slide mass, speed, the drive's
    /// kinematics.
    pub fn new(press: &Press, upper_mass: Option<Mass>, stroke: &Stroke) -> Result<Self, Missing> {
        let nominal = Model::of(press, upper_mass, stroke, Line::Nominal)?.largest_pull()?;
        let upper = Model::of(press, upper_mass, stroke, Line::Upper)?.largest_pull()?;
        Ok(Self {
            nominal: nominal.in_press,
            upper: upper.in_press,
            upper_at: upper.at,
            on_upper_die: upper.on_upper_die,
        })
    }

    /// The slide over time on one line, from first touch until the press has come to rest after BDC:
    /// what a load monitor draws. Worked out when it is asked for.
    ///
    /// # Errors
    ///
    /// As [`SnapThrough::new`].
    pub fn course(
        press: &Press,
        upper_mass: Option<Mass>,
        stroke: &Stroke,
        line: Line,
    ) -> Result<Vec<SnapRow>, Missing> {
        let mut rows = Vec::new();
        let model = Model::of(press, upper_mass, stroke, line)?;
        model.run(STEPS_PER_PERIOD, &mut |row| rows.push(row))?;
        Ok(rows)
    }
}

/// The slide at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SnapRow {
    /// Seconds since the die first pushed.
    pub time: f64,
    /// Height that the drive gives the slide without load.
    pub drive: Length,
    /// Height of the slide; below zero where it swings past BDC.
    pub slide: Length,
    /// Speed of the slide in metres per second, negative on the way down.
    pub speed: f64,
    /// Force in the press by its stretch, as strain gauges on the frame see it: compression positive,
    /// pull negative.
    pub press: Force,
    /// Force of the die on the slide.
    pub die: Force,
    /// Acceleration of the slide in metres per second squared, up positive.
    pub acceleration: f64,
}

impl Model {
    fn of(
        press: &Press,
        upper_mass: Option<Mass>,
        stroke: &Stroke,
        line: Line,
    ) -> Result<Self, Missing> {
        let stiffness = press.stiffness.ok_or(Missing::Stiffness)?;
        let upper_mass = upper_mass.map_or(0.0, Mass::kilograms);
        let mass = press.slide_mass.ok_or(Missing::SlideMass)?.kilograms() + upper_mass;
        let rate = press.speed.ok_or(Missing::Speed)?;
        let motion = press.drive.motion().ok_or(Missing::Kinematics)?;
        Ok(Self {
            motion,
            turning: TAU * rate.per_second(),
            mass,
            upper_mass,
            stiffness: stiffness.newtons_per_metre(),
            damping_share: press.damping_share.unwrap_or(DEFAULT_DAMPING_SHARE),
            load: DieLoad::of(stroke, line),
        })
    }
}

/// What the die pushes, over falling heights.
#[derive(Clone, Debug)]
struct DieLoad {
    heights: Vec<f64>,
    stock: Vec<f64>,
    springs: Vec<f64>,
}

impl DieLoad {
    fn of(stroke: &Stroke, line: Line) -> Self {
        let line = stroke.line(line);
        let total = line.total(StripState::Full, &Motion::NONE).force;
        let mut springs = vec![0.0; total.len()];
        for station in &line.stations {
            for (sum, force) in springs.iter_mut().zip(&station.springs.force) {
                *sum += force;
            }
        }
        let stock = total.iter().zip(&springs).map(|(total, spring)| total - spring).collect();
        let heights = stroke.rows.iter().map(|row| row.height.metres()).collect();
        Self { heights, stock, springs }.without_jumps()
    }

    /// With rows moved down as far as it takes for the force to change by no more than its peak within
    /// [`LET_GO`].
    fn without_jumps(mut self) -> Self {
        let peak = self.stock.iter().zip(&self.springs).map(|(a, b)| a + b).fold(0.0, f64::max);
        if peak <= 0.0 {
            return self;
        }
        for row in 1..self.heights.len() {
            let change = |force: &[f64]| (force[row] - force[row - 1]).abs();
            let travel = LET_GO * (change(&self.stock) + change(&self.springs)) / peak;
            self.heights[row] = self.heights[row].min(self.heights[row - 1] - travel);
        }
        self
    }

    /// The first row at or below a height, looked for from a row `near` it: the slide creeps from row
    /// to row, and to look through all of them at every step is half of the time.
    fn row_below(&self, height: f64, near: usize) -> usize {
        let mut below = near;
        while below < self.heights.len() && self.heights[below] > height {
            below += 1;
        }
        while below > 0 && self.heights[below - 1] <= height {
            below -= 1;
        }
        below
    }

    /// Force of stock and of springs at a height of which `below` is the first row at or below it; under
    /// the last row as there.
    fn at(&self, height: f64, below: usize) -> (f64, f64) {
        match (below.checked_sub(1), self.heights.get(below)) {
            (Some(above), Some(&next)) => {
                let span = self.heights[above] - next;
                let part = if span > 0.0 { (self.heights[above] - height) / span } else { 1.0 };
                let between = |rows: &[f64]| rows[above] + part * (rows[below] - rows[above]);
                (between(&self.stock), between(&self.springs))
            }
            (Some(above), None) => (self.stock[above], self.springs[above]),
            (None, _) => (0.0, 0.0),
        }
    }

    /// Height at which it first pushes.
    fn first_touch(&self) -> Option<f64> {
        let first = (0..self.heights.len()).find(|&i| self.stock[i] + self.springs[i] > 0.0)?;
        Some(self.heights[first.saturating_sub(1)].min(self.heights[first] + 1e-3))
    }
}

/// The slide on the press's spring, moved by the drive.
#[derive(Clone, Debug)]
struct Model {
    motion: SlideMotion,
    /// Radians per second.
    turning: f64,
    /// Of slide and upper die.
    mass: f64,
    /// Of the upper die alone.
    upper_mass: f64,
    stiffness: f64,
    damping_share: f64,
    load: DieLoad,
}

/// What a run of the model found.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Pull {
    in_press: Force,
    /// Slide height at which it is largest.
    at: Length,
    on_upper_die: Force,
}

/// Time, height and speed of the drive.
#[derive(Clone, Copy, Debug)]
struct DriveAt {
    time: f64,
    height: f64,
    speed: f64,
}

/// The model as it runs: where it started, how deep it has been, who looks on.
struct Run<'a> {
    model: &'a Model,
    start_angle: f64,
    deepest: f64,
    /// The drive at the last two times: the solver asks for each several times over.
    known: Cell<[DriveAt; 2]>,
    /// The row at which the slide was when it was last looked at.
    row: Cell<usize>,
    show: &'a mut dyn FnMut(SnapRow),
}

impl Model {
    /// The largest pull in the press and the slide height there.
    fn largest_pull(&self) -> Result<Pull, Missing> {
        self.largest_pull_in_steps(STEPS_PER_PERIOD)
    }

    fn largest_pull_in_steps(&self, steps_per_period: f64) -> Result<Pull, Missing> {
        let mut found = Pull::default();
        self.run(steps_per_period, &mut |row| {
            if -row.press > found.in_press {
                (found.in_press, found.at) = (-row.press, row.slide.max(Length::ZERO));
            }
            let carried = Force::from_newtons(self.upper_mass * row.acceleration);
            found.on_upper_die = found.on_upper_die.max(carried - row.die);
        })?;
        Ok(found)
    }

    /// Shows the slide at every step; nothing if nothing acts.
    fn run(&self, steps_per_period: f64, show: &mut dyn FnMut(SnapRow)) -> Result<(), Missing> {
        let Some(touch) = self.load.first_touch() else { return Ok(()) };
        let period = TAU * (self.mass / self.stiffness).sqrt();
        let start_angle = self.motion.angle_at(Length::from_metres(touch));
        let end = start_angle / self.turning + PERIODS_AFTER * period;
        let step = period / steps_per_period;
        if !(end / step <= MOST_STEPS) {
            return Err(Missing::VibrationTooFast);
        }
        let no_time = DriveAt { time: f64::NAN, height: 0.0, speed: 0.0 };
        let (known, row) = (Cell::new([no_time; 2]), Cell::new(0));
        let mut run = Run { model: self, start_angle, deepest: touch, known, row, show };
        let drive = run.drive(0.0);
        let start = Vector2::new(drive.height, drive.speed);
        // The solver takes the system by value; the run is reached through a borrow.
        let mut solver = Rk4::new(&mut run, 0.0, start, end, step);
        solver.integrate().map(|_| ()).map_err(|_| Missing::VibrationTooFast)
    }
}

impl Run<'_> {
    /// Height and speed of the drive at a time since the start.
    fn drive(&self, time: f64) -> DriveAt {
        let [before, last] = self.known.get();
        if let Some(known) = [last, before].into_iter().find(|known| known.time == time) {
            return known;
        }
        let angle = self.start_angle - self.model.turning * time;
        let height = self.model.motion.height_at(angle).metres();
        let speed = -self.model.turning * self.model.motion.lever_at(angle).metres();
        let drive = DriveAt { time, height, speed };
        self.known.set([last, drive]);
        drive
    }

    /// Force in the press, compression positive.
    fn press_force(&self, time: f64, state: &Vector2<f64>) -> f64 {
        let drive = self.drive(time);
        let model = self.model;
        let damping = 2.0 * model.damping_share * (model.stiffness * model.mass).sqrt();
        model.stiffness * (state[0] - drive.height) + damping * (state[1] - drive.speed)
    }
}

impl Run<'_> {
    /// Force of the die on the slide at a height.
    fn die_force(&self, height: f64) -> f64 {
        let below = self.model.load.row_below(height, self.row.get());
        self.row.set(below);
        let (stock, springs) = self.model.load.at(height, below);
        let hold = 1.0 - ((height - self.deepest) / LET_GO).clamp(0.0, 1.0);
        stock * hold + springs
    }
}

impl System<f64, Vector2<f64>> for &mut Run<'_> {
    fn system(&self, time: f64, state: &Vector2<f64>, change: &mut Vector2<f64>) {
        let force = self.die_force(state[0]) - self.press_force(time, state);
        change[0] = state[1];
        change[1] = force / self.model.mass;
    }

    fn solout(&mut self, time: f64, state: &Vector2<f64>, _change: &Vector2<f64>) -> bool {
        self.deepest = self.deepest.min(state[0]);
        let drive = self.drive(time).height;
        let die = self.die_force(state[0]);
        let row = SnapRow {
            time,
            drive: Length::from_metres(drive),
            slide: Length::from_metres(state[0]),
            speed: state[1],
            // Without the damper.
            press: Force::from_newtons(self.model.stiffness * (state[0] - drive)),
            die: Force::from_newtons(die),
            acceleration: (die - self.press_force(time, state)) / self.model.mass,
        };
        (self.show)(row);
        false
    }
}

/// What comes back of a sudden release, as a share of the force let go: `exp(−πζ/√(1−ζ²))`, all of it
/// without damping, nothing from critical damping on.
pub fn sudden_release_share(damping_share: f64) -> f64 {
    if damping_share >= 1.0 {
        return 0.0;
    }
    (-PI * damping_share / (1.0 - damping_share * damping_share).sqrt()).exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{assert_close, press::Crank};

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    /// 1000 kN from 5 mm to 3 mm above BDC, then nothing at once.
    fn release(damping_share: f64, strokes_per_minute: f64) -> Model {
        Model {
            motion: SlideMotion::Crank(Crank::new(mm(200.0), mm(900.0)).expect("the crank turns")),
            turning: TAU * strokes_per_minute / 60.0,
            mass: 2_500.0,
            upper_mass: 300.0,
            stiffness: 1.5e9,
            damping_share,
            load: DieLoad {
                heights: vec![0.2, 5e-3, 3e-3, 2.999e-3, 0.0],
                stock: vec![0.0, 0.0, 1e6, 0.0, 0.0],
                springs: vec![0.0; 5],
            },
        }
    }

    /// A mass on a spring let go at rest swings to the other side by as much (closed form of the
    /// free vibration); the drive's creep and the short fall take a little off.
    #[test]
    fn undamped_sudden_release_comes_back_with_the_whole_force() {
        let pull = release(0.0, 4.0).largest_pull().expect("the model runs").in_press;
        assert_close(pull.kilonewtons(), 1_000.0, 0.04);
    }

    #[test]
    fn damped_sudden_release_comes_back_by_the_closed_form() {
        for share in [0.1, 0.2, 0.3] {
            let pull = release(share, 4.0).largest_pull().expect("the model runs").in_press;
            assert_close(pull.kilonewtons(), 1_000.0 * sudden_release_share(share), 0.03);
        }
        assert_eq!(sudden_release_share(1.0), 0.0);
        assert_eq!(sudden_release_share(0.0), 1.0);
    }

    /// At rest under the force F the press holds it; let go at once, slide and upper die start with
    /// F/m downwards, and at the other turn of the free vibration they are pulled back with
    /// F·share/m: the upper die's clamps carry its part of the mass.
    #[test]
    fn clamps_carry_the_upper_dies_part_of_the_mass() {
        let model = release(0.1, 4.0);
        let pull = model.largest_pull().expect("the model runs");
        let part = model.upper_mass / model.mass;
        // The damper pulls a little besides the spring.
        assert_close(pull.on_upper_die.newtons(), pull.in_press.newtons() * part, 0.03);
        let without = Model { upper_mass: 0.0, ..model };
        assert_eq!(without.largest_pull().expect("it runs").on_upper_die, Force::ZERO);
    }

    #[test]
    fn a_slow_fall_of_the_force_pulls_less_than_a_sudden_one() {
        let sudden = release(0.1, 40.0);
        let mut slow = sudden.clone();
        // The force falls over the last 3 mm instead of at once.
        slow.load.heights = vec![0.2, 5e-3, 3e-3, 1e-6, 0.0];
        let pull = |model: &Model| model.largest_pull().expect("the model runs").in_press.newtons();
        assert!(pull(&slow) < 0.5 * pull(&sudden), "{} {}", pull(&slow), pull(&sudden));
    }

    /// Energy: at the speed of a slow press the slide's motion adds nothing worth naming, and the
    /// press gives back at most what its stretch held.
    #[test]
    fn pull_holds_no_more_energy_than_the_stretch_held() {
        for share in [0.0, 0.1, 0.3, 0.9] {
            let pull = release(share, 4.0).largest_pull().expect("the model runs").in_press;
            assert!(pull.kilonewtons() <= 1_001.0, "{share}: {pull:?}");
        }
    }

    #[test]
    fn a_faster_press_pulls_more() {
        let pull =
            |strokes| release(0.2, strokes).largest_pull().expect("it runs").in_press.newtons();
        assert!(pull(10.0) < pull(30.0) && pull(30.0) < pull(60.0));
    }

    /// Steps per period and how far the pull is then off that of 3200 steps: the error falls as the
    /// step does, and at the step in use it is under half a percent.
    #[test]
    fn result_does_not_hang_on_the_step() {
        let model = release(0.2, 40.0);
        let pull = |steps| model.largest_pull_in_steps(steps).expect("it runs").in_press.newtons();
        let exact = pull(3_200.0);
        for (steps, off) in
            [(50.0, 2e-2), (100.0, 1e-2), (200.0, 5e-3), (400.0, 2.5e-3), (800.0, 1e-3)]
        {
            assert_close(pull(steps), exact, off);
        }
        assert_eq!(STEPS_PER_PERIOD, 200.0);
    }

    /// The slide starts where the die first touches. Whether it is there already or a hair above is for
    /// the last digit to say, which differs between machines, and must not matter where the load jumps.
    #[test]
    fn last_digit_does_not_decide_where_the_load_jumps() {
        let pulls = |off: f64| {
            let mut model = release(0.1, 40.0);
            let load = DieLoad {
                heights: vec![0.2, 5e-3, 5e-3, 3e-3, 3e-3, 0.0],
                stock: vec![0.0, 0.0, 0.9e6, 0.9e6, 0.0, 0.0],
                springs: vec![0.0, 0.0, 0.1e6, 0.1e6, 0.1e6, 0.1e6],
            };
            model.load = load.without_jumps();
            // The drive gives another last digit than the rows of the load have.
            model.load.heights.iter_mut().for_each(|height| *height += off);
            let pull = model.largest_pull().expect("the model runs");
            (pull.in_press.newtons(), pull.on_upper_die.newtons())
        };
        let as_it_stands = pulls(0.0);
        assert!(as_it_stands.0 > 1e5);
        for off in [-3e-17, -1e-17, 1e-17, 3e-17, 1e-16] {
            let (in_press, on_upper_die) = pulls(off);
            assert_close(in_press, as_it_stands.0, 1e-10);
            assert_close(on_upper_die, as_it_stands.1, 1e-10);
        }
    }

    /// What the drive puts in is what the die takes, what the damper turns into heat, what the press
    /// stores and what the slide moves with, at every moment and with any damping.
    #[test]
    fn work_put_in_is_taken_stored_dissipated_and_kinetic() {
        for (share, strokes) in [(0.0, 20.0), (0.1, 40.0), (0.3, 40.0), (0.9, 60.0)] {
            let model = release(share, strokes);
            let damper = 2.0 * share * (model.stiffness * model.mass).sqrt();
            let mut rows: Vec<SnapRow> = Vec::new();
            model.run(2_000.0, &mut |row| rows.push(row)).expect("the model runs");
            let drive_speed = |pair: &[SnapRow]| {
                (pair[1].drive - pair[0].drive).metres() / (pair[1].time - pair[0].time)
            };
            let held = |row: &SnapRow| {
                let stretch = (row.slide - row.drive).metres();
                0.5 * model.stiffness * stretch * stretch + 0.5 * model.mass * row.speed * row.speed
            };
            let (mut put_in, mut taken, mut heat) = (0.0, 0.0, 0.0);
            let (mut most, mut worst) = (0.0_f64, 0.0_f64);
            for pair in rows.windows(2) {
                let step = pair[1].time - pair[0].time;
                let drive = drive_speed(pair);
                let mean = |of: fn(&SnapRow) -> f64| 0.5 * (of(&pair[0]) + of(&pair[1]));
                let slip = mean(|row| row.speed) - drive;
                let press = mean(|row| row.press.newtons()) + damper * slip;
                put_in -= press * drive * step;
                taken -= mean(|row| row.die.newtons()) * (pair[1].slide - pair[0].slide).metres();
                heat += damper * slip * slip * step;
                let balance = taken + heat + held(&pair[1]) - held(&rows[0]);
                most = most.max(put_in.abs());
                worst = worst.max((put_in - balance).abs());
            }
            assert!(most > 1_000.0, "the stroke takes more than a kilojoule: {most}");
            assert!(worst < 2e-3 * most, "damping {share}: {worst} J of {most} J");
        }
    }

    #[test]
    fn dull_edges_show_in_the_course() {
        let sharp = release(0.2, 40.0);
        let mut dull = sharp.clone();
        for force in &mut dull.load.stock {
            *force *= 1.3;
        }
        let lowest = |model: &Model| {
            let mut lowest = Force::ZERO;
            model
                .run(STEPS_PER_PERIOD, &mut |row| lowest = lowest.min(row.press))
                .expect("it runs");
            -lowest.newtons()
        };
        assert_close(
            lowest(&sharp),
            sharp.largest_pull().expect("it runs").in_press.newtons(),
            1e-12,
        );
        assert!(lowest(&dull) > 1.25 * lowest(&sharp));
    }

    #[test]
    fn springs_alone_leave_nothing_but_the_slides_own_inertia() {
        let mut model = release(0.3, 40.0);
        // The slide's acceleration at BDC is R·ω²·(1 + R/L).
        let inertia = model.mass * 0.1 * model.turning.powi(2) * (1.0 + 0.1 / 0.9);
        model.load.stock = vec![0.0; 5];
        model.load.springs = vec![0.0, 0.0, 5e3, 5e3, 9e3];
        let pull = model.largest_pull().expect("the model runs").in_press;
        assert!(pull.newtons() < inertia, "{pull:?} {inertia}");
    }

    #[test]
    fn a_vibration_too_fast_to_follow_is_said_so() {
        let mut model = release(0.3, 4.0);
        model.mass = 1e-6;
        assert_eq!(model.largest_pull(), Err(Missing::VibrationTooFast));
    }
}
