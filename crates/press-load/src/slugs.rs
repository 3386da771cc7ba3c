//! Slugs below the die: through which hole of the bolster they fall, and how soon a blocked column of
//! them reaches the die.
//!
//! A slug pile that the punch strikes has killed: slugs stacked under the die and struck by the punch
//! (US OSHA accident 814152, 1990), a pile on the bed below the die (NIOSH FACE report 98IA074, Iowa
//! 1998).

use crate::{
    Length, Motion, Outline, Point, StrokeRate,
    cutting::CutKind,
    die::{PlacedWork, Station, Work},
    press::Press,
};

/// A slug that a cut of a station drops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlugFall {
    /// Index of the cut in the station's work.
    pub work: usize,
    /// Index of the bolster's hole that lies under the whole of it; nothing where none does.
    pub hole: Option<usize>,
    /// Where it falls, on the bolster.
    pub at: Point,
}

/// Whether a cut of this kind drops what it cuts through the die: trimming and shaving free a ring,
/// cutting off and shearing the part itself, a lance nothing.
pub const fn drops_slug(kind: CutKind) -> bool {
    matches!(kind, CutKind::Pierce | CutKind::Blank | CutKind::Notch)
}

/// Whether any cut of a station drops a slug.
pub fn station_drops_slugs(station: &Station) -> bool {
    station.work.iter().any(|placed| matches!(&placed.work, Work::Cut(cut) if drops_slug(cut.kind)))
}

/// The slugs of a station whose outline is known, with the hole under each.
pub fn falls<'a>(
    press: &'a Press,
    station: &Station,
    placement: &Motion,
) -> impl Iterator<Item = SlugFall> + 'a {
    frames(station, placement).into_iter().map(|(work, low, high)| {
        let at = Point::new(f64::midpoint(low.x, high.x), f64::midpoint(low.y, high.y));
        let hole = press.openings.iter().position(|opening| opening.holds(low, high));
        SlugFall { work, hole, at }
    })
}

/// The rectangles about the slugs that a station drops, by the index of the cut and their lower and
/// upper corners, once the die is brought into place. Slugs of which only the length of the cut is
/// known are left out.
pub(crate) fn frames(station: &Station, placement: &Motion) -> Vec<(usize, Point, Point)> {
    let to_bolster = Motion::new(station.at, 0.0).then(placement);
    let frame = |(index, placed): (usize, &PlacedWork)| {
        let Work::Cut(cut) = &placed.work else { return None };
        if !drops_slug(cut.kind) || matches!(cut.outline, Outline::LengthOnly(_)) {
            return None;
        }
        let motion = placed.motion.then(&to_bolster);
        let along = |direction| placed.work.extent_along(&motion, direction).ok();
        let (x, y) = (along(Point::new(1.0, 0.0))?, along(Point::new(0.0, 1.0))?);
        Some((index, Point::new(x.0, y.0), Point::new(x.1, y.1)))
    };
    station.work.iter().enumerate().filter_map(frame).collect()
}

/// Strokes until a blocked column of slugs has grown by `drop`: `drop / thickness`, slugs lying flat on
/// each other. Bent slugs and burrs fill sooner.
///
/// Nothing for a thickness that is not positive.
pub fn strokes_to_fill(drop: Length, thickness: Length) -> Option<f64> {
    (thickness.is_positive() && drop >= Length::ZERO).then(|| drop / thickness)
}

/// Minutes until a blocked column of slugs has grown by `drop`: `drop / (thickness · strokes per
/// minute)`.
///
/// Nothing for a thickness or rate that is not positive.
pub fn minutes_to_fill(drop: Length, thickness: Length, rate: StrokeRate) -> Option<f64> {
    let strokes = strokes_to_fill(drop, thickness)?;
    rate.is_positive().then(|| strokes / rate.per_minute())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    /// Slugs of 2 mm at 45 strokes a minute fill 90 mm a minute, so that a free height of 300 mm is
    /// full after 3 min 20 s (our own arithmetic: the column grows by a thickness a stroke).
    #[test]
    fn column_of_two_millimetre_slugs_fills_300_mm_in_three_minutes_twenty() {
        let rate = StrokeRate::from_per_minute(45.0);
        let minutes = minutes_to_fill(mm(300.0), mm(2.0), rate).expect("it is known");
        assert_close(minutes, 3.0 + 20.0 / 60.0, 1e-12);
        assert_close(strokes_to_fill(mm(300.0), mm(2.0)).expect("it is known"), 150.0, 1e-12);
        assert_close(strokes_to_fill(mm(90.0), mm(2.0)).expect("it is known"), 45.0, 1e-12);
    }

    #[test]
    fn column_without_thickness_or_strokes_has_no_time() {
        let rate = StrokeRate::from_per_minute(45.0);
        assert_eq!(minutes_to_fill(mm(300.0), mm(0.0), rate), None);
        assert_eq!(minutes_to_fill(mm(300.0), mm(2.0), StrokeRate::ZERO), None);
        assert_eq!(minutes_to_fill(mm(f64::NAN), mm(2.0), rate), None);
    }
}
