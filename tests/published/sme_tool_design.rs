//! Society of Manufacturing Engineers, *Fundamentals of Tool Design*, 6th ed., ch. 8, p. 223, fig. 8-8.

use crate::support::*;
use press_load::{Work, tool_shear::ToolShear};

/// Each line of the cut edge counts with its length at its middle, not the area it encloses: a
/// vertical line of 4 that starts at y = 4.25 acts at x = 0, y = 6.25.
#[test]
fn vertical_line_acts_at_its_middle() {
    let line = path(&[(0.0, 4.25), (0.0, 8.25)], false);
    let work = Work::Cut(cut(line, 10.0, ToolShear::Flat));
    let (x, y) = load_centre(&[station((0.0, 0.0), work)], &stock(1.0, 300.0, 0.4));
    assert!(x.abs() < 1e-12);
    assert_close(y, 6.25, 1e-12);
}
