//! U. C. Jindal, *Machine Design*, ch. 19 "Flywheel".

use crate::support::*;
use press_load::{
    StrokeRate,
    cutting::CutModel,
    press::{EnergyRating, Running},
    tool_shear::ToolShear,
};

/// What a wheel gives between `1 + k/2` and `1 − k/2` of its mean speed.
fn given_joules(inertia_kgm2: f64, mean_rpm: f64, k: f64) -> f64 {
    let fastest = 1.0 + k / 2.0;
    let wheel = EnergyRating::Flywheel {
        inertia_kgm2,
        turns_per_second: mean_rpm / 60.0 * fastest,
        slowdown: k / fastest,
        single_slowdown: None,
        at: None,
    };
    wheel.usable_at(StrokeRate::from_per_minute(10.0), Running::Continuous).unwrap().joules()
}

/// Example 19-4, p. 532: hole 20 mm in 12 mm plate, 450 MPa: 339.29 kN, 2035.8 J by half force times
/// thickness; 9.047 kg·m² at 300 rpm with a fluctuation of 0.2 give 1785.8 J.
#[test]
fn hole_takes_the_printed_work_and_the_wheel_gives_five_sixths_of_it() {
    let sheet = stock(12.0, 450.0, 0.5);
    let force = plateau_peak(circle(20.0), ToolShear::Flat, &sheet);
    assert_close(force.kilonewtons(), 339.29, 1e-4);
    let hole = cut(circle(20.0), 20.0, ToolShear::Flat);
    assert_close(cut_work_joules(hole, &sheet, CutModel::Plateau), 2035.8, 1e-4);
    assert_close(given_joules(9.047, 300.0, 0.2), 1785.8, 1e-4);
}

/// Example 19-7, p. 535: 7.687 kg·m² at 1440 rpm with a fluctuation of 0.1 give 17.48 kJ.
#[test]
fn fast_wheel_gives_the_printed_energy() {
    assert_close(given_joules(7.687, 1440.0, 0.1), 17_480.0, 5e-4);
}
