//! Snap-through: the press is a spring that lets go when the cut breaks through.
//!
//! One mass m (slide and upper die) hangs on the drive by the stiffness k of the whole press, damped
//! by a share ζ of critical; the drive moves it down as it turns, the die pushes it up:
//!
//! `m·ÿ = F(y) − k·(y − h) − 2ζ√(km)·(ẏ − ḣ)`, with y the height of the slide, h that of the drive.
//!
//! The pull in the press after the cut breaks through is the reverse load. What the die's stock
//! pushes depends on the deepest point reached so far: where the slide springs back, stock lets go
//! within [`LET_GO`].
//!
//! **This is an estimate.** No published formula gives the absolute value; it compares variants of a
//! die, and readings correct it. The slide is one mass, gravity is borne by the counterbalance.

use crate::{
    Force, Length, Line, Mass, Missing, Motion, StripState, Stroke,
    press::{Press, SlideMotion},
};
use ode_solvers::{Rk4, System, Vector2};
use std::f64::consts::{PI, TAU};

/// Damping where none is given, as a share of critical. With it a sudden release comes back with
/// exp(−πζ/√(1−ζ²)) = 0.37 of what was let go, which with the slug's tail lands in the "10–30 % of the
/// forward peak on mild steel" that is commonly reported (value from memory).
pub const DEFAULT_DAMPING_SHARE: f64 = 0.3;
/// Travel in which worked stock lets go when the slide springs back, in metres (common practice, no
/// source: the elastic recovery of sheet is of this order).
const LET_GO: f64 = 1e-5;
/// Steps for one period of the free vibration. Halving the step moves the result by under 1 %.
const STEPS_PER_PERIOD: f64 = 100.0;
/// Most steps; a vibration that needs more is not that of a press.
const MOST_STEPS: f64 = 60_000.0;
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
        let stiffness = press.stiffness.ok_or(Missing::Stiffness)?;
        let upper_mass = upper_mass.map_or(0.0, Mass::kilograms);
        let mass = press.slide_mass.ok_or(Missing::SlideMass)?.kilograms() + upper_mass;
        let rate = press.speed.ok_or(Missing::Speed)?;
        let motion = press.drive.motion().ok_or(Missing::Kinematics)?;
        let model = |line| Model {
            motion: motion.clone(),
            turning: TAU * rate.per_second(),
            mass,
            upper_mass,
            stiffness: stiffness.newtons_per_metre(),
            damping_share: press.damping_share.unwrap_or(DEFAULT_DAMPING_SHARE),
            load: DieLoad::of(stroke, line),
        };
        let nominal = model(Line::Nominal).largest_pull()?;
        let upper = model(Line::Upper).largest_pull()?;
        Ok(Self {
            nominal: nominal.in_press,
            upper: upper.in_press,
            upper_at: upper.at,
            on_upper_die: upper.on_upper_die,
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
        Self { heights, stock, springs }
    }

    /// Force of stock and of springs at a height; below BDC as at BDC.
    fn at(&self, height: f64) -> (f64, f64) {
        let below = self.heights.partition_point(|&row| row > height);
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

/// The model as it runs: where it started, how deep it has been, the largest pull so far.
struct Run<'a> {
    model: &'a Model,
    start_angle: f64,
    deepest: f64,
    pull: f64,
    pull_at: f64,
    on_upper_die: f64,
}

impl Model {
    /// The largest pull in the press and the slide height there.
    fn largest_pull(&self) -> Result<Pull, Missing> {
        self.largest_pull_in_steps(STEPS_PER_PERIOD)
    }

    fn largest_pull_in_steps(&self, steps_per_period: f64) -> Result<Pull, Missing> {
        let Some(touch) = self.load.first_touch() else {
            return Ok(Pull::default());
        };
        let period = TAU * (self.mass / self.stiffness).sqrt();
        let start_angle = self.motion.angle_at(Length::from_metres(touch));
        let end = start_angle / self.turning + PERIODS_AFTER * period;
        let step = period / steps_per_period;
        if !(end / step <= MOST_STEPS) {
            return Err(Missing::VibrationTooFast);
        }
        let mut run = Run {
            model: self,
            start_angle,
            deepest: touch,
            pull: 0.0,
            pull_at: touch,
            on_upper_die: 0.0,
        };
        let (height, speed) = run.drive(0.0);
        let start = Vector2::new(height, speed);
        // The solver takes the system by value and keeps what it found; the run is reached through
        // a borrow.
        let mut solver = Rk4::new(&mut run, 0.0, start, end, step);
        if solver.integrate().is_err() {
            return Err(Missing::VibrationTooFast);
        }
        drop(solver);
        Ok(Pull {
            in_press: Force::from_newtons(run.pull),
            at: Length::from_metres(run.pull_at.max(0.0)),
            on_upper_die: Force::from_newtons(run.on_upper_die),
        })
    }
}

impl Run<'_> {
    /// Height and speed of the drive at a time since the start.
    fn drive(&self, time: f64) -> (f64, f64) {
        let angle = self.start_angle - self.model.turning * time;
        let height = self.model.motion.height_at(angle).metres();
        let speed = -self.model.turning * self.model.motion.lever_at(angle).metres();
        (height, speed)
    }

    /// Force in the press, compression positive.
    fn press_force(&self, time: f64, state: &Vector2<f64>) -> f64 {
        let (height, speed) = self.drive(time);
        let model = self.model;
        let damping = 2.0 * model.damping_share * (model.stiffness * model.mass).sqrt();
        model.stiffness * (state[0] - height) + damping * (state[1] - speed)
    }
}

impl Run<'_> {
    /// What stock and springs push at a slide height.
    fn die_force(&self, height: f64) -> f64 {
        let (stock, springs) = self.model.load.at(height);
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
        // What strain gauges on the frame see: the stretch, without the damper.
        let pull = self.model.stiffness * (self.drive(time).0 - state[0]);
        if pull > self.pull {
            self.pull = pull;
            self.pull_at = state[0];
        }
        let pushed = self.die_force(state[0]);
        let acceleration = (pushed - self.press_force(time, state)) / self.model.mass;
        self.on_upper_die = self.on_upper_die.max(self.model.upper_mass * acceleration - pushed);
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

    /// Halving the step moves the result by under 1 %.
    #[test]
    fn result_does_not_hang_on_the_step() {
        let model = release(0.2, 40.0);
        let pull = model.largest_pull_in_steps(STEPS_PER_PERIOD).expect("it runs").in_press;
        let finer = model.largest_pull_in_steps(2.0 * STEPS_PER_PERIOD).expect("it runs").in_press;
        assert_close(pull.newtons(), finer.newtons(), 0.01);
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
