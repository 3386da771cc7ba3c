//! Upright rectangles in pixels, and clipping to them.

/// A place in CSS pixels, y downwards.
pub(crate) type Point = (f64, f64);

/// Points of a curve closer than this to the line without them are left out, in CSS pixels.
pub(crate) const FINENESS: f64 = 0.06;

/// An upright rectangle in CSS pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frame {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Frame {
    /// The frame of this size around its centre.
    pub fn around((x, y): Point, width: f64, height: f64) -> Self {
        Self {
            left: x - width / 2.0,
            top: y - height / 2.0,
            right: x + width / 2.0,
            bottom: y + height / 2.0,
        }
    }

    /// The smallest frame holding all finite `points`.
    pub fn holding(points: impl IntoIterator<Item = Point>) -> Option<Self> {
        points
            .into_iter()
            .filter(|(x, y)| x.is_finite() && y.is_finite())
            .map(|p| Self::around(p, 0.0, 0.0))
            .reduce(|a, b| a.joined(&b))
    }

    pub fn joined(&self, other: &Self) -> Self {
        Self {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub fn centre(&self) -> Point {
        ((self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0)
    }

    pub fn grown(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    pub fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    pub fn contains(&self, other: &Self) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }

    pub fn corners(&self) -> [Point; 4] {
        [
            (self.left, self.top),
            (self.right, self.top),
            (self.right, self.bottom),
            (self.left, self.bottom),
        ]
    }

    /// The closed outline, its first corner repeated at the end.
    pub fn outline(&self) -> Vec<Point> {
        let [a, b, c, d] = self.corners();
        vec![a, b, c, d, a]
    }

    /// The part of the segment from `a` to `b` inside this frame (Liang and Barsky's method).
    pub fn clip_segment(&self, a: Point, b: Point) -> Option<(Point, Point)> {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (step, room) in [
            (-dx, a.0 - self.left),
            (dx, self.right - a.0),
            (-dy, a.1 - self.top),
            (dy, self.bottom - a.1),
        ] {
            if step == 0.0 {
                if room < 0.0 {
                    return None;
                }
            } else if step < 0.0 {
                enter = enter.max(room / step);
            } else {
                leave = leave.min(room / step);
            }
        }
        let at = |t: f64| (a.0 + t * dx, a.1 + t * dy);
        (enter <= leave).then(|| (at(enter), at(leave)))
    }

    /// The pieces of a polyline inside this frame.
    pub fn clip_polyline(&self, line: &[Point]) -> Vec<Vec<Point>> {
        let mut pieces: Vec<Vec<Point>> = Vec::new();
        for pair in line.windows(2) {
            let Some((start, end)) = self.clip_segment(pair[0], pair[1]) else {
                continue;
            };
            match pieces.last_mut() {
                Some(piece) if piece.last() == Some(&start) => piece.push(end),
                _ => pieces.push(vec![start, end]),
            }
        }
        pieces
    }

    /// Whether a polyline passes through this frame.
    pub fn is_crossed_by(&self, line: &[Point]) -> bool {
        line.windows(2).any(|pair| {
            let (a, b) = (pair[0], pair[1]);
            // Most segments lie wholly to one side, which is cheaply told.
            let is_near = a.0.min(b.0) <= self.right
                && a.0.max(b.0) >= self.left
                && a.1.min(b.1) <= self.bottom
                && a.1.max(b.1) >= self.top;
            is_near && self.clip_segment(a, b).is_some()
        })
    }
}

/// The polyline without the points that lie within `tolerance` of the line drawn without them.
///
/// Douglas and Peucker's method; curves arrive with more points than a screen has pixels.
pub(crate) fn thin(line: &[Point], tolerance: f64) -> Vec<Point> {
    if line.len() < 3 {
        return line.to_vec();
    }
    let mut keep = vec![false; line.len()];
    keep[0] = true;
    keep[line.len() - 1] = true;
    let mut spans = vec![(0, line.len() - 1)];
    while let Some((first, last)) = spans.pop() {
        let farthest = (first + 1..last)
            .map(|i| (i, squared_distance(line[i], line[first], line[last])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((middle, distance)) = farthest
            && distance > tolerance * tolerance
        {
            keep[middle] = true;
            spans.push((first, middle));
            spans.push((middle, last));
        }
    }
    line.iter().zip(keep).filter_map(|(p, kept)| kept.then_some(*p)).collect()
}

/// The square of the distance from `p` to the segment from `a` to `b`.
fn squared_distance(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length_squared = dx * dx + dy * dy;
    let t = if length_squared > 0.0 {
        (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / length_squared).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (p.0 - a.0 - t * dx).powi(2) + (p.1 - a.1 - t * dy).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNIT: Frame = Frame { left: 0.0, top: 0.0, right: 10.0, bottom: 10.0 };

    #[test]
    fn a_line_through_a_frame_is_cut_at_its_edges() {
        let pieces = UNIT.clip_polyline(&[(-5.0, 5.0), (5.0, 5.0), (5.0, 20.0), (8.0, 5.0)]);
        assert_eq!(pieces.len(), 2);
        assert_eq!(pieces[0], vec![(0.0, 5.0), (5.0, 5.0), (5.0, 10.0)]);
        assert_eq!(pieces[1].last(), Some(&(8.0, 5.0)));
    }

    #[test]
    fn thinning_keeps_corners_and_drops_points_on_a_straight_line() {
        let line = [(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (2.0, 5.0)];
        assert_eq!(thin(&line, 0.1), vec![(0.0, 0.0), (2.0, 0.0), (2.0, 5.0)]);
    }
}
