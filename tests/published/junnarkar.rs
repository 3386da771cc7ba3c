//! S. B. Junnarkar, *Mechanics of Structures*, example 4, p. 7.

use crate::{INCH, support::*};
use press_load::{Line, tool_shear::ToolShear};

/// Newtons in a long ton-force, 2240 lbf.
const LONG_TON: f64 = 9_964.016_418;

/// Hole 1/2 in, plate 3/8 in, 20 long tons per square inch: 11.78 long tons; pressure on
/// the punch 60 long tons per square inch.
#[test]
fn hole_in_inches_and_long_tons_takes_the_printed_force() {
    let shear_mpa = 20.0 * LONG_TON / (INCH * INCH);
    let sheet = stock(0.375 * INCH, shear_mpa, 0.3);
    let force = plateau_peak(circle(0.5 * INCH), ToolShear::Flat, &sheet);
    assert_close(force.newtons() / LONG_TON, 11.78, 1e-3);
    let sheet = sheet.sheet(Line::Nominal).unwrap();
    let punch = cut(circle(0.5 * INCH), 20.0, ToolShear::Flat);
    let stress = punch.punch_stress(&sheet, 1.0).unwrap();
    assert_close(stress.megapascals() * INCH * INCH / LONG_TON, 60.0, 1e-9);
}
