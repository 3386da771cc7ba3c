//! The first strokes: what the strip does hit by hit from the first-hit line until the die is full.
//!
//! Progressive dies are hurt in the first ten strokes more than in production: the starting strip is
//! unbalanced and half cuts push the halves aside (A. Hedrick, "Tips for preventing stamping die
//! crashes", *Stamping Journal*).

use crate::{
    Force, Length, LimitId, Moment, StripState, Stroke, Use,
    check::{Peak, crossed_at, most_used},
    die::{Die, Station},
    order,
    press::{Press, Suspension},
    stroke::highest_index,
};

/// How a station stands at a hit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// No stock, or nothing that works it.
    Empty,
    /// All of it works.
    Whole,
    /// The strip ends within a cut.
    HalfCut,
    /// The strip ends under forming work or under a pad, which it tips.
    HalfLoaded,
    /// Both.
    HalfCutAndLoaded,
}

impl Standing {
    /// Whether the strip ends within it.
    pub const fn is_half(self) -> bool {
        matches!(self, Self::HalfCut | Self::HalfLoaded | Self::HalfCutAndLoaded)
    }
}

/// A hit, or several alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Hit {
    /// The first of them, counted from 1. Where the leading edge is not followed, the strip position that
    /// it has reached.
    pub first: u32,
    /// The last of them.
    pub last: u32,
    /// Strip state.
    pub state: StripState,
    /// In the order of the job.
    pub stations: Vec<Standing>,
    /// Highest point of the upper line, on the bolster; nothing if no force acts.
    pub peak: Option<Peak>,
    /// Parts of it left and right of the slide's middle, where the suspension points are known.
    pub sides: Option<(f64, f64)>,
    /// Largest moment left–right about the middle of the press.
    pub moment_x: Moment,
    /// Largest moment front–back about the middle of the press.
    pub moment_y: Moment,
    /// The limit of force or moment that this hit uses most, where any can be judged.
    pub most_used: Option<(LimitId, Use)>,
}

/// All hits until the strip is full, and which of them is worst.
#[derive(Clone, Debug, PartialEq)]
pub struct FirstStrokes {
    /// In their order; the last is that of the full strip.
    pub hits: Vec<Hit>,
    /// Index of the worst: the one that uses a limit of force or moment most, or, where none can be judged,
    /// has the largest moment.
    pub worst: usize,
    /// Whether the strip's leading edge is followed; otherwise it is taken to end between two stations.
    pub follows_strip: bool,
}

impl FirstStrokes {
    /// The hits of `die` in `press`, where it stands.
    pub fn new(press: &Press, die: &Die, stations: &[Station], stroke: &Stroke) -> Self {
        let states = stroke.strip_states(die.kind);
        let mut at: Vec<(u32, StripState)> = states
            .iter()
            .filter_map(|&state| match state {
                StripState::Hit(hit) | StripState::Filling(hit) => Some((hit, state)),
                _ => None,
            })
            .collect();
        let full_from = stroke.nominal.stations.iter().map(|station| station.full_from).max();
        at.push((full_from.unwrap_or(1).max(1), StripState::Full));
        if !die.kind.fills_up() {
            at = vec![(1, StripState::Full)];
        }
        // Before anything has stock the strip is fed in empty.
        if let Some(&(first, _)) = at.first()
            && stroke.follows_strip
            && first > 1
        {
            at.insert(0, (1, StripState::Hit(1)));
        }
        let hits: Vec<Hit> = at
            .iter()
            .enumerate()
            .map(|(index, &(first, state))| {
                let last = match at.get(index + 1) {
                    Some(next) if stroke.follows_strip => next.0 - 1,
                    _ => first,
                };
                hit((first, last), state, press, die, stations, stroke)
            })
            .collect();
        let is_worse = |hit: &Hit, than: &Hit| match (hit.most_used, than.most_used) {
            (Some((_, used)), Some((_, least))) => order::is_greater(used.share, least.share),
            (used, least) if used.is_some() != least.is_some() => used.is_some(),
            _ => order::is_greater(hit.largest_moment(), than.largest_moment()),
        };
        let mut worst = 0;
        for index in 1..hits.len() {
            if is_worse(&hits[index], &hits[worst]) {
                worst = index;
            }
        }
        Self { hits, worst, follows_strip: stroke.follows_strip }
    }
}

impl Hit {
    /// The larger of its two moments, in newton metres.
    fn largest_moment(&self) -> f64 {
        self.moment_x.max(self.moment_y).newton_metres()
    }
}

fn hit(
    (first, last): (u32, u32),
    state: StripState,
    press: &Press,
    die: &Die,
    stations: &[Station],
    stroke: &Stroke,
) -> Hit {
    let placement = die.placement.motion();
    let total = stroke.upper.total(state, &placement);
    let peak = highest_index(&total.force).and_then(|index| {
        Some(Peak {
            force: Force::from_newtons(total.force[index]),
            height: stroke.rows[index].height,
            centre: total.centre(index)?,
        })
    });
    let sides = peak.and_then(|peak| {
        let (Suspension::TwoPoint { span_x } | Suspension::FourPoint { span_x, .. }) =
            press.suspension?
        else {
            return None;
        };
        let right = 0.5 + Length::from_metres(peak.centre.x) / span_x;
        Some((1.0 - right, right))
    });
    let largest = |moments: &[f64]| {
        let pushed = moments.iter().zip(&total.force).filter(|(_, force)| **force > 0.0);
        Moment::from_newton_metres(pushed.map(|(moment, _)| moment.abs()).fold(0.0, f64::max))
    };
    let standing = |index: usize, station: &Station| {
        if !station.work.iter().any(|placed| placed.work.needs_stock()) {
            return Standing::Empty;
        }
        let curve = &stroke.upper.stations[index];
        if let (StripState::Hit(hit), Some(strip)) = (state, &die.strip)
            && curve.half.iter().any(|half| half.0 == hit)
        {
            return match crossed_at(station, strip, hit) {
                (true, true) => Standing::HalfCutAndLoaded,
                (true, false) => Standing::HalfCut,
                _ => Standing::HalfLoaded,
            };
        }
        if state.reaches(curve.strip_position, curve.full_from) {
            Standing::Whole
        } else {
            Standing::Empty
        }
    };
    Hit {
        first,
        last,
        state,
        stations: stations.iter().enumerate().map(|(i, station)| standing(i, station)).collect(),
        peak,
        sides,
        moment_x: largest(&total.moment_x),
        moment_y: largest(&total.moment_y),
        most_used: most_used(press, die, stroke, state),
    }
}
