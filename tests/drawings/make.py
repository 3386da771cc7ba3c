"""Writes the drawings of this folder and what they must give.

The DXF files are written by ezdxf and the SVG files by svgwrite. What they must give does not come
from Evenstroke: ezdxf samples every entity and says where a block comes to lie, svgelements reads the
SVG files and samples every path, and Shapely merges the samples into lines and gives their lengths and
centroids. (`recursive_decompose` of ezdxf is not used: it misplaces a block turned by 90° within one
that is scaled differently along x and y.)
`expected.json` holds the answers, which the tests of crates/drawing compare with.

    python3 -m venv venv && venv/bin/pip install ezdxf==1.4.5 svgwrite==1.4.3 svgelements==1.9.6 shapely==2.2.0
    venv/bin/python tests/drawings/make.py
"""

import json
import math
import pathlib
import random

import ezdxf
import numpy
import svgelements
import svgwrite
from ezdxf.math import BSpline
from shapely.geometry import LineString
from shapely.ops import linemerge

FOLDER = pathlib.Path(__file__).parent
# Arcs are sampled with chords this close, in units of the drawing: lengths to a few parts in 10⁹.
SAGITTA = 1e-7
RANDOM = random.Random(2)
# Dates and identifiers would change with every run.
ezdxf.options.write_fixed_meta_data_for_testing = True


# --- DXF -------------------------------------------------------------------------------------------


def samples(entity):
    """Points along an entity in world coordinates."""
    kind = entity.dxftype()
    if kind == "LINE":
        return [[entity.dxf.start, entity.dxf.end]]
    if kind in ("ARC", "CIRCLE", "ELLIPSE"):
        return [list(entity.flattening(SAGITTA))]
    if kind == "SPLINE":
        # Per span of knots, so that no span is sampled too coarsely.
        tool = entity.construction_tool()
        knots = sorted(set(tool.knots()))
        order = tool.order
        low, high = tool.knots()[order - 1], tool.knots()[-order]
        knots = [k for k in knots if low <= k <= high]
        parameters = [low]
        for a, b in zip(knots, knots[1:]):
            parameters.extend(a + (b - a) * i / 4000 for i in range(1, 4001))
        return [list(tool.points(parameters))]
    if kind in ("LWPOLYLINE", "POLYLINE"):
        return [run for part in entity.virtual_entities() for run in samples(part)]
    return []


def walk(document, entities, matrix=None, layer=None):
    """Entities and samples in world coordinates, with their layer; layer 0 is that of the insert."""
    for entity in entities:
        own = entity.dxf.layer
        own = layer if own == "0" and layer is not None else own
        if entity.dxftype() == "INSERT":
            singles = entity.multi_insert() if entity.mcount > 1 else [entity]
            for single in singles:
                inner = single.matrix44()
                inner = inner if matrix is None else inner @ matrix
                block = document.blocks.get(entity.dxf.name)
                yield from walk(document, block, inner, own)
        else:
            for run in samples(entity):
                points = run if matrix is None else list(matrix.transform_vertices(run))
                yield entity, own, [(p[0], p[1]) for p in points]


def merged(runs):
    """The lines that runs of points come to when they are joined at their ends."""
    # Ends are rounded together; 10⁻⁹ is far below what is compared.
    lines = [LineString([(round(p[0], 9), round(p[1], 9)) for p in run]) for run in runs]
    result = linemerge(lines)
    return [result] if result.geom_type == "LineString" else list(result.geoms)


def answer(layer, line, factor=1.0):
    return {
        "layer": layer,
        "closed": math.dist(line.coords[0], line.coords[-1]) < 1e-6,
        "length_mm": line.length * factor,
        "x_mm": line.centroid.x * factor,
        "y_mm": line.centroid.y * factor,
    }


def answers(runs_by_layer, factor):
    out = []
    for layer, runs in runs_by_layer.items():
        closed = [run for run in runs if math.dist(run[0][:2], run[-1][:2]) < 1e-7]
        loose = [run for run in runs if math.dist(run[0][:2], run[-1][:2]) >= 1e-7]
        # Runs that are closed by themselves are not merged: linemerge would leave them alone, too.
        lines = [LineString([(p[0], p[1]) for p in run]) for run in closed]
        lines += merged(loose) if loose else []
        for line in lines:
            out.append(answer(layer, line, factor))
    return sorted(out, key=lambda o: (o["layer"], o["length_mm"], o["x_mm"], o["y_mm"]))


EXPECTED = {}


def dxf(name, draw, factor=1.0, units=4, version="R2010", hidden=(), **more):
    document = ezdxf.new(version, setup=False)
    document.header["$INSUNITS"] = units
    space = document.modelspace()
    skip = draw(document, space) or set()
    document.saveas(FOLDER / f"{name}.dxf")
    runs = {}
    for entity, layer, run in walk(document, space):
        if layer in hidden or entity.dxf.handle in skip or entity.dxf.get("invisible", 0):
            continue
        runs.setdefault(layer, []).append(run)
    outlines = more.pop("outlines", None) or answers(runs, factor)
    EXPECTED[f"{name}.dxf"] = {"outlines": outlines, **more}


def rounded_rectangle(x, y, w, d, r):
    """Lines and arcs (centre, radius, start, end) of a rectangle with round corners."""
    lines = [
        ((x + r, y), (x + w - r, y)),
        ((x + w, y + r), (x + w, y + d - r)),
        ((x + w - r, y + d), (x + r, y + d)),
        ((x, y + d - r), (x, y + r)),
    ]
    arcs = [
        ((x + w - r, y + r), r, 270, 360),
        ((x + w - r, y + d - r), r, 0, 90),
        ((x + r, y + d - r), r, 90, 180),
        ((x + r, y + r), r, 180, 270),
    ]
    return lines, arcs


def loose_lines(document, space):
    document.layers.add("CUT")
    document.layers.add("PIERCE")
    parts = []
    for layer, box in [
        ("CUT", (0, 0, 120, 60, 8)),
        ("PIERCE", (20, 20, 30, 16, 7.5)),
        ("PIERCE", (70, 15, 25.4, 25.4, 3.175)),
    ]:
        lines, arcs = rounded_rectangle(*box)
        parts += [("line", layer, line) for line in lines]
        parts += [("arc", layer, arc) for arc in arcs]
    corners = [(200, 0), (260, 10), (240, 55), (211, 40)]
    parts += [("line", "PIERCE", (a, b)) for a, b in zip(corners, corners[1:] + corners[:1])]
    parts += [("line", "CUT", ((300, i * 7), (310 + i, i * 7 + 7))) for i in range(1)]
    zigzag = [(300 + 5 * i, 80 + (i % 3) * 11) for i in range(9)]
    parts += [("line", "CUT", (a, b)) for a, b in zip(zigzag, zigzag[1:])]
    RANDOM.shuffle(parts)
    for kind, layer, data in parts:
        if kind == "line":
            start, end = data if RANDOM.random() < 0.5 else data[::-1]
            space.add_line(start, end, dxfattribs={"layer": layer})
        else:
            space.add_arc(*data, dxfattribs={"layer": layer})


def polylines(document, space):
    space.add_lwpolyline(
        [(0, 0, 0.4), (50, 0, 0), (50, 30, -0.7), (20, 40, 1.0), (0, 30, 2.5)],
        format="xyb",
        close=True,
        dxfattribs={"layer": "A"},
    )
    space.add_lwpolyline(
        [(100, 0, 0.2), (150, 0, -1.3), (150, 30, 0), (120, 44, 0.9)],
        format="xyb",
        dxfattribs={"layer": "A"},
    )
    # Two half circles are a circle.
    space.add_lwpolyline(
        [(210, 7, 1), (230, 7, 1)], format="xyb", close=True, dxfattribs={"layer": "A"}
    )
    # All but a sliver of a circle.
    space.add_lwpolyline([(300, 0, 40.0), (300.5, 0.2, 0)], format="xyb", dxfattribs={"layer": "A"})
    space.add_polyline2d(
        [(0, 100, 0.5), (40, 100, 0), (60, 140, -0.3), (0, 130, 0)],
        format="xyb",
        close=True,
        dxfattribs={"layer": "B"},
    )
    space.add_polyline3d([(100, 100, 0), (140, 100, 0), (155, 130, 0)], dxfattribs={"layer": "B"})


def old_polyline(document, space):
    """The version has no unit and no LWPOLYLINE."""
    corners = [(0, 100, 0.5), (40, 100, 0), (60, 140, -0.3), (0, 130, 0)]
    space.add_polyline2d(corners, format="xyb", close=True)


def round_shapes(document, space):
    space.add_circle((10.5, -3.25), 7.75, dxfattribs={"layer": "C"})
    space.add_arc((100, 0), 20, 300, 75, dxfattribs={"layer": "C"})
    space.add_arc((200, 0), 20, 12.5, 5.25, dxfattribs={"layer": "C"})
    space.add_arc((300, 0), 500, 90, 91, dxfattribs={"layer": "C"})
    space.add_ellipse((0, 100), (40, 15), 0.35, dxfattribs={"layer": "E"})
    space.add_ellipse((100, 100), (0, 30), 0.8, 0.7, 5.1, dxfattribs={"layer": "E"})
    space.add_ellipse((200, 100), (25, -10), 1.0, 4.0, 1.0, dxfattribs={"layer": "E"})
    space.add_ellipse((300, 100), (60, 0), 0.02, dxfattribs={"layer": "E"})


def splines(document, space):
    def add(spline, layer):
        entity = space.add_spline(dxfattribs={"layer": layer})
        entity.apply_construction_tool(spline)

    wave = [(0, 0), (20, 50), (50, -30), (80, 60), (110, 0), (130, 20)]
    add(BSpline(wave, order=4), "CUBIC")
    uneven = [0, 0, 0, 0, 0.1, 0.75, 1, 1, 1, 1]
    add(BSpline([(x, y + 100) for x, y in wave], order=4, knots=uneven), "CUBIC")
    add(BSpline([(x, y + 200) for x, y in wave], order=6), "QUINTIC")
    add(BSpline([(x, y + 300) for x, y in wave], order=4, weights=[1, 3, 0.4, 1, 5, 1]), "RATIONAL")
    s = math.sqrt(0.5)
    corners = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    add(
        BSpline(
            [(300 + 25 * x, 25 * y) for x, y in corners],
            order=3,
            knots=[0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4],
            weights=[1, s, 1, s, 1, s, 1, s, 1],
        ),
        "CIRCLE",
    )
    ring = [(300 + 40 * math.cos(a) * (1 + 0.3 * math.cos(3 * a)), 200 + 40 * math.sin(a), 0)
            for a in numpy.linspace(0, 2 * math.pi, 9)[:-1]]
    closed = space.add_spline(dxfattribs={"layer": "PERIODIC"})
    closed.set_closed(ring, degree=3)
    line = space.add_spline(dxfattribs={"layer": "STRAIGHT"})
    line.apply_construction_tool(BSpline([(0, 400), (30, 410), (60, 420), (90, 430)], order=4))


def blocks(document, space):
    document.layers.add("PUNCH")
    document.layers.add("OWN")
    part = document.blocks.new("PART", base_point=(5, 5))
    part.add_lwpolyline([(0, 0, 0.3), (30, 0, 0), (30, 20, 0), (0, 14, -0.6)], format="xyb", close=True)
    part.add_circle((10, 10), 3)
    part.add_arc((40, 10), 6, 20, 250, dxfattribs={"layer": "OWN"})
    part.add_line((40, 30), (55, 33), dxfattribs={"layer": "OWN"})
    part.add_ellipse((70, 10), (8, 4), 0.5, 0, 2.5)
    spline = part.add_spline()
    spline.apply_construction_tool(BSpline([(0, 40), (10, 60), (30, 30), (40, 50)], order=4))
    at = {"layer": "PUNCH"}
    space.add_blockref("PART", (0, 0), dxfattribs=at)
    space.add_blockref("PART", (0, 200), dxfattribs={**at, "xscale": 1.5, "yscale": 1.5, "rotation": 33})
    space.add_blockref("PART", (200, 0), dxfattribs={**at, "xscale": -1, "yscale": 1, "rotation": 20})
    space.add_blockref("PART", (200, 200), dxfattribs={**at, "xscale": 1, "yscale": -2, "rotation": -75})
    space.add_blockref("PART", (400, 0), dxfattribs={**at, "xscale": 2, "yscale": 0.7})
    space.add_blockref(
        "PART",
        (600, 0),
        dxfattribs={**at, "rotation": 15, "row_count": 2, "column_count": 3, "row_spacing": 90,
                    "column_spacing": 120, "xscale": 0.5, "yscale": 0.5},
    )
    outer = document.blocks.new("OUTER")
    outer.add_blockref("PART", (10, 0), dxfattribs={"rotation": 90, "xscale": -1.25, "yscale": 1.25})
    outer.add_circle((0, 0), 2)
    space.add_blockref("OUTER", (0, 500), dxfattribs={**at, "xscale": 2, "yscale": 0.5, "rotation": 10})
    space.add_blockref("OUTER", (300, 500), dxfattribs={**at, "xscale": -1, "yscale": -1})


def seen_from_below(document, space):
    down = {"extrusion": (0, 0, -1)}
    space.add_circle((10, 20), 5, dxfattribs=down)
    space.add_arc((50, 10), 15, 20, 130, dxfattribs=down)
    space.add_lwpolyline(
        [(0, 100, 0.5), (40, 100, 0), (60, 140, -0.3), (0, 130, 0)],
        format="xyb", close=True, dxfattribs=down,
    )
    space.add_ellipse((100, 100), (30, 10), 0.4, 0.3, 2.9, dxfattribs=down)
    space.add_polyline2d([(200, 0, 0.8), (240, 10, 0), (230, 44, 0)], format="xyb", dxfattribs=down)
    part = document.blocks.new("PART", base_point=(1, 2))
    part.add_arc((0, 0), 8, 0, 200)
    part.add_line((8, 0), (8, -20))
    space.add_blockref("PART", (300, 40), dxfattribs={**down, "rotation": 25})
    space.add_blockref("PART", (300, 140), dxfattribs={**down, "rotation": 25, "xscale": -2, "yscale": 2})
    tilted = space.add_circle((500, 0), 9, dxfattribs={"extrusion": (0, 1, 1)})
    return {tilted.dxf.handle}


def drawn_twice(document, space):
    corners = [(0, 0), (40, 0), (40, 25), (0, 25)]
    again = set()
    for a, b in zip(corners, corners[1:] + corners[:1]):
        space.add_line(a, b)
        again.add(space.add_line(b, a).dxf.handle)
    again.add(space.add_line((0, 0), (40, 0)).dxf.handle)
    space.add_arc((100, 0), 10, 0, 180)
    again.add(space.add_arc((100, 0), 10, 0, 180).dxf.handle)
    # The lower half is another arc between the same points.
    space.add_arc((100, 0), 10, 180, 360)
    space.add_circle((150, 0), 6)
    again.add(space.add_circle((150, 0), 6).dxf.handle)
    space.add_lwpolyline([(200, 0, 0.4), (230, 0, 0), (230, 20, 0)], format="xyb", close=True)
    again.add(
        space.add_lwpolyline(
            [(230, 20, 0), (230, 0, -0.4), (200, 0, 0)], format="xyb", close=True
        ).dxf.handle
    )
    again.add(space.add_line((230, 0), (230, 20)).dxf.handle)
    return again


def passed_over(document, space):
    document.layers.add("FROZEN").freeze()
    document.layers.add("OFF").off()
    space.add_circle((0, 0), 5)
    space.add_text("note").set_placement((0, 20))
    space.add_mtext("more")
    space.add_point((3, 3))
    space.add_hatch().paths.add_polyline_path([(0, 0), (10, 0), (10, 10)], is_closed=True)
    space.add_line((0, 0), (10, 10), dxfattribs={"layer": "FROZEN"})
    space.add_line((0, 0), (10, 20), dxfattribs={"layer": "OFF"})
    space.add_line((0, 0), (10, 30), dxfattribs={"invisible": 1})
    document.layout("Layout1").add_line((0, 0), (70, 70))
    space.add_linear_dim(base=(0, 30), p1=(0, 0), p2=(10, 0)).render()


def gaps(document, space):
    # A corner open by 0.03, which is joined, and one open by 0.4, which is told of.
    space.add_line((0, 0), (50, 0))
    space.add_line((50, 0.03), (50, 40))
    space.add_line((50, 40), (0, 40))
    space.add_line((0, 40), (0, 0))
    space.add_line((100, 0), (150, 0))
    space.add_line((150, 0.4), (150, 40))
    space.add_line((150, 40), (100, 40))
    space.add_line((100, 40), (100, 0))


# --- SVG -------------------------------------------------------------------------------------------


def svg(name, picture, factor, **more):
    """`factor` is millimetres per pixel of svgelements."""
    picture.saveas(FOLDER / f"{name}.svg", pretty=True)
    runs = {}
    # Sampled before and mapped after: svgelements squares what is skewed.
    for element in svgelements.SVG.parse(FOLDER / f"{name}.svg", reify=False, ppi=96).elements():
        if not isinstance(element, svgelements.Shape):
            continue
        matrix = element.transform
        segments = element.segments(transformed=False)
        for sub in svgelements.Path(*segments).as_subpaths():
            run = []
            for segment in svgelements.Path(sub):
                if isinstance(segment, svgelements.Move):
                    continue
                straight = isinstance(segment, (svgelements.Line, svgelements.Close))
                if segment.start is None or segment.start == segment.end and straight:
                    continue
                steps = numpy.linspace(0, 1, 2 if straight else 20001)
                points = [matrix.point_in_matrix_space(segment.point(t)) for t in steps]
                run += [(p.x, -p.y) for p in points][0 if not run else 1 :]
            if run:
                runs.setdefault("", []).append(run)
    outlines = more.pop("outlines", None) or answers(runs, factor)
    EXPECTED[f"{name}.svg"] = {"outlines": outlines, **more}


MM = 25.4 / 96


def svg_shapes():
    p = svgwrite.Drawing(size=("200mm", "150mm"), viewBox="0 0 200 150", profile="full", debug=False)
    p.add(p.rect((10, 10), (40, 25)))
    p.add(p.rect((60, 10), (40, 25), rx=6, ry=6))
    p.add(p.rect((110, 10), (40, 25), rx=15, ry=5))
    p.add(p.rect((160, 10), (20, 25), rx=30))
    p.add(p.circle((30, 70), 12.5))
    p.add(p.ellipse((80, 70), (22, 9)))
    p.add(p.line((110, 60), (150, 83)))
    p.add(p.polyline([(10, 100), (40, 110), (60, 95), (75, 130)], fill="none"))
    p.add(p.polygon([(100, 100), (140, 110), (160, 95), (175, 130)]))
    svg("shapes", p, MM, file_unit="mm")


def svg_paths():
    p = svgwrite.Drawing(size=("30cm", "20cm"), viewBox="0 0 300 200", profile="full", debug=False)
    for d in [
        "M10,10 H50 V40 h-15 v-10 L20,35 l-10,-5 Z",
        "M 60 10 C 60 40 90 40 90 10 S 120 -20 120 10 s 20 40 30 10",
        "m 160 10 c 0 30 30 30 30 0 s 30 -30 30 0 q 20 30 40 0 t 30 5",
        "M 10 80 Q 30 50 50 80 T 90 80 T 130 70",
        "M 150 80 A 20 20 0 0 1 190 80 A 20 20 0 0 1 150 80 Z",
        "M 210 80 a 25 12 30 0 0 30 10",
        "M 210 120 a 25 12 30 1 0 30 10",
        "M 10 150 a 25 12 -20 0 1 30 10",
        "M 80 150 a 25 12 -20 1 1 30 10 z",
        # Radii too small to reach are stretched.
        "M 150 150 a 5 2 15 0 1 30 10",
        # Two subpaths, the second one from where the first one closed.
        "M 220 150 l 30 0 l 0 20 z l -10 -5 l 3 -12",
        # No spaces where none are needed, and flags run together.
        "M260.5.5l.5.5-1.5-.25.5.5M270 150a10 10 0 01-10 10",
    ]:
        p.add(p.path(d, fill="none"))
    svg("paths", p, MM, file_unit="cm")


def svg_transforms():
    p = svgwrite.Drawing(size=("300mm", "300mm"), viewBox="-20 -10 600 600", profile="full", debug=False)
    group = p.add(p.g(transform="translate(100 50) rotate(30)"))
    group.add(p.rect((0, 0), (40, 20), rx=5, ry=5))
    group.add(p.circle((60, 10), 7))
    inner = group.add(p.g(transform="scale(2 -1) skewX(20)"))
    inner.add(p.circle((10, -40), 8))
    inner.add(p.path("M0 -80 a 10 10 0 0 1 20 0 l 5 30 z"))
    turned = p.add(p.g(transform="rotate(-40 300 200)"))
    turned.add(p.ellipse((300, 200), (50, 20)))
    turned.add(p.line((300, 240), (350, 250), transform="skewY(12) translate(4)"))
    p.add(p.path("M 0 0 c 40 60 80 -60 120 0", transform="matrix(0.8 0.3 -0.5 1.1 300 400)", fill="none"))
    p.add(p.circle((50, 60), 9, transform="matrix(0 -1 -1 0 500 500)"))
    hole = p.circle((5, 5), 4, id="hole")
    definitions = p.defs
    definitions.add(hole)
    slot = p.g(id="slot", transform="rotate(45)")
    slot.add(p.rect((0, 0), (30, 10), rx=5, ry=5))
    definitions.add(slot)
    p.add(p.use("#hole", insert=(40, 400)))
    p.add(p.use("#slot", insert=(100, 420), transform="scale(1.5)"))
    svg("transforms", p, MM, file_unit="mm")


def svg_units():
    p = svgwrite.Drawing(size=("8in", "6in"), viewBox="0 0 8 6", debug=False)
    p.add(p.circle((2, 2), 0.5))
    p.add(p.path("M4 1 h1 v0.75 a0.25 0.25 0 0 1 -0.25 0.25 h-0.75 z"))
    svg("inch", p, MM, file_unit="in")
    p = svgwrite.Drawing(size=("400px", "300px"), debug=False)
    p.add(p.rect((96, 48), (192, 96)))
    p.add(p.circle(("50mm", "40mm"), "1cm"))
    # svgelements takes a millimetre for 0.0393701 inches.
    around = numpy.linspace(0, 2 * math.pi, 200001)
    circle = LineString([(50 + 10 * math.cos(a), -40 + 10 * math.sin(a)) for a in around])
    corners = [(96, -48), (288, -48), (288, -144), (96, -144), (96, -48)]
    rectangle = LineString([(x * MM, y * MM) for x, y in corners])
    svg("pixels", p, MM, file_unit="px", outlines=[answer("", circle), answer("", rectangle)])
    # No unit: numbers are taken as they are, in the unit asked for.
    p = svgwrite.Drawing(size=(400, 300), viewBox="0 0 400 300", debug=False)
    p.add(p.rect((96, 48), (192, 96)))
    svg("no_unit", p, 1.0, file_unit=None)


def seeds():
    """What the fuzzer starts from: the drawings without what a reader passes over."""
    folder = FOLDER.parent.parent / "fuzz" / "seeds"
    for path in FOLDER.glob("*.dxf"):
        head, *sections = path.read_text().split("  0\nSECTION\n  2\n")
        kept = [s for s in sections if s.startswith(("BLOCKS", "ENTITIES"))]
        text = "".join("0\nSECTION\n2\n" + s for s in kept).removesuffix("  0\nEOF\n") + "0\nEOF\n"
        lines = text.splitlines()
        pairs = [(lines[i].strip(), lines[i + 1]) for i in range(0, len(lines) - 1, 2)]
        pairs = [p for p in pairs if p[0] not in ("5", "100", "330", "102", "360")]
        (folder / "dxf" / path.stem).write_text("".join(f"{a}\n{b}\n" for a, b in pairs))
    for path in FOLDER.glob("*.svg"):
        (folder / "svg" / path.stem).write_text(path.read_text())


def main():
    dxf("loose_lines", loose_lines)
    dxf("polylines", polylines)
    dxf("polylines_r12", old_polyline, version="R12", file_unit=None)
    dxf("round_shapes", round_shapes)
    dxf("splines", splines)
    dxf("blocks", blocks)
    dxf("inch", loose_lines, factor=25.4, units=1, file_unit="in")
    dxf("seen_from_below", seen_from_below, skipped={"CIRCLE": 1})
    dxf("drawn_twice", drawn_twice)
    dxf("passed_over", passed_over, hidden=("FROZEN", "OFF"), skipped={
        "TEXT": 1, "POINT": 1, "HATCH": 1, "DIMENSION": 1, "layer FROZEN": 1, "layer OFF": 1})
    dxf("gaps", gaps, gaps=[[[100 + 50, 0], [150, 0.4]]], outlines=[
        # Both ends of the corner move halfway.
        answer("0", LineString([(0, 0), (50, 0.015), (50, 40), (0, 40), (0, 0)])),
        answer("0", LineString([(150, 0), (100, 0), (100, 40), (150, 40), (150, 0.4)])),
    ])
    svg_shapes()
    svg_paths()
    svg_transforms()
    svg_units()
    (FOLDER / "expected.json").write_text(json.dumps(EXPECTED, indent=1) + "\n")
    seeds()


if __name__ == "__main__":
    main()
