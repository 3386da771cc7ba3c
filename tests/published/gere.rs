//! J. M. Gere, *Mechanics of Materials*, example 1.4, p. 35.

use crate::support::*;
use press_load::tool_shear::ToolShear;

/// Punch 20 mm, plate 8 mm, 110 kN: average shear stress 218.84 MPa, read backwards.
#[test]
fn hole_at_the_printed_shear_stress_takes_the_given_force() {
    let force = plateau_peak(circle(20.0), ToolShear::Flat, &stock(8.0, 218.84, 0.3));
    assert_close(force.kilonewtons(), 110.0, 1e-4);
}
