//! A slide that stands: what acts on it at one height, for the record after a trip or a stall.
//!
//! It says what stands between slide and bolster there. It does not say how a stuck press is freed, which
//! is work for specialists.

use crate::{
    Energy, Force, Length, Point, StripState, Stroke,
    die::Die,
    press::{Press, Suspension},
    stroke::highest_index,
};

/// What one station pushes there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Engaged {
    /// Index of the station.
    pub station: usize,
    /// Nominal force of work and springs.
    pub nominal: Force,
    /// On the upper line.
    pub upper: Force,
}

/// What acts with the slide at one height, on its way down.
#[derive(Clone, Debug, PartialEq)]
pub struct Stall {
    /// Slide height above BDC.
    pub height: Length,
    /// Stations that push, the strongest first.
    pub engaged: Vec<Engaged>,
    /// Nominal force.
    pub nominal: Force,
    /// Force on the upper line.
    pub upper: Force,
    /// Its centre on the bolster, where a force acts.
    pub centre: Option<Point>,
    /// Upper force on each suspension point, in the order of [`Suspension::each_part`]; empty where the
    /// points are not known.
    pub points: Vec<Force>,
    /// What the press allows there, where known.
    pub available: Option<Force>,
    /// Work done on the way down to there, upper line.
    pub work_done: Energy,
}

impl Stall {
    /// What acts with the slide at `height` in a strip state.
    pub fn new(
        press: &Press,
        die: &Die,
        stroke: &Stroke,
        state: StripState,
        height: Length,
    ) -> Self {
        let placement = die.placement.motion();
        let nominal = stroke.nominal.total(state, &placement);
        let upper = stroke.upper.total(state, &placement);
        let between = rows_about(stroke, &upper.force, height);
        let at = |series: &[f64]| between.map_or(0.0, |between| between.value(series));
        let of_station = |line: &crate::stroke::StrokeLine, index: usize| {
            let station = &line.stations[index];
            let with_stock = station.stock_in(state).map_or(0.0, |series| at(&series.force));
            Force::from_newtons(with_stock + at(&station.springs.force))
        };
        let mut engaged: Vec<Engaged> = (0..stroke.upper.stations.len())
            .map(|station| Engaged {
                station,
                nominal: of_station(&stroke.nominal, station),
                upper: of_station(&stroke.upper, station),
            })
            .filter(|engaged| engaged.upper > Force::ZERO || engaged.nominal > Force::ZERO)
            .collect();
        engaged.sort_by(|a, b| b.upper.newtons().total_cmp(&a.upper.newtons()));
        let force = at(&upper.force);
        let centre = (force > 0.0)
            .then(|| Point::new(at(&upper.moment_x) / force, at(&upper.moment_y) / force));
        let points = match (press.suspension, centre) {
            (Some(suspension), Some(centre)) => {
                let (x, y) = (Length::from_metres(centre.x), Length::from_metres(centre.y));
                let parts = suspension.each_part(x, y);
                parts.into_iter().map(|part| Force::from_newtons(force * part)).collect()
            }
            _ => Vec::new(),
        };
        Self {
            height,
            engaged,
            nominal: Force::from_newtons(at(&nominal.force)),
            upper: Force::from_newtons(force),
            centre,
            points,
            available: press.available_force(height),
            work_done: work_down_to(stroke, &upper.force, height),
        }
    }
}

/// A height between two rows, or on one.
#[derive(Clone, Copy)]
struct Between {
    above: usize,
    below: usize,
    /// How far on from the one above to the one below.
    part: f64,
}

impl Between {
    /// A series there, straight between the rows.
    fn value(self, series: &[f64]) -> f64 {
        series[self.above] + (series[self.below] - series[self.above]) * self.part
    }
}

/// The rows about a height, of a jump there the side with the larger `force`, so that everything is
/// told of the same side; nothing outside the stroke.
fn rows_about(stroke: &Stroke, force: &[f64], height: Length) -> Option<Between> {
    let rows = &stroke.rows;
    let below = rows.partition_point(|row| row.height > height);
    let row = rows.get(below)?;
    if row.height == height {
        // Both sides of a jump stand at the same height.
        let sides = rows[below..].iter().take_while(|row| row.height == height).count();
        let larger = highest_index(&force[below..below + sides]).unwrap_or(0);
        return Some(Between { above: below + larger, below: below + larger, part: 0.0 });
    }
    let above = below.checked_sub(1)?;
    let part = (rows[above].height - height) / (rows[above].height - row.height);
    Some(Between { above, below, part })
}

/// Work on the way from the top down to a height, straight lines between the rows.
fn work_down_to(stroke: &Stroke, force: &[f64], height: Length) -> Energy {
    let mut joules = 0.0;
    for index in 1..stroke.rows.len() {
        let (high, low) = (stroke.rows[index - 1].height, stroke.rows[index].height);
        if high <= height {
            break;
        }
        let (end, end_force) = if low >= height {
            (low, force[index])
        } else {
            let part = (high - height) / (high - low);
            (height, Between { above: index - 1, below: index, part }.value(force))
        };
        joules += 0.5 * (force[index - 1] + end_force) * (high - end).metres();
    }
    Energy::from_joules(joules)
}

impl Suspension {
    /// Parts of a force at `(x, y)` carried by each point: left, right; front left, front right, back left,
    /// back right. Rigid slide, as in [`Suspension::parts`].
    pub fn each_part(self, x: Length, y: Length) -> Vec<f64> {
        let sides = |offset: Length, span: Length| [0.5 - offset / span, 0.5 + offset / span];
        match self {
            Self::OnePoint => vec![1.0],
            Self::TwoPoint { span_x } => sides(x, span_x).to_vec(),
            Self::FourPoint { span_x, span_y } => {
                let across = sides(x, span_x);
                sides(y, span_y)
                    .iter()
                    .flat_map(|depth| across.iter().map(move |side| side * depth))
                    .collect()
            }
        }
    }
}
