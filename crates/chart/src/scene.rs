//! A laid-out picture: marks in CSS pixels, painted in order on any backend.

use plotters::coord::Shift;
use plotters::drawing::DrawingAreaErrorKind;
use plotters::prelude::{
    Circle, Color, DrawingArea, DrawingBackend, FontDesc, FontFamily, FontStyle, PathElement,
    Polygon, RGBAColor, RGBColor, ShapeStyle, TextStyle,
};
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::dash::dashes;
use crate::frame::{FINENESS, Frame, Point, thin};
use crate::style::Style;
use crate::text::{Weight, estimated_width};

/// Why a chart could not be drawn on the backend `DB`.
pub type DrawError<DB> = DrawingAreaErrorKind<<DB as DrawingBackend>::ErrorType>;

/// One thing painted.
#[derive(Clone, Debug)]
pub(crate) enum Mark {
    Line { points: Vec<Point>, width: f64, colour: RGBAColor },
    Area { points: Vec<Point>, colour: RGBAColor },
    Disc { centre: Point, radius: f64, colour: RGBAColor },
    Text(Label),
}

/// A text in its frame.
#[derive(Clone, Debug)]
pub(crate) struct Label {
    pub text: String,
    pub frame: Frame,
    pub size: f64,
    pub weight: Weight,
    pub colour: RGBColor,
}

/// Asks for the width of a text, in CSS pixels.
pub(crate) type Measure<'a> = &'a dyn Fn(&str, f64, Weight) -> f64;

/// The marks of a picture, in painting order.
#[derive(Debug, Default)]
pub(crate) struct Scene {
    pub marks: Vec<Mark>,
}

impl Scene {
    pub fn line(&mut self, points: &[Point], width: f64, colour: impl Color) {
        if points.len() > 1 {
            self.marks.push(Mark::Line {
                points: thin(points, FINENESS),
                width,
                colour: colour.to_rgba(),
            });
        }
    }

    pub fn lines(&mut self, lines: &[Vec<Point>], width: f64, colour: impl Color) {
        let colour = colour.to_rgba();
        for line in lines {
            self.line(line, width, colour);
        }
    }

    /// A dashed line. Ends are round, so a gap looks shorter than `off` by one width.
    pub fn dashed(
        &mut self,
        points: &[Point],
        (on, off): (f64, f64),
        width: f64,
        colour: impl Color,
    ) {
        self.lines(&dashes(&thin(points, FINENESS), on, off), width, colour);
    }

    pub fn area(&mut self, points: &[Point], colour: impl Color) {
        if points.len() > 2 {
            self.marks
                .push(Mark::Area { points: thin(points, FINENESS), colour: colour.to_rgba() });
        }
    }

    pub fn disc(&mut self, centre: Point, radius: f64, colour: impl Color) {
        self.marks.push(Mark::Disc { centre, radius, colour: colour.to_rgba() });
    }

    pub fn text(&mut self, label: Label) {
        self.marks.push(Mark::Text(label));
    }

    /// All texts, in painting order.
    #[cfg(test)]
    pub fn labels(&self) -> impl Iterator<Item = &Label> {
        self.marks.iter().filter_map(|mark| match mark {
            Mark::Text(label) => Some(label),
            _ => None,
        })
    }

    /// Paints all marks.
    pub fn paint<DB: DrawingBackend>(
        &self,
        area: &DrawingArea<DB, Shift>,
        style: &Style,
    ) -> Result<(), DrawError<DB>> {
        let unit = |value: f64| (value * style.scale).round() as i32;
        let place = |(x, y): &Point| (unit(*x), unit(*y));
        for mark in &self.marks {
            match mark {
                Mark::Line { points, width, colour } => area.draw(&PathElement::new(
                    points.iter().map(place).collect::<Vec<_>>(),
                    ShapeStyle {
                        color: *colour,
                        filled: false,
                        stroke_width: unit(width * style.line_weight).max(1) as u32,
                    },
                ))?,
                Mark::Area { points, colour } => area.draw(&Polygon::new(
                    points.iter().map(place).collect::<Vec<_>>(),
                    colour.filled(),
                ))?,
                Mark::Disc { centre, radius, colour } => {
                    area.draw(&Circle::new(place(centre), unit(*radius).max(1), colour.filled()))?
                }
                Mark::Text(label) => {
                    let text_style = TextStyle {
                        pos: Pos::new(HPos::Center, VPos::Center),
                        ..font(style, label.size, label.weight).color(&label.colour)
                    };
                    area.draw_text(&label.text, &text_style, place(&label.frame.centre()))?;
                }
            }
        }
        Ok(())
    }
}

/// Size of the drawing area in CSS pixels.
pub(crate) fn size_in_pixels<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    style: &Style,
) -> (f64, f64) {
    let (width, height) = area.dim_in_pixel();
    (f64::from(width) / style.scale, f64::from(height) / style.scale)
}

/// Width of a text in CSS pixels as the backend sets it, or else as estimated.
pub(crate) fn width_on<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    style: &Style,
) -> impl Fn(&str, f64, Weight) -> f64 {
    move |text, size, weight| {
        let text_style = TextStyle::from(font(style, size, weight));
        match area.estimate_text_size(text, &text_style) {
            Ok((width, _)) => f64::from(width) / style.scale,
            Err(_) => estimated_width(text, size, weight),
        }
    }
}

fn font(style: &Style, size: f64, weight: Weight) -> FontDesc<'_> {
    let font_style = match weight {
        Weight::Regular => FontStyle::Normal,
        Weight::Bold => FontStyle::Bold,
    };
    FontDesc::new(FontFamily::Name(&style.font_family), size * style.scale, font_style)
}
