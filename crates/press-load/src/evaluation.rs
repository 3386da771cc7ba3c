//! What has been evaluated of each station, kept so that an edit of one station costs that station.
//!
//! Rows are found by trying heights, three times as many as are kept. An edit leaves most of them
//! where they were: what a station that did not change gives there is looked up.

use crate::{
    Line, LoadSeries, WorkError,
    die::Station,
    load::Load,
    order,
    station_loads::{StationLoads, Terms},
};
use std::{ops::Range, sync::Arc};

/// All stations at all heights that were asked for so far.
#[derive(Debug)]
pub(crate) struct Evaluation {
    terms: Terms,
    /// In the order in which they were asked for: what lies there is a place.
    heights: Vec<f64>,
    /// The places from the highest to the lowest, once all heights are known.
    falling: Vec<usize>,
    pub(crate) stations: Vec<Evaluated>,
    /// Force of all stations on each line.
    pub(crate) force: [Vec<f64>; 2],
}

/// One station on both lines, at each place.
#[derive(Debug)]
pub(crate) struct Evaluated {
    station: Station,
    /// Which station of the previous evaluation it equals.
    before: Option<usize>,
    pub(crate) loads: Arc<[StationLoads; 2]>,
    with_stock: [LoadSeries; 2],
    /// Empty where there are no springs.
    springs: [LoadSeries; 2],
}

impl Evaluation {
    /// The loads of `stations`, those of a `previous` evaluation where nothing has changed.
    pub(crate) fn new(
        stations: &[Station],
        terms: Terms,
        previous: Option<&Self>,
    ) -> Result<Self, WorkError> {
        let previous = previous.filter(|previous| previous.terms == terms);
        let before: Vec<Option<usize>> = stations
            .iter()
            .enumerate()
            .map(|(index, station)| previous?.find_station(station, index))
            .collect();
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
        for (station, before) in stations.iter().zip(before) {
            let known = previous.zip(before).map(|(p, index)| Arc::clone(&p.stations[index].loads));
            let Some(loads) =
                known.or_else(|| anew.next().map(|(nominal, upper)| Arc::new([nominal, upper])))
            else {
                break;
            };
            evaluated.push(Evaluated {
                station: station.clone(),
                before,
                loads,
                with_stock: Default::default(),
                springs: Default::default(),
            });
        }
        Ok(Self {
            terms,
            heights: Vec::new(),
            falling: Vec::new(),
            stations: evaluated,
            force: Default::default(),
        })
    }

    fn find_station(&self, station: &Station, index: usize) -> Option<usize> {
        let same = |known: &Evaluated| {
            let known = &known.station;
            known.at == station.at
                && known.strip_position == station.strip_position
                && known.stock == station.stock
                && known.stripper == station.stripper
                && known.work == station.work
        };
        if self.stations.get(index).is_some_and(same) {
            return Some(index);
        }
        self.stations.iter().position(same)
    }

    /// Evaluates all stations at falling `heights`; returns their places.
    pub(crate) fn add(&mut self, heights: &[f64], previous: Option<&Self>) -> Range<usize> {
        let places = self.heights.len()..self.heights.len() + heights.len();
        self.heights.extend(heights);
        let known: Vec<Option<usize>> =
            heights.iter().map(|&height| previous?.find_height(height)).collect();
        let missing: Vec<f64> = heights
            .iter()
            .zip(&known)
            .filter_map(|(&height, known)| known.is_none().then_some(height))
            .collect();
        for line in [0, 1] {
            self.force[line].resize(places.end, 0.0);
        }
        for station in &mut self.stations {
            let before = previous.zip(station.before).map(|(p, index)| &p.stations[index]);
            for line in [0, 1] {
                let loads = &station.loads[line];
                for (loads, series, before) in [
                    (
                        &loads.with_stock,
                        &mut station.with_stock[line],
                        before.map(|b| &b.with_stock[line]),
                    ),
                    (&loads.springs, &mut station.springs[line], before.map(|b| &b.springs[line])),
                ] {
                    if loads.is_empty() {
                        continue;
                    }
                    match before {
                        Some(before) => merge(loads, &missing, &known, before, series),
                        None => series.extend(&sum(loads, heights)),
                    }
                    let total = self.force[line][places.clone()].iter_mut();
                    for (total, force) in total.zip(&series.force[places.clone()]) {
                        *total += force;
                    }
                }
            }
        }
        places
    }

    /// Total force on one line at falling heights that are not worth keeping.
    pub(crate) fn force_once(&self, line: usize, heights: &[f64]) -> Vec<f64> {
        let mut series = LoadSeries::zero(heights.len());
        for station in &self.stations {
            let loads = &station.loads[line];
            for load in loads.with_stock.iter().chain(&loads.springs) {
                load.add_to(heights, &mut series);
            }
        }
        series.force
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
    /// What acts with stock, at `places`.
    pub(crate) fn with_stock(&self, line: usize, places: &[usize]) -> LoadSeries {
        self.with_stock[line].at(places)
    }

    /// What acts in any case, at `places`.
    pub(crate) fn springs(&self, line: usize, places: &[usize]) -> LoadSeries {
        self.springs[line].at(places)
    }
}

/// Appends the sum of `loads` at some heights to `series`: evaluated at those that are `missing`,
/// from `before` at those that are known.
fn merge(
    loads: &[Load],
    missing: &[f64],
    known: &[Option<usize>],
    before: &LoadSeries,
    series: &mut LoadSeries,
) {
    let anew = sum(loads, missing);
    let mut next = 0;
    for place in known {
        match *place {
            Some(place) => series.push_from(before, place),
            None => {
                series.push_from(&anew, next);
                next += 1;
            }
        }
    }
}

/// The sum of some loads at falling heights.
pub(crate) fn sum(loads: &[Load], heights: &[f64]) -> LoadSeries {
    let mut series = LoadSeries::zero(heights.len());
    for load in loads {
        load.add_to(heights, &mut series);
    }
    series
}
