//! The units that people read on screen and on paper; files always hold the same ones.

use crate::spec::Unit;
use evenstroke_language::{current, tr};
use press_load::LimitUnit;

/// Which units are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum UnitSystem {
    /// kN, mm, MPa.
    #[default]
    Metric,
    /// Tonne-force (9.806 65 kN) instead of kN.
    MetricTonnes,
    /// US ton-force (2000 lbf, 8.896 443 kN), inch, ksi.
    UsCustomary,
}

/// One US ton-force in kN.
pub(crate) const US_TON_FORCE_KN: f64 = 8.896_443_230_521;
/// One tonne-force in kN.
pub(crate) const TONNE_FORCE_KN: f64 = 9.806_65;
/// One inch in mm.
pub(crate) const INCH_MM: f64 = 25.4;
/// A thousandth of an inch per foot in mm per metre.
pub(crate) const THOUSANDTH_PER_FOOT: f64 = 1.0 / 12.0;
/// One pound in kilograms.
pub(crate) const POUND_KG: f64 = 0.453_592_37;
/// One mechanical horsepower, 550 ft·lbf/s, in kW.
pub(crate) const HORSEPOWER_KW: f64 = 0.745_699_871_582_270_2;
/// One pound-force foot in N·m.
const POUND_FORCE_FOOT_NM: f64 = 1.355_817_948_331_4;
/// One ksi in MPa.
pub(crate) const KSI_MPA: f64 = 6.894_757_293_168_36;

impl UnitSystem {
    /// All of them, in the order in which the page offers them.
    pub const ALL: [Self; 3] = [Self::Metric, Self::MetricTonnes, Self::UsCustomary];

    /// A word for files and page state.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::MetricTonnes => "metric_tonnes",
            Self::UsCustomary => "us_customary",
        }
    }

    /// What the page calls it.
    pub fn label(self) -> &'static str {
        tr(match self {
            Self::Metric => "kN · mm",
            Self::MetricTonnes => "tonne-force · mm",
            Self::UsCustomary => "US ton-force · inch",
        })
    }

    /// Symbol on screen for a unit of the file.
    pub fn symbol(self, unit: Unit) -> &'static str {
        tr(match (self, unit) {
            (Self::MetricTonnes, Unit::Kn) => "tonne-f",
            (Self::MetricTonnes, Unit::KnPerMm) => "tonne-f/mm",
            (Self::MetricTonnes, Unit::Knm) => "tonne-f·m",
            (Self::MetricTonnes, Unit::KnmPerMmPerM) => "tonne-f·m per mm/m",
            (Self::UsCustomary, Unit::Kn) => "US ton-f",
            (Self::UsCustomary, Unit::KnPerMm) => "US ton-f/in",
            (Self::UsCustomary, Unit::Nm) => "lbf·ft",
            (Self::UsCustomary, Unit::Knm) => "US ton-f·in",
            (Self::UsCustomary, Unit::Kj) => "in·US ton-f",
            (Self::UsCustomary, Unit::Mm) => "in",
            (Self::UsCustomary, Unit::MmPerS) => "in/s",
            (Self::UsCustomary, Unit::Mm2) => "in²",
            (Self::UsCustomary, Unit::Mpa) => "ksi",
            (Self::UsCustomary, Unit::Kw) => "hp",
            (Self::UsCustomary, Unit::Kg) => "lb",
            (Self::UsCustomary, Unit::Kgm2) => "lb·ft²",
            (Self::UsCustomary, Unit::MmPerM) => "0.001 in/ft",
            (Self::UsCustomary, Unit::KnmPerMmPerM) => "US ton-f·in per 0.001 in/ft",
            _ => unit.symbol(),
        })
    }

    /// How many units of the file one unit on screen is.
    pub const fn factor(self, unit: Unit) -> f64 {
        match (self, unit) {
            (Self::MetricTonnes, Unit::Kn | Unit::KnPerMm | Unit::Knm | Unit::KnmPerMmPerM) => {
                TONNE_FORCE_KN
            }
            (Self::UsCustomary, Unit::Kn) => US_TON_FORCE_KN,
            (Self::UsCustomary, Unit::KnPerMm) => US_TON_FORCE_KN / INCH_MM,
            (Self::UsCustomary, Unit::Knm | Unit::Kj) => US_TON_FORCE_KN * INCH_MM * 1e-3,
            (Self::UsCustomary, Unit::Mm | Unit::MmPerS) => INCH_MM,
            (Self::UsCustomary, Unit::Mm2) => INCH_MM * INCH_MM,
            (Self::UsCustomary, Unit::Mpa) => KSI_MPA,
            (Self::UsCustomary, Unit::Kw) => HORSEPOWER_KW,
            (Self::UsCustomary, Unit::Kg) => POUND_KG,
            (Self::UsCustomary, Unit::MmPerM) => THOUSANDTH_PER_FOOT,
            (Self::UsCustomary, Unit::KnmPerMmPerM) => {
                US_TON_FORCE_KN * INCH_MM * 1e-3 / THOUSANDTH_PER_FOOT
            }
            (Self::UsCustomary, Unit::Nm) => POUND_FORCE_FOOT_NM,
            // lb·ft²
            (Self::UsCustomary, Unit::Kgm2) => POUND_KG * 0.304_8 * 0.304_8,
            _ => 1.0,
        }
    }

    /// A value of the file as a number on screen.
    pub fn to_screen(self, value: f64, unit: Unit) -> f64 {
        value / self.factor(unit)
    }

    /// A number on screen as a value of the file.
    pub fn to_file(self, number: f64, unit: Unit) -> f64 {
        let factor = self.factor(unit);
        // Without this a value typed in the file's own unit would pick up rounding.
        if factor == 1.0 { number } else { number * factor }
    }

    /// A value with its unit, as people read it: `1 392 kN`, `4.1 mm`.
    pub fn show(self, value: f64, unit: Unit) -> String {
        let symbol = self.symbol(unit);
        let number = self.number(value, unit);
        match unit {
            Unit::One => number,
            Unit::Deg => format!("{number}{symbol}"),
            _ => format!("{number} {symbol}"),
        }
    }

    /// A value that somebody entered, with its unit and without needless zeros: `630 kN`.
    pub fn show_entered(self, value: f64, unit: Unit) -> String {
        format!("{} {}", self.entered(value, unit), self.symbol(unit))
    }

    /// The same without its unit.
    pub fn entered(self, value: f64, unit: Unit) -> String {
        let number = self.number(value, unit);
        match number.split_once(current().decimal_mark()) {
            Some((whole, fraction)) if fraction.bytes().all(|digit| digit == b'0') => {
                whole.to_owned()
            }
            _ => number,
        }
    }

    /// A length in mm so small that usual digits would hide it, with its unit: `0.034 mm`.
    pub fn show_fine(self, mm: f64) -> String {
        let decimals = if self == Self::UsCustomary { 4 } else { 3 };
        format!("{} {}", grouped(self.to_screen(mm, Unit::Mm), decimals), self.symbol(Unit::Mm))
    }

    /// A value without its unit, to four digits and without needless zeros: what is put into a formula
    /// has to be told closer than what is read at a glance.
    pub fn four_digits(self, value: f64, unit: Unit) -> String {
        let number = self.to_screen(value, unit);
        if !number.is_finite() {
            return "∞".to_owned();
        }
        let size = number.abs();
        // As if by logarithms, but without their rounding at powers of ten.
        let (mut decimals, mut least) = (3, 10.0);
        while decimals > 0 && size >= least {
            (decimals, least) = (decimals - 1, least * 10.0);
        }
        let mut least = 1.0;
        while decimals < 9 && size > 0.0 && size < least {
            (decimals, least) = (decimals + 1, least * 0.1);
        }
        let text = grouped(number, decimals);
        match text.split_once('.') {
            Some((whole, fraction)) => {
                let fraction = fraction.trim_end_matches('0');
                let point = if fraction.is_empty() { "" } else { "." };
                format!("{whole}{point}{fraction}")
            }
            None => text,
        }
    }

    /// A value without its unit, with as many digits as make sense.
    pub fn number(self, value: f64, unit: Unit) -> String {
        let number = self.to_screen(value, unit);
        let size = number.abs();
        let decimals = match (self, unit) {
            (Self::UsCustomary, Unit::Mm) => {
                if size >= 100.0 {
                    1
                } else if size >= 10.0 {
                    2
                } else {
                    3
                }
            }
            (_, Unit::Mm) => usize::from(size < 1_000.0),
            (_, Unit::Spm | Unit::Rpm) => 0,
            _ if size >= 1_000.0 => 0,
            _ if size >= 10.0 => 1,
            _ => 2,
        };
        grouped(number, decimals)
    }
}

/// A number with its thousands apart by a narrow space.
fn grouped(number: f64, decimals: usize) -> String {
    let text = format!("{number:.decimals$}");
    let text = if text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    };
    let (sign, digits) = text.strip_prefix('-').map_or(("", text.as_str()), |rest| ("−", rest));
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let mut out = String::with_capacity(text.len() + 4);
    out.push_str(sign);
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index) % 3 == 0 {
            out.push('\u{202f}');
        }
        out.push(digit);
    }
    if !fraction.is_empty() {
        out.push(current().decimal_mark());
        out.push_str(fraction);
    }
    out
}

/// The file unit of a limit's demand.
pub const fn unit_of_limit(unit: LimitUnit) -> Unit {
    match unit {
        LimitUnit::Kilonewton => Unit::Kn,
        LimitUnit::Kilojoule => Unit::Kj,
        LimitUnit::Kilowatt => Unit::Kw,
        LimitUnit::KilonewtonMetre => Unit::Knm,
        LimitUnit::Millimetre => Unit::Mm,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_tons_are_told_apart_on_screen() {
        assert_eq!(UnitSystem::MetricTonnes.show(980.665, Unit::Kn), "100.0 tonne-f");
        assert_eq!(UnitSystem::UsCustomary.show(889.644_323, Unit::Kn), "100.0 US ton-f");
    }

    #[test]
    fn screen_and_file_invert_each_other() {
        for system in UnitSystem::ALL {
            for unit in [Unit::Kn, Unit::Mm, Unit::Knm, Unit::Kj, Unit::Kg, Unit::Kgm2, Unit::One] {
                let back = system.to_file(system.to_screen(123.4, unit), unit);
                assert!((back - 123.4).abs() < 1e-12 * 123.4);
            }
        }
    }

    #[test]
    fn numbers_are_grouped_and_never_minus_zero() {
        assert_eq!(UnitSystem::Metric.show(1392.4, Unit::Kn), "1\u{202f}392 kN");
        assert_eq!(UnitSystem::Metric.show(-0.01, Unit::Mm), "0.0 mm");
        assert_eq!(UnitSystem::Metric.show(-128.0, Unit::Mm), "−128.0 mm");
    }

    #[test]
    fn four_digits_are_told_whatever_the_size() {
        for (value, text) in [
            (2.05, "2.05"),
            (1392.44, "1\u{202f}392"),
            (94.247_78, "94.25"),
            (0.000_123_456, "0.0001235"),
            (10.0, "10"),
            (0.0, "0"),
            (-0.5, "−0.5"),
            (f64::INFINITY, "∞"),
        ] {
            assert_eq!(UnitSystem::Metric.four_digits(value, Unit::Kn), text);
        }
    }

    /// One inch-ton is 2000 lbf times an inch, 225.97 J.
    #[test]
    fn an_inch_ton_is_226_joules() {
        assert!((UnitSystem::UsCustomary.to_file(1.0, Unit::Kj) - 0.225_97).abs() < 1e-5);
    }
}
