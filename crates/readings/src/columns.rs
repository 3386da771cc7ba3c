//! What a file's columns hold: guessed from its first rows, or as the user says.

use crate::{
    Problem,
    number::{Decimal, number},
    rows::{Rows, words},
};
use evenstroke_job::{entry, spec::Unit, units::UnitSystem};

/// Rows that are looked at for a guess.
const LOOKED_AT: usize = 200;
/// Rows of a preview.
const SHOWN: usize = 6;

/// What tells where the slide is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Seconds.
    Time,
    /// Degrees of the crank.
    Angle,
    /// Millimetres of slide height.
    Height,
    /// Nothing: samples at even times.
    Count,
}

impl Place {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Time, Self::Angle, Self::Height, Self::Count];

    /// Its name in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Angle => "angle",
            Self::Height => "height",
            Self::Count => "count",
        }
    }

    /// What people call it.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Angle => "crank angle",
            Self::Height => "slide height",
            Self::Count => "no column: even samples",
        }
    }

    /// Words by which a column is known, in lower case; they begin the name.
    const fn names(self) -> &'static [&'static str] {
        match self {
            Self::Time => &["time", "zeit", "temps", "tiempo", "tempo", "t", "sec"],
            Self::Angle => &["angle", "crank", "winkel", "kurbel", "deg", "encoder", "angulo", "°"],
            Self::Height => {
                &["height", "slide", "ram", "position", "pos", "weg", "höhe", "hoehe", "h"]
            }
            Self::Count => &[],
        }
    }

    /// How many seconds, degrees or millimetres a unit is.
    fn factor(self, unit: &str) -> Result<f64, String> {
        let small = unit.to_lowercase();
        let known: &[(&str, f64)] = match self {
            Self::Time => &[
                ("s", 1.0),
                ("sec", 1.0),
                ("ms", 1e-3),
                ("msec", 1e-3),
                ("us", 1e-6),
                ("µs", 1e-6),
                ("min", 60.0),
            ],
            Self::Angle => &[
                ("deg", 1.0),
                ("°", 1.0),
                ("degree", 1.0),
                ("degrees", 1.0),
                // German for degrees, as heads have it; a gon is none.
                ("grad", 1.0),
                ("rad", 180.0 / std::f64::consts::PI),
            ],
            Self::Height => return unit_factor(unit, Unit::Mm),
            Self::Count => &[],
        };
        known.iter().find(|row| row.0 == small).map(|row| row.1).ok_or_else(|| {
            let names: Vec<&str> = known.iter().map(|row| row.0).collect();
            format!("unit of {} must be one of {}, but is {unit:?}", self.label(), names.join(", "))
        })
    }

    /// The unit that is taken where none is told.
    pub const fn usual_unit(self) -> &'static str {
        match self {
            Self::Time => "s",
            Self::Angle => "deg",
            Self::Height => "mm",
            Self::Count => "",
        }
    }
}

/// Words by which a column of force is known.
const FORCES: &[&str] = &["force", "load", "tonnage", "kraft", "fuerza", "carico"];
/// Words by which a column is known that is neither.
const OTHERS: &[&str] = &[
    "no",
    "nr",
    "index",
    "sample",
    "count",
    "counter",
    "stroke",
    "hub",
    "speed",
    "spm",
    "temperature",
];

/// How many units of the job file a unit is.
fn unit_factor(unit: &str, of: Unit) -> Result<f64, String> {
    // What would be arithmetic is no unit.
    let in_units = |letter: char| letter.is_alphabetic() || " -.°µ'\"".contains(letter);
    if unit.is_empty() || !unit.chars().all(in_units) || unit.starts_with('-') {
        return Err(format!("{unit:?} is no unit"));
    }
    match entry::read(&format!("1 {unit}"), of, UnitSystem::Metric) {
        Ok(Some(found)) if found.value > 0.0 => Ok(found.value),
        Ok(_) => Err(format!("{unit:?} is no unit")),
        Err(error) => Err(error.to_string()),
    }
}

/// How many kilonewtons a unit of force is.
///
/// # Errors
///
/// Why it is none, in words; a bare ton has two meanings.
pub fn force_unit(unit: &str) -> Result<f64, String> {
    unit_factor(unit, Unit::Kn)
}

/// What the user says about a file and its reading; what is not said is guessed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wishes {
    /// Byte between columns.
    pub delimiter: Option<u8>,
    /// Mark in numbers.
    pub decimal: Option<Decimal>,
    /// What tells where the slide is.
    pub place: Option<Place>,
    /// Its column, counted from 0.
    pub place_column: Option<usize>,
    /// Its unit.
    pub place_unit: Option<String>,
    /// Columns of force, counted from 0: one for the whole press, or one for each suspension point.
    pub forces: Option<Vec<usize>>,
    /// Unit of force.
    pub force_unit: Option<String>,
    /// Samples in a second, where no column tells where the slide is.
    pub rate: Option<f64>,
    /// Strokes per minute, where not those of the job.
    pub speed_spm: Option<f64>,
    /// Where BDC is: the crank angle, the time after which the slide was there first, or the height
    /// that is told at BDC, in the units above.
    pub bdc: Option<f64>,
    /// Whether single samples that stand out are kept.
    pub keep_spikes: bool,
}

/// One column of a preview.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Name at its head.
    pub name: String,
    /// Unit beside or under it.
    pub unit: String,
    /// The first cells.
    pub cells: Vec<String>,
}

/// How a file is read.
#[derive(Clone, Debug, PartialEq)]
pub struct Mapping {
    /// Byte between columns.
    pub delimiter: u8,
    /// Mark in numbers.
    pub decimal: Decimal,
    /// Line of the first row of numbers.
    pub first_line: u64,
    /// What there is.
    pub columns: Vec<Column>,
    /// What tells where the slide is.
    pub place: Place,
    /// Its column.
    pub place_column: usize,
    /// Its unit.
    pub place_unit: String,
    /// Columns of force.
    pub forces: Vec<usize>,
    /// Unit of force.
    pub force_unit: String,
    /// What was taken for granted.
    pub told: Vec<String>,
}

/// How well a way of parting columns fits, with the usual number of numbers in a row.
fn fit(text: &[u8], delimiter: u8, decimal: Decimal) -> (f64, usize) {
    let mut rows = Rows::new(text, delimiter);
    let (mut score, mut counts) = (0.0, [0_usize; 17]);
    let mut looked = 0;
    while looked < LOOKED_AT && rows.go_on().unwrap_or(false) {
        looked += 1;
        let filled = (0..rows.count()).filter(|&index| !rows.cell(index).is_empty()).count();
        let numbers =
            (0..rows.count()).filter(|&i| number(rows.cell(i), decimal).is_some()).count();
        if numbers > 0 {
            score += numbers as f64 - 1.5 * (filled - numbers) as f64;
            counts[numbers.min(16)] += 1;
        }
    }
    let mut usual = 1;
    for count in 1..counts.len() {
        if counts[count] > counts[usual] {
            usual = count;
        }
    }
    (score, usual)
}

fn guess(text: &[u8], wishes: &Wishes) -> (u8, Decimal, usize) {
    // As much as shows the pattern, cut where a row ends.
    let start = &text[..text.len().min(65_536)];
    let end = start.iter().rposition(|&byte| byte == b'\n').map_or(start.len(), |last| last + 1);
    let start = &start[..end];
    let mut best = (f64::NEG_INFINITY, b'\t', Decimal::Point, 1);
    for delimiter in [b'\t', b';', b'|', b',', b' '] {
        for decimal in [Decimal::Point, Decimal::Comma] {
            if wishes.delimiter.is_some_and(|wished| wished != delimiter)
                || wishes.decimal.is_some_and(|wished| wished != decimal)
                || (delimiter == b',' && decimal == Decimal::Comma)
            {
                continue;
            }
            let (score, usual) = fit(start, delimiter, decimal);
            if score > best.0 {
                best = (score, delimiter, decimal, usual);
            }
        }
    }
    let fallback = (wishes.delimiter, wishes.decimal);
    match best.0 > f64::NEG_INFINITY {
        true => (best.1, best.2, best.3),
        false => (fallback.0.unwrap_or(b'\t'), fallback.1.unwrap_or(Decimal::Point), 1),
    }
}

/// Name and unit of a head: `Force [kN]`, `Force (kN)`, `Force / kN`, `force_kN`.
fn name_and_unit(head: &str) -> (String, String) {
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let Some((name, rest)) = head.split_once(open)
            && let Some((unit, _)) = rest.split_once(close)
        {
            return (name.trim().to_owned(), unit.trim().to_owned());
        }
    }
    for mark in ['/', '_', ' ', ','] {
        if let Some((name, unit)) = head.rsplit_once(mark)
            && is_unit(unit.trim())
        {
            return (name.trim().to_owned(), unit.trim().to_owned());
        }
    }
    (head.trim().to_owned(), String::new())
}

/// A unit of any of the quantities, also one with two meanings.
fn is_unit(text: &str) -> bool {
    !text.is_empty()
        && (text.to_lowercase().starts_with("ton")
            || unit_factor(text, Unit::Kn).is_ok()
            || [Place::Time, Place::Angle, Place::Height]
                .iter()
                .any(|place| place.factor(text).is_ok()))
}

/// Whether a name is made of or begins with one of some words.
fn is_called(name: &str, words: &[&str]) -> bool {
    let small = name.to_lowercase();
    words.iter().any(|word| {
        small == *word
            || (word.chars().count() > 2 && small.starts_with(word))
            || small.split([' ', '_', '-', '.']).any(|part| part == *word)
    })
}

/// What the columns of a text hold.
///
/// # Errors
///
/// [`Problem`] where there are no rows of numbers, or what the user says does not fit.
pub fn map(text: &[u8], wishes: &Wishes) -> Result<Mapping, Problem> {
    let (mapping, problem) = look(text, wishes)?;
    problem.map_or(Ok(mapping), Err)
}

/// What the columns of a text seem to hold, with what stands in the way of reading them so.
///
/// # Errors
///
/// [`Problem`] where there are no rows of numbers.
pub fn look(text: &[u8], wishes: &Wishes) -> Result<(Mapping, Option<Problem>), Problem> {
    let (delimiter, decimal, usual) = guess(text, wishes);
    let mut rows = Rows::new(text, delimiter);
    let mut heads: Vec<Vec<String>> = Vec::new();
    let first_line;
    loop {
        if !rows.go_on()? {
            return Err(Problem::new(format!(
                "must have rows of numbers, but none was found; columns are taken to be parted by {}, numbers to have a decimal {}",
                delimiter_words(delimiter),
                decimal_words(decimal)
            )));
        }
        let numbers =
            (0..rows.count()).filter(|&i| number(rows.cell(i), decimal).is_some()).count();
        if numbers >= usual {
            first_line = rows.line;
            break;
        }
        // Only the last few rows before the numbers can be their heads.
        heads.push((0..rows.count()).map(|index| rows.text(index)).collect());
        if heads.len() > 4 {
            heads.remove(0);
        }
    }
    let count = rows.count();
    let mut columns =
        vec![Column { name: String::new(), unit: String::new(), cells: Vec::new() }; count];
    heads.retain(|head| head.len() + 1 >= count && head.len() > 1 || count == 1);
    let units = heads.last().filter(|row| {
        let filled = || row.iter().filter(|cell| !cell.is_empty());
        filled().count() > 0
            && filled().all(|cell| is_unit(cell.trim_matches(['[', ']', '(', ')'])))
    });
    let units = units.cloned();
    if units.is_some() {
        heads.pop();
    }
    for (index, column) in columns.iter_mut().enumerate() {
        let head = heads.last().and_then(|row| row.get(index)).map_or("", String::as_str);
        (column.name, column.unit) = name_and_unit(head);
        if let Some(unit) = units.as_ref().and_then(|row| row.get(index)) {
            column.unit = unit.trim_matches(['[', ']', '(', ')']).to_owned();
        }
    }
    let mut is_number = vec![true; count];
    let mut values: Vec<Vec<f64>> = vec![Vec::new(); count];
    for _ in 0..LOOKED_AT {
        for index in 0..count {
            match number(rows.cell(index), decimal) {
                Some(value) => values[index].push(value),
                None => is_number[index] = false,
            }
            if columns[index].cells.len() < SHOWN {
                columns[index].cells.push(words(rows.cell(index)));
            }
        }
        if !rows.go_on().unwrap_or(false) {
            break;
        }
    }
    let mut mapping = Mapping {
        delimiter,
        decimal,
        first_line,
        columns,
        place: Place::Count,
        place_column: 0,
        place_unit: String::new(),
        forces: Vec::new(),
        force_unit: String::new(),
        told: Vec::new(),
    };
    mapping.find_place(wishes, &values, &is_number);
    mapping.find_forces(wishes, &is_number);
    let problem = mapping.columns_fit().and_then(|()| {
        mapping.place_factor()?;
        mapping.force_factor().map(|_| ())
    });
    Ok((mapping, problem.err()))
}

/// Whether values only rise: what time does.
fn rises(values: &[f64]) -> bool {
    values.len() > 2 && values.windows(2).all(|pair| pair[1] > pair[0])
}

impl Mapping {
    fn find_place(&mut self, wishes: &Wishes, values: &[Vec<f64>], is_number: &[bool]) {
        let by_name = |place: Place| {
            let named = |index: &usize| {
                let column = &self.columns[*index];
                if is_called(&column.name, FORCES) || unit_factor(&column.unit, Unit::Kn).is_ok() {
                    return false;
                }
                let unit_tells = match place {
                    Place::Height => {
                        unit_factor(&column.unit, Unit::Mm).is_ok() && !column.unit.is_empty()
                    }
                    _ => place.factor(&column.unit).is_ok(),
                };
                is_called(&column.name, place.names()) || (unit_tells && column.unit != "m")
            };
            (0..self.columns.len()).filter(|&index| is_number[index]).find(named)
        };
        let wished = wishes.place.map(|place| (place, wishes.place_column.or(by_name(place))));
        let found = match wished {
            Some((place, column)) => (place, column),
            None => [Place::Height, Place::Angle, Place::Time]
                .into_iter()
                .find_map(|place| by_name(place).map(|column| (place, Some(column))))
                .unwrap_or_else(|| {
                    let first = values.first().map_or(&[][..], Vec::as_slice);
                    if self.columns.len() > 1 && rises(first) {
                        (Place::Time, Some(0))
                    } else {
                        (Place::Count, None)
                    }
                }),
        };
        self.place = found.0;
        self.place_column = found.1.or(wishes.place_column).unwrap_or(0);
        if self.place == Place::Count {
            return;
        }
        let beside = self.columns.get(self.place_column).map_or("", |column| column.unit.as_str());
        self.place_unit = match &wishes.place_unit {
            Some(unit) => unit.clone(),
            None if beside.is_empty() => {
                let unit = self.place.usual_unit();
                self.told.push(format!("{} is taken to be in {unit}", self.place.label()));
                unit.to_owned()
            }
            None => beside.to_owned(),
        };
    }

    fn find_forces(&mut self, wishes: &Wishes, is_number: &[bool]) {
        let count = self.columns.len();
        let is_place = |index: usize| self.place != Place::Count && index == self.place_column;
        let is_other = |index: usize| {
            let column = &self.columns[index];
            let other_place = Place::ALL.iter().any(|place| {
                is_called(&column.name, place.names())
                    || is_called(&column.name, OTHERS)
                    || (!column.unit.is_empty()
                        && *place != Place::Count
                        && place.factor(&column.unit).is_ok())
            });
            other_place
                && !is_called(&column.name, FORCES)
                && unit_factor(&column.unit, Unit::Kn).is_err()
        };
        self.forces = match &wishes.forces {
            Some(forces) => forces.clone(),
            None => {
                let open: Vec<usize> =
                    (0..count).filter(|&i| is_number[i] && !is_place(i) && !is_other(i)).collect();
                // A sum beside its parts would count twice.
                let is_sum = |index: usize| {
                    is_called(&self.columns[index].name, &["total", "sum", "summe", "gesamt"])
                };
                let parts: Vec<usize> = open.iter().copied().filter(|&i| !is_sum(i)).collect();
                let sums: Vec<usize> = open.iter().copied().filter(|&i| is_sum(i)).collect();
                match (parts.len(), sums.len()) {
                    (2 | 4, _) | (_, 0) => parts,
                    _ => sums,
                }
            }
        };
        let first = self.forces.first().and_then(|&index| self.columns.get(index));
        let beside = first.map_or("", |column| column.unit.as_str());
        self.force_unit = match &wishes.force_unit {
            Some(unit) => unit.clone(),
            None if beside.is_empty() => {
                self.told.push("force is taken to be in kN".to_owned());
                "kN".to_owned()
            }
            None => beside.to_owned(),
        };
    }

    /// Whether the columns are there and are used once.
    fn columns_fit(&self) -> Result<(), Problem> {
        let count = self.columns.len();
        let is_place = |index: usize| self.place != Place::Count && index == self.place_column;
        let allowed = "columns of force must be one for the whole press, or one for each of two or four points";
        if !matches!(self.forces.len(), 1 | 2 | 4) {
            return Err(Problem::new(format!("{allowed}, but are {}", self.forces.len())));
        }
        for (nth, &index) in self.forces.iter().enumerate() {
            if index >= count {
                return Err(Problem::new(format!(
                    "column of force must be at most {count}, but is {}",
                    index + 1
                )));
            }
            if is_place(index) || self.forces[..nth].contains(&index) {
                return Err(Problem::new(format!("column {} is used twice", index + 1)));
            }
        }
        if self.place != Place::Count && self.place_column >= count {
            return Err(Problem::new(format!(
                "column of {} must be at most {count}, but is {}",
                self.place.label(),
                self.place_column + 1
            )));
        }
        Ok(())
    }

    /// How many seconds, degrees or millimetres a number of the place's column is.
    ///
    /// # Errors
    ///
    /// [`Problem`] for a unit that is none.
    pub fn place_factor(&self) -> Result<f64, Problem> {
        match self.place {
            Place::Count => Ok(1.0),
            place => place.factor(&self.place_unit).map_err(Problem::new),
        }
    }

    /// How many kilonewtons a number of a force column is.
    ///
    /// # Errors
    ///
    /// [`Problem`] for a unit that is none, or has two meanings.
    pub fn force_factor(&self) -> Result<f64, Problem> {
        unit_factor(&self.force_unit, Unit::Kn)
            .map_err(|why| Problem::new(format!("unit of force {:?}: {why}", self.force_unit)))
    }

    /// What the file is taken for, a sentence; also of columns that it does not have.
    pub fn words(&self) -> String {
        let head = |index: usize| match self.columns.get(index).map(|column| column.name.as_str()) {
            None | Some("") => format!("column {}", index + 1),
            Some(name) => format!("column {} “{name}”", index + 1),
        };
        let place = match self.place {
            Place::Count => "even samples".to_owned(),
            place => {
                format!("{} in {} from {}", place.label(), self.place_unit, head(self.place_column))
            }
        };
        let forces: Vec<String> = self.forces.iter().map(|&index| head(index)).collect();
        format!(
            "numbers from line {} on, columns parted by {}, decimal {}; {place}; force in {} from {}",
            self.first_line,
            delimiter_words(self.delimiter),
            decimal_words(self.decimal),
            self.force_unit,
            forces.join(", ")
        )
    }
}

/// What parts columns, in words.
pub fn delimiter_words(delimiter: u8) -> String {
    match delimiter {
        b'\t' => "tabs".to_owned(),
        b' ' => "spaces".to_owned(),
        b';' => "semicolons".to_owned(),
        b',' => "commas".to_owned(),
        other => format!("“{}”", char::from(other)),
    }
}

/// The decimal mark, in words.
pub const fn decimal_words(decimal: Decimal) -> &'static str {
    match decimal {
        Decimal::Point => "point",
        Decimal::Comma => "comma",
    }
}
