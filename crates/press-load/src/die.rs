//! The die: its stations, their work, and where it stands on the bolster.

use crate::{
    Force, InputError, Length, Line, Mass, Motion, Point, Sheet, Stock,
    bending::Bend,
    cutting::{Cut, CutModel},
    load::Load,
    point_load::PointLoad,
    press::Footprint,
    springs::Spring,
    stripping::Stripper,
};

/// What kind of die, which decides the strip states it goes through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DieKind {
    /// One operation.
    Single,
    /// Cutting only, in one station.
    Compound,
    /// Cutting and forming in one station.
    Combination,
    /// A strip carried through stations.
    Progressive,
    /// Loose blanks moved from station to station.
    Transfer,
}

impl DieKind {
    /// Whether the die fills up and runs out station by station.
    pub const fn fills_up(self) -> bool {
        matches!(self, Self::Progressive | Self::Transfer)
    }
}

/// Where the die stands: its centre on the bolster and how it is turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Die centre, right of the bolster centre.
    pub x: Length,
    /// Die centre, behind the bolster centre.
    pub y: Length,
    /// Counter-clockwise seen from above; quarter turns.
    pub turn_deg: f64,
}

impl Placement {
    /// The motion from die coordinates to the bolster.
    pub fn motion(&self) -> Motion {
        Motion::new(Point::new(self.x.metres(), self.y.metres()), self.turn_deg)
    }
}

/// The die as a body.
#[derive(Clone, Debug, PartialEq)]
pub struct Die {
    /// What kind.
    pub kind: DieKind,
    /// Its area before turning.
    pub footprint: Option<Footprint>,
    /// Closed height.
    pub shut_height: Option<Length>,
    /// Mass of the upper die.
    pub upper_mass: Option<Mass>,
    /// Where it stands.
    pub placement: Placement,
}

impl Die {
    /// Its area on the bolster, width and depth exchanged by an odd number of quarter turns.
    pub fn placed_footprint(&self) -> Option<Footprint> {
        let footprint = self.footprint?;
        let quarter_turns = (self.placement.turn_deg / 90.0).round().rem_euclid(4.0) as u32;
        Some(if quarter_turns % 2 == 1 {
            Footprint { width: footprint.depth, depth: footprint.width }
        } else {
            footprint
        })
    }
}

/// One station.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// What the shop calls it.
    pub name: String,
    /// Its point in die coordinates.
    pub at: Point,
    /// Its place along the strip, from 1; none for a die that does not fill up.
    pub strip_position: u32,
    /// Stock in this station where it differs from the job's.
    pub stock: Option<Stock>,
    /// What it does.
    pub work: Vec<PlacedWork>,
    /// How it strips; taken as fixed if unknown, which loads the slide.
    pub stripper: Option<Stripper>,
}

/// A piece of work with its own place and turn in the station.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedWork {
    /// What is done.
    pub work: Work,
    /// From work coordinates to station coordinates.
    pub motion: Motion,
}

/// What a station does to the stock, or to itself.
#[derive(Clone, Debug, PartialEq)]
pub enum Work {
    /// Cuts along an outline.
    Cut(Cut),
    /// Bends along a line.
    Bend(Bend),
    /// Pushes back.
    Spring(Spring),
    /// Any other work, as a table of height and force.
    Table(Vec<(Length, Force)>),
}

impl Work {
    /// Whether it acts only where stock is in the station.
    pub const fn needs_stock(&self) -> bool {
        !matches!(self, Self::Spring(_))
    }

    /// Slide height at which it first acts.
    pub fn entry(&self) -> Length {
        match self {
            Self::Cut(cut) => cut.entry,
            Self::Bend(bend) => bend.entry,
            Self::Spring(spring) => spring.entry,
            Self::Table(rows) => rows.iter().map(|row| row.0).fold(Length::ZERO, |a, b| a.max(b)),
        }
    }

    /// Its loads through the stroke, brought into place by `motion`.
    ///
    /// # Errors
    ///
    /// [`InputError`] of the law that cannot work with the data.
    pub fn loads(
        &self,
        sheet: &Sheet,
        line: Line,
        model: CutModel,
        motion: &Motion,
    ) -> Result<Vec<Load>, InputError> {
        let at = motion.apply(Point::default());
        Ok(match self {
            Self::Cut(cut) => {
                let wear = match line {
                    Line::Nominal => 1.0,
                    Line::Upper => cut.wear_factor.max(1.0),
                };
                vec![Load::Edge(cut.load(sheet, model, wear, motion)?)]
            }
            Self::Bend(bend) => points(bend.loads(sheet, at)?),
            Self::Spring(spring) => vec![Load::Point(spring.load(at)?)],
            Self::Table(rows) => vec![Load::Point(PointLoad::from_table(at, rows)?)],
        })
    }
}

fn points(loads: Vec<PointLoad>) -> Vec<Load> {
    loads.into_iter().map(Load::Point).collect()
}
