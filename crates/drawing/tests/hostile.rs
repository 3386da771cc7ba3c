//! What drawings must not do: panic, hang, fill the memory, reach out.

use evenstroke_drawing::{Drawing, LARGEST_FILE, Options, Refusal, read};
use proptest::prelude::*;
use std::{fmt::Write, fs, path::Path, time::Instant};

fn dxf(entities: &str) -> String {
    format!("0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n")
}

fn with_blocks(blocks: &str, entities: &str) -> String {
    format!("0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n{}", dxf(entities))
}

fn block(name: &str, entities: &str) -> String {
    format!("0\nBLOCK\n2\n{name}\n10\n0\n20\n0\n{entities}0\nENDBLK\n")
}

fn insert(name: &str, more: &str) -> String {
    format!("0\nINSERT\n8\n0\n2\n{name}\n10\n1\n20\n1\n{more}")
}

fn line(x: f64, y: f64, to_x: f64, to_y: f64) -> String {
    format!("0\nLINE\n8\n0\n10\n{x}\n20\n{y}\n11\n{to_x}\n21\n{to_y}\n")
}

fn svg(content: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" \
         width=\"100mm\" height=\"100mm\" viewBox=\"0 0 100 100\">{content}</svg>"
    )
}

#[track_caller]
fn drawn(text: &str) -> Drawing {
    read(text.as_bytes(), &Options::default()).unwrap_or_else(|refusal| panic!("{refusal}"))
}

#[track_caller]
fn refused(bytes: &[u8]) -> Refusal {
    let start = Instant::now();
    let refusal = read(bytes, &Options::default()).expect_err("a refusal");
    assert!(start.elapsed().as_secs() < 30, "{refusal} took {:?}", start.elapsed());
    refusal
}

#[track_caller]
fn assert_refused(bytes: &[u8], message: &str) {
    assert_eq!(refused(bytes).to_string(), message);
}

/// How many things were passed over under a name.
fn skipped(drawing: &Drawing, what: &str, why: &str) -> usize {
    drawing.skipped.iter().filter(|s| s.what == what && s.why == why).map(|s| s.count).sum()
}

#[test]
fn files_of_other_kinds_are_told_apart() {
    assert_refused(
        b"AutoCAD Binary DXF\r\n\x1a\0\0\0SECTION",
        "the file: must be saved as text (ASCII) DXF, given a binary DXF file, of the same content",
    );
    assert_refused(b"AC1032\0\0", "the file: must be saved as text (ASCII) DXF, given a DWG file");
    let allowed = "the file: must be a DXF file saved as text, or an SVG file, given";
    for (bytes, given) in [
        (&b""[..], "an empty file"),
        (b"\xef\xbb\xbf  \n ", "an empty file"),
        (b"\x1f\x8b\x08", "a compressed file, as SVGZ is: unpack it first"),
        (b"\xff\xfe0\0", "UTF-16 text: save it as UTF-8"),
        (b"%PDF-1.7", "a PDF file"),
        (b"PK\x03\x04", "a ZIP file"),
        (b"{\"format\": 1}", "a file that begins with {\"format\": 1}"),
        (b"\x1b[2Jgone\n", "a file that begins with \u{fffd}[2Jgone"),
    ] {
        assert_refused(bytes, &format!("{allowed} {given}"));
    }
    assert_refused(
        b"<html><body/></html>",
        "the file: must be an SVG file, whose first element is svg, given an XML file that begins \
         with html",
    );
}

#[test]
fn a_file_that_is_too_large_is_refused_before_it_is_read() {
    let mut bytes = b"0\nSECTION\n".to_vec();
    bytes.resize(LARGEST_FILE + 1, b' ');
    assert_refused(&bytes, "the file: must have at most 64 MiB, given 64.0 MiB or more");
}

#[test]
fn a_dxf_file_that_is_cut_off_is_refused() {
    let whole = dxf(&line(0.0, 0.0, 10.0, 0.0));
    let within = whole.strip_suffix("0\nENDSEC\n0\nEOF\n").expect("the end");
    assert_refused(
        within.as_bytes(),
        "the file: must be a whole DXF file, to its EOF, given one that ends within section \
         ENTITIES, at line 17",
    );
    let after_code = &within[..within.len() - "0\n".len()];
    assert_refused(
        after_code.as_bytes(),
        "the file: must be a whole DXF file, to its EOF, given one that ends after a group code, at \
         line 16",
    );
    // Between sections only the end itself is missing, and that is told.
    let no_end = whole.strip_suffix("0\nEOF\n").expect("the end");
    let drawing = drawn(no_end);
    assert_eq!(drawing.outlines.len(), 1);
    assert_eq!(drawing.notes, ["the file ends without EOF: part of it may be missing"]);
}

#[test]
fn wrong_numbers_are_named_with_their_line() {
    for number in ["nan", "inf", "-infinity", "1e300", "1e13", "ten", ""] {
        let text = dxf(&line(0.0, 0.0, 10.0, 0.0).replace("11\n10\n", &format!("11\n{number}\n")));
        let given = if number.is_empty() { "nothing" } else { number };
        assert_refused(
            text.as_bytes(),
            &format!("line 14: must be a number, within ±1e12, given {given}"),
        );
    }
    let text = dxf("0\nLINE\nten\n0\n");
    assert_refused(text.as_bytes(), "line 7: must be a group code, a whole number, given ten");
    // All three ways to end a line count the same.
    for end in ["\r\n", "\r"] {
        let text = text.replace('\n', end);
        assert!(refused(text.as_bytes()).place == "line 7", "{}", refused(text.as_bytes()));
    }
}

#[test]
fn points_beyond_all_dies_are_refused() {
    assert_refused(
        dxf(&line(0.0, 0.0, 1e11, 0.0)).as_bytes(),
        "the file: must lie within 1000000 mm of its origin, given a point at 100000000000, 0 mm",
    );
    for content in [
        "<path d=\"M0 0L1e999 0\"/>",
        "<circle r=\"1e308\"/>",
        "<path d=\"M0 0C1e300 0 0 1e300 9 9\"/>",
        "<path d=\"M0 0A1e300 1e300 0 0 1 9 9\"/>",
        "<g transform=\"scale(1e200)\"><g transform=\"scale(1e200)\"><path d=\"M1 1h1\"/></g></g>",
    ] {
        let result = read(svg(content).as_bytes(), &Options::default());
        // Radii without bounds make a straight line, anything else is out of reach.
        let sound = match &result {
            Ok(drawing) => drawing.outlines.iter().all(|o| o.length_mm.is_finite()),
            Err(refusal) => refusal.allowed == "must lie within 1000000 mm of its origin",
        };
        assert!(sound, "{content}: {result:?}");
    }
}

#[test]
fn lines_without_length_are_left_out_and_counted() {
    let text = dxf(&(line(5.0, 5.0, 5.0, 5.0) + &line(0.0, 0.0, 10.0, 0.0)));
    let drawing = drawn(&text);
    assert_eq!(drawing.outlines.len(), 1);
    assert_eq!(drawing.notes, ["lines without length, left out: 1"]);
    let nothing = drawn(&dxf(&line(5.0, 5.0, 5.0, 5.0)));
    assert_eq!(nothing.notes, ["no line was found", "lines without length, left out: 1"]);
}

#[test]
fn blocks_that_hold_themselves_are_refused() {
    let text = with_blocks(&block("A", &insert("A", "")), &insert("A", ""));
    let message =
        "block A: must not hold itself, nor within blocks it holds, given an INSERT of it inside";
    assert_refused(text.as_bytes(), message);
    let text = with_blocks(
        &(block("A", &insert("B", "")) + &block("B", &insert("a", ""))),
        &insert("A", ""),
    );
    assert_refused(text.as_bytes(), message);
    // A block that nobody inserts may be as broken as it likes.
    let text = with_blocks(&block("A", &insert("A", "")), &line(0.0, 0.0, 1.0, 0.0));
    assert_eq!(drawn(&text).outlines.len(), 1);
}

#[test]
fn blocks_that_multiply_are_bounded() {
    let array = insert("A", "70\n30000\n71\n30000\n44\n1\n45\n1\n");
    for content in [line(0.0, 0.0, 1.0, 0.0), String::new()] {
        let text = with_blocks(&block("A", &content), &array);
        assert_refused(
            text.as_bytes(),
            "block A: blocks must be inserted at most 1000000 times in all, given 30000 columns × \
             30000 rows here",
        );
    }
    // Ten to the twelfth in blocks of blocks.
    let mut blocks = block("B0", &line(0.0, 0.0, 1.0, 0.0));
    for level in 1..=12 {
        blocks += &block(&format!("B{level}"), &insert(&format!("B{}", level - 1), "").repeat(10));
    }
    let refusal = refused(with_blocks(&blocks, &insert("B12", "")).as_bytes());
    assert_eq!(refusal.allowed, "blocks must be inserted at most 1000000 times in all");
    let mut blocks = block("B0", &line(0.0, 0.0, 1.0, 0.0));
    for level in 1..=40 {
        blocks += &block(&format!("B{level}"), &insert(&format!("B{}", level - 1), ""));
    }
    let refusal = refused(with_blocks(&blocks, &insert("B40", "")).as_bytes());
    assert_eq!(refusal.allowed, "must be at most 32 blocks deep");
    // Wide arrays of wide blocks: the lines themselves are counted, too.
    let mut ladder = String::new();
    for i in 0..500 {
        ladder += &line(0.0, f64::from(i), 1.0, f64::from(i));
    }
    let text =
        with_blocks(&block("A", &ladder), &insert("A", "70\n100\n71\n100\n44\n2\n45\n600\n"));
    assert_refused(
        text.as_bytes(),
        "the file: must come to at most 1000000 lines and arcs, given more",
    );
}

#[test]
fn splines_that_make_no_sense_are_passed_over_with_the_reason() {
    let spline = |degree: &str, knots: &[f64], weights: &[f64]| {
        let mut text = format!("0\nSPLINE\n8\n0\n71\n{degree}\n");
        for knot in knots {
            let _ = write!(text, "40\n{knot}\n");
        }
        for (index, x) in [0.0, 10.0, 20.0, 30.0].iter().enumerate() {
            let _ = write!(text, "10\n{x}\n20\n{}\n", x * x / 10.0);
            if let Some(weight) = weights.get(index) {
                let _ = write!(text, "41\n{weight}\n");
            }
        }
        dxf(&text)
    };
    let clamped = [0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0];
    assert_eq!(drawn(&spline("3", &clamped, &[])).outlines.len(), 1);
    let of_degree = "of a degree that is not from 1 to 24";
    let knots_fit = "whose knots do not fit its control points";
    let falling = "whose knots fall or whose weights do not fit its control points";
    let weights = "with weights that are not positive, or a million times apart";
    let cases: [(&str, &[f64], &[f64], &str); 9] = [
        ("0", &clamped, &[], of_degree),
        ("-3", &clamped, &[], of_degree),
        ("1e9", &clamped, &[], of_degree),
        ("4", &clamped, &[], knots_fit),
        ("3", &clamped[1..], &[], knots_fit),
        ("3", &[0.0, 0.0, 0.0, 1.0, 0.0, 1.0, 1.0, 1.0], &[], falling),
        ("3", &clamped, &[1.0, 2.0], falling),
        ("3", &clamped, &[1.0, -2.0, 1.0, 1.0], weights),
        ("3", &clamped, &[1.0, 1e-12, 1.0, 1.0], weights),
    ];
    for (degree, knots, given, why) in cases {
        let drawing = drawn(&spline(degree, knots, given));
        assert_eq!(skipped(&drawing, "SPLINE", why), 1, "{why}: {:?}", drawing.skipped);
    }
    let still = drawn(&spline("3", &[0.0; 8], &[]));
    assert_eq!(skipped(&still, "SPLINE", "without length"), 1);
    let fit = dxf("0\nSPLINE\n8\n0\n71\n3\n74\n2\n11\n0\n21\n0\n11\n9\n21\n9\n");
    let why = "given by fit points only: save it with control points";
    assert_eq!(skipped(&drawn(&fit), "SPLINE", why), 1);
}

#[test]
fn scripts_and_references_of_svg_files_are_only_counted() {
    let drawing = drawn(&svg(
        "<script>while(true){}</script><style>@import url(http://example.invalid/a.css);</style>\
         <image xlink:href=\"http://example.invalid/a.png\"/><use href=\"other.svg#a\"/>\
         <use href=\"#nothing\"/><rect width=\"10\" height=\"5\" onclick=\"alert(1)\"/>\
         <text>t</text><foreignObject/>",
    ));
    assert_eq!(drawing.outlines.len(), 1);
    assert_eq!(skipped(&drawing, "script", "never run"), 1);
    assert_eq!(skipped(&drawing, "image", "a picture, not fetched"), 1);
    assert_eq!(skipped(&drawing, "use", "a reference to another file, not fetched"), 1);
    assert_eq!(skipped(&drawing, "use", "of something that the file does not hold"), 1);
    assert_eq!(skipped(&drawing, "text", "not an outline"), 1);
    assert_eq!(drawing.notes, ["style sheets are not followed"]);
    // An external entity is an error where it is used, and nothing is read for it.
    let outside =
        "<!DOCTYPE svg [<!ENTITY a SYSTEM \"file:///etc/passwd\">]><svg><text>&a;</text></svg>";
    assert_refused(
        outside.as_bytes(),
        "line 1, column 68: must be well-formed XML that needs nothing from outside the file, given \
         something else",
    );
}

#[test]
fn entities_of_svg_files_do_not_explode() {
    let allowed = "must not define entities by entities or elements, nor in more than 16384 bytes";
    let mut nested = "<!DOCTYPE svg [<!ENTITY a0 \"aaaaaaaaaa\">".to_owned();
    for level in 1..20 {
        let inner = format!("&a{};", level - 1).repeat(10);
        let _ = write!(nested, "<!ENTITY a{level} \"{inner}\">");
    }
    nested += "]><svg><text>&a19;</text></svg>";
    assert_eq!(refused(nested.as_bytes()).allowed, allowed);
    let wide = "x".repeat(1_000_000);
    let uses = "&a;".repeat(100_000);
    let wide = format!("<!DOCTYPE svg [<!ENTITY a \"{wide}\">]><svg><text>{uses}</text></svg>");
    assert_eq!(refused(wide.as_bytes()).allowed, allowed);
    let many = format!(
        "<!DOCTYPE svg [<!ENTITY a \"{}\">]><svg><text>{uses}</text></svg>",
        "x".repeat(9000)
    );
    assert_eq!(refused(many.as_bytes()).allowed, "must have at most 1000 uses of entities");
    // The few that drawing programs write are read.
    let usual = "<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" \
                 \"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd\" [<!ENTITY width \"10\">]>\
                 <svg width=\"50mm\" height=\"50mm\"><rect width=\"&width;mm\" height=\"5mm\"/></svg>";
    let drawing = drawn(usual);
    assert!((drawing.outlines[0].length_mm - 30.0).abs() < 1e-9);
}

#[test]
fn svg_files_that_go_deep_or_wide_are_bounded() {
    let deep = format!("<svg>{}{}</svg>", "<g>".repeat(1_000_000), "</g>".repeat(1_000_000));
    assert_eq!(
        refused(deep.as_bytes()).allowed,
        "must have its elements at most 250 deep in one another"
    );
    let mut attributes = String::new();
    for i in 0..200_000 {
        let _ = write!(attributes, " a{i}=\"\"");
    }
    assert_eq!(
        refused(format!("<svg{attributes}/>").as_bytes()).allowed,
        "must have at most 500 attributes of one element"
    );
    let many = format!("<svg>{}</svg>", "<g/>".repeat(1_100_000));
    assert_eq!(refused(many.as_bytes()).allowed, "must have at most 1000000 elements and texts");
    // Each group uses the one before ten times.
    let mut groups = "<g id=\"a0\"><path d=\"M0 0h1\"/></g>".to_owned();
    for level in 1..10 {
        let uses = format!("<use href=\"#a{}\"/>", level - 1).repeat(10);
        let _ = write!(groups, "<g id=\"a{level}\">{uses}</g>");
    }
    let text = svg(&format!("<defs>{groups}</defs><use href=\"#a9\"/>"));
    assert_eq!(
        refused(text.as_bytes()).allowed,
        "must come to at most 1000000 elements, each as often as it is used"
    );
    let mut chain = "<g id=\"a0\"><path d=\"M0 0h1\"/></g>".to_owned();
    for level in 1..400 {
        let _ = write!(chain, "<g id=\"a{level}\"><use href=\"#a{}\"/></g>", level - 1);
    }
    let text = svg(&format!("<defs>{chain}</defs><use href=\"#a399\"/>"));
    assert_eq!(
        refused(text.as_bytes()).allowed,
        "must have its elements and uses at most 250 deep in one another"
    );
    for content in [
        "<g id=\"a\"><use href=\"#a\"/></g>",
        "<defs><g id=\"a\"><use href=\"#b\"/></g><g id=\"b\"><use href=\"#a\"/></g></defs><use href=\"#a\"/>",
        "<use id=\"a\" href=\"#a\"/>",
    ] {
        assert_eq!(
            refused(svg(content).as_bytes()).allowed,
            "must not use itself, nor within what it uses",
            "{content}"
        );
    }
}

#[test]
fn a_path_that_is_wrong_is_passed_over_whole() {
    let drawing = drawn(&svg(
        "<path d=\"M0 0h10v10x5\"/><path d=\"h10\"/><polygon points=\"0 0 10 0 ten 5\"/>\
         <polyline points=\"0 0 10 0 7\"/><rect width=\"5em\" height=\"3\"/><circle r=\"-3\"/>\
         <g transform=\"turn(3)\"><path d=\"M0 0h1\"/></g><g transform=\"scale(0)\"><path d=\"M0 0h1\"/></g>\
         <path/><path d=\"M0 50h10\"/>",
    ));
    assert_eq!(drawing.outlines.len(), 1, "{:?}", drawing.outlines);
    assert_eq!(skipped(&drawing, "path", "with path data that cannot be read"), 2);
    assert_eq!(skipped(&drawing, "polygon", "with points that cannot be read"), 1);
    assert_eq!(skipped(&drawing, "polyline", "with points that cannot be read"), 1);
    assert_eq!(skipped(&drawing, "rect", "with a length that depends on a font"), 1);
    assert_eq!(skipped(&drawing, "circle", "without a size"), 1);
    assert_eq!(skipped(&drawing, "g", "with a transform that cannot be read"), 1);
    assert_eq!(skipped(&drawing, "g", "scaled to nothing"), 1);
}

#[test]
fn a_million_lines_are_chained_and_one_more_is_refused() {
    let mut path = "M0 0".to_owned();
    for i in 0..999_999 {
        path += if i % 2 == 0 { "h.1" } else { "v.1" };
    }
    let text = svg(&format!("<path d=\"{path}\"/>"));
    let start = Instant::now();
    let drawing = drawn(&text);
    assert_eq!(drawing.outlines[0].points.len(), 1_000_000);
    assert!(drawing.outlines[0].to_job(drawing.outlines[0].centroid).is_err());
    assert!(start.elapsed().as_secs() < 60, "{:?}", start.elapsed());
    let text = svg(&format!("<path d=\"{path}h1v1\"/>"));
    assert_eq!(refused(text.as_bytes()).allowed, "must come to at most 1000000 lines and arcs");
    // As lines of their own, all between two close places: the worst for finding what meets.
    let mut lines = String::new();
    for i in 0..200_000_u32 {
        let (x, y) = (f64::from(i % 447) * 1e-4, f64::from(i / 447) * 1e-4);
        lines += &line(x, y, x + 1.0, y);
    }
    let start = Instant::now();
    assert!(!drawn(&dxf(&lines)).outlines.is_empty());
    assert!(start.elapsed().as_secs() < 60, "{:?}", start.elapsed());
}

#[test]
fn more_entities_than_are_kept_are_refused() {
    let text = dxf(&"0\nLINE\n".repeat(1_100_000));
    assert_eq!(
        refused(text.as_bytes()).allowed,
        "must hold at most 1000000 entities and points of polylines and splines"
    );
    let text = dxf(&format!("0\nLWPOLYLINE\n{}", "10\n1\n".repeat(1_100_000)));
    assert_eq!(
        refused(text.as_bytes()).allowed,
        "must hold at most 1000000 entities and points of polylines and splines"
    );
}

#[test]
fn options_beyond_their_range_are_refused() {
    let bytes = svg("");
    for (value, given) in [(f64::NAN, "NaN"), (0.0, "0"), (-1.0, "-1"), (11.0, "11")] {
        let options = Options { tolerance_mm: value, ..Options::default() };
        let refusal = read(bytes.as_bytes(), &options).expect_err("a refusal");
        assert_eq!(
            refusal.to_string(),
            format!("tolerance: must be from 0.0001 to 10 mm, given {given}")
        );
        let options = Options { chord_error_mm: value, ..Options::default() };
        let refusal = read(bytes.as_bytes(), &options).expect_err("a refusal");
        assert_eq!(refusal.place, "chord error");
    }
}

/// The drawings of `tests/drawings`, small enough to be changed thousands of times.
fn seeds() -> Vec<Vec<u8>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/seeds");
    let mut seeds = Vec::new();
    for folder in ["dxf", "svg"] {
        for entry in fs::read_dir(root.join(folder)).expect("the folder is there") {
            seeds.push(fs::read(entry.expect("an entry").path()).expect("a file"));
        }
    }
    assert!(seeds.len() >= 17);
    seeds
}

/// Texts that mean something to a reader.
const WORDS: [&str; 24] = [
    "0",
    "-1",
    "1e308",
    "-1e-300",
    "nan",
    "42",
    "70",
    "230",
    "999",
    "\n",
    "\r\n",
    "0\nLINE\n",
    "0\nINSERT\n2\nPART\n",
    "0\nSPLINE\n",
    "0\nENDSEC\n",
    "0\nSECTION\n2\nENTITIES\n",
    "0\nEOF\n",
    "<g transform=\"scale(1e9 -1e-9)\">",
    "</g>",
    "<use href=\"#slot\"/>",
    "M0 0A",
    "z",
    "&a;",
    "\"",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, ..ProptestConfig::default() })]

    #[test]
    fn changed_drawings_are_read_or_refused(
        seed in any::<prop::sample::Index>(),
        changes in prop::collection::vec(
            (any::<prop::sample::Index>(), 0_usize..4, any::<prop::sample::Index>(), any::<u8>()), 1..6),
    ) {
        thread_local!(static SEEDS: Vec<Vec<u8>> = seeds());
        let mut bytes = SEEDS.with(|seeds| seed.get(seeds).clone());
        for (at, kind, other, byte) in changes {
            if bytes.is_empty() { break }
            let at = at.index(bytes.len());
            match kind {
                0 => bytes[at] = byte,
                1 => { bytes.splice(at..at, WORDS[other.index(WORDS.len())].bytes()); }
                2 => { bytes.drain(at..(at + other.index(40)).min(bytes.len())); }
                _ => {
                    // A line goes where another one is.
                    let from = other.index(bytes.len());
                    let piece: Vec<u8> = bytes[from..].iter().take(30).copied().collect();
                    bytes.splice(at..at, piece);
                }
            }
        }
        if let Ok(drawing) = read(&bytes, &Options::default()) {
            for outline in &drawing.outlines {
                prop_assert!(outline.length_mm > 0.0 && outline.length_mm.is_finite());
                prop_assert!(outline.centroid.x.is_finite() && outline.centroid.y.is_finite());
            }
        }
    }
}
