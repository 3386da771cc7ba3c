//! Drawing on a canvas element: sharp on any screen, text measured without touching the page.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use plotters::coord::Shift;
use plotters::prelude::{DrawingArea, DrawingBackend, IntoDrawingArea};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingErrorKind,
};
use plotters_canvas::CanvasBackend as PlainBackend;
use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement};

use crate::bolster_plan::{BolsterPlan, PlanView, draw_bolster_plan};
use crate::line_chart::{LineChart, draw_line_chart};
use crate::scene::DrawError;
use crate::sight::Sight;
use crate::stroke_chart::{ChartView, StrokeChart, draw_stroke_chart};
use crate::style::Style;

/// Backend units to a CSS pixel: backends count whole units, so a unit must be far below a pixel.
const UNITS_PER_PIXEL: f64 = 16.0;

/// Widths of texts by font and text.
type Widths = Rc<RefCell<HashMap<(String, String), f64>>>;

/// At most this many widths are kept; a handle dragged for a day makes ever new texts.
const MOST_WIDTHS: usize = 2_000;

/// A canvas element the charts are drawn on again and again.
#[derive(Clone, Debug)]
pub struct ChartCanvas {
    canvas: HtmlCanvasElement,
    context: CanvasRenderingContext2d,
    widths: Widths,
}

impl ChartCanvas {
    /// Takes the canvas for drawing; `None` if it has no 2d context.
    pub fn new(canvas: HtmlCanvasElement) -> Option<Self> {
        let context = canvas.get_context("2d").ok()??.dyn_into().ok()?;
        Some(Self { canvas, context, widths: Widths::default() })
    }

    /// Draws the stroke chart over the whole canvas, `size` in CSS pixels.
    ///
    /// # Errors
    ///
    /// What the browser reports.
    pub fn draw_stroke_chart(
        &self,
        size: (f64, f64),
        device_pixel_ratio: f64,
        chart: &StrokeChart,
        style: &Style,
    ) -> Result<ChartView, DrawError<CanvasBackend>> {
        let area = self.area(size, device_pixel_ratio)?;
        let view = draw_stroke_chart(&area, chart, &style.scaled(UNITS_PER_PIXEL))?;
        area.present()?;
        Ok(view)
    }

    /// Draws the bolster plan over the whole canvas, `size` in CSS pixels.
    ///
    /// # Errors
    ///
    /// What the browser reports.
    pub fn draw_bolster_plan(
        &self,
        size: (f64, f64),
        device_pixel_ratio: f64,
        plan: &BolsterPlan,
        style: &Style,
    ) -> Result<PlanView, DrawError<CanvasBackend>> {
        let area = self.area(size, device_pixel_ratio)?;
        let view = draw_bolster_plan(&area, plan, &style.scaled(UNITS_PER_PIXEL))?;
        area.present()?;
        Ok(view)
    }

    /// Draws a line chart over the whole canvas, `size` in CSS pixels.
    ///
    /// # Errors
    ///
    /// What the browser reports.
    pub fn draw_line_chart(
        &self,
        size: (f64, f64),
        device_pixel_ratio: f64,
        chart: &LineChart,
        style: &Style,
    ) -> Result<Option<Sight>, DrawError<CanvasBackend>> {
        let area = self.area(size, device_pixel_ratio)?;
        let sight = draw_line_chart(&area, chart, &style.scaled(UNITS_PER_PIXEL))?;
        area.present()?;
        Ok(sight)
    }

    /// Forgets the measured widths, for when a font has arrived late.
    pub fn forget_text_widths(&self) {
        self.widths.borrow_mut().clear();
    }

    /// Fits the canvas to its size on the screen and prepares it for one picture.
    fn area(
        &self,
        (width, height): (f64, f64),
        device_pixel_ratio: f64,
    ) -> Result<DrawingArea<CanvasBackend, Shift>, DrawError<CanvasBackend>> {
        let pixels = |length: f64| (length * device_pixel_ratio).round().max(1.0) as u32;
        // Setting the size clears the canvas and is slow, so only when it changes.
        if self.canvas.width() != pixels(width) {
            self.canvas.set_width(pixels(width));
        }
        if self.canvas.height() != pixels(height) {
            self.canvas.set_height(pixels(height));
        }
        let plain = PlainBackend::with_canvas_object(self.canvas.clone());
        let unit = device_pixel_ratio / UNITS_PER_PIXEL;
        let is_scaled = self.context.set_transform(unit, 0.0, 0.0, unit, 0.0, 0.0).is_ok();
        let Some(plain) = plain.filter(|_| is_scaled) else {
            return Err(DrawError::<CanvasBackend>::LayoutError);
        };
        self.context.set_line_join("round");
        self.context.set_line_cap("round");
        let units = |length: f64| (length * UNITS_PER_PIXEL).round().max(1.0) as u32;
        let backend = CanvasBackend {
            plain,
            context: self.context.clone(),
            size: (units(width), units(height)),
            widths: Rc::clone(&self.widths),
            open_path: None,
        };
        Ok(backend.into_drawing_area())
    }
}

/// The plain canvas backend of plotters with a finer unit, gathered strokes and measured text.
///
/// Made by [`ChartCanvas`], which scales the canvas so that a unit is a small part of a pixel.
pub struct CanvasBackend {
    plain: PlainBackend,
    context: CanvasRenderingContext2d,
    size: (u32, u32),
    widths: Widths,
    /// Colour and width of strokes begun and not yet painted.
    open_path: Option<(String, u32)>,
}

impl CanvasBackend {
    /// The plain backend, after all strokes so far are painted.
    fn plain(&mut self) -> &mut PlainBackend {
        if self.open_path.take().is_some() {
            self.context.stroke();
        }
        &mut self.plain
    }
}

type CanvasError = <PlainBackend as DrawingBackend>::ErrorType;
type Drawn = Result<(), DrawingErrorKind<CanvasError>>;

impl DrawingBackend for CanvasBackend {
    type ErrorType = CanvasError;

    fn get_size(&self) -> (u32, u32) {
        self.size
    }

    fn ensure_prepared(&mut self) -> Drawn {
        self.plain().ensure_prepared()
    }

    fn present(&mut self) -> Drawn {
        self.plain().present()
    }

    fn draw_pixel(&mut self, point: BackendCoord, color: BackendColor) -> Drawn {
        self.plain().draw_pixel(point, color)
    }

    // The plain backend would move level and upright lines by half a unit.
    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Drawn {
        self.draw_path([from, to], style)
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        upper_left: BackendCoord,
        bottom_right: BackendCoord,
        style: &S,
        fill: bool,
    ) -> Drawn {
        self.plain().draw_rect(upper_left, bottom_right, style, fill)
    }

    // Strokes of one look are gathered: a dashed curve is painted at once.
    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Drawn {
        let (r, g, b) = style.color().rgb;
        let colour = format!("rgba({r},{g},{b},{})", style.color().alpha);
        let look = (colour, style.stroke_width());
        if self.open_path.as_ref() != Some(&look) {
            self.plain();
            self.context.set_stroke_style_str(&look.0);
            self.context.set_line_width(f64::from(look.1));
            self.context.begin_path();
            self.open_path = Some(look);
        }
        for (i, (x, y)) in path.into_iter().enumerate() {
            match i {
                0 => self.context.move_to(f64::from(x), f64::from(y)),
                _ => self.context.line_to(f64::from(x), f64::from(y)),
            }
        }
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        vert: I,
        style: &S,
    ) -> Drawn {
        self.plain().fill_polygon(vert, style)
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        center: BackendCoord,
        radius: u32,
        style: &S,
        fill: bool,
    ) -> Drawn {
        self.plain().draw_circle(center, radius, style, fill)
    }

    fn draw_text<S: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &S,
        pos: BackendCoord,
    ) -> Drawn {
        // A canvas centres the whole letter box; figures and capitals stand a little above that.
        let drop = (style.size() * 0.05).round() as i32;
        self.plain().draw_text(text, style, (pos.0, pos.1 + drop))
    }

    /// The width the canvas itself gives, remembered: measuring through the page would need a
    /// style attribute, which the page's security policy forbids.
    fn estimate_text_size<S: BackendTextStyle>(
        &self,
        text: &str,
        style: &S,
    ) -> Result<(u32, u32), DrawingErrorKind<CanvasError>> {
        let font =
            format!("{} {}px {}", style.style().as_str(), style.size(), style.family().as_str());
        let key = (font, text.to_owned());
        let known = self.widths.borrow().get(&key).copied();
        let width = known.unwrap_or_else(|| {
            self.context.set_font(&key.0);
            let width = self.context.measure_text(text).map_or(0.0, |m| m.width());
            let mut widths = self.widths.borrow_mut();
            if widths.len() >= MOST_WIDTHS {
                widths.clear();
            }
            widths.insert(key, width);
            width
        });
        Ok((width.ceil() as u32, style.size().ceil() as u32))
    }
}
