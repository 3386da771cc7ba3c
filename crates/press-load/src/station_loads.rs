//! The loads of one station on one line, before they are evaluated at any height.

use crate::{
    Energy, Force, InputError, Length, Line, Motion, Point, Sheet, Stock, WorkError,
    cutting::CutModel,
    die::{Station, Work},
    load::{KeyHeight, Load},
    strip::Strip,
};

/// What the strip overlaps by no more than this, in metres, is not worked.
const TOUCHED: f64 = 1e-9;

/// What all stations of a stroke are worked out with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Terms {
    pub(crate) stock: Stock,
    pub(crate) model: CutModel,
    pub(crate) strip: Option<Strip>,
}

/// The loads of a station on one line, before they are evaluated.
#[derive(Debug)]
pub(crate) struct StationLoads {
    pub(crate) sheet: Sheet,
    pub(crate) full_from: u32,
    pub(crate) half: Vec<(u32, Vec<Load>)>,
    pub(crate) with_stock: Vec<Load>,
    pub(crate) springs: Vec<Load>,
    pub(crate) strip_force: Force,
    pub(crate) unfinished: Length,
}

impl StationLoads {
    /// The loads of `station`, the one at `index`, on `line`.
    pub(crate) fn new(
        station: &Station,
        index: usize,
        terms: &Terms,
        line: Line,
    ) -> Result<Self, WorkError> {
        let Terms { stock, model, strip } = *terms;
        let at_fault = |work| move |error| WorkError { station: index, work, error };
        let sheet = station.stock.as_ref().unwrap_or(&stock).sheet(line).map_err(at_fault(None))?;
        let to_die = Motion::new(station.at, 0.0);
        let mut loads = Self {
            sheet,
            full_from: station.strip_position,
            half: Vec::new(),
            with_stock: Vec::new(),
            springs: Vec::new(),
            strip_force: Force::ZERO,
            unfinished: Length::ZERO,
        };
        for (work_index, placed) in station.work.iter().enumerate() {
            let motion = placed.motion.then(&to_die);
            let work_loads = placed
                .work
                .loads(&sheet, line, model, &motion)
                .map_err(at_fault(Some(work_index)))?;
            if let Work::Cut(cut) = &placed.work {
                let whole_edge: f64 = work_loads
                    .iter()
                    .map(|load| match load {
                        Load::Edge(edge) => edge.whole_edge_force(),
                        Load::Point(_) => 0.0,
                    })
                    .sum();
                loads.unfinished = loads.unfinished.max(-cut.finished_at(&sheet));
                loads.strip_force += Force::from_newtons(cut.strip_factor * whole_edge);
            }
            let kept =
                if placed.work.needs_stock() { &mut loads.with_stock } else { &mut loads.springs };
            kept.extend(work_loads);
        }
        if let Some(strip) = &strip {
            let reach = reach(station, strip).map_err(at_fault(None))?;
            loads.full_from = reach.full_from;
            for hit in reach.first..reach.full_from {
                let end = strip.end_at(hit);
                let mut half = Vec::new();
                for (work_index, placed) in station.work.iter().enumerate() {
                    if placed.work.needs_stock() {
                        let motion = placed.motion.then(&to_die);
                        let part = placed.work.loads_up_to(&sheet, line, model, &motion, end);
                        half.extend(part.map_err(at_fault(Some(work_index)))?);
                    }
                }
                loads.half.push((hit, half));
            }
        }
        if let Some(crate::stripping::Stripper::Sprung(spring)) = &station.stripper {
            let at = to_die.apply(Point::default());
            loads.springs.push(Load::Point(spring.load(at).map_err(at_fault(None))?));
        }
        Ok(loads)
    }

    /// Work per stroke with stock in the station.
    pub(crate) fn work(&self) -> Energy {
        self.with_stock.iter().chain(&self.springs).map(Load::work).sum()
    }

    /// Where the loads have kinks and jumps.
    pub(crate) fn key_heights(&self) -> impl Iterator<Item = KeyHeight> + '_ {
        let half = self.half.iter().flat_map(|half| &half.1);
        self.with_stock.iter().chain(&self.springs).chain(half).flat_map(Load::key_heights)
    }
}

/// The hits from which on a station is partly and all on stock.
struct Reach {
    first: u32,
    full_from: u32,
}

fn reach(station: &Station, strip: &Strip) -> Result<Reach, InputError> {
    let (to_die, feed) = (Motion::new(station.at, 0.0), strip.feed.direction());
    let at = station.at.along(feed);
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for placed in station.work.iter().filter(|placed| placed.work.needs_stock()) {
        let (from, to) = placed.work.extent_along(&placed.motion.then(&to_die), feed)?;
        (low, high) = (low.min(from), high.max(to));
    }
    if low > high {
        (low, high) = (at, at);
    }
    // A hair beyond its beginning, so that an edge that only touches it does not count.
    let first = strip.hit_that_reaches(low + 2.0 * TOUCHED)?;
    Ok(Reach { first, full_from: strip.hit_that_reaches(high)?.max(first) })
}
