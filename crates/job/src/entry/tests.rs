use super::*;
use proptest::prelude::*;

const UNITS: [Unit; 19] = [
    Unit::One,
    Unit::Mm,
    Unit::Mm2,
    Unit::Kn,
    Unit::KnPerMm,
    Unit::Knm,
    Unit::Nm,
    Unit::Mpa,
    Unit::Kj,
    Unit::Kw,
    Unit::Kg,
    Unit::Kgm2,
    Unit::Spm,
    Unit::Rpm,
    Unit::MmPerS,
    Unit::Deg,
    Unit::Percent,
    Unit::MmPerM,
    Unit::KnmPerMmPerM,
];

fn mm(text: &str) -> Result<Option<f64>, EntryError> {
    read(text, Unit::Mm, UnitSystem::Metric).map(|entry| entry.map(|entry| entry.value))
}

#[track_caller]
fn assert_reads(text: &str, unit: Unit, expected: f64) {
    let found = read(text, unit, UnitSystem::Metric).unwrap_or_else(|e| panic!("{text:?}: {e}"));
    let value = found.unwrap_or_else(|| panic!("{text:?} is nothing")).value;
    assert!((value - expected).abs() <= 1e-12 * expected.abs(), "{text:?} is {value}");
}

#[test]
fn numbers_are_read_as_people_type_them() {
    for (text, expected) in [
        (" 1 392,5 ", 1392.5),
        ("−3.5", -3.5),
        ("+.5", 0.5),
        ("007.", 7.0),
        ("0.25", 0.25),
        ("0", 0.0),
        ("12,5", 12.5),
        ("0,125", 0.125),
        ("2,1255", 2.1255),
        ("1\u{202f}392", 1392.0),
        ("1\u{2009}234\u{a0}567.8", 1_234_567.8),
        ("1,392.5", 1392.5),
        ("1.392,5", 1392.5),
        ("1,234,567", 1_234_567.0),
        ("1.5e3", 1500.0),
    ] {
        assert_reads(text, Unit::Mm, expected);
    }
    assert_eq!(mm(""), Ok(None));
    assert_eq!(mm(" \u{202f} "), Ok(None));
}

/// An inch is 25.4 mm, a foot twelve of them: exact by the international yard and pound agreement
/// of 1959 (value from memory).
#[test]
fn fractions_units_and_arithmetic_are_understood() {
    for (text, expected) in [
        ("3/8 in", 9.525),
        ("3/8\"", 9.525),
        ("1 1/2\"", 38.1),
        ("1 1/2 in", 38.1),
        ("1½″", 38.1),
        ("¾ in", 19.05),
        ("12.5+0.2", 12.7),
        ("12.5 + 0.2 mm", 12.7),
        ("2 x 30", 60.0),
        ("2x30 mm", 60.0),
        ("2 · 30 mm", 60.0),
        ("2 mm · 30", 60.0),
        ("2 × 1/4 in", 12.7),
        ("(1 + 1/2) in", 38.1),
        ("1 in + 2 mm", 27.4),
        ("1 ft - 1 in", 279.4),
        ("10 cm / 4", 25.0),
        ("60 thou", 1.524),
        ("2 * -3", -6.0),
        ("100 - 2 x 30", 40.0),
        ("-(2+3)", -5.0),
    ] {
        assert_reads(text, Unit::Mm, expected);
    }
}

#[test]
fn a_unit_that_is_given_wins_over_the_one_on_screen() {
    let value = |text| read(text, Unit::Mm, UnitSystem::UsCustomary).unwrap().unwrap().value;
    assert_eq!(value("10 mm"), 10.0);
    assert_eq!(value("10"), 254.0);
    assert_eq!(value("10 + 5"), 381.0);
}

/// Pound-force, US ton-force and kilogram-force by 9.806 65 m/s² and 0.453 592 37 kg (value from
/// memory: 3rd General Conference on Weights and Measures, 1901; yard and pound agreement, 1959).
#[test]
fn other_quantities_have_their_own_units() {
    for (text, unit, expected) in [
        ("100 US ton-f", Unit::Kn, 889.644_323_052_1),
        ("100 us tons", Unit::Kn, 889.644_323_052_1),
        ("100 tonne-f", Unit::Kn, 980.665),
        ("63 metric ton-f", Unit::Kn, 617.818_95),
        ("2.5 MN", Unit::Kn, 2500.0),
        ("1000 lbf", Unit::Kn, 4.448_221_615_260_5),
        ("200 N/mm", Unit::KnPerMm, 0.2),
        ("52 kNm", Unit::Knm, 52.0),
        ("1 kN m", Unit::Knm, 1.0),
        ("60 ksi", Unit::Mpa, 413.685_437_590_1),
        ("6 bar", Unit::Mpa, 0.6),
        ("360 N/mm²", Unit::Mpa, 360.0),
        ("1 in·US ton-f", Unit::Kj, 0.225_969_658_055_2),
        ("2 tonnes", Unit::Kg, 2000.0),
        ("2 US tons", Unit::Kg, 1_814.369_48),
        ("120 1/min", Unit::Spm, 120.0),
        ("120/min", Unit::Spm, 120.0),
        ("30°", Unit::Deg, 30.0),
        ("80 %", Unit::One, 0.8),
        ("3 m/min", Unit::MmPerS, 50.0),
        ("2 cm^2", Unit::Mm2, 200.0),
    ] {
        assert_reads(text, unit, expected);
    }
}

#[test]
fn a_ton_that_is_not_named_is_asked_for() {
    for text in ["25 ton", "25 tons", "25 tonf", "25 ton-f", "25 t", "25 tf", "25t", "25 tonnes"] {
        let asked = Err(EntryError::WhichTon("tonne-f"));
        assert_eq!(read(text, Unit::Kn, UnitSystem::Metric), asked, "{text}");
    }
    let asked = Err(EntryError::WhichTon("tonne"));
    assert_eq!(read("5 tons", Unit::Kg, UnitSystem::Metric), asked);
}

#[test]
fn both_tons_that_are_asked_for_are_understood() {
    for unit in [Unit::Kn, Unit::Kg] {
        let Err(EntryError::WhichTon(metric)) = read("5 ton", unit, UnitSystem::Metric) else {
            panic!("{unit:?} is not asked which ton");
        };
        for ton in [metric, "US ton"] {
            assert!(read(&format!("5 {ton}"), unit, UnitSystem::Metric).is_ok(), "{unit:?} {ton}");
        }
    }
}

#[test]
fn a_square_is_no_digit() {
    for text in ["5²", "10²", "2 x 3²", "²"] {
        assert!(mm(text).is_err(), "{text}");
        assert!(read_number(text).is_err(), "{text}");
    }
    assert_reads("5 mm²", Unit::Mm2, 5.0);
    assert_reads("5 mm2", Unit::Mm2, 5.0);
    assert_reads("1 lb·ft²", Unit::Kgm2, 0.453_592_37 * 0.304_8 * 0.304_8);
}

#[test]
fn a_gauge_number_is_refused_with_the_reason() {
    for text in ["14 ga", "14ga", "14 gauge", "16 SWG"] {
        assert_eq!(mm(text), Err(EntryError::Gauge), "{text}");
    }
}

#[test]
fn what_has_two_meanings_is_refused_with_both() {
    for (text, one, other) in [
        ("1,392", "1.392", "1392"),
        ("12,345", "12.345", "12345"),
        ("1-1/2", "1 1/2", "1 - 1/2"),
        ("2-½", "2 ½", "2 - ½"),
        ("1 100/128", "1 + 100/…", "1100/…"),
    ] {
        let two = EntryError::TwoMeanings(one.to_owned(), other.to_owned());
        assert_eq!(mm(text), Err(two), "{text}");
    }
    assert_reads("1 - 1/2", Unit::Mm, 0.5);
    assert_reads("12-1", Unit::Mm, 11.0);
}

#[test]
fn a_unit_of_another_quantity_is_refused_with_those_that_fit() {
    let message = mm("12 kN").unwrap_err().to_string();
    assert_eq!(message, "takes mm, cm, m, in, thou, ft or µm, so “kN” is not understood");
    assert!(mm("12 mm2").is_err());
    assert!(mm("12 mm/s").is_err());
    assert!(mm("12 inn").is_err());
}

#[test]
fn parts_with_and_without_units_do_not_mix_silently() {
    assert_eq!(mm("1 in + 2 mm + 3"), Err(EntryError::UnitMissing));
    assert_eq!(mm("3 + 1 in + 2 mm"), Err(EntryError::UnitMissing));
    assert_eq!(mm("(1 in + 2 mm) + 3"), Err(EntryError::UnitMissing));
    assert_eq!(mm("2 mm x 3 mm"), Err(EntryError::UnitTwice));
    assert_eq!(mm("(2 mm) mm"), Err(EntryError::UnitTwice));
}

#[test]
fn nonsense_is_refused() {
    for nonsense in [
        "abc", "nan", "inf", "1e999", "1.2.3", "--4", "<b>", "null", "[1]", "1 e", ".", ",", "1 2",
        "1 22 333", "1,22,333", "2 +", "x 3", "(1", "1)", "()", "1 3/2", "5'", "#14", "3 8/", "%",
    ] {
        assert!(mm(nonsense).is_err(), "{nonsense}");
        assert!(read_number(nonsense).is_err(), "{nonsense}");
    }
    // Divided by nothing it is no number, wherever that stands.
    for text in ["1/0", "0/0", "5/(1/0)", "1/(1/(2-2)) in", "1 + 1/0"] {
        assert_eq!(mm(text), Err(EntryError::NotFinite), "{text}");
    }
    assert_eq!(mm("1e308 x 1e308"), Err(EntryError::NotFinite));
}

#[test]
fn a_number_in_a_table_stands_alone() {
    assert_eq!(read_number("−12,5"), Ok(Some(-12.5)));
    assert_eq!(read_number("1.5e-3"), Ok(Some(0.0015)));
    for text in ["2-1", "1/2", "3 mm", "2x3"] {
        assert!(read_number(text).is_err(), "{text}");
    }
}

#[test]
fn length_and_depth_are_bounded() {
    assert_eq!(mm(&"1".repeat(LONGEST + 1)), Err(EntryError::TooLong));
    let nested = |depth: usize| format!("{}1{}", "(".repeat(depth), ")".repeat(depth));
    assert_reads(&nested(DEEPEST), Unit::Mm, 1.0);
    assert_eq!(mm(&nested(DEEPEST + 1)), Err(EntryError::NotANumber));
    // Side by side they are not deep.
    assert_reads("(1)+".repeat(24).trim_end_matches('+'), Unit::Mm, 24.0);
}

#[test]
fn what_is_typed_as_the_page_writes_it_needs_no_explanation() {
    let plain = |text| read(text, Unit::Mm, UnitSystem::Metric).unwrap().unwrap().plain;
    assert!(plain("12.5") && plain("-3") && plain("1 392"));
    for text in ["12,5", "12 mm", "1 1/2", "2 x 30", "½", "(2)", "1.000.000"] {
        assert!(!plain(text), "{text}");
    }
}

#[test]
fn numbers_are_shown_without_needless_digits() {
    assert_eq!(digits(2.0), "2");
    assert_eq!(digits(0.1 + 0.2), "0.3");
    assert_eq!(digits(1600.0), "1600");
    assert_eq!(digits(1.0 / 25.4), "0.03937008");
}

/// Letters that numbers, units and arithmetic are made of, and some that are not.
const ALPHABET: &str = "[0-9 .,+*/x()\\-\"'½⅜eEinmftkNTonsUgaMPhrcd%°µ·²^€\u{202f}\u{0}𝟙é]{0,120}";

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_unit_shown_is_read_back(value in -1e6_f64..1e6, from in 0..3_usize, to in 0..3_usize) {
        let (from, to) = (UnitSystem::ALL[from], UnitSystem::ALL[to]);
        for unit in UNITS {
            // A value with a unit is read the same whatever the screen shows.
            let shown = format!("{} {}", digits(from.to_screen(value, unit)), from.symbol(unit));
            let read = read(&shown, unit, if from.symbol(unit).is_empty() { from } else { to });
            let back = read.unwrap_or_else(|e| panic!("{shown:?}: {e}")).unwrap().value;
            prop_assert!((back - value).abs() <= 1e-6 * value.abs().max(1e-5), "{shown:?} is {back}");
        }
    }

    #[test]
    fn hostile_text_is_read_or_refused_and_never_half_read(text in ALPHABET, unit in 0..UNITS.len()) {
        for system in UnitSystem::ALL {
            if let Ok(Some(entry)) = read(&text, UNITS[unit], system) {
                prop_assert!(entry.value.is_finite());
            }
        }
        let _ = read_number(&text);
    }

    #[test]
    fn any_text_at_all_is_read_or_refused(text in any::<String>()) {
        let _ = read(&text, Unit::Mm, UnitSystem::Metric);
        let _ = read_number(&text);
    }
}
