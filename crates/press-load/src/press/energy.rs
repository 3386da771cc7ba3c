//! What the flywheel can give in one stroke, and how fast the motor makes up for it.

use crate::{Energy, Power, StrokeRate};
use std::f64::consts::TAU;

/// The energy rating of a flywheel press.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EnergyRating {
    /// Usable energy per stroke, as the maker's table gives it.
    Usable {
        /// Per stroke in continuous running.
        energy: Energy,
        /// Per stroke in single strokes, where the maker gives more; the same if not given.
        single: Option<Energy>,
        /// Strokes at which that holds; at the running speed if not given.
        at: Option<StrokeRate>,
    },
    /// From the flywheel itself: `½·I·ω²·(1 − (1 − s)²)`.
    Flywheel {
        /// Moment of inertia in kg·m².
        inertia_kgm2: f64,
        /// Flywheel speed in turns per second.
        turns_per_second: f64,
        /// Allowed slow-down s in one stroke of continuous running, a part of the speed.
        slowdown: f64,
        /// Allowed slow-down in single strokes; the same if not given.
        single_slowdown: Option<f64>,
        /// Strokes at which the flywheel has that speed; the running speed if not given.
        at: Option<StrokeRate>,
    },
}

/// How the strokes follow each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Running {
    /// One after the other without a stop.
    Continuous,
    /// Each is started by itself.
    Single {
        /// How many are started in a minute, where known.
        started: Option<StrokeRate>,
    },
}

impl EnergyRating {
    /// Usable energy at a running speed: it falls with the square of speed below the rated speed
    /// and is not taken to rise above it.
    ///
    /// # Source
    ///
    /// Half-speed, quarter-energy rule: P. Ulintz, "Press Energy and Deep Drawing", *MetalForming*,
    /// 1 Feb 2016. Slow-down form: energy given up for a speed drop s is 1 − (1 − s)² of the whole.
    /// That single strokes may take more out of the flywheel than continuous running: value from
    /// memory; the figures are the maker's.
    pub fn usable_at(self, speed: StrokeRate, running: Running) -> Option<Energy> {
        if !speed.is_positive() {
            return None;
        }
        let speed_share = self.rated_at().map_or(1.0, |at| (speed / at).min(1.0));
        Some(self.at_rated_speed(running) * speed_share.powi(2))
    }

    /// Whether a stroke of `work` can be made at any speed.
    pub fn does_for(self, work: Energy, running: Running) -> bool {
        work <= self.at_rated_speed(running)
    }

    /// The slowest speed at which a stroke of `work` can be made, or nothing if the rating does not
    /// say how energy goes with speed or gives too little at any.
    pub fn slowest_for(self, work: Energy, running: Running) -> Option<StrokeRate> {
        let share = work / self.at_rated_speed(running);
        let at = self.rated_at()?;
        self.does_for(work, running).then(|| at * share.sqrt())
    }

    const fn rated_at(self) -> Option<StrokeRate> {
        match self {
            Self::Usable { at, .. } | Self::Flywheel { at, .. } => at,
        }
    }

    fn at_rated_speed(self, running: Running) -> Energy {
        let is_single = matches!(running, Running::Single { .. });
        match self {
            Self::Usable { energy, single, .. } => single.filter(|_| is_single).unwrap_or(energy),
            Self::Flywheel {
                inertia_kgm2, turns_per_second, slowdown, single_slowdown, ..
            } => {
                let slowdown = single_slowdown.filter(|_| is_single).unwrap_or(slowdown);
                let omega = TAU * turns_per_second;
                let whole = 0.5 * inertia_kgm2 * omega * omega;
                Energy::from_joules(whole * (1.0 - (1.0 - slowdown).powi(2)))
            }
        }
    }
}

/// Most strokes per minute between which a motor makes up for `work`: `P·η/W`.
///
/// # Source
///
/// R. S. Khurmi, J. K. Gupta, *Theory of Machines*, 14th ed. (2009), ex. 16.19 (mean power is the work
/// of one operation over the time between two).
pub fn most_strokes(work: Energy, motor: Power, efficiency: f64) -> Option<StrokeRate> {
    let joules = work.joules();
    (joules > 0.0).then(|| StrokeRate::from_per_minute(60.0 * motor.watts() * efficiency / joules))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn spm(value: f64) -> StrokeRate {
        StrokeRate::from_per_minute(value)
    }

    #[test]
    fn half_speed_leaves_a_quarter_of_the_energy() {
        let rating = EnergyRating::Usable {
            energy: Energy::from_kilojoules(18.0),
            single: None,
            at: Some(spm(60.0)),
        };
        let at = |speed| rating.usable_at(spm(speed), Running::Continuous);
        assert_close(at(30.0).unwrap().kilojoules(), 4.5, 1e-12);
        assert_close(at(90.0).unwrap().kilojoules(), 18.0, 1e-12);
        assert_eq!(at(0.0), None);
    }

    /// 75 strokes instead of 150 is a quarter of the energy (P. Ulintz, "Press Energy and Deep
    /// Drawing", *MetalForming*, 1 Feb 2016), so work of a quarter can be done from 75 on.
    #[test]
    fn slowest_speed_is_where_the_energy_just_does() {
        let rating = EnergyRating::Usable {
            energy: Energy::from_kilojoules(8.0),
            single: Some(Energy::from_kilojoules(16.0)),
            at: Some(spm(150.0)),
        };
        let slowest = |kj, running| rating.slowest_for(Energy::from_kilojoules(kj), running);
        assert_close(slowest(2.0, Running::Continuous).unwrap().per_minute(), 75.0, 1e-12);
        let single = Running::Single { started: None };
        assert_close(slowest(4.0, single).unwrap().per_minute(), 75.0, 1e-12);
        assert_eq!(slowest(8.1, Running::Continuous), None);
        assert!(!rating.does_for(Energy::from_kilojoules(8.1), Running::Continuous));
        assert!(rating.does_for(Energy::from_kilojoules(8.1), single));
        let speed = slowest(3.0, Running::Continuous).unwrap();
        assert_close(
            rating.usable_at(speed, Running::Continuous).unwrap().kilojoules(),
            3.0,
            1e-12,
        );
    }

    /// 720 holes an hour of 15 kJ each need 3 kW (R. S. Khurmi, J. K. Gupta, *Theory of Machines*,
    /// 14th ed. (2009), ex. 16.19, p. 603), so 3 kW make good 12 strokes a minute.
    #[test]
    fn motor_makes_good_so_many_strokes() {
        let most = |work, efficiency| {
            most_strokes(Energy::from_kilojoules(work), Power::from_kilowatts(3.0), efficiency)
        };
        assert_close(most(15.0, 1.0).unwrap().per_minute(), 12.0, 1e-12);
        assert_close(most(15.0, 0.8).unwrap().per_minute(), 9.6, 1e-12);
        assert_eq!(most(0.0, 1.0), None);
    }

    /// A 10 % drop gives up 19 % of the stored energy, 15 % 27.75 %, 20 % 36 % (arithmetic of
    /// kinetic energy).
    #[test]
    fn slow_down_gives_up_one_minus_the_square_of_what_is_left() {
        for (slowdown, share) in [(0.10, 0.19), (0.15, 0.2775), (0.20, 0.36)] {
            let rating = EnergyRating::Flywheel {
                inertia_kgm2: 100.0,
                turns_per_second: 5.0,
                slowdown,
                single_slowdown: None,
                at: None,
            };
            let whole = 0.5 * 100.0 * (TAU * 5.0_f64).powi(2);
            assert_close(
                rating.usable_at(spm(40.0), Running::Continuous).unwrap().joules(),
                whole * share,
                1e-12,
            );
        }
    }
}
