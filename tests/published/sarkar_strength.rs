//! B. K. Sarkar, *Strength of Materials*, problem 3.4, p. 55.

use crate::support::*;
use press_load::{Line, tool_shear::ToolShear};

/// Hole 10 mm, 4 mm mild steel, 320 MPa: 40 212.39 N, and a pressure on the
/// punch of 512 N/mm².
#[test]
fn hole_in_mild_steel_takes_the_printed_force_and_presses_its_punch_as_printed() {
    let stock = stock(4.0, 320.0, 0.3);
    let force = plateau_peak(circle(10.0), ToolShear::Flat, &stock);
    assert_close(force.newtons(), 40_212.39, 1e-6);
    let sheet = stock.sheet(Line::Nominal).unwrap();
    let stress = cut(circle(10.0), 10.0, ToolShear::Flat).punch_stress(&sheet, 1.0).unwrap();
    assert_close(stress.megapascals(), 512.0, 1e-6);
}
