//! The press: drive, ratings and space.
//!
//! Everything that stands on a press's plate or in its manual may be missing; what is missing is
//! `None`, and the checks that need it say so instead of passing.

mod drive;
mod energy;
mod motion;
mod off_centre;
mod space;

pub use drive::{Crank, Drive};
pub use energy::{EnergyRating, Running, most_strokes};
pub use motion::{MotionTable, SlideMotion};
pub use off_centre::{AxisRating, AxisTable, DieLengthTable, RatingUse, Suspension};
pub use space::{Opening, SlotDirection, Slots};

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

impl Press {
    /// The share from which on a limit counts as near: what the job says, else what is usual for the
    /// frame; a frame that nobody entered is taken for a straight side.
    pub fn near_share(&self, entered: Option<f64>) -> f64 {
        entered.unwrap_or_else(|| self.frame.unwrap_or(Frame::StraightSide).default_near_share())
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
    /// How its strokes follow each other.
    pub running: Running,
    /// Slowest speed it can be set to.
    pub slowest: Option<StrokeRate>,
    /// Fastest speed it can be set to.
    pub fastest: Option<StrokeRate>,
    /// Energy the flywheel gives in one stroke.
    pub energy: Option<EnergyRating>,
    /// Power of the main motor.
    pub motor: Option<Power>,
    /// Part of the motor's power that reaches the flywheel; all of it if unknown.
    pub motor_efficiency: Option<f64>,
    /// Connections between drive and slide.
    pub suspension: Option<Suspension>,
    /// What keeps the slide level.
    pub level: Level,
    /// Left–right off-centre rating.
    pub off_centre_x: Option<AxisRating>,
    /// Front–back off-centre rating.
    pub off_centre_y: Option<AxisRating>,
    /// Allowed force over die length, where the maker gives it.
    pub die_length: Option<DieLengthTable>,
    /// Bolster area.
    pub bolster: Option<Footprint>,
    /// Slots of the bolster.
    pub bolster_slots: Option<Slots>,
    /// Holes in the bolster through which slugs fall.
    pub openings: Vec<Opening>,
    /// Slide area.
    pub slide: Option<Footprint>,
    /// Slots of the slide.
    pub slide_slots: Option<Slots>,
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
    /// A press of which only the drive is known.
    pub fn of(drive: Drive) -> Self {
        Self {
            frame: None,
            rated_force: None,
            drive,
            speed: None,
            running: Running::Continuous,
            slowest: None,
            fastest: None,
            energy: None,
            motor: None,
            motor_efficiency: None,
            suspension: None,
            level: Level::default(),
            off_centre_x: None,
            off_centre_y: None,
            die_length: None,
            bolster: None,
            bolster_slots: None,
            openings: Vec::new(),
            slide: None,
            slide_slots: None,
            shut_height: None,
            shut_height_adjustment: None,
            stiffness: None,
            slide_mass: None,
            damping_share: None,
            reverse_share: None,
        }
    }

    /// Force the press can give at a slide height, or nothing where it is not known.
    pub fn available_force(&self, height: Length) -> Option<Force> {
        self.drive.available_force(height, self.rated_force?)
    }

    /// Energy the press can give in one stroke at the running speed.
    ///
    /// A hydraulic press has no flywheel: what bounds it is the rated force along the whole stroke.
    pub fn usable_energy(&self) -> Option<Energy> {
        if let Drive::Hydraulic { stroke, .. } = self.drive {
            return Some(self.rated_force?.work_along(stroke));
        }
        self.energy?.usable_at(self.speed?, self.running)
    }

    /// How many strokes a minute the motor has to make good: those that are started, where each is
    /// started by itself.
    pub fn strokes_made_good(&self) -> Option<StrokeRate> {
        match self.running {
            Running::Single { started: Some(started) } => Some(started),
            Running::Single { started: None } | Running::Continuous => self.speed,
        }
    }

    /// Part of the motor's power that reaches the flywheel.
    pub fn power_at_flywheel(&self) -> Option<Power> {
        Some(self.motor? * self.motor_efficiency.unwrap_or(1.0))
    }
}
