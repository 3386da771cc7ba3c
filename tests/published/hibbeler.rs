//! R. C. Hibbeler, A. Gupta, *Engineering Mechanics: Statics and Dynamics*, ch. 4 and 9.

use crate::support::*;
use press_load::{Outline, Point, Work, cutting::CutModel, tool_shear::ToolShear};
use std::f64::consts::PI;

/// Example 4.19, p. 142: 300 N at (2, 0), 200 N at (0, −2), 150 N at (−1.414, 1.414) m: 650 N at
/// (0.60, −0.29) m. The same as a die with three punches.
#[test]
fn three_punches_act_like_one_at_the_printed_place() {
    let punch = |newtons: f64, at_m: (f64, f64)| {
        let force = press_load::Force::from_newtons(newtons);
        let table = vec![(mm(1.0), force), (mm(0.0), force)];
        station((at_m.0 * 1e3, at_m.1 * 1e3), Work::Table(table))
    };
    let stations =
        [punch(300.0, (2.0, 0.0)), punch(200.0, (0.0, -2.0)), punch(150.0, (-1.414, 1.414))];
    let stock = stock(1.0, 300.0, 0.4);
    assert_close(peak_force(&stations, &stock, CutModel::Plateau).newtons(), 650.0, 1e-12);
    let (x, y) = load_centre(&stations, &stock);
    assert_close(x * 1e-3, 0.60, 1e-2);
    assert_close(x * 1e-3, 0.5967, 2e-4);
    assert_close(y * 1e-3, -0.29, 1e-2);
    assert_close(y * 1e-3, -0.2890, 1e-3);
}

/// Example 9.9, p. 352: wire of a half circle of radius 60 (188.5 long, centroid (60, −38.2)), 40 at
/// (0, 20) and 20 at (0, 40): centroid (45.5, −22.5).
#[test]
fn half_circle_and_straight_edges_have_the_printed_load_centre() {
    let half_circle = Outline::Path {
        points: vec![Point::from_millimetres(0.0, 0.0), Point::from_millimetres(120.0, 0.0)],
        bulges: vec![1.0],
        closed: false,
    };
    let stock = stock(2.0, 300.0, 0.4);
    let edge = |at, outline| station(at, Work::Cut(cut(outline, 10.0, ToolShear::Flat)));

    let arc = edge((0.0, 0.0), half_circle);
    let (x, y) = load_centre(std::slice::from_ref(&arc), &stock);
    assert_close(x, 60.0, 1e-9);
    assert_close(y, -2.0 * 60.0 / PI, 1e-9);
    assert_close(y, -38.2, 1e-3);

    let stations = [
        arc,
        edge((0.0, 0.0), path(&[(0.0, 0.0), (0.0, 40.0)], false)),
        edge((0.0, 40.0), Outline::LengthOnly(mm(20.0))),
    ];
    let (x, y) = load_centre(&stations, &stock);
    assert_close(x, 45.5, 1e-3);
    assert_close(y, -22.5, 2e-3);
}
