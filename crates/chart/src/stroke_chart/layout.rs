//! Where everything in the stroke chart goes.

use evenstroke_language::{marked, say, tr};
use plotters::prelude::Color;

use super::{ChartRange, ChartView, Curve, StrokeChart};
use crate::curve::{
    Rows, force_arriving, force_leaving, in_stroke_order, peak, stacked, window, zones_above,
};
use crate::dash::hatching;
use crate::frame::{Frame, Point};
use crate::placing::{Taken, beside};
use crate::scene::{Label, Measure, Scene};
use crate::style::Style;
use crate::text::{Weight, number};
use crate::ticks::{multiples, round_step, tick_label};

/// Dash and gap of the upper line, in CSS pixels.
const UPPER_DASH: (f64, f64) = (5.0, 5.5);

/// Length of a line's sample in the legend, in CSS pixels.
const LEGEND_SAMPLE: f64 = 26.0;

/// The chart's curves in view.
struct InView {
    capacity: Rows,
    nominal: Rows,
    upper: Rows,
    readings: Rows,
    /// The highest row of the upper line, exactly as given.
    upper_peak: Option<(f64, f64)>,
    /// Where the upper line lies above the capacity.
    zones: Vec<Rows>,
}

pub(crate) fn lay_out(
    chart: &StrokeChart,
    style: &Style,
    size: (f64, f64),
    measure: Measure,
) -> (Scene, ChartView) {
    let range = checked(chart.range);
    let cut = |curve: &Curve, range: &ChartRange| {
        window(&in_stroke_order(curve), range.from_height, range.to_height)
    };
    let upper_peak = peak(&cut(&chart.upper, &range));
    let highest = [peak(&cut(&chart.nominal, &range)), upper_peak]
        .into_iter()
        .flatten()
        .fold(0.0, |top: f64, row| top.max(row.1));
    let whole = ChartRange { top_force: range.top_force.max(highest * 1.04), ..range };
    let range = whole.part(chart.window);
    let cut = |curve: &Curve| cut(curve, &range);
    let (nominal, upper) = (cut(&chart.nominal), cut(&chart.upper));
    let view = plot(chart, style, size, measure, (range, whole));
    let (capacity, upper) = (view.thinned(&cut(&chart.capacity)), view.thinned(&upper));
    let shown = InView {
        zones: zones_above(&upper, &capacity),
        readings: in_stroke_order(&chart.readings),
        nominal: view.thinned(&nominal),
        capacity,
        upper,
        upper_peak,
    };

    let mut layout =
        Layout { chart, style, measure, view, scene: Scene::default(), taken: Taken::default() };
    let frame = Frame { left: 0.0, top: 0.0, right: size.0, bottom: size.1 };
    layout.scene.area(&frame.corners(), style.paper);
    layout.grid();
    let stack = layout.station_areas(range);
    layout.axes();
    layout.curves(&shown);
    layout.handle(&shown, frame);
    layout.read(&shown);
    layout.peak_label(&shown);
    layout.zone_label(&shown);
    layout.capacity_label(&shown);
    layout.station_labels(&stack);
    if shown.capacity.is_empty() && shown.nominal.is_empty() && shown.upper.is_empty() {
        layout.empty_label();
    }
    (layout.scene, layout.view)
}

/// The range with heights and force that can be drawn.
fn checked(range: ChartRange) -> ChartRange {
    let usual = ChartRange::default();
    let heights_fit = range.from_height.is_finite()
        && range.to_height.is_finite()
        && range.from_height > range.to_height;
    let (from_height, to_height) = match heights_fit {
        true => (range.from_height, range.to_height),
        false => (usual.from_height, usual.to_height),
    };
    ChartRange {
        from_height,
        to_height,
        top_force: match range.top_force.is_finite() && range.top_force > 0.0 {
            true => range.top_force,
            false => usual.top_force,
        },
        base_force: 0.0,
    }
}

/// The plot inside the picture, with room for axis labels unless the picture is too small.
fn plot(
    chart: &StrokeChart,
    style: &Style,
    (width, height): (f64, f64),
    measure: Measure,
    (range, whole): (ChartRange, ChartRange),
) -> ChartView {
    let small = style.small_size();
    let widest = |text: &str| measure(text, small, Weight::Regular);
    let force_step = force_step(range, height);
    let force_labels = multiples(range.base_force, range.top_force, force_step)
        .into_iter()
        .map(|force| widest(&tick_label(force, force_step)))
        .fold(widest(&chart.force_unit), f64::max);
    let left = force_labels + small * 1.3;
    let right = width - small;
    let top = small * 2.5;
    let bottom = height - small * 3.4;
    if right - left < small * 6.0 || bottom - top < small * 3.0 {
        return ChartView {
            left: width * 0.04,
            right: (width * 0.96).max(width * 0.04 + 1.0),
            top: height * 0.05,
            bottom: (height * 0.95).max(height * 0.05 + 1.0),
            range,
            whole,
        };
    }
    ChartView {
        left: left.ceil() + 0.5,
        right: right.floor() + 0.5,
        top: top.ceil() + 0.5,
        bottom: bottom.floor() + 0.5,
        range,
        whole,
    }
}

fn force_step(range: ChartRange, height: f64) -> f64 {
    round_step(range.top_force - range.base_force, (height / 56.0).clamp(2.0, 10.0))
}

/// A chart half laid out.
struct Layout<'a> {
    chart: &'a StrokeChart,
    style: &'a Style,
    measure: Measure<'a>,
    view: ChartView,
    scene: Scene,
    taken: Taken,
}

impl Layout<'_> {
    /// Whether the picture was large enough for axis labels.
    fn has_labels(&self) -> bool {
        self.view.top > self.style.small_size() * 2.0
    }

    fn height_step(&self) -> f64 {
        let range = self.view.range;
        let widest =
            (self.measure)(&number(range.from_height), self.style.small_size(), Weight::Regular)
                .max(self.style.small_size() * 2.0);
        let spacing = (widest * 2.2).max(56.0);
        round_step(
            range.from_height - range.to_height,
            ((self.view.right - self.view.left) / spacing).clamp(2.0, 14.0),
        )
    }

    fn grid(&mut self) {
        let (view, grid) = (self.view, self.style.grid);
        let whole_step = force_step(view.range, view.bottom - view.top);
        for force in multiples(view.range.base_force, view.range.top_force, whole_step / 2.0) {
            let steps = force / whole_step;
            let is_main = (steps - steps.round()).abs() < 1e-6;
            let y = crisp(view.y_at(force));
            let strength = if is_main { 1.0 } else { 0.45 };
            self.scene.line(&[(view.left, y), (view.right, y)], 1.0, grid.mix(strength));
        }
        for height in multiples(view.range.to_height, view.range.from_height, self.height_step()) {
            let x = crisp(view.x_at(height));
            self.scene.line(&[(x, view.top), (x, view.bottom)], 1.0, grid.mix(0.6));
        }
    }

    /// Fills the stations' parts and returns their border lines in pixels.
    fn station_areas(&mut self, range: ChartRange) -> Vec<Vec<Point>> {
        let parts: Vec<Rows> = self
            .chart
            .stations
            .iter()
            .map(|part| {
                let rows = in_stroke_order(&part.curve);
                self.view.thinned(&window(&rows, range.from_height, range.to_height))
            })
            .collect();
        // A quarter of a pixel is finer than anyone sees and bounds the work for large dies.
        let finest = (range.from_height - range.to_height)
            / (4.0 * (self.view.right - self.view.left).max(1.0));
        let borders: Vec<Vec<Point>> = stacked(&parts, finest)
            .iter()
            .map(|rows| between_levels(&self.view.points(rows), self.view.top, self.view.bottom))
            .collect();
        for (i, pair) in borders.windows(2).enumerate() {
            let mut band = pair[1].clone();
            band.extend(pair[0].iter().rev());
            self.scene.area(&band, self.style.tint(i));
        }
        // Thin borders tell the parts apart without their colours.
        for border in borders.iter().skip(1) {
            self.scene.line(border, 0.8, self.style.ink.mix(0.3));
        }
        borders
    }

    fn axes(&mut self) {
        let (view, ink) = (self.view, self.style.ink);
        self.scene.line(&[(view.left, view.bottom), (view.right, view.bottom)], 1.2, ink);
        if !self.has_labels() {
            return;
        }
        let small = self.style.small_size();
        let step = force_step(view.range, view.bottom - view.top);
        for force in multiples(view.range.base_force, view.range.top_force, step) {
            let text = tick_label(force, step);
            let width = (self.measure)(&text, small, Weight::Regular);
            let centre = (view.left - small * 0.6 - width / 2.0, view.y_at(force));
            self.caption(&text, centre);
        }
        let step = self.height_step();
        for height in multiples(view.range.to_height, view.range.from_height, step) {
            let x = crisp(view.x_at(height));
            self.scene.line(&[(x, view.bottom), (x, view.bottom + 4.0)], 1.0, ink);
            self.caption(&tick_label(height, step), (x, view.bottom + small * 1.2));
        }

        let unit_centre = self.unit_frame().centre();
        self.caption(&self.chart.force_unit.clone(), unit_centre);

        let row = view.bottom + small * 2.65;
        let legend = self.legend_entries();
        let legend_width: f64 = legend.iter().map(|(_, width)| width).sum();
        let room = view.right - view.left;
        let long = say!("slide height above BDC, {} → BDC", self.chart.height_unit);
        let short = say!("height, {} → BDC", self.chart.height_unit);
        let width_of = |text: &str| (self.measure)(text, small, Weight::Regular);
        let (long_width, short_width) = (width_of(&long), width_of(&short));
        let (title, width) = match long_width + legend_width < room {
            true => (long, long_width),
            false => (short, short_width),
        };
        if width < room {
            self.caption(&title, (view.right - width / 2.0, row));
        }
        self.legend(&legend, row, view.right - width);
    }

    /// Where the force unit stands, over the force labels.
    fn unit_frame(&self) -> Frame {
        let small = self.style.small_size();
        let width = (self.measure)(&self.chart.force_unit, small, Weight::Regular);
        let x = (self.view.left - small * 0.6 - width / 2.0).max(width / 2.0 + 2.0);
        Frame::around((x, self.view.top - small * 1.3), width, small * 1.15)
    }

    /// Names of the lines drawn, each with the width of its legend entry.
    fn legend_entries(&self) -> Vec<(&'static str, f64)> {
        let small = self.style.small_size();
        [
            (marked("nominal"), &self.chart.nominal),
            (marked("upper"), &self.chart.upper),
            (marked("read"), &self.chart.readings),
        ]
        .into_iter()
        .filter(|(_, curve)| !curve.is_empty())
        .map(|(name, _)| {
            let width = (self.measure)(tr(name), small, Weight::Regular);
            (name, LEGEND_SAMPLE + 6.0 + width + small * 1.4)
        })
        .collect()
    }

    /// Samples of the lines, left under the axis, as far as there is room.
    fn legend(&mut self, entries: &[(&'static str, f64)], row: f64, end: f64) {
        let gap = self.style.small_size() * 1.4;
        let mut x = self.view.left;
        for (name, width) in entries {
            if x + width > end {
                continue;
            }
            let line = [(x, row), (x + LEGEND_SAMPLE, row)];
            match *name {
                "nominal" => self.scene.line(&line, 1.8, self.style.ink),
                "upper" => self.scene.dashed(&line, UPPER_DASH, 1.6, self.style.ink),
                _ => self.cross((x + LEGEND_SAMPLE / 2.0, row)),
            }
            let name_width = width - LEGEND_SAMPLE - 6.0 - gap;
            self.caption(tr(name), (x + LEGEND_SAMPLE + 6.0 + name_width / 2.0, row));
            x += width;
        }
    }

    fn caption(&mut self, text: &str, centre: Point) {
        let size = self.style.small_size();
        let width = (self.measure)(text, size, Weight::Regular);
        self.scene.text(Label {
            text: text.to_owned(),
            frame: Frame::around(centre, width, size * 1.15),
            size,
            weight: Weight::Regular,
            colour: self.style.quiet_ink,
        });
    }

    fn cross(&mut self, (x, y): Point) {
        let r = 3.0;
        for line in [[(x - r, y - r), (x + r, y + r)], [(x - r, y + r), (x + r, y - r)]] {
            self.scene.line(&line, 1.4, self.style.ink);
        }
    }

    fn curves(&mut self, shown: &InView) {
        let (view, ink) = (self.view, self.style.ink);
        let frame = view.frame();
        for zone in &shown.zones {
            let polygon = view.points(zone);
            for line in hatching(&polygon, 5.0) {
                self.scene.lines(&frame.clip_polyline(&line), 1.3, ink);
            }
        }
        let nominal = frame.clip_polyline(&view.points(&shown.nominal));
        let upper = frame.clip_polyline(&view.points(&shown.upper));
        let capacity = frame.clip_polyline(&view.points(&shown.capacity));
        self.scene.lines(&nominal, 1.8, ink);
        for piece in &upper {
            self.scene.dashed(piece, UPPER_DASH, 1.6, ink);
        }
        self.scene.lines(&capacity, 3.0, ink);
        for reading in &shown.readings {
            let point = (view.x_at(reading.0), view.y_at(reading.1));
            if frame.contains(&Frame::around(point, 0.0, 0.0)) {
                self.cross(point);
                self.taken.frames.push(Frame::around(point, 9.0, 9.0));
            }
        }
        self.taken.lines.extend(upper);
        self.taken.lines.extend(capacity);
        self.taken.lines.extend(nominal);
    }

    /// The accent line at the slide's height, its tag on top and the dot on the nominal curve.
    fn handle(&mut self, shown: &InView, whole: Frame) {
        let (view, accent) = (self.view, self.style.accent);
        let Some(handle) = &self.chart.handle else {
            return;
        };
        let range = view.range;
        if !(range.to_height..=range.from_height).contains(&handle.height) {
            return;
        }
        let x = view.x_at(handle.height);
        self.scene.line(&[(x, view.top - 4.0), (x, view.bottom)], 1.8, accent);
        self.taken.lines.push(vec![(x, view.top), (x, view.bottom)]);
        let force = force_leaving(&shown.nominal, handle.height)
            .or(force_arriving(&shown.nominal, handle.height));
        if let Some(force) = force {
            let dot = (x, view.y_at(force).clamp(view.top, view.bottom));
            self.scene.disc(dot, 6.5, self.style.paper);
            self.scene.disc(dot, 5.0, accent);
            self.taken.frames.push(Frame::around(dot, 12.0, 12.0));
        }
        if !self.has_labels() {
            return;
        }
        let size = self.style.small_size();
        let width = (self.measure)(&handle.tag, size, Weight::Bold) + size;
        let height = size * 1.7;
        let half = width / 2.0;
        let leftmost = self.unit_frame().right + half + 3.0;
        let centre_x = x.min(whole.right - half - 1.0).max(leftmost);
        let frame = Frame::around((centre_x, view.top - size * 1.3), width, height);
        self.scene.area(&rounded(frame, 3.0), accent);
        self.scene.text(Label {
            text: handle.tag.clone(),
            frame,
            size,
            weight: Weight::Bold,
            colour: self.style.on_accent,
        });
        self.taken.frames.push(frame);
    }

    /// The line at the height that is being read, with a dot on each curve.
    fn read(&mut self, shown: &InView) {
        let (view, ink) = (self.view, self.style.ink);
        let range = view.range;
        let inside = |height: &f64| (range.to_height..=range.from_height).contains(height);
        let Some(height) = self.chart.read.filter(inside) else { return };
        let x = view.x_at(height);
        self.scene.dashed(&[(x, view.top), (x, view.bottom)], (2.0, 3.0), 1.2, ink);
        for rows in [&shown.capacity, &shown.upper, &shown.nominal] {
            let force = force_leaving(rows, height).or(force_arriving(rows, height));
            let Some(y) = force.map(|force| view.y_at(force)) else { continue };
            if (view.top..=view.bottom).contains(&y) {
                self.scene.disc((x, y), 4.5, self.style.paper);
                self.scene.disc((x, y), 3.2, ink);
            }
        }
    }

    fn peak_label(&mut self, shown: &InView) {
        let Some((height, force)) = shown.upper_peak.filter(|row| row.1 > 0.0) else {
            return;
        };
        let point = (self.view.x_at(height), self.view.y_at(force));
        if !self.view.frame().contains(&Frame::around(point, 0.0, 0.0)) {
            return;
        }
        let text = say!("upper {} {}", number(force), self.chart.force_unit);
        let is_placed = self.label_beside(&text, point, 2);
        if is_placed {
            self.scene.disc(point, 3.6, self.style.ink);
            self.scene.disc(point, 2.0, self.style.paper);
        }
    }

    fn zone_label(&mut self, shown: &InView) {
        let highest = shown
            .zones
            .iter()
            .filter_map(|zone| peak(zone))
            .reduce(|a, b| if b.1 > a.1 { b } else { a });
        if let Some((height, force)) = highest {
            let point = (self.view.x_at(height), self.view.y_at(force));
            self.label_beside(tr("more than the press allows"), point, 1);
        }
    }

    /// Sets a bold label near a point of the plot; says whether there was room for it.
    fn label_beside(&mut self, text: &str, point: Point, most_crossings: usize) -> bool {
        let size = self.style.small_size();
        let width = (self.measure)(text, size, Weight::Bold);
        let frame = self.taken.best(
            beside(point, width + 4.0, size * 1.25, 6.0),
            &self.view.frame(),
            most_crossings,
        );
        self.put_bold(text, frame)
    }

    fn put_bold(&mut self, text: &str, frame: Option<Frame>) -> bool {
        let Some(frame) = frame else {
            return false;
        };
        self.taken.frames.push(frame);
        self.scene.text(Label {
            text: text.to_owned(),
            frame,
            size: self.style.small_size(),
            weight: Weight::Bold,
            colour: self.style.ink,
        });
        true
    }

    fn empty_label(&mut self) {
        if self.has_labels() {
            self.caption(tr("no forces in this range"), self.view.frame().centre());
        }
    }

    /// Names the capacity along its line, or at the upper edge where it leaves the picture.
    fn capacity_label(&mut self, shown: &InView) {
        let view = self.view;
        let Some(lowest) =
            shown.capacity.iter().copied().reduce(|a, b| if b.1 < a.1 { b } else { a })
        else {
            return;
        };
        let size = self.style.small_size();
        let is_out_of_view = lowest.1 > view.range.top_force;
        let text = match is_out_of_view {
            true => {
                say!("press allows {} {} and more ↑", number(lowest.1), self.chart.force_unit)
            }
            false => tr("press allows").to_owned(),
        };
        let width = (self.measure)(&text, size, Weight::Bold) + 4.0;
        let height = size * 1.25;
        let line = view.points(&shown.capacity);
        let columns = (0..40).map(|i| {
            // From the middle outwards, where the eye looks first.
            let offset = f64::from((i + 1) / 2) * if i % 2 == 0 { 1.0 } else { -1.0 };
            (view.left + view.right) / 2.0 + offset * (view.right - view.left - width) / 42.0
        });
        let candidates = columns.flat_map(|x| {
            if is_out_of_view {
                return vec![Frame::around((x, view.top + height * 0.7), width, height)];
            }
            let column = Frame { left: x - width / 2.0, right: x + width / 2.0, ..view.frame() };
            let Some(span) = Frame::holding(column.clip_polyline(&line).into_iter().flatten())
            else {
                return Vec::new();
            };
            let gap = height / 2.0 + 3.5;
            vec![
                Frame::around((x, span.top - gap), width, height),
                Frame::around((x, span.bottom + gap), width, height),
            ]
        });
        let frame = self.taken.best(candidates, &view.frame(), 1);
        self.put_bold(&text, frame);
    }

    /// Names each station where its band is thickest, with the short name if the name does not
    /// fit.
    fn station_labels(&mut self, borders: &[Vec<Point>]) {
        for (i, part) in self.chart.stations.iter().enumerate() {
            let Some([below, above]) =
                borders.get(i..i + 2).and_then(|b| <&[_; 2]>::try_from(b).ok())
            else {
                continue;
            };
            let size = self.style.small_size();
            for text in [&part.name, &part.short_name] {
                if text.is_empty() {
                    continue;
                }
                let width = (self.measure)(text, size, Weight::Bold) + 4.0;
                let frame = self.roomiest_place(below, above, width, size * 1.2);
                if self.put_bold(text, frame) {
                    break;
                }
            }
        }
    }

    /// The frame of this size in the band between two border lines, where the band is thickest.
    fn roomiest_place(
        &self,
        below: &[Point],
        above: &[Point],
        width: f64,
        height: f64,
    ) -> Option<Frame> {
        let view = self.view;
        let step = ((view.right - view.left) / 120.0).max(4.0);
        let count = ((view.right - view.left - width) / step).floor().max(0.0) as usize;
        (0..=count)
            .filter_map(|i| {
                let left = view.left + i as f64 * step;
                let column = Frame {
                    left,
                    right: left + width,
                    top: f64::NEG_INFINITY,
                    bottom: f64::INFINITY,
                };
                let ceiling = extent_in(above, &column)?.1;
                let floor = extent_in(below, &column)?.0;
                let room = floor - ceiling - height;
                let centre = (left + width / 2.0, (floor + ceiling) / 2.0);
                let frame = Frame::around(centre, width, height);
                let is_free = room >= 1.0
                    && frame.right <= view.right
                    && self.taken.is_clear_of_frames(&frame);
                if !is_free {
                    return None;
                }
                // The handle may pass over a name only where there is no other place.
                let score = room.min(height * 3.0) - self.taken.crossings(&frame) as f64 * 1e3;
                Some((score, frame))
            })
            .reduce(|a, b| if b.0 > a.0 + 0.5 { b } else { a })
            .map(|(_, frame)| frame)
    }
}

/// The line with what lies above `top` or below `bottom` laid on these levels.
fn between_levels(line: &[Point], top: f64, bottom: f64) -> Vec<Point> {
    let mut points = Vec::with_capacity(line.len());
    for (i, &(x, y)) in line.iter().enumerate() {
        if let Some(&(from_x, from_y)) = i.checked_sub(1).and_then(|before| line.get(before)) {
            // The level that is met first comes first.
            let levels = if from_y < y { [top, bottom] } else { [bottom, top] };
            for level in levels {
                if (from_y - level) * (y - level) < 0.0 {
                    let part = (level - from_y) / (y - from_y);
                    points.push((from_x + part * (x - from_x), level));
                }
            }
        }
        points.push((x, y.clamp(top, bottom)));
    }
    points
}

/// The least and the greatest y of a line within the columns of a frame.
fn extent_in(line: &[Point], column: &Frame) -> Option<(f64, f64)> {
    let first = line.partition_point(|p| p.0 < column.left).saturating_sub(1);
    let end = (line.partition_point(|p| p.0 <= column.right) + 1).min(line.len());
    let inside = Frame::holding(
        line[first..end]
            .windows(2)
            .filter_map(|pair| {
                let column = Frame { top: -1e9, bottom: 1e9, ..*column };
                column.clip_segment(pair[0], pair[1])
            })
            .flat_map(|(a, b)| [a, b]),
    )?;
    Some((inside.top, inside.bottom))
}

/// A pixel row or column a line of one pixel fills without blur.
fn crisp(position: f64) -> f64 {
    position.floor() + 0.5
}

/// The frame's outline with rounded corners.
fn rounded(frame: Frame, radius: f64) -> Vec<Point> {
    let inner = frame.grown(-radius);
    let quarter = std::f64::consts::FRAC_PI_2;
    inner
        .corners()
        .into_iter()
        .enumerate()
        .flat_map(|(i, (x, y))| {
            (0..=4).map(move |n| {
                let angle = (i as f64 + 2.0 + f64::from(n) / 4.0) * quarter;
                (x + radius * angle.cos(), y + radius * angle.sin())
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sight::Window;
    use crate::stroke_chart::{Handle, StationPart, default_range};
    use crate::text::estimated_width;

    fn curve(points: &[(f64, f64)]) -> Curve {
        points.to_vec()
    }

    fn chart() -> StrokeChart {
        let capacity = curve(&[(20.0, 900.0), (6.0, 1600.0), (0.0, 1600.0)]);
        let nominal = curve(&[
            (18.0, 0.0),
            (18.0, 100.0),
            (5.0, 120.0),
            (4.0, 1100.0),
            (3.0, 200.0),
            (0.0, 200.0),
        ]);
        let upper: Curve = nominal.iter().map(|(h, f)| (*h, f * 1.13)).collect();
        let springs = curve(&[(18.0, 100.0), (0.0, 190.0)]);
        let pierce = curve(&[(5.0, 0.0), (4.0, 1000.0), (3.0, 10.0), (0.0, 10.0)]);
        let part = |name: &str, short: &str, curve| StationPart {
            name: name.to_owned(),
            short_name: short.to_owned(),
            curve,
        };
        StrokeChart {
            height_unit: "mm".to_owned(),
            force_unit: "kN".to_owned(),
            range: default_range(&capacity, &nominal, &upper),
            capacity,
            nominal,
            upper,
            window: None,
            read: None,
            stations: vec![part("Gas springs", "S", springs), part("Pierce", "1", pierce)],
            readings: curve(&[(4.0, 1090.0)]),
            handle: Some(Handle { height: 4.1, tag: "4.1 mm".to_owned() }),
        }
    }

    fn laid_out(chart: &StrokeChart, size: (f64, f64)) -> (Scene, ChartView) {
        lay_out(chart, &Style::paper(), size, &estimated_width)
    }

    #[test]
    fn labels_do_not_overlap_and_stay_inside_at_any_handle_height() {
        for size in [(960.0, 340.0), (360.0, 300.0), (640.0, 200.0)] {
            for tenth in 0..=200 {
                let mut chart = chart();
                let height = f64::from(tenth) / 10.0;
                chart.handle = Some(Handle { height, tag: format!("{height:.1} mm") });
                let (scene, _) = laid_out(&chart, size);
                let labels: Vec<&Label> = scene.labels().collect();
                for (i, a) in labels.iter().enumerate() {
                    assert!(a.frame.left >= 0.0 && a.frame.right <= size.0, "{a:?}");
                    assert!(a.frame.top >= 0.0 && a.frame.bottom <= size.1, "{a:?}");
                    for b in &labels[..i] {
                        assert!(!a.frame.overlaps(&b.frame), "{size:?} {height}: {a:?} {b:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn every_curve_and_station_is_named_in_a_large_picture() {
        let (scene, _) = laid_out(&chart(), (960.0, 340.0));
        let texts: Vec<&str> = scene.labels().map(|label| label.text.as_str()).collect();
        for text in ["press allows", "upper 1243 kN", "Gas springs", "Pierce", "4.1 mm", "nominal"]
        {
            assert!(texts.contains(&text), "{text} in {texts:?}");
        }
    }

    #[test]
    fn the_view_maps_invert_each_other() {
        let (_, view) = laid_out(&chart(), (960.0, 340.0));
        for value in [0.0, 0.37, 4.1, 19.9, 250.0] {
            assert!((view.height_at(view.x_at(value)) - value).abs() < 1e-9);
            assert!((view.force_at(view.y_at(value)) - value).abs() < 1e-9);
        }
        assert!(view.x_at(0.0) > view.x_at(10.0), "BDC lies to the right");
    }

    #[test]
    fn the_upper_line_never_leaves_the_picture() {
        let mut chart = chart();
        for top_force in [1.0, 500.0, f64::NAN, -3.0, 1.0e6] {
            chart.range.top_force = top_force;
            let (_, view) = laid_out(&chart, (960.0, 340.0));
            let peak = chart.upper.iter().fold(0.0_f64, |top, row| top.max(row.1));
            assert!(view.y_at(peak) >= view.top, "{top_force}");
        }
    }

    #[test]
    fn a_huge_capacity_leaves_the_picture_and_is_named_at_the_edge() {
        let mut chart = chart();
        chart.capacity = curve(&[(200.0, 9000.0), (0.0, 16000.0)]);
        chart.range = default_range(&chart.capacity, &chart.nominal, &chart.upper);
        assert!(chart.range.top_force < 2000.0);
        let (scene, _) = laid_out(&chart, (960.0, 340.0));
        assert!(scene.labels().any(|label| label.text.ends_with("kN and more ↑")));
    }

    #[test]
    fn an_overload_is_told_in_words_and_hatched() {
        let mut chart = chart();
        let (before, _) = laid_out(&chart, (960.0, 340.0));
        chart.capacity = curve(&[(20.0, 800.0), (0.0, 800.0)]);
        let (scene, _) = laid_out(&chart, (960.0, 340.0));
        let is_warning = |label: &Label| label.text == "more than the press allows";
        assert!(scene.labels().any(is_warning));
        assert!(!before.labels().any(is_warning));
    }

    #[test]
    fn the_default_range_begins_a_little_above_the_first_contact() {
        let range = chart().range;
        assert!((18.0..=21.0).contains(&range.from_height), "{range:?}");
        assert!((range.top_force - 1760.0).abs() < 1e-6, "{range:?}");
        let empty = default_range(&[], &[], &[]);
        assert_eq!(empty, ChartRange::default());
    }

    #[test]
    fn a_part_looked_at_closely_has_its_own_ticks_and_keeps_to_its_plot() {
        let mut chart = chart();
        chart.window = Some(Window { left: 5.0, right: 3.5, bottom: 400.0, top: 1300.0 });
        chart.handle = Some(Handle { height: 4.4, tag: "4.4 mm".to_owned() });
        let (scene, view) = laid_out(&chart, (960.0, 340.0));
        assert_eq!(view.sight().shown, chart.window.expect("a window"));
        assert_eq!(view.sight().whole.left, chart.range.from_height);
        let texts: Vec<&str> = scene.labels().map(|label| label.text.as_str()).collect();
        for text in ["4.2", "4.4", "600", "1200", "upper 1243 kN", "4.4 mm"] {
            assert!(texts.contains(&text), "{text} in {texts:?}");
        }
        assert!(!texts.contains(&"0") && !texts.contains(&"200"), "{texts:?}");
        let plot = view.frame().grown(8.0);
        for mark in &scene.marks {
            let points = match mark {
                crate::scene::Mark::Line { points, .. } => points,
                crate::scene::Mark::Area { points, .. } if points.len() > 4 => points,
                _ => continue,
            };
            // The handle's tag stands above the plot, the legend below it.
            let is_outside = points.iter().all(|at| at.1 < view.top || at.1 > view.bottom + 9.0);
            let is_inside = |&at: &Point| plot.contains(&Frame::around(at, 0.0, 0.0));
            assert!(is_outside || points.iter().all(is_inside), "{points:?}");
        }
    }

    #[test]
    fn the_peak_is_named_only_where_it_is_in_view() {
        let mut chart = chart();
        chart.window = Some(Window { left: 18.0, right: 10.0, bottom: 0.0, top: 300.0 });
        let (scene, _) = laid_out(&chart, (960.0, 340.0));
        assert!(!scene.labels().any(|label| label.text.starts_with("upper ")));
    }
}
