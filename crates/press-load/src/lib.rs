//! Forces of press-working operations through the stroke, and the press that must give them.
//!
//! Values in, values out: no files, clock, browser or logging. In reading order:
//!
//! - [`quantity`], [`geometry`]: forces, lengths, points
//! - [`stock`]: the sheet and how far it may vary
//! - [`outline`], [`tool_shear`]: the edge that cuts and how it enters
//! - [`cut_profile`], [`edge_load`]: force over penetration, summed along the edge in closed form
//!   (straight edges by their corners, in `corner_sum`)
//! - [`cutting`], [`stripping`], [`bending`], [`flanging`], [`hemming`], [`deep_drawing`],
//!   [`squeezing`], [`springs`], [`point_load`]: one file per family of laws
//! - [`press`]: drive, energy, off-centre ratings
//! - [`die`], [`strip`], [`stroke`]: stations, strip states, the loads added up through the stroke
//!   (`station_loads`, and `evaluation`, which keeps what an edit leaves alone)
//! - [`snap_through`]: what comes back when the cut breaks through
//! - [`space`]: room in height, on the bolster, over slots and slug holes
//! - [`slide_on_springs`]: how far the slide tilts
//! - [`limits`], [`check`](mod@check): and judged
//! - [`die_needs`]: what the die asks of any press
//! - [`first_strokes`], [`stall`]: hit by hit while the strip fills; at a height at which the slide stands
//! - [`setting`], [`counterbalance`], [`clamping`], [`slugs`], [`measured_stiffness`]: what a set-up needs
//!   beside the check
//! - [`place`]: where the die stands best
//!
//! Coordinates: seen from above, operator at the front, x to the right, y to the back, origin at
//! the bolster centre. Slide height h is above BDC. Compression between slide and bolster is
//! positive.

pub mod bending;
pub mod check;
pub mod clamping;
mod corner_sum;
pub mod counterbalance;
pub mod cut_profile;
pub mod cutting;
pub mod deep_drawing;
pub mod die;
pub mod die_needs;
pub mod edge_load;
mod error;
mod evaluation;
pub mod first_strokes;
pub mod flanging;
pub mod geometry;
pub mod hemming;
pub mod limits;
pub mod load;
pub mod measured_stiffness;
pub mod order;
pub mod outline;
pub mod place;
pub mod point_load;
pub mod press;
pub mod quantity;
pub mod setting;
pub mod slide_on_springs;
pub mod slugs;
pub mod snap_through;
pub mod space;
pub mod springs;
pub mod squeezing;
pub mod stall;
mod station_loads;
pub mod stock;
pub mod strip;
pub mod stripping;
pub mod stroke;
pub mod tool_shear;

pub use check::{Caution, Check, Peak, SpeedBand, Stretch, check};
pub use die::{Bolts, Clamps, Die, DieKind, PlacedWork, Placement, Station, Work};
pub use error::InputError;
pub use geometry::{Motion, Point};
pub use limits::{Limit, LimitId, LimitUnit, Missing, Need, State, Use};
pub use load::LoadSeries;
pub use outline::{Edge, Outline};
pub use quantity::{
    Area, Energy, Force, Length, LineForce, Mass, Moment, Power, Stiffness, Stress, StrokeRate,
};
pub use slide_on_springs::{SlideCourse, SlideSprings, TiltUse};
pub use snap_through::{SnapRow, SnapThrough};
pub use stock::{Line, Range, Sheet, Stock};
pub use strip::{Strip, StripState};
pub use stroke::{Stroke, WorkError};

/// Fails unless `actual` is within `relative_tolerance` of `expected`; prints both.
#[cfg(test)]
#[track_caller]
pub(crate) fn assert_close(actual: f64, expected: f64, relative_tolerance: f64) {
    let difference = (actual - expected).abs();
    let scale = expected.abs().max(f64::MIN_POSITIVE);
    assert!(
        difference <= relative_tolerance * scale,
        "actual {actual}, expected {expected}, relative difference {}",
        difference / scale
    );
}

/// A sheet for unit tests: thickness in mm, tensile strength in MPa, shear ratio 0.8.
#[cfg(test)]
pub(crate) fn test_sheet(thickness_mm: f64, tensile_mpa: f64) -> Sheet {
    let stock = Stock {
        thickness_m: Range::exactly(thickness_mm * 1e-3),
        tensile_pa: Range::exactly(tensile_mpa * 1e6),
        shear_pa: Range::exactly(0.8 * tensile_mpa * 1e6),
        yield_pa: None,
        penetration: Range::exactly(0.4),
        separation: Range::exactly(0.7),
        strength_coefficient_pa: None,
        hardening_exponent: None,
    };
    match stock.sheet(Line::Nominal) {
        Ok(sheet) => sheet,
        Err(error) => panic!("test sheet: {error}"),
    }
}
