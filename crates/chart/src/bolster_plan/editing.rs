//! A cut whose outline is being edited: its points, how its tool shear runs, and when each part of
//! the edge enters.

use super::PlanView;
use crate::frame::{Frame, Point};
use crate::placing::Taken;
use crate::scene::{Label, Measure, Scene};
use crate::style::{RGBColor, Style};
use crate::text::Weight;

/// Half the side of the square that marks a point, in CSS pixels.
const POINT_PX: f64 = 5.0;
/// Width of the scale of entry heights and of one of its fields.
const SCALE_PX: (f64, f64) = (14.0, 18.0);
/// Fields of the scale.
const FIELDS: usize = 5;

/// What is shown of a cut that is being edited. Places are in millimetres on the bolster.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlanEdit {
    /// The edge in pieces.
    pub edges: Vec<CutEdge>,
    /// Points that can be moved.
    pub points_mm: Vec<(f64, f64)>,
    /// Which of them is chosen.
    pub chosen: Option<usize>,
    /// From where to where the handle of the tool shear runs.
    pub shear_mm: Option<[(f64, f64); 2]>,
    /// Entry heights from the first to the last, as words for the scale; one where the tool is flat.
    pub scale: Vec<String>,
    /// What is in view while a handle is held, from the lower left corner to the upper right one, so
    /// that the picture does not move below the hand.
    pub held: Option<[(f64, f64); 2]>,
}

/// A piece of edge that enters about at once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CutEdge {
    /// Its line.
    pub line_mm: Vec<(f64, f64)>,
    /// When it enters: 0 with the first part of the edge, 1 with the last.
    pub lateness: f64,
}

impl PlanEdit {
    /// What is in view, from the lower left corner to the upper right one.
    pub fn in_view(&self) -> Option<[(f64, f64); 2]> {
        let frame = self.extent_mm()?;
        Some([(frame.left, frame.top), (frame.right, frame.bottom)])
    }

    /// The places that are to be in view.
    pub(super) fn extent_mm(&self) -> Option<Frame> {
        if let Some(held) = self.held {
            return Frame::holding(held);
        }
        let places = self.edges.iter().flat_map(|edge| edge.line_mm.iter().copied());
        let places = places.chain(self.points_mm.iter().copied());
        let frame = Frame::holding(places.chain(self.shear_mm.into_iter().flatten()))?;
        // The handle can be pulled out, and what lies around is to be seen.
        Some(frame.grown(0.35 * frame.width().max(frame.height()).max(1.0)))
    }
}

/// From the accent for what touches first to the ink for what touches last.
fn colour(style: &Style, lateness: f64) -> RGBColor {
    let part = lateness.clamp(0.0, 1.0);
    let mixed = |a: u8, b: u8| (f64::from(a) * (1.0 - part) + f64::from(b) * part).round() as u8;
    let (first, last) = (style.accent, style.ink);
    RGBColor(mixed(first.0, last.0), mixed(first.1, last.1), mixed(first.2, last.2))
}

/// Draws the edge with its handles and the scale of its entry heights.
pub(super) fn draw(
    edit: &PlanEdit,
    style: &Style,
    view: &PlanView,
    whole: Frame,
    scene: &mut Scene,
    taken: &mut Taken,
    measure: Measure,
) {
    for edge in &edit.edges {
        let line = view.pixels(&edge.line_mm);
        // What enters first is heavier, too, for those who see no colours.
        scene.line(&line, 6.0 - 3.0 * edge.lateness.clamp(0.0, 1.0), colour(style, edge.lateness));
        taken.lines.push(line);
    }
    for (index, point) in view.pixels(&edit.points_mm).into_iter().enumerate() {
        let mark = |half: f64| Frame::around(point, 2.0 * half, 2.0 * half);
        if edit.chosen == Some(index) {
            scene.area(&mark(POINT_PX + 3.0).corners(), style.paper);
            scene.area(&mark(POINT_PX + 1.5).corners(), style.accent);
        } else {
            scene.area(&mark(POINT_PX).corners(), style.paper);
        }
        scene.line(&mark(POINT_PX).outline(), 1.6, style.ink);
        taken.frames.push(mark(POINT_PX));
    }
    if let Some([from, to]) = edit.shear_mm {
        arrow(view.pixel_at(from), view.pixel_at(to), style, scene);
    }
    if edit.scale.len() < 2 {
        return;
    }
    let size = style.small_size();
    let (width, step) = SCALE_PX;
    let widest = edit.scale.iter().map(|words| measure(words, size, Weight::Regular));
    let widest = widest.fold(0.0, f64::max);
    let left = whole.left + 8.0;
    let bottom = whole.bottom - 10.0 - step * FIELDS as f64;
    let ground = Frame {
        left: left - 4.0,
        top: bottom - 8.0,
        right: left + width + 12.0 + widest,
        bottom: whole.bottom - 2.0,
    };
    scene.area(&ground.corners(), style.paper);
    for field in 0..FIELDS {
        let top = bottom + step * field as f64;
        let area = Frame { left, top, right: left + width, bottom: top + step };
        let lateness = field as f64 / (FIELDS - 1) as f64;
        scene.area(&area.corners(), colour(style, lateness));
        let at = lateness * (edit.scale.len() - 1) as f64;
        if at.fract() == 0.0 {
            let words = &edit.scale[at as usize];
            let text_width = measure(words, size, Weight::Regular);
            let middle = (area.right + 6.0 + text_width / 2.0, area.centre().1);
            scene.text(Label {
                text: words.clone(),
                frame: Frame::around(middle, text_width, size * 1.15),
                size,
                weight: Weight::Regular,
                colour: style.ink,
            });
        }
    }
    taken.frames.push(ground);
}

/// The handle of the tool shear, which points to where the edge touches last.
fn arrow(from: Point, to: Point, style: &Style, scene: &mut Scene) {
    scene.line(&[from, to], 4.6, style.paper);
    scene.line(&[from, to], 2.2, style.accent);
    scene.disc(to, 11.0, style.paper);
    scene.disc(to, 9.0, style.accent);
    let length = (to.0 - from.0).hypot(to.1 - from.1);
    if length < 1.0 {
        return;
    }
    let (dx, dy) = ((to.0 - from.0) / length, (to.1 - from.1) / length);
    let at = |along: f64, across: f64| {
        (to.0 + along * dx - across * dy, to.1 + along * dy + across * dx)
    };
    scene.line(&[at(-4.0, -4.0), at(3.0, 0.0), at(-4.0, 4.0)], 2.0, style.on_accent);
}
