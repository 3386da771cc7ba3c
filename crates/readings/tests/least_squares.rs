//! Bounded least squares against SciPy's `lsq_linear`: `data/bounded_least_squares.py` writes the
//! problems and its answers.

use evenstroke_readings::least_squares::Normal;
use proptest::prelude::*;
use serde_json::Value;

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|v| v.as_f64().expect("a number")).collect()
}

#[test]
fn bounded_least_squares_agree_with_scipy() {
    let text = include_str!("data/bounded_least_squares.json");
    let data: Value = serde_json::from_str(text).expect("JSON");
    let (low, high) = (data["low"].as_f64().expect("low"), data["high"].as_f64().expect("high"));
    let problems = data["problems"].as_array().expect("problems");
    assert_eq!(problems.len(), 18);
    let mut at_bounds = 0;
    for problem in problems {
        let rows: Vec<Vec<f64>> =
            problem["matrix"].as_array().expect("rows").iter().map(numbers).collect();
        let expected = numbers(&problem["x"]);
        let mut normal = Normal::new(expected.len());
        for (row, value) in rows.iter().zip(numbers(&problem["right"])) {
            normal.add(row, value);
        }
        let found = normal.solve(low, high);
        for (found, expected) in found.iter().zip(&expected) {
            assert!((found - expected).abs() < 1e-6, "{found} {expected}");
            at_bounds += usize::from(*expected == low || *expected == high);
        }
        let left = problem["left_over"].as_f64().expect("left over");
        assert!((normal.left_over(&found) - left).abs() < 1e-6 * left, "{left}");
        for (found, expected) in normal.variances().iter().zip(numbers(&problem["variances"])) {
            assert!((found / expected - 1.0).abs() < 1e-5, "{found} {expected}");
        }
    }
    assert!(at_bounds > 10, "the bounds hold in the problems: {at_bounds}");
}

proptest! {
    /// At the answer no unknown can be moved within its bounds to leave less over.
    #[test]
    fn no_step_within_the_bounds_leaves_less_over(
        rows in proptest::collection::vec((proptest::collection::vec(-3.0..3.0_f64, 4), -9.0..9.0_f64), 1..30),
        twin in any::<bool>(),
    ) {
        let mut normal = Normal::new(4);
        for (mut row, value) in rows {
            if twin {
                // Two unknowns that nothing tells apart.
                row[3] = row[2];
            }
            normal.add(&row, value);
        }
        let x = normal.solve(0.3, 3.0);
        let left = normal.left_over(&x);
        for index in 0..4 {
            prop_assert!((0.3..=3.0).contains(&x[index]));
            for step in [-1e-3, 1e-3] {
                let mut other = x.clone();
                other[index] = (other[index] + step).clamp(0.3, 3.0);
                prop_assert!(normal.left_over(&other) >= left - 1e-7 * (1.0 + normal.square));
            }
        }
    }
}
