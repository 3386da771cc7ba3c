//! Force against slide height, time running left to right into bottom dead centre (BDC).

use plotters::coord::Shift;
use plotters::prelude::{DrawingArea, DrawingBackend};

use crate::curve::{Rows, in_stroke_order, peak, window};
use crate::frame::{FINENESS, Frame, Point, thin};
use crate::scene::{DrawError, size_in_pixels, width_on};
use crate::sight::{Sight, Window};
use crate::style::Style;
use crate::ticks::round_step;

mod layout;

/// Rows of slide height above BDC and force, in the units shown. A jump is two rows at one height.
///
/// Rows with a value that is not finite are passed over.
pub type Curve = Vec<(f64, f64)>;

/// Everything a stroke chart shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StrokeChart {
    /// Name of the height unit, such as `mm`.
    pub height_unit: String,
    /// Name of the force unit, such as `kN`.
    pub force_unit: String,
    /// Force the press allows at each height; empty if not known.
    pub capacity: Curve,
    /// Nominal force of all stations together.
    pub nominal: Curve,
    /// Upper line: strongest, thickest, dullest.
    pub upper: Curve,
    /// Each station's part of the nominal force, the first at the bottom of the stack.
    pub stations: Vec<StationPart>,
    /// Load-monitor readings laid over the prediction.
    pub readings: Curve,
    /// Where the slide is now.
    pub handle: Option<Handle>,
    /// The whole; see [`default_range`].
    pub range: ChartRange,
    /// The part of it that is looked at more closely, if any.
    pub window: Option<Window>,
    /// The height at which the curves are being read, if it is another one than the handle's.
    pub read: Option<f64>,
}

/// One station's part of the force.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StationPart {
    /// Label set where the part is thick enough for it.
    pub name: String,
    /// Shorter label used where the name does not fit, such as the station's number.
    pub short_name: String,
    /// Force of this station alone.
    pub curve: Curve,
}

/// The stroke handle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Handle {
    /// Slide height above BDC.
    pub height: f64,
    /// Text of the tag on top of the line, such as `4.1 mm`.
    pub tag: String,
}

/// The part of the stroke and of the force in view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartRange {
    /// Height at the left edge.
    pub from_height: f64,
    /// Height at the right edge, below `from_height`; 0 is BDC.
    pub to_height: f64,
    /// Force at the top. The chart reaches higher where the upper line needs it.
    pub top_force: f64,
    /// Force at the bottom: 0 but for a part looked at more closely.
    pub base_force: f64,
}

impl ChartRange {
    /// The same as a window.
    pub(crate) fn window(&self) -> Window {
        Window {
            left: self.from_height,
            right: self.to_height,
            bottom: self.base_force,
            top: self.top_force,
        }
    }

    /// The part of this range that a window shows.
    pub(crate) fn part(&self, window: Option<Window>) -> Self {
        let whole = self.window();
        let Window { left, right, bottom, top } =
            window.map_or(whole, |window| window.within(&whole));
        Self { from_height: left, to_height: right, top_force: top, base_force: bottom }
    }
}

impl Default for ChartRange {
    fn default() -> Self {
        Self { from_height: 20.0, to_height: 0.0, top_force: 100.0, base_force: 0.0 }
    }
}

/// A range that shows the work well: from a little above the first contact down to BDC.
///
/// The top leaves a tenth of room above the upper line and the capacity. A capacity more than two
/// and a half times the upper line leaves the picture rather than flatten the curve.
pub fn default_range(
    capacity: &[(f64, f64)],
    nominal: &[(f64, f64)],
    upper: &[(f64, f64)],
) -> ChartRange {
    let [capacity, nominal, upper] = [capacity, nominal, upper].map(in_stroke_order);
    let highest = |rows: &Rows| peak(rows).map_or(0.0, |row| row.1.max(0.0));
    let load = highest(&nominal).max(highest(&upper));

    let contact = [&nominal, &upper]
        .into_iter()
        .filter_map(|rows| {
            let first = rows.iter().position(|row| row.1 > load * 1e-4)?;
            Some(rows[first.saturating_sub(1)].0.min(rows[first].0 * 1.02))
        })
        .fold(0.0, f64::max);
    let from_height = match contact {
        height if height > 0.0 => {
            let step = round_step(height, 20.0);
            (height * 1.06 / step).ceil() * step
        }
        _ => capacity
            .first()
            .map(|row| row.0)
            .filter(|height| *height > 0.0)
            .unwrap_or(ChartRange::default().from_height),
    };

    let allowed = window(&capacity, from_height, 0.0);
    let most = highest(&allowed);
    let least = allowed.iter().fold(most, |least, row| least.min(row.1));
    let highest_shown = match load > 0.0 {
        // The whole capacity is far above: leave it out and give the curve the picture.
        true if least > load * 2.5 => load * 1.2,
        true => load.max(most.min(load * 2.5)),
        false => most,
    };
    ChartRange {
        from_height,
        to_height: 0.0,
        top_force: match highest_shown > 0.0 {
            true => highest_shown * 1.1,
            false => ChartRange::default().top_force,
        },
        base_force: 0.0,
    }
}

/// Where heights and forces lie in the drawn chart, in CSS pixels from its upper left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartView {
    /// Left edge of the plot.
    pub left: f64,
    /// Right edge of the plot.
    pub right: f64,
    /// Upper edge of the plot.
    pub top: f64,
    /// Lower edge of the plot.
    pub bottom: f64,
    /// The range as drawn.
    pub range: ChartRange,
    /// All that there is to see.
    pub whole: ChartRange,
}

impl ChartView {
    /// Pixels from the left edge at this slide height.
    pub fn x_at(&self, height: f64) -> f64 {
        let shown = self.range.from_height - self.range.to_height;
        self.left + (self.range.from_height - height) / shown * (self.right - self.left)
    }

    /// Slide height at this many pixels from the left edge.
    pub fn height_at(&self, x: f64) -> f64 {
        let shown = self.range.from_height - self.range.to_height;
        self.range.from_height - (x - self.left) / (self.right - self.left) * shown
    }

    /// Pixels from the upper edge at this force.
    pub fn y_at(&self, force: f64) -> f64 {
        let shown = self.range.top_force - self.range.base_force;
        self.bottom - (force - self.range.base_force) / shown * (self.bottom - self.top)
    }

    /// Force at this many pixels from the upper edge.
    pub fn force_at(&self, y: f64) -> f64 {
        let shown = self.range.top_force - self.range.base_force;
        self.range.base_force + (self.bottom - y) / (self.bottom - self.top) * shown
    }

    /// What is in view, for hands that change it.
    pub fn sight(&self) -> Sight {
        Sight {
            left: self.left,
            right: self.right,
            top: self.top,
            bottom: self.bottom,
            whole: self.whole.window(),
            shown: self.range.window(),
        }
    }

    fn frame(&self) -> Frame {
        Frame { left: self.left, top: self.top, right: self.right, bottom: self.bottom }
    }

    /// The rows as a line in pixels.
    fn points(&self, rows: &[(f64, f64)]) -> Vec<Point> {
        let point = |(height, force): &(f64, f64)| (self.x_at(*height), self.y_at(*force));
        rows.iter().map(point).collect()
    }

    /// The rows without those whose lack nobody can see.
    fn thinned(&self, rows: &[(f64, f64)]) -> Rows {
        let line = thin(&self.points(rows), FINENESS);
        line.into_iter().map(|(x, y)| (self.height_at(x), self.force_at(y))).collect()
    }
}

/// Draws the chart over the whole area and returns where things lie in it.
///
/// # Errors
///
/// Whatever the backend reports.
pub fn draw_stroke_chart<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    chart: &StrokeChart,
    style: &Style,
) -> Result<ChartView, DrawError<DB>> {
    let size = size_in_pixels(area, style);
    let (scene, view) = layout::lay_out(chart, style, size, &width_on(area, style));
    scene.paint(area, style)?;
    Ok(view)
}
