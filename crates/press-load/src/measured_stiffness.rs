//! The stiffness of a press from two readings at the press.
//!
//! With the die closed on solid blocks, the slide is set lower by some tenths of a millimetre and the
//! load read again: what the setting goes down and the frame does not follow is stretch. The figure is
//! that of press, die and blocks together, which is what a deeper setting costs.

use crate::{Force, InputError, Length, Stiffness};

const ROWS: &str =
    "the load must rise as the shut height is set lower, from row to row, at least two rows";

/// Stiffness from shut-height settings and the loads read at them: the slope of the straight line through
/// them (least squares for more than two), `k = ΔF / Δh`.
///
/// # Errors
///
/// [`InputError::RowOutOfOrder`] for fewer than two rows, or where a lower setting does not read more.
///
/// # Source
///
/// Hooke's law.
pub fn stiffness_from_readings(readings: &[(Length, Force)]) -> Result<Stiffness, InputError> {
    if readings.len() < 2 {
        return Err(InputError::RowOutOfOrder { what: ROWS, row: readings.len() });
    }
    let bad =
        readings.windows(2).position(|pair| !(pair[1].0 < pair[0].0 && pair[1].1 > pair[0].1));
    if let Some(above) = bad {
        return Err(InputError::RowOutOfOrder { what: ROWS, row: above + 1 });
    }
    let count = readings.len() as f64;
    let mean_height = readings.iter().map(|row| row.0.metres()).sum::<f64>() / count;
    let mean_force = readings.iter().map(|row| row.1.newtons()).sum::<f64>() / count;
    let (mut both, mut square) = (0.0, 0.0);
    for (height, force) in readings {
        let down = mean_height - height.metres();
        both += down * (force.newtons() - mean_force);
        square += down * down;
    }
    Ok(Stiffness::from_newtons_per_metre(both / square))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn row(mm: f64, kn: f64) -> (Length, Force) {
        (Length::from_millimetres(mm), Force::from_kilonewtons(kn))
    }

    /// Hooke's law by hand: 0.2 mm lower reads 300 kN more, 1500 kN/mm.
    #[test]
    fn two_tenths_deeper_and_300_kn_more_are_1500_kn_per_mm() {
        let stiffness = stiffness_from_readings(&[row(380.0, 200.0), row(379.8, 500.0)]);
        let per_mm = stiffness.expect("readings rise").newtons_per_metre() * 1e-6;
        assert_close(per_mm, 1500.0, 1e-9);
    }

    /// A straight line with one reading 30 kN too high and one 30 kN too low, evenly: the slope of least
    /// squares by hand, Σ(down·force)/Σ(down²) about the means of 0.1, 0.2, 0.3, 0.4 mm.
    #[test]
    fn more_readings_are_evened_out() {
        let rows = [row(379.9, 150.0), row(379.8, 330.0), row(379.7, 420.0), row(379.6, 600.0)];
        // Means 0.25 mm and 375 kN: (0.15·225 + 0.05·45 + 0.05·45 + 0.15·225)/0.05 = 1440.
        let per_mm = stiffness_from_readings(&rows).expect("they rise").newtons_per_metre() * 1e-6;
        assert_close(per_mm, 1440.0, 1e-9);
    }

    #[test]
    fn lower_setting_that_reads_less_is_refused() {
        let refused = |rows: &[(Length, Force)]| {
            matches!(stiffness_from_readings(rows), Err(InputError::RowOutOfOrder { .. }))
        };
        assert!(refused(&[row(380.0, 200.0)]));
        assert!(refused(&[row(380.0, 200.0), row(380.0, 300.0)]));
        assert!(refused(&[row(380.0, 300.0), row(379.8, 200.0)]));
        assert!(refused(&[row(379.8, 200.0), row(380.0, 300.0)]));
    }
}
