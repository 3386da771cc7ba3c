//! "What is press capacity and how is it defined", press builder's note, tm-international.com.tw
//! (22 May 2026).

use crate::support::*;
use press_load::press::Crank;

/// Rated force commonly at 0.05 to 0.07 of the stroke above the bottom: with rods of four to eight
/// times the crank radius that is 24 to 30° of crank (our arithmetic).
#[test]
fn common_rating_heights_are_near_thirty_degrees_of_crank() {
    for rod_over_radius in [4.0, 8.0] {
        let crank = Crank::new(mm(200.0), mm(100.0 * rod_over_radius)).unwrap();
        let degrees = |part: f64| crank.angle_at(mm(200.0 * part)).to_degrees();
        assert!(degrees(0.05) > 22.0 && degrees(0.07) < 30.7, "{rod_over_radius}");
    }
}
