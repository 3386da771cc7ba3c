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
        }
    }
}

impl std::error::Error for InputError {}

/// The length if it is above zero.
pub(crate) fn positive_length(what: &'static str, given: Length) -> Result<Length, InputError> {
    if given.is_positive() { Ok(given) } else { Err(InputError::LengthNotPositive { what, given }) }
}
