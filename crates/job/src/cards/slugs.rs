//! Slugs: which stations drop them, through which hole, how soon a blocked column reaches the die, who
//! clears.

use super::{Card, Table};
use crate::{Job, spec::Unit, units::UnitSystem, words};
use evenstroke_language::{number, say, tr};
use press_load::{Length, Line, Missing, slugs};
use serde::Serialize;

fn no_drop() -> &'static str {
    tr("free height below the die opening not entered (tape measure)")
}

/// The slugs of a station.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SlugRow {
    /// Name of the station.
    pub station: String,
    /// Free height below the die opening.
    pub drop_mm: Option<f64>,
    /// Strokes until a blocked column reaches the die.
    pub strokes_to_die: Option<f64>,
    /// Minutes until it does at the running speed.
    pub minutes_to_die: Option<f64>,
    /// What is missing for that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub missing: Option<&'static str>,
}

/// The stations that drop slugs, in the order of the job.
pub fn rows(job: &Job) -> Vec<SlugRow> {
    let rate = job.press.strokes_made_good();
    let stations = job.stations.iter().enumerate();
    stations
        .filter(|(_, station)| slugs::station_drops_slugs(station))
        .map(|(index, station)| {
            let stock = station.stock.as_ref().unwrap_or(&job.stock);
            let thickness = Length::from_metres(stock.thickness_m.on(Line::Nominal));
            let drop = job.setup.slug_drops.get(index).copied().flatten();
            let strokes = drop.and_then(|drop| slugs::strokes_to_fill(drop, thickness));
            let minutes = drop
                .zip(rate)
                .and_then(|(drop, rate)| slugs::minutes_to_fill(drop, thickness, rate));
            let missing = match (drop, rate) {
                (None, _) => Some(no_drop()),
                (_, None) => Some(tr(Missing::Speed.text())),
                _ => None,
            };
            SlugRow {
                station: station.name.clone(),
                drop_mm: drop.map(Length::millimetres),
                strokes_to_die: strokes,
                minutes_to_die: minutes,
                missing,
            }
        })
        .collect()
}

/// `3 min 20 s`.
fn minutes_words(minutes: f64) -> String {
    // Rounded down: who comes earlier comes in time.
    let seconds = (minutes * 60.0 + 1e-6).floor();
    if seconds >= 3_600.0 {
        say!("{} h {} min", (seconds / 3_600.0).floor(), ((seconds % 3_600.0) / 60.0).floor())
    } else {
        say!("{} min {} s", (seconds / 60.0).floor(), seconds % 60.0)
    }
}

impl SlugRow {
    /// How soon the column reaches the die, in words.
    fn words(&self) -> Result<String, String> {
        match (self.minutes_to_die, self.strokes_to_die, self.missing) {
            (Some(minutes), Some(strokes), _) => {
                Ok(say!("{}, {} strokes", minutes_words(minutes), number(strokes, 0)))
            }
            (None, Some(strokes), Some(missing)) => {
                Ok(say!("{} strokes; {}", number(strokes, 0), missing))
            }
            (_, _, missing) => Err(missing.unwrap_or(no_drop()).to_owned()),
        }
    }

    pub(super) fn show(&self, card: &mut Card) {
        let label = say!("Blocked slugs at {} reach the die in", self.station);
        match (self.words(), self.minutes_to_die) {
            (Ok(text), Some(minutes)) => {
                card.number_as("minutes_to_die", &label, minutes, Unit::One, text);
            }
            (Ok(text), None) => card.text("minutes_to_die", &label, text),
            (Err(missing), _) => card.missing("minutes_to_die", &label, missing),
        }
    }
}

/// The card on slugs; nothing where no station drops any.
pub fn slugs_card(job: &Job, units: UnitSystem) -> Option<Card> {
    let rows = rows(job);
    if rows.is_empty() {
        return None;
    }
    let mut card = Card::new("slugs", tr("Slugs"));
    let placement = job.die.placement.motion();
    let mut table = Table {
        head: vec![tr("station"), tr("falls through"), tr("blocked, reaches the die in")],
        rows: Vec::new(),
    };
    let dropping = job.stations.iter().filter(|station| slugs::station_drops_slugs(station));
    for (station, row) in dropping.zip(&rows) {
        let falls: Vec<slugs::SlugFall> = slugs::falls(&job.press, station, &placement).collect();
        let mut holes: Vec<String> = Vec::new();
        for fall in &falls {
            let words = match fall.hole {
                Some(hole) => {
                    say!(
                        "hole {}, {}",
                        hole + 1,
                        words::point_words(job.press.openings[hole].at, units)
                    )
                }
                None => tr("no hole lies under the whole slug").to_owned(),
            };
            if !holes.contains(&words) {
                holes.push(words);
            }
        }
        let through = if job.press.openings.is_empty() {
            tr("slug holes of the bolster not entered (tape measure)").to_owned()
        } else if falls.is_empty() {
            tr("only the cut length is known").to_owned()
        } else {
            holes.join("; ")
        };
        table.rows.push(vec![
            row.station.clone(),
            through,
            row.words().unwrap_or_else(|missing| missing),
        ]);
    }
    card.table = Some(table);
    let setup = &job.setup;
    for (key, label, text) in [
        ("cleared_by", tr("Cleared by"), &setup.slugs_cleared_by),
        ("cleared_every", tr("How often"), &setup.slugs_cleared_every),
    ] {
        if text.is_empty() {
            card.missing(key, label, tr("not entered"));
        } else {
            card.text(key, label, text.clone());
        }
    }
    let soonest = rows.iter().filter_map(|row| row.minutes_to_die).reduce(f64::min);
    if let Some(minutes) = soonest {
        card.number_as(
            "soonest_minutes",
            tr("Soonest"),
            minutes,
            Unit::One,
            minutes_words(minutes),
        );
    }
    card.say(tr("A column lies flat at best; bent slugs and burrs fill it sooner."));
    card.say(tr("Slugs that reach the die are struck by the punch and thrown out: look at every slug path before the first stroke and clear it with the press stopped and locked out."));
    Some(card)
}
