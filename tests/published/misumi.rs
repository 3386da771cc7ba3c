//! Misumi, press-die tutorial no. 125 (25 May 2012).

use press_load::stripping::DEFAULT_STRIP_FACTOR;

/// Stripping takes 0.03 to 0.08 of the blanking force: the default must not lie below that.
#[test]
fn default_strip_factor_covers_the_tutorial_range() {
    assert!([0.03, 0.08].iter().all(|&factor| DEFAULT_STRIP_FACTOR >= factor));
}
