//! How far the strip has come: a die that fills up is off balance in ways the full strip is not.

use crate::{
    die::{DieKind, Station},
    order,
};
use std::fmt;

/// Which stations have stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StripState {
    /// All of them.
    Full,
    /// The first ones, up to and including this strip position.
    Filling(u32),
    /// The last ones, from this strip position on.
    RunningOut(u32),
}

impl StripState {
    /// Whether a station at `position` has stock.
    pub const fn reaches(self, position: u32) -> bool {
        match self {
            Self::Full => true,
            Self::Filling(last) => position <= last,
            Self::RunningOut(first) => position >= first,
        }
    }

    /// All states that the die goes through, the full strip first; states that equal another one
    /// because a position is idle are left out.
    pub fn all(kind: DieKind, stations: &[Station]) -> Vec<Self> {
        let mut states = vec![Self::Full];
        if kind.fills_up() {
            let of: Vec<f64> = stations.iter().map(|s| f64::from(s.strip_position)).collect();
            let places = order::rising(&of).into_iter();
            let mut positions: Vec<u32> = places.map(|i| stations[i].strip_position).collect();
            positions.dedup();
            let partial = positions.len().saturating_sub(1);
            states.extend(positions.iter().take(partial).map(|&last| Self::Filling(last)));
            // After a position has run empty the strip starts one position further on.
            states.extend(positions.iter().take(partial).map(|&gone| Self::RunningOut(gone + 1)));
        }
        states
    }
}

impl fmt::Display for StripState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Full => write!(f, "full"),
            Self::Filling(last) => write!(f, "filling_{last}"),
            Self::RunningOut(first) => write!(f, "running_out_{first}"),
        }
    }
}
