//! How far the strip has come: a die that fills up is off balance in ways the full strip is not.
//!
//! Where pitch and first-hit line are known, the strip's leading edge is followed hit by hit: it may
//! lie within an outline, which then is cut half, or under half a pad. Where they are not, the strip
//! is taken to end between two stations. When the strip runs out, its tail is taken to lie between
//! two stations in any case: where it was sheared is chance.

use crate::{InputError, Length, Point, die::DieKind, order};
use std::fmt;

/// Most hits that a strip may need to fill a die.
pub const MOST_HITS: u32 = 500;
/// What reaches no farther past the strip's end than this, in metres, is covered.
const COVERED: f64 = 1e-9;

/// The strip of a progressive die, in die coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// How far it is fed between two hits.
    pub pitch: Length,
    /// Where its leading edge lies at the first hit, along the feed from the die's centre.
    pub first_hit: Length,
    /// Which way it is fed.
    pub feed: Feed,
}

/// Which way the strip is fed, seen from above with the operator at the front, before the die is
/// turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feed {
    /// To the right.
    LeftToRight,
    /// To the left.
    RightToLeft,
    /// To the back.
    FrontToBack,
    /// To the operator.
    BackToFront,
}

impl Feed {
    /// The unit vector of the feed.
    pub const fn direction(self) -> Point {
        match self {
            Self::LeftToRight => Point::new(1.0, 0.0),
            Self::RightToLeft => Point::new(-1.0, 0.0),
            Self::FrontToBack => Point::new(0.0, 1.0),
            Self::BackToFront => Point::new(0.0, -1.0),
        }
    }
}

/// Where the strip ends: everything before it has stock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripEnd {
    /// Unit vector of the feed.
    pub feed: Point,
    /// Position of the leading edge along it, in metres.
    pub position: f64,
}

impl StripEnd {
    /// Whether there is stock at a point.
    pub fn covers(&self, point: Point) -> bool {
        point.along(self.feed) <= self.position + COVERED
    }
}

impl Strip {
    /// Where the strip ends at a hit, counted from 1.
    pub fn end_at(&self, hit: u32) -> StripEnd {
        let fed = self.pitch * f64::from(hit.saturating_sub(1));
        StripEnd { feed: self.feed.direction(), position: (self.first_hit + fed).metres() }
    }

    /// The first hit at which the strip reaches `position`, in metres along the feed.
    ///
    /// # Errors
    ///
    /// [`InputError::TooManyHits`] above [`MOST_HITS`].
    pub fn hit_that_reaches(&self, position: f64) -> Result<u32, InputError> {
        let missing = position - COVERED - self.first_hit.metres();
        let hits = 1.0 + (missing / self.pitch.metres()).ceil().max(0.0);
        if hits <= f64::from(MOST_HITS) {
            Ok(hits as u32)
        } else {
            Err(InputError::TooManyHits { hits, most: MOST_HITS })
        }
    }
}

/// Which stations have stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StripState {
    /// All of them.
    Full,
    /// The first ones, up to and including this strip position.
    Filling(u32),
    /// As far as the leading edge, which is followed, has come at this hit.
    Hit(u32),
    /// The last ones, from this strip position on.
    RunningOut(u32),
    /// All but the one at this position: a blank is missing in a transfer die.
    BlankMissing(u32),
}

impl StripState {
    /// Whether a station at `position` is all on stock; it is from the hit `full_from` on.
    pub const fn reaches(self, position: u32, full_from: u32) -> bool {
        match self {
            Self::Full => true,
            Self::Filling(hit) | Self::Hit(hit) => full_from <= hit,
            Self::RunningOut(first) => position >= first,
            Self::BlankMissing(missing) => position != missing,
        }
    }

    /// All states that a die with stations at `positions` goes through, the full strip first;
    /// `filling` are those in which the strip is not full yet. States that equal another one because a
    /// position is idle are left out.
    pub fn all(kind: DieKind, filling: &[Self], positions: &[u32]) -> Vec<Self> {
        let mut states = vec![Self::Full];
        if kind.fills_up() {
            let positions = in_order(positions);
            let partial = positions.len().saturating_sub(1);
            states.extend(filling);
            // After a position has run empty the strip starts one position further on.
            states.extend(positions.iter().take(partial).map(|&gone| Self::RunningOut(gone + 1)));
            if kind == DieKind::Transfer && partial > 0 {
                states.extend(positions.iter().map(|&missing| Self::BlankMissing(missing)));
            }
        }
        states
    }
}

/// Each of the positions once, rising.
pub(crate) fn in_order(positions: &[u32]) -> Vec<u32> {
    let of: Vec<f64> = positions.iter().map(|&position| f64::from(position)).collect();
    let mut positions: Vec<u32> = order::rising(&of).into_iter().map(|i| positions[i]).collect();
    positions.dedup();
    positions
}

impl fmt::Display for StripState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Full => write!(f, "full"),
            Self::Filling(last) | Self::Hit(last) => write!(f, "filling_{last}"),
            Self::RunningOut(first) => write!(f, "running_out_{first}"),
            Self::BlankMissing(position) => write!(f, "blank_missing_{position}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn strip() -> Strip {
        let mm = Length::from_millimetres;
        Strip { pitch: mm(60.0), first_hit: mm(-120.0), feed: Feed::LeftToRight }
    }

    #[test]
    fn leading_edge_advances_by_the_pitch() {
        for (hit, position) in [(1, -0.12), (2, -0.06), (3, 0.0), (5, 0.12)] {
            let end = strip().end_at(hit).position;
            assert!((end - position).abs() < 1e-15, "{hit}: {end}");
        }
    }

    #[test]
    fn hit_that_reaches_is_the_first_that_covers() {
        for (position, hit) in [(-0.5, 1), (-0.12, 1), (-0.1199, 2), (-0.06, 2), (0.119, 5)] {
            assert_eq!(strip().hit_that_reaches(position), Ok(hit), "{position}");
        }
        let far = strip().hit_that_reaches(40.0);
        assert!(matches!(far, Err(InputError::TooManyHits { .. })));
        if let Err(InputError::TooManyHits { hits, .. }) = far {
            assert_close(hits, 670.0, 1e-12);
        }
    }

    #[test]
    fn only_a_transfer_die_misses_a_blank() {
        let states = |kind| StripState::all(kind, &[1, 2].map(StripState::Filling), &[1, 2, 3]);
        assert!(!states(DieKind::Progressive).contains(&StripState::BlankMissing(2)));
        let transfer = states(DieKind::Transfer);
        for position in 1..=3 {
            assert!(transfer.contains(&StripState::BlankMissing(position)));
        }
        assert_eq!(transfer.len(), 8);
        assert_eq!(states(DieKind::Single), [StripState::Full]);
    }
}
