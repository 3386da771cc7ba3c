//! The place of a station changed as it lies on the plan.
//!
//! Along a strip x, y and strip position belong to the place, and what is done there is the station's.
//! A station that is moved takes its work along to another place: where the pitch is known, every whole
//! pitch along the feed is one strip position; where it is not, the strip position stays as it was.

use crate::units::UnitSystem;
use evenstroke_language::{say, tr};
use press_load::Length;
use serde_json::Value;

/// Where a station stood before it was moved, in die coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StationPlace {
    /// Right of the die's centre.
    pub x_mm: f64,
    /// Behind the die's centre.
    pub y_mm: f64,
    /// Position along the strip as written in the file, if it is.
    pub strip_position: Option<u64>,
}

/// The place of a station; none where there is no such station.
pub fn place_of(document: &Value, index: usize) -> Option<StationPlace> {
    let station = document["stations"].get(index)?;
    let number = |key: &str| station[key].as_f64().unwrap_or(0.0);
    Some(StationPlace {
        x_mm: number("x_mm"),
        y_mm: number("y_mm"),
        strip_position: station["strip_position"].as_u64(),
    })
}

/// Whether a station is to be kept as it is.
pub fn is_locked(document: &Value, index: usize) -> bool {
    document["stations"][index]["locked"] == true
}

/// Puts a station that stood at `from` at another place, to a tenth of a millimetre, with its strip
/// position. A locked one stays.
pub fn put(document: &mut Value, index: usize, from: &StationPlace, (x_mm, y_mm): (f64, f64)) {
    if is_locked(document, index) {
        return;
    }
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    let to = (tenth(x_mm), tenth(y_mm));
    let position = from.strip_position.unwrap_or(index as u64 + 1);
    let steps = feed(document).map_or(0.0, |(pitch, direction)| {
        let along = (to.0 - from.x_mm) * direction.0 + (to.1 - from.y_mm) * direction.1;
        (along / pitch).round()
    });
    let Some(station) = document["stations"].get_mut(index).and_then(Value::as_object_mut) else {
        return;
    };
    station.insert("x_mm".to_owned(), to.0.into());
    station.insert("y_mm".to_owned(), to.1.into());
    match from.strip_position {
        None if steps == 0.0 => {
            station.shift_remove("strip_position");
        }
        _ => {
            let position = (position as f64 + steps).clamp(1.0, 10_000.0) as u64;
            station.insert("strip_position".to_owned(), position.into());
        }
    }
}

/// A place for a station caught where that is no farther than `hold_mm`: along the feed whole pitches
/// from its neighbour, across it on the line of the neighbour. Without a pitch only on the line.
pub fn caught(
    document: &Value,
    index: usize,
    from: &StationPlace,
    to: (f64, f64),
    hold_mm: f64,
) -> (f64, f64) {
    let other = if index == 0 { 1 } else { index - 1 };
    let base = place_of(document, other).map_or((from.x_mm, from.y_mm), |at| (at.x_mm, at.y_mm));
    let strip = feed(document);
    let held = |value: f64, base: f64, pitch: Option<f64>| {
        let place = pitch.map_or(base, |pitch| base + ((value - base) / pitch).round() * pitch);
        let hold = pitch.map_or(hold_mm, |pitch| hold_mm.min(pitch / 4.0));
        if (value - place).abs() <= hold { place } else { value }
    };
    let pitch = |component: f64| strip.filter(|_| component.abs() > 0.5).map(|(pitch, _)| pitch);
    let direction = strip.map_or((0.0, 0.0), |(_, direction)| direction);
    (held(to.0, base.0, pitch(direction.0)), held(to.1, base.1, pitch(direction.1)))
}

/// The pitch in millimetres and the direction of the feed in die coordinates, where the strip is
/// followed.
fn feed(document: &Value) -> Option<(f64, (f64, f64))> {
    let strip = &document["die"]["strip"];
    let pitch = strip["pitch_mm"].as_f64().filter(|pitch| *pitch > 0.0)?;
    let direction = match strip["feed"].as_str() {
        Some("right_to_left") => (-1.0, 0.0),
        Some("front_to_back") => (0.0, 1.0),
        Some("back_to_front") => (0.0, -1.0),
        _ => (1.0, 0.0),
    };
    Some((pitch, direction))
}

/// The pitch of the strip in millimetres and the way from one station to the next, for keys that step
/// by it.
pub fn pitch_step(document: &Value) -> Option<(f64, f64)> {
    feed(document).map(|(pitch, direction)| (pitch * direction.0.abs(), pitch * direction.1.abs()))
}

/// Where a station is now, what moved with it and what did not.
pub fn words(
    document: &Value,
    index: usize,
    from: Option<&StationPlace>,
    units: UnitSystem,
) -> String {
    let Some(now) = place_of(document, index) else { return String::new() };
    let name = match document["stations"][index]["name"].as_str() {
        Some(name) if !name.is_empty() => name.to_owned(),
        _ => say!("Station {}", index + 1),
    };
    let at = |mm: f64| Length::from_millimetres(mm);
    let place = match crate::words::direction_words(at(now.x_mm), at(now.y_mm), units).as_str() {
        centre if centre == tr("at the centre") => tr("at the die centre").to_owned(),
        words => say!("{} of the die centre", words),
    };
    let mut text = format!("{}. {name} {place}", index + 1);
    if is_locked(document, index) {
        text += tr("; locked, so it stays: “Keep as it is” in its form");
        return text;
    }
    if !matches!(document["die"]["kind"].as_str(), Some("progressive" | "transfer")) {
        text += tr("; nothing else moves");
        return text;
    }
    let number = |place: &StationPlace| place.strip_position.unwrap_or(index as u64 + 1);
    let position = number(&now);
    text += &match from.map(number) {
        Some(was) if was != position => {
            say!("; its work goes to strip position {}, from {}", position, was)
        }
        _ => say!("; it keeps strip position {}", position),
    };
    if is_out_of_order(document, index, &now) {
        text += tr(
            "; the strip meets its stations in another order than their positions: “Move up” and “Move down” in the form exchange the work of two places",
        );
    }
    text
}

/// Whether another station with a smaller strip position lies farther along the feed, or the other way
/// round.
fn is_out_of_order(document: &Value, index: usize, now: &StationPlace) -> bool {
    let Some((_, direction)) = feed(document) else { return false };
    let along = |place: &StationPlace| place.x_mm * direction.0 + place.y_mm * direction.1;
    let number =
        |place: &StationPlace, index: usize| place.strip_position.unwrap_or(index as u64 + 1);
    let count = document["stations"].as_array().map_or(0, Vec::len);
    (0..count).filter(|&other| other != index).any(|other| {
        place_of(document, other).is_some_and(|place| {
            let (here, there) = (number(now, index), number(&place, other));
            let ahead = along(now) - along(&place);
            (here > there && ahead < -0.05) || (here < there && ahead > 0.05)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Job, demo::DEMOS};

    /// The first demo: a strip fed to the right with a pitch of 120 mm.
    fn demo() -> Value {
        serde_json::from_str(DEMOS[0].text).expect("demo is JSON")
    }

    fn told(job: &Value, index: usize) -> (f64, f64, Option<u64>) {
        let at = place_of(job, index).expect("it is there");
        (at.x_mm, at.y_mm, at.strip_position)
    }

    #[test]
    fn whole_pitches_along_the_feed_take_the_strip_position_along() {
        let mut job = demo();
        let from = place_of(&job, 3).expect("four stations and more");
        let (x, y, position) = told(&job, 3);
        put(&mut job, 3, &from, (x - 120.0, y + 3.04));
        assert_eq!(told(&job, 3), (x - 120.0, y + 3.0, position.map(|at| at - 1)));
        assert!(Job::from_value(&job).is_ok());
        put(&mut job, 3, &from, (x + 20.0, y));
        assert_eq!(told(&job, 3), (x + 20.0, y, position), "less than half a pitch is none");
        put(&mut job, 3, &from, (from.x_mm, from.y_mm));
        assert_eq!(told(&job, 3), (x, y, position), "and back");
    }

    #[test]
    fn without_a_pitch_the_strip_position_stays() {
        let mut job = demo();
        job["die"]["strip"] = Value::Null;
        let from = place_of(&job, 1).expect("two stations");
        put(&mut job, 1, &from, (from.x_mm + 500.0, from.y_mm));
        assert_eq!(told(&job, 1).2, from.strip_position);
        assert!(
            words(&job, 1, Some(&from), UnitSystem::Metric).contains("it keeps strip position")
        );
    }

    #[test]
    fn a_locked_station_stays() {
        let mut job = demo();
        job["stations"][1]["locked"] = true.into();
        let before = job.clone();
        let from = place_of(&job, 1).expect("two stations");
        put(&mut job, 1, &from, (0.0, 0.0));
        assert_eq!(job, before);
        assert!(words(&job, 1, Some(&from), UnitSystem::Metric).contains("locked, so it stays"));
    }

    #[test]
    fn near_a_pitch_a_station_is_caught_and_farther_away_it_is_free() {
        let job = demo();
        let from = place_of(&job, 1).expect("two stations");
        let first = place_of(&job, 0).expect("a station");
        let pitch_on = first.x_mm + 120.0;
        assert_eq!(
            caught(&job, 1, &from, (pitch_on + 4.0, first.y_mm - 4.0), 5.0),
            (pitch_on, first.y_mm)
        );
        let free = (pitch_on + 20.0, first.y_mm + 20.0);
        assert_eq!(caught(&job, 1, &from, free, 5.0), free);
    }

    #[test]
    fn words_say_what_moves_and_when_the_order_is_broken() {
        let mut job = demo();
        let from = place_of(&job, 1).expect("two stations");
        put(&mut job, 1, &from, (from.x_mm + 120.0, from.y_mm));
        let moved = words(&job, 1, Some(&from), UnitSystem::Metric);
        assert!(moved.contains("its work goes to strip position 3, from 2"), "{moved}");
        job["die"]["strip"]["pitch_mm"] = 10_000.into();
        put(&mut job, 1, &from, (from.x_mm + 400.0, from.y_mm));
        let odd = words(&job, 1, Some(&from), UnitSystem::Metric);
        assert!(odd.contains("another order than their positions"), "{odd}");
        job["die"]["kind"] = "single".into();
        assert!(words(&job, 1, Some(&from), UnitSystem::Metric).ends_with("nothing else moves"));
    }
}
