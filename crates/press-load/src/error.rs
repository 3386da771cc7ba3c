//! What can be wrong with the inputs of a law.

use crate::{Force, Length};
use std::fmt;

/// Why the given inputs do not describe work or a press that can exist.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum InputError {
    /// A length that has to be above zero is zero, negative or not a number.
    LengthNotPositive {
        /// What the length is of.
        what: &'static str,
        /// The length given.
        given: Length,
    },
    /// A stress, ratio or count that has to be above zero is zero, negative or not a number.
    NotPositive {
        /// What it is.
        what: &'static str,
        /// The value given, in SI.
        given: f64,
    },
    /// The connecting rod is not longer than the crank radius, so the crank cannot turn.
    RodNotLongerThanCrank {
        /// Rod length.
        rod: Length,
        /// Crank radius, half the stroke.
        crank: Length,
    },
    /// The rating height does not lie between BDC and the middle of the stroke.
    RatingHeightOutsideStroke {
        /// Rating height.
        height: Length,
        /// The largest that makes sense: half the stroke.
        largest: Length,
    },
    /// A rating at a crank angle that is not between BDC and a quarter turn, in degrees.
    RatingAngleOutsideQuarter(f64),
    /// A second rating that does not lie above the first.
    SecondRatingNotAbove {
        /// Height of the second.
        height: Length,
        /// Height of the first.
        first: Length,
    },
    /// A motion of the slide whose angles or heights do not both rise from BDC, with the index of the
    /// row at fault.
    MotionNotRising {
        /// Index of the row, or the number of rows if there are too few.
        row: usize,
    },
    /// A list of readings whose rows do not go the one way that they can.
    RowOutOfOrder {
        /// How its rows have to go.
        what: &'static str,
        /// Index of the first row that does not, or the number of rows if there are too few.
        row: usize,
    },
    /// A strip that needs more hits to fill the die than are followed.
    TooManyHits {
        /// How many it needs.
        hits: f64,
        /// How many are followed.
        most: u32,
    },
    /// An outline with fewer than two different points.
    OutlineWithoutLength,
    /// A bulge list whose length differs from the number of segments.
    BulgeCount {
        /// Bulges given.
        given: usize,
        /// Segments of the path.
        segments: usize,
    },
    /// A corner radius that does not fit into its rectangle.
    CornerRadiusTooLarge {
        /// Radius given.
        radius: Length,
        /// Half the shorter side.
        largest: Length,
    },
    /// A slot that is not longer than it is wide.
    SlotShorterThanWide {
        /// Length over all.
        length: Length,
        /// Width.
        width: Length,
    },
    /// A table whose heights do not strictly rise or fall, or that is empty.
    TableNotOrdered,
    /// A table with a negative force.
    NegativeForce(Force),
    /// A V opening that the sheet cannot be bent into.
    OpeningBelowThickness {
        /// V opening.
        opening: Length,
        /// Sheet thickness.
        thickness: Length,
    },
    /// The drawing punch is not smaller than the blank.
    PunchNotSmallerThanBlank {
        /// Punch diameter.
        punch: Length,
        /// Blank diameter.
        blank: Length,
    },
    /// The blank, or the cup drawn before, is not wider than the cup's mean diameter.
    NothingToDraw {
        /// Diameter before.
        blank: Length,
        /// Mean diameter of the cup: punch diameter plus one thickness.
        cup: Length,
    },
    /// A nose radius beyond that of a round-ended punch.
    PunchRadiusTooLarge {
        /// Radius given.
        radius: Length,
        /// Half the punch diameter.
        largest: Length,
    },
    /// Ironing without the wall thickness after it.
    IroningWithoutGap,
    /// An ironing gap that does not thin the wall.
    WallNotThinned {
        /// Wall before, the sheet thickness.
        before: Length,
        /// Wall after, the gap given.
        after: Length,
    },
    /// A stretch or shrink flange without its radius in plan or its height.
    FlangeWithoutCurve,
    /// A stretch flange as high as its radius in plan, or higher: there is no sheet to take it
    /// from.
    FlangeHigherThanPlanRadius {
        /// Height of the flange.
        height: Length,
        /// Radius of the flange line seen from above.
        radius: Length,
    },
    /// The hole to be flanged is not smaller than its flange.
    HoleNotSmallerThanFlange {
        /// Hole diameter before.
        hole: Length,
        /// Mean diameter of the flange.
        flange: Length,
    },
    /// A value that may be zero but not less is negative or not a number.
    Negative {
        /// What it is.
        what: &'static str,
        /// The value given, in SI.
        given: f64,
    },
}

impl fmt::Display for InputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mm = |length: &Length| length.millimetres();
        match self {
            Self::LengthNotPositive { what, given } => {
                write!(f, "{what} must be above 0 mm, given {} mm", mm(given))
            }
            Self::NotPositive { what, given } => write!(f, "{what} must be above 0, given {given}"),
            Self::RodNotLongerThanCrank { rod, crank } => write!(
                f,
                "connecting rod must be longer than the crank radius {} mm (half the stroke), given {} mm",
                mm(crank),
                mm(rod)
            ),
            Self::RatingHeightOutsideStroke { height, largest } => write!(
                f,
                "rating height must be above 0 and at most {} mm (half the stroke), given {} mm",
                mm(largest),
                mm(height)
            ),
            Self::RatingAngleOutsideQuarter(angle) => write!(
                f,
                "crank angle of the rating must be above 0 and at most 90° before BDC, given {angle}°"
            ),
            Self::SecondRatingNotAbove { height, first } => write!(
                f,
                "second rating must lie above the first, at {} mm, given {} mm",
                mm(first),
                mm(height)
            ),
            Self::MotionNotRising { row } => write!(
                f,
                "angles and heights must both rise from BDC in at least two rows, row {} does not",
                row + 1
            ),
            Self::TooManyHits { hits, most } => write!(
                f,
                "the strip must fill the die within {most} hits, pitch and first hit give {hits}"
            ),
            Self::OutlineWithoutLength => {
                write!(f, "an outline needs at least two points that differ")
            }
            Self::BulgeCount { given, segments } => {
                write!(f, "bulges must be one for each of the {segments} segments, given {given}")
            }
            Self::CornerRadiusTooLarge { radius, largest } => write!(
                f,
                "corner radius must be at most {} mm (half the shorter side), given {} mm",
                mm(largest),
                mm(radius)
            ),
            Self::SlotShorterThanWide { length, width } => write!(
                f,
                "slot length over all must be more than its width {} mm, given {} mm",
                mm(width),
                mm(length)
            ),
            Self::TableNotOrdered => {
                write!(f, "table heights must run strictly in one direction, at least two rows")
            }
            Self::RowOutOfOrder { what, row } => {
                write!(f, "{what}, given otherwise in row {}", row + 1)
            }
            Self::NegativeForce(force) => {
                write!(f, "table force must not be negative, given {} kN", force.kilonewtons())
            }
            Self::OpeningBelowThickness { opening, thickness } => write!(
                f,
                "opening must be more than the sheet thickness {} mm, given {} mm",
                mm(thickness),
                mm(opening)
            ),
            Self::PunchNotSmallerThanBlank { punch, blank } => write!(
                f,
                "punch diameter must be less than the blank diameter {} mm, given {} mm",
                mm(blank),
                mm(punch)
            ),
            Self::NothingToDraw { blank, cup } => write!(
                f,
                "diameter before drawing must be more than {} mm (punch plus one thickness), given {} mm",
                mm(cup),
                mm(blank)
            ),
            Self::PunchRadiusTooLarge { radius, largest } => write!(
                f,
                "punch radius must be at most {} mm (half the punch diameter), given {} mm",
                mm(largest),
                mm(radius)
            ),
            Self::IroningWithoutGap => write!(f, "ironing needs the wall thickness after it"),
            Self::WallNotThinned { before, after } => write!(
                f,
                "wall after ironing must be less than the sheet thickness {} mm, given {} mm",
                mm(before),
                mm(after)
            ),
            Self::FlangeWithoutCurve => {
                write!(f, "a stretch or shrink flange needs its radius in plan and its height")
            }
            Self::FlangeHigherThanPlanRadius { height, radius } => write!(
                f,
                "height of a stretch flange must be less than its radius in plan {} mm, given {} mm",
                mm(radius),
                mm(height)
            ),
            Self::HoleNotSmallerThanFlange { hole, flange } => write!(
                f,
                "hole diameter must be less than the flange diameter {} mm, given {} mm",
                mm(flange),
                mm(hole)
            ),
            Self::Negative { what, given } => {
                write!(f, "{what} must not be negative, given {given}")
            }
        }
    }
}

impl std::error::Error for InputError {}

/// The length if it is above zero.
pub(crate) fn positive_length(what: &'static str, given: Length) -> Result<Length, InputError> {
    if given.is_positive() { Ok(given) } else { Err(InputError::LengthNotPositive { what, given }) }
}

/// The value if it is above zero; `given` is in SI.
pub(crate) fn positive(what: &'static str, given: f64) -> Result<f64, InputError> {
    if given > 0.0 && given.is_finite() {
        Ok(given)
    } else {
        Err(InputError::NotPositive { what, given })
    }
}

/// The value if it is not below zero; `given` is in SI.
pub(crate) fn not_negative(what: &'static str, given: f64) -> Result<f64, InputError> {
    if given >= 0.0 && given.is_finite() {
        Ok(given)
    } else {
        Err(InputError::Negative { what, given })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_of_forming_name_what_is_allowed_and_what_was_given() {
        let mm = Length::from_millimetres;
        let messages = [
            (
                InputError::NothingToDraw { blank: mm(50.5), cup: mm(51.0) },
                "diameter before drawing must be more than 51 mm (punch plus one thickness), given 50.5 mm",
            ),
            (
                InputError::WallNotThinned { before: mm(1.0), after: mm(1.5) },
                "wall after ironing must be less than the sheet thickness 1 mm, given 1.5 mm",
            ),
            (
                InputError::Negative { what: "friction coefficient", given: -0.5 },
                "friction coefficient must not be negative, given -0.5",
            ),
        ];
        for (error, message) in messages {
            assert_eq!(error.to_string(), message);
        }
    }
}
