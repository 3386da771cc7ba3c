//! A few curves over one axis, with the limits they must keep: what comes back after the cut, how
//! the slide tips.

use plotters::coord::Shift;
use plotters::prelude::{Color, DrawingArea, DrawingBackend};

use crate::frame::{Frame, Point};
use crate::placing::Taken;
use crate::scene::{DrawError, Label, Measure, Scene, size_in_pixels, width_on};
use crate::style::Style;
use crate::text::Weight;
use crate::ticks::{multiples, round_step, tick_label};

/// Curves over one axis. Numbers are in the units that the reader sees.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineChart {
    /// What the chart shows, as a sentence for a screen reader.
    pub summary: String,
    /// What runs to the right, with its unit.
    pub across: String,
    /// Whether it falls to the right, as slide height does into BDC.
    pub falls: bool,
    /// Unit of what runs up.
    pub up_unit: String,
    /// The curves.
    pub curves: Vec<LineCurve>,
    /// Values that must not be passed, each with its words.
    pub limits: Vec<(f64, String)>,
    /// Spans across that are shaded, each with its words.
    pub bands: Vec<((f64, f64), String)>,
    /// Where a reader looks now, across.
    pub now: Option<f64>,
}

/// One curve.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineCurve {
    /// Its name in the legend.
    pub name: String,
    /// Its points, in order.
    pub points: Vec<(f64, f64)>,
    /// Drawn dashed, as the upper line is everywhere.
    pub dashed: bool,
    /// What was read rather than worked out: drawn heavier and in the accent.
    pub read: bool,
}

/// Dash and gap of dashed curves, in CSS pixels.
const DASH: (f64, f64) = (5.0, 5.5);
/// Length of a line's sample in the legend, in CSS pixels.
const SAMPLE: f64 = 26.0;

/// Draws the chart over the whole area.
///
/// # Errors
///
/// Whatever the backend reports.
pub fn draw_line_chart<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    chart: &LineChart,
    style: &Style,
) -> Result<(), DrawError<DB>> {
    let size = size_in_pixels(area, style);
    lay_out(chart, style, size, &width_on(area, style)).paint(area, style)
}

/// From where to where the values in view reach.
struct Range {
    across: (f64, f64),
    up: (f64, f64),
}

fn range(chart: &LineChart) -> Option<Range> {
    let points = chart.curves.iter().flat_map(|curve| curve.points.iter().copied());
    let frame = Frame::holding(points)?;
    let limits = chart.limits.iter().map(|limit| limit.0).filter(|limit| limit.is_finite());
    let (low, high) = limits
        .fold((frame.top.min(0.0), frame.bottom.max(0.0)), |(low, high), limit| {
            (low.min(limit), high.max(limit))
        });
    let room = if high > low { 0.06 * (high - low) } else { 1.0 };
    let width = frame.width().max(1e-9);
    let below = if low < 0.0 { low - room } else { low };
    Some(Range { across: (frame.left, frame.left + width), up: (below, high + room) })
}

fn lay_out(chart: &LineChart, style: &Style, size: (f64, f64), measure: Measure) -> Scene {
    let mut scene = Scene::default();
    let whole = Frame { left: 0.0, top: 0.0, right: size.0, bottom: size.1 };
    scene.area(&whole.corners(), style.paper);
    let small = style.small_size();
    let put = |scene: &mut Scene, text: &str, centre: Point, weight, colour| {
        let width = measure(text, small, weight);
        let frame = Frame::around(centre, width, small * 1.15);
        scene.text(Label { text: text.to_owned(), frame, size: small, weight, colour });
    };
    let Some(range) = range(chart) else {
        put(&mut scene, "nothing to show", whole.centre(), Weight::Regular, style.quiet_ink);
        return scene;
    };
    let up_step = round_step(range.up.1 - range.up.0, (size.1 / 56.0).clamp(2.0, 8.0));
    let ticks = multiples(range.up.0, range.up.1, up_step);
    let widest = ticks
        .iter()
        .map(|&tick| measure(&tick_label(tick, up_step), small, Weight::Regular))
        .fold(measure(&chart.up_unit, small, Weight::Regular), f64::max);
    let plot = Frame {
        left: (widest + small * 1.3).min(size.0 * 0.4),
        top: (small * 1.9).min(size.1 * 0.2),
        right: (size.0 - small).max(size.0 * 0.6),
        bottom: (size.1 - small * 3.4).max(size.1 * 0.5),
    };
    let x_at = |across: f64| {
        let part = (across - range.across.0) / (range.across.1 - range.across.0);
        plot.left + plot.width() * if chart.falls { 1.0 - part } else { part }
    };
    let y_at =
        |up: f64| plot.bottom - plot.height() * (up - range.up.0) / (range.up.1 - range.up.0);

    let mut taken = Taken::default();
    for ((from, to), words) in &chart.bands {
        let clamped = |across: &f64| x_at(across.clamp(range.across.0, range.across.1));
        let (a, b) = (clamped(from), clamped(to));
        let (left, right) = (a.min(b), a.max(b));
        let band = Frame { left, right, ..plot };
        scene.area(&band.corners(), style.tint(1).mix(0.7));
        let width = measure(words, small, Weight::Bold);
        let half = width / 2.0 + 2.0;
        let x = band.centre().0.clamp(plot.left + half, (plot.right - half).max(plot.left + half));
        let frame = Frame::around((x, plot.top - small * 0.9), width, small * 1.15);
        taken.frames.push(frame);
        let (text, weight) = (words.clone(), Weight::Bold);
        scene.text(Label { text, frame, size: small, weight, colour: style.ink });
    }
    for &tick in &ticks {
        let y = y_at(tick);
        scene.line(&[(plot.left, y), (plot.right, y)], 1.0, style.grid.mix(0.7));
        let text = tick_label(tick, up_step);
        let width = measure(&text, small, Weight::Regular);
        let centre = (plot.left - small * 0.6 - width / 2.0, y);
        put(&mut scene, &text, centre, Weight::Regular, style.quiet_ink);
    }
    let unit_width = measure(&chart.up_unit, small, Weight::Regular);
    let unit_at = (plot.left - small * 0.6 - unit_width / 2.0, (plot.top - small).max(small * 0.6));
    put(&mut scene, &chart.up_unit, unit_at, Weight::Regular, style.quiet_ink);
    let across_step =
        round_step(range.across.1 - range.across.0, (plot.width() / 70.0).clamp(2.0, 12.0));
    for tick in multiples(range.across.0, range.across.1, across_step) {
        let x = x_at(tick);
        scene.line(&[(x, plot.top), (x, plot.bottom)], 1.0, style.grid.mix(0.45));
        let text = tick_label(tick, across_step);
        let at = (x, plot.bottom + small * 1.1);
        put(&mut scene, &text, at, Weight::Regular, style.quiet_ink);
    }
    scene.line(&[(plot.left, y_at(0.0)), (plot.right, y_at(0.0))], 1.2, style.ink);

    for curve in &chart.curves {
        let points: Vec<Point> = curve
            .points
            .iter()
            .filter(|(across, up)| across.is_finite() && up.is_finite())
            .map(|&(across, up)| (x_at(across), y_at(up)))
            .collect();
        stroke(&mut scene, &points, (curve.dashed, curve.read), style);
        taken.lines.push(points);
    }
    if let Some(now) = chart.now.filter(|now| (range.across.0..=range.across.1).contains(now)) {
        let x = x_at(now);
        scene.line(&[(x, plot.top), (x, plot.bottom)], 2.0, style.accent);
        taken.lines.push(vec![(x, plot.top), (x, plot.bottom)]);
    }
    for (limit, words) in chart.limits.iter().filter(|limit| limit.0.is_finite()) {
        let y = y_at(*limit);
        scene.line(&[(plot.left, y), (plot.right, y)], 2.4, style.ink);
        // Above the line or below it, where there is more room, away from the curves.
        let width = measure(words, small, Weight::Bold);
        let places = [0.5, 0.25, 0.75, 0.12, 0.88].iter().flat_map(|part| {
            [-0.75, 0.75].map(|up| {
                let half = width / 2.0 + 4.0;
                let x = (plot.left + part * plot.width())
                    .clamp(plot.left + half, (plot.right - half).max(plot.left + half));
                Frame::around((x, y + up * small), width, small * 1.15)
            })
        });
        if let Some(frame) = taken.best(places, &whole, usize::MAX) {
            let (text, weight) = (words.clone(), Weight::Bold);
            taken.frames.push(frame);
            scene.text(Label { text, frame, size: small, weight, colour: style.ink });
        }
    }
    legend(chart, style, &mut scene, measure, &plot);
    scene
}

/// The curves' samples with their names at the left, what runs across at the right.
fn legend(chart: &LineChart, style: &Style, scene: &mut Scene, measure: Measure, plot: &Frame) {
    let small = style.small_size();
    let row = plot.bottom + small * 2.55;
    let title_width = measure(&chart.across, small, Weight::Regular);
    let mut put = |text: &str, left: f64, width: f64| {
        let frame = Frame::around((left + width / 2.0, row), width, small * 1.15);
        let (text, weight, colour) = (text.to_owned(), Weight::Regular, style.quiet_ink);
        scene.text(Label { text, frame, size: small, weight, colour });
    };
    let title_left = (plot.right - title_width).max(plot.left);
    put(&chart.across, title_left, title_width);
    let mut left = plot.left;
    let mut samples = Vec::new();
    for curve in &chart.curves {
        let width = measure(&curve.name, small, Weight::Regular);
        if left + SAMPLE + 6.0 + width > title_left - small {
            break;
        }
        put(&curve.name, left + SAMPLE + 6.0, width);
        samples.push((left, (curve.dashed, curve.read)));
        left += SAMPLE + 6.0 + width + small * 1.4;
    }
    for (left, look) in samples {
        stroke(scene, &[(left, row), (left + SAMPLE, row)], look, style);
    }
}

/// A curve as it looks: dashed or not, read or worked out.
fn stroke(scene: &mut Scene, points: &[Point], look: (bool, bool), style: &Style) {
    match look {
        (true, false) => scene.dashed(points, DASH, 1.5, style.ink),
        (false, false) => scene.line(points, 2.0, style.ink),
        (true, true) => scene.dashed(points, DASH, 2.0, style.accent),
        (false, true) => scene.line(points, 3.2, style.accent),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::estimated_width;

    fn chart() -> LineChart {
        LineChart {
            across: "time, ms".to_owned(),
            up_unit: "kN".to_owned(),
            curves: vec![
                LineCurve {
                    name: "nominal".to_owned(),
                    points: vec![(0.0, 0.0), (10.0, 900.0), (12.0, -80.0), (20.0, 5.0)],
                    dashed: false,
                    read: false,
                },
                LineCurve {
                    name: "upper".to_owned(),
                    points: vec![(0.0, 0.0), (10.0, 1100.0), (12.0, -120.0), (20.0, 5.0)],
                    dashed: true,
                    read: false,
                },
            ],
            limits: vec![(-160.0, "stop at 160 kN of pull".to_owned())],
            ..LineChart::default()
        }
    }

    #[test]
    fn chart_names_its_curves_its_limit_and_its_axes() {
        let scene = lay_out(&chart(), &Style::paper(), (600.0, 260.0), &estimated_width);
        let labels: Vec<&str> = scene.labels().map(|label| label.text.as_str()).collect();
        for text in ["kN", "time, ms", "nominal", "upper", "stop at 160 kN of pull", "0"] {
            assert!(labels.contains(&text), "{text} is not among {labels:?}");
        }
    }

    #[test]
    fn labels_lie_in_the_picture_at_any_size() {
        for size in [(1000.0, 400.0), (330.0, 240.0), (200.0, 160.0)] {
            let whole = Frame { left: -1.0, top: -1.0, right: size.0 + 1.0, bottom: size.1 + 1.0 };
            let scene = lay_out(&chart(), &Style::paper(), size, &estimated_width);
            for label in scene.labels() {
                assert!(whole.contains(&label.frame), "{size:?} {label:?}");
            }
        }
    }

    #[test]
    fn chart_without_points_says_so() {
        let empty = LineChart { curves: Vec::new(), ..chart() };
        let scene = lay_out(&empty, &Style::paper(), (600.0, 260.0), &estimated_width);
        assert!(scene.labels().any(|label| label.text == "nothing to show"));
        let mut odd = chart();
        odd.curves[0].points = vec![(f64::NAN, 1.0), (3.0, f64::INFINITY), (2.0, 2.0)];
        lay_out(&odd, &Style::paper(), (600.0, 260.0), &estimated_width);
    }
}
