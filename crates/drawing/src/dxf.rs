//! Reading DXF saved as text.
//!
//! The file is a list of pairs of lines: a number that says what comes, and what comes. Entities of
//! model space and of blocks are understood first and drawn afterwards, because blocks hold blocks
//! and layers are looked up by name. What is not understood is counted.
//!
//! # Source
//!
//! Autodesk, *DXF Reference*: group codes of the entities, object coordinate systems and the
//! arbitrary axis algorithm, insertion units. From memory, checked against files written by a library
//! (`tests/drawings/make.py`).

use crate::{
    Found, LengthUnit, Options,
    curve::{self, Control, HIGHEST_DEGREE},
    geometry::{Affine, Point},
    names::{self, Names},
    pen::{MOST_SEGMENTS, Pen},
    refusal::{Refusal, shown},
    scan,
    tally::Tally,
};
use std::f64::consts::TAU;

/// Most entities, and most points of entities, that are kept.
const MOST_KEPT: usize = 1_000_000;
/// Largest number that is taken for a coordinate.
const LARGEST_NUMBER: f64 = 1e12;
/// Most blocks within blocks.
const DEEPEST: usize = 32;
/// Weights of a spline farther apart than this make a curve that no drawing has.
const WEIGHT_RANGE: f64 = 1e6;

/// Draws the model space of a file.
pub(crate) fn read(
    bytes: &[u8],
    options: &Options,
    pen: &mut Pen,
    tally: &mut Tally,
) -> Result<Found, Refusal> {
    let mut reader = Reader {
        lines: Lines { bytes, at: 0 },
        layers: Names::default(),
        states: Vec::new(),
        block_names: Names::default(),
        blocks: Vec::new(),
        kept: 0,
        unit: None,
        polyline: None,
        tally,
    };
    let model = reader.read_sections()?;
    let Reader { layers, states, block_names, blocks, unit, .. } = reader;

    let scale = options.unit.or(unit).unwrap_or(LengthUnit::Millimetre).millimetres();
    let mut drawer = Drawer {
        wanted: layers
            .names
            .iter()
            .map(|name| options.layer.as_ref().is_none_or(|wanted| names::is_same(name, wanted)))
            .collect(),
        named: options.layer.is_some(),
        in_use: vec![false; layers.names.len()],
        layers: &layers.names,
        states: &states,
        block_names: &block_names.names,
        blocks: &blocks,
        inserted: 0,
        inside: Vec::new(),
        pen,
        tally,
    };
    drawer.draw_all(&model, &Affine::scale(scale, scale), None)?;
    let in_use = drawer.in_use;
    Ok(Found { file_unit: unit, layers: layers.names, in_use })
}

/// How a layer is switched.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum LayerState {
    #[default]
    On,
    Off,
    Frozen,
}

/// What an entity is, in its own coordinates.
enum Shape {
    /// Points with the bulge of the segment that begins there.
    Polyline { corners: Vec<(Point, f64)>, closed: bool },
    /// Part of `centre + u cos t + v sin t`.
    Ellipse { centre: Point, u: Point, v: Point, start_rad: f64, sweep_rad: f64 },
    /// Bézier curves of `degree` + 1 control points each.
    Spline { degree: usize, controls: Vec<Control> },
    /// A block, `columns` times `rows`.
    Insert { block: u32, place: Affine, columns: u32, rows: u32, step: Point },
}

struct Entity {
    layer: u32,
    /// Seen from below: the extrusion points down.
    mirrored: bool,
    shape: Shape,
}

#[derive(Default)]
struct Block {
    base: Point,
    entities: Vec<Entity>,
    known: bool,
}

/// The pairs of a file.
struct Lines<'a> {
    bytes: &'a [u8],
    at: usize,
}

/// A group code and where its value stands.
#[derive(Clone, Copy)]
struct Pair {
    code: i32,
    start: u32,
    end: u32,
}

impl<'a> Lines<'a> {
    /// The next line's range, without its end; a line ends with LF, CR LF or CR.
    fn line(&mut self) -> Option<(usize, usize)> {
        let start = self.at;
        if start >= self.bytes.len() {
            return None;
        }
        let rest = &self.bytes[start..];
        let length = rest.iter().position(|b| *b == b'\n' || *b == b'\r').unwrap_or(rest.len());
        let both = rest[length..].starts_with(b"\r\n");
        self.at = start + length + if both { 2 } else { 1 };
        Some((start, start + length))
    }

    /// The next pair that is not a comment.
    fn pair(&mut self) -> Result<Option<Pair>, Refusal> {
        loop {
            let Some((start, end)) = self.line() else { return Ok(None) };
            let code_text = self.bytes[start..end].trim_ascii();
            let code = std::str::from_utf8(code_text).ok().and_then(|text| text.parse().ok());
            let Some(code) = code else {
                // Blank lines at the end are no pair.
                if code_text.is_empty() && self.bytes[end..].trim_ascii().is_empty() {
                    return Ok(None);
                }
                return Err(self.refusal_at(
                    start,
                    "must be a group code, a whole number",
                    start,
                    end,
                ));
            };
            let Some((start, end)) = self.line() else {
                return Err(self.cut_off("after a group code"));
            };
            if code != 999 {
                return Ok(Some(Pair { code, start: start as u32, end: end as u32 }));
            }
        }
    }

    fn bytes_of(&self, pair: Pair) -> &'a [u8] {
        self.bytes[pair.start as usize..pair.end as usize].trim_ascii()
    }

    fn line_number(&self, at: usize) -> usize {
        let before = &self.bytes[..at.min(self.bytes.len())];
        let ends = before.iter().enumerate().filter(|(index, byte)| {
            **byte == b'\n' || **byte == b'\r' && before.get(index + 1) != Some(&b'\n')
        });
        // A CR right before `at` may be half of an end of line; no line begins between the two.
        ends.count() + 1
    }

    fn refusal_at(&self, at: usize, allowed: &str, start: usize, end: usize) -> Refusal {
        let given = shown(String::from_utf8_lossy(&self.bytes[start..end]).trim());
        let given = if given.is_empty() { "nothing".to_owned() } else { given };
        Refusal::new(format!("line {}", self.line_number(at)), allowed, given)
    }

    fn cut_off(&self, place: &str) -> Refusal {
        Refusal::of_file(
            "must be a whole DXF file, to its EOF",
            format!("one that ends {place}, at line {}", self.line_number(self.bytes.len())),
        )
    }

    fn number(&self, pair: Pair) -> Result<f64, Refusal> {
        match scan::number(self.bytes_of(pair)) {
            Some(number) if number.abs() <= LARGEST_NUMBER => Ok(number),
            _ => Err(self.refusal_at(
                pair.start as usize,
                "must be a number, within ±1e12",
                pair.start as usize,
                pair.end as usize,
            )),
        }
    }

    fn whole(&self, pair: Pair) -> Result<i64, Refusal> {
        // Some programs write whole numbers with a point.
        self.number(pair).map(|number| number as i64)
    }

    /// Text: UTF-8, or bytes of an older file as if they were Latin-1, with `\U+XXXX` resolved.
    fn text(&self, pair: Pair) -> String {
        let bytes = self.bytes_of(pair);
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text.to_owned(),
            Err(_) => bytes.iter().map(|byte| char::from(*byte)).collect(),
        };
        let mut parts = text.split("\\U+");
        let mut out = parts.next().unwrap_or_default().to_owned();
        for part in parts {
            let letter = part
                .get(..4)
                .and_then(|digits| u32::from_str_radix(digits, 16).ok())
                .and_then(char::from_u32);
            match letter {
                Some(letter) => {
                    out.push(letter);
                    out.push_str(&part[4..]);
                }
                None => {
                    out.push_str("\\U+");
                    out.push_str(part);
                }
            }
        }
        out
    }
}

/// A record: all pairs from one code 0 to the next.
struct Record<'a> {
    kind: &'a [u8],
    pairs: &'a [Pair],
}

impl Record<'_> {
    fn find(&self, code: i32) -> Option<Pair> {
        self.pairs.iter().find(|pair| pair.code == code).copied()
    }
}

/// A polyline whose vertices are being read.
struct OpenPolyline {
    layer: u32,
    mirrored: bool,
    closed: bool,
    corners: Vec<(Point, f64)>,
    /// Why it is passed over, though its vertices have to be read past.
    passed_over: Option<&'static str>,
}

struct Reader<'a, 't> {
    lines: Lines<'a>,
    layers: Names,
    states: Vec<LayerState>,
    block_names: Names,
    blocks: Vec<Block>,
    kept: usize,
    unit: Option<LengthUnit>,
    polyline: Option<OpenPolyline>,
    tally: &'t mut Tally,
}

impl Reader<'_, '_> {
    /// Reads everything; gives the entities of model space.
    fn read_sections(&mut self) -> Result<Vec<Entity>, Refusal> {
        let mut model = Vec::new();
        let mut section: Vec<u8> = Vec::new();
        let mut block: Option<u32> = None;
        let mut pairs = Vec::new();
        let mut next = self.lines.pair()?;
        let mut sections = 0;
        let mut ended = false;
        while let Some(head) = next {
            if head.code != 0 {
                return Err(self.lines.refusal_at(
                    head.start as usize,
                    "must begin a section, by group code 0",
                    head.start as usize,
                    head.end as usize,
                ));
            }
            pairs.clear();
            next = loop {
                match self.lines.pair()? {
                    Some(pair) if pair.code != 0 => pairs.push(pair),
                    other => break other,
                }
            };
            let record = Record { kind: self.lines.bytes_of(head), pairs: &pairs };
            if self.polyline.is_some() && record.kind != b"VERTEX" {
                let entity = self.finish_polyline();
                self.keep(entity, block, &mut model)?;
            }
            match record.kind {
                b"EOF" => {
                    ended = true;
                    break;
                }
                b"SECTION" => {
                    sections += 1;
                    section =
                        record.find(2).map_or(&[][..], |pair| self.lines.bytes_of(pair)).to_vec();
                    if section == b"HEADER" {
                        self.read_header(&record)?;
                    }
                }
                b"ENDSEC" => section.clear(),
                b"LAYER" if section == b"TABLES" => self.read_layer(&record)?,
                b"BLOCK" if section == b"BLOCKS" => block = Some(self.read_block(&record)?),
                b"ENDBLK" if section == b"BLOCKS" => block = None,
                _ if section == b"ENTITIES" || section == b"BLOCKS" && block.is_some() => {
                    let entity = self.read_entity(&record)?;
                    self.keep(entity, block, &mut model)?;
                }
                _ if sections == 0 => {
                    return Err(self.lines.refusal_at(
                        head.start as usize,
                        "must begin with a SECTION",
                        head.start as usize,
                        head.end as usize,
                    ));
                }
                _ => {}
            }
        }
        if sections == 0 {
            return Err(Refusal::of_file("must be a DXF file with sections", "none"));
        }
        if !ended {
            if !section.is_empty() {
                let name = shown(&String::from_utf8_lossy(&section));
                return Err(self.lines.cut_off(&format!("within section {name}")));
            }
            self.tally.note("the file ends without EOF: part of it may be missing");
        }
        Ok(model)
    }

    fn keep(
        &mut self,
        entity: Option<Entity>,
        block: Option<u32>,
        model: &mut Vec<Entity>,
    ) -> Result<(), Refusal> {
        let Some(entity) = entity else { return Ok(()) };
        self.count(1)?;
        match block {
            Some(block) => self.blocks[block as usize].entities.push(entity),
            None => model.push(entity),
        }
        Ok(())
    }

    fn count(&mut self, more: usize) -> Result<(), Refusal> {
        self.kept += more;
        if self.kept <= MOST_KEPT {
            return Ok(());
        }
        Err(Refusal::of_file(
            format!("must hold at most {MOST_KEPT} entities and points of polylines and splines"),
            "more",
        ))
    }

    fn read_header(&mut self, record: &Record<'_>) -> Result<(), Refusal> {
        let mut variable: &[u8] = b"";
        for pair in record.pairs {
            if pair.code == 9 {
                variable = self.lines.bytes_of(*pair);
            } else if variable == b"$INSUNITS" && pair.code == 70 {
                let code = self.lines.whole(*pair)?;
                self.unit = unit_of_code(code);
                if self.unit.is_none() && code != 0 {
                    self.tally
                        .note(&format!("insertion unit {code} of the file is not known here"));
                }
            }
        }
        Ok(())
    }

    fn read_layer(&mut self, record: &Record<'_>) -> Result<(), Refusal> {
        let Some(name) = record.find(2) else { return Ok(()) };
        let name = self.lines.text(name);
        let layer = self.layer(&name)?;
        let number = |code| record.find(code).map_or(Ok(0), |pair| self.lines.whole(pair));
        let state = if number(70)? & 1 != 0 {
            LayerState::Frozen
        } else if number(62)? < 0 {
            LayerState::Off
        } else {
            LayerState::On
        };
        self.states[layer as usize] = state;
        Ok(())
    }

    fn layer(&mut self, name: &str) -> Result<u32, Refusal> {
        let layer = self.layers.number(name);
        if layer as usize == self.states.len() {
            self.states.push(LayerState::On);
            self.count(1)?;
        }
        Ok(layer)
    }

    fn block(&mut self, name: &str) -> Result<u32, Refusal> {
        let block = self.block_names.number(name);
        if block as usize == self.blocks.len() {
            self.blocks.push(Block::default());
            self.count(1)?;
        }
        Ok(block)
    }

    fn read_block(&mut self, record: &Record<'_>) -> Result<u32, Refusal> {
        let name = record.find(2).map(|pair| self.lines.text(pair)).unwrap_or_default();
        let base = Fields::read(&self.lines, record, None)?.point(10);
        let block = self.block(&name)?;
        // Of two blocks of one name the later one counts.
        self.blocks[block as usize] = Block { base, entities: Vec::new(), known: true };
        Ok(block)
    }

    /// Understands an entity; `None` if it is passed over or goes on in the next records.
    fn read_entity(&mut self, record: &Record<'_>) -> Result<Option<Entity>, Refusal> {
        let name = String::from_utf8_lossy(record.kind).into_owned();
        if name == "VERTEX" {
            return self.read_vertex(record).map(|()| None);
        }
        if matches!(name.as_str(), "SEQEND" | "ENDBLK") {
            return Ok(None);
        }
        let known = matches!(
            name.as_str(),
            "LINE" | "LWPOLYLINE" | "POLYLINE" | "ARC" | "CIRCLE" | "ELLIPSE" | "SPLINE" | "INSERT"
        );
        let whole = |code| record.find(code).map_or(Ok(0), |pair| self.lines.whole(pair));
        let reason = if whole(67)? == 1 {
            Some("in paper space")
        } else if !known {
            Some("not an outline")
        } else if whole(60)? == 1 {
            Some("invisible")
        } else {
            None
        };
        let layer_name =
            record.find(8).map_or_else(|| "0".to_owned(), |pair| self.lines.text(pair));
        if let Some(reason) = reason {
            self.tally.skip(&name, reason);
            if name == "POLYLINE" {
                self.polyline = Some(OpenPolyline {
                    layer: 0,
                    mirrored: false,
                    closed: false,
                    corners: Vec::new(),
                    passed_over: Some(reason),
                });
            }
            return Ok(None);
        }
        let layer = self.layer(&layer_name)?;
        let mut corners = Vec::new();
        let mut spline = SplineFields::default();
        let fields = match name.as_str() {
            "LWPOLYLINE" => Fields::read(
                &self.lines,
                record,
                Some(&mut |pair, number| read_corner(&mut corners, pair, number)),
            ),
            "SPLINE" => Fields::read(
                &self.lines,
                record,
                Some(&mut |pair, number| spline.read(pair, number)),
            ),
            _ => Fields::read(&self.lines, record, None),
        }?;
        self.count(corners.len() + spline.points.len() + spline.knots.len())?;
        // Lines, splines and polylines in space stand in world coordinates; the extrusion of an
        // ellipse only turns the way it runs.
        let flags = fields.whole(70);
        let in_world = matches!(name.as_str(), "LINE" | "SPLINE" | "ELLIPSE")
            || name == "POLYLINE" && flags & 8 != 0;
        let facing = fields.facing();
        if facing.is_none() && (!in_world || name == "ELLIPSE") {
            self.tally.skip(&name, "tilted out of the plane");
            if name == "POLYLINE" {
                self.polyline = Some(OpenPolyline {
                    layer,
                    mirrored: false,
                    closed: false,
                    corners,
                    passed_over: Some("tilted out of the plane"),
                });
            }
            return Ok(None);
        }
        let down = facing == Some(Facing::Down);
        let mirrored = down && !in_world;
        if fields.has_height {
            self.tally.note("heights (z) are left out: everything is drawn in one plane");
        }
        let shape = match name.as_str() {
            "LINE" => Shape::Polyline {
                corners: vec![(fields.point(10), 0.0), (fields.point(11), 0.0)],
                closed: false,
            },
            "LWPOLYLINE" => Shape::Polyline { corners, closed: flags & 1 != 0 },
            "POLYLINE" => {
                let surface = flags & (16 | 64) != 0;
                if surface {
                    self.tally.skip("POLYLINE", "a mesh");
                }
                self.polyline = Some(OpenPolyline {
                    layer,
                    mirrored,
                    closed: flags & 1 != 0,
                    corners,
                    passed_over: surface.then_some("a mesh"),
                });
                return Ok(None);
            }
            "CIRCLE" | "ARC" => {
                let radius = fields.number(40);
                if !(radius > 0.0) {
                    self.tally.skip(&name, "without a radius");
                    return Ok(None);
                }
                let u = Point::new(radius, 0.0);
                let (start_rad, sweep_rad) = if name == "CIRCLE" {
                    (0.0, TAU)
                } else {
                    let (start, end) = (fields.number(50), fields.number(51));
                    (start.to_radians(), turn(start, end, 360.0).to_radians())
                };
                Shape::Ellipse {
                    centre: fields.point(10),
                    u,
                    v: u.turned_left(),
                    start_rad,
                    sweep_rad,
                }
            }
            "ELLIPSE" => {
                let u = fields.point(11);
                let ratio = fields.number(40);
                let side = if down { -1.0 } else { 1.0 };
                let v = Point::default().displaced(u.turned_left(), ratio * side);
                if !(u.length() > 0.0 && ratio.abs() > 1e-9) {
                    self.tally.skip(&name, "without a width");
                    return Ok(None);
                }
                let (start, end) = (fields.number(41), fields.number_or(42, TAU));
                Shape::Ellipse {
                    centre: fields.point(10),
                    u,
                    v,
                    start_rad: start,
                    sweep_rad: turn(start, end, TAU),
                }
            }
            "SPLINE" => match spline.pieces(fields.whole(71)) {
                Ok((degree, controls)) => {
                    self.count(controls.len())?;
                    Shape::Spline { degree, controls }
                }
                Err(reason) => {
                    self.tally.skip(&name, reason);
                    return Ok(None);
                }
            },
            _ => {
                let block = record.find(2).map(|pair| self.lines.text(pair)).unwrap_or_default();
                let (x, y) = (fields.number_or(41, 1.0), fields.number_or(42, 1.0));
                if x == 0.0 || y == 0.0 {
                    self.tally.skip(&name, "scaled to nothing");
                    return Ok(None);
                }
                let count =
                    |code| u32::try_from(fields.whole_or(code, 1).max(1)).unwrap_or(u32::MAX);
                let turn = Affine::turn_deg(fields.number(50));
                Shape::Insert {
                    block: self.block(&block)?,
                    place: Affine::shift(fields.point(10)).after(&turn).after(&Affine::scale(x, y)),
                    columns: count(70),
                    rows: count(71),
                    // The steps are turned with the block but not scaled.
                    step: Point::new(fields.number(44) / x, fields.number(45) / y),
                }
            }
        };
        Ok(Some(Entity { layer, mirrored, shape }))
    }

    fn read_vertex(&mut self, record: &Record<'_>) -> Result<(), Refusal> {
        let Some(polyline) = &self.polyline else { return Ok(()) };
        if polyline.passed_over.is_some() {
            return Ok(());
        }
        let fields = Fields::read(&self.lines, record, None)?;
        // The frame of a smoothed polyline is not part of its line.
        if fields.whole(70) & 16 != 0 {
            return Ok(());
        }
        self.count(1)?;
        if fields.has_height {
            self.tally.note("heights (z) are left out: everything is drawn in one plane");
        }
        if let Some(polyline) = &mut self.polyline {
            polyline.corners.push((fields.point(10), fields.number(42)));
        }
        Ok(())
    }

    fn finish_polyline(&mut self) -> Option<Entity> {
        let OpenPolyline { layer, mirrored, closed, corners, passed_over } =
            self.polyline.take()?;
        if passed_over.is_some() {
            return None;
        }
        Some(Entity { layer, mirrored, shape: Shape::Polyline { corners, closed } })
    }
}

/// How far it is from `start` on to `end`; all the way round if they are the same.
fn turn(start: f64, end: f64, whole: f64) -> f64 {
    let turn = (end - start).rem_euclid(whole);
    // A full turn comes as start and end that differ by rounding, from either side.
    if turn < 1e-9 * whole || turn > whole * (1.0 - 1e-12) { whole } else { turn }
}

/// Which way an entity's plane faces.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Facing {
    Up,
    Down,
}

/// Numbers of an entity by their codes; a later one replaces an earlier one.
struct Fields {
    numbers: [f64; 81],
    given: [bool; 81],
    extrusion: [f64; 3],
    has_height: bool,
}

type Repeated<'f> = &'f mut dyn FnMut(i32, f64);

impl Fields {
    /// Codes 10 to 80 and the extrusion; codes that repeat go to `repeated`, too.
    fn read(
        lines: &Lines<'_>,
        record: &Record<'_>,
        mut repeated: Option<Repeated<'_>>,
    ) -> Result<Self, Refusal> {
        let mut fields = Self {
            numbers: [0.0; 81],
            given: [false; 81],
            extrusion: [0.0, 0.0, 1.0],
            has_height: false,
        };
        for pair in record.pairs {
            // Between {…} stand data of other programs, under code 102; from 1000 on, too.
            match pair.code {
                10..=80 => {
                    let number = lines.number(*pair)?;
                    if let Some(repeated) = &mut repeated {
                        repeated(pair.code, number);
                    }
                    fields.numbers[pair.code as usize] = number;
                    fields.given[pair.code as usize] = true;
                    fields.has_height |= matches!(pair.code, 30 | 31 | 38) && number.abs() > 1e-9;
                }
                210 | 220 | 230 => {
                    fields.extrusion[(pair.code as usize - 210) / 10] = lines.number(*pair)?;
                }
                _ => {}
            }
        }
        Ok(fields)
    }

    fn number(&self, code: usize) -> f64 {
        self.numbers[code]
    }

    fn number_or(&self, code: usize, otherwise: f64) -> f64 {
        if self.given[code] { self.numbers[code] } else { otherwise }
    }

    fn whole(&self, code: usize) -> i64 {
        self.numbers[code] as i64
    }

    fn whole_or(&self, code: usize, otherwise: i64) -> i64 {
        if self.given[code] { self.whole(code) } else { otherwise }
    }

    fn point(&self, code: usize) -> Point {
        Point::new(self.numbers[code], self.numbers[code + 10])
    }

    /// Up or down; `None` if the entity is tilted.
    fn facing(&self) -> Option<Facing> {
        let [x, y, z] = self.extrusion;
        // A millionth of tilt is rounding of the file.
        if x.abs().max(y.abs()) > 1e-6 * z.abs() || z == 0.0 {
            return None;
        }
        Some(if z > 0.0 { Facing::Up } else { Facing::Down })
    }
}

/// A corner begins with its x; y and bulge belong to the last one.
fn read_corner(corners: &mut Vec<(Point, f64)>, code: i32, number: f64) {
    match (code, corners.last_mut()) {
        (10, _) => corners.push((Point::new(number, 0.0), 0.0)),
        (20, Some(corner)) => corner.0.y = number,
        (42, Some(corner)) => corner.1 = number,
        _ => {}
    }
}

#[derive(Default)]
struct SplineFields {
    points: Vec<Point>,
    weights: Vec<f64>,
    knots: Vec<f64>,
    fit_points: usize,
}

impl SplineFields {
    fn read(&mut self, code: i32, number: f64) {
        match (code, self.points.last_mut()) {
            (10, _) => self.points.push(Point::new(number, 0.0)),
            (20, Some(point)) => point.y = number,
            (40, _) => self.knots.push(number),
            (41, _) => self.weights.push(number),
            (11, _) => self.fit_points += 1,
            _ => {}
        }
    }

    /// The Bézier curves of the spline, or why there are none.
    fn pieces(&self, degree: i64) -> Result<(usize, Vec<Control>), &'static str> {
        if self.points.is_empty() && self.fit_points > 0 {
            return Err("given by fit points only: save it with control points");
        }
        let degree = usize::try_from(degree).unwrap_or_default();
        if degree == 0 || degree > HIGHEST_DEGREE {
            return Err("of a degree that is not from 1 to 24");
        }
        let weights_fit = self.weights.is_empty() || self.weights.len() == self.points.len();
        if self.points.len() <= degree || self.knots.len() != self.points.len() + degree + 1 {
            return Err("whose knots do not fit its control points");
        }
        if !weights_fit || self.knots.windows(2).any(|pair| pair[1] < pair[0]) {
            return Err("whose knots fall or whose weights do not fit its control points");
        }
        let largest = self.weights.iter().fold(0.0_f64, |largest, weight| largest.max(*weight));
        if self.weights.iter().any(|weight| !(*weight * WEIGHT_RANGE >= largest && *weight > 0.0)) {
            return Err("with weights that are not positive, or a million times apart");
        }
        let controls: Vec<Control> = self
            .points
            .iter()
            .enumerate()
            .map(|(index, point)| {
                let weight = self.weights.get(index).map_or(1.0, |weight| weight / largest);
                Control::new(*point, weight)
            })
            .collect();
        let pieces = curve::bezier_pieces(degree, &self.knots, &controls);
        if pieces.is_empty() { Err("without length") } else { Ok((degree, pieces)) }
    }
}

/// Draws entities, going into blocks.
struct Drawer<'a> {
    wanted: Vec<bool>,
    /// Whether a layer was asked for by name, which is then drawn even if it is off.
    named: bool,
    in_use: Vec<bool>,
    layers: &'a [String],
    states: &'a [LayerState],
    block_names: &'a [String],
    blocks: &'a [Block],
    inserted: usize,
    inside: Vec<u32>,
    pen: &'a mut Pen,
    tally: &'a mut Tally,
}

impl Drawer<'_> {
    /// Draws entities; those of a block on layer 0 lie on the `layer` it is inserted on.
    fn draw_all(
        &mut self,
        entities: &[Entity],
        map: &Affine,
        layer: Option<u32>,
    ) -> Result<(), Refusal> {
        for entity in entities {
            let own = entity.layer;
            let layer = layer.filter(|_| self.layers[own as usize] == "0").unwrap_or(own);
            let map = if entity.mirrored { map.after(&Affine::scale(-1.0, 1.0)) } else { *map };
            self.draw(&entity.shape, &map, layer)?;
        }
        Ok(())
    }

    fn draw(&mut self, shape: &Shape, map: &Affine, layer: u32) -> Result<(), Refusal> {
        let state = self.states[layer as usize];
        if let Shape::Insert { block, place, columns, rows, step } = shape {
            // A frozen layer hides a block with all that is in it, one that is off only what lies on
            // the layer itself.
            if state == LayerState::Frozen && !self.named {
                self.tally.skip(&format!("layer {}", self.layers[layer as usize]), "frozen");
                return Ok(());
            }
            return self.draw_block(*block, &map.after(place), (*columns, *rows), *step, layer);
        }
        self.in_use[layer as usize] = true;
        if !self.wanted[layer as usize] {
            return Ok(());
        }
        if state != LayerState::On && !self.named {
            let why = if state == LayerState::Off { "off" } else { "frozen" };
            self.tally.skip(&format!("layer {}", self.layers[layer as usize]), why);
            return Ok(());
        }
        match shape {
            Shape::Polyline { corners, closed } => self.draw_polyline(corners, *closed, map, layer),
            Shape::Ellipse { centre, u, v, start_rad, sweep_rad } => {
                if *sweep_rad == TAU {
                    return self.pen.ellipse(layer, map, *centre, *u, *v);
                }
                let at = |t: f64| centre.displaced(*u, t.cos()).displaced(*v, t.sin());
                self.pen.start(layer, map.apply(at(*start_rad)))?;
                let end = at(start_rad + sweep_rad);
                self.pen.ellipse_to(map, *centre, *u, *v, *start_rad, *sweep_rad, end)?;
                self.pen.finish();
                Ok(())
            }
            Shape::Spline { degree, controls } => {
                let mapped: Vec<Control> = controls.iter().map(|c| c.mapped(map)).collect();
                let (first, last) = (mapped[0].point(), mapped[mapped.len() - 1].point());
                self.pen.start(layer, first)?;
                for piece in mapped.chunks_exact(degree + 1) {
                    self.pen.curve_to(piece)?;
                }
                if first == last {
                    self.pen.close()
                } else {
                    self.pen.finish()
                }
                Ok(())
            }
            Shape::Insert { .. } => Ok(()),
        }
    }

    fn draw_polyline(
        &mut self,
        corners: &[(Point, f64)],
        closed: bool,
        map: &Affine,
        layer: u32,
    ) -> Result<(), Refusal> {
        let Some(&(first, _)) = corners.first() else { return Ok(()) };
        self.pen.start(layer, map.apply(first))?;
        for pair in corners.windows(2) {
            let ((start, bulge), (end, _)) = (pair[0], pair[1]);
            self.pen.bulge_to(map, start, end, bulge)?;
        }
        if closed {
            let (last, bulge) = corners[corners.len() - 1];
            self.pen.bulge_to(map, last, first, bulge)?;
            self.pen.close();
        } else {
            self.pen.finish();
        }
        Ok(())
    }

    fn draw_block(
        &mut self,
        block: u32,
        map: &Affine,
        (columns, rows): (u32, u32),
        step: Point,
        layer: u32,
    ) -> Result<(), Refusal> {
        let name = || shown(&self.block_names[block as usize]);
        let Block { base, entities, known } = &self.blocks[block as usize];
        if !known {
            self.tally.skip("INSERT", "of a block that the file does not hold");
            return Ok(());
        }
        if self.inside.contains(&block) {
            return Err(Refusal::new(
                format!("block {}", name()),
                "must not hold itself, nor within blocks it holds",
                "an INSERT of it inside",
            ));
        }
        if self.inside.len() >= DEEPEST {
            return Err(Refusal::new(
                format!("block {}", name()),
                format!("must be at most {DEEPEST} blocks deep"),
                "more",
            ));
        }
        let times = u64::from(columns) * u64::from(rows);
        if times > MOST_SEGMENTS as u64 - self.inserted as u64 {
            return Err(Refusal::new(
                format!("block {}", name()),
                format!("blocks must be inserted at most {MOST_SEGMENTS} times in all"),
                format!("{columns} columns × {rows} rows here"),
            ));
        }
        self.inserted += times as usize;
        if entities.is_empty() {
            return Ok(());
        }
        self.inside.push(block);
        for row in 0..rows {
            for column in 0..columns {
                let offset = Point::new(
                    f64::from(column) * step.x - base.x,
                    f64::from(row) * step.y - base.y,
                );
                self.draw_all(entities, &map.after(&Affine::shift(offset)), Some(layer))?;
            }
        }
        self.inside.pop();
        Ok(())
    }
}

/// The unit of `$INSUNITS`.
const fn unit_of_code(code: i64) -> Option<LengthUnit> {
    Some(match code {
        1 => LengthUnit::Inch,
        2 => LengthUnit::Foot,
        4 => LengthUnit::Millimetre,
        5 => LengthUnit::Centimetre,
        6 => LengthUnit::Metre,
        9 => LengthUnit::Mil,
        10 => LengthUnit::Yard,
        13 => LengthUnit::Micrometre,
        14 => LengthUnit::Decimetre,
        _ => return None,
    })
}
