//! H. Tschätsch, A. Koth, *Metal Forming Practise*, Springer, 2006, sec. 21.2.

use crate::support::*;
use press_load::press::{Crank, Drive};

/// A crank press gives its nominal force from 30° before the bottom on: 0.067 of the stroke above it,
/// 3.35, 6.70 and 13.4 mm at strokes of 50, 100 and 200 mm (our arithmetic, rod left out).
#[test]
fn thirty_degrees_before_bottom_is_a_fifteenth_of_the_stroke() {
    for (stroke, height) in [(50.0, 3.35), (100.0, 6.70), (200.0, 13.4)] {
        let crank = Crank::new(mm(stroke), mm(1e9)).unwrap();
        let at_30 = crank.height_at(30.0_f64.to_radians()).millimetres();
        assert_close(at_30, height, 1e-3);
        assert_close(at_30 / stroke, 0.067, 1e-3);
    }
}

/// The half-inch rating (*ASM Handbook* vol. 14, p. 51) promises more torque than the 30° rating in
/// strokes below about 190 mm, less above.
#[test]
fn half_inch_rating_and_thirty_degree_rating_meet_at_a_stroke_of_190_mm() {
    let rated = kn(1000.0);
    let available = |stroke: f64, rating: f64| {
        let drive = Drive::crank(mm(stroke), Some(mm(1e9)), Some(mm(rating))).unwrap();
        drive.available_force(mm(stroke / 2.0), rated).unwrap()
    };
    for (stroke, more) in [(100.0, true), (180.0, true), (200.0, false), (300.0, false)] {
        let continental = available(stroke, stroke * (1.0 - 30.0_f64.to_radians().cos()) / 2.0);
        assert_eq!(available(stroke, 12.7) > continental, more, "stroke {stroke}");
    }
}
