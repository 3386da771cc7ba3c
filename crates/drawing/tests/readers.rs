//! What the files of `tests/drawings` do not hold: expected values by hand.

use evenstroke_drawing::{Drawing, LengthUnit, Options, Outline, Point, read};
use std::f64::consts::PI;

fn svg(content: &str) -> Drawing {
    svg_of("width=\"100mm\" height=\"100mm\" viewBox=\"0 0 100 100\"", content)
}

fn svg_of(attributes: &str, content: &str) -> Drawing {
    let text = format!("<svg xmlns=\"http://www.w3.org/2000/svg\" {attributes}>{content}</svg>");
    read(text.as_bytes(), &Options::default()).unwrap_or_else(|refusal| panic!("{refusal}"))
}

fn dxf(header: &str, tables: &str, entities: &str) -> Drawing {
    let text = format!(
        "999\na comment\n0\nSECTION\n2\nHEADER\n{header}0\nENDSEC\n0\nSECTION\n2\nTABLES\n{tables}\
         0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    );
    read(text.as_bytes(), &Options::default()).unwrap_or_else(|refusal| panic!("{refusal}"))
}

#[track_caller]
fn assert_close(actual: f64, expected: f64) {
    assert!((actual - expected).abs() <= 1e-9 * (1.0 + expected.abs()), "{actual} {expected}");
}

#[track_caller]
fn assert_one(drawing: &Drawing, length: f64, x: f64, y: f64) -> Outline {
    let [outline] = &drawing.outlines[..] else { panic!("{drawing:?}") };
    assert_close(outline.length_mm, length);
    assert_close(outline.centroid.x, x);
    assert_close(outline.centroid.y, y);
    outline.clone()
}

#[test]
fn y_goes_to_the_back_and_a_view_box_moves_the_origin() {
    assert_one(&svg("<rect x='10' y='20' width='30' height='10'/>"), 80.0, 25.0, -25.0);
    let moved = "width=\"50mm\" height=\"50mm\" viewBox=\"-50 -50 100 100\"";
    assert_one(&svg_of(moved, "<circle cx='0' cy='10' r='4'/>"), 4.0 * PI, 25.0, -30.0);
}

#[test]
fn a_view_box_keeps_its_shape_unless_it_is_told_otherwise() {
    let wide =
        |ratio: &str| format!("width=\"200mm\" height=\"100mm\" viewBox=\"0 0 100 100\" {ratio}");
    let circle = "<circle cx='50' cy='50' r='10'/>";
    assert_one(&svg_of(&wide(""), circle), 20.0 * PI, 100.0, -50.0);
    let left = "preserveAspectRatio=\"xMinYMin\"";
    assert_one(&svg_of(&wide(left), circle), 20.0 * PI, 50.0, -50.0);
    let slice = "preserveAspectRatio=\"xMidYMid slice\"";
    assert_one(&svg_of(&wide(slice), circle), 40.0 * PI, 100.0, -50.0);
    let stretched = svg_of(&wide("preserveAspectRatio=\"none\""), "<rect width='10' height='10'/>");
    assert_one(&stretched, 60.0, 10.0, -5.0);
}

#[test]
fn without_a_unit_numbers_are_taken_as_they_are_and_that_is_said() {
    for attributes in
        ["", "viewBox=\"0 0 100 100\"", "width=\"100%\" height=\"500\" viewBox=\"0 0 9 9\""]
    {
        let drawing = svg_of(attributes, "<rect width='10' height='20'/>");
        assert!(drawing.unit_assumed && drawing.file_unit.is_none(), "{attributes}");
        assert_eq!(drawing.unit, LengthUnit::Millimetre);
        assert_one(&drawing, 60.0, 5.0, -10.0);
    }
    // A length that has a unit keeps it.
    assert_one(&svg_of("", "<rect width='1in' height='2cm'/>"), 90.8, 12.7, -10.0);
}

#[test]
fn symbols_are_fitted_into_their_use() {
    let content = "<symbol id='s' viewBox='0 0 10 10'><circle cx='5' cy='5' r='5'/></symbol>\
                   <use href='#s' x='20' y='30' width='40' height='40'/>";
    assert_one(&svg(content), 40.0 * PI, 40.0, -50.0);
    let nested = "<svg x='10' y='10' width='50%' height='50' viewBox='0 0 100 100'>\
                  <rect width='50%' height='20'/></svg>";
    assert_one(&svg(nested), 70.0, 22.5, -15.0);
}

#[test]
fn what_is_switched_off_is_counted_and_not_drawn() {
    let drawing = svg(
        "<g style='display: none'><path d='M0 0h5'/></g><path visibility='hidden' d='M0 0h6'/>\
         <g visibility='hidden'><path visibility='visible' d='M0 0h7'/></g>\
         <defs><path d='M0 0h8'/></defs><clipPath><path d='M0 0h9'/></clipPath>",
    );
    assert_one(&drawing, 7.0, 3.5, 0.0);
    let why: Vec<&str> = drawing.skipped.iter().map(|skipped| skipped.why.as_str()).collect();
    assert_eq!(why, ["not displayed", "invisible"]);
}

#[test]
fn layers_are_marked_groups_or_the_outermost_named_ones() {
    let content = "<g id='page'><g id='inner'><path d='M0 0h5'/></g></g>\
         <g xmlns:i='urn:x' i:groupmode='layer' i:label='Cut' id='layer1'>\
         <g id='hole'><path d='M0 10h5'/></g></g><path d='M0 20h5'/>\
         <g xmlns:i='urn:x' i:groupmode='layer' i:label='Notes' style='display:none'>\
         <path d='M0 30h5'/></g>";
    let drawing = svg(content);
    let names: Vec<&str> = drawing.outlines.iter().map(|o| o.layer.as_str()).collect();
    assert_eq!(names, ["page", "Cut", ""]);
    assert_eq!(drawing.skipped[0].why, "on a layer that is switched off");
    let text = format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{content}</svg>");
    let options = Options { layer: Some("Notes".to_owned()), ..Options::default() };
    let notes = read(text.as_bytes(), &options).expect("a drawing");
    assert_one(&notes, 5.0, 2.5, -30.0);
}

#[test]
fn a_circle_is_found_in_however_many_arcs_it_is_drawn() {
    for content in [
        "<circle cx='30' cy='30' r='10'/>",
        "<path d='M40 30 A10 10 0 0 1 20 30 A10 10 0 0 1 40 30'/>",
        "<path d='M40 30 a10 10 0 0 1 -10 10 a10 10 0 0 1 -10 -10 10 10 0 0 1 10 -10 10 10 0 0 1 10 10z'/>",
        "<path d='M40 30 A10 10 0 0 1 20 30'/><path d='M40 30 A10 10 0 0 0 20 30'/>",
        "<rect x='20' y='20' width='20' height='20' rx='10'/>",
    ] {
        let circle = assert_one(&svg(content), 20.0 * PI, 30.0, -30.0);
        assert_eq!(circle.segments(), 1, "{content}");
        let form = circle.to_job(circle.centroid).expect("few points");
        assert_eq!(form.to_string(), "{\"circle\":{\"diameter_mm\":20.0}}", "{content}");
        let (low, high) = circle.extent();
        assert!(low.distance(Point::new(20.0, -40.0)) < 1e-9, "{low:?}");
        assert!(high.distance(Point::new(40.0, -20.0)) < 1e-9, "{high:?}");
    }
    let half = svg("<path d='M40 30 A10 10 0 0 1 20 30 z'/>");
    assert!(half.outlines[0].circle().is_none());
}

#[test]
fn skewed_and_stretched_arcs_stay_within_the_chord_error() {
    let drawing = svg("<circle r='20' transform='translate(50 50) scale(1.5 0.5)'/>");
    // An ellipse of 30 and 10: 4·30·E(m = 8/9), by scipy.special.ellipe.
    let expected = 133.648_932_2;
    let outline = &drawing.outlines[0];
    assert!((outline.length_mm - expected).abs() < 2e-3, "{}", outline.length_mm);
    for point in &outline.points {
        let (x, y) = ((point.x - 50.0) / 30.0, (point.y + 50.0) / 10.0);
        // Joints lie on the curve itself.
        assert!((x.hypot(y) - 1.0).abs() < 1e-12);
    }
    assert!(drawing.deviation_mm > 0.0 && drawing.deviation_mm <= 0.01);
}

#[test]
fn units_of_the_header_are_known() {
    let line = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n100\n21\n0\n";
    for (code, millimetres, unit) in [
        (1, 25.4, Some("in")),
        (2, 304.8, Some("ft")),
        (4, 1.0, Some("mm")),
        (5, 10.0, Some("cm")),
        (6, 1000.0, Some("m")),
        (9, 0.0254, Some("mil")),
        (10, 914.4, Some("yd")),
        (14, 100.0, Some("dm")),
        (0, 1.0, None),
        (20, 1.0, None),
    ] {
        let drawing = dxf(&format!("9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n{code}\n"), "", line);
        assert_eq!(drawing.file_unit.map(LengthUnit::symbol), unit, "{code}");
        assert_close(drawing.outlines[0].length_mm, 100.0 * millimetres);
        assert_eq!(drawing.unit_assumed, unit.is_none());
        assert_eq!(drawing.notes.len(), usize::from(code == 20), "{:?}", drawing.notes);
    }
}

#[test]
fn a_frozen_insert_hides_all_and_one_that_is_off_only_its_own() {
    let layers = "0\nLAYER\n2\nICE\n70\n1\n62\n7\n0\nLAYER\n2\nDARK\n70\n0\n62\n-7\n";
    let blocks = "0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nB\n10\n0\n20\n0\n\
                  0\nLINE\n8\n0\n10\n0\n20\n0\n11\n5\n21\n0\n\
                  0\nLINE\n8\nLIT\n10\n0\n20\n9\n11\n7\n21\n9\n0\nENDBLK\n";
    let insert = |layer: &str| format!("0\nINSERT\n8\n{layer}\n2\nB\n10\n0\n20\n0\n");
    assert!(dxf("", &format!("{layers}{blocks}"), &insert("ICE")).outlines.is_empty());
    let dark = dxf("", &format!("{layers}{blocks}"), &insert("DARK"));
    assert_eq!(assert_one(&dark, 7.0, 3.5, 9.0).layer, "LIT");
    let on = dxf("", &format!("{layers}{blocks}"), &insert("Own"));
    let names: Vec<&str> = on.outlines.iter().map(|o| o.layer.as_str()).collect();
    assert_eq!(names, ["Own", "LIT"]);
}

#[test]
fn names_of_older_files_and_of_escapes_are_read() {
    let line = |layer: &[u8]| {
        let mut text = b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n".to_vec();
        text.extend_from_slice(layer);
        text.extend_from_slice(b"\n10\n0\n20\n0\n11\n5\n21\n0\n0\nENDSEC\n0\nEOF\n");
        read(&text, &Options::default()).expect("a drawing").outlines[0].layer.clone()
    };
    assert_eq!(line("Löcher".as_bytes()), "Löcher");
    assert_eq!(line(b"L\xf6cher"), "Löcher");
    assert_eq!(line(b"L\\U+00F6cher \\U+1"), "Löcher \\U+1");
}

#[test]
fn smoothed_polylines_are_read_without_their_frame() {
    let vertex =
        |x: f64, y: f64, flags: i32| format!("0\nVERTEX\n8\n0\n10\n{x}\n20\n{y}\n70\n{flags}\n");
    let text = format!(
        "0\nPOLYLINE\n8\n0\n66\n1\n70\n4\n10\n0\n20\n0\n30\n0\n{}{}{}{}0\nSEQEND\n",
        vertex(0.0, 50.0, 16),
        vertex(0.0, 0.0, 8),
        vertex(10.0, 0.0, 8),
        vertex(90.0, 50.0, 16)
    );
    assert_one(&dxf("", "", &text), 10.0, 5.0, 0.0);
    let mesh = text.replace("70\n4\n", "70\n16\n");
    let drawing = dxf("", "", &mesh);
    assert!(drawing.outlines.is_empty());
    assert_eq!((drawing.skipped[0].what.as_str(), drawing.skipped[0].count), ("POLYLINE", 1));
}

#[test]
fn what_lies_on_two_layers_is_told() {
    let line = |layer: &str| format!("0\nLINE\n8\n{layer}\n10\n0\n20\n0\n11\n5\n21\n0\n");
    let drawing = dxf("", "", &(line("A") + &line("B") + &line("A")));
    assert_eq!(drawing.outlines.len(), 2);
    assert_eq!(
        drawing.notes,
        [
            "lines and arcs drawn twice, counted once: 1",
            "lines and arcs on two layers, choose one of them: 1"
        ]
    );
}
