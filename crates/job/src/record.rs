//! The record of a die: set-ups, readings, grinds, repairs, remarks; and whether its last good set-up still
//! holds for a job.

use crate::{
    Job, Refusal,
    build::Fields,
    day::Day,
    units::UnitSystem,
    words::{direction_words, fine_length},
};
use evenstroke_language::{number, say, tr};
use press_load::{Force, Length, Line, Stress};
use serde_json::Value;

/// Closed heights closer than this are the same: what a gauge leaves open (common practice, no source).
const SAME_HEIGHT_MM: f64 = 0.05;
/// Speeds closer than this part are the same (common practice, no source).
const SAME_SPEED: f64 = 0.02;
/// Places closer than this are the same: what clamping leaves open (common practice, no source).
const SAME_PLACE_MM: f64 = 1.0;

/// What was set, read, ground and repaired.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Record {
    /// Set-ups, in the order of the file.
    pub setups: Vec<SetupEntry>,
    /// Readings of the load display.
    pub readings: Vec<Reading>,
    /// Sharpenings, with what each took off where that is recorded.
    pub grinds: Vec<(Day, Option<Length>)>,
    /// Repairs.
    pub repairs: Vec<(Day, String)>,
    /// Closed heights as measured.
    pub shut_heights: Vec<(Day, Length)>,
    /// Remarks, with who made them.
    pub remarks: Vec<(Day, String, String)>,
    /// Names of the pictures; the pictures themselves stay in the file.
    pub photos: Vec<String>,
}

/// Peaks on the load display.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Peaks {
    /// Of the whole press.
    pub total: Option<Force>,
    /// Of each suspension point.
    pub points: Vec<Force>,
    /// Reverse load.
    pub reverse: Option<Force>,
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Day.
    pub day: Day,
    /// Time of day.
    pub time: String,
    /// What the display said.
    pub peaks: Peaks,
    /// Strokes per minute then.
    pub speed_spm: Option<f64>,
}

/// One set-up as it was.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupEntry {
    /// Day.
    pub day: Day,
    /// Time of day.
    pub time: String,
    /// Who set.
    pub set_by: String,
    /// Who checked.
    pub checked_by: String,
    /// Who tested the guards.
    pub guards_tested_by: String,
    /// When the guards were tested.
    pub guards_tested_at: String,
    /// Whether the first part was accepted.
    pub first_off: Option<bool>,
    /// Who checked the first part.
    pub first_off_by: String,
    /// Safety blocks put in.
    pub blocks_in: Option<u32>,
    /// Safety blocks taken out.
    pub blocks_out: Option<u32>,
    /// Whether it ran well.
    pub good: bool,
    /// Name of the press.
    pub press: String,
    /// Designation of the stock.
    pub material: String,
    /// Its thickness.
    pub thickness: Option<Length>,
    /// Strokes per minute.
    pub speed_spm: Option<f64>,
    /// Closed height of the die.
    pub shut_height: Option<Length>,
    /// What the slide was set to.
    pub slide_setting: Option<Length>,
    /// Die centre from bolster centre, to the right and to the back.
    pub place: Option<(Length, Length)>,
    /// Turn in degrees.
    pub turn_deg: Option<f64>,
    /// Air of the counterbalance.
    pub counterbalance: Option<Stress>,
    /// What the display said.
    pub peaks: Peaks,
    /// Anything worth knowing.
    pub remark: String,
}

/// What makes a set-up void for a job.
#[derive(Clone, Debug, PartialEq)]
pub struct VoidReason {
    /// What differs.
    pub what: Differs,
    /// How it was then.
    pub then: String,
    /// How it is now.
    pub now: String,
}

/// What may differ between a set-up and a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Differs {
    /// The die was ground since.
    Ground,
    /// The die was repaired since.
    Repaired,
    /// Another press.
    Press,
    /// Another material.
    Material,
    /// Another thickness.
    Thickness,
    /// Another speed.
    Speed,
    /// Another closed height.
    ShutHeight,
    /// Another place on the bolster.
    Place,
}

impl Differs {
    /// What it is called.
    pub fn label(self) -> &'static str {
        tr(match self {
            Self::Ground => "the die was ground",
            Self::Repaired => "the die was repaired",
            Self::Press => "another press",
            Self::Material => "another material",
            Self::Thickness => "another thickness",
            Self::Speed => "another speed",
            Self::ShutHeight => "another closed height",
            Self::Place => "another place on the bolster",
        })
    }
}

/// Whether the last good set-up still holds for a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// Index of that set-up in the record.
    pub setup: usize,
    /// What makes it void; it holds if there is nothing.
    pub void: Vec<VoidReason>,
    /// What could not be compared, because it is missing on one side.
    pub not_compared: Vec<Differs>,
}

/// Reads a record that fits the description.
///
/// # Errors
///
/// [`Refusal`] where more safety blocks came out than went in.
pub(crate) fn read(fields: Fields) -> Result<Record, Refusal> {
    let rows = |key: &str| -> Vec<Fields> {
        fields.list(key).iter().filter_map(Value::as_object).map(Fields).collect()
    };
    let day = |row: Fields| Day::read(row.word("date"));
    let text = |row: Fields, key: &str| row.word(key).to_owned();
    let mut setups = Vec::new();
    for (index, row) in rows("setups").into_iter().enumerate() {
        let blocks = |key: &str| row.number(key).map(|count| count as u32);
        let (blocks_in, blocks_out) = (blocks("blocks_in"), blocks("blocks_out"));
        if let (Some(put_in), Some(out)) = (blocks_in, blocks_out)
            && out > put_in
        {
            return Err(Refusal {
                path: format!("record.setups[{index}].blocks_out"),
                allowed: say!("must be at most {}, the blocks put in", put_in),
                given: out.to_string(),
            });
        }
        let Some(day) = day(row) else { continue };
        setups.push(SetupEntry {
            day,
            time: text(row, "time"),
            set_by: text(row, "set_by"),
            checked_by: text(row, "checked_by"),
            guards_tested_by: text(row, "guards_tested_by"),
            guards_tested_at: text(row, "guards_tested_at"),
            first_off: row.value("first_off").map(|word| word == "accepted"),
            first_off_by: text(row, "first_off_by"),
            blocks_in,
            blocks_out,
            good: row.flag("good").unwrap_or(false),
            press: text(row, "press"),
            material: text(row, "material"),
            thickness: row.mm("thickness_mm"),
            speed_spm: row.number("speed_spm"),
            shut_height: row.mm("shut_height_mm"),
            slide_setting: row.mm("slide_setting_mm"),
            place: row.mm("x_mm").zip(row.mm("y_mm")),
            turn_deg: row.number("turn_deg"),
            counterbalance: row.number("counterbalance_mpa").map(Stress::from_megapascals),
            peaks: peaks(row),
            remark: text(row, "remark"),
        });
    }
    let dated = |key: &str| rows(key).into_iter().filter_map(|row| Some((day(row)?, row)));
    Ok(Record {
        setups,
        readings: dated("readings")
            .map(|(day, row)| Reading {
                day,
                time: text(row, "time"),
                peaks: peaks(row),
                speed_spm: row.number("speed_spm"),
            })
            .collect(),
        grinds: dated("grinds").map(|(day, row)| (day, row.mm("amount_mm"))).collect(),
        repairs: dated("repairs").map(|(day, row)| (day, text(row, "what"))).collect(),
        shut_heights: dated("shut_heights")
            .filter_map(|(day, row)| Some((day, row.mm("height_mm")?)))
            .collect(),
        remarks: dated("remarks")
            .map(|(day, row)| (day, text(row, "text"), text(row, "by")))
            .collect(),
        photos: rows("photos").into_iter().map(|row| text(row, "name")).collect(),
    })
}

/// What a grind took off, in words.
pub(crate) fn taken_off(amount: Option<Length>, units: UnitSystem) -> String {
    amount.map_or_else(
        || tr("how much is not recorded").to_owned(),
        |amount| say!("{} taken off", fine_length(amount, units)),
    )
}

/// What a new entry on a set-up begins with: day and time, and what the job as it stands knows of press,
/// stock, height, place and speed. What nobody has measured or signed is left out.
pub fn entry_of(document: &Value, date: &str, time: &str) -> Value {
    let mut entry = serde_json::Map::new();
    entry.insert("date".to_owned(), date.into());
    entry.insert("time".to_owned(), time.into());
    let (press, die) = (&document["press"], &document["die"]);
    for (key, value) in [
        ("press", &press["name"]),
        ("material", &document["stock"]["material"]),
        // That of the job is what was ordered; only the coil's own was measured.
        ("thickness_mm", &document["coil"]["thickness_mm"]),
        ("speed_spm", &press["speed_spm"]),
        ("shut_height_mm", &die["shut_height_mm"]),
        ("x_mm", &die["placement"]["x_mm"]),
        ("y_mm", &die["placement"]["y_mm"]),
        ("turn_deg", &die["placement"]["turn_deg"]),
    ] {
        if !value.is_null() {
            entry.insert(key.to_owned(), value.clone());
        }
    }
    Value::Object(entry)
}

fn peaks(row: Fields) -> Peaks {
    Peaks {
        total: row.kn("total_kn"),
        points: row
            .list("points_kn")
            .iter()
            .filter_map(Value::as_f64)
            .map(Force::from_kilonewtons)
            .collect(),
        reverse: row.kn("reverse_kn"),
    }
}

impl Record {
    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Index of the last good set-up: the latest by day and time, of equal ones the later in the file.
    pub fn last_good(&self) -> Option<usize> {
        let good = self.setups.iter().enumerate().filter(|(_, setup)| setup.good);
        good.max_by_key(|(index, setup)| (setup.day, setup.time.clone(), *index))
            .map(|found| found.0)
    }
}

impl Job {
    /// Whether the record's last good set-up still holds for this job, told in these units; nothing where the
    /// record has none.
    ///
    /// It is void if since then the die was ground or repaired, or if the job's press, material, thickness,
    /// speed, closed height or place are others. What was done on the day of the set-up counts as since then:
    /// which came first the record does not say.
    pub fn last_good_setup(&self, units: UnitSystem) -> Option<Standing> {
        let record = &self.setup.record;
        let setup = record.last_good()?;
        let entry = &record.setups[setup];
        let mut standing = Standing { setup, void: Vec::new(), not_compared: Vec::new() };
        let fine = |length: Length| fine_length(length, units);
        for (day, amount) in record.grinds.iter().filter(|grind| grind.0 >= entry.day) {
            let now = format!("{day}: {}", taken_off(*amount, units));
            standing.differs(Differs::Ground, entry.day.to_string(), now);
        }
        for (day, what) in record.repairs.iter().filter(|repair| repair.0 >= entry.day) {
            standing.differs(Differs::Repaired, entry.day.to_string(), format!("{day}: {what}"));
        }
        for (what, then, now) in [
            (Differs::Press, &entry.press, &self.press_name),
            (Differs::Material, &entry.material, &self.material),
        ] {
            let (then, now) = (then.trim(), now.trim());
            if then.is_empty() || now.is_empty() {
                standing.not_compared.push(what);
            } else if then.to_lowercase() != now.to_lowercase() {
                standing.differs(what, then.to_owned(), now.to_owned());
            }
        }
        let (low, high) = (self.stock.thickness_m.low() * 1e3, self.stock.thickness_m.high() * 1e3);
        // This coil's own thickness says more than the range of the job.
        let coil = self.coil.as_ref().and_then(|coil| coil.thickness_m).map(|metres| metres * 1e3);
        let (low, high) = coil.map_or((low, high), |t| (t - SAME_HEIGHT_MM, t + SAME_HEIGHT_MM));
        match entry.thickness.map(Length::millimetres) {
            Some(then) if then < low - 1e-9 || then > high + 1e-9 => {
                let middle = coil.unwrap_or(self.stock.thickness_m.on(Line::Nominal) * 1e3);
                let words = |mm: f64| fine(Length::from_millimetres(mm));
                standing.differs(Differs::Thickness, words(then), words(middle));
            }
            Some(_) => {}
            None => standing.not_compared.push(Differs::Thickness),
        }
        match (entry.speed_spm, self.press.speed.map(press_load::StrokeRate::per_minute)) {
            (Some(then), Some(now)) if (now / then - 1.0).abs() > SAME_SPEED => {
                let words = |rate: f64| say!("{} strokes/min", number(rate, 0));
                standing.differs(Differs::Speed, words(then), words(now));
            }
            (Some(_), Some(_)) => {}
            _ => standing.not_compared.push(Differs::Speed),
        }
        match (entry.shut_height, self.die.shut_height) {
            (Some(then), Some(now)) if (then - now).abs().millimetres() > SAME_HEIGHT_MM + 1e-9 => {
                standing.differs(Differs::ShutHeight, fine(then), fine(now));
            }
            (Some(_), Some(_)) => {}
            _ => standing.not_compared.push(Differs::ShutHeight),
        }
        let at = self.die.placement;
        match entry.place {
            Some((x, y)) => {
                let moved = (x - at.x).abs().max((y - at.y).abs()).millimetres();
                let turned = entry
                    .turn_deg
                    .is_some_and(|turn| (turn - at.turn_deg).rem_euclid(360.0) != 0.0);
                if moved > SAME_PLACE_MM || turned {
                    let words = |x: Length, y: Length, turn: f64| {
                        let place = direction_words(x, y, units);
                        match turn.rem_euclid(360.0) {
                            0.0 => place,
                            turn => say!("{}, turned {}°", place, turn),
                        }
                    };
                    let then = words(x, y, entry.turn_deg.unwrap_or(at.turn_deg));
                    standing.differs(Differs::Place, then, words(at.x, at.y, at.turn_deg));
                } else if entry.turn_deg.is_none() {
                    standing.not_compared.push(Differs::Place);
                }
            }
            None => standing.not_compared.push(Differs::Place),
        }
        Some(standing)
    }
}

impl Standing {
    /// Whether nothing that could be compared makes it void.
    pub fn holds(&self) -> bool {
        self.void.is_empty()
    }

    fn differs(&mut self, what: Differs, then: String, now: String) {
        self.void.push(VoidReason { what, then, now });
    }
}
