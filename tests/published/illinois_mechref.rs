//! University of Illinois, mechanics reference, "Sheet metal", <https://www.mechref.org/design/sheet_metal/>.

use crate::support::*;
use press_load::{Length, Outline, tool_shear::ToolShear};

/// Square hole 8 × 8 mm, t 2, tensile 500 MPa, 0.7·tensile: 22 400 N.
#[test]
fn square_hole_takes_perimeter_times_thickness_times_shear_strength() {
    let square = Outline::Rectangle { width: mm(8.0), depth: mm(8.0), corner_radius: Length::ZERO };
    let force = plateau_peak(square, ToolShear::Flat, &stock(2.0, 0.7 * 500.0, 0.4));
    assert_close(force.newtons(), 22_400.0, 1e-12);
}
