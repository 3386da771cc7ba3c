//! D. Morales Palma, University of Seville, teaching notebooks "manufacturing technology" and "sheet
//! metal forming" with solved examination papers.

use crate::support::*;
use press_load::{
    Force, Work,
    bending::{Bend, BendKind},
    cutting::CutModel,
    tool_shear::ToolShear,
};

/// Blade of the solved example: aluminium, tensile 220 MPa, K₁ 0.7, t 1.6, length 50 mm. The whole
/// thickness counts as penetration.
fn sheet() -> press_load::Stock {
    stock(1.6, 0.7 * 220.0, 1.0)
}

fn blade(angle_deg: f64) -> press_load::cutting::Cut {
    let depth = 50.0 * angle_deg.to_radians().tan();
    cut(path(&[(0.0, 0.0), (50.0, 0.0)], false), 30.0, slope(depth, 0.0))
}

fn blade_force(angle_deg: f64) -> Force {
    peak_force(&[station((0.0, 0.0), Work::Cut(blade(angle_deg)))], &sheet(), CutModel::Plateau)
}

/// Flat 12 320 N; at 10° 2236 N by `K₁·Rm·t²/tan α`, 82 % less.
#[test]
fn inclined_blade_takes_the_printed_force() {
    let flat = plateau_peak(path(&[(0.0, 0.0), (50.0, 0.0)], false), ToolShear::Flat, &sheet());
    assert_close(flat.newtons(), 12_320.0, 1e-9);
    let inclined = blade_force(10.0);
    assert_close(inclined.newtons(), 2236.0, 2e-4);
    assert_close(1.0 - inclined / flat, 0.82, 2e-3);
}

/// "The flat value while tan α < t/L", that is below 1.83°.
#[test]
fn blade_at_a_small_angle_takes_the_flat_force() {
    for angle in [0.2, 1.0, 1.83] {
        assert_close(blade_force(angle).newtons(), 12_320.0, 1e-6);
    }
    assert!(blade_force(1.9).newtons() < 12_320.0 * 0.97);
}

/// Force times stroke is the same for every angle: K₁·Rm·t²·L = 19.712 J.
#[test]
fn work_of_an_inclined_blade_does_not_depend_on_its_angle() {
    for angle in [0.5, 2.0, 10.0] {
        assert_close(cut_work_joules(blade(angle), &sheet(), CutModel::Plateau), 19.712, 1e-9);
    }
}

/// Examination of 8 June 2015: V-bend, width 40, t 1.6, tensile 220 MPa, opening 20, k 1.33: 1498.1 N.
#[test]
fn v_bend_of_the_examination_takes_its_force_with_the_default_factor() {
    let bend = Bend {
        kind: BendKind::V { opening: mm(20.0) },
        length: mm(40.0),
        entry: mm(15.0),
        factor: None,
        pad: Force::ZERO,
        bottoming: None,
    };
    let stations = [station((0.0, 0.0), Work::Bend(bend))];
    let force = peak_force(&stations, &tensile_stock(1.6, 220.0), CutModel::Plateau);
    assert_close(force.newtons(), 1498.1, 1e-4);
}

/// Wiping: k 0.33 with W = punch radius + gap + die radius.
#[test]
fn wipe_bend_takes_a_third_of_strength_times_section_over_the_lever() {
    let bend = Bend {
        kind: BendKind::Wipe { punch_radius: mm(3.0), die_radius: mm(4.0), gap: mm(2.0) },
        length: mm(80.0),
        entry: mm(14.0),
        factor: None,
        pad: Force::ZERO,
        bottoming: None,
    };
    let stations = [station((0.0, 0.0), Work::Bend(bend))];
    let force = peak_force(&stations, &tensile_stock(2.0, 300.0), CutModel::Plateau);
    assert_close(force.newtons(), 0.33 * 300.0 * 80.0 * 4.0 / (3.0 + 2.0 + 4.0), 1e-9);
}

/// W = K₂·F·t with K₂ 0.35 for hard and 0.5 for soft sheet: the shaped curve of mild steel with its slug
/// pushed out at 6 % clearance lies between.
#[test]
fn work_of_a_hole_lies_between_the_rules_for_hard_and_soft_sheet() {
    let hole = press_load::cutting::Cut {
        clearance_percent: Some(6.0),
        ..cut(circle(20.0), 20.0, ToolShear::Flat)
    };
    let stock = stock(2.0, 300.0, 0.4);
    let flat = plateau_peak(circle(20.0), ToolShear::Flat, &stock).newtons();
    let part = cut_work_joules(hole, &stock, CutModel::Shaped) / (flat * 2e-3);
    assert!((0.35..=0.5).contains(&part), "{part}");
}
