//! What a die asks of any press: the record that goes with the die and needs no press data.
//!
//! All figures are on the upper line and the worst of all strip states; moments are about the die's
//! centre, before it is turned, as if that stood in the middle of the press. Every die is to be stamped
//! with the force and the stroke it needs, with the weight of its upper half for the counterbalance and
//! with its whole weight for lifting (29 CFR 1910.217(d)(6)).

use crate::{
    Energy, Force, Length, Line, Moment, Motion, Point, StripState, Stroke,
    check::{FULL_FORCE_BED_SHARE, is_named_instead, slide_pull},
    die::{Die, Station},
    space::first_touch,
    stripping::Stripper,
};

/// A figure with where it arises.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct At<T> {
    /// The figure.
    pub what: T,
    /// Slide height above BDC.
    pub height: Length,
    /// Strip state.
    pub state: StripState,
}

/// What a die asks of any press.
#[derive(Clone, Debug, PartialEq)]
pub struct DieNeeds {
    /// Largest force; nothing if none acts.
    pub force: Option<At<Force>>,
    /// Load centre there, from the die's centre.
    pub centre: Option<Point>,
    /// Largest moment left–right about the die's centre.
    pub moment_x: Option<At<Moment>>,
    /// Largest moment front–back about the die's centre.
    pub moment_y: Option<At<Moment>>,
    /// Work per stroke.
    pub energy: Energy,
    /// Pull on the slide by stripping on the way up.
    pub stripping: Force,
    /// What is let go as the cut breaks through: the largest fall of the force on its way down, strip full.
    pub released: Force,
    /// Height at which anything first touches stock.
    pub first_touch: Length,
    /// Height at which anything first acts, springs included.
    pub highest_contact: Length,
    /// The shortest stroke that the die can work with, as far as that is known: from where anything first
    /// acts, and the opening that feeding and taking out need.
    pub stroke: Length,
    /// Bolster to slide at the top with that stroke, where the closed height is known.
    pub daylight: Option<Length>,
    /// Largest force in any strip state over height, falling height.
    envelope: Vec<(Length, Force)>,
}

impl DieNeeds {
    /// What `die` with its `stations`, whose loads are `stroke`, asks.
    pub fn new(die: &Die, stations: &[Station], stroke: &Stroke) -> Self {
        let states = stroke.strip_states(die.kind);
        let mut envelope = vec![0.0_f64; stroke.rows.len()];
        let (mut force, mut centre) = (None::<At<Force>>, None);
        let (mut moment_x, mut moment_y) = (None::<At<Moment>>, None::<At<Moment>>);
        stroke.upper.for_each_state(&states, &Motion::NONE, |state, total| {
            for (index, row) in stroke.rows.iter().enumerate() {
                let newtons = total.force[index];
                if newtons <= 0.0 {
                    continue;
                }
                envelope[index] = envelope[index].max(newtons);
                let named = force.map(|most| (most.what.newtons(), most.state));
                if is_named_instead(newtons, state, named) {
                    let what = Force::from_newtons(newtons);
                    force = Some(At { what, height: row.height, state });
                    centre = total.centre(index);
                }
                let see = |most: &mut Option<At<Moment>>, moment: f64| {
                    let named = most.map(|most| (most.what.newton_metres(), most.state));
                    if is_named_instead(moment.abs(), state, named) {
                        let what = Moment::from_newton_metres(moment.abs());
                        *most = Some(At { what, height: row.height, state });
                    }
                };
                see(&mut moment_x, total.moment_x[index]);
                see(&mut moment_y, total.moment_y[index]);
            }
        });
        let full = stroke.upper.total(StripState::Full, &Motion::NONE);
        let highest_contact = highest_contact(stations);
        let shortest = highest_contact.max(die.opening_needed.unwrap_or_default());
        Self {
            force,
            centre,
            moment_x,
            moment_y,
            energy: stroke.upper.work(),
            stripping: slide_pull(stroke, stations, Line::Upper),
            released: Force::from_newtons(largest_fall(&full.force)),
            first_touch: first_touch(stations),
            highest_contact,
            stroke: shortest,
            daylight: die.shut_height.map(|closed| closed + shortest),
            envelope: stroke
                .rows
                .iter()
                .zip(envelope)
                .map(|(row, newtons)| (row.height, Force::from_newtons(newtons)))
                .collect(),
        }
    }

    /// The largest force at or above a height, in any strip state.
    pub fn force_at_or_above(&self, height: Length) -> Force {
        let above = self.envelope.iter().take_while(|row| row.0 >= height);
        let highest = above.map(|row| row.1).fold(Force::ZERO, Force::max);
        // Between two rows the curve is a straight line.
        let below = self.envelope.iter().position(|row| row.0 < height);
        let between = below.and_then(|below| {
            let ((h0, f0), (h1, f1)) =
                (*self.envelope.get(below.checked_sub(1)?)?, self.envelope[below]);
            Some(f0 + (f1 - f0) * ((h0 - height) / (h0 - h1)))
        });
        highest.max(between.unwrap_or_default())
    }
}

/// Height above BDC at which anything of the die first acts: work, springs, strippers.
pub fn highest_contact(stations: &[Station]) -> Length {
    let strippers = stations.iter().filter_map(|station| match &station.stripper {
        Some(Stripper::Sprung(spring)) => Some(spring.entry),
        _ => None,
    });
    stations
        .iter()
        .flat_map(|station| &station.work)
        .map(|placed| placed.work.entry())
        .chain(strippers)
        .fold(Length::ZERO, Length::max)
}

/// The largest fall from one row on, as far as the force does not rise again.
fn largest_fall(force: &[f64]) -> f64 {
    let (mut largest, mut from) = (0.0_f64, 0.0_f64);
    let mut before = f64::NEG_INFINITY;
    for &here in force {
        if here > before {
            from = here;
        }
        largest = largest.max(from - here);
        before = here;
    }
    largest
}

/// The longest bed on which a die of `length` may use the whole rated force: the die has to span two
/// thirds of it.
///
/// # Source
///
/// P. Ulintz, "Setting Small Dies in Large Presses", *MetalForming*, 22 Nov 2024.
pub fn longest_bed(length: Length) -> Length {
    length / FULL_FORCE_BED_SHARE
}

/// The rated force that a press with a bed of `bed` has to have for `force` over a die of `length`: more
/// than `force` where the die is shorter than two thirds of the bed, pro rata to length (our own form;
/// the press's chart rules).
pub fn rating_for_bed(force: Force, length: Length, bed: Length) -> Force {
    force * (bed * FULL_FORCE_BED_SHARE / length).max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    /// A die of 30 in on a bed of 120 in is not allowed its 285 ton in a press of 600: pro rata it may
    /// use 600 · 30/80 = 225 ton (P. Ulintz, "Setting Small Dies in Large Presses", *MetalForming*,
    /// 22 Nov 2024; the pro-rata form is ours), so that its 285 ton need 285 · 80/30 = 760 ton there, and
    /// no bed longer than 45 in to be allowed the whole rating.
    #[test]
    fn small_die_needs_a_short_bed_or_a_larger_rating() {
        let (inch, ton) = (25.4, Force::from_us_tons_force);
        let length = Length::from_millimetres(30.0 * inch);
        let bed = Length::from_millimetres(120.0 * inch);
        assert_close(rating_for_bed(ton(225.0), length, bed).us_tons_force(), 600.0, 1e-12);
        assert_close(rating_for_bed(ton(285.0), length, bed).us_tons_force(), 760.0, 1e-12);
        assert_close(longest_bed(length).millimetres(), 45.0 * inch, 1e-12);
        let short = rating_for_bed(ton(285.0), length, longest_bed(length) * 0.9);
        assert_close(short.us_tons_force(), 285.0, 1e-12);
    }

    #[test]
    fn largest_fall_ends_where_the_force_rises_again() {
        assert_eq!(largest_fall(&[0.0, 100.0, 80.0, 90.0, 20.0, 20.0, 5.0, 50.0]), 85.0);
        assert_eq!(largest_fall(&[0.0, 10.0, 20.0]), 0.0);
        assert_eq!(largest_fall(&[]), 0.0);
    }
}
