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
    scan::Scanner,
    tally::Tally,
};
use roxmltree::{Document, Node, NodeId, ParsingOptions};
use std::{
    collections::BTreeMap,
    f64::consts::{FRAC_PI_2, PI, TAU},
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
    let document = Document::parse_with_options(text, parsing).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => {
            Refusal::of_file(format!("must have at most {MOST_NODES} elements and texts"), "more")
        }
        // Where it is has to do: the parser's own words weigh more than its place tells.
        _ => {
            let at = error.pos();
            Refusal::new(
                format!("line {}, column {}", at.row, at.col),
                "must be well-formed XML that needs nothing from outside the file",
                "something else",
            )
        }
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
        let size = |name| root.attribute(name).and_then(length_and_unit);
        let (width, height) = (size("width"), size("height"));
        let unit = |length: Option<(f64, Unit)>| match length {
            Some((_, Unit::Absolute(unit))) => Some(unit),
            _ => None,
        };
        let file_unit = unit(width).or_else(|| unit(height));
        let view_box = view_box(root);
        let flip = |scale: f64| Affine::scale(scale, -scale);
        if let (Some(_), None) = (file_unit, options.unit) {
            let in_pixels = |length: Option<(f64, Unit)>| match length {
                Some((number, Unit::Absolute(unit))) => {
                    Some(number * unit.millimetres() / PIXEL_MM)
                }
                _ => None,
            };
            let (width, height) = (in_pixels(width), in_pixels(height));
            let Some(view_box) = view_box else {
                self.viewport = Point::new(width.unwrap_or(0.0), height.unwrap_or(0.0));
                return (file_unit, flip(PIXEL_MM));
            };
            self.viewport = view_box.size;
            // A side that is missing follows from the other one.
            let width = width.or_else(|| height.map(|h| h * view_box.size.x / view_box.size.y));
            let height = height.or_else(|| width.map(|w| w * view_box.size.y / view_box.size.x));
            let size =
                Point::new(width.unwrap_or(view_box.size.x), height.unwrap_or(view_box.size.y));
            return (file_unit, flip(PIXEL_MM).after(&fitted(&view_box, root, size)));
        }
        // The numbers of the shapes are in the unit that is given, or else assumed.
        let millimetres = options.unit.unwrap_or(LengthUnit::Millimetre).millimetres();
        if file_unit.is_none() {
            self.pixel_mm = millimetres;
        }
        let number = |length: Option<(f64, Unit)>| length.map_or(0.0, |length| length.0);
        let view_box = view_box.unwrap_or_else(|| ViewBox {
            corner: Point::default(),
            size: Point::new(number(width), number(height)),
        });
        self.viewport = view_box.size;
        let corner = Point::new(-view_box.corner.x, -view_box.corner.y);
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
            self.viewport = view_box.size;
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
            Some(view_box) if size.x > 0.0 && size.y > 0.0 => fitted(&view_box, node, size),
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
        let (number, unit) = length_and_unit(text).ok_or(BAD_LENGTH)?;
        let whole = match axis {
            Axis::X => self.viewport.x,
            Axis::Y => self.viewport.y,
            Axis::Both => self.viewport.length() / std::f64::consts::SQRT_2,
        };
        Ok(Some(match unit {
            Unit::Percent => number / 100.0 * whole,
            Unit::None | Unit::Absolute(LengthUnit::Pixel) => number,
            // Where the file has no unit, its numbers are in the one that it is read in.
            Unit::Absolute(unit) => number * unit.millimetres() / self.pixel_mm,
            Unit::OfFont => return Err("with a length that depends on a font"),
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
                let mut scanner =
                    Scanner::new(node.attribute("points").unwrap_or_default().as_bytes());
                let mut points = Vec::new();
                scanner.skip_separators();
                while !scanner.rest().is_empty() {
                    let [x, y] = numbers(&mut scanner).ok_or(BAD_POINTS)?;
                    points.push(Point::new(x, y));
                }
                Shape::Points { points, closed: name == "polygon" }
            }
            _ => {
                let data = node.attribute("d").unwrap_or_default();
                let mut commands = Commands::new(data);
                while let Some(command) = commands.next() {
                    command.ok_or(BAD_PATH)?;
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
        let mut commands = Commands::new(data);
        while let Some(Some(Command { letter, relative, numbers: n })) = commands.next() {
            let base = if relative { at } else { Point::default() };
            let to = |index: usize| Point::new(base.x + n[index], base.y + n[index + 1]);
            if !drawing && !matches!(letter, b'M' | b'Z') {
                self.pen.start(layer, map.apply(at))?;
                drawing = true;
            }
            let from = at;
            let mut next_cubic = None;
            let mut next_quadratic = None;
            match letter {
                b'M' => {
                    at = to(0);
                    start = at;
                    self.pen.finish();
                    drawing = false;
                }
                b'L' | b'H' | b'V' => {
                    at = match letter {
                        b'L' => to(0),
                        b'H' => Point::new(base.x + n[0], at.y),
                        _ => Point::new(at.x, base.y + n[0]),
                    };
                    self.pen.line_to(map.apply(at))?;
                }
                b'C' | b'S' => {
                    let (first, second) =
                        if letter == b'C' { (to(0), to(2)) } else { (smooth_cubic, to(0)) };
                    at = if letter == b'C' { to(4) } else { to(2) };
                    self.pen.curve_to(&[from, first, second, at].map(control))?;
                    next_cubic = Some(second);
                }
                b'Q' | b'T' => {
                    let middle = if letter == b'Q' { to(0) } else { smooth_quadratic };
                    at = if letter == b'Q' { to(2) } else { to(0) };
                    self.pen.curve_to(&[from, middle, at].map(control))?;
                    next_quadratic = Some(middle);
                }
                b'A' => {
                    at = to(5);
                    let radii = Point::new(n[0].abs(), n[1].abs());
                    match arc(from, at, radii, n[2], n[3] != 0.0, n[4] != 0.0) {
                        Some((centre, u, v, start_rad, sweep_rad)) => {
                            self.pen.ellipse_to(map, centre, u, v, start_rad, sweep_rad, at)?;
                        }
                        None => self.pen.line_to(map.apply(at))?,
                    }
                }
                _ => {
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

/// A command of a path.
struct Command {
    /// Its letter, as a capital.
    letter: u8,
    relative: bool,
    /// As many as the letter takes; the rest is zero.
    numbers: [f64; 7],
}

/// The commands of a path, one after the other; a wrong one comes as `None` and ends it.
struct Commands<'a> {
    scanner: Scanner<'a>,
    /// The letter that goes on if only numbers follow.
    last: u8,
}

impl<'a> Commands<'a> {
    fn new(data: &'a str) -> Self {
        Self { scanner: Scanner::new(data.as_bytes()), last: 0 }
    }

    fn next(&mut self) -> Option<Option<Command>> {
        self.scanner.skip_separators();
        let first = self.scanner.peek()?;
        let letter = if first.is_ascii_alphabetic() {
            self.scanner.letter();
            first
        } else {
            match self.last {
                // What follows a first point without a letter are lines to more of them.
                b'M' => b'L',
                b'm' => b'l',
                last => last,
            }
        };
        let begins = matches!(letter, b'M' | b'm');
        let goes_on = !first.is_ascii_alphabetic();
        if self.last == 0 && !begins || goes_on && matches!(letter, b'Z' | b'z') {
            return Some(None);
        }
        self.last = letter;
        Some(self.command(letter))
    }

    fn command(&mut self, letter: u8) -> Option<Command> {
        let capital = letter.to_ascii_uppercase();
        let count = match capital {
            b'Z' => 0,
            b'H' | b'V' => 1,
            b'M' | b'L' | b'T' => 2,
            b'S' | b'Q' => 4,
            b'C' => 6,
            b'A' => 7,
            _ => return None,
        };
        let mut numbers = [0.0; 7];
        for (index, number) in numbers.iter_mut().take(count).enumerate() {
            self.scanner.skip_separators();
            *number = if capital == b'A' && (index == 3 || index == 4) {
                // A flag is one letter, whatever follows it.
                match self.scanner.letter()? {
                    b'0' => 0.0,
                    b'1' => 1.0,
                    _ => return None,
                }
            } else {
                self.scanner.number()?
            };
        }
        Some(Command { letter: capital, relative: letter != capital, numbers })
    }
}

/// So many numbers, and what separates them from what follows.
fn numbers<const N: usize>(scanner: &mut Scanner<'_>) -> Option<[f64; N]> {
    let mut list = [0.0; N];
    for number in &mut list {
        *number = scanner.number()?;
        scanner.skip_separators();
    }
    Some(list)
}

/// What a length is counted in.
#[derive(Clone, Copy)]
enum Unit {
    None,
    Percent,
    Absolute(LengthUnit),
    OfFont,
}

fn length_and_unit(text: &str) -> Option<(f64, Unit)> {
    let mut scanner = Scanner::new(text.trim().as_bytes());
    let number = scanner.number()?;
    let unit = match scanner.rest() {
        b"" => Unit::None,
        b"%" => Unit::Percent,
        b"px" => Unit::Absolute(LengthUnit::Pixel),
        b"in" => Unit::Absolute(LengthUnit::Inch),
        b"cm" => Unit::Absolute(LengthUnit::Centimetre),
        b"mm" => Unit::Absolute(LengthUnit::Millimetre),
        b"pt" => Unit::Absolute(LengthUnit::Point),
        b"pc" => Unit::Absolute(LengthUnit::Pica),
        b"em" | b"ex" | b"rem" | b"ch" => Unit::OfFont,
        _ => return None,
    };
    Some((number, unit))
}

/// The field of numbers that a picture shows.
struct ViewBox {
    corner: Point,
    size: Point,
}

fn view_box(node: Node<'_, '_>) -> Option<ViewBox> {
    let mut scanner = Scanner::new(node.attribute("viewBox")?.trim().as_bytes());
    let [x, y, width, height] = numbers(&mut scanner)?;
    let sound = width > 0.0 && height > 0.0 && scanner.rest().is_empty();
    sound.then(|| ViewBox { corner: Point::new(x, y), size: Point::new(width, height) })
}

/// Where the view box of an element comes to lie in a field of a size.
fn fitted(view_box: &ViewBox, node: Node<'_, '_>, size: Point) -> Affine {
    let ratio = node.attribute("preserveAspectRatio").unwrap_or_default();
    let (x, y) = (size.x / view_box.size.x, size.y / view_box.size.y);
    let (x, y) = if ratio.trim_start().starts_with("none") {
        (x, y)
    } else if ratio.contains("slice") {
        (x.max(y), x.max(y))
    } else {
        (x.min(y), x.min(y))
    };
    let share = |least: &str, most: &str| {
        if ratio.contains(least) {
            0.0
        } else if ratio.contains(most) {
            1.0
        } else {
            0.5
        }
    };
    let spare = Point::new(
        share("xMin", "xMax") * (size.x - x * view_box.size.x),
        share("YMin", "YMax") * (size.y - y * view_box.size.y),
    );
    Affine::shift(spare)
        .after(&Affine::scale(x, y))
        .after(&Affine::shift(Point::new(-view_box.corner.x, -view_box.corner.y)))
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
    let mut scanner = Scanner::new(text.as_bytes());
    scanner.skip_separators();
    while !scanner.rest().is_empty() {
        let name = scanner.word();
        scanner.skip_separators();
        if scanner.letter()? != b'(' {
            return None;
        }
        scanner.skip_separators();
        let (mut n, mut count) = ([0.0; 6], 0);
        while scanner.peek() != Some(b')') {
            *n.get_mut(count)? = scanner.number()?;
            count += 1;
            scanner.skip_separators();
        }
        scanner.letter();
        scanner.skip_separators();
        let step = match (name, count) {
            (b"matrix", 6) => Affine {
                x_axis: Point::new(n[0], n[1]),
                y_axis: Point::new(n[2], n[3]),
                shift: Point::new(n[4], n[5]),
            },
            (b"translate", 1 | 2) => Affine::shift(Point::new(n[0], n[1])),
            (b"scale", 1) => Affine::scale(n[0], n[0]),
            (b"scale", 2) => Affine::scale(n[0], n[1]),
            (b"rotate", 1 | 3) => {
                // About a point, or about the origin.
                let about = Point::new(n[1], n[2]);
                Affine::shift(about)
                    .after(&Affine::turn_deg(n[0]))
                    .after(&Affine::shift(Point::new(-about.x, -about.y)))
            }
            (b"skewX", 1) => Affine {
                y_axis: Point::new(n[0].to_radians().tan(), 1.0),
                ..Affine::scale(1.0, 1.0)
            },
            (b"skewY", 1) => Affine {
                x_axis: Point::new(1.0, n[0].to_radians().tan()),
                ..Affine::scale(1.0, 1.0)
            },
            _ => return None,
        };
        map = map.after(&step);
    }
    Some(map)
}
