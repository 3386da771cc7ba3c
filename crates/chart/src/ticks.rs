//! Round numbers along an axis.

/// The smallest step of 1, 2, 2.5 or 5 times a power of ten with at most `most` steps in `span`.
pub(crate) fn round_step(span: f64, most: f64) -> f64 {
    let rough = span / most.max(1.0);
    if !rough.is_finite() || rough <= 0.0 {
        return 1.0;
    }
    let power = 10_f64.powf(rough.log10().floor());
    [1.0, 2.0, 2.5, 5.0, 10.0]
        .map(|factor| factor * power)
        .into_iter()
        .find(|step| *step >= rough * 0.999_999)
        .unwrap_or(10.0 * power)
}

/// The multiples of `step` from `low` to `high`.
pub(crate) fn multiples(low: f64, high: f64, step: f64) -> Vec<f64> {
    let first = (low / step - 1e-9).ceil() as i64;
    let last = (high / step + 1e-9).floor() as i64;
    (first..=last).map(|n| n as f64 * step).collect()
}

/// A tick's label with just the decimals its step needs.
pub(crate) fn tick_label(value: f64, step: f64) -> String {
    let decimals = (0..6)
        .find(|d| {
            let shifted = step * 10_f64.powi(*d);
            (shifted - shifted.round()).abs() < 1e-6 * shifted
        })
        .unwrap_or(6) as usize;
    evenstroke_language::number(if value == 0.0 { 0.0 } else { value }, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_few_enough() {
        for span in [0.03, 1.0, 7.0, 20.0, 1760.0, 5.0e4] {
            let step = round_step(span, 8.0);
            assert!(span / step <= 8.0 + 1e-6 && span / step > 2.0, "{span} {step}");
        }
        assert_eq!(round_step(20.0, 10.0), 2.0);
        assert_eq!(tick_label(7.5, 2.5), "7.5");
        assert_eq!(tick_label(5.0, 5.0), "5");
        assert_eq!(multiples(0.0, 6.0, 2.0), vec![0.0, 2.0, 4.0, 6.0]);
    }
}
