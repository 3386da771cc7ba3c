//! Hole punching chart on the drill size page of tommackieracing.ca, mild steel, US tons.

use crate::{INCH, KSI, support::*};
use press_load::tool_shear::ToolShear;

fn tons(diameter_in: f64, thickness_in: f64) -> f64 {
    let sheet = stock(thickness_in * INCH, 50.0 * KSI, 0.3);
    plateau_peak(circle(diameter_in * INCH), ToolShear::Flat, &sheet).us_tons_force()
}

/// 1/2 in hole in 1/4 in plate 9.8, 1 in hole in 1/2 in plate 39.4.
#[test]
fn charted_holes_take_the_printed_force() {
    assert_close(tons(0.5, 0.25), 9.8, 5e-3);
    assert_close(tons(1.0, 0.5), 39.4, 5e-3);
}

/// 1 1/2 in hole in 10 gauge (0.135 in): 25.9 printed for 15.9; 4 in hole in 3/8 in: 188.0 printed
/// for 117.8.
#[test]
fn misprinted_holes_take_the_right_force() {
    assert_close(tons(1.5, 0.135), 15.90, 1e-3);
    assert!(tons(1.5, 0.135) < 0.7 * 25.9);
    assert_close(tons(4.0, 0.375), 117.8, 1e-3);
    assert!(tons(4.0, 0.375) < 0.7 * 188.0);
}
