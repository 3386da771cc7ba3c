//! Counterbalance: the air that carries the slide and what hangs on it.
//!
//! Set low, the joints hammer at every reversal; set high, the motor is overloaded on the way down
//! (M. Sutherland, "Maintenance tips for stamping presses", counterbalance notes). The pressure for a
//! weight stands on the press's own plate as a table; between its rows it is read off along a straight
//! line, and beyond them it is not read at all: a cylinder's friction and volume are not known there.

use crate::{InputError, Mass, Stress};

const ROWS: &str =
    "masses must rise from row to row and pressures must not fall, at least two rows";

/// Pressure over the mass on the slide, from the press's own table of at least two rows.
#[derive(Clone, Debug, PartialEq)]
pub struct CounterbalanceTable(Vec<(Mass, Stress)>);

impl CounterbalanceTable {
    /// From rows of mass and pressure.
    ///
    /// # Errors
    ///
    /// [`InputError::RowOutOfOrder`] for fewer than two rows, masses that do not rise, or pressures that
    /// fall: more weight never takes less air.
    pub fn new(rows: Vec<(Mass, Stress)>) -> Result<Self, InputError> {
        if rows.len() < 2 {
            return Err(InputError::RowOutOfOrder { what: ROWS, row: rows.len() });
        }
        let bad =
            rows.windows(2).position(|pair| !(pair[1].0 > pair[0].0 && pair[1].1 >= pair[0].1));
        match bad {
            Some(above) => Err(InputError::RowOutOfOrder { what: ROWS, row: above + 1 }),
            None => Ok(Self(rows)),
        }
    }

    /// Pressure for a mass, linear between rows; nothing beyond the first and the last row.
    pub fn pressure_for(&self, mass: Mass) -> Option<Stress> {
        let (lightest, heaviest) = self.span();
        if !(mass >= lightest && mass <= heaviest) {
            return None;
        }
        // No farther than the last row, as the mass is within them.
        let above = self.0.partition_point(|row| row.0 < mass).max(1);
        let ((m0, p0), (m1, p1)) = (self.0[above - 1], self.0[above]);
        Some(p0 + (p1 - p0) * ((mass - m0) / (m1 - m0)))
    }

    /// The lightest and the heaviest mass of the table.
    pub fn span(&self) -> (Mass, Mass) {
        // A table has rows.
        (self.0[0].0, self.0[self.0.len() - 1].0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    fn row(kg: f64, mpa: f64) -> (Mass, Stress) {
        (Mass::from_kilograms(kg), Stress::from_megapascals(mpa))
    }

    /// An invented table; half-way between two rows stands half-way between their pressures.
    #[test]
    fn pressure_is_read_between_the_rows_and_nowhere_else() {
        let table =
            CounterbalanceTable::new(vec![row(0.0, 0.25), row(500.0, 0.35), row(1500.0, 0.45)])
                .expect("rows rise");
        let at = |kg| table.pressure_for(Mass::from_kilograms(kg));
        for (kg, mpa) in [(0.0, 0.25), (250.0, 0.30), (500.0, 0.35), (1000.0, 0.40), (1500.0, 0.45)]
        {
            assert_close(at(kg).expect("within the table").megapascals(), mpa, 1e-12);
        }
        assert_eq!(at(1500.1), None);
        assert_eq!(at(-0.1), None);
        assert_eq!(at(f64::NAN), None);
    }

    #[test]
    fn table_must_rise() {
        let refused =
            |rows| matches!(CounterbalanceTable::new(rows), Err(InputError::RowOutOfOrder { .. }));
        assert!(refused(vec![row(0.0, 0.3)]));
        assert!(refused(vec![row(100.0, 0.3), row(100.0, 0.4)]));
        assert!(refused(vec![row(100.0, 0.3), row(200.0, 0.2)]));
    }
}
