//! Drawings written by other programs' libraries, against what those libraries make of them.
//!
//! Files and answers are made by `tests/drawings/make.py`: lengths and centroids are Shapely's, of
//! samples taken by ezdxf and svgelements.

use evenstroke_drawing::{Drawing, LengthUnit, Options, Outline, Point, read};
use serde_json::Value;
use std::{fs, path::Path};

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/drawings")
}

fn read_file(name: &str, options: &Options) -> Drawing {
    let bytes = fs::read(folder().join(name)).expect("the file is there");
    read(&bytes, options).unwrap_or_else(|refusal| panic!("{name}: {refusal}"))
}

fn expected() -> serde_json::Map<String, Value> {
    let text = fs::read_to_string(folder().join("expected.json")).expect("the file is there");
    let Ok(Value::Object(files)) = serde_json::from_str(&text) else { panic!("an object") };
    files
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// Fails unless the outlines are those expected, in any order.
fn assert_outlines(name: &str, outlines: &[Outline], expected: &[Value], near_mm: f64) {
    let mut left: Vec<&Outline> = outlines.iter().collect();
    for one in expected {
        let (length, x, y) =
            (number(&one["length_mm"]), number(&one["x_mm"]), number(&one["y_mm"]));
        // The samples of the answer are chords, shorter by a few parts in 10⁹.
        let near_mm = near_mm + 3e-9 * length;
        let is_it = |outline: &&Outline| {
            // SVG has no layers of its own.
            (name.ends_with(".svg") || one["layer"] == outline.layer)
                && one["closed"] == outline.closed
                && (outline.length_mm - length).abs() <= near_mm
                && outline.centroid.distance(Point::new(x, y)) <= near_mm
        };
        let Some(at) = left.iter().position(is_it) else {
            let short: Vec<_> =
                left.iter().map(|o| (&o.layer, o.closed, o.length_mm, o.centroid)).collect();
            panic!("{name}: {one} is not among {short:#?}");
        };
        left.swap_remove(at);
    }
    assert_eq!(left.len(), 0, "{name}: too many: {left:?}");
}

#[test]
fn outlines_of_every_drawing_are_those_of_other_libraries() {
    let files = expected();
    assert!(files.len() >= 17, "{}", files.len());
    for (name, answer) in &files {
        let outlines = answer["outlines"].as_array().expect("a list");
        // With the default, a curve's length is off by less than its deviation is worth over a few
        // dozen pieces; with a hundredth of it, by that much less.
        for (chord_error_mm, near_mm) in [(0.01, 2e-2), (1e-4, 2e-4)] {
            let options = Options { chord_error_mm, ..Options::default() };
            let drawing = read_file(name, &options);
            assert!(drawing.deviation_mm <= chord_error_mm, "{name}: {}", drawing.deviation_mm);
            // Straight lines and arcs are exact: what is left is the answer's own sampling.
            let near_mm = if drawing.deviation_mm == 0.0 { 3e-6 } else { near_mm };
            assert_outlines(name, &drawing.outlines, outlines, near_mm);
        }
    }
}

#[test]
fn lines_and_arcs_are_not_approximated() {
    for name in ["loose_lines.dxf", "polylines.dxf", "inch.dxf", "drawn_twice.dxf", "inch.svg"] {
        assert_eq!(read_file(name, &Options::default()).deviation_mm, 0.0, "{name}");
    }
}

#[test]
fn unit_is_the_one_that_the_file_says() {
    for (name, answer) in &expected() {
        let drawing = read_file(name, &Options::default());
        let said = match answer.get("file_unit") {
            Some(unit) => unit.as_str().and_then(LengthUnit::from_symbol),
            None => Some(LengthUnit::Millimetre),
        };
        assert_eq!(drawing.file_unit, said, "{name}");
        assert_eq!(drawing.unit_assumed, said.is_none(), "{name}");
    }
}

#[test]
fn what_is_not_an_outline_is_counted() {
    let mut compared = 0;
    for (name, answer) in &expected() {
        let drawing = read_file(name, &Options::default());
        for (what, count) in answer["skipped"].as_object().into_iter().flatten() {
            let found: usize =
                drawing.skipped.iter().filter(|s| s.what == *what).map(|s| s.count).sum();
            // Dimensions bring points and text of their own, in their blocks.
            let fits = if what == "POINT" {
                found as u64 >= 1
            } else {
                Some(found as u64) == count.as_u64()
            };
            assert!(fits, "{name}: {what} {found} {count}");
            compared += 1;
        }
        if answer.get("skipped").is_none() {
            assert_eq!(drawing.skipped, [], "{name}");
        }
    }
    assert!(compared >= 7);
}

#[test]
fn gaps_are_told_with_both_ends_and_their_distance() {
    let drawing = read_file("gaps.dxf", &Options::default());
    let [gap] = &drawing.gaps[..] else { panic!("{:?}", drawing.gaps) };
    let mut ends = [gap.from, gap.to];
    ends.sort_by(|a, b| a.y.total_cmp(&b.y));
    assert_eq!(ends, [Point::new(150.0, 0.0), Point::new(150.0, 0.4)]);
    assert!((gap.distance_mm - 0.4).abs() < 1e-12);
    // A larger tolerance joins it, a smaller one opens the corner that was joined.
    let joined = read_file("gaps.dxf", &Options { tolerance_mm: 0.5, ..Options::default() });
    assert!(joined.gaps.is_empty() && joined.outlines.iter().all(|outline| outline.closed));
    let open = read_file("gaps.dxf", &Options { tolerance_mm: 0.01, ..Options::default() });
    assert!(open.gaps.len() == 2 && open.outlines.iter().all(|outline| !outline.closed));
}

#[test]
fn the_order_and_direction_of_lines_do_not_matter() {
    let text = fs::read_to_string(folder().join("loose_lines.dxf")).expect("the file is there");
    let (head, rest) = text.split_once("\n  2\nENTITIES\n").expect("a section");
    let (entities, tail) = rest.split_once("\n  0\nENDSEC\n").expect("its end");
    let mut parts: Vec<&str> = entities.split("  0\n").filter(|part| !part.is_empty()).collect();
    let rebuilt = |parts: &[&str]| {
        let joined: String =
            parts.iter().map(|part| format!("  0\n{}\n", part.trim_end())).collect();
        let text = format!("{head}\n  2\nENTITIES\n{joined}  0\nENDSEC\n{tail}");
        let mut outlines = read(text.as_bytes(), &Options::default()).expect("a drawing").outlines;
        outlines.sort_by(|a, b| a.length_mm.total_cmp(&b.length_mm));
        outlines
    };
    let first = rebuilt(&parts);
    assert_eq!(first.len(), 6);
    for turn in 1..20 {
        parts.rotate_left(turn);
        let half = parts.len() / 2;
        parts[..half].reverse();
        let again = rebuilt(&parts);
        assert_eq!(again.len(), 6);
        for (a, b) in again.iter().zip(&first) {
            assert_eq!((a.closed, &a.layer, a.points.len()), (b.closed, &b.layer, b.points.len()));
            for (p, q) in a.points.iter().zip(&b.points) {
                assert!(p.distance(*q) < 1e-9, "{a:?} {b:?}");
            }
        }
    }
}

#[test]
fn a_unit_that_is_given_goes_before_the_files_own() {
    let plain = read_file("loose_lines.dxf", &Options::default());
    let options = Options { unit: Some(LengthUnit::Inch), ..Options::default() };
    let inch = read_file("loose_lines.dxf", &options);
    assert!(inch.notes.iter().any(|note| note == "the file says mm, read as in"), "{inch:?}");
    for (a, b) in inch.outlines.iter().zip(&plain.outlines) {
        assert!((a.length_mm - 25.4 * b.length_mm).abs() < 1e-9 * a.length_mm);
    }
}

#[test]
fn one_layer_is_read_alone_and_also_if_it_is_off() {
    let only = |name: &str, layer: &str| {
        read_file(name, &Options { layer: Some(layer.to_owned()), ..Options::default() })
    };
    let cut = only("loose_lines.dxf", "cut");
    assert!(cut.outlines.len() == 3 && cut.outlines.iter().all(|outline| outline.layer == "CUT"));
    assert_eq!(cut.layers, ["CUT", "PIERCE"]);
    assert_eq!(only("passed_over.dxf", "OFF").outlines.len(), 1);
    assert_eq!(only("passed_over.dxf", "FROZEN").outlines.len(), 1);
    let bytes = fs::read(folder().join("loose_lines.dxf")).expect("the file is there");
    let options = Options { layer: Some("NONE".to_owned()), ..Options::default() };
    let refusal = read(&bytes, &options).expect_err("no such layer");
    assert_eq!(refusal.to_string(), "layer: must be one of CUT, PIERCE, given NONE");
}

#[test]
fn the_form_of_the_job_file_has_the_same_length_and_place() {
    for (name, _) in &expected() {
        for outline in read_file(name, &Options::default()).outlines {
            let form = outline.to_job(outline.centroid).expect("not too many points");
            let job = as_job_outline(&form);
            let (length, centroid) = (job.length().expect("sound"), job.centroid().expect("sound"));
            let hair = 1e-6 * (1.0 + outline.points.len() as f64);
            assert!((length.millimetres() - outline.length_mm).abs() < hair, "{name} {form}");
            assert!(centroid.x.abs().max(centroid.y.abs()) * 1e3 < hair, "{name} {form}");
        }
    }
}

/// The job file's form as the physics takes it.
fn as_job_outline(form: &Value) -> press_load::Outline {
    if let Some(circle) = form.get("circle") {
        let diameter = press_load::Length::from_millimetres(number(&circle["diameter_mm"]));
        return press_load::Outline::Circle { diameter };
    }
    let path = &form["path"];
    let list = |key: &str| path[key].as_array().cloned().unwrap_or_default();
    press_load::Outline::Path {
        points: list("points")
            .iter()
            .map(|p| press_load::Point::from_millimetres(number(&p[0]), number(&p[1])))
            .collect(),
        bulges: list("bulges").iter().map(number).collect(),
        closed: path["closed"] == true,
    }
}

#[test]
fn outlines_fit_into_a_job_file() {
    let example = include_str!("../../../tests/contract/example.json");
    let mut job: Value = serde_json::from_str(example).expect("JSON");
    for name in ["polylines.dxf", "splines.dxf", "shapes.svg"] {
        for outline in read_file(name, &Options::default()).outlines {
            let work = &mut job["stations"][0]["work"][0];
            work["outline"] = outline.to_job(outline.centroid).expect("not too many points");
            work["x_mm"] = outline.centroid.x.into();
            work["y_mm"] = outline.centroid.y.into();
            evenstroke_job::read::check_value(&job).unwrap_or_else(|e| panic!("{name}: {e}"));
        }
    }
}
