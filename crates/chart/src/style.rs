//! Colours, type and line weights of both charts.

pub use plotters::style::RGBColor;

/// How the charts look: ink on paper, one accent for what the slide does now.
///
/// Colour never carries a meaning alone: curves differ by dash and weight, stations by label,
/// an overload by hatching and words.
#[derive(Clone, Debug, PartialEq)]
pub struct Style {
    /// Background.
    pub paper: RGBColor,
    /// The bolster's surface.
    pub surface: RGBColor,
    /// Curves, outlines and text.
    pub ink: RGBColor,
    /// Axis labels, captions and helper lines.
    pub quiet_ink: RGBColor,
    /// Main grid lines; minor ones are drawn fainter.
    pub grid: RGBColor,
    /// What the slide does now: the handle, the load centre, the working edges.
    pub accent: RGBColor,
    /// Text on the accent.
    pub on_accent: RGBColor,
    /// Fills of the station parts, taken in turn.
    pub tints: Vec<RGBColor>,
    /// Font family list as in CSS, without quotation marks.
    pub font_family: String,
    /// Size of the main labels in CSS pixels.
    pub font_size: f64,
    /// Factor on every line width.
    pub line_weight: f64,
    /// Backend units per CSS pixel; it multiplies fonts, strokes and margins alike.
    pub scale: f64,
}

impl Style {
    /// Ink on paper, for the page and for print.
    pub fn paper() -> Self {
        Self {
            paper: RGBColor(252, 251, 246),
            surface: RGBColor(242, 239, 227),
            ink: RGBColor(20, 38, 58),
            quiet_ink: RGBColor(66, 82, 100),
            grid: RGBColor(205, 207, 205),
            accent: RGBColor(162, 59, 18),
            on_accent: RGBColor(255, 255, 255),
            tints: vec![
                RGBColor(235, 226, 205),
                RGBColor(201, 216, 227),
                RGBColor(221, 206, 170),
                RGBColor(165, 189, 206),
            ],
            font_family: "system-ui, Segoe UI, Roboto, DejaVu Sans, sans-serif".to_owned(),
            font_size: 13.0,
            line_weight: 1.0,
            scale: 1.0,
        }
    }

    /// Light lines on a dark ground, for a dim shop.
    pub fn dark() -> Self {
        Self {
            paper: RGBColor(16, 30, 44),
            surface: RGBColor(27, 43, 58),
            ink: RGBColor(236, 240, 240),
            quiet_ink: RGBColor(176, 190, 200),
            grid: RGBColor(58, 76, 93),
            accent: RGBColor(255, 150, 100),
            on_accent: RGBColor(30, 16, 8),
            tints: vec![
                RGBColor(74, 67, 52),
                RGBColor(42, 69, 90),
                RGBColor(98, 86, 58),
                RGBColor(60, 96, 122),
            ],
            ..Self::paper()
        }
    }

    /// Black on white with heavier lines, for sunlight and weak eyes.
    pub fn high_contrast() -> Self {
        Self {
            paper: RGBColor(255, 255, 255),
            surface: RGBColor(255, 255, 255),
            ink: RGBColor(0, 0, 0),
            quiet_ink: RGBColor(0, 0, 0),
            grid: RGBColor(178, 178, 178),
            accent: RGBColor(140, 30, 0),
            on_accent: RGBColor(255, 255, 255),
            tints: vec![
                RGBColor(246, 236, 208),
                RGBColor(204, 224, 242),
                RGBColor(226, 206, 150),
                RGBColor(150, 190, 222),
            ],
            line_weight: 1.4,
            ..Self::paper()
        }
    }

    /// The same look for a backend that counts `units_per_pixel` units to a CSS pixel.
    pub fn scaled(&self, units_per_pixel: f64) -> Self {
        Self { scale: self.scale * units_per_pixel, ..self.clone() }
    }

    /// Size of axis labels and captions in CSS pixels.
    pub(crate) fn small_size(&self) -> f64 {
        self.font_size * 0.88
    }

    /// The fill of the station part with this index.
    pub(crate) fn tint(&self, index: usize) -> RGBColor {
        match self.tints.len() {
            0 => self.grid,
            count => self.tints[index % count],
        }
    }
}

impl Default for Style {
    fn default() -> Self {
        Self::paper()
    }
}
