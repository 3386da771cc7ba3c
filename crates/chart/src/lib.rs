//! Stroke chart and bolster plan, drawn on any plotters backend.
//!
//! The charts take plain view models: numbers already in the units the user reads, with the unit
//! names as strings. Nothing here computes a force or judges a limit; [`job`] turns a checked job into
//! the view models, and [`sheet`] sets both charts and the numbers into the printed set-up sheet.
//!
//! A chart is laid out as a list of marks in CSS pixels by a pure function and then painted. So
//! the same picture appears on a canvas (feature `canvas`) and as SVG, and a test can look at
//! every label without a browser.
//!
//! The canvas itself says nothing to a screen reader: put [`stroke_chart_summary`] or
//! [`bolster_plan_summary`] beside it.

mod bolster_plan;
#[cfg(feature = "canvas")]
mod canvas;
pub mod cards;
mod curve;
mod dash;
mod edited_cut;
mod frame;
pub mod job;
mod line_chart;
mod placing;
mod scene;
pub mod sheet;
mod sight;
mod stroke_chart;
mod style;
mod summary;
mod svg;
mod text;
mod ticks;

pub use bolster_plan::{
    BolsterPlan, CutEdge, Dimension, DimensionSide, FeedDirection, LoadCentre, PlanDie, PlanEdit,
    PlanHandle, PlanSize, PlanStation, PlanView, StationActivity, draw_bolster_plan,
};
#[cfg(feature = "canvas")]
pub use canvas::{CanvasBackend, ChartCanvas};
pub use edited_cut::{EditedCut, cut_near, cuts_with_line, plan_edit};
pub use line_chart::{LineChart, LineCurve, draw_line_chart, line_reading};
pub use scene::DrawError;
pub use sight::{Sight, Window};
pub use stroke_chart::{
    ChartRange, ChartView, Curve, Handle, StationPart, StrokeChart, default_range,
    draw_stroke_chart,
};
pub use style::{RGBColor, Style};
pub use summary::{bolster_plan_summary, stroke_chart_summary};
pub use svg::{SvgBackend, bolster_plan_svg, line_chart_svg, stroke_chart_svg, svg_string};
