//! Curves of force over slide height, read in the order of the down-stroke: height falls.

use press_load::order;

/// Rows of height and force. A jump is two rows at one height.
pub(crate) type Rows = Vec<(f64, f64)>;

/// The finite rows in the order of the down-stroke.
pub(crate) fn in_stroke_order(curve: &[(f64, f64)]) -> Rows {
    let mut rows: Rows = curve
        .iter()
        .copied()
        .filter(|(height, force)| height.is_finite() && force.is_finite())
        .collect();
    let rises = matches!((rows.first(), rows.last()), (Some(a), Some(b)) if a.0 < b.0);
    if rises {
        // Turned before the stable sort, so that the two rows of a jump change places too.
        rows.reverse();
    }
    let heights: Vec<f64> = rows.iter().map(|row| row.0).collect();
    order::falling(&heights).into_iter().map(|i| rows[i]).collect()
}

/// Force as the slide arrives at `height`, `None` outside the curve.
pub(crate) fn force_arriving(rows: &[(f64, f64)], height: f64) -> Option<f64> {
    let next = rows.partition_point(|row| row.0 > height);
    match rows.get(next) {
        Some(row) if row.0 == height => Some(row.1),
        _ => between(rows, next, height),
    }
}

/// Force as the slide leaves `height` downwards, `None` outside the curve.
pub(crate) fn force_leaving(rows: &[(f64, f64)], height: f64) -> Option<f64> {
    let next = rows.partition_point(|row| row.0 >= height);
    match next.checked_sub(1).map(|last| rows[last]) {
        Some(row) if row.0 == height => Some(row.1),
        _ => between(rows, next, height),
    }
}

fn between(rows: &[(f64, f64)], next: usize, height: f64) -> Option<f64> {
    let (before, after) = (rows.get(next.checked_sub(1)?)?, rows.get(next)?);
    let t = (before.0 - height) / (before.0 - after.0);
    Some(before.1 + t * (after.1 - before.1))
}

/// The part of the curve from height `from` down to height `to`, cut exactly there.
pub(crate) fn window(rows: &[(f64, f64)], from: f64, to: f64) -> Rows {
    let mut part = Rows::new();
    part.extend(force_leaving(rows, from).map(|force| (from, force)));
    part.extend(rows.iter().copied().filter(|row| row.0 < from && row.0 > to));
    part.extend(force_arriving(rows, to).map(|force| (to, force)));
    part
}

/// The highest row, the earlier one if equal.
pub(crate) fn peak(rows: &[(f64, f64)]) -> Option<(f64, f64)> {
    rows.iter().copied().reduce(|a, b| if b.1 > a.1 { b } else { a })
}

/// All heights at which any of the curves has a row, falling, none closer than `finest`.
pub(crate) fn common_heights(curves: &[Rows], finest: f64) -> Vec<f64> {
    let heights: Vec<f64> = curves.iter().flatten().map(|row| row.0).collect();
    let mut heights = order::falling_values(&heights);
    heights.dedup_by(|next, kept| *kept - *next <= finest);
    heights
}

/// The curves added up one upon the other: the n-th line is the sum of the first n curves.
///
/// Below zero and outside its rows a curve counts as zero.
pub(crate) fn stacked(curves: &[Rows], finest: f64) -> Vec<Rows> {
    let heights = common_heights(curves, finest);
    let mut level = vec![0.0; heights.len() * 2];
    let mut lines = Vec::with_capacity(curves.len() + 1);
    let line = |level: &[f64]| {
        let heights = heights.iter().flat_map(|height| [*height, *height]);
        heights.zip(level.iter().copied()).collect::<Rows>()
    };
    lines.push(line(&level));
    for rows in curves {
        for (i, height) in heights.iter().enumerate() {
            // Before its first row and after its last a curve is zero: it jumps there.
            let is_at = |row: Option<&(f64, f64)>| row.is_some_and(|row| row.0 == *height);
            if !is_at(rows.first()) {
                level[2 * i] += force_arriving(rows, *height).unwrap_or(0.0).max(0.0);
            }
            if !is_at(rows.last()) {
                level[2 * i + 1] += force_leaving(rows, *height).unwrap_or(0.0).max(0.0);
            }
        }
        lines.push(line(&level));
    }
    lines
}

/// The stretches in which `upper` lies above `lower`, as closed polygons of height and force.
pub(crate) fn zones_above(upper: &Rows, lower: &Rows) -> Vec<Rows> {
    let heights = common_heights(&[upper.clone(), lower.clone()], 0.0);
    let mut zones = Vec::new();
    let (mut top, mut bottom) = (Rows::new(), Rows::new());
    let mut before: Option<(f64, f64, f64)> = None;
    let mut close = |top: &mut Rows, bottom: &mut Rows| {
        if top.len() > 1 {
            top.extend(bottom.drain(..).rev());
            zones.push(std::mem::take(top));
        }
        top.clear();
        bottom.clear();
    };
    for height in heights {
        let rows = [
            force_arriving(upper, height).zip(force_arriving(lower, height)),
            force_leaving(upper, height).zip(force_leaving(lower, height)),
        ];
        for (high, low) in rows.into_iter().flatten() {
            if let Some((height_before, high_before, low_before)) = before {
                let (a, b) = (high_before - low_before, high - low);
                if (a > 0.0) != (b > 0.0) {
                    let t = a / (a - b);
                    let at = height_before + t * (height - height_before);
                    top.push((at, high_before + t * (high - high_before)));
                    bottom.push((at, low_before + t * (low - low_before)));
                    if a > 0.0 {
                        close(&mut top, &mut bottom);
                    }
                }
            }
            if high > low {
                top.push((height, high));
                bottom.push((height, low));
            }
            before = Some((height, high, low));
        }
    }
    close(&mut top, &mut bottom);
    zones
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_jump_has_a_force_before_and_after() {
        let rows = in_stroke_order(&[(0.0, 8.0), (5.0, 6.0), (5.0, 2.0), (10.0, 0.0)]);
        assert_eq!(force_arriving(&rows, 5.0), Some(2.0));
        assert_eq!(force_leaving(&rows, 5.0), Some(6.0));
        assert_eq!(force_arriving(&rows, 7.5), Some(1.0));
        assert_eq!(force_leaving(&rows, 11.0), None);
        assert_eq!(window(&rows, 7.5, 5.0), vec![(7.5, 1.0), (5.0, 2.0)]);
    }

    #[test]
    fn stacked_curves_add_up_at_every_height() {
        let curves = [vec![(10.0, 1.0), (0.0, 1.0)], vec![(5.0, 4.0), (0.0, 4.0)]];
        let lines = stacked(&curves, 0.0);
        assert_eq!(force_arriving(&lines[2], 5.0), Some(1.0));
        assert_eq!(force_leaving(&lines[2], 5.0), Some(5.0));
        assert_eq!(force_leaving(&lines[1], 5.0), Some(1.0));
    }

    #[test]
    fn a_zone_above_begins_and_ends_where_the_curves_cross() {
        let upper = vec![(10.0, 0.0), (5.0, 10.0), (0.0, 0.0)];
        let lower = vec![(10.0, 5.0), (0.0, 5.0)];
        let zones = zones_above(&upper, &lower);
        assert_eq!(zones.len(), 1);
        assert_eq!(zones[0][0], (7.5, 5.0));
        assert!(zones[0].contains(&(5.0, 10.0)) && zones[0].contains(&(2.5, 5.0)));
    }
}
