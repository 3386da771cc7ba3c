//! Example 7.1 of a textbook companion, consistent with S. Kalpakjian, S. R. Schmid, *Manufacturing
//! Processes for Engineering Materials*, ch. 7.

use crate::support::*;
use press_load::tool_shear::ToolShear;

/// Example 7.1: hole 30 mm in 3 mm, tensile 1000 MPa, force 0.7·tensile·t·L: 0.197 MN (truncated).
#[test]
fn hole_in_strong_sheet_takes_the_printed_force() {
    let force = plateau_peak(circle(30.0), ToolShear::Flat, &stock(3.0, 0.7 * 1000.0, 0.3));
    assert_close(force.kilonewtons(), 197.92, 1e-4);
    assert_close(force.kilonewtons(), 197.0, 5e-3);
}
