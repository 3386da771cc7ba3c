//! What the job predicts, as a load monitor would see it.

use evenstroke_job::{Job, what_if::Place as Point};
use press_load::{Line, LoadSeries, StripState, press::Suspension};

/// Nominal forces over slide height, the strip full, the die where it stands.
#[derive(Clone, Debug)]
pub struct Predicted {
    /// Slide heights from the top down, in metres.
    heights: Vec<f64>,
    /// All that acts on the way down.
    pub total: LoadSeries,
    /// What acts on the way up as well: springs and cushions.
    pub springs: LoadSeries,
    /// Stock in each station.
    pub stations: Vec<LoadSeries>,
    /// Height at which anything first pushes, in metres.
    pub touch: f64,
    /// Force at BDC, in newtons.
    at_bdc: f64,
}

/// The part of a load at (x, y) that each channel sees: all of it for one, the share of a suspension
/// point of a rigid slide for two and four.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shares {
    /// One channel.
    Whole,
    /// Left and right, by the span in metres.
    Two(f64),
    /// Front left, front right, back left, back right.
    Four(f64, f64),
}

impl Shares {
    /// Of a press with as many points as there are channels; the whole press else.
    pub fn of(suspension: Option<Suspension>, channels: usize) -> Self {
        match (suspension, channels) {
            (Some(Suspension::TwoPoint { span_x }), 2) => Self::Two(span_x.metres()),
            (Some(Suspension::FourPoint { span_x, span_y }), 4) => {
                Self::Four(span_x.metres(), span_y.metres())
            }
            _ => Self::Whole,
        }
    }

    /// How many.
    pub const fn count(self) -> usize {
        match self {
            Self::Whole => 1,
            Self::Two(_) => 2,
            Self::Four(..) => 4,
        }
    }

    /// What they are called.
    pub const fn places(self) -> &'static [Point] {
        match self {
            Self::Whole => &[Point::Total],
            Self::Two(_) => &[Point::Left, Point::Right],
            Self::Four(..) => {
                &[Point::FrontLeft, Point::FrontRight, Point::BackLeft, Point::BackRight]
            }
        }
    }

    /// Force that a channel sees of a force with its moments.
    ///
    /// Four points see the product of the parts in both directions, as in the check; for a load of
    /// several parts their moments are taken at its centre.
    pub fn seen(self, channel: usize, force: f64, moment_x: f64, moment_y: f64) -> f64 {
        let side = if channel.is_multiple_of(2) { -1.0 } else { 1.0 };
        let depth = if channel < 2 { -1.0 } else { 1.0 };
        match self {
            Self::Whole => force,
            Self::Two(span) => 0.5 * force + side * moment_x / span,
            Self::Four(span_x, span_y) => {
                let across = if force.abs() > 0.0 {
                    side * depth * moment_x * moment_y / (force * span_x * span_y)
                } else {
                    0.0
                };
                0.25 * force
                    + 0.5 * side * moment_x / span_x
                    + 0.5 * depth * moment_y / span_y
                    + across
            }
        }
    }

    /// Load centre in metres worked back from what the channels see.
    pub fn centre(self, seen: &[f64]) -> Option<(f64, Option<f64>)> {
        let total: f64 = seen.iter().sum();
        if !(total > 0.0) || seen.len() != self.count() {
            return None;
        }
        match self {
            Self::Whole => None,
            Self::Two(span) => Some((0.5 * span * (seen[1] - seen[0]) / total, None)),
            Self::Four(span_x, span_y) => Some((
                0.5 * span_x * (seen[1] + seen[3] - seen[0] - seen[2]) / total,
                Some(0.5 * span_y * (seen[2] + seen[3] - seen[0] - seen[1]) / total),
            )),
        }
    }
}

impl Predicted {
    /// Of a job.
    pub fn of(job: &Job) -> Self {
        let placement = job.die.placement.motion();
        let line = job.stroke.line(Line::Nominal);
        let heights: Vec<f64> = job.stroke.rows.iter().map(|row| row.height.metres()).collect();
        let total = line.total(StripState::Full, &placement);
        let mut stations: Vec<LoadSeries> =
            line.stations.iter().map(|station| station.with_stock.clone()).collect();
        stations.iter_mut().for_each(|station| station.place(&placement));
        let mut springs = total.clone();
        stations.iter().for_each(|station| springs.subtract(station));
        let touch = (0..heights.len())
            .find(|&row| total.force[row] > 0.0)
            .map_or(0.0, |row| heights[row.saturating_sub(1)].min(heights[row] + 1e-3));
        let at_bdc = total.force.last().copied().unwrap_or(0.0);
        Self { heights, total, springs, stations, touch, at_bdc }
    }

    /// A curve at a height, in the rows' own terms.
    pub fn at(&self, curve: &[f64], height: f64) -> f64 {
        let below = self.heights.partition_point(|&row| row > height);
        match (below.checked_sub(1), self.heights.get(below)) {
            (Some(above), Some(&next)) => {
                let span = self.heights[above] - next;
                let part = if span > 0.0 { (self.heights[above] - height) / span } else { 1.0 };
                curve[above] + part * (curve[below] - curve[above])
            }
            (Some(last), None) => curve[last],
            (None, _) => curve.first().copied().unwrap_or(0.0),
        }
    }

    /// Force, and both moments, of a series at a height.
    pub fn load(&self, series: &LoadSeries, height: f64) -> (f64, f64, f64) {
        (
            self.at(&series.force, height),
            self.at(&series.moment_x, height),
            self.at(&series.moment_y, height),
        )
    }

    /// Force of the whole press on the way down or up, in newtons.
    pub fn force(&self, height: f64, down: bool) -> f64 {
        self.at(if down { &self.total.force } else { &self.springs.force }, height)
    }

    /// Height of the slide where the drive stands at `drive`, in metres, while the press reads `force`
    /// in newtons: it is held up by the stretch of the press, less that at BDC, which the shut height
    /// makes up for.
    pub fn slide_at(&self, job: &Job, drive: f64, force: f64) -> f64 {
        let stretch = job
            .press
            .stiffness
            .map_or(0.0, |stiffness| (force - self.at_bdc) / stiffness.newtons_per_metre());
        drive + stretch
    }
}
