//! Reading SVG.
//!
//! Shapes are drawn where they stand in the picture, y turned so that it goes to the back: the origin
//! stays the upper left corner of the picture and everything lies below it, at negative y. Scripts are
//! text like any other, nothing is fetched, style sheets are not followed.
//!
//! # Source
//!
//! W3C, *Scalable Vector Graphics (SVG) 1.1*, 2nd ed. (2011), ch. 7 (coordinates), 8 (paths), 9 (basic
//! shapes), appendix F.6 (elliptical arcs). From memory, checked against files written by a library
//! (`tests/drawings/make.py`).

use crate::{
    Found, LengthUnit, Options,
    curve::Control,
    geometry::{Affine, Point},
    names::{self, Names},
    pen::Pen,
    refusal::{Refusal, shown},
    tally::Tally,
};
use roxmltree::{Document, Node, NodeId, ParsingOptions};
use std::{
    collections::BTreeMap,
    f64::consts::{FRAC_PI_2, PI, TAU},
};
use svgtypes::{
    Align, AspectRatio, LengthUnit as SvgUnit, PathParser, PathSegment, PointsParser,
    TransformListParser, TransformListToken, ViewBox,
};

/// Most elements and pieces of text of a file.
const MOST_NODES: u32 = 1_000_000;
/// Most attributes of a file, and of one element.
const MOST_ATTRIBUTES: usize = 2_000_000;
const MOST_ATTRIBUTES_OF_ONE: usize = 500;
/// Most name spaces that are declared with a prefix.
const MOST_NAME_SPACES: usize = 10_000;
/// Most elements within elements.
const DEEPEST: usize = 250;
/// Longest list of definitions before the first element, in bytes.
const LONGEST_DEFINITIONS: usize = 16 * 1024;
/// Most uses of such definitions.
const MOST_ENTITY_USES: usize = 1_000;
/// Most elements that are drawn, each as often as it is used.
const MOST_DRAWN: usize = 1_000_000;

/// A CSS pixel.
const PIXEL_MM: f64 = LengthUnit::Pixel.millimetres();

/// Draws the shapes of a file.
pub(crate) fn read(
    bytes: &[u8],
    options: &Options,
    pen: &mut Pen,
    tally: &mut Tally,
) -> Result<Found, Refusal> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        Refusal::of_file("must be UTF-8 text", format!("{:#04x} at byte {at}", bytes[at]))
    })?;
    let text = text.trim_start_matches('\u{feff}').trim_start();
    check_bounds(text)?;
    let parsing =
        ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, parsing).map_err(|error| {
        Refusal::of_file("must be well-formed XML", format!("a file with {}", one_line(&error)))
    })?;
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(Refusal::of_file(
            "must be an SVG file, whose first element is svg",
            format!("an XML file that begins with {}", shown(root.tag_name().name())),
        ));
    }
    if document.root().children().any(|node| node.is_pi()) {
        tally.note("style sheets are not followed");
    }
    let mut ids = BTreeMap::new();
    for node in root.descendants() {
        if let Some(id) = node.attribute("id") {
            // Of two elements with one id the first one counts.
            ids.entry(id.to_owned()).or_insert(node.id().get());
        }
    }
    let mut reader = Reader {
        document: &document,
        ids,
        pixel_mm: PIXEL_MM,
        viewport: Point::default(),
        layers: Names::default(),
        in_use: Vec::new(),
        wanted: options.layer.as_deref(),
        drawn: 0,
        depth: 0,
        using: Vec::new(),
        pen,
        tally,
    };
    let (file_unit, map) = reader.root_viewport(root, options);
    let nameless = reader.layer("")?;
    let state = State { map, layer: nameless, layer_is: LayerIs::Nothing, hidden: None };
    reader.children(root, &state)?;
    let Reader { layers, in_use, .. } = reader;
    Ok(Found { file_unit, layers: layers.names, in_use })
}

fn one_line(error: &roxmltree::Error) -> String {
    let text: String = error.to_string();
    text.chars().map(|letter| if letter.is_control() { '\u{fffd}' } else { letter }).collect()
}

/// Looks through the text for what would take the parser minutes or gigabytes.
fn check_bounds(text: &str) -> Result<(), Refusal> {
    let too_many = |most: usize, what: &str| {
        Err(Refusal::of_file(format!("must have at most {most} {what}"), "more"))
    };
    let (mut depth, mut attributes, mut name_spaces, mut entity_uses) = (0_usize, 0, 0, 0);
    let mut rest = text;
    while let Some(at) = rest.find('<') {
        entity_uses += count_entity_uses(&rest[..at]);
        rest = &rest[at..];
        let past = |end: &str| rest.find(end).map_or("", |at| &rest[at + end.len()..]);
        if rest.starts_with("<!--") {
            rest = past("-->");
        } else if rest.starts_with("<![CDATA[") {
            rest = past("]]>");
        } else if rest.starts_with("<?") {
            rest = past("?>");
        } else if rest.starts_with("<!") {
            let end = definitions_end(rest);
            let definitions = &rest[..end];
            let nested = definitions.contains('&')
                || definitions.split(['"', '\'']).skip(1).step_by(2).any(|v| v.contains('<'));
            if end > LONGEST_DEFINITIONS || nested {
                return Err(Refusal::of_file(
                    format!(
                        "must not define entities by entities or elements, nor in more than \
                         {LONGEST_DEFINITIONS} bytes"
                    ),
                    "a DOCTYPE that does",
                ));
            }
            rest = &rest[end..];
        } else {
            let end = tag_end(rest);
            let tag = &rest[..end];
            entity_uses += count_entity_uses(tag);
            let own = tag.bytes().filter(|byte| *byte == b'=').count();
            // Values hold signs of equality, too; only those before a quote begin one.
            let own = if own > MOST_ATTRIBUTES_OF_ONE {
                tag.matches("=\"").count() + tag.matches("='").count()
            } else {
                own
            };
            if own > MOST_ATTRIBUTES_OF_ONE {
                return too_many(MOST_ATTRIBUTES_OF_ONE, "attributes of one element");
            }
            attributes += own;
            if tag.contains("xmlns:") {
                name_spaces += tag.matches("xmlns:").count();
            }
            if tag.starts_with("</") {
                depth = depth.saturating_sub(1);
            } else if !tag.ends_with("/>") {
                depth += 1;
            }
            if depth > DEEPEST {
                return Err(Refusal::of_file(
                    format!("must have its elements at most {DEEPEST} deep in one another"),
                    "more",
                ));
            }
            rest = &rest[end..];
        }
    }
    if attributes > MOST_ATTRIBUTES {
        return too_many(MOST_ATTRIBUTES, "attributes");
    }
    if name_spaces > MOST_NAME_SPACES {
        return too_many(MOST_NAME_SPACES, "name spaces with a prefix");
    }
    if entity_uses > MOST_ENTITY_USES && text.contains("<!ENTITY") {
        return too_many(MOST_ENTITY_USES, "uses of entities");
    }
    Ok(())
}

/// References to anything but the five letters that XML itself defines and letters by number.
fn count_entity_uses(text: &str) -> usize {
    if !text.contains('&') {
        return 0;
    }
    let known = ["amp;", "lt;", "gt;", "quot;", "apos;", "#"];
    text.split('&').skip(1).filter(|after| !known.iter().any(|k| after.starts_with(k))).count()
}

/// Where a tag ends: behind the first `>` outside quotes.
fn tag_end(text: &str) -> usize {
    let mut quote = None;
    for (at, byte) in text.bytes().enumerate() {
        match (quote, byte) {
            (None, b'>') => return at + 1,
            (None, b'"' | b'\'') => quote = Some(byte),
            (Some(open), _) if open == byte => quote = None,
            _ => {}
        }
    }
    text.len()
}

/// Where a DOCTYPE ends: behind its `>` outside quotes and brackets.
fn definitions_end(text: &str) -> usize {
    let mut quote = None;
    let mut brackets = 0;
    for (at, byte) in text.bytes().enumerate() {
        match (quote, byte) {
            (None, b'>') if brackets == 0 => return at + 1,
            (None, b'[') => brackets += 1,
            (None, b']') => brackets -= 1,
            (None, b'"' | b'\'') => quote = Some(byte),
            (Some(open), _) if open == byte => quote = None,
            _ => {}
        }
    }
    text.len()
}

/// What made the layer that shapes lie on.
#[derive(Clone, Copy, PartialEq)]
enum LayerIs {
    Nothing,
    /// The outermost group with an id.
    Group,
    /// A group that a drawing program marked as a layer.
    Marked,
}

/// What elements take over from those around them.
#[derive(Clone)]
struct State {
    map: Affine,
    layer: u32,
    layer_is: LayerIs,
    hidden: Option<Hidden>,
}

#[derive(Clone, Copy, PartialEq)]
enum Hidden {
    /// Together with its layer, which may still be asked for by name.
    Layer,
    Display,
    Visibility,
}

struct Reader<'d, 'i> {
    document: &'d Document<'i>,
    ids: BTreeMap<String, u32>,
    /// What a pixel of a length with a unit comes to.
    pixel_mm: f64,
    /// Width and depth that percentages are of, in units of the shapes.
    viewport: Point,
    layers: Names,
    in_use: Vec<bool>,
    wanted: Option<&'d str>,
    drawn: usize,
    depth: usize,
    using: Vec<NodeId>,
    pen: &'d mut Pen,
    tally: &'d mut Tally,
}

/// Why a shape is passed over.
type Unreadable = &'static str;
const BAD_LENGTH: Unreadable = "with a length that cannot be read";
const BAD_PATH: Unreadable = "with path data that cannot be read";
const BAD_POINTS: Unreadable = "with points that cannot be read";

impl<'d, 'i> Reader<'d, 'i> {
    /// The unit of the file and the map from its numbers to millimetres.
    fn root_viewport(
        &mut self,
        root: Node<'d, 'i>,
        options: &Options,
    ) -> (Option<LengthUnit>, Affine) {
        let size = |name| root.attribute(name).and_then(|text| text.trim().parse().ok());
        let (width, height): (Option<svgtypes::Length>, Option<svgtypes::Length>) =
            (size("width"), size("height"));
        let unit = |length: Option<svgtypes::Length>| length.and_then(|l| unit_of(l.unit));
        let file_unit = unit(width).or_else(|| unit(height));
        let view_box = view_box(root);
        let flip = |scale: f64| Affine::scale(scale, -scale);
        if let (Some(_), None) = (file_unit, options.unit) {
            let in_pixels = |length: Option<svgtypes::Length>| {
                let length = length?;
                let unit = unit_of(length.unit)?;
                Some(length.number * unit.millimetres() / PIXEL_MM)
            };
            let (width, height) = (in_pixels(width), in_pixels(height));
            let Some(view_box) = view_box else {
                self.viewport = Point::new(width.unwrap_or(0.0), height.unwrap_or(0.0));
                return (file_unit, flip(PIXEL_MM));
            };
            self.viewport = Point::new(view_box.w, view_box.h);
            // A side that is missing follows from the other one.
            let width = width.or_else(|| height.map(|h| h * view_box.w / view_box.h));
            let height = height.or_else(|| width.map(|w| w * view_box.h / view_box.w));
            let size = Point::new(width.unwrap_or(view_box.w), height.unwrap_or(view_box.h));
            return (file_unit, flip(PIXEL_MM).after(&fitted(view_box, aspect_ratio(root), size)));
        }
        // The numbers of the shapes are in the unit that is given, or else assumed.
        let millimetres = options.unit.unwrap_or(LengthUnit::Millimetre).millimetres();
        if file_unit.is_none() {
            self.pixel_mm = millimetres;
        }
        let number = |length: Option<svgtypes::Length>| length.map_or(0.0, |l| l.number);
        self.viewport = view_box.map_or_else(
            || Point::new(number(width), number(height)),
            |view_box| Point::new(view_box.w, view_box.h),
        );
        let corner = view_box.map_or(Point::default(), |v| Point::new(-v.x, -v.y));
        (file_unit, flip(millimetres).after(&Affine::shift(corner)))
    }

    fn layer(&mut self, name: &str) -> Result<u32, Refusal> {
        let layer = self.layers.number(name);
        if layer as usize == self.in_use.len() {
            self.in_use.push(false);
        }
        Ok(layer)
    }

    fn children(&mut self, node: Node<'d, 'i>, state: &State) -> Result<(), Refusal> {
        for child in node.children().filter(Node::is_element) {
            self.element(child, state)?;
        }
        Ok(())
    }

    fn element(&mut self, node: Node<'d, 'i>, state: &State) -> Result<(), Refusal> {
        self.drawn += 1;
        if self.drawn > MOST_DRAWN {
            return Err(Refusal::of_file(
                format!("must come to at most {MOST_DRAWN} elements, each as often as it is used"),
                "more",
            ));
        }
        let name = node.tag_name().name();
        let space = node.tag_name().namespace();
        if space.is_some_and(|space| space != "http://www.w3.org/2000/svg") {
            return Ok(());
        }
        match name {
            "defs" | "symbol" | "metadata" | "title" | "desc" | "clipPath" | "mask" | "pattern"
            | "marker" | "linearGradient" | "radialGradient" | "filter" | "view" => return Ok(()),
            "style" => {
                self.tally.note("style sheets are not followed");
                return Ok(());
            }
            "script" => {
                self.tally.skip(name, "never run");
                return Ok(());
            }
            "image" => {
                self.tally.skip(name, "a picture, not fetched");
                return Ok(());
            }
            _ => {}
        }
        let Some(state) = self.state_within(node, name, state)? else { return Ok(()) };
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(Refusal::of_file(
                format!("must have its elements and uses at most {DEEPEST} deep in one another"),
                "more",
            ));
        }
        match name {
            "g" | "a" => self.children(node, &state)?,
            "switch" => {
                if let Some(first) = node.children().find(Node::is_element) {
                    self.element(first, &state)?;
                }
            }
            "svg" => match self.inner_viewport(node, None) {
                Some(map) => {
                    self.with_viewport(node, &State { map: state.map.after(&map), ..state })?;
                }
                None => self.tally.skip(name, BAD_LENGTH),
            },
            "use" => self.follow_use(node, &state)?,
            "path" | "rect" | "circle" | "ellipse" | "line" | "polyline" | "polygon" => {
                self.in_use[state.layer as usize] = true;
                let layer_name = &self.layers.names[state.layer as usize];
                let named = self.wanted.is_some_and(|wanted| names::is_same(layer_name, wanted));
                if self.wanted.is_some() && !named {
                } else if let Some(hidden) =
                    state.hidden.filter(|h| !(named && *h == Hidden::Layer))
                {
                    let why = match hidden {
                        Hidden::Layer => "on a layer that is switched off",
                        Hidden::Display => "not displayed",
                        Hidden::Visibility => "invisible",
                    };
                    self.tally.skip(name, why);
                } else if let Err(why) = self.shape(node, name, &state)? {
                    self.tally.skip(name, why);
                }
            }
            _ => self.tally.skip(name, "not an outline"),
        }
        self.depth -= 1;
        Ok(())
    }

    /// What holds within an element; `None` if its place cannot be read.
    fn state_within(
        &mut self,
        node: Node<'d, 'i>,
        name: &str,
        state: &State,
    ) -> Result<Option<State>, Refusal> {
        let mut state = state.clone();
        if let Some(text) = node.attribute("transform") {
            let Some(map) = transform(text) else {
                self.tally.skip(name, "with a transform that cannot be read");
                return Ok(None);
            };
            if map.determinant() == 0.0 {
                self.tally.skip(name, "scaled to nothing");
                return Ok(None);
            }
            state.map = state.map.after(&map);
        }
        let mut makes_layer = false;
        if name == "g" {
            let marked = node.attributes().any(|a| a.name() == "groupmode" && a.value() == "layer");
            let label = node.attributes().find(|a| a.name() == "label").map(|a| a.value());
            let id = node.attribute("id");
            if marked {
                state.layer = self.layer(label.or(id).unwrap_or_default())?;
                state.layer_is = LayerIs::Marked;
                makes_layer = true;
            } else if let (LayerIs::Nothing, Some(id)) = (state.layer_is, id) {
                state.layer = self.layer(id)?;
                state.layer_is = LayerIs::Group;
                makes_layer = true;
            }
        }
        if style(node, "display") == Some("none") && state.hidden.is_none() {
            state.hidden = Some(if makes_layer { Hidden::Layer } else { Hidden::Display });
        }
        match style(node, "visibility") {
            Some("hidden" | "collapse") if state.hidden.is_none() => {
                state.hidden = Some(Hidden::Visibility);
            }
            Some("visible") if state.hidden == Some(Hidden::Visibility) => state.hidden = None,
            _ => {}
        }
        if ["clip-path", "mask"]
            .into_iter()
            .any(|key| style(node, key).is_some_and(|v| v != "none"))
        {
            self.tally.note("clip paths and masks are left out: what they hide is drawn");
        }
        Ok(Some(state))
    }

    /// Draws the children of an `svg` or `symbol`, whose percentages are of its own view box.
    fn with_viewport(&mut self, node: Node<'d, 'i>, state: &State) -> Result<(), Refusal> {
        let outer = self.viewport;
        if let Some(view_box) = view_box(node) {
            self.viewport = Point::new(view_box.w, view_box.h);
        }
        self.children(node, state)?;
        self.viewport = outer;
        Ok(())
    }

    /// Where the content of an `svg` or `symbol` comes to lie; sizes of a `use` go before its own.
    fn inner_viewport(&self, node: Node<'d, 'i>, used_by: Option<Node<'d, 'i>>) -> Option<Affine> {
        let own = |key, axis| self.length(node, key, axis);
        let size = |key, axis, whole: f64| {
            let used = used_by.map_or(Ok(None), |user| self.length(user, key, axis));
            Some(used.ok()?.or(own(key, axis).ok()?).unwrap_or(whole))
        };
        let corner = if node.tag_name().name() == "svg" {
            Point::new(
                own("x", Axis::X).ok()?.unwrap_or(0.0),
                own("y", Axis::Y).ok()?.unwrap_or(0.0),
            )
        } else {
            Point::default()
        };
        let size = Point::new(
            size("width", Axis::X, self.viewport.x)?,
            size("height", Axis::Y, self.viewport.y)?,
        );
        let inner = match view_box(node) {
            Some(view_box) if size.x > 0.0 && size.y > 0.0 => {
                fitted(view_box, aspect_ratio(node), size)
            }
            _ => Affine::scale(1.0, 1.0),
        };
        Some(Affine::shift(corner).after(&inner))
    }

    fn follow_use(&mut self, node: Node<'d, 'i>, state: &State) -> Result<(), Refusal> {
        let link = node.attributes().find(|a| a.name() == "href").map_or("", |a| a.value().trim());
        let Some(id) = link.strip_prefix('#') else {
            self.tally.skip("use", "a reference to another file, not fetched");
            return Ok(());
        };
        let Some(target) = self.ids.get(id).map(|number| NodeId::new(*number)) else {
            self.tally.skip("use", "of something that the file does not hold");
            return Ok(());
        };
        if self.using.contains(&target) || node.ancestors().any(|above| above.id() == target) {
            return Err(Refusal::new(
                format!("element {}", shown(id)),
                "must not use itself, nor within what it uses",
                "a use of it inside",
            ));
        }
        let (Ok(x), Ok(y)) = (self.length(node, "x", Axis::X), self.length(node, "y", Axis::Y))
        else {
            self.tally.skip("use", BAD_LENGTH);
            return Ok(());
        };
        let by = Point::new(x.unwrap_or(0.0), y.unwrap_or(0.0));
        let state = State { map: state.map.after(&Affine::shift(by)), ..state.clone() };
        let Some(target_node) = self.document.get_node(target) else { return Ok(()) };
        self.using.push(target);
        let target_name = target_node.tag_name().name();
        if matches!(target_name, "symbol" | "svg") {
            match self.inner_viewport(target_node, Some(node)) {
                Some(map) => {
                    let state = State { map: state.map.after(&map), ..state };
                    self.with_viewport(target_node, &state)?;
                }
                None => self.tally.skip("use", BAD_LENGTH),
            }
        } else {
            self.element(target_node, &state)?;
        }
        self.using.pop();
        Ok(())
    }

    /// A length in units of the shapes; `None` where it is not given.
    fn length(&self, node: Node<'d, 'i>, key: &str, axis: Axis) -> Result<Option<f64>, Unreadable> {
        let Some(text) = node.attribute(key) else { return Ok(None) };
        let text = text.trim();
        if text == "auto" {
            return Ok(None);
        }
        let length: svgtypes::Length = text.parse().map_err(|_| BAD_LENGTH)?;
        let whole = match axis {
            Axis::X => self.viewport.x,
            Axis::Y => self.viewport.y,
            Axis::Both => self.viewport.length() / std::f64::consts::SQRT_2,
        };
        Ok(Some(match length.unit {
            SvgUnit::None => length.number,
            SvgUnit::Percent => length.number / 100.0 * whole,
            other => {
                let unit = unit_of(other).ok_or("with a length that depends on a font")?;
                // Where the file has no unit, its numbers are in the one that it is read in.
                if unit == LengthUnit::Pixel {
                    length.number
                } else {
                    length.number * unit.millimetres() / self.pixel_mm
                }
            }
        }))
    }

    /// Draws a shape, or says why it cannot be read.
    fn shape(
        &mut self,
        node: Node<'d, 'i>,
        name: &str,
        state: &State,
    ) -> Result<Result<(), Unreadable>, Refusal> {
        let shape = match self.understood(node, name) {
            Ok(shape) => shape,
            Err(why) => return Ok(Err(why)),
        };
        let (map, layer) = (&state.map, state.layer);
        match shape {
            Shape::Ellipse { centre, radii } => {
                let (u, v) = (Point::new(radii.x, 0.0), Point::new(0.0, radii.y));
                self.pen.ellipse(layer, map, centre, u, v)?;
            }
            Shape::Rectangle { corner, size, radii } => {
                self.rectangle(corner, size, radii, map, layer)?;
            }
            Shape::Points { points, closed } => {
                let mut points = points.into_iter();
                let Some(first) = points.next() else { return Ok(Ok(())) };
                self.pen.start(layer, map.apply(first))?;
                for point in points {
                    self.pen.line_to(map.apply(point))?;
                }
                if closed { self.pen.close() } else { self.pen.finish() }
            }
            Shape::Path(data) => self.path(data, map, layer)?,
        }
        Ok(Ok(()))
    }

    fn understood(&self, node: Node<'d, 'i>, name: &str) -> Result<Shape<'d>, Unreadable> {
        let length = |key, axis| self.length(node, key, axis);
        let point = |x, y| -> Result<Point, Unreadable> {
            Ok(Point::new(length(x, Axis::X)?.unwrap_or(0.0), length(y, Axis::Y)?.unwrap_or(0.0)))
        };
        let drawn = |size: Point| {
            if size.x > 0.0 && size.y > 0.0 { Ok(size) } else { Err("without a size") }
        };
        Ok(match name {
            "circle" => {
                let radius = length("r", Axis::Both)?.unwrap_or(0.0);
                Shape::Ellipse {
                    centre: point("cx", "cy")?,
                    radii: drawn(Point::new(radius, radius))?,
                }
            }
            "ellipse" => {
                let (x, y) = (length("rx", Axis::X)?, length("ry", Axis::Y)?);
                let radii = Point::new(x.or(y).unwrap_or(0.0), y.or(x).unwrap_or(0.0));
                Shape::Ellipse { centre: point("cx", "cy")?, radii: drawn(radii)? }
            }
            "rect" => {
                let size = drawn(point("width", "height")?)?;
                let (x, y) = (length("rx", Axis::X)?, length("ry", Axis::Y)?);
                // One radius stands for both, and neither is larger than half its side.
                let radius = |own: Option<f64>, other: Option<f64>, side: f64| {
                    own.or(other).unwrap_or(0.0).max(0.0).min(side / 2.0)
                };
                let radii = Point::new(radius(x, y, size.x), radius(y, x, size.y));
                Shape::Rectangle { corner: point("x", "y")?, size, radii }
            }
            "line" => Shape::Points {
                points: vec![point("x1", "y1")?, point("x2", "y2")?],
                closed: false,
            },
            "polyline" | "polygon" => {
                let text = node.attribute("points").unwrap_or_default();
                let points: Vec<Point> =
                    PointsParser::from(text).map(|(x, y)| Point::new(x, y)).collect();
                // The parser stops without a word at what it does not know.
                let numbers = text
                    .split(|c: char| c.is_ascii_whitespace() || c == ',')
                    .filter(|word| !word.is_empty());
                let odd = text.chars().any(|c| {
                    !(c.is_ascii_digit() || c.is_ascii_whitespace() || "+-.,eE".contains(c))
                });
                if odd || numbers.count() > 2 * points.len() {
                    return Err(BAD_POINTS);
                }
                Shape::Points { points, closed: name == "polygon" }
            }
            _ => {
                let data = node.attribute("d").unwrap_or_default();
                if PathParser::from(data).any(|segment| segment.is_err()) {
                    return Err(BAD_PATH);
                }
                Shape::Path(data)
            }
        })
    }

    fn rectangle(
        &mut self,
        corner: Point,
        size: Point,
        radii: Point,
        map: &Affine,
        layer: u32,
    ) -> Result<(), Refusal> {
        let (far, r) = (Point::new(corner.x + size.x, corner.y + size.y), radii);
        if r.x == 0.0 || r.y == 0.0 {
            self.pen.start(layer, map.apply(corner))?;
            for (x, y) in [(far.x, corner.y), (far.x, far.y), (corner.x, far.y)] {
                self.pen.line_to(map.apply(Point::new(x, y)))?;
            }
            self.pen.close();
            return Ok(());
        }
        // From the left end of the upper side, clockwise as the picture is seen.
        let centres = [
            Point::new(far.x - r.x, corner.y + r.y),
            Point::new(far.x - r.x, far.y - r.y),
            Point::new(corner.x + r.x, far.y - r.y),
            Point::new(corner.x + r.x, corner.y + r.y),
        ];
        let steps = [
            Point::new(0.0, -r.y),
            Point::new(r.x, 0.0),
            Point::new(0.0, r.y),
            Point::new(-r.x, 0.0),
        ];
        let at = |centre: Point, step: Point| Point::new(centre.x + step.x, centre.y + step.y);
        self.pen.start(layer, map.apply(at(centres[3], steps[0])))?;
        for side in 0..4 {
            let (centre, from, to) = (centres[side], steps[side], steps[(side + 1) % 4]);
            self.pen.line_to(map.apply(at(centre, from)))?;
            self.pen.ellipse_to(map, centre, from, to, 0.0, FRAC_PI_2, at(centre, to))?;
        }
        self.pen.close();
        Ok(())
    }

    fn path(&mut self, data: &str, map: &Affine, layer: u32) -> Result<(), Refusal> {
        let mut at = Point::default();
        let mut start = at;
        let mut drawing = false;
        // Where the last curve's control point would be mirrored to, for smooth ones.
        let mut smooth_cubic = at;
        let mut smooth_quadratic = at;
        let control = |point: Point| Control::new(map.apply(point), 1.0);
        for segment in PathParser::from(data) {
            let Ok(segment) = segment else { return Ok(()) };
            let base = if segment.is_abs() { Point::default() } else { at };
            let to = |x: f64, y: f64| Point::new(base.x + x, base.y + y);
            if !drawing
                && !matches!(segment, PathSegment::MoveTo { .. } | PathSegment::ClosePath { .. })
            {
                self.pen.start(layer, map.apply(at))?;
                drawing = true;
            }
            let from = at;
            let mut next_cubic = None;
            let mut next_quadratic = None;
            match segment {
                PathSegment::MoveTo { x, y, .. } => {
                    at = to(x, y);
                    start = at;
                    self.pen.finish();
                    drawing = false;
                }
                PathSegment::LineTo { x, y, .. } => {
                    at = to(x, y);
                    self.pen.line_to(map.apply(at))?;
                }
                PathSegment::HorizontalLineTo { x, .. } => {
                    at = Point::new(base.x + x, at.y);
                    self.pen.line_to(map.apply(at))?;
                }
                PathSegment::VerticalLineTo { y, .. } => {
                    at = Point::new(at.x, base.y + y);
                    self.pen.line_to(map.apply(at))?;
                }
                PathSegment::CurveTo { x1, y1, x2, y2, x, y, .. } => {
                    at = to(x, y);
                    let second = to(x2, y2);
                    let points = [from, to(x1, y1), second, at];
                    self.pen.curve_to(&points.map(control))?;
                    next_cubic = Some(second);
                }
                PathSegment::SmoothCurveTo { x2, y2, x, y, .. } => {
                    at = to(x, y);
                    let second = to(x2, y2);
                    self.pen.curve_to(&[from, smooth_cubic, second, at].map(control))?;
                    next_cubic = Some(second);
                }
                PathSegment::Quadratic { x1, y1, x, y, .. } => {
                    at = to(x, y);
                    let first = to(x1, y1);
                    self.pen.curve_to(&[from, first, at].map(control))?;
                    next_quadratic = Some(first);
                }
                PathSegment::SmoothQuadratic { x, y, .. } => {
                    at = to(x, y);
                    self.pen.curve_to(&[from, smooth_quadratic, at].map(control))?;
                    next_quadratic = Some(smooth_quadratic);
                }
                PathSegment::EllipticalArc {
                    rx,
                    ry,
                    x_axis_rotation,
                    large_arc,
                    sweep,
                    x,
                    y,
                    ..
                } => {
                    at = to(x, y);
                    let radii = Point::new(rx.abs(), ry.abs());
                    match arc(from, at, radii, x_axis_rotation, large_arc, sweep) {
                        Some((centre, u, v, start_rad, sweep_rad)) => {
                            self.pen.ellipse_to(map, centre, u, v, start_rad, sweep_rad, at)?;
                        }
                        None => self.pen.line_to(map.apply(at))?,
                    }
                }
                PathSegment::ClosePath { .. } => {
                    self.pen.close();
                    drawing = false;
                    at = start;
                }
            }
            let mirrored = |control: Option<Point>| {
                control.map_or(at, |c| Point::new(2.0 * at.x - c.x, 2.0 * at.y - c.y))
            };
            smooth_cubic = mirrored(next_cubic);
            smooth_quadratic = mirrored(next_quadratic);
        }
        self.pen.finish();
        Ok(())
    }
}

#[derive(Clone, Copy)]
enum Axis {
    X,
    Y,
    Both,
}

/// A shape in its own coordinates.
enum Shape<'d> {
    Ellipse { centre: Point, radii: Point },
    Rectangle { corner: Point, size: Point, radii: Point },
    Points { points: Vec<Point>, closed: bool },
    Path(&'d str),
}

/// Centre, conjugate half-diameters, start and sweep of an arc between two points; `None` if it is a
/// line.
fn arc(
    from: Point,
    to: Point,
    radii: Point,
    turn_deg: f64,
    large: bool,
    sweep: bool,
) -> Option<(Point, Point, Point, f64, f64)> {
    if !(radii.x > 0.0 && radii.y > 0.0) || from == to {
        return None;
    }
    let turned = Affine::turn_deg(turn_deg);
    // In the ellipse's own axes, as a unit circle.
    let half = from.minus(to);
    let own = Point::new(half.dot(turned.x_axis) / 2.0, half.dot(turned.y_axis) / 2.0);
    let unit = Point::new(own.x / radii.x, own.y / radii.y);
    let square = unit.dot(unit);
    // Radii that do not reach are stretched until they do.
    let stretch = square.sqrt().max(1.0);
    let side = if large == sweep { -1.0 } else { 1.0 };
    let off = side * (1.0 / square - 1.0 / (stretch * stretch)).max(0.0).sqrt();
    let (a, b) = (radii.x * stretch, radii.y * stretch);
    // Now in a circle of radius 1: ends at ±p, the centre off to their side.
    let p = Point::new(unit.x / stretch, unit.y / stretch);
    let off = off * stretch;
    let centre = Point::new(off * p.y, -off * p.x);
    let (start, end) = (p.minus(centre), Point::new(-p.x, -p.y).minus(centre));
    let start_rad = start.y.atan2(start.x);
    let mut sweep_rad = end.y.atan2(end.x) - start_rad;
    if sweep {
        sweep_rad = sweep_rad.rem_euclid(TAU);
    } else {
        sweep_rad = -(-sweep_rad).rem_euclid(TAU);
    }
    // Half a turn may come out as none when rounding falls on the wrong side.
    if sweep_rad == 0.0 {
        sweep_rad = if sweep { PI } else { -PI };
    }
    let u = Point::default().displaced(turned.x_axis, a);
    let v = Point::default().displaced(turned.y_axis, b);
    let centre = from.middle(to).displaced(u, centre.x).displaced(v, centre.y);
    Some((centre, u, v, start_rad, sweep_rad))
}

const fn unit_of(unit: SvgUnit) -> Option<LengthUnit> {
    Some(match unit {
        SvgUnit::Px => LengthUnit::Pixel,
        SvgUnit::In => LengthUnit::Inch,
        SvgUnit::Cm => LengthUnit::Centimetre,
        SvgUnit::Mm => LengthUnit::Millimetre,
        SvgUnit::Pt => LengthUnit::Point,
        SvgUnit::Pc => LengthUnit::Pica,
        SvgUnit::None | SvgUnit::Em | SvgUnit::Ex | SvgUnit::Percent => return None,
    })
}

fn view_box(node: Node<'_, '_>) -> Option<ViewBox> {
    node.attribute("viewBox")?.trim().parse().ok()
}

fn aspect_ratio(node: Node<'_, '_>) -> AspectRatio {
    node.attribute("preserveAspectRatio")
        .and_then(|text| text.trim().parse().ok())
        .unwrap_or_default()
}

/// Where a view box comes to lie in a field of a size.
fn fitted(view_box: ViewBox, ratio: AspectRatio, size: Point) -> Affine {
    let (x, y) = (size.x / view_box.w, size.y / view_box.h);
    let (x, y) = match (ratio.align, ratio.slice) {
        (Align::None, _) => (x, y),
        (_, false) => (x.min(y), x.min(y)),
        (_, true) => (x.max(y), x.max(y)),
    };
    let (left, up) = match ratio.align {
        Align::None | Align::XMinYMin => (0.0, 0.0),
        Align::XMidYMin => (0.5, 0.0),
        Align::XMaxYMin => (1.0, 0.0),
        Align::XMinYMid => (0.0, 0.5),
        Align::XMidYMid => (0.5, 0.5),
        Align::XMaxYMid => (1.0, 0.5),
        Align::XMinYMax => (0.0, 1.0),
        Align::XMidYMax => (0.5, 1.0),
        Align::XMaxYMax => (1.0, 1.0),
    };
    let spare = Point::new(left * (size.x - x * view_box.w), up * (size.y - y * view_box.h));
    Affine::shift(spare)
        .after(&Affine::scale(x, y))
        .after(&Affine::shift(Point::new(-view_box.x, -view_box.y)))
}

/// A property from the style attribute, or else from the attribute of its own.
fn style<'a>(node: Node<'a, '_>, key: &str) -> Option<&'a str> {
    let in_style = node.attribute("style").and_then(|style| {
        style.split(';').filter_map(|part| part.split_once(':')).find(|(k, _)| k.trim() == key)
    });
    in_style.map(|(_, value)| value.trim()).or_else(|| node.attribute(key).map(str::trim))
}

/// The map of a `transform` attribute.
fn transform(text: &str) -> Option<Affine> {
    let mut map = Affine::scale(1.0, 1.0);
    for token in TransformListParser::from(text) {
        let step = match token.ok()? {
            TransformListToken::Matrix { a, b, c, d, e, f } => Affine {
                x_axis: Point::new(a, b),
                y_axis: Point::new(c, d),
                shift: Point::new(e, f),
            },
            TransformListToken::Translate { tx, ty } => Affine::shift(Point::new(tx, ty)),
            TransformListToken::Scale { sx, sy } => Affine::scale(sx, sy),
            TransformListToken::Rotate { angle } => Affine::turn_deg(angle),
            TransformListToken::SkewX { angle } => Affine {
                y_axis: Point::new(angle.to_radians().tan(), 1.0),
                ..Affine::scale(1.0, 1.0)
            },
            TransformListToken::SkewY { angle } => Affine {
                x_axis: Point::new(1.0, angle.to_radians().tan()),
                ..Affine::scale(1.0, 1.0)
            },
        };
        map = map.after(&step);
    }
    Some(map)
}
