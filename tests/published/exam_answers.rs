//! Answered examination questions on blanking and punching: sarthaks.com no. 2800042, byjus.com "10
//! mm diameter holes are to be punched in a steel sheet of 3 mm" and "A hole of 50 mm diameter is to
//! be punched on a 2 mm thick"; studyadda.com, question bank "Metal forming" no. 27; vkd-studio.ru,
//! "Solution to problem 115: shear stress".

use crate::support::*;
use press_load::{cutting::CutModel, tool_shear::ToolShear};
use std::f64::consts::PI;

/// Hole 10 mm, t 3, 400 MPa, penetration 0.4, shear 2 mm: 22.6 kN by `F₀·K·t/s`, F₀ = 37.70 kN.
///
/// The form holds for a straight edge, where ours equals it.
#[test]
fn straight_edge_with_tool_shear_takes_the_printed_force() {
    let sheet = stock(3.0, 400.0, 0.4);
    let edge = || path(&[(0.0, 0.0), (PI * 10.0, 0.0)], false);
    let flat = plateau_peak(edge(), ToolShear::Flat, &sheet);
    assert_close(flat.kilonewtons(), 37.70, 1e-4);
    let sheared = plateau_peak(edge(), slope(2.0, 0.0), &sheet);
    assert_close(sheared.kilonewtons(), 22.62, 1e-4);
    assert_close(sheared.kilonewtons(), 22.6, 1e-3);
    // The mean over the travel, F₀·K·t/(K·t + s) = 14.14 kN, is taught as the peak as well.
    let work = cut_work_joules(cut(edge(), 10.0, slope(2.0, 0.0)), &sheet, CutModel::Plateau);
    assert_close(work / (1.2 + 2.0), 14.14, 1e-3);
    assert!(sheared.kilonewtons() > 1.5 * 14.14);
}

/// The same question, worked with the round punch it asks for: 1.2 mm of 2 mm hold
/// `acos(1 − 2·0.6)/π` = 0.564 of a circle at its end and less elsewhere (our geometry), so the
/// peak is 21.26 kN, neither 22.62 nor 14.14.
#[test]
fn round_punch_with_tool_shear_differs_from_the_straight_edge_form() {
    let sheet = stock(3.0, 400.0, 0.4);
    let peak = plateau_peak(circle(10.0), slope(2.0, 0.0), &sheet);
    assert_close(peak.kilonewtons(), 37.699 * (1.0_f64 - 1.2).acos() / PI, 1e-5);
    assert_close(peak.kilonewtons(), 21.26, 1e-3);
}

/// Below the penetration `F₀·K·t/s` exceeds the flat tool's force and has to be capped at it.
#[test]
fn shallow_tool_shear_leaves_the_flat_force() {
    let sheet = stock(3.0, 400.0, 0.4);
    let edge = || path(&[(0.0, 0.0), (PI * 10.0, 0.0)], false);
    for depth in [0.1, 0.6, 1.2] {
        let sheared = plateau_peak(edge(), slope(depth, 0.0), &sheet);
        assert_close(sheared.kilonewtons(), 37.70, 1e-4);
    }
}

/// Hole 50 mm, t 2, 3100 MPa as printed (ten times steel, arithmetic only), penetration 0.5: 973.89 J.
#[test]
fn work_of_the_constant_force_is_force_times_penetration() {
    let hole = cut(circle(50.0), 10.0, ToolShear::Flat);
    let work = cut_work_joules(hole, &stock(2.0, 3100.0, 0.5), CutModel::Plateau);
    assert_close(work, 973.89, 1e-5);
}

/// Studyadda: hole 20 mm, t 1.5, 300 MPa: 28.3 kN.
#[test]
fn hole_of_twenty_millimetres_takes_the_printed_force() {
    let force = plateau_peak(circle(20.0), ToolShear::Flat, &stock(1.5, 300.0, 0.4));
    assert_close(force.kilonewtons(), 28.3, 1e-3);
}

/// "Problem 115": hole 20 mm in plate of 25 mm, 350 MPa: 549.8 kN. Thicker than the punch is wide, so
/// its punch stands 1750 MPa.
#[test]
fn hole_in_plate_thicker_than_its_diameter_takes_the_printed_force() {
    let stock = stock(25.0, 350.0, 0.4);
    let force = plateau_peak(circle(20.0), ToolShear::Flat, &stock);
    assert_close(force.kilonewtons(), 549.8, 1e-4);
    let sheet = stock.sheet(press_load::Line::Nominal).unwrap();
    let stress = cut(circle(20.0), 50.0, ToolShear::Flat).punch_stress(&sheet, 1.0).unwrap();
    assert_close(stress.megapascals(), 4.0 * 25.0 * 350.0 / 20.0, 1e-9);
}
