//! Starting values: what a new station or another kind of work begins with, so that the job can be
//! worked out while the rest is being typed. They are round numbers of an ordinary small die.

use evenstroke_job::read::json_of_bytes;
use serde_json::{Map, Value};

/// What a kind begins with; `tag` tells which list of kinds the word is from.
///
/// As text, which is a tenth of the code that building the same values takes.
pub fn start(tag: &str, word: &str) -> Value {
    let text = match (tag, word) {
        ("outline", "circle") => r#"{"circle": {"diameter_mm": 20}}"#,
        ("outline", "rectangle") => r#"{"rectangle": {"width_mm": 40, "depth_mm": 20}}"#,
        ("outline", "slot") => r#"{"slot": {"length_mm": 30, "width_mm": 10}}"#,
        ("outline", "path") => r#"{"path": {"points": [[-20, 0], [20, 0]], "closed": false}}"#,
        ("outline", _) => r#"{"length_mm": 60}"#,

        ("op", "cut") => {
            r#"{"op": "cut", "kind": "pierce", "outline": {"circle": {"diameter_mm": 20}}, "entry_mm": 4}"#
        }
        ("op", "bend") => {
            r#"{"op": "bend", "kind": "wipe", "length_mm": 60, "punch_radius_mm": 3, "die_radius_mm": 3, "entry_mm": 12}"#
        }
        ("op", "flange") => {
            r#"{"op": "flange", "kind": "straight", "length_mm": 60, "punch_radius_mm": 3, "die_radius_mm": 3, "entry_mm": 12}"#
        }
        ("op", "hem") => r#"{"op": "hem", "kind": "open", "length_mm": 60, "entry_mm": 8}"#,
        ("op", "hole_flange") => {
            r#"{"op": "hole_flange", "hole_diameter_mm": 8, "flange_diameter_mm": 14, "entry_mm": 8}"#
        }
        ("op", "draw") => {
            r#"{"op": "draw", "kind": "first", "blank_diameter_mm": 90, "punch_diameter_mm": 50, "depth_mm": 25, "die_radius_mm": 6, "punch_radius_mm": 6, "entry_mm": 25}"#
        }
        ("op", "squeeze") => {
            r#"{"op": "squeeze", "kind": "coin", "area_mm2": 200, "pressure_mpa": 350, "entry_mm": 0.5}"#
        }
        ("op", "spring") => {
            r#"{"op": "spring", "kind": "gas", "force_kn": 5, "stroke_mm": 25, "force_rise": 1.4, "entry_mm": 15}"#
        }
        ("op", "table") => {
            r#"{"op": "table", "points": [{"height_mm": 5, "force_kn": 0}, {"height_mm": 0, "force_kn": 20}]}"#
        }

        ("kind", "crank") => r#"{"kind": "crank", "stroke_mm": 100}"#,
        ("kind", "hydraulic") => r#"{"kind": "hydraulic", "stroke_mm": 200}"#,
        ("kind", "table") => {
            r#"{"kind": "table", "stroke_mm": 100, "points": [{"height_mm": 0, "force_kn": 600}, {"height_mm": 100, "force_kn": 200}]}"#
        }
        ("kind", "coil") => {
            r#"{"kind": "coil", "preload_kn": 2, "rate_kn_per_mm": 0.1, "entry_mm": 10}"#
        }
        ("kind", "gas") => {
            r#"{"kind": "gas", "force_kn": 5, "stroke_mm": 25, "force_rise": 1.4, "entry_mm": 10}"#
        }
        ("kind", "elastomer") => {
            r#"{"kind": "elastomer", "entry_mm": 5, "points": [{"travel_mm": 0, "force_kn": 0}, {"travel_mm": 5, "force_kn": 5}]}"#
        }
        ("kind", "cushion") => r#"{"kind": "cushion", "force_kn": 20, "entry_mm": 30}"#,
        ("kind", "air_cushion") => {
            r#"{"kind": "air_cushion", "pressure_mpa": 0.5, "piston_diameter_mm": 200, "pistons": 1, "entry_mm": 30}"#
        }
        ("kind", "slope") => r#"{"kind": "slope", "depth_mm": 1, "direction_deg": 0}"#,
        ("kind", "roof") => r#"{"kind": "roof", "depth_mm": 1, "direction_deg": 0}"#,
        ("kind", "zigzag") => {
            r#"{"kind": "zigzag", "depth_mm": 1, "direction_deg": 0, "ridges": 3}"#
        }
        ("kind", _) => r#"{"kind": "flat"}"#,
        _ => "null",
    };
    // By the reader of job files, which the page has anyway.
    json_of_bytes(text.as_bytes()).unwrap_or(Value::Null)
}

/// A new piece of work of the first kind.
pub fn new_work(document: &Value) -> Value {
    start_in(document, "op", "cut")
}

/// What a kind begins with in this job: as [`start`], but deep enough for its stock, and with a V as
/// wide as eight times the thickness (common practice, no source).
pub fn start_in(document: &Value, tag: &str, word: &str) -> Value {
    let mut value = start(tag, word);
    let thickness = thickness_mm(document);
    if (tag, word) == ("op", "cut") {
        // A cut has to be through before BDC; a half more than the thickness leaves room for that.
        value["entry_mm"] = (thickness * 1.5).ceil().max(4.0).into();
    }
    value
}

/// The thickest that the stock may be, an ordinary 2 mm where it is not entered.
fn thickness_mm(document: &Value) -> f64 {
    let thickness = &document["stock"]["thickness_mm"];
    let number = thickness.as_f64().or_else(|| thickness["high"].as_f64());
    number.filter(|number| number.is_finite() && *number > 0.0).unwrap_or(2.0)
}

/// What a kind of work cannot do without and the work does not hold yet: the V of a V bend, the
/// curve of a stretched flange.
///
/// The opening is eight times the thickness (common practice, no source); the others are round numbers
/// of ours that only have to make a job that can be worked out.
pub fn companions(document: &Value, work: &Value) -> Map<String, Value> {
    let word = |key: &str| work[key].as_str().unwrap_or_default();
    let text = match (word("op"), word("kind")) {
        ("bend", "v") => r#"{"opening_mm": 16}"#,
        ("bend", _) | ("flange", "straight") => r#"{"punch_radius_mm": 3, "die_radius_mm": 3}"#,
        ("flange", _) => {
            r#"{"punch_radius_mm": 3, "die_radius_mm": 3, "plan_radius_mm": 60, "height_mm": 10}"#
        }
        ("draw", "iron") => r#"{"wall_after_mm": 1}"#,
        _ => "{}",
    };
    match json_of_bytes(text.as_bytes()) {
        Ok(Value::Object(mut fields)) => {
            if let Some(opening) = fields.get_mut("opening_mm") {
                *opening = (thickness_mm(document) * 8.0).round().max(1.0).into();
            }
            fields.into_iter().filter(|(key, _)| work.get(key).is_none()).collect()
        }
        _ => Map::new(),
    }
}

/// A new station after the others, one pitch to the right of the last: that of the strip, or else
/// the distance between the last two.
pub fn new_station(document: &Value) -> Value {
    let stations = document["stations"].as_array().map_or(&[][..], Vec::as_slice);
    let last = |key: &str| stations.last().and_then(|station| station[key].as_f64());
    let before = stations.len().checked_sub(2).and_then(|i| stations[i]["x_mm"].as_f64());
    let strip = &document["die"]["strip"];
    // Against the x axis if it is fed so; across it the stations follow the one before.
    let along = match strip["feed"].as_str() {
        None | Some("left_to_right") => Some(1.0),
        Some("right_to_left") => Some(-1.0),
        Some(_) => None,
    };
    let pitch = match (strip["pitch_mm"].as_f64().zip(along), before, last("x_mm")) {
        (Some((pitch, along)), ..) => pitch * along,
        (None, Some(before), Some(last)) => last - before,
        _ => 100.0,
    };
    let x = last("x_mm").map_or(0.0, |last| last + pitch);
    let position = stations
        .iter()
        .enumerate()
        .map(|(i, station)| station["strip_position"].as_u64().unwrap_or(i as u64 + 1))
        .max()
        .map_or(1, |last| last + 1);
    let mut station = Map::new();
    station.insert("name".into(), format!("Station {position}").into());
    station.insert("x_mm".into(), x.into());
    station.insert("y_mm".into(), last("y_mm").unwrap_or(0.0).into());
    station.insert("strip_position".into(), position.into());
    station.insert("work".into(), Value::Array(vec![new_work(document)]));
    Value::Object(station)
}

#[cfg(test)]
mod tests {
    use super::*;
    use evenstroke_job::{
        Job,
        demo::DEMOS,
        spec::{Shape, WORK},
    };

    /// A demo with its first station's work replaced.
    fn job_with(work: Value) -> Value {
        let mut job: Value = serde_json::from_str(DEMOS[0].text).expect("demo is JSON");
        job["stations"][0]["work"] = Value::Array(vec![work]);
        job
    }

    #[test]
    fn every_operation_starts_as_a_job_that_can_be_worked_out() {
        let Shape::Tagged { kinds, .. } = &WORK else { unreachable!("work is told by its op") };
        for (word, ..) in *kinds {
            let job = job_with(start("op", word));
            assert!(Job::from_value(&job).is_ok(), "{word}: {:?}", Job::from_value(&job).err());
        }
    }

    #[test]
    fn every_kind_of_work_chosen_anew_is_a_job_that_can_be_worked_out() {
        let Shape::Tagged { kinds, .. } = &WORK else { unreachable!("work is told by its op") };
        for (op, _, body) in *kinds {
            let Shape::Object(spec) = body else { continue };
            let kind = spec.fields.iter().find(|field| field.key == "kind");
            let Some(Shape::Choice(words)) = kind.map(|field| &field.shape) else { continue };
            for (word, _) in *words {
                let mut work = start("op", op);
                work["kind"] = (*word).into();
                for (key, value) in companions(&job_with(Value::Null), &work) {
                    work[key] = value;
                }
                let job = job_with(work);
                assert!(
                    Job::from_value(&job).is_ok(),
                    "{op} {word}: {:?}",
                    Job::from_value(&job).err()
                );
            }
        }
    }

    #[test]
    fn every_spring_starts_as_a_job_that_can_be_worked_out() {
        for kind in ["coil", "gas", "elastomer", "cushion", "air_cushion"] {
            let mut spring = start("kind", kind);
            spring["op"] = "spring".into();
            let job = job_with(spring);
            assert!(Job::from_value(&job).is_ok(), "{kind}: {:?}", Job::from_value(&job).err());
        }
    }

    #[test]
    fn every_outline_and_tool_shear_starts_as_a_job_that_can_be_worked_out() {
        for outline in ["circle", "rectangle", "slot", "path", "length_mm"] {
            for shear in ["flat", "slope", "roof", "zigzag"] {
                let mut cut = start("op", "cut");
                cut["outline"] = start("outline", outline);
                cut["tool_shear"] = start("kind", shear);
                let job = job_with(cut);
                assert!(Job::from_value(&job).is_ok(), "{outline} {shear}");
            }
        }
    }

    #[test]
    fn a_new_station_follows_the_last_by_one_pitch() {
        let job: Value = serde_json::from_str(DEMOS[0].text).expect("demo is JSON");
        let mut job = job;
        let new = new_station(&job);
        assert_eq!(new["x_mm"].as_f64(), Some(360.0));
        assert_eq!(new["strip_position"].as_u64(), Some(6));
        job["die"]["strip"]["pitch_mm"] = 50.into();
        assert_eq!(new_station(&job)["x_mm"].as_f64(), Some(290.0));
        job["die"]["strip"] = Value::Null;
        assert_eq!(new_station(&job)["x_mm"].as_f64(), Some(360.0), "as the last two");
    }
}
