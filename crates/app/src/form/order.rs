//! Stations and work copied and put in another order. Each is one change of the document.
//!
//! Along a strip the places stay and what is done there moves: a station that goes one up takes the
//! strip position and the place of the one before it, which takes its own. In other dies every
//! station keeps its place and only the list changes.

use super::start::new_station;
use crate::path::Path;
use evenstroke_language::{Language, say, speaking};
use serde_json::Value;

/// Which way in a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Towards {
    /// To the first.
    First,
    /// To the last.
    Last,
}

/// What belongs to a place along the strip and not to what is done there.
const PLACE: [&str; 3] = ["x_mm", "y_mm", "strip_position"];

/// Puts a copy of a station last, one pitch on, under a name of its own. Gives its index.
pub fn duplicate_station(document: &mut Value, index: usize) -> Option<usize> {
    let mut copy = document["stations"].get(index)?.clone();
    let new = new_station(document);
    for key in PLACE {
        copy[key] = new[key].clone();
    }
    let stations = document["stations"].as_array_mut()?;
    copy["name"] = match copy["name"].as_str() {
        Some(name) if !name.is_empty() && !is_numbered(name) => free_name(name, stations).into(),
        _ => new["name"].clone(),
    };
    stations.push(copy);
    Some(stations.len() - 1)
}

/// Moves a station by one in the list. Gives its new index, or nothing where it is at the end.
pub fn move_station(document: &mut Value, index: usize, towards: Towards) -> Option<usize> {
    let along_strip = matches!(document["die"]["kind"].as_str(), Some("progressive" | "transfer"));
    let stations = document["stations"].as_array_mut()?;
    let other = neighbour(stations.len(), index, towards)?;
    stations.swap(index, other);
    if along_strip {
        for key in PLACE {
            let here = stations[index].get(key).cloned();
            let there = stations[other].get(key).cloned();
            put(&mut stations[index], key, there);
            put(&mut stations[other], key, here);
        }
        for index in [index, other] {
            let position = stations[index]["strip_position"].as_u64().unwrap_or(index as u64 + 1);
            if stations[index]["name"].as_str().is_some_and(is_numbered) {
                stations[index]["name"] = say!("Station {}", position).into();
            }
        }
    }
    Some(other)
}

/// Puts a copy of a piece of work after it, at the same place. Gives its index.
pub fn duplicate_work(document: &mut Value, list: &Path, index: usize) -> Option<usize> {
    let mut work = list.get(document)?.as_array()?.clone();
    work.insert(index + 1, work.get(index)?.clone());
    list.set(document, Value::Array(work));
    Some(index + 1)
}

/// Moves a piece of work by one in its list, which changes nothing but the order. Gives its new
/// index, or nothing where it is at the end.
pub fn move_work(
    document: &mut Value,
    list: &Path,
    index: usize,
    towards: Towards,
) -> Option<usize> {
    let mut work = list.get(document)?.as_array()?.clone();
    let other = neighbour(work.len(), index, towards)?;
    work.swap(index, other);
    list.set(document, Value::Array(work));
    Some(other)
}

fn neighbour(count: usize, index: usize, towards: Towards) -> Option<usize> {
    let other = match towards {
        Towards::First => index.checked_sub(1)?,
        Towards::Last => index + 1,
    };
    (index < count && other < count).then_some(other)
}

fn put(object: &mut Value, key: &str, value: Option<Value>) {
    match value {
        Some(value) => object[key] = value,
        None => {
            if let Some(object) = object.as_object_mut() {
                object.shift_remove(key);
            }
        }
    }
}

/// Whether a name only says the number, as that of a new station does.
fn is_numbered(name: &str) -> bool {
    // The name may have been given in another language.
    let stems = Language::ALL.map(|language| speaking(language, || say!("Station {}", "")));
    stems
        .iter()
        .filter_map(|stem| name.strip_prefix(stem.as_str()))
        .any(|number| !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()))
}

/// The name with the next number that no station has: `Pierce 2` after `Pierce`.
fn free_name(name: &str, stations: &[Value]) -> String {
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end();
    let stem = if stem.is_empty() { name } else { stem };
    let is_taken = |name: &str| stations.iter().any(|station| station["name"] == name);
    let mut number = 2;
    loop {
        let name = format!("{stem} {number}");
        if !is_taken(&name) {
            return name;
        }
        number += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use evenstroke_job::{Job, demo::DEMOS};

    fn demo() -> Value {
        serde_json::from_str(DEMOS[0].text).expect("demo is JSON")
    }

    fn told(job: &Value) -> Vec<(String, f64, Option<u64>)> {
        let stations = job["stations"].as_array().expect("stations are a list");
        stations
            .iter()
            .map(|s| {
                let name = s["name"].as_str().unwrap_or_default().to_owned();
                (name, s["x_mm"].as_f64().unwrap_or(0.0), s["strip_position"].as_u64())
            })
            .collect()
    }

    #[test]
    fn along_a_strip_the_places_stay_and_the_work_moves() {
        let mut job = demo();
        assert_eq!(move_station(&mut job, 1, Towards::First), Some(0));
        let told = told(&job);
        assert_eq!(told[0], ("Notch".to_owned(), -240.0, Some(1)));
        assert_eq!(told[1], ("Pierce".to_owned(), -120.0, Some(2)));
        assert!(Job::from_value(&job).is_ok());
        assert_eq!(move_station(&mut job, 0, Towards::Last), Some(1));
        assert_eq!(job, demo(), "and back");
        assert_eq!(move_station(&mut job, 0, Towards::First), None);
        assert_eq!(move_station(&mut job, 4, Towards::Last), None);
        assert_eq!(move_station(&mut job, 9, Towards::First), None);
        assert_eq!(job, demo(), "at the end nothing moves");
    }

    #[test]
    fn without_a_strip_only_the_list_changes() {
        let mut job = demo();
        job["die"]["kind"] = "single".into();
        let before = told(&job);
        move_station(&mut job, 1, Towards::First);
        let after = told(&job);
        assert_eq!((&after[0], &after[1]), (&before[1], &before[0]));
    }

    #[test]
    fn a_position_that_follows_from_the_list_goes_on_doing_so() {
        let mut job = demo();
        for station in job["stations"].as_array_mut().expect("stations are a list") {
            put(station, "strip_position", None);
        }
        job["stations"][1]["name"] = "Station 2".into();
        move_station(&mut job, 1, Towards::First);
        assert_eq!(told(&job)[0], ("Station 1".to_owned(), -240.0, None));
    }

    #[test]
    fn a_copy_of_a_station_stands_last_one_pitch_on_under_its_own_name() {
        let mut job = demo();
        assert_eq!(duplicate_station(&mut job, 0), Some(5));
        assert_eq!(told(&job)[5], ("Pierce 2".to_owned(), 360.0, Some(6)));
        assert_eq!(job["stations"][5]["work"], job["stations"][0]["work"]);
        duplicate_station(&mut job, 5);
        assert_eq!(told(&job)[6].0, "Pierce 3");
        job["stations"][0]["name"] = "Station 1".into();
        duplicate_station(&mut job, 0);
        assert_eq!(told(&job)[7].0, "Station 8");
        assert!(Job::from_value(&job).is_ok());
        assert_eq!(duplicate_station(&mut job, 99), None);
    }

    #[test]
    fn work_is_copied_and_put_in_another_order() {
        let mut job = demo();
        let list = Path::root().key("stations").item(0).key("work");
        let before = list.get(&job).and_then(Value::as_array).expect("work").clone();
        assert_eq!(duplicate_work(&mut job, &list, 0), Some(1));
        let after = list.get(&job).and_then(Value::as_array).expect("work").clone();
        assert_eq!((&after[0], &after[1], &after[2]), (&before[0], &before[0], &before[1]));
        assert_eq!(move_work(&mut job, &list, 2, Towards::First), Some(1));
        assert_eq!(list.item(1).get(&job), Some(&before[1]));
        assert_eq!(move_work(&mut job, &list, 0, Towards::First), None);
        assert_eq!(duplicate_work(&mut job, &list, 99), None);
    }
}
