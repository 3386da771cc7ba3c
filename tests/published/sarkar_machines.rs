//! B. K. Sarkar, *Theory of Machines*, ch. 5 and 6.

use crate::support::*;
use press_load::{
    StrokeRate,
    press::{Crank, EnergyRating, Running},
};
use std::f64::consts::TAU;

/// Example 5.1, p. 160: crank 0.3 m, rod 1 m, 200 rpm: prints 7.0 m/s at 74.96°, from sin 2θ divided
/// by n instead of 2n. The right value is 6.56 m/s (6.54 by the first-order series).
#[test]
fn slide_speed_is_not_the_one_with_the_whole_second_harmonic() {
    let crank = Crank::new(mm(600.0), mm(1000.0)).unwrap();
    let v = 200.0 / 60.0 * TAU * crank.lever_at(74.96_f64.to_radians()).metres();
    assert_close(v, 6.56, 1e-3);
    assert!(v < 0.95 * 7.0);
}

/// The same slip with crank 0.3 m, rod 1.5 m, 180 rpm, 40°: prints 4.4 m/s, right is 4.196.
#[test]
fn slide_speed_with_a_longer_rod_is_not_the_misprinted_one() {
    let crank = Crank::new(mm(600.0), mm(1500.0)).unwrap();
    let v = 180.0 / 60.0 * TAU * crank.lever_at(40.0_f64.to_radians()).metres();
    assert_close(v, 4.196, 2e-4);
    assert!(v < 0.96 * 4.4);
}

/// Example 5.3, p. 161: 45°, crank 0.25 m, rod four times as long, 60 447 N: 12 604 N·m (with
/// π = 3.141). At 45° the slip above does not show.
#[test]
fn crank_torque_at_forty_five_degrees_is_the_printed_one() {
    let crank = Crank::new(mm(500.0), mm(1000.0)).unwrap();
    assert_close(60_447.0 * crank.lever_at(45.0_f64.to_radians()).metres(), 12_604.0, 1e-3);
}

/// Example 6.2, p. 176: 618.2 kg at 0.5 m give 9000 J from 225 to 200 rpm.
#[test]
fn flywheel_of_the_printed_mass_gives_the_energy_of_a_hole() {
    let wheel = EnergyRating::Flywheel {
        inertia_kgm2: 618.2 * 0.25,
        turns_per_second: 225.0 / 60.0,
        slowdown: 1.0 - 200.0 / 225.0,
        single_slowdown: None,
        at: None,
    };
    let given = wheel.usable_at(StrokeRate::from_per_minute(12.0), Running::Continuous).unwrap();
    assert_close(given.joules(), 9000.0, 1e-3);
}
