//! Roper Whitney, tonnage reference chart, and the handbook chart of tons per inch of cut in mild steel
//! that it shares with metalguides.tripod.com. Tons are US tons.

use crate::{INCH, KSI, support::*};
use press_load::{Length, Outline, Stock, tool_shear::ToolShear};

fn inch_stock(thickness_in: f64, shear_ksi: f64) -> Stock {
    stock(thickness_in * INCH, shear_ksi * KSI, 0.3)
}

/// 1/4 in hole in 10 gauge (0.1345 in) A36 at 60 ksi: 3.2 tons.
#[test]
fn quarter_inch_hole_takes_the_printed_force() {
    let sheet = inch_stock(0.1345, 60.0);
    let force = plateau_peak(circle(0.25 * INCH), ToolShear::Flat, &sheet);
    assert_close(force.us_tons_force(), 3.2, 1.1e-2);
}

/// 1 × 2 in hole in 20 gauge (0.036 in): 6.06 tons by 1.01 tons an inch, but 50 ksi gives 0.90 an
/// inch and 5.40 tons.
#[test]
fn rectangular_hole_takes_length_times_thickness_times_strength_not_the_rounded_table() {
    let hole =
        Outline::Rectangle { width: mm(INCH), depth: mm(2.0 * INCH), corner_radius: Length::ZERO };
    let force = plateau_peak(hole, ToolShear::Flat, &inch_stock(0.036, 50.0)).us_tons_force();
    assert_close(force, 5.40, 1e-3);
    assert_close(6.06 / force, 1.12, 5e-3);
}

/// The handbook chart at 50 ksi: thickness in inches, tons per inch printed and right. Thin gauges
/// are 4 to 17 % high, but 3/16 in is 9 % low: a chart that is not safe everywhere.
#[test]
fn handbook_chart_is_nine_per_cent_low_at_three_sixteenths() {
    let rows = [
        (0.036, 1.01, 0.90),
        (0.048, 1.25, 1.20),
        (0.060, 1.75, 1.50),
        (0.090, 2.50, 2.25),
        (0.120, 3.25, 3.00),
        (0.1875, 4.25, 4.69),
        (0.25, 6.25, 6.25),
        (0.3125, 8.00, 7.81),
        (0.375, 9.50, 9.38),
        (0.5, 12.50, 12.5),
        (1.0, 25.0, 25.0),
    ];
    for (thickness, printed, right) in rows {
        let edge = Outline::LengthOnly(mm(INCH));
        let ours = plateau_peak(edge, ToolShear::Flat, &inch_stock(thickness, 50.0));
        let ours = ours.us_tons_force();
        assert_close(ours, right, 2e-3);
        let part = printed / ours;
        if thickness == 0.1875 {
            assert_close(part, 0.91, 5e-3);
        } else {
            assert!((0.999..=1.17).contains(&part), "{thickness}: {part}");
        }
    }
}
