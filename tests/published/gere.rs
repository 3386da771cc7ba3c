//! J. M. Gere, *Mechanics of Materials*, example 1.4, p. 35.

use crate::support::*;
use press_load::{Line, tool_shear::ToolShear};

/// Punch 20 mm, plate 8 mm, 110 kN: average shear stress 218.84 MPa, pressure on the
/// punch 350.14 MPa, read backwards.
#[test]
fn hole_at_the_printed_shear_stress_takes_the_given_force() {
    let stock = stock(8.0, 218.84, 0.3);
    let force = plateau_peak(circle(20.0), ToolShear::Flat, &stock);
    assert_close(force.kilonewtons(), 110.0, 1e-4);
    let sheet = stock.sheet(Line::Nominal).unwrap();
    let stress = cut(circle(20.0), 20.0, ToolShear::Flat).punch_stress(&sheet, 1.0).unwrap();
    assert_close(stress.megapascals(), 350.14, 1e-4);
}
