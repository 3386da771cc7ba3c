//! The numbers of a file.

use crate::{
    Mapping, Place, Problem, Wishes,
    number::{Decimal, number},
    rows::{Rows, words},
};

/// Most samples of a file.
pub const MOST_SAMPLES: usize = 20_000_000;

/// Samples in the order of the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Samples {
    /// Seconds, degrees or millimetres.
    pub place: Vec<f64>,
    /// Kilonewtons of each channel. A load monitor has 12 to 16 bits, single precision 24.
    pub channels: Vec<Vec<f32>>,
}

/// Reads the numbers of a text.
///
/// # Errors
///
/// [`Problem`] with the line of a cell that is missing or is no number, of time that goes back, of too
/// many samples, or where all of a channel is nothing.
pub fn samples(text: &[u8], mapping: &Mapping, wishes: &Wishes) -> Result<Samples, Problem> {
    let (place_factor, force_factor) = (mapping.place_factor()?, mapping.force_factor()? as f32);
    let step = match (mapping.place, wishes.rate) {
        (Place::Count, Some(rate)) if rate > 0.0 && rate.is_finite() => 1.0 / rate,
        (Place::Count, given) => {
            return Err(Problem::new(format!(
                "no column tells where the slide is: name one, or say how many samples a second has{}",
                given.map_or(String::new(), |rate| format!(
                    ", which must be above 0, but is {rate}"
                ))
            )));
        }
        _ => 0.0,
    };
    let mut found = Samples { place: Vec::new(), channels: vec![Vec::new(); mapping.forces.len()] };
    let mut rows = Rows::new(text, mapping.delimiter);
    while rows.go_on()? {
        if rows.line < mapping.first_line {
            continue;
        }
        if found.place.len() == MOST_SAMPLES {
            return Err(Problem::at(
                rows.line,
                format!("must be at most {MOST_SAMPLES} samples; record fewer strokes"),
            ));
        }
        let place = match mapping.place {
            Place::Count => found.place.len() as f64 * step,
            _ => place_factor * cell(&rows, mapping.place_column, mapping)?,
        };
        if mapping.place == Place::Time
            && let Some(&last) = found.place.last()
            && place < last
        {
            return Err(Problem::at(
                rows.line,
                format!("time must not go back, but goes from {last} s to {place} s"),
            ));
        }
        if !place.is_finite() {
            return Err(Problem::at(
                rows.line,
                format!("{} is beyond all numbers", mapping.place.label()),
            ));
        }
        found.place.push(place);
        for (channel, &column) in found.channels.iter_mut().zip(&mapping.forces) {
            channel.push(force_factor * cell(&rows, column, mapping)? as f32);
        }
    }
    for (channel, &column) in found.channels.iter().zip(&mapping.forces) {
        if channel.iter().any(|force| !force.is_finite()) {
            return Err(Problem::new(format!(
                "column {} has forces beyond all numbers",
                column + 1
            )));
        }
        if channel.iter().all(|&force| force == channel[0]) {
            return Err(Problem::new(format!(
                "column {} must be a force that changes, but is {} kN in all {} rows; is the right column chosen, and was the channel connected?",
                column + 1,
                channel.first().copied().unwrap_or(0.0),
                channel.len()
            )));
        }
    }
    Ok(found)
}

fn cell(rows: &Rows, column: usize, mapping: &Mapping) -> Result<f64, Problem> {
    let bytes = rows.cell(column);
    if let Some(value) = number(bytes, mapping.decimal) {
        return Ok(value);
    }
    let column_words = format!("column {}", column + 1);
    if column >= rows.count() {
        return Err(Problem::at(
            rows.line,
            format!("{column_words} is missing: the row has only {}", rows.count()),
        ));
    }
    let other = match mapping.decimal {
        Decimal::Point => Decimal::Comma,
        Decimal::Comma => Decimal::Point,
    };
    let mixed = if number(bytes, other).is_some() {
        format!(
            "; the numbers before have a decimal {}",
            crate::columns::decimal_words(mapping.decimal)
        )
    } else {
        String::new()
    };
    let given = words(bytes);
    Err(Problem::at(
        rows.line,
        if given.is_empty() {
            format!("{column_words} must be a number, but is empty")
        } else {
            format!("{column_words} must be a number, but is “{given}”{mixed}")
        },
    ))
}
