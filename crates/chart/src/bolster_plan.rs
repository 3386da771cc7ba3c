//! The bolster seen from above, operator at the front: where the die sits and where the load acts.

use plotters::coord::Shift;
use plotters::prelude::{DrawingArea, DrawingBackend};

use crate::frame::{Frame, Point};
use crate::scene::{DrawError, size_in_pixels, width_on};
use crate::sight::{Sight, Window};
use crate::style::Style;

mod dimensions;
mod editing;
mod layout;

pub use editing::{CutEdge, PlanEdit};
pub(crate) use layout::filling_height;

/// Everything a bolster plan shows. Places are in millimetres on the bolster: origin at its
/// centre, x to the right, y to the back.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BolsterPlan {
    /// The bolster, if its size is known.
    pub bolster: Option<PlanSize>,
    /// The bolster's slots, from edge to edge.
    pub slots: Vec<Vec<(f64, f64)>>,
    /// Closed outlines of the holes in the bolster.
    pub openings: Vec<Vec<(f64, f64)>>,
    /// The line across the die where the strip ends; empty if it is full.
    pub strip_end: Vec<(f64, f64)>,
    /// The slide face, if its size is known.
    pub slide: Option<PlanSize>,
    /// Centres of the suspension points.
    pub suspension_points: Vec<(f64, f64)>,
    /// The die as placed.
    pub die: Option<PlanDie>,
    /// The stations with their outlines.
    pub stations: Vec<PlanStation>,
    /// The way of the load centre through the stroke.
    pub load_path: Vec<(f64, f64)>,
    /// The load centre at the slide's height now.
    pub load_now: Option<LoadCentre>,
    /// Closed outline of the region in which the load centre must stay; empty if not known.
    pub allowed_region: Vec<(f64, f64)>,
    /// Which way the strip or the blanks move; `None` for a die without feed.
    pub feed: Option<FeedDirection>,
    /// The cut whose outline is being edited, which the plan then shows large.
    pub editing: Option<PlanEdit>,
    /// Handles by which stations are moved, in their order; empty unless they are being moved.
    pub handles: Vec<PlanHandle>,
    /// The part that is looked at more closely, if any; both directions to the same scale.
    pub window: Option<Window>,
    /// Dimension lines, outside the bolster.
    pub dimensions: Vec<Dimension>,
}

/// The handle of a station.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PlanHandle {
    /// It can be taken.
    #[default]
    Free,
    /// It is the one that is moved, or that the keys move.
    Chosen,
    /// The station is locked and stays.
    Locked,
}

/// One dimension line.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    /// Where it stands.
    pub side: DimensionSide,
    /// Counted from the bolster outwards, from 0.
    pub row: usize,
    /// Its ends on the bolster, along the side.
    pub from_mm: f64,
    /// The other end.
    pub to_mm: f64,
    /// The length in words.
    pub words: String,
}

/// Where a dimension line stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DimensionSide {
    /// Below the bolster, from left to right.
    Below,
    /// Left of the bolster, from front to back.
    Left,
}

/// Width from left to right and depth from front to back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanSize {
    /// Width in mm.
    pub width_mm: f64,
    /// Depth in mm.
    pub depth_mm: f64,
}

/// The die's outline and its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanDie {
    /// Size before turning; without it a frame around the stations stands in for the die.
    pub size: Option<PlanSize>,
    /// Die centre to the right of the bolster centre.
    pub shift_x_mm: f64,
    /// Die centre to the back of the bolster centre.
    pub shift_y_mm: f64,
    /// Turn in degrees, counter-clockwise seen from above.
    pub turn_deg: f64,
}

/// One station.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlanStation {
    /// The number shown beside it.
    pub number: String,
    /// The station's point on the bolster.
    pub at_mm: (f64, f64),
    /// Working edges on the bolster as polylines; a closed one repeats its first point.
    pub outlines_mm: Vec<Vec<(f64, f64)>>,
    /// Whether the station works at the slide's height now.
    pub activity: StationActivity,
}

/// What a station does at the slide's height now.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StationActivity {
    /// It carries no load.
    #[default]
    Resting,
    /// It carries load; its edges are drawn heavier and in the accent.
    Working,
}

/// The load centre and the words beside it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoadCentre {
    /// Its place on the bolster.
    pub at_mm: (f64, f64),
    /// Words such as `128 mm left`.
    pub words: String,
}

/// Which way the strip or the blanks move, seen by the operator.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FeedDirection {
    /// From left to right.
    Rightwards,
    /// From right to left.
    Leftwards,
    /// From the front to the back.
    Backwards,
    /// From the back to the front.
    Frontwards,
}

/// Where places on the bolster lie in the drawn plan: CSS pixels from its upper left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanView {
    /// Pixels from the left edge to the bolster centre.
    pub centre_x: f64,
    /// Pixels from the upper edge to the bolster centre.
    pub centre_y: f64,
    /// Pixels to a millimetre, the same both ways.
    pub pixels_per_mm: f64,
    /// Width and height of the picture.
    pub size: (f64, f64),
    /// All that there is to see, in mm.
    pub whole: Window,
}

impl PlanView {
    /// The pixel of a place on the bolster.
    pub fn pixel_at(&self, (x_mm, y_mm): (f64, f64)) -> (f64, f64) {
        (self.centre_x + x_mm * self.pixels_per_mm, self.centre_y - y_mm * self.pixels_per_mm)
    }

    /// The place on the bolster, in mm, of a pixel.
    pub fn place_at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        ((x - self.centre_x) / self.pixels_per_mm, (self.centre_y - y) / self.pixels_per_mm)
    }

    /// What is in view, for hands that change it.
    pub fn sight(&self) -> Sight {
        let (right, bottom) = self.size;
        Sight { left: 0.0, right, top: 0.0, bottom, whole: self.whole, shown: self.window() }
    }

    /// The places at the edges of the picture.
    fn window(&self) -> Window {
        let ((left, top), (right, bottom)) = (self.place_at((0.0, 0.0)), self.place_at(self.size));
        Window { left, right, bottom, top }
    }

    fn pixels(&self, places: &[(f64, f64)]) -> Vec<Point> {
        places
            .iter()
            .filter(|(x, y)| x.is_finite() && y.is_finite())
            .map(|place| self.pixel_at(*place))
            .collect()
    }

    fn rectangle(&self, size: PlanSize) -> Frame {
        Frame::around(
            (self.centre_x, self.centre_y),
            size.width_mm * self.pixels_per_mm,
            size.depth_mm * self.pixels_per_mm,
        )
    }
}

impl PlanDie {
    /// Its corners on the bolster, from the front left one counter-clockwise; none without a size.
    pub fn corners_mm(&self) -> Option<[(f64, f64); 4]> {
        let size = layout::usable(self.size)?;
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        let (right, back) = (size.width_mm / 2.0, size.depth_mm / 2.0);
        Some([(-right, -back), (right, -back), (right, back), (-right, back)].map(|(x, y)| {
            (self.shift_x_mm + x * cos - y * sin, self.shift_y_mm + x * sin + y * cos)
        }))
    }
}

/// Draws the plan over the whole area and returns where things lie in it.
///
/// # Errors
///
/// Whatever the backend reports.
pub fn draw_bolster_plan<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    plan: &BolsterPlan,
    style: &Style,
) -> Result<PlanView, DrawError<DB>> {
    let size = size_in_pixels(area, style);
    let (scene, view) = layout::lay_out(plan, style, size, &width_on(area, style));
    scene.paint(area, style)?;
    Ok(view)
}
