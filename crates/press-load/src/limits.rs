//! The limits: what each compares, and how far it is used.

use crate::{Length, strip::StripState};

/// One check of the die against the press.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum LimitId {
    /// Largest upper force against rated force.
    RatedForce,
    /// Upper force against force available, at the worst height.
    ForceAtHeight,
    /// Work per stroke against usable energy at this speed.
    WorkingEnergy,
    /// Mean power against the motor.
    MotorPower,
    /// Worst left–right moment or tabled force against its rating.
    OffCentreX,
    /// Worst front–back moment or tabled force against its rating.
    OffCentreY,
    /// Largest share on one suspension point against its part of the rated force.
    SuspensionLoad,
    /// Clearance eaten by tilt against cutting clearance.
    SlideTilt,
    /// Snap-through against reverse limit.
    ReverseLoad,
    /// Stripping force needed against available.
    StripperForce,
    /// Up-stroke tension against its limit.
    StrippingLoad,
    /// Upper force against the force that a die of this length may use.
    ConcentratedLoad,
    /// Weight, stripping and reverse acceleration against the clamps.
    UpperDieHold,
    /// Die height in the press's window.
    ShutHeight,
    /// Opening at the top of the stroke.
    Daylight,
    /// Die area on the bolster.
    BolsterFit,
    /// Die area under the slide.
    SlideFit,
    /// Guide posts still in their bushings.
    GuideEngagement,
}

impl LimitId {
    /// All of them, in the order of the report.
    pub const ALL: [Self; 18] = [
        Self::RatedForce,
        Self::ForceAtHeight,
        Self::WorkingEnergy,
        Self::MotorPower,
        Self::OffCentreX,
        Self::OffCentreY,
        Self::SuspensionLoad,
        Self::SlideTilt,
        Self::ReverseLoad,
        Self::StripperForce,
        Self::StrippingLoad,
        Self::ConcentratedLoad,
        Self::UpperDieHold,
        Self::ShutHeight,
        Self::Daylight,
        Self::BolsterFit,
        Self::SlideFit,
        Self::GuideEngagement,
    ];

    /// Its name in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::RatedForce => "rated_force",
            Self::ForceAtHeight => "force_at_height",
            Self::WorkingEnergy => "working_energy",
            Self::MotorPower => "motor_power",
            Self::OffCentreX => "off_centre_x",
            Self::OffCentreY => "off_centre_y",
            Self::SuspensionLoad => "suspension_load",
            Self::SlideTilt => "slide_tilt",
            Self::ReverseLoad => "reverse_load",
            Self::StripperForce => "stripper_force",
            Self::StrippingLoad => "stripping_load",
            Self::ConcentratedLoad => "concentrated_load",
            Self::UpperDieHold => "upper_die_hold",
            Self::ShutHeight => "shut_height",
            Self::Daylight => "daylight",
            Self::BolsterFit => "bolster_fit",
            Self::SlideFit => "slide_fit",
            Self::GuideEngagement => "guide_engagement",
        }
    }

    /// Whether it is an estimate rather than a calculation, which is said wherever it is shown.
    pub const fn is_estimate(self) -> bool {
        matches!(self, Self::ReverseLoad)
    }

    /// Whether it is one of room rather than of load: a die that fills its bolster fits all the same.
    pub const fn is_space(self) -> bool {
        matches!(
            self,
            Self::ShutHeight
                | Self::Daylight
                | Self::BolsterFit
                | Self::SlideFit
                | Self::GuideEngagement
        )
    }

    /// Whether a die may not pass without it.
    pub const fn is_essential(self) -> bool {
        matches!(
            self,
            Self::RatedForce
                | Self::ForceAtHeight
                | Self::WorkingEnergy
                | Self::OffCentreX
                | Self::OffCentreY
                | Self::ShutHeight
                | Self::BolsterFit
        )
    }
}

/// How far a limit is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum State {
    /// With room to spare.
    Within,
    /// Close to it.
    Near,
    /// Beyond it.
    Over,
    /// A rating is missing; this is never a pass.
    NotChecked,
}

impl State {
    /// The state of a share; NaN counts as over.
    pub fn of_share(share: f64, near_share: f64) -> Self {
        if share < near_share {
            Self::Within
        } else if share <= 1.0 {
            Self::Near
        } else {
            Self::Over
        }
    }

    /// Its name in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Near => "near",
            Self::Over => "over",
            Self::NotChecked => "not_checked",
        }
    }
}

/// The unit of a limit's demand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitUnit {
    /// Force.
    Kilonewton,
    /// Work.
    Kilojoule,
    /// Power.
    Kilowatt,
    /// Moment.
    KilonewtonMetre,
    /// Length.
    Millimetre,
}

impl LimitUnit {
    /// Its symbol.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Kilonewton => "kN",
            Self::Kilojoule => "kJ",
            Self::Kilowatt => "kW",
            Self::KilonewtonMetre => "kN·m",
            Self::Millimetre => "mm",
        }
    }
}

/// What was compared, at its worst.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Use {
    /// Demand over limit; infinite where the limit is zero.
    pub share: f64,
    /// What the die asks.
    pub demand: f64,
    /// What the press allows.
    pub limit: f64,
    /// Slide height at which it is worst, where it depends on height.
    pub at_height: Option<Length>,
    /// Strip state in which it is worst.
    pub strip_state: StripState,
}

impl Use {
    /// What has to be borne, whatever the limit.
    pub const fn needs(self) -> Need {
        Need { demand: self.demand, at_height: self.at_height, strip_state: self.strip_state }
    }
}

/// What a press would have to give for a limit that could not be checked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Need {
    /// In the limit's unit.
    pub demand: f64,
    /// Slide height at which it is needed, where it depends on height.
    pub at_height: Option<Length>,
    /// Strip state in which it is needed.
    pub strip_state: StripState,
}

impl Need {
    /// A need that does not depend on height.
    pub const fn of(demand: f64) -> Self {
        Self { demand, at_height: None, strip_state: StripState::Full }
    }
}

/// A limit as judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Which.
    pub id: LimitId,
    /// How far it is used.
    pub state: State,
    /// Unit of demand and limit.
    pub unit: LimitUnit,
    /// The comparison, or what is missing for it.
    pub outcome: Result<Use, Missing>,
    /// Where it could not be compared, what the press would have to give, as far as that is known.
    pub needs: Option<Need>,
}

/// What has to be known before a limit can be checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missing {
    /// Rated force of the press.
    RatedForce,
    /// Stroke of the press.
    Stroke,
    /// Height above BDC at which the rated force is given.
    RatingHeight,
    /// Length of the connecting rod.
    ConnectingRod,
    /// The capacity table ends below the first touch.
    CapacityAboveTable,
    /// Usable energy of the flywheel.
    UsableEnergy,
    /// Strokes per minute.
    Speed,
    /// Motor power.
    MotorPower,
    /// Left–right off-centre rating.
    OffCentreX,
    /// Front–back off-centre rating.
    OffCentreY,
    /// Number and distance of the suspension points.
    Suspension,
    /// Size of the bolster.
    BolsterSize,
    /// Size of the slide.
    SlideSize,
    /// Size of the die.
    DieSize,
    /// The press's shut height.
    PressShutHeight,
    /// The press's shut height adjustment.
    ShutHeightAdjustment,
    /// The die's closed height.
    DieShutHeight,
    /// No station has a stripper on springs.
    SpringStripper,
    /// Stiffness of the press.
    Stiffness,
    /// Mass of the slide.
    SlideMass,
    /// How the slide moves with time.
    Kinematics,
    /// Mass and stiffness give a vibration that is not that of a press.
    VibrationTooFast,
    /// Opening that the die needs at the top.
    OpeningNeeded,
    /// Overlap of guide posts and bushings.
    GuideEngagement,
    /// Mass of the upper die.
    UpperMass,
    /// What holds the upper die.
    UpperClamps,
    /// No station cuts.
    CuttingStation,
    /// What holds the slide against tilting left–right.
    TiltStiffnessX,
    /// What holds the slide against tilting front–back.
    TiltStiffnessY,
    /// How far the gap frame tilts the slide.
    FrameTilt,
    /// The slide found no rest on its springs.
    Rest,
}

impl Missing {
    /// What to fetch, as the setter reads it.
    pub const fn text(self) -> &'static str {
        match self {
            Self::RatedForce => "rated force of the press not entered (press plate)",
            Self::Stroke => "stroke of the press not entered (press plate)",
            Self::RatingHeight => {
                "height above BDC of the rated force not entered (press plate or manual)"
            }
            Self::ConnectingRod => "connecting rod length not entered (press manual)",
            Self::CapacityAboveTable => {
                "the capacity table ends below the first touch (press card)"
            }
            Self::UsableEnergy => "usable energy per stroke not entered (press manual)",
            Self::Speed => "strokes per minute not entered",
            Self::MotorPower => "motor power not entered (motor plate)",
            Self::OffCentreX => "left–right off-centre rating not entered (press manual)",
            Self::OffCentreY => "front–back off-centre rating not entered (press manual)",
            Self::Suspension => "suspension points and their distance not entered (press manual)",
            Self::BolsterSize => "bolster size not entered (tape measure)",
            Self::SlideSize => "slide size not entered (tape measure)",
            Self::DieSize => "die size not entered (tape measure)",
            Self::PressShutHeight => "shut height of the press not entered (press plate)",
            Self::ShutHeightAdjustment => "shut height adjustment not entered (press plate)",
            Self::DieShutHeight => "closed height of the die not entered (tape measure)",
            Self::SpringStripper => "no stripper on springs entered",
            Self::Stiffness => {
                "stiffness of the press not entered (press builder, or two readings)"
            }
            Self::SlideMass => "slide mass not entered (press manual)",
            Self::Kinematics => "how the slide moves with time is not known for this drive",
            Self::VibrationTooFast => {
                "slide mass and stiffness give a vibration too fast for a press: check both"
            }
            Self::OpeningNeeded => {
                "opening that feeding and taking out need not entered (die drawing, part height and lift)"
            }
            Self::GuideEngagement => {
                "overlap of guide posts and bushings, die closed, not entered (tape measure)"
            }
            Self::UpperMass => "mass of the upper die not entered (stamp on the die, or a scale)",
            Self::UpperClamps => {
                "clamps of the upper die not entered (number, and what each holds)"
            }
            Self::CuttingStation => "no station cuts, so that there is no clearance to be eaten",
            Self::TiltStiffnessX => {
                "what holds the slide against tilting left–right not entered: play and length of its gibs (feeler gauge, tape measure), or a stiffness (press builder)"
            }
            Self::TiltStiffnessY => {
                "what holds the slide against tilting front–back not entered: play and length of its gibs (feeler gauge, tape measure), or a stiffness (press builder)"
            }
            Self::FrameTilt => {
                "how far the gap frame tilts at rated force not entered (press builder, or dial indicators under load)"
            }
            Self::Rest => {
                "the slide finds no rest on its springs: check stiffness and distance of the points"
            }
        }
    }

    /// The job file's field that would fill the gap, where there is one.
    pub const fn field(self) -> Option<&'static str> {
        Some(match self {
            Self::RatedForce => "press.rated_force_kn",
            Self::Stroke => "press.drive.stroke_mm",
            Self::RatingHeight => "press.drive.rating_height_mm",
            Self::ConnectingRod => "press.drive.connecting_rod_mm",
            Self::CapacityAboveTable => "press.drive.points",
            Self::UsableEnergy => "press.energy.usable_kj",
            Self::Speed => "press.speed_spm",
            Self::MotorPower => "press.motor_kw",
            Self::OffCentreX => "press.off_centre.moment_x_knm",
            Self::OffCentreY => "press.off_centre.moment_y_knm",
            Self::Suspension => "press.suspension",
            Self::BolsterSize => "press.bolster",
            Self::SlideSize => "press.slide",
            Self::DieSize => "die.width_mm",
            Self::PressShutHeight => "press.shut_height_mm",
            Self::ShutHeightAdjustment => "press.shut_height_adjustment_mm",
            Self::DieShutHeight => "die.shut_height_mm",
            Self::Stiffness => "press.stiffness_kn_per_mm",
            Self::SlideMass | Self::VibrationTooFast => "press.slide_mass_kg",
            Self::OpeningNeeded => "die.opening_needed_mm",
            Self::GuideEngagement => "die.guide_engagement_mm",
            Self::UpperMass => "die.upper_mass_kg",
            Self::UpperClamps => "die.upper_clamps",
            Self::TiltStiffnessX | Self::TiltStiffnessY => "press.level.gib_clearance_mm",
            Self::FrameTilt => "press.level.frame_mm_per_m_at_rated",
            Self::Rest => "press.suspension.stiffness_kn_per_mm",
            Self::SpringStripper | Self::Kinematics | Self::CuttingStation => return None,
        })
    }
}
