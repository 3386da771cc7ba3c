//! What has been evaluated, kept so that an edit of one station costs little more than that station.
//!
//! Rows are found by trying heights, three times as many as are kept. An edit leaves most of them
//! where they were: the total force there is the one before, less what the edited stations gave, plus
//! what they give now. That is good to rounding, and the search asks for a thousandth of the peak;
//! the curves themselves are never differences.

use crate::{
    Line, LoadSeries, WorkError,
    die::Station,
    load::Load,
    order,
    station_loads::{StationLoads, Terms},
};
use std::{ops::Range, sync::Arc};

/// Total forces are taken over from this many unchanged stations on for each that came or went.
const TOTALS_KEPT: usize = 4;

/// The loads of all stations, and their total force at all heights that were tried.
#[derive(Debug)]
pub(crate) struct Evaluation {
    terms: Terms,
    pub(crate) stations: Vec<Evaluated>,
    /// In the order in which they were tried: what lies there is a place.
    heights: Vec<f64>,
    /// The places from the highest to the lowest, once all heights are known.
    falling: Vec<usize>,
    /// Force of all stations on each line, at each place.
    pub(crate) force: [Vec<f64>; 2],
}

/// One station on both lines.
#[derive(Debug)]
pub(crate) struct Evaluated {
    station: Station,
    /// Which station of the previous evaluation it equals.
    before: Option<usize>,
    pub(crate) loads: Arc<[StationLoads; 2]>,
}

impl Evaluation {
    /// The loads of `stations`, those of a `previous` evaluation where nothing has changed; and that
    /// evaluation if total forces may be taken over from it.
    pub(crate) fn new<'a>(
        stations: &[Station],
        terms: Terms,
        previous: Option<&'a Self>,
    ) -> Result<(Self, Option<&'a Self>), WorkError> {
        let previous = previous.filter(|previous| previous.terms == terms);
        let before = match previous {
            Some(previous) => previous.matching(stations),
            None => vec![None; stations.len()],
        };
        // The nominal line of all stations first: which fault is found is to be the same for an
        // edit as for the whole job.
        let mut loads: [Vec<StationLoads>; 2] = [Vec::new(), Vec::new()];
        for (line, loads) in [Line::Nominal, Line::Upper].into_iter().zip(&mut loads) {
            for (index, station) in stations.iter().enumerate() {
                if before[index].is_none() {
                    loads.push(StationLoads::new(station, index, &terms, line)?);
                }
            }
        }
        let [nominal, upper] = loads;
        let mut anew = nominal.into_iter().zip(upper);
        let mut evaluated = Vec::with_capacity(stations.len());
        let mut kept = 0;
        for (station, before) in stations.iter().zip(before) {
            let loads = if let Some((previous, index)) = previous.zip(before) {
                kept += 1;
                Arc::clone(&previous.stations[index].loads)
            } else if let Some((nominal, upper)) = anew.next() {
                Arc::new([nominal, upper])
            } else {
                break;
            };
            evaluated.push(Evaluated { station: station.clone(), before, loads });
        }
        // In a small die, or where much has changed, differences cost more than they save.
        let keeps_totals = |previous: &&Self| {
            TOTALS_KEPT * (evaluated.len() + previous.stations.len() - 2 * kept) < kept
        };
        let before = previous.filter(keeps_totals);
        let all = Self {
            terms,
            stations: evaluated,
            heights: Vec::new(),
            falling: Vec::new(),
            force: Default::default(),
        };
        Ok((all, before))
    }

    /// Whether nothing in it would be different for `stations` on `terms`.
    pub(crate) fn is_of(&self, stations: &[Station], terms: &Terms) -> bool {
        let same = |(known, station): (&Evaluated, &Station)| known.is_of(station);
        self.terms == *terms
            && self.stations.len() == stations.len()
            && self.stations.iter().zip(stations).all(same)
    }

    /// For each of `stations` the one here that equals it; each is taken once.
    fn matching(&self, stations: &[Station]) -> Vec<Option<usize>> {
        let mut free = vec![true; self.stations.len()];
        let mut matching = vec![None; stations.len()];
        // Where they were, first: most edits move no station.
        for anywhere in [false, true] {
            for (place, station) in stations.iter().enumerate() {
                let span =
                    if anywhere { 0..free.len() } else { place..(place + 1).min(free.len()) };
                for index in span {
                    if matching[place].is_none()
                        && free[index]
                        && self.stations[index].is_of(station)
                    {
                        free[index] = false;
                        matching[place] = Some(index);
                    }
                }
            }
        }
        matching
    }

    /// Evaluates the total force at falling `heights`; returns their places.
    pub(crate) fn add(&mut self, heights: &[f64], before: Option<&Self>) -> Range<usize> {
        let places = self.heights.len()..self.heights.len() + heights.len();
        self.heights.extend_from_slice(heights);
        let (mut known, mut at_known, mut at_missing) = (Vec::new(), Vec::new(), Vec::new());
        for &height in heights {
            let place = before.and_then(|before| before.find_height(height));
            known.push(place);
            if place.is_some() { at_known.push(height) } else { at_missing.push(height) }
        }
        for line in [0, 1] {
            let anew = total(&self.stations, line, &at_missing, &|_| true);
            let changes = before.map(|before| self.changes(before, line, &at_known));
            let (mut next_new, mut next_known) = (0, 0);
            for place in &known {
                let force = match (*place, before, &changes) {
                    (Some(place), Some(before), Some(changes)) => {
                        next_known += 1;
                        before.force[line][place] + changes[next_known - 1]
                    }
                    _ => {
                        next_new += 1;
                        anew[next_new - 1]
                    }
                };
                self.force[line].push(force);
            }
        }
        places
    }

    /// How much more force there is at falling heights than there was before.
    fn changes(&self, before: &Self, line: usize, heights: &[f64]) -> Vec<f64> {
        let mut gone = vec![true; before.stations.len()];
        for station in &self.stations {
            if let Some(index) = station.before {
                gone[index] = false;
            }
        }
        let mut changes =
            total(&self.stations, line, heights, &|index| self.stations[index].before.is_none());
        let less = total(&before.stations, line, heights, &|index| gone[index]);
        for (change, less) in changes.iter_mut().zip(less) {
            *change -= less;
        }
        changes
    }

    /// Total force on one line at falling heights that are not worth keeping.
    pub(crate) fn force_once(&self, line: usize, heights: &[f64]) -> Vec<f64> {
        total(&self.stations, line, heights, &|_| true)
    }

    /// To be called when all heights are known, so that they can be found again.
    pub(crate) fn finish(&mut self) {
        self.falling = order::falling(&self.heights);
    }

    /// The place of a height.
    fn find_height(&self, height: f64) -> Option<usize> {
        let index = self.falling.partition_point(|&place| self.heights[place] > height);
        let place = *self.falling.get(index)?;
        (self.heights[place] == height).then_some(place)
    }
}

impl Evaluated {
    /// Whether the loads are those of `station`, whatever it is called.
    fn is_of(&self, station: &Station) -> bool {
        let known = &self.station;
        known.at == station.at
            && known.strip_position == station.strip_position
            && known.stock == station.stock
            && known.stripper == station.stripper
            && known.work == station.work
    }
}

/// Force on one line at falling heights of those stations of which the index `counts`.
fn total(
    stations: &[Evaluated],
    line: usize,
    heights: &[f64],
    counts: &dyn Fn(usize) -> bool,
) -> Vec<f64> {
    let mut series = LoadSeries::zero(heights.len());
    for (index, station) in stations.iter().enumerate() {
        if counts(index) && !heights.is_empty() {
            let loads = &station.loads[line];
            for load in loads.with_stock.iter().chain(&loads.springs) {
                load.add_to(heights, &mut series);
            }
        }
    }
    series.force
}

/// The sum of some loads at falling heights.
pub(crate) fn sum(loads: &[Load], heights: &[f64]) -> LoadSeries {
    let mut series = LoadSeries::zero(heights.len());
    for load in loads {
        load.add_to(heights, &mut series);
    }
    series
}
