//! Orders of numbers.
//!
//! A sort is a few kilobytes of machine code for every type that is sorted, so that the page carries
//! this one alone: everything that is put in order is put in order by numbers.

/// Numbers that differ by no more than this part of them are the same but for rounding, which is not
/// the same on all machines.
const SAME: f64 = 1e-12;

/// Whether one number is greater than another by more than rounding. What is endless is greater than
/// what is not; NaN is neither greater nor smaller.
pub fn is_greater(a: f64, b: f64) -> bool {
    a > b && (b.is_infinite() || a - b > SAME * b.abs())
}

/// The places of `keys` from the least to the greatest; of equal keys the earlier one comes first.
pub fn rising(keys: &[f64]) -> Vec<usize> {
    let mut places: Vec<(f64, usize)> = keys.iter().copied().zip(0..).collect();
    places.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    places.into_iter().map(|place| place.1).collect()
}

/// The places of `keys` from the greatest to the least; of equal keys the earlier one comes first.
pub fn falling(keys: &[f64]) -> Vec<usize> {
    let turned: Vec<f64> = keys.iter().map(|key| -key).collect();
    rising(&turned)
}

/// The numbers themselves, from the least to the greatest.
pub fn rising_values(values: &[f64]) -> Vec<f64> {
    rising(values).into_iter().map(|place| values[place]).collect()
}

/// The numbers themselves, from the greatest to the least.
pub fn falling_values(values: &[f64]) -> Vec<f64> {
    falling(values).into_iter().map(|place| values[place]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_keys_keep_their_order() {
        assert_eq!(rising(&[2.0, 1.0, 2.0, 1.0]), [1, 3, 0, 2]);
        assert_eq!(falling(&[2.0, 1.0, 2.0, 1.0]), [0, 2, 1, 3]);
    }

    #[test]
    fn rounding_makes_nothing_greater() {
        let (sum, third) = (0.1 + 0.2, 1.0 / 3.0);
        assert!(sum > 0.3 && !is_greater(sum, 0.3) && !is_greater(-0.3, -sum));
        assert!(is_greater(third, 0.333) && is_greater(-0.333, -third) && is_greater(1e-300, 0.0));
        let endless = f64::INFINITY;
        assert!(is_greater(endless, 1.0) && !is_greater(endless, endless));
        assert!(is_greater(1.0, -endless) && !is_greater(1.0, endless));
        assert!(!is_greater(f64::NAN, 1.0) && !is_greater(1.0, f64::NAN));
    }

    #[test]
    fn values_come_out_in_order() {
        assert_eq!(rising_values(&[3.0, -1.0, 2.0]), [-1.0, 2.0, 3.0]);
        assert_eq!(falling_values(&[3.0, -1.0, 2.0]), [3.0, 2.0, -1.0]);
    }
}
