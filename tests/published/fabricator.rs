//! "Ask the Stamping Expert: How can I reduce blanking tonnage required", *The Fabricator*.

use crate::support::*;
use press_load::{
    Force, Length, Outline, Work, cutting::CutModel, press::Frame, tool_shear::ToolShear,
};

/// Eight equal rectangular punches take 43 tons at once, so 5.375 each (our division); stepped by the
/// thickness, that is all the press sees.
#[test]
fn eight_stepped_punches_take_an_eighth_of_their_sum() {
    // 12 gauge stainless; the length is chosen so that all eight take 43 US tons.
    let (thickness, shear) = (2.657, 460.0);
    let side = Force::from_us_tons_force(43.0).newtons() / (8.0 * thickness * shear) / 4.0;
    let die = |step: f64| -> Vec<_> {
        (0..8)
            .map(|i| {
                let square = Outline::Rectangle {
                    width: mm(side),
                    depth: mm(side),
                    corner_radius: Length::ZERO,
                };
                let entry = 30.0 - step * f64::from(i);
                let work = Work::Cut(cut(square, entry, ToolShear::Flat));
                station((100.0 * f64::from(i), 0.0), work)
            })
            .collect()
    };
    let sheet = stock(thickness, shear, 0.5);
    let at_once = peak_force(&die(0.0), &sheet, CutModel::Plateau);
    assert_close(at_once.us_tons_force(), 43.0, 1e-9);
    let stepped = peak_force(&die(thickness), &sheet, CutModel::Plateau);
    assert_close(stepped.us_tons_force(), 5.375, 1e-9);
}

/// Straight-side presses to at most 80 % of rating, C-frames to 60 to 70 %.
#[test]
fn default_near_shares_are_the_article_s() {
    assert_close(Frame::StraightSide.default_near_share(), 0.80, 1e-12);
    assert!((0.60..=0.70).contains(&Frame::GapFrame.default_near_share()));
}
