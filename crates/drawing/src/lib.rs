//! Outlines from drawings: the bytes of a DXF or SVG file in, lines and arcs in millimetres out.
//!
//! - [`read`] is the whole of it; [`Drawing`] is what it gives, [`Refusal`] why it gives nothing.
//! - `dxf` and `svg` each read one format and draw what they find with a `pen`; `curve` turns what
//!   is neither line nor arc into lines and arcs; `chain` joins loose ends.
//!
//! Nothing is fetched, run or written, and memory is bounded: files by [`LARGEST_FILE`], what is
//! drawn by a million lines and arcs.
//!
//! SVG is read with the feature `svg`, which is on unless it is asked not to be.
//!
//! ```
//! use evenstroke_drawing::{Options, read};
//!
//! let svg = br#"<svg width="90mm" height="60mm" viewBox="0 0 90 60">
//!     <circle cx="30" cy="20" r="5"/></svg>"#;
//! let drawing = read(svg, &Options::default())?;
//! let hole = &drawing.outlines[0];
//! assert!((hole.length_mm - 31.4159265).abs() < 1e-6);
//! assert_eq!((hole.centroid.x, hole.centroid.y), (30.0, -20.0));
//! # Ok::<(), evenstroke_drawing::Refusal>(())
//! ```

// Some of what both readers share is for SVG alone.
#![cfg_attr(not(feature = "svg"), allow(dead_code))]

mod chain;
mod curve;
mod dxf;
mod flat;
mod geometry;
mod names;
mod outline;
mod pen;
mod refusal;
mod scan;
#[cfg(feature = "svg")]
mod svg;
mod tally;
mod unit;

pub use chain::Gap;
pub use flat::Flat;
pub use geometry::Point;
pub use outline::{MOST_POINTS, Outline};
pub use refusal::Refusal;
pub use tally::Skipped;
pub use unit::LengthUnit;

use pen::Pen;
use tally::Tally;

/// Largest file that is read.
pub const LARGEST_FILE: usize = 64 * 1024 * 1024;
/// What is shorter than this, in millimetres, has no length.
const SHORTEST_MM: f64 = 1e-3;
/// Longest list of gaps; a drawing with more has no use for the list.
const MOST_GAPS: usize = 1_000;

/// How a drawing is read.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// The unit of its numbers; what the file says if none is given.
    pub unit: Option<LengthUnit>,
    /// Ends closer than this are joined.
    pub tolerance_mm: f64,
    /// No curve is farther than this from the arcs and lines that stand for it.
    pub chord_error_mm: f64,
    /// The only layer to read; all that are on if none is given.
    pub layer: Option<String>,
}

impl Default for Options {
    fn default() -> Self {
        Self { unit: None, tolerance_mm: 0.05, chord_error_mm: 0.01, layer: None }
    }
}

/// Kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Drawing exchange format, as text.
    Dxf,
    /// Scalable vector graphics.
    Svg,
}

/// What was found in a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// What kind of file it was.
    pub format: Format,
    /// The unit that the file says it is in, if it says so.
    pub file_unit: Option<LengthUnit>,
    /// The unit that its numbers were taken in: the one given, else the file's, else millimetres.
    pub unit: LengthUnit,
    /// Whether the unit was neither given nor said: ask before the outlines are used.
    pub unit_assumed: bool,
    /// Names of all layers with something on them that could be read, also of those not asked for.
    pub layers: Vec<String>,
    /// The outlines, closed ones first.
    pub outlines: Vec<Outline>,
    /// Open ends near each other.
    pub gaps: Vec<Gap>,
    /// What was passed over, and why.
    pub skipped: Vec<Skipped>,
    /// What else is worth knowing.
    pub notes: Vec<String>,
    /// No curve is farther than this from the arcs and lines that stand for it; zero where all are
    /// arcs and lines of the file.
    pub deviation_mm: f64,
}

/// What a reader hands back besides what it drew.
struct Found {
    file_unit: Option<LengthUnit>,
    /// Names by the numbers that paths carry.
    layers: Vec<String>,
    /// Whether anything that can be read lies on the layer, asked for or not.
    in_use: Vec<bool>,
}

/// Reads a drawing, whose kind is told by its content.
///
/// # Errors
///
/// [`Refusal`] if it is too large, of another kind, broken, or beyond what is drawn in bounds.
pub fn read(bytes: &[u8], options: &Options) -> Result<Drawing, Refusal> {
    check(options)?;
    if bytes.len() > LARGEST_FILE {
        return Err(too_large(bytes.len()));
    }
    let format = format_of(bytes)?;
    let hair = SHORTEST_MM.min(options.tolerance_mm / 2.0).min(options.chord_error_mm / 10.0);
    let mut pen = Pen::new(options.chord_error_mm, hair);
    let mut tally = Tally::default();
    let found = match format {
        Format::Dxf => dxf::read(bytes, options, &mut pen, &mut tally)?,
        #[cfg(feature = "svg")]
        Format::Svg => svg::read(bytes, options, &mut pen, &mut tally)?,
        #[cfg(not(feature = "svg"))]
        Format::Svg => {
            return Err(Refusal::of_file("must be a DXF file saved as text", "an SVG file"));
        }
    };
    pen.finish();
    let layers: Vec<String> = found
        .layers
        .iter()
        .zip(&found.in_use)
        .filter(|(_, in_use)| **in_use)
        .map(|(name, _)| name.clone())
        .collect();
    if let Some(wanted) = &options.layer
        && !layers.iter().any(|name| names::is_same(name, wanted))
    {
        return Err(Refusal::new("layer", one_of(&layers), refusal::shown(wanted)));
    }

    let chained = chain::chain(std::mem::take(&mut pen.paths), options.tolerance_mm, hair);
    let name = |layer: u32| found.layers[layer as usize].clone();
    let mut notes = notes(&pen, &chained, options);
    notes.append(&mut tally.notes);
    let gaps = chained.gaps.iter().take(MOST_GAPS).map(|&(from, to, distance_mm, layer)| Gap {
        layer: name(layer),
        from,
        to,
        distance_mm,
    });
    if let (Some(given), Some(said)) = (options.unit, found.file_unit)
        && given != said
    {
        notes.push(format!("the file says {}, read as {}", said.symbol(), given.symbol()));
    }
    Ok(Drawing {
        format,
        file_unit: found.file_unit,
        unit: options.unit.or(found.file_unit).unwrap_or(LengthUnit::Millimetre),
        unit_assumed: options.unit.is_none() && found.file_unit.is_none(),
        layers,
        gaps: gaps.collect(),
        skipped: tally.skipped(),
        notes,
        deviation_mm: pen.deviation,
        outlines: chained
            .paths
            .into_iter()
            .map(|path| {
                let name = name(path.layer);
                Outline::new(path, name)
            })
            .collect(),
    })
}

/// The message about a file of so many bytes.
pub fn too_large(bytes: usize) -> Refusal {
    let mib = 1024.0 * 1024.0;
    Refusal::of_file(
        format!("must have at most {} MiB", LARGEST_FILE / (1024 * 1024)),
        format!("{:.1} MiB or more", bytes as f64 / mib),
    )
}

fn check(options: &Options) -> Result<(), Refusal> {
    let within = |what: &str, value: f64| {
        if (1e-4..=10.0).contains(&value) {
            return Ok(());
        }
        Err(Refusal::new(what, "must be from 0.0001 to 10 mm", value.to_string()))
    };
    within("tolerance", options.tolerance_mm)?;
    within("chord error", options.chord_error_mm)
}

fn format_of(bytes: &[u8]) -> Result<Format, Refusal> {
    let allowed = "must be a DXF file saved as text, or an SVG file";
    let begins = |with: &[u8]| bytes.starts_with(with);
    if begins(b"AutoCAD Binary DXF") {
        return Err(Refusal::of_file(
            "must be saved as text (ASCII) DXF",
            "a binary DXF file, of the same content",
        ));
    }
    if begins(b"AC10") || begins(b"AC1.") || begins(b"AC2.") {
        return Err(Refusal::of_file("must be saved as text (ASCII) DXF", "a DWG file"));
    }
    let other = if begins(b"\x1f\x8b") {
        Some("a compressed file, as SVGZ is: unpack it first")
    } else if begins(b"\xff\xfe") || begins(b"\xfe\xff") {
        Some("UTF-16 text: save it as UTF-8")
    } else if begins(b"%PDF") {
        Some("a PDF file")
    } else if begins(b"PK\x03\x04") {
        Some("a ZIP file")
    } else {
        None
    };
    if let Some(given) = other {
        return Err(Refusal::of_file(allowed, given));
    }
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes).trim_ascii_start();
    match text.first() {
        None => Err(Refusal::of_file(allowed, "an empty file")),
        Some(b'<') => Ok(Format::Svg),
        // A DXF file begins with a group code: 0, or 999 for a comment.
        Some(b'0' | b'9') => Ok(Format::Dxf),
        Some(_) => {
            let first = String::from_utf8_lossy(&text[..text.len().min(60)]);
            let line = first.lines().next().unwrap_or_default();
            Err(Refusal::of_file(
                allowed,
                format!("a file that begins with {}", refusal::shown(line)),
            ))
        }
    }
}

fn one_of(layers: &[String]) -> String {
    if layers.is_empty() {
        return "no layer has anything on it that can be read".to_owned();
    }
    let names: Vec<String> = layers.iter().take(20).map(|name| refusal::shown(name)).collect();
    let more = if layers.len() > names.len() { ", …" } else { "" };
    format!("must be one of {}{more}", names.join(", "))
}

fn notes(pen: &Pen, chained: &chain::Chained, options: &Options) -> Vec<String> {
    let mut notes = Vec::new();
    if chained.paths.is_empty() {
        notes.push("no line was found".to_owned());
    }
    let mut note = |text: &str, count: usize| {
        if count > 0 {
            notes.push(format!("{text}: {count}"));
        }
    };
    note("lines and arcs drawn twice, counted once", chained.repeated);
    note("lines and arcs on two layers, choose one of them", chained.on_other_layers);
    note("lines without length, left out", pen.without_length);
    note("open lines shorter than the tolerance, left out", chained.specks);
    note("places where more than two ends meet, look how the outlines run there", chained.branches);
    if chained.gaps.len() > MOST_GAPS {
        notes.push(format!("{} gaps, of which {MOST_GAPS} are listed", chained.gaps.len()));
    }
    if pen.deviation > options.chord_error_mm {
        notes.push(format!("a curve is only within {:.3} mm", pen.deviation));
    }
    notes
}
