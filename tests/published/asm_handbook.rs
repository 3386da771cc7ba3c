//! *ASM Handbook* vol. 14, *Forming and Forging*, chapter on forging machines, p. 51.

use crate::{INCH, support::*};
use press_load::press::{Crank, Drive};

/// A rod so long that it stays upright, as the handbook's formulas take it.
const NO_ROD_MM: f64 = 1e9;

/// "Most makers rate at 1/2 in above the bottom": with strokes of 50, 100 and 200 mm that is 60.5°,
/// 41.8° and 29.2° of crank before the bottom (our arithmetic, rod left out).
#[test]
fn half_an_inch_above_bottom_is_a_smaller_angle_in_a_longer_stroke() {
    for (stroke, angle_deg) in [(50.0, 60.5), (100.0, 41.8), (200.0, 29.2)] {
        let crank = Crank::new(mm(stroke), mm(NO_ROD_MM)).unwrap();
        let angle = crank.angle_at(mm(0.5 * INCH)).to_degrees();
        assert_close(angle, angle_deg, 2e-3);
    }
}

/// Constant torque: slide load `M/(r·sin α)` "to close approximation", growing towards the bottom, so
/// that the frame bounds it below the rating height.
#[test]
fn available_force_is_torque_over_lever_and_capped_by_the_frame() {
    let rated = kn(1000.0);
    let drive = Drive::crank(mm(200.0), Some(mm(NO_ROD_MM)), Some(mm(0.5 * INCH))).unwrap();
    // sin α at the rating height and at half the stroke, where it is 1.
    let sin_rated = (1.0 - (1.0_f64 - 0.5 * INCH / 100.0).powi(2)).sqrt();
    let at_half = drive.available_force(mm(100.0), rated).unwrap();
    assert_close(at_half / rated, sin_rated, 1e-6);
    assert_eq!(drive.available_force(mm(0.5 * INCH), rated), Some(rated));
    assert_eq!(drive.available_force(mm(0.1), rated), Some(rated));
}
