//! Least squares within bounds, for a handful of unknowns.
//!
//! Minimises `|A x − b|²` with `low ≤ x ≤ high`. The unknowns are few (a die has some dozens of
//! stations at most), so that the normal equations are small; they are solved by an active set: what
//! lies on a bound and wants beyond it stays there, the rest is solved freely, and a step that would
//! leave the bounds goes as far as the first of them (C. L. Lawson, R. J. Hanson, *Solving Least
//! Squares Problems* (1974), ch. 23, extended to two bounds as in P. B. Stark, R. L. Parker,
//! "Bounded-variable least squares", *Computational Statistics* 10 (1995); value from memory).

/// The sums of a least-squares problem: what is left of all its rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Normal {
    /// `AᵀA`, row by row.
    pub matrix: Vec<f64>,
    /// `Aᵀb`.
    pub right: Vec<f64>,
    /// `bᵀb`.
    pub square: f64,
    /// Rows that went in.
    pub rows: usize,
}

impl Normal {
    /// Of `unknowns`, without rows.
    pub fn new(unknowns: usize) -> Self {
        Self {
            matrix: vec![0.0; unknowns * unknowns],
            right: vec![0.0; unknowns],
            square: 0.0,
            rows: 0,
        }
    }

    /// Adds one row.
    pub fn add(&mut self, row: &[f64], value: f64) {
        let n = self.right.len();
        for i in 0..n {
            for j in 0..n {
                self.matrix[i * n + j] += row[i] * row[j];
            }
            self.right[i] += row[i] * value;
        }
        self.square += value * value;
        self.rows += 1;
    }

    /// Sum of squares that is left over at `x`.
    pub fn left_over(&self, x: &[f64]) -> f64 {
        let n = x.len();
        let mut sum = self.square;
        for i in 0..n {
            sum -= 2.0 * self.right[i] * x[i];
            for j in 0..n {
                sum += x[i] * self.matrix[i * n + j] * x[j];
            }
        }
        sum.max(0.0)
    }

    /// The unknowns within their bounds; columns that are nothing stay at the bound nearer to one.
    pub fn solve(&self, low: f64, high: f64) -> Vec<f64> {
        let n = self.right.len();
        let start = 1.0_f64.clamp(low, high);
        let mut x = vec![start; n];
        let mut free: Vec<bool> = (0..n).map(|i| self.matrix[i * n + i] > 0.0).collect();
        // Each pass either frees or binds an unknown; cycling is cut off.
        for _ in 0..20 * (n + 1) {
            let places: Vec<usize> = (0..n).filter(|&i| free[i]).collect();
            let wanted = self.free_solution(&places, &x);
            // As far towards it as the bounds let.
            let (mut part, mut stops) = (1.0, None);
            for (&i, &want) in places.iter().zip(&wanted) {
                let bound = if want < low { low } else { high };
                if (want < low || want > high) && want != x[i] {
                    let reach = ((bound - x[i]) / (want - x[i])).clamp(0.0, 1.0);
                    if reach < part || stops.is_none() {
                        (part, stops) = (reach, Some((i, bound)));
                    }
                }
            }
            for (&i, &want) in places.iter().zip(&wanted) {
                x[i] = (x[i] + part * (want - x[i])).clamp(low, high);
            }
            if let Some((i, bound)) = stops {
                x[i] = bound;
                free[i] = false;
                continue;
            }
            // Free what wants inwards most.
            let mut best = (1e-12, None);
            for i in (0..n).filter(|&i| !free[i] && self.matrix[i * n + i] > 0.0) {
                let slope: f64 =
                    self.right[i] - (0..n).map(|j| self.matrix[i * n + j] * x[j]).sum::<f64>();
                let scale = self.matrix[i * n + i];
                let inwards = if x[i] <= low { slope } else { -slope } / scale;
                if inwards > best.0 {
                    best = (inwards, Some(i));
                }
            }
            match best.1 {
                Some(i) => free[i] = true,
                None => break,
            }
        }
        x
    }

    /// The unknowns at `places` with the others as in `x`.
    fn free_solution(&self, places: &[usize], x: &[f64]) -> Vec<f64> {
        let n = self.right.len();
        let m = places.len();
        let mut matrix = vec![0.0; m * m];
        let mut right = vec![0.0; m];
        for (a, &i) in places.iter().enumerate() {
            right[a] = self.right[i];
            for j in (0..n).filter(|j| !places.contains(j)) {
                right[a] -= self.matrix[i * n + j] * x[j];
            }
            for (b, &j) in places.iter().enumerate() {
                matrix[a * m + b] = self.matrix[i * n + j];
            }
        }
        solve_symmetric(&mut matrix, &mut right);
        right
    }

    /// Diagonal of the inverse of `AᵀA`: variances of the unknowns for a unit variance of the rows.
    pub fn variances(&self) -> Vec<f64> {
        let n = self.right.len();
        (0..n)
            .map(|i| {
                let (mut matrix, mut right) = (self.matrix.clone(), vec![0.0; n]);
                right[i] = 1.0;
                solve_symmetric(&mut matrix, &mut right);
                right[i]
            })
            .collect()
    }
}

/// Solves a symmetric positive system in place, by elimination with the largest diagonal first; an
/// unknown that nothing determines becomes zero.
fn solve_symmetric(matrix: &mut [f64], right: &mut [f64]) {
    let n = right.len();
    let largest = (0..n).map(|i| matrix[i * n + i]).fold(0.0, f64::max);
    let mut done: Vec<usize> = Vec::with_capacity(n);
    loop {
        let rest = (0..n).filter(|i| !done.contains(i));
        let Some(p) = rest.max_by(|&i, &j| matrix[i * n + i].total_cmp(&matrix[j * n + j])) else {
            break;
        };
        let pivot = matrix[p * n + p];
        if !(pivot > 1e-14 * largest) {
            break;
        }
        done.push(p);
        for i in (0..n).filter(|i| !done.contains(i)).collect::<Vec<usize>>() {
            let factor = matrix[i * n + p] / pivot;
            for j in 0..n {
                matrix[i * n + j] -= factor * matrix[p * n + j];
            }
            right[i] -= factor * right[p];
        }
    }
    let mut x = vec![0.0; n];
    for (order, &p) in done.iter().enumerate().rev() {
        let known: f64 = done[order + 1..].iter().map(|&j| matrix[p * n + j] * x[j]).sum();
        x[p] = (right[p] - known) / matrix[p * n + p];
    }
    right.copy_from_slice(&x);
}
