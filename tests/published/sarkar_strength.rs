//! B. K. Sarkar, *Strength of Materials*, problem 3.4, p. 55.

use crate::support::*;
use press_load::tool_shear::ToolShear;

/// Hole 10 mm, 4 mm mild steel, 320 MPa: 40 212.39 N.
#[test]
fn hole_in_mild_steel_takes_the_printed_force() {
    let force = plateau_peak(circle(10.0), ToolShear::Flat, &stock(4.0, 320.0, 0.3));
    assert_close(force.newtons(), 40_212.39, 1e-6);
}
