//! The press: drive, ratings and space.
//!
//! Everything that stands on a press's plate or in its manual may be missing; what is missing is
//! `None`, and the checks that need it say so instead of passing.

mod drive;
mod energy;
mod off_centre;

pub use drive::{Crank, Drive};
pub use energy::EnergyRating;
pub use off_centre::{AxisRating, AxisTable, RatingUse, Suspension};

use crate::{Energy, Force, Length, Mass, Power, Stiffness, StrokeRate, slide_on_springs::Level};

/// How the frame is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Frame {
    /// Two uprights.
    StraightSide,
    /// An open front: it also opens at an angle under load.
    GapFrame,
}

impl Frame {
    /// Share of a limit from which on it counts as near: 0.80 for straight-side presses, 0.65 for
    /// gap frames ("80 % for straight-side, 60–70 % for C-frames", "Ask the Stamping Expert", The
    /// Fabricator, on reducing blanking tonnage).
    pub const fn default_near_share(self) -> f64 {
        match self {
            Self::StraightSide => 0.80,
            Self::GapFrame => 0.65,
        }
    }
}

/// A rectangle seen from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Footprint {
    /// Left to right.
    pub width: Length,
    /// Front to back.
    pub depth: Length,
}

/// A press as its plate and manual describe it.
#[derive(Clone, Debug, PartialEq)]
pub struct Press {
    /// How the frame is built; straight-side rules are used if unknown.
    pub frame: Option<Frame>,
    /// Largest force, at or below the rating height.
    pub rated_force: Option<Force>,
    /// How the slide is driven.
    pub drive: Drive,
    /// Strokes at which the die is to run.
    pub speed: Option<StrokeRate>,
    /// Energy the flywheel gives in one stroke.
    pub energy: Option<EnergyRating>,
    /// Power of the main motor.
    pub motor: Option<Power>,
    /// Connections between drive and slide.
    pub suspension: Option<Suspension>,
    /// What keeps the slide level.
    pub level: Level,
    /// Left–right off-centre rating.
    pub off_centre_x: Option<AxisRating>,
    /// Front–back off-centre rating.
    pub off_centre_y: Option<AxisRating>,
    /// Bolster area.
    pub bolster: Option<Footprint>,
    /// Slide area.
    pub slide: Option<Footprint>,
    /// Largest die height: slide at BDC, adjustment up.
    pub shut_height: Option<Length>,
    /// How much lower the slide can be adjusted.
    pub shut_height_adjustment: Option<Length>,
    /// Force per stretch of the whole press.
    pub stiffness: Option<Stiffness>,
    /// Mass of slide and attachments.
    pub slide_mass: Option<Mass>,
    /// Damping of its vertical vibration as a share of critical, where known.
    pub damping_share: Option<f64>,
    /// Reverse load the press stands, as a share of rated force.
    pub reverse_share: Option<f64>,
}

impl Press {
    /// Force the press can give at a slide height, or nothing where it is not known.
    pub fn available_force(&self, height: Length) -> Option<Force> {
        self.drive.available_force(height, self.rated_force?)
    }

    /// Energy the press can give in one stroke at the running speed.
    ///
    /// A hydraulic press has no flywheel: what bounds it is the rated force along the whole stroke.
    pub fn usable_energy(&self) -> Option<Energy> {
        if let Drive::Hydraulic { stroke } = self.drive {
            return Some(self.rated_force?.work_along(stroke));
        }
        self.energy?.usable_at(self.speed?)
    }
}
