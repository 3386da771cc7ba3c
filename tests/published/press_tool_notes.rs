//! "Press-tool Calculation", press-tool training notes (scribd.com document 541728896).

use crate::support::*;
use press_load::{
    LimitId, Outline, Work, check,
    cutting::{Cut, CutModel},
    press::Press,
    stripping::DEFAULT_STRIP_FACTOR,
    tool_shear::ToolShear,
};

/// Brass part, cut length 126 mm, t 2, 400 MPa (high for brass, arithmetic only): 100.8 kN, and 20 %
/// for stripping makes 120.96 kN. Stripping pulls on the way up: it is no part of our peak.
#[test]
fn stripping_pulls_on_the_way_up_and_does_not_add_to_the_peak() {
    let edge = Outline::LengthOnly(mm(126.0));
    let part = Cut { strip_factor: 0.2, ..cut(edge, 10.0, ToolShear::Flat) };
    let stations = [station((0.0, 0.0), Work::Cut(part))];
    let stroke = stroke(&stations, &stock(2.0, 400.0, 0.4), CutModel::Plateau);
    let press = Press { rated_force: Some(kn(200.0)), ..bare_press() };
    let checked = check(&press, &bare_die(), &stations, &stroke, None);
    let peak = checked.peak.unwrap().force;
    assert_close(peak.kilonewtons(), 100.8, 1e-9);
    assert_close(checked.stripping.kilonewtons(), 120.96 - 100.8, 1e-9);
    let demand = checked.limit(LimitId::StrippingLoad).outcome.unwrap().demand;
    assert_close(demand, 20.16, 1e-9);
}

/// Another page of the same notes strips with `L·t·τ/10`: half of it. The default is this one.
#[test]
fn default_strip_factor_is_a_tenth() {
    assert_close(DEFAULT_STRIP_FACTOR, 0.1, 1e-12);
}

/// Dull edges raise the cutting force by 15 to 30 %: the upper line takes the factor, the nominal line
/// stays sharp.
#[test]
fn dull_edges_raise_the_upper_line_by_their_factor() {
    for wear_factor in [1.15, 1.30] {
        let part =
            Cut { wear_factor, ..cut(Outline::LengthOnly(mm(126.0)), 10.0, ToolShear::Flat) };
        let stations = [station((0.0, 0.0), Work::Cut(part))];
        let stroke = stroke(&stations, &stock(2.0, 400.0, 0.4), CutModel::Plateau);
        let checked = check(&bare_press(), &bare_die(), &stations, &stroke, None);
        let (sharp, dull) = (checked.peak.unwrap().force, checked.peak_upper.unwrap().force);
        assert_close(sharp.kilonewtons(), 100.8, 1e-9);
        assert_close(dull / sharp, wear_factor, 1e-9);
    }
}
