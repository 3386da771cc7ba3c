//! SVG pictures that scale, need nothing else and speak to a screen reader.

use evenstroke_language::tr;
use std::cell::RefCell;
use std::convert::Infallible;
use std::fmt::Write;
use std::rc::Rc;

use plotters::coord::Shift;
use plotters::prelude::{DrawingArea, DrawingBackend, FontStyle, IntoDrawingArea};
use plotters::style::text_anchor::HPos;
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingErrorKind,
};

use crate::bolster_plan::{BolsterPlan, draw_bolster_plan};
use crate::line_chart::{LineChart, draw_line_chart};
use crate::scene::DrawError;
use crate::stroke_chart::{StrokeChart, draw_stroke_chart};
use crate::style::Style;
use crate::summary::{bolster_plan_summary, stroke_chart_summary};
use crate::text::{Weight, estimated_width};

/// Backend units to a CSS pixel: tenths keep curves smooth and numbers short.
const UNITS_PER_PIXEL: f64 = 10.0;

/// The stroke chart as a complete `<svg>` element.
pub fn stroke_chart_svg(width: u32, height: u32, chart: &StrokeChart, style: &Style) -> String {
    let summary = stroke_chart_summary(chart);
    svg_string(width, height, (tr("Force through the stroke"), &summary), |area| {
        draw_stroke_chart(area, chart, &style.scaled(UNITS_PER_PIXEL))
    })
}

/// A line chart as a complete `<svg>` element.
pub fn line_chart_svg(
    width: u32,
    height: u32,
    title: &str,
    chart: &LineChart,
    style: &Style,
) -> String {
    svg_string(width, height, (title, &chart.summary), |area| {
        draw_line_chart(area, chart, &style.scaled(UNITS_PER_PIXEL))
    })
}

/// The bolster plan as a complete `<svg>` element.
pub fn bolster_plan_svg(width: u32, height: u32, plan: &BolsterPlan, style: &Style) -> String {
    let summary = bolster_plan_summary(plan);
    svg_string(width, height, (tr("Bolster plan"), &summary), |area| {
        draw_bolster_plan(area, plan, &style.scaled(UNITS_PER_PIXEL))
    })
}

/// An `<svg>` element of this size in CSS pixels holding what `draw` draws.
///
/// The area counts ten units to a CSS pixel, so `draw` takes a style `scaled(10.0)`. `words` are
/// the title and the description. There is no style attribute, id, script or outside font, so
/// the element fits a strict page and stands beside others like it.
pub fn svg_string<T>(
    width: u32,
    height: u32,
    words: (&str, &str),
    draw: impl FnOnce(&DrawingArea<SvgBackend, Shift>) -> Result<T, DrawError<SvgBackend>>,
) -> String {
    let units = |pixels: u32| (f64::from(pixels) * UNITS_PER_PIXEL) as u32;
    let body = Rc::new(RefCell::new(String::new()));
    let family = Rc::new(RefCell::new(String::new()));
    let backend = SvgBackend {
        size: (units(width), units(height)),
        body: Rc::clone(&body),
        family: Rc::clone(&family),
        open_path: None,
    };
    let area = backend.into_drawing_area();
    // Writing to a string cannot fail.
    let drawn = draw(&area).is_ok() && area.present().is_ok();
    debug_assert!(drawn, "the SVG backend reported an error");
    drop(area);

    let (title, description) = (escaped(words.0), escaped(words.1));
    let (body, family) = (body.borrow(), family.borrow());
    let scale = 1.0 / UNITS_PER_PIXEL;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{width}\" \
         height=\"{height}\" viewBox=\"0 0 {width} {height}\"><title>{title}</title>\
         <desc>{description}</desc><g transform=\"scale({scale})\" fill=\"none\" stroke-linejoin=\"round\" \
         stroke-linecap=\"round\" font-family=\"{family}\">{body}</g></svg>"
    )
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // Control characters are not allowed in XML.
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// A plotters backend that writes short SVG: paths in relative numbers, equal strokes joined.
#[derive(Debug)]
pub struct SvgBackend {
    size: (u32, u32),
    body: Rc<RefCell<String>>,
    /// The letters of the first text, which most of the others share.
    family: Rc<RefCell<String>>,
    /// Attributes, data and end of a path to which a stroke of the same look may still be added.
    open_path: Option<(String, String, BackendCoord)>,
}

impl SvgBackend {
    fn close_path(&mut self) {
        if let Some((attributes, data, _)) = self.open_path.take() {
            self.element(&format!("<path {attributes} d=\"{data}\"/>"));
        }
    }

    fn element(&mut self, text: &str) {
        self.body.borrow_mut().push_str(text);
    }

    fn path(&mut self, attributes: String, points: impl IntoIterator<Item = BackendCoord>) {
        if self.open_path.as_ref().is_some_and(|(open, ..)| *open != attributes) {
            self.close_path();
        }
        let (_, data, end) =
            self.open_path.get_or_insert_with(|| (attributes, String::new(), (0, 0)));
        *end = write_path(data, *end, points);
    }
}

/// Adds one moved-to point and the steps from each point to the next, whichever way is shortest.
/// The path so far ends at `end`; gives where it ends then.
fn write_path(
    data: &mut String,
    end: BackendCoord,
    points: impl IntoIterator<Item = BackendCoord>,
) -> BackendCoord {
    let mut before = end;
    for (index, (x, y)) in points.into_iter().enumerate() {
        let (dx, dy) = (x - before.0, y - before.1);
        let pair = |command: char, x: i32, y: i32| {
            format!("{command}{x}{}{y}", if y < 0 { "" } else { " " })
        };
        let step = match (index, dx, dy) {
            (0, ..) => {
                let (there, on) = (pair('M', x, y), pair('m', dx, dy));
                if on.len() < there.len() && !data.is_empty() { on } else { there }
            }
            (_, _, 0) => format!("h{dx}"),
            (_, 0, _) => format!("v{dy}"),
            _ => pair('l', dx, dy),
        };
        data.push_str(&step);
        before = (x, y);
    }
    before
}

fn colour(name: &str, colour: BackendColor) -> String {
    let (r, g, b) = colour.rgb;
    let mut text = format!("{name}=\"#{r:02x}{g:02x}{b:02x}\"");
    if colour.alpha < 1.0 {
        let _ = write!(text, " {name}-opacity=\"{:.2}\"", colour.alpha);
    }
    text
}

fn stroke<S: BackendStyle>(style: &S) -> String {
    let look = colour("stroke", style.color());
    format!("{look} stroke-width=\"{}\"", style.stroke_width())
}

type Drawn = Result<(), DrawingErrorKind<Infallible>>;

impl DrawingBackend for SvgBackend {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        self.size
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        self.close_path();
        Ok(())
    }

    fn draw_pixel(&mut self, (x, y): BackendCoord, color: BackendColor) -> Drawn {
        self.fill_polygon([(x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1)], &color)
    }

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
        (left, top): BackendCoord,
        (right, bottom): BackendCoord,
        style: &S,
        fill: bool,
    ) -> Drawn {
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
        match fill {
            true => self.fill_polygon(corners, style),
            false => self.draw_path(corners.into_iter().chain([(left, top)]), style),
        }
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Drawn {
        self.path(stroke(style), path);
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        vert: I,
        style: &S,
    ) -> Drawn {
        self.close_path();
        let fill = colour("fill", style.color());
        let mut data = String::new();
        write_path(&mut data, (0, 0), vert);
        self.element(&format!("<path {fill} d=\"{data}z\"/>"));
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        (x, y): BackendCoord,
        radius: u32,
        style: &S,
        fill: bool,
    ) -> Drawn {
        self.close_path();
        let look = match fill {
            true => colour("fill", style.color()),
            false => stroke(style),
        };
        self.element(&format!("<circle {look} cx=\"{x}\" cy=\"{y}\" r=\"{radius}\"/>"));
        Ok(())
    }

    fn draw_text<S: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &S,
        (x, y): BackendCoord,
    ) -> Drawn {
        self.close_path();
        let anchor = match style.anchor().h_pos {
            HPos::Left => "",
            HPos::Center => " text-anchor=\"middle\"",
            HPos::Right => " text-anchor=\"end\"",
        };
        let weight = match style.style() {
            FontStyle::Bold => " font-weight=\"bold\"",
            _ => "",
        };
        // Capitals and figures are about 0.7 em high: their middle lies 0.35 em over the base.
        let base = y + (style.size() * 0.35).round() as i32;
        let (fill, size) = (colour("fill", style.color()), style.size().round());
        let family = escaped(style.family().as_str());
        if self.family.borrow().is_empty() {
            *self.family.borrow_mut() = family.clone();
        }
        let family = match *self.family.borrow() == family {
            true => String::new(),
            false => format!(" font-family=\"{family}\""),
        };
        self.element(&format!(
            "<text x=\"{x}\" y=\"{base}\"{anchor}{family} \
             font-size=\"{size}\"{weight} {fill}>{}</text>",
            escaped(text)
        ));
        Ok(())
    }

    fn estimate_text_size<S: BackendTextStyle>(
        &self,
        text: &str,
        style: &S,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let weight = match style.style() {
            FontStyle::Bold => Weight::Bold,
            _ => Weight::Regular,
        };
        let width = estimated_width(text, style.size(), weight);
        Ok((width.ceil() as u32, style.size().ceil() as u32))
    }
}
