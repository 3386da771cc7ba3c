//! M. P. Groover, *Fundamentals of Modern Manufacturing*, ch. "Sheet metalworking". Inputs and
//! results are values from memory.

use crate::support::*;
use press_load::{
    Force, Work,
    bending::{Bend, BendKind},
    cutting::CutModel,
    tool_shear::ToolShear,
};

/// Disk 150 mm from 3.2 mm steel, 310 MPa: 467.5 kN (value from memory).
#[test]
fn disk_takes_the_printed_force() {
    let force = plateau_peak(circle(150.0), ToolShear::Flat, &stock(3.2, 310.0, 0.3));
    assert_close(force.kilonewtons(), 467.5, 1e-4);
}

/// V-bend, factor 1.33, width 44.5, t 3.2, tensile 450 MPa, opening 25: 10 909 N (value from memory).
#[test]
fn v_bend_takes_the_printed_force_with_the_default_factor() {
    let bend = Bend {
        kind: BendKind::V { opening: mm(25.0) },
        length: mm(44.5),
        entry: mm(20.0),
        factor: None,
        pad: Force::ZERO,
        bottoming: None,
    };
    let stations = [station((0.0, 0.0), Work::Bend(bend))];
    let force = peak_force(&stations, &tensile_stock(3.2, 450.0), CutModel::Plateau);
    assert_close(force.newtons(), 10_909.0, 1e-4);
}
