//! What is in a group of fields, in one line.

use evenstroke_job::{
    entry::digits,
    spec::{FieldSpec, Shape, Unit},
    units::UnitSystem,
};
use evenstroke_language::{decimal, say, tr};
use serde_json::Value;

/// Most parts of a line.
const MOST_PARTS: usize = 6;

/// What `value` holds, in a line; that it is empty, where it is.
pub fn summary(shape: &Shape, value: &Value, units: UnitSystem) -> String {
    let mut parts = Vec::new();
    gather(shape, "", value, units, &mut parts);
    line(&parts)
}

/// The same for some fields of an object.
pub fn summary_of(fields: &[&'static FieldSpec], object: &Value, units: UnitSystem) -> String {
    let mut parts = Vec::new();
    for field in fields {
        gather(&field.shape, tr(field.label), &object[field.key], units, &mut parts);
    }
    line(&parts)
}

fn line(parts: &[String]) -> String {
    if parts.is_empty() { tr("nothing entered").to_owned() } else { parts.join(" · ") }
}

fn gather(
    shape: &Shape,
    label: &'static str,
    value: &Value,
    units: UnitSystem,
    parts: &mut Vec<String>,
) {
    if parts.len() >= MOST_PARTS {
        return;
    }
    let named = |words: String| if label.is_empty() { words } else { format!("{label} {words}") };
    match shape {
        Shape::Number(spec) => parts.extend(number(value, spec.unit, units).map(named)),
        Shape::NumberOrRange(spec) => {
            let ends = number(&value["low"], spec.unit, units)
                .zip(number(&value["high"], spec.unit, units))
                .map(|(low, high)| say!("{} to {}", low, high));
            parts.extend(ends.or_else(|| number(value, spec.unit, units)).map(named));
        }
        Shape::Whole { .. } | Shape::WholeOf(_) => {
            parts.extend(value.as_i64().map(|whole| named(whole.to_string())));
        }
        Shape::Text { .. } | Shape::Date | Shape::Time => {
            parts.extend(value.as_str().filter(|text| !text.is_empty()).map(str::to_owned));
        }
        Shape::Choice(words) => {
            let word = value.as_str().unwrap_or_default();
            parts.extend(words.iter().find(|choice| choice.0 == word).map(|c| tr(c.1).to_owned()));
        }
        Shape::Flag => parts.extend(
            value.as_bool().map(|yes| named(if yes { tr("yes") } else { tr("no") }.to_owned())),
        ),
        Shape::Object(spec) => {
            for field in spec.fields {
                gather(&field.shape, tr(field.label), &value[field.key], units, parts);
            }
        }
        Shape::List { .. } => {
            let lines = value.as_array().map_or(0, Vec::len);
            parts.extend((lines > 0).then(|| named(format!("({lines})"))));
        }
        Shape::Tagged { tag, kinds, .. } => {
            let word = value[*tag].as_str().unwrap_or_default();
            if let Some((_, name, body)) = kinds.iter().find(|kind| kind.0 == word) {
                parts.push(tr(name).to_owned());
                gather(body, "", value, units, parts);
            }
        }
        Shape::OneOf(fields) => {
            for field in *fields {
                if let Some(inner) = value.get(field.key) {
                    parts.push(tr(field.label).to_owned());
                    gather(&field.shape, "", inner, units, parts);
                }
            }
        }
        Shape::FixedOr(other) => match value.as_str() {
            Some(_) => parts.push(tr("fixed to the lower die").to_owned()),
            None => gather(other, label, value, units, parts),
        },
        Shape::Pair(_) | Shape::Exactly(_) | Shape::Image { .. } => {}
    }
}

fn number(value: &Value, unit: Unit, units: UnitSystem) -> Option<String> {
    let number = decimal(digits(units.to_screen(value.as_f64()?, unit)));
    let symbol = units.symbol(unit);
    Some(match unit {
        Unit::One => number,
        Unit::Deg => format!("{number}{symbol}"),
        _ => format!("{number} {symbol}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use evenstroke_job::{
        demo::DEMOS,
        spec::{PRESS, WORK},
    };

    #[test]
    fn a_group_is_told_in_one_line_with_its_units() {
        let job: Value = serde_json::from_str(DEMOS[0].text).expect("demo is JSON");
        let bolster = PRESS.fields.iter().find(|field| field.key == "bolster").expect("a bolster");
        let told = summary(&bolster.shape, &job["press"]["bolster"], UnitSystem::Metric);
        assert!(told.starts_with("Left to right 1250 mm · Front to back "), "{told}");
        assert_eq!(summary(&bolster.shape, &Value::Null, UnitSystem::Metric), "nothing entered");
        let work = summary(&WORK, &job["stations"][0]["work"][0], UnitSystem::UsCustomary);
        assert!(
            work.starts_with("cut · pierce · circle · Diameter ") && work.contains(" in"),
            "{work}"
        );
    }
}
