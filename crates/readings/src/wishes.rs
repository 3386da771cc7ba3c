//! What a user says about a file, as JSON: how a page and a worker hand it to each other, and how it
//! is kept for the next file of the same monitor.

use crate::{Place, Problem, Wishes, number::Decimal};
use serde_json::{Map, Value};

/// Reads them; a field that is not there is not said.
///
/// # Errors
///
/// [`Problem`] naming a field, what is allowed and what was given.
pub fn read(value: &Value) -> Result<Wishes, Problem> {
    let none = Map::new();
    let fields = match value {
        Value::Null => &none,
        Value::Object(fields) => fields,
        other => return Err(wrong("mapping", "an object", other)),
    };
    let mut wishes = Wishes::default();
    for (key, value) in fields {
        let text = || value.as_str().ok_or_else(|| wrong(key, "a text", value));
        let number = || value.as_f64().ok_or_else(|| wrong(key, "a number", value));
        let positive = || match number()? {
            number if number > 0.0 => Ok(number),
            _ => Err(wrong(key, "above 0", value)),
        };
        let column = |value: &Value| match value.as_u64() {
            Some(column @ 0..256) => Ok(column as usize),
            _ => Err(wrong(key, "a column from 0 to 255", value)),
        };
        match key.as_str() {
            "delimiter" => wishes.delimiter = Some(delimiter(text()?)?),
            "decimal" => wishes.decimal = Some(decimal(text()?)?),
            "place" => wishes.place = Some(place(text()?)?),
            "place_column" => wishes.place_column = Some(column(value)?),
            "place_unit" => wishes.place_unit = Some(text()?.to_owned()),
            "force_columns" => {
                let columns = value.as_array().ok_or_else(|| wrong(key, "a list", value))?;
                wishes.forces = Some(columns.iter().map(column).collect::<Result<_, _>>()?);
            }
            "force_unit" => wishes.force_unit = Some(text()?.to_owned()),
            "samples_per_second" => wishes.rate = Some(positive()?),
            "strokes_per_minute" => wishes.speed_spm = Some(positive()?),
            "bdc" => wishes.bdc = Some(number()?),
            "keep_spikes" => {
                let flag = value.as_bool();
                wishes.keep_spikes = flag.ok_or_else(|| wrong(key, "true or false", value))?;
            }
            _ => return Err(Problem::new(format!("mapping.{key} is not known"))),
        }
    }
    Ok(wishes)
}

fn wrong(key: &str, allowed: &str, given: &Value) -> Problem {
    Problem::new(format!("{key} must be {allowed}, but is {given}"))
}

/// What parts columns: one character, or `tab`, `space`.
///
/// # Errors
///
/// [`Problem`] for what cannot part columns.
pub fn delimiter(text: &str) -> Result<u8, Problem> {
    match text {
        "tab" | "\t" => Ok(b'\t'),
        "space" | " " => Ok(b' '),
        _ => match text.as_bytes() {
            [mark] if mark.is_ascii_punctuation() && !b"\".-+".contains(mark) => Ok(*mark),
            _ => Err(Problem::new(format!(
                "delimiter must be tab, space, or one of ; , | : and their like, but is {text:?}"
            ))),
        },
    }
}

/// The decimal mark.
///
/// # Errors
///
/// [`Problem`] for any other.
pub fn decimal(text: &str) -> Result<Decimal, Problem> {
    match text {
        "." | "point" => Ok(Decimal::Point),
        "," | "comma" => Ok(Decimal::Comma),
        _ => Err(Problem::new(format!("decimal must be point or comma, but is {text:?}"))),
    }
}

/// What tells where the slide is.
///
/// # Errors
///
/// [`Problem`] for any other word.
pub fn place(text: &str) -> Result<Place, Problem> {
    Place::ALL.into_iter().find(|place| place.key() == text).ok_or_else(|| {
        let names: Vec<&str> = Place::ALL.iter().map(|place| place.key()).collect();
        Problem::new(format!("place must be one of {}, but is {text:?}", names.join(", ")))
    })
}
