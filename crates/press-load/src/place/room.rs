//! Where the die's centre may stand: rectangles on the bolster.
//!
//! Every bound is a set of rectangles in the place of the die's centre: the area of bolster and slide
//! one, the slots a strip for every slot that a bolt can take, the holes one for every hole through
//! which a slug falls. The room is what they have in common. Where a bound leaves no room in what
//! those before it left, the places nearest to it stay, and it is told how far they are off.

use crate::{
    Die, Length, Motion, Point, Station,
    press::{Footprint, Press, SlotDirection, Slots},
    slugs,
};

/// Where nothing bounds it the die stays within this of the press centre, in metres.
const FAR: f64 = 10.0;
/// Most rectangles that are kept, those nearest to where the die stands.
const MOST_AREAS: usize = 200;
/// What is short by no more than this, in metres, is not.
pub(super) const SLACK: f64 = 1e-9;

/// From where to where, in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// All there is.
    pub const EVERYWHERE: Self = Self { low: f64::NEG_INFINITY, high: f64::INFINITY };

    /// What it has in common with another; `low` is above `high` if nothing.
    pub const fn and(self, other: Self) -> Self {
        Self { low: self.low.max(other.low), high: self.high.min(other.high) }
    }

    /// Whether there is anything in it.
    pub fn is_empty(self) -> bool {
        self.low > self.high
    }

    /// The place in it that is nearest; it must not be empty.
    pub const fn nearest(self, to: f64) -> f64 {
        to.max(self.low).min(self.high)
    }

    /// Its part that is nearest to another, and how far that is.
    fn towards(self, other: Self) -> (Self, f64) {
        let common = self.and(other);
        if !common.is_empty() {
            (common, 0.0)
        } else if self.high < other.low {
            (Self { low: self.high, ..self }, other.low - self.high)
        } else {
            (Self { high: self.low, ..self }, self.low - other.high)
        }
    }
}

/// Places of the die's centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Places {
    /// Left to right.
    pub x: Interval,
    /// Front to back.
    pub y: Interval,
}

impl Places {
    /// All there is.
    pub const EVERYWHERE: Self = Self { x: Interval::EVERYWHERE, y: Interval::EVERYWHERE };

    /// The place in it that is nearest.
    pub const fn nearest(&self, to: Point) -> Point {
        Point::new(self.x.nearest(to.x), self.y.nearest(to.y))
    }

    /// Whether a place lies in it, rounding aside.
    pub fn holds(&self, place: Point) -> bool {
        let is_empty = self.x.is_empty() || self.y.is_empty();
        !is_empty && self.nearest(place).distance(place) <= SLACK
    }
}

/// What bounds the place of the die.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// The area of the bolster.
    Bolster,
    /// The area of the slide.
    Slide,
    /// The band that the shop has set, for the feed line or for what else stands in the way.
    Band,
    /// Slots for the bolts of the lower die.
    BolsterSlots,
    /// Slots for the bolts of the upper die.
    SlideSlots,
    /// Holes for the slugs.
    SlugHoles,
}

/// A bound that could not be kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unmet {
    /// Which.
    pub bound: Bound,
    /// How far the places that are left are off it; nothing where no place at all would do.
    pub short: Option<Length>,
}

/// Where the die may stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Rectangles of places, at least one.
    pub areas: Vec<Places>,
    /// Bounds that cannot be kept together with those before them.
    pub unmet: Vec<Unmet>,
    /// Bounds for which something is not entered, so that they are not kept.
    pub unknown: Vec<Bound>,
}

impl Room {
    /// The room that `press` and the shop's `band` leave for `die`, turned as it is.
    pub fn of(press: &Press, die: &Die, stations: &[Station], band: Places) -> Self {
        let whole = Interval { low: -FAR, high: FAR };
        let mut room = Self {
            areas: vec![Places { x: whole, y: whole }],
            unmet: Vec::new(),
            unknown: Vec::new(),
        };
        let stands = die.placement.motion();
        for (bound, size) in [(Bound::Bolster, press.bolster), (Bound::Slide, press.slide)] {
            match (size, die.placed_footprint()) {
                (Some(size), Some(die)) => room.narrow(bound, &[inside(size, die)], stands.shift),
                _ => room.unknown.push(bound),
            }
        }
        room.narrow(Bound::Band, &[band], stands.shift);
        let turned = Motion::new(Point::default(), die.placement.turn_deg);
        if let Some(bolts) = &die.bolts {
            for (bound, slots, places) in [
                (Bound::BolsterSlots, press.bolster_slots, &bolts.lower),
                (Bound::SlideSlots, press.slide_slots, &bolts.upper),
            ] {
                if places.is_empty() {
                    continue;
                }
                let Some(slots) = slots else {
                    room.unknown.push(bound);
                    continue;
                };
                let places: Vec<Point> = places.iter().map(|&place| turned.apply(place)).collect();
                let (strips, stretched) = reachable(&slots, &places, bolts.reach.metres());
                if strips.is_empty() {
                    room.unmet.push(Unmet { bound, short: None });
                    continue;
                }
                if stretched > 0.0 {
                    let short = Some(Length::from_metres(stretched));
                    room.unmet.push(Unmet { bound, short });
                }
                room.narrow(bound, &strips, stands.shift);
            }
        }
        if !press.openings.is_empty() {
            for (_, low, high) in
                stations.iter().flat_map(|station| slugs::frames(station, &turned))
            {
                let over = |opening: &crate::press::Opening| {
                    let half =
                        Point::new(opening.width.metres() / 2.0, opening.depth.metres() / 2.0);
                    let area = Places {
                        x: Interval {
                            low: opening.at.x - half.x - low.x,
                            high: opening.at.x + half.x - high.x,
                        },
                        y: Interval {
                            low: opening.at.y - half.y - low.y,
                            high: opening.at.y + half.y - high.y,
                        },
                    };
                    closed(area)
                };
                let areas: Vec<Places> = press.openings.iter().filter_map(over).collect();
                if areas.is_empty() {
                    room.unmet.push(Unmet { bound: Bound::SlugHoles, short: None });
                } else {
                    room.narrow(Bound::SlugHoles, &areas, stands.shift);
                }
            }
        }
        room
    }

    /// Whether a place lies in the room.
    pub fn holds(&self, place: Point) -> bool {
        self.areas.iter().any(|area| area.holds(place))
    }

    /// The place in the room that is nearest.
    pub fn nearest(&self, to: Point) -> Point {
        let places = self.areas.iter().map(|area| area.nearest(to));
        places.min_by(|a, b| a.distance(to).total_cmp(&b.distance(to))).unwrap_or(to)
    }

    /// Keeps what lies in one of `bounds`, or, where nothing does, what is nearest to one.
    fn narrow(&mut self, bound: Bound, bounds: &[Places], stands: Point) {
        let mut kept: Vec<(Places, f64)> = Vec::new();
        for area in &self.areas {
            for other in bounds {
                let (x, off_x) = area.x.towards(other.x);
                let (y, off_y) = area.y.towards(other.y);
                kept.push((Places { x, y }, off_x.hypot(off_y)));
            }
        }
        let least = kept.iter().map(|kept| kept.1).fold(f64::INFINITY, f64::min);
        if least > SLACK {
            self.unmet.push(Unmet { bound, short: Some(Length::from_metres(least)) });
        }
        kept.retain(|kept| kept.1 <= least.max(0.0) + SLACK);
        let off: Vec<f64> =
            kept.iter().map(|kept| kept.0.nearest(stands).distance(stands)).collect();
        let mut areas: Vec<Places> = Vec::with_capacity(kept.len());
        for index in crate::order::rising(&off) {
            let area = kept[index].0;
            if areas.len() < MOST_AREAS && !areas.contains(&area) {
                areas.push(area);
            }
        }
        self.areas = areas;
    }
}

/// Places where a die lies all on an area about the press centre; only the middle where it is too
/// small, so that it overhangs alike on both sides.
fn inside(area: Footprint, die: Footprint) -> Places {
    let play = |area: Length, die: Length| {
        let half = ((area - die) / 2.0).metres().max(0.0);
        Interval { low: -half, high: half }
    };
    Places { x: play(area.width, die.width), y: play(area.depth, die.depth) }
}

/// An area as wide as nothing does not hang on a rounding error.
fn closed(area: Places) -> Option<Places> {
    let close = |interval: Interval| {
        let middle = 0.5 * (interval.low + interval.high);
        if interval.low <= interval.high {
            Some(interval)
        } else {
            (interval.low - interval.high <= SLACK)
                .then_some(Interval { low: middle, high: middle })
        }
    };
    Some(Places { x: close(area.x)?, y: close(area.y)? })
}

/// The strips in which every bolt reaches a slot, and by how much the reach had to be stretched for
/// there to be one; none only where there are no slots.
pub(super) fn reachable(slots: &Slots, places: &[Point], reach: f64) -> (Vec<Places>, f64) {
    let across = |place: &Point| match slots.direction {
        SlotDirection::LeftRight => place.y,
        SlotDirection::FrontBack => place.x,
    };
    let at = |reach: f64| -> Vec<Interval> {
        let mut left = vec![Interval { low: -FAR, high: FAR }];
        for place in places {
            let mut next: Vec<Interval> = Vec::new();
            for slot in slots.offsets() {
                let middle = slot.metres() - across(place);
                let strip = Interval { low: middle - reach, high: middle + reach };
                for interval in &left {
                    let common = interval.and(strip);
                    if common.high - common.low >= -SLACK {
                        let common = Interval { low: common.low.min(common.high), ..common };
                        // Strips that overlap are one.
                        match next.iter_mut().find(|kept| !kept.and(common).is_empty()) {
                            Some(kept) => {
                                kept.low = kept.low.min(common.low);
                                kept.high = kept.high.max(common.high);
                            }
                            None => next.push(common),
                        }
                    }
                }
            }
            left = next;
        }
        left
    };
    let mut stretched = 0.0;
    let mut strips = at(reach);
    if strips.is_empty() {
        let (mut low, mut high) = (0.0, 2.0 * FAR);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if at(reach + middle).is_empty() { low = middle } else { high = middle }
        }
        stretched = high;
        strips = at(reach + high);
    }
    let area = |interval| match slots.direction {
        SlotDirection::LeftRight => Places { y: interval, ..Places::EVERYWHERE },
        SlotDirection::FrontBack => Places { x: interval, ..Places::EVERYWHERE },
    };
    (strips.into_iter().map(area).collect(), stretched)
}
