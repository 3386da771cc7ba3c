//! AHSS Insights (World Auto Steel), blog on punching rules, and "Tonnage Calc" (scribd.com document
//! 161868210): inch rules that lost a unit or a factor.

use crate::{INCH, KSI, support::*};
use press_load::{Outline, tool_shear::ToolShear};

/// "tons = 80·d·t" in inches for round holes, from tensile strength 300 MPa = 43.5 ksi and a ratio of
/// 0.6: the derivation gives 81.95 kip. In US tons the constant is 41.
#[test]
fn inch_rule_for_round_holes_is_in_kip_not_tons() {
    let sheet = stock(0.1 * INCH, 0.6 * 300.0, 0.3);
    let force = plateau_peak(circle(INCH), ToolShear::Flat, &sheet);
    let tons_per_d_t = force.us_tons_force() / (1.0 * 0.1);
    assert_close(2.0 * tons_per_d_t, 81.95, 1e-3);
    assert!(tons_per_d_t < 0.52 * 80.0);
}

/// "Tonnage Calc": length 11.14 in, 0.088 in, 50 000 psi: 278.5 tons printed, thickness forgotten;
/// right is 24.51.
#[test]
fn cut_with_its_thickness_takes_an_eleventh_of_the_misprint() {
    let edge = Outline::LengthOnly(mm(11.14 * INCH));
    let force = plateau_peak(edge, ToolShear::Flat, &stock(0.088 * INCH, 50.0 * KSI, 0.3));
    assert_close(force.us_tons_force(), 24.51, 1e-3);
    assert!(force.us_tons_force() < 278.5 / 11.0);
}
