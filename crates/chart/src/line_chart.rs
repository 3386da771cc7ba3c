//! A few curves over one axis, with the limits they must keep: what comes back after the cut, how
//! the slide tips.

use evenstroke_language::tr;
use plotters::coord::Shift;
use plotters::prelude::{Color, DrawingArea, DrawingBackend};

use crate::frame::{Frame, Point};
use crate::placing::Taken;
use crate::scene::{DrawError, Label, Measure, Scene, size_in_pixels, width_on};
use crate::sight::{Sight, Window};
use crate::style::Style;
use crate::text::{Weight, number};
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
    /// The part that is looked at more closely, if any.
    pub window: Option<Window>,
    /// Where the curves are being read, across.
    pub read: Option<f64>,
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

/// Draws the chart over the whole area, and returns what is in view; nothing where there is nothing
/// to show.
///
/// # Errors
///
/// Whatever the backend reports.
pub fn draw_line_chart<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    chart: &LineChart,
    style: &Style,
) -> Result<Option<Sight>, DrawError<DB>> {
    let size = size_in_pixels(area, style);
    let (scene, sight) = lay_out(chart, style, size, &width_on(area, style));
    scene.paint(area, style)?;
    Ok(sight)
}

/// What the curves say at a place across, a line each; a curve that does not reach there says nothing.
pub fn line_reading(chart: &LineChart, across: f64) -> Vec<String> {
    let name = chart.across.trim_end_matches(tr(" → BDC"));
    let mut lines = vec![format!("{name}: {}", number(across))];
    for curve in &chart.curves {
        if let Some(up) = up_at(&curve.points, across) {
            lines.push(format!("{}: {} {}", curve.name, number(up), chart.up_unit));
        }
    }
    lines.extend(chart.limits.iter().map(|limit| limit.1.clone()));
    lines
}

/// The value of a curve at a place across, between the points on both sides of it.
fn up_at(points: &[(f64, f64)], across: f64) -> Option<f64> {
    points.windows(2).find_map(|pair| {
        let ((from, low), (to, high)) = (pair[0], pair[1]);
        let part = if to == from { 0.0 } else { (across - from) / (to - from) };
        let up = low + part * (high - low);
        ((0.0..=1.0).contains(&part) && (to != from || across == from) && up.is_finite())
            .then_some(up)
    })
}

/// All that there is to see.
fn whole(chart: &LineChart) -> Option<Window> {
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
    let (low, far) = (frame.left, frame.left + width);
    let (left, right) = if chart.falls { (far, low) } else { (low, far) };
    Some(Window { left, right, bottom: below, top: high + room })
}

fn lay_out(
    chart: &LineChart,
    style: &Style,
    size: (f64, f64),
    measure: Measure,
) -> (Scene, Option<Sight>) {
    let mut scene = Scene::default();
    let frame = Frame { left: 0.0, top: 0.0, right: size.0, bottom: size.1 };
    scene.area(&frame.corners(), style.paper);
    let small = style.small_size();
    let put = |scene: &mut Scene, text: &str, centre: Point, weight, colour| {
        let width = measure(text, small, weight);
        let frame = Frame::around(centre, width, small * 1.15);
        scene.text(Label { text: text.to_owned(), frame, size: small, weight, colour });
    };
    let Some(whole) = whole(chart) else {
        put(&mut scene, tr("nothing to show"), frame.centre(), Weight::Regular, style.quiet_ink);
        return (scene, None);
    };
    let shown = chart.window.map_or(whole, |window| window.within(&whole));
    let across = (shown.left.min(shown.right), shown.left.max(shown.right));
    let up_step = round_step(shown.top - shown.bottom, (size.1 / 56.0).clamp(2.0, 8.0));
    let ticks = multiples(shown.bottom, shown.top, up_step);
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
    let Frame { left, top, right, bottom } = plot;
    let sight = Sight { left, right, top, bottom, whole, shown };
    let x_at = |across: f64| sight.pixel((across, shown.bottom)).0;
    let y_at = |up: f64| sight.pixel((shown.left, up)).1;

    let mut taken = Taken::default();
    for ((from, to), words) in &chart.bands {
        if from.max(*to) < across.0 || from.min(*to) > across.1 {
            continue;
        }
        let clamped = |at: &f64| x_at(at.clamp(across.0, across.1));
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
    let across_step = round_step(across.1 - across.0, (plot.width() / 70.0).clamp(2.0, 12.0));
    for tick in multiples(across.0, across.1, across_step) {
        let x = x_at(tick);
        scene.line(&[(x, plot.top), (x, plot.bottom)], 1.0, style.grid.mix(0.45));
        let text = tick_label(tick, across_step);
        let at = (x, plot.bottom + small * 1.1);
        put(&mut scene, &text, at, Weight::Regular, style.quiet_ink);
    }
    let ground = y_at(0.0).clamp(plot.top, plot.bottom);
    scene.line(&[(plot.left, ground), (plot.right, ground)], 1.2, style.ink);

    for curve in &chart.curves {
        let points: Vec<Point> = curve
            .points
            .iter()
            .filter(|(across, up)| across.is_finite() && up.is_finite())
            .map(|&(across, up)| (x_at(across), y_at(up)))
            .collect();
        for piece in plot.clip_polyline(&points) {
            stroke(&mut scene, &piece, (curve.dashed, curve.read), style);
            taken.lines.push(piece);
        }
    }
    if let Some(now) = chart.now.filter(|now| (across.0..=across.1).contains(now)) {
        let x = x_at(now);
        scene.line(&[(x, plot.top), (x, plot.bottom)], 2.0, style.accent);
        taken.lines.push(vec![(x, plot.top), (x, plot.bottom)]);
    }
    if let Some(read) = chart.read.filter(|read| (across.0..=across.1).contains(read)) {
        let x = x_at(read);
        scene.dashed(&[(x, plot.top), (x, plot.bottom)], (2.0, 3.0), 1.2, style.ink);
        let values = chart.curves.iter().filter_map(|curve| up_at(&curve.points, read));
        for y in values.map(y_at).filter(|y| (plot.top..=plot.bottom).contains(y)) {
            scene.disc((x, y), 4.5, style.paper);
            scene.disc((x, y), 3.2, style.ink);
        }
    }
    let in_view = |limit: &&(f64, String)| (shown.bottom..=shown.top).contains(&limit.0);
    for (limit, words) in chart.limits.iter().filter(in_view) {
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
        if let Some(frame) = taken.best(places, &frame, usize::MAX) {
            let (text, weight) = (words.clone(), Weight::Bold);
            taken.frames.push(frame);
            scene.text(Label { text, frame, size: small, weight, colour: style.ink });
        }
    }
    legend(chart, style, &mut scene, measure, &plot);
    (scene, Some(sight))
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
        let (scene, _) = lay_out(&chart(), &Style::paper(), (600.0, 260.0), &estimated_width);
        let labels: Vec<&str> = scene.labels().map(|label| label.text.as_str()).collect();
        for text in ["kN", "time, ms", "nominal", "upper", "stop at 160 kN of pull", "0"] {
            assert!(labels.contains(&text), "{text} is not among {labels:?}");
        }
    }

    #[test]
    fn labels_lie_in_the_picture_at_any_size() {
        for size in [(1000.0, 400.0), (330.0, 240.0), (200.0, 160.0)] {
            let whole = Frame { left: -1.0, top: -1.0, right: size.0 + 1.0, bottom: size.1 + 1.0 };
            let (scene, _) = lay_out(&chart(), &Style::paper(), size, &estimated_width);
            for label in scene.labels() {
                assert!(whole.contains(&label.frame), "{size:?} {label:?}");
            }
        }
    }

    #[test]
    fn chart_without_points_says_so() {
        let empty = LineChart { curves: Vec::new(), ..chart() };
        let (scene, sight) = lay_out(&empty, &Style::paper(), (600.0, 260.0), &estimated_width);
        assert_eq!(sight, None);
        assert!(scene.labels().any(|label| label.text == "nothing to show"));
        let mut odd = chart();
        odd.curves[0].points = vec![(f64::NAN, 1.0), (3.0, f64::INFINITY), (2.0, 2.0)];
        lay_out(&odd, &Style::paper(), (600.0, 260.0), &estimated_width);
    }

    #[test]
    fn reading_tells_each_curve_at_a_place_and_the_limit() {
        let lines = line_reading(&chart(), 5.0);
        assert_eq!(
            lines,
            ["time, ms: 5", "nominal: 450 kN", "upper: 550 kN", "stop at 160 kN of pull"]
        );
        assert_eq!(line_reading(&chart(), 30.0).len(), 2, "beyond the curves they say nothing");
    }

    #[test]
    fn a_part_looked_at_closely_has_its_own_ticks_and_ends_at_its_edges() {
        let mut chart = chart();
        let window = Window { left: 9.0, right: 11.0, bottom: 500.0, top: 1000.0 };
        chart.window = Some(window);
        chart.read = Some(10.0);
        let (scene, sight) = lay_out(&chart, &Style::paper(), (600.0, 260.0), &estimated_width);
        let sight = sight.expect("there is something to see");
        assert!((sight.shown.top - window.top).abs() < 1e-9 && sight.shown.left == window.left);
        let labels: Vec<&str> = scene.labels().map(|label| label.text.as_str()).collect();
        assert!(labels.contains(&"9.5") && labels.contains(&"10.5"), "{labels:?}");
        assert!(!labels.contains(&"0") && !labels.contains(&"stop at 160 kN of pull"));
        let places = scene.marks.iter().filter_map(|mark| match mark {
            crate::scene::Mark::Line { points, .. } => Some(points),
            _ => None,
        });
        let legend = sight.bottom + 20.0;
        for point in places.flatten().filter(|point| point.1 < legend) {
            assert!(point.1 >= sight.top - 1.0 && point.1 <= sight.bottom + 1.0, "{point:?}");
        }
    }
}
