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
    pub(crate) before: Option<usize>,
    pub(crate) loads: Arc<[StationLoads; 2]>,
}

/// An evaluation before an edit.
#[derive(Clone, Copy)]
pub(crate) struct Before<'a> {
    pub(crate) evaluation: &'a Evaluation,
    /// Whether few enough stations have changed for total forces to be taken over.
    keeps_totals: bool,
}

impl Evaluation {
    /// The loads of `stations`, those of a `previous` evaluation where nothing has changed.
    pub(crate) fn new<'a>(
        stations: &[Station],
        terms: Terms,
        previous: Option<&'a Self>,
    ) -> Result<(Self, Option<Before<'a>>), WorkError> {
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
        let mut anew = nominal.into_iter().zip(upper).map(|(n, u)| Arc::new([n, u]));
        let evaluated: Vec<Evaluated> = stations
            .iter()
            .zip(before)
            .filter_map(|(station, before)| {
                let known = previous.zip(before).map(|(p, i)| Arc::clone(&p.stations[i].loads));
                let loads = known.or_else(|| anew.next())?;
                Some(Evaluated { station: station.clone(), before, loads })
            })
            .collect();
        let kept = evaluated.iter().filter(|station| station.before.is_some()).count();
        let before = previous.map(|evaluation| {
            let changed = evaluated.len() + evaluation.stations.len() - 2 * kept;
            Before { evaluation, keeps_totals: changed < kept }
        });
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
        let mut take = |station: &Station, index: usize| {
            let found = free.get(index) == Some(&true) && self.stations[index].is_of(station);
            found.then(|| free[index] = false).map(|()| index)
        };
        // Where they were, first: most edits move no station.
        let mut matching: Vec<Option<usize>> =
            stations.iter().enumerate().map(|(index, station)| take(station, index)).collect();
        for (station, found) in stations.iter().zip(&mut matching) {
            if found.is_none() {
                *found = (0..self.stations.len()).find_map(|index| take(station, index));
            }
        }
        matching
    }

    /// Evaluates the total force at falling `heights`; returns their places.
    pub(crate) fn add(&mut self, heights: &[f64], before: Option<Before>) -> Range<usize> {
        let places = self.heights.len()..self.heights.len() + heights.len();
        self.heights.extend(heights);
        let before = before.filter(|before| before.keeps_totals).map(|before| before.evaluation);
        let known: Vec<Option<usize>> =
            heights.iter().map(|&height| before?.find_height(height)).collect();
        let of = |is_known: bool| -> Vec<f64> {
            let pairs = heights.iter().zip(&known);
            pairs.filter(|(_, place)| place.is_some() == is_known).map(|pair| *pair.0).collect()
        };
        let (at_known, at_missing) = (of(true), of(false));
        for line in [0, 1] {
            let anew = total(&self.stations, line, &at_missing);
            let mut anew = anew.into_iter();
            let mut changes = match before {
                Some(before) => self.changes(before, line, &at_known),
                None => Vec::new(),
            }
            .into_iter();
            for place in &known {
                let force = match place.zip(before) {
                    Some((place, before)) => changes.next().map(|c| c + before.force[line][place]),
                    None => anew.next(),
                };
                self.force[line].extend(force);
            }
        }
        places
    }

    /// How much more force there is at falling heights than there was before.
    fn changes(&self, before: &Self, line: usize, heights: &[f64]) -> Vec<f64> {
        let mut changes = total(self.stations.iter().filter(|s| s.before.is_none()), line, heights);
        let mut gone = vec![true; before.stations.len()];
        for index in self.stations.iter().filter_map(|station| station.before) {
            gone[index] = false;
        }
        let gone = before.stations.iter().zip(gone).filter(|pair| pair.1).map(|pair| pair.0);
        for (change, force) in changes.iter_mut().zip(total(gone, line, heights)) {
            *change -= force;
        }
        changes
    }

    /// Total force on one line at falling heights that are not worth keeping.
    pub(crate) fn force_once(&self, line: usize, heights: &[f64]) -> Vec<f64> {
        total(&self.stations, line, heights)
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

/// Force of some stations on one line at falling heights.
fn total<'a>(
    stations: impl IntoIterator<Item = &'a Evaluated>,
    line: usize,
    heights: &[f64],
) -> Vec<f64> {
    let mut series = LoadSeries::zero(heights.len());
    if !heights.is_empty() {
        for station in stations {
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

/// Rows of which the curves of unchanged stations are known from a previous stroke.
pub(crate) struct Known {
    heights: Vec<f64>,
    missing: Vec<f64>,
    runs: Vec<Run>,
}

/// Rows that follow each other, here and where they come from.
struct Run {
    /// Whether from the previous curves; from those evaluated anew at what is missing otherwise.
    known: bool,
    from: Range<usize>,
}

impl Known {
    /// Of falling `heights` those that are among the `previous`, falling as well.
    pub(crate) fn new(heights: Vec<f64>, previous: &[f64]) -> Self {
        let mut runs: Vec<Run> = Vec::new();
        let mut missing = Vec::new();
        let mut next = 0;
        for &height in &heights {
            while next < previous.len() && previous[next] > height {
                next += 1;
            }
            let known = previous.get(next) == Some(&height);
            let place = if known { next } else { missing.len() };
            if !known {
                missing.push(height);
            }
            match runs.last_mut() {
                Some(run) if run.known == known && run.from.end == place => run.from.end += 1,
                _ => runs.push(Run { known, from: place..place + 1 }),
            }
        }
        Self { heights, missing, runs }
    }

    /// The sum of `loads` at all rows, from the curve that it `was` where that is known.
    pub(crate) fn sum(&self, loads: &[Load], was: Option<&LoadSeries>) -> LoadSeries {
        let Some(was) = was.filter(|_| !loads.is_empty()) else {
            return sum(loads, &self.heights);
        };
        let anew = sum(loads, &self.missing);
        let mut series = LoadSeries::with_capacity(self.heights.len());
        for run in &self.runs {
            series.extend(if run.known { was } else { &anew }, run.from.clone());
        }
        series
    }
}
