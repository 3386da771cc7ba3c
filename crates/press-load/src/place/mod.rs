//! Where the die stands best.
//!
//! Looked for is the place at which the worst share of the limits that depend on the place is least:
//! off-centre left–right and front–back, the load on a suspension point, and slide tilt, on the upper
//! line over the whole stroke and in every strip state. The concentrated load depends on the length
//! of the die and not on its place. The turn of the die stays.
//!
//! - `room` says where the die may stand at all.
//! - `minimax` finds the best place for a few loads. Here they are exchanged: all loads are looked
//!   over at the place found, those that use more than the answer says join the few, until none does.
//!   The answer then holds for all of them; what is exact for the few is exact.
//! - Slide tilt has no closed form, because stations let go one after the other. Where it is not the
//!   worst at the place found, that place is the best for it as well, since nothing else can be lower
//!   anywhere. Where it is, places around are tried, [`MOST_TRIALS`] at most, and the best one seen is
//!   taken; the share without tilt bounds from below what any search could reach
//!   ([`BestPlace::no_lower`]).

mod minimax;
mod on_slots;
mod room;

pub use on_slots::{caught_by_slots, one_slot_on};
pub use room::{Bound, Interval, Places, Room, Unmet};

use crate::{
    Die, Length, LimitId, Motion, Placement, Point, Station, StripState, Stroke,
    check::is_named_instead,
    press::{Press, Suspension},
    slide_on_springs::worst_tilt,
};
use minimax::{Best, Binding, By, Load, Ratings, best_in};
use std::ops::ControlFlow;

/// Rounds in which loads are exchanged; some ten are usual.
const MOST_ROUNDS: usize = 200;
/// A load that uses no more than this part above the answer does not join the few.
const EXCHANGED: f64 = 1e-10;
/// Most places at which slide tilt is worked out.
pub const MOST_TRIALS: usize = 300;
/// The search for tilt ends where its steps are shorter than this, in metres.
const LEAST_STEP: f64 = 5e-5;
/// Places along each side of a grid from which that search starts.
const GRID: usize = 5;

/// A limit that depends on the place, at its worst over the stroke and all strip states.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaceUse {
    /// Which.
    pub id: LimitId,
    /// How much of it is used.
    pub share: f64,
    /// Index of the row of the stroke.
    pub row: usize,
    /// Strip state.
    pub strip_state: StripState,
}

/// The best place.
#[derive(Clone, Debug, PartialEq)]
pub struct BestPlace {
    /// Where the die's centre stands then.
    pub placement: Placement,
    /// Worst share there.
    pub share: f64,
    /// Worst share than which no place in the room has less: that of the limits without tilt, less
    /// what the search over four points has left open.
    pub no_lower: f64,
    /// Whether places were tried for slide tilt.
    pub searched: bool,
    /// Where the die may stand.
    pub room: Room,
}

/// What the place of a die decides, ready to be asked at any place.
pub struct PlaceQuestion<'a> {
    press: &'a Press,
    die: &'a Die,
    stations: &'a [Station],
    stroke: &'a Stroke,
    states: Vec<StripState>,
    ratings: Ratings<'a>,
    turned: Motion,
    tilts: bool,
}

impl<'a> PlaceQuestion<'a> {
    /// Of a die whose loads are `stroke`.
    pub fn new(
        press: &'a Press,
        die: &'a Die,
        stations: &'a [Station],
        stroke: &'a Stroke,
    ) -> Self {
        let suspension = match (press.suspension, press.rated_force) {
            // One point bears the whole force wherever it acts.
            (Some(Suspension::OnePoint), _) | (None, _) | (_, None) => None,
            (Some(points), Some(rated)) => Some((points, rated / f64::from(points.points()))),
        };
        let ratings =
            Ratings { x: press.off_centre_x.as_ref(), y: press.off_centre_y.as_ref(), suspension };
        let states = stroke.strip_states(die.kind);
        let tilts = worst_tilt(press, die, stations, stroke, &states).is_ok();
        let turned = Motion::new(Point::default(), die.placement.turn_deg);
        Self { press, die, stations, stroke, states, ratings, turned, tilts }
    }

    /// The limits that depend on the place and can be judged.
    pub fn limits(&self) -> Vec<LimitId> {
        let judged = [
            (LimitId::OffCentreX, self.ratings.x.is_some()),
            (LimitId::OffCentreY, self.ratings.y.is_some()),
            (LimitId::SuspensionLoad, self.ratings.suspension.is_some()),
            (LimitId::SlideTilt, self.tilts),
        ];
        judged.into_iter().filter(|limit| limit.1).map(|limit| limit.0).collect()
    }

    /// How much of each limit but slide tilt is used with the die's centre at a place.
    pub fn uses_at(&self, at: Point) -> Vec<PlaceUse> {
        self.look(at).into_iter().map(|seen| seen.0).collect()
    }

    fn look(&self, at: Point) -> Vec<(PlaceUse, By, Load)> {
        let mut worst: [Option<(PlaceUse, By, Load)>; 3] = [None; 3];
        self.stroke.upper.for_each_state(&self.states, &self.turned, |strip_state, total| {
            for (row, &force) in total.force.iter().enumerate() {
                if force <= 0.0 {
                    continue;
                }
                let centre = Point::new(total.moment_x[row] / force, total.moment_y[row] / force);
                let load = Load { force, centre };
                for (by, worst) in By::ALL.into_iter().zip(&mut worst) {
                    let Some(share) = self.ratings.share(by, &load, at) else { continue };
                    let named = worst.map(|(worst, ..)| (worst.share, worst.strip_state));
                    if is_named_instead(share, strip_state, named) {
                        let id = match by {
                            By::OffCentreX => LimitId::OffCentreX,
                            By::OffCentreY => LimitId::OffCentreY,
                            By::Suspension => LimitId::SuspensionLoad,
                        };
                        *worst = Some((PlaceUse { id, share, row, strip_state }, by, load));
                    }
                }
            }
        });
        worst.into_iter().flatten().collect()
    }

    /// Share of slide tilt at a place; endless where it cannot be judged there.
    fn tilt_at(&self, at: Point) -> f64 {
        let die = Die { placement: self.placement(at), ..self.die.clone() };
        let found = worst_tilt(self.press, &die, self.stations, self.stroke, &self.states);
        found.map_or(f64::INFINITY, |tilt| tilt.map_or(0.0, |tilt| tilt.share()))
    }

    fn placement(&self, at: Point) -> Placement {
        Placement {
            x: Length::from_metres(at.x),
            y: Length::from_metres(at.y),
            ..self.die.placement
        }
    }

    /// Worst share of all limits that depend on the place.
    pub fn share_at(&self, at: Point) -> f64 {
        let worst = self.uses_at(at).iter().map(|used| used.share).fold(0.0, f64::max);
        if self.tilts { worst.max(self.tilt_at(at)) } else { worst }
    }

    /// The moments left–right and front–back that each station puts on the press in newton metres, at
    /// a row of the upper line and in a strip state, with the die's centre at a place.
    ///
    /// # Panics
    ///
    /// If the stroke has no such row: it is to come from [`PlaceUse::row`].
    pub fn moments(&self, row: usize, state: StripState, at: Point) -> Vec<Point> {
        let moments = |station: &crate::stroke::StationCurve| {
            let mut force = station.springs.force[row];
            let mut moment =
                Point::new(station.springs.moment_x[row], station.springs.moment_y[row]);
            if let Some(stock) = station.stock_in(state) {
                force += stock.force[row];
                moment.x += stock.moment_x[row];
                moment.y += stock.moment_y[row];
            }
            let turned = self.turned.turn(moment);
            Point::new(turned.x + force * at.x, turned.y + force * at.y)
        };
        self.stroke.upper.stations.iter().map(moments).collect()
    }

    /// The best place within the room that the press and `band` leave; nothing if no limit depends on
    /// it, or if `go_on` breaks off.
    pub fn best(
        &self,
        band: Places,
        go_on: &mut dyn FnMut() -> ControlFlow<()>,
    ) -> Option<BestPlace> {
        let room = Room::of(self.press, self.die, self.stations, band);
        let stands = self.die.placement.motion().shift;
        let start = room.nearest(stands);
        let mut loads: Binding = Vec::new();
        let mut seen = self.look(start);
        if seen.is_empty() && !self.tilts {
            return None;
        }
        let mut best = Best { at: start, share_x: 0.0, share_y: 0.0, gap: 0.0 };
        for _ in 0..MOST_ROUNDS {
            let before = loads.len();
            for (used, by, load) in seen {
                let answered = match by {
                    By::OffCentreX => best.share_x,
                    By::OffCentreY => best.share_y,
                    By::Suspension => best.share(),
                };
                let more = used.share > answered * (1.0 + EXCHANGED) || before == 0;
                if more && !loads.contains(&(by, load)) {
                    loads.push((by, load));
                }
            }
            if loads.len() == before {
                break;
            }
            if go_on().is_break() {
                return None;
            }
            best = self.best_of(&room, &loads, stands);
            seen = self.look(best.at);
        }
        let (mut at, mut share) =
            (best.at, self.look(best.at).iter().map(|s| s.0.share).fold(0.0, f64::max));
        // Where no place at all was found to do, nothing is known to bound it from below.
        let no_lower = (best.share() - best.gap).max(0.0);
        let mut searched = false;
        if self.tilts {
            let tilt = self.tilt_at(at);
            if tilt > share {
                (at, share) = self.search(&room, at, share.max(tilt), go_on)?;
                searched = true;
            }
        }
        Some(BestPlace { placement: self.placement(at), share, no_lower, searched, room })
    }

    fn best_of(&self, room: &Room, loads: &Binding, stands: Point) -> Best {
        let mut best: Option<Best> = None;
        for area in &room.areas {
            let found = best_in(&self.ratings, loads, area, stands);
            // Areas come nearest first, so that of equals the nearest stays.
            let better = best.is_none_or(|best| {
                let ease = 1.0 - 1e-9;
                let (new, old) = (found.share(), best.share());
                new < old * ease
                    || (new <= old
                        && found.share_x.min(found.share_y) < best.share_x.min(best.share_y) * ease)
            });
            if better {
                best = Some(found);
            }
        }
        best.unwrap_or(Best { at: stands, share_x: 0.0, share_y: 0.0, gap: 0.0 })
    }

    /// The best place that is seen when tilt counts: a grid over the room, then steps in all
    /// directions that become shorter where none helps.
    fn search(
        &self,
        room: &Room,
        from: Point,
        share: f64,
        go_on: &mut dyn FnMut() -> ControlFlow<()>,
    ) -> Option<(Point, f64)> {
        let stands = room.nearest(self.die.placement.motion().shift);
        let mut best = (from, share);
        let mut trials = 0;
        let mut try_at = |at: Point, best: &mut (Point, f64)| {
            let at = room.nearest(at);
            trials += 1;
            // What is worse without tilt need not be followed on its springs.
            let rough = self.uses_at(at).iter().map(|used| used.share).fold(0.0, f64::max);
            if rough < best.1 {
                let share = rough.max(self.tilt_at(at));
                if share < best.1 * (1.0 - 1e-9) {
                    *best = (at, share);
                }
            }
            trials
        };
        try_at(stands, &mut best);
        let span = |of: fn(&Places) -> Interval| {
            room.areas.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |span, part| {
                (span.0.min(part.low), span.1.max(part.high))
            })
        };
        let (x, y) = (span(|area| area.x), span(|area| area.y));
        // Where no bolster bounds it, not farther than a bolster reaches.
        let near = |span: (f64, f64), at: f64| (span.0.max(at - 0.5), span.1.min(at + 0.5));
        let (x, y) = (near(x, from.x), near(y, from.y));
        let part =
            |span: (f64, f64), i: usize| span.0 + (span.1 - span.0) * i as f64 / (GRID - 1) as f64;
        for i in 0..GRID * GRID {
            if go_on().is_break() {
                return None;
            }
            try_at(Point::new(part(x, i % GRID), part(y, i / GRID)), &mut best);
        }
        let mut step = 0.5 * (x.1 - x.0).max(y.1 - y.0) / (GRID - 1) as f64;
        while step > LEAST_STEP {
            if go_on().is_break() {
                return None;
            }
            let before = best;
            for (dx, dy) in [
                (1.0, 0.0),
                (-1.0, 0.0),
                (0.0, 1.0),
                (0.0, -1.0),
                (0.7, 0.7),
                (-0.7, 0.7),
                (0.7, -0.7),
                (-0.7, -0.7),
            ] {
                let at = Point::new(before.0.x + step * dx, before.0.y + step * dy);
                if try_at(at, &mut best) >= MOST_TRIALS {
                    return Some(best);
                }
            }
            if best.1 >= before.1 {
                step /= 2.0;
            }
        }
        Some(best)
    }
}

/// Whether a limit depends on where the die stands.
pub const fn depends_on_place(id: LimitId) -> bool {
    matches!(
        id,
        LimitId::OffCentreX
            | LimitId::OffCentreY
            | LimitId::SuspensionLoad
            | LimitId::SlideTilt
            | LimitId::BolsterFit
            | LimitId::SlideFit
    )
}
