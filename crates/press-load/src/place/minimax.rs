//! The place at which the worst share of a few loads is least.
//!
//! Every load asks for the die to stand within some distance of where its load centre meets the
//! middle of the press, and a share says how far: at a share, each load leaves an interval of
//! places, and the best share is the least at which all intervals meet. Off-centre ratings and two
//! points bound left–right and front–back apart, so that the minimax falls into two problems in one
//! variable, each solved by halving the share: no linear program is needed, and tables, which are
//! not convex, are as exact as moments. Four points multiply the two directions, and their bound is
//! not convex: front–back is divided into strips, each bounded from below by the same halving with
//! the least that any place in it asks, until no strip could do better by more than [`TOLERANCE`].

use super::room::{Interval, Places};
use crate::{
    Force, Length, Point,
    press::{AxisRating, Suspension},
};

/// What a strip may do better than the answer, as a share.
const TOLERANCE: f64 = 1e-9;
/// Most strips that are looked at; what they might do better is told.
const MOST_STRIPS: usize = 3_000;
/// Halvings of a share: as many as a number has digits.
const HALVINGS: usize = 70;
/// A share that no press has: what is above it is as good as endless.
const ENDLESS: f64 = 1e9;
/// By how much an answer is eased so that its places are an interval, as a part of the share.
const EASED: f64 = 1e-12;

/// What is judged, as far as it depends on the place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ratings<'a> {
    pub(super) x: Option<&'a AxisRating>,
    pub(super) y: Option<&'a AxisRating>,
    /// With what one of the points bears.
    pub(super) suspension: Option<(Suspension, Force)>,
}

/// A force and its load centre in metres from the die's centre, turned as the die is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Load {
    pub(super) force: f64,
    pub(super) centre: Point,
}

/// What a load is judged by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum By {
    OffCentreX,
    OffCentreY,
    Suspension,
}

impl By {
    pub(super) const ALL: [Self; 3] = [Self::OffCentreX, Self::OffCentreY, Self::Suspension];
}

impl Ratings<'_> {
    /// Share that a load uses with the die's centre at a place; nothing without the rating.
    pub(super) fn share(&self, by: By, load: &Load, at: Point) -> Option<f64> {
        let force = Force::from_newtons(load.force);
        let x = Length::from_metres(load.centre.x + at.x);
        let y = Length::from_metres(load.centre.y + at.y);
        match by {
            By::OffCentreX => Some(self.x?.use_of(force, x).share()),
            By::OffCentreY => Some(self.y?.use_of(force, y).share()),
            By::Suspension => {
                let (suspension, limit) = self.suspension?;
                Some(force * suspension.parts(x, y).0 / limit)
            }
        }
    }

    /// Whether the two directions bound each other.
    const fn is_joint(&self) -> bool {
        matches!(self.suspension, Some((Suspension::FourPoint { .. }, _)))
    }
}

/// Loads that bind, each with what judges it.
pub(super) type Binding = Vec<(By, Load)>;

/// The best place in one area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Best {
    pub(super) at: Point,
    /// Worst share left–right, with what is judged in both directions.
    pub(super) share_x: f64,
    /// Worst share front–back.
    pub(super) share_y: f64,
    /// By how much a better place might still do better.
    pub(super) gap: f64,
}

impl Best {
    pub(super) const fn share(&self) -> f64 {
        self.share_x.max(self.share_y)
    }
}

/// The best place in `area`; of equally good ones that nearest to where the die `stands`.
pub(super) fn best_in(ratings: &Ratings, loads: &Binding, area: &Places, stands: Point) -> Best {
    if !ratings.is_joint() {
        let (x, share_x) = along_x(ratings, loads, area, None, stands.x);
        let (y, share_y) = along_y(ratings, loads, area, None, stands.y);
        return Best { at: Point::new(x, y), share_x, share_y, gap: 0.0 };
    }
    let (y, gap) = strips(ratings, loads, area, stands);
    // The direction in which there is room to spare takes the best that the other leaves it.
    let (x, share_x) = along_x(ratings, loads, area, Some(Interval { low: y, high: y }), stands.x);
    let (y, share_y) = along_y(ratings, loads, area, Some(x), stands.y);
    Best { at: Point::new(x, y), share_x, share_y, gap }
}

/// The front–back place of the best place, and by how much a better one might do better.
fn strips(ratings: &Ratings, loads: &Binding, area: &Places, stands: Point) -> (f64, f64) {
    let at = |y: f64| {
        let here = Interval { low: y, high: y };
        along_x(ratings, loads, area, Some(here), stands.x).1.max(share_at_y(ratings, loads, here))
    };
    let below = |strip: Interval| {
        along_x(ratings, loads, area, Some(strip), stands.x)
            .1
            .max(share_at_y(ratings, loads, strip))
    };
    let start = area.y.nearest(stands.y);
    let mut best = (at(start), start);
    let mut open = vec![(below(area.y), area.y)];
    for _ in 0..MOST_STRIPS {
        let bounds: Vec<f64> = open.iter().map(|strip| strip.0).collect();
        let Some(&next) = crate::order::rising(&bounds).first() else { return (best.1, 0.0) };
        let (bound, strip) = open.swap_remove(next);
        if bound >= best.0 - TOLERANCE {
            return (best.1, (best.0 - bound).max(0.0));
        }
        let middle = 0.5 * (strip.low + strip.high);
        let share = at(middle);
        if share < best.0 {
            best = (share, middle);
        }
        for half in [Interval { high: middle, ..strip }, Interval { low: middle, ..strip }] {
            let bound = below(half);
            if bound < best.0 - TOLERANCE {
                open.push((bound, half));
            }
        }
    }
    let least = open.iter().map(|strip| strip.0).fold(best.0, f64::min);
    (best.1, best.0 - least)
}

/// Least that front–back ratings ask anywhere in a strip.
fn share_at_y(ratings: &Ratings, loads: &Binding, strip: Interval) -> f64 {
    let share = |(by, load): &(By, Load)| {
        let nearest = strip.nearest(-load.centre.y);
        (*by == By::OffCentreY)
            .then(|| ratings.share(By::OffCentreY, load, Point::new(0.0, nearest)))
            .flatten()
    };
    loads.iter().filter_map(share).fold(0.0, f64::max)
}

/// The best place left–right and its share, front–back taken at its best within `y`.
fn along_x(
    ratings: &Ratings,
    loads: &Binding,
    area: &Places,
    y: Option<Interval>,
    stands: f64,
) -> (f64, f64) {
    let reach = |by: By, load: &Load, share: f64| {
        let force = Force::from_newtons(load.force);
        match by {
            By::OffCentreX => Some(ratings.x?.reach_of(force, share)),
            By::OffCentreY => None,
            By::Suspension => {
                let (suspension, limit) = ratings.suspension?;
                let part = limit * share / force;
                match suspension {
                    Suspension::OnePoint => None,
                    Suspension::TwoPoint { span_x } => Some(lever(span_x, part)),
                    Suspension::FourPoint { span_x, span_y } => {
                        let off = y.map_or(0.0, |y| y.nearest(-load.centre.y) + load.centre.y);
                        Some(lever(span_x, part / (0.5 + off.abs() / span_y.metres())))
                    }
                }
            }
        }
    };
    least_share(loads, &reach, &|load| load.centre.x, area.x, stands)
}

/// The best place front–back and its share, with left–right at `x`, which only four points ask for.
fn along_y(
    ratings: &Ratings,
    loads: &Binding,
    area: &Places,
    x: Option<f64>,
    stands: f64,
) -> (f64, f64) {
    let reach = |by: By, load: &Load, share: f64| {
        let force = Force::from_newtons(load.force);
        match by {
            By::OffCentreX => None,
            By::OffCentreY => Some(ratings.y?.reach_of(force, share)),
            By::Suspension => match ratings.suspension? {
                (Suspension::FourPoint { span_x, span_y }, limit) => {
                    let off = (x.unwrap_or(0.0) + load.centre.x).abs();
                    let part = limit * share / force;
                    Some(lever(span_y, part / (0.5 + off / span_x.metres())))
                }
                _ => None,
            },
        }
    };
    least_share(loads, &reach, &|load| load.centre.y, area.y, stands)
}

/// How far off the middle between two points a force may act for `part` of it to come on one.
fn lever(span: Length, part: f64) -> Option<Length> {
    (part >= 0.5).then(|| span * (part - 0.5))
}

/// How far off the middle a load may act at a share; nothing if it is not judged here, and nothing
/// within if it may not act at all.
type Reach<'a> = dyn Fn(By, &Load, f64) -> Option<Option<Length>> + 'a;

/// The least share at which all loads leave a place in common within `span`, and that place.
fn least_share(
    loads: &Binding,
    reach: &Reach,
    centre: &dyn Fn(&Load) -> f64,
    span: Interval,
    stands: f64,
) -> (f64, f64) {
    let left = |share: f64| {
        let mut left = span;
        for (by, load) in loads {
            match reach(*by, load, share) {
                None => {}
                Some(None) => return None,
                Some(Some(reach)) => {
                    let (middle, reach) = (-centre(load), reach.metres());
                    left = left.and(Interval { low: middle - reach, high: middle + reach });
                }
            }
        }
        (!left.is_empty()).then_some(left)
    };
    let mut high = 1.0;
    while left(high).is_none() {
        high *= 2.0;
        if high > ENDLESS {
            return (
                span.nearest(0.5 * (most(loads, centre).low + most(loads, centre).high)),
                f64::INFINITY,
            );
        }
    }
    let mut low = 0.0;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if left(middle).is_some() { high = middle } else { low = middle }
    }
    let places = left(high * (1.0 + EASED)).unwrap_or(span);
    (places.nearest(stands), high)
}

/// Where the middle of the press would have to be for each of the loads.
fn most(loads: &Binding, centre: &dyn Fn(&Load) -> f64) -> Interval {
    let start = Interval { low: f64::INFINITY, high: f64::NEG_INFINITY };
    let places = loads.iter().map(|(_, load)| -centre(load));
    let most = places.fold(start, |most, place| Interval {
        low: most.low.min(place),
        high: most.high.max(place),
    });
    if most.is_empty() { Interval { low: 0.0, high: 0.0 } } else { most }
}
