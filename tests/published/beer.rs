//! F. P. Beer and others, *Vector Mechanics for Engineers: Statics and Dynamics*, example 5.2, p. 229.

use crate::support::*;
use press_load::{Work, tool_shear::ToolShear};

/// Closed wire of three straight pieces, 600, 650 and 250 mm: centroid at (250, 75) mm. The centroid
/// of the triangle's area, (200, 83.3) mm in these axes, is not the load centre of its outline.
#[test]
fn load_centre_of_a_triangular_blank_is_that_of_its_outline() {
    let triangle = path(&[(0.0, 0.0), (600.0, 0.0), (0.0, 250.0)], true);
    let work = Work::Cut(cut(triangle, 10.0, ToolShear::Flat));
    let (x, y) = load_centre(&[station((0.0, 0.0), work)], &stock(2.0, 300.0, 0.4));
    assert_close(x, 250.0, 1e-9);
    assert_close(y, 75.0, 1e-9);
    assert!((x - 200.0).abs() > 40.0 && (y - 83.3).abs() > 5.0);
}
