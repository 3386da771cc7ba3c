//! Outlines edited as they lie on the plan: points moved, the whole mirrored, turned, repeated.
//!
//! Everything here changes a cut as it stands in the job file, and leaves it as it was where the
//! edit makes no sense or the value is no object. Lengths are millimetres, coordinates those of the cut's own outline.

use serde_json::{Map, Value};
use std::f64::consts::FRAC_PI_8;

/// Most copies that one step makes.
pub const MOST_COPIES: usize = 200;

/// What a mirror swaps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mirror {
    /// Left and right.
    LeftRight,
    /// Front and back.
    FrontBack,
}

/// Points of a path with the bulges of its segments.
struct Path {
    closed: bool,
    points: Vec<(f64, f64)>,
    bulges: Vec<f64>,
}

/// The points that can be moved; none where only a length is known.
pub fn points(cut: &Value) -> Vec<(f64, f64)> {
    path_of(cut).map_or_else(Vec::new, |path| path.points)
}

/// Moves a point.
pub fn move_point(cut: &mut Value, index: usize, to: (f64, f64)) {
    change(cut, |path| {
        *path.points.get_mut(index)? = (rounded(to.0), rounded(to.1));
        Some(())
    });
}

/// Puts a point in the middle of the segment that begins at `index`, which is the last one of an open
/// path otherwise. An arc stays the arc it was.
pub fn add_point(cut: &mut Value, index: usize) {
    change(cut, |path| {
        let segment = index.min(path.bulges.len().checked_sub(1)?);
        let (from, to) = (path.points[segment], path.points[(segment + 1) % path.points.len()]);
        let bulge = path.bulges[segment];
        // The rise of an arc is its bulge times half its chord, to the right where it turns left.
        let middle = (
            f64::midpoint(from.0, to.0) + bulge / 2.0 * (to.1 - from.1),
            f64::midpoint(from.1, to.1) - bulge / 2.0 * (to.0 - from.0),
        );
        let half = (bulge.atan() / 2.0).tan();
        path.bulges[segment] = half;
        path.bulges.insert(segment + 1, half);
        path.points.insert(segment + 1, (rounded(middle.0), rounded(middle.1)));
        Some(())
    });
}

/// Takes a point out; the segments on both sides become one straight one. Two points always stay, and
/// three where all segments of a closed path are straight.
pub fn remove_point(cut: &mut Value, index: usize) {
    change(cut, |path| {
        let count = path.points.len();
        let fewest = if path.closed { 3 } else { 2 };
        if index >= count || count <= fewest {
            return None;
        }
        path.points.remove(index);
        if path.closed {
            path.bulges.remove(index);
            let before = (index + count - 1) % count;
            let before = before.min(path.bulges.len() - 1);
            path.bulges[before] = 0.0;
        } else if index == 0 {
            path.bulges.remove(0);
        } else {
            path.bulges.remove(index - 1);
            if let Some(bulge) = path.bulges.get_mut(index - 1) {
                *bulge = 0.0;
            }
        }
        Some(())
    });
}

/// Mirrors the outline about the cut's own place, with the way in which its tool shear runs.
pub fn mirror(cut: &mut Value, mirror: Mirror) {
    if !cut.is_object() {
        return;
    }
    let turn = cut["turn_deg"].as_f64().unwrap_or(0.0);
    // A turn and then a mirror is the mirror and then the turn the other way round.
    set_turn(cut, -turn);
    let shear = shear_direction(cut);
    if let Some(direction) = shear {
        let mirrored = match mirror {
            Mirror::LeftRight => 180.0 - direction,
            Mirror::FrontBack => -direction,
        };
        cut["tool_shear"]["direction_deg"] = angle(mirrored).into();
    }
    if !cut["outline"]["path"].is_object() {
        // All others are their own mirror images.
        return;
    }
    change(cut, |path| {
        for point in &mut path.points {
            match mirror {
                Mirror::LeftRight => point.0 = 0.0 - point.0,
                Mirror::FrontBack => point.1 = 0.0 - point.1,
            }
        }
        path.bulges.iter_mut().for_each(|bulge| *bulge = 0.0 - *bulge);
        Some(())
    });
}

/// Turns the cut about its own place, counter-clockwise seen from above.
pub fn turn(cut: &mut Value, by_deg: f64) {
    let turn = cut["turn_deg"].as_f64().unwrap_or(0.0);
    set_turn(cut, turn + by_deg);
}

/// The cut and its copies in a row, `count` in all, each `step` from the one before, in station
/// coordinates.
pub fn row(cut: &Value, count: usize, step: (f64, f64)) -> Vec<Value> {
    (0..count.clamp(1, MOST_COPIES))
        .map(|index| {
            let mut copy = cut.clone();
            let (x, y) = place(cut);
            set_place(&mut copy, (x + step.0 * index as f64, y + step.1 * index as f64));
            copy
        })
        .collect()
}

/// The cut and its copies on a circle about the station point, `count` in all, evenly round and
/// turned with it.
pub fn circle(cut: &Value, count: usize) -> Vec<Value> {
    let count = count.clamp(1, MOST_COPIES);
    (0..count)
        .map(|index| {
            let by_deg = 360.0 * index as f64 / count as f64;
            let (sin, cos) = by_deg.to_radians().sin_cos();
            let (x, y) = place(cut);
            let mut copy = cut.clone();
            set_place(&mut copy, (x * cos - y * sin, x * sin + y * cos));
            turn(&mut copy, by_deg);
            copy
        })
        .collect()
}

/// Gives the cut a tool shear of this depth, in millimetres, in this direction, in degrees; without
/// depth it becomes flat. The kind of tool shear stays, a flat one becomes a slope.
pub fn set_shear(cut: &mut Value, depth_mm: f64, direction_deg: f64) {
    if !cut.is_object() {
        return;
    }
    if !(depth_mm > 0.0) {
        cut["tool_shear"] = Value::Object(Map::from_iter([("kind".to_owned(), "flat".into())]));
        return;
    }
    if shear_direction(cut).is_none() {
        cut["tool_shear"] = Value::Object(Map::from_iter([("kind".to_owned(), "slope".into())]));
    }
    cut["tool_shear"]["depth_mm"] = ((depth_mm * 100.0).round() / 100.0).into();
    cut["tool_shear"]["direction_deg"] = angle(direction_deg).into();
}

/// Where the tool shear runs to, in degrees; nothing where the tool is flat.
fn shear_direction(cut: &Value) -> Option<f64> {
    let shear = cut.get("tool_shear")?;
    (shear["kind"].as_str()? != "flat").then(|| shear["direction_deg"].as_f64().unwrap_or(0.0))
}

/// Of degrees, the same angle above −180 and up to 180, to a thousandth.
fn angle(degrees: f64) -> f64 {
    let reduced = -((180.0 - degrees).rem_euclid(360.0) - 180.0);
    rounded(reduced)
}

fn set_turn(cut: &mut Value, turn_deg: f64) {
    let turned = angle(turn_deg);
    if turned != 0.0 || cut.get("turn_deg").is_some() {
        put(cut, "turn_deg", turned);
    }
}

fn place(cut: &Value) -> (f64, f64) {
    (cut["x_mm"].as_f64().unwrap_or(0.0), cut["y_mm"].as_f64().unwrap_or(0.0))
}

fn set_place(cut: &mut Value, (x, y): (f64, f64)) {
    let before = place(cut);
    for (key, before, value) in [("x_mm", before.0, rounded(x)), ("y_mm", before.1, rounded(y))] {
        if value != before {
            put(cut, key, value);
        }
    }
}

fn put(cut: &mut Value, key: &str, number: f64) {
    if let Some(fields) = cut.as_object_mut() {
        fields.insert(key.to_owned(), number.into());
    }
}

/// To a nanometre, or a millionth of a degree; no negative zero.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

/// Changes the outline as a path; nothing happens where it has none, or where `edit` gives nothing.
fn change(cut: &mut Value, edit: impl FnOnce(&mut Path) -> Option<()>) {
    let Some(mut path) = path_of(cut) else { return };
    if edit(&mut path).is_none() {
        return;
    }
    let mut fields = Map::new();
    fields.insert("closed".to_owned(), path.closed.into());
    let point = |&(x, y): &(f64, f64)| Value::Array(vec![x.into(), y.into()]);
    fields.insert("points".to_owned(), Value::Array(path.points.iter().map(point).collect()));
    if path.bulges.iter().any(|bulge| *bulge != 0.0) {
        let bulges = path.bulges.into_iter().map(Value::from).collect();
        fields.insert("bulges".to_owned(), Value::Array(bulges));
    }
    let mut outline = Map::new();
    outline.insert("path".to_owned(), Value::Object(fields));
    cut["outline"] = Value::Object(outline);
}

/// The outline as a path.
fn path_of(cut: &Value) -> Option<Path> {
    let outline = cut.get("outline")?;
    let length = |object: &Value, key: &str| object[key].as_f64();
    if let Some(path) = outline.get("path") {
        let closed = path["closed"].as_bool().unwrap_or(false);
        let pair = |point: &Value| Some((point.get(0)?.as_f64()?, point.get(1)?.as_f64()?));
        let points = path["points"].as_array()?.iter().map(pair).collect::<Option<Vec<_>>>()?;
        let segments = if closed { points.len() } else { points.len().checked_sub(1)? };
        let given = path["bulges"].as_array().map_or(&[][..], Vec::as_slice);
        let bulges = (0..segments)
            .map(|index| given.get(index).and_then(Value::as_f64).unwrap_or(0.0))
            .collect();
        return Some(Path { closed, points, bulges });
    }
    if let Some(circle) = outline.get("circle") {
        let radius = length(circle, "diameter_mm")? / 2.0;
        let points = vec![(radius, 0.0), (0.0, radius), (-radius, 0.0), (0.0, -radius)];
        // The tangent of a quarter of a quarter turn.
        return Some(Path { closed: true, points, bulges: vec![FRAC_PI_8.tan(); 4] });
    }
    let (width, depth, radius) = if let Some(rectangle) = outline.get("rectangle") {
        let radius = length(rectangle, "corner_radius_mm").unwrap_or(0.0);
        (length(rectangle, "width_mm")?, length(rectangle, "depth_mm")?, radius)
    } else {
        let slot = outline.get("slot")?;
        let width = length(slot, "width_mm")?;
        (length(slot, "length_mm")?, width, width / 2.0)
    };
    Some(rounded_rectangle(width, depth, radius))
}

/// Counter-clockwise from the lower end of the right side; sides without length are left out.
fn rounded_rectangle(width: f64, depth: f64, radius: f64) -> Path {
    let (x, y) = (width / 2.0, depth / 2.0);
    let (inner_x, inner_y) = (x - radius, y - radius);
    let corners = [
        [(x, inner_y), (inner_x, y)],
        [(-inner_x, y), (-x, inner_y)],
        [(-x, -inner_y), (-inner_x, -y)],
        [(inner_x, -y), (x, -inner_y)],
    ];
    let mut path = Path { closed: true, points: Vec::new(), bulges: Vec::new() };
    let mut put = |point: (f64, f64), bulge: f64| {
        path.points.push((rounded(point.0), rounded(point.1)));
        path.bulges.push(bulge);
    };
    for (index, [from, to]) in corners.into_iter().enumerate() {
        if radius > 0.0 {
            put(from, FRAC_PI_8.tan());
        }
        // The side to the next corner, unless the corners meet.
        let side = if index % 2 == 0 { inner_x } else { inner_y };
        if side > 0.0 || radius == 0.0 {
            put(to, 0.0);
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    /// Length and centroid of the edge in millimetres, by the physics.
    fn edge(cut: &Value) -> (f64, f64, f64) {
        let path = path_of(cut).expect("a path");
        let point = |&(x, y): &(f64, f64)| press_load::Point::from_millimetres(x, y);
        let outline = press_load::Outline::Path {
            points: path.points.iter().map(point).collect(),
            bulges: path.bulges,
            closed: path.closed,
        };
        let (length, centroid) = (outline.length().unwrap(), outline.centroid().unwrap());
        (length.millimetres(), centroid.x * 1e3, centroid.y * 1e3)
    }

    /// Coordinates are kept to a nanometre, and an outline has a handful of them.
    fn close(actual: f64, expected: f64) {
        assert!((actual - expected).abs() < 1e-5, "{actual} {expected}");
    }

    #[test]
    fn every_closed_shape_keeps_its_perimeter_as_a_path() {
        let pi = std::f64::consts::PI;
        for (outline, perimeter) in [
            (json!({"circle": {"diameter_mm": 30}}), pi * 30.0),
            (json!({"rectangle": {"width_mm": 40, "depth_mm": 20}}), 120.0),
            (
                json!({"rectangle": {"width_mm": 40, "depth_mm": 20, "corner_radius_mm": 5}}),
                80.0 + 10.0 * pi,
            ),
            (json!({"slot": {"length_mm": 40, "width_mm": 12}}), 56.0 + 12.0 * pi),
        ] {
            let (length, x, y) = edge(&json!({"outline": outline}));
            close(length, perimeter);
            close(x, 0.0);
            close(y, 0.0);
        }
    }

    #[test]
    fn a_point_added_on_an_arc_changes_nothing_and_taken_out_makes_it_straight() {
        let mut cut = json!({"outline": {"slot": {"length_mm": 40, "width_mm": 12}}});
        let before = edge(&cut);
        let count = points(&cut).len();
        for segment in 0..count {
            add_point(&mut cut, 2 * segment);
        }
        assert_eq!(points(&cut).len(), 2 * count);
        close(edge(&cut).0, before.0);
        close(edge(&cut).1, before.1);
        let mut open =
            json!({"outline": {"path": {"closed": false, "points": [[0, 0], [10, 0], [10, 10]]}}});
        remove_point(&mut open, 1);
        close(edge(&open).0, 200.0_f64.sqrt());
        remove_point(&mut open, 0);
        assert_eq!(points(&open).len(), 2, "two points stay");
    }

    #[test]
    fn points_taken_out_one_by_one_leave_a_triangle() {
        let mut cut = json!({"outline": {"rectangle": {"width_mm": 40, "depth_mm": 20, "corner_radius_mm": 5}}});
        for turn in 0..20 {
            let count = points(&cut).len();
            remove_point(&mut cut, (7 * turn) % count);
            edge(&cut);
        }
        assert_eq!(points(&cut).len(), 3);
    }

    #[test]
    fn a_mirrored_cut_lies_where_its_mirror_image_lay() {
        let cut = json!({"turn_deg": 30, "x_mm": 5,
            "outline": {"path": {"closed": false, "points": [[0, 0], [10, 2], [14, 9]], "bulges": [0.3, 0]}},
            "tool_shear": {"kind": "slope", "depth_mm": 1, "direction_deg": 20}});
        let placed = |cut: &Value| {
            let (_, x, y) = edge(cut);
            let (sin, cos) = cut["turn_deg"].as_f64().unwrap().to_radians().sin_cos();
            (x * cos - y * sin, x * sin + y * cos)
        };
        for (way, x, y) in [(Mirror::LeftRight, -1.0, 1.0), (Mirror::FrontBack, 1.0, -1.0)] {
            let mut other = cut.clone();
            mirror(&mut other, way);
            close(placed(&other).0, x * placed(&cut).0);
            close(placed(&other).1, y * placed(&cut).1);
            close(edge(&other).0, edge(&cut).0);
            assert_eq!(other["x_mm"], 5);
            mirror(&mut other, way);
            assert_eq!(other["tool_shear"]["direction_deg"].as_f64(), Some(20.0));
            close(placed(&other).0, placed(&cut).0);
        }
    }

    #[test]
    fn rows_and_circles_step_evenly() {
        let cut = json!({"outline": {"circle": {"diameter_mm": 6}}, "x_mm": 20});
        let copies = row(&cut, 3, (0.0, 12.5));
        assert_eq!(copies[0], cut);
        assert_eq!(
            (copies[2]["x_mm"].as_f64(), copies[2]["y_mm"].as_f64()),
            (Some(20.0), Some(25.0))
        );
        let round = circle(&cut, 4);
        assert_eq!(round[0], cut);
        assert_eq!((round[1]["x_mm"].as_f64(), round[1]["y_mm"].as_f64()), (Some(0.0), Some(20.0)));
        assert_eq!(round[3]["turn_deg"].as_f64(), Some(-90.0));
        assert_eq!(row(&cut, 1_000_000, (1.0, 0.0)).len(), MOST_COPIES);
    }

    #[test]
    fn a_shear_is_set_turned_and_taken_away() {
        let mut cut = json!({"outline": {"circle": {"diameter_mm": 6}}});
        set_shear(&mut cut, 1.234_567, 270.0);
        assert_eq!(
            cut["tool_shear"],
            json!({"kind": "slope", "depth_mm": 1.23, "direction_deg": -90.0})
        );
        cut["tool_shear"] =
            json!({"kind": "roof", "depth_mm": 1, "direction_deg": 0, "ridge_first": true});
        set_shear(&mut cut, 2.0, 45.0);
        assert_eq!(cut["tool_shear"]["kind"], "roof");
        set_shear(&mut cut, 0.0, 45.0);
        assert_eq!(cut["tool_shear"], json!({"kind": "flat"}));
    }

    #[test]
    fn what_is_no_cut_stays_what_it_was() {
        for value in [json!(null), json!("cut"), json!(3), json!([]), json!([[0, 0]])] {
            let mut same = value.clone();
            move_point(&mut same, 0, (1.0, 1.0));
            add_point(&mut same, 0);
            remove_point(&mut same, 0);
            mirror(&mut same, Mirror::LeftRight);
            turn(&mut same, 90.0);
            set_shear(&mut same, 1.0, 0.0);
            set_shear(&mut same, 0.0, 0.0);
            assert_eq!(same, value);
            assert!(
                row(&value, 3, (1.0, 0.0)).iter().chain(&circle(&value, 3)).all(|c| *c == value)
            );
            assert!(points(&value).is_empty());
        }
    }

    #[test]
    fn edits_that_make_no_sense_change_nothing() {
        let length = json!({"outline": {"length_mm": 100}});
        for edit in [
            (|cut: &mut Value| move_point(cut, 0, (1.0, 1.0))) as fn(&mut Value),
            |cut| add_point(cut, 0),
            |cut| remove_point(cut, 0),
        ] {
            let mut cut = length.clone();
            edit(&mut cut);
            assert_eq!(cut, length);
        }
        let mut cut = json!({"outline": {"circle": {"diameter_mm": 6}}});
        move_point(&mut cut, 9, (0.0, 0.0));
        assert!(cut["outline"]["circle"].is_object(), "a circle stays one");
    }
}
