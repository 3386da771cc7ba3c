//! GATE examination papers in production and industrial engineering (India): the option that the
//! question offers as the right one.

use crate::support::*;
use press_load::tool_shear::ToolShear;

fn hole_kn(diameter: f64, thickness: f64, shear_mpa: f64) -> f64 {
    plateau_peak(circle(diameter), ToolShear::Flat, &stock(thickness, shear_mpa, 0.4)).kilonewtons()
}

/// 2003: hole 10 mm, t 2, 400 MPa: 25.13 kN. 2005: hole 25 mm, t 2.5, 350 MPa: 68.75 kN. 2006:
/// hole 10 mm, t 3, 420 MPa: 39.56 kN (with π = 3.14).
#[test]
fn holes_take_the_offered_force() {
    assert_close(hole_kn(10.0, 2.0, 400.0), 25.13, 2e-4);
    assert_close(hole_kn(25.0, 2.5, 350.0), 68.75, 1e-3);
    assert_close(hole_kn(10.0, 3.0, 420.0), 39.56, 1e-3);
}

/// 2004: hole 20 mm, t 2; tensile 580, yield 410, shear 350, shear yield 250 MPa: 43.98 kN. The
/// tensile strength would give 72.9 kN, which is not among the options.
#[test]
fn of_four_strengths_the_ultimate_shear_strength_counts() {
    let mut sheet = stock(2.0, 350.0, 0.4);
    sheet.tensile_pa = press_load::Range::exactly(580e6);
    sheet.yield_pa = Some(press_load::Range::exactly(410e6));
    let force = plateau_peak(circle(20.0), ToolShear::Flat, &sheet).kilonewtons();
    assert_close(force, 43.98, 1e-4);
}
