//! Shut height at the set-up: what the slide has to be set to, where to begin, and what a block bears.
//!
//! "Never guess, tape-measure": a press jammed on bottom comes first of all from a die that stands
//! higher than the press opens (D. A. Smith, *Unsticking presses jammed at BDC*, course notes, 2004).

use crate::{Force, Length, Mass, Stiffness};

/// Standard gravity in metres per second squared, by definition.
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// How closely a tape measures a die, in millimetres (common practice, no source).
pub const TAPE_MM: f64 = 1.0;

/// Weight of a mass.
pub fn weight(mass: Mass) -> Force {
    Force::from_newtons(mass.kilograms() * STANDARD_GRAVITY)
}

/// What a safety block bears when the slide rests on it: slide and upper die, the counterbalance without
/// air. Each block has to bear it alone where the load may come on one first.
pub fn block_load(slide: Mass, upper_die: Mass) -> Force {
    weight(slide + upper_die)
}

/// Heights of a set-up, bolster to slide at BDC.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShutHeightSetting {
    /// Closed die and what it stands on.
    pub stack: Length,
    /// How much the press opens under the load at BDC, where its stiffness is known.
    pub stretch: Option<Length>,
    /// What the slide is set to without load: the stack less the stretch.
    pub target: Length,
    /// Where to begin: above the stack, before anything is in the die.
    pub approach: Length,
}

impl ShutHeightSetting {
    /// The setting for a die of `closed` height on parallels of `parallels`, in a press that opens by
    /// `stretch` under the load at BDC, begun `above` the closed stack.
    ///
    /// A press opens under load, so that it is set lower by that much; where its stiffness is not known,
    /// the target is the stack itself, which is never too deep.
    pub fn new(closed: Length, parallels: Length, stretch: Option<Length>, above: Length) -> Self {
        let stack = closed + parallels;
        let target = stack - stretch.unwrap_or_default();
        Self { stack, stretch, target, approach: stack + above }
    }
}

/// How far above the closed stack to begin where nobody entered it: one thickness, for a part that may lie
/// in the die, and what a tape measure leaves open (common practice, no source).
pub fn default_approach(thickness: Length) -> Length {
    thickness + Length::from_millimetres(TAPE_MM)
}

/// What a setting that is too deep by `excess` presses with where metal stands on metal:
/// `stiffness · excess`, an upper bound, as die and press are taken together.
pub fn force_of_too_deep(stiffness: Stiffness, excess: Length) -> Force {
    stiffness * excess
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    /// By hand: 380 mm on 50 mm parallels in a press that opens 0.3 mm, begun 3 mm high.
    #[test]
    fn slide_is_set_lower_by_the_stretch_and_begun_above_the_stack() {
        let setting = ShutHeightSetting::new(mm(380.0), mm(50.0), Some(mm(0.3)), mm(3.0));
        assert_close(setting.stack.millimetres(), 430.0, 1e-12);
        assert_close(setting.target.millimetres(), 429.7, 1e-12);
        assert_close(setting.approach.millimetres(), 433.0, 1e-12);
        let rigid = ShutHeightSetting::new(mm(380.0), mm(0.0), None, default_approach(mm(2.0)));
        assert_eq!((rigid.target, rigid.stretch), (mm(380.0), None));
        assert_close(rigid.approach.millimetres(), 383.0, 1e-12);
    }

    /// Hooke's law: 1500 kN/mm and a tenth of a millimetre are 150 kN.
    #[test]
    fn a_tenth_too_deep_costs_stiffness_times_a_tenth() {
        let stiffness = Stiffness::from_kilonewtons_per_millimetre(1500.0);
        assert_close(force_of_too_deep(stiffness, mm(0.1)).kilonewtons(), 150.0, 1e-12);
    }

    /// 2200 kg of slide and 350 kg of upper die weigh 2550 · 9.806 65 N (standard gravity).
    #[test]
    fn block_bears_slide_and_upper_die() {
        let load = block_load(Mass::from_kilograms(2200.0), Mass::from_kilograms(350.0));
        assert_close(load.kilonewtons(), 25.006_957_5, 1e-12);
    }
}
