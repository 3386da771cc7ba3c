//! Dashes along a polyline and hatching of a polygon, as plain line pieces for any backend.

use crate::frame::Point;
use press_load::order;

/// The dashes of `line`: pieces of length `on`, gaps of length `off`, in pixels.
pub(crate) fn dashes(line: &[Point], on: f64, off: f64) -> Vec<Vec<Point>> {
    let mut pieces = Vec::new();
    let mut piece: Vec<Point> = line.first().copied().into_iter().collect();
    let (mut is_on, mut left) = (true, on);
    for pair in line.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        loop {
            let length = (to.0 - from.0).hypot(to.1 - from.1);
            // Not a number counts as the end too.
            if length < left || !length.is_finite() {
                left -= length;
                if is_on {
                    piece.push(to);
                }
                break;
            }
            let t = left / length;
            from = (from.0 + t * (to.0 - from.0), from.1 + t * (to.1 - from.1));
            if is_on {
                piece.push(from);
                pieces.push(std::mem::take(&mut piece));
            } else {
                piece = vec![from];
            }
            is_on = !is_on;
            left = if is_on { on } else { off };
        }
    }
    // A dash just begun at the very end would be a speck.
    if is_on && left < on - 0.01 {
        pieces.push(piece);
    }
    pieces
}

/// Parallel lines rising to the right across a closed polygon, `spacing` pixels apart.
///
/// The lines keep their places in the picture, so neighbouring areas hatch alike.
pub(crate) fn hatching(polygon: &[Point], spacing: f64) -> Vec<Vec<Point>> {
    // Along such a line x + y is constant, so it is told by that sum.
    let sum = |p: Point| p.0 + p.1;
    let (low, high) = polygon.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
        (low.min(sum(*p)), high.max(sum(*p)))
    });
    let step = spacing * std::f64::consts::SQRT_2;
    if !(low < high && step > 0.0) {
        return Vec::new();
    }
    let first = (low / step).ceil() as i64;
    let last = (high / step).floor() as i64;
    (first..=last)
        .flat_map(|n| {
            let level = n as f64 * step;
            let crossings: Vec<Point> = (0..polygon.len())
                .filter_map(|i| {
                    let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
                    // Half-open, so that a corner counts once.
                    ((sum(a) <= level) != (sum(b) <= level)).then(|| {
                        let t = (level - sum(a)) / (sum(b) - sum(a));
                        (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1))
                    })
                })
                .collect();
            let along: Vec<f64> = crossings.iter().map(|crossing| crossing.0).collect();
            let crossings: Vec<Point> =
                order::rising(&along).into_iter().map(|i| crossings[i]).collect();
            crossings.chunks_exact(2).map(<[Point]>::to_vec).collect::<Vec<_>>()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(line: &[Point]) -> f64 {
        line.windows(2).map(|p| (p[1].0 - p[0].0).hypot(p[1].1 - p[0].1)).sum()
    }

    #[test]
    fn dashes_cover_their_share_of_a_bent_line() {
        let pieces = dashes(&[(0.0, 0.0), (33.0, 0.0), (33.0, 67.0)], 6.0, 4.0);
        assert_eq!(pieces.len(), 10);
        let drawn: f64 = pieces.iter().map(|p| length(p)).sum();
        assert!((drawn - 60.0).abs() < 1e-9, "{drawn}");
    }

    #[test]
    fn hatching_stays_inside_its_polygon() {
        let square = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)];
        let lines = hatching(&square, 5.0);
        assert!(lines.len() >= 5);
        for (x, y) in lines.into_iter().flatten() {
            assert!((-1e-9..=20.0 + 1e-9).contains(&x) && (-1e-9..=20.0 + 1e-9).contains(&y));
        }
    }
}
