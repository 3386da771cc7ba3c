//! Tightening: what a screw holds for the torque on its wrench, and what a strap clamp makes of it.

use crate::{Force, InputError, Length, Moment, error::positive, error::positive_length};

/// Friction factor K of a dry steel screw where none is given: R. G. Budynas, J. K. Nisbett, *Shigley's
/// Mechanical Engineering Design*, table of torque factors, 0.20 where the condition is not stated,
/// 0.12 with anti-seize to 0.30 with a black finish (value from memory). Greased screws hold more for
/// the same torque, so that a torque from this figure may overstrain them.
pub const DEFAULT_FRICTION_FACTOR: f64 = 0.20;

/// Tension in a screw of nominal `diameter` tightened with `torque`: `F = T / (K·d)`.
///
/// K lumps friction in thread and head; it scatters by a quarter and more, so that the force is a
/// figure to plan with, not one to rely on.
///
/// # Errors
///
/// [`InputError::LengthNotPositive`], [`InputError::NotPositive`] for a diameter, factor or torque that
/// is not positive.
///
/// # Source
///
/// *Shigley's Mechanical Engineering Design*, torque equation of bolted joints (value from memory).
pub fn screw_force(torque: Moment, diameter: Length, factor: f64) -> Result<Force, InputError> {
    positive("tightening torque", torque.newton_metres())?;
    positive_length("screw diameter", diameter)?;
    positive("friction factor", factor)?;
    Ok(Force::from_newtons(torque.newton_metres() / (factor * diameter.metres())))
}

/// Torque that tightens a screw of `diameter` to `force`: `T = K·F·d`.
pub fn torque_for(force: Force, diameter: Length, factor: f64) -> Moment {
    Moment::from_newton_metres(force.newtons() * factor * diameter.metres())
}

/// What a strap clamp presses on the die with: the screw's force times `share`, the distance from screw
/// to heel block over that from die to heel block (lever about the heel block).
pub fn strap_force(screw: Force, share: f64) -> Force {
    screw * share
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    /// *Shigley's Mechanical Engineering Design*, example 8-3: a ¾ in screw to a preload of 25 kip takes
    /// 0.2 · 25 000 · 0.75 = 3750 lbf·in (value from memory).
    #[test]
    fn torque_of_a_three_quarter_inch_screw_to_25_kip() {
        let (pound_force, inch) = (4.448_221_615_260_5, 25.4);
        let torque = Moment::from_newton_metres(3750.0 * pound_force * inch * 1e-3);
        let diameter = Length::from_millimetres(0.75 * inch);
        let force = screw_force(torque, diameter, 0.2).expect("a screw");
        assert_close(force.newtons(), 25_000.0 * pound_force, 1e-12);
        let back = torque_for(force, diameter, 0.2);
        assert_close(back.newton_metres(), torque.newton_metres(), 1e-12);
    }

    /// Lever about the heel block: a screw in the middle presses the die with half its force.
    #[test]
    fn strap_clamp_with_the_screw_in_the_middle_holds_half() {
        let held = strap_force(Force::from_kilonewtons(40.0), 0.5);
        assert_close(held.kilonewtons(), 20.0, 1e-12);
    }

    #[test]
    fn screw_without_size_or_torque_is_refused() {
        let (torque, size) = (Moment::from_newton_metres(100.0), Length::from_millimetres(16.0));
        assert!(screw_force(Moment::ZERO, size, 0.2).is_err());
        assert!(screw_force(torque, Length::ZERO, 0.2).is_err());
        assert!(screw_force(torque, size, 0.0).is_err());
    }
}
