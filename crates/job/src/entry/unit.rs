//! Units as people write them.

use super::EntryError;
use crate::{
    spec::Unit,
    units::{
        HORSEPOWER_KW, INCH_MM, KSI_MPA, POUND_KG, THOUSANDTH_PER_FOOT, TONNE_FORCE_KN,
        US_TON_FORCE_KN,
    },
};
use evenstroke_language::say;

/// Spellings of a unit, apart by `|`, and how many units of the file it is. Capitals, spaces, dots
/// and hyphens in them do not count.
type Spelled = (&'static str, f64);

/// One pound-force in kN.
const POUND_FORCE_KN: f64 = US_TON_FORCE_KN / 2_000.0;
/// One foot in mm.
const FOOT_MM: f64 = 304.8;

/// The units that a field of `unit` takes; the first spelling is the one that is told.
const fn spelled(unit: Unit) -> &'static [Spelled] {
    match unit {
        Unit::One => &[("%", 0.01)],
        Unit::Mm => &[
            ("mm", 1.0),
            ("cm", 10.0),
            ("m", 1_000.0),
            ("in|inch|inches|\"|''", INCH_MM),
            ("thou", INCH_MM * 1e-3),
            ("ft|foot|feet", FOOT_MM),
            ("µm|um", 1e-3),
        ],
        Unit::Mm2 => &[("mm²", 1.0), ("cm²", 100.0), ("m²", 1e6), ("in²|sqin", INCH_MM * INCH_MM)],
        Unit::Kn => &[
            ("kN", 1.0),
            ("N", 1e-3),
            ("MN", 1e3),
            (
                "tonne-f|tonne-force|tonnes-f|tonnes-force|metric ton|metric tons|metric ton-f|metric ton-force",
                TONNE_FORCE_KN,
            ),
            ("US ton-f|US ton-force|US tons-f|US tons-force|US ton|US tons", US_TON_FORCE_KN),
            ("lbf", POUND_FORCE_KN),
            ("kip|kips", POUND_FORCE_KN * 1e3),
            ("kgf", TONNE_FORCE_KN * 1e-3),
        ],
        Unit::KnPerMm => &[
            ("kN/mm", 1.0),
            ("N/mm", 1e-3),
            ("kN/m", 1e-3),
            ("tonne-f/mm", TONNE_FORCE_KN),
            ("US ton-f/in|US ton/in", US_TON_FORCE_KN / INCH_MM),
            ("lbf/in|lb/in", POUND_FORCE_KN / INCH_MM),
        ],
        Unit::Knm => &[
            ("kN·m", 1.0),
            ("N·m", 1e-3),
            ("kN·mm", 1e-3),
            ("tonne-f·m", TONNE_FORCE_KN),
            ("US ton-f·in|in·US ton-f|US ton·in", US_TON_FORCE_KN * INCH_MM * 1e-3),
            ("lbf·ft|ft·lbf", POUND_FORCE_KN * FOOT_MM * 1e-3),
        ],
        Unit::Nm => &[
            ("N·m", 1.0),
            ("kN·m", 1e3),
            ("kgf·m", TONNE_FORCE_KN),
            ("lbf·ft|ft·lbf|lb·ft|ft·lb", POUND_FORCE_KN * FOOT_MM),
        ],
        Unit::Mpa => &[
            ("MPa|N/mm²", 1.0),
            ("GPa", 1e3),
            ("bar", 0.1),
            ("ksi", KSI_MPA),
            ("psi", KSI_MPA * 1e-3),
        ],
        Unit::Kj => &[
            ("kJ|kN·m", 1.0),
            ("J|N·m", 1e-3),
            ("in·US ton-f|US ton-f·in|in·US ton", US_TON_FORCE_KN * INCH_MM * 1e-3),
            ("ft·lbf", POUND_FORCE_KN * FOOT_MM * 1e-3),
        ],
        // The metric horsepower is 75 kgf·m/s.
        Unit::Kw => &[
            ("kW", 1.0),
            ("W", 1e-3),
            ("hp", HORSEPOWER_KW),
            ("PS|metric hp", TONNE_FORCE_KN * 75e-3),
        ],
        Unit::Kg => &[
            ("kg", 1.0),
            ("g", 1e-3),
            ("lb|lbs|lbm", POUND_KG),
            ("tonne|tonnes|metric ton|metric tons", 1e3),
            ("US ton|US tons", POUND_KG * 2_000.0),
        ],
        Unit::Kgm2 => &[("kg·m²", 1.0), ("lb·ft²", POUND_KG * FOOT_MM * FOOT_MM * 1e-6)],
        Unit::Spm => &[("strokes/min|spm|1/min|/min", 1.0)],
        Unit::Rpm => &[("turns/min|rpm|1/min|/min", 1.0)],
        Unit::MmPerS => &[
            ("mm/s", 1.0),
            ("m/s", 1e3),
            ("m/min", 1e3 / 60.0),
            ("in/s", INCH_MM),
            ("in/min", INCH_MM / 60.0),
        ],
        Unit::Deg => &[("°|deg|degree|degrees", 1.0)],
        Unit::Percent => &[("%|percent", 1.0)],
        Unit::MmPerM => &[
            ("mm/m", 1.0),
            ("0.001 in/ft|thou/ft", THOUSANDTH_PER_FOOT),
            ("in/ft", THOUSANDTH_PER_FOOT * 1e3),
        ],
        Unit::KnmPerMmPerM => &[
            ("kN·m per mm/m", 1.0),
            ("tonne-f·m per mm/m", TONNE_FORCE_KN),
            ("US ton-f·in per 0.001 in/ft", US_TON_FORCE_KN * INCH_MM * 1e-3 / THOUSANDTH_PER_FOOT),
        ],
    }
}

/// The units that a field takes, in words: `mm, cm, m or in`.
pub(super) fn words(unit: Unit) -> String {
    let names: Vec<&str> =
        spelled(unit).iter().filter_map(|(names, _)| names.split('|').next()).collect();
    match names.split_last() {
        Some((last, others)) if !others.is_empty() => say!("{} or {}", others.join(", "), last),
        _ => names.concat(),
    }
}

/// The unit at the start of `letters`: how many letters it takes, and how many units of the file it
/// is. `None` where there is no word.
pub(super) fn read(letters: &[char], unit: Unit) -> Result<Option<(usize, f64)>, EntryError> {
    let mut best = None::<(usize, f64)>;
    for (names, factor) in spelled(unit) {
        for name in names.split('|') {
            if let Some(length) = length_of(letters, name)
                && best.is_none_or(|(longest, _)| length > longest)
            {
                best = Some((length, *factor));
            }
        }
    }
    if best.is_some() {
        return Ok(best);
    }
    let starts_a_word = |c: &char| is_letter(*c) || "%°\"'#$€£".contains(*c);
    match letters.first() {
        // The sign of a product.
        Some('x' | 'X') if !letters.get(1).is_some_and(|c| is_letter(*c)) => Ok(None),
        Some(letter) if starts_a_word(letter) => Err(unknown(letters, unit)),
        _ => Ok(None),
    }
}

/// Why a word is no unit of the field.
fn unknown(letters: &[char], unit: Unit) -> EntryError {
    let is_end = |c: &&char| "+*()".contains(**c) || c.is_ascii_digit();
    let word: String = letters.iter().take_while(|c| !is_end(c)).take(20).collect();
    let word = word.trim();
    let plain: String =
        word.chars().filter(|c| is_letter(*c)).collect::<String>().to_ascii_lowercase();
    let counts_tons = matches!(
        unit,
        Unit::Kn | Unit::KnPerMm | Unit::Knm | Unit::Kj | Unit::Kg | Unit::KnmPerMmPerM
    );
    if counts_tons && (plain.starts_with("ton") || plain == "t" || plain == "tf") {
        EntryError::WhichTon(if unit == Unit::Kg { "tonne" } else { "tonne-f" })
    } else if ["ga", "gauge", "gage", "swg", "bwg", "awg"].contains(&plain.as_str()) {
        EntryError::Gauge
    } else {
        EntryError::UnitUnknown(word.to_owned(), words(unit))
    }
}

/// Any letter beyond ASCII counts as one: a table of those that are would be larger than this file.
fn is_letter(letter: char) -> bool {
    letter.is_ascii_alphabetic() || (!letter.is_ascii() && letter != '·')
}

/// What does not count within a unit.
fn is_filler(letter: char) -> bool {
    matches!(letter, ' ' | '·' | '-' | '^')
}

/// How many letters `name` takes at the start of a text, if it stands there as a whole.
fn length_of(letters: &[char], name: &str) -> Option<usize> {
    let mut at = 0;
    for letter in name.chars().map(super::usual).filter(|letter| !is_filler(*letter)) {
        while at > 0 && letters.get(at).is_some_and(|c| is_filler(*c)) {
            at += 1;
        }
        let typed = *letters.get(at)?;
        // `mm²` is typed as mm2 as well; alone, `5²` is neither 52 nor 25.
        if !typed.eq_ignore_ascii_case(&letter) && (typed, letter) != ('2', '²') {
            return None;
        }
        at += 1;
    }
    let goes_on = |c: &char| is_letter(*c) || c.is_ascii_digit() || *c == '/' || *c == '^';
    let ends_in_a_letter = is_letter(letters[at - 1]) || letters[at - 1].is_ascii_digit();
    let next = letters.get(at);
    // `in / 2` is a quotient, `in/s` another unit, and the `x` of `2 in x 3` a product.
    let is_whole = match next {
        Some('/') => !letters.get(at + 1).is_some_and(|c| is_letter(*c)),
        Some(c) if ends_in_a_letter => !goes_on(c),
        _ => true,
    };
    is_whole.then_some(at)
}
