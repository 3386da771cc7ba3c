//! Dimension lines: how far the die's sides are from those of the bolster, and its centre from the
//! bolster's.

use super::{Dimension, DimensionSide, PlanView};
use crate::frame::{Frame, Point};
use crate::placing::Taken;
use crate::scene::{Label, Measure, Scene};
use crate::style::Style;
use crate::text::Weight;

/// Room for one row of dimensions at the bottom, and for one column at the left, in small letters.
const ROW: f64 = 2.1;
const COLUMN: f64 = 7.4;

/// What the dimensions take of the picture: at the left and at the bottom, in CSS pixels.
pub(super) fn room(dimensions: &[Dimension], style: &Style) -> (f64, f64) {
    let rows = |side| {
        let of_side = dimensions.iter().filter(|dimension| dimension.side == side);
        of_side.map(|dimension| dimension.row + 1).max().unwrap_or(0) as f64
    };
    let size = style.small_size();
    (rows(DimensionSide::Left) * size * COLUMN, rows(DimensionSide::Below) * size * ROW)
}

/// Draws them in the picture `whole` outside `ground`, below it from `below` downwards.
pub(super) fn draw(
    dimensions: &[Dimension],
    style: &Style,
    view: &PlanView,
    (whole, ground, below): (Frame, Frame, f64),
    scene: &mut Scene,
    taken: &mut Taken,
    measure: Measure,
) {
    let size = style.small_size();
    for dimension in dimensions {
        let row = dimension.row as f64;
        // Along the dimension line and away from the picture.
        let at = |along_mm: f64, away: f64| -> Point {
            match dimension.side {
                DimensionSide::Below => {
                    let line = below + (row + 1.0) * size * ROW - size * 0.35;
                    (view.pixel_at((along_mm, 0.0)).0, line + away)
                }
                DimensionSide::Left => {
                    let line = ground.left - (row + 0.2) * size * COLUMN;
                    (line - away, view.pixel_at((0.0, along_mm)).1)
                }
            }
        };
        let (from, to) = (at(dimension.from_mm, 0.0), at(dimension.to_mm, 0.0));
        let ink = style.ink;
        scene.line(&[from, to], 1.0, ink);
        for end_mm in [dimension.from_mm, dimension.to_mm] {
            scene.line(&[at(end_mm, 4.0), at(end_mm, -4.0)], 1.0, ink);
        }
        // Oblique strokes end the line, as on a shop drawing.
        for (x, y) in [from, to] {
            scene.line(&[(x - 3.0, y + 3.0), (x + 3.0, y - 3.0)], 1.4, ink);
        }
        let width = measure(&dimension.words, size, Weight::Bold) + 4.0;
        let middle = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
        let centre = match dimension.side {
            DimensionSide::Below => (middle.0, middle.1 - size * 0.75),
            DimensionSide::Left => (middle.0 - width / 2.0 - 5.0, middle.1),
        };
        // Beside the middle of a short line rather than out of the picture.
        let (left, right) = (whole.left + width / 2.0, whole.right - width / 2.0);
        let centre = (centre.0.min(right).max(left), centre.1);
        let frame = Frame::around(centre, width, size * 1.15);
        taken.frames.push(frame);
        scene.text(Label {
            text: dimension.words.clone(),
            frame,
            size,
            weight: Weight::Bold,
            colour: ink,
        });
    }
}
