//! Operator's manual of a punching machine, B380EN03, p. 3-49: notes to the table of punching forces.

use crate::support::*;
use press_load::{
    Motion, Range, StripState, Work,
    cutting::{Cut, CutModel},
    tool_shear::ToolShear,
};

/// Tensile strength may run 12.5 % and thickness 18 % over nominal: the upper line carries both. With
/// 4 % more for tight clearance and all adverse factors together, only 70 % of the table is to be
/// used, which is a factor of 1.43.
#[test]
fn upper_line_multiplies_strength_and_thickness_over_nominal() {
    let mut sheet = stock(2.0, 300.0, 0.4);
    sheet.thickness_m = Range::new(2.0e-3 * 0.82, 2.0e-3 * 1.18);
    sheet.shear_pa = Range::new(300e6 * 0.875, 300e6 * 1.125);
    let hole = Work::Cut(cut(circle(20.0), 10.0, ToolShear::Flat));
    let stroke = stroke(&[station((0.0, 0.0), hole)], &sheet, CutModel::Plateau);
    let highest = |line: &press_load::stroke::StrokeLine| {
        line.total(StripState::Full, &Motion::NONE).force.into_iter().fold(0.0, f64::max)
    };
    let ratio = highest(&stroke.upper) / highest(&stroke.nominal);
    assert_close(ratio, 1.18 * 1.125, 1e-9);
    assert!(ratio * 1.04 < 1.0 / 0.7);
}

/// "10 % to 5 % of thickness raises the force by about 4 %": on the upper line. The nominal peak is
/// the force of the shear strength as it stands, at any clearance.
#[test]
fn tight_clearance_raises_the_upper_peak_by_the_four_per_cent_and_leaves_the_nominal_one() {
    let sheet = stock(2.0, 300.0, 0.4);
    let peaks = |clearance| {
        let hole =
            Cut { clearance_percent: Some(clearance), ..cut(circle(20.0), 10.0, ToolShear::Flat) };
        let stroke = stroke(&[station((0.0, 0.0), Work::Cut(hole))], &sheet, CutModel::Shaped);
        [&stroke.nominal, &stroke.upper].map(|line| {
            let total = line.total(StripState::Full, &Motion::NONE);
            total.force.into_iter().fold(0.0, f64::max)
        })
    };
    let ([nominal_tight, upper_tight], [nominal_wide, upper_wide]) = (peaks(5.0), peaks(10.0));
    assert_close(upper_tight / upper_wide, 1.04, 1e-9);
    assert_close(nominal_tight / nominal_wide, 1.0, 1e-9);
    assert_close(upper_wide / nominal_wide, 1.0, 1e-9);
}
