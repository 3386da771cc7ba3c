//! A. Ghosh, A. K. Mallik, *Manufacturing Science*, 2nd ed., ch. 3.

use crate::support::*;
use press_load::{cutting::CutModel, tool_shear::ToolShear};
use std::f64::consts::PI;

/// Problem 12, p. 149: 50 mm diameter, 3 mm, force 108.9 kN, penetration 0.8858 mm; work by half
/// force times penetration 48.10 J (45.74 J printed, with a penetration of 0.84 mm).
///
/// A triangle over the penetration is half of the handbook's constant force over it, and well below
/// the measured 0.25 to 0.35 of force times thickness (Keller's tests, Dinglers Polytechnisches
/// Journal 298 (1895) 145–148): we give neither 45.74 nor 48.10 J.
#[test]
fn work_of_a_blank_is_not_half_force_times_penetration() {
    let shear_mpa = 108.9e3 / (PI * 50.0 * 3.0);
    let sheet = stock(3.0, shear_mpa, 0.8858 / 3.0);
    let blank = || cut(circle(50.0), 10.0, ToolShear::Flat);
    let constant = cut_work_joules(blank(), &sheet, CutModel::Plateau);
    assert_close(constant, 2.0 * 48.10, 5e-3);

    let no_slug = press_load::cutting::Cut { clearance_percent: Some(10.0), ..blank() };
    let shaped = cut_work_joules(no_slug, &sheet, CutModel::Shaped) / (108.9 * 3.0);
    assert!((0.25..=0.35).contains(&shaped), "{shaped}");
}
