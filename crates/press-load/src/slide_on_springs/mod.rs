//! The slide on springs: how far it tilts while the die works.
//!
//! The slide is a rigid plate, its suspension points are springs, and a gap frame opens at the front
//! besides. The stock under every station pushes by the *local* height of the slide there,
//!
//! `hᵢ = z + αx·xᵢ + αy·yᵢ`,
//!
//! with z the height of the slide's middle and α its tilt. With H the height that the drive gives
//! the slide without load, K the stiffness of the whole press and kx, ky those against tilting, the
//! slide rests where
//!
//! `z = H + ΣF/K`, `αx = ΣMx/kx`, `αy = ΣMy/ky − c·ΣF`.
//!
//! Two points `span` apart of stiffness k each give kx = k·span²/2, four give k·span² in each
//! direction. c is the opening of a gap frame, by which it tilts even under a load in the middle;
//! what a load in front of the middle adds to it is not counted.
//!
//! Where one side lets go first the slide tips, and the other side is driven deeper: with a larger
//! load on one side and a smaller one on the other at the same distance both rise together, the
//! smaller one shears, and the larger one keeps building up (P. Ulintz, *MetalForming*, 13 May 2024).
//! Stock that was cut deeper before does not push again; springs always push.
//!
//! Within a station all edges share one local height, that of its load centre at its highest force:
//! punches of which one may let go before the other belong into stations of their own.

mod descent;
mod judge;

pub use judge::{TiltUse, worst_tilt};

use crate::{
    Length, Missing, Motion, Point, StripState, Stroke,
    press::{Frame, Press, Suspension},
    stroke::StrokeLine,
};
use descent::{Slide, Tables, Vector};

/// What keeps the slide level, and how far off level it is without load.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Level {
    /// Play between slide and gibs, both sides together.
    pub gib_clearance: Option<Length>,
    /// Length over which the gibs guide the slide.
    pub gib_length: Option<Length>,
    /// Slide face against bolster without load, a length per length.
    pub parallelism: Option<f64>,
    /// How far a gap frame tilts the slide front–back at rated force in the middle, a length per
    /// length.
    pub frame_tilt_at_rated: Option<f64>,
    /// Stiffness of one suspension point, in newtons per metre.
    pub point_stiffness: Option<f64>,
    /// What gibs and frame add against tilting left–right, in newton metres per radian.
    pub stiffness_x: Option<f64>,
    /// The same front–back.
    pub stiffness_y: Option<f64>,
}

/// The springs under the slide, as compliances: a rigid press is all zeros.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SlideSprings {
    /// Stretch per force, in metres per newton.
    pub stretch: f64,
    /// Tilt left–right per moment, in radians per newton metre.
    pub tilt_x: f64,
    /// Tilt front–back per moment.
    pub tilt_y: f64,
    /// Tilt front–back per force by which a gap frame opens, in radians per newton; the front rises.
    pub frame_tilt: f64,
    /// Whether anything is known to hold the slide against tilting left–right.
    pub held_x: bool,
    /// The same front–back.
    pub held_y: bool,
}

impl SlideSprings {
    /// Of a press.
    ///
    /// Where no stiffness of a point is entered the stiffness of the whole press is taken to be in
    /// its points; where no stiffness of the press is, that of its points is all there is.
    ///
    /// # Errors
    ///
    /// [`Missing`] naming suspension or stiffness.
    pub fn of(press: &Press) -> Result<Self, Missing> {
        let suspension = press.suspension.ok_or(Missing::Suspension)?;
        let points = f64::from(suspension.points());
        let level = &press.level;
        let whole = press.stiffness.map(|stiffness| stiffness.newtons_per_metre());
        let point = level.point_stiffness.or(whole.map(|stiffness| stiffness / points));
        let (Some(whole), Some(point)) = (whole.or(point.map(|point| point * points)), point)
        else {
            return Err(Missing::Stiffness);
        };
        let (by_points_x, by_points_y) = match suspension {
            Suspension::OnePoint => (0.0, 0.0),
            Suspension::TwoPoint { span_x } => (point * span_x.metres().powi(2) / 2.0, 0.0),
            Suspension::FourPoint { span_x, span_y } => {
                (point * span_x.metres().powi(2), point * span_y.metres().powi(2))
            }
        };
        let stiffness_x = by_points_x + level.stiffness_x.unwrap_or(0.0);
        let stiffness_y = by_points_y + level.stiffness_y.unwrap_or(0.0);
        let give = |stiffness: f64| if stiffness > 0.0 { 1.0 / stiffness } else { 0.0 };
        let frame_tilt = match (press.frame, level.frame_tilt_at_rated, press.rated_force) {
            (Some(Frame::GapFrame), Some(tilt), Some(rated)) => tilt / rated.newtons(),
            _ => 0.0,
        };
        Ok(Self {
            stretch: give(whole),
            tilt_x: give(stiffness_x),
            tilt_y: give(stiffness_y),
            frame_tilt,
            held_x: stiffness_x > 0.0,
            held_y: stiffness_y > 0.0,
        })
    }

    /// Displacements of the slide under force and moments.
    fn give(&self, load: Vector) -> Vector {
        [
            self.stretch * load[0],
            self.tilt_x * load[1],
            self.tilt_y * load[2] - self.frame_tilt * load[0],
        ]
    }
}

/// The slide at rest at one height of the drive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlideRow {
    /// Height above BDC that the drive gives the slide without load.
    pub drive: Length,
    /// Height of the slide's middle, higher by the stretch of the press.
    pub slide: Length,
    /// Tilt left–right in radians, positive where the right side is higher.
    pub tilt_x: f64,
    /// Tilt front–back in radians, positive where the back is higher.
    pub tilt_y: f64,
    /// Force on the slide in newtons.
    pub force: f64,
    /// Σ force · x in newton metres.
    pub moment_x: f64,
    /// Σ force · y in newton metres.
    pub moment_y: f64,
}

impl SlideRow {
    /// Tilt left–right in millimetres per metre.
    pub const fn tilt_x_mm_per_m(&self) -> f64 {
        self.tilt_x * 1e3
    }

    /// Tilt front–back in millimetres per metre.
    pub const fn tilt_y_mm_per_m(&self) -> f64 {
        self.tilt_y * 1e3
    }

    /// Height of the slide at a place on the bolster.
    pub fn height_at(&self, at: Point) -> Length {
        self.slide + Length::from_metres(self.tilt_x * at.x + self.tilt_y * at.y)
    }

    /// Force in newtons on each suspension point, left to right and front to back, as far as the
    /// points alone carry the moments.
    pub fn point_loads(&self, suspension: Suspension) -> Vec<f64> {
        let part = |moment: f64, span: Length| moment / span.metres();
        match suspension {
            Suspension::OnePoint => vec![self.force],
            Suspension::TwoPoint { span_x } => {
                let x = part(self.moment_x, span_x);
                vec![self.force / 2.0 - x, self.force / 2.0 + x]
            }
            Suspension::FourPoint { span_x, span_y } => {
                let x = part(self.moment_x, span_x) / 2.0;
                let y = part(self.moment_y, span_y) / 2.0;
                let each = self.force / 4.0;
                vec![each - x - y, each + x - y, each - x + y, each + x + y]
            }
        }
    }
}

/// A station that has let go: its force has fallen to half of its peak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Release {
    /// Index of the station.
    pub station: usize,
    /// Height of the drive.
    pub drive: Length,
}

/// The slide on its way down, in one strip state and on one line.
#[derive(Clone, Debug, PartialEq)]
pub struct SlideCourse {
    /// From first touch to BDC, straight in between; two rows a hair apart where the slide
    /// lets go.
    pub rows: Vec<SlideRow>,
    /// The order in which stations let go.
    pub releases: Vec<Release>,
}

impl SlideCourse {
    /// Follows the slide down.
    ///
    /// # Errors
    ///
    /// [`Missing::Rest`] if the slide finds no rest.
    pub fn new(
        springs: &SlideSprings,
        line: &StrokeLine,
        stroke: &Stroke,
        state: StripState,
        placement: &Motion,
    ) -> Result<Self, Missing> {
        let tables = Tables::new(line, stroke, placement);
        let mut rows = Vec::new();
        let releases =
            Slide::new(springs, &tables, line, state).follow(&mut |row| rows.push(row))?;
        Ok(Self { rows, releases })
    }

    /// The slide at a height of the drive: after it has let go, where it lets go just there.
    pub fn at(&self, drive: Length) -> Option<SlideRow> {
        let below = self.rows.partition_point(|row| row.drive >= drive);
        let above = *self.rows.get(below.checked_sub(1)?)?;
        let Some(next) = self.rows.get(below) else {
            return (above.drive == drive).then_some(above);
        };
        let part = (above.drive - drive) / (above.drive - next.drive);
        let between = |a: f64, b: f64| a + part * (b - a);
        Some(SlideRow {
            drive,
            slide: above.slide + part * (next.slide - above.slide),
            tilt_x: between(above.tilt_x, next.tilt_x),
            tilt_y: between(above.tilt_y, next.tilt_y),
            force: between(above.force, next.force),
            moment_x: between(above.moment_x, next.moment_x),
            moment_y: between(above.moment_y, next.moment_y),
        })
    }
}
