//! What the flywheel can give in one stroke.

use crate::{Energy, StrokeRate};
use std::f64::consts::TAU;

/// The energy rating of a flywheel press.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EnergyRating {
    /// Usable energy per stroke, as the maker's table gives it.
    Usable {
        /// Per stroke.
        energy: Energy,
        /// Strokes at which that holds; at the running speed if not given.
        at: Option<StrokeRate>,
    },
    /// From the flywheel itself: `½·I·ω²·(1 − (1 − s)²)`.
    Flywheel {
        /// Moment of inertia in kg·m².
        inertia_kgm2: f64,
        /// Flywheel speed in turns per second.
        turns_per_second: f64,
        /// Allowed slow-down s in one stroke, a part of the speed.
        slowdown: f64,
        /// Strokes at which the flywheel has that speed; the running speed if not given.
        at: Option<StrokeRate>,
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
    pub fn usable_at(self, running: StrokeRate) -> Option<Energy> {
        if !running.is_positive() {
            return None;
        }
        let (energy, at) = match self {
            Self::Usable { energy, at } => (energy, at),
            Self::Flywheel { inertia_kgm2, turns_per_second, slowdown, at } => {
                let omega = TAU * turns_per_second;
                let whole = 0.5 * inertia_kgm2 * omega * omega;
                (Energy::from_joules(whole * (1.0 - (1.0 - slowdown).powi(2))), at)
            }
        };
        let speed_share = at.map_or(1.0, |at| (running / at).min(1.0));
        Some(energy * speed_share.powi(2))
    }
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
        let rating =
            EnergyRating::Usable { energy: Energy::from_kilojoules(18.0), at: Some(spm(60.0)) };
        assert_close(rating.usable_at(spm(30.0)).unwrap().kilojoules(), 4.5, 1e-12);
        assert_close(rating.usable_at(spm(90.0)).unwrap().kilojoules(), 18.0, 1e-12);
        assert_eq!(rating.usable_at(spm(0.0)), None);
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
                at: None,
            };
            let whole = 0.5 * 100.0 * (TAU * 5.0_f64).powi(2);
            assert_close(rating.usable_at(spm(40.0)).unwrap().joules(), whole * share, 1e-12);
        }
    }
}
